// SPDX-License-Identifier: Apache-2.0
// A bend order that its judge refuses is not written, and what was there stays.
#include "packet/packet.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static struct kw_brake_plan *bent_part(struct kw_week *w, const char *label) {
    for (int i = 0; i < w->make_count; i++)
        if (strcmp(w->makes[i].label, label) == 0) return w->makes[i].what->brake;
    return NULL;
}

Test(packet_refuses, a_bend_order_that_fails_its_judge) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_week week;
    char folder[] = "/tmp/kw-refuses-XXXXXX";
    const char *path;
    cr_assert_not_null(mkdtemp(folder));
    cr_assert_eq(kw_shop_read(&a, "demo", &shop, &err), KW_OK, "%s", err.text);
    cr_assert_eq(kw_kits_read(&a, shop, "demo", &kits, &err), KW_OK, "%s", err.text);
    shop->coupons = KW_COUPONS_NEVER;
    shop->fillers.count = 0;
    struct kw_order order = {
        .at = {"orders.csv", 2, 1}, .number = "1", .part = -1, .count = 1, .due = 20261204};
    while (strcmp(kits.v[order.kit]->name, "fire-ring") != 0)
        order.kit++;
    struct kw_orders orders = {&order, 1};
    struct kw_run_options o = {.name = "t", .date = 20261130, .nest_steps = 500};
    cr_assert_eq(kw_run_week(&a, shop, &kits, &orders, &o, &week, &err), KW_OK, "%s", err.text);
    cr_assert_eq(kw_packet_write(&week, folder, "test", NULL, &path, &err), KW_OK, "%s", err.text);
    struct kw_brake_plan *plan = bent_part(&week, "fire-ring/ring-panel");
    cr_assert_not_null(plan);
    struct kw_brake_step *last = &plan->steps[plan->step_count - 1], keep = *last;
    struct stat before, after;
    cr_assert_eq(stat(kw_format(&a, "%s/run.json", path), &before), 0);
    for (int fault = 0; fault < 3; fault++) {
        *last = keep;
        if (fault == 0) last->gauge_x += 5;
        if (fault == 1) last->angle_under_load -= 0.3;
        if (fault == 2) plan->step_count--;
        err = (struct kw_error){0};
        cr_expect_eq(kw_packet_write(&week, folder, "test", NULL, &path, &err), KW_JUDGE,
                     "fault %d", fault);
        cr_expect_not_null(strstr(err.text, "ring-panel"), "%s", err.text);
        cr_assert_eq(stat(kw_format(&a, "%s/run.json", path), &after), 0);
        cr_expect_eq(after.st_ino, before.st_ino, "the old packet stays");
    }
    cr_expect_eq(kw_remove_folder(folder, NULL), KW_OK);
    kw_arena_free(&a);
}
