// SPDX-License-Identifier: Apache-2.0
// The judge of fitted ends against what the planner tells of them: it takes every cut however the
// pieces stand, refuses it once a piece has moved, and finds each fault planted in a good run.json.
#include "check_stands.h"
#include "packet/packet.h"

#include <jansson.h>
#include <stdlib.h>

/// The small shop with a rack, so that what is ordered is made.
static struct kw_shop *racked_shop(void) {
    static struct kw_rack_item racks[2];
    struct kw_shop *shop = small_shop();
    static const char *const stocks[2] = {"30 x 2 round tube", "48 x 3 round tube"};
    for (int i = 0; i < 2; i++) {
        struct kw_error err = {0};
        racks[i] = (struct kw_rack_item){.from = stocks[i], .length = 6000, .can_buy = 1};
        cr_assert_eq(
            kw_stock_read(shop, stocks[i], KW_MM, (struct kw_place){0}, &racks[i].stock, &err),
            KW_OK, "%s", err.text);
    }
    shop->sticks = (struct kw_items){racks, 2};
    shop->saw.keep = 500;
    return shop;
}

/// run.json of one piece of `part`, ordered by itself. Counts the ends that the planner fitted.
static const char *run_text(struct kw_arena *a, const char *kit_text, const char *part, int *ends) {
    struct kw_error err = {0};
    struct kw_kit *kit;
    struct kw_shop *shop = racked_shop();
    cr_assert_eq(kw_kit_parse(a, shop, "/nonexistent", "k.yaml", kit_text, strlen(kit_text), NULL,
                              &kit, &err),
                 KW_OK, "%d:%d %s", err.at.line, err.at.column, err.text);
    struct kw_kits kits = {&kit, 1, shop, "/nonexistent"};
    struct kw_order order = {.number = "1", .count = 1, .due = 20261204};
    while (strcmp(KW_ITEM(struct kw_part, kit->parts, order.part)->name, part) != 0)
        order.part++;
    struct kw_orders orders = {&order, 1};
    struct kw_run_options o = {.name = "t", .date = 20261130, .nest_steps = 10};
    struct kw_week *week = KW_NEW(a, struct kw_week);
    cr_assert_eq(kw_run_week(a, shop, &kits, &orders, &o, week, &err), KW_OK, "%s", err.text);
    struct kw_text out = {0};
    kw_packet_run_json(week, "test", &out);
    const char *copy = kw_copy_text(a, out.s, out.length);
    kw_text_free(&out);
    *ends = kw_packet_fitted_ends(week);
    return copy;
}

static enum kw_status judged(const char *text, struct kw_verdict *v, struct kw_error *err) {
    *err = (struct kw_error){0};
    return kw_judge_fits_text(text, strlen(text), v, err);
}

/// A number deep in a document: "tubes.0.fits.ends.1.angle".
static json_t *at_path(json_t *root, const char *path, char *last) {
    char step[40];
    json_t *at = root;
    for (const char *dot; (dot = strchr(path, '.')); path = dot + 1) {
        snprintf(step, sizeof step, "%.*s", (int)(dot - path), path);
        at = json_is_array(at) ? json_array_get(at, (size_t)atoi(step)) : json_object_get(at, step);
        cr_assert_not_null(at, "no %s", step);
    }
    strcpy(last, path);
    return at;
}

/// The text with one value changed: a number by `more`, or put to `word`.
static char *changed(const char *text, const char *path, double more, const char *word) {
    char last[40];
    json_t *root = json_loads(text, 0, NULL), *in = at_path(root, path, last);
    bool list = json_is_array(in);
    json_t *old = list ? json_array_get(in, (size_t)atoi(last)) : json_object_get(in, last);
    cr_assert_not_null(old, "no %s", path);
    json_t *is = word ? json_string(word) : json_real(json_number_value(old) + more);
    if (list)
        json_array_set_new(in, (size_t)atoi(last), is);
    else
        json_object_set_new(in, last, is);
    char *out = json_dumps(root, 0);
    json_decref(root);
    return out;
}

// ------------------------------------------------------------------------------------ random kits

Test(packet_fits, judge_takes_every_saddle_and_refuses_it_once_a_piece_has_moved) {
    int ends = 0, looked = 0, refused = 0, moves = 0;
    uint64_t r = 4;
    struct stand post[2], rung;
    for (int i = 0; i < 500; i++) {
        struct kw_arena a = {0};
        int fitted;
        const char *text = run_text(&a, askew(&a, &r, post, &rung), "rung", &fitted);
        struct kw_verdict v = {.arena = &a};
        struct kw_error err;
        cr_expect_eq(judged(text, &v, &err), KW_OK, "%d: %s", i, err.text);
        cr_expect_eq(v.looked_at, fitted);
        ends += fitted;
        looked += v.looked_at;
        // The rung moved sideways across the posts, which no saddle made for here can take.
        char *moved =
            fitted ? changed(text, "assemblies.0.pieces.2.at.1", i % 2 ? 0.4 : -0.4, NULL) : NULL;
        struct kw_verdict other = {.arena = &a};
        refused += moved && judged(moved, &other, &err) == KW_JUDGE;
        moves += moved != NULL;
        free(moved);
        kw_arena_free(&a);
    }
    cr_expect(ends > 60 && looked == ends, "%d ends, %d looked at", ends, looked);
    cr_expect_eq(refused, moves, "%d of %d", refused, moves);
}

// ------------------------------------------------------------------------------------ faults

#define PARTS                                                                                      \
    "kit: k\nname: K\nunits: mm\nparts:\n"                                                         \
    "  sill: { from: 40 x 2 square tube, per_kit: 1, length: 1000 }\n"                             \
    "  rail: { from: 48 x 3 round tube, per_kit: 1, length: 2000 }\n"                              \
    "  plate: { from: 3 mm hot-rolled sheet, per_kit: 1, base: { long: 400, wide: 400 }, bends: "  \
    "{ "                                                                                           \
    "lip: { along: back, height: 200, turn: 90, way: up } } }\n"
#define ON(what) "{ cope: { onto: " what " } }"

enum { LEANING, ARCH, BRACE };
static const char *const scenes[] = {
    [LEANING] = PARTS
    "  tube: { from: 30 x 2 round tube, per_kit: 1, length: 600, ends: { start: " ON(
        "rail") ", end: " ON("sill") " } }\nassembly:\n"
                                     "  rail: { part: rail, at: [24, -1000, -24], turns: [z 90] }\n"
                                     "  sill: { part: sill, at: [260, -500, 400], turns: [z 90] }\n"
                                     "  tube: { part: tube, at: [21, -11, -7.5], turns: [y -60, z "
                                     "15] }\n",
    [ARCH] = PARTS
    "  tube: { from: 30 x 2 round tube, per_kit: 1, die: 100, shape: [up 500, turn 90, across 600, "
    "turn 90, down 300], ends: { start: " ON("rail") ", end: " ON(
        "plate") " } }\nassembly:\n"
                 "  rail: { part: rail, at: [-500, -24, -24] }\n"
                 "  plate: { part: plate, at: [400, -200, 200], turns: [] }\n"
                 "  tube: { part: tube, at: [0, 4, 30] }\n",
    // from the lip of a folded plate, which stands upright, to its base
    [BRACE] =
        PARTS "  tube: { from: 30 x 2 round tube, per_kit: 1, length: 100, ends: { start: " ON(
            "plate") ", end: " ON("plate") " } }\nassembly:\n"
                                           "  plate: { part: plate, at: [0, 0, 0] }\n"
                                           "  tube: { part: tube, at: [200, 300, 60], turns: [z "
                                           "90, x 30] }\n",
};

#define START "tubes.0.fits.ends.0."
#define END   "tubes.0.fits.ends.1."
#define MET   "assemblies.0.shapes.0."
static const struct fault {
    int scene;
    const char *path;
    double more;
    const char *word;
} faults[] = {
    {LEANING, START "saw", 0.3, NULL},
    {LEANING, START "saw", -0.3, NULL},
    {LEANING, START "angle", 0.5, NULL},
    {LEANING, START "angle", -0.5, NULL},
    {LEANING, START "offset", 0.1, NULL},
    {LEANING, START "offset", -0.1, NULL},
    {LEANING, START "turn", 0.6, NULL},
    {LEANING, START "turn", 180, NULL},
    {LEANING, START "turn", -90, NULL},
    {LEANING, START "end", 0, "end"},
    {LEANING, START "onto", 0, "sill"},
    {LEANING, START "onto", 0, "plate"},
    {LEANING, START "saw", -48, NULL}, // flat
    {LEANING, END "miter", 0.3, NULL},
    {LEANING, END "miter", -0.3, NULL},
    {LEANING, END "turn", 0.6, NULL},
    {LEANING, END "turn", 180, NULL},
    {LEANING, END "saw", 40, NULL},
    {LEANING, "tubes.0.last", 0.1, NULL},
    {LEANING, "tubes.0.cut_length", 0.1, NULL},
    {LEANING, "tubes.0.lies.at.0", 0.1, NULL},
    {LEANING, "tubes.0.lies.at.1", -0.2, NULL},
    {LEANING, "tubes.0.od", 1, NULL},
    {LEANING, "assemblies.0.pieces.0.at.0", 0.1, NULL},
    {LEANING, "assemblies.0.pieces.0.turns.0.1", 0.5, NULL},
    {LEANING, "assemblies.0.pieces.1.at.0", 300, NULL}, // beside it
    {LEANING, "assemblies.0.pieces.1.at.2", 0.1, NULL},
    {LEANING, "assemblies.0.pieces.2.turns.0.1", 0.1, NULL},
    {LEANING, "assemblies.0.pieces.2.part", 0, "rail"}, // no tube stands
    {ARCH, START "offset", 8, NULL},                    // to the other side
    {ARCH, START "turn", 90, NULL},
    {ARCH, "tubes.0.bends.0.feed", 0.1, NULL},
    {ARCH, "tubes.0.bends.0.angle", 0.1, NULL},
    {ARCH, "tubes.0.bends.1.rotate", 0.2, NULL},
    {ARCH, "tubes.0.lies.from", 0, "end"},
    {ARCH, "assemblies.0.pieces.1.at.0", 300, NULL},
    {BRACE, START "miter", 0.3, NULL},
    {BRACE, END "turn", 1, NULL},
    {BRACE, MET "bends.0.allowance", 0.3, NULL},
    {BRACE, MET "bends.0.angle", 0.2, NULL},
    {BRACE, MET "bends.0.radius", 0.1, NULL},
    {BRACE, MET "bends.0.from.1", 0.3, NULL},
    {BRACE, MET "bends.0.toward", 0, "down"},
};

Test(packet_fits, judge_finds_each_planted_fault) {
    for (int scene = LEANING; scene <= BRACE; scene++) {
        struct kw_arena a = {0};
        struct kw_verdict good = {.arena = &a};
        struct kw_error err;
        int ends;
        const char *text = run_text(&a, scenes[scene], "tube", &ends);
        cr_assert_eq(judged(text, &good, &err), KW_OK, "%s", err.text);
        cr_assert_eq(ends, 2);
        cr_assert_eq(good.looked_at, 2);
        for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
            const struct fault *f = &faults[i];
            if (f->scene != scene) continue;
            char *bad = changed(text, f->path, f->more, f->word);
            struct kw_verdict v = {.arena = &a};
            cr_expect_eq(judged(bad, &v, &err), KW_JUDGE, "%s %g of scene %d is not found", f->path,
                         f->more, scene);
            free(bad);
        }
        kw_arena_free(&a);
    }
}

Test(packet_fits, judge_refuses_what_it_can_not_read) {
    static const struct fault texts[] = {
        {LEANING, "tubes.0.lies.along.0", 0.1, NULL},
        {LEANING, "tubes.0.od", 0, "wide"},
        {LEANING, "tubes.0.fits.kit", 0, "other"},
        {LEANING, START "end", 0, "middle"},
        {LEANING, START "saw", -1e9, NULL},
        {LEANING, MET "kind", 0, "wood"},
        {LEANING, "assemblies.0.pieces", 0, "many"},
        {ARCH, "tubes.0.bends.0.radius", -1e9, NULL},
        {LEANING, "assemblies.0.pieces.0.turns.0.0", 0, "w"},
        {BRACE, MET "bends.0.beyond", 0, "lip"},
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err;
        int ends;
        const char *text = run_text(&a, scenes[texts[i].scene], "tube", &ends);
        char *bad = changed(text, texts[i].path, texts[i].more, texts[i].word);
        cr_expect_eq(judged(bad, &v, &err), KW_FORMAT, "%s", texts[i].path);
        free(bad);
        kw_arena_free(&a);
    }
}
