// SPDX-License-Identifier: Apache-2.0
// A stop is two nodes, where the torch comes in and where it leaves, joined by an edge that every
// tree must hold; travels join a way out with a way in. An order of the stops is such a tree in
// which every node has one travel (the last way out has the free travel to nowhere). Weights on the
// nodes change the least tree but not which order is shortest; they are moved towards trees in
// which every node has one travel, and the best tree on the way is the bound.
#include "route_bound.h"

#include <math.h>

struct ascent {
    const struct route_stop *stops;
    int n;
    double from_weight, *in_weight, *out_weight; ///< of the nodes
    int from_degree, *in_degree, *out_degree;    ///< travels at a node in the last tree
    double *near;                                ///< to the tree that is grown
    int *via;     ///< stop of the tree at the other end of that travel; n: `from`
    bool *leaves; ///< the travel goes from the new stop into the tree
    struct kw_vec2 from;
};

static double way(struct kw_vec2 a, struct kw_vec2 b) {
    double x = a.x - b.x, y = a.y - b.y;
    return sqrt(x * x + y * y);
}

// Stop `new` is in the tree: are the others nearer to it than to what was there?
static void look_from(struct ascent *s, int fresh) {
    const struct route_stop *f = &s->stops[fresh];
    for (int i = 0; i < s->n; i++) {
        if (s->near[i] == -INFINITY) continue;
        double to = way(f->out, s->stops[i].in) + s->out_weight[fresh] + s->in_weight[i];
        double back = way(s->stops[i].out, f->in) + s->out_weight[i] + s->in_weight[fresh];
        double d = fmin(to, back);
        if (!(d < s->near[i])) continue;
        s->near[i] = d;
        s->via[i] = fresh;
        s->leaves[i] = back < to;
    }
}

static void join(struct ascent *s, int i) {
    s->near[i] = -INFINITY;
    if (s->via[i] == s->n) {
        s->from_degree++;
        s->in_degree[i]++;
    } else if (s->leaves[i]) {
        s->out_degree[i]++;
        s->in_degree[s->via[i]]++;
    } else {
        s->in_degree[i]++;
        s->out_degree[s->via[i]]++;
    }
}

// The least tree under the weights (Prim 1957), the free end included; fills the degrees.
static double least_tree(struct ascent *s) {
    double sum = -s->from_weight;
    int last = 0;
    s->from_degree = 0;
    for (int i = 0; i < s->n; i++) {
        s->in_degree[i] = s->out_degree[i] = 0;
        s->near[i] = way(s->from, s->stops[i].in) + s->from_weight + s->in_weight[i];
        s->via[i] = s->n;
        sum -= s->in_weight[i] + s->out_weight[i];
        if (s->out_weight[i] < s->out_weight[last]) last = i;
    }
    for (int left = s->n; left > 0; left--) {
        int best = -1;
        for (int i = 0; i < s->n; i++)
            if (s->near[i] > -INFINITY && (best < 0 || s->near[i] < s->near[best])) best = i;
        sum += s->near[best];
        join(s, best);
        look_from(s, best);
    }
    s->out_degree[last]++;
    return sum + s->out_weight[last];
}

static void move_weights(struct ascent *s, double gap) {
    double square = (s->from_degree - 1.0) * (s->from_degree - 1.0);
    for (int i = 0; i < s->n; i++) {
        int in = s->in_degree[i] - 1, out = s->out_degree[i] - 1;
        square += in * in + out * out;
    }
    if (!(square > 0)) return;
    double step = gap / square;
    s->from_weight += step * (s->from_degree - 1);
    for (int i = 0; i < s->n; i++) {
        s->in_weight[i] += step * (s->in_degree[i] - 1);
        s->out_weight[i] += step * (s->out_degree[i] - 1);
    }
}

double route_bound(struct kw_arena *a, struct kw_vec2 from, const struct route_stop *stops,
                   int count, double upper, int rounds) {
    struct ascent s = {.stops = stops, .n = count, .from = from};
    double best = 0, share = 1; // of the gap that a step would close
    int since = 0;
    if (count == 0) return 0;
    s.in_weight = KW_NEW_ARRAY(a, double, count);
    s.out_weight = KW_NEW_ARRAY(a, double, count);
    s.in_degree = KW_NEW_ARRAY(a, int, count);
    s.out_degree = KW_NEW_ARRAY(a, int, count);
    s.near = KW_NEW_ARRAY(a, double, count);
    s.via = KW_NEW_ARRAY(a, int, count);
    s.leaves = KW_NEW_ARRAY(a, bool, count);
    for (int round = 0; round < rounds && share > 1e-3; round++) {
        double bound = least_tree(&s);
        since++;
        if (bound > best) {
            if (bound > best * 1.0001) since = 0;
            best = bound;
        }
        if (since >= 12) { // no better for a while: shorter steps
            share /= 2;
            since = 0;
        }
        move_weights(&s, share * (upper - bound));
    }
    return best;
}
