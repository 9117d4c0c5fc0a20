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
