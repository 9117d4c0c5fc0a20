// SPDX-License-Identifier: Apache-2.0
// The kit as the buyer assembles it: where every piece stands, tabs and slots that follow from it,
// whether pieces run into each other, and the seams to weld. Product frame: as the kit file says.
#pragma once

#include "base/base.h"
#include "kit/kit.h"
#include "shape/shape.h"
#include "shop/shop.h"

/// A piece in the product.
struct kw_piece {
    const struct kw_standing *standing;
    int part;              ///< index into kit->parts
    struct kw_move3 place; ///< part's own frame -> product frame
};
/// A weld seam between two pieces.
struct kw_seam {
    int pieces[2];
    struct kw_vec3 from, to; ///< product frame
    double length, gap;      ///< mm; gap: the largest along the seam
    double size;             ///< fillet leg, mm
    double stitch, every;    ///< length of a stitch and distance from start to start; 0: all along
    int stitches;
    int edges[2]; ///< segment index of the edge in the piece's blank outline, -1: a face
    const struct kw_weld *weld;
};
/// An edge of a blank that matters to those who cut, gauge and handle it.
enum kw_edge_use {
    KW_EDGE_MATES = 1,
    KW_EDGE_WELDED = 2,
    KW_EDGE_GAUGED = 4, ///< along a bend line: it may rest on the fingers
    KW_EDGE_GRIPPED = 8 ///< a hand takes it (`gripped:` in the kit file)
};
struct kw_edge_mark {
    int part, segment; ///< of the part's blank outer outline
    int uses;          ///< of enum kw_edge_use
};
struct kw_assembly {
    struct kw_piece *pieces;
    int piece_count;
    struct kw_seam *seams;
    int seam_count;
    struct kw_edge_mark *edges;
    int edge_count;
    double mass;        ///< kg of all pieces that stand in it
    struct kw_box3 box; ///< product frame
};

/// Part's own frame (face 0; tube and bar: length along x) to the product's. body NULL: tube or
/// bar.
struct kw_move3 kw_standing_place(const struct kw_standing *s, const struct kw_body *body);

/// First half, before bodies are made for good: fills part->tabs and part->slots of the kit's parts
/// from its joints. Needs where faces stand, so it makes bodies without them by itself. Tab width,
/// slot size and clearance by the table in joint.c (trade rules). A joint whose pieces don't meet
/// is a `stop` with the distance by which they miss.
void kw_assembly_joints(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *kit,
                        struct kw_findings *findings);

/// Second half: bodies[i] of kit->parts (NULL: no sheet part or can't be made). Checks that every
/// tab meets its slot (place, and play at the thickness limits), that no two pieces share metal
/// (beyond 0.1 mm), that every weld has two edges within the allowed gap; lists seams, with size
/// and stitches: under 3/16 in the trade's rule, plate by the AWS D1.1 table. *out NULL when the
/// kit says nothing of its assembly.
void kw_assembly_make(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                      struct kw_body *const *bodies, struct kw_findings *findings,
                      struct kw_assembly **out);
