// SPDX-License-Identifier: Apache-2.0
// Faults planted in a legal saw list: each is caught and named. Small changes that stay legal pass.
#include "verify/verify.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) ((int)(sizeof(array) / sizeof *(array)))

// Trim 5, kerf 2, hold 100: sticks of 3000 and 1500.5 mm, rails of 600, posts of 433.25.
static const char legal[] =
    "{\"left_out\": [{\"kit\": \"rack\", \"part\": \"post\", \"count\": 1, \"why\": \"test\"}],\n"
    "\"saws\": [{\"stock\": \"tube 1\",\n"
    " \"racks\": [{\"length\": 3000}, {\"length\": 1500.5, \"count\": 2}],\n"
    " \"wanted\": [{\"part\": \"rack/rail\", \"length\": 600, \"count\": 10},\n"
    "  {\"part\": \"rack/post\", \"length\": 433.25, \"count\": 6}]}],\n"
    "\"sticks\": [\n"
    "{\"stock\": \"tube 1\", \"rack\": 1, \"length\": 3000, \"times\": 2, \"kerf\": 2, \"trim\": "
    "5,\n"
    " \"hold\": 100, \"pieces\": [{\"part\": \"rack/rail\", \"length\": 600},\n"
    " {\"part\": \"rack/rail\", \"length\": 600}, {\"part\": \"rack/rail\", \"length\": 600},\n"
    " {\"part\": \"rack/rail\", \"length\": 600}, {\"part\": \"rack/post\", \"length\": 433.25}],\n"
    " \"leftover\": 151.75},\n"
    "{\"stock\": \"tube 1\", \"rack\": 2, \"length\": 1500.5, \"times\": 1, \"kerf\": 2, \"trim\": "
    "5,\n"
    " \"hold\": 100, \"pieces\": [{\"part\": \"rack/rail\", \"length\": 600},\n"
    " {\"part\": \"rack/rail\", \"length\": 600}], \"leftover\": 291.5},\n"
    "{\"stock\": \"tube 1\", \"rack\": 2, \"length\": 1500.5, \"times\": 1, \"kerf\": 2, \"trim\": "
    "5,\n"
    " \"hold\": 100, \"pieces\": [{\"part\": \"rack/post\", \"length\": 433.25},\n"
    " {\"part\": \"rack/post\", \"length\": 433.25}, {\"part\": \"rack/post\", \"length\": "
    "433.25}],\n"
    " \"leftover\": 189.75}]}\n";

/// The legal run with the `nth` (from 1) `old` replaced.
static char *changed(struct kw_arena *a, const char *old, int nth, const char *fresh) {
    const char *at = legal - 1;
    for (int i = 0; i < nth && at; i++)
        at = strstr(at + 1, old);
    cr_assert(at != NULL, "no \"%s\" in the run", old);
    return kw_format(a, "%.*s%s%s", (int)(at - legal), legal, fresh, at + strlen(old));
}

static bool names(const struct kw_verdict *v, const char *words) {
    for (int i = 0; i < v->fault_count && i < 100; i++) {
        if (strstr(v->faults[i], words)) return true;
    }
    return false;
}

struct change {
    const char *old;
    int nth;
    const char *fresh, *says; // says NULL: still legal
};

static void check_all(const struct change *c, int count) {
    for (int i = 0; i < count; i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        const char *text = changed(&a, c[i].old, c[i].nth, c[i].fresh);
        enum kw_status s = kw_judge_sticks_text(text, strlen(text), &v, &err);
        cr_expect_eq(s, c[i].says ? KW_JUDGE : KW_OK, "\"%s\": %s", c[i].fresh, err.text);
        if (c[i].says)
            cr_expect(names(&v, c[i].says), "\"%s\": %s, %d faults", c[i].fresh, err.text,
                      v.fault_count);
        cr_expect_geq(v.looked_at, 3);
        kw_arena_free(&a);
    }
}

Test(verify_stick_faults, the_list_as_written_is_legal) {
    struct kw_arena a = {0};
    struct kw_verdict v = {.arena = &a};
    struct kw_error err = {0};
    cr_expect_eq(kw_judge_sticks_text(legal, strlen(legal), &v, &err), KW_OK, "%s", err.text);
    cr_expect_eq(v.fault_count, 0);
    cr_expect_eq(v.looked_at, 4);
    kw_arena_free(&a);
}

Test(verify_stick_faults, every_planted_fault_is_caught_and_named) {
    static const struct change faults[] = {
        // what a stick holds: 51.75 mm are to spare on the first, 191.5 on the second
        {"\"hold\": 100", 1, "\"hold\": 152", "longer than it"},
        {"\"trim\": 5", 1, "\"trim\": 57", "0.250 mm longer than it"},
        {"\"kerf\": 2", 1, "\"kerf\": 12.4", "0.250 mm longer than it"},
        {"\"kerf\": 2", 3, "\"kerf\": 32", "0.250 mm longer than it"},
        {"\"length\": 3000, \"times\"", 1, "\"length\": 2948, \"times\"", "longer than it"},
        {"\"hold\": 100, \"pieces\": [{\"part\": \"rack/rail\", \"length\": 600}", 1,
         "\"hold\": 100, \"pieces\": [{\"part\": \"rack/rail\", \"length\": 660}",
         "longer than it"},
        {"[{\"part\": \"rack/post\", \"length\": 433.25},\n", 1,
         "[{\"part\": \"rack/post\", \"length\": 433.25}, {\"part\": \"rack/post\", \"length\": "
         "433.25},\n",
         "longer than it"},
        {"\"hold\": 100, \"pieces\": [{\"part\": \"rack/post\"", 1,
         "\"hold\": 190, \"pieces\": [{\"part\": \"rack/post\"", "sticks[2]: its pieces"},
        // remainders
        {"\"leftover\": 151.75", 1, "\"leftover\": 151.76", "is said"},
        {"\"leftover\": 291.5", 1, "\"leftover\": 0", "291.500 mm is left"},
        {"\"trim\": 5", 2, "\"trim\": 4", "292.500 mm is left"},
        {"\"kerf\": 2", 2, "\"kerf\": 2.5", "290.500 mm is left"},
        // the rack
        {"\"count\": 2}", 1, "\"count\": 1}", "2 sticks of 1500.500 mm are cut and there are 1"},
        {"\"times\": 1", 1, "\"times\": 2", "3 sticks of 1500.500 mm are cut and there are 2"},
        {"\"rack\": 1, \"length\": 3000", 1, "\"rack\": 2, \"length\": 3000",
         "a stick of rack place 2 is not as long as that"},
        {"\"rack\": 1", 1, "\"rack\": 3", "has no rack place 3"},
        {"\"rack\": 2", 2, "\"rack\": 0", "has no rack place 0"},
        {"\"length\": 3000}", 1, "\"length\": 2999}", "rack place 1 is not as long"},
        // what is wanted
        {"\"count\": 10", 1, "\"count\": 11", "rack/rail is wanted 11 times, cut 10 times"},
        {"\"count\": 10", 1, "\"count\": 9", "rack/rail is wanted 9 times and cut 10 times"},
        {"\"count\": 6", 1, "\"count\": 7", "rack/post is wanted 7 times, cut 5 times, and left"},
        {"\"part\": \"post\", \"count\": 1", 1, "\"part\": \"post\", \"count\": 0", "left out 0"},
        {"\"part\": \"post\", \"count\": 1", 1, "\"part\": \"pos\", \"count\": 1", "left out 0"},
        {"\"times\": 2", 1, "\"times\": 1", "rack/rail is wanted 10 times, cut 6 times"},
        {"\"times\": 2", 1, "\"times\": 0", "cut no times"},
        {"\"length\": 600, \"count\"", 1, "\"length\": 600.01, \"count\"", "at another length"},
        {"\"part\": \"rack/post\", \"length\": 433.25}]", 1,
         "\"part\": \"rack/foot\", \"length\": 433.25}]", "nobody wants rack/foot"},
        {"\"stock\": \"tube 1\", \"rack\"", 1, "\"stock\": \"tube 2\", \"rack\"",
         "nobody wants rack/rail of tube 2"},
    };
    cr_assert_geq(COUNT(faults), 20);
    check_all(faults, COUNT(faults));
}

Test(verify_stick_faults, small_changes_that_stay_legal_pass) {
    static const struct change fine[] = {
        {"\"hold\": 100", 1, "\"hold\": 151.75", NULL},
        {"\"hold\": 100", 1, "\"hold\": 0", NULL},
        {"\"count\": 2}", 1, "\"count\": 3}", NULL},
        {"\"leftover\": 151.75", 1, "\"leftover\": 151.750001", NULL},
        {"\"part\": \"post\", \"count\": 1", 1, "\"part\": \"rack/post\", \"count\": 1", NULL},
        {"\"part\": \"post\", \"count\": 1", 1, "\"part\": \"post\", \"count\": 3", NULL},
    };
    check_all(fine, COUNT(fine));
}

Test(verify_stick_faults, without_a_vise_the_last_cut_may_run_out_of_the_end) {
    static const char text[] =
        "{\"saws\": [{\"stock\": \"bar\", \"racks\": [{\"length\": 998}],\n"
        " \"wanted\": [{\"part\": \"a/b\", \"length\": 498, \"count\": 2}]}],\n"
        "\"sticks\": [{\"stock\": \"bar\", \"rack\": 1, \"length\": 998, \"times\": 1, \"kerf\": 2,"
        " \"trim\": %s, \"hold\": 0, \"pieces\": [{\"part\": \"a/b\", \"length\": 498},\n"
        " {\"part\": \"a/b\", \"length\": 498}], \"leftover\": 0}]}";
    static const struct {
        const char *trim;
        enum kw_status says;
    } cases[] = {{"0", KW_OK}, {"0.01", KW_JUDGE}};
    for (int i = 0; i < 2; i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        char *run = kw_format(&a, text, cases[i].trim);
        cr_expect_eq(kw_judge_sticks_text(run, strlen(run), &v, NULL), cases[i].says);
        kw_arena_free(&a);
    }
}

Test(verify_stick_faults, what_is_no_saw_list_is_refused_with_its_key) {
    static const char *const bad[][2] = {
        {"{}", "sticks"},
        {"{\"sticks\": []}", "saws"},
        {"{\"sticks\": [{}], \"saws\": []}", "length"},
        {"{\"sticks\": [], \"saws\": [{}]}", "stock"},
        {"[", ""},
    };
    for (int i = 0; i < COUNT(bad); i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        cr_expect_eq(kw_judge_sticks_text(bad[i][0], strlen(bad[i][0]), &v, &err), KW_FORMAT);
        cr_expect(strstr(err.text, bad[i][1]) != NULL, "%s: %s", bad[i][0], err.text);
        kw_arena_free(&a);
    }
}

Test(verify_stick_faults, mitres_take_their_cuts_and_shared_ones_are_parallel) {
    // Two rails of 600 cut at 45 degrees, kerf 2, trim 5, hold 100: each takes 600 + 2 x 2/cos 45.
    static const char text[] =
        "{\"saws\": [{\"stock\": \"tube 1\", \"racks\": [{\"length\": 1500}],\n"
        " \"wanted\": [{\"part\": \"f/rail\", \"length\": 600, \"count\": 2}]}],\n"
        "\"sticks\": [{\"stock\": \"tube 1\", \"rack\": 1, \"length\": 1500, \"times\": 1,\n"
        " \"kerf\": 2, \"trim\": 5, \"hold\": 100, \"pieces\": [\n"
        " {\"part\": \"f/rail\", \"length\": 600, \"leans\": [45, 45], \"shared\": false},\n"
        " {\"part\": \"f/rail\", \"length\": 600, \"leans\": [%g, -45], \"shared\": %s}],\n"
        " \"leftover\": %.6f}]}";
    double left = 1500 - 5 - 2 * (600 + 4 * sqrt(2));
    const struct {
        double lean;
        const char *shared;
        double left;
        enum kw_status says;
    } cases[] = {{-45, "true", left, KW_OK},   {45, "false", left, KW_OK},
                 {45, "true", left, KW_JUDGE}, {-30, "true", left, KW_JUDGE},
                 {0, "true", left, KW_JUDGE},  {-45, "true", left + 1, KW_JUDGE},
                 {-45, "true", 291, KW_JUDGE}};
    for (int i = 0; i < COUNT(cases); i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        const char *run = kw_format(&a, text, cases[i].lean, cases[i].shared, cases[i].left);
        cr_expect_eq(kw_judge_sticks_text(run, strlen(run), &v, &err), cases[i].says, "%d: %s", i,
                     err.text);
        kw_arena_free(&a);
    }
}

Test(verify_stick_faults, leftovers_are_worth_what_is_said_of_them) {
    // A stick of 3000 at 30.00 with 1198 over: kept from 1000 on, at half its price 5.99.
    static const char text[] =
        "{\"saws\": [{\"stock\": \"tube 1\", \"racks\": [{\"length\": 3000, \"price\": "
        "\"30.00\"}],\n"
        " \"wanted\": [{\"part\": \"f/rail\", \"length\": 600, \"count\": 3}],\n"
        " \"keep\": %d, \"keep_worth\": 0.5, \"kept_worth\": \"%s\"}],\n"
        "\"sticks\": [{\"stock\": \"tube 1\", \"rack\": 1, \"length\": 3000, \"times\": 1,\n"
        " \"kerf\": 0, \"trim\": 2, \"hold\": 100, \"pieces\": [\n"
        " {\"part\": \"f/rail\", \"length\": 600}, {\"part\": \"f/rail\", \"length\": 600},\n"
        " {\"part\": \"f/rail\", \"length\": 600}], \"leftover\": 1198}]}";
    const struct {
        int keep;
        const char *worth;
        enum kw_status says;
    } cases[] = {{1000, "5.99", KW_OK},    {1198, "5.99", KW_OK},    {1199, "0.00", KW_OK},
                 {1199, "5.99", KW_JUDGE}, {1000, "0.00", KW_JUDGE}, {1000, "6.03", KW_JUDGE},
                 {0, "5.99", KW_JUDGE},    {1000, "much", KW_FORMAT}};
    for (int i = 0; i < COUNT(cases); i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        const char *run = kw_format(&a, text, cases[i].keep, cases[i].worth);
        cr_expect_eq(kw_judge_sticks_text(run, strlen(run), &v, &err), cases[i].says, "%d: %s", i,
                     err.text);
        kw_arena_free(&a);
    }
}
