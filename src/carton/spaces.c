// SPDX-License-Identifier: Apache-2.0
// Free space as the list of all maximal free cuboids (Lai and Chan 1997): they overlap each other,
// none contains another. Taking a box out replaces every space it cuts by what is left on its six
// sides.
#include "carton/inside.h"

#include <string.h>

static void add(struct kw_arena *a, struct spaces *s, struct space new) {
    if (s->count == s->room) {
        s->room = s->room ? 2 * s->room : 64;
        struct space *more = kw_alloc(a, (size_t)s->room * sizeof *more);
        if (s->count) memcpy(more, s->v, (size_t)s->count * sizeof *more);
        s->v = more;
    }
    s->v[s->count++] = new;
}

void spaces_start(struct kw_arena *a, struct spaces *s, const double size[3]) {
    s->count = 0;
    add(a, s, (struct space){{0, 0, 0}, {size[0], size[1], size[2]}});
}

static bool contains(const struct space *big, const struct space *small) {
    for (int i = 0; i < 3; i++)
        if (big->lo[i] > small->lo[i] + EPS_MM || big->hi[i] < small->hi[i] - EPS_MM) return false;
    return true;
}

static bool cuts(const struct space *s, const double lo[3], const double hi[3]) {
    for (int i = 0; i < 3; i++)
        if (lo[i] >= s->hi[i] - EPS_MM || hi[i] <= s->lo[i] + EPS_MM) return false;
    return true;
}

/// Drops spaces from `first` on that lie in another one.
static void keep_maximal(struct spaces *s, int first) {
    for (int i = first; i < s->count; i++) {
        bool inner = false;
        for (int j = 0; j < s->count && !inner; j++)
            inner = j != i && contains(&s->v[j], &s->v[i]) &&
                    !(j > i && contains(&s->v[i], &s->v[j])); // of equals the first stays
        if (inner) s->v[i--] = s->v[--s->count];
    }
}

void spaces_take(struct kw_arena *a, struct spaces *s, const double lo[3], const double hi[3],
                 double least) {
    struct spaces cut = {0};
    int kept = 0;
    for (int i = 0; i < s->count; i++) {
        if (cuts(&s->v[i], lo, hi))
            add(a, &cut, s->v[i]);
        else
            s->v[kept++] = s->v[i];
    }
    s->count = kept;
    for (int i = 0; i < cut.count; i++)
        for (int side = 0; side < 6; side++) {
            struct space rest = cut.v[i];
            int axis = side / 2;
            if (side % 2)
                rest.lo[axis] = hi[axis];
            else
                rest.hi[axis] = lo[axis];
            if (rest.hi[axis] - rest.lo[axis] >= least - EPS_MM && rest.hi[axis] > rest.lo[axis])
                add(a, s, rest);
        }
    keep_maximal(s, kept);
}
