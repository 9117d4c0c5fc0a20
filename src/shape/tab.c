// SPDX-License-Identifier: Apache-2.0
// Tabs put onto edges of faces, slots cut into them, as the kit's joints say.
#include "shape/stand.h"

/// Puts a tab onto the segment of `p` from `a` to `b` (or the part of it that lies there).
static bool insert(struct kw_arena *arena, struct kw_path *p, struct kw_vec2 a, struct kw_vec2 b,
                   const struct kw_joint_tab *tab, int tag) {
    struct kw_vec2 d = kw_sub2(b, a), u = kw_scale2(d, 1 / kw_length2(d));
    struct kw_vec2 out = kw_scale2(kw_left2(u), -1);
    double half = tab->wide / 2;
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        if (s.radius > 0 || fabs(kw_cross2(u, kw_sub2(s.a, a))) > 1e-3 ||
            fabs(kw_cross2(u, kw_sub2(s.b, a))) > 1e-3)
            continue;
        double from = kw_dot2(u, kw_sub2(s.a, a)), to = kw_dot2(u, kw_sub2(s.b, a));
        if (!(from <= tab->middle - half && to >= tab->middle + half)) continue;
        const double at[6][2] = {{-half, 0},
                                 {-half, tab->reach - tab->clip},
                                 {-half + tab->clip, tab->reach},
                                 {half - tab->clip, tab->reach},
                                 {half, tab->reach - tab->clip},
                                 {half, 0}};
        struct kw_path q = {0};
        for (int k = 0; k <= i; k++)
            kw_path_add(arena, &q, p->v[k].x, p->v[k].y, p->v[k].bulge, p->v[k].tag);
        for (int k = 0; k < 6; k++) {
            struct kw_vec2 c = kw_add2(a, kw_scale2(u, tab->middle + at[k][0]));
            c = kw_add2(c, kw_scale2(out, at[k][1]));
            const struct kw_vertex *last = &q.v[q.count - 1];
            if (hypot(last->x - c.x, last->y - c.y) <= KW_SAME_POINT_MM) continue;
            kw_path_add(arena, &q, c.x, c.y, 0, k < 5 ? tag : p->v[i].tag);
        }
        for (int k = i + 1; k < p->count; k++)
            kw_path_add(arena, &q, p->v[k].x, p->v[k].y, p->v[k].bulge, p->v[k].tag);
        *p = q;
        return true;
    }
    return false;
}

void shape_tabs(struct build *b) {
    struct kw_body *body = b->body;
    const struct kw_joint_tab *tabs = b->part->tabs.v;
    struct kw_vec2(*edges)[2] = NULL;
    if (b->part->tabs.count == 0) return;
    edges = kw_alloc(b->arena, sizeof *edges * (size_t)b->part->tabs.count);
    bool *found = KW_NEW_ARRAY(b->arena, bool, b->part->tabs.count);
    for (int i = 0; i < b->part->tabs.count; i++) // before the first tab changes an edge
        found[i] =
            stand_edge(body, b->part, tabs[i].flange, tabs[i].edge, tabs[i].outline_edge, edges[i]);
    for (int i = 0; i < b->part->tabs.count; i++) {
        struct kw_face *f = &body->faces[kw_body_flange_face(body, tabs[i].flange)];
        bool done = found[i] && insert(b->arena, &f->shape.outer, edges[i][0], edges[i][1],
                                       &tabs[i], KW_TAB_TAG + i);
        if (done && body->blank.outer.count > 0) // a drawn blank is there already
            done = insert(b->arena, &body->blank.outer, kw_move2_point(f->flat, edges[i][0]),
                          kw_move2_point(f->flat, edges[i][1]), &tabs[i], KW_TAB_TAG + i);
        if (!done)
            shape_find(b, KW_STOP, "joint-apart", shape_place(tabs[i].joint->node, "tab"), 0, 0,
                       kw_format(b->arena, "there is no room for a tab on the edge %s",
                                 tabs[i].joint->tab),
                       "");
    }
}

struct kw_path shape_slot(struct kw_arena *a, const struct kw_joint_slot *s, int tag) {
    struct kw_path p =
        kw_path_box_outline(a, -s->length / 2, -s->wide / 2, s->length / 2, s->wide / 2, tag);
    p = kw_path_oriented(a, &p, false);
    return kw_path_moved(a, &p, kw_move2_make(s->at.x, s->at.y, s->turn, false));
}
