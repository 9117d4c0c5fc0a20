// SPDX-License-Identifier: Apache-2.0
// Pieces of one stick in the order of sawing: equal cuts one after the other, so that the saw is
// swung least, and each mitred piece turned so that one cut serves it and the piece before it.
#include "run/inside.h"

#include <math.h>
#include <stdlib.h>

#define SAME 1e-9 // rad

void kw_run_leans(const struct kw_part *part, struct kw_run_laid laid, double leans[2]) {
    double sign = laid.over ? -1 : 1;
    leans[0] = sign * part->miter[laid.back ? 1 : 0];
    leans[1] = sign * part->miter[laid.back ? 0 : 1];
}

struct sawn {
    const struct kw_part *part;
    double length;
    int piece;
};

static int by_cut(const void *a, const void *b) {
    const struct sawn *x = a, *y = b;
    const double *p = x->part->miter, *q = y->part->miter;
    double swing[2] = {fmax(fabs(p[0]), fabs(p[1])), fmax(fabs(q[0]), fabs(q[1]))};
    if (swing[0] != swing[1]) return swing[0] < swing[1] ? -1 : 1;
    for (int e = 0; e < 2; e++) {
        double u = fabs(p[e]), v = fabs(q[e]);
        if (u != v) return u < v ? -1 : 1;
    }
    if (x->length != y->length) return x->length > y->length ? -1 : 1;
    return x->piece - y->piece;
}

/// Angle has a leg that must stay where it is; all else looks the same turned over or end for end.
static bool can_turn(const struct kw_part *part) {
    return part->stock.kind != KW_ANGLE_BAR;
}

/// Turned so that its left end is parallel to the right end before it (lean `before`, 0 square):
/// false when it can't be. Cuts are parallel where the leans are opposite.
static bool lay(const struct kw_part *part, double before, struct kw_run_laid *laid) {
    for (int way = 0; way < (can_turn(part) ? 4 : 1); way++) {
        struct kw_run_laid now = {.over = way % 2 == 1, .back = way / 2 == 1};
        double leans[2];
        kw_run_leans(part, now, leans);
        if (fabs(leans[0] + before) > SAME) continue;
        *laid = now;
        laid->shared = true;
        return true;
    }
    *laid = (struct kw_run_laid){0};
    return false;
}

/// Of the pieces `from`.. with the same saw angles as the first, one that shares its cut; else the
/// first.
static int next_piece(const struct sawn *v, int from, int count, double before,
                      struct kw_run_laid *laid) {
    double swing = fmax(fabs(v[from].part->miter[0]), fabs(v[from].part->miter[1]));
    for (int i = from; i < count; i++) {
        const double *m = v[i].part->miter;
        if (fmax(fabs(m[0]), fabs(m[1])) > swing + SAME) break;
        if (lay(v[i].part, before, laid)) return i;
    }
    lay(v[from].part, before, laid);
    return from;
}

static struct kw_run_laid *order_pieces(struct kw_week *w, const struct kw_run_saw *saw,
                                        struct kw_stick_pattern *pattern) {
    int n = pattern->piece_count;
    struct sawn *v = KW_NEW_ARRAY(w->arena, struct sawn, n + 1);
    struct kw_run_laid *laid = KW_NEW_ARRAY(w->arena, struct kw_run_laid, n + 1);
    for (int i = 0; i < n; i++) {
        int piece = pattern->pieces[i];
        v[i] = (struct sawn){w->makes[saw->makes[piece]].part, saw->lengths[piece], piece};
    }
    qsort(v, (size_t)n, sizeof *v, by_cut);
    double before = 0; // the stick's own end, trimmed square
    for (int i = 0; i < n; i++) {
        int pick = next_piece(v, i, n, before, &laid[i]);
        struct sawn taken = v[pick];
        for (int k = pick; k > i; k--)
            v[k] = v[k - 1];
        v[i] = taken;
        pattern->pieces[i] = taken.piece;
        double leans[2];
        kw_run_leans(taken.part, laid[i], leans);
        before = leans[1];
    }
    return laid;
}

void run_order_saw(struct kw_week *w, struct kw_run_saw *saw) {
    saw->laid = KW_NEW_ARRAY(w->arena, struct kw_run_laid *, saw->plan.pattern_count + 1);
    for (int i = 0; i < saw->plan.pattern_count; i++)
        saw->laid[i] = order_pieces(w, saw, &saw->plan.patterns[i]);
}
