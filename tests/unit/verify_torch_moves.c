// Programs followed move by move.
#include "verify/verify.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const struct kw_backplot_words words = {.torch_on = "M3", .torch_off = "M5"};

Test(verify_torch_moves, follows_cuts_travels_waits_and_blocks) {
    static const char program[] = "%\nG21\nG90 G17 G40 G94\nM5\n(MARKS)\nG0 X10 Y0\nM3\nG4 P0.5\n"
                                  "G1 X10 Y20 F600\nM5\n(PART kit/foot#2)\nG0 X30 Y20\nM3\n"
                                  "G3 X30 Y40 I0 J10 F1200\nG2 X30 Y20 I0 J-10\nM5\nM2\n%\n";
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_torch_move *m;
    int n;
    cr_assert_eq(kw_torch_moves(&a, program, strlen(program), &words, 100, &m, &n, &err), KW_OK,
                 "%d: %s", err.at.line, err.text);
    cr_assert_eq(n, 5);
    cr_expect(!m[0].cut && m[0].way == 0 && fabs(m[0].seconds - 0.1) < 1e-9);
    cr_expect_str_eq(m[0].block, "MARKS");
    cr_expect(m[1].cut && fabs(m[1].wait - 0.5) < 1e-9, "the dwell after the torch is on");
    cr_expect_lt(fabs(m[1].seconds - 2), 1e-9, "20 mm at 600 mm/min");
    cr_expect_str_eq(m[2].block, "kit/foot#2");
    cr_expect(!m[2].cut && m[2].burn == -1);
    cr_expect(m[3].cut && m[3].way == 1 && m[3].burn == 1 && m[4].way == -1);
    cr_expect_lt(fabs(m[3].seconds - 10 * 3.14159265358979 / 20), 1e-9, "half a circle of r 10");
    cr_expect(fabs(m[3].centre[0] - 30) < 1e-9 && fabs(m[3].centre[1] - 30) < 1e-9);
    kw_arena_free(&a);
}

Test(verify_torch_moves, refuses_what_its_reader_refuses) {
    static const char program[] = "%\nG21\nG1 X1 Y1\n%\n"; // no feed said
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_torch_move *m;
    int n;
    cr_expect_eq(kw_torch_moves(&a, program, strlen(program), &words, 0, &m, &n, &err), KW_FORMAT);
    cr_expect_eq(n, 0);
    cr_expect_gt(err.at.line, 0);
    kw_arena_free(&a);
}
