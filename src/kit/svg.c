// SPDX-License-Identifier: Apache-2.0
// An SVG drawing: its size, and the walk through its elements with all that they take from those
// around them. y runs down there and up here.
#include "kit/svg_in.h"

#include <string.h>

enum { DEEPEST_USE = 30, MOST_VISITS = 1000000 };
#define MM_PER_PX (KW_MM_PER_IN / 96)

static enum kw_status walk(struct kw_svg_reader *r, const struct kw_svg_element *e,
                           struct kw_svg_state s);

static enum kw_status fail(struct kw_svg_reader *r, enum kw_status s,
                           const struct kw_svg_element *e, const char *what, const char *shown) {
    return kw_fail(r->sketch.err, s, kw_sketch_place(&r->sketch, e->line), what,
                   shown ? kw_sketch_shown(r->sketch.scratch, shown, (int)strnlen(shown, 41)) : "");
}

// ----------------------------------------------------------------------------------------- viewBox

struct view {
    bool said;
    double x, y, width, height;
};

static enum kw_status read_view(struct kw_svg_reader *r, const struct kw_svg_element *e,
                                struct view *v) {
    const char *text = kw_svg_attribute(e, "viewBox"), *s = text;
    *v = (struct view){0};
    if (!text) return KW_OK;
    double n[4];
    for (int i = 0; i < 4; i++) {
        kw_svg_blanks(&s);
        if (!kw_svg_number(&s, &n[i]))
            return fail(r, KW_FORMAT, e, "expected four numbers for viewBox, got \"%s\"", text);
    }
    kw_svg_blanks(&s);
    if (*s || !(n[2] > 1e-9 && n[3] > 1e-9)) {
        return fail(
            r, KW_FORMAT, e,
            "expected a viewBox of four numbers with a width and height above 0, got \"%s\"", text);
    }
    *v = (struct view){true, n[0], n[1], n[2], n[3]};
    return KW_OK;
}

// From the viewBox into a viewport of w x h at the origin (SVG 1.1, 7.8).
static struct kw_affine2 fit_view(const struct kw_svg_element *e, const struct view *v, double w,
                                  double h) {
    const char *keep = kw_svg_attribute(e, "preserveAspectRatio");
    double sx = w / v->width, sy = h / v->height;
    if (keep && strncmp(keep, "none", 4) == 0)
        return (struct kw_affine2){sx, 0, 0, sy, -v->x * sx, -v->y * sy};
    bool slice = keep && strstr(keep, "slice");
    double scale = slice ? fmax(sx, sy) : fmin(sx, sy);
    double ax = keep && strstr(keep, "xMin") ? 0 : keep && strstr(keep, "xMax") ? 1 : 0.5;
    double ay = keep && strstr(keep, "YMin") ? 0 : keep && strstr(keep, "YMax") ? 1 : 0.5;
    return (struct kw_affine2){scale,
                               0,
                               0,
                               scale,
                               ax * (w - v->width * scale) - v->x * scale,
                               ay * (h - v->height * scale) - v->y * scale};
}

// A nested svg, or a symbol that is used: its own viewport at (x, y).
static enum kw_status enter_view(struct kw_svg_reader *r, const struct kw_svg_element *e, double x,
                                 double y, double w, double h, struct kw_svg_state *s) {
    struct view v;
    enum kw_status status = read_view(r, e, &v);
    if (status != KW_OK) return status;
    struct kw_affine2 m = {1, 0, 0, 1, x, y};
    if (v.said && !(w > 0 && h > 0)) return fail(r, KW_GEOMETRY, e, "a view without size%s", NULL);
    if (v.said) m = kw_affine2_then(fit_view(e, &v, w, h), m);
    s->map = kw_affine2_then(m, s->map);
    s->view_width = v.said ? v.width : w;
    s->view_height = v.said ? v.height : h;
    return KW_OK;
}

// -------------------------------------------------------------------------------------------- walk

static enum kw_status children(struct kw_svg_reader *r, const struct kw_svg_element *e,
                               const struct kw_svg_state *s) {
    enum kw_status status = KW_OK;
    for (const struct kw_svg_element *c = e->first; c && status == KW_OK; c = c->next)
        status = walk(r, c, *s);
    return status;
}

static enum kw_status nested_svg(struct kw_svg_reader *r, const struct kw_svg_element *e,
                                 struct kw_svg_state *s) {
    double x, y, w, h;
    enum kw_status status = kw_svg_measure(r, e, "x", s->view_width, 0, &x);
    if (status == KW_OK) status = kw_svg_measure(r, e, "y", s->view_height, 0, &y);
    if (status == KW_OK) status = kw_svg_measure(r, e, "width", s->view_width, s->view_width, &w);
    if (status == KW_OK)
        status = kw_svg_measure(r, e, "height", s->view_height, s->view_height, &h);
    if (status == KW_OK) status = enter_view(r, e, x, y, w, h, s);
    return status == KW_OK ? children(r, e, s) : status;
}

static enum kw_status find_target(struct kw_svg_reader *r, const struct kw_svg_element *e,
                                  const struct kw_svg_element **target) {
    const char *to = kw_svg_attribute(e, "href");
    if (!to || to[0] != '#') {
        return fail(r, KW_UNKNOWN, e,
                    "expected a use of something in this drawing such as #hole, got \"%s\"",
                    to ? to : "");
    }
    *target = kw_svg_find(r, to + 1);
    if (!*target) return fail(r, KW_UNKNOWN, e, "nothing in the drawing has the id \"%s\"", to + 1);
    for (int i = 0; i < r->open_count; i++) {
        if (r->open[i] == *target) return fail(r, KW_GEOMETRY, e, "\"%s\" uses itself", to);
    }
    if (r->open_count < DEEPEST_USE) return KW_OK;
    return fail(r, KW_LIMIT, e, "\"%s\" is used more than 30 deep", to);
}

static enum kw_status use(struct kw_svg_reader *r, const struct kw_svg_element *e,
                          struct kw_svg_state *s) {
    const struct kw_svg_element *target = NULL;
    double x, y, w, h;
    enum kw_status status = find_target(r, e, &target);
    if (status == KW_OK) status = kw_svg_measure(r, e, "x", s->view_width, 0, &x);
    if (status == KW_OK) status = kw_svg_measure(r, e, "y", s->view_height, 0, &y);
    if (status == KW_OK) status = kw_svg_measure(r, e, "width", s->view_width, s->view_width, &w);
    if (status == KW_OK)
        status = kw_svg_measure(r, e, "height", s->view_height, s->view_height, &h);
    if (status != KW_OK) return status;
    struct kw_affine2 move = {1, 0, 0, 1, x, y};
    s->map = kw_affine2_then(move, s->map);
    KW_PUSH(r->sketch.scratch, r->open, r->open_count) = target;
    if (strcmp(target->name, "symbol") == 0) {
        if (!kw_svg_look(r, target, s))
            r->sketch.ignored++;
        else
            status = enter_view(r, target, 0, 0, w, h, s);
        if (status == KW_OK) status = children(r, target, s);
    } else {
        status = walk(r, target, *s);
    }
    r->open_count--;
    return status;
}

// A piece that is clipped or masked looks other than it is drawn.
static enum kw_status check_whole(struct kw_svg_reader *r, const struct kw_svg_element *e) {
    static const char *const names[] = {"clip-path", "mask"};
    for (int i = 0; i < 2; i++) {
        const char *v = kw_svg_property(r, e, names[i]);
        if (!v || strcmp(v, "none") == 0) continue;
        return fail(r, KW_GEOMETRY, e,
                    "%s: what is clipped or masked can't be cut as it is: cut it to shape in the "
                    "drawing program and save again",
                    names[i]);
    }
    return KW_OK;
}

static enum kw_status move(struct kw_svg_reader *r, const struct kw_svg_element *e,
                           struct kw_svg_state *s) {
    const char *text = kw_svg_property(r, e, "transform");
    struct kw_affine2 m;
    if (!text || strcmp(text, "none") == 0) return KW_OK;
    if (!kw_svg_transform(text, &m)) {
        return fail(r, KW_FORMAT, e,
                    "expected transforms such as translate(10, 5) or rotate(90), got \"%s\"", text);
    }
    s->map = kw_affine2_then(m, s->map);
    double size = fabs(s->map.xx * s->map.yy - s->map.xy * s->map.yx);
    if (size > 1e-18 && size < 1e18) return KW_OK;
    return fail(r, KW_GEOMETRY, e, "a transform that leaves nothing: \"%s\"", text);
}

static bool is_one_of(const struct kw_svg_element *e, const char *const *names) {
    for (; *names; names++) {
        if (strcmp(e->name, *names) == 0) return true;
    }
    return false;
}

static enum kw_status walk(struct kw_svg_reader *r, const struct kw_svg_element *e,
                           struct kw_svg_state s) {
    static const char *const groups[] = {"g", "a", "switch", NULL};
    static const char *const silent[] = {
        "",         "defs",     "symbol",         "style",  "title",          "desc",
        "metadata", "clipPath", "mask",           "marker", "pattern",        "filter",
        "script",   "view",     "linearGradient", "cursor", "radialGradient", NULL};
    if (is_one_of(e, silent)) return KW_OK; // never drawn where it stands
    if (++r->visits > MOST_VISITS)
        return fail(r, KW_LIMIT, e, "expected at most 1000000 elements, used ones each time%s",
                    NULL);
    bool group = is_one_of(e, groups), nested = strcmp(e->name, "svg") == 0;
    bool used = strcmp(e->name, "use") == 0;
    if (!(group || nested || used || kw_svg_is_shape(e)) || !kw_svg_look(r, e, &s)) {
        r->sketch.ignored++; // texts, pictures, what is not displayed
        return KW_OK;
    }
    enum kw_status status = s.role == ROLE_IGNORE ? KW_OK : check_whole(r, e);
    if (status == KW_OK) status = move(r, e, &s);
    if (status != KW_OK) return status;
    return group    ? children(r, e, &s)
           : nested ? nested_svg(r, e, &s)
           : used   ? use(r, e, &s)
                    : kw_svg_shape(r, e, &s);
}

// -------------------------------------------------------------------------------------------- size

// Width or height of the drawing in pixels, 0: not said. A size in pixels or without a unit says
// little: programs have had 72, 90 and 96 of them to the inch.
static enum kw_status size_of(struct kw_svg_reader *r, const char *name, double *px,
                              struct kw_drawing *out) {
    const char *text = kw_svg_attribute(r->root, name);
    char unit[4];
    *px = 0;
    if (!text || strcmp(text, "auto") == 0) return KW_OK;
    if (!kw_svg_length(text, 0, px, unit) || *px < 0 || *px > 1e9) {
        return fail(r, KW_UNIT, r->root, "expected a size such as 120mm or 5in, got \"%s\"", text);
    }
    if (*px == 0) return KW_OK; // 100%
    bool inches = strcmp(unit, "in") == 0 || strcmp(unit, "pt") == 0 || strcmp(unit, "pc") == 0;
    if (inches) out->units = KW_IN;
    if (inches || strcmp(unit, "mm") == 0 || strcmp(unit, "cm") == 0 || strcmp(unit, "q") == 0)
        out->units_said = true;
    return KW_OK;
}

static enum kw_status root_map(struct kw_svg_reader *r, struct kw_svg_state *s,
                               struct kw_drawing *out) {
    struct view v;
    double w = 0, h = 0;
    enum kw_status status = size_of(r, "width", &w, out);
    if (status == KW_OK) status = size_of(r, "height", &h, out);
    if (status == KW_OK) status = read_view(r, r->root, &v);
    if (status != KW_OK) return status;
    s->map = kw_affine2_none();
    s->view_width = w > 0 ? w : 300; // as a browser makes it (CSS 2.1, 10.3.2)
    s->view_height = h > 0 ? h : 150;
    if (v.said) {
        if (!(w > 0)) w = h > 0 ? h * v.width / v.height : v.width;
        if (!(h > 0)) h = w * v.height / v.width;
        s->map = fit_view(r->root, &v, w, h);
        s->view_width = v.width;
        s->view_height = v.height;
    }
    struct kw_affine2 page = {.xx = MM_PER_PX, .yy = -MM_PER_PX};
    s->map = kw_affine2_then(s->map, page);
    double mm = sqrt(fabs(s->map.xx * s->map.yy));
    if (!(mm > 1e-9 && mm < 1e9))
        return fail(r, KW_RANGE, r->root, "a drawing without size%s", NULL);
    r->sketch.from_mm = kw_affine2_inverse(s->map);
    r->sketch.scale = mm;
    r->sketch.unit = fabs(mm - 1) < 1e-6              ? "mm"
                     : fabs(mm - KW_MM_PER_IN) < 1e-5 ? "in"
                     : fabs(mm - MM_PER_PX) < 1e-6    ? "px"
                                                      : "units";
    return KW_OK;
}

static enum kw_status read_tree(struct kw_svg_reader *r, struct kw_drawing *out) {
    struct kw_svg_state s = {.role = ROLE_UNKNOWN,
                             .stroke = {.none = true, .colour = -1},
                             .fill = {.colour = 0},
                             .visible = true};
    enum kw_status status = root_map(r, &s, out);
    if (status != KW_OK) return status;
    kw_svg_read_rules(r, r->root);
    if (kw_svg_look(r, r->root, &s)) status = check_whole(r, r->root);
    if (status == KW_OK) status = move(r, r->root, &s);
    if (status == KW_OK) status = children(r, r->root, &s);
    return status == KW_OK ? kw_svg_check_roles(r) : status;
}

enum kw_status kw_svg_parse(struct kw_arena *a, const struct kw_layers *layers, const char *file,
                            const char *bytes, size_t length, struct kw_drawing *out,
                            struct kw_error *err) {
    struct kw_place at = {.file = file};
    *out = (struct kw_drawing){.units = KW_MM};
    if (length > KW_SVG_MOST_BYTES) {
        return kw_fail(err, KW_LIMIT, at, "expected a drawing of at most 64 MB, got %zu bytes",
                       length);
    }
    if (length > 1 && (unsigned char)bytes[0] == 0x1f && (unsigned char)bytes[1] == 0x8b)
        return kw_fail(err, KW_FORMAT, at, "a packed file, expected an SVG drawing saved as text");
    struct kw_arena scratch = {0};
    struct kw_svg_reader r = {.sketch = {.scratch = &scratch,
                                         .layers = layers,
                                         .file = kw_copy_text(a, file, strlen(file)),
                                         .err = err}};
    enum kw_status s = kw_svg_xml(&r, bytes, length);
    if (s == KW_OK) s = read_tree(&r, out);
    if (s == KW_OK) s = kw_sketch_finish(a, &r.sketch, out);
    kw_arena_free(&scratch);
    return s;
}
