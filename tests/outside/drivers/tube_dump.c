// SPDX-License-Identifier: Apache-2.0
// Reads tubes from standard input, writes what the tube module makes of them: for tube_numpy.py.
// In, one tube: count, radius a corner (count values), then x y z of each point.
// Out, one tube a line: bend count, (straight rotate angle radius) a bend, last, cut length, box
// min and max, then the number of sampled points and their coordinates (tolerance 0.01 mm).
#include "tube/tube.h"

#include <stdio.h>
#include <stdlib.h>

static void put(struct kw_vec3 v) {
    printf(" %.17g %.17g %.17g", v.x, v.y, v.z);
}

static double number(void) {
    double v;
    if (scanf("%lf", &v) != 1) exit(2);
    return v;
}

static void one(struct kw_arena *a, int count, double od) {
    double *radii = KW_NEW_ARRAY(a, double, count);
    struct kw_vec3 *v = KW_NEW_ARRAY(a, struct kw_vec3, count);
    for (int i = 0; i < count; i++)
        radii[i] = number();
    for (int i = 0; i < count; i++) {
        v[i].x = number();
        v[i].y = number();
        v[i].z = number();
    }
    struct kw_tube_problems p = {.arena = a};
    struct kw_tube_line line;
    struct kw_tube_table t;
    if (!kw_tube_line_from_points(a, v, count, radii, 0, &line, &p) ||
        !kw_tube_table(a, &line, &t, &p)) {
        printf("problem %s\n", kw_tube_problem_name(p.v[0].kind));
        return;
    }
    printf("%d", t.count);
    for (int i = 0; i < t.count; i++) {
        const struct kw_tube_bend *b = &t.bends[i];
        printf(" %.17g %.17g %.17g %.17g", b->straight, b->rotate, b->angle, b->radius);
    }
    printf(" %.17g %.17g", t.last, t.cut_length);
    struct kw_box3 box = kw_tube_box(&t, od);
    put(box.min);
    put(box.max);
    int n;
    struct kw_vec3 *s = kw_tube_sample(a, &t, 0.01, &n);
    printf(" %d", n);
    for (int i = 0; i < n; i++)
        put(s[i]);
    printf("\n");
}

int main(void) {
    int count;
    double od;
    while (scanf("%d %lf", &count, &od) == 2) {
        struct kw_arena a = {0};
        one(&a, count, od);
        kw_arena_free(&a);
    }
    return 0;
}
