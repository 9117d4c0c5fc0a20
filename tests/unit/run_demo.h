// SPDX-License-Identifier: Apache-2.0
// The demo shop's files and its week, for tests that look at one.
#pragma once

#include "run/run.h"

#include <criterion/criterion.h>

struct fixture {
    struct kw_arena a;
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_orders orders;
    struct kw_week week;
};

static inline void read_demo(struct fixture *f) {
    struct kw_error err = {0};
    char line[700];
    enum kw_status s = kw_shop_read(&f->a, "demo", &f->shop, &err);
    if (s == KW_OK) s = kw_kits_read(&f->a, f->shop, "demo", &f->kits, &err);
    if (s == KW_OK) s = kw_orders_read(&f->a, &f->kits, "demo", &f->orders, &err);
    kw_error_line(&err, line, sizeof line);
    cr_assert_eq(s, KW_OK, "%s", line);
}

/// The week of a shop that is read, with a small budget of nest steps.
static inline void plan_read(struct fixture *f, struct kw_run_options o) {
    struct kw_error err = {0};
    o.name = "t";
    o.date = 20261130;
    o.nest_steps = 2000;
    cr_assert_eq(kw_run_week(&f->a, f->shop, &f->kits, &f->orders, &o, &f->week, &err), KW_OK, "%s",
                 err.text);
}

static inline void plan_demo(struct fixture *f) {
    read_demo(f);
    plan_read(f, (struct kw_run_options){0});
}
