// SPDX-License-Identifier: Apache-2.0
// A picture of what a program does, drawn from its text alone by the judge's reader.
#include "verify/rs274.h"
#include "verify/verify.h"

#include <math.h>

#define STEP 0.25 // radians: arcs as chords

struct plot {
    struct kw_text *out;
    double height;
    char buf[2][KW_NUMBER_SIZE];
};

static void add_point(struct plot *p, char letter, double x, double y) {
    kw_text_addf(p->out, "%c%s %s", letter, kw_number(p->buf[0], x, 2),
                 kw_number(p->buf[1], p->height - y, 2));
}

static void add_move(struct plot *p, const struct kw_rs274_move *m) {
    bool arc = m->motion >= KW_RS274_CW;
    double r = hypot(m->from[0] - m->centre[0], m->from[1] - m->centre[1]);
    double begin = atan2(m->from[1] - m->centre[1], m->from[0] - m->centre[0]);
    int n = arc ? (int)ceil(fabs(m->sweep) / STEP) : 1;
    add_point(p, 'M', m->from[0], m->from[1]);
    for (int i = 1; i < n; i++) {
        double a = begin + m->sweep * i / n;
        add_point(p, 'L', m->centre[0] + r * cos(a), m->centre[1] + r * sin(a));
    }
    add_point(p, 'L', m->to[0], m->to[1]);
}

enum line { TRAVEL, ETCH, CUT };

static enum line line_of(const struct kw_rs274_move *m) {
    return m->burn >= 0 ? CUT : kw_rs274_draws(m) ? ETCH : TRAVEL;
}

// In one path each: a program of 100,000 moves stays one picture. Travels are the torch's, and so
// are those between etched lines.
static void add_moves(struct plot *p, const struct kw_rs274_program *program, enum line which,
                      const double off[2]) {
    static const char *const strokes[] = {
        [TRAVEL] = "<path fill='none' stroke='#888' stroke-width='0.6' stroke-dasharray='6 4' d='",
        [ETCH] = "<path fill='none' stroke='#060' stroke-width='0.4' d='",
        [CUT] = "<path fill='none' stroke='#000' stroke-width='1' d='"};
    kw_text_add(p->out, strokes[which]);
    for (int i = 0; i < program->move_count; i++) {
        struct kw_rs274_move m = program->moves[i];
        if (line_of(&m) != which || !(kw_rs274_length(&m) > 0)) continue;
        for (int k = 0; k < 2 && which == ETCH; k++) {
            m.from[k] += off[k];
            m.to[k] += off[k];
            m.centre[k] += off[k];
        }
        add_move(p, &m);
    }
    kw_text_add(p->out, "'/>\n");
}

static void add_pierces(struct plot *p, const struct kw_rs274_program *program) {
    int last = -1;
    for (int i = 0; i < program->move_count; i++) {
        const struct kw_rs274_move *m = &program->moves[i];
        if (m->burn < 0 || m->burn == last) continue;
        last = m->burn;
        kw_text_addf(p->out, "<circle cx='%s' cy='%s' r='1.5'/>\n",
                     kw_number(p->buf[0], m->from[0], 2),
                     kw_number(p->buf[1], p->height - m->from[1], 2));
    }
}

enum kw_status kw_backplot(const char *program, size_t length, const struct kw_backplot_words *w,
                           double width, double height, struct kw_text *out, struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_rs274_program read;
    struct plot p = {.out = out, .height = height};
    enum kw_status s = kw_rs274_read(&scratch, program, length, w->torch_on, w->torch_off, w->lines,
                                     w->line_count, &read, err);
    if (s == KW_OK) {
        char a[KW_NUMBER_SIZE], b[KW_NUMBER_SIZE];
        kw_number(a, width, 2);
        kw_number(b, height, 2);
        kw_text_addf(out,
                     "<svg xmlns='http://www.w3.org/2000/svg' viewBox='-10 -10 %s %s'>\n"
                     "<rect width='%s' height='%s' fill='#fff' stroke='#000'/>\n",
                     kw_number(p.buf[0], width + 20, 2), kw_number(p.buf[1], height + 20, 2), a, b);
        for (enum line which = TRAVEL; which <= CUT; which++)
            add_moves(&p, &read, which, w->scribe);
        add_pierces(&p, &read);
        kw_text_add(out, "</svg>\n");
    }
    kw_arena_free(&scratch);
    return s;
}
