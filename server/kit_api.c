// SPDX-License-Identifier: Apache-2.0
// One kit: look at it, with or without writing.
#include "server/inside.h"

#include <string.h>

/// The wish of a request for the kit that its path names; false: answered.
static bool read_wish(struct call *c, struct look_wish *wish) {
    struct kw_error err = {0};
    char *bytes;
    uint64_t hash;
    wish->kit = c->parts[0];
    wish->size = target_query(&c->target, "size");
    wish->with = target_query(&c->target, "with");
    if (wish->size && !*wish->size) wish->size = NULL;
    const char *file = kw_format(&c->arena, "kits/%s.yaml", wish->kit);
    enum kw_status s = folder_read(&c->arena, c->server, file, KW_YAML_MOST_BYTES, &bytes,
                                   &wish->length, &hash, &err);
    if (s != KW_OK) answer_error(c->response, status_of(&err), &err);
    wish->text = bytes;
    return s == KW_OK;
}

HANDLER(get_kit) {
    struct look_wish wish = {0};
    if (!read_wish(c, &wish)) return;
    struct look *look = look_take(c->server, &wish);
    look_answer(c, look, true);
    look_drop(c->server, look);
}
