// SPDX-License-Identifier: Apache-2.0
// A program as it is followed, move by move, for pictures that move.
#include "verify/rs274.h"
#include "verify/verify.h"

#include <math.h>
#include <string.h>

/// The comment that opens the block a line is in: "(PART KIT/PART#1)", "(MARKS)". NULL: none yet.
struct labels {
    struct kw_arena *arena;
    const char *at, *end;
    int line;
    const char *now;
};

static void read_label(struct labels *l, const char *s, size_t n) {
    if (n < 3 || s[0] != '(' || s[n - 1] != ')') return;
    const char *text = s + 1;
    size_t length = n - 2;
    if (length > 5 && (memcmp(text, "PART ", 5) == 0 || memcmp(text, "ETCH ", 5) == 0))
        l->now = kw_copy_text(l->arena, text + 5, length - 5);
    else if ((length == 5 && (memcmp(text, "MARKS", 5) == 0 || memcmp(text, "SCRAP", 5) == 0)))
        l->now = kw_copy_text(l->arena, text, length);
}

static const char *label_at(struct labels *l, int line) {
    while (l->line < line && l->at < l->end) {
        const char *stop = memchr(l->at, '\n', (size_t)(l->end - l->at));
        size_t n = (size_t)((stop ? stop : l->end) - l->at);
        read_label(l, l->at, n > 0 && l->at[n - 1] == '\r' ? n - 1 : n);
        l->at += stop ? n + 1 : n;
        l->line++;
    }
    return l->now;
}

static struct kw_torch_move move_of(const struct kw_rs274_move *m, double rapid) {
    struct kw_torch_move out = {.cut = m->burn >= 0, .burn = m->burn, .line = m->line};
    for (int i = 0; i < 2; i++) {
        out.from[i] = m->from[i];
        out.to[i] = m->to[i];
        out.centre[i] = m->centre[i];
    }
    out.etch = kw_rs274_draws(m);
    out.way = m->motion == KW_RS274_CCW ? 1 : m->motion == KW_RS274_CW ? -1 : 0;
    double speed = m->motion == KW_RS274_RAPID ? rapid : m->feed / 60;
    out.seconds = speed > 0 ? kw_rs274_length(m) / speed : 0;
    return out;
}

enum kw_status kw_torch_moves(struct kw_arena *a, const char *program, size_t length,
                              const struct kw_backplot_words *w, double rapid,
                              struct kw_torch_move **moves, int *count, struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_rs274_program read;
    struct labels labels = {.arena = a, .at = program, .end = program + length};
    enum kw_status s = kw_rs274_read(&scratch, program, length, w->torch_on, w->torch_off, w->lines,
                                     w->line_count, &read, err);
    *moves = NULL;
    *count = 0;
    int event = 0;
    double wait = 0;
    for (int i = 0; s == KW_OK && i < read.move_count; i++) {
        for (; event < read.event_count && read.events[event].moves <= i; event++)
            wait += read.events[event].dwell;
        if (!(kw_rs274_length(&read.moves[i]) > 0)) continue;
        struct kw_torch_move m = move_of(&read.moves[i], rapid);
        m.wait = wait;
        m.block = label_at(&labels, m.line);
        wait = 0;
        KW_PUSH(a, *moves, *count) = m;
    }
    kw_arena_free(&scratch);
    return s;
}
