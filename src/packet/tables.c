// SPDX-License-Identifier: Apache-2.0
// What a terminal shows: plain text, at most 100 columns.
#include "packet/packet.h"

#include <stdio.h>
#include <string.h>

static enum kw_length_unit unit_of(const struct kw_shop *shop) {
    return (enum kw_length_unit)shop->units;
}

static void padded(struct kw_text *out, const char *s, int width) {
    kw_text_addf(out, "%-*s", width, s);
}

static void wrapped(struct kw_text *out, const char *lead, const char *s) {
    int room = 100 - (int)strlen(lead), used = 0;
    kw_text_add(out, lead);
    while (*s) {
        int n = (int)strcspn(s, " ");
        if (used > 0 && used + 1 + n > room) {
            kw_text_addf(out, "\n%*s", (int)strlen(lead), "");
            used = 0;
        }
        kw_text_addf(out, "%s%.*s", used ? " " : "", n, s);
        used += n + (used ? 1 : 0);
        s += (size_t)n + strspn(s + n, " ");
    }
    kw_text_add(out, "\n");
}

static void print_finding(const struct kw_finding *f, struct kw_text *out) {
    static const char *const word[] = {"note", "RISK", "STOP"};
    kw_text_addf(out, "%s  %s%s%s  [%s]", word[f->level], f->kit ? f->kit : "shop",
                 f->part ? "/" : "", f->part ? f->part : "", f->rule);
    if (f->where.file)
        kw_text_addf(out, "  %s:%d:%d", f->where.file, f->where.line, f->where.column);
    kw_text_add(out, "\n");
    wrapped(out, "      ", f->says ? f->says : "");
    if (f->fix) wrapped(out, "      would mend it: ", f->fix);
    if (f->signed_by) wrapped(out, "      signed: ", f->signed_by);
}

void kw_packet_print_findings(const struct kw_findings *findings, struct kw_text *out) {
    for (int i = 0; i < findings->count; i++)
        print_finding(&findings->v[i], out);
    int signed_risks = kw_findings_at_level(findings, KW_RISK, false) -
                       kw_findings_at_level(findings, KW_RISK, true);
    kw_text_addf(out, "%d stop, %d risk (%d signed), %d note\n",
                 kw_findings_at_level(findings, KW_STOP, false),
                 kw_findings_at_level(findings, KW_RISK, false), signed_risks,
                 kw_findings_at_level(findings, KW_NOTE, false));
}

// ------------------------------------------------------------------------------------------ part

static void length_line(const struct kw_shop *shop, struct kw_text *out, const char *what,
                        double mm) {
    char exact[48], tape[48];
    kw_length_text(exact, mm, unit_of(shop));
    kw_tape_text(tape, mm, unit_of(shop));
    if (unit_of(shop) == KW_IN) {
        kw_text_addf(out, "  %-26s %10s  (%s)\n", what, exact, tape);
    } else {
        kw_text_addf(out, "  %-26s %10s\n", what, exact);
    }
}

static void print_bend(const struct kw_shop *shop, const struct kw_bend *b, struct kw_text *out) {
    char leg[48], radius[48], deduction[48], allowance[48];
    enum kw_length_unit u = unit_of(shop);
    kw_text_addf(
        out,
        "  %-8s %6.1f deg %-5s leg %-10s radius %-10s deduction %-10s allowance %-10s by %s%s\n",
        b->id, b->angle * 180 / KW_PI, b->way == KW_UP ? "up" : "down",
        kw_length_text(leg, b->legs[1], u), kw_length_text(radius, b->radius, u),
        kw_length_text(deduction, b->deduction, u), kw_length_text(allowance, b->allowance, u),
        b->source,
        b->kind == KW_BEND_HAND  ? "  by hand"
        : b->kind == KW_BEND_HEM ? "  hem"
                                 : "");
}

static void print_body(const struct kw_shop *shop, const struct kw_body *body,
                       struct kw_text *out) {
    struct kw_vec3 size = kw_sub3(body->folded.max, body->folded.min);
    struct kw_box2 box = kw_path_box(&body->blank.outer);
    kw_text_add(out, "finished, outside to outside\n");
    length_line(shop, out, "left to right", size.x);
    length_line(shop, out, "front to back", size.y);
    length_line(shop, out, "height", size.z);
    kw_text_add(out, "blank\n");
    length_line(shop, out, "left to right", box.max.x - box.min.x);
    length_line(shop, out, "front to back", box.max.y - box.min.y);
    kw_text_addf(out, "  %-26s %10d\n", "holes", body->blank.hole_count);
    if (body->bend_count > 0) kw_text_add(out, "bends (turned from flat)\n");
    for (int i = 0; i < body->bend_count; i++)
        print_bend(shop, &body->bends[i], out);
}

static void print_tube(const struct kw_shop *shop, const struct kw_examined *what,
                       struct kw_text *out) {
    struct kw_vec3 size = kw_sub3(what->box.max, what->box.min);
    kw_text_add(out, "finished, outside to outside\n");
    length_line(shop, out, "left to right", size.x);
    length_line(shop, out, "front to back", size.y);
    length_line(shop, out, "height", size.z);
    length_line(shop, out, "cut length", what->cut_length);
    if (what->tube->count > 0) kw_text_add(out, "bends\n");
    for (int i = 0; i < what->tube->count; i++) {
        const struct kw_tube_bend *b = &what->tube->bends[i];
        char straight[48], mark[48], tape[48];
        enum kw_length_unit u = unit_of(shop);
        kw_length_text(straight, b->straight, u);
        kw_length_text(mark, what->marks[i].start, u);
        kw_text_addf(out,
                     "  %-3d straight %-10s turn tube %7.1f deg  bend %6.1f deg (set %.1f)  mark "
                     "at %s (%s)\n",
                     i + 1, straight,
                     kw_tube_turned_by(b->rotate, what->marks[i].turning) * 180 / KW_PI,
                     b->angle * 180 / KW_PI, what->marks[i].angle_under_load * 180 / KW_PI, mark,
                     kw_tape_text(tape, what->marks[i].start, u));
    }
}

static void print_drawing(const struct kw_part *part, struct kw_text *out) {
    kw_text_addf(out,
                 "from %s: %d piece%s joined, %d dropped (no length or drawn twice), %d passed "
                 "over\n",
                 part->flat, part->drawn_joined, part->drawn_joined == 1 ? "" : "s",
                 part->drawn_dropped, part->drawn_ignored);
}

void kw_packet_print_part(const struct kw_shop *shop, const struct kw_examined *what,
                          struct kw_text *out) {
    char mass[48];
    kw_text_addf(out, "%s/%s  rev %s  %s\n", what->kit->name, what->part->name,
                 what->part->revision, what->part->stock.text);
    if (what->part->flat) print_drawing(what->part, out);
    if (what->body) print_body(shop, what->body, out);
    if (what->tube) print_tube(shop, what, out);
    kw_text_addf(out, "mass %s   code to sign a risk with: %s\n",
                 kw_mass_text(mass, what->mass, unit_of(shop)), what->part->code);
}

// ------------------------------------------------------------------------------------------ week

static void print_kits(const struct kw_week *w, struct kw_text *out) {
    kw_text_add(out, "kits                     wanted  filled  due         cost      price\n");
    for (int i = 0; i < w->run_kit_count; i++) {
        const struct kw_run_kit *k = &w->run_kits[i];
        char cost[KW_NUMBER_SIZE] = "-", price[KW_NUMBER_SIZE] = "-", due[KW_NUMBER_SIZE] = "";
        for (int c = 0; c < w->cost_count; c++) {
            if (w->costs[c].kit != k->kit) continue;
            kw_fixed(cost, w->costs[c].total, 2);
            kw_fixed(price, w->costs[c].price, 2);
        }
        if (k->due) kw_date_text(due, k->due);
        kw_text_add(out, "  ");
        padded(out, k->kit->name, 23);
        kw_text_addf(out, "%6d  %6d  %-10s %8s %10s %s\n", k->ordered, k->boxed, due, cost, price,
                     w->shop->currency);
    }
}

static void print_sheets(const struct kw_week *w, struct kw_text *out) {
    if (w->sheet_count == 0) return;
    kw_text_add(out,
                "sheets                                  size              times   min  yield\n");
    for (int i = 0; i < w->sheet_count; i++) {
        const struct kw_run_sheet *s = &w->sheets[i];
        char length[48], width[48], size[100];
        snprintf(size, sizeof size, "%s x %s", kw_tape_text(length, s->width, unit_of(w->shop)),
                 kw_tape_text(width, s->height, unit_of(w->shop)));
        kw_text_addf(out, "  %-4s %-32s %-18s %4d %6.1f  %3.0f %%%s\n", s->id,
                     kw_packet_sheet_text(w->arena, s), size, s->times, s->cut.cut_time / 60,
                     s->density * 100, s->program ? "" : "  NO PROGRAM");
    }
}

const char *kw_packet_sheet_text(struct kw_arena *a, const struct kw_run_sheet *s) {
    const struct kw_rack_item *r = s->rack;
    if (!r || (!r->painted && r->outline.count == 0 && r->spoiled.count == 0)) return s->stock.text;
    return kw_format(a, r->painted ? "%s, drop %s" : "%s, a drop%s", s->stock.text,
                     r->painted ? r->painted : "");
}

static void print_saws(const struct kw_week *w, struct kw_text *out) {
    for (int i = 0; i < w->saw_count; i++) {
        const struct kw_run_saw *s = &w->saws[i];
        kw_text_addf(out, "sticks  %-34s %d stick%s, cut in %d way%s%s", s->stock.text,
                     s->plan.sticks, s->plan.sticks == 1 ? "" : "s", s->plan.pattern_count,
                     s->plan.pattern_count == 1 ? "" : "s",
                     s->plan.proven ? ", no cheaper plan (proven)" : "");
        if (s->plan.kept_worth > 0)
            kw_text_addf(out, ", leftovers kept are worth %.2f", s->plan.kept_worth);
        kw_text_add(out, "\n");
    }
}

static void print_loads(const struct kw_week *w, struct kw_text *out) {
    kw_text_add(out, "hours  ");
    for (int i = 0; i < w->load_count; i++) {
        kw_text_addf(out, "%s%s %.1f of %.1f%s", i ? "   " : "", w->loads[i].machine,
                     w->loads[i].hours, w->loads[i].available,
                     w->loads[i].hours > w->loads[i].available ? " !" : "");
    }
    kw_text_add(out, "\n");
}

static void print_buys(const struct kw_week *w, struct kw_text *out) {
    double sum = 0;
    for (int i = 0; i < w->buy_count; i++)
        sum += w->buys[i].price;
    kw_text_addf(out, "to buy, %.2f %s in all\n", kw_cents(sum), w->shop->currency);
    for (int i = 0; i < w->buy_count; i++) {
        char price[KW_NUMBER_SIZE];
        kw_text_addf(out, "  %4d x %-14s %-52s %10s\n", w->buys[i].count, w->buys[i].unit,
                     w->buys[i].what, kw_fixed(price, w->buys[i].price, 2));
    }
}

static void print_left_out(const struct kw_week *w, struct kw_text *out) {
    if (w->left_out_count == 0) return;
    kw_text_add(out, "LEFT OUT\n");
    for (int i = 0; i < w->left_out_count; i++) {
        const struct kw_left_out *l = &w->left_out[i];
        char line[1024];
        snprintf(line, sizeof line, "%s%s%s: %s", l->kit, *l->part ? "/" : "", l->part, l->why);
        char lead[32];
        snprintf(lead, sizeof lead, "  %4d x ", l->count);
        wrapped(out, lead, line);
    }
}

static void print_cartons(const struct kw_week *w, struct kw_text *out) {
    for (int i = 0; i < w->packing_count; i++) {
        const struct kw_run_packing *p = &w->packings[i];
        for (int c = 0; c < p->plan.carton_count; c++) {
            char mass[48], bill[48];
            const struct kw_carton *k = &p->plan.cartons[c];
            kw_text_addf(out, "carton  %-22s %d of %d in %-22s %s, billed %s\n", p->kit->name,
                         c + 1, p->plan.carton_count,
                         KW_ITEM(struct kw_box_size, w->shop->cartons, k->kind)->name,
                         kw_mass_text(mass, k->gross_mass, unit_of(w->shop)),
                         kw_mass_text(bill, k->billable_mass, unit_of(w->shop)));
        }
    }
}

static void print_extras(const struct kw_week *w, struct kw_text *out) {
    double worth = 0;
    int coupons = 0, fillers = 0;
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        *(m->use == KW_MAKE_COUPON ? &coupons : &fillers) += m->extra_placed;
        worth += m->value * m->extra_placed;
    }
    if (coupons > 0)
        kw_text_addf(out, "scrap   %d test piece%s\n", coupons, coupons > 1 ? "s" : "");
    char buf[KW_NUMBER_SIZE];
    if (fillers > 0)
        kw_text_addf(out, "scrap   %d filler%s, worth %s %s\n", fillers, fillers > 1 ? "s" : "",
                     kw_fixed(buf, worth, 2), w->shop->currency);
}

void kw_packet_print_week(const struct kw_week *w, struct kw_text *out) {
    print_left_out(w, out);
    print_kits(w, out);
    print_sheets(w, out);
    print_extras(w, out);
    print_saws(w, out);
    print_cartons(w, out);
    print_loads(w, out);
    print_buys(w, out);
}

void kw_packet_print_quote(const struct kw_week *w, int count, struct kw_text *out) {
    print_left_out(w, out);
    for (int i = 0; i < w->cost_count; i++) {
        const struct kw_cost *c = &w->costs[i];
        kw_text_addf(out, "%s, a run of %d, each in %s\n", c->kit->name, count, w->shop->currency);
        const struct {
            const char *name;
            double v;
        } row[] = {{"material, skeleton and scrap in it", c->material},
                   {"machine time", c->machine},
                   {"labour", c->labour},
                   {"hardware", c->hardware},
                   {"packing", c->packing},
                   {"cost", c->total},
                   {"price", c->price}};
        for (int r = 0; r < 7; r++) {
            char buf[KW_NUMBER_SIZE];
            kw_text_addf(out, "  %-38s %10s\n", row[r].name, kw_fixed(buf, row[r].v, 2));
        }
        kw_text_addf(out, "  margin %.0f %% of the price, card fee %.1f %% of it%s\n",
                     w->shop->rates.margin * 100, w->shop->rates.card_fee * 100,
                     c->kit->price > 0 ? "; price as asked in the kit file" : "");
    }
    print_cartons(w, out);
}
