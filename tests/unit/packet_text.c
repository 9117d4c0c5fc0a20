// SPDX-License-Identifier: Apache-2.0
// Text on papers is made to fit its room. Cutting it once looped for ever: the two dots put at the
// end were taken for text and cut again.
#include "packet/paper.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

struct seen {
    struct kw_draw inner;
    double height;
    char text[300];
};

static void note_text(void *user, double x, double y, double height, enum kw_align align, bool bold,
                      double turn, struct kw_colour colour, const char *text) {
    struct seen *s = user;
    (void)x, (void)y, (void)align, (void)bold, (void)turn, (void)colour;
    s->height = height;
    snprintf(s->text, sizeof s->text, "%s", text);
}
static double width_inside(void *user, double height, bool bold, const char *text) {
    struct seen *s = user;
    return s->inner.text_width(s->inner.user, height, bold, text);
}

Test(packet_text, is_made_smaller_and_then_cut_until_it_fits) {
    struct kw_arena scratch = {0};
    struct kw_svg *svg = kw_svg_begin(100, 100);
    struct seen seen = {.inner = kw_svg_draw(svg)};
    struct paper p = {.scratch = &scratch,
                      .draw = {.user = &seen, .text = note_text, .text_width = width_inside}};
    static const char *const texts[] = {"bend left-edge: outside leg, 30.0 deg turned",
                                        "Gr\xC3\xB6\xC3\x9F \xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC",
                                        "J7", ""};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        for (double width = 1; width < 120; width *= 1.7) {
            paper_fit(&p, 0, 0, width, 3, false, texts[i]);
            double w = width_inside(&seen, seen.height, false, seen.text);
            cr_expect(w <= width * 1.021 || strlen(seen.text) <= 4, "%s in %f", seen.text, width);
            cr_expect(seen.height >= PAPER_SMALL - 1e-9);
            cr_expect(kw_is_utf8(seen.text, strlen(seen.text), NULL));
        }
        cr_expect_str_eq(seen.text, texts[i]); // whole, where there is room
    }
    struct kw_text out = {0};
    kw_svg_end(svg, &out);
    kw_text_free(&out);
    kw_arena_free(&scratch);
}
