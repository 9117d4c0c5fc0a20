// SPDX-License-Identifier: Apache-2.0
#include "verify/brake_judge.h"

#include "verify/brake_mesh.h"
#include "verify/run_file.h"
#include "verify/verify.h"

#include <math.h>

#define ALLOWED_MM 0.1  // of one body in the other
#define STEP_MM    0.5  // largest motion between two looks
#define COVER_MM   0.01 // rounding of lengths
#define GIVES_MM   1.0  // a finger that is not pulled back gives way so much
#define SIZE_MM    0.05 // finished part against its design

// fmax and fmin are calls into libm, and these loops are the hot ones.
static inline double larger(double a, double b) {
    return a > b ? a : b;
}
static inline double smaller(double a, double b) {
    return a < b ? a : b;
}

struct reach {
    double lo[3], hi[3];
};

/// A tool's triangles with their boxes.
struct obstacle {
    const char *name;
    struct bent_mesh mesh;
    struct reach *boxes, whole;
};

struct replay {
    const struct kw_bent_part *part;
    const struct kw_bent_stroke *s;
    struct kw_verdict *verdict;
    struct kw_arena *arena;
    int number; ///< of the stroke, from 1
    struct bent_mesh mesh;
    struct obstacle punch, die, ram, bed;
    struct obstacle fingers, fingers_back; ///< as the part is laid on, and once pulled back
};

/// Travel of the punch for a turn: the sheet's outside tangent to both shoulders, the inside
/// radius at the punch.
static double travel(const struct replay *r, double turn) {
    const struct kw_bent_stroke *s = r->s;
    double half = turn / 2, flank = s->die_angle / 2;
    // Centre of a shoulder: its circle touches the top face and the flank.
    double centre = s->opening / 2 + s->shoulder * (1 / cos(flank) - tan(flank));
    double d =
        centre * tan(half) - (s->radius + r->part->thickness + s->shoulder) * (1 / cos(half) - 1);
    return d > 0 ? d : 0;
}

/// One moment of a stroke.
struct moment {
    double turn, down; ///< `down`: as the die sees the part
    double c, s, part; ///< cosine and sine of half the turn; part of the whole turn
};

static struct moment moment_of(const struct replay *r, double turn, double down) {
    return (struct moment){turn, down, cos(turn / 2), sin(turn / 2), turn / r->s->under_load};
}

static struct bent_triangle swing(const struct replay *r, const struct bent_triangle *t,
                                  const struct moment *m) {
    double slide = t->leg * r->part->bends[r->s->bends[0]].allowance / 2 * m->part;
    double n = t->leg * m->s, h = r->part->thickness + r->s->radius;
    struct bent_triangle out = *t;
    for (int k = 0; k < 3; k++) {
        double x = t->p[k][0] - slide, z = t->p[k][2] - h;
        out.p[k][0] = m->c * x - n * z;
        out.p[k][2] = h + n * x + m->c * z - m->down;
    }
    return out;
}

static double farthest(const struct replay *r) {
    double far = 0, h = r->part->thickness + r->s->radius;
    for (int i = 0; i < r->mesh.count; i++)
        for (int k = 0; k < 3; k++)
            far = larger(far, hypot(r->mesh.v[i].p[k][0], r->mesh.v[i].p[k][2] - h));
    return far;
}

static void grow_box(struct reach *b, const struct bent_triangle *t) {
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) {
            b->lo[k] = smaller(b->lo[k], t->p[i][k]);
            b->hi[k] = larger(b->hi[k], t->p[i][k]);
        }
}

static struct reach empty_box(void) {
    return (struct reach){{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
}

static bool apart(const struct reach *a, const struct reach *b, double lift) {
    for (int k = 0; k < 3; k++)
        if (a->hi[k] < b->lo[k] + (k == 2 ? lift : 0) || b->hi[k] + (k == 2 ? lift : 0) < a->lo[k])
            return true;
    return false;
}

/// Whether a triangle of the tool, lifted by `lift`, meets t.
static bool meets(const struct bent_triangle *t, const struct reach *box,
                  const struct obstacle *tool, double lift) {
    for (int i = 0; i < tool->mesh.count; i++) {
        if (apart(box, &tool->boxes[i], lift)) continue;
        struct bent_triangle u = tool->mesh.v[i];
        for (int k = 0; k < 3; k++)
            u.p[k][2] += lift;
        if (bent_triangles_meet(t, &u)) return true;
    }
    return false;
}

/// One look at the part against `count` tools. Told once a tool, which is then left out (`*hit`).
static void look(struct replay *r, struct moment m, const struct obstacle **tools, int count,
                 double lift, bool *hit) {
    for (int i = 0; i < r->mesh.count; i++) {
        struct bent_triangle t = swing(r, &r->mesh.v[i], &m);
        struct reach box = empty_box();
        grow_box(&box, &t);
        for (int k = 0; k < count; k++) {
            if (hit[k] || apart(&box, &tools[k]->whole, lift) || !meets(&t, &box, tools[k], lift))
                continue;
            hit[k] = true;
            kw_fault(r->verdict,
                     "stroke %d: face %d runs into the %s at %.1f degrees near (%.1f, %.1f, %.1f)",
                     r->number, t.face, tools[k]->name, m.turn * 180 / 3.14159265358979323846,
                     t.p[0][0], t.p[0][1], t.p[0][2]);
        }
    }
}

/// What reaches past the throat must go between the frames.
static void check_frames(struct replay *r, struct moment m) {
    const struct kw_bent_stroke *s = r->s;
    double lo = INFINITY, hi = -INFINITY, throat = s->throat;
    if (!(throat > 0) || !(s->between_frames > 0)) return;
    for (int i = 0; i < r->mesh.count; i++) {
        struct bent_triangle t = swing(r, &r->mesh.v[i], &m);
        for (int k = 0; k < 3; k++) {
            const double *a = t.p[k], *b = t.p[(k + 1) % 3];
            if (a[0] <= throat && b[0] <= throat) continue;
            double cut = a[1] + (b[1] - a[1]) * (throat - a[0]) / (b[0] - a[0]);
            double from = a[0] > throat ? a[1] : cut, to = b[0] > throat ? b[1] : cut;
            lo = smaller(lo, smaller(from, to));
            hi = larger(hi, larger(from, to));
        }
    }
    if (hi - lo > s->between_frames + ALLOWED_MM)
        kw_fault(r->verdict, "stroke %d: %.1f mm reach past the throat, the frames are %.1f apart",
                 r->number, hi - lo, s->between_frames);
}

static void replay_stroke(struct replay *r) {
    const struct kw_bent_stroke *s = r->s;
    double step = s->step > 0 ? s->step : STEP_MM;
    const struct obstacle *upper[2] = {&r->punch, &r->ram}, *at_rest[1] = {&r->fingers};
    const struct obstacle *lower[3] = {&r->die, &r->bed, &r->fingers_back};
    bool hit[5] = {false}, once[1] = {false};
    look(r, moment_of(r, 0, 0), at_rest, 1, 0, once);
    int looks = (int)ceil(s->open / step); // coming down: the part lies still
    for (int i = 0; i <= looks; i++)
        look(r, moment_of(r, 0, 0), upper, 2, s->open * (looks - i) / larger(looks, 1), hit);
    double far = farthest(r);
    bool past_throat = far + r->part->thickness + s->radius > s->throat;
    looks = (int)ceil((far * s->under_load / 2 + travel(r, s->under_load)) / step);
    for (int i = 0; i <= looks; i++) {
        double turn = s->under_load * i / looks;
        look(r, moment_of(r, turn, 0), upper, 2, 0, hit);
        struct moment held = moment_of(r, turn, travel(r, turn));
        look(r, held, lower, 2, 0, &hit[2]);
        look(r, held, &lower[2], 1, s->gauge_stays ? -held.down : 0, &hit[4]);
        if (past_throat) check_frames(r, held);
    }
}

static double highest(const struct bent_mesh *m, const struct kw_bent_part *part, int bend) {
    double top = 0;
    for (int i = 0; i < m->count; i++)
        for (int k = 0; k < 3 && m->v[i].face == part->bends[bend].child; k++)
            top = larger(top, m->v[i].p[k][2]);
    return top;
}

/// Hems between flats: the upper one comes down onto the flange and turns it on until it lies on
/// the face it left. The part is folded anew for each look.
static void replay_flattening(struct replay *r, const unsigned char *made) {
    const struct kw_bent_stroke *s = r->s;
    const struct obstacle *upper[2] = {&r->punch, &r->ram}, *lower[2] = {&r->die, &r->bed};
    unsigned char *now = kw_alloc(r->arena, (size_t)r->part->bend_count + 1);
    for (int b = 0; b < r->part->bend_count; b++)
        now[b] = made[b];
    for (int k = 0; k < s->bend_count; k++) {
        const struct kw_bent_bend *b = &r->part->bends[s->bends[k]];
        if (!b->hem || made[s->bends[k]] != 1)
            kw_fault(r->verdict, "stroke %d: flattens what was not bent before", r->number);
        now[s->bends[k]] = 3;
    }
    double step = s->step > 0 ? s->step : STEP_MM, open = s->closed + s->open;
    double way = highest(&r->mesh, r->part, s->bends[0]) - s->closed, lift = way;
    bool hit[4] = {false};
    struct moment still = {.turn = r->part->bends[s->bends[0]].angle, .c = 1};
    int looks = (int)ceil((open - s->closed - way) / step);
    for (int i = 0; i <= looks; i++) // coming down: the part lies still
        look(r, still, upper, 2, way + (s->open - way) * (looks - i) / larger(looks, 1), hit);
    looks = (int)ceil(larger(way, 1) * 2 / step);
    for (int i = 0; i <= looks; i++) {
        struct kw_arena scratch = {0};
        r->mesh = bent_part_mesh(&scratch, r->part, s, now, (double)i / looks);
        for (int k = 0; k < r->mesh.count; k++)
            r->mesh.v[k].leg = 0;
        lift = highest(&r->mesh, r->part, s->bends[0]) - s->closed;
        still.turn += (3.14159265358979323846 - r->part->bends[s->bends[0]].angle) / looks;
        look(r, still, upper, 2, lift, hit);
        look(r, still, lower, 2, 0, &hit[2]);
        kw_arena_free(&scratch);
    }
    if (fabs(lift) > ALLOWED_MM)
        kw_fault(r->verdict, "stroke %d: the flats close %.2f mm off the hem", r->number, lift);
    r->mesh = (struct bent_mesh){0};
}

static struct obstacle obstacle(struct kw_arena *a, const char *name, struct bent_mesh mesh) {
    struct obstacle out = {.name = name, .mesh = mesh, .whole = empty_box()};
    out.boxes = kw_alloc(a, (size_t)mesh.count * sizeof *out.boxes);
    for (int i = 0; i < mesh.count; i++) {
        out.boxes[i] = empty_box();
        grow_box(&out.boxes[i], &mesh.v[i]);
        grow_box(&out.whole, &mesh.v[i]);
    }
    return out;
}

/// Boxes at the gauge, a tenth of a millimetre smaller than the fingers.
static struct obstacle fingers_at(struct replay *r, double back) {
    const struct kw_bent_stroke *s = r->s;
    struct bent_mesh all = {0};
    double u0 = s->gauge_x + back, u1 = u0 + s->finger_size[0];
    double z0 = s->gauge_r, z1 = z0 + s->finger_size[2];
    double(*at)[2] = kw_alloc(r->arena, 4 * sizeof *at);
    double corners[4][2] = {{u0, z0}, {u1, z0}, {u1, z1}, {u0, z1}};
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++)
            at[i][k] = corners[i][k];
    for (int f = 0; f < s->finger_count; f++) {
        struct kw_bent_tool t = {(void *)at, 4, s->fingers[f] - s->finger_size[1] / 2,
                                 s->fingers[f] + s->finger_size[1] / 2};
        struct bent_mesh one = bent_tool_mesh(r->arena, &t, -ALLOWED_MM, 0);
        for (int i = 0; i < one.count; i++)
            KW_PUSH(r->arena, all.v, all.count) = one.v[i];
    }
    return obstacle(r->arena, "gauge", all);
}

/// One triangle of a finger against a tool while the sheet is bent.
static bool meets_on_the_way(const struct replay *r, const struct bent_triangle *t,
                             const struct reach *box, const struct obstacle *tool, bool upper) {
    double way = travel(r, r->s->under_load);
    if (upper) return meets(t, box, tool, r->s->gauge_stays ? 0 : -way);
    int looks = r->s->gauge_stays ? (int)ceil(way / STEP_MM) : 0;
    for (int i = 0; i <= looks; i++)
        if (meets(t, box, tool, looks > 0 ? way * i / looks : 0)) return true;
    return false;
}

/// Fingers against the tools that come down between them and the part, or rise past them.
static void check_fingers(struct replay *r) {
    const struct obstacle *tools[4] = {&r->punch, &r->ram, &r->die, &r->bed};
    for (int k = 0; k < 4; k++)
        for (int i = 0; i < r->fingers.mesh.count; i++) {
            struct reach box = empty_box();
            grow_box(&box, &r->fingers.mesh.v[i]);
            if (!meets_on_the_way(r, &r->fingers.mesh.v[i], &box, tools[k], k < 2)) continue;
            kw_fault(r->verdict, "stroke %d: a finger of the gauge stands in the %s", r->number,
                     tools[k]->name);
            break;
        }
}

static struct bent_mesh beam(struct replay *r, double wide, double from, double to) {
    double(*at)[2] = kw_alloc(r->arena, 4 * sizeof *at);
    double corners[4][2] = {{-wide / 2, from}, {wide / 2, from}, {wide / 2, to}, {-wide / 2, to}};
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++)
            at[i][k] = corners[i][k];
    struct kw_bent_tool t = {(void *)at, 4, -20000, 20000};
    return bent_tool_mesh(r->arena, &t, -ALLOWED_MM, 0);
}

static void set_tools(struct replay *r) {
    const struct kw_bent_stroke *s = r->s;
    double tip = s->flatten ? s->closed : r->part->thickness, top = tip, low = 0;
    for (int i = 0; i < s->punch.count; i++)
        top = larger(top, s->punch.at[i][1] + tip);
    for (int i = 0; i < s->die.count; i++)
        low = smaller(low, s->die.at[i][1]);
    struct kw_arena *a = r->arena;
    r->punch = obstacle(a, "punch", bent_tool_mesh(a, &s->punch, -ALLOWED_MM, tip));
    r->die = obstacle(a, "die", bent_tool_mesh(a, &s->die, -ALLOWED_MM, 0));
    r->ram = obstacle(a, "ram", beam(r, s->ram_width, top, top + 400));
    r->bed = obstacle(a, "bed", beam(r, s->bed_width, low - 400, low));
    r->fingers = fingers_at(r, 0);
    r->fingers_back = fingers_at(r, s->gauge_back > 0 ? s->gauge_back : GIVES_MM);
}

/// The stretch of v that the stroke's bends take.
static void bend_stretch(const struct replay *r, double out[2]) {
    struct bent_map frame = bent_stroke_frame(r->part, r->s);
    out[0] = INFINITY;
    out[1] = -INFINITY;
    for (int i = 0; i < r->s->bend_count; i++)
        for (int end = 0; end < 2; end++) {
            const struct kw_bent_bend *b = &r->part->bends[r->s->bends[i]];
            const double *e = end ? b->to : b->from;
            double p[3] = {e[0], e[1], 0}, q[3];
            bent_apply(&frame, p, q);
            out[0] = smaller(out[0], q[1]);
            out[1] = larger(out[1], q[1]);
        }
}

static void check_cover(struct replay *r) {
    double at[2];
    bend_stretch(r, at);
    const struct kw_bent_tool *tools[2] = {&r->s->punch, &r->s->die};
    double slack = smaller(r->part->thickness, (at[1] - at[0]) / 4) + COVER_MM;
    for (int k = 0; k < 2; k++)
        if (tools[k]->from > at[0] + slack || tools[k]->to < at[1] - slack)
            kw_fault(r->verdict, "stroke %d: the %s covers %.1f to %.1f, the bend is %.1f to %.1f",
                     r->number, k ? "die" : "punch", tools[k]->from, tools[k]->to, at[0], at[1]);
}

/// Something straight along the bend must lie at the gauge.
static void check_gauge(struct replay *r) {
    if (!r->s->gauged) return;
    double length = 0;
    for (int i = 0; i < r->mesh.count; i++)
        for (int k = 0; k < 3; k++) {
            const double *a = r->mesh.v[i].p[k], *b = r->mesh.v[i].p[(k + 1) % 3];
            if (fabs(a[0] - r->s->gauge_x) < 0.1 && fabs(b[0] - r->s->gauge_x) < 0.1)
                length = larger(length, fabs(a[1] - b[1]));
        }
    if (length < 5)
        kw_fault(r->verdict, "stroke %d: nothing lies at the gauge, %.2f mm from the die",
                 r->number, r->s->gauge_x);
}

static void check_angle(struct replay *r) {
    if (r->s->flatten) return;
    for (int i = 0; i < r->s->bend_count; i++) {
        const struct kw_bent_bend *b = &r->part->bends[r->s->bends[i]];
        if (r->s->under_load < b->angle - 1e-9)
            kw_fault(r->verdict, "stroke %d: bent less than wanted", r->number);
        if (!r->s->own_tool && b->down != r->part->bends[r->s->bends[0]].down)
            kw_fault(r->verdict, "stroke %d: bends of both directions in one", r->number);
    }
}

static double distance(const double a[3], const double b[3]) {
    return sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) +
                (a[2] - b[2]) * (a[2] - b[2]));
}

static void measure_finished(const struct kw_bent_part *part, const unsigned char *made,
                             struct kw_verdict *verdict) {
    struct bent_map *maps = kw_alloc(verdict->arena, (size_t)part->face_count * sizeof *maps);
    double(*at)[3] = kw_alloc(verdict->arena, (size_t)part->face_count * sizeof *at);
    bent_fold(part, made, 0, maps);
    for (int f = 0; f < part->face_count; f++) {
        double p[3] = {part->faces[f].at[0][0], part->faces[f].at[0][1], 0};
        bent_apply(&maps[f], p, at[f]);
    }
    for (int f = 0; f < part->face_count; f++)
        for (int k = 0; k < f; k++) {
            double off = distance(at[f], at[k]) - distance(part->finished[f], part->finished[k]);
            if (!(fabs(off) < SIZE_MM))
                kw_fault(verdict, "finished: face %d from face %d is off by %.2f mm", f, k, off);
        }
}

int kw_judge_stroke(const struct kw_bent_part *part, const struct kw_bent_stroke *stroke,
                    int number, const unsigned char *made, struct kw_verdict *verdict) {
    struct kw_arena scratch = {0};
    struct replay r = {.part = part, .s = stroke, .verdict = verdict, .arena = &scratch};
    int before = verdict->fault_count;
    r.number = number;
    check_angle(&r);
    verdict->looked_at++;
    if (stroke->own_tool) return verdict->fault_count - before;
    r.mesh = bent_part_mesh(&scratch, part, stroke, made, 0);
    set_tools(&r);
    check_cover(&r);
    if (stroke->flatten) {
        for (int k = 0; k < r.mesh.count; k++)
            r.mesh.v[k].leg = 0; // nothing swings
        replay_flattening(&r, made);
    } else {
        check_gauge(&r);
        if (stroke->gauged) check_fingers(&r);
        replay_stroke(&r);
    }
    kw_arena_free(&scratch);
    return verdict->fault_count - before;
}

int kw_judge_brake(const struct kw_bent_part *part, const struct kw_bent_stroke *strokes, int count,
                   struct kw_verdict *verdict) {
    unsigned char *made = kw_alloc(verdict->arena, (size_t)part->bend_count + 1);
    for (int i = 0; i <= count; i++) {
        for (int f = 0; f < part->flare_count; f++)
            if (part->flares[f].after == i) kw_judge_flare(part, &part->flares[f], made, verdict);
        if (i == count) break;
        kw_judge_stroke(part, &strokes[i], i + 1, made, verdict);
        for (int k = 0; k < strokes[i].bend_count; k++) {
            int b = strokes[i].bends[k];
            if (made[b] != strokes[i].flatten)
                kw_fault(verdict, "stroke %d: bend %d is made already", i + 1, b);
            made[b]++;
        }
    }
    for (int b = 0; b < part->bend_count; b++)
        if (made[b] != 1 + part->bends[b].hem) kw_fault(verdict, "bend %d is never made", b);
    if (part->finished) measure_finished(part, made, verdict);
    return verdict->fault_count;
}
