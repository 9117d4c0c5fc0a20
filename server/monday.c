// SPDX-License-Identifier: Apache-2.0
// Monday: the five figures that decide the week, out of the last run and the orders. What each is
// made of stands beside it; what can't be known is null with the reason.
#include "server/planning.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define DAYS_A_WEEK 5 // worked, Monday to Friday (common practice, no source)

// ----------------------------------------------------------------------------------------- the
// days

static time_t time_of(int day) {
    struct tm t = {.tm_year = day / 10000 - 1900,
                   .tm_mon = day / 100 % 100 - 1,
                   .tm_mday = day % 100,
                   .tm_hour = 12};
    return timegm(&t);
}

static int day_of(time_t at, int *weekday) {
    struct tm t;
    gmtime_r(&at, &t);
    *weekday = t.tm_wday;
    return (t.tm_year + 1900) * 10000 + (t.tm_mon + 1) * 100 + t.tm_mday;
}

/// The worked day that is `n` after the first one from `date` on.
static int worked_day(int date, int n) {
    time_t at = time_of(date);
    for (int guard = 0; guard < 4000; guard++, at += 86400) {
        int weekday, day = day_of(at, &weekday);
        if (weekday == 0 || weekday == 6) continue;
        if (n-- == 0) return day;
    }
    return date;
}

/// The worked day that is `n` before `date`, which need not be worked itself.
static int worked_day_before(int date, int n) {
    time_t at = time_of(date);
    for (int guard = 0; n > 0 && guard < 4000; guard++) {
        int weekday;
        at -= 86400;
        (void)day_of(at, &weekday);
        if (weekday != 0 && weekday != 6) n--;
    }
    int weekday;
    return day_of(at, &weekday);
}

static void put_day(struct kw_json *j, const char *key, int day) {
    char buf[KW_NUMBER_SIZE];
    kw_json_key_text(j, key, day ? kw_date_text(buf, day) : NULL);
}

// -------------------------------------------------------------------------------------- run.json

static double number(const json_t *o, const char *key) {
    return json_number_value(json_object_get(o, key));
}
static const char *text(const json_t *o, const char *key) {
    return json_string_value(json_object_get(o, key));
}
static double money(const json_t *o, const char *key) {
    const char *s = text(o, key);
    return s ? strtod(s, NULL) : 0;
}

struct monday {
    struct call *call;
    const json_t *run;
    struct plan_input in; ///< orders as they are now
    int date;
    const json_t *tightest; ///< row of "load", NULL
};

static void find_tightest(struct monday *m) {
    size_t i;
    const json_t *row;
    double most = -1;
    json_array_foreach(json_object_get(m->run, "load"), i, row) {
        double share = number(row, "hours") / fmax(number(row, "available"), 1e-9);
        if (share <= most) continue;
        most = share;
        m->tightest = row;
    }
}

static const json_t *run_kit(const struct monday *m, const char *kit) {
    return row_named(json_object_get(m->run, "kits"), "kit", kit);
}

/// What a box of the kit takes of the tightest bench, in shares: its cost of machines and labour.
static double weight_of(const struct monday *m, const char *kit) {
    const json_t *row = row_named(json_object_get(m->run, "cost"), "kit", kit);
    return money(row, "machine") + money(row, "labour");
}

// ------------------------------------------------------------------------------------ late orders

struct due {
    const struct kw_order *order;
    const char *kit;
    double share; ///< of the tightest bench's hours
};

static int by_due(const void *a, const void *b) {
    const struct kw_order *o = ((const struct due *)a)->order, *p = ((const struct due *)b)->order;
    if (o->due != p->due) return o->due < p->due ? -1 : 1;
    return (o->at.line > p->at.line) - (o->at.line < p->at.line);
}

static struct due *dues(struct monday *m, double *all) {
    const struct kw_orders *orders = &m->in.orders;
    struct due *v = KW_NEW_ARRAY(&m->in.arena, struct due, orders->count + 1);
    *all = 0;
    for (int i = 0; i < orders->count; i++) {
        const struct kw_order *o = &orders->v[i];
        v[i].order = o;
        v[i].kit = m->in.kits.v[o->kit]->name;
        v[i].share = o->part < 0 ? o->count * weight_of(m, v[i].kit) : 0;
        *all += v[i].share;
    }
    if (orders->count > 1) qsort(v, (size_t)orders->count, sizeof *v, by_due);
    return v;
}

static void put_late(struct kw_json *j, const struct due *d, int ready, const char *why) {
    kw_json_open(j, '{');
    kw_json_key_text(j, "order", d->order->number);
    kw_json_key_text(j, "kit", d->kit);
    kw_json_key_count(j, "count", d->order->count);
    put_day(j, "due", d->order->due);
    put_day(j, "ready", ready);
    kw_json_key_text(j, "why", why);
    kw_json_close(j);
}

/// Orders in order of their due dates through the tightest bench, a fifth of its week's hours a
/// day.
static void put_orders_late(struct kw_json *j, struct monday *m) {
    double all, done = 0, hours = number(m->tightest, "hours");
    double a_day = number(m->tightest, "available") / DAYS_A_WEEK;
    struct due *v = dues(m, &all);
    bool known = m->tightest && a_day > 0 && all > 0;
    kw_json_key(j, "late");
    kw_json_open(j, '[');
    for (int i = 0; i < m->in.orders.count; i++) {
        const json_t *kit = run_kit(m, v[i].kit);
        bool left_out = kit && number(kit, "boxed") < number(kit, "count") && v[i].order->part < 0;
        done += v[i].share;
        int days = known ? (int)fmax(0, ceil(hours * done / all / a_day - 1e-9) - 1) : 0;
        int ready = worked_day(m->date, days);
        if (left_out)
            put_late(j, &v[i], 0, "not all of it can be made");
        else if (known && ready > v[i].order->due)
            put_late(j, &v[i], ready, "the hours are not there before");
    }
    kw_json_close(j);
    put_day(j, "promise", known ? worked_day(m->date, (int)(hours / a_day) + 1) : 0);
}

// ------------------------------------------------------------------------------------ steel short

/// Days that the kit's boxes of this run take at the tightest bench; at least one.
static int work_days(const struct monday *m, const char *kit) {
    double all = 0, own = 0, a_day = number(m->tightest, "available") / DAYS_A_WEEK;
    size_t i;
    const json_t *row;
    json_array_foreach(json_object_get(m->run, "kits"), i, row) {
        const char *name = text(row, "kit");
        double share = name ? number(row, "count") * weight_of(m, name) : 0;
        all += share;
        if (name && strcmp(name, kit) == 0) own += share;
    }
    double hours = all > 0 ? number(m->tightest, "hours") * own / all : 0;
    return a_day > 0 ? (int)fmax(1, ceil(hours / a_day - 1e-9)) : 1;
}

/// The earliest date at which the work on a kit with a part of this stock must begin, so that it is
/// done when it is due.
static int needed_by(const struct monday *m, const json_t *list, const char *stock_key,
                     const char *pieces_key, const char *what) {
    size_t i, k;
    const json_t *row, *piece;
    int day, least = 0;
    json_array_foreach(list, i, row) {
        const char *stock = text(row, stock_key);
        if (!stock || strncmp(what, stock, strlen(stock)) != 0) continue;
        json_array_foreach(json_object_get(row, pieces_key), k, piece) {
            const char *part = text(piece, "part"), *slash = part ? strchr(part, '/') : NULL;
            if (!slash) continue;
            const char *kit = kw_copy_text(&m->call->arena, part, (size_t)(slash - part));
            const char *due = text(run_kit(m, kit), "due");
            if (!due || !read_date(due, &day)) continue;
            day = worked_day_before(day, work_days(m, kit));
            if (least == 0 || day < least) least = day;
        }
    }
    return least;
}

/// Working days that a delivery of it takes, by the shop file as it is now; -1: not said.
static int delivery_of(const struct monday *m, const char *what) {
    const struct kw_shop *shop = m->in.shop;
    const struct kw_items *lists[] = {&shop->sheets, &shop->sticks};
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < lists[k]->count; i++) {
            const struct kw_rack_item *r = KW_ITEM(struct kw_rack_item, *lists[k], i);
            if (strcmp(kw_rack_name(&m->call->arena, shop, r), what) == 0)
                return kw_rack_item_delivery(shop, r);
        }
    return -1;
}

static void put_steel(struct kw_json *j, const struct monday *m) {
    bool unsaid = false;
    size_t i;
    const json_t *row;
    kw_json_key(j, "steel");
    kw_json_open(j, '[');
    json_array_foreach(json_object_get(m->run, "buy"), i, row) {
        const char *unit = text(row, "unit"), *what = text(row, "what");
        bool sheet = unit && strcmp(unit, "sheet") == 0, stick = unit && strcmp(unit, "stick") == 0;
        if (!what || (!sheet && !stick)) continue;
        int day =
            sheet ? needed_by(m, json_object_get(m->run, "sheets"), "material", "placements", what)
                  : needed_by(m, json_object_get(m->run, "sticks"), "stock", "pieces", what);
        kw_json_open(j, '{');
        kw_json_key_text(j, "what", what);
        kw_json_key_text(j, "unit", unit);
        kw_json_key_count(j, "short", (long)number(row, "count"));
        kw_json_key_text(j, "price", text(row, "price"));
        put_day(j, "needed_by", day);
        int days = m->in.shop ? delivery_of(m, what) : -1;
        put_day(j, "last_day", day && days >= 0 ? worked_day_before(day, days) : 0);
        unsaid = unsaid || days < 0;
        kw_json_close(j);
    }
    kw_json_close(j);
    if (unsaid)
        kw_json_key_text(j, "last_day_why",
                         "how long a delivery takes is not in shop.yaml (delivery_days): order so "
                         "that it is here on the day it is needed");
}

// ----------------------------------------------------------------------- hours, held up, profit

static void put_hours(struct kw_json *j, const struct monday *m) {
    size_t i;
    const json_t *row;
    kw_json_key(j, "hours");
    kw_json_open(j, '[');
    json_array_foreach(json_object_get(m->run, "load"), i, row) {
        kw_json_open(j, '{');
        kw_json_key_text(j, "machine", text(row, "machine"));
        kw_json_key_number(j, "hours", number(row, "hours"), 3);
        kw_json_key_number(j, "available", number(row, "available"), 3);
        put_truth(j, "tightest", row == m->tightest);
        kw_json_close(j);
    }
    kw_json_close(j);
}

/// The only part of the kit that is left out; NULL when there are none or several.
static const json_t *only_part(const struct monday *m, const char *kit) {
    size_t i;
    const json_t *row, *found = NULL;
    json_array_foreach(json_object_get(m->run, "left_out"), i, row) {
        const char *of = text(row, "kit"), *part = text(row, "part");
        if (!of || !part || !*part || strcmp(of, kit) != 0) continue;
        if (found && strcmp(text(found, "part"), part) != 0) return NULL;
        found = row;
    }
    return found;
}

static void put_held_up(struct kw_json *j, const struct monday *m) {
    size_t i;
    const json_t *kit;
    kw_json_key(j, "held_up");
    kw_json_open(j, '[');
    json_array_foreach(json_object_get(m->run, "kits"), i, kit) {
        const char *name = text(kit, "kit");
        const json_t *row = name ? only_part(m, name) : NULL;
        if (!row) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "kit", name);
        kw_json_key_text(j, "part", text(row, "part"));
        kw_json_key_count(j, "boxes", (long)(number(kit, "count") - number(kit, "boxed")));
        kw_json_key_text(j, "why", text(row, "why"));
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void put_profit(struct kw_json *j, const struct monday *m) {
    size_t i;
    const json_t *row;
    double sales = 0, cost = 0;
    json_array_foreach(json_object_get(m->run, "cost"), i, row) {
        const char *kit = text(row, "kit");
        double boxes = kit ? number(run_kit(m, kit), "boxed") : 0;
        sales += boxes * money(row, "price");
        cost += boxes * money(row, "total");
    }
    kw_json_key(j, "profit");
    kw_json_open_inline(j, '{');
    put_money(j, "sales", sales);
    put_money(j, "cost", cost);
    put_money(j, "profit", sales - cost);
    kw_json_close(j);
}

// ---------------------------------------------------------------------------------------- handler

/// The run that is asked for, or the one with the latest date; NULL: there is none.
static const char *run_wanted(struct call *c) {
    const char *run = target_query(&c->target, "run");
    if (run) return run;
    struct kw_text list = {0};
    struct kw_json j = {.out = &list};
    const char *best = NULL, *best_date = "";
    kw_json_open_inline(&j, '{');
    put_runs(c, &j);
    kw_json_close(&j);
    json_t *o = json_loadb(list.s, list.length, 0, NULL), *row;
    size_t i;
    json_array_foreach(json_object_get(o, "runs"), i, row) {
        const char *date = text(row, "date");
        if (strcmp(date, best_date) < 0) continue;
        best_date = kw_copy_text(&c->arena, date, strlen(date));
        best = kw_format(&c->arena, "%s", text(row, "run"));
    }
    json_decref(o);
    kw_text_free(&list);
    return best;
}

static void answer_monday(struct call *c, struct monday *m, const struct kw_error *err) {
    struct kw_json j = answer_json(c->response);
    put_day(&j, "date", m->date);
    kw_json_key_text(&j, "run", m->run ? c->parts[0] : NULL);
    kw_json_key_text(&j, "run_date", text(m->run, "date"));
    put_error(&j, "orders_error", err);
    if (m->run) {
        find_tightest(m);
        put_orders_late(&j, m);
        put_steel(&j, m);
        put_hours(&j, m);
        put_held_up(&j, m);
        put_profit(&j, m);
    }
    kw_json_close(&j);
}

HANDLER(get_monday) {
    struct monday m = {.call = c, .date = today()};
    struct kw_error err = {0};
    const char *date = target_query(&c->target, "date");
    if (date && !read_date(date, &m.date)) {
        answer_says(c->response, 400, "date: expected one such as 2026-11-30, got \"%.20s\"", date);
        return;
    }
    c->parts[0] = run_wanted(c);
    c->part_count = c->parts[0] ? 1 : 0;
    json_t *run = c->parts[0] ? run_json(c) : NULL;
    if (c->parts[0] && !run) return; // answered
    m.run = run;
    if (plan_read(c->server, true, &m.in, &err) != KW_OK) m.in.orders.count = 0;
    answer_monday(c, &m, &err);
    kw_arena_free(&m.in.arena);
    json_decref(run);
}
