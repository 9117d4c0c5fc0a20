// SPDX-License-Identifier: Apache-2.0
// A small shop made in memory, kits from texts, drawings from short words.
#pragma once

#include "kit/kit.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static inline struct kw_shop *kit_shop(void) {
    static struct kw_material materials[] = {
        {.name = "hot-rolled", .family = KW_STEEL, .density = 7850},
        {.name = "galvanised", .family = KW_GALVANISED, .density = 7850}};
    static struct kw_hardware hardware[] = {{.name = "hex bolt 3/8-16 x 1"},
                                            {.name = "flange nut 3/8-16"}};
    static const char *cut[] = {"CUT", "OUTLINE"}, *up[] = {"BEND_UP"}, *down[] = {"BEND_DOWN"},
                      *mark[] = {"MARK"}, *ignore[] = {"NOTES"};
    static struct kw_shop shop = {.name = "test",
                                  .units = KW_IN,
                                  .materials = {materials, 2},
                                  .hardware = {hardware, 2},
                                  .layers = {.cut = {cut, 2},
                                             .bend_up = {up, 1},
                                             .bend_down = {down, 1},
                                             .mark = {mark, 1},
                                             .ignore = {ignore, 1}}};
    return &shop;
}

// A folder of its own for one test, removed by kit_folder_remove.
static inline char *kit_folder(void) {
    static char path[64];
    (void)snprintf(path, sizeof path, "/tmp/kw-kit-XXXXXX");
    cr_assert(mkdtemp(path) != NULL);
    char sub[96];
    (void)snprintf(sub, sizeof sub, "%s/kits", path);
    cr_assert_eq(kw_make_folder(sub, NULL), KW_OK);
    (void)snprintf(sub, sizeof sub, "%s/drawings", path);
    cr_assert_eq(kw_make_folder(sub, NULL), KW_OK);
    return path;
}

static inline void kit_put(const char *folder, const char *file, const char *text) {
    char path[200];
    (void)snprintf(path, sizeof path, "%s/%s", folder, file);
    cr_assert_eq(kw_write_file(path, text, strlen(text), NULL), KW_OK);
}

// Reads one kit text (with drawings/side.dxf when `drawing` is given); NULL when it is refused, the
// reason as "line:column: text" in `why`.
static inline struct kw_kit *kit_of(struct kw_arena *a, const char *text, const char *drawing,
                                    char why[static 900]) {
    char *folder = kit_folder();
    kit_put(folder, "kits/k.yaml", text);
    if (drawing) kit_put(folder, "drawings/side.dxf", drawing);
    struct kw_error err = {0};
    struct kw_kit *kit = NULL;
    why[0] = 0;
    if (kw_kit_read(a, kit_shop(), folder, "kits/k.yaml", NULL, &kit, &err) != KW_OK) {
        kw_error_line(&err, why, 900);
        kit = NULL;
    }
    cr_assert_eq(kw_remove_folder(folder, NULL), KW_OK);
    return kit;
}

// A drawing from words "code value code value ...", between the lines that every drawing has;
// units as $INSUNITS, -1: without a header.
static inline char *dxf_of(struct kw_arena *a, int units, const char *words) {
    struct kw_text t = {0};
    if (units >= 0) {
        kw_text_addf(&t, "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n%d\n0\nENDSEC\n", units);
    }
    kw_text_add(&t, "0\nSECTION\n2\nENTITIES\n");
    char *copy = kw_copy_text(a, words, strlen(words));
    for (char *w = strtok(copy, " "); w; w = strtok(NULL, " "))
        kw_text_addf(&t, "%s\n", w);
    kw_text_add(&t, "0\nENDSEC\n0\nEOF\n");
    char *out = kw_copy_text(a, t.s, t.length);
    kw_text_free(&t);
    return out;
}

// Parses; "" when fine, else the message as "line: text".
static inline const char *dxf_read_text(struct kw_arena *a, const char *text,
                                        struct kw_drawing *d) {
    struct kw_error err = {0};
    static char why[900];
    why[0] = 0;
    if (kw_dxf_parse(a, &kit_shop()->layers, "d.dxf", text, strlen(text), KW_IN, d, &err) !=
        KW_OK) {
        kw_error_line(&err, why, sizeof why);
    }
    return why;
}
