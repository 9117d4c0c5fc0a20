// SPDX-License-Identifier: Apache-2.0
// Generated kits. Sizes stand on a quarter of an inch; holes keep clear of edges, of flanges and of
// each other, so that nearly every part can be made and the whole way is measured.
#include "plan_shop.h"

#include "bench.h"

#include <string.h>

#define EMBED(symbol, path)                                                                        \
    __asm__(".section .rodata\n"                                                                   \
            ".global " #symbol "\n" #symbol ":\n.incbin \"" path "\"\n"                            \
            ".global " #symbol "_end\n" #symbol "_end:\n.byte 0\n.previous\n");                    \
    extern const char symbol[], symbol##_end[]

EMBED(plan_shop_text, "bench/plan_shop.yaml");

// All in inches.
#define GRID       0.25
#define EDGE_CLEAR 2.0 // from a hole's centre to the base's edge
#define PITCH      1.5 // least between holes
#define MOST_HOLES 5   // in a row

// Centres in a row between the two edges of `length`, or one in the middle when it is short.
static void write_row(struct kw_text *out, const char *key, double length, int wanted) {
    int fit = 1 + (int)((length - 2 * EDGE_CLEAR) / PITCH);
    int count = wanted < fit ? wanted : fit;
    kw_text_addf(out, ", %s: [", key);
    for (int i = 0; i < count; i++) {
        double t = count > 1 ? (double)i / (count - 1) : 0.5;
        char number[KW_NUMBER_SIZE];
        double at = EDGE_CLEAR + t * (length - 2 * EDGE_CLEAR);
        kw_text_addf(out, "%s%s", i ? ", " : "", kw_number(number, at, 4));
    }
    kw_text_add(out, "]");
}

static void write_holes(struct kw_text *out, uint64_t *random, double length, double width) {
    static const char *const sizes[] = {"5/16", "7/16", "1/2",
                                        "size: 3/8, slot: 1, runs: left-right"};
    int which = bench_random_count(random, 0, 3);
    if (length < 2 * EDGE_CLEAR + 0.5 || width < 2 * EDGE_CLEAR) return;
    kw_text_addf(out, "    holes:\n      - { %s%s", which < 3 ? "size: " : "", sizes[which]);
    write_row(out, "from_left", length, bench_random_count(random, 1, MOST_HOLES));
    write_row(out, "from_front", width, bench_random_count(random, 1, 2));
    kw_text_add(out, " }\n");
}

static void write_bends(struct kw_text *out, uint64_t *random) {
    static const char *const edges[] = {"front", "back", "left", "right"};
    int count = bench_random_count(random, 0, 4), first = bench_random_count(random, 0, 3);
    const char *way = bench_random_count(random, 0, 1) ? "up" : "down";
    if (count == 0) return;
    kw_text_add(out, "    bends:\n");
    for (int i = 0; i < count; i++) {
        char number[KW_NUMBER_SIZE];
        double height = bench_random_step(random, 1.25, 2, GRID);
        kw_text_addf(out, "      %c: { along: %s, height: %s, turn: 90, way: %s }\n", 'A' + i,
                     edges[(first + i) % 4], kw_number(number, height, 4), way);
    }
}

static void write_part(struct kw_text *out, uint64_t *random, int index) {
    static const char *const stocks[] = {"14 ga", "11 ga", "3/16 in"};
    char a[KW_NUMBER_SIZE], b[KW_NUMBER_SIZE];
    double length = bench_random_step(random, 4, 30, GRID);
    double width = bench_random_step(random, 3, length < 12 ? length : 12, GRID);
    kw_text_addf(out, "  part-%03d:\n    from: %s hot-rolled sheet\n", index,
                 stocks[bench_random_count(random, 0, 2)]);
    kw_text_addf(out, "    per_kit: %d\n", bench_random_count(random, 1, 4));
    kw_text_addf(out, "    base: { long: %s, wide: %s }\n", kw_number(a, length, 4),
                 kw_number(b, width, 4));
    write_bends(out, random);
    write_holes(out, random, length, width);
}

static enum kw_status write_kit(const char *folder, int index, int parts, uint64_t *random,
                                struct kw_error *err) {
    struct kw_arena a = {0};
    struct kw_text out = {0};
    kw_text_addf(&out, "kit: kit-%03d\nname: Generated kit %d\nrevision: A\nunits: in\nparts:\n",
                 index, index);
    for (int i = 1; i <= parts; i++)
        write_part(&out, random, i);
    kw_text_add(&out, "bags:\n  bolts: { holds: [8 hex bolt 3/8-16 x 1, 8 flange nut 3/8-16] }\n");
    enum kw_status s = kw_write_file(kw_format(&a, "%s/kits/kit-%03d.yaml", folder, index), out.s,
                                     out.length, err);
    kw_text_free(&out);
    kw_arena_free(&a);
    return s;
}

static enum kw_status write_orders(struct kw_arena *a, const char *folder, int kits,
                                   uint64_t *random, struct kw_error *err) {
    struct kw_text out = {0};
    kw_text_add(&out, "order,kit,part,count,due\n");
    for (int i = 1; i <= kits; i++)
        kw_text_addf(&out, "%d,kit-%03d,,%d,2026-12-%02d\n", 1000 + i, i,
                     bench_random_count(random, 1, 3), bench_random_count(random, 1, 5));
    enum kw_status s = kw_write_file(kw_format(a, "%s/orders.csv", folder), out.s, out.length, err);
    kw_text_free(&out);
    return s;
}

enum kw_status plan_shop_write(const char *folder, int kits, int parts, uint64_t seed,
                               struct kw_error *err) {
    struct kw_arena a = {0};
    uint64_t random = seed;
    enum kw_status s = kw_make_folder(kw_format(&a, "%s/kits", folder), err);
    if (s == KW_OK)
        s = kw_write_file(kw_format(&a, "%s/shop.yaml", folder), plan_shop_text,
                          (size_t)(plan_shop_text_end - plan_shop_text), err);
    for (int i = 1; s == KW_OK && i <= kits; i++)
        s = write_kit(folder, i, parts, &random, err);
    if (s == KW_OK) s = write_orders(&a, folder, kits, &random, err);
    kw_arena_free(&a);
    return s;
}
