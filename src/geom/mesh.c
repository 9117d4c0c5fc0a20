// SPDX-License-Identifier: Apache-2.0
// Triangle meshes: growing, volume, box, whether they are closed.
#include "geom/mesh.h"

#include <stdlib.h>

int kw_mesh_point(struct kw_arena *a, struct kw_mesh *m, struct kw_vec3 p) {
    KW_PUSH(a, m->points, m->point_count) = p;
    return m->point_count - 1;
}

void kw_mesh_triangle(struct kw_arena *a, struct kw_mesh *m, int i, int j, int k) {
    m->triangles = kw_grow(a, m->triangles, m->triangle_count, sizeof *m->triangles);
    int *t = m->triangles[m->triangle_count++];
    t[0] = i;
    t[1] = j;
    t[2] = k;
}

void kw_mesh_mirror(struct kw_mesh *m, int axis) {
    for (int i = 0; i < m->point_count; i++) {
        struct kw_vec3 *p = &m->points[i];
        double *v = axis == 0 ? &p->x : axis == 1 ? &p->y : &p->z;
        *v = -*v;
    }
    for (int i = 0; i < m->triangle_count; i++) {
        int second = m->triangles[i][1];
        m->triangles[i][1] = m->triangles[i][2];
        m->triangles[i][2] = second;
    }
}

// Signed tetrahedra from a corner of the body: the divergence theorem, triangle by triangle.
double kw_mesh_volume(const struct kw_mesh *m) {
    double six = 0;
    for (int i = 0; i < m->triangle_count; i++) {
        struct kw_vec3 o = m->points[0];
        struct kw_vec3 a = kw_sub3(m->points[m->triangles[i][0]], o);
        struct kw_vec3 b = kw_sub3(m->points[m->triangles[i][1]], o);
        struct kw_vec3 c = kw_sub3(m->points[m->triangles[i][2]], o);
        six += kw_dot3(a, kw_cross3(b, c));
    }
    return six / 6;
}

struct kw_box3 kw_mesh_box(const struct kw_mesh *m) {
    struct kw_box3 box = {{0, 0, 0}, {0, 0, 0}};
    if (m->point_count > 0) box.min = box.max = m->points[0];
    for (int i = 1; i < m->point_count; i++) {
        struct kw_vec3 p = m->points[i];
        box.min = kw_v3(fmin(box.min.x, p.x), fmin(box.min.y, p.y), fmin(box.min.z, p.z));
        box.max = kw_v3(fmax(box.max.x, p.x), fmax(box.max.y, p.y), fmax(box.max.z, p.z));
    }
    return box;
}

struct edge {
    int low, high;
    int forward; // 1 from low to high, -1 from high to low
};

static int by_ends(const void *a, const void *b) {
    const struct edge *x = a, *y = b;
    if (x->low != y->low) return x->low < y->low ? -1 : 1;
    if (x->high != y->high) return x->high < y->high ? -1 : 1;
    return (x->forward > y->forward) - (x->forward < y->forward);
}

bool kw_mesh_is_closed(const struct kw_mesh *m) {
    struct kw_arena scratch = {0};
    int n = 3 * m->triangle_count;
    struct edge *e = KW_NEW_ARRAY(&scratch, struct edge, n);
    for (int i = 0; i < n; i++) {
        const int *t = m->triangles[i / 3];
        int from = t[i % 3], to = t[(i + 1) % 3];
        e[i] = from < to ? (struct edge){from, to, 1} : (struct edge){to, from, -1};
    }
    qsort(e, (size_t)n, sizeof *e, by_ends);
    bool closed = n > 0 && n % 2 == 0;
    for (int i = 0; closed && i < n; i += 2) {
        bool pair = e[i].low == e[i + 1].low && e[i].high == e[i + 1].high;
        bool third = i + 2 < n && e[i].low == e[i + 2].low && e[i].high == e[i + 2].high;
        closed = pair && !third && e[i].forward + e[i + 1].forward == 0 && e[i].low != e[i].high;
    }
    kw_arena_free(&scratch);
    return closed;
}
