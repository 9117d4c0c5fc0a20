// SPDX-License-Identifier: Apache-2.0
// Pieces that stand askew, for tests of ends that follow from it: plain rotations written here.
#pragma once

#include "check_product.h"
#include "geom/geom.h"

#include <stdio.h>

#define DEG (KW_PI / 180)

/// Turned about x, then y, then z, then moved.
struct stand {
    double turn[3], at[3];
};

static inline struct kw_vec3 carried(const struct stand *s, struct kw_vec3 p) {
    double c = cos(s->turn[0]), n = sin(s->turn[0]);
    p = kw_v3(p.x, c * p.y - n * p.z, n * p.y + c * p.z);
    c = cos(s->turn[1]), n = sin(s->turn[1]);
    p = kw_v3(c * p.x + n * p.z, p.y, -n * p.x + c * p.z);
    c = cos(s->turn[2]), n = sin(s->turn[2]);
    p = kw_v3(c * p.x - n * p.y, n * p.x + c * p.y, p.z);
    return kw_add3(p, kw_v3(s->at[0], s->at[1], s->at[2]));
}

static inline const char *standing(struct kw_arena *a, const char *name, const char *what,
                                   const struct stand *s) {
    return kw_format(
        a, "  %s: { part: %s, at: [%.9f, %.9f, %.9f], turns: [x %.9f, y %.9f, z %.9f] }\n", name,
        what, s->at[0], s->at[1], s->at[2], s->turn[0] / DEG, s->turn[1] / DEG, s->turn[2] / DEG);
}

static inline double random_in(uint64_t *r, double low, double high) {
    *r = *r * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*r >> 11) / 9007199254740992.0;
}

/// A kit of two posts near upright, 500 apart, and a rung whose ends are coped onto them, all askew
/// and turned about. Where the rung misses a post, the planner says so.
static inline const char *askew(struct kw_arena *a, uint64_t *r, struct stand post[2],
                                struct stand *rung) {
    *rung = (struct stand){
        .turn = {random_in(r, -3, 3), random_in(r, -0.6, 0.6), random_in(r, -0.2, 0.2)}};
    for (int i = 0; i < 2; i++)
        post[i] = (struct stand){.turn = {random_in(r, -3, 3), -KW_PI / 2 + random_in(r, -0.4, 0.4),
                                          random_in(r, -0.3, 0.3)},
                                 .at = {500 * i + random_in(r, -30, 30), -24, -600}};
    // The rung's axis through a point near the first post's, 600 up along it.
    struct kw_vec3 on = carried(&post[0], kw_v3(600, 24, 24));
    struct kw_vec3 zero = carried(rung, kw_v3(random_in(r, 0, 30), 15, 15));
    rung->at[0] = on.x - zero.x;
    rung->at[1] = on.y - zero.y + random_in(r, -8, 8);
    rung->at[2] = on.z - zero.z;
    return kw_format(
        a,
        "kit: k\nname: K\nunits: mm\nparts:\n"
        "  post: { from: 48 x 3 round tube, per_kit: 2, length: 1400 }\n"
        "  rung: { from: 30 x 2 round tube, per_kit: 1, length: 470, ends: { start: { cope: "
        "{ onto: post } }, end: { cope: { onto: post } } } }\nassembly:\n%s%s%s",
        standing(a, "left", "post", &post[0]), standing(a, "right", "post", &post[1]),
        standing(a, "rung", "rung", rung));
}
