// SPDX-License-Identifier: Apache-2.0
// Any bytes as an SVG drawing: refused with a place, or an outline that holds what the header
// promises.
#include "fuzz/drawing.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static const char *cut[] = {"c", "black"}, *up[] = {"u", "#00f"}, *down[] = {"d"},
                      *mark[] = {"m"}, *ignore[] = {"i"};
    struct kw_shop shop = {.layers = {.cut = {cut, 2},
                                      .bend_up = {up, 2},
                                      .bend_down = {down, 1},
                                      .mark = {mark, 1},
                                      .ignore = {ignore, 1}}};
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_drawing d;
    enum kw_status s =
        kw_svg_parse(&a, &shop.layers, "fuzz.svg", (const char *)data, size, &d, &err);
    if (s == KW_OK) {
        check_drawing(&d);
    } else {
        kw_assert(kw_exit_code(s) == 2 && err.status == s && err.text[0] && err.at.file);
    }
    kw_arena_free(&a);
    return 0;
}
