// SPDX-License-Identifier: Apache-2.0
// check: every kit of the folder (or one) against this shop.
#include "cli.h"

#include <string.h>
#include <sys/stat.h>

// `check DIR`, `check DIR KIT`, `check KIT` (in the folder itself).
static void folder_and_kit(const struct cli_args *args, const char **folder, const char **kit) {
    struct stat st;
    *folder = cli_folder(args, 4);
    *kit = NULL;
    int next = 0;
    if (!args->dir && args->word_count > 0) {
        bool is_folder = stat(args->words[0], &st) == 0 && S_ISDIR(st.st_mode);
        if (is_folder || args->word_count > 1 || strchr(args->words[0], '/'))
            *folder = args->words[next++];
    }
    if (next < args->word_count) *kit = args->words[next];
}

static int print_json(const struct kw_findings *findings) {
    struct kw_text out = {0};
    struct kw_json j = {.out = &out};
    kw_json_open(&j, '{');
    kw_packet_findings_json(&j, findings);
    kw_json_close(&j);
    return cli_print(&out);
}

int cmd_check(const struct cli_args *args) {
    struct cli_shop s = {0};
    struct kw_error err = {0};
    const char *folder, *name;
    folder_and_kit(args, &folder, &name);
    enum kw_status status = cli_read(&s, folder, true, &err);
    if (status != KW_OK) {
        cli_free(&s);
        return cli_fail(&err);
    }
    if (name && !kw_kits_find(&s.kits, name)) {
        cli_free(&s);
        return cli_usage("no kit \"%s\" in %s/kits", name, folder);
    }
    struct kw_findings findings = {.arena = &s.arena};
    int count = 0;
    struct kw_kit **kits = KW_NEW_ARRAY(&s.arena, struct kw_kit *, s.kits.count ? s.kits.count : 1);
    for (int i = 0; i < s.kits.count; i++)
        if (!name || strcmp(s.kits.v[i]->name, name) == 0) kits[count++] = s.kits.v[i];
    int parts = kw_check_findings(&s.arena, s.shop, kits, count, kw_team_cores(), &findings);
    kw_findings_sort(&findings);
    int stops = kw_findings_at_level(&findings, KW_STOP, false), code;
    if (args->json) {
        code = print_json(&findings);
    } else {
        struct kw_text out = {0};
        kw_packet_print_findings(&findings, &out);
        kw_text_addf(&out, "%d parts checked against %s\n", parts, s.shop->name);
        code = cli_print(&out);
    }
    cli_free(&s);
    return code ? code : stops > 0;
}
