// SPDX-License-Identifier: Apache-2.0
// Is an outline followed by its cut over its whole length? The torch is a disc of the kerf's width
// on the scrap side, so it can't reach into inside corners; what it leaves there is forgiven, a
// slot that it can't enter is not.
#include "verify/program_judge.h"

#include <math.h>

// Inside corners: a square one leaves metal at (half kerf) * sqrt 2 from the torch's centre.
#define SQUARE_CORNER 1.41421356237309505
// A notch of less than 20 degrees is a slot, not a corner: 1 / sin(10 deg).
#define SHARPEST_CORNER 5.759
// Outward turning that an inside corner may contain, radians: rounding of drawings.
#define CORNER_SLIP 0.05

enum place_state { FOLLOWED, MISSED, SHADED };

struct place { // of the outline
    double q[2], out[2];
    double d;       // to the cut
    double turn;    // outward turning from the place before to here, radians
    double stretch; // mm of outline that it stands for
    enum place_state state;
};

struct walk {
    struct kw_judging *j;
    const struct kw_cut_outline *o;
    int outline;
    struct place *v;
    int count;
};

static void torch_centre(const struct walk *w, const struct place *p, double c[2]) {
    for (int k = 0; k < 2; k++)
        c[k] = p->q[k] + p->out[k] * w->j->half;
}

// Whether the torch, touching the outline at p, would cut into the same outline elsewhere.
static bool shaded(const struct walk *w, const struct place *p) {
    double c[2];
    torch_centre(w, p, c);
    int n = kw_grid_near_point(&w->j->shape_grid, c, w->j->half, w->outline);
    return kw_grid_distance(&w->j->shape_grid, n, c, NULL) < w->j->half - 0.003;
}

static bool at_tab(const struct walk *w, const double q[2]) {
    const struct kw_run_sheet *s = w->j->sheet;
    for (int i = 0; i < s->tab_count && w->o->tabs > 0; i++) {
        double away = hypot(q[0] - s->tabs[i].at[0], q[1] - s->tabs[i].at[1]);
        if (away <= s->tabs[i].width / 2 + 2 * w->j->half) return true;
    }
    return false;
}

static double angle_between(const double a[2], const double b[2]) {
    return atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]);
}

static double own_distance(const struct kw_grid *g, int count, int owner, const double q[2]) {
    double best = INFINITY;
    for (int k = 0; k < count; k++) {
        const struct kw_piece *p = &g->pieces->v[g->found[k]];
        if (p->owner == owner) best = fmin(best, kw_piece_distance(p, q));
    }
    return best;
}

static void take_piece(struct walk *w, const struct kw_piece *p, double direction[2]) {
    struct kw_grid *cut = &w->j->cut_grid;
    int n = (int)ceil(p->length / KW_CUT_SAMPLE) + 1;
    // A neighbour may cut a shared edge: then any cut will do.
    bool shared = w->o->shared > 0;
    int near = kw_grid_near(cut, p, 6 * w->j->half + 1, shared ? -1 : w->outline);
    double sign = w->o->out;
    for (int i = 0; i <= n; i++) {
        struct place q = {.stretch = i < n ? p->length / n : 0};
        double d[2], part = (double)i / n;
        kw_piece_point(p, part, q.q);
        kw_piece_direction(p, part, d);
        q.out[0] = sign * d[1];
        q.out[1] = -sign * d[0];
        q.turn = w->count > 0 ? sign * angle_between(direction, d) : 0;
        direction[0] = d[0];
        direction[1] = d[1];
        q.d = shared && !kw_judging_at_shared(w->j, q.q) ? own_distance(cut, near, w->outline, q.q)
                                                         : kw_grid_distance(cut, near, q.q, NULL);
        w->v[w->count++] = q;
    }
}

static void take_places(struct walk *w, struct kw_arena *a) {
    int room = 0;
    for (int i = 0; i < w->o->count; i++)
        room += (int)ceil(w->j->shape.v[w->o->first + i].length / KW_CUT_SAMPLE) + 3;
    w->v = KW_NEW_ARRAY(a, struct place, room);
    double direction[2] = {1, 0}, first[2];
    for (int i = 0; i < w->o->count; i++)
        take_piece(w, &w->j->shape.v[w->o->first + i], direction);
    kw_piece_direction(&w->j->shape.v[w->o->first], 0, first);
    w->v[0].turn = w->o->out * angle_between(direction, first);
}

static int next_of(const struct walk *w, int i) {
    return i + 1 < w->count ? i + 1 : 0;
}
static int before(const struct walk *w, int i) {
    return i > 0 ? i - 1 : w->count - 1;
}

// A shaded stretch around place i is a corner when the outline only turns inward in it, or when no
// more metal stays than in a square corner. `last` gets its last place.
static bool is_corner(const struct walk *w, int i, int *last, double *worst) {
    int a = i, b = i, steps = 0;
    double outward = 0;
    *worst = w->v[i].d;
    while (steps++ < w->count && shaded(w, &w->v[before(w, a)])) {
        outward += fmax(w->v[a].turn, 0);
        a = before(w, a);
        *worst = fmax(*worst, w->v[a].d);
    }
    outward += fmax(w->v[a].turn, 0);
    while (steps++ < w->count && shaded(w, &w->v[next_of(w, b)])) {
        b = next_of(w, b);
        outward += fmax(w->v[b].turn, 0);
        *worst = fmax(*worst, w->v[b].d);
    }
    outward += fmax(w->v[next_of(w, b)].turn, 0);
    *last = b;
    if (steps >= w->count) return false;
    if (*worst <= w->j->half * SQUARE_CORNER + KW_CUT_SLACK) return true;
    return outward <= CORNER_SLIP && *worst <= w->j->half * SHARPEST_CORNER;
}

static void judge_places(const struct walk *w) {
    const struct place *missed = NULL;
    double length = 0, worst;
    int cleared = -1;
    for (int i = 0; i < w->count; i++) {
        struct place *p = &w->v[i];
        p->state = p->d <= w->j->half + KW_CUT_SLACK || at_tab(w, p->q) ? FOLLOWED : MISSED;
        if (p->state == MISSED && shaded(w, p)) p->state = SHADED;
        if (p->state == MISSED) {
            missed = missed ? missed : p;
            length += p->stretch;
        }
    }
    const char *name = kw_cut_outline_name(w->j, w->outline);
    const char *sheet = w->j->sheet->id;
    if (missed) {
        kw_fault(w->j->verdict, "sheet %s: %s is not followed over %.2f mm from (%.2f, %.2f)",
                 sheet, name, length, missed->q[0], missed->q[1]);
        return;
    }
    for (int i = 0; i < w->count; i++) {
        if (w->v[i].state != SHADED || i <= cleared) continue;
        if (!is_corner(w, i, &cleared, &worst)) {
            kw_fault(w->j->verdict,
                     "sheet %s: %s has a slot at (%.2f, %.2f) that the kerf can't enter", sheet,
                     name, w->v[i].q[0], w->v[i].q[1]);
            return;
        }
        if (cleared < i) return; // the stretch runs over the start: it was the last
    }
}

void kw_judge_cover(struct kw_judging *j, int outline) {
    struct kw_arena scratch = {0};
    struct walk w = {.j = j, .o = &j->outlines[outline], .outline = outline};
    take_places(&w, &scratch);
    judge_places(&w);
    kw_arena_free(&scratch);
}
