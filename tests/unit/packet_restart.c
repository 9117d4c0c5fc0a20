// SPDX-License-Identifier: Apache-2.0
// The program that goes on after a stop.
#include "packet/packet.h"

#include <criterion/criterion.h>
#include <string.h>

static const char whole[] =
    "%\n(W S1)\nN10 G21\nN20 G90 G17 G40 G94\nN30 M5\n"
    "(PART k/a#1)\nN40 G0 X1 Y1\nN50 M3\nN60 G4 P0.5\nN70 G1 X2 Y1 F900\nN80 M5\n"
    "(PART k/b left#2)\nN90 G0 X5 Y1\nN100 M3\nN110 G1 X6 Y1\nN120 M5\n"
    "N130 G0 X7 Y1\nN140 M3\nN150 G1 X8 Y1\nN160 M5\nN170 M2\n%\n";

static enum kw_status from(const char *what, struct kw_text *out) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_backplot_words words = {0};
    enum kw_status s = kw_packet_restart(&a, whole, strlen(whole), &words, what, out, &err);
    kw_arena_free(&a);
    return s;
}

Test(packet_restart, goes_on_at_a_part_with_heading_feed_and_all_that_follows) {
    struct kw_text out = {0};
    cr_assert_eq(from("k/b left#2", &out), KW_OK);
    size_t heading = (size_t)(strstr(whole, "(PART") - whole);
    cr_expect_eq(strncmp(out.s, whole, heading), 0);
    const char *rest = strstr(whole, "(PART k/b");
    cr_expect_str_eq(strstr(out.s, "(PART k/b"), rest);
    cr_expect(strstr(out.s, "(GOES ON AT PART k/b left#2)\nF900\n"));
    cr_expect_not(strstr(out.s, "X2 Y1"));
    kw_text_free(&out);
}

Test(packet_restart, goes_on_at_a_pierce_by_its_number) {
    struct kw_text out = {0};
    cr_assert_eq(from("3", &out), KW_OK);
    cr_expect_str_eq(strstr(out.s, "N130"), strstr(whole, "N130"));
    cr_expect_not(strstr(out.s, "N110"));
    kw_text_free(&out);
}

Test(packet_restart, what_is_not_there_is_an_error) {
    struct kw_text out = {0};
    cr_expect_eq(from("k/c#1", &out), KW_UNKNOWN);
    cr_expect_eq(from("4", &out), KW_UNKNOWN);
    cr_expect_eq(from("0", &out), KW_UNKNOWN);
    kw_text_free(&out);
}
