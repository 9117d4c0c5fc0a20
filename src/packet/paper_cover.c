// SPDX-License-Identifier: Apache-2.0
// Cover: the week at a glance, and the findings.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>

static const struct paper_head cover_head = {
    .kind = "Week at a glance", .job = "", .part = "", .count = "", .caution = CAUTION_WEEK};

static struct paper_head head_of(const struct paper *p) {
    struct paper_head h = cover_head;
    h.part = p->week->name;
    return h;
}

static void section(struct paper *p, struct paper_table *t, const char *title) {
    if (t->y > p->bottom - 25) {
        paper_begin(p, t->head);
        t->y = p->top;
    }
    t->y += 5;
    paper_text(p, t->x, t->y, 3.6, true, title);
    t->y += 6;
}

static struct paper_table table(const struct paper *p, const struct paper_column *c, int n,
                                double y) {
    return (struct paper_table){.columns = c,
                                .count = n,
                                .x = PAPER_MARGIN,
                                .y = y,
                                .row = 5.6,
                                .text = PAPER_TEXT,
                                .head = head_of(p)};
}

static double kits(struct paper *p, double y) {
    static const struct paper_column c[] = {{"kit", 46},           {"", 62},        {"REV", 14},
                                            {">boxes wanted", 28}, {">filled", 18}, {"due", 24}};
    const struct kw_week *w = p->week;
    struct paper_table t = table(p, c, 6, y);
    section(p, &t, "Kits");
    paper_table_head(p, &t);
    for (int i = 0; i < w->run_kit_count; i++) {
        const struct kw_run_kit *k = &w->run_kits[i];
        const char *row[] = {k->kit->name,
                             k->kit->title,
                             k->kit->revision,
                             kw_format(w->arena, "%d", k->ordered),
                             kw_format(w->arena, "%d", k->boxed),
                             k->due ? paper_date(p, k->due) : ""};
        paper_table_row(p, &t, row);
    }
    return t.y;
}

// What becomes of pieces of older revisions, where the kit file says it.
static double older(struct paper *p, double y) {
    const struct kw_week *w = p->week;
    for (int i = 0; i < w->run_kit_count; i++) {
        const struct kw_run_kit *k = &w->run_kits[i];
        for (int n = 0; n < k->part_count; n++) {
            const struct kw_part *part = k->parts[n].part;
            const char *text = kw_old_stock_text(part->old_stock);
            bool whole = n == 0 && text;
            for (int m = 0; m < k->part_count; m++)
                whole = whole && k->parts[m].part->old_stock == part->old_stock;
            if (!text) continue;
            paper_textf(p, PAPER_MARGIN, y + 1, PAPER_TEXT, false,
                        "Pieces of %s%s%s from before REV %s: %s.", k->kit->name, whole ? "" : "/",
                        whole ? "" : part->name, part->revision, text);
            y += 5;
            if (whole) break;
        }
    }
    return y;
}

// In large print: what was asked for and will not be there.
static double left_out(struct paper *p, double y) {
    const struct kw_week *w = p->week;
    if (w->left_out_count == 0) return y;
    y += 8;
    paper_text(p, PAPER_MARGIN, y, PAPER_BIG, true, "LEFT OUT");
    y += 9;
    for (int i = 0; i < w->left_out_count; i++) {
        const struct kw_left_out *l = &w->left_out[i];
        const char *line = kw_format(w->arena, "%d x %s%s%s: %s", l->count, l->kit,
                                     *l->part ? "/" : "", l->part, l->why);
        if (y > p->bottom - 14) {
            paper_begin(p, head_of(p));
            y = p->top + 6;
        }
        y = paper_wrapped(p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, 4.2, true, line) + 1;
    }
    return y;
}

static double loads(struct paper *p, double y) {
    const struct kw_week *w = p->week;
    struct paper_table t = table(p, NULL, 0, y);
    section(p, &t, "Hours needed of hours there are");
    y = t.y;
    double most = 1;
    for (int i = 0; i < w->load_count; i++) {
        most = fmax(most, fmax(w->loads[i].hours, w->loads[i].available));
    }
    struct kw_pen frame = {.width = 0.25, .colour = KW_BLACK};
    struct kw_pen bar = {.fill = true, .fill_colour = KW_GREY(0.35)};
    for (int i = 0; i < w->load_count; i++) {
        const struct kw_load *l = &w->loads[i];
        paper_text(p, PAPER_MARGIN, y, PAPER_TEXT, true, l->machine);
        double x = PAPER_MARGIN + 22, full = 105;
        kw_draw_box(&p->draw, x, y - 3.2, full * l->available / most, 4, frame);
        if (l->hours > 0) kw_draw_box(&p->draw, x, y - 2.4, full * l->hours / most, 2.4, bar);
        paper_textf(p, x + full + 4, y, PAPER_TEXT, l->hours > l->available, "%.1f of %.1f h%s",
                    l->hours, l->available, l->hours > l->available ? "  TOO MUCH" : "");
        y += 6;
    }
    return y;
}

static double sheets(struct paper *p, double y) {
    static const struct paper_column c[] = {{"sheet", 16},  {"material", 60},      {"size", 48},
                                            {">times", 16}, {">minutes each", 28}, {">yield", 22}};
    const struct kw_week *w = p->week;
    if (w->sheet_count == 0) return y;
    struct paper_table t = table(p, c, 6, y);
    section(p, &t, "Sheets to cut");
    paper_table_head(p, &t);
    for (int i = 0; i < w->sheet_count; i++) {
        const struct kw_run_sheet *s = &w->sheets[i];
        const char *row[] = {
            s->id,
            kw_packet_sheet_text(p->week->arena, s),
            kw_format(w->arena, "%s x %s", paper_tape(p, s->width), paper_tape(p, s->height)),
            kw_format(w->arena, "%d", s->times),
            s->program ? kw_format(w->arena, "%.1f", s->cut.cut_time / 60) : "no program",
            kw_format(w->arena, "%.0f %%", s->density * 100)};
        paper_table_row(p, &t, row);
    }
    return t.y;
}

// What the rest of the sheets gave besides: test pieces, and parts that sell by themselves.
static double from_scrap(struct paper *p, double y) {
    static const struct paper_column c[] = {
        {"piece", 76}, {"for", 50}, {">count", 20}, {">each", 20}, {">worth", 24}};
    const struct kw_week *w = p->week;
    struct paper_table t = table(p, c, 5, y);
    int tests = 0, pieces = 0;
    for (int i = 0; i < w->make_count; i++) {
        pieces += w->makes[i].extra_placed;
        tests += w->makes[i].use == KW_MAKE_COUPON ? w->makes[i].extra_placed : 0;
    }
    if (pieces == 0) return y;
    section(p, &t, "Cut from what would be scrap");
    paper_table_head(p, &t);
    if (tests > 0) {
        const char *row[] = {"test pieces", "measuring bends: see their form",
                             kw_format(w->arena, "%d", tests), "", ""};
        paper_table_row(p, &t, row);
    }
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        if (m->extra_placed == 0 || m->use == KW_MAKE_COUPON) continue;
        const char *row[] = {m->label, "stock, to sell", kw_format(w->arena, "%d", m->extra_placed),
                             paper_money(p, m->value), paper_money(p, m->value * m->extra_placed)};
        paper_table_row(p, &t, row);
    }
    return t.y;
}

static double buys(struct paper *p, double y) {
    static const struct paper_column c[] = {{"what", 86},    {">buy", 16},     {"", 26},
                                            {">needed", 20}, {">on hand", 20}, {">price", 22}};
    const struct kw_week *w = p->week;
    struct paper_table t = table(p, c, 6, y);
    section(p, &t, "To buy");
    if (w->buy_count == 0) {
        paper_text(p, t.x, t.y, PAPER_TEXT, false, "Nothing: all of it is on hand.");
        return t.y + 5;
    }
    paper_table_head(p, &t);
    double sum = 0;
    for (int i = 0; i < w->buy_count; i++) {
        const struct kw_buy *b = &w->buys[i];
        const char *row[] = {b->what,
                             kw_format(w->arena, "%d", b->count),
                             b->unit,
                             kw_format(w->arena, "%d", b->needed),
                             kw_format(w->arena, "%d", b->on_hand),
                             paper_money(p, b->price)};
        paper_table_row(p, &t, row);
        sum += b->price;
    }
    const char *total[] = {"all of it", "", "", "", "", paper_money(p, sum)};
    paper_table_row(p, &t, total);
    return t.y;
}

static double costs(struct paper *p, double y) {
    static const struct paper_column c[] = {{"kit", 40},     {">material", 21}, {">machine", 21},
                                            {">labour", 21}, {">hardware", 21}, {">packing", 21},
                                            {">cost", 22},   {">price", 24}};
    const struct kw_week *w = p->week;
    if (w->cost_count == 0) return y;
    struct paper_table t = table(p, c, 8, y);
    section(p, &t,
            kw_format(w->arena, "Cost and price of one kit, %s (margin %.0f %% of the price)",
                      w->shop->currency, w->shop->rates.margin * 100));
    paper_table_head(p, &t);
    for (int i = 0; i < w->cost_count; i++) {
        const struct kw_cost *k = &w->costs[i];
        const char *row[8] = {k->kit->name};
        const double v[] = {k->material, k->machine, k->labour, k->hardware,
                            k->packing,  k->total,   k->price};
        for (int n = 0; n < 7; n++) {
            char buf[KW_NUMBER_SIZE];
            row[n + 1] = kw_format(w->arena, "%s", kw_fixed(buf, v[n], 2));
        }
        paper_table_row(p, &t, row);
    }
    return t.y;
}

static double finding_counts(struct paper *p, double y) {
    const struct kw_findings *f = &p->week->findings;
    int stops = kw_findings_at_level(f, KW_STOP, false),
        risks = kw_findings_at_level(f, KW_RISK, true),
        notes = kw_findings_at_level(f, KW_NOTE, false);
    int taken = kw_findings_at_level(f, KW_RISK, false) - risks;
    paper_textf(p, PAPER_MARGIN, y, 3.6, stops > 0,
                "Findings: %d stop, %d risk open, %d risk signed, %d note: next page", stops, risks,
                taken, notes);
    return y + 4;
}

void paper_cover(struct paper *p) {
    paper_begin(p, head_of(p));
    double y = p->top + 4;
    if (p->week->findings.count > 0) y = finding_counts(p, y);
    y = left_out(p, y);
    y = older(p, kits(p, y));
    y = sheets(p, y);
    y = from_scrap(p, y);
    y = loads(p, y);
    y = buys(p, y);
    costs(p, y);
}

// -------------------------------------------------------------------------------------- findings

static double finding(struct paper *p, const struct kw_finding *f, double y) {
    double x = PAPER_MARGIN, width = p->w - 2 * PAPER_MARGIN;
    static const char *const word[] = {"NOTE", "RISK", "STOP"};
    struct kw_pen stop = {.fill = true, .fill_colour = KW_GREY(0.1)};
    struct kw_pen plain = {.width = 0.3, .colour = KW_BLACK};
    kw_draw_box(&p->draw, x, y - 4, 16, 6, f->level == KW_STOP ? stop : plain);
    p->draw.text(p->draw.user, x + 8, y + 0.3, 3, KW_CENTRE, true, 0,
                 f->level == KW_STOP ? KW_WHITE : KW_BLACK, word[f->level]);
    paper_textf(p, x + 20, y, PAPER_TEXT, true, "%s%s%s   %s", f->kit ? f->kit : "the shop",
                f->part ? "/" : "", f->part ? f->part : "", f->rule);
    char place[300];
    snprintf(place, sizeof place, "%s:%d:%d", f->where.file ? f->where.file : "", f->where.line,
             f->where.column);
    paper_text_right(p, x + width, y, PAPER_SMALL, false, place);
    y = paper_wrapped(p, x + 20, y + 5, width - 20, PAPER_TEXT, false, f->says ? f->says : "");
    if (f->fix) {
        y = paper_wrapped(p, x + 20, y, width - 20, PAPER_TEXT, false,
                          kw_format(p->week->arena, "Would mend it: %s", f->fix));
    }
    if (f->signed_by) {
        y = paper_wrapped(p, x + 20, y, width - 20, PAPER_TEXT, true,
                          kw_format(p->week->arena, "Signed: %s", f->signed_by));
    }
    return y + 5;
}

void paper_findings(struct paper *p) {
    if (p->week->findings.count == 0) return;
    struct paper_head head = head_of(p);
    head.kind = "Findings";
    paper_begin(p, head);
    double y = p->top + 4;
    for (int i = 0; i < p->week->findings.count; i++) {
        if (y > p->bottom - 22) {
            paper_begin(p, head);
            y = p->top + 4;
        }
        y = finding(p, &p->week->findings.v[i], y);
    }
}
