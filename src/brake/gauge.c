// SPDX-License-Identifier: Apache-2.0
// From which edge a stroke is gauged, and how far behind the die's centre line it lies.
//
// The part is folded as far as it is bent and laid on the die. Whatever straight line of it runs
// along the bend behind the die, with nothing further out before it, may rest on the fingers: an
// edge of the flat, the outside of a flange, the round of one that is bent past square. The
// distance is measured on the folded part, so a flat edge gives its distance in the blank and a
// flange its outside (outside size less half the bend deduction of this bend).
#include "brake/inside.h"

#include <string.h>

#define SLOTS     256  // places along the bend at which "nothing further out" is asked
#define LEVEL_MM  0.05 // ends of a line that are this equal run along the bend
#define HIDDEN_MM 0.1  // so much may stand out before a line
// A stop gives way so much; what swings out further is pulled back from by as much more (common
// practice, no source).
#define SWING_FREE  1.0
#define USUAL_HOLD  50.0 // mm from the die's front to a hand (common practice, no source)
#define SWING_LOOKS 90

// fmax and fmin are calls into libm, and these loops are the hot ones.
static inline double larger(double a, double b) {
    return a > b ? a : b;
}
static inline double smaller(double a, double b) {
    return a < b ? a : b;
}

struct lines {
    struct line *v;
    int count;
    double v_min, v_max;
};

/// Lines of one owner at one distance.
struct rest {
    int owner;
    double u, z_min, z_max;
    double exposed; ///< mm
    struct fingers fingers;
};

static void add_line(struct kw_arena *a, struct lines *out, struct kw_vec3 p, struct kw_vec3 q,
                     int owner) {
    KW_PUSH(a, out->v, out->count) = (struct line){p, q, owner};
    out->v_min = smaller(out->v_min, smaller(p.y, q.y));
    out->v_max = larger(out->v_max, larger(p.y, q.y));
}

static void add_face(const struct fold *f, int face, struct lines *out) {
    const struct kw_path *outline = &f->job->part->faces[face].outline;
    for (int i = 0; i < kw_path_segments(outline); i++) {
        struct kw_segment s = kw_path_segment(outline, i);
        int pieces = s.radius == 0 ? 1 : 12;
        for (int k = 0; k < pieces * 2; k++) {
            double z = k < pieces ? 0 : f->job->material.thickness;
            struct kw_vec2 p = kw_segment_point(s, (double)(k % pieces) / pieces);
            struct kw_vec2 q = kw_segment_point(s, (double)(k % pieces + 1) / pieces);
            add_line(f->job->scratch, out, kw_move3_point(f->faces[face], kw_v3(p.x, p.y, z)),
                     kw_move3_point(f->faces[face], kw_v3(q.x, q.y, z)), face);
        }
    }
}

static void add_round(const struct fold *f, int bend, struct lines *out) {
    double angle = shape_of(f->job, bend, f->done[bend]).angle, thick = f->job->material.thickness;
    int owner = f->job->part->face_count + bend;
    for (int i = 0; i <= 9; i++) {
        double part = i / 8.0;
        if (i == 9 && angle <= KW_PI / 2) break;
        if (i == 9) part = KW_PI / 2 / angle; // where a flange past square stands out furthest
        for (int side = 0; side < 2; side++)
            add_line(f->job->scratch, out, fold_zone_point(f, bend, part, 0, side * thick),
                     fold_zone_point(f, bend, part, 1, side * thick), owner);
    }
}

static struct lines all_lines(const struct fold *f) {
    struct lines out = {NULL, 0, INFINITY, -INFINITY};
    if (f->kept) { // a search keeps the lines of each item by what lies between it and the bend
        for (int i = 0; i < f->kept_count; i++) {
            const struct kept_lines *k = f->kept[i];
            out.v_min = smaller(out.v_min, k->v_min);
            out.v_max = larger(out.v_max, k->v_max);
            out.count += k->count;
        }
        out.v = kw_alloc(f->job->scratch, (size_t)out.count * sizeof *out.v);
        int n = 0;
        for (int i = 0; i < f->kept_count; i++) {
            memcpy(&out.v[n], f->kept[i]->v, (size_t)f->kept[i]->count * sizeof *out.v);
            n += f->kept[i]->count;
        }
        return out;
    }
    for (int i = 0; i < f->job->part->face_count; i++)
        add_face(f, i, &out);
    for (int i = 0; i < f->job->part->bend_count; i++)
        if (f->done[i]) add_round(f, i, &out);
    return out;
}

/// The furthest u in each slot along the bend.
static double *profile(struct kw_arena *a, const struct lines *lines) {
    double *most = kw_alloc(a, SLOTS * sizeof *most);
    double slot = (lines->v_max - lines->v_min) / SLOTS;
    for (int i = 0; i < SLOTS; i++)
        most[i] = -INFINITY;
    for (int i = 0; i < lines->count; i++) {
        struct kw_vec3 p = lines->v[i].a, q = lines->v[i].b;
        double from = (smaller(p.y, q.y) - lines->v_min) / slot;
        double to = (larger(p.y, q.y) - lines->v_min) / slot;
        // A line that only touches a slot's rim does not count there.
        int first = (int)larger(0, floor(from + 1e-6)),
            last = (int)smaller(SLOTS - 1, ceil(to - 1e-6) - 1);
        if (p.x == q.x) { // along the bend: most lines, and a plain loop
            for (int k = first; k <= last; k++)
                most[k] = p.x > most[k] ? p.x : most[k];
            continue;
        }
        for (int k = first; k <= last; k++) {
            double v0 = lines->v_min + k * slot, run = q.y - p.y;
            double t0 = fabs(run) < 1e-12 ? 0 : smaller(1, larger(0, (v0 - p.y) / run));
            double t1 = fabs(run) < 1e-12 ? 1 : smaller(1, larger(0, (v0 + slot - p.y) / run));
            most[k] = larger(most[k], larger(p.x + (q.x - p.x) * t0, p.x + (q.x - p.x) * t1));
        }
    }
    return most;
}

static double shortest_edge(const struct kw_brake_press *press) {
    return press->gauge_edge > 0 ? press->gauge_edge : 10;
}

static bool same_rest(const struct line *l, int owner, double u) {
    return l->owner == owner && fabs(l->a.x - u) < LEVEL_MM && fabs(l->b.x - u) < LEVEL_MM;
}

/// Gathers the lines of one owner at the distance of line `first` and measures what of them is
/// exposed. exposed is 0 for a line that does not run along the bend.
static struct rest gather(const struct kw_brake_press *press, const struct lines *lines,
                          const double *most, int first) {
    const struct line *f = &lines->v[first];
    struct rest r = {f->owner, larger(f->a.x, f->b.x), INFINITY, -INFINITY, 0, {0}};
    bool seen[SLOTS] = {false};
    double slot = (lines->v_max - lines->v_min) / SLOTS;
    for (int i = 0; i < lines->count; i++) {
        const struct line *l = &lines->v[i];
        if (!same_rest(l, r.owner, r.u)) continue;
        r.z_min = smaller(r.z_min, smaller(l->a.z, l->b.z));
        r.z_max = larger(r.z_max, larger(l->a.z, l->b.z));
        double from = smaller(l->a.y, l->b.y), to = larger(l->a.y, l->b.y);
        int at = (int)larger(0, floor((from - lines->v_min) / slot - 0.5));
        for (int k = at; k < SLOTS; k++) {
            double mid = lines->v_min + (k + 0.5) * slot;
            if (mid >= to) break;
            if (mid > from && r.u >= most[k] - HIDDEN_MM) seen[k] = true;
        }
    }
    bool shut[SLOTS];
    for (int k = 0; k < SLOTS; k++) {
        shut[k] = most[k] > r.u + HIDDEN_MM; // what stands out there would meet the finger
        r.exposed += seen[k] ? slot : 0;
    }
    if (r.exposed >= shortest_edge(press))
        r.fingers = place_fingers(press, seen, shut, SLOTS, lines->v_min, slot);
    return r;
}

/// Whether a line has something further out before it everywhere: no rest, and seen at once.
static bool is_hidden(const struct lines *lines, const double *most, const struct line *l) {
    double slot = (lines->v_max - lines->v_min) / SLOTS, u = larger(l->a.x, l->b.x);
    int first = (int)larger(0, floor((smaller(l->a.y, l->b.y) - lines->v_min) / slot));
    int last = (int)smaller(SLOTS - 1, ceil((larger(l->a.y, l->b.y) - lines->v_min) / slot));
    for (int k = first; k <= last; k++)
        if (u + LEVEL_MM >= most[k] - HIDDEN_MM) return false;
    return true;
}

/// Whether a line before `i` gathers the same rest.
static bool is_seen(const struct lines *lines, int i) {
    const struct line *l = &lines->v[i];
    for (int k = i - 1; k >= 0 && lines->v[k].owner == l->owner; k--)
        if (lines->v[k].a.x == l->a.x && lines->v[k].b.x == l->b.x) return true;
    return false;
}

/// Finger height for a rest, or NaN when the fingers can't be put there.
static double finger_at(const struct kw_brake_press *press, const struct rest *r, double thick) {
    double tall = finger_height(press);
    double want = (r->z_min + r->z_max - tall) / 2;
    if (r->z_min > -0.01 && r->z_max < thick + 0.01)
        want = 0; // the flat itself: fingers on the die's level
    else if (r->z_max - r->z_min >= tall)
        want = r->z_min > -0.01 ? r->z_min : r->z_max - tall; // near the die: less spring
    double at = smaller(larger(want, press->gauge_min_r), press->gauge_max_r);
    bool meets = at <= r->z_max + 0.01 && at + tall >= r->z_min - 0.01;
    return meets ? at : NAN;
}

/// What one side behind the die offers.
struct side {
    struct rest rest;
    double r;         ///< finger height
    bool ok;          ///< gauged from `rest`
    bool long_enough; ///< an edge was there, but out of the gauge's reach: `rest`
    double width;     ///< of what reaches past the throat
    double front;     ///< how far the part reaches out before the die
};

/// Width along the bend of all that reaches past the throat, where the side frames stand, at rest
/// or swinging: what hangs below the bend swings out, at most on a circle about it.
static double deep_width(const struct job *job, const struct lines *lines) {
    double throat = job->shop->press.throat, lo = INFINITY, hi = -INFINITY;
    double up = job->material.thickness;
    for (int i = 0; i < lines->count && throat > 0; i++) {
        const struct line *l = &lines->v[i];
        double a = l->a.z < -LEVEL_MM ? hypot(l->a.x, l->a.z - up) : l->a.x;
        double b = l->b.z < -LEVEL_MM ? hypot(l->b.x, l->b.z - up) : l->b.x;
        if (l->a.x < 0 && l->b.x < 0) continue;
        if (a <= throat && b <= throat) continue;
        double t = (throat - a) / (b - a); // where it gets past, when only one end does
        double mid = l->a.y + (l->b.y - l->a.y) * t;
        double from = a > throat ? l->a.y : mid, to = b > throat ? l->b.y : mid;
        lo = smaller(lo, smaller(from, to));
        hi = larger(hi, larger(from, to));
    }
    return hi > lo ? hi - lo : 0;
}

static struct side look_behind(const struct job *job, const struct fold *f) {
    const struct kw_brake_press *press = &job->shop->press;
    struct lines lines = all_lines(f);
    double *most = profile(job->scratch, &lines);
    struct side s = {.width = deep_width(job, &lines)};
    for (int i = 0; i < lines.count; i++)
        s.front = larger(s.front, -lines.v[i].a.x);
    for (int i = 0; i < lines.count; i++) {
        if (!(lines.v[i].a.x > 0) || fabs(lines.v[i].a.x - lines.v[i].b.x) >= LEVEL_MM) continue;
        if (is_hidden(&lines, most, &lines.v[i]) || is_seen(&lines, i)) continue;
        struct rest r = gather(press, &lines, most, i);
        bool enough = r.fingers.count > 0;
        double at = finger_at(press, &r, job->material.thickness);
        bool ok = enough && r.u >= press->gauge_min_x - 1e-6 && r.u <= press->gauge_max_x + 1e-6 &&
                  isfinite(at);
        int rank = ok * 2 + enough, was = s.ok * 2 + s.long_enough;
        double more = r.exposed - s.rest.exposed;
        if (rank > was || (rank == was && (more > 1e-6 || (more > -1e-6 && r.u > s.rest.u + 1e-6))))
            s = (struct side){r, at, ok, enough, s.width, s.front};
    }
    return s;
}

static bool side_fouls(const struct job *job, const struct side *s) {
    const struct kw_brake_press *p = &job->shop->press;
    return p->throat > 0 && p->between_frames > 0 && s->width > p->between_frames;
}

/// The child's side where its size mates, else the side whose edge is nearer: less to creep, and
/// the larger part in front, where the hands are.
static bool prefer_child(const struct job *job, const struct side *child, const struct side *parent,
                         bool mates) {
    if (child->ok != parent->ok) return child->ok;
    bool fc = side_fouls(job, child), fp = side_fouls(job, parent);
    if (fc != fp) return fp;
    if (mates) return true;
    if (child->long_enough != parent->long_enough) return child->long_enough;
    return child->rest.u <= parent->rest.u + 1e-6;
}

static bool is_upright(const struct fold *f, int face) {
    return fabs(f->faces[face].r[2][2]) < 0.999;
}

static const char *edge_text(const struct job *job, const struct fold *f, int owner) {
    const struct kw_brake_part *part = job->part;
    if (owner >= part->face_count)
        return kw_format(job->arena, "outside of bend %s",
                         part->bends[owner - part->face_count].id);
    const char *how = is_upright(f, owner) ? "outside of" : "edge of";
    if (part->faces[owner].name)
        return kw_format(job->arena, "%s %s", how, part->faces[owner].name);
    return kw_format(job->arena, "%s face %d", how, owner);
}

static void name_problem(const struct job *job, const struct side *s, int bend,
                         struct kw_brake_problem *out) {
    const struct kw_brake_press *p = &job->shop->press;
    *out = (struct kw_brake_problem){.level = KW_STOP, .bend = bend, .other_die = -1};
    if (!(p->gauge_max_x > 0)) {
        out->kind = KW_BRAKE_NO_GAUGE;
        out->measured = s->rest.u;
    } else if (!s->long_enough) {
        out->kind = KW_BRAKE_NO_GAUGE_EDGE;
        out->measured = s->rest.exposed;
        out->limit = shortest_edge(p);
        if (out->measured >= out->limit) out->limit = finger_width(p); // long, but no room for one
    } else {
        out->kind = KW_BRAKE_GAUGE_REACH;
        bool far = s->rest.u > p->gauge_max_x, near = s->rest.u < p->gauge_min_x;
        out->measured = far || near ? s->rest.u : s->rest.z_min;
        out->limit = far    ? p->gauge_max_x
                     : near ? p->gauge_min_x
                            : (s->rest.z_min > p->gauge_max_r ? p->gauge_max_r : p->gauge_min_r);
    }
}

/// How far what lies at the gauge swings out past it while the sheet is bent (brake_judge's frame:
/// about the inside radius' centre, the zone drawn in): a flange that hangs down does, a flat edge
/// doesn't. What begins further out stands above the fingers and rises.
static double swing_past(const struct job *job, const struct fold *f,
                         const struct kw_brake_step *step) {
    struct lines lines = all_lines(f);
    double h = job->material.thickness + step->inside_radius, past = 0;
    double zone = job->part->bends[step->bends[0]].allowance / 2;
    for (int i = 0; i < lines.count; i++) {
        struct kw_vec3 p = lines.v[i].a; // closed outlines: every point is some line's first
        if (p.x <= 0 || p.x > step->gauge_x + LEVEL_MM) continue;
        bool beyond = false;
        for (int k = 0; k < step->bend_count; k++)
            beyond = beyond ||
                     face_beyond(job->part, item_face(job->part, lines.v[i].owner), step->bends[k]);
        // What overhangs from the front goes down behind the die as its own leg comes up.
        double leg = beyond == step->gauge_child_side ? 1 : -1;
        for (int k = 1; k <= SWING_LOOKS; k++) {
            double part = (double)k / SWING_LOOKS, half = leg * step->angle_under_load / 2 * part;
            double x = cos(half) * (p.x - leg * zone * part) - sin(half) * (p.z - h);
            past = larger(past, x - step->gauge_x);
        }
    }
    return past;
}

bool choose_gauge(const struct job *job, const unsigned char *done, const struct group *g, int side,
                  struct kw_brake_step *step, struct kw_brake_problem *problem) {
    struct fold folds[2] = {fold_for(job, done, g->bends[0], true),
                            fold_for(job, done, g->bends[0], false)};
    struct side sides[2] = {{.r = 0}, {.r = 0}};
    for (int k = 0; k < 2; k++)
        if (side < 0 || side == k) sides[k] = look_behind(job, &folds[k]);
    bool own = false;
    for (int i = 0; i < g->count; i++)
        own = own || job->part->bends[g->bends[i]].mates;
    step->gauge_child_side = side >= 0 ? side == 1 : prefer_child(job, &sides[1], &sides[0], own);
    const struct side *s = &sides[step->gauge_child_side];
    step->gauge_face = -1;
    step->gauge_edge = "";
    if (!s->ok) {
        name_problem(job, s, g->bends[0], problem);
        return true;
    }
    step->gauged = true;
    step->gauge_x = s->rest.u;
    step->gauge_r = s->r;
    step->gauge_length = s->rest.exposed;
    step->finger_count = s->rest.fingers.count;
    step->fingers[0] = s->rest.fingers.at[0];
    step->fingers[1] = s->rest.fingers.at[1];
    step->gauge_face = s->rest.owner < job->part->face_count
                           ? s->rest.owner
                           : job->part->bends[s->rest.owner - job->part->face_count].child;
    step->gauge_edge = edge_text(job, &folds[step->gauge_child_side], s->rest.owner);
    double past = swing_past(job, &folds[step->gauge_child_side], step);
    step->gauge_back = past > SWING_FREE ? past + SWING_FREE : 0;
    return false;
}

struct kept_lines keep_lines(struct kw_arena *a, const struct fold *f, int item) {
    struct lines lines = {NULL, 0, INFINITY, -INFINITY};
    if (item < f->job->part->face_count)
        add_face(f, item, &lines);
    else
        add_round(f, item - f->job->part->face_count, &lines);
    struct kept_lines out = {.count = lines.count, .v_min = lines.v_min, .v_max = lines.v_max};
    struct line *v = kw_alloc(a, (size_t)lines.count * sizeof *v);
    for (int i = 0; i < lines.count; i++) {
        v[i] = lines.v[i];
        // Lines along the bend exactly so: what turning left over is far below any gauge.
        if (fabs(v[i].a.x - v[i].b.x) < 1e-9) v[i].b.x = v[i].a.x;
    }
    out.v = v;
    return out;
}

bool gauge_figures(const struct job *job, const struct kept_lines **kept, int kept_count, double *x,
                   double *r, bool *fouls, double *front) {
    struct fold f = {.job = job, .kept = kept, .kept_count = kept_count};
    struct side s = look_behind(job, &f);
    *fouls = side_fouls(job, &s);
    *front = s.front;
    *x = s.ok ? s.rest.u : 0;
    *r = s.ok ? s.r : 0;
    return s.ok;
}

double die_front(const struct job *job, int die) {
    struct kw_path p = kw_brake_die_profile(job->scratch, &job->shop->dies[die]);
    return -kw_path_box(&p).min.x;
}

double hold_clear(const struct kw_brake_press *press) {
    return press->hold_clear > 0 ? press->hold_clear : USUAL_HOLD;
}

void front_figures(const struct job *job, const unsigned char *done, const struct group *g,
                   struct kw_brake_step *step) {
    struct fold f = fold_for(job, done, g->bends[0], !step->gauge_child_side);
    struct lines lines = all_lines(&f);
    double face = die_front(job, step->die), lo = INFINITY, hi = -INFINITY;
    double past = face + hold_clear(&job->shop->press);
    for (int i = 0; i < lines.count; i++) {
        const struct line *l = &lines.v[i];
        double a = -l->a.x, b = -l->b.x;
        step->front = larger(step->front, a - face);
        if (a <= past && b <= past) continue;
        double cut = l->a.y + (l->b.y - l->a.y) * (past - a) / (b - a);
        double from = a > past ? l->a.y : cut, to = b > past ? l->b.y : cut;
        lo = smaller(lo, smaller(from, to));
        hi = larger(hi, larger(from, to));
    }
    step->front_width = hi > lo ? hi - lo : 0;
}

bool fouls_frames(const struct job *job, const unsigned char *done, const struct group *g,
                  const struct kw_brake_step *step, struct kw_brake_problem *problem) {
    struct fold f = fold_for(job, done, g->bends[0], !step->gauge_child_side);
    struct side s = look_behind(job, &f);
    if (!side_fouls(job, &s)) return false;
    *problem = (struct kw_brake_problem){.kind = KW_BRAKE_FRAMES,
                                         .level = KW_STOP,
                                         .bend = g->bends[0],
                                         .measured = s.width,
                                         .limit = job->shop->press.between_frames,
                                         .other_die = -1};
    return true;
}

double *gauge_places(const struct job *job, const unsigned char *done, const struct group *g,
                     bool child_side, int item, int *count) {
    struct fold f = fold_for(job, done, g->bends[0], !child_side);
    struct lines lines = {NULL, 0, INFINITY, -INFINITY};
    if (item < job->part->face_count)
        add_face(&f, item, &lines);
    else if (done[item - job->part->face_count])
        add_round(&f, item - job->part->face_count, &lines);
    double *out = NULL;
    *count = 0;
    for (int i = 0; i < lines.count; i++) {
        double u = larger(lines.v[i].a.x, lines.v[i].b.x);
        if (!(u > 0) || fabs(lines.v[i].a.x - lines.v[i].b.x) >= LEVEL_MM) continue;
        if (u < job->shop->press.gauge_min_x - 1 || u > job->shop->press.gauge_max_x + 1) continue;
        bool known = false;
        for (int k = 0; k < *count; k++)
            known = known || fabs(out[k] - u) < 1e-6;
        if (!known) KW_PUSH(job->scratch, out, *count) = u;
    }
    return out;
}
