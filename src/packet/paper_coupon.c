// SPDX-License-Identifier: Apache-2.0
// The form for test pieces: which they are, how to bend them, and the columns of coupons.csv to
// write what was measured. One page a sheet and die.
#include "packet/cautions.h"
#include "packet/paper.h"

static const struct kw_brake_step *step_of(const struct kw_make *m) {
    return &m->what->brake->steps[0];
}

static bool is_placed_coupon(const struct kw_make *m) {
    return m->use == KW_MAKE_COUPON && m->placed > 0;
}

static bool same_form(const struct kw_make *a, const struct kw_make *b) {
    return kw_stock_same(&a->part->stock, &b->part->stock) && step_of(a)->die == step_of(b)->die &&
           a->nicks_behind == b->nicks_behind;
}

struct spot {
    const char *sheet;
    double grain; ///< of the bend line from the sheet's length, radians
};

static struct spot spot_of(const struct kw_week *w, int make) {
    for (int i = 0; i < w->sheet_count; i++)
        for (int k = 0; k < w->sheets[i].placement_count; k++) {
            const struct kw_nest_placement *at = &w->sheets[i].placements[k];
            if (at->part != make) continue;
            struct kw_vec2 from, to;
            kw_body_bend_line(w->makes[make].what->body, 0, false, &from, &to);
            struct kw_move2 m = kw_move2_make(0, 0, at->rotation, at->mirrored);
            struct kw_vec2 d = kw_move2_point(m, kw_sub2(to, from));
            return (struct spot){w->sheets[i].id, atan2(fabs(d.y), fabs(d.x))};
        }
    return (struct spot){"", 0};
}

// How each is to be bent: figures of the press for a first try.
static double settings(struct paper *p, const int *makes, int count, struct paper_head head,
                       double y) {
    static const struct paper_column c[] = {
        {"coupon", 24},        {"sheet", 16},  {"nicks", 22},    {"bend to grain", 28},
        {">angle wanted", 27}, {">depth", 22}, {">gauge X", 24}, {">force", 24}};
    struct paper_table t = {c, 8, PAPER_MARGIN, y, 8, 3.2, head};
    paper_table_head(p, &t);
    for (int i = 0; i < count; i++) {
        const struct kw_make *m = &p->week->makes[makes[i]];
        const struct kw_brake_step *s = step_of(m);
        struct spot at = spot_of(p->week, makes[i]);
        char force[48];
        const char *row[] = {
            m->part->name,
            at.sheet,
            kw_format(p->scratch, "%d %s", m->nicks, m->nicks_behind ? "behind" : "in front"),
            at.grain < KW_PI / 4 ? "along" : "across",
            paper_degrees(p, s->angle),
            paper_length(p, s->depth),
            s->gauged ? paper_length(p, s->gauge_x) : "by hand",
            kw_force_text(force, s->force, paper_unit(p))};
        paper_table_row(p, &t, row);
    }
    return t.y;
}

// The columns of coupons.csv, in its words: typed in as they stand here.
static double to_fill_in(struct paper *p, const int *makes, int count, struct paper_head head,
                         double y) {
    static const struct paper_column c[] = {{"coupon", 24},    {"thickness", 25}, {"blank", 24},
                                            {"leg_a", 24},     {"leg_b", 24},     {"angle", 21},
                                            {"angle_set", 22}, {"radius", 23}};
    struct paper_table t = {c, 8, PAPER_MARGIN, y, 12, 3.2, head};
    paper_text(p, PAPER_MARGIN, y - 7, 3.6, true, "Write what you measure");
    paper_table_head(p, &t);
    struct kw_pen line = {.width = 0.25, .colour = KW_BLACK};
    for (int i = 0; i < count; i++) {
        const char *row[8] = {p->week->makes[makes[i]].part->name, "", "", "", "", "", "", ""};
        double x = PAPER_MARGIN + c[0].width;
        paper_table_row(p, &t, row);
        for (int k = 1; k < 8; k++) {
            kw_draw_line(&p->draw, x + 1, t.y - 5, x + c[k].width - 2, t.y - 5, line);
            x += c[k].width;
        }
    }
    return t.y;
}

static void one_form(struct paper *p, const int *makes, int count) {
    const struct kw_make *m = &p->week->makes[makes[0]];
    const struct kw_press *press = &p->week->shop->press;
    const struct kw_brake_step *s = step_of(m);
    struct paper_head head = {.kind = "Test pieces",
                              .job = paper_job(p, makes[0]),
                              .part = m->part->stock.text,
                              .count = kw_format(p->week->arena, "%d", count),
                              .caution = CAUTION_PRESS,
                              .sign_boxes = true};
    double w = p->w - 2 * PAPER_MARGIN;
    paper_begin(p, head);
    double y = p->top + 4;
    paper_value(p, PAPER_MARGIN, y, 60, "die",
                KW_ITEM(struct kw_press_tool, press->dies, s->die)->name);
    paper_value(p, PAPER_MARGIN + 62, y, 60, "punch",
                s->punch >= 0 ? KW_ITEM(struct kw_press_tool, press->punches, s->punch)->name
                              : "any");
    paper_value(p, PAPER_MARGIN + 124, y, 60, "sheet", paper_length(p, m->part->stock.thickness));
    y = paper_wrapped(
            p, PAPER_MARGIN, y + 19, w, 3, false,
            "Paint its number on each piece as it comes off the table; the nicks on its edge tell "
            "them apart. Dress the burr. Before bending measure the thickness by micrometer and "
            "the blank across the bend. Bend each once, from the depth below; it need not come "
            "out at the angle wanted, but it is never bent again. Read the angle under load where "
            "the press shows it. After release measure both legs outside and the angle, turned "
            "from flat (90 for a square bend), and the inside radius by gauge where you can.") +
        6;
    y = settings(p, makes, count, head, y);
    y = to_fill_in(p, makes, count, head, y + 16);
    const char *file = kw_format(
        p->scratch,
        "Into coupons.csv, a line each: coupon, from \"%s\", die \"%s\", then the columns "
        "above. `kitwright learn` says what they tell.",
        m->part->stock.text, KW_ITEM(struct kw_press_tool, press->dies, s->die)->name);
    paper_wrapped(p, PAPER_MARGIN, y + 5, w, 3, false, file);
}

void paper_coupons(struct paper *p) {
    const struct kw_week *w = p->week;
    for (int i = 0; i < w->make_count; i++) {
        if (!is_placed_coupon(&w->makes[i])) continue;
        int *makes = NULL, count = 0;
        bool first = true;
        for (int k = 0; k < w->make_count; k++) {
            if (!is_placed_coupon(&w->makes[k]) || !same_form(&w->makes[i], &w->makes[k])) continue;
            first = first && k >= i;
            KW_PUSH(w->arena, makes, count) = k;
        }
        if (first) one_form(p, makes, count);
    }
}
