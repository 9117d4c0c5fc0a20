// SPDX-License-Identifier: Apache-2.0
#include "brake_case.h"

#include "bench.h"
#include "packet/packet.h"

#define DEG      (KW_PI / 180)
#define TRIES    400 // flanges proposed for one part
#define MOST     16
#define ZONE     5.6 // bend allowance of 90 degrees: R 2.7, T 2, K .44, rounded
#define RADIUS   2.7
#define APART_MM 3.0 // between flanges in the blank

const struct kw_brake_material case_material = {
    .thickness = 2, .tensile = 400, .yield = 240, .modulus = 200000};

static const double pieces[] = {10, 15, 20, 25, 40, 50, 80, 100, 100, 200, 300};
enum { PIECES = sizeof pieces / sizeof *pieces };
static const struct kw_brake_die dies[] = {{.id = "V16",
                                            .opening = 16,
                                            .angle = 85 * DEG,
                                            .shoulder_radius = 1.5,
                                            .height = 90,
                                            .segments = pieces,
                                            .segment_count = PIECES}};
static const struct kw_brake_punch punches[] = {{.id = "straight",
                                                 .nose_radius = 1,
                                                 .angle = 85 * DEG,
                                                 .height = 120,
                                                 .segments = pieces,
                                                 .segment_count = PIECES},
                                                {.id = "gooseneck",
                                                 .nose_radius = 1,
                                                 .angle = 85 * DEG,
                                                 .height = 130,
                                                 .neck = 30,
                                                 .segments = pieces,
                                                 .segment_count = PIECES}};
const struct kw_brake_shop case_shop = {.press = {.rating = 600000,
                                                  .bed_length = 1250,
                                                  .between_frames = 1050,
                                                  .throat = 200,
                                                  .open_height = 400,
                                                  .stroke = 250,
                                                  .gauge_min_x = 5,
                                                  .gauge_max_x = 700,
                                                  .gauge_min_r = -30,
                                                  .gauge_max_r = 120},
                                        .dies = dies,
                                        .die_count = 1,
                                        .punches = punches,
                                        .punch_count = 2};

struct flat {
    double x0, y0, x1, y1;
    bool used[4]; ///< left, right, front, back
    int parent;
};

struct draft {
    struct kw_arena *a;
    struct flat flats[MOST + 1];
    struct kw_brake_face faces[MOST + 1];
    struct kw_brake_bend bends[MOST];
    struct kw_brake_step steps[MOST];
    int own[MOST]; ///< the one bend of a step
    int count;     ///< of bends
    bool any;      ///< no sequence is asked for
};

static bool overlaps(const struct draft *d, const struct flat *f) {
    for (int i = 0; i <= d->count; i++) {
        const struct flat *o = &d->flats[i];
        if (f->x0 < o->x1 + APART_MM && o->x0 < f->x1 + APART_MM && f->y0 < o->y1 + APART_MM &&
            o->y0 < f->y1 + APART_MM && i != f->parent)
            return true;
    }
    return false;
}

/// A flange on edge `side` of flat `parent`; its bend line in from, to.
static struct flat flange(const struct flat *p, int parent, int side, double inset, double tall,
                          struct kw_vec2 *from, struct kw_vec2 *to) {
    struct flat f = {.parent = parent};
    bool upright = side < 2; // on the left or right edge: the line runs along y
    double sign = side % 2 ? 1 : -1;
    double rim = upright ? (side == 0 ? p->x0 : p->x1) : (side == 2 ? p->y0 : p->y1);
    double near = rim + sign * ZONE, far = near + sign * tall, line = rim + sign * ZONE / 2;
    double lo = (upright ? p->y0 : p->x0) + inset, hi = (upright ? p->y1 : p->x1) - inset;
    double least = fmin(near, far), most = fmax(near, far);
    if (upright) {
        f.x0 = least, f.x1 = most, f.y0 = lo, f.y1 = hi;
        *from = kw_v2(line, lo), *to = kw_v2(line, hi);
    } else {
        f.x0 = lo, f.x1 = hi, f.y0 = least, f.y1 = most;
        *from = kw_v2(lo, line), *to = kw_v2(hi, line);
    }
    f.used[side ^ 1] = true;
    return f;
}

static struct kw_brake_part part_of(struct draft *d) {
    return (struct kw_brake_part){
        .faces = d->faces, .face_count = d->count + 1, .bends = d->bends, .bend_count = d->count};
}

/// Tools as long as the bend, in what the pieces make (steps of 5 mm, a thickness short at each
/// end at most); the punch and the side behind as in `way` (0 to 3).
static void set_step(struct draft *d, int at, int bend, int way) {
    const struct kw_brake_bend *b = &d->bends[bend];
    struct kw_brake_step *s = &d->steps[at];
    double length = kw_length2(kw_sub2(b->to, b->from));
    double tools = 5 * ceil((length - 2 * case_material.thickness) / 5);
    d->own[bend] = bend;
    *s = (struct kw_brake_step){.bends = &d->own[bend],
                                .bend_count = 1,
                                .die = 0,
                                .punch = way / 2,
                                .gauge_child_side = way % 2,
                                .inside_radius = RADIUS,
                                .angle = b->angle,
                                .punch_length = tools,
                                .die_length = tools,
                                .punch_at = -tools / 2,
                                .die_at = -tools / 2};
    s->angle_under_load =
        kw_brake_angle_under_load(b->angle, RADIUS, case_material.thickness, case_material.yield,
                                  case_material.modulus, NULL);
}

/// Whether the strokes from `first` on pass the judge, looking every `step` mm.
static bool passes(struct draft *d, int first, double step) {
    struct kw_arena scratch = {0};
    struct kw_verdict verdict = {.arena = &scratch};
    struct kw_brake_part part = part_of(d);
    struct kw_bent_part bent = packet_bent_part(&scratch, &part, &case_material, NULL);
    unsigned char made[MOST] = {0};
    bool ok = true;
    for (int i = 0; i < d->count && ok; i++) {
        struct kw_bent_stroke s =
            packet_bent_stroke(&scratch, &case_shop, case_material.thickness, &d->steps[i]);
        s.step = step;
        ok = i < first || kw_judge_stroke(&bent, &s, i + 1, made, &verdict) == 0;
        made[d->steps[i].bends[0]] = true;
    }
    kw_arena_free(&scratch);
    return ok;
}

/// Puts the newest bend at `place` of the sequence and finds tools for it.
static bool insert(struct draft *d, int place, uint64_t *seed) {
    struct kw_brake_step keep[MOST];
    int bend = d->count - 1, turn = bench_random_count(seed, 0, 3);
    for (int i = 0; i < bend; i++)
        keep[i] = d->steps[i];
    for (int i = 0; i < bend; i++)
        d->steps[i < place ? i : i + 1] = keep[i];
    for (int k = 0; k < 4; k++) {
        set_step(d, place, bend, (turn + k) % 4);
        if (passes(d, place, 4)) return true;
    }
    for (int i = 0; i < bend; i++)
        d->steps[i] = keep[i];
    return false;
}

static bool propose(struct draft *d, uint64_t *seed) {
    int parent = bench_random_count(seed, 0, 2) ? 0 : bench_random_count(seed, 0, d->count);
    int side = bench_random_count(seed, 0, 3);
    struct flat *p = &d->flats[parent];
    double wide = side < 2 ? p->y1 - p->y0 : p->x1 - p->x0;
    double inset = bench_random_step(seed, 1, 6, 0.5), tall = bench_random_step(seed, 16, 70, 0.5);
    if (wide - 2 * inset > 60 && bench_random_count(seed, 0, 2) == 0)
        inset = bench_random_step(seed, inset, wide / 3, 0.5);
    if (p->used[side] || wide - 2 * inset < 25) return false;
    struct kw_vec2 from, to;
    struct flat f = flange(p, parent, side, inset, tall, &from, &to);
    if (overlaps(d, &f)) return false;
    int n = d->count++;
    d->flats[n + 1] = f;
    d->faces[n + 1] =
        (struct kw_brake_face){NULL, kw_path_box_outline(d->a, f.x0, f.y0, f.x1, f.y1, 0)};
    d->bends[n] = (struct kw_brake_bend){.id = kw_format(d->a, "%d", n),
                                         .parent = parent,
                                         .child = n + 1,
                                         .from = from,
                                         .to = to,
                                         .angle = 90 * DEG,
                                         .radius = RADIUS,
                                         .down = bench_random_count(seed, 0, 3) == 0,
                                         .allowance = ZONE};
    int place = parent == 0 ? n : bench_random_count(seed, 0, n);
    if (d->any || insert(d, place, seed)) {
        p->used[side] = true;
        return true;
    }
    d->count--;
    return false;
}

static bool draw(struct kw_arena *a, uint64_t seed, int bends, bool any,
                 struct kw_brake_part *out) {
    struct draft *d = KW_NEW(a, struct draft);
    d->any = any;
    if (bends > MOST) return false;
    d->a = a;
    double w = bench_random_step(&seed, 120, 320, 0.5), h = bench_random_step(&seed, 100, 260, 0.5);
    d->flats[0] = (struct flat){.x1 = w, .y1 = h, .parent = -1};
    d->faces[0] = (struct kw_brake_face){"base", kw_path_box_outline(a, 0, 0, w, h, 0)};
    for (int k = 0; k < TRIES && d->count < bends; k++)
        propose(d, &seed);
    if (d->count < bends || (!any && !passes(d, 0, 0.5))) return false;
    *out = part_of(d);
    return true;
}

bool case_make(struct kw_arena *a, uint64_t seed, int bends, struct kw_brake_part *out) {
    return draw(a, seed, bends, false, out);
}

bool case_any(struct kw_arena *a, uint64_t seed, int bends, struct kw_brake_part *out) {
    return draw(a, seed, bends, true, out);
}
