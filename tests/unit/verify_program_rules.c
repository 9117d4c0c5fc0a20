// SPDX-License-Identifier: Apache-2.0
// The reader of RS-274 against the rules of NISTIR 6556 (Kramer, Proctor, Messina 2000).
#include "verify/rs274.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

// The reader's word on a body between "%" signs: NULL when it takes it.
static const char *read_body(const char *body, struct kw_rs274_program *p) {
    static struct kw_error err;
    char text[2000];
    snprintf(text, sizeof text, "%%\n%s\n%%\n", body);
    err = (struct kw_error){0};
    enum kw_status s = kw_rs274_read(&arena, text, strlen(text), NULL, NULL, NULL, 0, p, &err);
    return s == KW_OK ? NULL : err.text;
}

static const char *read_text(const char *text, struct kw_rs274_program *p) {
    static struct kw_error err;
    err = (struct kw_error){0};
    enum kw_status s = kw_rs274_read(&arena, text, strlen(text), NULL, NULL, NULL, 0, p, &err);
    return s == KW_OK ? NULL : err.text;
}

Test(verify_program, the_arc_of_the_report_has_its_centre_at_10_11, .fini = free_arena) {
    // NISTIR 6556, section 3.5.3.2: from X7 Y7, "G17 G2 x10 y16 i3 j4", centre (10, 11), radius 5.
    struct kw_rs274_program p;
    const char *why = read_body("G21 G0 X7 Y7\nG17 G2 x10 y16 i3 j4 z9 F100", &p);
    cr_assert_null(why, "%s", why);
    cr_assert_eq(p.move_count, 2);
    cr_expect_float_eq(p.moves[1].centre[0], 10.0, 1e-12);
    cr_expect_float_eq(p.moves[1].centre[1], 11.0, 1e-12);
    // From angle -126.87 deg clockwise to 90 deg: 143.13 deg at radius 5.
    cr_expect_float_eq(kw_rs274_length(&p.moves[1]),
                       5 * (2.5 * 3.14159265358979 - 5.3558900891779743), 1e-9);
}

Test(verify_program, radii_at_both_ends_agree_within_two_thousandths_mm_or_two_tenthousandths_inch,
     .fini = free_arena) {
    // Pairs of the reference values, section 5.5: start (5, 0), centre (0, 0).
    static const struct {
        const char *unit, *end;
        bool passes;
    } pairs[] = {{"G20", "5.0001", true},
                 {"G20", "5.0003", false},
                 {"G21", "5.0019", true},
                 {"G21", "5.0021", false}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        struct kw_rs274_program p;
        char body[200];
        snprintf(body, sizeof body, "%s\nG0 X5 Y0\nG3 X0 Y%s I-5 J0 F10", pairs[i].unit,
                 pairs[i].end);
        const char *why = read_body(body, &p);
        cr_expect_eq(why == NULL, pairs[i].passes, "%s %s: %s", pairs[i].unit, pairs[i].end,
                     why ? why : "taken");
    }
}

Test(verify_program, what_the_report_calls_invalid_is_refused, .fini = free_arena) {
    static const struct {
        const char *body, *says;
    } cases[] = {
        {"G21 G0 X1 Y1\nG1 X2 F10 E3", "word letter"},
        {"G21 G0 X1 Y1 X2", "letter twice"},
        {"G21 G20", "one modal group"},
        {"G21\nG0 G1 X1", "one modal group"},
        {"G21\nM3 M5", "one modal group"},
        {"G21\nM2 M30", "one modal group"},
        {"G21\nM3 M3", "M word twice"},
        {"G21\nM3 M7 M8 M48 M0", "four M words"},
        {"G21\nG12", "not known"},
        {"G21\nM55", "not known"},
        {"G21\nM100", "over 99"},
        {"G21\nG92 X1 G1 Y2 F1", "both use axes"},
        {"G21\nG91\nG53 G0 X1", "incremental"},
        {"G21\nG0", "without an axis word"},
        {"G21\nX1 Y1", "no motion in force"},
        {"G21\nG0 X1\nG80 X2", "axis words with G80"},
        {"G21\nG80\nX2", "no motion in force"},
        {"G21\nG1 X1 F-1", "negative"},
        {"G21\nG4 P-1", "negative"},
        {"G21\nM-3", "negative"},
        {"G21\nS-1", "negative"},
        {"G21\nT-1", "negative"},
        {"G21\nG-1 X1", "negative"},
        {"G21\nG43 H-1", "negative"},
        {"G21\nG53", "can't be judged"},
        {"G21\nG53 G0 X1", "can't be judged"},
        {"G21\nG0 X1\nG53 G80", "can't be judged"},
        {"N100000 G21", "line number"},
        {"G21 N10", "start of its line"},
        {"G21 (never closed", "unclosed comment"},
        {"G21 (one (two))", "inside a comment"},
        {"G21)", "without an opening"},
        {"G21\nG0 X1.2.3", "word letter"},
        {"G21\nG0 X--1", "good number"},
        {"G21\nG0 X", "good number"},
        {"G21\nG0 X1e3", "word letter"},
        {"G21\nG1 X1", "no feed"},
        {"G21\nG1 X1 F0", "no feed"},
        {"G21\nG2 X1 Y1 I1 J0", "no feed"},
        {"G21\nG4", "dwell without P"},
        {"G21 G0 X0 Y0\nG2 I1 J1 F1", "without an axis word"},
        {"G21 G0 X0 Y0\nG2 Z1 I1 J1 F1", "without X and Y"},
        {"G21 G0 X0 Y0\nG2 X1 Y1 F1", "without centre or radius"},
        {"G21 G0 X0 Y0\nG2 X1 Y1 I1 R1 F1", "both R and I"},
        {"G21 G0 X0 Y0\nG2 X1 Y1 I1 K1 F1", "K word"},
        {"G21 G0 X0 Y0\nG2 X1 Y1 I0 J0 F1", "no radius"},
        {"G21 G0 X0 Y0\nG2 X0 Y0 R5 F1", "ends where it starts"},
        {"G21 G0 X0 Y0\nG2 X10 Y0 R4.99 F1", "too small"},
        {"G21 G0 X0 Y0\nG2 X10 Y0 I4.9 J0 F1", "radius differs"},
        {"G21\nG0 X1 P2", "P word with no user"},
        {"G21\nG0 X1 R2", "R word with no user"},
        {"G21\nG1 X1 I2 F1", "I or J word with no arc"},
        {"G21\nG0 X1 D2", "without compensation"},
        {"G21\nG41 D1", "can't be judged"},
        {"G0 X1", "G20 or G21"},
        {"G21\nM3\nM3", "on while it is on"},
        {"G21\n#1=3", "word letter"},
        {"G21\nG0 X[1+2]", "good number"},
        {"G21\n/G0 X1", "word letter"},
        {"G21\nG18", "can't be judged"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_rs274_program p;
        const char *why = read_body(cases[i].body, &p);
        cr_expect(why && strstr(why, cases[i].says), "\"%s\": %s", cases[i].body,
                  why ? why : "taken");
    }
}

Test(verify_program, a_program_needs_its_end_and_lines_of_at_most_256_characters,
     .fini = free_arena) {
    struct kw_rs274_program p;
    char text[600], filler[300];
    cr_expect(strstr(read_text("G21\nG0 X1\n", &p), "without an end"));
    cr_expect(strstr(read_text("%\nG21\nG0 X1\n", &p), "without an end"));
    cr_expect_null(read_text("G21\nG0 X1\nM2\n", &p));
    cr_expect_null(read_text("G21\nG0 X1\nM30", &p));
    memset(filler, 'a', sizeof filler);
    snprintf(text, sizeof text, "(%.254s)\nM2\n", filler);
    cr_expect_null(read_text(text, &p));
    snprintf(text, sizeof text, "(%.255s)\nM2\n", filler);
    cr_expect(strstr(read_text(text, &p), "256"));
}

Test(verify_program, words_act_in_the_order_of_the_report, .fini = free_arena) {
    struct kw_rs274_program p;
    // Blanks inside words are ignored, small letters are letters; the torch acts before the move.
    const char *why = read_body("g 2 1 g0 x 1 0. 5 y-2\nG1 X20 F300 M3\nX30 M5\nG91\nG0 X-5 Y1\n"
                                "G20\nG0 X1\nG90 G2 X1 Y1 R1 F2",
                                &p);
    cr_assert_null(why, "%s", why);
    cr_assert_eq(p.move_count, 6);
    cr_expect_float_eq(p.moves[0].to[0], 10.5, 1e-12);
    cr_expect_eq(p.moves[1].burn, 0);
    cr_expect_eq(p.moves[2].burn, -1);
    cr_expect_float_eq(p.moves[3].to[0], 25.0, 1e-12);
    cr_expect_float_eq(p.moves[4].to[0], 50.4, 1e-12);
    cr_expect_float_eq(p.moves[5].to[0], 25.4, 1e-12);
    cr_expect_float_eq(p.moves[1].feed, 300.0, 1e-12);
    cr_expect_eq(p.burns, 1);
    cr_expect_not(p.ends_burning);
}

Test(verify_program, torch_words_may_be_others, .fini = free_arena) {
    struct kw_rs274_program p;
    struct kw_error err = {0};
    const char *text = "G21 G0 X1 Y1\nM62 P1\nG1 X5 F9\nM63 P1\nM62 P2\nM2\n";
    enum kw_status s =
        kw_rs274_read(&arena, text, strlen(text), "M62 P1", "M63 P1", NULL, 0, &p, &err);
    cr_expect_eq(s, KW_FORMAT);
    cr_expect(strstr(err.text, "P word"), "%s", err.text);
    text = "G21 G0 X1 Y1\nM62 P1\nG1 X5 F9\nM63 P1\nM2\n";
    err = (struct kw_error){0};
    cr_expect_eq(kw_rs274_read(&arena, text, strlen(text), "M62 P1", "M63 P1", NULL, 0, &p, &err),
                 KW_OK, "%s", err.text);
    cr_expect_eq(p.burns, 1);
}
