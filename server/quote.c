// SPDX-License-Identifier: Apache-2.0
// What a kit costs, of a look that may not be written yet. A quote nests sheets: quick ones with a
// small budget of steps (half a second), full ones as the command line has them. Both are kept.
#include "server/planning.h"

#include <malloc.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define KEPT        256
#define QUICK_STEPS 2000

struct quote {
    uint64_t look;
    int count;
    bool full;
    struct kw_cost cost; // kit NULL: a free row
    bool known;
};
struct quotes {
    pthread_mutex_t lock;    // of the rows
    pthread_mutex_t working; // one at a time
    struct quote kept[KEPT];
    int next;
};

struct quotes *quotes_make(void) {
    struct quotes *q = calloc(1, sizeof *q);
    kw_assert(q);
    pthread_mutex_init(&q->lock, NULL);
    pthread_mutex_init(&q->working, NULL);
    return q;
}

void quotes_free(struct quotes *q) {
    if (!q) return;
    pthread_mutex_destroy(&q->lock);
    pthread_mutex_destroy(&q->working);
    free(q);
}

/// A full one serves where a quick one is asked for.
static bool find(struct quotes *q, uint64_t look, int count, bool full, struct quote *out) {
    bool found = false;
    pthread_mutex_lock(&q->lock);
    for (int i = 0; i < KEPT && !(found && out->full); i++) {
        const struct quote *k = &q->kept[i];
        if (!k->known || k->look != look || k->count != count || (full && !k->full)) continue;
        *out = *k;
        found = true;
    }
    pthread_mutex_unlock(&q->lock);
    return found;
}

static void keep(struct quotes *q, const struct quote *made) {
    pthread_mutex_lock(&q->lock);
    q->kept[q->next] = *made;
    q->next = (q->next + 1) % KEPT;
    pthread_mutex_unlock(&q->lock);
}

static void put_cost(struct kw_json *j, const struct quote *q) {
    kw_json_key_count(j, "count", q->count);
    kw_json_key_text(j, "effort", q->full ? "full" : "quick");
    put_money(j, "material", q->cost.material);
    put_money(j, "machine", q->cost.machine);
    put_money(j, "labour", q->cost.labour);
    put_money(j, "hardware", q->cost.hardware);
    put_money(j, "packing", q->cost.packing);
    put_money(j, "total", q->cost.total);
    put_money(j, "price", q->cost.price);
}

void put_known_cost(struct kw_json *j, struct kw_server *s, const struct look *look) {
    struct quote q;
    if (!find(s->quotes, look->id, 1, false, &q)) {
        put_null(j, "cost");
        return;
    }
    kw_json_key(j, "cost");
    kw_json_open_inline(j, '{');
    put_cost(j, &q);
    kw_json_close(j);
}

/// The look's own kit among those of the folder, in place of the one that its file has.
static enum kw_status place_kit(struct kw_server *s, const struct look *look, struct plan_input *in,
                                struct kw_kit **out, struct kw_error *err) {
    enum kw_status status = look_read_again(s, look, in->shop, &in->arena, out, err);
    for (int i = 0; status == KW_OK && i < in->kits.count; i++) {
        if (strcmp(in->kits.v[i]->name, (*out)->name) != 0) continue;
        in->kits.v[i] = *out;
        return KW_OK;
    }
    if (status == KW_OK) KW_PUSH(&in->arena, in->kits.v, in->kits.count) = *out;
    return status;
}

static enum kw_status make(struct kw_server *s, const struct look *look, struct quote *q,
                           struct kw_error *err) {
    struct plan_input in = {0};
    struct kw_week week;
    struct kw_kit *kit = NULL;
    struct kw_run_options o = {
        .name = "quote", .date = today(), .nest_steps = q->full ? 0 : QUICK_STEPS};
    enum kw_status status = plan_read(s, false, &in, err);
    if (status == KW_OK) status = place_kit(s, look, &in, &kit, err);
    if (status == KW_OK)
        status = kw_run_quote(&in.arena, in.shop, &in.kits, kit, q->count, &o, &week, err);
    if (status == KW_OK && week.cost_count > 0) {
        q->cost = week.costs[0];
        q->cost.kit = NULL;
        q->known = true;
    }
    kw_arena_free(&in.arena);
    malloc_trim(0);
    return status;
}

static bool read_count(struct call *c, struct quote *q) {
    const char *count = target_query(&c->target, "count"), *effort;
    int end = 0;
    q->count = 1;
    if (count && (sscanf(count, "%6d%n", &q->count, &end) != 1 || count[end] || q->count < 1 ||
                  q->count > 100000)) {
        answer_says(c->response, 400, "count: expected 1 to 100000, got \"%.20s\"", count);
        return false;
    }
    effort = target_query(&c->target, "effort");
    q->full = effort && strcmp(effort, "full") == 0;
    return true;
}

static void answer_quote(struct call *c, const struct look *look) {
    struct quotes *all = c->server->quotes;
    struct kw_error err = {0};
    struct quote q = {.look = look->id};
    if (!read_count(c, &q)) return;
    if (!look->kit) {
        answer_error(c->response, 422, &look->error);
        return;
    }
    enum kw_status status = KW_OK;
    if (!find(all, q.look, q.count, q.full, &q)) {
        pthread_mutex_lock(&all->working);
        if (!find(all, q.look, q.count, q.full, &q)) {
            status = make(c->server, look, &q, &err);
            if (q.known) keep(all, &q);
        }
        pthread_mutex_unlock(&all->working);
    }
    if (status != KW_OK) {
        answer_error(c->response, status_of(&err), &err);
    } else if (!q.known) {
        answer_says(c->response, 422, "no cost can be worked out");
    } else {
        struct kw_json j = answer_json(c->response);
        put_cost(&j, &q);
        kw_json_close(&j);
    }
}

HANDLER(get_quote) {
    struct look *look = look_of_kit(c);
    if (!look) return;
    answer_quote(c, look);
    look_drop(c->server, look);
}

HANDLER(get_look_quote) {
    struct look *look = look_find(c->server, c->parts[0]);
    if (!look) {
        answer_says(c->response, 404, "this look is not kept any more: look again");
        return;
    }
    answer_quote(c, look);
    look_drop(c->server, look);
}
