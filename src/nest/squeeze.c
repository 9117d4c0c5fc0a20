// SPDX-License-Identifier: Apache-2.0
// Shortest length of one sheet's pieces. First the length is cut by a step whenever the crowd is
// legal, and when it can't be parted a layout met on the way is disturbed and tried again
// (explore); then the best is cut by ever finer steps (compress). After published work on strip
// packing by overlap minimisation (Egeblad et al. 2007, Umetani et al. 2009, Gardeyn et al. 2025).
#include "nest/squeeze.h"

#include "base/base.h"
#include "nest/crowd.h"

#include <stdlib.h>
#include <string.h>

#define SEEKERS    4      // searches side by side, whatever the number of threads
#define ROUND_WORK 400000 // of one seeker between two talks: 20 to 40 ms
#define ROUNDS     60     // but no fewer talks than this in a budget of work
#define EXPLORE    0.75   // of the budget; the rest compresses
#define WIDE_STEP  0.01   // of the length
#define SMALL_STEP 0.001
#define FIRST_CUT  0.0005
#define LAST_CUT   0.00001
#define KNOWN      12

struct layout {
    double loss;
    struct seat *seats;
};

struct seeker {
    struct crowd crowd;
    struct contacts contacts;
    struct parting parting;
    double length;   ///< tried now
    double step;     ///< of exploring
    double shortest; ///< legal
    struct seat *best;
    struct layout known[KNOWN]; ///< of this length, least loss first
    int known_count;
    bool compress, begun;
    double cut;
    long round_work;
};

struct squeeze {
    struct seeker seekers[SEEKERS];
    int count;
};

static double unit(struct seeker *s) {
    return kw_random_unit(&s->crowd.random);
}

static struct kw_vec2 size_of(const struct seeker *s, int piece) {
    return s->crowd.world->poses[s->crowd.seats[piece].pose].size;
}

/// The least length in which every piece fits in some pose.
static double least_length(const struct crowd *c) {
    double least = 0, m = 2 * c->world->options->margin;
    for (int i = 0; i < c->count; i++) {
        struct pose_range r =
            c->world->parts[c->world->kinds[c->grounds[0].kind].group][c->parts[i]];
        double shortest = INFINITY;
        for (int p = r.first; p < r.first + r.count; p++) {
            struct kw_vec2 size = c->world->poses[p].size;
            if (size.y + m <= c->grounds[0].breadth + TOUCH_MM) shortest = fmin(shortest, size.x);
        }
        least = fmax(least, shortest + m);
    }
    return least;
}

/// The crowd with the seats of `from`, a legal layout of length `was`, squeezed into a shorter one:
/// what lies right of a line moves left, so that the conflicts are along that line.
static void set_length(struct seeker *s, const struct seat *from, double was, double length,
                       double line) {
    struct crowd *c = &s->crowd;
    struct seat *seats = s->parting.seats;
    if (seats != from) memmove(seats, from, sizeof *seats * (size_t)c->count);
    c->grounds[0].length = s->length = length;
    for (int i = 0; i < c->count; i++) {
        struct kw_vec2 low, high, size = c->world->poses[seats[i].pose].size;
        if (seats[i].u + size.x / 2 > line) seats[i].u -= was - length;
        if (!crowd_room(c, 0, seats[i].pose, &low, &high)) continue;
        seats[i].u = fmin(fmax(seats[i].u, low.x), high.x);
    }
    crowd_seat(c, seats);
    crowd_forget(c);
    parting_begin(c, &s->parting);
}

/// A pose that no longer fits gives way to one that does.
static void turn_to_fit(struct seeker *s) {
    struct crowd *c = &s->crowd;
    for (int i = 0; i < c->count; i++) {
        struct kw_vec2 low, high;
        struct seat seat = c->seats[i];
        if (crowd_room(c, 0, seat.pose, &low, &high)) continue;
        struct pose_range r =
            c->world->parts[c->world->kinds[c->grounds[0].kind].group][c->parts[i]];
        for (int p = r.first; p < r.first + r.count; p++) {
            if (!crowd_room(c, 0, p, &low, &high)) continue;
            seat.pose = p;
            seat.u = fmin(fmax(seat.u, low.x), high.x);
            seat.v = fmin(fmax(seat.v, low.y), high.y);
            crowd_move(c, i, seat);
            break;
        }
    }
}

// ---------------------------------------------------------------------------------- exploring

/// Keeps the layout of least loss of an attempt that failed.
static void know(struct seeker *s) {
    struct crowd *c = &s->crowd;
    if (s->known_count == KNOWN && s->parting.least >= s->known[KNOWN - 1].loss) return;
    int i = s->known_count < KNOWN ? s->known_count++ : KNOWN - 1;
    struct seat *room = s->known[i].seats;
    if (!room) room = KW_NEW_ARRAY(&c->arena, struct seat, c->count + 1);
    for (; i > 0 && s->known[i - 1].loss > s->parting.least; i--)
        s->known[i] = s->known[i - 1];
    s->known[i] = (struct layout){s->parting.least, room};
    memcpy(room, s->parting.seats, sizeof *room * (size_t)c->count);
}

static void forget_known(struct seeker *s) {
    s->known_count = 0; // rooms stay
}

static void explore_shorter(struct seeker *s) {
    double least = least_length(&s->crowd);
    double length = fmax(s->shortest * (1 - s->step), least);
    forget_known(s);
    if (length >= s->shortest - TOUCH_MM) length = s->shortest;
    set_length(s, s->best, s->shortest, length, unit(s) * s->shortest);
    turn_to_fit(s);
    parting_begin(&s->crowd, &s->parting);
}

static void explore_again(struct seeker *s) {
    know(s);
    if (s->step > SMALL_STEP) { // a smaller step first
        s->step = fmax(s->step / 3, SMALL_STEP);
        explore_shorter(s);
        return;
    }
    double r = unit(s);
    int i = (int)(r * r * s->known_count);
    crowd_seat(&s->crowd, s->known[i].seats);
    crowd_forget(&s->crowd);
    crowd_disturb(&s->crowd);
    parting_begin(&s->crowd, &s->parting);
}

// ------------------------------------------------------------------------------- compressing

static void cut_again(struct seeker *s) {
    double length = fmax(s->shortest * (1 - s->cut), least_length(&s->crowd));
    set_length(s, s->best, s->shortest, length, unit(s) * s->shortest);
    turn_to_fit(s);
    parting_begin(&s->crowd, &s->parting);
}

// ------------------------------------------------------------------------------ one seeker

/// The right end of what lies, which may be less than the length allowed.
static double reach_of(const struct seeker *s) {
    double reach = 0;
    for (int i = 0; i < s->crowd.count; i++)
        reach = fmax(reach, s->crowd.seats[i].u + size_of(s, i).x);
    return reach + s->crowd.world->options->margin;
}

static void take_best(struct seeker *s) {
    s->shortest = fmin(reach_of(s), s->length);
    memcpy(s->best, s->crowd.seats, sizeof *s->best * (size_t)s->crowd.count);
}

static void start_attempt(struct seeker *s) {
    if (s->compress)
        cut_again(s);
    else
        explore_shorter(s);
    s->begun = true;
}

static void seek(void *user, int index) {
    struct seeker *s = &((struct squeeze *)user)->seekers[index];
    long until = s->crowd.work + s->round_work;
    if (!s->begun) start_attempt(s);
    while (s->crowd.work < until) {
        int idle = s->compress ? 60 : 120, strikes = s->compress ? 2 : 3;
        enum parting_end end = parting_round(&s->crowd, &s->parting, idle, strikes);
        if (end == PARTING_LEGAL) {
            take_best(s);
            s->step = fmin(1.5 * s->step, WIDE_STEP);
            start_attempt(s);
        } else if (end == PARTING_GIVEN_UP) {
            if (s->compress)
                cut_again(s);
            else
                explore_again(s);
        }
    }
}

// ----------------------------------------------------------------------------- all of them

static const struct seeker *shortest(const struct squeeze *q) {
    const struct seeker *best = &q->seekers[0];
    for (int i = 1; i < q->count; i++) {
        if (q->seekers[i].shortest < best->shortest) best = &q->seekers[i];
    }
    return best;
}

/// Whoever is behind goes on from the best layout there is.
static void tell(struct squeeze *q, const struct seeker *best, bool compress, double cut) {
    for (int i = 0; i < q->count; i++) {
        struct seeker *s = &q->seekers[i];
        bool behind = s->shortest > best->shortest + TOUCH_MM;
        bool turns = compress && !s->compress;
        s->cut = cut;
        if (behind) {
            s->shortest = best->shortest;
            memcpy(s->best, best->best, sizeof *s->best * (size_t)s->crowd.count);
        }
        if ((behind && s->length >= best->shortest) || turns) s->begun = false;
        s->compress = compress;
    }
}

static void start(struct squeeze *q, struct world *w, const struct bin *b, long round_work) {
    struct seat *seats = KW_NEW_ARRAY(w->a, struct seat, b->count + 1);
    for (int i = 0; i < b->count; i++)
        seats[i] = (struct seat){0, b->v[i].pose, b->v[i].u, b->v[i].v};
    q->count = SEEKERS;
    for (int i = 0; i < q->count; i++) {
        struct seeker *s = &q->seekers[i];
        s->contacts = contacts_for(w, true);
        crowd_make(&s->crowd, w, &s->contacts, &b->kind, 1, seats, b->count);
        s->crowd.random = worker_random(w, SEEKS_SHORTEST, i);
        s->parting.seats = KW_NEW_ARRAY(&s->crowd.arena, struct seat, b->count + 1);
        s->best = KW_NEW_ARRAY(&s->crowd.arena, struct seat, b->count + 1);
        memcpy(s->best, seats, sizeof *seats * (size_t)b->count);
        s->length = s->shortest = b->extent + w->options->margin;
        s->step = WIDE_STEP;
        s->round_work = round_work;
    }
}

void squeeze_bin(struct world *w, struct bin *bin, const struct budget *budget, int threads) {
    struct squeeze *q = KW_NEW(w->a, struct squeeze);
    long round_work = ROUND_WORK;
    if (budget->work > 0 && budget->work / (ROUNDS * SEEKERS) < round_work)
        round_work = budget->work / (ROUNDS * SEEKERS) + 1;
    start(q, w, bin, round_work);
    long before = 0;
    double length = q->seekers[0].shortest, done = 0;
    while (done < 1 && bin->count > 0) {
        kw_team_run(seek, q, q->count, threads);
        long work = 0;
        for (int i = 0; i < q->count; i++)
            work += q->seekers[i].crowd.work;
        done = budget->done(budget->user, work - before);
        before = work;
        const struct seeker *best = shortest(q);
        if (best->shortest < length - TOUCH_MM && budget->better) {
            length = best->shortest;
            budget->better(budget->user, length - w->options->margin);
        }
        double left = fmin(fmax((1 - done) / (1 - EXPLORE), 0), 1);
        double cut = LAST_CUT * pow(FIRST_CUT / LAST_CUT, left);
        tell(q, best, done >= EXPLORE, cut);
    }
    const struct seeker *best = shortest(q);
    bin->extent = best->shortest - w->options->margin;
    for (int i = 0; i < bin->count; i++)
        bin->v[i] = (struct spot){best->best[i].pose, best->best[i].u, best->best[i].v};
    for (int i = 0; i < q->count; i++) {
        crowd_free(&q->seekers[i].crowd);
        contacts_free(&q->seekers[i].contacts);
    }
}
