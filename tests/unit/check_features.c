// SPDX-License-Identifier: Apache-2.0
// Rules for dimples, letters, hems, hand tabs, grain and reliefs: each with a part that breaks it
// and one that keeps it. Flare stretch: 7 % for a 45 degree flare from 2.0 to 2.5 in, 25 % for a
// full collar (geometry; the figures stand in the trade's rules); hand force: plastic moment.
#include "check/check.h"
#include "shape_hand.h"

#include <string.h>

struct shop_hand {
    struct hand h;
    struct kw_examined *what;
    int count;
    struct kw_dimple_die dies[1];
    struct kw_cut_entry cut[1];
    struct kw_press_tool tools[3];
};

static void start(struct shop_hand *s, double length, double width, double t) {
    *s = (struct shop_hand){0};
    hand_start(&s->h, length, width, t);
    s->dies[0] = (struct kw_dimple_die){.name = "2 in",
                                        .pre_hole = 50.8,
                                        .flare = 63.5,
                                        .height = 4.49,
                                        .force = 178e3,
                                        .most_thickness = 3.1};
    s->h.shop.dimple_dies = (struct kw_items){s->dies, 1};
    s->h.shop.shop_press = (struct kw_shop_press){.rating = 300e3, .throat = 200, .daylight = 300};
    s->cut[0] = (struct kw_cut_entry){.kerf = 1.5, .stock = {.thickness = t}};
    s->cut[0].stock.kind = KW_SHEET;
    s->h.shop.table.rules = (struct kw_items){s->cut, 1};
    s->tools[0] = (struct kw_press_tool){.name = "V",
                                         .opening = 8 * t,
                                         .angle = 85 * DEG,
                                         .radius = 1,
                                         .height = 60,
                                         .length = 1000,
                                         .rating = 1000};
    s->tools[1] = (struct kw_press_tool){
        .name = "P", .angle = 80 * DEG, .radius = 1, .height = 100, .length = 1000, .rating = 1000};
    s->tools[2] = (struct kw_press_tool){
        .name = "H", .width = 50, .height = 60, .upper = 60, .length = 2000, .rating = 5000};
    s->h.shop.press = (struct kw_press){.rating = 400e3,
                                        .bed = 2000,
                                        .between_frames = 1800,
                                        .throat = 200,
                                        .open_height = 300,
                                        .stroke = 150,
                                        .gauge_least = 5,
                                        .gauge_most = 600,
                                        .dies = {&s->tools[0], 1},
                                        .punches = {&s->tools[1], 1},
                                        .hemming = {&s->tools[2], 1}};
}

static const struct kw_finding *look(struct shop_hand *s, const char *rule) {
    struct kw_kit kit = {.name = "kit", .parts = {&s->h.part, 1}};
    s->h.part.each = 1;
    s->h.kit = kit;
    kw_check_kit(&s->h.a, &s->h.shop, &s->h.kit, &s->h.found, &s->what, &s->count);
    for (int i = 0; i < s->h.found.count; i++)
        if (strcmp(s->h.found.v[i].rule, rule) == 0) return &s->h.found.v[i];
    return NULL;
}

static struct kw_hole *dimple(struct shop_hand *s, double x, double y) {
    struct kw_hole *o = hand_hole(&s->h, -1, 50.8, x, y);
    o->dimple = "2 in";
    return o;
}

Test(check_features, flares_stretch_as_the_trade_says) {
    struct kw_dimple_die d = {.pre_hole = 50.8, .flare = 63.5, .height = 6.35 * sqrt(0.5)};
    cr_expect_float_eq(kw_check_flare_stretch(&d), 0.0732, 5e-4);
    d.height = 6.35;
    cr_expect_float_eq(kw_check_flare_stretch(&d), 0.25, 1e-6);
}

static void spoil_dimple(struct shop_hand *s, const char *rule, bool spoil) {
    start(s, 500, 500, 3);
    bool deep = strcmp(rule, "dimple-reach") == 0 && spoil;
    dimple(s, deep ? 250 : 100, deep ? 250 : 100);
    if (!spoil) return;
    if (strcmp(rule, "no-shop-press") == 0) s->h.shop.shop_press.rating = 0;
    if (strcmp(rule, "dimple-thick") == 0) s->dies[0].most_thickness = 2.5;
    if (strcmp(rule, "dimple-force") == 0) s->h.shop.shop_press.rating = 150e3;
    if (strcmp(rule, "dimple-room") == 0) dimple(s, 165, 100);
    if (strcmp(rule, "dimple-stretch") == 0) s->dies[0].pre_hole = 45, s->dies[0].height = 12;
}

Test(check_features, dimples) {
    static const char *const rules[] = {"no-shop-press", "dimple-thick", "dimple-force",
                                        "dimple-reach",  "dimple-room",  "dimple-stretch"};
    for (int i = 0; i < 6; i++)
        for (int spoil = 0; spoil < 2; spoil++) {
            struct shop_hand s;
            spoil_dimple(&s, rules[i], spoil);
            const struct kw_finding *f = look(&s, rules[i]);
            cr_expect((f != NULL) == (spoil == 1), "%s %d", rules[i], spoil);
            if (f) cr_expect(f->says && strlen(f->says) > 10 && strcmp(f->frame, "blank") == 0);
            kw_arena_free(&s.h.a);
        }
}

Test(check_features, dimple_force_near_the_rating_is_a_risk) {
    struct shop_hand s;
    start(&s, 500, 500, 3.1);
    s.h.shop.shop_press.rating = 200e3; // 178 kN is 89 % of it
    dimple(&s, 100, 100);
    const struct kw_finding *f = look(&s, "dimple-force");
    cr_assert(f);
    cr_expect_eq(f->level, KW_RISK);
    cr_expect_float_eq(f->measured, 178, 1e-6);
    kw_arena_free(&s.h.a);
}

static struct kw_hole *letters(struct shop_hand *s, const char *text, double height) {
    struct kw_hole *o = hand_hole(&s->h, -1, 0, 250, 250);
    o->letters = text;
    o->font = "DejaVu Sans";
    o->tallness = height;
    return o;
}

Test(check_features, letters_against_the_torch) {
    struct shop_hand s;
    start(&s, 500, 500, 3);
    letters(&s, "HILT", 8);
    const struct kw_finding *f = look(&s, "letter-stroke");
    cr_assert(f);
    cr_expect(f->measured < 1.5 && f->limit == 1.5);
    kw_arena_free(&s.h.a);
    start(&s, 500, 500, 3);
    letters(&s, "HAND", 90)->bridge = 6;
    cr_expect_null(look(&s, "letter-stroke"));
    cr_expect_null(look(&s, "letter-web"));
    kw_arena_free(&s.h.a);
    start(&s, 500, 500, 3);
    letters(&s, "OO", 90)->bridge = 2;
    f = look(&s, "letter-web");
    cr_assert(f);
    cr_expect_float_eq(f->measured, 2, 0.01);
    kw_arena_free(&s.h.a);
}

Test(check_features, marks_that_the_table_can_not_etch) {
    static struct kw_mark mark[] = {
        {.text = "TOP", .height = 10, .from_left = 50, .from_front = 50, .flange = -1}};
    for (int etch = 0; etch < 2; etch++) {
        struct shop_hand s;
        start(&s, 200, 200, 2);
        s.h.part.marks = (struct kw_items){mark, 1};
        s.h.shop.marking.way = etch ? KW_MARK_ETCH : KW_MARK_NICKS;
        cr_expect((look(&s, "marks-by-hand") != NULL) == (etch == 0));
        kw_arena_free(&s.h.a);
    }
}

Test(check_features, hems_need_force_to_flatten) {
    struct shop_hand s;
    start(&s, 1000, 200, 3);
    struct kw_flange *f = hand_flange(&s.h, KW_EDGE_BACK, 30, KW_PI, 0);
    f->hem = KW_HEM_CLOSED;
    const struct kw_finding *found = look(&s, "hem-force");
    // 4 x 1.33 x 414 x 1000 x 3 / 8 = 826 kN against 400
    cr_assert(found);
    cr_expect_eq(found->level, KW_STOP);
    cr_expect_float_eq(found->measured, 4 * 1.33 * 414 * 1000 * 3 / 8 / 1000, 1);
    kw_arena_free(&s.h.a);
    start(&s, 200, 200, 2);
    f = hand_flange(&s.h, KW_EDGE_BACK, 30, KW_PI, 0);
    f->hem = KW_HEM_CLOSED;
    cr_expect_null(look(&s, "hem-force"));
    kw_arena_free(&s.h.a);
}

static const struct kw_finding *hand_tab(struct shop_hand *s, double web, double t,
                                         const char *rule) {
    static struct kw_node node;
    start(s, 150, 100, t);
    struct kw_flange *f = hand_flange(&s->h, KW_EDGE_BACK, 40, 90 * DEG, 0);
    f->by_hand = (struct kw_hand_tab){.node = &node, .slit = 30, .web = web, .width = 3};
    return look(s, rule);
}

Test(check_features, tabs_that_hands_can_and_can_not_bend) {
    struct shop_hand s;
    const struct kw_finding *f = hand_tab(&s, 20, 3, "hand-tab-stiff");
    cr_assert(f);
    const struct kw_bend *b = &s.what[0].body->bends[0];
    double webs = b->length - b->hole_gap;
    cr_expect_float_eq(f->measured, 250 * webs * 9 / 4 / b->legs[1], 0.02 * f->measured);
    kw_arena_free(&s.h.a);
    cr_expect_null(hand_tab(&s, 5, 1.5, "hand-tab-stiff"));
    kw_arena_free(&s.h.a);
    cr_expect(hand_tab(&s, 0.5, 0.5, "hand-tab-weak"));
    kw_arena_free(&s.h.a);
    cr_expect_null(hand_tab(&s, 5, 1.5, "hand-tab-weak"));
    kw_arena_free(&s.h.a);
}

Test(check_features, tight_bends_lie_across_the_grain) {
    struct shop_hand s;
    start(&s, 200, 200, 3);
    s.h.steel.least_radius_along = 2;
    hand_flange(&s.h, KW_EDGE_BACK, 40, 90 * DEG, 4);
    const struct kw_finding *f = look(&s, "bend-grain");
    cr_assert(f);
    cr_expect_eq(f->level, KW_NOTE);
    cr_expect(s.what[0].has_grain);
    cr_expect_float_eq(fabs(sin(s.what[0].grain)), 1, 1e-9,
                       "the bend runs along x, the grain along y");
    kw_arena_free(&s.h.a);
    start(&s, 200, 200, 3);
    s.h.steel.least_radius_along = 2;
    hand_flange(&s.h, KW_EDGE_BACK, 40, 90 * DEG, 4);
    hand_flange(&s.h, KW_EDGE_LEFT, 40, 90 * DEG, 4);
    f = look(&s, "bend-grain");
    cr_assert(f);
    cr_expect_eq(f->level, KW_RISK);
    cr_expect_not(s.what[0].has_grain);
    kw_arena_free(&s.h.a);
    start(&s, 200, 200, 3);
    s.h.steel.least_radius_along = 1;
    hand_flange(&s.h, KW_EDGE_BACK, 40, 90 * DEG, 4);
    cr_expect_null(look(&s, "bend-grain"));
    kw_arena_free(&s.h.a);
}

/// An L of 200 x 200, its arm bent where it leaves the rest; with a notch there, or without.
static void drawn(struct shop_hand *s, double notch) {
    start(s, 200, 200, 3);
    static struct kw_drawn_bend line[1];
    struct kw_path p = {0};
    double y = 100;
    kw_path_add(&s->h.a, &p, 0, 0, 0, 0);
    kw_path_add(&s->h.a, &p, 200, 0, 0, 0);
    kw_path_add(&s->h.a, &p, 200, y - notch, 0, 0);
    kw_path_add(&s->h.a, &p, 120, y - notch, 0, 0);
    kw_path_add(&s->h.a, &p, 120, 200, 0, 0);
    kw_path_add(&s->h.a, &p, 0, 200, 0, 0);
    s->h.part.flat = "drawings/l.dxf";
    s->h.part.drawing.outer = p;
    line[0] = (struct kw_drawn_bend){
        .a = {0, y + 4.5}, .b = {120, y + 4.5}, .turn = 90 * DEG, .radius = 4, .name = "1"};
    s->h.part.drawn_bends = (struct kw_items){line, 1};
}

Test(check_features, drawn_bends_want_a_relief) {
    struct shop_hand s;
    drawn(&s, 0);
    const struct kw_finding *f = look(&s, "bend-relief");
    cr_assert(f);
    cr_expect_float_eq(f->at[0], 120, 1e-6);
    cr_expect_float_eq(f->at[1], 100, 1e-6);
    kw_arena_free(&s.h.a);
    drawn(&s, 30);
    cr_expect_null(look(&s, "bend-relief"));
    kw_arena_free(&s.h.a);
}

Test(check_features, a_deep_channel_is_refused_for_what_is_in_the_way) {
    struct shop_hand s;
    start(&s, 200, 30, 3);
    hand_flange(&s.h, KW_EDGE_BACK, 80, 90 * DEG, 0);
    hand_flange(&s.h, KW_EDGE_FRONT, 80, 90 * DEG, 0);
    const struct kw_finding *f = look(&s, "bend-collision");
    cr_assert(f);
    cr_expect_eq(f->level, KW_STOP);
    kw_arena_free(&s.h.a);
    start(&s, 200, 120, 3);
    hand_flange(&s.h, KW_EDGE_BACK, 40, 90 * DEG, 0);
    hand_flange(&s.h, KW_EDGE_FRONT, 40, 90 * DEG, 0);
    cr_expect_null(look(&s, "bend-collision"));
    kw_arena_free(&s.h.a);
}

// Between the depths that can't be bent and those that clear the punch by half a millimetre lie a
// few that pass it more closely.
Test(check_features, a_channel_that_just_clears_the_punch_is_bent_slowly) {
    struct shop_hand s;
    double low = 60, high = 260; // base; 80 high walls
    const struct kw_finding *f = NULL;
    for (int turn = 0; turn < 24 && !f; turn++) {
        double base = (low + high) / 2;
        start(&s, 200, base, 3);
        hand_flange(&s.h, KW_EDGE_BACK, 80, 90 * DEG, 0);
        hand_flange(&s.h, KW_EDGE_FRONT, 80, 90 * DEG, 0);
        bool none = look(&s, "bend-collision") != NULL;
        f = look(&s, "bend-tight");
        *(none ? &low : &high) = base;
        if (!f) kw_arena_free(&s.h.a);
    }
    cr_assert(f);
    cr_expect_eq(f->level, KW_RISK);
    cr_expect(f->measured > 0.09 && f->measured < 0.5, "%f", f->measured);
    cr_expect_float_eq(f->limit, 0.5, 1e-9);
    cr_expect(!s.what[0].brake->collides);
    kw_arena_free(&s.h.a);
}

Test(check_features, a_neck_under_the_sheet_leaves_little_to_correct) {
    struct shop_hand s;
    for (int neck = 0; neck < 2; neck++) {
        start(&s, 200, 120, 3);
        hand_flange(&s.h, KW_EDGE_BACK, 100, 91.5 * DEG, 0);
        s.tools[1].neck = neck ? 60 : 0;
        s.tools[1].height = 220;
        s.h.shop.press.open_height = 400;
        const struct kw_finding *f = look(&s, "bend-overbend");
        cr_expect_eq(f != NULL, neck);
        if (f) cr_expect_lt(f->measured, 2);
        kw_arena_free(&s.h.a);
    }
}

Test(check_features, a_tray_needs_tools_in_segments) {
    struct shop_hand s;
    static const double lengths[] = {10, 15, 20, 25, 50, 75, 100, 200, 300};
    for (int cut = 0; cut < 2; cut++) {
        start(&s, 240, 180, 3);
        for (int edge = KW_EDGE_FRONT; edge <= KW_EDGE_LEFT; edge++)
            hand_flange(&s.h, edge, 40, 90 * DEG, 0);
        for (int i = 0; cut && i < 2; i++)
            s.tools[i].segments = (struct kw_items){(void *)lengths, 9};
        cr_expect((look(&s, "tool-segments") != NULL) == (cut == 0));
        kw_arena_free(&s.h.a);
    }
}

// Half the die's opening less 1 mm for round holes, 1 mm more for what is not round: the guideline
// that the rule names.
Test(check_features, a_cut_out_by_corners_keeps_further_from_a_bend_than_a_round_hole) {
    struct shop_hand s;
    start(&s, 200, 120, 3);
    hand_flange(&s.h, KW_EDGE_BACK, 40, 90 * DEG, 0);
    (void)look(&s, "hole-near-bend");
    double line = s.what[0].body->bends[0].from.y;
    kw_arena_free(&s.h.a);
    for (int round = 0; round < 2; round++) {
        start(&s, 200, 120, 3);
        hand_flange(&s.h, KW_EDGE_BACK, 40, 90 * DEG, 0);
        struct kw_hole *h = hand_hole(&s.h, -1, round ? 20 : 0, 100, line - 12 - 10);
        if (!round) h->cut_out = kw_path_box_outline(&s.h.a, -10, -10, 10, 10, 0);
        const struct kw_finding *f = look(&s, "hole-near-bend");
        cr_expect((f != NULL) == (round == 0));
        if (f) cr_expect_float_eq(f->limit, 13, 1e-9);
        kw_arena_free(&s.h.a);
    }
}
