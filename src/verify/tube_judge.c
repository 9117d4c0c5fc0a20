// SPDX-License-Identifier: Apache-2.0
// The judge of bent tubes: each tube of run.json is bent once more, as a cloud of balls along its
// centreline, in steps so small that no ball moves further than 0.5 mm, and each ball is held
// against floor, boxes and the stick behind the die; the way from one bend to the next likewise,
// but for the stick, which moves along. Own kinematics, in the bender's frame from the
// start: the stick lies along x, what is bent turns about the die's upright axis.
#include "verify/run_file.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

#define BALL    1.0 // mm between two balls along the tube
#define STEP    0.5 // mm that a ball moves between two looks
#define ALLOWED 0.1 // mm that a ball may enter something: what balls and steps leave open
#define MOST_MM 50000.0
#define DEGREE  (3.14159265358979323846 / 180)
enum { MOST_BENDS = 200 };

struct spot {
    double x, y, z;
    double along; ///< mm along the tube from its sawn start
};

struct row {
    double feed, rotate, angle, load, radius, die; ///< mm, rad
    double taken;                                  ///< mm of the stick
    bool lifted;                                   ///< a person takes it out and lays it in again
};

struct body {
    const char *name;
    double low[3], high[3];
};

struct look {
    struct kw_verdict *verdict;
    struct kw_error *err;
    struct kw_arena *arena;
    const char *part;
    double r, last, start_trim, end_trim, total, floor;
    bool by_itself; ///< the bender turns the tube
    struct row rows[MOST_BENDS];
    int count;
    struct body *bodies;
    int body_count;
    struct spot *front; ///< bent already, nearest to the die last
    int front_count;
};

// ------------------------------------------------------------------------------------------
// reading

static enum kw_status refuse(struct look *k, const char *what) {
    return kw_fail(k->err, KW_FORMAT, (struct kw_place){.file = "run.json"}, "tubes of %s: %s",
                   k->part ? k->part : "the bender", what);
}

static enum kw_status number(struct look *k, json_t *from, const char *key, double least,
                             double *out) {
    json_t *v = json_object_get(from, key);
    *out = json_is_number(v) ? json_number_value(v) : NAN;
    if (*out >= least && *out <= MOST_MM) return KW_OK;
    return refuse(k, kw_format(k->arena, "%s: expected a number", key));
}

/// `turning`: the short way where nothing is said; the long way is the rest of a whole turn.
static enum kw_status read_turning(struct look *k, json_t *from, struct row *row) {
    json_t *v = json_object_get(from, "turning");
    const char *word = v ? json_string_value(v) : "short";
    if (!word) word = "";
    row->lifted = strcmp(word, "lifted") == 0;
    if (strcmp(word, "long") == 0) row->rotate += (row->rotate > 0 ? -360 : 360) * DEGREE;
    if (row->lifted || strcmp(word, "long") == 0 || strcmp(word, "short") == 0) return KW_OK;
    return refuse(k, "turning: expected short, long or lifted");
}

/// What the bend takes of the stick: near its arc, as the neutral line lies in the tube.
static enum kw_status read_taken(struct look *k, json_t *from, struct row *row) {
    double arc = row->taken;
    enum kw_status s = number(k, from, "taken", 0, &row->taken);
    if (s == KW_OK && fabs(row->taken - arc) > 0.25 * arc)
        kw_fault(k->verdict, "tube %s: a bend takes %.2f mm, its arc is %.2f", k->part, row->taken,
                 arc);
    return s;
}

static enum kw_status read_row(struct look *k, json_t *from, struct row *row) {
    double degrees[3] = {0}; // rotate, angle, under load
    enum kw_status s = number(k, from, "feed", 0, &row->feed);
    if (s == KW_OK) s = number(k, from, "rotate", -360, &degrees[0]);
    if (s == KW_OK) s = number(k, from, "angle", 0, &degrees[1]);
    if (s == KW_OK) s = number(k, from, "angle_under_load", 0, &degrees[2]);
    if (s == KW_OK) s = number(k, from, "radius", 1e-3, &row->radius);
    if (s == KW_OK) s = number(k, from, "die_radius", 1e-3, &row->die);
    if (s == KW_OK && !(degrees[1] > 0 && degrees[2] >= degrees[1] - 1e-3 && degrees[2] < 360))
        s = refuse(k, "angle: expected one above 0 and no larger than under load");
    row->taken = row->radius * degrees[1] * DEGREE;
    if (s == KW_OK && json_object_get(from, "taken")) s = read_taken(k, from, row);
    row->rotate = degrees[0] * DEGREE;
    if (s == KW_OK) s = read_turning(k, from, row);
    row->angle = degrees[1] * DEGREE;
    row->load = degrees[2] * DEGREE;
    return s;
}

static enum kw_status read_tube(struct look *k, json_t *tube) {
    json_t *rows = json_object_get(tube, "bends");
    k->part = json_string_value(json_object_get(tube, "part"));
    if (!k->part || !json_is_array(rows) || json_array_size(rows) > MOST_BENDS)
        return refuse(k, "expected part and bends");
    k->count = (int)json_array_size(rows);
    if (k->count == 0) return KW_OK;
    double od;
    enum kw_status s = number(k, tube, "od", 1e-3, &od);
    if (s == KW_OK) s = number(k, tube, "last", 0, &k->last);
    if (s == KW_OK) s = number(k, tube, "trim_start", 0, &k->start_trim);
    if (s == KW_OK) s = number(k, tube, "trim_end", 0, &k->end_trim);
    if (s == KW_OK) s = number(k, tube, "cut_length", 1e-3, &k->total);
    for (int i = 0; s == KW_OK && i < k->count; i++)
        s = read_row(k, json_array_get(rows, (size_t)i), &k->rows[i]);
    k->r = od / 2;
    return s;
}

static enum kw_status read_bodies(struct look *k, json_t *bender) {
    json_t *list = json_object_get(bender, "bodies");
    k->floor = json_number_value(json_object_get(bender, "floor"));
    k->by_itself = json_is_true(json_object_get(bender, "turns_by_itself"));
    k->body_count = (int)json_array_size(list);
    k->bodies = KW_NEW_ARRAY(k->arena, struct body, k->body_count + 1);
    for (int i = 0; i < k->body_count; i++) {
        json_t *b = json_array_get(list, (size_t)i);
        k->bodies[i].name = json_string_value(json_object_get(b, "name"));
        if (!k->bodies[i].name) return refuse(k, "bodies: expected a name");
        k->bodies[i].name = kw_copy_text(k->arena, k->bodies[i].name, strlen(k->bodies[i].name));
        for (size_t axis = 0; axis < 3; axis++) {
            json_t *low = json_array_get(json_object_get(b, "min"), axis);
            json_t *high = json_array_get(json_object_get(b, "max"), axis);
            if (!json_is_number(low) || !json_is_number(high))
                return refuse(k, "bodies: expected min and max of three numbers");
            k->bodies[i].low[axis] = json_number_value(low);
            k->bodies[i].high[axis] = json_number_value(high);
        }
    }
    return KW_OK;
}

// ------------------------------------------------------------------------------------------
// bending

static void add_spot(struct look *k, double x, double y, double z, double along) {
    KW_PUSH(k->arena, k->front, k->front_count) = (struct spot){x, y, z, along};
}

/// Turned about the die's axis, x towards y.
static struct spot turn(struct spot s, double die, double angle) {
    double c = cos(angle), n = sin(angle), y = s.y - die;
    return (struct spot){c * s.x - n * y, die + n * s.x + c * y, s.z, s.along};
}

/// New straight tube ahead of the die, behind all that is bent and moved on already.
static void fill_gap(struct look *k, double length, double along) {
    int n = (int)ceil(length / BALL);
    for (int i = 0; i < n; i++)
        add_spot(k, length * (1 - (double)i / n), 0, 0, along + length * i / n);
}

/// Fed on along x and turned about it, counter-clockwise as seen from the clamp, looking along the
/// stick.
static struct spot rolled(struct spot s, double length, double angle) {
    // Looking towards -x with z up, y is to the right: y goes to z.
    double c = cos(angle), n = sin(angle), y = s.y, z = s.z;
    return (struct spot){s.x + length, c * y - n * z, n * y + c * z, s.along};
}

static double into_box(const struct spot *s, const struct body *b) {
    const double p[3] = {s->x, s->y, s->z};
    double d2 = 0;
    for (int i = 0; i < 3; i++) {
        double d = fmax(0, fmax(b->low[i] - p[i], p[i] - b->high[i]));
        d2 += d * d;
    }
    return sqrt(d2);
}

/// How deep a ball is in floor or boxes; the name of it in `what`.
static double depth_in_shop(const struct look *k, const struct spot *s, const char **what) {
    double worst = -MOST_MM;
    if (k->floor > 0 && -k->floor - (s->z - k->r) > worst) {
        worst = -k->floor - (s->z - k->r);
        *what = "the floor";
    }
    for (int i = 0; i < k->body_count; i++) {
        double depth = k->r - into_box(s, &k->bodies[i]);
        if (depth <= worst) continue;
        worst = depth;
        *what = k->bodies[i].name;
    }
    return worst;
}

/// The same in anything, the stick behind the die too.
static double depth_of(const struct look *k, const struct spot *s, double rest, double along,
                       const char **what) {
    double worst = depth_in_shop(k, s, what);
    double x = s->x > 0 ? s->x : s->x < -rest ? s->x + rest : 0;
    double depth = 2 * k->r - sqrt(x * x + s->y * s->y + s->z * s->z);
    // Two places on one tube within a diameter and a half along it are always near each other.
    if (along - s->along > 4 * k->r && depth > worst) {
        worst = depth;
        *what = "itself";
    }
    return worst;
}

/// Whether the ball can meet anything at all: it keeps its height and its distance from the axis.
static bool is_idle(const struct look *k, const struct spot *s, double die) {
    double away = hypot(s->x, s->y - die), margin = k->r + 1;
    if (k->floor > 0 && s->z - margin < -k->floor) return false;
    if (fabs(s->z) < 2 * k->r + 1 && away > die - 2 * margin) return false;
    for (int i = 0; i < k->body_count; i++) {
        const struct body *b = &k->bodies[i];
        double x = fmax(0, fmax(b->low[0], -b->high[0]));
        double y = fmax(0, fmax(b->low[1] - die, die - b->high[1]));
        double far_x = fmax(fabs(b->low[0]), fabs(b->high[0]));
        double far_y = fmax(fabs(b->low[1] - die), fabs(b->high[1] - die));
        bool level = s->z + margin > b->low[2] && s->z - margin < b->high[2];
        if (level && away + margin > hypot(x, y) && away - margin < hypot(far_x, far_y))
            return false;
    }
    return true;
}

static void follow(struct look *k, int bend, const struct spot *s, double along) {
    const struct row *row = &k->rows[bend];
    double away = hypot(s->x, s->y - row->die) + row->die;
    int steps = (int)ceil(away * row->load / STEP) + 1;
    double rest = k->total - along;
    for (int i = 0, skip; i <= steps; i += skip) {
        double angle = row->load * i / steps;
        struct spot now = turn(*s, row->die, angle);
        const char *what = "";
        double depth = depth_of(k, &now, fmax(0, rest - row->die * angle), along, &what);
        // A ball that is 10 mm off everything meets nothing in the next 10 mm of its way.
        skip = depth < -STEP ? (int)(-depth / STEP) : 1;
        if (depth <= ALLOWED) continue;
        kw_fault(k->verdict, "tube %s: bend %d meets %s by %.2f mm at %.1f degrees", k->part,
                 bend + 1, what, depth, angle / DEGREE);
        return;
    }
}

// ------------------------------------------------------------------------------------------
// between two bends

/// One ball of what is bent on its way: `length` of feed, then `turn`. False when it meets
/// something: one fault a way says enough.
static bool go_on(struct look *k, int bend, const struct spot *s, double length, double turn) {
    double swing = hypot(s->y, s->z) * fabs(turn);
    int feeds = (int)ceil(length / STEP), steps = feeds + (int)ceil(swing / STEP) + 1;
    for (int i = 0, skip; i <= steps; i += skip) {
        double fed = i < feeds ? length * i / feeds : length;
        double turned = i <= feeds ? 0 : turn * (i - feeds) / (steps - feeds);
        struct spot now = rolled(*s, fed, turned);
        const char *what = "";
        double depth = depth_in_shop(k, &now, &what);
        skip = depth < -STEP ? (int)(-depth / STEP) : 1;
        if (depth <= ALLOWED) continue;
        kw_fault(k->verdict,
                 "tube %s: before bend %d it meets %s by %.2f mm, fed on by %.1f and "
                 "turned by %.1f degrees",
                 k->part, bend + 1, what, depth, fed, turned / DEGREE);
        return false;
    }
    return true;
}

static void to_next_bend(struct look *k, int bend, double length) {
    const struct row *row = &k->rows[bend];
    if (row->lifted && k->by_itself)
        kw_fault(k->verdict, "tube %s: the bender turns it, and it is to be lifted out", k->part);
    bool free = true, empty = k->floor <= 0 && k->body_count == 0;
    for (int i = 0; !row->lifted && !empty && free && i < k->front_count; i++)
        free = go_on(k, bend, &k->front[i], length, row->rotate);
    for (int i = 0; i < k->front_count; i++)
        k->front[i] = rolled(k->front[i], length, row->rotate);
}

static void bend_once(struct look *k, int bend, double along) {
    const struct row *row = &k->rows[bend];
    int faults = k->verdict->fault_count;
    for (int i = 0; i < k->front_count; i++) {
        if (k->verdict->fault_count > faults) break; // one a bend says enough
        if (!is_idle(k, &k->front[i], row->die)) follow(k, bend, &k->front[i], along);
    }
    // Released: the finished radius and angle.
    for (int i = 0; i < k->front_count; i++)
        k->front[i] = turn(k->front[i], row->radius, row->angle);
    int n = (int)ceil(row->radius * row->angle / BALL);
    for (int i = 0; i < n; i++) {
        double a = row->angle * (1 - (double)i / n);
        add_spot(k, row->radius * sin(a), row->radius * (1 - cos(a)), 0,
                 along + row->radius * row->angle * i / n);
    }
}

static void check_length(struct look *k) {
    double sum = k->start_trim + k->last + k->end_trim;
    for (int i = 0; i < k->count; i++)
        sum += k->rows[i].feed + k->rows[i].taken;
    if (fabs(sum - k->total) > 0.05)
        kw_fault(k->verdict, "tube %s: rows and trims come to %.2f mm, sawn to %.2f", k->part, sum,
                 k->total);
}

static void bend_tube(struct look *k) {
    k->front = NULL;
    k->front_count = 0;
    check_length(k);
    double along = 0;
    for (int i = 0; i < k->count; i++) {
        double straight = k->rows[i].feed + (i == 0 ? k->start_trim : 0);
        if (i > 0) to_next_bend(k, i, straight);
        fill_gap(k, straight, along);
        along += straight;
        bend_once(k, i, along);
        along += k->rows[i].radius * k->rows[i].angle;
    }
    k->verdict->looked_at++;
}

// -------------------------------------------------------------------------------------------
// judging

enum kw_status kw_judge_tubes_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                   struct kw_error *err) {
    json_t *root = kw_run_json(run_json, length, err);
    if (!root) return KW_FORMAT;
    struct kw_arena scratch = {0};
    struct look *k = KW_NEW(&scratch, struct look);
    *k = (struct look){.verdict = verdict, .err = err, .arena = &scratch};
    json_t *tubes = json_object_get(root, "tubes");
    enum kw_status s = read_bodies(k, json_object_get(root, "bender"));
    for (size_t i = 0; s == KW_OK && i < json_array_size(tubes); i++) {
        s = read_tube(k, json_array_get(tubes, i));
        if (s == KW_OK && k->count > 0) bend_tube(k);
    }
    json_decref(root);
    kw_arena_free(&scratch);
    if (s == KW_OK && verdict->fault_count > 0)
        s = kw_fail(err, KW_JUDGE, (struct kw_place){.file = "run.json"}, "%s", verdict->faults[0]);
    return s;
}

enum kw_status kw_judge_tubes(const char *folder, struct kw_verdict *verdict,
                              struct kw_error *err) {
    return kw_judge_folder(folder, kw_judge_tubes_text, verdict, err);
}
