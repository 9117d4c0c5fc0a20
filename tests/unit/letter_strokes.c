// SPDX-License-Identifier: Apache-2.0
// Letters of single strokes, letters out of installed faces, and the bridges that hold islands.
// Expected areas: integrals of circles; capital heights: the face's own letter H.
#include "letter/letter.h"

#include <criterion/criterion.h>
#include <string.h>

static struct kw_box2 box_of(const struct kw_path *v, int count) {
    struct kw_box2 b = kw_path_box(&v[0]);
    for (int i = 1; i < count; i++) {
        struct kw_box2 c = kw_path_box(&v[i]);
        b.min = kw_v2(fmin(b.min.x, c.min.x), fmin(b.min.y, c.min.y));
        b.max = kw_v2(fmax(b.max.x, c.max.x), fmax(b.max.y, c.max.y));
    }
    return b;
}

Test(letter_strokes, every_letter_has_strokes_on_its_line) {
    struct kw_arena a = {0};
    char one[2] = {0};
    for (char c = '!'; c <= '~'; c++) {
        one[0] = c;
        int count;
        double width;
        struct kw_path *v = kw_letter_strokes(&a, one, 12, &count, &width);
        cr_assert_gt(count, 0, "%c", c);
        struct kw_box2 b = box_of(v, count);
        cr_expect_float_eq(b.min.x, 0, 1e-9, "%c begins at %g", c, b.min.x);
        cr_expect_float_eq(b.max.x, width, 1e-9, "%c", c);
        cr_expect(b.max.y <= 12 + 1e-9 && b.min.y >= -4 - 1e-9, "%c", c);
        bool capital = (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (capital) cr_expect(b.max.y == 12 && b.min.y == 0, "%c", c);
        for (int i = 0; i < count; i++)
            cr_expect(v[i].open && v[i].count >= 2, "%c", c);
    }
    kw_arena_free(&a);
}

Test(letter_strokes, letters_stand_apart) {
    struct kw_arena a = {0};
    int count, ac, bc;
    double width, aw, bw;
    (void)kw_letter_strokes(&a, "A", 6, &ac, &aw);
    (void)kw_letter_strokes(&a, "B", 6, &bc, &bw);
    struct kw_path *v = kw_letter_strokes(&a, "AB", 6, &count, &width);
    cr_expect_eq(count, ac + bc);
    cr_expect_float_eq(width, aw + 1.6 + bw, 1e-9);
    struct kw_box2 first = box_of(v, ac), second = box_of(v + ac, bc);
    cr_expect_gt(second.min.x, first.max.x + 1);
    kw_arena_free(&a);
}

// Area under a half circle of radius r between -h and h.
static double under_circle(double r, double h) {
    return h * sqrt(r * r - h * h) + r * r * asin(h / r);
}

Test(letter_strokes, a_ring_is_held_by_two_bridges) {
    struct kw_arena a = {0};
    struct kw_region ring = {.outer = kw_path_circle(&a, 5, 3, 10, true, 0)};
    KW_PUSH(&a, ring.holes, ring.hole_count) = kw_path_circle(&a, 5, 3, 6, false, 0);
    int count;
    struct kw_opening_state state;
    struct kw_path *v = kw_letter_bridged(&a, &ring, 1, 2, &count, &state);
    cr_assert_eq(count, 2);
    double area = 0;
    for (int i = 0; i < count; i++) {
        struct kw_error err = {0};
        struct kw_path p = kw_path_oriented(&a, &v[i], true);
        cr_expect_eq(kw_path_check(&p, (struct kw_place){0}, &err), KW_OK, "%s", err.text);
        cr_expect_lt(kw_path_area(&v[i]), 0.0, "openings run clockwise");
        area += kw_path_area(&p);
    }
    double strip = under_circle(10, 1) - under_circle(6, 1);
    cr_expect_float_eq(area, KW_PI * (100 - 36) - 2 * strip, 1e-6);
    cr_expect_float_eq(state.least_web, 2, 1e-6);
    cr_expect_float_eq(state.least_stroke, 4, 0.05);
    kw_arena_free(&a);
}

Test(letter_strokes, islands_side_by_side_hold_on_to_what_is_held) {
    struct kw_arena a = {0};
    struct kw_region plate = {.outer = kw_path_box_outline(&a, 0, 0, 60, 20, 0)};
    for (int i = 0; i < 3; i++) {
        struct kw_path hole = kw_path_box_outline(&a, 5 + 20 * i, 5, 15 + 20 * i, 15, 0);
        KW_PUSH(&a, plate.holes, plate.hole_count) = kw_path_oriented(&a, &hole, false);
    }
    int count;
    struct kw_opening_state state;
    struct kw_path *v = kw_letter_bridged(&a, &plate, 1, 3, &count, &state);
    cr_assert_eq(count, 4, "three islands by two bridges each part the opening in four, got %d",
                 count);
    double area = 0;
    for (int i = 0; i < count; i++)
        area -= kw_path_area(&v[i]);
    cr_expect_float_eq(area, 60 * 20 - 300 - 6 * 3 * 5, 1e-6);
    kw_arena_free(&a);
}

Test(letter_strokes, a_bridge_is_no_wider_than_its_island) {
    struct kw_arena a = {0};
    struct kw_region ring = {.outer = kw_path_circle(&a, 0, 0, 10, true, 0)};
    KW_PUSH(&a, ring.holes, ring.hole_count) = kw_path_circle(&a, 0, 0, 6, false, 0);
    int count;
    struct kw_opening_state state;
    cr_assert(kw_letter_bridged(&a, &ring, 1, 13, &count, &state));
    cr_expect_eq(count, 1, "one bridge: the island is smaller than three");
    kw_arena_free(&a);
    ring = (struct kw_region){.outer = kw_path_circle(&a, 0, 0, 40, true, 0)};
    KW_PUSH(&a, ring.holes, ring.hole_count) = kw_path_circle(&a, 0, 0, 6, false, 0);
    cr_assert(kw_letter_bridged(&a, &ring, 1, 5, &count, &state));
    cr_expect_eq(count, 2);
    cr_expect_float_eq(state.least_web, 5, 1e-6);
    kw_arena_free(&a);
}

Test(letter_face, letters_of_an_installed_face) {
    struct kw_arena a = {0};
    struct kw_region *r;
    struct kw_error err = {0};
    int count;
    double width;
    cr_assert_eq(kw_letter_outlines(&a, "H", "DejaVu Sans Bold", 50, 0.02, (struct kw_place){0}, &r,
                                    &count, &width, &err),
                 KW_OK, "%s", err.text);
    cr_assert_eq(count, 1);
    struct kw_box2 b = kw_path_box(&r[0].outer);
    cr_expect_float_eq(b.max.y - b.min.y, 50, 1e-9);
    cr_expect_eq(r[0].outer.count, 12, "H has twelve corners");
    cr_assert_eq(kw_letter_outlines(&a, "BOG8", "DejaVu Sans", 50, 0.02, (struct kw_place){0}, &r,
                                    &count, &width, &err),
                 KW_OK, "%s", err.text);
    cr_assert_eq(count, 4);
    cr_expect(r[0].hole_count == 2 && r[1].hole_count == 1 && r[2].hole_count == 0 &&
              r[3].hole_count == 2);
    for (int i = 0; i < count; i++) {
        cr_expect_gt(kw_path_area(&r[i].outer), 0.0);
        cr_expect_lt(kw_path_box(&r[i].outer).max.x, width);
    }
    kw_arena_free(&a);
}

Test(letter_face, cut_through_letters_are_held_together) {
    struct kw_arena a = {0};
    struct kw_region *r;
    struct kw_error err = {0};
    int count, openings;
    struct kw_opening_state state;
    static const char *const faces[] = {"DejaVu Sans", "DejaVu Sans Bold", "DejaVu Serif"};
    static const char *const texts[] = {"ABDOPQR", "GARDEN 4689", "abdegopq&@%"};
    for (int f = 0; f < 3; f++)
        for (int t = 0; t < 3; t++) {
            cr_assert_eq(kw_letter_outlines(&a, texts[t], faces[f], 60, 0.02, (struct kw_place){0},
                                            &r, &count, NULL, &err),
                         KW_OK, "%s %s: %s", faces[f], texts[t], err.text);
            struct kw_path *v = kw_letter_bridged(&a, r, count, 2, &openings, &state);
            cr_assert(v, "%s %s", faces[f], texts[t]);
            double whole = 0, left = 0;
            for (int i = 0; i < count; i++)
                whole += kw_region_area(&r[i]);
            for (int i = 0; i < openings; i++) {
                struct kw_path p = kw_path_oriented(&a, &v[i], true);
                cr_expect_eq(kw_path_check(&p, (struct kw_place){0}, &err), KW_OK, "%s %s: %s",
                             faces[f], texts[t], err.text);
                left += kw_path_area(&p);
                for (int k = 0; k < openings; k++) // no opening lies in another
                    cr_expect(k == i || !kw_path_contains(&p, kw_v2(v[k].v[0].x, v[k].v[0].y)));
            }
            cr_expect(left < whole && left > 0.8 * whole, "%g of %g", left, whole);
        }
    kw_arena_free(&a);
}

Test(letter_face, a_face_that_is_not_there_is_never_replaced) {
    struct kw_arena a = {0};
    struct kw_region *r;
    struct kw_error err = {0};
    int count;
    cr_expect_eq(kw_letter_outlines(&a, "A", "No Such Face", 50, 0.02, (struct kw_place){0}, &r,
                                    &count, NULL, &err),
                 KW_MISSING);
    err = (struct kw_error){0};
    cr_expect_eq(kw_letter_outlines(&a, "\xE4\xB8\xAD", "DejaVu Sans Mono", 50, 0.02,
                                    (struct kw_place){0}, &r, &count, NULL, &err),
                 KW_FORMAT);
    kw_arena_free(&a);
}
