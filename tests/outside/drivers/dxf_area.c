// SPDX-License-Identifier: Apache-2.0
// Reads drawings and prints one line each: area in mm2, length of all outlines in mm, holes, bend
// lines, width, height; or "refused" with the reason. Layers as in dxf_ezdxf.py.
#include "kit/kit.h"

#include <stdio.h>

static double all_outlines(const struct kw_region *r) {
    double sum = kw_path_length(&r->outer);
    for (int i = 0; i < r->hole_count; i++)
        sum += kw_path_length(&r->holes[i]);
    return sum;
}

int main(int argc, char **argv) {
    static const char *cut[] = {"CUT", "HOLES"}, *up[] = {"BEND_UP"}, *notes[] = {"NOTES"};
    struct kw_shop shop = {.layers = {.cut = {cut, 2}, .bend_up = {up, 1}, .ignore = {notes, 1}}};
    for (int i = 1; i < argc; i++) {
        struct kw_arena a = {0};
        struct kw_error err = {0};
        struct kw_drawing d;
        struct kw_place nobody = {0};
        if (kw_dxf_read(&a, &shop, argv[i], nobody, KW_MM, &d, &err) == KW_OK) {
            printf("%.17g %.17g %d %d %.17g %.17g\n", kw_region_area(&d.region),
                   all_outlines(&d.region), d.region.hole_count, d.bends.count, d.width, d.height);
        } else {
            char line[900];
            kw_error_line(&err, line, sizeof line);
            printf("refused %s\n", line);
        }
        kw_arena_free(&a);
    }
    return 0;
}
