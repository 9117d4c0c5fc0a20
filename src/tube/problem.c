// SPDX-License-Identifier: Apache-2.0
// Problems by name, and the checks of a size.
#include "tube/inside.h"

static const char *const names[] = {
#define X(id, name, says) name,
    KW_TUBE_PROBLEM_LIST(X)
#undef X
};

static const char *const sentences[] = {
#define X(id, name, says) says,
    KW_TUBE_PROBLEM_LIST(X)
#undef X
};

const char *kw_tube_problem_name(enum kw_tube_problem_kind kind) {
    kw_assert(kind < KW_TUBE_PROBLEM_KINDS);
    return names[kind];
}

const char *kw_tube_problem_says(enum kw_tube_problem_kind kind) {
    kw_assert(kind < KW_TUBE_PROBLEM_KINDS);
    return sentences[kind];
}

void kw_tube_problem_add(struct kw_tube_problems *problems, struct kw_tube_problem p) {
    if (problems) KW_PUSH(problems->arena, problems->v, problems->count) = p;
}

bool kw_tube_size_check(struct kw_tube_size size, struct kw_tube_problems *problems) {
    struct kw_tube_problem p = {.step = -1, .straight = -1, .bend = -1};
    if (!(size.od > 0 && size.od <= KW_MOST_MM) || !(size.wall > 0)) {
        p.kind = KW_TUBE_OUT_OF_RANGE;
        p.measured = size.od > 0 ? size.wall : size.od;
        kw_tube_problem_add(problems, p);
        return false;
    }
    if (!(size.wall < size.od / 2)) {
        p.kind = KW_TUBE_WALL_THICKER_THAN_HALF;
        p.measured = size.wall;
        p.limit = size.od / 2;
        kw_tube_problem_add(problems, p);
        return false;
    }
    return true;
}
