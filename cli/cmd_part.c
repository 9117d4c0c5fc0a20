// SPDX-License-Identifier: Apache-2.0
// part: one part as a person can check it with a tape.
#include "cli.h"

#include <string.h>

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
    if (what->body) {
        struct kw_box2 box = kw_path_box(&what->body->blank.outer);
        kw_json_key(&j, "blank");
        kw_json_open_inline(&j, '[');
        kw_json_number(&j, box.max.x - box.min.x, 6);
        kw_json_number(&j, box.max.y - box.min.y, 6);
        kw_json_close(&j);
        kw_json_key_number(&j, "area", what->body->area, 6);
    }
    if (what->tube) kw_json_key_number(&j, "cut_length", what->cut_length, 6);
    kw_packet_findings_json(&j, findings);
    kw_json_close(&j);
    return cli_print(&out);
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
