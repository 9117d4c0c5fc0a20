// SPDX-License-Identifier: Apache-2.0
// How sharp the judge of nests is, on gaps that are known from a formula: legal is never refused,
// 0.01 mm too little is always found.
#include "verify/verify.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

struct shape {
    const char *outer, *holes;
};

/// Two blanks on a wide sheet, one copy each.
static enum kw_status judge_two(double spacing, struct shape p, double px, double py, double turn,
                                struct shape q, double qx, double qy, struct kw_error *err) {
    struct kw_arena a = {0};
    struct kw_verdict v = {.arena = &a};
    static const char blank[] = "{\"part\":\"k/%s\",\"material\":\"m\",\"thickness\":1,\"count\":1,"
                                "\"outer\":%s,\"holes\":%s}";
    static const char at[] =
        "{\"part\":\"k/%s\",\"copy\":1,\"x\":%.7f,\"y\":%.7f,\"rotation\":%.9f,"
        "\"mirrored\":%s}";
    struct kw_text t = {0};
    kw_text_addf(&t, "{\"left_out\":[],\"blanks\":[");
    kw_text_addf(&t, blank, "p", p.outer, p.holes);
    kw_text_add(&t, ",");
    kw_text_addf(&t, blank, "q", q.outer, q.holes);
    kw_text_addf(&t,
                 "],\"sheets\":[{\"id\":\"S\",\"material\":\"m\",\"thickness\":1,\"times\":1,"
                 "\"spacing\":%.7f,\"margin\":0,\"outline\":[[-5000,-5000,0],[5000,-5000,0],"
                 "[5000,5000,0],[-5000,5000,0]],\"placements\":[",
                 spacing);
    kw_text_addf(&t, at, "p", px, py, turn, "true");
    kw_text_add(&t, ",");
    kw_text_addf(&t, at, "q", qx, qy, 0.0, "false");
    kw_text_add(&t, "]}]}");
    enum kw_status s = kw_judge_nests_text(t.s, t.length, &v, err);
    kw_text_free(&t);
    kw_arena_free(&a);
    return s;
}

static double between(uint64_t *random, double low, double high) {
    return low + (high - low) * kw_random_unit(random);
}

static const char *circle(struct kw_arena *a, double r, int way) {
    return kw_format(a, "[[%.9f,0,%d],[%.9f,0,%d]]", -r, way, r, way);
}

static void expect(double spacing, struct shape p, double px, double py, double turn,
                   struct shape q, double qx, double qy, bool legal) {
    struct kw_error err = {0};
    enum kw_status s = judge_two(spacing, p, px, py, turn, q, qx, qy, &err);
    cr_expect_eq(s, legal ? KW_OK : KW_JUDGE, "spacing %.4f, %s at (%g, %g), %s: %s", spacing,
                 p.outer, px, py, q.outer, err.text);
}

Test(verify_nest_slack, a_circle_beside_a_circle) {
    uint64_t random = 11;
    for (int i = 0; i < 60; i++) {
        struct kw_arena a = {0};
        double r = between(&random, 2, 400), s = between(&random, 2, 400);
        double spacing = i % 3 ? between(&random, 0.5, 20) : 0;
        double angle = between(&random, 0, 6.283), turn = between(&random, 0, 360);
        struct shape p = {circle(&a, r, 1), "[]"}, q = {circle(&a, s, 1), "[]"};
        double legal = r + s + spacing, short_by = legal - 0.01;
        expect(spacing, p, 3, 4, turn, q, 3 + legal * cos(angle), 4 + legal * sin(angle), true);
        expect(spacing, p, 3, 4, turn, q, 3 + short_by * cos(angle), 4 + short_by * sin(angle),
               false);
        kw_arena_free(&a);
    }
}

Test(verify_nest_slack, a_circle_in_a_round_hole) {
    uint64_t random = 12;
    for (int i = 0; i < 60; i++) {
        struct kw_arena a = {0};
        double hole = between(&random, 20, 300), spacing = i % 3 ? between(&random, 0.5, 8) : 0;
        double r = between(&random, 1, hole - spacing - 1), angle = between(&random, 0, 6.283);
        struct shape p = {circle(&a, hole + 10, 1), kw_format(&a, "[%s]", circle(&a, hole, -1))};
        struct shape q = {circle(&a, r, 1), "[]"};
        double legal = hole - r - spacing, too_far = legal + 0.01;
        double turn = between(&random, 0, 360);
        expect(spacing, p, -7, 5, turn, q, -7 + legal * cos(angle), 5 + legal * sin(angle), true);
        expect(spacing, p, -7, 5, turn, q, -7 + too_far * cos(angle), 5 + too_far * sin(angle),
               false);
        kw_arena_free(&a);
    }
}

Test(verify_nest_slack, a_turned_bar_over_a_circle) {
    uint64_t random = 13;
    for (int i = 0; i < 60; i++) {
        struct kw_arena a = {0};
        double r = between(&random, 2, 200), spacing = i % 3 ? between(&random, 0.5, 20) : 0;
        double turn = between(&random, 0, 360), t = turn * 3.14159265358979323846 / 180;
        // mirrored: the bar lies from x = -100 to 0; turned about (0, 0), its lower edge faces q
        struct shape p = {"[[-50,0,0],[50,0,0],[50,10,0],[-50,10,0]]", "[]"};
        struct shape q = {circle(&a, r, 1), "[]"};
        double legal = r + spacing, short_by = legal - 0.01;
        expect(spacing, p, 0, 0, turn, q, legal * sin(t), -legal * cos(t), true);
        expect(spacing, p, 0, 0, turn, q, short_by * sin(t), -short_by * cos(t), false);
        kw_arena_free(&a);
    }
}

Test(verify_nest_slack, crossing_bars_without_a_corner_inside_each_other) {
    struct shape lying = {"[[-50,-2,0],[50,-2,0],[50,2,0],[-50,2,0]]", "[]"};
    struct shape upright = {"[[-2,-50,0],[2,-50,0],[2,50,0],[-2,50,0]]", "[]"};
    expect(0, lying, 0, 0, 0, upright, 0, 0, false);
    expect(5, lying, 0, 0, 0, upright, 0, 0, false);
    expect(0, lying, 0, 0, 0, upright, 0, 52, true); // tip on edge
    expect(0, lying, 0, 0, 0, upright, 0, 51.99, false);
    expect(0, lying, 0, 0, 0, lying, 0, 4, true); // edge along edge
    expect(0, lying, 0, 0, 0, lying, 0, 3.99, false);
    expect(0, lying, 0, 0, 0, lying, 0, 0, false); // one on the other
}

Test(verify_nest_slack, many_hundred_parts_are_judged_quickly, .timeout = 5) {
    struct kw_text t = {0};
    struct kw_arena a = {0};
    kw_text_addf(
        &t,
        "{\"left_out\":[],\"blanks\":[{\"part\":\"k/d\",\"material\":\"m\",\"thickness\":1,"
        "\"count\":1600,\"outer\":%s,\"holes\":[%s]}],\"sheets\":[{\"id\":\"S\","
        "\"material\":\"m\",\"thickness\":1,\"times\":1,\"spacing\":1,\"margin\":1,"
        "\"outline\":[[0,0,0],[3241,0,0],[3241,3241,0],[0,3241,0]],\"placements\":[",
        circle(&a, 40, 1), circle(&a, 30, -1));
    for (int i = 0; i < 1600; i++) {
        kw_text_addf(&t,
                     "%s{\"part\":\"k/d\",\"copy\":%d,\"x\":%d,\"y\":%d,\"rotation\":%d,"
                     "\"mirrored\":false}",
                     i ? "," : "", i + 1, 41 + 81 * (i % 40), 41 + 81 * (i / 40), i);
    }
    kw_text_add(&t, "]}]}");
    struct kw_verdict v = {.arena = &a};
    struct kw_error err = {0};
    cr_expect_eq(kw_judge_nests_text(t.s, t.length, &v, &err), KW_OK, "%s", err.text);
    cr_expect_eq(v.looked_at, 1600);
    kw_text_free(&t);
    kw_arena_free(&a);
}

// Found by random nests: two triangles that make a rectangle have one box and touch, and were taken
// for one piece twice. One that nearly lies on another has no border deep in it, and is none.
Test(verify_nest_slack, pieces_in_one_box_are_no_copies_and_near_copies_are_found) {
    struct shape low = {"[[0,0,0],[100,0,0],[0,60,0]]", "[]"};
    struct shape high = {"[[0,0,0],[100,60,0],[0,60,0]]", "[]"};
    expect(0, low, 100, 0, 0, high, 0, 0, true);
    expect(0, low, 100, -0.001, 0, high, 0, 0, true);
    expect(0, low, 100, 0.01, 0, high, 0, 0, false);
    struct shape plate = {"[[-50,-30,0],[50,-30,0],[50,30,0],[-50,30,0]]", "[]"};
    for (int i = 0; i < 5; i++)
        expect(0, plate, 0.0005 * i, 0.0003 * i, 0, plate, 0, 0, false);
    struct shape ring = {"[[-50,0,1],[50,0,1]]", "[[[40,0,-1],[-40,0,-1]]]"};
    expect(0, ring, 0.001, 0.001, 0, ring, 0, 0, false);
    struct shape disc = {"[[-40,0,1],[40,0,1]]", "[]"};
    expect(0, ring, 0, 0, 0, disc, 0, 0, true);
}
