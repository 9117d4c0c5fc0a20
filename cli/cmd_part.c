// SPDX-License-Identifier: Apache-2.0
// part: one part as a person can check it with a tape.
#include "cli.h"

#include <stdio.h>
#include <string.h>

static void print_drawing(struct kw_json *j, const struct kw_part *part) {
    kw_json_key(j, "drawing");
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "file", part->flat);
    kw_json_key_count(j, "joined", part->drawn_joined);
    kw_json_key_count(j, "dropped", part->drawn_dropped);
    kw_json_key_count(j, "passed_over", part->drawn_ignored);
    kw_json_close(j);
}

static void print_bends(struct kw_json *j, const struct kw_body *body) {
    kw_json_key_number(j, "thickness", body->thickness, 6);
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "id", b->id);
        kw_json_key_text(j, "toward", b->way == KW_UP ? "up" : "down");
        kw_json_key_number(j, "angle", b->angle * 180 / KW_PI, 6);
        kw_json_key_number(j, "radius", b->radius, 6);
        kw_json_key_number(j, "allowance", b->allowance, 6);
        kw_json_key_text(j, "source", b->source);
        kw_json_key_number(j, "length", b->length, 6);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static int print_part(const struct cli_args *args, const struct kw_shop *shop,
                      const struct kw_examined *what, const struct kw_findings *findings) {
    struct kw_text out = {0};
    if (!args->json) {
        kw_packet_print_part(shop, what, &out);
        kw_packet_print_findings(findings, &out);
        return cli_print(&out);
    }
    struct kw_json j = {.out = &out};
    struct kw_vec3 size = kw_sub3(what->box.max, what->box.min);
    kw_json_open(&j, '{');
    kw_json_key_text(&j, "part", what->part->name);
    kw_json_key_text(&j, "code", what->part->code);
    kw_json_key_number(&j, "mass", what->mass, 6);
    kw_json_key(&j, "finished");
    kw_json_open_inline(&j, '[');
    kw_json_number(&j, size.x, 6);
    kw_json_number(&j, size.y, 6);
    kw_json_number(&j, size.z, 6);
    kw_json_close(&j);
    if (what->part->flat) print_drawing(&j, what->part);
    if (what->body) {
        struct kw_box2 box = kw_path_box(&what->body->blank.outer);
        kw_json_key(&j, "blank");
        kw_json_open_inline(&j, '[');
        kw_json_number(&j, box.max.x - box.min.x, 6);
        kw_json_number(&j, box.max.y - box.min.y, 6);
        kw_json_close(&j);
        kw_json_key_number(&j, "area", what->body->area, 6);
        print_bends(&j, what->body);
    }
    if (what->tube) kw_json_key_number(&j, "cut_length", what->cut_length, 6);
    kw_packet_findings_json(&j, findings);
    kw_json_close(&j);
    return cli_print(&out);
}

/// Mesh steps of 5 degrees: a bend of 10 mm outside radius within 0.01 mm.
#define MESH_STEP (5 * KW_PI / 180)

static int write_text(const char *path, struct kw_text *text) {
    struct kw_error err = {0};
    if (!path) return 0;
    enum kw_status s = kw_write_file(path, text->s ? text->s : "", text->length, &err);
    kw_text_free(text);
    return s == KW_OK ? 0 : cli_fail(&err);
}

static int write_meshes(const struct cli_args *args, struct kw_arena *a,
                        const struct kw_examined *what) {
    struct kw_mesh mesh = {0};
    struct kw_text glb = {0}, stl = {0};
    const char *name = kw_format(a, "%s/%s", what->kit->name, what->part->name);
    if (!args->glb && !args->stl) return 0;
    if (!kw_body_mesh(a, what->body, 1, MESH_STEP, &mesh)) {
        struct kw_error err = {0};
        (void)kw_fail(&err, KW_JUDGE, what->part->node->at, "the body of %s makes no mesh", name);
        return cli_fail(&err);
    }
    if (args->glb) kw_packet_glb(&mesh, name, &glb);
    if (args->stl) kw_packet_stl(&mesh, name, &stl);
    int code = write_text(args->glb, &glb);
    int other = write_text(args->stl, &stl);
    return code ? code : other;
}

/// The files that the options ask for; what is sold left and right is written as described, left.
static int write_files(const struct cli_args *args, struct kw_arena *a, const struct kw_shop *shop,
                       const struct kw_examined *what) {
    struct kw_text svg = {0}, dxf = {0};
    if (!args->svg && !args->dxf && !args->glb && !args->stl) return 0;
    if (what->part->stock.kind != KW_SHEET) {
        return cli_usage("part: %s/%s is no sheet part: --svg, --dxf, --glb and --stl are of "
                         "blanks and folded sheet",
                         what->kit->name, what->part->name);
    }
    if (!what->body) {
        fprintf(stderr, "kitwright: %s/%s has no blank, nothing was written\n", what->kit->name,
                what->part->name);
        return 0; // the finding says why, and the exit status is its own
    }
    if (args->svg) kw_packet_blank_svg(shop, what, false, &svg);
    if (args->dxf) kw_packet_blank_dxf(shop, what, false, &dxf);
    int code = write_text(args->svg, &svg), other = write_text(args->dxf, &dxf);
    int meshes = write_meshes(args, a, what);
    return code ? code : other ? other : meshes;
}

static int show(const struct cli_args *args, struct cli_shop *s, const char *kit_name,
                const char *part_name) {
    struct kw_kit *kit = kw_kits_find(&s->kits, kit_name);
    struct kw_part *part = kit ? kw_kit_part(kit, part_name) : NULL;
    if (!part) return cli_usage("no part \"%s/%s\" in %s", kit_name, part_name, s->folder);
    struct kw_findings all = {.arena = &s->arena}, mine = {.arena = &s->arena};
    struct kw_examined *examined;
    int count;
    kw_check_kit(&s->arena, s->shop, kit, &all, &examined, &count);
    for (int i = 0; i < all.count; i++) {
        if (all.v[i].part && strcmp(all.v[i].part, part_name) == 0) kw_find(&mine, all.v[i]);
    }
    kw_findings_sort(&mine);
    for (int i = 0; i < count; i++) {
        if (examined[i].part != part) continue;
        int code = print_part(args, s->shop, &examined[i], &mine);
        if (code == 0) code = write_files(args, &s->arena, s->shop, &examined[i]);
        return code ? code : kw_findings_at_level(&mine, KW_STOP, false) > 0;
    }
    return cli_usage("no part \"%s/%s\" in %s", kit_name, part_name, s->folder);
}

int cmd_part(const struct cli_args *args) {
    if (args->word_count < 1) return cli_usage("part: expected KIT/PART");
    char kit[64];
    const char *word = args->words[args->word_count - 1], *slash = strchr(word, '/');
    if (!slash || slash - word >= (int)sizeof kit) {
        return cli_usage("part: expected KIT/PART, got \"%s\"", word);
    }
    memcpy(kit, word, (size_t)(slash - word));
    kit[slash - word] = 0;
    struct cli_shop s = {0};
    struct kw_error err = {0};
    const char *folder = args->dir ? args->dir : args->word_count > 1 ? args->words[0] : ".";
    enum kw_status status = cli_read(&s, folder, false, &err);
    int code = status == KW_OK ? show(args, &s, kit, slash + 1) : cli_fail(&err);
    cli_free(&s);
    return code;
}
