// SPDX-License-Identifier: Apache-2.0
// A scrapped part into planned sheets of the demo's week: what lies there stays clear, no spare is
// made, and another material is passed over.
#include "run_demo.h"

#include <math.h>
#include <string.h>

static struct kw_taken *take_sheets(struct fixture *f) {
    int n = f->week.sheet_count;
    struct kw_taken *taken = KW_NEW_ARRAY(&f->a, struct kw_taken, n);
    for (int i = 0; i < n; i++) {
        const struct kw_run_sheet *s = &f->week.sheets[i];
        taken[i] = (struct kw_taken){.id = s->id,
                                     .from = kw_format(&f->a, "t/%s", s->id),
                                     .material = s->stock.text,
                                     .thickness = s->stock.thickness,
                                     .width = s->width,
                                     .height = s->height,
                                     .free = s->free};
        for (int k = 0; k < s->placement_count; k++) {
            const struct kw_nest_placement *p = &s->placements[k];
            struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
            struct kw_region r = {.outer =
                                      kw_path_moved(&f->a, &f->week.makes[p->part].blank.outer, m)};
            r.outer = kw_path_oriented(&f->a, &r.outer, true);
            KW_PUSH(&f->a, taken[i].parts, taken[i].part_count) = r;
        }
    }
    return taken;
}

static enum kw_status again(struct fixture *f, const struct kw_taken *taken,
                            const struct kw_make *m, int count, struct kw_week *out,
                            struct kw_error *err) {
    struct kw_order order = {.number = "again", .hand = m->hand, .count = count, .due = 20261130};
    while (f->kits.v[order.kit] != m->kit)
        order.kit++;
    while (KW_ITEM(struct kw_part, m->kit->parts, order.part) != m->part)
        order.part++;
    struct kw_run_options o = {.name = "t-again", .date = 20261130, .keep_going = true};
    return kw_run_again(&f->a, f->shop, &f->kits, &order, taken, f->week.sheet_count, &o, out, err);
}

static void expect_clear(struct fixture *f, const struct kw_week *w) {
    for (int i = 0; i < w->sheet_count; i++) {
        const struct kw_run_sheet *s = &w->sheets[i];
        cr_expect(s->program != NULL);
        cr_expect_eq(s->times, 1);
        for (int k = 0; k < f->week.sheet_count; k++) // the drop W46-B weighs what it is
            if (strcmp(f->week.sheets[k].id, s->id) == 0)
                cr_expect_float_eq(s->mass, f->week.sheets[k].mass, 1e-6, "%s", s->id);
        cr_expect_geq(s->spacing, f->shop->table.spacing);
        for (int k = 0; k < s->placement_count; k++) {
            const struct kw_nest_placement *p = &s->placements[k];
            struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
            struct kw_path path = kw_path_moved(&f->a, &w->makes[0].blank.outer, m);
            for (int t = 0; t < s->on->part_count; t++)
                cr_expect_geq(kw_path_gap(&path, &s->on->parts[t].outer), s->spacing - 1e-4);
        }
    }
}

Test(run_again, every_small_part_finds_free_space_that_is_free) {
    struct fixture f = {0};
    plan_demo(&f);
    struct kw_taken *taken = take_sheets(&f);
    int found = 0;
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        if (m->use != KW_MAKE_ORDERED || m->part->stock.kind != KW_SHEET || m->placed == 0)
            continue;
        struct kw_week out = {0};
        struct kw_error err = {0};
        cr_assert_eq(again(&f, taken, m, 2, &out, &err), KW_OK, "%s", err.text);
        cr_assert_eq(out.make_count, 1);
        cr_expect_eq(out.makes[0].spare, 0);
        expect_clear(&f, &out);
        int placed = out.makes[0].placed, left = 0;
        for (int k = 0; k < out.left_out_count; k++)
            left += out.left_out[k].count;
        cr_expect_eq(placed + left, 2);
        for (int k = 0; k < out.sheet_count; k++)
            cr_expect_str_eq(out.sheets[k].on->material, m->part->stock.text);
        found += placed;
    }
    cr_expect_gt(found, 4, "%d", found);
    kw_arena_free(&f.a);
}

Test(run_again, a_part_of_tube_is_refused) {
    struct fixture f = {0};
    plan_demo(&f);
    struct kw_taken *taken = take_sheets(&f);
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        if (m->part->stock.kind == KW_SHEET) continue;
        struct kw_week out = {0};
        struct kw_error err = {0};
        cr_expect_eq(again(&f, taken, m, 1, &out, &err), KW_UNKNOWN);
        break;
    }
    kw_arena_free(&f.a);
}
