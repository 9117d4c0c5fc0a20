// SPDX-License-Identifier: Apache-2.0
// A shape as one says it at the bench (up 30-5/8, turn 90, across 25-1/4) into corners.
#include "tube/inside.h"

#include <string.h>

// Columns: the word, its direction.
static const struct {
    const char *word;
    struct kw_vec3 direction;
} ways[] = {
    {"up", {0, 0, 1}},       {"down", {0, 0, -1}},   {"across", {1, 0, 0}},   {"right", {1, 0, 0}},
    {"left", {-1, 0, 0}},    {"back", {0, 1, 0}},    {"away", {0, 1, 0}},     {"front", {0, -1, 0}},
    {"forward", {0, -1, 0}}, {"toward", {0, -1, 0}}, {"towards", {0, -1, 0}},
};

const char *const kw_tube_way_words[] = {"up",   "down",  "across",  "right",  "left",    "back",
                                         "away", "front", "forward", "toward", "towards", NULL};

static bool one_way(const char *word, size_t length, struct kw_vec3 *direction) {
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (strlen(ways[i].word) == length && memcmp(ways[i].word, word, length) == 0) {
            *direction = ways[i].direction;
            return true;
        }
    }
    return false;
}

bool kw_tube_way(const char *word, struct kw_vec3 *direction) {
    struct kw_vec3 sum = {0}, one;
    int words = 0;
    while (true) {
        size_t length = strcspn(word, "-");
        if (!one_way(word, length, &one) || ++words > 3) return false;
        // Words of one axis either cancel or say the same thing twice.
        if (kw_dot3(sum, one) != 0) return false;
        sum = kw_add3(sum, one);
        word += length;
        if (*word == 0) break;
        word++;
    }
    *direction = words == 1 ? sum : unit3(sum);
    return true;
}

static void step_problem(struct kw_tube_problems *to, enum kw_tube_problem_kind kind, int step,
                         double measured, double limit, struct kw_vec3 at) {
    // Step 2i is straight i, step 2i + 1 the bend after it.
    bool turn = step % 2 == 1;
    kw_tube_problem_add(to, (struct kw_tube_problem){kind, step, turn ? -1 : step / 2,
                                                     turn ? step / 2 : -1, measured, limit, at, 0});
}

static bool straight_is_fine(const struct kw_tube_step *s, int step, struct kw_tube_problems *to) {
    struct kw_vec3 none = {0};
    if (s->length == 0) {
        step_problem(to, KW_TUBE_ZERO_LENGTH_STRAIGHT, step, 0, 0, none);
        return false;
    }
    if (!(s->length > 0 && s->length <= KW_MOST_MM) || !(fabs(kw_length3(s->towards) - 1) < 1e-9)) {
        step_problem(to, KW_TUBE_OUT_OF_RANGE, step, s->length, KW_MOST_MM, none);
        return false;
    }
    return true;
}

static bool turn_is_fine(const struct kw_tube_step *s, int step, double radius,
                         struct kw_tube_problems *to) {
    struct kw_vec3 none = {0};
    if (!(s->angle > 0) || !(radius > 0 && radius <= KW_MOST_MM)) {
        step_problem(to, KW_TUBE_OUT_OF_RANGE, step, s->angle > 0 ? radius : s->angle, 0, none);
        return false;
    }
    if (!(s->angle <= KW_TUBE_MOST_TURN)) {
        step_problem(to, KW_TUBE_DOUBLES_BACK, step, s->angle, KW_TUBE_MOST_TURN, none);
        return false;
    }
    return true;
}

static double radius_of(const struct kw_tube_step *s, double otherwise) {
    return s->radius == 0 ? otherwise : s->radius;
}

/// Order and ranges of all steps.
static bool steps_are_fine(const struct kw_tube_step *steps, int count, double od, double radius,
                           struct kw_tube_problems *to) {
    struct kw_vec3 none = {0};
    if (count < 1 || !(od >= 0 && od <= KW_MOST_MM)) {
        enum kw_tube_problem_kind kind = count < 1 ? KW_TUBE_STEP_ORDER : KW_TUBE_OUT_OF_RANGE;
        kw_tube_problem_add(to, (struct kw_tube_problem){kind, -1, -1, -1, od, 0, none, 0});
        return false;
    }
    for (int i = 0; i < count; i++) {
        bool last_is_turn = i == count - 1 && i % 2 == 1;
        if ((steps[i].kind == KW_TUBE_TURN) != (i % 2 == 1) || last_is_turn) {
            step_problem(to, KW_TUBE_STEP_ORDER, i, 0, 0, none);
            return false;
        }
    }
    bool fine = true;
    for (int i = 0; i < count; i++) {
        const struct kw_tube_step *s = &steps[i];
        bool this =
            i % 2 == 0 ? straight_is_fine(s, i, to) : turn_is_fine(s, i, radius_of(s, radius), to);
        fine = this && fine;
    }
    return fine;
}

/// How far the tape reads past the centreline's corner at a turn; the rule and its derivation stand
/// at enum kw_tube_measure.
static double past_corner(double angle, double radius, double od, enum kw_tube_measure measure) {
    double r = od / 2;
    if (measure == KW_TUBE_CENTRELINE) return 0;
    if (measure == KW_TUBE_APEX || angle <= KW_PI / 2) return r * tan(angle / 2);
    return radius + r - radius * tan(angle / 2);
}

/// From the tangent point to where the tape reaches.
static double past_tangent(const struct kw_tube_bend *b, double od) {
    double reach = b->radius + od / 2;
    return b->angle <= KW_PI / 2 ? reach * tan(b->angle / 2) : reach;
}

double kw_tube_tape(const struct kw_tube_table *t, double od, int straight) {
    kw_assert(straight >= 0 && straight <= t->count);
    double sum = straight < t->count ? t->bends[straight].straight : t->last;
    if (straight > 0) sum += past_tangent(&t->bends[straight - 1], od);
    if (straight < t->count) sum += past_tangent(&t->bends[straight], od);
    return sum;
}

/// The direction after a turn of `angle` from d towards `to`. False when it can't be or passes it;
/// `between` is the angle that there is.
static bool turned(struct kw_vec3 *d, struct kw_vec3 to, double angle, double *between) {
    *between = angle_between(*d, to);
    if (fabs(*between - angle) <= KW_TUBE_AGREE_RAD) {
        *d = to;
        return true;
    }
    // Straight on or straight back there is no plane to turn in.
    if (*between < KW_TUBE_AGREE_RAD || *between > KW_PI - KW_TUBE_AGREE_RAD) return false;
    struct kw_vec3 side = unit3(along3(to, -kw_dot3(to, *d), *d));
    *d = unit3(along3(kw_scale3(*d, cos(angle)), sin(angle), side));
    return angle < *between;
}

bool kw_tube_line_from_steps(struct kw_arena *a, const struct kw_tube_step *steps, int count,
                             double od, double radius, enum kw_tube_measure measure,
                             struct kw_tube_line *line, struct kw_tube_problems *problems) {
    *line = (struct kw_tube_line){0};
    if (!steps_are_fine(steps, count, od, radius, problems)) return false;
    int n = count / 2 + 2;
    line->v = KW_NEW_ARRAY(a, struct kw_vec3, n);
    line->radius = KW_NEW_ARRAY(a, double, n);
    line->from = KW_NEW_ARRAY(a, int, n);
    struct kw_vec3 d = steps[0].towards;
    double past = 0; // at the start of this straight
    bool fine = true;
    for (int i = 0; i < n - 1; i++) {
        const struct kw_tube_step *straight = &steps[2 * i];
        struct kw_vec3 next = d;
        double past_end = 0;
        if (i < n - 2) {
            double corner = radius_of(straight + 1, radius), between;
            if (!turned(&next, straight[2].towards, straight[1].angle, &between)) {
                struct kw_vec3 at = along3(line->v[i], straight->length, d);
                step_problem(problems, KW_TUBE_TURN_DISAGREES, 2 * i + 1, straight[1].angle,
                             between, at);
                fine = false;
            }
            past_end = past_corner(angle_between(d, next), corner, od, measure);
            line->radius[i + 1] = corner;
            line->from[i + 1] = 2 * i + 1;
        }
        double length = straight->length - past - past_end;
        if (!(length > KW_SAME_POINT_MM)) {
            step_problem(problems, KW_TUBE_RADIUS_DOES_NOT_FIT, 2 * i, straight->length,
                         past + past_end, line->v[i]);
            fine = false;
        }
        line->v[i + 1] = along3(line->v[i], length, d);
        d = next;
        past = past_end;
    }
    line->from[n - 1] = count - 1;
    line->count = n;
    return fine;
}
