// SPDX-License-Identifier: Apache-2.0
// From orders to pieces: how many of which part in which hand, spare blanks, and what is left out.
#include "run/inside.h"

#include <string.h>

// One extra blank for a brake set-up, then one in twenty (common practice, no source).
static int spare_blanks(const struct kw_examined *what, int needed) {
    if (!what->brake || what->brake->step_count == 0 || needed == 0) return 0;
    return 1 + needed / 20;
}

static void examine_ordered(struct kw_week *w) {
    for (int i = 0; i < w->orders->count; i++) {
        struct kw_kit *kit = w->kits->v[w->orders->v[i].kit];
        if (kw_run_kit_of(w, kit)) continue;
        struct kw_run_kit row = {.kit = kit};
        struct kw_examined *parts;
        kw_check_kit(w->arena, w->shop, kit, &w->findings, &parts, &row.part_count);
        row.parts = parts;
        KW_PUSH(w->arena, w->run_kits, w->run_kit_count) = row;
    }
    w->first_of_run = w->findings.count;
}

// Why a part can't be made: the first stop that names it.
static const char *why_not(const struct kw_week *w, const struct kw_kit *kit,
                           const struct kw_part *part) {
    for (int i = 0; i < w->findings.count; i++) {
        const struct kw_finding *f = &w->findings.v[i];
        if (f->level == KW_STOP && f->part && strcmp(f->part, part->name) == 0 && f->kit &&
            strcmp(f->kit, kit->name) == 0) {
            return f->says;
        }
    }
    return "it can't be made here";
}

int run_per_kit(const struct kw_part *part, enum kw_hand hand) {
    return hand == KW_EACH ? part->each : hand == KW_LEFT_HAND ? part->left : part->right;
}

static int pieces_needed(const struct kw_week *w, int kit, int part, enum kw_hand hand,
                         bool kits_too, int *due) {
    const struct kw_part *p = KW_ITEM(struct kw_part, w->kits->v[kit]->parts, part);
    int needed = 0;
    for (int i = 0; i < w->orders->count; i++) {
        const struct kw_order *o = &w->orders->v[i];
        if (o->kit != kit) continue;
        int n = 0;
        if (o->part < 0 && kits_too) n = o->count * run_per_kit(p, hand);
        if (o->part == part && o->hand == hand) n = o->count;
        needed += n;
        if (n > 0 && (*due == 0 || o->due < *due)) *due = o->due;
    }
    return needed;
}

// Cuts one blank by itself on an ample sheet: a hole that closes or a slot narrower than the kerf
// is known before anything is nested.
enum kw_status run_try_cut(struct kw_week *w, struct kw_make *make, bool *ok,
                           struct kw_error *err) {
    const struct kw_cut_entry *entry = kw_shop_cut_rule(w->shop, &make->part->stock);
    kw_assert(entry); // check has made the part a stop otherwise
    struct kw_box2 box = kw_path_box(&make->blank.outer);
    double room = 100;
    struct kw_move2 m = kw_move2_make(room - box.min.x, room - box.min.y, 0, false);
    struct kw_cut_part part = {.name = make->label,
                               .region = kw_region_moved(w->arena, &make->blank, m)};
    struct kw_cut_sheet sheet = {.width = box.max.x - box.min.x + 2 * room,
                                 .height = box.max.y - box.min.y + 2 * room,
                                 .parts = &part,
                                 .part_count = 1};
    struct kw_cut_rule rule = run_cut_rule(w, entry);
    struct kw_cut_controller controller = kw_run_controller(w);
    struct kw_cut_options options = {.order_steps = 1};
    struct kw_cut_plan plan = {0};
    enum kw_status s =
        kw_cut_plan_sheet(w->arena, &sheet, &rule, &controller, &options, &plan, err);
    if (s != KW_OK) return s;
    *ok = plan.writable;
    for (int i = 0; i < plan.problem_count; i++) {
        struct kw_cut_problem p = plan.problems[i];
        p.at = kw_move2_point(kw_move2_inverse(m), p.at);
        run_cut_finding(w, make, &p, "blank");
    }
    return KW_OK;
}

struct kw_make run_make_row(struct kw_week *w, const struct kw_run_kit *row, int part,
                            enum kw_hand hand) {
    struct kw_make m = {.kit = row->kit,
                        .part = KW_ITEM(struct kw_part, row->kit->parts, part),
                        .what = &row->parts[part],
                        .hand = hand};
    const char *hand_name = kw_hand_name(hand);
    m.label = kw_format(w->arena, "%s/%s%s%s", row->kit->name, m.part->name, *hand_name ? " " : "",
                        hand_name);
    if (m.what->body) {
        m.blank = hand == KW_RIGHT_HAND ? kw_body_other_hand(w->arena, m.what->body)
                                        : m.what->body->blank;
    }
    run_make_etches(w, &m);
    return m;
}

static const enum kw_hand hands[] = {KW_EACH, KW_LEFT_HAND, KW_RIGHT_HAND};

static bool wants_hand(const struct kw_part *p, enum kw_hand hand) {
    return run_per_kit(p, hand) > 0;
}

// Whether each part of the kit can be made and cut; sets `bad` a part. Left and right are tried
// once.
static enum kw_status try_parts(struct kw_week *w, struct kw_run_kit *row, bool *bad,
                                struct kw_error *err) {
    for (int p = 0; p < row->part_count; p++) {
        bad[p] = !row->parts[p].makeable;
        if (bad[p] || !row->parts[p].body) continue;
        struct kw_make m = run_make_row(w, row, p, KW_EACH);
        bool ok = true;
        enum kw_status s = run_try_cut(w, &m, &ok, err);
        if (s != KW_OK) return s;
        bad[p] = !ok;
    }
    return KW_OK;
}

static void leave_out_bad(struct kw_week *w, const struct kw_run_kit *row, int kit, const bool *bad,
                          bool keep_going) {
    const char *first = NULL;
    for (int p = 0; p < row->part_count; p++) {
        if (!bad[p]) continue;
        const struct kw_part *part = KW_ITEM(struct kw_part, row->kit->parts, p);
        int due = 0, count = 0;
        for (int h = 0; h < 3; h++)
            count += pieces_needed(w, kit, p, hands[h], true, &due);
        run_leave_out(w, row->kit, part->name, count, why_not(w, row->kit, part));
        if (!first) first = part->name;
    }
    if (first && row->ordered > 0) {
        run_leave_out(w, row->kit, "", row->ordered,
                      kw_format(w->arena,
                                keep_going ? "no box can be filled without %s"
                                           : "not made at all, since %s can't be; "
                                             "--keep-going makes the rest of it",
                                first));
    }
}

static enum kw_status demand_of_kit(struct kw_week *w, struct kw_run_kit *row, int kit,
                                    bool keep_going, struct kw_error *err) {
    bool *bad = KW_NEW_ARRAY(w->arena, bool, row->part_count + 1);
    enum kw_status s = try_parts(w, row, bad, err);
    if (s != KW_OK) return s;
    bool any_bad = false;
    for (int p = 0; p < row->part_count; p++)
        any_bad = any_bad || bad[p];
    for (int i = 0; i < w->orders->count; i++) {
        const struct kw_order *o = &w->orders->v[i];
        if (o->kit != kit || o->part >= 0) continue;
        row->ordered += o->count;
        if (row->due == 0 || o->due < row->due) row->due = o->due;
    }
    leave_out_bad(w, row, kit, bad, keep_going);
    row->boxed = any_bad ? 0 : row->ordered;
    for (int p = 0; p < row->part_count; p++) {
        const struct kw_part *part = KW_ITEM(struct kw_part, row->kit->parts, p);
        for (int h = 0; h < 3 && !bad[p]; h++) {
            if (!wants_hand(part, hands[h])) continue;
            struct kw_make m = run_make_row(w, row, p, hands[h]);
            m.needed = pieces_needed(w, kit, p, hands[h], !any_bad || keep_going, &m.due);
            m.spare = spare_blanks(m.what, m.needed);
            if (m.needed > 0) KW_PUSH(w->arena, w->makes, w->make_count) = m;
        }
    }
    return KW_OK;
}

enum kw_status run_demand(struct kw_week *w, const struct kw_run_options *o, struct kw_error *err) {
    kw_watch_progress(o->watch, "checking parts", 0);
    examine_ordered(w);
    for (int i = 0; i < w->run_kit_count; i++) {
        if (kw_watch_stopped(o->watch)) return KW_STOPPED;
        int kit = 0;
        while (w->kits->v[kit] != w->run_kits[i].kit)
            kit++;
        enum kw_status s = demand_of_kit(w, &w->run_kits[i], kit, o->keep_going, err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}
