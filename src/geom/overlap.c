// SPDX-License-Identifier: Apache-2.0
// Areas of polygons through GEOS: for checks, never for what reaches a program. Every call has its
// own GEOS context, so that threads don't meet; every handle is freed here.
#define GEOS_USE_ONLY_R_API
#include "geom/path.h"
#include "geom/units.h"

#include <geos_c.h>

static GEOSGeometry *ring(GEOSContextHandle_t g, const struct kw_path *p, double tolerance) {
    struct kw_arena scratch = {0};
    int n;
    struct kw_vec2 *points = kw_path_chords(&scratch, p, tolerance, KW_CHORD_INSIDE, &n);
    GEOSCoordSequence *seq = GEOSCoordSeq_create_r(g, (unsigned)n + 1, 2);
    bool ok = seq != NULL;
    for (int i = 0; ok && i <= n; i++)
        ok = GEOSCoordSeq_setXY_r(g, seq, (unsigned)i, points[i % n].x, points[i % n].y) != 0;
    kw_arena_free(&scratch);
    if (ok) return GEOSGeom_createLinearRing_r(g, seq); // owns seq, even when it fails
    if (seq) GEOSCoordSeq_destroy_r(g, seq);
    return NULL;
}

// NULL when GEOS refuses. Chords may make a valid outline touch itself: it is mended then.
static GEOSGeometry *polygon(GEOSContextHandle_t g, const struct kw_region *r, double tolerance) {
    struct kw_arena scratch = {0};
    GEOSGeometry **holes = KW_NEW_ARRAY(&scratch, GEOSGeometry *, r->hole_count + 1);
    GEOSGeometry *shell = ring(g, &r->outer, tolerance), *result = NULL;
    int made = 0;
    while (shell && made < r->hole_count &&
           (holes[made] = ring(g, &r->holes[made], tolerance)) != NULL)
        made++;
    if (shell && made == r->hole_count) {
        result = GEOSGeom_createPolygon_r(g, shell, holes, (unsigned)made); // owns them all
    } else {
        if (shell) GEOSGeom_destroy_r(g, shell);
        for (int i = 0; i < made; i++)
            GEOSGeom_destroy_r(g, holes[i]);
    }
    kw_arena_free(&scratch);
    if (!result || GEOSisValid_r(g, result) == 1) return result;
    GEOSGeometry *valid = GEOSMakeValid_r(g, result);
    GEOSGeom_destroy_r(g, result);
    return valid;
}

static bool apart(const struct kw_region *p, const struct kw_region *q) {
    struct kw_box2 a = kw_path_box(&p->outer), b = kw_path_box(&q->outer);
    return a.max.x <= b.min.x || b.max.x <= a.min.x || a.max.y <= b.min.y || b.max.y <= a.min.y;
}

// Not-a-number when GEOS can't tell, so that a check written as !(area <= limit) fails.
double kw_region_overlap(const struct kw_region *p, const struct kw_region *q, double tolerance) {
    if (p->outer.count < 2 || q->outer.count < 2 || apart(p, q)) return 0;
    GEOSContextHandle_t g = GEOS_init_r();
    GEOSGeometry *a = polygon(g, p, tolerance), *b = polygon(g, q, tolerance);
    GEOSGeometry *both = a && b ? GEOSIntersection_r(g, a, b) : NULL;
    double area = NAN;
    if (both && GEOSArea_r(g, both, &area) == 0) area = NAN;
    if (both) GEOSGeom_destroy_r(g, both);
    if (b) GEOSGeom_destroy_r(g, b);
    if (a) GEOSGeom_destroy_r(g, a);
    GEOS_finish_r(g);
    return area;
}
