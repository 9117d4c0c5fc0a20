// SPDX-License-Identifier: Apache-2.0
// Parting a crowd: rounds in which every piece in conflict moves once, with weights that grow,
// until nothing overlaps or rounds stop helping.
#include "nest/crowd.h"

#include <string.h>

static void remember(const struct crowd *c, struct parting *p, double loss) {
    p->least = loss;
    memcpy(p->seats, c->seats, sizeof *p->seats * (size_t)c->count);
}

void parting_begin(struct crowd *c, struct parting *p) {
    if (!p->seats) p->seats = KW_NEW_ARRAY(&c->arena, struct seat, c->count + 1);
    remember(c, p, crowd_loss(c));
    p->strike_least = p->least;
    p->idle = p->strikes = 0;
}

static int colliding(struct crowd *c) {
    int n = 0;
    for (int i = 0; i < c->count; i++) {
        if (!(crowd_piece_loss(c, i) > 0)) continue;
        int k = (int)(kw_random(&c->random) % (uint64_t)(n + 1));
        c->order[n++] = c->order[k];
        c->order[k] = i;
    }
    return n;
}

enum parting_end parting_round(struct crowd *c, struct parting *p, int idle_most,
                               int strikes_most) {
    int n = colliding(c);
    crowd_trim(c);
    for (int i = 0; i < n; i++) {
        if (crowd_piece_loss(c, c->order[i]) > 0) seat_better(c, c->order[i]);
    }
    c->work += 1 + (long)c->count * c->count / 32;
    double loss = crowd_loss(c);
    bool nearer = loss < 0.98 * p->least;
    if (loss < p->least) remember(c, p, loss);
    if (!(loss > 0)) return PARTING_LEGAL;
    crowd_reweigh(c);
    p->idle = nearer ? 0 : p->idle + 1;
    if (p->idle < idle_most) return PARTING_GOES_ON;
    p->strikes = p->least < 0.98 * p->strike_least ? 0 : p->strikes + 1;
    p->strike_least = p->least;
    p->idle = 0;
    if (p->strikes >= strikes_most) return PARTING_GIVEN_UP;
    crowd_seat(c, p->seats); // with the weights as they are: they lead elsewhere from here
    return PARTING_GOES_ON;
}

// --------------------------------------------------------------------------------- disturbing

static int pick(struct crowd *c, int n) {
    return (int)(kw_random(&c->random) % (uint64_t)n);
}

/// The largest of three pieces, of another part than `other`; -1: none was met.
static int pick_large(struct crowd *c, int other) {
    double largest = -1;
    int chosen = -1;
    for (int tries = 0; tries < 3; tries++) {
        int i = pick(c, c->count);
        if (other >= 0 && c->parts[i] == c->parts[other]) continue;
        double bulk = c->world->bulk[c->parts[i]];
        if (!(bulk > largest)) continue;
        largest = bulk;
        chosen = i;
    }
    return chosen;
}

/// Puts a piece, turned as it is, with its middle there, as far as its ground allows.
static void move_middle(struct crowd *c, int piece, int ground, struct kw_vec2 middle) {
    const struct world *w = c->world;
    int from = w->kinds[c->grounds[c->seats[piece].ground].kind].group;
    int to = w->kinds[c->grounds[ground].kind].group;
    struct seat s = c->seats[piece];
    struct kw_vec2 low, high, size = w->poses[s.pose].size;
    if (from != to || !crowd_room(c, ground, s.pose, &low, &high)) return;
    s.ground = ground;
    s.u = fmin(fmax(middle.x - size.x / 2, low.x), high.x);
    s.v = fmin(fmax(middle.y - size.y / 2, low.y), high.y);
    crowd_move(c, piece, s);
}

static struct kw_vec2 middle_of(const struct crowd *c, int piece) {
    struct seat s = c->seats[piece];
    struct kw_vec2 size = c->world->poses[s.pose].size;
    return kw_v2(s.u + size.x / 2, s.v + size.y / 2);
}

static void swap_large(struct crowd *c) {
    int i = pick_large(c, -1), k = pick_large(c, i);
    if (i < 0 || k < 0) return;
    struct kw_vec2 mi = middle_of(c, i), mk = middle_of(c, k);
    int gi = c->seats[i].ground, gk = c->seats[k].ground;
    move_middle(c, i, gk, mk);
    move_middle(c, k, gi, mi);
}

void crowd_disturb(struct crowd *c) {
    crowd_forget(c);
    swap_large(c);
    if (pick(c, 3) == 0) swap_large(c);
}
