// SPDX-License-Identifier: Apache-2.0
// Overlap of pieces, pair by pair, with weights.
#include "nest/crowd.h"

#include <string.h>

#define STEP 0.02 // of the root of the mean side of a pair

static struct kw_box2 box_around(const struct pieces *p) {
    struct kw_box2 b = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    for (int i = 0; i < p->count; i++) {
        for (int k = 0; k < p->v[i].count; k++) {
            struct kw_vec2 q = p->v[i].v[k];
            b.min = kw_v2(fmin(b.min.x, q.x), fmin(b.min.y, q.y));
            b.max = kw_v2(fmax(b.max.x, q.x), fmax(b.max.y, q.y));
        }
    }
    return b;
}

static int local_pose(struct crowd *c, int pose) {
    if (c->local[pose] < 0) {
        c->pose_of[c->local_count] = pose;
        c->reach[c->local_count] = box_around(&c->world->poses[pose].pieces);
        c->local[pose] = c->local_count++;
    }
    return c->local[pose];
}

static void forget_contacts(struct crowd *c) {
    size_t n = (size_t)c->local_count;
    for (size_t i = 0; i < n * n; i++) {
        c->facing[i].contact = NULL;
        c->facing[i].box = (struct kw_box2){{-INFINITY, -INFINITY}, {INFINITY, INFINITY}};
    }
}

static void number_poses(struct crowd *c) {
    const struct world *w = c->world;
    c->local = KW_NEW_ARRAY(&c->arena, int, w->pose_count + 1);
    c->pose_of = KW_NEW_ARRAY(&c->arena, int, w->pose_count + 1);
    c->reach = KW_NEW_ARRAY(&c->arena, struct kw_box2, w->pose_count + 1);
    for (int i = 0; i < w->pose_count; i++)
        c->local[i] = -1;
    for (int g = 0; g < c->ground_count; g++) {
        const struct kind *k = &w->kinds[c->grounds[g].kind];
        for (int i = 0; i < k->obstacle_count; i++)
            local_pose(c, k->first_obstacle + i);
        for (int i = 0; i < c->count; i++) {
            struct pose_range r = w->parts[k->group][c->parts[i]];
            for (int p = r.first; p < r.first + r.count; p++)
                local_pose(c, p);
        }
    }
    size_t n = (size_t)c->local_count;
    c->facing = kw_alloc(&c->arena, sizeof *c->facing * (n * n + 1));
    forget_contacts(c);
}

void crowd_trim(struct crowd *c) {
    if (contacts_trim(c->contacts)) forget_contacts(c);
}

void crowd_make(struct crowd *c, const struct world *w, struct contacts *contacts, const int *kinds,
                int ground_count, const struct seat *seats, int count) {
    *c = (struct crowd){.world = w, .contacts = contacts};
    contacts_trim(contacts);
    c->ground_count = ground_count;
    c->count = count;
    c->grounds = KW_NEW_ARRAY(&c->arena, struct ground, ground_count);
    for (int g = 0; g < ground_count; g++) {
        const struct kind *k = &w->kinds[kinds[g]];
        c->grounds[g] =
            (struct ground){.kind = kinds[g], .length = k->length, .breadth = k->breadth};
        c->grounds[g].v = KW_NEW_ARRAY(&c->arena, struct neighbour, count + 1);
        c->grounds[g].boxes = KW_NEW_ARRAY(&c->arena, struct four_boxes, count / 4 + 1);
    }
    c->seats = KW_NEW_ARRAY(&c->arena, struct seat, count + 1);
    c->parts = KW_NEW_ARRAY(&c->arena, int, count + 1);
    c->slot = KW_NEW_ARRAY(&c->arena, int, count + 1);
    c->order = KW_NEW_ARRAY(&c->arena, int, count + 1);
    for (int i = 0; i < count; i++)
        c->parts[i] = w->poses[seats[i].pose].part;
    size_t n = (size_t)count;
    c->weight = kw_alloc(&c->arena, sizeof(float) * (n * (n + 1) + 1));
    c->loss = kw_alloc(&c->arena, sizeof(float) * (n * (n + 1) + 1));
    number_poses(c);
    crowd_seat(c, seats);
    crowd_forget(c);
}

void crowd_free(struct crowd *c) {
    kw_arena_free(&c->arena);
}

bool crowd_room(const struct crowd *c, int ground, int pose, struct kw_vec2 *low,
                struct kw_vec2 *high) {
    const struct ground *g = &c->grounds[ground];
    double m = c->world->options->margin;
    struct kw_vec2 size = c->world->poses[pose].size;
    *low = kw_v2(m, m);
    *high = kw_v2(g->length - m - size.x, g->breadth - m - size.y);
    if (!(high->x >= m - TOUCH_MM) || !(high->y >= m - TOUCH_MM)) return false;
    *high = kw_v2(fmax(high->x, m), fmax(high->y, m));
    return true;
}

// ------------------------------------------------------------------------------ overlap

/// Overlaps of large pieces count for more: they are the harder to find another place for. The
/// root of the mean side of the two; an obstacle counts as one of its own size.
static double scale_of(const struct world *w, int fixed, int moving) {
    double m = w->bulk[w->poses[moving].part];
    double f = w->poses[fixed].part < 0 ? m : w->bulk[w->poses[fixed].part];
    return sqrt(sqrt(m * f));
}

static const struct contact *contact_in(struct crowd *c, struct facing *f, int fixed, int moving) {
    if (!f->contact) {
        f->contact = contact_of(c->contacts, c->pose_of[fixed], moving);
        f->box = f->contact->box;
        f->scale = scale_of(c->world, c->pose_of[fixed], moving);
    }
    return f->contact;
}

static struct facing *facing_row(const struct crowd *c, int moving) {
    return &c->facing[(size_t)c->local[moving] * (size_t)c->local_count];
}

const struct contact *crowd_contact(struct crowd *c, int fixed, int moving) {
    int k = c->local[fixed];
    return contact_in(c, &facing_row(c, moving)[k], k, moving);
}

/// How deep a place lies in a convex polygon: along the nearest side; 0 outside or touching.
static double depth_in(const struct forbidden *f, double u, double v, int *nearest) {
    if (u <= f->box.min.x || u >= f->box.max.x || v <= f->box.min.y || v >= f->box.max.y) return 0;
    double least = INFINITY;
    for (int i = 0; i < f->side_count; i++) {
        const struct side *s = &f->sides[i];
        double d = s->reach - s->x * u - s->y * v;
        if (d >= least) continue;
        if (d <= TOUCH_MM) return 0;
        least = d;
        *nearest = i;
    }
    return least;
}

/// Depth as it counts: with a step at touching, so that few deep overlaps are better than many
/// shallow ones; measured against none, a root and a root of depth plus step.
static double shaped(double scale, double depth) {
    return depth > 0 ? scale * (depth + STEP * scale) : 0;
}

static bool outside(const struct kw_box2 *b, double u, double v) {
    return u <= b->min.x || u >= b->max.x || v <= b->min.y || v >= b->max.y;
}

static double pair_overlap(struct crowd *c, const struct contact *t, double u, double v) {
    double sum = 0;
    float x = (float)u, y = (float)v;
    c->work += t->count;
    for (int i = 0; i < t->count; i += 4) {
        for (unsigned met = four_meet(&t->boxes[i / 4], x, x, y, y); met;) {
            const int *first = &t->first_pair[i + four_next(&met)];
            double d = two_least(&t->pairs[first[0]], first[1] - first[0], u, v, TOUCH_MM);
            if (d > TOUCH_MM) sum += d;
        }
    }
    return sum;
}

static double obstacle_overlap(struct crowd *c, struct seat s) {
    const struct kind *k = &c->world->kinds[c->grounds[s.ground].kind];
    double sum = 0,
           scale = k->obstacle_count > 0 ? scale_of(c->world, k->first_obstacle, s.pose) : 0;
    for (int i = 0; i < k->obstacle_count; i++)
        sum += pair_overlap(c, crowd_contact(c, k->first_obstacle + i, s.pose), s.u, s.v);
    return sum * scale;
}

static float *weights_of(const struct crowd *c, int piece) {
    return c->weight + (size_t)piece * (size_t)(c->count + 1);
}
static float *losses_of(const struct crowd *c, int piece) {
    return c->loss + (size_t)piece * (size_t)(c->count + 1);
}

/// A walk over those that a piece in a seat may conflict with, in their order on its ground.
struct near {
    float left, right, low, high;
    int next; ///< four of them
    unsigned met;
};

static struct near near_begin(const struct crowd *c, struct seat s) {
    const struct kw_box2 *b = &c->reach[c->local[s.pose]];
    double d = c->world->options->spacing;
    return (struct near){(float)(s.u + b->min.x - d),
                         (float)(s.u + b->max.x + d),
                         (float)(s.v + b->min.y - d),
                         (float)(s.v + b->max.y + d),
                         0,
                         0};
}

/// NULL: no more.
static inline const struct neighbour *near_next(struct near *n, const struct ground *g) {
    while (!n->met) {
        if (4 * n->next >= g->count) return NULL;
        n->met = four_meet(&g->boxes[n->next++], n->left, n->right, n->low, n->high);
    }
    return &g->v[4 * (n->next - 1) + four_next(&n->met)];
}

double crowd_overlap(struct crowd *c, int piece, struct seat s, double limit) {
    const struct ground *g = &c->grounds[s.ground];
    const float *weight = weights_of(c, piece);
    double sum = (double)weight[c->count] * obstacle_overlap(c, s);
    c->work += 4 + g->count / 4;
    struct facing *row = facing_row(c, s.pose);
    struct near n = near_begin(c, s);
    const struct neighbour *o;
    while (sum < limit && (o = near_next(&n, g))) {
        struct facing *f = &row[o->pose];
        double u = s.u - o->u, v = s.v - o->v;
        if (outside(&f->box, u, v) || o->piece == piece) continue;
        const struct contact *t = contact_in(c, f, o->pose, s.pose);
        sum += (double)weight[o->piece] * shaped(f->scale, pair_overlap(c, t, u, v));
    }
    return sum;
}

struct conflict {
    double weighed;
    struct kw_vec2 by;
};

static void worst_in(const struct contact *t, double u, double v, double weight,
                     struct conflict *worst) {
    for (int i = 0; i < t->count; i++) {
        int side = 0;
        double d = depth_in(&t->v[i], u, v, &side);
        if (!(d * weight > worst->weighed)) continue;
        const struct side *s = &t->v[i].sides[side];
        worst->weighed = d * weight;
        worst->by = kw_v2(s->x * d, s->y * d);
    }
}

bool crowd_way_out(struct crowd *c, int piece, struct seat s, struct kw_vec2 *by) {
    const struct ground *g = &c->grounds[s.ground];
    const struct kind *k = &c->world->kinds[g->kind];
    const float *weight = weights_of(c, piece);
    struct conflict worst = {0};
    for (int i = 0; i < k->obstacle_count; i++) {
        worst_in(crowd_contact(c, k->first_obstacle + i, s.pose), s.u, s.v,
                 (double)weight[c->count], &worst);
    }
    struct facing *row = facing_row(c, s.pose);
    struct near n = near_begin(c, s);
    for (const struct neighbour *o; (o = near_next(&n, g));) {
        struct facing *f = &row[o->pose];
        double u = s.u - o->u, v = s.v - o->v;
        if (outside(&f->box, u, v) || o->piece == piece) continue;
        const struct contact *t = contact_in(c, f, o->pose, s.pose);
        worst_in(t, u, v, (double)weight[o->piece] * f->scale, &worst);
    }
    *by = worst.by;
    c->work += 2 + g->count / 2;
    return worst.weighed > 0;
}

// ---------------------------------------------------------------------------- seats and losses

static void measure(struct crowd *c, int piece) {
    struct seat s = c->seats[piece];
    const struct ground *g = &c->grounds[s.ground];
    float *row = losses_of(c, piece);
    for (int k = 0; k < c->count; k++) {
        row[k] = 0;
        losses_of(c, k)[piece] = 0;
    }
    row[c->count] = (float)obstacle_overlap(c, s);
    struct facing *facing = facing_row(c, s.pose);
    struct near n = near_begin(c, s);
    for (const struct neighbour *o; (o = near_next(&n, g));) {
        struct facing *f = &facing[o->pose];
        double u = s.u - o->u, v = s.v - o->v;
        if (outside(&f->box, u, v) || o->piece == piece) continue;
        const struct contact *t = contact_in(c, f, o->pose, s.pose);
        double d = shaped(f->scale, pair_overlap(c, t, u, v));
        row[o->piece] = losses_of(c, o->piece)[piece] = (float)d;
    }
}

void crowd_forget(struct crowd *c) {
    size_t n = (size_t)c->count * (size_t)(c->count + 1);
    for (size_t i = 0; i < n; i++)
        c->weight[i] = 1;
}

static void put(struct crowd *c, int piece) {
    struct seat s = c->seats[piece];
    struct ground *g = &c->grounds[s.ground];
    int k = g->count++, pose = c->local[s.pose];
    const struct kw_box2 *b = &c->reach[pose];
    c->slot[piece] = k;
    g->v[k] = (struct neighbour){s.u, s.v, pose, piece};
    if (k % 4 == 0) four_none(&g->boxes[k / 4]);
    four_set(&g->boxes[k / 4], k % 4, s.u + b->min.x, s.u + b->max.x, s.v + b->min.y,
             s.v + b->max.y);
}

static void take(struct crowd *c, int piece) {
    struct ground *g = &c->grounds[c->seats[piece].ground];
    int k = c->slot[piece], end = --g->count;
    g->v[k] = g->v[end];
    four_put(&g->boxes[k / 4], k % 4, &g->boxes[end / 4], end % 4);
    four_clear(&g->boxes[end / 4], end % 4);
    c->slot[g->v[k].piece] = k;
}

void crowd_seat(struct crowd *c, const struct seat *seats) {
    memmove(c->seats, seats, sizeof *seats * (size_t)c->count);
    for (int g = 0; g < c->ground_count; g++)
        c->grounds[g].count = 0;
    for (int i = 0; i < c->count; i++)
        put(c, i);
    for (int i = 0; i < c->count; i++)
        measure(c, i);
}

void crowd_move(struct crowd *c, int piece, struct seat to) {
    take(c, piece);
    c->seats[piece] = to;
    put(c, piece);
    measure(c, piece);
}

double crowd_piece_loss(const struct crowd *c, int piece) {
    const float *row = losses_of(c, piece);
    double sum = 0;
    for (int i = 0; i <= c->count; i++)
        sum += (double)row[i];
    return sum;
}

double crowd_loss(const struct crowd *c) {
    double sum = 0;
    for (int i = 0; i < c->count; i++)
        sum += crowd_piece_loss(c, i);
    return sum;
}

void crowd_reweigh(struct crowd *c) {
    size_t n = (size_t)c->count * (size_t)(c->count + 1);
    float most = 0;
    for (size_t i = 0; i < n; i++)
        most = c->loss[i] > most ? c->loss[i] : most;
    for (size_t i = 0; i < n; i++) {
        float w = c->weight[i];
        w *= c->loss[i] > 0 ? 1.2F + 0.8F * (c->loss[i] / most) : 0.95F;
        c->weight[i] = w < 1 ? 1 : w > 1e12F ? 1e12F : w;
    }
}
