// SPDX-License-Identifier: Apache-2.0
// tube: generated tubes followed through every bend and from each bend to the next, from either
// end, for what they would meet.
#include "bench.h"
#include "tube/tube.h"

#include <math.h>

#define OD 31.75

/// Legs of 80 to 500 mm, turns of 15 to 120 degrees in any plane, two radii.
static void random_tube(uint64_t *state, struct kw_tube_bend *rows, int bends) {
    for (int i = 0; i < bends; i++) {
        rows[i] = (struct kw_tube_bend){
            .straight = bench_random_step(state, 80, 500, 1),
            .rotate = i > 0 ? bench_random_step(state, -180, 180, 5) * KW_PI / 180 : 0,
            .angle = bench_random_step(state, 15, 120, 5) * KW_PI / 180,
            .radius = bench_random_count(state, 0, 1) ? 101.6 : 152.4,
        };
    }
}

/// A stand under the die, a follower's rail beside the stick, a control box: invented.
static const struct kw_box3 bodies[] = {
    {{-600, 60, -900}, {150, 420, -60}},
    {{-1500, -260, -120}, {-100, -80, 60}},
    {{-500, 500, -900}, {-200, 800, 300}},
};

static const struct kw_tube_die dies[] = {{OD, 101.6, KW_PI, 60, 25, 1.03, 0},
                                          {OD, 152.4, KW_PI, 60, 25, 1.03, 0}};

static int count_kind(const struct kw_tube_problems *p, enum kw_tube_problem_kind kind) {
    int n = 0;
    for (int i = 0; i < p->count; i++)
        n += p->v[i].kind == kind;
    return n;
}

int bench_tube(const struct bench_args *args) {
    int cases = args->cases > 0 ? args->cases : 1000, bends = args->bends > 0 ? args->bends : 12;
    const struct kw_tube_bender bender = {dies, 2, 0, false, 900, bodies, 3};
    const struct kw_tube_size size = {OD, 2.1};
    struct kw_arena a = {0};
    struct kw_tube_bend *rows = KW_NEW_ARRAY(&a, struct kw_tube_bend, bends);
    uint64_t state = args->seed;
    int clear = 0, floor = 0, body = 0, itself = 0, between = 0;
    double seconds = 0;
    for (int i = 0; i < cases && !args->watch.stopped(args->watch.user); i++) {
        struct kw_arena scratch = {0};
        struct kw_tube_table ends[2];
        random_tube(&state, rows, bends);
        if (!kw_tube_table_from_rows(&scratch, rows, bends, 200, &ends[0], NULL)) continue;
        double before = bench_now();
        kw_tube_other_end(&scratch, &ends[0], &ends[1]);
        bool free_way = false;
        for (int e = 0; e < 2; e++) {
            struct kw_tube_problems p = {.arena = &scratch};
            kw_tube_swing(&scratch, &ends[e], size, &bender, (struct kw_tube_trims){0}, &p);
            kw_tube_turns(&scratch, &ends[e], size, &bender, (struct kw_tube_trims){0}, NULL, &p);
            free_way = free_way || p.count == 0;
            floor += count_kind(&p, KW_TUBE_HITS_FLOOR);
            body += count_kind(&p, KW_TUBE_HITS_BODY);
            itself += count_kind(&p, KW_TUBE_HITS_ITSELF);
            between += count_kind(&p, KW_TUBE_FEED_HITS_BODY) +
                       count_kind(&p, KW_TUBE_TURN_HITS_FLOOR) +
                       count_kind(&p, KW_TUBE_TURN_HITS_BODY);
        }
        seconds += bench_now() - before;
        clear += free_way;
        kw_arena_free(&scratch);
    }
    kw_arena_free(&a);
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", "tubes");
    kw_json_key_count(j, "tubes", cases);
    kw_json_key_count(j, "bends", bends);
    kw_json_key_count(j, "clear_from_an_end", clear);
    kw_json_key_count(j, "hits_floor", floor);
    kw_json_key_count(j, "hits_body", body);
    kw_json_key_count(j, "hits_itself", itself);
    kw_json_key_count(j, "blocked_between_bends", between);
    kw_json_key_number(j, "seconds", seconds, 3);
    struct kw_error err = {0};
    enum kw_status s = bench_line_print(&line, &err);
    return s == KW_OK ? 0 : bench_fail(&err);
}
