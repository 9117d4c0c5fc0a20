// SPDX-License-Identifier: Apache-2.0
// A blank as a drawing for other programs, true to size: DXF (release 12 text, which every reader
// knows) and SVG. Both carry the shop's own names of layers, so that they read back as they are.
#include "packet/packet.h"

#include <string.h>

#define MARGIN_MM 10.0 // around the blank on the page of an SVG
#define WORDS_MM  3.0  // height of the words at a bend

// ------------------------------------------------------------------------- what both of them draw

struct layers {
    const char *cut, *bend[2], *mark; // bend by enum kw_way
};

static const char *first_name(const struct kw_items *names, const char *otherwise) {
    return names->count > 0 ? *KW_ITEM(const char *, *names, 0) : otherwise;
}

static struct layers layers_of(const struct kw_shop *shop) {
    const struct kw_layers *l = &shop->layers;
    return (struct layers){
        first_name(&l->cut, "CUT"),
        {first_name(&l->bend_up, "BEND_UP"), first_name(&l->bend_down, "BEND_DOWN")},
        first_name(&l->mark, "MARK")};
}

// "A 90 DEG UP R0.125": way, angle from flat and inside radius in the shop's unit.
static const char *bend_words(struct kw_arena *a, const struct kw_body *body, int i, double scale) {
    const struct kw_bend *b = &body->bends[i];
    char angle[KW_NUMBER_SIZE], radius[KW_NUMBER_SIZE];
    return kw_format(a, "%s %s DEG %s R%s", b->id, kw_number(angle, b->angle * 180 / KW_PI, 2),
                     b->way == KW_UP ? "UP" : "DOWN", kw_number(radius, b->radius * scale, 3));
}

// Where the words of a bend stand: on its line, a third along it, never upside down.
static struct kw_vec2 words_at(struct kw_vec2 from, struct kw_vec2 to, double *turn) {
    struct kw_vec2 d = kw_sub2(to, from);
    bool back = d.x < -1e-9 || (fabs(d.x) <= 1e-9 && d.y < 0);
    if (back) d = kw_scale2(d, -1);
    *turn = atan2(d.y, d.x);
    return kw_lerp2(from, to, back ? 0.7 : 0.3);
}

// -------------------------------------------------------------------------------------------- DXF

struct dxf {
    struct kw_text *out;
    double scale; // file units a mm
};

static void pair_text(struct dxf *d, int code, const char *value) {
    kw_text_addf(d->out, "%d\n%s\n", code, value);
}

static void pair_number(struct dxf *d, int code, double value) {
    char buf[KW_NUMBER_SIZE];
    pair_text(d, code, kw_number(buf, value, 8));
}

static void pair_length(struct dxf *d, int code, double mm) {
    pair_number(d, code, mm * d->scale);
}

static void dxf_line(struct dxf *d, const char *layer, struct kw_vec2 a, struct kw_vec2 b) {
    pair_text(d, 0, "LINE");
    pair_text(d, 8, layer);
    pair_length(d, 10, a.x);
    pair_length(d, 20, a.y);
    pair_length(d, 11, b.x);
    pair_length(d, 21, b.y);
}

static bool is_circle(const struct kw_path *p) {
    return !p->open && p->count == 2 && fabs(fabs(p->v[0].bulge) - 1) < 1e-12 &&
           p->v[0].bulge == p->v[1].bulge;
}

static void dxf_circle(struct dxf *d, const char *layer, const struct kw_path *p) {
    struct kw_segment s = kw_path_segment(p, 0);
    pair_text(d, 0, "CIRCLE");
    pair_text(d, 8, layer);
    pair_length(d, 10, s.centre.x);
    pair_length(d, 20, s.centre.y);
    pair_length(d, 40, s.radius);
}

// A polyline with bulges: lines and arcs stay what they are.
static void dxf_path(struct dxf *d, const char *layer, const struct kw_path *p) {
    if (is_circle(p)) {
        dxf_circle(d, layer, p);
        return;
    }
    pair_text(d, 0, "POLYLINE");
    pair_text(d, 8, layer);
    pair_text(d, 66, "1");
    pair_text(d, 70, p->open ? "0" : "1");
    for (int i = 0; i < p->count; i++) {
        pair_text(d, 0, "VERTEX");
        pair_text(d, 8, layer);
        pair_length(d, 10, p->v[i].x);
        pair_length(d, 20, p->v[i].y);
        if (p->v[i].bulge != 0) {
            char buf[KW_NUMBER_SIZE];
            pair_text(d, 42, kw_number(buf, p->v[i].bulge, 9));
        }
    }
    pair_text(d, 0, "SEQEND");
    pair_text(d, 8, layer);
}

static void dxf_text(struct dxf *d, const char *layer, struct kw_vec2 at, double height,
                     double turn, const char *text) {
    pair_text(d, 0, "TEXT");
    pair_text(d, 8, layer);
    pair_length(d, 10, at.x);
    pair_length(d, 20, at.y);
    pair_length(d, 40, height);
    pair_text(d, 1, text);
    pair_number(d, 50, turn * 180 / KW_PI);
}

static void dxf_header(struct dxf *d, const struct layers *l, bool inches) {
    const char *names[] = {l->cut, l->bend[KW_UP], l->bend[KW_DOWN], l->mark, "TEXT"};
    static const int colours[] = {7, 5, 1, 3, 8}; // white or black, blue, red, green, grey
    kw_text_add(d->out, "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n");
    kw_text_addf(d->out, "9\n$INSUNITS\n70\n%d\n9\n$MEASUREMENT\n70\n%d\n0\nENDSEC\n",
                 inches ? 1 : 4, inches ? 0 : 1);
    kw_text_add(d->out, "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n70\n5\n");
    for (int i = 0; i < 5; i++) {
        kw_text_addf(d->out, "0\nLAYER\n2\n%s\n70\n0\n62\n%d\n6\nCONTINUOUS\n", names[i],
                     colours[i]);
    }
    kw_text_add(d->out, "0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
}

static void dxf_bends(struct dxf *d, const struct layers *l, struct kw_arena *a,
                      const struct kw_body *body, bool other_hand) {
    for (int b = 0; b < body->bend_count; b++) {
        struct kw_vec2 from, to;
        double turn;
        kw_body_bend_line(body, b, other_hand, &from, &to);
        dxf_line(d, l->bend[body->bends[b].way], from, to);
        struct kw_vec2 at = words_at(from, to, &turn);
        dxf_text(d, "TEXT", at, WORDS_MM, turn, bend_words(a, body, b, d->scale));
    }
}

void kw_packet_blank_dxf(const struct kw_shop *shop, const struct kw_examined *what,
                         bool other_hand, struct kw_text *out) {
    struct kw_arena scratch = {0};
    bool inches = shop->units == KW_IN;
    struct dxf d = {out, inches ? 1 / KW_MM_PER_IN : 1};
    struct layers l = layers_of(shop);
    const struct kw_body *body = what->body;
    struct kw_region blank = other_hand ? kw_body_other_hand(&scratch, body) : body->blank;
    dxf_header(&d, &l, inches);
    dxf_path(&d, l.cut, &blank.outer);
    for (int h = 0; h < blank.hole_count; h++)
        dxf_path(&d, l.cut, &blank.holes[h]);
    dxf_bends(&d, &l, &scratch, body, other_hand);
    int mark_count;
    struct kw_path *marks = kw_body_marks(&scratch, body, other_hand, &mark_count);
    for (int i = 0; i < mark_count; i++)
        dxf_path(&d, l.mark, &marks[i]);
    kw_text_add(out, "0\nENDSEC\n0\nEOF\n");
    kw_arena_free(&scratch);
}

// -------------------------------------------------------------------------------------------- SVG

// Model (y up) to page (y down).
struct page {
    struct kw_text *out;
    double left, top;
};

static void svg_pair(struct page *p, struct kw_vec2 v) {
    char x[KW_NUMBER_SIZE], y[KW_NUMBER_SIZE];
    kw_text_addf(p->out, "%s %s", kw_number(x, v.x - p->left, 6), kw_number(y, p->top - v.y, 6));
}

// An arc by its ends and its radius says badly where it lies when it is near half a circle: a long
// one is written as two.
static void svg_arc(struct page *p, struct kw_segment s) {
    int parts = fabs(s.sweep) > 2 ? 2 : 1;
    char r[KW_NUMBER_SIZE];
    const char *radius = kw_number(r, s.radius, 6);
    for (int k = 1; k <= parts; k++) {
        kw_text_addf(p->out, "A%s %s 0 0 %d ", radius, radius, s.sweep > 0 ? 0 : 1);
        svg_pair(p, k == parts ? s.b : kw_segment_point(s, 0.5));
    }
}

static void svg_path(struct page *p, const struct kw_path *path) {
    kw_text_add(p->out, "<path d=\"M");
    svg_pair(p, kw_v2(path->v[0].x, path->v[0].y));
    for (int i = 0; i < kw_path_segments(path); i++) {
        struct kw_segment s = kw_path_segment(path, i);
        if (s.radius > 0) {
            svg_arc(p, s);
        } else {
            kw_text_add(p->out, "L");
            svg_pair(p, s.b);
        }
    }
    kw_text_add(p->out, path->open ? "\"/>\n" : "Z\"/>\n");
}

// Text of XML: the names of layers are the shop's and may hold anything.
static void svg_name(struct kw_text *t, const char *s) {
    for (; *s; s++) {
        const char *safe = *s == '<' ? "&lt;" : *s == '&' ? "&amp;" : *s == '"' ? "&quot;" : NULL;
        safe ? kw_text_add(t, safe) : kw_text_addn(t, s, 1);
    }
}

static void svg_group(struct page *p, const char *layer, const char *colour, const char *dash) {
    kw_text_add(p->out, "<g id=\"");
    svg_name(p->out, layer);
    kw_text_addf(p->out, "\" fill=\"none\" stroke=\"%s\" stroke-width=\"0.25\"%s>\n", colour, dash);
}

static void svg_bends(struct page *p, const struct layers *l, const struct kw_body *body,
                      bool other_hand, enum kw_way way) {
    svg_group(p, l->bend[way], way == KW_UP ? "#0000ff" : "#ff0000", " stroke-dasharray=\"6 2\"");
    for (int b = 0; b < body->bend_count; b++) {
        struct kw_vertex v[2] = {0};
        struct kw_vec2 from, to;
        if (body->bends[b].way != (int)way) continue;
        kw_body_bend_line(body, b, other_hand, &from, &to);
        v[0] = (struct kw_vertex){from.x, from.y, 0, 0};
        v[1] = (struct kw_vertex){to.x, to.y, 0, 0};
        struct kw_path line = {v, 2, true};
        svg_path(p, &line);
    }
    kw_text_add(p->out, "</g>\n");
}

static void svg_words(struct page *p, struct kw_arena *a, const struct kw_body *body,
                      bool other_hand, double scale) {
    kw_text_add(p->out, "<g id=\"TEXT\" fill=\"#606060\" font-family=\"sans-serif\" "
                        "font-size=\"4\">\n");
    for (int b = 0; b < body->bend_count; b++) {
        struct kw_vec2 from, to;
        double turn;
        char degrees[KW_NUMBER_SIZE];
        kw_body_bend_line(body, b, other_hand, &from, &to);
        struct kw_vec2 at = words_at(from, to, &turn);
        kw_text_add(p->out, "<text transform=\"translate(");
        svg_pair(p, at);
        kw_text_addf(p->out, ") rotate(%s)\" dy=\"-1\">",
                     kw_number(degrees, -turn * 180 / KW_PI, 4));
        svg_name(p->out, bend_words(a, body, b, scale));
        kw_text_add(p->out, "</text>\n");
    }
    kw_text_add(p->out, "</g>\n");
}

static void svg_begin(struct page *p, struct kw_box2 box) {
    char w[KW_NUMBER_SIZE], h[KW_NUMBER_SIZE];
    kw_number(w, box.max.x - box.min.x + 2 * MARGIN_MM, 6);
    kw_number(h, box.max.y - box.min.y + 2 * MARGIN_MM, 6);
    kw_text_addf(p->out,
                 "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                 "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" "
                 "viewBox=\"0 0 %s %s\">\n",
                 w, h, w, h);
}

void kw_packet_outline_dxf(const struct kw_shop *shop, const struct kw_path *outline,
                           struct kw_text *out) {
    bool inches = shop->units == KW_IN;
    struct dxf d = {out, inches ? 1 / KW_MM_PER_IN : 1};
    struct layers l = layers_of(shop);
    dxf_header(&d, &l, inches);
    dxf_path(&d, l.cut, outline);
    kw_text_add(out, "0\nENDSEC\n0\nEOF\n");
}

void kw_packet_blank_svg(const struct kw_shop *shop, const struct kw_examined *what,
                         bool other_hand, struct kw_text *out) {
    struct kw_arena scratch = {0};
    const struct kw_body *body = what->body;
    struct layers l = layers_of(shop);
    struct kw_region blank = other_hand ? kw_body_other_hand(&scratch, body) : body->blank;
    struct kw_box2 box = kw_path_box(&blank.outer);
    struct page p = {out, box.min.x - MARGIN_MM, box.max.y + MARGIN_MM};
    svg_begin(&p, box);
    svg_group(&p, l.cut, "#000000", "");
    svg_path(&p, &blank.outer);
    for (int h = 0; h < blank.hole_count; h++)
        svg_path(&p, &blank.holes[h]);
    kw_text_add(out, "</g>\n");
    svg_bends(&p, &l, body, other_hand, KW_UP);
    svg_bends(&p, &l, body, other_hand, KW_DOWN);
    svg_group(&p, l.mark, "#008000", "");
    int mark_count;
    struct kw_path *marks = kw_body_marks(&scratch, body, other_hand, &mark_count);
    for (int i = 0; i < mark_count; i++)
        svg_path(&p, &marks[i]);
    kw_text_add(out, "</g>\n");
    svg_words(&p, &scratch, body, other_hand, shop->units == KW_IN ? 1 / KW_MM_PER_IN : 1);
    kw_text_add(out, "</svg>\n");
    kw_arena_free(&scratch);
}
