// SPDX-License-Identifier: Apache-2.0
// The program text.
#include "cut_help.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int count_of(const char *text, const char *what) {
    int n = 0;
    for (const char *c = text; (c = strstr(c, what)); c += strlen(what))
        n++;
    return n;
}

Test(cut_program, arcs_stay_arcs_and_corners_of_the_kerf_line_are_arcs) {
    struct desk d;
    struct kw_text t = {0};
    desk_open(&d);
    struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 150, 150));
    desk_hole(&d, r, kw_path_circle(&d.arena, 100, 100, 20, false, 0));
    desk_plan(&d);
    kw_cut_program_text(&d.plan, &d.controller, "S1", &t);
    cr_expect_eq(count_of(t.s, "G2 "), 4);
    cr_expect(count_of(t.s, "G3 ") >= 2 && count_of(t.s, "G3 ") <= 3);
    // Two lead-ins, four sides (one of them in two halves if the cut starts in its middle).
    cr_expect(count_of(t.s, "G1 ") >= 6 && count_of(t.s, "G1 ") <= 7);
    cr_expect_eq(count_of(t.s, "\nM3\n"), 2);
    kw_text_free(&t);
    kw_arena_free(&d.arena);
}

Test(cut_program, the_text_has_its_frame_comments_and_words) {
    static const char *const lines[] = {"M7", "M8"}, *const heights[] = {"M48"};
    struct desk d;
    struct kw_text t = {0};
    desk_open(&d);
    d.controller.units = KW_IN;
    d.controller.decimals = 4;
    d.controller.line_numbers = 10;
    d.controller.torch_on = "M62 P1";
    d.controller.torch_off = "M63 P1";
    d.controller.end = "M30";
    d.controller.header = lines;
    d.controller.header_count = 2;
    d.controller.before_pierce = heights;
    d.controller.before_pierce_count = 1;
    d.controller.moves_height = true;
    d.controller.travel_height = 50.8;
    d.rule.cut_height = 2.54;
    d.rule.pierce_height = 5.08;
    d.rule.amps = 45;
    desk_part(&d, "kit/a (left) 5% é#1", desk_box(&d, 25.4, 25.4, 127, 76.2));
    desk_plan(&d);
    kw_cut_program_text(&d.plan, &d.controller, "SHEET S1", &t);
    cr_expect_eq(strncmp(t.s, "%\n(SHEET S1)\n", 13), 0, "%s", t.s);
    cr_expect_str_eq(t.s + t.length - 2, "%\n");
    static const char *const has[] = {"(PART kit/a -left- 5- -#1)\n",
                                      "N10 G20\n",
                                      "G90 G17 G40 G94\n",
                                      "45 AMPS",
                                      "KERF 0.0591 IN",
                                      "M62 P1\n",
                                      "M63 P1\n",
                                      "G4 P0.5\n",
                                      "M7\n",
                                      "M48\n",
                                      "G0 Z2\n",
                                      "G0 Z0.2\n",
                                      "G1 Z0.1 F",
                                      "F118.1\n",
                                      "M30\n"};
    for (size_t i = 0; i < sizeof has / sizeof *has; i++)
        cr_expect(strstr(t.s, has[i]), "no \"%s\" in\n%s", has[i], t.s);
    for (size_t i = 0; i < t.length; i++)
        cr_expect(t.s[i] == '\n' || (t.s[i] >= 32 && t.s[i] < 127));
    kw_text_free(&t);
    kw_arena_free(&d.arena);
}

Test(cut_program, the_same_sheet_gives_the_same_text) {
    char *first = NULL;
    for (int i = 0; i < 2; i++) {
        struct desk d;
        struct kw_text t = {0};
        desk_open(&d);
        for (int k = 0; k < 30; k++)
            desk_part(&d, "a#1",
                      desk_box(&d, 10 + k % 6 * 60, 10 + (int)(k / 6) * 60, 50 + k % 6 * 60,
                               50 + (int)(k / 6) * 60));
        desk_plan(&d);
        kw_cut_program_text(&d.plan, &d.controller, "S1", &t);
        if (first)
            cr_expect_str_eq(first, t.s);
        else
            first = strdup(t.s);
        kw_text_free(&t);
        kw_arena_free(&d.arena);
    }
    free(first);
}

Test(cut_program, names_fit_the_controller) {
    struct kw_arena arena = {0};
    struct kw_cut_controller c = kw_cut_controller_usual();
    cr_expect_str_eq(kw_cut_program_name(&arena, &c, "week 7/11ga S1", NULL, 0), "week-7-11ga-S1");
    c.longest_name = 8;
    cr_expect_str_eq(kw_cut_program_name(&arena, &c, "week-7-11ga-S12", NULL, 0), "11ga-S12");
    c.name_letters = KW_CUT_CAPITALS;
    cr_expect_str_eq(kw_cut_program_name(&arena, &c, "week-7-ga-S12", NULL, 0), "EK7GAS12");
    c.name_letters = KW_CUT_DIGITS;
    cr_expect_str_eq(kw_cut_program_name(&arena, &c, "week-7-11ga-S12", NULL, 0), "71112");
    cr_expect_str_eq(kw_cut_program_name(&arena, &c, "week-S", NULL, 0), "2");
    kw_arena_free(&arena);
}

Test(cut_program, shortened_names_never_clash) {
    struct kw_arena arena = {0};
    struct kw_cut_controller c = kw_cut_controller_usual();
    const char *names[1200];
    c.longest_name = 4;
    for (int i = 0; i < 1200; i++) {
        const char *wanted = kw_format(&arena, "week-%d", i % 400);
        names[i] = kw_cut_program_name(&arena, &c, wanted, names, i);
        cr_assert_leq(strlen(names[i]), 4);
        for (int k = 0; k < i; k++)
            cr_assert_str_neq(names[i], names[k]);
    }
    kw_arena_free(&arena);
}

// A plan of `count` loose arcs: sweeps of 1 to 180 degrees, radii of 0.3 to 600 mm.
static void random_arcs(struct desk *d, int count, uint64_t seed) {
    struct kw_cut_plan *p = &d->plan;
    *p = (struct kw_cut_plan){.kerf = 1.5, .rule = d->rule};
    p->moves = KW_NEW_ARRAY(&d->arena, struct kw_cut_move, 2 * count);
    p->contours = KW_NEW_ARRAY(&d->arena, struct kw_cut_contour, 1);
    p->contours[0] = (struct kw_cut_contour){.part = -1, .moves = 2 * count};
    p->contour_count = 1;
    for (int i = 0; i < count; i++) {
        double r = 0.3 * pow(2000, kw_random_unit(&seed)), a = 2 * KW_PI * kw_random_unit(&seed);
        double sweep = (1 + 179 * kw_random_unit(&seed)) * KW_PI / 180 * (i % 2 ? 1 : -1);
        struct kw_vec2 c = {1500 * kw_random_unit(&seed), 1500 * kw_random_unit(&seed)};
        struct kw_vec2 from = kw_add2(c, kw_v2(r * cos(a), r * sin(a)));
        struct kw_vec2 to = kw_add2(c, kw_v2(r * cos(a + sweep), r * sin(a + sweep)));
        p->moves[2 * i] = (struct kw_cut_move){.kind = KW_CUT_RAPID, .to = from, .feed = 250};
        p->moves[2 * i + 1] = (struct kw_cut_move){
            .kind = KW_CUT_ARC, .from = from, .to = to, .bulge = tan(sweep / 4), .feed = 50};
    }
    p->move_count = 2 * count;
}

static double word(const char *line, char letter) {
    const char *c = strchr(line, letter);
    return c ? strtod(c + 1, NULL) : NAN;
}

Test(cut_program, two_hundred_thousand_random_arcs_keep_the_radius_rule) {
    // NISTIR 6556: radii at start and end of an arc agree within 0.002 mm or 0.0002 in.
    enum { COUNT = 100000 };
    for (int unit = 0; unit < 2; unit++) {
        struct desk d;
        struct kw_text t = {0};
        desk_open(&d);
        d.controller.units = unit ? KW_IN : KW_MM;
        d.controller.decimals = unit ? 4 : 3;
        random_arcs(&d, COUNT, 5 + (uint64_t)unit);
        kw_cut_program_text(&d.plan, &d.controller, "arcs", &t);
        double x = 0, y = 0, worst = 0;
        int arcs = 0;
        for (char *line = strtok(t.s, "\n"); line; line = strtok(NULL, "\n")) {
            if (line[0] != 'G' || isnan(word(line, 'X'))) continue;
            double tx = word(line, 'X'), ty = word(line, 'Y');
            if (line[1] == '2' || line[1] == '3') {
                double cx = x + word(line, 'I'), cy = y + word(line, 'J');
                worst = fmax(worst, fabs(hypot(x - cx, y - cy) - hypot(tx - cx, ty - cy)));
                arcs++;
            }
            x = tx;
            y = ty;
        }
        cr_expect_gt(arcs, COUNT - COUNT / 200, "%d arcs", arcs);
        cr_expect_leq(worst, unit ? 0.0002 : 0.002, "worst %.6f", worst);
        kw_text_free(&t);
        kw_arena_free(&d.arena);
    }
}

Test(cut_program, specks_of_arcs_never_become_full_circles) {
    struct desk d;
    struct kw_text t = {0};
    uint64_t seed = 9;
    desk_open(&d);
    random_arcs(&d, 20000, 77);
    // The same arcs ten thousand times smaller: most are below the last decimal.
    for (int i = 0; i < d.plan.move_count; i++) {
        struct kw_cut_move *m = &d.plan.moves[i];
        double s = 1e-4 * (1 + 20 * kw_random_unit(&seed));
        m->from = kw_scale2(m->from, s);
        m->to = kw_scale2(m->to, s);
    }
    for (int i = 1; i < d.plan.move_count; i += 2)
        d.plan.moves[i].from = d.plan.moves[i - 1].to;
    kw_cut_program_text(&d.plan, &d.controller, "arcs", &t);
    double x = 0, y = 0;
    int arcs = 0;
    for (char *line = strtok(t.s, "\n"); line; line = strtok(NULL, "\n")) {
        if (line[0] != 'G' || isnan(word(line, 'X'))) continue;
        double tx = word(line, 'X'), ty = word(line, 'Y');
        bool arc = line[1] == '2' || line[1] == '3';
        arcs += arc;
        cr_expect(!arc || tx != x || ty != y, "%s", line);
        cr_expect(!arc || hypot(word(line, 'I'), word(line, 'J')) > 0, "%s", line);
        x = tx;
        y = ty;
    }
    cr_expect_gt(arcs, 100);
    kw_text_free(&t);
    kw_arena_free(&d.arena);
}
