// SPDX-License-Identifier: Apache-2.0
// How a program cuts: feeds, heights, pierce delays, height control, stops and the table's edge,
// against what run.json says of its sheet.
#include "verify/program_judge.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

#define FEED_SLACK   0.05 // mm/s: rounded to a tenth of a unit a minute
#define HEIGHT_SLACK 0.01 // mm: rounded to the last decimal
#define DELAY_SLACK  0.001
#define TABLE_SLACK  0.01
#define SMALL_SURELY 0.98 // of the least size that is not small: chords are a little short
#define SHARP        0.7  // radians, surely sharp
#define SPECK        0.05 // mm: rounding has turned a shorter move any way
#define TRACE_STOPS  3

// ---------------------------------------------------------------------------- run.json's words

static const char *text_of(struct kw_arena *a, json_t *map, const char *key) {
    const char *s = json_string_value(json_object_get(map, key));
    return s && *s ? kw_copy_text(a, s, strlen(s)) : NULL;
}

static void read_lines(struct kw_arena *a, json_t *list, struct kw_cut_setting *t) {
    json_t *line;
    size_t i;
    json_array_foreach(list, i, line) {
        const char *s = json_string_value(line);
        if (s) KW_PUSH(a, t->lines, t->line_count) = kw_copy_text(a, s, strlen(s));
    }
}

static void read_stops(struct kw_arena *a, json_t *list, struct kw_cut_setting *t) {
    json_t *stop;
    size_t i;
    if (!json_is_array(list)) t->stop_count = -1;
    json_array_foreach(list, i, stop) KW_PUSH(a, t->stops, t->stop_count) =
        (int)json_integer_value(stop);
}

static void read_sheet(struct kw_arena *a, json_t *sheet, struct kw_cut_setting *t) {
    const struct {
        const char *key;
        double *to;
    } numbers[] = {
        {"cut_length", &t->cut_length},     {"feed", &t->feed},
        {"hole_feed", &t->hole_feed},       {"hole_feed_below", &t->hole_feed_below},
        {"corner_feed", &t->corner_feed},   {"zone", &t->zone},
        {"pierce_delay", &t->pierce_delay}, {"pierce_height", &t->pierce_height},
        {"cut_height", &t->cut_height},     {"travel_height", &t->travel_height},
    };
    json_t *controller = json_object_get(sheet, "controller");
    json_t *pierces = json_object_get(sheet, "pierces"), *table = json_object_get(sheet, "table");
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        *numbers[i].to = json_number_value(json_object_get(sheet, numbers[i].key));
    t->known = json_is_number(json_object_get(sheet, "cut_length")) && json_is_integer(pierces);
    t->pierces = (int)json_integer_value(pierces);
    t->torch_on = text_of(a, controller, "torch_on");
    t->torch_off = text_of(a, controller, "torch_off");
    t->stop = text_of(a, controller, "stop");
    t->lock = text_of(a, controller, "lock");
    t->unlock = text_of(a, controller, "unlock");
    json_t *scribe = json_object_get(controller, "scribe");
    t->scribe_down = text_of(a, scribe, "down");
    t->scribe_up = text_of(a, scribe, "up");
    t->scribe_delay = json_number_value(json_object_get(scribe, "delay"));
    t->scribe_feed = json_number_value(json_object_get(scribe, "feed"));
    for (size_t k = 0; k < 2; k++)
        t->scribe[k] = json_number_value(json_array_get(json_object_get(scribe, "from_torch"), k));
    t->trace = json_is_true(json_object_get(controller, "trace"));
    read_lines(a, json_object_get(controller, "lines"), t);
    read_stops(a, json_object_get(sheet, "stops"), t);
    for (size_t k = 0; k < 2; k++)
        t->table[k] = json_number_value(json_array_get(table, k));
}

struct kw_cut_setting *kw_cut_settings_read(struct kw_arena *a, const char *run_json, size_t length,
                                            const struct kw_run_file *run) {
    struct kw_cut_setting *v = KW_NEW_ARRAY(a, struct kw_cut_setting, run->sheet_count + 1);
    json_t *root = json_loadb(run_json, length, 0, NULL);
    for (int i = 0; i < run->sheet_count; i++)
        read_sheet(a, json_array_get(json_object_get(root, "sheets"), (size_t)i), &v[i]);
    json_decref(root);
    return v;
}

// ------------------------------------------------------------------------------------------ feeds

static double smaller_side(const struct kw_judging *j, const struct kw_cut_outline *o) {
    double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY}, q[2];
    for (int i = 0; i < o->count; i++)
        for (int s = 0; s < 16; s++) {
            kw_piece_point(&j->shape.v[o->first + i], s / 16.0, q);
            for (int k = 0; k < 2; k++) {
                low[k] = fmin(low[k], q[k]);
                high[k] = fmax(high[k], q[k]);
            }
        }
    return fmin(high[0] - low[0], high[1] - low[1]);
}

// Of a burn: surely in a small hole, surely not, or so near to the limit that chords can't tell.
enum smallness { LARGE, SMALL, EITHER };

static enum smallness smallness_of(const struct kw_judging *j, int burn, double below) {
    int outline = j->burns[burn].outline;
    if (outline < 0 || j->outlines[outline].hole < 0) return LARGE;
    double side = smaller_side(j, &j->outlines[outline]);
    return side < SMALL_SURELY * below ? SMALL : side < below / SMALL_SURELY ? EITHER : LARGE;
}

static enum smallness *all_smallness(struct kw_judging *j, double below) {
    enum smallness *v = KW_NEW_ARRAY(j->arena, enum smallness, j->burn_count + 1);
    for (int b = 0; b < j->burn_count; b++)
        v[b] = smallness_of(j, b, below);
    return v;
}

static bool cuts(const struct kw_rs274_move *m) {
    return m->burn >= 0 && m->motion != KW_RS274_RAPID && kw_rs274_length(m) > 0;
}

static bool is_feed(double feed, double rule, double corner) {
    double slow = corner > 0 ? fmin(rule, corner) : rule;
    return fabs(feed - rule) <= FEED_SLACK || fabs(feed - slow) <= FEED_SLACK;
}

// Every cut has the rule's feed, or its share in small holes or at corners.
static void judge_feeds(struct kw_judging *j, const struct kw_rs274_program *p,
                        const struct kw_cut_setting *t, const enum smallness *small) {
    double hole = t->feed * (t->hole_feed > 0 ? t->hole_feed : 1);
    for (int i = 0; i < p->move_count && t->feed > 0; i++) {
        const struct kw_rs274_move *m = &p->moves[i];
        if (!cuts(m)) continue;
        enum smallness s = small[m->burn];
        double feed = m->feed / 60, corner = t->feed * t->corner_feed;
        if ((s != SMALL && is_feed(feed, t->feed, corner)) ||
            (s != LARGE && is_feed(feed, hole, corner)))
            continue;
        kw_fault(j->verdict, "sheet %s: line %d: cuts at %.2f mm/s, the rule says %.2f",
                 j->sheet->id, m->line, feed, s == SMALL ? hole : t->feed);
        return;
    }
}

// ---------------------------------------------------------------------------------------- heights

static bool at_height(double z, double wanted) {
    return fabs(z - wanted) <= HEIGHT_SLACK; // false where it is not said
}

// Lifted on travels, pierced at the pierce height, cut at the cut height.
static void judge_heights(struct kw_judging *j, const struct kw_rs274_program *p,
                          const struct kw_cut_setting *t) {
    int burn = -1;
    for (int i = 0; i < p->move_count && t->travel_height > 0; i++) {
        const struct kw_rs274_move *m = &p->moves[i];
        const char *what = NULL;
        double wanted = t->travel_height, got = m->height[1];
        bool goes = kw_rs274_length(m) > 0;
        double low = fmin(m->height[0], m->height[1]);
        if (m->burn < 0 && goes && !(low >= wanted - HEIGHT_SLACK)) {
            what = "travels";
            got = low;
        } else if (m->burn > burn) {
            burn = m->burn;
            wanted = t->pierce_height;
            got = m->height[0];
            if (!at_height(got, wanted)) what = "pierces";
        }
        if (!what && cuts(m)) {
            wanted = t->cut_height;
            got = at_height(m->height[0], wanted) ? m->height[1] : m->height[0];
            if (!at_height(got, wanted)) what = "cuts";
        }
        if (!what) continue;
        kw_fault(j->verdict, "sheet %s: line %d: %s at a height of %.2f mm, the rule says %.2f",
                 j->sheet->id, m->line, what, got, wanted);
        return;
    }
}

static void judge_delays(struct kw_judging *j, const struct kw_rs274_program *p,
                         const struct kw_cut_setting *t) {
    double *waited = KW_NEW_ARRAY(j->arena, double, p->burns + 1);
    for (int i = 0; i < p->event_count; i++) {
        const struct kw_rs274_event *e = &p->events[i];
        bool cutting = e->moves > 0 && cuts(&p->moves[e->moves - 1]) &&
                       p->moves[e->moves - 1].burn == e->burns - 1;
        if (e->torch && !cutting) waited[e->burns - 1] += e->dwell;
    }
    for (int b = 0; b < j->burn_count; b++) {
        if (waited[b] >= t->pierce_delay - DELAY_SLACK) continue;
        kw_fault(j->verdict, "sheet %s: line %d: pierces for %.2f s, the rule says %.2f",
                 j->sheet->id, j->burns[b].line, waited[b], t->pierce_delay);
        return;
    }
}

// --------------------------------------------------------------------------------- height control

static bool is_line(const struct kw_rs274_event *e, const char *words) {
    return words && e->length == strlen(words) && memcmp(e->text, words, e->length) == 0;
}

static double turn_between(const struct kw_rs274_move *a, const struct kw_rs274_move *b) {
    double d[2], e[2];
    struct kw_piece p[2];
    const struct kw_rs274_move *m[2] = {a, b};
    for (int i = 0; i < 2; i++) {
        p[i] = (struct kw_piece){.turn = m[i]->motion >= KW_RS274_CW ? m[i]->sweep : 0};
        for (int k = 0; k < 2; k++) {
            p[i].a[k] = m[i]->from[k];
            p[i].b[k] = m[i]->to[k];
            p[i].c[k] = m[i]->centre[k];
        }
        if (p[i].turn != 0) p[i].r = hypot(p[i].a[0] - p[i].c[0], p[i].a[1] - p[i].c[1]);
    }
    kw_piece_direction(&p[0], 1, d);
    kw_piece_direction(&p[1], 0, e);
    return fabs(atan2(d[0] * e[1] - d[1] * e[0], d[0] * e[0] + d[1] * e[1]));
}

// About an outside corner the torch goes in an arc of half a kerf.
static bool rounds_corner(const struct kw_judging *j, const struct kw_rs274_move *m) {
    if (m->motion < KW_RS274_CW || fabs(m->sweep) < SHARP) return false;
    return hypot(m->from[0] - m->centre[0], m->from[1] - m->centre[1]) < 1.005 * j->half;
}

struct control { // torch height control over a program
    struct kw_judging *j;
    const struct kw_rs274_program *p;
    const struct kw_cut_setting *t;
    bool *locked; ///< by move
    double *way;  ///< by move: mm of its burn up to its beginning
};

static void follow_control(struct control *c) {
    const struct kw_rs274_program *p = c->p;
    bool locked = false;
    double way = 0;
    c->locked = KW_NEW_ARRAY(c->j->arena, bool, p->move_count + 1);
    c->way = KW_NEW_ARRAY(c->j->arena, double, p->move_count + 1);
    for (int i = 0, e = 0; i < p->move_count; i++) {
        for (; e < p->event_count && p->events[e].moves <= i; e++) {
            if (is_line(&p->events[e], c->t->lock)) locked = true;
            if (is_line(&p->events[e], c->t->unlock)) locked = false;
        }
        if (i == 0 || p->moves[i].burn != p->moves[i - 1].burn) way = 0;
        c->locked[i] = locked;
        c->way[i] = way;
        way += kw_rs274_length(&p->moves[i]);
    }
}

// Why height control must be locked on the move, or NULL.
static const char *must_lock(const struct control *c, int i, enum smallness small) {
    const struct kw_rs274_move *m = &c->p->moves[i];
    const struct kw_burn *b = &c->j->burns[m->burn];
    double middle = c->way[i] + kw_rs274_length(m) / 2, end = c->way[i] + kw_rs274_length(m);
    if (small == SMALL) return "in a small hole";
    if (middle > b->length - c->t->zone + 0.1) return "at the end of a cut";
    if (!(c->way[i] > b->on - 0.01)) return NULL; // the lead-in
    if (rounds_corner(c->j, m)) return "at a corner";
    if (kw_rs274_length(m) < SPECK || !(end < b->length - 0.01)) return NULL;
    int next = i + 1;
    while (next < c->p->move_count && cuts(&c->p->moves[next]) &&
           kw_rs274_length(&c->p->moves[next]) < SPECK)
        next++;
    bool more = next < c->p->move_count && cuts(&c->p->moves[next]);
    double sharp = next == i + 1 ? SHARP : 2 * SHARP; // over specks two lesser turns add up
    return more && turn_between(m, &c->p->moves[next]) > sharp ? "at a corner" : NULL;
}

static void judge_control(struct kw_judging *j, const struct kw_rs274_program *p,
                          const struct kw_cut_setting *t, const enum smallness *small) {
    struct control c = {.j = j, .p = p, .t = t};
    if (!t->lock || !t->unlock || !(t->zone > 0)) return;
    follow_control(&c);
    for (int i = 0; i < p->move_count; i++) {
        const struct kw_rs274_move *m = &p->moves[i];
        const char *why = cuts(m) && !c.locked[i] ? must_lock(&c, i, small[m->burn]) : NULL;
        if (why)
            kw_fault(j->verdict, "sheet %s: line %d: torch height is free %s", j->sheet->id,
                     m->line, why);
        else if (m->burn < 0 && c.locked[i])
            kw_fault(j->verdict, "sheet %s: line %d: torch height is still locked on a travel",
                     j->sheet->id, m->line);
        else
            continue;
        return;
    }
}

// ---------------------------------------------------------------------------------- stops, table

// A stop that is no line of the shop's header, footer or pierce.
static bool stops_here(const struct kw_rs274_event *e, const struct kw_cut_setting *t) {
    if (is_line(e, t->stop)) return true;
    for (int i = 0; i < t->line_count; i++)
        if (is_line(e, t->lines[i])) return false;
    return e->stop;
}

static void judge_stops(struct kw_judging *j, const struct kw_rs274_program *p,
                        const struct kw_cut_setting *t) {
    int *excess = KW_NEW_ARRAY(j->arena, int, p->burns + 1); // stops there less those wanted
    for (int i = 0; i < p->event_count; i++) {
        const struct kw_rs274_event *e = &p->events[i];
        if (!stops_here(e, t)) continue;
        if (e->torch)
            kw_fault(j->verdict, "sheet %s: line %d: stops with the torch on", j->sheet->id,
                     e->line);
        excess[e->burns]++;
    }
    if (t->stop_count < 0) return;
    // The shop's own lines may stop too: in the heading, at the end, or at each pierce.
    int own = 0;
    for (int i = 0; i < t->line_count; i++)
        own += t->stop && strcmp(t->lines[i], t->stop) == 0;
    excess[0] -= t->trace ? TRACE_STOPS : 0;
    for (int i = 0; i < t->stop_count; i++)
        if (t->stops[i] >= 1 && t->stops[i] <= p->burns) excess[t->stops[i] - 1]--;
    for (int b = 0; b <= p->burns; b++)
        if (excess[b] < 0 || (excess[b] > 0 && own <= 1))
            kw_fault(j->verdict, "sheet %s: %s stop before pierce %d", j->sheet->id,
                     excess[b] < 0 ? "no" : "an unlisted", b + 1);
}

static void judge_table(struct kw_judging *j, const struct kw_rs274_program *p,
                        const struct kw_cut_setting *t) {
    for (int i = 0; i < p->move_count && t->table[0] > 0 && t->table[1] > 0; i++) {
        const double *to = p->moves[i].to;
        if (fmin(to[0], to[1]) >= -TABLE_SLACK && to[0] <= t->table[0] + TABLE_SLACK &&
            to[1] <= t->table[1] + TABLE_SLACK)
            continue;
        kw_fault(j->verdict, "sheet %s: line %d: goes to (%.2f, %.2f), off the table", j->sheet->id,
                 p->moves[i].line, to[0], to[1]);
        return;
    }
}

void kw_judge_setting(struct kw_judging *j, const struct kw_rs274_program *p,
                      const struct kw_cut_setting *t) {
    enum smallness *small = all_smallness(j, t->hole_feed_below);
    judge_feeds(j, p, t, small);
    judge_heights(j, p, t);
    judge_delays(j, p, t);
    judge_control(j, p, t, small);
    judge_stops(j, p, t);
    judge_table(j, p, t);
}
