// SPDX-License-Identifier: Apache-2.0
// The assembled kit: pieces that share metal, tabs that meet no slot, its mass and box.
#include "shape/prism.h"
#include "shape/stand.h"

#include <stdio.h>
#include <string.h>

const char *stand_length(const struct assembling *g, double mm) {
    char buf[48];
    return kw_format(g->arena, "%s", kw_length_text(buf, mm, (enum kw_length_unit)g->shop->units));
}

struct kw_finding *stand_find(struct assembling *g, enum kw_level level, const char *rule,
                              struct kw_place where, const struct kw_vec3 *at, const char *says) {
    struct kw_finding f = {.level = level,
                           .rule = rule,
                           .kit = g->kit->name,
                           .where = where,
                           .frame = at ? "product" : "",
                           .unit = "mm",
                           .says = says,
                           .fix = ""};
    if (at) f.at[0] = at->x, f.at[1] = at->y, f.at[2] = at->z;
    kw_find(g->findings, f);
    return &g->findings->v[g->findings->count - 1];
}

// ----------------------------------------------------------------------------- solids

/// A straight tube or bar: its length along x from the origin, its section's box behind and above.
static void bar_prisms(struct kw_arena *a, const struct kw_part *part, struct kw_move3 m,
                       struct prisms *all) {
    double w = part->stock.width, h = part->stock.height;
    double from = -part->longer[0], l = part->length + part->longer[0] + part->longer[1];
    if (!(h > 0)) h = part->stock.thickness > 0 ? part->stock.thickness : w;
    struct kw_vec3 through = kw_move3_direction(m, kw_v3(l, 0, 0));
    const double c[4][2] = {{0, 0}, {w, 0}, {w, h}, {0, h}};
    for (int i = 0; i < 2; i++) {
        struct kw_vec3 p[3];
        const int corner[2][3] = {{0, 1, 2}, {0, 2, 3}};
        for (int k = 0; k < 3; k++)
            p[k] = kw_move3_point(m, kw_v3(from, c[corner[i][k]][0], c[corner[i][k]][1]));
        shape_add_prism(a, all, p, through);
    }
}

static void piece_solids(struct assembling *g, int i) {
    const struct kw_piece *p = &g->out->pieces[i];
    const struct kw_body *body = g->bodies[p->part];
    const struct kw_part *part = KW_ITEM(struct kw_part, g->kit->parts, p->part);
    if (!body) {
        if (part->length > 0) bar_prisms(g->arena, part, p->place, &g->solids[i]);
        return;
    }
    struct kw_move3 *fold = kw_body_fold(g->arena, body, 1);
    g->folds[i] = KW_NEW_ARRAY(g->arena, struct kw_move3, body->face_count);
    for (int f = 0; f < body->face_count; f++) {
        g->folds[i][f] = kw_move3_then(fold[f], p->place);
        shape_face_prisms(g->arena, body, f, g->folds[i][f], &g->solids[i]);
    }
    for (int b = 0; b < body->bend_count; b++)
        shape_bend_prisms(g->arena, body, b, g->folds[i][body->bends[b].parent], &g->solids[i]);
}

/// Whether an end of p is cut to stand on q's part: there the two touch all round.
static bool is_fitted_to(const struct assembling *g, const struct kw_piece *p,
                         const struct kw_piece *q) {
    const struct kw_ends *e = &KW_ITEM(struct kw_part, g->kit->parts, p->part)->ends;
    const char *name = q->standing->part;
    return (e->start.fit.is && strcmp(e->start.cope.onto, name) == 0) ||
           (e->end.fit.is && strcmp(e->end.cope.onto, name) == 0);
}

static void check_clashes(struct assembling *g) {
    for (int i = 0; i < g->out->piece_count; i++)
        for (int k = i + 1; k < g->out->piece_count; k++) {
            struct kw_vec3 at;
            if (is_fitted_to(g, &g->out->pieces[i], &g->out->pieces[k]) ||
                is_fitted_to(g, &g->out->pieces[k], &g->out->pieces[i]))
                continue;
            if (!shape_prisms_meet(&g->solids[i], &g->solids[k], &at)) continue;
            const struct kw_standing *p = g->out->pieces[i].standing;
            const struct kw_standing *q = g->out->pieces[k].standing;
            struct kw_finding *f = stand_find(
                g, KW_STOP, "pieces-collide", shape_place(q->node, "at"), &at,
                kw_format(g->arena, "pieces %s and %s run into each other", p->name, q->name));
            f->limit = SHAPE_DEEPER_MM;
            f->part = q->part;
        }
}

// ----------------------------------------------------------------------------- tabs and slots

/// The tab's middle on the edge line and its directions, product frame.
struct tab_in_space {
    struct kw_vec3 foot, along, out;
    double thick;
};

static bool tab_at(const struct assembling *g, int piece, int index, struct tab_in_space *t) {
    const struct kw_piece *p = &g->out->pieces[piece];
    const struct kw_body *body = g->bodies[p->part];
    const struct kw_joint_tab *tab = KW_ITEM(struct kw_joint_tab, body->part->tabs, index);
    int face = kw_body_flange_face(body, tab->flange);
    struct kw_vec2 a = {0}, b = {0};
    int found = 0; // the tab's own segments tell where it is
    const struct kw_path *path = &body->faces[face].shape.outer;
    for (int i = 0; i < path->count; i++) {
        if (path->v[i].tag != KW_TAB_TAG + index) continue;
        struct kw_segment s = kw_path_segment(path, i);
        if (found == 0) a = s.a;
        b = s.b;
        found++;
    }
    if (found == 0) return false;
    struct kw_vec2 d = kw_sub2(b, a);
    struct kw_vec2 u = kw_scale2(d, 1 / kw_length2(d)), foot = kw_lerp2(a, b, 0.5);
    struct kw_move3 m = g->folds[piece][face];
    t->thick = fmax(body->thickness, body->part->stock.thickness_most);
    t->foot = kw_move3_point(m, kw_v3(foot.x, foot.y, -body->thickness / 2));
    t->along = kw_move3_direction(m, kw_v3(u.x, u.y, 0));
    t->out = kw_move3_direction(m, kw_v3(u.y, -u.x, 0));
    return true;
}

/// How far the middle of the tab is off the middle of the slot, along and across; false when it
/// isn't near its plane.
static bool off_slot(const struct assembling *g, int piece, const struct kw_joint_slot *slot,
                     const struct tab_in_space *t, double off[2]) {
    const struct kw_body *body = g->bodies[g->out->pieces[piece].part];
    int face = kw_body_flange_face(body, slot->flange);
    struct kw_move3 m = g->folds[piece][face];
    struct kw_vec2 at = kw_move2_point(kw_body_told(body, slot->flange), slot->at);
    struct kw_vec3 q = stand_back(m, t->foot), u = stand_back_direction(m, t->along);
    struct kw_vec3 out = stand_back_direction(m, t->out);
    double surface = out.z < 0 ? 0 : -body->thickness;
    if (fabs(q.z - surface) > body->thickness || fabs(out.z) < 0.99) return false;
    struct kw_vec2 d = kw_sub2(kw_v2(q.x, q.y), at), along = kw_v2(u.x, u.y);
    off[0] = fabs(kw_dot2(d, along));
    off[1] = fabs(kw_cross2(along, d));
    return true;
}

static void check_tab(struct assembling *g, int piece, int index) {
    const struct kw_piece *p = &g->out->pieces[piece];
    const struct kw_part *part = g->bodies[p->part]->part;
    const struct kw_joint_tab *tab = KW_ITEM(struct kw_joint_tab, part->tabs, index);
    struct tab_in_space t;
    if (!tab_at(g, piece, index, &t)) return;
    double nearest = INFINITY, play[2] = {0, 0};
    for (int k = 0; k < g->out->piece_count; k++) {
        const struct kw_body *other = g->bodies[g->out->pieces[k].part];
        for (int i = 0; k != piece && other && i < other->part->slots.count; i++) {
            const struct kw_joint_slot *s = KW_ITEM(struct kw_joint_slot, other->part->slots, i);
            double off[2];
            if (!off_slot(g, k, s, &t, off) || hypot(off[0], off[1]) >= nearest) continue;
            nearest = hypot(off[0], off[1]);
            play[0] = (s->length - tab->wide) / 2 - off[0];
            play[1] = (s->wide - t.thick) / 2 - off[1];
        }
    }
    struct kw_place where = shape_place(tab->joint->node, "tab");
    if (nearest > tab->wide) {
        struct kw_finding *f = stand_find(
            g, KW_STOP, "tab-without-slot", where, &t.foot,
            kw_format(g->arena, "a tab of piece %s (joint %s) meets no slot where it stands",
                      p->standing->name, tab->joint->name));
        f->measured = isinf(nearest) ? 0 : nearest;
        f->part = part->name;
    } else if (fmin(play[0], play[1]) < 0) {
        struct kw_finding *f = stand_find(
            g, KW_STOP, "tab-tight", where, &t.foot,
            kw_format(g->arena,
                      "a tab of piece %s is wider than its slot by %s when the sheet is at its "
                      "thickest",
                      p->standing->name, stand_length(g, -2 * fmin(play[0], play[1]))));
        f->measured = fmin(play[0], play[1]);
        f->part = part->name;
    }
}

static void check_tabs(struct assembling *g) {
    for (int i = 0; i < g->out->piece_count; i++) {
        const struct kw_body *body = g->bodies[g->out->pieces[i].part];
        for (int k = 0; body && k < body->part->tabs.count; k++)
            check_tab(g, i, k);
    }
}

// ----------------------------------------------------------------------------- the whole

/// Pieces of each part against what a kit holds.
static void check_counts(struct assembling *g) {
    for (int i = 0; i < g->kit->parts.count; i++) {
        const struct kw_part *part = KW_ITEM(struct kw_part, g->kit->parts, i);
        int stand = 0, in_kit = part->each + part->left + part->right;
        for (int k = 0; k < g->out->piece_count; k++)
            stand += g->out->pieces[k].part == i;
        if (stand == in_kit) continue;
        struct kw_finding *f =
            stand_find(g, KW_NOTE, "assembly-count", shape_place(part->node, "per_kit"), NULL,
                       kw_format(g->arena, "%d of %s stand in the assembly, a kit holds %d", stand,
                                 part->name, in_kit));
        f->measured = stand;
        f->limit = in_kit;
        f->unit = "";
        f->part = part->name;
    }
}

static void measure(struct assembling *g) {
    struct kw_box3 box = {{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
    for (int i = 0; i < g->out->piece_count; i++) {
        const struct kw_body *body = g->bodies[g->out->pieces[i].part];
        const struct kw_box3 *b = &g->solids[i].box;
        if (body) g->out->mass += body->mass;
        if (g->solids[i].count == 0) continue;
        box.min =
            kw_v3(fmin(box.min.x, b->min.x), fmin(box.min.y, b->min.y), fmin(box.min.z, b->min.z));
        box.max =
            kw_v3(fmax(box.max.x, b->max.x), fmax(box.max.y, b->max.y), fmax(box.max.z, b->max.z));
    }
    g->out->box = box;
}

void kw_assembly_make(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                      struct kw_body *const *bodies, struct kw_findings *findings,
                      struct kw_assembly **out) {
    *out = NULL;
    int n = kit->assembly.count;
    if (n == 0) return;
    struct kw_assembly *all = KW_NEW(a, struct kw_assembly);
    struct assembling g = {.arena = a,
                           .shop = shop,
                           .kit = kit,
                           .bodies = bodies,
                           .findings = findings,
                           .out = all,
                           .solids = KW_NEW_ARRAY(a, struct prisms, n),
                           .folds = KW_NEW_ARRAY(a, struct kw_move3 *, n)};
    all->pieces = KW_NEW_ARRAY(a, struct kw_piece, n);
    all->piece_count = n;
    for (int i = 0; i < n; i++) {
        const struct kw_standing *s = KW_ITEM(struct kw_standing, kit->assembly, i);
        all->pieces[i] = (struct kw_piece){s, s->part_index, stand_place(s, bodies[s->part_index])};
        piece_solids(&g, i);
    }
    check_counts(&g);
    check_clashes(&g);
    check_tabs(&g);
    stand_seams(&g);
    stand_edge_uses(&g);
    measure(&g);
    *out = all;
}
