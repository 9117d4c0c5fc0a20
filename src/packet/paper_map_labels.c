// SPDX-License-Identifier: Apache-2.0
// Labels of a sheet map: the number in the order of cutting, where there is room the job and the
// name of the part; on metal, clear of holes, as large as fits.
#include "packet/paper.h"

#include <math.h>

#define COLUMNS    64 // of the raster in which metal is looked for
#define ROWS       48
#define LARGE_HOLE 0.15 // of the part's box: looked up as it is
#define CHORD      0.2  // radians of an arc
#define LARGEST    3.4  // mm of paper
#define NAME_TEXT  2.4
#define LINE_GAP   0.7
#define EDGE       0.5 // mm kept clear about a label

struct raster { // of one placed part
    struct kw_box2 box;
    bool flips[ROWS][COLUMNS], blocked[ROWS][COLUMNS];
    int sum[ROWS + 1][COLUMNS + 1]; ///< cells of metal left of and below
};

// A chord flips all cells of the rows that it crosses, right of it (even-odd).
static void flip_right(struct raster *r, struct kw_vec2 a, struct kw_vec2 b) {
    struct kw_vec2 size = kw_sub2(r->box.max, r->box.min);
    if (a.y > b.y) {
        struct kw_vec2 c = a;
        a = b;
        b = c;
    }
    int first = (int)fmax(ceil((a.y - r->box.min.y) / size.y * ROWS - 0.5), 0);
    for (int y = first; y < ROWS; y++) {
        double at = r->box.min.y + size.y * (y + 0.5) / ROWS;
        if (!(at < b.y)) return;
        if (at < a.y) continue; // by rounding
        double x = a.x + (at - a.y) / (b.y - a.y) * (b.x - a.x);
        int column = (int)fmin(fmax(ceil((x - r->box.min.x) / size.x * COLUMNS - 0.5), 0), COLUMNS);
        if (column < COLUMNS) r->flips[y][column] ^= 1;
    }
}

static void flip_path(struct raster *r, const struct kw_path *p) {
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_segment s = kw_path_segment(p, i);
        int n = s.radius > 0 ? (int)ceil(fabs(s.sweep) / CHORD) : 1;
        struct kw_vec2 from = s.a;
        for (int k = 1; k <= n; k++) {
            struct kw_vec2 to = k < n ? kw_segment_point(s, (double)k / n) : s.b;
            flip_right(r, from, to);
            from = to;
        }
    }
}

static int cell_of(double at, double low, double high, int cells) {
    return (int)fmin(fmax(floor((at - low) / (high - low) * cells), 0), cells - 1);
}

// Small openings, letters among them, slip through the raster: the cells of their boxes are taken.
static void block_hole(struct raster *r, const struct kw_path *hole) {
    struct kw_box2 b = kw_path_box(hole), all = r->box;
    double share = (b.max.x - b.min.x) * (b.max.y - b.min.y) /
                   ((all.max.x - all.min.x) * (all.max.y - all.min.y));
    if (share > LARGE_HOLE) return;
    int x0 = cell_of(b.min.x, all.min.x, all.max.x, COLUMNS);
    int x1 = cell_of(b.max.x, all.min.x, all.max.x, COLUMNS);
    int y0 = cell_of(b.min.y, all.min.y, all.max.y, ROWS);
    int y1 = cell_of(b.max.y, all.min.y, all.max.y, ROWS);
    for (int y = y0; y <= y1; y++)
        for (int x = x0; x <= x1; x++)
            r->blocked[y][x] = true;
}

static void fill_raster(struct raster *r, const struct kw_region *region) {
    *r = (struct raster){.box = kw_path_box(&region->outer)};
    flip_path(r, &region->outer);
    for (int h = 0; h < region->hole_count; h++)
        flip_path(r, &region->holes[h]);
    for (int h = 0; h < region->hole_count; h++)
        block_hole(r, &region->holes[h]);
    for (int y = 0; y < ROWS; y++) {
        bool metal = false;
        for (int x = 0, row = 0; x < COLUMNS; x++) {
            metal = metal != r->flips[y][x];
            row += metal && !r->blocked[y][x];
            r->sum[y + 1][x + 1] = r->sum[y][x + 1] + row;
        }
    }
}

// A place for a label of w x h mm of sheet, all on metal, nearest to the middle of the box.
static bool find_room(const struct raster *r, double w, double h, struct kw_vec2 *at) {
    struct kw_vec2 size = kw_sub2(r->box.max, r->box.min);
    int cw = (int)ceil(w / size.x * COLUMNS), ch = (int)ceil(h / size.y * ROWS);
    double best = INFINITY;
    for (int y = 0; y + ch <= ROWS; y++) {
        for (int x = 0; x + cw <= COLUMNS; x++) {
            int metal =
                r->sum[y + ch][x + cw] - r->sum[y][x + cw] - r->sum[y + ch][x] + r->sum[y][x];
            double dx = ((x + cw / 2.0) / COLUMNS - 0.5) * size.x;
            double dy = ((y + ch / 2.0) / ROWS - 0.5) * size.y, off = dx * dx + dy * dy;
            if (metal < cw * ch || !(off < best)) continue;
            best = off;
            *at = kw_v2(r->box.min.x + size.x * (x + cw / 2.0) / COLUMNS,
                        r->box.min.y + size.y * (y + ch / 2.0) / ROWS);
        }
    }
    return best < INFINITY;
}

struct label {
    const char *number, *name; ///< name NULL: not shown
    double text;               ///< height of the number, mm of paper
    double w, h;
};

static struct label label_of(const struct kw_draw *d, const char *number, const char *name,
                             double text) {
    struct label l = {number, name, text, d->text_width(d->user, text, true, number), text};
    if (!name) return l;
    l.w = fmax(l.w, d->text_width(d->user, NAME_TEXT, false, name));
    l.h += LINE_GAP + NAME_TEXT;
    return l;
}

static void draw_label(const struct kw_draw *d, const struct label *l, struct kw_vec2 q,
                       bool upright) {
    // Upright text runs upwards: its lines stand side by side.
    double angle = upright ? KW_PI / 2 : 0, down = l->text - l->h / 2;
    double x = q.x + (upright ? down : 0), y = q.y + (upright ? 0 : down);
    d->text(d->user, x, y, l->text, KW_CENTRE, true, angle, KW_BLACK, l->number);
    if (!l->name) return;
    double more = LINE_GAP + NAME_TEXT;
    d->text(d->user, x + (upright ? more : 0), y + (upright ? 0 : more), NAME_TEXT, KW_CENTRE,
            false, angle, KW_BLACK, l->name);
}

// Narrower than any label: a patch keeps it readable.
static void draw_patch(const struct kw_draw *d, const struct label *l, struct kw_vec2 q) {
    struct kw_pen paper = {.fill = true, .fill_colour = KW_GREY(0.98)};
    kw_draw_box(d, q.x - l->w / 2 - 0.3, q.y - l->h / 2 - 0.4, l->w + 0.6, l->h + 0.8, paper);
    draw_label(d, l, q, false);
}

// The first that fits, lying or upright: number and job with the name, without it, smaller, the
// number alone.
static void place_label(const struct kw_draw *d, const struct raster *r, struct kw_view view,
                        const char *number, const char *with_job, const char *name,
                        double least_text) {
    const struct label tries[] = {
        label_of(d, with_job, name, LARGEST),
        label_of(d, with_job, NULL, LARGEST),
        label_of(d, with_job, NULL, 2.8),
        label_of(d, with_job, NULL, least_text),
        label_of(d, number, NULL, fmax(2.4, least_text)),
        label_of(d, number, NULL, least_text),
    };
    const size_t count = sizeof tries / sizeof *tries;
    struct kw_vec2 at;
    for (size_t i = 0; i < count; i++) {
        for (int upright = 0; upright < 2; upright++) {
            const struct label *l = &tries[i];
            double w = (l->w + 2 * EDGE) / view.scale, h = (l->h + 2 * EDGE) / view.scale;
            if (!find_room(r, upright ? h : w, upright ? w : h, &at)) continue;
            draw_label(d, l, kw_view_point(view, at), upright);
            return;
        }
    }
    draw_patch(d, &tries[count - 1], kw_view_point(view, kw_lerp2(r->box.min, r->box.max, 0.5)));
}

void paper_map_labels(const struct kw_draw *d, struct kw_arena *a, const struct kw_week *w,
                      const struct kw_run_sheet *s, struct kw_view view, double least_text) {
    struct raster *r = KW_NEW(a, struct raster);
    for (int c = 0, order = 0; c < s->cut.contour_count; c++) {
        const struct kw_cut_contour *k = &s->cut.contours[c];
        if (k->part < 0 || k->hole >= 0) continue;
        const struct kw_nest_placement *p = &s->placements[k->part];
        struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
        struct kw_region region = kw_region_moved(a, &w->makes[p->part].blank, m);
        const char *number = kw_format(a, "%d", ++order);
        fill_raster(r, &region);
        place_label(d, r, view, number, kw_format(a, "%s:J%d", number, p->part + 1),
                    w->makes[p->part].part->name, least_text);
    }
}
