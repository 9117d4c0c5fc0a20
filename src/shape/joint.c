// SPDX-License-Identifier: Apache-2.0
// Tabs and slots from where the two pieces of a joint stand.
//
// Sizes (common practice, no source, but for the clip's reason, which is geometry):
//   slot wide   = thickest sheet in tolerance + 0.025 in, at least 2 kerfs
//   slot long   = tab + 1/16 in
//   tab corners = clipped 1/16 in (a square corner does not go into a kerf-rounded slot)
//   tab wide    = a third of its share of the edge, at least 3 thicknesses and 3/8 in, at most 2 in
//   tab reach   = through the other sheet, flush with its far side
#include "shape/stand.h"

#include <stdio.h>
#include <string.h>

#define IN          KW_MM_PER_IN
#define SLOT_PLAY   (0.025 * IN)
#define SLOT_LONGER (IN / 16)
#define TAB_CLIP    (IN / 16)
#define MEETS_MM    0.5 // an edge further from the face than this does not meet it
#define SQUARE      (KW_PI / 180)

struct joint_sizes {
    double wide;        ///< of a tab
    double clip;        ///< off its corners
    double slot_wide;   ///< across the tab's sheet
    double slot_longer; ///< than the tab is wide
};

static struct joint_sizes joint_sizes(const struct kw_joint *joint, double edge,
                                      const struct kw_stock *tab, double slot_kerf) {
    double share = edge / joint->tabs / 3;
    double least = fmax(3 * tab->thickness, 3 * IN / 8);
    struct joint_sizes s = {.wide = joint->wide, .clip = TAB_CLIP, .slot_longer = SLOT_LONGER};
    if (!(s.wide > 0)) s.wide = fmin(fmax(share, least), 2 * IN);
    s.clip = fmin(s.clip, s.wide / 4);
    double thickest = fmax(tab->thickness, tab->thickness_most);
    s.slot_wide = fmax(thickest + SLOT_PLAY, 2 * slot_kerf);
    return s;
}

struct joining {
    struct kw_arena *arena;
    const struct kw_shop *shop;
    struct kw_kit *kit;
    struct kw_findings *findings;
    struct kw_body **bodies; // of kit->parts, without tabs and slots; NULL not made
    bool *tried;
};

static const char *shown(const struct joining *j, double mm) {
    char buf[48];
    return kw_format(j->arena, "%s", kw_length_text(buf, mm, (enum kw_length_unit)j->shop->units));
}

static void find(struct joining *j, const struct kw_joint *joint, const char *key, double measured,
                 const char *says, const char *fix) {
    struct kw_finding f = {
        .level = KW_STOP,
        .rule = "joint-apart",
        .kit = j->kit->name,
        .part = KW_ITEM(struct kw_standing, j->kit->assembly, joint->tab_piece)->part,
        .where = shape_place(joint->node, key),
        .frame = "",
        .measured = measured,
        .limit = MEETS_MM,
        .unit = "mm",
        .says = says,
        .fix = fix};
    kw_find(j->findings, f);
}

/// A body without its joints; its own findings are told when it is made for good.
static const struct kw_body *body_of(struct joining *j, int part) {
    if (j->tried[part]) return j->bodies[part];
    j->tried[part] = true;
    struct kw_findings quiet = {.arena = j->arena};
    kw_body_make(j->arena, j->shop, j->kit, KW_ITEM(struct kw_part, j->kit->parts, part), &quiet,
                 &j->bodies[part]);
    return j->bodies[part];
}

/// One side of a joint: the piece, its part, body, face, and the face's frame in the product.
struct side {
    const struct kw_standing *piece;
    struct kw_part *part;
    const struct kw_body *body;
    int flange, edge, outline_edge, face;
    struct kw_move3 move;
};

static bool side_of(struct joining *j, int piece, const char *said, bool is_tab, struct side *s) {
    s->piece = KW_ITEM(struct kw_standing, j->kit->assembly, piece);
    s->part = KW_ITEM(struct kw_part, j->kit->parts, s->piece->part_index);
    s->body = body_of(j, s->piece->part_index);
    if (!s->body) return false;
    const char *dot = strchr(said, '.');
    s->flange = -1;
    for (int i = 0; dot && i < s->part->bends.count; i++)
        if (strcmp(KW_ITEM(struct kw_flange, s->part->bends, i)->name, dot + 1) == 0) s->flange = i;
    static const char *const edges[] = {"front", "right", "back", "left"};
    for (int i = 0; is_tab && i < 4; i++)
        if (strcmp(dot + 1, edges[i]) == 0) s->edge = i;
    if (is_tab && strncmp(dot + 1, "edge ", 5) == 0) {
        s->edge = KW_EDGE_OF_OUTLINE;
        (void)sscanf(dot + 6, "%d", &s->outline_edge);
    }
    s->face = kw_body_flange_face(s->body, s->flange);
    struct kw_move3 *fold = kw_body_fold(j->arena, s->body, 1);
    s->move = kw_move3_then(fold[s->face], stand_place(s->piece, s->body));
    return true;
}

/// Where the tab's edge lies on the slot's face: ends of its middle line in that face's frame.
static bool meet(struct joining *j, const struct kw_joint *joint, const struct side *tab,
                 const struct side *slot, const struct kw_vec2 edge[2], struct kw_vec3 on[2]) {
    double middle = -tab->body->thickness / 2, t = slot->body->thickness, off = 0;
    struct kw_vec2 d = kw_sub2(edge[1], edge[0]);
    struct kw_vec2 out = kw_scale2(kw_left2(d), -1 / kw_length2(d));
    struct kw_vec3 way = kw_move3_direction(tab->move, kw_v3(out.x, out.y, 0));
    way = stand_back_direction(slot->move, way);
    for (int i = 0; i < 2; i++) {
        struct kw_vec3 p = kw_move3_point(tab->move, kw_v3(edge[i].x, edge[i].y, middle));
        on[i] = stand_back(slot->move, p);
        off = fmax(off, fabs(way.z < 0 ? on[i].z : on[i].z + t));
    }
    double lean = acos(fmin(1, fabs(way.z)));
    if (lean > SQUARE) {
        find(j, joint, "tab", lean * 180 / KW_PI,
             kw_format(j->arena, "the edge %s doesn't stand square on %s: it leans by %.1f degrees",
                       joint->tab, joint->slot, lean * 180 / KW_PI),
             "turn one of the two pieces, or weld the edge without tabs");
        return false;
    }
    if (off <= MEETS_MM) return true;
    find(j, joint, "tab", off,
         kw_format(j->arena, "the edge %s misses the face of %s by %s", joint->tab, joint->slot,
                   shown(j, off)),
         "move one of the two pieces (at:), or change its size");
    return false;
}

/// The stretch of the middle line, from `on[0]`, that lies in the slot's face with room for a slot.
static bool stretch_on(struct joining *j, const struct side *slot, const struct kw_vec3 on[2],
                       double wide, double *from, double *to) {
    struct kw_vec2 p = kw_v2(on[0].x, on[0].y), d = kw_sub2(kw_v2(on[1].x, on[1].y), p);
    double length = kw_length2(d);
    struct kw_vec2 u = kw_scale2(d, 1 / length), aside = kw_scale2(kw_left2(u), wide / 2);
    *from = 0;
    *to = length;
    for (int k = -1; k <= 1; k++) { // the line and the slot's two sides
        int n;
        struct kw_vec2 q = kw_add2(p, kw_scale2(aside, k));
        double *s =
            shape_line_meets(j->arena, &slot->body->faces[slot->face].shape.outer, q, u, &n);
        double lo = INFINITY, hi = -INFINITY, best = 0;
        for (int i = 0; i + 1 < n; i += 2) { // the longest run inside the face
            double a = fmax(s[i], 0), b = fmin(s[i + 1], length);
            if (b - a > best) best = b - a, lo = a, hi = b;
        }
        *from = fmax(*from, lo);
        *to = fmin(*to, hi);
    }
    return *to - *from > 1;
}

static struct kw_vec2 told(const struct side *s, struct kw_vec2 p) {
    return kw_move2_point(kw_move2_inverse(kw_body_told(s->body, s->flange)), p);
}

static bool same_tab(const struct kw_joint_tab *a, const struct kw_joint_tab *b) {
    return a->flange == b->flange && a->edge == b->edge && a->outline_edge == b->outline_edge &&
           fabs(a->middle - b->middle) < 0.1 && fabs(a->wide - b->wide) < 0.1 &&
           fabs(a->reach - b->reach) < 0.1;
}

static bool same_slot(const struct kw_joint_slot *a, const struct kw_joint_slot *b) {
    return a->flange == b->flange && kw_length2(kw_sub2(a->at, b->at)) < 0.1 &&
           fabs(a->length - b->length) < 0.1 && fabs(a->wide - b->wide) < 0.1;
}

static void add_tab(struct joining *j, struct kw_part *part, struct kw_joint_tab tab) {
    struct kw_joint_tab *v = part->tabs.v;
    for (int i = 0; i < part->tabs.count; i++)
        if (same_tab(&v[i], &tab)) return; // another piece of the same part has it
    KW_PUSH(j->arena, v, part->tabs.count) = tab;
    part->tabs.v = v;
}

static void add_slot(struct joining *j, struct kw_part *part, struct kw_joint_slot slot) {
    struct kw_joint_slot *v = part->slots.v;
    for (int i = 0; i < part->slots.count; i++)
        if (same_slot(&v[i], &slot)) return;
    KW_PUSH(j->arena, v, part->slots.count) = slot;
    part->slots.v = v;
}

static double kerf_of(const struct kw_shop *shop, const struct kw_part *part) {
    const struct kw_cut_entry *cut = kw_shop_cut_rule(shop, &part->stock);
    return cut ? cut->kerf : 0;
}

static void place_tabs(struct joining *j, const struct kw_joint *joint, const struct side *tab,
                       const struct side *slot, const struct kw_vec2 edge[2],
                       const struct kw_vec3 on[2], double from, double to) {
    struct joint_sizes size =
        joint_sizes(joint, to - from, &tab->part->stock, kerf_of(j->shop, slot->part));
    double share = (to - from) / joint->tabs;
    if (share < size.wide + size.slot_longer + 2 * tab->body->thickness) {
        find(j, joint, "tabs", share,
             kw_format(j->arena, "%d tabs of %s don't fit along the %s on which %s meets %s",
                       joint->tabs, shown(j, size.wide), shown(j, to - from), joint->tab,
                       joint->slot),
             "ask for fewer or narrower tabs");
        return;
    }
    struct kw_vec2 p = kw_v2(on[0].x, on[0].y), q = kw_v2(on[1].x, on[1].y);
    struct kw_vec2 u = kw_scale2(kw_sub2(q, p), 1 / kw_length2(kw_sub2(q, p)));
    struct kw_vec2 v =
        kw_scale2(kw_sub2(edge[1], edge[0]), 1 / kw_length2(kw_sub2(edge[1], edge[0])));
    struct kw_vec2 t0 = told(slot, p), t1 = told(slot, kw_add2(p, u));
    for (int i = 0; i < joint->tabs; i++) {
        double s = from + (i + 0.5) * share;
        struct kw_vec2 at = kw_add2(edge[0], kw_scale2(v, s));
        add_tab(j, tab->part,
                (struct kw_joint_tab){.joint = joint,
                                      .flange = tab->flange,
                                      .edge = tab->edge,
                                      .outline_edge = tab->outline_edge,
                                      .middle = kw_dot2(kw_sub2(at, edge[0]), v),
                                      .wide = size.wide,
                                      .reach = slot->body->thickness,
                                      .clip = fmin(size.clip, slot->body->thickness)});
        add_slot(j, slot->part,
                 (struct kw_joint_slot){.joint = joint,
                                        .flange = slot->flange,
                                        .at = told(slot, kw_add2(p, kw_scale2(u, s))),
                                        .turn = atan2(t1.y - t0.y, t1.x - t0.x),
                                        .length = size.wide + size.slot_longer,
                                        .wide = size.slot_wide});
    }
}

static void make_joint(struct joining *j, const struct kw_joint *joint) {
    struct side tab = {0}, slot = {0};
    if (!side_of(j, joint->tab_piece, joint->tab, true, &tab) ||
        !side_of(j, joint->slot_piece, joint->slot, false, &slot))
        return; // the part's own findings say why
    struct kw_vec2 edge[2];
    if (!stand_edge(tab.body, tab.part, tab.flange, tab.edge, tab.outline_edge, edge)) {
        find(j, joint, "tab", 0,
             kw_format(j->arena, "%s is no free straight edge: a flange stands on it, or it bows",
                       joint->tab),
             "name the flange's own edge, or another one");
        return;
    }
    struct kw_vec3 on[2];
    double from, to;
    if (!meet(j, joint, &tab, &slot, edge, on)) return;
    double wide = fmax(tab.part->stock.thickness_most, tab.part->stock.thickness) + SLOT_PLAY +
                  2 * slot.body->thickness; // and metal beside the slot
    if (!stretch_on(j, &slot, on, wide, &from, &to)) {
        find(j, joint, "slot", 0,
             kw_format(j->arena, "the edge %s lies outside the face of %s, or too near its edge",
                       joint->tab, joint->slot),
             "move one of the two pieces (at:), or name the flange that it meets");
        return;
    }
    place_tabs(j, joint, &tab, &slot, edge, on, from, to);
}

void kw_assembly_joints(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *kit,
                        struct kw_findings *findings) {
    int n = kit->parts.count;
    if (kit->joints.count == 0) return;
    struct joining j = {.arena = a,
                        .shop = shop,
                        .kit = kit,
                        .findings = findings,
                        .bodies = KW_NEW_ARRAY(a, struct kw_body *, n),
                        .tried = KW_NEW_ARRAY(a, bool, n)};
    for (int i = 0; i < n; i++) { // asked for again: as if for the first time
        struct kw_part *p = KW_ITEM(struct kw_part, kit->parts, i);
        p->tabs = p->slots = (struct kw_items){0};
    }
    struct kw_items joints = kit->joints;
    for (int i = 0; i < joints.count; i++)
        make_joint(&j, KW_ITEM(struct kw_joint, joints, i));
}
