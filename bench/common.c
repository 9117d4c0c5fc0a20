// SPDX-License-Identifier: Apache-2.0
// What all measurements share: cases in, lines and layouts out, clock and memory.
#include "bench.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

double bench_now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

double bench_cpu(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

double bench_peak_mb(void) {
    struct rusage use;
    getrusage(RUSAGE_SELF, &use);
    return (double)use.ru_maxrss / 1024;
}

int bench_fail(const struct kw_error *err) {
    char line[1024];
    if (err->status == KW_STOPPED || err->status == KW_OK) {
        fputs("kw-bench: stopped\n", stderr);
        return kw_exit_code(KW_STOPPED);
    }
    kw_error_line(err, line, sizeof line);
    fprintf(stderr, "kw-bench: %s\n", line);
    return kw_exit_code(err->status);
}

// ------------------------------------------------------------------------------------- cases in

int bench_each_case(const struct bench_args *args, bench_case *one) {
    struct kw_arena file = {0}, a = {0};
    struct kw_error err = {0};
    const struct kw_node *root;
    enum kw_status s = kw_yaml_read(&file, args->file, (struct kw_place){0}, &root, &err);
    const struct kw_node *list = s == KW_OK ? kw_node_get(root, "cases") : NULL;
    const struct kw_node *v = list ? list->items : root;
    int count = s != KW_OK ? 0 : list ? list->count : 1;
    if (args->cases > 0 && args->cases < count) count = args->cases;
    for (int i = 0; s == KW_OK && i < count; i++) {
        s = kw_watch_stopped(&args->watch) ? KW_STOPPED : one(&a, args, &v[i], &err);
        if (s == KW_OK) s = err.status;
        kw_arena_free(&a);
    }
    kw_arena_free(&file);
    if (s == KW_OK) return 0;
    if (err.status == KW_OK) err.status = s;
    return bench_fail(&err);
}

// The value under `key`, or a failure in `err`.
static const struct kw_node *wanted(const struct kw_node *map, const char *key,
                                    enum kw_node_kind kind, struct kw_error *err) {
    static const char *const names[] = {"a value", "a list", "a map"};
    const struct kw_node *n = map->kind == KW_MAP ? kw_node_get(map, key) : NULL;
    if (!n) {
        kw_fail(err, KW_MISSING, map->at, "expected the key \"%s\"", key);
    } else if (n->kind != kind) {
        char got[KW_NODE_GOT_SIZE];
        kw_fail(err, KW_FORMAT, n->at, "%s: expected %s, got %s", key, names[kind],
                kw_node_got(got, n));
        n = NULL;
    }
    return n;
}

double bench_number_of(const struct kw_node *scalar, struct kw_error *err) {
    double v = 0;
    char got[KW_NODE_GOT_SIZE];
    if (scalar->kind != KW_SCALAR) {
        kw_fail(err, KW_UNIT, scalar->at, "expected a number, got %s", kw_node_got(got, scalar));
    } else if (kw_quantity(scalar->text, KW_DIM_NUMBER, KW_MM, scalar->at, &v, err) != KW_OK) {
        return 0;
    }
    return v;
}

double bench_number(const struct kw_node *map, const char *key, struct kw_error *err) {
    const struct kw_node *n = wanted(map, key, KW_SCALAR, err);
    return n ? bench_number_of(n, err) : 0;
}

int bench_count(const struct kw_node *map, const char *key, struct kw_error *err) {
    double v = bench_number(map, key, err);
    if (v >= 0 && v <= 1e6 && v == floor(v)) return (int)v;
    kw_fail(err, KW_RANGE, kw_place_of(map, key), "%s: expected a whole number, got %g", key, v);
    return 0;
}

const char *bench_name(const struct kw_node *map, struct kw_error *err) {
    const struct kw_node *n = wanted(map, "name", KW_SCALAR, err);
    if (!n) return "";
    if (*n->text && *n->text != '.' && strlen(n->text) <= 64 && !strchr(n->text, '/'))
        return n->text;
    kw_fail(err, KW_RANGE, n->at, "name: expected one that fits a file, got \"%s\"", n->text);
    return "";
}

const struct kw_node *bench_list(const struct kw_node *map, const char *key, int least,
                                 struct kw_error *err) {
    static const struct kw_node empty = {.kind = KW_LIST};
    const struct kw_node *n = wanted(map, key, KW_LIST, err);
    if (n && n->count >= least) return n;
    if (n) kw_fail(err, KW_RANGE, n->at, "%s: expected %d values or more", key, least);
    return &empty;
}

// ---------------------------------------------------------------------------------- results out

struct kw_json *bench_line_begin(struct bench_line *line) {
    *line = (struct bench_line){0};
    line->j.out = &line->text;
    kw_json_open_inline(&line->j, '{');
    return &line->j;
}

enum kw_status bench_line_print(struct bench_line *line, struct kw_error *err) {
    kw_json_close(&line->j);
    bool ok = fwrite(line->text.s, 1, line->text.length, stdout) == line->text.length;
    ok = fflush(stdout) == 0 && ok;
    kw_text_free(&line->text);
    if (ok) return KW_OK;
    return kw_fail(err, KW_IO, (struct kw_place){0}, "can't write to standard output");
}

enum kw_status bench_line_write(struct bench_line *line, const char *path, const char *name,
                                struct kw_error *err) {
    struct kw_arena a = {0};
    enum kw_status s = KW_OK;
    kw_json_close(&line->j);
    if (name) {
        s = kw_make_folder(path, err);
        path = kw_format(&a, "%s/%s.json", path, name);
    }
    if (s == KW_OK) s = kw_write_file(path, line->text.s, line->text.length, err);
    kw_text_free(&line->text);
    kw_arena_free(&a);
    return s;
}

// ------------------------------------------------------------------------------------ generators

int bench_random_count(uint64_t *state, int least, int most) {
    return least + (int)(kw_random_unit(state) * (most - least + 1));
}

double bench_random_step(uint64_t *state, double least, double most, double step) {
    return least + step * bench_random_count(state, 0, (int)floor((most - least) / step + 1e-9));
}
