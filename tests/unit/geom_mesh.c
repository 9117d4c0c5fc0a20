// SPDX-License-Identifier: Apache-2.0
#include "geom_shapes.h"

#include <criterion/criterion.h>
#include <stdio.h>

struct chains {
    struct kw_vec2 *points;
    int count;
    int starts[16];
    int chain_count;
};

static void add_chain(struct kw_arena *a, struct chains *c, const struct kw_path *p,
                      double tolerance) {
    int n;
    struct kw_vec2 *v = kw_path_chords(a, p, tolerance, KW_CHORD_INSIDE, &n);
    for (int i = 0; i < n; i++)
        KW_PUSH(a, c->points, c->count) = v[i];
    c->starts[++c->chain_count] = c->count;
}

static double chains_area(const struct chains *c) {
    double twice = 0;
    for (int k = 0; k < c->chain_count; k++)
        for (int i = c->starts[k]; i < c->starts[k + 1]; i++) {
            int j = i + 1 < c->starts[k + 1] ? i + 1 : c->starts[k];
            twice += kw_cross2(c->points[i], c->points[j]);
        }
    return twice / 2;
}

// Thickened to 2 mm and closed: each side of the polygon must be the side of exactly one triangle.
static struct kw_mesh slab(struct kw_arena *a, const struct chains *c, int (*t)[3], int n) {
    struct kw_mesh m = {0};
    for (int i = 0; i < c->count; i++)
        kw_mesh_point(a, &m, kw_v3(c->points[i].x, c->points[i].y, 0));
    for (int i = 0; i < c->count; i++)
        kw_mesh_point(a, &m, kw_v3(c->points[i].x, c->points[i].y, 2));
    for (int i = 0; i < n; i++) {
        kw_mesh_triangle(a, &m, t[i][0], t[i][2], t[i][1]);
        kw_mesh_triangle(a, &m, t[i][0] + c->count, t[i][1] + c->count, t[i][2] + c->count);
    }
    for (int k = 0; k < c->chain_count; k++)
        for (int i = c->starts[k]; i < c->starts[k + 1]; i++) {
            int j = i + 1 < c->starts[k + 1] ? i + 1 : c->starts[k];
            kw_mesh_triangle(a, &m, i, j, j + c->count);
            kw_mesh_triangle(a, &m, i, j + c->count, i + c->count);
        }
    return m;
}

static void expect_triangulated(struct kw_arena *a, const struct chains *c, const char *what) {
    int(*t)[3], n;
    bool ok = kw_triangulate(a, c->points, c->starts, c->chain_count, &t, &n);
    cr_expect(ok, "%s", what);
    if (!ok) return;
    // n + 2 h - 2 triangles in a polygon of n corners with h holes
    cr_expect_eq(n, c->count + 2 * (c->chain_count - 1) - 2, "%s", what);
    double area = 0;
    for (int i = 0; i < n; i++) {
        struct kw_vec2 p = c->points[t[i][0]], q = c->points[t[i][1]], r = c->points[t[i][2]];
        double part = kw_cross2(kw_sub2(q, p), kw_sub2(r, p)) / 2;
        cr_expect(part > 0, "%s: triangle %d %g", what, i, part);
        area += part;
    }
    cr_expect_float_eq(area, chains_area(c), 1e-6, "%s", what);
    struct kw_mesh m = slab(a, c, t, n);
    cr_expect(kw_mesh_is_closed(&m), "%s", what);
    cr_expect_float_eq(kw_mesh_volume(&m), 2 * area, 1e-6, "%s", what);
}

Test(geom_mesh, triangles_of_random_outlines_with_holes_fill_them) {
    uint64_t state = 17;
    int with_holes = 0;
    for (int n = 0; n < 150; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_outline(&a, &state);
        struct chains c = {0};
        add_chain(&a, &c, &p, n % 4 ? 0.1 : 0.01);
        struct kw_path holes[8];
        int hole_count = 0;
        for (int k = 0; k < 60 && hole_count < 8; k++) {
            double r = random_in(&state, 0.5, 5);
            struct kw_path hole = kw_path_circle(&a, random_in(&state, -50, 50),
                                                 random_in(&state, -50, 50), r, false, 0);
            if (!kw_path_contains(&p, kw_v2(hole.v[0].x, hole.v[0].y))) continue;
            bool free = kw_path_gap(&p, &hole) > 0.3;
            for (int j = 0; j < hole_count; j++)
                free = free && kw_path_gap(&holes[j], &hole) > 0.3 &&
                       !kw_path_contains(&holes[j], kw_v2(hole.v[0].x, hole.v[0].y)) &&
                       !kw_path_contains(&hole, kw_v2(holes[j].v[0].x, holes[j].v[0].y));
            if (!free) continue;
            holes[hole_count++] = hole;
            add_chain(&a, &c, &hole, 0.1);
        }
        with_holes += hole_count > 1;
        char what[32];
        snprintf(what, sizeof what, "shape %d", n);
        expect_triangulated(&a, &c, what);
        kw_arena_free(&a);
    }
    cr_expect(with_holes > 50, "%d with holes", with_holes);
}

// Perforated plates: holes in rows, with corners in one line with each other and with the outline.
Test(geom_mesh, triangles_fill_a_plate_of_aligned_square_holes) {
    struct kw_arena a = {0};
    struct chains c = {0};
    struct kw_path plate = kw_path_box_outline(&a, 0, 0, 50, 50, 0);
    kw_path_add(&a, &plate, 0, 25, 0, 0); // in the middle of a side
    add_chain(&a, &c, &plate, 0.1);
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            struct kw_path hole =
                kw_path_box_outline(&a, 5 + 15 * i, 5 + 15 * j, 15 + 15 * i, 15 + 15 * j, 0);
            hole = kw_path_reversed(&a, &hole);
            add_chain(&a, &c, &hole, 0.1);
        }
    expect_triangulated(&a, &c, "plate");
    kw_arena_free(&a);
}

Test(geom_mesh, what_is_not_a_polygon_with_holes_is_refused) {
    struct kw_arena a = {0};
    int(*t)[3], n;
    static const struct kw_vec2 bow[] = {{0, 0}, {10, 10}, {10, 0}, {0, 12}};
    cr_expect(!kw_triangulate(&a, bow, (int[]){0, 4}, 1, &t, &n));
    static const struct kw_vec2 clockwise[] = {{0, 0}, {0, 10}, {10, 0}};
    cr_expect(!kw_triangulate(&a, clockwise, (int[]){0, 3}, 1, &t, &n));
    static const struct kw_vec2 flat[] = {{0, 0}, {5, 0}, {10, 0}};
    cr_expect(!kw_triangulate(&a, flat, (int[]){0, 3}, 1, &t, &n));
    static const struct kw_vec2 twice[] = {{0, 0}, {10, 0}, {10, 0}, {0, 10}};
    cr_expect(!kw_triangulate(&a, twice, (int[]){0, 4}, 1, &t, &n));
    // A hole outside, one across the side, one in another.
    static const struct kw_vec2 out[] = {{0, 0},  {10, 0}, {10, 10}, {0, 10},
                                         {20, 1}, {20, 2}, {21, 1}};
    cr_expect(!kw_triangulate(&a, out, (int[]){0, 4, 7}, 2, &t, &n));
    static const struct kw_vec2 across[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10},
                                            {9, 1}, {9, 2},  {11, 1}};
    cr_expect(!kw_triangulate(&a, across, (int[]){0, 4, 7}, 2, &t, &n));
    static const struct kw_vec2 nested[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}, {1, 1},
                                            {1, 8}, {8, 1},  {2, 2},   {2, 3},  {3, 2}};
    cr_expect(!kw_triangulate(&a, nested, (int[]){0, 4, 7, 10}, 3, &t, &n));
    cr_expect(kw_triangulate(&a, nested, (int[]){0, 4, 7}, 2, &t, &n));
    cr_expect_eq(n, 7);
    kw_arena_free(&a);
}

Test(geom_mesh, an_open_or_inverted_body_is_not_closed) {
    struct kw_arena a = {0};
    struct kw_mesh m = {0};
    kw_mesh_point(&a, &m, kw_v3(0, 0, 0));
    kw_mesh_point(&a, &m, kw_v3(6, 0, 0));
    kw_mesh_point(&a, &m, kw_v3(0, 5, 0));
    kw_mesh_point(&a, &m, kw_v3(0, 0, 4));
    kw_mesh_triangle(&a, &m, 0, 2, 1);
    kw_mesh_triangle(&a, &m, 0, 1, 3);
    kw_mesh_triangle(&a, &m, 1, 2, 3);
    cr_expect(!kw_mesh_is_closed(&m));
    kw_mesh_triangle(&a, &m, 0, 3, 2);
    cr_expect(kw_mesh_is_closed(&m));
    cr_expect_float_eq(kw_mesh_volume(&m), 20, 1e-12);
    struct kw_box3 b = kw_mesh_box(&m);
    cr_expect(b.min.x == 0 && b.max.x == 6 && b.max.y == 5 && b.max.z == 4);
    int swap = m.triangles[3][0];
    m.triangles[3][0] = m.triangles[3][1];
    m.triangles[3][1] = swap;
    cr_expect(!kw_mesh_is_closed(&m));
    kw_arena_free(&a);
}

// ----------------------------------------------------------------------------------------- drawing

struct drawn {
    struct kw_arena arena;
    struct kw_path paths[8];
    int count;
    bool filled;
};

static void keep_paths(void *user, const struct kw_path *paths, int count, struct kw_pen pen) {
    struct drawn *d = user;
    for (int i = 0; i < count && d->count < 8; i++)
        d->paths[d->count++] = kw_path_copy(&d->arena, &paths[i]);
    d->filled = pen.fill;
}

Test(geom_draw, a_view_fits_and_turns_y_over) {
    struct kw_view v = kw_view_fit((struct kw_box2){{100, 100}, {300, 200}}, 10, 20, 50, 60);
    cr_expect_float_eq(v.scale, 0.25, 1e-12);
    struct kw_vec2 low = kw_view_point(v, kw_v2(100, 100)),
                   high = kw_view_point(v, kw_v2(300, 200));
    cr_expect_float_eq(low.x, 10, 1e-12);
    cr_expect_float_eq(high.x, 60, 1e-12);
    cr_expect_float_eq(low.y, 62.5, 1e-12);
    cr_expect_float_eq(high.y, 37.5, 1e-12);
    struct kw_view point = kw_view_fit((struct kw_box2){{7, 7}, {7, 7}}, 0, 0, 10, 10);
    cr_expect(point.scale == 1 && kw_view_point(point, kw_v2(7, 7)).x == 5);
    // A path on the page is the picture of the path, arcs too.
    uint64_t state = 2;
    struct kw_arena a = {0};
    for (int n = 0; n < 30; n++) {
        struct kw_path p = random_outline(&a, &state), q = kw_view_path(&a, v, &p);
        cr_expect_float_eq(kw_path_area(&q), -kw_path_area(&p) / 16, 1e-9);
        for (int i = 0; i < p.count; i++) {
            struct kw_vec2 s = kw_segment_point(kw_path_segment(&p, i), 0.4);
            cr_expect_float_eq(kw_path_distance(&q, kw_view_point(v, s)), 0, 1e-9);
        }
    }
    kw_arena_free(&a);
}

Test(geom_draw, shapes_reach_the_sink) {
    struct drawn kept = {0};
    struct kw_draw d = {.user = &kept, .paths = keep_paths};
    struct kw_pen pen = {.width = 0.3, .fill = true};
    kw_draw_line(&d, 1, 2, 3, 4, pen);
    cr_expect(kept.count == 1 && kept.paths[0].open && !kept.filled);
    kw_draw_box(&d, 10, 20, 30, 40, pen);
    cr_expect_float_eq(kw_path_area(&kept.paths[1]), 1200, 1e-9);
    kw_draw_circle(&d, 0, 0, 5, pen);
    cr_expect_float_eq(kw_path_area(&kept.paths[2]), KW_PI * 25, 1e-9);
    kw_draw_arrow(&d, 0, 0, 20, 0, 6, pen);
    cr_assert_eq(kept.count, 5);
    cr_expect(kept.filled && kept.paths[4].v[0].x == 20);
    cr_expect_float_eq(fabs(kw_path_area(&kept.paths[4])), 6, 1e-12);
    struct kw_path hole = kw_path_circle(&kept.arena, 5, 5, 2, false, 0);
    struct kw_region r = {kw_path_box_outline(&kept.arena, 0, 0, 10, 10, 0), &hole, 1};
    kw_draw_region(&d, &kept.arena, (struct kw_view){2, 0, 0}, &r, pen);
    cr_assert_eq(kept.count, 7);
    cr_expect_float_eq(fabs(kw_path_area(&kept.paths[5])), 400, 1e-9);
    kw_arena_free(&kept.arena);
}
