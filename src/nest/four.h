// SPDX-License-Identifier: Apache-2.0
// Private to nest: what the innermost loops ask of four boxes or two sides at once. SSE2 where the
// machine has it (every x86-64), plain C elsewhere: the same operations on the same numbers, so
// that results do not depend on the machine.
#pragma once

#include <math.h>
#include <stdbool.h>
#if defined __SSE2__
#include <emmintrin.h>
#endif

/// float keeps 50 m to 0.004 mm: boxes grown by this (mm) and rounded never miss a meeting.
#define FOUR_GROWTH 0.02

/// Four boxes, or fewer: those that are not there never meet anything.
struct four_boxes {
    float left[4], right[4], low[4], high[4];
};

/// Two sides of a convex polygon: x * u + y * v <= reach. An odd one stands there twice.
struct two_sides {
    double x[2], y[2], reach[2];
};

static inline void four_clear(struct four_boxes *f, int i) {
    f->left[i] = f->low[i] = INFINITY;
    f->right[i] = f->high[i] = -INFINITY;
}

static inline void four_none(struct four_boxes *f) {
    for (int i = 0; i < 4; i++)
        four_clear(f, i);
}

static inline void four_put(struct four_boxes *f, int i, const struct four_boxes *from, int k) {
    f->left[i] = from->left[k];
    f->right[i] = from->right[k];
    f->low[i] = from->low[k];
    f->high[i] = from->high[k];
}

static inline void four_set(struct four_boxes *f, int i, double left, double right, double low,
                            double high) {
    f->left[i] = (float)(left - FOUR_GROWTH);
    f->right[i] = (float)(right + FOUR_GROWTH);
    f->low[i] = (float)(low - FOUR_GROWTH);
    f->high[i] = (float)(high + FOUR_GROWTH);
}

/// Bit i: box i may meet the box from `left` to `right` and from `low` to `high`.
static inline unsigned four_meet_plain(const struct four_boxes *f, float left, float right,
                                       float low, float high) {
    unsigned met = 0;
    for (int i = 0; i < 4; i++) {
        bool meets =
            f->left[i] < right && f->right[i] > left && f->low[i] < high && f->high[i] > low;
        met |= (unsigned)meets << i;
    }
    return met;
}

/// The least distance from (u, v) to one of the sides, inwards; or, where that is below `enough`,
/// something that is.
static inline double two_least_plain(const struct two_sides *s, int pairs, double u, double v,
                                     double enough) {
    double least = INFINITY;
    for (int i = 0; i < 2 * pairs && least >= enough; i++) {
        const struct two_sides *t = &s[i / 2];
        double d = t->reach[i % 2] - t->x[i % 2] * u - t->y[i % 2] * v;
        least = d < least ? d : least;
    }
    return least;
}

#if defined __SSE2__

static inline unsigned four_meet(const struct four_boxes *f, float left, float right, float low,
                                 float high) {
    __m128 along = _mm_and_ps(_mm_cmplt_ps(_mm_loadu_ps(f->left), _mm_set1_ps(right)),
                              _mm_cmpgt_ps(_mm_loadu_ps(f->right), _mm_set1_ps(left)));
    __m128 across = _mm_and_ps(_mm_cmplt_ps(_mm_loadu_ps(f->low), _mm_set1_ps(high)),
                               _mm_cmpgt_ps(_mm_loadu_ps(f->high), _mm_set1_ps(low)));
    return (unsigned)_mm_movemask_ps(_mm_and_ps(along, across));
}

static inline double two_least(const struct two_sides *s, int pairs, double u, double v,
                               double enough) {
    __m128d least = _mm_set1_pd(INFINITY), far = _mm_set1_pd(enough);
    __m128d uu = _mm_set1_pd(u), vv = _mm_set1_pd(v);
    for (int i = 0; i < pairs; i++) {
        __m128d across = _mm_mul_pd(_mm_loadu_pd(s[i].x), uu);
        __m128d up = _mm_mul_pd(_mm_loadu_pd(s[i].y), vv);
        __m128d d = _mm_sub_pd(_mm_sub_pd(_mm_loadu_pd(s[i].reach), across), up);
        least = _mm_min_pd(least, d);
        if (_mm_movemask_pd(_mm_cmplt_pd(least, far))) break;
    }
    return _mm_cvtsd_f64(_mm_min_sd(least, _mm_unpackhi_pd(least, least)));
}

#else
#define four_meet four_meet_plain
#define two_least two_least_plain
#endif

/// The lowest bit that is set, which goes out of *bits.
static inline int four_next(unsigned *bits) {
    int i = __builtin_ctz(*bits);
    *bits &= *bits - 1;
    return i;
}
