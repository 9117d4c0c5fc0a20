// SPDX-License-Identifier: Apache-2.0
#include "geom_shapes.h"

double random_in(uint64_t *state, double low, double high) {
    return low + (high - low) * kw_random_unit(state);
}

static struct kw_path star(struct kw_arena *a, uint64_t *state) {
    struct kw_path p = {0};
    int n = 3 + (int)(kw_random(state) % 20);
    double least = random_in(state, 4, 20);
    bool arcs = kw_random(state) % 3 != 0;
    for (int i = 0; i < n; i++) {
        double angle = 2 * KW_PI * (i + random_in(state, 0.1, 0.9)) / n;
        double r = random_in(state, least, 60);
        bool bulges = arcs && kw_random(state) % 2 == 0;
        double most = kw_random(state) % 6 == 0 ? 1 : 0.5;
        double bulge = bulges ? random_in(state, -most, most) : 0;
        kw_path_add(a, &p, r * cos(angle), r * sin(angle), bulge, i + 1);
    }
    return p;
}

// Two ragged shores with narrows and basins between: the offset inwards falls apart.
static struct kw_path river(struct kw_arena *a, uint64_t *state) {
    struct kw_path p = {0};
    int n = 3 + (int)(kw_random(state) % 7);
    double step = 120.0 / n;
    for (int side = -1; side <= 1; side += 2) {
        for (int i = 0; i < n; i++) {
            double x = side * (step * (i + random_in(state, 0.2, 0.8)) - 60) * -1;
            double bulge = kw_random(state) % 3 == 0 ? random_in(state, -0.6, 0.6) : 0;
            double wide = kw_random(state) % 2 ? random_in(state, 1, 6) : random_in(state, 10, 30);
            kw_path_add(a, &p, x, side * wide, bulge, side * (i + 1));
        }
    }
    return p;
}

static void round_some(struct kw_arena *a, uint64_t *state, struct kw_path *p) {
    for (int i = p->count - 1; i >= 0; i--)
        if (kw_random(state) % 2 == 0)
            (void)kw_path_round_corner(a, p, i, random_in(state, 0.5, 12));
}

struct kw_path random_outline(struct kw_arena *a, uint64_t *state) {
    for (;;) {
        struct kw_path p = kw_random(state) % 2 ? star(a, state) : river(a, state);
        round_some(a, state, &p);
        struct kw_error err = {0};
        if (kw_path_check(&p, (struct kw_place){0}, &err) == KW_OK && kw_path_area(&p) > 100)
            return p;
    }
}

struct kw_path random_convex(struct kw_arena *a, uint64_t *state) {
    struct kw_path p = {0};
    int n = 3 + (int)(kw_random(state) % 9);
    double rx = random_in(state, 20, 60), ry = random_in(state, 20, 60);
    for (int i = 0; i < n; i++) {
        double angle = 2 * KW_PI * (i + random_in(state, 0.2, 0.8)) / n;
        kw_path_add(a, &p, rx * cos(angle), ry * sin(angle), 0, i + 1);
    }
    round_some(a, state, &p);
    return p;
}

#define CELLS 8

// Keeps the cells to the left; starts below the first cell of the lowest row, going right.
static struct kw_path around(struct kw_arena *a, bool cell[CELLS + 2][CELLS + 2], int x, int y) {
    struct kw_path p = {0};
    int x0 = x, y0 = y, dx = 1, dy = 0, old_dx = 0, old_dy = 0;
    do {
        if (dx != old_dx || dy != old_dy) kw_path_add(a, &p, 4 * x, 4 * y, 0, p.count + 1);
        old_dx = dx;
        old_dy = dy;
        x += dx;
        y += dy;
        bool left = cell[x + (dx - dy - 1) / 2][y + (dy + dx - 1) / 2];
        bool right = cell[x + (dx + dy - 1) / 2][y + (dy - dx - 1) / 2];
        if (right) {
            dx = old_dy;
            dy = -old_dx;
        } else if (!left) {
            dx = -old_dy;
            dy = old_dx;
        }
    } while (x != x0 || y != y0 || dx != 1);
    return p;
}

struct kw_path random_cells(struct kw_arena *a, uint64_t *state) {
    static const int way[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
    for (;;) {
        bool cell[CELLS + 2][CELLS + 2] = {{false}};
        int x = 4, y = 4, first = 0, row = 0;
        for (int i = 6 + (int)(kw_random(state) % 25); i > 0; i--) {
            cell[x][y] = true;
            const int *w = way[kw_random(state) % 4];
            if (x + w[0] >= 1 && x + w[0] <= CELLS) x += w[0];
            if (y + w[1] >= 1 && y + w[1] <= CELLS) y += w[1];
        }
        for (int j = CELLS; j >= 1; j--)
            for (int i = CELLS; i >= 1; i--)
                if (cell[i][j]) {
                    first = i;
                    row = j;
                }
        struct kw_path p = around(a, cell, first, row);
        for (int i = p.count - 1; i >= 0; i--) {
            double radius = 0.5 * (double)(1 + kw_random(state) % 8);
            if (kw_random(state) % 2) (void)kw_path_round_corner(a, &p, i, radius);
        }
        if (kw_path_check(&p, (struct kw_place){0}, NULL) == KW_OK) return p;
    }
}
