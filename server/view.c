// SPDX-License-Identifier: Apache-2.0
// The shop file as read, kept until it or its coupons change. Readers share it; the last one to
// drop an old view frees it.
#include "coupon/coupon.h"
#include "server/planning.h"

#include <string.h>

static void free_view(struct view *v) {
    struct kw_arena a = v->arena; // the view lives in it
    kw_arena_free(&a);
}

static struct view *read_view(const struct kw_server *s, struct folder_stamp stamp) {
    struct kw_arena a = {0};
    struct view *v = KW_NEW(&a, struct view);
    v->stamp = stamp;
    const char *names[] = {"shop.yaml", "coupons.csv"};
    enum kw_status status = KW_OK;
    for (int i = 0; i < 2 && status == KW_OK; i++)
        if (!folder_path(&a, s, names[i], &v->error)) status = v->error.status;
    struct kw_shop *shop = NULL;
    if (status == KW_OK) status = kw_shop_read(&a, s->root, &shop, &v->error);
    if (status == KW_OK) status = kw_shop_learn(&a, shop, s->root, &v->error);
    if (status == KW_OK)
        v->shop = shop;
    else
        relative_place(s, &v->error);
    if (v->error.at.file) v->error.at.file = v->error.file_name;
    v->arena = a;
    return v;
}

static bool same_stamp(const struct folder_stamp *a, const struct folder_stamp *b) {
    return memcmp(a, b, sizeof *a) == 0;
}

struct view *view_take(struct kw_server *s) {
    struct folder_stamp stamp = folder_stamp(s);
    pthread_mutex_lock(&s->view_lock);
    if (!same_stamp(&stamp, &s->seen)) {
        s->seen = stamp;
        s->version++;
    }
    if (!s->view || s->view->stamp.shop != stamp.shop) {
        struct view *old = s->view;
        s->view = read_view(s, stamp);
        s->view->users = 1; // the server itself
        if (old && --old->users == 0) free_view(old);
    }
    struct view *v = s->view;
    v->users++;
    pthread_mutex_unlock(&s->view_lock);
    return v;
}

void view_drop(struct kw_server *s, struct view *v) {
    pthread_mutex_lock(&s->view_lock);
    bool last = --v->users == 0;
    pthread_mutex_unlock(&s->view_lock);
    if (last) free_view(v);
}

long view_version(struct kw_server *s) {
    pthread_mutex_lock(&s->view_lock);
    long version = s->version;
    pthread_mutex_unlock(&s->view_lock);
    return version;
}
