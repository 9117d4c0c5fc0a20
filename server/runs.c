// SPDX-License-Identifier: Apache-2.0
// Runs that were planned: their run.json and the files of their packets.
#include "server/planning.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#define MOST_FILE ((size_t)256 << 20)

/// The run's folder by name, in the arena; NULL: answered.
static const char *run_folder(struct call *c) {
    if (plain_run_name(c->parts[0])) return kw_format(&c->arena, "runs/%s", c->parts[0]);
    answer_says(c->response, 404, "no such run");
    return NULL;
}

static void answer_file(struct call *c, const char *relative, const char *type) {
    struct kw_error err = {0};
    char *bytes, digits[HASH_DIGITS + 1];
    size_t length;
    uint64_t hash;
    struct kw_response *r = c->response;
    if (folder_read(&c->arena, c->server, relative, MOST_FILE, &bytes, &length, &hash, &err) !=
        KW_OK) {
        answer_error(r, err.status == KW_FORMAT ? 404 : status_of(&err), &err);
        return;
    }
    hash_text(digits, hash);
    snprintf(r->tag, sizeof r->tag, "\"%s\"", digits);
    r->status = 200;
    r->type = type;
    if (c->request->if_none_match && strcmp(c->request->if_none_match, r->tag) == 0) {
        r->status = 304;
        return;
    }
    kw_text_addn(&r->body, bytes, length);
}

HANDLER(get_run) {
    const char *folder = run_folder(c);
    if (folder) answer_file(c, kw_format(&c->arena, "%s/run.json", folder), "application/json");
}

static const char *file_type(const char *name) {
    static const char *const types[][2] = {
        {".pdf", "application/pdf"},   {".svg", "image/svg+xml"},
        {".json", "application/json"}, {".nc", "text/plain; charset=utf-8"},
        {".dxf", "image/vnd.dxf"},     {".glb", "model/gltf-binary"},
        {".stl", "model/stl"},         {".csv", "text/csv; charset=utf-8"}};
    const char *dot = strrchr(name, '.');
    for (size_t i = 0; dot && i < sizeof types / sizeof *types; i++)
        if (strcmp(types[i][0], dot) == 0) return types[i][1];
    return "application/octet-stream";
}

HANDLER(get_run_file) {
    const char *path = run_folder(c);
    if (!path) return;
    for (int i = 1; i < c->part_count; i++)
        path = kw_format(&c->arena, "%s/%s", path, c->parts[i]);
    const char *type = file_type(path);
    answer_file(c, path, type);
    c->response->download = target_query(&c->target, "download") && c->response->status == 200;
}

/// The date stands near the start of run.json: what comes later need not be read.
static void read_head(struct call *c, const char *name, char date[KW_NUMBER_SIZE]) {
    char head[1024];
    const char *path =
        folder_path(&c->arena, c->server, kw_format(&c->arena, "runs/%s/run.json", name), NULL);
    FILE *f = path ? fopen(path, "rbe") : NULL;
    size_t n = f ? fread(head, 1, sizeof head - 1, f) : 0;
    if (f) fclose(f);
    head[n] = 0;
    const char *at = strstr(head, "\"date\": \"");
    date[0] = 0;
    if (at && strlen(at) > 19) snprintf(date, KW_NUMBER_SIZE, "%.10s", at + 9);
}

void put_runs(struct call *c, struct kw_json *j) {
    const char **names, *path = folder_path(&c->arena, c->server, "runs", NULL);
    int count = 0;
    kw_json_key(j, "runs");
    kw_json_open(j, '[');
    if (path) kw_list_folder(&c->arena, path, "", &names, &count, NULL);
    for (int i = 0; i < count; i++) {
        char date[KW_NUMBER_SIZE];
        if (!plain_run_name(names[i])) continue;
        read_head(c, names[i], date);
        if (!date[0]) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "run", names[i]);
        kw_json_key_text(j, "date", date);
        kw_json_close(j);
    }
    kw_json_close(j);
}
