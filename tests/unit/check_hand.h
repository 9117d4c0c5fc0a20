// SPDX-License-Identifier: Apache-2.0
// A kit with one sheet part (3 mm, 200 x 120, a flange of 40 on its back) and one bent tube, on a
// shop that can make both: nothing is found until something is spoiled.
#pragma once

#include "check/check.h"
#include "shape_hand.h"

#include <string.h>

struct bench {
    struct hand h; // its part is copied to parts[0]
    struct kw_part parts[2];
    struct kw_cut_entry cut;
    struct kw_rack_item sheet, stick;
    struct kw_press_tool die, punch, hemming;
    struct kw_bender_die bender_die;
    struct kw_bender_body body;
    double ahead[2], side[2], up[2]; // of body
    struct kw_shape_step steps[8];
    struct kw_signature signature;
    struct kw_rule_override override;
    struct kw_drawn_bend line;
    struct kw_examined *what;
    int count;
};

static inline void bench_step(struct bench *b, const char *word, double value) {
    struct kw_shape_step *s = &b->steps[b->parts[1].shape.count++];
    *s = (struct kw_shape_step){.value = value};
    memcpy(s->word, word, strlen(word) + 1);
}

static inline void bench_tube(struct bench *b) {
    b->parts[1] = (struct kw_part){.name = "hoop"};
    b->parts[1].stock = (struct kw_stock){.kind = KW_ROUND_TUBE,
                                          .thickness = 1.65,
                                          .width = 25.4,
                                          .height = 25.4,
                                          .text = "1 x 0.065 round tube"};
    b->parts[1].shape.v = b->steps;
    bench_step(b, "up", 300);
    bench_step(b, "turn", 90 * DEG);
    bench_step(b, "across", 400);
    bench_step(b, "turn", 90 * DEG);
    bench_step(b, "down", 300);
    b->bender_die = (struct kw_bender_die){
        .name = "1 in", .od = 25.4, .radius = 101.6, .most_angle = KW_PI, .clamp = 50, .lead = 40};
    b->h.shop.bender = (struct kw_bender){
        .most_wall = 3, .turns_by_itself = 1, .springback = 1.02, .dies = {&b->bender_die, 1}};
    b->h.shop.saw = (struct kw_saw){.kerf = 1.5, .trim = 10};
    b->stick = (struct kw_rack_item){.stock = b->parts[1].stock, .length = 6000, .on_hand = 3};
    b->h.shop.sticks = (struct kw_items){&b->stick, 1};
}

static inline void bench_press(struct bench *b) {
    b->die = (struct kw_press_tool){.name = "D1",
                                    .opening = 25.4,
                                    .angle = 30 * DEG,
                                    .radius = 2,
                                    .height = 80,
                                    .rating = 1000};
    b->punch = (struct kw_press_tool){
        .name = "P1", .angle = 30 * DEG, .radius = 1, .height = 100, .rating = 1000};
    b->hemming = (struct kw_press_tool){
        .name = "H1", .width = 50, .height = 80, .upper = 80, .length = 1200, .rating = 2000};
    b->h.shop.press = (struct kw_press){.rating = 500e3,
                                        .bed = 1200,
                                        .between_frames = 1000,
                                        .throat = 200,
                                        .open_height = 400,
                                        .stroke = 250,
                                        .gauge_least = 5,
                                        .gauge_most = 500,
                                        .one_person = 22,
                                        .dies = {&b->die, 1},
                                        .punches = {&b->punch, 1},
                                        .hemming = {&b->hemming, 1}};
}

static inline void bench_start(struct bench *b) {
    *b = (struct bench){0};
    hand_start(&b->h, 200, 120, 3);
    memcpy(b->h.part.stock.text, "3 mm steel sheet", 17);
    hand_flange(&b->h, KW_EDGE_BACK, 40, 90 * DEG, 0);
    hand_hole(&b->h, -1, 10, 50, 50);
    struct kw_shop *shop = &b->h.shop;
    b->cut = (struct kw_cut_entry){.stock = b->h.part.stock, .kerf = 1.5};
    shop->table = (struct kw_table){.margin = 10, .rules = {&b->cut, 1}};
    b->sheet = (struct kw_rack_item){
        .stock = b->h.part.stock, .length = 2000, .width = 1000, .on_hand = 1};
    shop->sheets = (struct kw_items){&b->sheet, 1};
    bench_press(b);
    bench_tube(b);
}

/// Runs the check over copies of the parts.
static inline void bench_check(struct bench *b) {
    b->parts[0] = b->h.part;
    b->h.kit.parts = (struct kw_items){b->parts, 2};
    b->h.found.count = 0;
    kw_check_kit(&b->h.a, &b->h.shop, &b->h.kit, &b->h.found, &b->what, &b->count);
}

static inline const struct kw_finding *bench_found(const struct bench *b, const char *rule) {
    for (int i = 0; i < b->h.found.count; i++)
        if (strcmp(b->h.found.v[i].rule, rule) == 0) return &b->h.found.v[i];
    return NULL;
}
