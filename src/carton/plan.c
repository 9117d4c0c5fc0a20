// SPDX-License-Identifier: Apache-2.0
// Which cartons: the cheapest one that holds all, else a split that is tried with every kind first.
#include "carton/inside.h"

#include <math.h>
#include <string.h>

#define MOST_BOXES 5000

/// One carton chosen.
struct chosen {
    int kind;
    struct filling filling;
    double gross, billable;
};

struct split {
    struct chosen *v; ///< grown in scratch
    int count;
    double billable, price;
    int left; ///< boxes left over
};

static struct chosen choose(const struct job *job, int kind, struct filling f) {
    const struct kw_carton_kind *k = &job->kinds[kind];
    double outside[3];
    kw_carton_outside(k, &job->rules, outside);
    double gross = f.mass + k->tare;
    return (struct chosen){kind, f, gross, kw_carton_billable(gross, outside, &job->rules, NULL)};
}

static int total(const struct job *job, const int *left) {
    int sum = 0;
    for (int i = 0; i < job->box_count; i++)
        sum += left[i];
    return sum;
}

static bool cheaper(double billable_a, double price_a, double billable_b, double price_b) {
    if (fabs(billable_a - billable_b) > 1e-9) return billable_a < billable_b;
    return price_a < price_b - 1e-9;
}

struct load {
    double mass, volume;
};

static struct load load_of(const struct job *job, const int *left) {
    struct load l = {0, 0};
    for (int i = 0; i < job->box_count; i++) {
        const struct kw_carton_box *b = &job->boxes[i];
        l.mass += left[i] * b->mass;
        l.volume += left[i] * b->size[0] * b->size[1] * b->size[2];
    }
    return l;
}

static bool could_hold(const struct job *job, int kind, struct load l) {
    const struct kw_carton_kind *k = &job->kinds[kind];
    return l.volume <= k->inside[0] * k->inside[1] * k->inside[2] + EPS_MM &&
           l.mass + k->tare <= gross_limit(k, &job->rules) + 1e-9;
}

/// The cheapest kind that takes all that is left, by what the whole would cost in it. Kind -1:
/// none.
static struct chosen one_for_all(const struct job *job, const int *left, const int *stock) {
    struct load l = load_of(job, left);
    bool *tried = kw_alloc(job->scratch, (size_t)job->kind_count);
    for (;;) {
        int best = -1;
        double billable = 0;
        for (int i = 0; i < job->kind_count; i++) {
            if (tried[i] || !job->permitted[i] || stock[i] == 0 || !could_hold(job, i, l)) continue;
            double cost = choose(job, i, (struct filling){.mass = l.mass}).billable;
            if (best >= 0 && !cheaper(cost, job->kinds[i].price, billable, job->kinds[best].price))
                continue;
            best = i;
            billable = cost;
        }
        if (best < 0) return (struct chosen){.kind = -1};
        tried[best] = true;
        struct filling f = fill_carton(job, best, left, false);
        if (f.all) return choose(job, best, f);
    }
}

/// Whether mass is scarcer than room over all that is left, in the roomiest permitted kind.
static bool mass_is_scarce(const struct job *job, const int *left) {
    struct load l = load_of(job, left);
    double volume = 0, mass = 0;
    for (int i = 0; i < job->kind_count; i++) {
        const struct kw_carton_kind *k = &job->kinds[i];
        if (!job->permitted[i]) continue;
        volume = fmax(volume, k->inside[0] * k->inside[1] * k->inside[2]);
        mass = fmax(mass, gross_limit(k, &job->rules) - k->tare);
    }
    return isfinite(mass) && mass > 0 && volume > 0 && l.mass / mass > l.volume / volume;
}

/// The fullest carton of the kinds in stock (only of `only` when >= 0). Kind -1: none takes a box.
static struct chosen fullest(const struct job *job, const int *left, const int *stock, int only) {
    bool by_mass = mass_is_scarce(job, left);
    struct chosen best = {.kind = -1};
    double most = 0;
    for (int i = 0; i < job->kind_count; i++) {
        if (!job->permitted[i] || stock[i] == 0 || (only >= 0 && i != only)) continue;
        struct filling f = fill_carton(job, i, left, by_mass);
        double value = by_mass ? f.mass : f.volume;
        if (f.count == 0 || (best.kind >= 0 && value <= most * (1 + 1e-9))) continue;
        best = choose(job, i, f);
        most = value;
    }
    return best;
}

static void take(const struct job *job, struct split *s, struct chosen c, int *left, int *stock) {
    for (int i = 0; i < c.filling.count; i++)
        left[c.filling.v[i].box]--;
    if (stock[c.kind] > 0) stock[c.kind]--;
    KW_PUSH(job->scratch, s->v, s->count) = c;
}

/// The contents of a carton into the cheapest kind that takes them.
static void put_cheaper(const struct job *job, struct chosen *c, int *stock) {
    int *own = kw_alloc(job->scratch, (size_t)job->box_count * sizeof *own);
    for (int i = 0; i < c->filling.count; i++)
        own[c->filling.v[i].box]++;
    if (stock[c->kind] >= 0) stock[c->kind]++;
    struct chosen other = one_for_all(job, own, stock);
    if (other.kind >= 0 && cheaper(other.billable, job->kinds[other.kind].price, c->billable,
                                   job->kinds[c->kind].price))
        *c = other;
    if (stock[c->kind] > 0) stock[c->kind]--;
}

static struct split split_from(const struct job *job, const int *wanted, int first) {
    struct split s = {0};
    int *left = kw_alloc(job->scratch, (size_t)job->box_count * sizeof *left);
    int *stock = kw_alloc(job->scratch, (size_t)job->kind_count * sizeof *stock);
    memcpy(left, wanted, (size_t)job->box_count * sizeof *left);
    for (int i = 0; i < job->kind_count; i++)
        stock[i] = job->kinds[i].count;
    while (total(job, left) > 0) {
        struct chosen c = one_for_all(job, left, stock);
        if (c.kind < 0) c = fullest(job, left, stock, s.count == 0 ? first : -1);
        if (c.kind < 0) break;
        take(job, &s, c, left, stock);
    }
    for (int i = 0; i + 1 < s.count; i++)
        put_cheaper(job, &s.v[i], stock);
    for (int i = 0; i < s.count; i++) {
        s.billable += s.v[i].billable;
        s.price += job->kinds[s.v[i].kind].price;
    }
    s.left = total(job, left);
    return s;
}

static struct split best_split(const struct job *job, const int *wanted) {
    struct split best = split_from(job, wanted, -1);
    if (best.count < 2) return best;
    for (int first = 0; first < job->kind_count; first++) {
        if (!job->permitted[first] || job->kinds[first].count == 0) continue;
        struct split s = split_from(job, wanted, first);
        bool better =
            s.left < best.left ||
            (s.left == best.left &&
             (s.count < best.count ||
              (s.count == best.count && cheaper(s.billable, s.price, best.billable, best.price))));
        if (better) best = s;
    }
    return best;
}

// ---- what can't go at all

/// How far the box sticks out of a carton of this kind in its best turn, and the side and room
/// there; at most 0: it goes in.
static double sticks_out(const struct job *job, int box, int kind, double *side, double *room) {
    double inside[3], size[3], least = INFINITY;
    virtual_inside(job, kind, inside);
    for (int t = 0; t < TURNS; t++) {
        if (!turned_size(job, box, t, size)) continue;
        int worst = 0;
        for (int i = 1; i < 3; i++)
            if (size[i] - inside[i] > size[worst] - inside[worst]) worst = i;
        if (!(size[worst] - inside[worst] < least - EPS_MM)) continue;
        double gap = worst == 2 ? job->rules.layer_gap : 0; // virtual on both
        least = size[worst] - inside[worst];
        *side = size[worst] - gap;
        *room = inside[worst] - gap;
    }
    return least;
}

static double longest(const double v[3]) {
    return fmax(v[0], fmax(v[1], v[2]));
}

/// Why a carton of this kind may not go, if it may not: against the carrier's limits of size.
static bool over_size(const struct job *job, int kind, struct kw_carton_problem *p) {
    const struct kw_carton_rules *r = &job->rules;
    double outside[3];
    kw_carton_outside(&job->kinds[kind], r, outside);
    double girth = kw_carton_length_girth(outside);
    bool is_long = r->most_length > 0 && longest(outside) > r->most_length + EPS_MM;
    bool thick = r->most_length_girth > 0 && girth > r->most_length_girth + EPS_MM;
    if (!is_long && !thick) return false;
    p->kind = is_long ? KW_CARTON_TOO_LONG : KW_CARTON_OVER_GIRTH;
    p->measured = is_long ? longest(outside) : girth;
    p->limit = is_long ? r->most_length : r->most_length_girth;
    return true;
}

/// Whether a box can't go in any carton that may be sent; then why.
static bool cannot_go(const struct job *job, int box, struct kw_carton_problem *p) {
    const struct kw_carton_box *b = &job->boxes[box];
    *p = (struct kw_carton_problem){KW_CARTON_NO_CARTON, box, b->count,
                                    longest(b->size),    0,   .carton = -1};
    bool too_heavy = false, found = false;
    double smallest = INFINITY, nearest = INFINITY;
    for (int i = 0; i < job->kind_count; i++) {
        const struct kw_carton_kind *k = &job->kinds[i];
        double side = 0, room = 0, out = sticks_out(job, box, i, &side, &room);
        if (out > EPS_MM) {
            if (!found && out < nearest) {
                nearest = out;
                p->measured = side, p->limit = room, p->carton = i;
            }
            continue;
        }
        if (!found) p->carton = -1;
        double limit = gross_limit(k, &job->rules),
               volume = k->inside[0] * k->inside[1] * k->inside[2];
        if (job->permitted[i] && b->mass + k->tare <= limit + 1e-9) return false;
        if (job->permitted[i]) { // the one that comes nearest to its limit
            if (!too_heavy || b->mass + k->tare - limit < p->measured - p->limit) {
                p->kind = KW_CARTON_TOO_HEAVY;
                p->measured = b->mass + k->tare;
                p->limit = limit;
            }
            too_heavy = found = true;
        } else if (!too_heavy && volume < smallest) {
            over_size(job, i, p);
            smallest = volume;
            found = true;
        }
    }
    return true;
}

// ---- the result

/// Bottom layer first, then from the back left. Strict: ties by box, then place in the list.
static bool lies_before(const struct kw_carton_placed *a, const struct kw_carton_placed *b) {
    if (a->layer != b->layer) return a->layer < b->layer;
    if (fabs(a->at[2] - b->at[2]) > EPS_MM) return a->at[2] < b->at[2];
    if (fabs(a->at[1] - b->at[1]) > EPS_MM) return a->at[1] > b->at[1];
    if (fabs(a->at[0] - b->at[0]) > EPS_MM) return a->at[0] < b->at[0];
    return a->box < b->box;
}

static bool over(const struct spot *low, const struct spot *high) {
    for (int i = 0; i < 2; i++)
        if (low->at[i] >= high->at[i] + high->size[i] - EPS_MM ||
            high->at[i] >= low->at[i] + low->size[i] - EPS_MM)
            return false;
    return fabs(low->at[2] + low->size[2] - high->at[2]) <= EPS_MM;
}

/// One more than the highest layer it rests on; spots sorted by height.
static void number_layers(const struct spot *v, int count, int *layer) {
    for (int i = 0; i < count; i++)
        for (int j = 0; j < i; j++)
            if (over(&v[j], &v[i]) && layer[i] <= layer[j]) layer[i] = layer[j] + 1;
}

static void sort_by_height(struct spot *v, int count) {
    for (int i = 1; i < count; i++) {
        struct spot s = v[i];
        int j = i;
        for (; j > 0 && v[j - 1].at[2] > s.at[2] + EPS_MM; j--)
            v[j] = v[j - 1];
        v[j] = s;
    }
}

static void place_boxes(const struct job *job, const struct chosen *c, struct kw_carton *out,
                        int *copies) {
    struct spot *v = c->filling.v;
    int n = c->filling.count;
    int *layer = kw_alloc(job->scratch, (size_t)n * sizeof *layer);
    sort_by_height(v, n);
    number_layers(v, n, layer);
    out->placed = kw_alloc(job->arena, (size_t)n * sizeof *out->placed);
    out->placed_count = n;
    for (int i = 0; i < n; i++) {
        struct kw_carton_placed p = {.box = v[i].box, .turn = v[i].turn, .layer = layer[i]};
        for (int k = 0; k < 3; k++) {
            p.at[k] = v[i].at[k] + job->rules.wall_gap;
            p.size[k] = job->boxes[p.box].size[turn_axes[p.turn][k]];
        }
        if (p.layer + 1 > out->layers) out->layers = p.layer + 1;
        int j = i;
        for (; j > 0 && lies_before(&p, &out->placed[j - 1]); j--)
            out->placed[j] = out->placed[j - 1];
        out->placed[j] = p;
    }
    for (int i = 0; i < n; i++)
        out->placed[i].copy = copies[out->placed[i].box]++;
}

static struct kw_carton finish(const struct job *job, const struct chosen *c, int *copies) {
    const struct kw_carton_kind *k = &job->kinds[c->kind];
    struct kw_carton out = {.kind = c->kind, .net_mass = c->filling.mass, .gross_mass = c->gross};
    kw_carton_outside(k, &job->rules, out.outside);
    out.length_girth = kw_carton_length_girth(out.outside);
    out.billable_mass =
        kw_carton_billable(out.gross_mass, out.outside, &job->rules, &out.dimensional_mass);
    out.filled = c->filling.volume / (k->inside[0] * k->inside[1] * k->inside[2]);
    place_boxes(job, c, &out, copies);
    return out;
}

static void report_left(const struct job *job, const int *wanted, const int *copies,
                        struct kw_carton_plan *plan) {
    for (int i = 0; i < job->box_count; i++) {
        int left = wanted[i] - copies[i];
        if (left <= 0) continue;
        KW_PUSH(job->arena, plan->problems, plan->problem_count) =
            (struct kw_carton_problem){KW_CARTON_NO_STOCK, i, left, left, 0, .carton = -1};
    }
}

static void permit(struct job *job) {
    struct kw_carton_problem why;
    job->permitted = kw_alloc(job->scratch, (size_t)job->kind_count + 1);
    for (int i = 0; i < job->kind_count; i++)
        job->permitted[i] = !over_size(job, i, &why);
}

bool kw_carton_refuses(const struct kw_carton_box *box, const struct kw_carton_kind *kinds,
                       int kind_count, const struct kw_carton_rules *rules,
                       struct kw_carton_problem *why) {
    struct kw_arena scratch = {0};
    struct job job = {.scratch = &scratch,
                      .boxes = box,
                      .box_count = 1,
                      .kinds = kinds,
                      .kind_count = kind_count,
                      .rules = *rules};
    permit(&job);
    bool refused = cannot_go(&job, 0, why);
    kw_arena_free(&scratch);
    return refused;
}

static void plan_all(struct job *job, struct kw_carton_plan *plan) {
    int *wanted = kw_alloc(job->scratch, (size_t)job->box_count * sizeof *wanted);
    int *copies = kw_alloc(job->scratch, (size_t)job->box_count * sizeof *copies);
    struct kw_carton_problem p;
    for (int i = 0; i < job->box_count; i++) {
        wanted[i] = job->boxes[i].count;
        if (!cannot_go(job, i, &p)) continue;
        wanted[i] = 0;
        KW_PUSH(job->arena, plan->problems, plan->problem_count) = p;
    }
    struct split s = best_split(job, wanted);
    plan->cartons = kw_alloc(job->arena, (size_t)s.count * sizeof *plan->cartons);
    for (int i = 0; i < s.count; i++)
        plan->cartons[plan->carton_count++] = finish(job, &s.v[i], copies);
    plan->billable_mass = s.billable;
    plan->price = s.price;
    report_left(job, wanted, copies, plan);
}

static enum kw_status check_input(const struct kw_carton_box *boxes, int box_count,
                                  const struct kw_carton_kind *kinds, int kind_count,
                                  struct kw_place at, struct kw_error *err) {
    int sum = 0;
    for (int i = 0; i < box_count; i++) {
        for (int k = 0; k < 3; k++)
            if (!(boxes[i].size[k] > 0 && boxes[i].size[k] < 1e6))
                return kw_fail(err, KW_RANGE, at, "box %d has a side of no size", i);
        if (!(boxes[i].mass >= 0 && boxes[i].mass < 1e9))
            return kw_fail(err, KW_RANGE, at, "box %d has no mass", i);
        if (boxes[i].count < 1) return kw_fail(err, KW_RANGE, at, "box %d counts below 1", i);
        if (boxes[i].count > MOST_BOXES || (sum += boxes[i].count) > MOST_BOXES)
            return kw_fail(err, KW_LIMIT, at, "more than %d boxes", MOST_BOXES);
    }
    for (int i = 0; i < kind_count; i++) {
        for (int k = 0; k < 3; k++)
            if (!(kinds[i].inside[k] > 0 && kinds[i].inside[k] < 1e6))
                return kw_fail(err, KW_RANGE, at, "carton %d has a side of no size", i);
        if (!(kinds[i].tare >= 0 && kinds[i].wall >= 0))
            return kw_fail(err, KW_RANGE, at, "carton %d has no tare or wall", i);
    }
    return KW_OK;
}

enum kw_status kw_carton_plan(struct kw_arena *arena, const struct kw_carton_box *boxes,
                              int box_count, const struct kw_carton_kind *kinds, int kind_count,
                              const struct kw_carton_rules *rules, struct kw_place at,
                              struct kw_carton_plan *plan, struct kw_error *err) {
    *plan = (struct kw_carton_plan){0};
    enum kw_status s = check_input(boxes, box_count, kinds, kind_count, at, err);
    if (s || box_count == 0) return s;
    struct kw_arena scratch = {0};
    struct job job = {.arena = arena, .scratch = &scratch, .boxes = boxes, .box_count = box_count};
    job.kinds = kinds;
    job.kind_count = kind_count;
    job.rules = *rules;
    if (!(job.rules.support > 0)) job.rules.support = 0.7;
    if (job.rules.effort < 1) job.rules.effort = 12;
    permit(&job);
    plan_all(&job, plan);
    kw_arena_free(&scratch);
    return KW_OK;
}
