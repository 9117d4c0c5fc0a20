// SPDX-License-Identifier: Apache-2.0
// Whether a part is one: a tree of flats and bends, with numbers that are numbers.
#include "brake/inside.h"

#define MOST_BENDS 500

static bool finite_path(const struct kw_path *p) {
    for (int i = 0; i < p->count; i++)
        if (!isfinite(p->v[i].x) || !isfinite(p->v[i].y) || !isfinite(p->v[i].bulge)) return false;
    return p->count >= 2;
}

static const char *bend_fault(const struct kw_brake_part *part, const struct kw_brake_bend *b) {
    if (b->parent < 0 || b->parent >= part->face_count || b->child <= 0 ||
        b->child >= part->face_count || b->parent == b->child)
        return "joins faces that are not there";
    if (!(b->angle > 0 && b->angle < KW_PI)) return "turns by no angle between 0 and 180 degrees";
    if (!(kw_length2(kw_sub2(b->to, b->from)) > KW_SAME_POINT_MM)) return "has a line of no length";
    if (!(kw_length2(b->from) <= KW_MOST_MM && kw_length2(b->to) <= KW_MOST_MM))
        return "lies out of range";
    if (!(b->allowance >= 0 && b->allowance <= KW_MOST_MM)) return "has no allowance";
    if (!(b->radius >= 0 && b->radius <= KW_MOST_MM)) return "has no radius";
    if (!(b->hole_gap >= 0)) return "has a hole gap below 0";
    return NULL;
}

/// Every face but 0 is the child of one bend and hangs on face 0.
static const char *tree_fault(const struct kw_brake_part *part) {
    for (int face = 1; face < part->face_count; face++) {
        int owners = 0;
        for (int i = 0; i < part->bend_count; i++)
            owners += part->bends[i].child == face;
        if (owners != 1) return "a face is not the child of one bend";
        int at = face, left = part->bend_count;
        for (; at != 0 && left >= 0; left--)
            for (int i = 0; i < part->bend_count; i++)
                if (part->bends[i].child == at) {
                    at = part->bends[i].parent;
                    break;
                }
        if (at != 0) return "the bends go round in a ring";
    }
    return NULL;
}

enum kw_status check_part(const struct kw_brake_part *part, const struct kw_brake_material *m,
                          struct kw_place at, struct kw_error *err) {
    if (!(m->thickness > 0 && m->thickness <= KW_MOST_MM && m->tensile > 0 && m->yield >= 0))
        return kw_fail(err, KW_GEOMETRY, at,
                       "a bent part needs a thickness and a tensile strength");
    if (part->face_count < 1) return kw_fail(err, KW_GEOMETRY, at, "a bent part needs a face");
    if (part->bend_count > MOST_BENDS)
        return kw_fail(err, KW_LIMIT, at, "at most %d bends, got %d", MOST_BENDS, part->bend_count);
    for (int i = 0; i < part->bend_count; i++) {
        const char *fault = bend_fault(part, &part->bends[i]);
        if (fault) return kw_fail(err, KW_GEOMETRY, at, "bend %s %s", part->bends[i].id, fault);
    }
    for (int i = 0; i < part->face_count; i++)
        if (!finite_path(&part->faces[i].outline))
            return kw_fail(err, KW_GEOMETRY, at, "face %d has no outline", i);
    for (int i = 0; i < part->bump_count; i++) {
        const struct kw_brake_bump *b = &part->bumps[i];
        if (b->face < 0 || b->face >= part->face_count || !(b->radius > 0 && b->height > 0) ||
            b->after < 0 || b->after > part->bend_count || !(kw_length2(b->at) <= KW_MOST_MM))
            return kw_fail(err, KW_GEOMETRY, at, "bump %d has no face, place or size", i);
    }
    const char *fault = tree_fault(part);
    return fault ? kw_fail(err, KW_GEOMETRY, at, "%s", fault) : KW_OK;
}
