// SPDX-License-Identifier: Apache-2.0
// A blank as a drawing for other programs: DXF (release 12 text, which every reader knows) and SVG.
#include "packet/packet.h"
#include "packet/paper.h"

#include <stdio.h>
#include <string.h>

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
    return p->count == 2 && fabs(fabs(p->v[0].bulge) - 1) < 1e-12 && p->v[0].bulge == p->v[1].bulge;
}

static void dxf_circle(struct dxf *d, const struct kw_path *p) {
    struct kw_segment s = kw_path_segment(p, 0);
    pair_text(d, 0, "CIRCLE");
    pair_text(d, 8, "CUT");
    pair_length(d, 10, s.centre.x);
    pair_length(d, 20, s.centre.y);
    pair_length(d, 40, s.radius);
}

// A closed polyline with bulges: lines and arcs stay what they are.
static void dxf_outline(struct dxf *d, const struct kw_path *p) {
    if (is_circle(p)) {
        dxf_circle(d, p);
        return;
    }
    pair_text(d, 0, "POLYLINE");
    pair_text(d, 8, "CUT");
    pair_text(d, 66, "1");
    pair_text(d, 70, "1");
    for (int i = 0; i < p->count; i++) {
        pair_text(d, 0, "VERTEX");
        pair_text(d, 8, "CUT");
        pair_length(d, 10, p->v[i].x);
        pair_length(d, 20, p->v[i].y);
        if (p->v[i].bulge != 0) {
            char buf[KW_NUMBER_SIZE];
            pair_text(d, 42, kw_number(buf, p->v[i].bulge, 9));
        }
    }
    pair_text(d, 0, "SEQEND");
    pair_text(d, 8, "CUT");
}

static void dxf_text(struct dxf *d, const char *layer, struct kw_vec2 at, double height,
                     const char *text) {
    pair_text(d, 0, "TEXT");
    pair_text(d, 8, layer);
    pair_length(d, 10, at.x);
    pair_length(d, 20, at.y);
    pair_length(d, 40, height);
    pair_text(d, 1, text);
}

static void dxf_header(struct dxf *d, bool inches) {
    static const char *const layers[] = {"CUT", "BEND_UP", "BEND_DOWN", "TEXT"};
    kw_text_add(d->out, "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n");
    kw_text_addf(d->out, "9\n$INSUNITS\n70\n%d\n9\n$MEASUREMENT\n70\n%d\n0\nENDSEC\n",
                 inches ? 1 : 4, inches ? 0 : 1);
    kw_text_add(d->out, "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n70\n4\n");
    for (int i = 0; i < 4; i++) {
        kw_text_addf(d->out, "0\nLAYER\n2\n%s\n70\n0\n62\n%d\n6\nCONTINUOUS\n", layers[i],
                     i == 0   ? 7
                     : i == 3 ? 8
                              : 4 + i);
    }
    kw_text_add(d->out, "0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
}

void kw_packet_blank_dxf(const struct kw_shop *shop, const struct kw_examined *what,
                         bool other_hand, struct kw_text *out) {
    struct kw_arena scratch = {0};
    bool inches = shop->units == KW_IN;
    struct dxf d = {out, inches ? 1 / KW_MM_PER_IN : 1};
    const struct kw_body *body = what->body;
    struct kw_region blank = other_hand ? kw_body_other_hand(&scratch, body) : body->blank;
    dxf_header(&d, inches);
    dxf_outline(&d, &blank.outer);
    for (int h = 0; h < blank.hole_count; h++)
        dxf_outline(&d, &blank.holes[h]);
    for (int b = 0; b < body->bend_count; b++) {
        struct kw_vec2 from, to;
        char text[80];
        const char *layer = body->bends[b].way == KW_UP ? "BEND_UP" : "BEND_DOWN";
        kw_body_bend_line(body, b, other_hand, &from, &to);
        dxf_line(&d, layer, from, to);
        snprintf(text, sizeof text, "%s %.4g DEG %s R%.4g", body->bends[b].id,
                 body->bends[b].angle * 180 / KW_PI, body->bends[b].way == KW_UP ? "UP" : "DOWN",
                 body->bends[b].radius * d.scale);
        dxf_text(&d, "TEXT", kw_lerp2(from, to, 0.3), 3, text);
    }
    kw_text_add(out, "0\nENDSEC\n0\nEOF\n");
    kw_arena_free(&scratch);
}

void kw_packet_blank_svg(const struct kw_shop *shop, const struct kw_examined *what,
                         bool other_hand, struct kw_text *out) {
    struct kw_arena scratch = {0}, texts = {0};
    struct kw_week week = {.shop = shop, .arena = &texts};
    struct kw_box2 box = kw_path_box(&what->body->blank.outer);
    double w = box.max.x - box.min.x + 30, h = box.max.y - box.min.y + 30; // true size, 1:1
    struct kw_svg *svg = kw_svg_begin(w, h);
    struct paper p = {.week = &week, .scratch = &scratch, .draw = kw_svg_draw(svg), .w = w, .h = h};
    paper_blank_picture(&p, what, other_hand, true, 5, 5, box.max.x - box.min.x + 10,
                        box.max.y - box.min.y + 10);
    kw_svg_end(svg, out);
    kw_arena_free(&scratch);
    kw_arena_free(&texts);
}
