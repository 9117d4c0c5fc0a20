// SPDX-License-Identifier: Apache-2.0
// Private to shape: pieces as they stand in the product.
#pragma once

#include "shape/assembly.h"
#include "shape/inside.h"

/// Part's own frame (face 0) to the product's.
struct kw_move3 stand_place(const struct kw_standing *s, const struct kw_body *body);
/// Back through a motion (or a mirroring one): its turn is orthogonal.
struct kw_vec3 stand_back(struct kw_move3 m, struct kw_vec3 p);
struct kw_vec3 stand_back_direction(struct kw_move3 m, struct kw_vec3 d);

/// Ends of the straight edge (kw_joint_tab's words) in its face's frame, metal on the left from
/// the first to the second. False when there is none, or a flange stands on it.
bool stand_edge(const struct kw_body *body, const struct kw_part *part, int flange, int edge,
                int outline_edge, struct kw_vec2 ends[2]);

struct prisms;
/// The product while it is put together.
struct assembling {
    struct kw_arena *arena;
    const struct kw_shop *shop;
    const struct kw_kit *kit;
    struct kw_body *const *bodies; ///< of kit->parts
    struct kw_findings *findings;
    struct kw_assembly *out;
    struct prisms *solids;   ///< of each piece
    struct kw_move3 **folds; ///< of each piece, of each of its faces: face frame to product
};
const char *stand_length(const struct assembling *g, double mm);
/// A finding about the kit; `at` in the product frame, or NULL. Gives it to fill in.
struct kw_finding *stand_find(struct assembling *g, enum kw_level level, const char *rule,
                              struct kw_place where, const struct kw_vec3 *at, const char *says);
void stand_seams(struct assembling *g);     // seam.c
void stand_edge_uses(struct assembling *g); // seam.c

/// Tabs into the outline of face 0 and of flanges, before the blank is made; a drawn blank gets
/// them too (tab.c).
void shape_tabs(struct build *b);
/// Slots as holes, told coordinates, clockwise (tab.c).
struct kw_path shape_slot(struct kw_arena *a, const struct kw_joint_slot *slot, int tag);
