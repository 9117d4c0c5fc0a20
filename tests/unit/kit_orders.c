// SPDX-License-Identifier: Apache-2.0
// orders.csv as spreadsheets write it, and what is wrong with it.
#include "kit_help.h"

static const char *const KIT = "kit: box\nname: Box\nunits: in\nparts:\n"
                               "  foot: { from: 1 x 3/16 flat bar, per_kit: 4, length: 3 }\n"
                               "  side arm: { from: 1 x 3/16 flat bar, per_kit: 1, length: 3 }\n"
                               "  side: { from: 1 x 3/16 flat bar, per_kit: { left: 1, right: 2 }, "
                               "length: 3 }\n  lone: { from: 1 x 3/16 flat bar, per_kit: { left: 1 "
                               "}, length: 3 }\n";

static struct kw_kits kits_of(struct kw_arena *a) {
    char why[900], text[900];
    (void)snprintf(text, sizeof text, "%s", KIT);
    char *arm = strstr(text, "side arm");
    arm[4] = '-'; // a name holds no blank
    struct kw_kit **v = KW_NEW(a, struct kw_kit *);
    v[0] = kit_of(a, text, NULL, why);
    cr_assert(v[0] != NULL, "%s", why);
    return (struct kw_kits){.v = v, .count = 1};
}

static const char *read_orders(struct kw_arena *a, const char *text, struct kw_orders *out) {
    static char why[900];
    struct kw_error err = {0};
    struct kw_kits kits = kits_of(a);
    why[0] = 0;
    if (kw_orders_parse(a, &kits, "orders.csv", text, strlen(text), out, &err) != KW_OK) {
        kw_error_line(&err, why, sizeof why);
    }
    return why;
}

Test(kit_orders, columns_in_any_order_quotes_blanks_and_line_ends) {
    struct kw_arena a = {0};
    struct kw_orders o;
    const char *why = read_orders(&a,
                                  "\xEF\xBB\xBF"
                                  "Due, count ,kit,\"order\",part\r\n"
                                  "2026-03-06,2,box,\"A \"\"7\"\", east\",\r\n"
                                  "\r\n,,,,\n"
                                  "2024-02-29,100000,box,8,side right\n"
                                  "2026-12-31, 1 ,\"box\" ,8,  foot",
                                  &o);
    cr_expect_str_eq(why, "");
    cr_assert_eq(o.count, 3);
    cr_expect_str_eq(o.v[0].number, "A \"7\", east");
    cr_expect_eq(o.v[0].part, -1);
    cr_expect_eq(o.v[0].count, 2);
    cr_expect_eq(o.v[0].due, 20260306);
    cr_expect_eq(o.v[1].part, 2);
    cr_expect_eq((int)o.v[1].hand, KW_RIGHT_HAND);
    cr_expect_eq(o.v[1].count, 100000);
    cr_expect_eq(o.v[1].due, 20240229);
    cr_expect_eq(o.v[2].part, 0);
    cr_expect_eq((int)o.v[2].hand, KW_EACH);
    cr_expect_eq(o.v[2].at.line, 6);
    kw_arena_free(&a);
}

Test(kit_orders, the_part_column_may_be_left_out_and_there_may_be_no_orders) {
    struct kw_arena a = {0};
    struct kw_orders o;
    cr_expect_str_eq(read_orders(&a, "order,kit,count,due\n1,box,1,2026-01-01\n", &o), "");
    cr_expect_eq(o.count, 1);
    cr_expect_str_eq(read_orders(&a, "order,kit,part,count,due\n", &o), "");
    cr_expect_eq(o.count, 0);
    kw_arena_free(&a);
}

Test(kit_orders, refusals_name_line_and_column) {
    static const struct {
        const char *line, *why;
    } cases[] = {
        {"1,box,,0,2026-01-01", "2:8: expected a count from 1 to 100000, got \"0\""},
        {"1,box,,100001,2026-01-01", "2:8: expected a count from 1 to 100000, got \"100001\""},
        {"1,box,,1.5,2026-01-01", "2:8: expected a count from 1 to 100000, got \"1.5\""},
        {"1,box,,,2026-01-01", "2:8: expected a count from 1 to 100000, got \"\""},
        {"1,box,,99999999999999999999,2026-01-01", "2:8: expected a count"},
        {"1,box,,1,2026-02-29", "2:10: expected a date such as 2026-03-06, got \"2026-02-29\""},
        {"1,box,,1,2026-13-01", "2:10: expected a date"},
        {"1,box,,1,1/2/2026", "2:10: expected a date"},
        {"1,bx,,1,2026-01-01", "2:3: unknown kit \"bx\", did you mean \"box\"?"},
        {"1,zzz,,1,2026-01-01", "2:3: unknown kit \"zzz\", expected the kit: name of a file"},
        {"1,box,fot,1,2026-01-01",
         "2:7: unknown part \"fot\" of kit \"box\", did you mean \"foot\""},
        {"1,box,side,1,2026-01-01", "2:7: part \"side\" comes left and right"},
        {"1,box,foot left,1,2026-01-01", "2:7: part \"foot\" has no left hand"},
        {"1,box,lone right,1,2026-01-01", "2:7: part \"lone\" has no right hand"},
        {",box,,1,2026-01-01", "2:1: expected an order number"},
        {"1,box,1,2026-01-01", "2:1: expected 5 values, got 4"},
        {"1,box,,1,2026-01-01,", "2:1: expected 5 values, got 6"},
        {"\xC3\xA9,bx,,1,2026-01-01", "2:3: unknown kit"},
        {"a\"b,box,,1,2026-01-01", "2:2: expected quotes round the whole value"},
        {"\"a\"b,box,,1,2026-01-01", "2:4: expected a comma after the closing quote"},
        {"1,\"box,,1,2026-01-01", "2:3: a quote that is never closed"},
        {"\"a\nb\",box,,1,2026-01-01", "2:1: expected an order number"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_arena a = {0};
        struct kw_orders o;
        const char *text = kw_format(&a, "order,kit,part,count,due\n%s\n", cases[i].line);
        const char *why = read_orders(&a, text, &o), *want = cases[i].why;
        size_t n = strlen("orders.csv:");
        bool same = strlen(why) > n && strncmp(why + n, want, strlen(want)) == 0;
        cr_expect(same, "%s: got \"%s\", want \"%s\"", cases[i].line, why, want);
        kw_arena_free(&a);
    }
}
