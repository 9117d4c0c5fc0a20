// SPDX-License-Identifier: Apache-2.0
#include "base/base.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

Test(base_number, writes_short_decimals_without_exponent_or_minus_zero) {
    static const struct {
        double v;
        int decimals;
        const char *shortest, *fixed;
    } t[] = {{0, 3, "0", "0.000"},
             {-0.0, 3, "0", "0.000"},
             {-0.0004, 3, "0", "0.000"},
             {1.5, 3, "1.5", "1.500"},
             {2.0005, 3, "2.001", "2.001"},
             {-2.5, 0, "-3", "-3"},
             {1e11, 2, "100000000000", "100000000000.00"},
             {0.1 + 0.2, 9, "0.3", "0.300000000"},
             {123456.789, 1, "123456.8", "123456.8"}};
    char buf[KW_NUMBER_SIZE];
    for (size_t i = 0; i < sizeof t / sizeof *t; i++) {
        cr_expect_str_eq(kw_number(buf, t[i].v, t[i].decimals), t[i].shortest);
        cr_expect_str_eq(kw_fixed(buf, t[i].v, t[i].decimals), t[i].fixed);
    }
}

Test(base_number, reads_back_within_half_a_step) {
    uint64_t state = 7;
    char buf[KW_NUMBER_SIZE];
    for (int i = 0; i < 20000; i++) {
        double v = (kw_random_unit(&state) - 0.5) * 2e5, got;
        cr_assert_eq(sscanf(kw_number(buf, v, 4), "%lf", &got), 1);
        cr_assert(fabs(got - v) <= 0.5e-4 + 1e-9, "%s for %.17g", buf, v);
    }
}

Test(base_words, suggests_the_nearest_and_nothing_far_away) {
    static const char *const words[] = {"height", "turn", "along", "way", NULL};
    cr_expect_str_eq(kw_nearest_word("hight", words), "height");
    cr_expect_str_eq(kw_nearest_word("trun", words), "turn");
    cr_expect_null(kw_nearest_word("colour", words));
}

Test(base_utf8, refuses_what_rfc_3629_refuses) {
    static const char *const bad[] = {
        "\x80", "a\xC0\xAF", "\xE0\x80\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xC3", "\xFF"};
    size_t at = 99;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        cr_expect_not(kw_is_utf8(bad[i], strlen(bad[i]), &at), "case %zu", i);
    }
    cr_expect_not(kw_is_utf8("ab\xC0\xAF", 4, &at));
    cr_expect_eq(at, 2);
    static const char good[] = "\xC3\xA9 \xE2\x82\xAC \xF0\x9F\x98\x80";
    cr_expect(kw_is_utf8(good, strlen(good), NULL));
}

Test(base_error, keeps_the_first_failure_and_its_place) {
    struct kw_error err = {0};
    char name[] = "kits/box.yaml", line[200];
    kw_fail(&err, KW_UNIT, (struct kw_place){name, 3, 9}, "expected %s", "a length");
    kw_fail(&err, KW_IO, (struct kw_place){0}, "later");
    memset(name, 'x', 4); // the record has its own copy
    kw_error_line(&err, line, sizeof line);
    cr_expect_str_eq(line, "kits/box.yaml:3:9: expected a length");
    cr_expect_eq(kw_exit_code(err.status), 2);
    cr_expect_eq(kw_exit_code(KW_JUDGE), 70);
    cr_expect_eq(kw_exit_code(KW_STOPPED), 130);
}

Test(base_arena, grows_arrays_and_keeps_their_contents) {
    struct kw_arena a = {0};
    int *v = NULL, n = 0;
    for (int i = 0; i < 5000; i++) {
        KW_PUSH(&a, v, n) = i;
        char *text = kw_format(&a, "%d", i);
        cr_assert_eq((int)strlen(text), snprintf(NULL, 0, "%d", i));
    }
    for (int i = 0; i < n; i++)
        cr_assert_eq(v[i], i);
    unsigned char *big = kw_alloc(&a, 1 << 20);
    cr_expect_eq(big[(1 << 20) - 1], 0);
    cr_expect_eq((uintptr_t)kw_alloc(&a, 3) % 16, 0);
    kw_arena_free(&a);
    cr_expect_eq(a.total, 0);
}

Test(base_json, nests_and_escapes) {
    struct kw_text out = {0};
    struct kw_json j = {.out = &out};
    kw_json_open(&j, '{');
    kw_json_key_text(&j, "a \"b\"\n", "x\\\t");
    kw_json_key(&j, "list");
    kw_json_open_inline(&j, '[');
    kw_json_number(&j, 0.5, 3);
    kw_json_truth(&j, false);
    kw_json_text(&j, NULL);
    kw_json_close(&j);
    kw_json_close(&j);
    cr_expect_str_eq(out.s, "{\n  \"a \\\"b\\\"\\u000a\": \"x\\\\\\u0009\",\n"
                            "  \"list\": [0.5, false, null]\n}\n");
    kw_text_free(&out);
}

Test(base_findings, are_sorted_by_level_then_place_and_stay_in_order) {
    struct kw_arena a = {0};
    struct kw_findings f = {.arena = &a};
    kw_find(&f, (struct kw_finding){.level = KW_NOTE, .rule = "n", .where = {"a", 1, 1}});
    kw_find(&f, (struct kw_finding){.level = KW_STOP, .rule = "s2", .where = {"a", 9, 1}});
    kw_find(&f, (struct kw_finding){.level = KW_STOP, .rule = "s1", .where = {"a", 2, 1}});
    kw_find(&f, (struct kw_finding){.level = KW_RISK, .rule = "r", .signed_by = "Lee"});
    kw_findings_sort(&f);
    cr_expect_str_eq(f.v[0].rule, "s1");
    cr_expect_str_eq(f.v[1].rule, "s2");
    cr_expect_str_eq(f.v[3].rule, "n");
    cr_expect_eq(kw_findings_at_level(&f, KW_RISK, true), 0);
    cr_expect_eq(kw_findings_at_level(&f, KW_RISK, false), 1);
    kw_arena_free(&a);
}

Test(base_files, exchanges_a_folder_whole_and_removes_the_old_one) {
    char dir[] = "/tmp/kw-base-XXXXXX", path[100], fresh[100], file[120];
    cr_assert_not_null(mkdtemp(dir));
    struct kw_arena a = {0};
    struct kw_error err = {0};
    snprintf(path, sizeof path, "%s/runs/x", dir);
    snprintf(fresh, sizeof fresh, "%s/runs/.x", dir);
    for (int n = 1; n <= 2; n++) {
        char digit = (char)('0' + n);
        cr_assert_eq(kw_make_folder(fresh, &err), KW_OK);
        snprintf(file, sizeof file, "%s/%d.txt", fresh, n);
        cr_assert_eq(kw_write_file(file, &digit, 1, &err), KW_OK);
        cr_assert_eq(kw_exchange_folder(fresh, path, &err), KW_OK, "%s", err.text);
        cr_expect_neq(access(fresh, F_OK), 0);
    }
    const char **names;
    int count;
    cr_assert_eq(kw_list_folder(&a, path, ".txt", &names, &count, &err), KW_OK);
    cr_expect_eq(count, 1);
    cr_expect_str_eq(names[0], "2.txt");
    char *bytes;
    size_t length;
    snprintf(file, sizeof file, "%s/2.txt", path);
    cr_assert_eq(kw_read_file(&a, file, 10, (struct kw_place){0}, &bytes, &length, &err), KW_OK);
    cr_expect_eq(length, 1);
    cr_expect_eq(kw_read_file(&a, file, 0, (struct kw_place){0}, &bytes, &length, &err), KW_LIMIT);
    err = (struct kw_error){0};
    struct kw_place from = {"kits/a.yaml", 4, 2};
    cr_expect_eq(kw_read_file(&a, "/nowhere/x", 9, from, &bytes, &length, &err), KW_MISSING);
    cr_expect_eq(err.at.line, 4);
    cr_expect_eq(kw_remove_folder(dir, NULL), KW_OK);
    kw_arena_free(&a);
}

Test(base_random, is_the_published_sequence) {
    // splitmix64 from state 1234567 (reference values from memory)
    uint64_t s = 1234567;
    cr_expect_eq(kw_random(&s), 6457827717110365317ULL);
    cr_expect_eq(kw_random(&s), 3203168211198807973ULL);
}

Test(base_arena, one_takes_what_another_holds) {
    struct kw_arena into = {0}, from = {0};
    char *mine = kw_format(&into, "mine"), *large = kw_alloc(&from, 200000);
    char *theirs = kw_format(&from, "theirs");
    size_t total = into.total + from.total;
    memset(large, 'x', 200000);
    kw_arena_take(&into, &from);
    cr_expect_null(from.last);
    cr_expect_eq(into.total, total);
    char *more = kw_format(&into, "more"), *again = kw_format(&from, "again");
    kw_arena_free(&from);
    cr_expect_str_eq(mine, "mine");
    cr_expect_str_eq(theirs, "theirs");
    cr_expect_eq(large[199999], 'x');
    cr_expect_str_eq(more, "more");
    cr_expect_not_null(again);
    struct kw_arena empty = {0};
    kw_arena_take(&empty, &into);
    cr_expect_str_eq(theirs, "theirs");
    kw_arena_take(&empty, &from); // nothing
    kw_arena_free(&empty);
}

static void square(void *user, int i) {
    ((int *)user)[i] += i * i;
}

Test(base_team, does_every_task_once_whatever_the_number_of_threads) {
    for (int threads = 0; threads < 5; threads++) {
        int done[37] = {0};
        kw_team_run(square, done, 37, threads);
        for (int i = 0; i < 37; i++)
            cr_expect_eq(done[i], i * i);
    }
    cr_expect_geq(kw_team_cores(), 1);
}

Test(base_findings, equals_stay_as_found) {
    struct kw_arena a = {0};
    struct kw_findings list = {.arena = &a};
    static const char *const says[] = {"c", "a", "d", "b", "e"};
    static const enum kw_level level[] = {KW_NOTE, KW_STOP, KW_NOTE, KW_STOP, KW_RISK};
    for (int i = 0; i < 5; i++)
        kw_find(&list, (struct kw_finding){.level = level[i], .rule = "same", .says = says[i]});
    kw_findings_sort(&list);
    static const char *const want[] = {"a", "b", "e", "c", "d"};
    for (int i = 0; i < 5; i++)
        cr_expect_str_eq(list.v[i].says, want[i]);
    kw_arena_free(&a);
}
