// SPDX-License-Identifier: Apache-2.0
// One sheet's plan: contours, their starts and order, the moves, how long it all takes.
#include "cut/job.h"

#include <math.h>

static const char *const trouble_names[] = {"hole-closes", "slot-narrow",   "hole-small", "no-lead",
                                            "too-near",    "start-matters", "no-mark"};

const char *kw_cut_trouble_name(enum kw_cut_trouble t) {
    return trouble_names[t];
}

struct kw_cut_controller kw_cut_controller_usual(void) {
    return (struct kw_cut_controller){.units = KW_MM,
                                      .decimals = 3,
                                      .percent = true,
                                      .torch_on = "M3",
                                      .torch_off = "M5",
                                      .end = "M2",
                                      .travel_height = 50,
                                      .rapid = 250,
                                      .acceleration = 1500,
                                      .corner_speed = 10,
                                      .longest_name = 32};
}

// ---------------------------------------------------------------------------------------- the plan

static enum kw_status check_rule(const struct kw_cut_rule *r, const struct kw_cut_controller *c,
                                 struct kw_error *err) {
    bool good = r->kerf > 0 && r->feed > 0 && r->pierce_delay >= 0 && r->lead_in >= 0 &&
                r->overburn >= 0 && c->rapid > 0 && c->acceleration > 0 && r->hole_feed >= 0;
    if (good) return KW_OK;
    return kw_fail(err, KW_RANGE, (struct kw_place){0},
                   "a cut rule needs a kerf, feed, rapid speed and acceleration above 0");
}

// Contours without a lead-in are a problem; loops of parts that can't be cut are dropped.
static void find_entries(struct cut_job *j) {
    int kept = 0;
    for (int i = 0; i < j->loop_count; i++) {
        struct cut_loop *l = &j->loops[i];
        if (j->bad[l->part] || cut_entries(j, l)) continue;
        struct kw_box2 b = kw_path_box(&l->line);
        cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_NO_LEAD,
                                               .unwritable = true,
                                               .part = l->part,
                                               .hole = l->hole,
                                               .at = kw_lerp2(b.min, b.max, 0.5),
                                               .limit = j->rule->lead_in});
    }
    for (int i = 0; i < j->loop_count; i++)
        if (!j->bad[j->loops[i].part]) j->loops[kept++] = j->loops[i];
    j->loop_count = kept;
}

// The order may take a start on an edge to avoid only where the loop has no other.
static void tell_starts(struct cut_job *j) {
    for (int i = 0; i < j->loop_count; i++) {
        struct cut_loop *l = &j->loops[i];
        const struct cut_entry *e = &l->entries[l->chosen];
        if (l->hole >= 0 || !cut_edge_matters(j, l, e->segment)) continue;
        cut_problem(j,
                    (struct kw_cut_problem){
                        .kind = KW_CUT_START_MATTERS, .part = l->part, .hole = -1, .at = e->start});
    }
}

static void fill_names(struct cut_job *j) {
    struct kw_cut_plan *plan = j->plan;
    plan->width = j->sheet->width;
    plan->height = j->sheet->height;
    for (int i = 0; i < j->sheet->part_count; i++) {
        struct kw_box2 b = kw_path_box(&j->sheet->parts[i].region.outer);
        if (i == 0) plan->around = b;
        plan->around.min =
            kw_v2(fmin(plan->around.min.x, b.min.x), fmin(plan->around.min.y, b.min.y));
        plan->around.max =
            kw_v2(fmax(plan->around.max.x, b.max.x), fmax(plan->around.max.y, b.max.y));
    }
    plan->part_count = j->sheet->part_count;
    plan->names = KW_NEW_ARRAY(j->arena, const char *, plan->part_count + 1);
    for (int i = 0; i < plan->part_count; i++)
        plan->names[i] = kw_format(j->arena, "%s", j->sheet->parts[i].name);
}

static enum kw_status run_job(struct cut_job *j, struct kw_error *err) {
    struct kw_vec2 at = {0, 0};
    int count;
    j->bad = KW_NEW_ARRAY(j->scratch, bool, j->sheet->part_count + 1);
    fill_names(j);
    cut_contours(j);
    find_entries(j);
    cut_etch_moves(j, &at);
    cut_mark_moves(j, &at);
    int *order = cut_sequence(j, at, &count);
    if (kw_watch_stopped(j->options->watch))
        return kw_fail(err, KW_STOPPED, (struct kw_place){0}, "stopped while planning the cuts");
    tell_starts(j);
    cut_find_shared(j);
    for (int i = 0; i < count; i++) {
        cut_loop_moves(j, &j->loops[order[i]], &at);
        j->done[order[i]] = true;
    }
    cut_find_scrap(j);
    cut_scrap_moves(j, &at);
    cut_find_stops(j);
    cut_time_moves(j);
    return KW_OK;
}

enum kw_status kw_cut_plan_sheet(struct kw_arena *arena, const struct kw_cut_sheet *sheet,
                                 const struct kw_cut_rule *rule,
                                 const struct kw_cut_controller *controller,
                                 const struct kw_cut_options *options, struct kw_cut_plan *plan,
                                 struct kw_error *err) {
    static const struct kw_cut_options usual = {0};
    struct kw_arena scratch = {0};
    *plan = (struct kw_cut_plan){.kerf = rule->kerf, .rule = *rule, .writable = true};
    enum kw_status s = check_rule(rule, controller, err);
    if (s != KW_OK) return s;
    struct cut_job job = {.scratch = &scratch,
                          .sheet = sheet,
                          .rule = rule,
                          .controller = controller,
                          .options = options ? options : &usual,
                          .arena = arena,
                          .plan = plan,
                          .half = rule->kerf / 2};
    s = run_job(&job, err);
    kw_arena_free(&scratch);
    return s;
}
