// SPDX-License-Identifier: Apache-2.0
// First-piece list of a folded part: outside sizes, the trade's tolerance, lines to write on.
#include "packet/paper.h"

// Trade's tolerance of folded parts: 1/32 in over one bend and 1/64 more for each further bend
// (common practice, no source).
static double tolerance(int bends) {
    return KW_MM_PER_IN * (1.0 / 32 + (bends > 1 ? bends - 1 : 0) / 64.0);
}

/// What to measure on the first piece.
struct measure {
    const char *what, *more; ///< `more`: where the flat length comes from
    double size, tolerance;
};

enum { MEASURE_TALL = 11, MEASURE_TITLE = 9 };

static int measures_of(const struct paper *p, const struct kw_examined *what,
                       struct measure **out) {
    const struct kw_body *body = what->body;
    struct measure *m = KW_NEW_ARRAY(p->week->arena, struct measure, body->bend_count + 3);
    int n = 0;
    for (int b = 0; b < body->bend_count; b++) {
        const struct kw_bend *bend = &body->bends[b];
        if (bend->kind == KW_BEND_HAND) continue; // stays flat here
        m[n++] = (struct measure){kw_format(p->week->arena, "bend %s: outside leg, %s", bend->id,
                                            paper_degrees(p, bend->angle)),
                                  kw_format(p->week->arena, "cut by %s", bend->source),
                                  bend->legs[1], tolerance(1)};
    }
    struct kw_vec3 size = kw_sub3(body->shipped.max, body->shipped.min);
    double all = tolerance(body->bend_count);
    m[n++] = (struct measure){"overall left to right", "", size.x, all};
    m[n++] = (struct measure){"overall front to back", "", size.y, all};
    m[n++] = (struct measure){"overall height", "", size.z, all};
    *out = m;
    return n;
}

double paper_measure_height(const struct paper *p, const struct kw_examined *what) {
    struct measure *m;
    return MEASURE_TITLE + MEASURE_TALL * ((measures_of(p, what, &m) + 1) / 2) + 1;
}

/// Label, size, tolerance and a line to write on, in a field `w` wide.
static void measure_field(const struct paper *p, const struct measure *m, double x, double y,
                          double w) {
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    const char *label = m->more[0] ? kw_format(p->scratch, "%s; %s", m->what, m->more) : m->what;
    paper_fit(p, x, y + 2.6, w - 4, 2.6, false, label);
    paper_fit(p, x, y + 8.2, 42, 4.2, true, paper_both(p, m->size));
    paper_fit(p, x + 43, y + 8.2, 20, 3, false,
              kw_format(p->scratch, "+-%s", paper_length(p, m->tolerance)));
    kw_draw_line(&p->draw, x + 64, y + 8.6, x + w - 4, y + 8.6, line);
}

/// Two fields a row: what fits below a step needs no page of its own.
double paper_measure_list(struct paper *p, const struct kw_examined *what, struct paper_head head,
                          double y) {
    struct measure *m;
    double w = (p->w - 2 * PAPER_MARGIN) / 2, x = PAPER_MARGIN;
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    if (y + paper_measure_height(p, what) > p->bottom) {
        paper_begin(p, head);
        y = p->top;
    }
    int count = measures_of(p, what, &m);
    kw_draw_line(&p->draw, x, y, p->w - x, y, line);
    paper_fit(
        p, x, y + 6, 2 * w, 3.6, true,
        "First piece: outside sizes, by tape or caliper; write what you find. Angles: +-1 deg");
    y += MEASURE_TITLE;
    for (int i = 0; i < count; i++) {
        if (i % 2 == 0 && y + MEASURE_TALL > p->bottom) {
            paper_begin(p, head);
            y = p->top;
        }
        measure_field(p, &m[i], x + (i % 2) * w, y, w);
        if (i % 2 || i + 1 == count) y += MEASURE_TALL;
    }
    return y + 1;
}
