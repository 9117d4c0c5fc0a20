// SPDX-License-Identifier: Apache-2.0
// Random nests through the engine and its judge, which share no code: every one passes.
#include "nest_parts.h"
#include "verify/verify.h"

#include <stdio.h>
#include <stdlib.h>

static void write_path(struct kw_json *j, const struct kw_path *p) {
    kw_json_open_inline(j, '[');
    for (int i = 0; i < p->count; i++) {
        kw_json_open_inline(j, '[');
        kw_json_number(j, p->v[i].x, 9);
        kw_json_number(j, p->v[i].y, 9);
        kw_json_number(j, p->v[i].bulge, 9);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void write_stock(struct kw_json *j) {
    kw_json_key_text(j, "material", "mild");
    kw_json_key_number(j, "thickness", 3, 3);
}

static void write_blanks(struct kw_json *j, const struct kw_nest_job *job) {
    kw_json_key(j, "blanks");
    kw_json_open(j, '[');
    for (int i = 0; i < job->part_count; i++) {
        char name[32];
        snprintf(name, sizeof name, "kit/p%d", i);
        kw_json_open(j, '{');
        kw_json_key_text(j, "part", name);
        write_stock(j);
        kw_json_key_count(j, "count", job->parts[i].count);
        kw_json_key(j, "good_side");
        kw_json_truth(j, !job->parts[i].may_mirror);
        kw_json_key(j, "outer");
        write_path(j, &job->parts[i].outline->outer);
        kw_json_key(j, "holes");
        kw_json_open(j, '[');
        for (int h = 0; h < job->parts[i].outline->hole_count; h++) {
            write_path(j, &job->parts[i].outline->holes[h]);
        }
        kw_json_close(j);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void write_left_out(struct kw_json *j, const struct kw_nest *n) {
    kw_json_key(j, "left_out");
    kw_json_open(j, '[');
    for (int i = 0; i < n->unplaced_count; i++) {
        char name[32];
        snprintf(name, sizeof name, "p%d", n->unplaced[i].part);
        kw_json_open(j, '{');
        kw_json_key_text(j, "kit", "kit");
        kw_json_key_text(j, "part", name);
        kw_json_key_count(j, "count", n->unplaced[i].count);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void write_layout(struct kw_json *j, const struct kw_nest_job *job,
                         const struct kw_nest_options *o, const struct kw_nest_layout *l, int i) {
    struct kw_arena a = {0};
    const struct kw_nest_sheet *s = &job->sheets[l->sheet];
    struct kw_path rim = kw_path_box_outline(&a, 0, 0, s->width, s->height, 0);
    kw_json_open(j, '{');
    kw_json_key_text(j, "id", kw_format(&a, "S%d", i + 1));
    write_stock(j);
    kw_json_key_count(j, "times", l->times);
    kw_json_key_number(j, "spacing", o->spacing, 9);
    kw_json_key_number(j, "margin", o->margin, 9);
    kw_json_key(j, "outline");
    write_path(j, s->outline ? &s->outline->outer : &rim);
    kw_json_key(j, "drops");
    kw_json_open(j, '[');
    for (int k = 0; k < l->drop_count; k++) {
        struct kw_box2 d = l->drops[k];
        struct kw_path p = kw_path_box_outline(&a, d.min.x, d.min.y, d.max.x, d.max.y, 0);
        write_path(j, &p);
    }
    kw_json_close(j);
    kw_json_key(j, "placements");
    kw_json_open(j, '[');
    for (int k = 0; k < l->placement_count; k++) {
        struct kw_nest_placement p = l->placements[k];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "part", kw_format(&a, "kit/p%d", p.part));
        kw_json_key_count(j, "copy", p.copy);
        kw_json_key_number(j, "x", p.x, 6);
        kw_json_key_number(j, "y", p.y, 6);
        kw_json_key_number(j, "rotation", p.rotation * 180 / KW_PI, 9);
        kw_json_key(j, "mirrored");
        kw_json_truth(j, p.mirrored);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_close(j);
    kw_arena_free(&a);
}

static struct kw_text run_json(const struct kw_nest_job *job, const struct kw_nest_options *o,
                               const struct kw_nest *n) {
    struct kw_text t = {0};
    struct kw_json j = {.out = &t};
    kw_json_open(&j, '{');
    write_blanks(&j, job);
    write_left_out(&j, n);
    kw_json_key(&j, "sheets");
    kw_json_open(&j, '[');
    for (int i = 0; i < n->layout_count; i++)
        write_layout(&j, job, o, &n->layouts[i], i);
    kw_json_close(&j);
    kw_json_close(&j);
    return t;
}

/// A sheet with a corner torn off, in a third of the cases.
static struct kw_region torn_sheet(struct kw_arena *a, double x, double y) {
    const double xy[][2] = {{0, 0}, {x, 0}, {x, y * 0.6}, {x * 0.7, y}, {0, y}};
    return polygon(a, xy, 5);
}

static void judge_case(uint64_t seed, int *placements) {
    struct kw_arena a = {0};
    uint64_t random = seed;
    struct kw_region shapes[6];
    struct kw_nest_part parts[6] = {0};
    double tilted[3] = {0, 0, 0};
    for (int i = 0; i < 3; i++)
        tilted[i] = between(&random, 0, 6.283);
    int n = 1 + (int)(kw_random(&random) % 4);
    for (int i = 0; i < n; i++) {
        shapes[i] = random_shape(&a, &random);
        parts[i].outline = &shapes[i];
        parts[i].count = 1 + (int)(kw_random(&random) % 7);
        parts[i].may_mirror = kw_random(&random) % 2;
        if (kw_random(&random) % 2) {
            parts[i].rotations = tilted;
            parts[i].rotation_count = 3;
        }
    }
    double x = between(&random, 300, 900), y = between(&random, 300, 900);
    struct kw_region torn = torn_sheet(&a, x, y);
    struct kw_nest_sheet sheets[2] = {
        {.width = x, .height = y, .count = -1, .price = x * y},
        {.width = y * 0.8, .height = x * 0.7, .count = 2, .price = x * y * 0.6},
    };
    if (seed % 3 == 0) sheets[0].outline = &torn;
    struct kw_nest_options o = kw_nest_options_default();
    o.spacing = seed % 4 ? between(&random, 0, 12) : 0;
    o.margin = seed % 5 ? between(&random, 0, 12) : 0;
    o.drop_short = o.drop_long = 100;
    o.steps = 300;
    o.seed = seed;
    if (seed % 16 == 1) { // enough of one for patterns, and time to look for those that lean
        parts[0].count = 20 + (int)(kw_random(&random) % 20);
        o.steps = 60000;
    }
    struct kw_nest out = nest(&a, parts, n, sheets, 2, o);
    struct kw_nest_job job = {parts, n, sheets, 2};
    struct kw_text t = run_json(&job, &o, &out);
    struct kw_verdict v = {.arena = &a};
    struct kw_error err = {0};
    enum kw_status s = kw_judge_nests_text(t.s, t.length, &v, &err);
    cr_expect_eq(s, KW_OK, "case %d, spacing %g, margin %g: %s", (int)seed, o.spacing, o.margin,
                 err.text);
    *placements += v.looked_at;
    if (getenv("KW_NESTS")) { // for outside judges, by case number
        const char *path = kw_format(&a, "%s/%d.json", getenv("KW_NESTS"), (int)seed);
        cr_assert_eq(kw_write_file(path, t.s, t.length, &err), KW_OK, "%s", err.text);
    }
    kw_text_free(&t);
    kw_arena_free(&a);
}

static void judge_cases(uint64_t first) {
    int placements = 0;
    for (uint64_t seed = first; seed < first + 50; seed++)
        judge_case(seed, &placements);
    cr_expect_geq(placements, 300);
}

Test(packet_nest_judged, random_nests_1_to_50_pass_the_judge) {
    judge_cases(1);
}
Test(packet_nest_judged, random_nests_51_to_100_pass_the_judge) {
    judge_cases(51);
}
Test(packet_nest_judged, random_nests_101_to_150_pass_the_judge) {
    judge_cases(101);
}
Test(packet_nest_judged, random_nests_151_to_200_pass_the_judge) {
    judge_cases(151);
}

/// A piece that leans better than it stands, on a second sheet that it is too wide for: once laid
/// beyond the edge there.
Test(packet_nest_judged, what_is_too_wide_is_not_laid_leaning) {
    int placements = 0;
    judge_case(10369, &placements);
    cr_expect_gt(placements, 0);
}

/// KW_NEST_CASES of them, for a proof of thousands; each is written into the folder KW_NESTS.
Test(packet_nest_judged, more_random_nests_pass_the_judge) {
    const char *wanted = getenv("KW_NEST_CASES");
    int placements = 0, count = wanted ? atoi(wanted) : 10;
    for (int i = 0; i < count; i++)
        judge_case((uint64_t)(201 + i), &placements);
    cr_expect_geq(placements, 5 * count);
}
