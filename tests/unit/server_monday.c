// SPDX-License-Identifier: Apache-2.0
// The last day to order steel, by the calendar of November and December 2026 (common knowledge: 30
// November is a Monday) out of a run written by hand.
#include "server_help.h"

static const char run_text[] =
    "{\"run\": \"w\", \"date\": \"2026-11-30\",\n"
    " \"kits\": [{\"kit\": \"fire-ring\", \"count\": 2, \"boxed\": 2, \"due\": \"2026-12-04\"},\n"
    "  {\"kit\": \"garden-arch\", \"count\": 1, \"boxed\": 1, \"due\": \"2026-12-14\"}],\n"
    " \"sheets\": [{\"material\": \"14 ga hot-rolled sheet\",\n"
    "   \"placements\": [{\"part\": \"fire-ring/panel\"}]},\n"
    "  {\"material\": \"3/16 in hot-rolled sheet\",\n"
    "   \"placements\": [{\"part\": \"garden-arch/spike\"}]}],\n"
    " \"sticks\": [{\"stock\": \"1-1/4 x 0.083 round tube\",\n"
    "   \"pieces\": [{\"part\": \"garden-arch/brace\", \"length\": 500}]}],\n"
    " \"buy\": [{\"what\": \"14 ga hot-rolled sheet, 96 x 48 in\", \"unit\": \"sheet\",\n"
    "   \"count\": 1, \"price\": \"82.00\"},\n"
    "  {\"what\": \"3/16 in hot-rolled sheet, 48 x 48 in\", \"unit\": \"sheet\", \"count\": 2,\n"
    "   \"price\": \"98.00\"},\n"
    "  {\"what\": \"1-1/4 x 0.083 round tube, 240 in long\", \"unit\": \"stick\", \"count\": 1,\n"
    "   \"price\": \"36.00\"},\n"
    "  {\"what\": \"gone from the rack, 9 in long\", \"unit\": \"stick\", \"count\": 1,\n"
    "   \"price\": \"1.00\"}],\n"
    " \"load\": [{\"machine\": \"table\", \"hours\": 24, \"available\": 40}],\n"
    " \"cost\": [{\"kit\": \"fire-ring\", \"machine\": \"10.00\", \"labour\": \"0.00\",\n"
    "   \"price\": \"1.00\", \"total\": \"1.00\"},\n"
    "  {\"kit\": \"garden-arch\", \"machine\": \"20.00\", \"labour\": \"20.00\",\n"
    "   \"price\": \"1.00\", \"total\": \"1.00\"}], \"left_out\": []}\n";

static void expect_days(struct shop *s, int row, const char *needed, const char *last) {
    const json_t *steel = json_array_get(json_object_get(s->json, "steel"), (size_t)row);
    cr_assert_not_null(steel, "row %d", row);
    const char *got = text_at(steel, "last_day"), *by = text_at(steel, "needed_by");
    if (needed) cr_expect_str_eq(by ? by : "none", needed, "row %d", row);
    cr_expect_str_eq(got ? got : "none", last, "row %d", row);
}

Test(server_monday, the_last_day_to_order_leaves_out_weekends) {
    struct shop s;
    open_shop(&s);
    kw_make_folder(shop_file(&s, "runs"), NULL);
    kw_make_folder(shop_file(&s, "runs/w"), NULL);
    kw_write_file(shop_file(&s, "runs/w/run.json"), run_text, sizeof run_text - 1, NULL);
    char *shop = strdup(file_text(&s, "shop.yaml")), *days = strstr(shop, "delivery_days: 1");
    cr_assert_not_null(days);
    days[strlen("delivery_days: ")] = '4';
    kw_write_file(shop_file(&s, "shop.yaml"), shop, strlen(shop), NULL);

    // 24 h at the table, 8 h a day: two fire rings are a third of its worth and take 8 h, one day
    // before Friday the 4th; the arch takes 16 h, two days before Monday the 14th.
    cr_assert_eq(ask(&s, "GET", "/api/monday?date=2026-11-27", NULL), 200);
    expect_days(&s, 0, "2026-12-03", "2026-11-27"); // Thursday, four days: Friday before
    expect_days(&s, 1, "2026-12-10", "2026-12-07"); // its own three days
    expect_days(&s, 2, "2026-12-10", "2026-12-04");
    expect_days(&s, 3, NULL, "none");
    cr_expect_not_null(text_at(s.json, "last_day_why"), "one is not known");

    memcpy(days, "#             ", 14); // no delivery time for the whole shop
    kw_write_file(shop_file(&s, "shop.yaml"), shop, strlen(shop), NULL);
    cr_assert_eq(ask(&s, "GET", "/api/monday?date=2026-11-28", NULL), 200);
    expect_days(&s, 0, "2026-12-03", "none");
    expect_days(&s, 1, "2026-12-10", "2026-12-07");
    free(shop);
    close_shop(&s);
}
