// SPDX-License-Identifier: Apache-2.0
// The judge of bend orders: passes good plans, catches planted faults.
#include "brake/inside.h"
#include "packet_judged.h"

static void make_judged(struct judged *j) {
    *j = (struct judged){0};
    make_strip(&j->p, (double[]){30, 60, 140, 60, 30}, (double[]){90, 90, 90, 90}, 5, 2, 200, 3,
               6.7);
    j->plan = plan_of(&j->p, &test_shop);
    judged_plan(j, &mild, &test_shop);
}

/// Where the first point of each face ends up, as the planner folds.
static void add_finished(struct judged *j) {
    static double at[8][3];
    struct kw_vec2 normals[8];
    double radii[8] = {3, 3, 3, 3};
    unsigned char made[8] = {1, 1, 1, 1};
    struct job job = {.arena = &j->arena,
                      .scratch = &j->arena,
                      .part = &j->p.part,
                      .material = mild,
                      .normals = normals,
                      .radii = radii};
    for (int i = 0; i < j->p.part.bend_count; i++)
        normals[i] = bend_normal(&j->p.part, i);
    struct fold f = fold_for(&job, made, 0, true);
    for (int i = 0; i < j->p.part.face_count; i++) {
        const double *p = j->part.faces[i].at[0];
        struct kw_vec3 q = kw_move3_point(f.faces[i], kw_v3(p[0], p[1], 0));
        at[i][0] = q.x, at[i][1] = q.y, at[i][2] = q.z;
    }
    j->part.finished = (void *)at;
}

Test(packet_bend_faults, a_good_plan_passes) {
    struct judged j;
    make_judged(&j);
    struct kw_verdict v = {.arena = &j.arena};
    add_finished(&j);
    kw_judge_brake(&j.part, j.strokes, j.plan.step_count, &v);
    cr_expect_eq(v.fault_count, 0, "%s", v.fault_count ? v.faults[0] : "");
    cr_expect_eq(v.looked_at, 4);
    free_judged(&j);
}

static void swap(struct judged *j, int a, int b) {
    struct kw_bent_stroke keep = j->strokes[a];
    j->strokes[a] = j->strokes[b];
    j->strokes[b] = keep;
}

static const double fat[][2] = {{-70, 4}, {0, 0}, {70, 4}, {70, 90}, {-70, 90}};
static const double tall_die[][2] = {{-60, -90}, {60, -90}, {60, 4}, {-60, 4}};
static double wrong[8][3];

/// Faults 0 to 25; false when there are no more.
static bool plant(struct judged *j, int fault, int *count) {
    struct kw_bent_stroke *s = j->strokes, *last = &s[j->plan.step_count - 1];
    *count = j->plan.step_count;
    struct kw_bent_bend *b = (struct kw_bent_bend *)(void *)j->part.bends;
    switch (fault) {
    case 0:
        *count -= 1;
        return true; // a bend never made
    case 1:
        s[1].bends = s[0].bends;
        return true; // one made twice
    case 2:
        *count = 0;
        return true; // nothing made
    case 3:
        s[0].under_load = 80 * DEG;
        return true; // bent too little
    case 4:
        s[0].punch.from += 600;
        return true; // punch beside the bend
    case 5:
        s[1].punch.to -= 5200;
        return true; // punch too short
    case 6:
        s[2].die.from += 5200;
        return true; // die beside the bend
    case 7:
        s[3].die.to = s[3].die.from + 10;
        return true; // die too short
    case 8:
        s[0].gauge_x += 3;
        return true; // nothing at the gauge
    case 9:
        s[3].gauge_x -= 2;
        return true;
    case 10:
        s[2].gauge_x = 611;
        return true;
    case 11:
        last->punch.at = fat, last->punch.count = 5;
        return true; // walls in the punch
    case 12:
        s[2].punch.at = fat, s[2].punch.count = 5;
        return true;
    case 13:
        s[0].die.at = tall_die, s[0].die.count = 4;
        return true; // a die above its top face
    case 14:
        last->die.at = tall_die, last->die.count = 4;
        return true;
    case 15:
        last->ram_width = 400;
        last->punch.at = fat, last->punch.count = 5;
        return true;
    case 16:
        last->open = 0;
        last->ram_width = 2000;
        return true; // legs into a wide ram
    case 17:
        s[0].child_behind = !s[0].child_behind;
        return true; // the other edge at the gauge
    case 18:
        last->child_behind = !last->child_behind;
        return true;
    case 19:
        last->under_load = 178 * DEG;
        return true; // past the punch's flanks
    case 20:
        b[0].angle = 130 * DEG;
        return true; // wanted more than is bent
    case 21:
        add_finished(j);
        b[1].allowance += 8;
        return true; // another blank than the one planned
    case 22:
        s[0].punch.from = s[0].punch.to;
        return true;
    case 23:
        j->part.finished = (void *)wrong;
        return true; // not the size designed
    case 24:
        s[0].finger_size[2] = 120, s[0].gauge_x = 33.35;
        s[0].ram_width = 200;
        return true; // the ram comes down on a finger
    case 25:
        s[0].throat = 20, s[0].between_frames = 150;
        return true; // the frames stand in the way
    }
    return false;
}

Test(packet_bend_faults, planted_faults_are_caught) {
    int fault = 0, count;
    for (;; fault++) {
        struct judged j;
        make_judged(&j);
        bool more = plant(&j, fault, &count);
        if (more) cr_expect_gt(faults_of(&j, count), 0, "planted fault %d", fault);
        free_judged(&j);
        if (!more) break;
    }
    cr_expect_geq(fault, 20);
}

// A flange that hangs at the fingers swings out past them (brake_plan.c has its figures).
Test(packet_bend_faults, a_finger_that_stays_is_run_into) {
    struct judged j = {0};
    make_strip(&j.p, (double[]){150, 100, 40}, (double[]){90, -90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_shop shop = test_shop;
    shop.press.gauge_max_x = 120;
    j.plan = plan_of(&j.p, &shop);
    j.part = packet_bent_part(&j.arena, &j.p.part, &mild, &j.plan);
    j.strokes = KW_NEW_ARRAY(&j.arena, struct kw_bent_stroke, 2);
    for (int stays = 0; stays < 2; stays++) {
        for (int i = 0; i < 2; i++) {
            j.strokes[i] = packet_bent_stroke(&j.arena, &shop, 3, &j.plan.steps[i]);
            if (stays) j.strokes[i].gauge_back = 0;
        }
        cr_expect_eq(faults_of(&j, 2) > 0, stays == 1, "%d", stays);
    }
    free_judged(&j);
}

Test(packet_bend_faults, walls_before_lips_collide) {
    // A box section 60 wide with 60 mm walls and lips bent last: no punch fits in.
    struct judged j;
    make_judged(&j);
    swap(&j, 0, 2);
    swap(&j, 1, 3);
    cr_expect_gt(faults_of(&j, 4), 0);
    free_judged(&j);
}

Test(packet_bend_faults, a_flare_under_the_die_is_seen) {
    for (int near = 0; near < 2; near++) {
        struct judged j;
        make_judged(&j);
        struct kw_bent_bump bump = {.radius = 10, .height = 4, .down = true};
        const struct kw_bent_bend *b = &j.part.bends[1];
        double beside = near ? 20 : 70; // the die is some 45 mm wide
        for (int k = 0; k < 2; k++)
            bump.at[k] = (b->from[k] + b->to[k]) / 2 - b->normal[k] * beside;
        bump.face = b->parent;
        j.part.bumps = &bump;
        j.part.bump_count = 1;
        cr_expect_eq(faults_of(&j, 4) > 0, near == 1, "%d", near);
        free_judged(&j);
    }
}
