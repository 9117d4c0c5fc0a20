// SPDX-License-Identifier: Apache-2.0
// The shop press: which holes are flared with which die, on which side, at what force.
#include "packet/cautions.h"
#include "packet/paper.h"

static void spots(const struct paper *p, const struct kw_examined *what, double x, double y,
                  double w, double h) {
    const struct kw_body *body = what->body;
    struct kw_view view = kw_view_fit(kw_path_box(&body->blank.outer), x + 10, y, w - 10, h - 10);
    struct kw_pen ring = {.width = 0.5, .colour = KW_BLACK, .dash = 1.5, .gap = 1};
    for (int i = 0; i < body->dimple_count; i++) {
        const struct kw_dimple_spot *s = &body->dimples[i];
        const struct kw_dimple_die *d =
            KW_ITEM(struct kw_dimple_die, p->week->shop->dimple_dies, s->die);
        struct kw_vec2 at = kw_view_point(view, s->at);
        struct kw_path c =
            kw_path_circle(p->scratch, at.x, at.y, d->flare / 2 * view.scale, true, 0);
        p->draw.paths(p->draw.user, &c, 1, ring);
        p->draw.text(p->draw.user, at.x, at.y + 1, PAPER_TEXT, KW_CENTRE, true, 0, KW_BLACK,
                     kw_format(p->scratch, "%d", i + 1));
    }
}

static void dimple_table(struct paper *p, const struct kw_make *m, struct paper_head head,
                         double y) {
    static const struct paper_column c[] = {{"no.", 10},    {"die", 20},         {"stands out", 28},
                                            {"when", 34},   {">pre-hole", 26},   {">flare", 24},
                                            {">force", 22}, {">press gives", 26}};
    struct paper_table t = {c, 8, PAPER_MARGIN, y, 7.5, 3.2, head};
    bool some_after = false, bent = m->what->brake && m->what->brake->step_count > 0;
    const struct kw_body *body = m->what->body;
    paper_table_head(p, &t);
    for (int i = 0; i < body->dimple_count; i++) {
        const struct kw_dimple_spot *s = &body->dimples[i];
        const struct kw_dimple_die *d =
            KW_ITEM(struct kw_dimple_die, p->week->shop->dimple_dies, s->die);
        char force[48], gives[48];
        int after = kw_check_flared_after(m->what, i);
        bool last = bent && after == m->what->brake->step_count;
        some_after = some_after || after > 0;
        double wanted = d->force * fmin(1, body->thickness / d->most_thickness);
        kw_force_text(force, wanted, paper_unit(p));
        kw_force_text(gives, p->week->shop->shop_press.rating, paper_unit(p));
        const char *row[] = {kw_format(p->scratch, "%d", i + 1),
                             d->name,
                             s->way == KW_UP ? "up side" : "under side",
                             last        ? "AFTER BENDING"
                             : after > 0 ? kw_format(p->scratch, "AFTER STEP %d", after)
                             : bent      ? "before bending"
                                         : "",
                             paper_length(p, d->pre_hole),
                             paper_length(p, d->flare),
                             force,
                             gives};
        paper_table_row(p, &t, row);
    }
    paper_wrapped(
        p, PAPER_MARGIN, t.y + 3, p->w - 2 * PAPER_MARGIN, 3, false,
        kw_format(p->scratch,
                  "%sDress the edge of each hole first: a plasma-cut edge tears "
                  "sooner than a drilled one. Close the die on a scrap of the same sheet, then on "
                  "the first piece; the force is an estimate from the die's own table. Measure the "
                  "flare across and its height: ________   ________",
                  some_after
                      ? "Those that say AFTER would run into the press brake's tools before: "
                        "flare them when all is bent, or after the step of the bend sheet that "
                        "is named, no later: the part would not go into this press. "
                  : bent ? "Flare before bending. "
                         : ""));
}

void paper_dimple_sheets(struct paper *p) {
    for (int i = 0; i < p->week->make_count; i++) {
        const struct kw_make *m = &p->week->makes[i];
        if (!m->what->body || m->what->body->dimple_count == 0 || m->placed == 0) continue;
        struct paper_head head = {
            .kind = "Dimple sheet",
            .job = paper_job(p, i),
            .part = m->label,
            .revision = m->part->revision,
            .count = kw_format(p->week->arena, "%d + %d spare", m->needed, m->spare),
            .caution = CAUTION_SHOP_PRESS,
            .sign_boxes = true};
        bool other = m->hand == KW_RIGHT_HAND;
        paper_begin(p, head);
        double h = 110, w = p->w - 2 * PAPER_MARGIN; // the page before may lie across
        paper_blank_picture(p, m->what, other, true, PAPER_MARGIN, p->top, w, h);
        if (!other) spots(p, m->what, PAPER_MARGIN, p->top, w, h);
        dimple_table(p, m, head, p->top + h + 8);
    }
}
