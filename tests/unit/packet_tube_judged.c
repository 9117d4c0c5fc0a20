// SPDX-License-Identifier: Apache-2.0
// The judge of tubes against the planner: what the planner lets through it never refuses, what it
// refuses was told; and faults planted in a good run.json are found.
#include "geom/geom.h"
#include "tube/tube.h"
#include "verify/verify.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define DEG (KW_PI / 180)

static const struct kw_box3 bodies[] = {{{-600, 60, -900}, {150, 420, -60}},
                                        {{-1500, -260, -120}, {-100, -80, 60}}};
static const struct kw_tube_die dies[] = {{31.75, 101.6, KW_PI, 0, 0, 1.03, 3.048}};

/// What a planted fault may change.
struct scene {
    struct kw_tube_bend rows[16];
    int count;
    double last, od, floor, rest; ///< rest: added to the sawn length
    double factor;
    struct kw_box3 bodies[2];
    struct kw_tube_trims trims;
    enum kw_tube_turning ways[16];
    bool by_itself;
    double taken; ///< mm that each bend takes beyond its arc
};

static const char *const turning_words[] = {"short", "long", "lifted", "sideways"};

static void number(struct kw_text *t, const char *key, double v) {
    kw_text_addf(t, "\"%s\": %.9f, ", key, v);
}

static const char *text_of(struct kw_arena *a, const struct scene *s) {
    struct kw_text t = {0};
    kw_text_addf(&t, "{\"bender\": {\"floor\": %.6f, \"bodies\": [", s->floor);
    for (int i = 0; i < 2; i++) {
        const struct kw_box3 *b = &s->bodies[i];
        kw_text_addf(&t, "%s{\"name\": \"body %d\", \"min\": [%.6f, %.6f, %.6f], ", i ? ", " : "",
                     i + 1, b->min.x, b->min.y, b->min.z);
        kw_text_addf(&t, "\"max\": [%.6f, %.6f, %.6f]}", b->max.x, b->max.y, b->max.z);
    }
    kw_text_addf(&t, "], \"turns_by_itself\": %s", s->by_itself ? "true" : "false");
    kw_text_add(&t, "}, \"tubes\": [{\"part\": \"kit/tube\", ");
    double length = s->last + s->trims.start + s->trims.end + s->rest;
    for (int i = 0; i < s->count; i++)
        length += s->rows[i].straight + s->rows[i].radius * s->rows[i].angle + s->taken;
    number(&t, "od", s->od);
    number(&t, "last", s->last);
    number(&t, "trim_start", s->trims.start);
    number(&t, "trim_end", s->trims.end);
    number(&t, "cut_length", length);
    kw_text_add(&t, "\"bends\": [");
    for (int i = 0; i < s->count; i++) {
        const struct kw_tube_bend *b = &s->rows[i];
        kw_text_add(&t, i ? ", {" : "{");
        number(&t, "feed", b->straight);
        number(&t, "rotate", b->rotate / DEG);
        number(&t, "angle", b->angle / DEG);
        number(&t, "angle_under_load", b->angle / DEG * s->factor);
        number(&t, "radius", b->radius);
        if (s->taken != 0) number(&t, "taken", b->radius * b->angle + s->taken);
        kw_text_addf(&t, "\"turning\": \"%s\", ", turning_words[s->ways[i]]);
        kw_text_addf(&t, "\"die_radius\": %.6f}", b->radius / s->factor);
    }
    kw_text_add(&t, "]}]}");
    const char *copy = kw_copy_text(a, t.s, strlen(t.s));
    kw_text_free(&t);
    return copy;
}

static enum kw_status judged(const struct scene *s, struct kw_verdict *v, struct kw_error *err) {
    const char *text = text_of(v->arena, s);
    return kw_judge_tubes_text(text, strlen(text), v, err);
}

static int planned(struct kw_arena *a, struct scene *s, struct kw_tube_problems *p) {
    const struct kw_tube_bender bender = {dies, 1, 0, false, s->floor, s->bodies, 2};
    struct kw_tube_table t;
    cr_assert(kw_tube_table_from_rows(a, s->rows, s->count, s->last, &t, NULL));
    *p = (struct kw_tube_problems){.arena = a};
    kw_tube_swing(a, &t, (struct kw_tube_size){s->od, 2.1}, &bender, s->trims, p);
    kw_tube_turns(a, &t, (struct kw_tube_size){s->od, 2.1}, &bender, s->trims, s->ways, p);
    return p->count;
}

static uint64_t state = 7;
static double random_in(double low, double high) {
    state = state * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(state >> 11) / 9007199254740992.0;
}

static struct scene random_scene(int bends) {
    struct scene s = {.count = bends,
                      .last = random_in(50, 300),
                      .od = 31.75,
                      .floor = 900,
                      .factor = 1.03,
                      .trims = {random_in(0, 40), random_in(0, 40)}};
    memcpy(s.bodies, bodies, sizeof bodies);
    for (int i = 0; i < bends; i++)
        s.rows[i] = (struct kw_tube_bend){random_in(60, 400), i ? random_in(-3.1, 3.1) : 0,
                                          random_in(0.2, 2.6), 101.6 * 1.03};
    return s;
}

/// Two or three bends under a beam, the floor near: the way between bends is what is blocked.
static struct scene under_a_beam(int bends) {
    struct scene s = random_scene(bends);
    s.floor = random_in(200, 450);
    double up = random_in(150, 350);
    s.bodies[0] = (struct kw_box3){{-500, -20, up}, {800, 20, up + 60}};
    s.bodies[1] = (struct kw_box3){{-1500, -900, -120}, {-100, -800, 60}};
    return s;
}

Test(packet_tubes, are_never_refused_where_the_planner_lets_them_through) {
    int clear = 0, both = 0, planner_only = 0, lifts = 0, lift_refused = 0, the_long_way = 0;
    for (int i = 0; i < 300; i++) {
        struct kw_arena a = {0};
        struct scene s = i % 3 ? random_scene(2 + i % 5) : under_a_beam(2 + i % 2);
        struct kw_tube_problems p;
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        int told = planned(&a, &s, &p);
        enum kw_status status = judged(&s, &v, &err);
        cr_assert(status == KW_OK || status == KW_JUDGE, "%s", err.text);
        cr_expect_eq(v.looked_at, 1);
        if (told == 0) cr_expect_eq(status, KW_OK, "tube %d: %s", i, err.text);
        for (int b = 1; b < s.count; b++)
            the_long_way += s.ways[b] == KW_TUBE_TURN_LONG;
        for (int b = 0; b < p.count; b++) {
            // Only the way between two bends is blocked: what a person lifts out passes, and the
            // short way does not.
            if (told > 1 || p.v[b].kind < KW_TUBE_FEED_HITS_BODY) break;
            cr_expect_eq(status, KW_OK, "tube %d lifted out: %s", i, err.text);
            s.ways[p.v[b].bend] = KW_TUBE_TURN_SHORT;
            struct kw_verdict other = {.arena = &a};
            lifts++;
            status = judged(&s, &other, &err);
            lift_refused += status == KW_JUDGE;
        }
        clear += told == 0;
        both += told > 0 && status == KW_JUDGE;
        planner_only += told > 0 && status == KW_OK;
        kw_arena_free(&a);
    }
    // The planner keeps 0.5 mm and thickens arcs: only grazes may be its alone.
    cr_expect(clear > 20 && both > 40, "%d clear, %d refused by both", clear, both);
    cr_expect(planner_only <= 6, "%d by the planner alone", planner_only);
    cr_expect(lifts > 3 && lifts - lift_refused <= 1, "%d lifted, %d of them refused", lifts,
              lift_refused);
    cr_expect(the_long_way > 3, "%d the long way round", the_long_way);
}

/// A rail of four bends, clear of everything.
static struct scene rail(void) {
    struct scene s = {.rows = {{200, 0, 45 * DEG, 104.648},
                               {250, 90 * DEG, 60 * DEG, 104.648},
                               {180, -60 * DEG, 90 * DEG, 104.648},
                               {220, 30 * DEG, 30 * DEG, 104.648}},
                      .count = 4,
                      .last = 150,
                      .od = 31.75,
                      .floor = 900,
                      .factor = 1.03};
    s.bodies[0] = (struct kw_box3){{-600, 60, -900}, {150, 420, -700}};
    s.bodies[1] = (struct kw_box3){{-1500, -900, -120}, {-100, -800, 60}};
    return s;
}

struct fault {
    const char *what;
    double value;
    void (*plant)(struct scene *s, double v);
};

static void lift_floor(struct scene *s, double v) {
    s->floor = v;
}
static void lift_stand(struct scene *s, double v) {
    s->bodies[0].max.z = v;
}
static void widen_stand(struct scene *s, double v) {
    s->bodies[0].max.z = 30;
    s->bodies[0].min.x = v;
    s->bodies[0].max.x = v + 50;
}
static void post_ahead(struct scene *s, double v) {
    s->bodies[1] = (struct kw_box3){{v, -20, -900}, {v + 40, 20, 100}};
}
static void post_beside(struct scene *s, double v) {
    s->bodies[1] = (struct kw_box3){{150, v, -100}, {190, v + 40, 300}};
}
static void length(struct scene *s, double v) {
    s->rest = v;
}
static void curl(struct scene *s, double v) {
    s->count = 3;
    for (int i = 0; i < 3; i++)
        s->rows[i] = (struct kw_tube_bend){100, 0, v * DEG, 104.648};
    s->rows[0].straight = 400;
    s->last = 500;
}
/// A leg of 500 mm to the one side, then to the other: it swings through in between.
static void turned_through(struct scene *s, double v) {
    s->count = 2;
    s->rows[0] = (struct kw_tube_bend){400, 0, 90 * DEG, 104.648};
    s->rows[1] = (struct kw_tube_bend){200, (v > 0 ? -179 : 179) * DEG, 45 * DEG, 104.648};
    s->floor = fabs(v);
    s->bodies[1] = (struct kw_box3){{-500, -20, fabs(v) - 150}, {800, 20, fabs(v)}};
}
static void the_wrong_way(struct scene *s, double v) {
    turned_through(s, 450);
    s->bodies[1].min.z = 700;
    s->bodies[1].max.z = 800;
    s->ways[1] = (enum kw_tube_turning)v;
}
static void fed_through(struct scene *s, double v) {
    s->count = 2;
    s->rows[0] = (struct kw_tube_bend){400, 0, 90 * DEG, 104.648};
    s->rows[1] = (struct kw_tube_bend){v, 0, 30 * DEG, 104.648};
    s->bodies[1] = (struct kw_box3){{600, 400, -100}, {640, 440, 100}};
}
static void lifted(struct scene *s, double v) {
    s->by_itself = true;
    s->ways[(int)v] = KW_TUBE_LIFT_OUT;
}
static void taken(struct scene *s, double v) {
    s->taken = v;
}
static void taken_unsaid(struct scene *s, double v) {
    s->taken = v;
    s->rest = -s->count * v + 2;
}
static const struct fault faults[] = {
    {"bends that take far more than their arcs", 40, taken},
    {"bends that take far less", -40, taken},
    {"sawn 2 mm longer than the bends take", -1, taken_unsaid},
    {"turned through the floor", 450, turned_through},
    {"turned through a beam", -450, turned_through},
    {"turned through the floor", 300, turned_through},
    {"the wrong way", KW_TUBE_TURN_SHORT, the_wrong_way},
    {"fed through", 700, fed_through},
    {"fed through", 600, fed_through},
    {"lifted by a machine", 1, lifted},
    {"lifted by a machine", 3, lifted},
    {"floor", 15, lift_floor},
    {"floor", 100, lift_floor},
    {"floor", 150, lift_floor},
    {"stand", -5, lift_stand},
    {"stand", 200, lift_stand},
    {"stand", -14, lift_stand},
    {"box", 0, widen_stand},
    {"box", 60, widen_stand},
    {"box", 100, widen_stand},
    {"post ahead", 60, post_ahead},
    {"post ahead", 120, post_ahead},
    {"post ahead", 150, post_ahead},
    {"post beside", 0, post_beside},
    {"post beside", 40, post_beside},
    {"post beside", 80, post_beside},
    {"length", 0.2, length},
    {"length", -3, length},
    {"length", 50, length},
    {"curl", 120, curl},
    {"curl", 110, curl},
    {"curl", 130, curl},
    {"curl", 115, curl},
};

Test(packet_tubes, judge_finds_each_planted_fault) {
    struct kw_arena a = {0};
    struct kw_verdict good = {.arena = &a};
    struct kw_error err = {0};
    struct scene s = rail();
    cr_assert_eq(judged(&s, &good, &err), KW_OK, "%s", err.text);
    cr_assert_eq(good.looked_at, 1);
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct kw_verdict v = {.arena = &a};
        s = rail();
        faults[i].plant(&s, faults[i].value);
        err = (struct kw_error){0};
        cr_expect_eq(judged(&s, &v, &err), KW_JUDGE, "%s %g is not found", faults[i].what,
                     faults[i].value);
        cr_expect(v.fault_count > 0);
    }
    kw_arena_free(&a);
}

Test(packet_tubes, judge_takes_the_way_between_bends_that_is_free) {
    struct kw_arena a = {0};
    struct scene s = rail();
    s.taken = -1.5;
    the_wrong_way(&s, KW_TUBE_TURN_LONG);
    struct kw_verdict v = {.arena = &a};
    struct kw_error err = {0};
    cr_expect_eq(judged(&s, &v, &err), KW_OK, "%s", err.text);
    s.ways[1] = KW_TUBE_LIFT_OUT;
    cr_expect_eq(judged(&s, &v, &err), KW_OK, "%s", err.text);
    s.ways[1] = (enum kw_tube_turning)3;
    cr_expect_eq(judged(&s, &v, &err), KW_FORMAT);
    kw_arena_free(&a);
}

Test(packet_tubes, judge_refuses_what_is_no_bend_table) {
    static const char *const texts[] = {
        "{\"tubes\": [{\"bends\": []}]}",
        "{\"tubes\": [{\"part\": \"a\", \"bends\": [{\"feed\": 3}]}]}",
        "{\"tubes\": [{\"part\": \"a\", \"od\": 20, \"last\": 1, \"trim_start\": 0, "
        "\"trim_end\": 0, \"cut_length\": 5, \"bends\": [{\"feed\": 1, \"rotate\": 0, \"angle\": "
        "-5, \"angle_under_load\": 4, \"radius\": 60, \"die_radius\": 60}]}]}",
        "{",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        cr_expect_eq(kw_judge_tubes_text(texts[i], strlen(texts[i]), &v, &err), KW_FORMAT, "%zu",
                     i);
        kw_arena_free(&a);
    }
}
