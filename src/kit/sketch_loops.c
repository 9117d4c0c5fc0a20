// SPDX-License-Identifier: Apache-2.0
// From loose pieces to one outline with its holes: chained, nested, checked, moved so that the box
// starts at (0,0). Until the end the tag of a segment is the line of its entity, so that every
// refusal can point into the file.
#include "kit/sketch_in.h"

const char *kw_loops_point(const struct kw_loops *f, struct kw_vec2 mm) {
    char x[KW_NUMBER_SIZE], y[KW_NUMBER_SIZE];
    struct kw_vec2 p = kw_affine2_point(f->d->from_mm, mm);
    return kw_format(f->d->scratch, "(%s, %s)", kw_number(x, p.x, 3), kw_number(y, p.y, 3));
}

struct kw_path kw_loops_kept(struct kw_arena *a, const struct kw_path *p, struct kw_vec2 origin) {
    struct kw_path q = kw_path_moved(a, p, kw_move2_make(-origin.x, -origin.y, 0, false));
    for (int i = 0; i < q.count; i++)
        q.v[i].tag = 0;
    return q;
}

// Moved, ends that lay a hair over the width at which two points are the same may lie under it:
// what is kept is checked once more.
static enum kw_status check_kept(struct kw_loops *f, const struct kw_path *p, int line) {
    struct kw_error why = {0};
    enum kw_status s = kw_path_check(p, (struct kw_place){0}, &why);
    if (s == KW_OK) return s;
    return kw_fail(f->d->err, s, kw_sketch_place(f->d, line), "the outline %s, from its corner",
                   why.text);
}

static enum kw_status take_region(struct kw_loops *f, struct kw_vec2 origin,
                                  struct kw_drawing *out) {
    for (int i = 0; i < f->count; i++) {
        bool outer = i == f->outer;
        struct kw_path p = kw_path_oriented(f->d->scratch, &f->loops[i].path, outer);
        p = kw_loops_kept(f->a, &p, origin);
        enum kw_status s = check_kept(f, &p, f->loops[i].line);
        if (s != KW_OK) return s;
        if (outer) {
            out->region.outer = p;
        } else {
            KW_PUSH(f->a, out->region.holes, out->region.hole_count) = p;
        }
    }
    struct kw_box2 box = kw_path_box(&out->region.outer);
    out->width = box.max.x - box.min.x;
    out->height = box.max.y - box.min.y;
    out->dropped = f->d->dropped;
    out->ignored = f->d->ignored;
    return KW_OK;
}

enum kw_status kw_sketch_finish(struct kw_arena *a, struct kw_sketch *d, struct kw_drawing *out) {
    struct kw_loops f = {.a = a, .d = d};
    enum kw_status s = kw_loops_join(&f, out);
    if (s == KW_OK) s = kw_loops_drop_doubles(&f);
    if (s == KW_OK) s = kw_loops_check(&f);
    if (s != KW_OK) return s;
    struct kw_vec2 origin = f.loops[f.outer].box.min;
    s = kw_loops_bends(&f, origin, out);
    if (s == KW_OK) s = kw_loops_marks(&f, origin, out);
    return s == KW_OK ? take_region(&f, origin, out) : s;
}
