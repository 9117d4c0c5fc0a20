// SPDX-License-Identifier: Apache-2.0
// The judge of a program that goes on after a stop: from its first pierce on it does what the whole
// one does there, to the last decimal, and nothing burns before.
#include "verify/rs274.h"
#include "verify/verify.h"

#include <math.h>
#include <string.h>

static enum kw_status read_one(struct kw_arena *a, const char *which, const char *text,
                               size_t length, const struct kw_backplot_words *w,
                               struct kw_rs274_program *p, struct kw_error *err) {
    struct kw_error why = {0};
    if (kw_rs274_read(a, text, length, w->torch_on, w->torch_off, w->lines, w->line_count, p,
                      &why) == KW_OK)
        return KW_OK;
    return kw_fail(err, KW_JUDGE, (struct kw_place){0}, "%s program, line %d: %s", which,
                   why.at.line, why.text);
}

static int first_of_burn(const struct kw_rs274_program *p, int burn) {
    int i = 0;
    while (i < p->move_count && p->moves[i].burn < burn)
        i++;
    return i;
}

static bool same_number(double a, double b) {
    return a == b || (isnan(a) && isnan(b));
}

static bool same_move(const struct kw_rs274_move *a, const struct kw_rs274_move *b, int skipped) {
    bool same = a->motion == b->motion && same_number(a->feed, b->feed) && a->sweep == b->sweep &&
                (a->burn < 0 ? b->burn < 0 : a->burn == b->burn + skipped);
    for (int k = 0; k < 2; k++)
        same = same && a->from[k] == b->from[k] && a->to[k] == b->to[k] &&
               a->centre[k] == b->centre[k] && same_number(a->height[k], b->height[k]);
    return same;
}

static bool same_event(const struct kw_rs274_event *a, const struct kw_rs274_event *b) {
    return a->torch == b->torch && a->dwell == b->dwell && a->length == b->length &&
           memcmp(a->text, b->text, a->length) == 0;
}

// Events from the pierce on, counted from the end.
static bool same_events(const struct kw_rs274_program *whole, const struct kw_rs274_program *rest,
                        int skipped) {
    int i = whole->event_count - 1, k = rest->event_count - 1;
    for (; i >= 0 && whole->events[i].burns > skipped; i--, k--)
        if (k < 0 || !same_event(&whole->events[i], &rest->events[k])) return false;
    return k < 0 || rest->events[k].burns == 0;
}

enum kw_status kw_judge_restart(const char *whole, size_t whole_length, const char *rest,
                                size_t rest_length, const struct kw_backplot_words *words,
                                struct kw_error *err) {
    struct kw_arena a = {0};
    struct kw_rs274_program p, q;
    enum kw_status s = read_one(&a, "the whole", whole, whole_length, words, &p, err);
    if (s == KW_OK) s = read_one(&a, "the restarted", rest, rest_length, words, &q, err);
    int skipped = s == KW_OK ? p.burns - q.burns : 0;
    const char *why = NULL;
    if (s == KW_OK) {
        int i = first_of_burn(&p, skipped), k = first_of_burn(&q, 0);
        if (q.burns == 0 || skipped < 0) why = "cuts nothing of the whole one";
        for (int b = 0; b < k && !why; b++)
            if (q.moves[b].motion != KW_RS274_RAPID) why = "does not travel to its first pierce";
        if (!why && p.move_count - i != q.move_count - k)
            why = "has other moves than the whole one";
        for (; i < p.move_count && !why; i++, k++)
            if (!same_move(&p.moves[i], &q.moves[k], skipped))
                why = "moves otherwise than the whole one";
        if (!why && !same_events(&p, &q, skipped))
            why = "stops, waits or locks otherwise than the whole one";
        if (!why && q.ends_burning) why = "ends with the torch on";
        if (why)
            s = kw_fail(err, KW_JUDGE, (struct kw_place){0}, "the program that goes on %s", why);
    }
    kw_arena_free(&a);
    return s;
}
