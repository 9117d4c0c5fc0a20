// SPDX-License-Identifier: Apache-2.0
// What jobs and quotes begin with: the whole folder, read afresh.
#include "server/planning.h"

#include "coupon/coupon.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

void relative_place(const struct kw_server *s, struct kw_error *err) {
    size_t n = strlen(s->root);
    if (!err->at.file || strncmp(err->file_name, s->root, n) != 0 || err->file_name[n] != '/')
        return;
    memmove(err->file_name, err->file_name + n + 1, strlen(err->file_name + n + 1) + 1);
}

/// Links that lead out of the folder are refused before anything follows them.
static enum kw_status check_folder(const struct kw_server *s, struct kw_arena *a,
                                   struct kw_error *err) {
    static const char *const files[] = {"shop.yaml", "coupons.csv", "orders.csv"};
    static const char *const folders[] = {"kits", "drawings"};
    for (int i = 0; i < 3; i++)
        if (!folder_path(a, s, files[i], err)) return KW_USAGE;
    for (int i = 0; i < 2; i++) {
        const char **names;
        int count;
        const char *path = folder_path(a, s, folders[i], err);
        if (!path) return KW_USAGE;
        enum kw_status status = kw_list_folder(a, path, "", &names, &count, err);
        for (int k = 0; status == KW_OK && k < count; k++)
            if (!folder_path(a, s, kw_format(a, "%s/%s", folders[i], names[k]), err))
                return KW_USAGE;
    }
    return KW_OK;
}

enum kw_status plan_read(const struct kw_server *s, bool orders, struct plan_input *in,
                         struct kw_error *err) {
    struct kw_arena *a = &in->arena;
    enum kw_status status = check_folder(s, a, err);
    if (status == KW_OK) status = kw_shop_read(a, s->root, &in->shop, err);
    if (status == KW_OK) status = kw_shop_learn(a, in->shop, s->root, err);
    if (status == KW_OK) status = kw_kits_read(a, in->shop, s->root, &in->kits, err);
    for (int i = 0; status == KW_OK && i < in->kits.count; i++)
        status = look_check_links(a, s, in->kits.v[i]->node, err);
    if (status == KW_OK && orders) status = kw_orders_read(a, &in->kits, s->root, &in->orders, err);
    if (status == KW_OK && orders && in->orders.count == 0)
        status = kw_fail(err, KW_MISSING, (struct kw_place){.file = "orders.csv"},
                         "no orders: there is nothing to plan");
    if (status != KW_OK && err) relative_place(s, err);
    return status;
}

int today(void) {
    time_t now = time(NULL);
    struct tm t;
    localtime_r(&now, &t);
    return (t.tm_year + 1900) * 10000 + (t.tm_mon + 1) * 100 + t.tm_mday;
}

bool read_date(const char *text, int *yyyymmdd) {
    int y, m, d, n = 0;
    if (sscanf(text, "%4d-%2d-%2d%n", &y, &m, &d, &n) != 3 || text[n] || n != 10) return false;
    if (y < 1900 || m < 1 || m > 12 || d < 1 || d > 31) return false;
    *yyyymmdd = y * 10000 + m * 100 + d;
    return true;
}

bool plain_run_name(const char *name) {
    return *name && *name != '.' && strlen(name) <= 64 &&
           strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") ==
               strlen(name);
}
