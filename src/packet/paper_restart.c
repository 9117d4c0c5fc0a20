// SPDX-License-Identifier: Apache-2.0
// The restart list of a sheet map: every part in the order of cutting, by the name that the program
// labels it with and the pierce at which its block begins.
#include "packet/paper.h"

#define COLUMNS 3
#define ROW     4.1 // mm of paper
#define LOW_ROW 3.5 // where the list then ends on its page
#define TEXT    2.6
#define HEAD    9.5

struct take_up { // a block of the program
    int order;   ///< on the map: of its outline
    int pierce;  ///< its first
    const char *name;
};

static struct take_up *find_blocks(struct kw_arena *a, const struct kw_run_sheet *s, int *count) {
    struct take_up *v = NULL;
    int pierces = 0, order = 0, before = -1, open = -1;
    *count = 0;
    for (int c = 0; c < s->cut.contour_count; c++) {
        const struct kw_cut_contour *k = &s->cut.contours[c];
        if (k->part >= 0 && k->part != before) {
            struct take_up t = {0, pierces + 1, s->cut.names[k->part]};
            open = *count;
            KW_PUSH(a, v, *count) = t;
        }
        before = k->part;
        if (k->part >= 0 && k->hole < 0) v[open].order = ++order;
        for (int m = 0; m < k->moves; m++)
            pierces += s->cut.moves[k->first_move + m].kind == KW_CUT_PIERCE;
    }
    return v;
}

static int rows_for(int count) {
    return (count + COLUMNS - 1) / COLUMNS;
}

double paper_restart_height(const struct kw_run_sheet *s) {
    struct kw_arena a = {0};
    int count;
    find_blocks(&a, s, &count);
    kw_arena_free(&a);
    return HEAD + ROW * rows_for(count);
}

static void draw_heading(struct paper *p, const struct kw_run_sheet *s, double y) {
    paper_textf(p, PAPER_MARGIN, y + 3, 3, true,
                "After a lost arc: kitwright run --name %s --from-part %s:PIERCE (or :NAME)",
                p->week->name, s->id);
    for (int i = 0; i < COLUMNS; i++)
        paper_textf(p, PAPER_MARGIN + i * (p->w - 2 * PAPER_MARGIN) / COLUMNS, y + 7.5, 2, false,
                    "on the map, pierce, name");
}

static void draw_block(struct paper *p, const struct take_up *t, double x, double y) {
    if (t->order > 0) paper_textf(p, x, y, TEXT, true, "%d", t->order);
    paper_textf(p, x + 9, y, TEXT, false, "%d", t->pierce);
    paper_textf(p, x + 18, y, TEXT, false, "%s", t->name);
}

void paper_restart_list(struct paper *p, const struct kw_run_sheet *s, struct paper_head head,
                        double y) {
    int count, done = 0;
    struct take_up *v = find_blocks(p->week->arena, s, &count);
    double wide = (p->w - 2 * PAPER_MARGIN) / COLUMNS;
    while (done < count) {
        double space = p->bottom - y - HEAD, step = ROW;
        int room = (int)(space / ROW), rows = rows_for(count - done);
        if (rows > room && rows <= (int)(space / LOW_ROW)) {
            step = space / rows;
            room = rows;
        }
        if (room < 2) {
            paper_begin(p, head);
            y = p->top + 2;
            continue;
        }
        if (rows > room) rows = room;
        draw_heading(p, s, y);
        for (int i = 0; i < rows * COLUMNS && done < count; i++, done++)
            draw_block(p, &v[done], PAPER_MARGIN + i / rows * wide,
                       y + HEAD + step * (i % rows + 0.7));
        y = p->bottom;
    }
}
