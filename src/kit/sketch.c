// SPDX-License-Identifier: Apache-2.0
// Roles of layers, and pieces of path that are sorted by their role.
#include "kit/sketch.h"

#include <string.h>
#include <strings.h>

enum { MOST_BENDS = 1000, MOST_VERTICES = 4000000, MOST_PIECES = 200000 };

const char *kw_sketch_shown(struct kw_arena *a, const char *value, int length) {
    enum { MOST = 40 };
    int n = length < MOST ? length : MOST;
    char *s = kw_copy_text(a, value, (size_t)n);
    for (int i = 0; i < n; i++) {
        if (s[i] < ' ' || s[i] > '~') s[i] = '?';
    }
    return length > MOST ? kw_format(a, "%s...", s) : s;
}

// ------------------------------------------------------------------------------- layers and roles

static bool same_name(const struct kw_items *names, const char *value, int length) {
    for (int i = 0; i < names->count; i++) {
        const char *name = *KW_ITEM(const char *, *names, i);
        if ((int)strlen(name) == length && strncasecmp(name, value, (size_t)length) == 0)
            return true;
    }
    return false;
}

enum kw_role kw_sketch_role(const struct kw_sketch *d, const char *layer, int length) {
    const struct kw_layers *l = d->layers;
    if (same_name(&l->cut, layer, length)) return ROLE_CUT;
    if (same_name(&l->bend_up, layer, length)) return ROLE_BEND_UP;
    if (same_name(&l->bend_down, layer, length)) return ROLE_BEND_DOWN;
    if (same_name(&l->mark, layer, length)) return ROLE_MARK;
    if (same_name(&l->ignore, layer, length)) return ROLE_IGNORE;
    return ROLE_UNKNOWN;
}

bool kw_sketch_has_roles(const struct kw_sketch *d) {
    const struct kw_layers *l = d->layers;
    return l->cut.count + l->bend_up.count + l->bend_down.count + l->mark.count > 0;
}

static char *upper(struct kw_arena *a, const char *s) {
    char *t = kw_copy_text(a, s, strlen(s));
    for (char *p = t; *p; p++) {
        if (*p >= 'a' && *p <= 'z') *p = (char)(*p - 'a' + 'A');
    }
    return t;
}

const char *kw_sketch_roles_text(struct kw_sketch *d, const char *layer) {
    const struct kw_layers *l = d->layers;
    const struct kw_items *lists[] = {&l->cut, &l->bend_up, &l->bend_down, &l->mark, &l->ignore};
    const char **names = NULL;
    int count = 0;
    struct kw_text all = {0};
    for (size_t k = 0; k < sizeof lists / sizeof *lists; k++) {
        for (int i = 0; i < lists[k]->count; i++) {
            const char *name = *KW_ITEM(const char *, *lists[k], i);
            KW_PUSH(d->scratch, names, count) = upper(d->scratch, name);
            if (all.length < 200) kw_text_addf(&all, "%s%s", all.length ? ", " : "", name);
        }
    }
    KW_PUSH(d->scratch, names, count) = NULL;
    const char *near = kw_nearest_word(upper(d->scratch, layer), names);
    const char *text =
        kw_format(d->scratch, "%s%s%s, expected one of %s", near ? ", did you mean \"" : "",
                  near ? near : "", near ? "\"" : "", all.length ? all.s : "");
    kw_text_free(&all);
    return text;
}

// --------------------------------------------------------------------------------------- pieces

static enum kw_status add_bends(struct kw_sketch *d, enum kw_role role, const struct kw_path *p,
                                int line) {
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_vertex v = p->v[i], w = p->v[(i + 1) % p->count];
        if (v.bulge != 0) {
            return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, line),
                           "an arc on a bend layer, expected straight bend lines");
        }
        if (d->bend_count == MOST_BENDS) {
            return kw_fail(d->err, KW_LIMIT, kw_sketch_place(d, line),
                           "expected at most %d bend lines", MOST_BENDS);
        }
        KW_PUSH(d->scratch, d->bends, d->bend_count) = (struct kw_bend_line){
            {v.x, v.y}, {w.x, w.y}, role == ROLE_BEND_UP ? KW_UP : KW_DOWN, line};
    }
    return KW_OK;
}

enum kw_status kw_sketch_check_point(struct kw_sketch *d, struct kw_vec2 mm, int line) {
    if (fabs(mm.x) <= KW_MOST_MM && fabs(mm.y) <= KW_MOST_MM) return KW_OK;
    char x[KW_NUMBER_SIZE], y[KW_NUMBER_SIZE];
    const double most = 1e11; // what a message can show
    struct kw_vec2 p = kw_affine2_point(d->from_mm, mm);
    if (!isfinite(p.x) || !isfinite(p.y)) p = kw_v2(most, most);
    return kw_fail(d->err, KW_RANGE, kw_sketch_place(d, line),
                   "a point at (%s, %s) %s, expected one within 50 m of the origin",
                   kw_number(x, fmax(-most, fmin(most, p.x)), 3),
                   kw_number(y, fmax(-most, fmin(most, p.y)), 3), d->unit);
}

enum kw_status kw_sketch_add_made(struct kw_sketch *d, enum kw_role role, struct kw_path p,
                                  int line) {
    for (int i = 0; i < p.count; i++) {
        enum kw_status s = kw_sketch_check_point(d, kw_v2(p.v[i].x, p.v[i].y), line);
        if (s != KW_OK) return s;
    }
    d->vertices += p.count;
    if (d->vertices > MOST_VERTICES) {
        return kw_fail(d->err, KW_LIMIT, kw_sketch_place(d, line),
                       "expected a drawing of at most %d points", MOST_VERTICES);
    }
    if (d->open.count + d->closed.count + d->marks.count > MOST_PIECES) {
        return kw_fail(d->err, KW_LIMIT, kw_sketch_place(d, line),
                       "expected a drawing of at most %d pieces", MOST_PIECES);
    }
    if (role == ROLE_BEND_UP || role == ROLE_BEND_DOWN) return add_bends(d, role, &p, line);
    struct kw_paths *list = role == ROLE_MARK ? &d->marks : p.open ? &d->open : &d->closed;
    KW_PUSH(d->scratch, list->v, list->count) = p;
    return KW_OK;
}

enum kw_status kw_sketch_add(struct kw_sketch *d, enum kw_role role, const struct kw_path *p,
                             struct kw_affine2 m, int line) {
    for (int i = 0; i < p->count; i++) {
        struct kw_vec2 q = kw_affine2_point(m, kw_v2(p->v[i].x, p->v[i].y));
        enum kw_status s = kw_sketch_check_point(d, q, line);
        if (s != KW_OK) return s;
    }
    struct kw_path made = {.open = true};
    kw_path_add_mapped(d->scratch, &made, p, m, KW_CURVE_MM);
    if (!p->open && made.count > 0) {
        made.open = false;
        made.count--; // the first point again
    }
    return kw_sketch_add_made(d, role, made, line);
}
