// SPDX-License-Identifier: Apache-2.0
// One sheet's plan: contours, their starts and order, the moves, how long it all takes.
#include "cut/job.h"

#include <math.h>

#define SHORTEST_MOVE 1e-9

static const char *const trouble_names[] = {"hole-closes", "slot-narrow", "hole-small",
                                            "no-lead",     "too-near",    "no-mark"};

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

// ------------------------------------------------------------------------------------------- moves

struct builder {
    struct cut_job *j;
    struct kw_vec2 at;
    struct kw_cut_contour c; ///< in hand
};

static void add_move(struct builder *b, enum kw_cut_move_kind kind, struct kw_segment s,
                     double feed) {
    struct kw_cut_plan *plan = b->j->plan;
    double length = kw_segment_length(s);
    if (!(length > SHORTEST_MOVE) && kind != KW_CUT_PIERCE) return;
    struct kw_cut_move m = {.kind = kind,
                            .from = s.a,
                            .to = s.b,
                            .bulge = s.bulge,
                            .feed = feed,
                            .length = length,
                            .contour = plan->contour_count};
    KW_PUSH(b->j->arena, plan->moves, plan->move_count) = m;
    b->at = s.b;
    if (kind == KW_CUT_RAPID)
        plan->rapid_length += length;
    else
        b->c.length += length;
}

static void add_straight(struct builder *b, enum kw_cut_move_kind kind, struct kw_vec2 to,
                         double feed) {
    add_move(b, kind, kw_segment_make(b->at, to, 0), feed);
}

static void begin(struct builder *b, int part, int hole, struct kw_vec2 pierce) {
    b->c = (struct kw_cut_contour){.part = part, .hole = hole, .pierce = pierce};
    b->c.first_move = b->j->plan->move_count;
    add_straight(b, KW_CUT_RAPID, pierce, b->j->controller->rapid);
    add_straight(b, KW_CUT_PIERCE, pierce, 0);
    b->j->plan->pierces++;
}

static void finish(struct builder *b) {
    struct kw_cut_plan *plan = b->j->plan;
    b->c.moves = plan->move_count - b->c.first_move;
    plan->cut_length += b->c.length;
    KW_PUSH(b->j->arena, plan->contours, plan->contour_count) = b->c;
}

// The part from t0 to t1 (0..1 by length) of a segment.
static struct kw_segment stretch(struct kw_segment s, double t0, double t1) {
    struct kw_vec2 a = t0 > 0 ? kw_segment_point(s, t0) : s.a;
    struct kw_vec2 b = t1 < 1 ? kw_segment_point(s, t1) : s.b;
    double bulge = t0 > 0 || t1 < 1 ? tan(s.sweep * (t1 - t0) / 4) : s.bulge;
    return kw_segment_make(a, b, s.radius > 0 ? bulge : 0);
}

// `way` mm along the loop from an entry's start; marked as going over the start when `over`.
static void follow(struct builder *b, const struct cut_loop *l, double way, double feed,
                   bool over) {
    const struct cut_entry *e = &l->entries[l->chosen];
    int n = kw_path_segments(&l->line), i = e->segment;
    double from = e->part, left = way;
    for (int k = 0; k <= n && left > SHORTEST_MOVE; k++) {
        struct kw_segment s = kw_path_segment(&l->line, i);
        double length = kw_segment_length(s), to = fmin(1, from + left / length);
        // The last stretch of a full turn ends exactly at the start, whatever the sums say.
        if (!over && k == n) to = e->part;
        if (!over && k == n - 1 && e->part == 0) to = 1;
        enum kw_cut_move_kind kind = over ? KW_CUT_OVER : s.radius > 0 ? KW_CUT_ARC : KW_CUT_LINE;
        add_move(b, kind, stretch(s, from, to), feed);
        left -= (to - from) * length;
        from = 0;
        i = (i + 1) % n;
    }
}

static void cut_loop_moves(struct builder *b, const struct cut_loop *l) {
    const struct kw_cut_rule *r = b->j->rule;
    const struct cut_entry *e = &l->entries[l->chosen];
    double slow = r->hole_feed > 0 ? r->hole_feed : CUT_HOLE_FEED;
    double feed = r->feed * (l->slow ? slow : 1);
    begin(b, l->part, l->hole, e->pierce);
    b->c.start = e->start;
    b->c.slow = l->slow;
    add_move(b, KW_CUT_LEAD, kw_segment_make(b->at, e->start, e->bulge), feed);
    follow(b, l, l->length, feed, false);
    double over = l->hole >= 0 ? fmin(r->overburn, l->length / 2) : 0;
    if (over > 0) follow(b, l, over, feed, true);
    finish(b);
}

// ------------------------------------------------------------------------------------------- marks

static bool mark_fits(const struct cut_job *j, struct kw_cut_line m) {
    double w = j->sheet->width, h = j->sheet->height;
    bool in = fmin(m.from.x, m.to.x) >= 0 && fmax(m.from.x, m.to.x) <= w &&
              fmin(m.from.y, m.to.y) >= 0 && fmax(m.from.y, m.to.y) <= h;
    return in && kw_length2(kw_sub2(m.to, m.from)) > 0.01;
}

static void cut_marks(struct builder *b) {
    struct cut_job *j = b->j;
    int n = 0;
    struct cut_stop *v = KW_NEW_ARRAY(j->scratch, struct cut_stop, j->sheet->mark_count + 1);
    for (int i = 0; i < j->sheet->mark_count; i++) {
        struct kw_cut_line m = j->sheet->marks[i];
        if (mark_fits(j, m)) {
            v[n++] = (struct cut_stop){.in = m.from, .out = m.to, .flips = true, .id = i};
            continue;
        }
        cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_NO_MARK,
                                               .part = -1,
                                               .hole = i,
                                               .at = m.from,
                                               .measured = kw_length2(kw_sub2(m.to, m.from))});
    }
    cut_tour(j->scratch, v, n, b->at, NULL, j->options->seed, n > 3 ? 20 : 0);
    for (int i = 0; i < n; i++) {
        begin(b, -1, v[i].id, v[i].in);
        b->c.start = v[i].in;
        add_straight(b, KW_CUT_MARK, v[i].out, j->rule->feed);
        finish(b);
    }
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

static void fill_names(struct cut_job *j) {
    struct kw_cut_plan *plan = j->plan;
    plan->part_count = j->sheet->part_count;
    plan->names = KW_NEW_ARRAY(j->arena, const char *, plan->part_count + 1);
    for (int i = 0; i < plan->part_count; i++)
        plan->names[i] = kw_format(j->arena, "%s", j->sheet->parts[i].name);
}

static enum kw_status run_job(struct cut_job *j, struct kw_error *err) {
    struct builder b = {.j = j, .at = {0, 0}};
    int count;
    j->bad = KW_NEW_ARRAY(j->scratch, bool, j->sheet->part_count + 1);
    fill_names(j);
    cut_contours(j);
    find_entries(j);
    cut_marks(&b);
    int *order = cut_sequence(j, b.at, &count);
    if (kw_watch_stopped(j->options->watch))
        return kw_fail(err, KW_STOPPED, (struct kw_place){0}, "stopped while planning the cuts");
    for (int i = 0; i < count; i++)
        cut_loop_moves(&b, &j->loops[order[i]]);
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
