// SPDX-License-Identifier: Apache-2.0
#include "verify/torch_shape.h"

#include <math.h>

#define PI 3.14159265358979323846

static double piece_end(const struct kw_piece *p) {
    return p->s + p->length;
}

double kw_pieces_add(struct kw_arena *a, struct kw_pieces *list, const double from[2],
                     const double to[2], const double c[2], double turn, struct kw_piece like) {
    double r = turn != 0 ? hypot(from[0] - c[0], from[1] - c[1]) : 0;
    double length = turn != 0 ? r * fabs(turn) : hypot(to[0] - from[0], to[1] - from[1]);
    double parts = fmax(ceil(length / KW_PIECE_LONGEST), ceil(fabs(turn) / (PI / 2) - 1e-9));
    int n = parts > 1 ? (int)parts : 1;
    double at[2] = {from[0], from[1]};
    // The far end of a program's arc may have a slightly other radius; the last piece goes there.
    for (int i = 1; i <= n; i++) {
        double t = (double)i / n, next[2] = {to[0], to[1]};
        if (i < n && turn == 0) {
            next[0] = from[0] + (to[0] - from[0]) * t;
            next[1] = from[1] + (to[1] - from[1]) * t;
        } else if (i < n) {
            double cs = cos(turn * t), sn = sin(turn * t);
            double x = from[0] - c[0], y = from[1] - c[1];
            next[0] = c[0] + x * cs - y * sn;
            next[1] = c[1] + x * sn + y * cs;
        }
        struct kw_piece p = like;
        p.r = r;
        p.turn = turn / n;
        p.length = length / n;
        for (int k = 0; k < 2; k++) {
            p.a[k] = at[k];
            p.b[k] = at[k] = next[k];
            p.c[k] = turn != 0 ? c[k] : 0;
        }
        like.s = piece_end(&p);
        KW_PUSH(a, list->v, list->count) = p;
    }
    return like.s;
}

void kw_piece_point(const struct kw_piece *p, double part, double at[2]) {
    if (p->r > 0 && part > 0 && part < 1) {
        double cs = cos(p->turn * part), sn = sin(p->turn * part);
        double x = p->a[0] - p->c[0], y = p->a[1] - p->c[1];
        at[0] = p->c[0] + x * cs - y * sn;
        at[1] = p->c[1] + x * sn + y * cs;
        return;
    }
    for (int k = 0; k < 2; k++)
        at[k] = part >= 1 ? p->b[k] : p->a[k] + (p->b[k] - p->a[k]) * part;
}

void kw_piece_direction(const struct kw_piece *p, double part, double d[2]) {
    double at[2], x = p->b[0] - p->a[0], y = p->b[1] - p->a[1];
    if (p->r > 0) {
        kw_piece_point(p, part, at);
        double sign = p->turn > 0 ? 1 : -1;
        x = -sign * (at[1] - p->c[1]);
        y = sign * (at[0] - p->c[0]);
    }
    double length = hypot(x, y);
    d[0] = length > 0 ? x / length : 1;
    d[1] = length > 0 ? y / length : 0;
}

static double cross(double ax, double ay, double bx, double by) {
    return ax * by - ay * bx;
}

double kw_piece_distance(const struct kw_piece *p, const double q[2]) {
    if (p->r > 0) {
        double x = q[0] - p->c[0], y = q[1] - p->c[1], sign = p->turn > 0 ? 1 : -1;
        double past_a = sign * cross(p->a[0] - p->c[0], p->a[1] - p->c[1], x, y);
        double past_b = sign * cross(x, y, p->b[0] - p->c[0], p->b[1] - p->c[1]);
        // Both true only within the (at most quarter) turn.
        if (past_a >= 0 && past_b >= 0) return fabs(sqrt(x * x + y * y) - p->r);
        double da = (q[0] - p->a[0]) * (q[0] - p->a[0]) + (q[1] - p->a[1]) * (q[1] - p->a[1]);
        double db = (q[0] - p->b[0]) * (q[0] - p->b[0]) + (q[1] - p->b[1]) * (q[1] - p->b[1]);
        return sqrt(da < db ? da : db);
    }
    double dx = p->b[0] - p->a[0], dy = p->b[1] - p->a[1], l2 = dx * dx + dy * dy;
    double t = l2 > 0 ? ((q[0] - p->a[0]) * dx + (q[1] - p->a[1]) * dy) / l2 : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    double x = q[0] - p->a[0] - t * dx, y = q[1] - p->a[1] - t * dy;
    return sqrt(x * x + y * y);
}

// A box that surely holds the piece: an arc of at most a quarter bulges by at most 0.293 r beyond
// its chord, and by no more than its chord's length.
static void piece_box(const struct kw_piece *p, double box[4]) {
    double chord = hypot(p->b[0] - p->a[0], p->b[1] - p->a[1]);
    double more = p->r > 0 ? fmin(0.3 * p->r, chord) + 0.003 : 0;
    for (int k = 0; k < 2; k++) {
        box[k] = fmin(p->a[k], p->b[k]) - more;
        box[2 + k] = fmax(p->a[k], p->b[k]) + more;
    }
}

static void extent(const struct kw_pieces *pieces, double all[4]) {
    for (int i = 0; i < pieces->count; i++) {
        double box[4];
        piece_box(&pieces->v[i], box);
        for (int k = 0; k < 2; k++) {
            all[k] = i == 0 ? box[k] : fmin(all[k], box[k]);
            all[2 + k] = i == 0 ? box[2 + k] : fmax(all[2 + k], box[2 + k]);
        }
    }
}

static int clamp_cell(double v, int n) {
    return v < 0 ? 0 : v >= n ? n - 1 : (int)v;
}

static void cells_of(const struct kw_grid *g, const double box[4], int c[4]) {
    c[0] = clamp_cell((box[0] - g->x) / g->cell, g->nx);
    c[1] = clamp_cell((box[1] - g->y) / g->cell, g->ny);
    c[2] = clamp_cell((box[2] - g->x) / g->cell, g->nx);
    c[3] = clamp_cell((box[3] - g->y) / g->cell, g->ny);
}

// Counts (fill false) or stores the pieces of every cell.
static void enter(struct kw_grid *g, int *at, bool fill) {
    for (int i = 0; i < g->pieces->count; i++) {
        double box[4];
        int c[4];
        piece_box(&g->pieces->v[i], box);
        cells_of(g, box, c);
        for (int y = c[1]; y <= c[3]; y++) {
            for (int x = c[0]; x <= c[2]; x++) {
                int cell = y * g->nx + x;
                if (fill) g->item[at[cell]] = i;
                at[cell]++;
            }
        }
    }
}

void kw_grid_make(struct kw_arena *a, struct kw_grid *g, const struct kw_pieces *pieces) {
    double all[4] = {0, 0, 0, 0};
    extent(pieces, all);
    *g = (struct kw_grid){.pieces = pieces, .x = all[0], .y = all[1]};
    g->cell = fmax(8, fmax(all[2] - all[0], all[3] - all[1]) / 500);
    g->nx = (int)((all[2] - all[0]) / g->cell) + 1;
    g->ny = (int)((all[3] - all[1]) / g->cell) + 1;
    int cells = g->nx * g->ny;
    g->start = KW_NEW_ARRAY(a, int, cells + 1);
    int *at = KW_NEW_ARRAY(a, int, cells + 1);
    enter(g, at, false);
    for (int i = 0, sum = 0; i <= cells; i++) {
        int n = at[i];
        g->start[i] = at[i] = sum;
        sum += n;
    }
    g->item = KW_NEW_ARRAY(a, int, g->start[cells] + 1);
    enter(g, at, true);
    g->seen = KW_NEW_ARRAY(a, int, pieces->count + 1);
    g->found = KW_NEW_ARRAY(a, int, pieces->count + 1);
}

static int near_box(struct kw_grid *g, const double box[4], int owner) {
    int c[4], count = 0;
    g->stamp++;
    cells_of(g, box, c);
    for (int y = c[1]; y <= c[3]; y++) {
        for (int k = g->start[y * g->nx + c[0]]; k < g->start[y * g->nx + c[2] + 1]; k++) {
            int i = g->item[k];
            const struct kw_piece *p = &g->pieces->v[i];
            if (g->seen[i] == g->stamp || (owner >= 0 && p->owner != owner)) continue;
            g->seen[i] = g->stamp;
            double b[4];
            piece_box(p, b);
            if (b[0] > box[2] || b[2] < box[0] || b[1] > box[3] || b[3] < box[1]) continue;
            g->found[count++] = i;
        }
    }
    return count;
}

int kw_grid_near(struct kw_grid *g, const struct kw_piece *p, double reach, int owner) {
    double box[4];
    piece_box(p, box);
    box[0] -= reach;
    box[1] -= reach;
    box[2] += reach;
    box[3] += reach;
    return near_box(g, box, owner);
}

int kw_grid_near_point(struct kw_grid *g, const double q[2], double reach, int owner) {
    double box[4] = {q[0] - reach, q[1] - reach, q[0] + reach, q[1] + reach};
    return near_box(g, box, owner);
}

double kw_grid_distance(const struct kw_grid *g, int count, const double q[2], int *owner_out) {
    double best = INFINITY;
    int owner = -1;
    for (int k = 0; k < count; k++) {
        const struct kw_piece *p = &g->pieces->v[g->found[k]];
        double d = kw_piece_distance(p, q);
        if (!(d < best)) continue;
        best = d;
        owner = p->owner;
    }
    if (owner_out) *owner_out = owner;
    return best;
}
