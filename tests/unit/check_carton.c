// SPDX-License-Identifier: Apache-2.0
// A piece that goes into no carton is told with its figures before anything is cut: each rule at
// either side of its limit, sums by hand.
#include "check_hand.h"

// The hoop of the bench is 400 long, 300 high and 25.4 thick; it and the sheet part go into a
// carton of 400 x 300 x 60.
struct row {
    const char *rule; // NULL: it goes
    struct kw_box_size carton;
    struct kw_parcel parcel;
    double measured, limit; // mm or kg; 0: not looked at
};
#define CARTON(l, w, h) .name = "box", .length = l, .width = w, .height = h
static const struct row rows[] = {
    {NULL, {CARTON(400, 300, 60)}, {0}, 0, 0},
    {"no-carton", {CARTON(399.9, 300, 60)}, {0}, 400, 399.9},
    {NULL, {CARTON(300, 60, 400)}, {0}, 0, 0}, // any side up
    {NULL, {CARTON(420, 320, 80)}, {.padding = 10}, 0, 0},
    {"no-carton", {CARTON(420, 319.9, 80)}, {.padding = 10}, 300, 299.9},
    // sides in whole inches: 16 x 12 x 3 with a wall of 3 mm is 17 x 13 x 3
    {NULL, {CARTON(406.4, 304.8, 60), .wall = 3}, {.most_length = 431.8}, 0, 0},
    {"parcel-long", {CARTON(406.4, 304.8, 60), .wall = 3}, {.most_length = 431.7}, 431.8, 431.7},
    {NULL, {CARTON(406.4, 304.8, 60), .wall = 3}, {.most_girth = 1244.6}, 0, 0}, // 17 + 2 (13 + 3)
    {"parcel-girth", {CARTON(406.4, 304.8, 60), .wall = 3}, {.most_girth = 1244.5}, 1244.6, 1244.5},
    {"carton-heavy", {CARTON(400, 300, 60), .tare = 9}, {.most_mass = 9, .fill_mass = 1}, 0, 9},
    {"carton-heavy", {CARTON(400, 300, 60), .tare = 9, .most_mass = 9.5}, {0}, 0, 9.5},
    {NULL, {CARTON(400, 300, 60), .tare = 9}, {.most_mass = 20, .fill_mass = 1}, 0, 0},
};

static const struct kw_finding *hoops(const struct bench *b, const char *rule) {
    for (int i = 0; i < b->h.found.count; i++) {
        const struct kw_finding *f = &b->h.found.v[i];
        if (strcmp(f->rule, rule) == 0 && strcmp(f->part, "hoop") == 0) return f;
    }
    return NULL;
}

Test(check_carton, each_rule_at_its_limit) {
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct row *r = &rows[i];
        struct kw_box_size carton = r->carton;
        struct bench b;
        bench_start(&b);
        b.h.shop.cartons = (struct kw_items){&carton, 1};
        b.h.shop.parcel = r->parcel;
        bench_check(&b);
        if (!r->rule) {
            cr_expect_eq(b.h.found.count, 0, "row %zu: %s", i,
                         b.h.found.count ? b.h.found.v[0].says : "");
            cr_expect(b.what[1].makeable);
        } else {
            const struct kw_finding *f = hoops(&b, r->rule);
            cr_assert(f, "row %zu: no %s", i, r->rule);
            cr_expect_eq(f->level, KW_STOP);
            if (r->measured > 0) cr_expect_float_eq(f->measured, r->measured, 1e-6, "row %zu", i);
            cr_expect_float_eq(f->limit, r->limit, 1e-6, "row %zu", i);
            cr_expect_not(b.what[1].makeable, "it is not cut");
        }
        kw_arena_free(&b.h.a);
    }
}

Test(check_carton, heavy_counts_the_piece_its_carton_and_the_fill) {
    struct kw_box_size carton = {CARTON(400, 300, 60), .tare = 9};
    struct bench b;
    bench_start(&b);
    b.h.shop.cartons = (struct kw_items){&carton, 1};
    b.h.shop.parcel = (struct kw_parcel){.most_mass = 9, .fill_mass = 1};
    bench_check(&b);
    const struct kw_finding *f = hoops(&b, "carton-heavy");
    cr_assert(f);
    cr_expect_float_eq(f->measured, b.what[1].mass + 10, 1e-9);
    kw_arena_free(&b.h.a);
}
