// SPDX-License-Identifier: Apache-2.0
// Every rule of the table: what breaks it, and what lies just inside.
#include "check_hand.h"

#include <stdio.h>

// ----------------------------------------------------------------------------- ways to spoil

static void hole_size(struct bench *b, double v) {
    b->h.holes[0].size = v;
}
static void cut_feed(struct bench *b, double v) {
    b->h.shop.table.most_feed = 60;
    b->cut.feed = v;
}
static void cut_least(struct bench *b, double v) {
    b->cut.least_hole = v;
}
static void slot_width(struct bench *b, double v) {
    b->h.holes[0].size = v;
    b->h.holes[0].slot = 40;
}
static void cut_out(struct bench *b, double v) {
    b->h.holes[0].wide = v;
    b->h.holes[0].tall = v;
}
static void hole_left(struct bench *b, double v) {
    b->h.holes[0].from_left = hand_list(&b->h, v);
}
static void second_hole(struct bench *b, double v) {
    hand_hole(&b->h, -1, 10, 50 + v, 50);
}
static void hole_front(struct bench *b, double gap) {
    // the bend line of the die's natural radius, on the blank
    double r = 0.16 * 25.4, ba = KW_PI / 2 * (r + 0.44 * 3);
    b->h.holes[0].from_front = hand_list(&b->h, 120 - (r + 3) + ba / 2 - 5 - gap);
}
static void slot_front(struct bench *b, double gap) {
    hole_front(b, gap);
    b->h.holes[0].slot = 30;
}
static void height(struct bench *b, double v) {
    b->h.flanges[0].height = v;
}
static void height_120(struct bench *b, double v) {
    height(b, v);
    b->h.flanges[0].turn = 120 * DEG;
}
static void second_flange_height(struct bench *b, double v) {
    hand_flange(&b->h, KW_EDGE_FRONT, v, 90 * DEG, 3);
}
static void radius(struct bench *b, double v) {
    b->h.flanges[0].radius = v;
}
static void lips(struct bench *b, double keep) {
    hand_flange(&b->h, KW_EDGE_RIGHT, 40, 90 * DEG, 3);
    for (int i = 0; i < 2; i++) {
        struct kw_flange *f = hand_flange(&b->h, KW_EDGE_OF_BEND, 25, 90 * DEG, 3);
        f->parent = i;
        f->from_start = f->from_end = keep;
    }
}
static void stands_on_itself(struct bench *b, double v) {
    b->h.flanges[0].parent = v > 0 ? 0 : -1;
    if (v > 0) b->h.flanges[0].edge = KW_EDGE_OF_BEND;
}
static void drawing(struct bench *b) {
    b->h.part.flat = "drawings/part.dxf";
    b->h.part.bends.count = 0;
    b->h.part.holes.count = 0;
    b->line = (struct kw_drawn_bend){{-1, 60}, {201, 60}, KW_UP, 90 * DEG, 0, "1", {0}};
    b->h.part.drawn_bends = (struct kw_items){&b->line, 1};
}
static void drawn_line(struct bench *b, double v) {
    drawing(b);
    b->h.part.drawing.outer = kw_path_box_outline(&b->h.a, 0, 0, 200, 120, 0);
    b->line.a = kw_v2(0, v);
    b->line.b = kw_v2(200, v);
}
static void drawn_lozenge(struct bench *b, double v) {
    drawing(b);
    const double p[4][2] = {{0, 60}, {100, 60 - v}, {200, 60}, {100, 60 + v}};
    for (int i = 0; i < 4; i++)
        kw_path_add(&b->h.a, &b->h.part.drawing.outer, p[i][0], p[i][1], 0, 0);
    if (v > 500) b->h.part.drawing.outer = kw_path_box_outline(&b->h.a, 0, 0, 200, 120, 0);
}
static void notched_points(struct bench *b, double v) {
    static struct kw_corner points[5] = {
        {.at = {0, 0}}, {.at = {200, 0}}, {.at = {200, 120}}, {.at = {100, 60}}, {.at = {0, 120}}};
    points[3].at.y = v; // under 120: a corner that turns into the metal
    b->h.part.base.points = (struct kw_items){points, 5};
    b->h.part.bends.count = 0;
    b->h.part.holes.count = 0;
}
static void crossed_points(struct bench *b, double v) {
    static struct kw_corner points[4] = {
        {.at = {0, 0}}, {.at = {200, 0}}, {.at = {200, 120}}, {.at = {0, 120}}};
    points[2].at.x = v;
    points[3].at.x = 200 - v;
    b->h.part.base.points = (struct kw_items){points, 4};
    b->h.part.bends.count = 0;
    b->h.part.holes.count = 0;
}
static void base_length(struct bench *b, double v) {
    b->h.part.base.length = v;
    b->h.part.base.width = 50;
    b->h.part.holes.count = 0;
    b->h.flanges[0].height = 20;
}
static void table_rules(struct bench *b, double v) {
    b->h.shop.table.rules.count = (int)v;
}
static void cut_stock(struct bench *b, double v) {
    memcpy(b->cut.stock.text, v > 3 ? "4 mm steel sheet" : "3 mm steel sheet", 17);
}
static void sheets_on_hand(struct bench *b, double v) {
    b->sheet.on_hand = (int)v;
}
static void sheet_width(struct bench *b, double v) {
    b->sheet.length = v;
    b->sheet.width = 200;
}
static void one_person(struct bench *b, double v) {
    b->h.shop.press.one_person = v;
}
static void no_tools(struct bench *b, double v) {
    b->h.shop.press.dies.count = b->h.shop.press.punches.count = (int)v;
}
static void punches(struct bench *b, double v) {
    b->h.shop.press.punches.count = (int)v;
}
static void opening(struct bench *b, double v) {
    b->die.opening = v;
}
static void deep_channel(struct bench *b, double v) {
    KW_ITEM(struct kw_flange, b->h.part.bends, 0)->height = v;
    hand_flange(&b->h, KW_EDGE_FRONT, v, 90 * DEG, 0);
}
static void box_with_tools(struct bench *b, double v) {
    b->die.length = b->punch.length = v;
    hand_flange(&b->h, KW_EDGE_FRONT, 40, 90 * DEG, 0);
    hand_flange(&b->h, KW_EDGE_LEFT, 40, 90 * DEG, 0);
    hand_flange(&b->h, KW_EDGE_RIGHT, 40, 90 * DEG, 0);
}
static void press_rating(struct bench *b, double v) {
    b->h.shop.press.rating = v;
}
static void tool_rating(struct bench *b, double v) {
    b->die.rating = v;
}
static void bed(struct bench *b, double v) {
    b->h.shop.press.bed = v;
}
static void frames(struct bench *b, double v) {
    b->h.shop.press.throat = 50;
    b->h.shop.press.between_frames = v;
    b->h.shop.press.gauge_most = 60; // gauged on the flange: the base lies in front
    b->h.flanges[0].height = 100;
}
static void least_radius(struct bench *b, double v) {
    b->h.steel.least_radius = v;
}
static void die_angle(struct bench *b, double v) {
    b->die.angle = v * DEG;
}
static void yield(struct bench *b, double v) {
    b->h.steel.yield = v;
}
static void open_height(struct bench *b, double v) {
    b->h.shop.press.open_height = v;
    b->h.shop.press.stroke = 0;
}
static void gauge_most(struct bench *b, double v) {
    b->h.shop.press.gauge_most = v;
}
static void tube_die(struct bench *b, double v) {
    b->bender_die.od = v;
}
static void tube_radius(struct bench *b, double v) {
    b->parts[1].die = v;
}
static void bender_radius(struct bench *b, double v) {
    b->bender_die.radius = v;
}
static void tube_angle(struct bench *b, double v) {
    b->bender_die.most_angle = v * DEG;
}
static void most_wall(struct bench *b, double v) {
    b->h.shop.bender.most_wall = v;
}
static void across(struct bench *b, double v) {
    b->steps[2].value = v;
}
static void clamp(struct bench *b, double v) {
    b->bender_die.clamp = v;
}
static void wall(struct bench *b, double v) {
    b->parts[1].stock.thickness = v;
}
static void out_of_plane(struct bench *b, double v) {
    memcpy(b->steps[4].word, "back", 5);
    b->h.shop.bender.turns_by_itself = (int)v;
}
static void step_count(struct bench *b, double v) {
    b->parts[1].shape.count = (int)v;
}
static void cope(struct bench *b, double angle, double offset) {
    static const struct kw_node said = {.kind = KW_MAP};
    struct kw_end *e = &b->parts[1].ends.end;
    b->parts[1].ends.node = e->node = e->cope.node = &said;
    e->cope.diameter = 30;
    e->cope.angle = angle * DEG;
    e->cope.offset = offset;
}
static void cope_angle(struct bench *b, double v) {
    cope(b, v, 0);
}
static void cope_offset(struct bench *b, double v) {
    cope(b, 60, v);
}
static void floor_under(struct bench *b, double v) {
    b->h.shop.bender.floor = v;
}
/// A post 40 mm square on the die's side of the clamp, v from the die's axis: the first leg of
/// the hoop swings over that place at 300 mm in the second bend, and nothing reaches 600 mm.
static void post(struct bench *b, double v) {
    double y = 101.6 + v;
    memcpy(b->ahead, (double[]){-20, 20}, sizeof b->ahead);
    memcpy(b->side, (double[]){y - 20, y + 20}, sizeof b->side);
    memcpy(b->up, (double[]){-500, 100}, sizeof b->up);
    b->body = (struct kw_bender_body){
        .name = "post", .ahead = {b->ahead, 2}, .side = {b->side, 2}, .up = {b->up, 2}};
    b->h.shop.bender.bodies = (struct kw_items){&b->body, 1};
}
/// The last leg stands 135 degrees round from the first one: on its way there it points straight
/// down or up. A beam lies over the stick, the floor under it.
static void turned_to(struct bench *b, const char *word, double beam, double floor) {
    snprintf(b->steps[4].word, sizeof b->steps[4].word, "%s", word);
    b->h.shop.bender.floor = floor;
    memcpy(b->ahead, (double[]){-500, 1500}, sizeof b->ahead);
    memcpy(b->side, (double[]){-20, 20}, sizeof b->side);
    memcpy(b->up, (double[]){beam, beam + 40}, sizeof b->up);
    b->body = (struct kw_bender_body){
        .name = "beam", .ahead = {b->ahead, 2}, .side = {b->side, 2}, .up = {b->up, 2}};
    b->h.shop.bender.bodies = (struct kw_items){&b->body, 1};
}
static void turned_down(struct bench *b, double v) {
    turned_to(b, "up-front", 250, v);
}
static void turned_up(struct bench *b, double v) {
    turned_to(b, "up-back", v, 250);
}
/// A post so far ahead, and v to the side, that no bend reaches it: the first leg is fed past it.
static void fed_past(struct bench *b, double v) {
    b->steps[2].value = 1200;
    b->steps[3].value = 10 * DEG;
    memcpy(b->ahead, (double[]){700, 740}, sizeof b->ahead);
    memcpy(b->side, (double[]){v, v + 40}, sizeof b->side);
    memcpy(b->up, (double[]){-100, 100}, sizeof b->up);
    b->body = (struct kw_bender_body){
        .name = "post", .ahead = {b->ahead, 2}, .side = {b->side, 2}, .up = {b->up, 2}};
    b->h.shop.bender.bodies = (struct kw_items){&b->body, 1};
}
/// Round a square of 300 mm: up, across, down and back across the first leg when that is v > 300.
static void closed(struct bench *b, double v) {
    b->steps[0].value = v;
    b->steps[2].value = b->steps[4].value = 300;
    bench_step(b, "turn", 90 * DEG);
    bench_step(b, "left", 340);
}
static void turn(struct bench *b, double v) {
    b->steps[1].value = v * DEG;
}
static void doubled(struct bench *b, double v) {
    b->parts[1].shape.count = 3;
    memcpy(b->steps[2].word, "down", 5);
    b->steps[1].value = v * DEG;
    b->bender_die.radius = 30;
    b->steps[0].value = b->steps[2].value = 40000;
}
static void bender_dies(struct bench *b, double v) {
    b->h.shop.bender.dies.count = (int)v;
}
static void saw_kerf(struct bench *b, double v) {
    b->h.shop.saw.kerf = v;
}
static void stick_length(struct bench *b, double v) {
    b->stick.length = v;
}
static void tube_kind(struct bench *b, double v) {
    b->parts[1].stock.kind = v > 0 ? KW_SQUARE_TUBE : KW_ROUND_TUBE;
}
static void override_name(struct bench *b, double v) {
    b->override = (struct kw_rule_override){.name = v > 0 ? "leg-short" : "web-thin", .limit = 1};
    b->h.shop.rules = (struct kw_items){&b->override, 1};
}
static void signature(struct bench *b, double v) {
    b->signature = (struct kw_signature){.risk = "hole-small",
                                         .part = "part",
                                         .by = "K. Oyelaran",
                                         .reason = "drilled afterwards",
                                         .code = v == 1 ? "00000000" : "1234abcd",
                                         .date = 20260704};
    b->h.kit.signed_risks = (struct kw_items){&b->signature, 1};
    memcpy(b->h.part.code, "1234abcd", 9);
    if (v < 2) b->h.holes[0].size = 4;
}

// ----------------------------------------------------------------------------- the rows

struct row {
    const char *rule;
    enum kw_level level;
    void (*spoil)(struct bench *b, double v);
    double bad, good;
};

// The die has a V of 25.4: legs 0.65 V = 16.51, 0.75 V = 19.05; at 120 degrees a third of the way
// from 135 back to 90: 0.95 V = 24.13, 1.0967 V = 27.856. Bending 200 mm takes 39.03 kN, 195.1
// N/mm.
static const struct row rows[] = {
    {"flange-fit", KW_STOP, height, 7.06, 7.3},
    {"flange-fit", KW_STOP, second_flange_height, 5.9, 40},
    {"flange-cycle", KW_STOP, stands_on_itself, 1, 0},
    {"bend-line", KW_STOP, drawn_line, 1, 60},
    {"blank-overlap", KW_STOP, crossed_points, 0, 200},
    {"hole-outside", KW_STOP, hole_left, 4.9, 9.6},
    {"holes-cross", KW_STOP, second_hole, 10, 15},
    {"hole-on-bend", KW_RISK, hole_front, -4, 5},
    {"flanges-collide", KW_STOP, lips, 0, 20},
    {"no-table", KW_STOP, table_rules, 0, 1},
    {"no-cut-rule", KW_STOP, cut_stock, 4, 3},
    {"feed-over-table", KW_STOP, cut_feed, 60.1, 60},
    {"no-sheet", KW_STOP, sheets_on_hand, 0, 1},
    {"blank-too-large", KW_STOP, sheet_width, 219.9, 220},
    {"hole-small", KW_RISK, hole_size, 4.749, 4.7505},
    {"hole-small", KW_RISK, cut_least, 10.1, 10},
    {"kerf-wider-than-slot", KW_STOP, slot_width, 1.5, 1.51},
    {"kerf-wider-than-slot", KW_STOP, cut_out, 1.4, 1.6},
    {"web-thin", KW_RISK, hole_left, 9.49, 9.5},
    {"web-thin", KW_RISK, second_hole, 14.49, 14.5},
    {"inside-corner-sharp", KW_NOTE, cut_out, 20, 0},
    {"inside-corner-sharp", KW_NOTE, notched_points, 60, 130},
    {"part-small", KW_NOTE, base_length, 76.1, 76.3},
    {"no-press", KW_STOP, no_tools, 0, 1},
    {"no-die", KW_STOP, opening, 11.9, 12},
    {"no-punch", KW_STOP, punches, 0, 1},
    {"leg-short", KW_STOP, height, 16.5, 19.06},
    {"leg-short", KW_RISK, height, 16.52, 19.06},
    {"leg-short", KW_RISK, height, 19.04, 19.06},
    {"leg-sharp", KW_STOP, height_120, 24.1, 27.9},
    {"leg-sharp", KW_RISK, height_120, 24.2, 27.9},
    {"bend-collision", KW_STOP, deep_channel, 160, 40},
    {"tool-segments", KW_STOP, box_with_tools, 400, 0},
    {"force-press", KW_STOP, press_rating, 38.7e3, 48.6e3},
    {"force-press", KW_RISK, press_rating, 48.4e3, 48.6e3},
    {"force-tool", KW_STOP, tool_rating, 193.9, 243},
    {"force-tool", KW_RISK, tool_rating, 242, 243},
    {"bend-long", KW_STOP, bed, 199.9, 200},
    {"between-frames", KW_STOP, frames, 199, 201},
    {"bend-radius-least", KW_STOP, least_radius, 1.36, 1.35},
    {"bend-radius-off", KW_NOTE, radius, 3, 3.4},
    {"bend-sharp", KW_STOP, die_angle, 90, 85},
    {"stays-elastic", KW_STOP, yield, 74000, 73000},
    {"no-room", KW_STOP, open_height, 182.9, 183.1},
    {"no-gauge", KW_STOP, gauge_most, 0, 500},
    {"gauge-reach", KW_STOP, gauge_most, 20, 60},
    {"no-gauge-edge", KW_STOP, drawn_lozenge, 60, 1000},
    {"hole-near-bend", KW_RISK, hole_front, 11.69, 11.71},
    {"hole-near-bend", KW_RISK, slot_front, 13.69, 13.71},
    {"heavy-part", KW_NOTE, one_person, 0.7, 1.0},
    {"no-bender", KW_STOP, bender_dies, 0, 1},
    {"no-saw", KW_STOP, saw_kerf, 0, 1},
    {"no-stick", KW_STOP, stick_length, 800, 1000},
    {"tube-not-round", KW_STOP, tube_kind, 1, 0},
    {"tube-trim", KW_NOTE, clamp, 190, 180},
    {"tube-step-order", KW_STOP, step_count, 4, 5},
    {"tube-turn-disagrees", KW_STOP, turn, 95, 90},
    {"tube-zero-length-straight", KW_STOP, across, 0, 400},
    {"tube-doubles-back", KW_STOP, doubled, 179.99, 90},
    {"tube-radius-does-not-fit", KW_STOP, across, 228, 400},
    {"tube-out-of-range", KW_STOP, across, 60000, 400},
    {"tube-wall-thicker-than-half", KW_STOP, wall, 12.7, 1.65},
    {"tube-od-no-die", KW_STOP, tube_die, 25.6, 25.4},
    {"tube-radius-no-die", KW_STOP, tube_radius, 90, 101.6},
    {"tube-angle-beyond-die", KW_STOP, tube_angle, 89, 90},
    {"tube-wall-beyond", KW_STOP, most_wall, 1.6, 1.65},
    {"tube-straight-too-short", KW_STOP, across, 270, 283},
    {"tube-under-three-d", KW_RISK, bender_radius, 76.1, 76.3},
    {"tube-wall-factor", KW_RISK, wall, 1.26, 1.28},
    {"tube-turned-by-hand", KW_NOTE, out_of_plane, 0, 1},
    // the hoop lies flat on the bender: half a diameter and 0.5 mm above the floor are enough, and
    // 0.5 mm more by which arcs are taken for thicker
    {"tube-hits-floor", KW_STOP, floor_under, 13.1, 13.8},
    {"tube-hits-machine", KW_STOP, post, 300, 600},
    {"tube-hits-itself", KW_STOP, closed, 600, 150},
    {"tube-feed-hits-machine", KW_STOP, fed_past, 240, 700},
    {"tube-turn-hits-floor", KW_STOP, turned_down, 250, 700},
    {"tube-turn-hits-machine", KW_STOP, turned_up, 250, 700},
    {"cope-too-flat", KW_STOP, cope_angle, 14.9, 15.1},
    {"cope-misses", KW_STOP, cope_offset, 2.4, 2.2}, // 12.7 + 2.3 = 30 / 2
    {"signed-for-older-form", KW_NOTE, signature, 1, 0},
    {"signed-not-needed", KW_NOTE, signature, 2, 0},
    {"rule-override", KW_NOTE, override_name, 1, 0},
};
enum { ROWS = sizeof rows / sizeof *rows };

static void check_words(const struct kw_finding *f) {
    const struct kw_rule *r = kw_rule_named(f->rule);
    size_t n = strlen(f->says);
    cr_expect(n > 5 && f->says[n - 1] != '.', "%s: \"%s\"", f->rule, f->says);
    cr_expect(f->fix && *f->fix, "%s has no remedy", f->rule);
    cr_expect(f->level <= r->level || f->level == KW_RISK || f->level == KW_STOP);
    cr_expect(f->unit != NULL && f->frame != NULL);
    cr_expect(isfinite(f->measured) && isfinite(f->limit), "%s: %f, %f", f->rule, f->measured,
              f->limit);
}

Test(check_rules, each_breach_is_found_and_what_lies_just_inside_is_not) {
    for (int i = 0; i < ROWS; i++) {
        const struct row *r = &rows[i];
        struct bench b;
        bench_start(&b);
        r->spoil(&b, r->bad);
        bench_check(&b);
        const struct kw_finding *f = bench_found(&b, r->rule);
        cr_expect(f != NULL, "row %d: %s is not found at %g", i, r->rule, r->bad);
        if (f)
            cr_expect_eq(f->level, r->level, "row %d: %s is a %s", i, r->rule,
                         kw_level_name(f->level));
        for (int k = 0; k < b.h.found.count; k++)
            check_words(&b.h.found.v[k]);
        kw_arena_free(&b.h.a);
        bench_start(&b);
        r->spoil(&b, r->good);
        bench_check(&b);
        f = bench_found(&b, r->rule);
        cr_expect(f == NULL, "row %d: %s at %g: %s", i, r->rule, r->good, f ? f->says : "");
        kw_arena_free(&b.h.a);
    }
}

Test(check_rules, nothing_is_found_on_a_good_kit) {
    struct bench b;
    bench_start(&b);
    bench_check(&b);
    for (int i = 0; i < b.h.found.count; i++)
        cr_expect(false, "%s: %s", b.h.found.v[i].rule, b.h.found.v[i].says);
    cr_assert_eq(b.count, 2);
    const struct kw_examined *plate = &b.what[0], *hoop = &b.what[1];
    cr_expect(plate->makeable && hoop->makeable);
    cr_assert(plate->body && plate->brake && hoop->tube && hoop->marks);
    cr_expect_eq(plate->brake->step_count, 1);
    cr_expect_float_eq(plate->mass, plate->body->mass, 1e-12);
    // two quarter turns of 101.6, corners 12.7 short of the outside
    // (the die's, grown by the springback of 1.02: the arc keeps its length)
    double radius = 101.6 * 1.02;
    double straights = 2 * (300 - 12.7 - radius) + 400 - 25.4 - 2 * radius;
    cr_expect_float_eq(hoop->cut_length, straights + KW_PI * radius, 1e-9);
    double metal = KW_PI / 4 * (25.4 * 25.4 - 22.1 * 22.1);
    cr_expect_float_eq(hoop->mass, metal * hoop->cut_length * 7850e-9, 1e-9);
    cr_expect_float_eq(hoop->box.max.z - hoop->box.min.z, 300, 1e-9);
    cr_expect_float_eq(hoop->box.max.x - hoop->box.min.x, 400, 1e-9);
    kw_arena_free(&b.h.a);
}

/// Rules that no kit by itself can break: found by the run, or kept for what can't come from a kit.
static const char *const elsewhere[] = {
    "slot-narrow",
    "hole-closes",
    "no-lead-in",
    "cut-too-near",
    "mark-left-out",
    "start-on-edge",
    "program-name-short",
    "sheets-short",
    "sticks-short",
    "hours-short",
    "no-carton", // these four: check_carton.c
    "carton-heavy",
    "parcel-long",
    "parcel-girth",
    "cartons-short",
    "carton-two-people",
    "bend-plan",           // a body's bends are always a tree
    "tube-too-few-points", // a shape has a straight first and last
    // of the assembled kit: check_assembly.c
    "joint-apart",
    "tab-without-slot",
    "tab-tight",
    "pieces-collide",
    "weld-apart",
    "weld-gap",
    "cope-meets-nothing",
    "pieces-need-other-ends",
    "hole-off-tube",
    "follows-assembly", // these four: check_fit.c
    "letter-face",
    "letter-bridge", // shape_features.c
    // check_features.c
    "bend-collision",
    "bend-tight",
    "bend-overbend",
    "tool-segments",
    "bend-grain",
    "bend-relief",
    "gauge-fingers",
    "bend-hold",
    "no-hem-tool",
    "hem-force",
    "hand-tab-stiff",
    "hand-tab-weak",
    "no-shop-press",
    "dimple-thick",
    "dimple-force",
    "dimple-reach",
    "dimple-room",
    "dimple-near-bend",
    "dimple-last",
    "dimple-between",
    "dimple-after-bends",
    "dimple-stretch",
    "letter-stroke",
    "letter-web",
    "marks-by-hand",
    // run_scrap.c
    "coupons-no-room",
    "filler-costs-more",
    "filler-not-made",
    // run_edges.c
    "start-on-edge",
    // run_week.c
    "program-name-short",
    // check_tube_forms.c
    "tube-seam",
    // check_assembly.c
    "assembly-count",
    "size-differs",
};

Test(check_rules, every_rule_of_the_table_is_tested_here_or_belongs_to_the_run) {
    for (const struct kw_rule *r = kw_rules; r->id; r++) {
        bool known = false;
        for (int i = 0; i < ROWS; i++)
            known = known || strcmp(rows[i].rule, r->id) == 0;
        for (size_t i = 0; i < sizeof elsewhere / sizeof *elsewhere; i++)
            known = known || strcmp(elsewhere[i], r->id) == 0;
        cr_expect(known, "%s has no test", r->id);
        for (const struct kw_rule *o = kw_rules; o != r; o++)
            cr_expect_str_neq(o->id, r->id);
        cr_expect(r->says && r->fix && r->source && r->formula && r->unit, "%s", r->id);
    }
}

Test(check_rules, the_shop_may_set_a_limit_of_its_own) {
    struct bench b;
    bench_start(&b);
    b.override = (struct kw_rule_override){.name = "hole-small", .limit = 4};
    b.h.shop.rules = (struct kw_items){&b.override, 1};
    cr_expect_float_eq(kw_rule_limit(&b.h.shop, "hole-small"), 4, 1e-12);
    bench_check(&b); // 4 t = 12 against a hole of 10
    const struct kw_finding *f = bench_found(&b, "hole-small");
    cr_assert(f);
    cr_expect_float_eq(f->limit, 12, 1e-9);
    b.override.name = "leg-short";
    cr_expect_float_eq(kw_rule_limit(&b.h.shop, "leg-short"), 0.65, 1e-12);
    kw_arena_free(&b.h.a);
}

Test(check_rules, close_fit_holes_are_not_judged_as_cut) {
    struct bench b;
    bench_start(&b);
    b.h.holes[0].size = 1;
    b.h.holes[0].close_fit = 1;
    bench_check(&b);
    cr_expect_eq(b.h.found.count, 0);
    kw_arena_free(&b.h.a);
}

Test(check_rules, a_signed_risk_stays_a_risk_with_its_signature) {
    struct bench b;
    bench_start(&b);
    signature(&b, 0);
    bench_check(&b);
    const struct kw_finding *f = bench_found(&b, "hole-small");
    cr_assert(f && f->signed_by);
    cr_expect_str_eq(f->signed_by, "K. Oyelaran, 2026-07-04: drilled afterwards");
    cr_expect_eq(kw_findings_at_level(&b.h.found, KW_RISK, true), 0);
    cr_expect_eq(kw_findings_at_level(&b.h.found, KW_RISK, false), 1);
    kw_arena_free(&b.h.a);
    bench_start(&b);
    signature(&b, 1);
    bench_check(&b);
    f = bench_found(&b, "hole-small");
    cr_assert(f);
    cr_expect(f->signed_by == NULL, "signed for another code");
    kw_arena_free(&b.h.a);
    bench_start(&b); // a stop can't be signed
    signature(&b, 0);
    b.h.holes[0].size = 1;
    b.signature.risk = "kerf-wider-than-slot";
    bench_check(&b);
    f = bench_found(&b, "kerf-wider-than-slot");
    cr_assert(f);
    cr_expect(f->signed_by == NULL);
    kw_arena_free(&b.h.a);
}

Test(check_rules, a_part_that_cant_be_made_has_no_body_and_the_others_do) {
    struct bench b;
    bench_start(&b);
    height(&b, 5);
    bench_check(&b);
    cr_expect(!b.what[0].makeable && !b.what[0].body && !b.what[0].brake);
    cr_expect(b.what[1].makeable && b.what[1].tube);
    kw_arena_free(&b.h.a);
}

Test(check_rules, section_of_a_stroke_is_drawn_from_the_plans_own_inputs) {
    struct bench b;
    bench_start(&b);
    bench_check(&b);
    struct kw_brake_section s;
    cr_expect(kw_check_brake_section(&b.h.a, &b.h.shop, &b.what[0], 0, 60, &s));
    cr_expect_gt(s.before_count, 0);
    cr_expect(!kw_check_brake_section(&b.h.a, &b.h.shop, &b.what[1], 0, 60, &s));
    kw_arena_free(&b.h.a);
}

Test(check_rules, straight_pieces_of_tube_and_bar_have_mass_and_length) {
    static const struct {
        enum kw_stock_kind kind;
        double t, w, h, metal;
    } stock[] = {{KW_SQUARE_TUBE, 2, 40, 30, 2 * 2 * (40 + 30 - 4)},
                 {KW_FLAT_BAR, 5, 40, 5, 200},
                 {KW_ROUND_ROD, 10, 10, 10, KW_PI * 25},
                 {KW_ANGLE_BAR, 3, 30, 30, 3 * 57}};
    for (int i = 0; i < 4; i++) {
        struct bench b;
        bench_start(&b);
        b.parts[1].stock.kind = stock[i].kind;
        b.parts[1].stock.thickness = stock[i].t;
        b.parts[1].stock.width = stock[i].w;
        b.parts[1].stock.height = stock[i].h;
        b.parts[1].shape.count = 0;
        b.parts[1].length = 500;
        b.stick.stock = b.parts[1].stock;
        bench_check(&b);
        cr_expect_eq(b.h.found.count, 0);
        cr_expect_float_eq(b.what[1].cut_length, 500, 1e-12);
        cr_expect_float_eq(b.what[1].mass, stock[i].metal * 500 * 7850e-9, 1e-9);
        cr_expect(b.what[1].tube && b.what[1].tube->count == 0);
        kw_arena_free(&b.h.a);
    }
}

Test(check_rules, reference_page_has_a_line_for_every_rule) {
    struct kw_text page = {0};
    kw_rules_page(&page);
    for (const struct kw_rule *r = kw_rules; r->id; r++) {
        char start[64];
        (void)snprintf(start, sizeof start, "\n| %s | ", r->id);
        cr_expect(strstr(page.s, start), "%s is not on the page", r->id);
    }
    kw_text_free(&page);
}

Test(check_rules, the_blank_is_made_for_the_die_that_the_brake_takes) {
    struct bench b;
    bench_start(&b);
    // wanted 8 t = 24: the die of 25.4 is nearest, but a leg of 15 needs V of 20 or less
    struct kw_press_tool dies[2] = {b.die, b.die};
    dies[1].opening = 16;
    b.h.steel.least_radius = 0.5;
    b.h.shop.press.dies = (struct kw_items){dies, 2};
    bench_check(&b);
    cr_assert(b.what[0].brake);
    cr_expect_eq(b.what[0].brake->steps[0].die, 0);
    cr_expect_float_eq(b.what[0].body->bends[0].radius, 0.16 * 25.4, 1e-9);
    height(&b, 15);
    bench_check(&b);
    cr_assert(b.what[0].brake);
    cr_expect_eq(b.what[0].brake->steps[0].die, 1);
    cr_expect_eq(b.what[0].body->bends[0].die, 1);
    cr_expect_float_eq(b.what[0].body->bends[0].radius, 0.16 * 16, 1e-9);
    cr_expect(!bench_found(&b, "bend-radius-off"));
    kw_arena_free(&b.h.a);
}
