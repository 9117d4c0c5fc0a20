// SPDX-License-Identifier: Apache-2.0
// Ends that follow from where pieces stand. The cut's curve is carried into the product by plain
// rotation matrices written here, and must lie on the other tube's surface (its distance from that
// axis) or in the sheet's face.
#include "check_stands.h"
#include "geom/geom.h"
#include "tube/tube.h"

#include <stdio.h>
#include <string.h>

static const struct kw_examined *part(const struct product *p, const char *name) {
    for (int i = 0; i < p->count; i++)
        if (strcmp(p->parts[i].part->name, name) == 0) return &p->parts[i];
    cr_assert(false, "no %s", name);
    return NULL;
}

/// A point of the cut at one end of a straight tube of 30 mm, on the line `around` as the engine
/// counts it, in the frame of the kit file: x along, the section behind and above the origin.
static struct kw_vec3 on_cut(const struct kw_examined *e, int end, double around) {
    const struct kw_tube_end *cut = &e->ends[end];
    double below = kw_tube_end_tip(cut, 15) - kw_tube_end_at(cut, 15, around);
    double x = end ? e->part->length + e->part->longer[1] - below : -e->part->longer[0] + below;
    // Counter-clockwise looking at the start along +x goes from z to y, at the end from z to -y.
    double side = (end ? -1 : 1) * sin(around);
    return kw_v3(x, 15 + 15 * side, 15 + 15 * cos(around));
}

static double off_axis(const struct stand *s, double radius, struct kw_vec3 p) {
    struct kw_vec3 a = carried(s, kw_v3(0, radius, radius));
    struct kw_vec3 u = kw_sub3(carried(s, kw_v3(1, radius, radius)), a);
    return kw_length3(kw_cross3(kw_sub3(p, a), u));
}

Test(check_fit, saddles_lie_on_the_other_tube_however_the_two_stand) {
    uint64_t r = 4;
    int fitted = 0;
    for (int round = 0; round < 200; round++) {
        struct kw_arena a = {0};
        struct stand post[2], rung;
        const char *text = askew(&a, &r, post, &rung);
        struct product p;
        assemble(&p, text);
        const struct kw_examined *e = part(&p, "rung");
        for (int end = 0; end < 2; end++) {
            const struct kw_fitted_cut *fit =
                end ? &e->part->ends.end.fit : &e->part->ends.start.fit;
            if (!fit->is || e->ends[end].cope.onto == 0) continue; // misses: told
            fitted++;
            for (int k = 0; k < 24; k++) {
                struct kw_vec3 at = carried(&rung, on_cut(e, end, k * 15 * DEG));
                double off = off_axis(&post[end], 24, at);
                cr_expect_float_eq(off, 24, 1e-6, "round %d end %d at %d: %f", round, end, k * 15,
                                   off);
            }
        }
        double length = 470 + e->part->longer[0] + e->part->longer[1];
        cr_expect_float_eq(e->cut_length, length, 1e-9);
        kw_arena_free(&p.a);
        kw_arena_free(&a);
    }
    cr_expect_gt(fitted, 200, "%d", fitted);
}

#define FRAME(at_right, ends)                                                                      \
    "kit: k\nname: K\nunits: mm\nparts:\n"                                                         \
    "  post: { from: 48 x 3 round tube, per_kit: 2, length: 1000 }\n"                              \
    "  rung: { from: 30 x 2 round tube, per_kit: 1, length: 500, ends: " ends " }\n"               \
    "assembly:\n"                                                                                  \
    "  left: { part: post, at: [0, 0, 0], turns: [y -90] }\n"                                      \
    "  right: { part: post, at: [" at_right ", 0, 0], turns: [y -90] }\n"                          \
    "  rung: { part: rung, at: [0, 9, 400] }\n"
#define ON_POSTS "{ start: { cope: { onto: post } }, end: { cope: { onto: post } } }"

static double rung_length(const char *text) {
    struct product p;
    assemble(&p, text);
    cr_expect_null(found(&p, "cope-meets-nothing"));
    cr_expect_null(found(&p, "pieces-collide"), "a saddle touches what it stands on");
    const struct kw_examined *e = part(&p, "rung");
    cr_expect_float_eq(e->ends[0].cope.angle, KW_PI / 2, 1e-9);
    cr_expect_float_eq(e->ends[0].cope.offset, 0, 1e-9);
    double length = e->cut_length;
    kw_arena_free(&p.a);
    return length;
}

Test(check_fit, a_wider_frame_makes_a_longer_rung) {
    // Axes 600 apart; square saddle on the middle: the longest point is at sqrt(24^2 - 15^2).
    double reach = sqrt(24 * 24 - 15 * 15);
    cr_expect_float_eq(rung_length(FRAME("600", ON_POSTS)), 600 - 2 * reach, 1e-6);
    cr_expect_float_eq(rung_length(FRAME("745.5", ON_POSTS)), 745.5 - 2 * reach, 1e-6);
}

Test(check_fit, the_code_that_a_signature_holds_to_changes_with_the_cut) {
    const char *const texts[] = {FRAME("600", ON_POSTS), FRAME("600", ON_POSTS),
                                 FRAME("601", ON_POSTS)};
    char codes[3][12];
    for (int i = 0; i < 3; i++) {
        struct product p;
        assemble(&p, texts[i]);
        memcpy(codes[i], part(&p, "rung")->part->code, sizeof codes[i]);
        kw_arena_free(&p.a);
    }
    cr_expect_str_eq(codes[0], codes[1]);
    cr_expect_str_neq(codes[0], codes[2]);
}

Test(check_fit, what_the_file_says_otherwise_is_told) {
    struct product p;
    assemble(&p, FRAME("600", "{ start: { cope: { onto: post, angle: 80 } }, end: { cope: { onto: "
                              "post, offset: 4 } } }"));
    int told = 0;
    for (int i = 0; i < p.found.count; i++)
        told += strcmp(p.found.v[i].rule, "follows-assembly") == 0;
    cr_expect_eq(told, 3, "angle, offset, length: %d", told);
    cr_expect_float_eq(part(&p, "rung")->ends[0].cope.angle, KW_PI / 2, 1e-9);
    // Asked for again, it says the same.
    struct kw_findings again = {.arena = &p.a};
    kw_check_kit(&p.a, small_shop(), p.kit, &again, &p.parts, &p.count);
    cr_expect_eq(again.count, p.found.count);
    kw_arena_free(&p.a);
}

Test(check_fit, tubes_that_do_not_meet_and_pieces_that_differ_are_stops) {
    struct product p;
    assemble(&p, "kit: k\nname: K\nunits: mm\nparts:\n"
                 "  post: { from: 48 x 3 round tube, per_kit: 1, length: 1000 }\n"
                 "  rung: { from: 30 x 2 round tube, per_kit: 1, length: 500, ends: { start: { "
                 "cope: { onto: post } } } }\n"
                 "assembly:\n"
                 "  post: { part: post, at: [0, 0, 0], turns: [y -90] }\n"
                 "  rung: { part: rung, at: [0, 60, 400] }\n");
    const struct kw_finding *f = found(&p, "cope-meets-nothing");
    cr_assert(f != NULL);
    cr_expect_eq(f->level, KW_STOP);
    // The axes pass at 60 + 15 - 24, the tubes reach 24 + 15.
    cr_expect_float_eq(f->measured, 51 - 39, 1e-6, "%f", f->measured);
    cr_expect_not(part(&p, "rung")->makeable);
    kw_arena_free(&p.a);

    assemble(&p, "kit: k\nname: K\nunits: mm\nparts:\n"
                 "  post: { from: 48 x 3 round tube, per_kit: 1, length: 1000 }\n"
                 "  rung: { from: 30 x 2 round tube, per_kit: 2, length: 500, ends: { start: { "
                 "cope: { onto: post } } } }\n"
                 "assembly:\n"
                 "  post: { part: post, at: [0, 0, 0], turns: [y -90] }\n"
                 "  low: { part: rung, at: [0, 9, 200] }\n"
                 "  high: { part: rung, at: [10, 9, 600] }\n");
    f = found(&p, "pieces-need-other-ends");
    cr_assert(f != NULL);
    cr_expect_eq(f->level, KW_STOP);
    cr_expect_float_eq(f->measured, 10, 1e-6, "%f", f->measured);
    kw_arena_free(&p.a);
}

Test(check_fit, a_hole_must_lie_in_the_tube_as_it_stands) {
    // Written 500 long, 600 - 2 x 18.735 = 562.53 where it stands between posts 600 apart; 362.53
    // between posts 400 apart.
    const char *const more = "  other: { from: 30 x 2 round tube, per_kit: 1, length: 50 }\n";
    for (int close = 0; close < 2; close++) {
        struct kw_arena a = {0};
        const char *text =
            kw_format(&a,
                      "kit: k\nname: K\nunits: mm\nparts:\n%s"
                      "  post: { from: 48 x 3 round tube, per_kit: 2, length: 1000 }\n"
                      "  rung: { from: 30 x 2 round tube, per_kit: 1, length: 500, ends: " ON_POSTS
                      ", drill: [{ size: 8, from_start: [100, 400] }] }\nassembly:\n"
                      "  left: { part: post, at: [0, 0, 0], turns: [y -90] }\n"
                      "  right: { part: post, at: [%d, 0, 0], turns: [y -90] }\n"
                      "  rung: { part: rung, at: [0, 9, 400] }\n",
                      more, close ? 400 : 600);
        struct product p;
        assemble(&p, text);
        const struct kw_finding *f = found(&p, "hole-off-tube");
        cr_expect_eq(f != NULL, close == 1);
        if (f) cr_expect_float_eq(f->limit, 400 - 2 * sqrt(24 * 24 - 15 * 15) - 4, 1e-6);
        kw_arena_free(&p.a);
        kw_arena_free(&a);
    }
}

Test(check_fit, a_tube_ends_flat_on_a_sheet_part) {
    // A foot plate under a tube that leans: its face is at z = 0, the cut lies in it.
    uint64_t r = 8;
    for (int round = 0; round < 40; round++) {
        struct kw_arena a = {0};
        struct stand leg = {.turn = {random_in(&r, -3, 3), -KW_PI / 2 + random_in(&r, -0.7, 0.7),
                                     random_in(&r, -3, 3)},
                            .at = {0, 0, random_in(&r, 20, 60)}};
        const char *text = kw_format(
            &a,
            "kit: k\nname: K\nunits: mm\nparts:\n"
            "  plate: { from: 3 mm hot-rolled sheet, per_kit: 1, base: { long: 400, wide: 400 } "
            "}\n  leg: { from: 30 x 2 round tube, per_kit: 1, length: 500, ends: { start: { "
            "cope: { onto: plate } } } }\nassembly:\n"
            "  plate: { part: plate, at: [-200, -200, 0] }\n%s",
            standing(&a, "leg", "leg", &leg));
        struct product p;
        assemble(&p, text);
        const struct kw_examined *e = part(&p, "leg");
        cr_assert(e->part->ends.start.fit.is, "round %d", round);
        cr_expect_eq(e->ends[0].cope.onto, 0);
        for (int k = 0; k < 24; k++) {
            struct kw_vec3 at = carried(&leg, on_cut(e, 0, k * 15 * DEG));
            cr_expect_float_eq(at.z, 0, 1e-6, "round %d at %d: %f", round, k * 15, at.z);
        }
        kw_arena_free(&p.a);
        kw_arena_free(&a);
    }
}

Test(check_fit, a_round_brace_ends_flat_on_square_tube) {
    // A brace at 45 degrees from the top of a sill (z = 40) to the side of a post that stands on
    // it.
    struct product p;
    assemble(&p,
             "kit: k\nname: K\nunits: mm\nparts:\n"
             "  sill: { from: 40 x 2 square tube, per_kit: 1, length: 1000 }\n"
             "  post: { from: 40 x 2 square tube, per_kit: 1, length: 800 }\n"
             "  brace: { from: 30 x 2 round tube, per_kit: 1, length: 300, ends: { start: { "
             "cope: { onto: sill } }, end: { cope: { onto: post } } } }\nassembly:\n"
             "  sill: { part: sill, at: [0, 0, 0] }\n"
             "  post: { part: post, at: [640, 0, 40], turns: [y -90] }\n"
             "  brace: { part: brace, at: [310.606601718, 5, 29.393398282], turns: [y -45] }\n");
    const struct kw_examined *e = part(&p, "brace");
    for (int i = 0; i < p.found.count; i++)
        cr_expect(strcmp(p.found.v[i].rule, "pieces-collide") != 0 &&
                      strcmp(p.found.v[i].rule, "cope-meets-nothing") != 0,
                  "%s: %s", p.found.v[i].rule, p.found.v[i].says);
    // The axis runs through (300, 20, 40) and meets the post's side x = 600 at z = 340.
    for (int end = 0; end < 2; end++) {
        cr_expect_eq(e->ends[end].cope.onto, 0);
        cr_expect_float_eq(e->ends[end].miter, 45 * DEG, 1e-9, "%f", e->ends[end].miter / DEG);
    }
    cr_expect_float_eq(e->cut_length, 300 * sqrt(2) + 2 * 15, 1e-5, "%f", e->cut_length);
    struct stand brace = {.turn = {0, -45 * DEG, 0}, .at = {310.606601718, 5, 29.393398282}};
    for (int k = 0; k < 24; k++) {
        cr_expect_float_eq(carried(&brace, on_cut(e, 0, k * 15 * DEG)).z, 40, 1e-6);
        cr_expect_float_eq(carried(&brace, on_cut(e, 1, k * 15 * DEG)).x, 600, 1e-6);
    }
    kw_arena_free(&p.a);
}

Test(check_fit, both_ends_of_a_bent_tube_reach_a_rail) {
    // An arch over a rail along x at z = 0: legs straight down, square saddles.
    struct product p;
    assemble(&p,
             "kit: k\nname: K\nunits: mm\nparts:\n"
             "  rail: { from: 48 x 3 round tube, per_kit: 1, length: 2000 }\n"
             "  arch: { from: 30 x 2 round tube, per_kit: 1, die: 100, shape: [up 500, turn 90, "
             "across 600, turn 90, down 500], ends: { start: { cope: { onto: rail } }, end: { "
             "cope: { onto: rail } } } }\nassembly:\n"
             "  rail: { part: rail, at: [-500, -24, -24] }\n"
             "  arch: { part: arch, at: [0, 4, 30] }\n");
    const struct kw_examined *e = part(&p, "arch");
    for (int i = 0; i < p.found.count; i++)
        cr_expect(p.found.v[i].level != KW_STOP || strcmp(p.found.v[i].rule, "no-stick") == 0 ||
                      strcmp(p.found.v[i].rule, "no-bender") == 0,
                  "%s: %s", p.found.v[i].rule, p.found.v[i].says);
    // 30 down to the rail's axis, less the reach of a saddle 4 mm off the middle: its longest point
    // stands 15 - 4 or 15 + 4 off, the further one lower: sqrt(24^2 - 19^2).
    double more = 30 - sqrt(24 * 24 - 19 * 19);
    cr_expect_float_eq(e->part->longer[0], more, 1e-6, "%f", e->part->longer[0]);
    cr_expect_float_eq(e->part->longer[1], more, 1e-6, "%f", e->part->longer[1]);
    cr_expect_float_eq(fabs(e->ends[0].cope.offset), 4, 1e-6);
    cr_expect_float_eq(e->box.max.z - e->box.min.z, 500 + more, 1e-6);
    // Towards the rail's middle (-y) from the line on the outside of the first bend (-x): looking
    // up at the foot from below with +y up, -x lies to the right, so -y is a quarter turn
    // clockwise; at the other end, whose outside is +x, counter-clockwise.
    double first = e->ends[0].turn + (e->ends[0].cope.offset < 0 ? KW_PI : 0);
    double last = e->ends[1].turn + (e->ends[1].cope.offset < 0 ? KW_PI : 0);
    cr_expect_float_eq(remainder(first + KW_PI / 2, 2 * KW_PI), 0, 1e-9, "%f", first / DEG);
    cr_expect_float_eq(remainder(last - KW_PI / 2, 2 * KW_PI), 0, 1e-9, "%f", last / DEG);
    kw_arena_free(&p.a);
}
