// SPDX-License-Identifier: Apache-2.0
// Minkowski sums of convex pieces, with a cache. The disc of the spacing is a polygon around it
// with sides square to the axes and to the diagonals: exact in those directions, at most 2 % too
// wide in between.
#include "nest/contact.h"

#include <string.h>

#define DISC_SIDES  16
#define CACHE_BYTES ((size_t)96 << 20)

struct contact_entry {
    int fixed, moving; ///< both 0 and contact NULL: free
    struct contact *contact;
};

static int lowest(const struct convex *p) {
    int best = 0;
    for (int i = 1; i < p->count; i++) {
        struct kw_vec2 a = p->v[i], b = p->v[best];
        if (a.y < b.y || (a.y == b.y && a.x < b.x)) best = i;
    }
    return best;
}

/// The same polygon, lowest point first and the first once more at its end: what `sum` adds.
static struct convex ringed(struct kw_arena *a, const struct convex *p, double sign) {
    struct convex r = {KW_NEW_ARRAY(a, struct kw_vec2, p->count + 1), p->count};
    for (int i = 0; i < p->count; i++)
        r.v[i] = kw_scale2(p->v[i], sign);
    int first = lowest(&r);
    for (int i = 0; i <= p->count; i++)
        r.v[i] = kw_scale2(p->v[(first + i) % p->count], sign);
    return r;
}

/// Sum of two ringed polygons: their edges in the order of their directions. Lowest point first.
static struct convex sum(struct kw_vec2 *room, const struct convex *p, const struct convex *q) {
    int i = 0, j = 0;
    struct convex s = {room, 0};
    while (i < p->count || j < q->count) {
        struct kw_vec2 a = p->v[i], b = q->v[j];
        s.v[s.count++] = kw_add2(a, b);
        double turn = i == p->count   ? -1
                      : j == q->count ? 1
                                      : kw_cross2(kw_sub2(p->v[i + 1], a), kw_sub2(q->v[j + 1], b));
        i += turn >= 0;
        j += turn <= 0;
    }
    return s;
}

/// A regular polygon around the disc of radius r, its sides touching it at 0, 22.5, 45 ... degrees.
static struct convex disc(struct kw_vec2 *room, double r) {
    struct convex d = {room, DISC_SIDES};
    double t = tan(KW_PI / DISC_SIDES); // half a side of the polygon around the unit disc
    for (int i = 0; i < DISC_SIDES; i++) {
        struct kw_move2 m = kw_move2_make(0, 0, 2 * KW_PI * i / DISC_SIDES, false);
        d.v[i] = kw_move2_point(m, kw_v2(r, t * r));
    }
    return d;
}

/// The chains take up to two points more than the polygon has.
static struct forbidden chains(struct kw_vec2 *room, const struct convex *p) {
    int left = 0, right = 0; // the lower of the leftmost, the lower of the rightmost points
    int n = p->count;
    struct forbidden f = {.box = {p->v[0], p->v[0]}};
    for (int i = 1; i < n; i++) {
        struct kw_vec2 q = p->v[i], l = p->v[left], r = p->v[right];
        if (q.x < l.x || (q.x == l.x && q.y < l.y)) left = i;
        if (q.x > r.x || (q.x == r.x && q.y < r.y)) right = i;
        f.box.min.y = fmin(f.box.min.y, q.y);
        f.box.max.y = fmax(f.box.max.y, q.y);
    }
    f.box.min.x = p->v[left].x;
    f.box.max.x = p->v[right].x;
    int low_count = (right - left + n) % n + 1, high_count = n - low_count + 2;
    struct kw_vec2 *low = room, *high = room + low_count;
    for (int i = 0; i < low_count; i++)
        low[i] = p->v[(left + i) % n];
    for (int i = 0; i < high_count; i++)
        high[i] = p->v[(left + n - i) % n];
    f.low = low;
    f.high = high;
    f.low_count = low_count;
    f.high_count = high_count;
    return f;
}

/// Height at u of a chain that runs with rising u.
static struct sloped chain_height(const struct kw_vec2 *c, int count, double u) {
    int a = 0, b = count - 1;
    while (b - a > 1) {
        int m = (a + b) / 2;
        if (c[m].x <= u)
            a = m;
        else
            b = m;
    }
    double run = c[b].x - c[a].x, slope = run > 0 ? (c[b].y - c[a].y) / run : 0;
    return (struct sloped){c[a].y + slope * (u - c[a].x), slope};
}

struct sloped forbidden_bottom(const struct forbidden *f, double u) {
    return chain_height(f->low, f->low_count, u);
}

struct sloped forbidden_top(const struct forbidden *f, double u) {
    return chain_height(f->high, f->high_count, u);
}

void forbidden_across(const struct forbidden *f, double u, double *from, double *to) {
    *from = chain_height(f->low, f->low_count, u).v;
    *to = chain_height(f->high, f->high_count, u).v;
}

bool forbids(const struct forbidden *f, struct kw_vec2 at) {
    const struct kw_box2 *b = &f->box;
    if (at.x <= b->min.x + TOUCH_MM || at.x >= b->max.x - TOUCH_MM) return false;
    if (at.y <= b->min.y + TOUCH_MM || at.y >= b->max.y - TOUCH_MM) return false;
    double from, to;
    forbidden_across(f, at.x, &from, &to);
    return at.y > from + TOUCH_MM && at.y < to - TOUCH_MM;
}

/// Whether p lies in f, border included.
static bool holds(const struct forbidden *f, struct kw_vec2 p) {
    if (p.x < f->box.min.x || p.x > f->box.max.x) return false;
    double from, to;
    forbidden_across(f, p.x, &from, &to);
    return p.y >= from && p.y <= to;
}

static bool covers(const struct forbidden *big, const struct forbidden *small) {
    if (small->box.min.x < big->box.min.x || small->box.max.x > big->box.max.x ||
        small->box.min.y < big->box.min.y || small->box.max.y > big->box.max.y) {
        return false;
    }
    for (int i = 0; i < small->low_count; i++) {
        if (!holds(big, small->low[i])) return false;
    }
    for (int i = 0; i < small->high_count; i++) {
        if (!holds(big, small->high[i])) return false;
    }
    return true;
}

static struct forbidden kept(struct kw_arena *a, struct forbidden f) {
    struct kw_vec2 *v = KW_NEW_ARRAY(a, struct kw_vec2, f.low_count + f.high_count);
    memcpy(v, f.low, sizeof *v * (size_t)f.low_count);
    memcpy(v + f.low_count, f.high, sizeof *v * (size_t)f.high_count);
    f.low = v;
    f.high = v + f.low_count;
    return f;
}

static void add_side(struct side *v, int *count, struct kw_vec2 a, struct kw_vec2 b) {
    double x = b.y - a.y, y = a.x - b.x, length = sqrt(x * x + y * y);
    if (length < 1e-9) return;
    x /= length;
    y /= length;
    v[(*count)++] = (struct side){x, y, fmax(x * a.x + y * a.y, x * b.x + y * b.y)};
}

/// The low chain runs counter-clockwise, the high one back.
static void add_sides(struct kw_arena *a, struct forbidden *f) {
    int n = f->low_count, m = f->high_count;
    struct side *v = KW_NEW_ARRAY(a, struct side, n + m);
    for (int i = 0; i + 1 < n; i++)
        add_side(v, &f->side_count, f->low[i], f->low[i + 1]);
    if (n > 0 && m > 0) add_side(v, &f->side_count, f->low[n - 1], f->high[m - 1]);
    for (int i = m - 1; i > 0; i--)
        add_side(v, &f->side_count, f->high[i], f->high[i - 1]);
    f->sides = v;
}

static void pair_sides(struct two_sides *out, const struct side *v, int count) {
    for (int i = 0; i < count + count % 2; i++) {
        const struct side *s = &v[i < count ? i : count - 1];
        struct two_sides *t = &out[i / 2];
        t->x[i % 2] = s->x;
        t->y[i % 2] = s->y;
        t->reach[i % 2] = s->reach;
    }
}

static void pair_all_sides(struct kw_arena *a, struct contact *c) {
    int *first = KW_NEW_ARRAY(a, int, c->count + 1);
    for (int i = 0; i < c->count; i++)
        first[i + 1] = first[i] + (c->v[i].side_count + 1) / 2;
    struct two_sides *pairs = KW_NEW_ARRAY(a, struct two_sides, first[c->count] + 1);
    for (int i = 0; i < c->count; i++)
        pair_sides(&pairs[first[i]], c->v[i].sides, c->v[i].side_count);
    c->first_pair = first;
    c->pairs = pairs;
}

static const struct four_boxes *boxes_of(struct kw_arena *a, const struct contact *c) {
    int fours = (c->count + 3) / 4;
    struct four_boxes *v = KW_NEW_ARRAY(a, struct four_boxes, fours + 1);
    for (int i = 0; i < fours; i++)
        four_none(&v[i]);
    for (int i = 0; i < c->count; i++) {
        const struct kw_box2 *b = &c->v[i].box;
        four_set(&v[i / 4], i % 4, b->min.x, b->max.x, b->min.y, b->max.y);
    }
    return v;
}

static void finish(struct kw_arena *a, struct contact *c, bool with_sides) {
    c->box = (struct kw_box2){{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    for (int i = 0; i < c->count; i++) {
        const struct kw_box2 *b = &c->v[i].box;
        c->box.min = kw_v2(fmin(c->box.min.x, b->min.x), fmin(c->box.min.y, b->min.y));
        c->box.max = kw_v2(fmax(c->box.max.x, b->max.x), fmax(c->box.max.y, b->max.y));
        if (with_sides) add_sides(a, &c->v[i]);
    }
    if (!with_sides) return;
    c->boxes = boxes_of(a, c);
    pair_all_sides(a, c);
}

/// Adds f unless one that is there covers it; takes out those that it covers.
static void add_forbidden(struct kw_arena *a, struct contact *c, struct forbidden f) {
    int count = 0;
    for (int i = 0; i < c->count; i++) {
        if (covers(&c->v[i], &f)) return; // nothing was taken out before: covering is transitive
    }
    for (int i = 0; i < c->count; i++) {
        if (!covers(&f, &c->v[i])) c->v[count++] = c->v[i];
    }
    c->v[count++] = kept(a, f);
    c->count = count;
}

static int most_corners(const struct pieces *p) {
    int most = 0;
    for (int i = 0; i < p->count; i++)
        most = p->v[i].count > most ? p->v[i].count : most;
    return most;
}

static struct kw_vec2 *make_room(struct contacts *c, int points) {
    if (points > c->room_size) {
        c->room_size = 2 * points;
        c->room = KW_NEW_ARRAY(&c->arena, struct kw_vec2, c->room_size);
    }
    return c->room;
}

/// The pieces of a pose as they stand still and as they move: ringed; negative and grown by the
/// distance.
static struct pieces ringed_all(struct contacts *c, const struct pieces *from, double sign,
                                double distance) {
    struct kw_arena *a = &c->arena;
    struct pieces out = {.v = KW_NEW_ARRAY(a, struct convex, from->count), .count = from->count};
    struct kw_vec2 corners[DISC_SIDES];
    struct convex plain = disc(corners, distance), round = ringed(a, &plain, 1);
    for (int i = 0; i < from->count; i++) {
        struct convex p = ringed(a, &from->v[i], sign);
        struct convex s = sum(make_room(c, p.count + DISC_SIDES), &p, &round);
        out.v[i] = distance > 0 ? ringed(a, &s, 1) : p;
    }
    return out;
}

static const struct pieces *still(struct contacts *c, int pose) {
    struct pieces *p = &c->still[pose];
    if (!p->v) *p = ringed_all(c, &c->poses[pose].pieces, 1, 0);
    return p;
}

static const struct pieces *moved(struct contacts *c, int pose) {
    struct pieces *p = &c->moving[pose];
    if (!p->v) *p = ringed_all(c, &c->poses[pose].pieces, -1, c->spacing);
    return p;
}

static struct contact *make_contact(struct contacts *c, int fixed, int moving) {
    bool obstacle = c->poses[fixed].part < 0;
    struct pieces clear;
    if (obstacle) clear = ringed_all(c, &c->poses[moving].pieces, -1, c->margin);
    const struct pieces *f = still(c, fixed), *m = obstacle ? &clear : moved(c, moving);
    struct contact *out = KW_NEW(&c->arena, struct contact);
    out->v = KW_NEW_ARRAY(&c->arena, struct forbidden, f->count * m->count);
    int most = most_corners(f) + most_corners(m);
    struct kw_vec2 *room = make_room(c, 2 * most + 2);
    for (int j = 0; j < m->count; j++) {
        for (int i = 0; i < f->count; i++) {
            struct convex s = sum(room, &f->v[i], &m->v[j]);
            add_forbidden(&c->arena, out, chains(room + most, &s));
        }
    }
    finish(&c->arena, out, c->with_sides);
    return out;
}

static struct kw_vec2 mapped(struct kw_vec2 p, bool swapped, double slant) {
    if (swapped) p = kw_v2(p.y, p.x);
    return kw_v2(p.x - slant * p.y, p.y);
}

struct contact contact_mapped(struct kw_arena *a, const struct contact *c, bool swapped,
                              double slant) {
    struct contact out = {.v = KW_NEW_ARRAY(a, struct forbidden, c->count), .count = c->count};
    for (int k = 0; k < c->count; k++) {
        const struct forbidden *f = &c->v[k];
        const struct kw_vec2 *there = swapped ? f->high : f->low; // exchanging mirrors it
        const struct kw_vec2 *back = swapped ? f->low : f->high;
        int n = swapped ? f->high_count : f->low_count;
        int m = swapped ? f->low_count : f->high_count, count = 0;
        struct convex ring = {KW_NEW_ARRAY(a, struct kw_vec2, n + m), 0};
        for (int i = 0; i < n; i++)
            ring.v[count++] = mapped(there[i], swapped, slant);
        for (int i = m - 2; i > 0; i--) // but for its ends, which the other has too
            ring.v[count++] = mapped(back[i], swapped, slant);
        ring.count = count;
        out.v[k] = chains(KW_NEW_ARRAY(a, struct kw_vec2, count + 2), &ring);
    }
    finish(a, &out, false);
    return out;
}

static struct contact_entry *find_slot(struct contacts *c, int fixed, int moving) {
    uint64_t h = (uint64_t)(uint32_t)fixed << 32 | (uint32_t)moving;
    h = kw_random(&h);
    size_t mask = (size_t)c->slot_count - 1;
    for (size_t i = (size_t)h & mask;; i = (i + 1) & mask) {
        struct contact_entry *e = &c->slots[i];
        if (!e->contact || (e->fixed == fixed && e->moving == moving)) return e;
    }
}

static void grow(struct contacts *c) {
    if (!c->still) {
        c->still = KW_NEW_ARRAY(&c->arena, struct pieces, c->pose_count + 1);
        c->moving = KW_NEW_ARRAY(&c->arena, struct pieces, c->pose_count + 1);
    }
    struct contact_entry *old = c->slots;
    int count = c->slot_count;
    c->slot_count = count ? 2 * count : 1024;
    c->slots = KW_NEW_ARRAY(&c->arena, struct contact_entry, c->slot_count);
    for (int i = 0; i < count; i++) {
        if (old[i].contact) *find_slot(c, old[i].fixed, old[i].moving) = old[i];
    }
}

const struct contact *contact_of(struct contacts *c, int fixed, int moving) {
    if (2 * c->used >= c->slot_count) grow(c);
    struct contact_entry *e = find_slot(c, fixed, moving);
    if (!e->contact) {
        *e = (struct contact_entry){fixed, moving, make_contact(c, fixed, moving)};
        c->used++;
    }
    return e->contact;
}

bool contacts_trim(struct contacts *c) {
    if (c->arena.total <= CACHE_BYTES) return false;
    contacts_free(c);
    return true;
}

void contacts_free(struct contacts *c) {
    kw_arena_free(&c->arena);
    c->slots = NULL;
    c->still = c->moving = NULL;
    c->slot_count = c->used = c->room_size = 0;
    c->room = NULL;
}
