// SPDX-License-Identifier: Apache-2.0
// A cell of a pattern: the second piece slides up to the first, the pitch of a column and the step
// to the next are then the least that keep the spacing, found on the exact forbidden polygons.
#include "nest/repeat_cell.h"

#define MOST_RAISES  400 // of a pitch
#define MOST_COLUMNS 64  // within the width of one: more are not looked at

/// Around a piece of that size, sheared.
static struct kw_box2 box_of(struct kw_vec2 size, bool swapped, double slant) {
    if (swapped) size = kw_v2(size.y, size.x);
    double lean = -slant * size.y;
    return (struct kw_box2){{fmin(lean, 0), 0}, {size.x + fmax(lean, 0), size.y}};
}

void cell_make(struct cell *c, const int *poses, int count, bool swapped, double slant) {
    c->p = (struct pattern){.swapped = swapped, .slant = slant, .count = count};
    c->area = 0;
    for (int i = 0; i < count; i++) {
        const struct pose *pose = &c->w->poses[poses[i]];
        c->p.pose[i] = poses[i];
        c->box[i] = box_of(pose->size, swapped, slant);
        c->area += c->w->area[pose->part];
        for (int k = 0; k < count; k++) {
            const struct contact *t = contact_of(&c->w->contacts, poses[i], poses[k]);
            bool same = !swapped && slant == 0;
            c->contact[i][k] = same ? *t : contact_mapped(c->a, t, swapped, slant);
        }
    }
}

/// Where piece k, `by` away from piece i, is forbidden: `end` is raised to the end of what covers
/// by.y upwards. Whether it is.
static bool is_forbidden(struct cell *c, int i, int k, struct kw_vec2 by, double *end) {
    const struct contact *t = &c->contact[i][k];
    bool found = false;
    c->w->work += t->count;
    for (int n = 0; n < t->count; n++) {
        const struct forbidden *f = &t->v[n];
        if (by.x <= f->box.min.x + TOUCH_MM || by.x >= f->box.max.x - TOUCH_MM) continue;
        double from, to;
        forbidden_across(f, by.x, &from, &to);
        if (by.y <= from + TOUCH_MM || by.y >= to - TOUCH_MM) continue;
        found = true;
        *end = fmax(*end, to);
    }
    return found;
}

static struct kw_box2 cell_box(const struct cell *c) {
    struct kw_box2 b = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    for (int i = 0; i < c->p.count; i++) {
        struct kw_vec2 low = kw_add2(c->p.at[i], c->box[i].min);
        struct kw_vec2 high = kw_add2(c->p.at[i], c->box[i].max);
        b.min = kw_v2(fmin(b.min.x, low.x), fmin(b.min.y, low.y));
        b.max = kw_v2(fmax(b.max.x, high.x), fmax(b.max.y, high.y));
    }
    return b;
}

/// Raises a pitch once if some multiple of it is forbidden.
static bool raise_pitch(struct cell *c, double tall) {
    double h = c->p.pitch;
    for (int n = 1; n * h < tall; n++) {
        for (int i = 0; i < c->p.count; i++) {
            for (int k = 0; k < c->p.count; k++) {
                struct kw_vec2 by = kw_sub2(c->p.at[k], c->p.at[i]);
                double end = by.y + n * h;
                if (!is_forbidden(c, i, k, kw_v2(by.x, end), &end)) continue;
                c->p.pitch = fmax((end - by.y) / n, h + 1e-6);
                return true;
            }
        }
    }
    return false;
}

/// The least pitch above what the area needs.
static bool find_pitch(struct cell *c) {
    struct kw_box2 b = cell_box(c);
    double tall = 2 * (b.max.y - b.min.y) + 2 * c->w->options->spacing;
    c->p.pitch = c->area / (b.max.x - b.min.x);
    for (int i = 0; i < MOST_RAISES; i++) {
        if (!raise_pitch(c, tall)) return true;
    }
    return false;
}

/// Whether columns two and more steps away are clear of this one.
static bool steps_clear(struct cell *c, double wide) {
    double h = c->p.pitch, end;
    for (int n = 2; n * c->p.next.x < wide; n++) {
        if (n > MOST_COLUMNS) return false;
        for (int i = 0; i < c->p.count; i++) {
            for (int k = 0; k < c->p.count; k++) {
                struct kw_vec2 by = kw_sub2(c->p.at[k], c->p.at[i]);
                by = kw_add2(by, kw_scale2(c->p.next, n));
                struct kw_box2 b = c->contact[i][k].box;
                by.y -= h * ceil((by.y - b.min.y) / h);
                for (; by.y < b.max.y; by.y += h) {
                    if (is_forbidden(c, i, k, by, &end)) return false;
                }
            }
        }
    }
    return true;
}

/// All that forbids a column one step right of a column.
static int gather_column(struct cell *c, double start) {
    int count = 0;
    double h = c->p.pitch;
    for (int i = 0; i < c->p.count; i++) {
        for (int k = 0; k < c->p.count; k++) {
            const struct contact *t = &c->contact[i][k];
            struct kw_vec2 at = kw_sub2(c->p.at[i], c->p.at[k]);
            double first = -h * floor((at.y + t->box.max.y) / h);
            for (double y = first; at.y + y + t->box.min.y < h; y += h)
                count = add_active(c->w, count, t, kw_v2(at.x, at.y + y), start);
        }
    }
    return count;
}

static bool find_next(struct cell *c) {
    struct kw_box2 b = cell_box(c);
    double wide = 2 * (b.max.x - b.min.x + c->w->options->spacing), reached;
    struct range u = {c->area / c->p.pitch * (1 - 1e-9), wide}, v = {0, c->p.pitch};
    for (int tries = 0; tries < 6; tries++) {
        int count = gather_column(c, u.from);
        if (!first_free(c->w, count, u, v, INFINITY, &c->p.next, &reached)) return false;
        if (steps_clear(c, wide)) return true;
        u.from = c->p.next.x * 1.02;
    }
    return false;
}

bool cell_complete(struct cell *c, double across) {
    c->p.at[0] = kw_v2(0, 0);
    if (c->p.count == 2) {
        double v = (c->box[0].max.y - c->box[1].max.y) / 2;
        for (int i = 0; i < MOST_RAISES && is_forbidden(c, 0, 1, kw_v2(across, v), &v); i++)
            ;
        c->p.at[1] = kw_v2(across, v);
    }
    if (!find_pitch(c) || !find_next(c)) return false;
    c->p.density = c->area / (c->p.pitch * c->p.next.x);
    return true;
}
