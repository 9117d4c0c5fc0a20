// SPDX-License-Identifier: Apache-2.0
// Reads drawings and prints one line each: area in mm2, length of all outlines in mm, holes, bend
// lines, width, height; or "refused" with the reason. With --outlines first, each line is followed
// by one a loop: its vertices x,y,bulge. Layers as in dxf_ezdxf.py.
#include "kit/kit.h"

#include <stdio.h>
#include <string.h>

static double all_outlines(const struct kw_region *r) {
    double sum = kw_path_length(&r->outer);
    for (int i = 0; i < r->hole_count; i++)
        sum += kw_path_length(&r->holes[i]);
    return sum;
}

static void print_loop(const struct kw_path *p) {
    for (int i = 0; i < p->count; i++)
        printf("%s%.12g,%.12g,%.12g", i ? " " : "", p->v[i].x, p->v[i].y, p->v[i].bulge);
    printf("\n");
}

static void print_drawing(const struct kw_drawing *d, bool outlines) {
    printf("%.17g %.17g %d %d %.17g %.17g\n", kw_region_area(&d->region), all_outlines(&d->region),
           d->region.hole_count, d->bends.count, d->width, d->height);
    if (!outlines) return;
    print_loop(&d->region.outer);
    for (int i = 0; i < d->region.hole_count; i++)
        print_loop(&d->region.holes[i]);
}

static enum kw_status read_drawing(struct kw_arena *a, const char *path, struct kw_drawing *d,
                                   struct kw_error *err) {
    static const char *cut[] = {"CUT", "HOLES"}, *up[] = {"BEND_UP"}, *down[] = {"BEND_DOWN"},
                      *mark[] = {"MARK"}, *notes[] = {"NOTES"};
    struct kw_shop shop = {.layers = {.cut = {cut, 2},
                                      .bend_up = {up, 1},
                                      .bend_down = {down, 1},
                                      .mark = {mark, 1},
                                      .ignore = {notes, 1}}};
    struct kw_place nobody = {0};
    char *bytes;
    size_t length, n = strlen(path);
    if (n < 4 || strcmp(path + n - 4, ".svg") != 0)
        return kw_dxf_read(a, &shop.layers, path, nobody, KW_MM, d, err);
    enum kw_status s = kw_read_file(a, path, KW_SVG_MOST_BYTES, nobody, &bytes, &length, err);
    return s == KW_OK ? kw_svg_parse(a, &shop.layers, path, bytes, length, d, err) : s;
}

int main(int argc, char **argv) {
    bool outlines = argc > 1 && strcmp(argv[1], "--outlines") == 0;
    for (int i = outlines ? 2 : 1; i < argc; i++) {
        struct kw_arena a = {0};
        struct kw_error err = {0};
        struct kw_drawing d;
        if (read_drawing(&a, argv[i], &d, &err) == KW_OK) {
            print_drawing(&d, outlines);
        } else {
            char line[900];
            kw_error_line(&err, line, sizeof line);
            printf("refused %s\n", line);
        }
        kw_arena_free(&a);
    }
    return 0;
}
