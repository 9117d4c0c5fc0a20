// SPDX-License-Identifier: Apache-2.0
// A torch program of a run as its reader follows it.
#include "server/planning.h"
#include "verify/verify.h"

#include <string.h>

#define MOST_RUN     ((size_t)256 << 20)
#define MOST_PROGRAM ((size_t)64 << 20)

json_t *run_json(struct call *c) {
    struct kw_error err = {0};
    json_error_t why;
    char *bytes;
    size_t length;
    uint64_t hash;
    json_t *run = NULL;
    if (!plain_run_name(c->parts[0])) {
        answer_says(c->response, 404, "no such run");
        return NULL;
    }
    const char *file = kw_format(&c->arena, "runs/%s/run.json", c->parts[0]);
    if (folder_read(&c->arena, c->server, file, MOST_RUN, &bytes, &length, &hash, &err) != KW_OK) {
        answer_error(c->response, status_of(&err), &err);
        return NULL;
    }
    run = json_loadb(bytes, length, 0, &why);
    if (!json_is_object(run)) {
        json_decref(run);
        answer_says(c->response, 500, "run.json can't be read: line %d: %s", why.line, why.text);
        return NULL;
    }
    return run;
}

json_t *row_named(const json_t *list, const char *key, const char *name) {
    size_t i;
    json_t *row;
    json_array_foreach(list, i, row) {
        const char *is = json_string_value(json_object_get(row, key));
        if (is && strcmp(is, name) == 0) return row;
    }
    return NULL;
}

/// The controller's words as run.json tells them.
static struct kw_backplot_words words_of(struct kw_arena *a, const json_t *sheet) {
    const json_t *c = json_object_get(sheet, "controller"), *lines = json_object_get(c, "lines");
    size_t n = json_array_size(lines);
    const char **v = KW_NEW_ARRAY(a, const char *, n + 1);
    int count = 0;
    for (size_t i = 0; i < n; i++) {
        const char *line = json_string_value(json_array_get(lines, i));
        if (line) v[count++] = line;
    }
    return (struct kw_backplot_words){.torch_on = json_string_value(json_object_get(c, "torch_on")),
                                      .torch_off =
                                          json_string_value(json_object_get(c, "torch_off")),
                                      .lines = v,
                                      .line_count = count};
}

static void put_moves(struct kw_json *j, const struct kw_torch_move *v, int count) {
    double t = 0;
    const char *block = "";
    kw_json_key(j, "moves");
    kw_json_open(j, '[');
    for (int i = 0; i < count; i++) {
        const struct kw_torch_move *m = &v[i];
        t += m->wait;
        kw_json_open(j, '{');
        if (i == 0) put_point(j, "from", m->from, 2, 4);
        put_point(j, "to", m->to, 2, 4);
        if (m->way)
            put_point(j, "center", m->centre, 2, 4);
        else
            put_null(j, "center");
        kw_json_key_count(j, "way", m->way);
        put_truth(j, "cut", m->cut);
        if (m->etch) put_truth(j, "etch", true);
        if (m->wait > 0) kw_json_key_number(j, "wait", m->wait, 3);
        t += m->seconds;
        kw_json_key_number(j, "t", t, 3);
        kw_json_key_count(j, "line", m->line);
        if (m->block && strcmp(m->block, block) != 0) kw_json_key_text(j, "block", m->block);
        if (m->block) block = m->block;
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_key_number(j, "seconds", t, 3);
}

static void answer_torch(struct call *c, const json_t *sheet) {
    struct kw_error err = {0};
    char *bytes;
    size_t length;
    uint64_t hash;
    struct kw_torch_move *v;
    int count;
    const char *program = json_string_value(json_object_get(sheet, "program"));
    if (!program || strstr(program, "..")) {
        answer_says(c->response, 404, "no program of this sheet");
        return;
    }
    const char *file = kw_format(&c->arena, "runs/%s/%s", c->parts[0], program);
    enum kw_status s =
        folder_read(&c->arena, c->server, file, MOST_PROGRAM, &bytes, &length, &hash, &err);
    struct view *view = view_take(c->server);
    double rapid = view->shop && view->shop->table.rapid > 0 ? view->shop->table.rapid : 250;
    view_drop(c->server, view);
    struct kw_backplot_words words = words_of(&c->arena, sheet);
    if (s == KW_OK) s = kw_torch_moves(&c->arena, bytes, length, &words, rapid, &v, &count, &err);
    if (s != KW_OK) {
        answer_error(c->response, status_of(&err), &err);
        return;
    }
    struct kw_json j = answer_json(c->response);
    kw_json_key_text(&j, "sheet", c->parts[1]);
    put_moves(&j, v, count);
    const json_t *by = json_object_get(
        json_object_get(json_object_get(sheet, "controller"), "scribe"), "from_torch");
    const double scribe[2] = {json_number_value(json_array_get(by, 0)),
                              json_number_value(json_array_get(by, 1))};
    put_point(&j, "scribe", scribe, 2, 4);
    kw_json_key_number(&j, "planned", json_number_value(json_object_get(sheet, "cut_time")), 3);
    kw_json_close(&j);
}

HANDLER(get_torch) {
    json_t *run = run_json(c);
    if (!run) return;
    const json_t *sheet = row_named(json_object_get(run, "sheets"), "id", c->parts[1]);
    if (sheet)
        answer_torch(c, sheet);
    else
        answer_says(c->response, 404, "no such sheet");
    json_decref(run);
}
