// SPDX-License-Identifier: Apache-2.0
// Random sheets through the planner and its judge, which share no code: every program passes.
#include "cut/cut.h"
#include "verify/verify.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define CELL 160.0

struct sheet_case { // a sheet and the run.json that says the same
    struct kw_arena arena;
    struct kw_region blanks[6];
    int blank_count;
    struct kw_cut_part *parts;
    struct kw_cut_line *marks;
    struct kw_path etches[6][3]; ///< lines to be etched, by blank
    struct kw_cut_etch *placed;
    struct kw_cut_line scrap[3];
    struct kw_box2 clamp;
    struct kw_cut_sheet sheet;
    struct kw_text placements;
    struct kw_cut_rule rule;
    struct kw_cut_controller controller;
    uint64_t seed;
    bool scribes; ///< the table etches
};

static double between(struct sheet_case *c, double a, double b) {
    return a + (b - a) * kw_random_unit(&c->seed);
}

static void add_hole(struct sheet_case *c, struct kw_region *r, struct kw_path p) {
    KW_PUSH(&c->arena, r->holes, r->hole_count) = kw_path_oriented(&c->arena, &p, false);
}

static void add_slot(struct sheet_case *c, struct kw_region *r, double x, double y, double length,
                     double width) {
    struct kw_path p = {0};
    kw_path_add(&c->arena, &p, x, y, 0, 0);
    kw_path_add(&c->arena, &p, x + length, y, 1, 0);
    kw_path_add(&c->arena, &p, x + length, y + width, 0, 0);
    kw_path_add(&c->arena, &p, x, y + width, 1, 0);
    add_hole(c, r, p);
}

static void outline(struct sheet_case *c, struct kw_region *r, const double (*v)[3], int n) {
    for (int i = 0; i < n; i++)
        kw_path_add(&c->arena, &r->outer, v[i][0], v[i][1], v[i][2], i + 1);
}

static struct kw_region plate(struct sheet_case *c) { // round corners, holes
    struct kw_region r = {0};
    double w = between(c, 60, 110), h = between(c, 50, 100), q = between(c, 3, 12),
           b = tan(KW_PI / 8);
    const double v[][3] = {{q, 0, 0},     {w - q, 0, b}, {w, q, 0},     {w, h - q, b},
                           {w - q, h, 0}, {q, h, b},     {0, h - q, 0}, {0, q, b}};
    outline(c, &r, v, 8);
    for (int i = 0; i < 4; i++)
        add_hole(c, &r,
                 kw_path_circle(&c->arena, i % 2 ? w - 14 : 14, i / 2 ? h - 14 : 14,
                                between(c, 2.6, 8), false, 0));
    add_slot(c, &r, w / 2 - 10, h / 2, 20, between(c, 3, 5));
    return r;
}

static struct kw_region angle(struct sheet_case *c) { // inside corners, a notch, a square hole
    struct kw_region r = {0};
    double w = between(c, 70, 110), h = between(c, 70, 110), n = between(c, 4, 9);
    const double v[][3] = {{0, 0, 0},  {w, 0, 0},      {w, 40, 0},          {45, 40, 0},
                           {45, h, 0}, {20 + n, h, 0}, {20 + n, h - 15, 0}, {20, h - 15, 0},
                           {20, h, 0}, {0, h, 0}};
    outline(c, &r, v, 10);
    add_hole(c, &r, kw_path_box_outline(&c->arena, 10, 10, 30, 10 + between(c, 3, 18), 0));
    return r;
}

static struct kw_region star(struct sheet_case *c) { // sharp corners both ways
    struct kw_region r = {0};
    int n = 5 + (int)(kw_random(&c->seed) % 4);
    double inner = between(c, 20, 35);
    for (int i = 0; i < 2 * n; i++) {
        double a = KW_PI * i / n, d = i % 2 ? inner : 52;
        kw_path_add(&c->arena, &r.outer, d * cos(a), d * sin(a), 0, 0);
    }
    add_hole(c, &r, kw_path_circle(&c->arena, 0, 0, between(c, 3, 10), false, 0));
    return r;
}

static struct kw_region ring(struct sheet_case *c) { // room for a small part inside
    struct kw_region r = {.outer = kw_path_circle(&c->arena, 0, 0, 58, true, 0)};
    add_hole(c, &r, kw_path_circle(&c->arena, 0, 0, 50, false, 0));
    return r;
}

static struct kw_region small(struct sheet_case *c) {
    struct kw_region r = {.outer = kw_path_box_outline(&c->arena, -20, -15, 20, 15, 0)};
    add_hole(c, &r, kw_path_circle(&c->arena, 5, 2, 6, false, 0));
    return r;
}

// Lines and an arc about the middle of a blank, two of which meet.
static void add_etches(struct sheet_case *c, int blank) {
    struct kw_box2 box = kw_path_box(&c->blanks[blank].outer);
    struct kw_vec2 m = kw_lerp2(box.min, box.max, 0.5);
    for (int i = 0; i < 3; i++) {
        struct kw_path *p = &c->etches[blank][i];
        *p = (struct kw_path){.open = true};
        struct kw_vec2 from = i == 1 ? kw_v2(m.x, m.y) : kw_v2(m.x + between(c, -9, 9), m.y + i);
        kw_path_add(&c->arena, p, from.x, from.y, i == 2 ? between(c, -0.9, 0.9) : 0, 0);
        kw_path_add(&c->arena, p, m.x + between(c, 2, 8), m.y + between(c, -8, 8), 0, 0);
        if (i == 0) kw_path_add(&c->arena, p, m.x, m.y, 0, 0);
    }
}

static void place(struct sheet_case *c, int blank, double x, double y) {
    bool mirror = (kw_random(&c->seed) & 1) && !c->scribes;
    double degrees = floor(between(c, 0, 72)) * 5;
    if (kw_random(&c->seed) % 3 == 0) degrees = 90 * floor(degrees / 90);
    struct kw_region *b = &c->blanks[blank];
    // The blank's box is centred on the cell.
    struct kw_box2 box = kw_path_box(&b->outer);
    struct kw_vec2 middle = kw_lerp2(box.min, box.max, 0.5);
    struct kw_move2 m = kw_move2_make(0, 0, degrees * KW_PI / 180, mirror);
    struct kw_vec2 off = kw_move2_point(m, middle);
    m.x = x - off.x;
    m.y = y - off.y;
    struct kw_cut_part p = {.name = kw_format(&c->arena, "case/%d#%d", blank, c->sheet.part_count)};
    p.region = kw_region_moved(&c->arena, b, m);
    for (int i = 0; c->scribes && i < 3; i++)
        KW_PUSH(&c->arena, c->placed, c->sheet.etch_count) = (struct kw_cut_etch){
            kw_path_moved(&c->arena, &c->etches[blank][i], m), c->sheet.part_count};
    p.region.outer = kw_path_oriented(&c->arena, &p.region.outer, true);
    for (int i = 0; i < p.region.hole_count; i++)
        p.region.holes[i] = kw_path_oriented(&c->arena, &p.region.holes[i], false);
    kw_text_addf(&c->placements,
                 "%s{\"part\":\"case/%d\",\"copy\":%d,\"x\":%.9f,\"y\":%.9f,\"rotation\":%.0f,"
                 "\"mirrored\":%s}",
                 c->placements.length ? "," : "", blank, c->sheet.part_count, m.x, m.y, degrees,
                 mirror ? "true" : "false");
    KW_PUSH(&c->arena, c->parts, c->sheet.part_count) = p;
}

// The ways of a shop and its control, by chance.
static void choose_table(struct sheet_case *c) {
    bool coin[9];
    for (int i = 0; i < 9; i++)
        coin[i] = kw_random(&c->seed) & 1;
    c->rule.lead_arc = coin[0];
    c->rule.zone = coin[1] ? between(c, 2, 8) : 0;
    c->rule.corner_feed = coin[2] ? 0.7 : 0;
    c->controller.lock = coin[3] ? "M50 P0" : NULL;
    c->controller.unlock = "M50 P1";
    c->controller.arcs_by_radius = coin[4];
    c->controller.all_decimals = coin[5];
    c->controller.trace = coin[6];
    for (int i = 0; i < c->sheet.part_count && coin[7]; i++) {
        c->parts[i].tab_width = i % 3 == 0 ? between(c, 1, 2.5) : 0;
        c->parts[i].may_tip = i % 3 == 1;
    }
    c->sheet.tab_every = between(c, 80, 250);
    c->sheet.heat_gap = coin[8] ? 200 : 0;
    double w = c->sheet.width, h = c->sheet.height;
    c->scrap[0] = (struct kw_cut_line){{w / 3, 0}, {w / 3, h}};
    c->scrap[1] = (struct kw_cut_line){{0, h / 2 + 20}, {w, h / 2 + 20}};
    c->scrap[2] = (struct kw_cut_line){{0, 0}, {w, h}};
    c->sheet.scrap = c->scrap;
    c->sheet.scrap_count = coin[0] ? 3 : 0;
    c->clamp = (struct kw_box2){{0, 0}, {60, 25}};
    c->sheet.clamps = &c->clamp;
    c->sheet.clamp_count = 1;
}

static void make_case(struct sheet_case *c, uint64_t seed, int nx, int ny) {
    *c = (struct sheet_case){.seed = seed * 977 + 5};
    struct kw_region (*const kinds[])(struct sheet_case *) = {plate, angle, star, ring, small};
    for (int i = 0; i < 5; i++)
        c->blanks[c->blank_count++] = kinds[i](c);
    c->scribes = seed % 2 == 0;
    for (int i = 0; i < 5 && c->scribes; i++)
        add_etches(c, i);
    for (int i = 0; i < nx * ny; i++) {
        int kind = (int)(kw_random(&c->seed) % 4);
        double x = (i % nx + 0.5) * CELL, y = (int)(i / nx + 0.5) * CELL + CELL / 2;
        place(c, kind, x, y);
        if (kind == 3) place(c, 4, x + between(c, -8, 8), y + between(c, -8, 8));
        struct kw_cut_line mark = {kw_v2(x - CELL / 2 + 2, y), kw_v2(x - CELL / 2 + 3.6, y)};
        if (kw_random(&c->seed) % 3 == 0) KW_PUSH(&c->arena, c->marks, c->sheet.mark_count) = mark;
    }
    c->sheet.width = nx * CELL;
    c->sheet.height = ny * CELL;
    c->sheet.parts = c->parts;
    c->sheet.marks = c->marks;
    c->sheet.etches = c->placed;
    c->rule = (struct kw_cut_rule){.kerf = between(c, 0.9, 2.4),
                                   .feed = 50,
                                   .pierce_delay = 0.5,
                                   .pierce_height = 3.8,
                                   .cut_height = 1.5,
                                   .lead_in = between(c, 2, 7),
                                   .hole_feed_below = 25.4,
                                   .overburn = kw_random(&c->seed) & 1 ? between(c, 0.5, 6) : 0,
                                   .left_is_square = kw_random(&c->seed) % 4 == 0};
    c->controller = kw_cut_controller_usual();
    c->controller.units = kw_random(&c->seed) & 1 ? KW_IN : KW_MM;
    c->controller.line_numbers = kw_random(&c->seed) & 1 ? 5 : 0;
    c->controller.moves_height = kw_random(&c->seed) & 1;
    c->controller.percent = kw_random(&c->seed) & 1;
    choose_table(c);
    if (!c->scribes) return;
    c->controller.scribe_down = seed % 4 ? "M7" : "M64 P3";
    c->controller.scribe_up = seed % 4 ? "M9" : "M65 P3";
    c->controller.scribe_delay = between(c, 0, 0.5);
    c->controller.scribe_feed = between(c, 20, 120);
    c->controller.scribe = kw_v2(between(c, -20, 20), between(c, -20, 20));
    c->controller.reach = kw_v2(c->sheet.width, c->sheet.height);
}

static void add_path(struct kw_text *t, const struct kw_path *p) {
    kw_text_add(t, "[");
    for (int i = 0; i < p->count; i++)
        kw_text_addf(t, "%s[%.9f,%.9f,%.12f]", i ? "," : "", p->v[i].x, p->v[i].y, p->v[i].bulge);
    kw_text_add(t, "]");
}

static void add_lines(struct kw_text *t, const char *key, const struct kw_cut_line *v, int count) {
    kw_text_addf(t, "\"%s\":[", key);
    for (int i = 0; i < count; i++)
        kw_text_addf(t, "%s{\"from\":[%.6f,%.6f],\"to\":[%.6f,%.6f]}", i ? "," : "", v[i].from.x,
                     v[i].from.y, v[i].to.x, v[i].to.y);
    kw_text_add(t, "],");
}

static void add_setting(const struct sheet_case *c, const struct kw_cut_plan *plan,
                        struct kw_text *t) {
    const struct kw_cut_controller *k = &c->controller;
    kw_text_addf(t,
                 "\"controller\":{\"torch_on\":\"M3\",\"torch_off\":\"M5\",\"stop\":\"M1\",%s"
                 "\"trace\":%s,",
                 k->lock ? "\"lock\":\"M50 P0\",\"unlock\":\"M50 P1\"," : "",
                 k->trace ? "true" : "false");
    if (k->scribe_down)
        kw_text_addf(t,
                     "\"scribe\":{\"down\":\"%s\",\"up\":\"%s\",\"delay\":%.6f,"
                     "\"feed\":%.6f,\"from_torch\":[%.9f,%.9f]},",
                     k->scribe_down, k->scribe_up, k->scribe_delay, k->scribe_feed, k->scribe.x,
                     k->scribe.y);
    kw_text_addf(t, "\"lines\":[\"M50 P0\",\"M50 P1\",\"M1\"%s]},",
                 k->scribe_down ? ",\"M64 P3\",\"M65 P3\"" : "");
    kw_text_addf(t,
                 "\"feed\":%.6f,\"hole_feed\":0.6,\"hole_feed_below\":%.6f,\"corner_feed\":%.6f,"
                 "\"zone\":%.6f,\"pierce_delay\":%.6f,\"pierce_height\":%.6f,\"cut_height\":%.6f,"
                 "\"travel_height\":%.6f,\"table\":[%.3f,%.3f],\"stops\":[",
                 c->rule.feed, c->rule.hole_feed_below, c->rule.corner_feed, c->rule.zone,
                 c->rule.pierce_delay, c->rule.pierce_height, c->rule.cut_height,
                 k->moves_height ? k->travel_height : 0, c->sheet.width, c->sheet.height);
    for (int i = 0, pierces = 0, stops = 0; i < plan->contour_count; i++) {
        const struct kw_cut_contour *n = &plan->contours[i];
        if (n->stop_before) kw_text_addf(t, "%s%d", stops++ ? "," : "", pierces + 1);
        for (int m = 0; m < n->moves; m++)
            pierces += plan->moves[n->first_move + m].kind == KW_CUT_PIERCE;
    }
    kw_text_add(t, "],");
}

static void run_json(const struct sheet_case *c, const struct kw_cut_plan *plan,
                     struct kw_text *t) {
    kw_text_add(t, "{\"blanks\":[");
    for (int i = 0; i < c->blank_count; i++) {
        kw_text_addf(t,
                     "%s{\"part\":\"case/%d\",\"material\":\"m\",\"thickness\":3,\"count\":9,"
                     "\"outer\":",
                     i ? "," : "", i);
        add_path(t, &c->blanks[i].outer);
        kw_text_add(t, ",\"holes\":[");
        for (int h = 0; h < c->blanks[i].hole_count; h++) {
            if (h) kw_text_add(t, ",");
            add_path(t, &c->blanks[i].holes[h]);
        }
        kw_text_add(t, "],\"marks\":[");
        for (int e = 0; e < 3 && c->scribes; e++) {
            if (e) kw_text_add(t, ",");
            add_path(t, &c->etches[i][e]);
        }
        kw_text_add(t, "]}");
    }
    kw_text_addf(t,
                 "],\"sheets\":[{\"id\":\"S\",\"material\":\"m\",\"thickness\":3,\"spacing\":3,"
                 "\"margin\":3,\"times\":1,\"program\":\"s.nc\",\"kerf\":%.9f,\"outline\":[[0,0,0],"
                 "[%.3f,0,0],[%.3f,%.3f,0],[0,%.3f,0]],\"pierces\":%d,\"cut_length\":%.6f,"
                 "\"drops\":[],\"placements\":[%s],",
                 c->rule.kerf, c->sheet.width, c->sheet.width, c->sheet.height, c->sheet.height,
                 plan->pierces, plan->cut_length, c->placements.s);
    add_setting(c, plan, t);
    add_lines(t, "marks", c->marks, c->sheet.mark_count);
    add_lines(t, "scrap_cuts", plan->scrap, plan->scrap_count);
    add_lines(t, "shared_cuts", plan->shared, plan->shared_count);
    kw_text_add(t, "\"unetched\":[");
    for (int i = 0, listed = 0; i < c->sheet.etch_count; i++)
        if (plan->unetched[i])
            kw_text_addf(t, "%s{\"part\":\"%.6s\",\"copy\":%d,\"mark\":%d}", listed++ ? "," : "",
                         c->parts[c->placed[i].part].name, c->placed[i].part, i % 3);
    kw_text_add(t, "],");
    kw_text_add(t, "\"tabs\":[");
    for (int i = 0; i < plan->tab_count; i++)
        kw_text_addf(t, "%s{\"at\":[%.6f,%.6f],\"width\":%.6f}", i ? "," : "", plan->tabs[i].at.x,
                     plan->tabs[i].at.y, plan->tabs[i].width);
    kw_text_add(t, "]}],\"left_out\":[]}");
}

static void free_case(struct sheet_case *c) {
    kw_text_free(&c->placements);
    kw_arena_free(&c->arena);
}

static double seconds(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

// Plans and judges; returns how many moves were judged.
static int judged(struct sheet_case *c, uint64_t seed) {
    struct kw_cut_plan plan;
    struct kw_error err = {0};
    struct kw_text json = {0}, program = {0};
    struct kw_verdict verdict = {.arena = &c->arena};
    double t0 = seconds();
    enum kw_status s =
        kw_cut_plan_sheet(&c->arena, &c->sheet, &c->rule, &c->controller, NULL, &plan, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    cr_expect(plan.writable, "case %lu: problem %s of part %d hole %d, %.3f of %.3f",
              (unsigned long)seed,
              plan.problem_count ? kw_cut_trouble_name(plan.problems[0].kind) : "",
              plan.problem_count ? plan.problems[0].part : 0,
              plan.problem_count ? plan.problems[0].hole : 0,
              plan.problem_count ? plan.problems[0].measured : 0,
              plan.problem_count ? plan.problems[0].limit : 0);
    kw_cut_program_text(&plan, &c->controller, "case", &program);
    run_json(c, &plan, &json);
    double t1 = seconds();
    s = kw_judge_program_text(json.s, json.length, "S", program.s, program.length, &verdict, &err);
    if (getenv("KW_TIMES"))
        printf("case %lu: %d parts, %d contours, plan %.3f s, judge %.3f s, cut %.0f rapid %.0f\n",
               (unsigned long)seed, c->sheet.part_count, plan.contour_count, t1 - t0,
               seconds() - t1, plan.cut_length, plan.rapid_length);
    cr_expect_eq(s, KW_OK, "case %lu: %s: %s", (unsigned long)seed, err.text,
                 verdict.fault_count ? verdict.faults[0] : "");
    // For tests/outside/program_retrace.mjs, which wants a packet: KW_PACKETS=FOLDER.
    if (getenv("KW_PACKETS")) {
        const char *folder =
            kw_format(&c->arena, "%s/%lu", getenv("KW_PACKETS"), (unsigned long)seed);
        kw_make_folder(folder, &err);
        kw_write_file(kw_format(&c->arena, "%s/s.nc", folder), program.s, program.length, &err);
        kw_write_file(kw_format(&c->arena, "%s/run.json", folder), json.s, json.length, &err);
    }
    kw_text_free(&json);
    kw_text_free(&program);
    return verdict.looked_at;
}

Test(packet_cut_judged, random_sheets_pass_the_judge_of_programs) {
    const char *wanted = getenv("KW_CUT_CASES"), *from = getenv("KW_CUT_FIRST");
    uint64_t cases = wanted ? strtoull(wanted, NULL, 10) : 25;
    uint64_t first = from ? strtoull(from, NULL, 10) : 1; // to see one case again
    for (uint64_t seed = first; seed <= cases; seed++) {
        struct sheet_case c;
        make_case(&c, seed, 3, 2);
        cr_expect_gt(judged(&c, seed), 60);
        free_case(&c);
    }
}

// Rows of rectangles a kerf apart: cut once between two, whatever the order of the parts.
Test(packet_cut_judged, neighbours_a_kerf_apart_share_one_cut) {
    for (uint64_t seed = 1; seed <= 12; seed++) {
        struct sheet_case c = {.seed = seed * 77, .blank_count = 1};
        double w = between(&c, 40, 90), h = between(&c, 30, 80), kerf = between(&c, 0.9, 2.2);
        c.blanks[0].outer = kw_path_box_outline(&c.arena, 0, 0, w, h, 0);
        add_hole(&c, &c.blanks[0], kw_path_circle(&c.arena, w / 2, h / 2, 7, false, 0));
        int n = 2 + (int)(seed % 4);
        c.sheet = (struct kw_cut_sheet){.width = n * (w + kerf) + 40, .height = 3 * (h + 10) + 40};
        c.sheet.share_straight = true;
        c.sheet.heat_gap = seed % 2 ? 100 : 0;
        for (int i = 0; i < 3 * n; i++) {
            double x = 20 + i % n * (w + kerf), y = 20 + (int)(i / n) * (h + 10);
            struct kw_move2 m = kw_move2_make(x, y, 0, false);
            struct kw_cut_part p = {.name = kw_format(&c.arena, "case/0#%d", i)};
            p.region = kw_region_moved(&c.arena, &c.blanks[0], m);
            kw_text_addf(&c.placements,
                         "%s{\"part\":\"case/0\",\"copy\":%d,\"x\":%.9f,\"y\":%.9f,\"rotation\":0,"
                         "\"mirrored\":false}",
                         i ? "," : "", i, x, y);
            KW_PUSH(&c.arena, c.parts, c.sheet.part_count) = p;
        }
        c.sheet.parts = c.parts;
        c.rule = (struct kw_cut_rule){.kerf = kerf,
                                      .feed = 50,
                                      .lead_in = 4,
                                      .overburn = 2,
                                      .left_is_square = seed % 3 == 0,
                                      .lead_arc = seed % 2 == 0};
        c.controller = kw_cut_controller_usual();
        struct kw_cut_plan plan;
        struct kw_error err = {0};
        kw_cut_plan_sheet(&c.arena, &c.sheet, &c.rule, &c.controller, NULL, &plan, &err);
        cr_expect_eq(plan.shared_count, 3 * (n - 1), "%d of %d", plan.shared_count, 3 * (n - 1));
        // Each shared edge is missing from the length once.
        double whole = plan.cut_length;
        c.sheet.share_straight = false;
        kw_cut_plan_sheet(&c.arena, &c.sheet, &c.rule, &c.controller, NULL, &plan, &err);
        double saved = plan.cut_length - whole;
        cr_expect_gt(saved, 3 * (n - 1) * (h - 15), "%g of %g", saved, 3 * (n - 1) * h);
        c.sheet.share_straight = true;
        cr_expect_gt(judged(&c, 90000 + seed), 60);
        free_case(&c);
    }
}

static void expect_fault(struct sheet_case *c, const struct kw_cut_plan *drawn,
                         const struct kw_cut_plan *said, const char *what) {
    struct kw_text json = {0}, program = {0};
    struct kw_verdict v = {.arena = &c->arena};
    struct kw_error err = {0};
    bool found = false;
    kw_cut_program_text(drawn, &c->controller, "case", &program);
    run_json(c, said, &json);
    kw_judge_program_text(json.s, json.length, "S", program.s, program.length, &v, &err);
    for (int i = 0; i < v.fault_count; i++)
        found = found || strstr(v.faults[i], what);
    cr_expect(found, "expected \"%s\", first of %d: %s", what, v.fault_count,
              v.fault_count ? v.faults[0] : "nothing");
    kw_text_free(&json);
    kw_text_free(&program);
}

Test(packet_cut_judged, faults_of_shared_cuts_are_caught) {
    struct sheet_case c = {.blank_count = 1};
    struct kw_cut_plan shared, whole, said;
    struct kw_error err = {0};
    c.blanks[0].outer = kw_path_box_outline(&c.arena, 0, 0, 60, 40, 0);
    for (int i = 0; i < 2; i++) {
        struct kw_move2 m = kw_move2_make(20 + i * 61.5, 20, 0, false);
        struct kw_cut_part p = {.name = kw_format(&c.arena, "case/0#%d", i)};
        p.region = kw_region_moved(&c.arena, &c.blanks[0], m);
        kw_text_addf(&c.placements,
                     "%s{\"part\":\"case/0\",\"copy\":%d,\"x\":%.3f,\"y\":20,\"rotation\":0,"
                     "\"mirrored\":false}",
                     i ? "," : "", i, 20 + i * 61.5);
        KW_PUSH(&c.arena, c.parts, c.sheet.part_count) = p;
    }
    c.sheet.parts = c.parts;
    c.sheet.width = 200;
    c.sheet.height = 80;
    c.rule = (struct kw_cut_rule){.kerf = 1.5, .feed = 50, .lead_in = 4};
    c.controller = kw_cut_controller_usual();
    kw_cut_plan_sheet(&c.arena, &c.sheet, &c.rule, &c.controller, NULL, &whole, &err);
    c.sheet.share_straight = true;
    kw_cut_plan_sheet(&c.arena, &c.sheet, &c.rule, &c.controller, NULL, &shared, &err);
    cr_assert_eq(shared.shared_count, 1);
    expect_fault(&c, &shared, &whole, "is not followed");
    said = whole;
    said.shared = shared.shared;
    said.shared_count = 1;
    expect_fault(&c, &whole, &said, "is run along 2 times");
    struct kw_cut_line off[] = {shared.shared[0], {kw_v2(5, 5), kw_v2(5, 30)}};
    said = shared;
    said.shared = off;
    said.shared_count = 2;
    expect_fault(&c, &shared, &said, "lies between no two parts");
    said = shared; // the cut that closes the gap is lost: the second part's outline
    said.contour_count = 1;
    expect_fault(&c, &said, &shared, "is run along 0 times");
    free_case(&c);
}

Test(packet_cut_judged, sixty_parts_are_planned_and_judged_in_moderate_time) {
    struct sheet_case c;
    make_case(&c, 4711, 10, 6);
    double t0 = seconds();
    judged(&c, 4711);
    // Measured 0.5 s on one core; the limit leaves room for sanitizers and busy machines.
    cr_expect_lt(seconds() - t0, 30.0);
    free_case(&c);
}
