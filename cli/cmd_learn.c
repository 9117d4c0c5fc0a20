// SPDX-License-Identifier: Apache-2.0
// learn: what the shop's test pieces say of bend allowance and springback.
#include "cli.h"
#include "coupon/coupon.h"

#include <string.h>
#include <sys/stat.h>

// `learn`, `learn DIR`, `learn FILE`, `learn DIR FILE`: a file's shop is the folder it is in.
static const char *file_of(struct kw_arena *a, const struct cli_args *args, const char **folder) {
    struct stat st;
    const char *word = args->word_count > 0 ? args->words[args->word_count - 1] : NULL;
    bool is_file = word && !(stat(word, &st) == 0 && S_ISDIR(st.st_mode));
    *folder = args->dir ? args->dir : args->word_count > 1 || !is_file ? cli_folder(args, 0) : NULL;
    if (!is_file) return kw_format(a, "%s/coupons.csv", *folder);
    const char *slash = strrchr(word, '/');
    if (!*folder) *folder = slash ? kw_copy_text(a, word, (size_t)(slash - word)) : ".";
    return word;
}

int cmd_learn(const struct cli_args *args) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop *shop;
    struct kw_coupons coupons;
    const char *folder, *file = file_of(&a, args, &folder);
    enum kw_status s = kw_shop_read(&a, folder, &shop, &err);
    if (s == KW_OK) s = kw_coupons_read(&a, shop, file, true, &coupons, &err);
    int code;
    if (s == KW_OK) {
        struct kw_text out = {0};
        struct kw_lessons lessons = kw_coupons_learn(&a, shop, &coupons);
        if (args->json)
            kw_lessons_json(shop, &coupons, &lessons, &out);
        else
            kw_lessons_print(shop, &coupons, &lessons, &out);
        code = cli_print(&out);
    } else {
        code = cli_fail(&err);
    }
    kw_arena_free(&a);
    return code;
}
