// SPDX-License-Identifier: Apache-2.0
// Every bend order of a week goes to its judge before the packet is written: one that was tampered
// with is refused by name and leaves nothing behind.
#include "packet/packet.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct week_of_demo {
    struct kw_arena a;
    struct kw_week week;
};

static void plan_demo(struct week_of_demo *d) {
    struct kw_error err = {0};
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_orders orders;
    struct kw_run_options o = {.name = "t", .date = 20261130, .nest_steps = 2000};
    enum kw_status s = kw_shop_read(&d->a, "demo", &shop, &err);
    if (s == KW_OK) s = kw_kits_read(&d->a, shop, "demo", &kits, &err);
    if (s == KW_OK) s = kw_orders_read(&d->a, &kits, "demo", &orders, &err);
    if (s == KW_OK) s = kw_run_week(&d->a, shop, &kits, &orders, &o, &d->week, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
}

static struct kw_brake_step *first_step(struct week_of_demo *d, const char **label) {
    const struct kw_make *m = &d->week.makes[d->week.brake_order[0]];
    *label = m->label;
    return &m->what->brake->steps[0];
}

Test(packet_bends_judged, a_wrong_order_is_never_written) {
    struct week_of_demo d = {0};
    struct kw_error err = {0};
    plan_demo(&d);
    const char *label, *path;
    struct kw_brake_step *s = first_step(&d, &label);
    s->gauge_x += 3;
    char folder[] = "/tmp/kw_bends_XXXXXX";
    cr_assert_not_null(mkdtemp(folder));
    cr_expect_eq(kw_packet_write(&d.week, folder, "test", NULL, &path, &err), KW_JUDGE);
    cr_expect_not_null(strstr(err.text, label), "%s", err.text);
    cr_expect_neq(access(path, F_OK), 0);
    kw_remove_folder(folder, NULL);
    kw_arena_free(&d.a);
}
