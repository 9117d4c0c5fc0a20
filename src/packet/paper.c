// SPDX-License-Identifier: Apache-2.0
// The frame of every sheet, and the words and numbers on it.
#include "packet/paper.h"

#include <qrencode.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const struct kw_pen thin = {.width = 0.25, .colour = {0, 0, 0}};
static const struct kw_pen hair = {.width = 0.15, .colour = {0.55, 0.55, 0.55}};

enum kw_length_unit paper_unit(const struct paper *p) {
    return (enum kw_length_unit)p->week->shop->units;
}

void paper_text(const struct paper *p, double x, double y, double height, bool bold,
                const char *text) {
    p->draw.text(p->draw.user, x, y, height, KW_LEFT, bold, 0, KW_BLACK, text);
}

void paper_text_right(const struct paper *p, double x, double y, double height, bool bold,
                      const char *text) {
    p->draw.text(p->draw.user, x, y, height, KW_RIGHT, bold, 0, KW_BLACK, text);
}

void paper_textf(const struct paper *p, double x, double y, double height, bool bold,
                 const char *fmt, ...) {
    char buf[512];
    va_list args;
    va_start(args, fmt);
    vsnprintf(buf, sizeof buf, fmt, args);
    va_end(args);
    paper_text(p, x, y, height, bold, buf);
}

static double width_of(const struct paper *p, double height, bool bold, const char *text) {
    return p->draw.text_width(p->draw.user, height, bold, text);
}

double paper_wrapped(const struct paper *p, double x, double y, double width, double height,
                     bool bold, const char *text) {
    const char *line = "";
    for (const char *s = text; *s;) {
        size_t n = strcspn(s, " ");
        const char *word = kw_copy_text(p->scratch, s, n);
        const char *longer = *line ? kw_format(p->scratch, "%s %s", line, word) : word;
        if (*line && width_of(p, height, bold, longer) > width) {
            paper_text(p, x, y, height, bold, line);
            y += height * 1.75;
            line = word;
        } else {
            line = longer;
        }
        s += n + strspn(s + n, " ");
    }
    if (*line) paper_text(p, x, y, height, bold, line);
    return y + height * 1.75;
}

void paper_fit(const struct paper *p, double x, double y, double width, double height, bool bold,
               const char *text) {
    double w = width_of(p, height, bold, text);
    if (w > width) height = fmax(PAPER_SMALL, height * width / w);
    const char *shown = text;
    for (size_t n = strlen(text); n > 1 && width_of(p, height, bold, shown) > width * 1.02;) {
        do
            n--;
        while (n > 1 && ((unsigned char)text[n] & 0xC0) == 0x80); // never inside a character
        shown = kw_format(p->scratch, "%.*s..", (int)n, text);
    }
    paper_text(p, x, y, height, bold, shown);
}

void paper_value(const struct paper *p, double x, double y, double width, const char *label,
                 const char *value) {
    paper_fit(p, x, y + PAPER_SMALL, width - 2, PAPER_SMALL, false, label);
    paper_fit(p, x, y + PAPER_SMALL + 2 + PAPER_BIG, width - 2, PAPER_BIG, true, value);
}

void paper_code(const struct paper *p, double x, double y, double size, const char *text) {
    QRcode *code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
    if (!code) return; // longer than the largest code: the words beside it say the same
    double step = size / (code->width + 8); // quiet zone of four modules
    struct kw_path *dark = NULL;
    int count = 0;
    for (int r = 0; r < code->width; r++) {
        for (int c = 0; c < code->width; c++) {
            if (!(code->data[r * code->width + c] & 1)) continue;
            int end = c;
            while (end + 1 < code->width && (code->data[r * code->width + end + 1] & 1))
                end++;
            KW_PUSH(p->scratch, dark, count) =
                kw_path_box_outline(p->scratch, x + (c + 4) * step, y + (r + 4) * step,
                                    x + (end + 5) * step, y + (r + 5) * step, 0);
            c = end;
        }
    }
    struct kw_pen ink = {.fill = true, .fill_colour = KW_BLACK};
    p->draw.paths(p->draw.user, dark, count, ink);
    QRcode_free(code);
}

static void sign_box(const struct paper *p, double x, double y, double w, const char *label) {
    kw_draw_box(&p->draw, x, y, w, 11, thin);
    paper_text(p, x + 1, y + 3, PAPER_SMALL, false, label);
}

static void draw_head(struct paper *p, const struct paper_head *head) {
    double x = PAPER_MARGIN, right = p->w - PAPER_MARGIN, y = PAPER_MARGIN;
    double code = 24;
    char scan[512];
    snprintf(scan, sizeof scan, "KW;%s;%s;%s;%s;%s;%s", p->week->name, head->kind, head->job,
             head->part, head->revision ? head->revision : "", head->count);
    paper_code(p, right - code + 1, y - 4, code, scan);
    paper_textf(p, x, y + 3, PAPER_TEXT, true, "%s", head->kind);
    paper_textf(p, x + 45, y + 3, PAPER_TEXT, false, "%s   run %s   %s", p->week->shop->name,
                p->week->name, paper_date(p, p->week->date));
    double room = right - code - x - 4;
    if (*head->job) paper_text(p, x, y + 13, PAPER_BIG, true, head->job);
    double job_width = *head->job ? width_of(p, PAPER_BIG, true, head->job) + 6 : 0;
    paper_fit(p, x + job_width, y + 13, room - job_width, PAPER_BIG, true, head->part);
    if (head->revision) paper_textf(p, x, y + 20.5, 3.6, true, "REV %s", head->revision);
    if (*head->count)
        paper_fit(p, x + 24, y + 20.5, right - code - x - 60, 3.6, true,
                  kw_format(p->scratch, "make %s", head->count));
    char pages[64];
    snprintf(pages, sizeof pages, "page %d of %d", p->page, p->pages);
    paper_text_right(p, right - code - 2, y + 20.5, 3.2, false, pages);
    kw_draw_line(&p->draw, x, y + 23, right - code - 2, y + 23, thin);
    p->top = y + 30;
    if (head->sign_boxes) {
        sign_box(p, x, y + 25.5, 30, "initials");
        sign_box(p, x + 32, y + 25.5, 30, "made");
        sign_box(p, x + 64, y + 25.5, 30, "scrapped");
        sign_box(p, x + 96, y + 25.5, 40, "date");
        p->top = y + 41;
    }
}

static void draw_foot(struct paper *p, const struct paper_head *head) {
    double x = PAPER_MARGIN, y = p->h - PAPER_MARGIN - 10;
    kw_draw_line(&p->draw, x, y, p->w - PAPER_MARGIN, y, hair);
    p->bottom = y - 2;
    if (head->caution) {
        paper_wrapped(p, x, y + 3.5, p->w - 2 * PAPER_MARGIN, PAPER_SMALL, false, head->caution);
    }
}

void paper_begin(struct paper *p, struct paper_head head) {
    bool inches = paper_unit(p) == KW_IN; // Letter where people read inches, A4 elsewhere (ISO 216)
    double w = inches ? 215.9 : 210, h = inches ? 279.4 : 297;
    kw_arena_free(p->scratch);
    p->w = head.landscape ? h : w;
    p->h = head.landscape ? w : h;
    p->draw = p->pdf ? kw_pdf_page(p->pdf, p->w, p->h) : kw_svg_draw_nothing(p->blind);
    p->page++;
    draw_head(p, &head);
    draw_foot(p, &head);
}

// ---------------------------------------------------------------------------------------- tables

static bool is_right(const struct paper_column *c) {
    return c->title[0] == '>';
}

static void cell(const struct paper *p, const struct paper_table *t, int i, double x, bool bold,
                 const char *text) {
    const struct paper_column *c = &t->columns[i];
    if (!text || !*text) return;
    double w = width_of(p, t->text, bold, text);
    if (is_right(c) && w <= c->width - 2) {
        paper_text_right(p, x + c->width - 2, t->y, t->text, bold, text);
    } else {
        paper_fit(p, x, t->y, c->width - 2, t->text, bold, text);
    }
}

void paper_table_head(struct paper *p, struct paper_table *t) {
    double x = t->x, width = 0;
    for (int i = 0; i < t->count; i++) {
        cell(p, t, i, x, true, t->columns[i].title + is_right(&t->columns[i]));
        x += t->columns[i].width;
        width += t->columns[i].width;
    }
    kw_draw_line(&p->draw, t->x, t->y + 1.5, t->x + width, t->y + 1.5, thin);
    t->y += t->row;
}

void paper_table_row(struct paper *p, struct paper_table *t, const char *const *cells) {
    if (t->y > p->bottom - 1) {
        paper_begin(p, t->head);
        t->y = p->top + 4;
        paper_table_head(p, t);
    }
    double x = t->x, width = 0;
    for (int i = 0; i < t->count; i++)
        width += t->columns[i].width;
    for (int i = 0; i < t->count; i++) {
        cell(p, t, i, x, false, cells[i]);
        x += t->columns[i].width;
    }
    kw_draw_line(&p->draw, t->x, t->y + t->row - t->text - 1.2, t->x + width,
                 t->y + t->row - t->text - 1.2, hair);
    t->y += t->row;
}

// ----------------------------------------------------------------------------------------- words

static const char *keep(const struct paper *p, const char *s) {
    return kw_copy_text(p->week->arena, s, strlen(s));
}

const char *paper_length(const struct paper *p, double mm) {
    char buf[48];
    return keep(p, kw_length_text(buf, mm, paper_unit(p)));
}

const char *paper_tape(const struct paper *p, double mm) {
    char buf[48];
    return kw_format(p->week->arena, "%s %s", kw_tape_text(buf, mm, paper_unit(p)),
                     paper_unit(p) == KW_IN ? "in" : "mm");
}

const char *paper_both(const struct paper *p, double mm) {
    char exact[48], tape[48];
    kw_length_text(exact, mm, paper_unit(p));
    if (paper_unit(p) == KW_MM) return keep(p, exact);
    kw_tape_text(tape, mm, KW_IN);
    return kw_format(p->week->arena, "%s (%s)", exact, tape);
}

const char *paper_degrees(const struct paper *p, double rad) {
    char buf[KW_NUMBER_SIZE];
    return kw_format(p->week->arena, "%s deg", kw_fixed(buf, rad * 180 / KW_PI, 1));
}

const char *paper_mass(const struct paper *p, double kg) {
    char buf[48];
    return keep(p, kw_mass_text(buf, kg, paper_unit(p)));
}

const char *paper_date(const struct paper *p, int yyyymmdd) {
    char buf[KW_NUMBER_SIZE];
    return keep(p, kw_date_text(buf, yyyymmdd));
}

const char *paper_money(const struct paper *p, double amount) {
    char buf[KW_NUMBER_SIZE];
    return kw_format(p->week->arena, "%s %s", kw_fixed(buf, amount, 2), p->week->shop->currency);
}

const char *paper_job(const struct paper *p, int make) {
    return kw_format(p->week->arena, "J%d", make + 1);
}
