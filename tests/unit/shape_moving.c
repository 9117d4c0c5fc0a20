// SPDX-License-Identifier: Apache-2.0
// Pictures that move: one mesh for all steps of folding, each bend by itself, and where a bend lies
// in the die.
#include "shape_hand.h"

#define STEP (5 * DEG)

static struct kw_body *tray(struct hand *h) {
    struct kw_body *body = NULL;
    hand_start(h, 200, 120, 2);
    hand_flange(h, KW_EDGE_BACK, 30, 90 * DEG, 2)->way = KW_UP;
    hand_flange(h, KW_EDGE_FRONT, 25, 60 * DEG, 3)->way = KW_DOWN;
    kw_body_make(&h->a, &h->shop, &h->kit, &h->part, &h->found, &body);
    cr_assert(body);
    return body;
}

Test(shape_moving, mesh_and_lines_are_the_same_at_every_step) {
    struct hand h;
    const struct kw_body *body = tray(&h);
    struct kw_mesh last = {0};
    int(*last_lines)[2] = NULL, last_count = 0;
    for (int i = 0; i <= 10; i++) {
        struct kw_mesh m = {0};
        int(*lines)[2], count;
        cr_assert(kw_body_mesh_lined(&h.a, body, i / 10.0, STEP, &m, &lines, &count));
        cr_expect(kw_mesh_is_closed(&m), "step %d", i);
        if (i > 0) {
            cr_assert_eq(m.point_count, last.point_count);
            cr_assert_eq(m.triangle_count, last.triangle_count);
            cr_assert_eq(count, last_count);
            cr_expect_eq(
                memcmp(m.triangles, last.triangles, sizeof *m.triangles * (size_t)m.triangle_count),
                0);
            cr_expect_eq(memcmp(lines, last_lines, sizeof *lines * (size_t)count), 0);
        }
        for (int k = 0; k < count; k++)
            cr_assert(lines[k][0] >= 0 && lines[k][0] < m.point_count && lines[k][1] >= 0 &&
                      lines[k][1] < m.point_count && lines[k][0] != lines[k][1]);
        last = m;
        last_lines = lines;
        last_count = count;
    }
    kw_arena_free(&h.a);
}

/// Turns of the back flange's bend (A) and the front one's (B), in the body's order.
static const double *turns(const struct kw_body *body, double back, double front) {
    static double t[2];
    for (int i = 0; i < 2; i++)
        t[i] = body->bends[i].id[0] == 'A' ? back : front;
    return t;
}

Test(shape_moving, bends_turn_by_themselves) {
    struct hand h;
    const struct kw_body *body = tray(&h);
    struct kw_mesh one = {0}, all = {0}, none = {0}, flat = {0};
    int(*lines)[2], count;
    cr_assert_eq(body->bend_count, 2);
    kw_body_mesh_each(&h.a, body, turns(body, 1, 0), STEP, &one, &lines, &count);
    struct kw_box3 box = kw_mesh_box(&one);
    cr_expect_lt(fabs(box.max.z - (30 - 2)), 0.01, "the back flange stands: %g", box.max.z);
    cr_expect_lt(fabs(box.min.z + 2), 0.01, "the front one lies flat: %g", box.min.z);
    kw_body_mesh_each(&h.a, body, turns(body, 1, 1), STEP, &all, &lines, &count);
    kw_body_mesh_lined(&h.a, body, 1, STEP, &flat, &lines, &count);
    cr_expect_eq(memcmp(all.points, flat.points, sizeof *all.points * (size_t)all.point_count), 0);
    kw_body_mesh_each(&h.a, body, turns(body, 0, 0), STEP, &none, &lines, &count);
    box = kw_mesh_box(&none);
    cr_expect(box.max.z < 1e-9 && box.min.z > -2 - 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_moving, the_middle_of_a_bend_lies_between_its_legs) {
    struct hand h;
    const struct kw_body *body = tray(&h);
    int back = body->bends[0].id[0] == 'A' ? 0 : 1;
    // A right angle up at the back, 2 mm inside radius in 2 mm: its outside runs on a circle of 4
    // about (y, z) = (116, 2); halfway that is 4 sqrt(1/2) down and back.
    struct kw_bend_middle m = kw_body_bend_middle(body, turns(body, 1, 1), back);
    cr_expect_lt(fabs(m.at.x - 100), 1e-9);
    cr_expect_lt(fabs(m.at.y - (116 + 4 * sqrt(0.5))), 1e-6, "%g", m.at.y);
    cr_expect_lt(fabs(m.at.z - (2 - 4 * sqrt(0.5))), 1e-6, "%g", m.at.z);
    cr_expect(fabs(m.to_child.y - sqrt(0.5)) < 1e-9 && fabs(m.to_child.z - sqrt(0.5)) < 1e-9);
    cr_expect(fabs(m.inwards.y + sqrt(0.5)) < 1e-9 && fabs(m.inwards.z - sqrt(0.5)) < 1e-9);
    // Flat: on the underside, the punch comes from above; a bend down lies with its top in the die.
    m = kw_body_bend_middle(body, turns(body, 0, 0), back);
    cr_expect(fabs(m.at.z + 2) < 1e-9 && fabs(m.inwards.z - 1) < 1e-9 && m.to_child.y > 0.999);
    m = kw_body_bend_middle(body, turns(body, 0, 0), 1 - back);
    cr_expect(fabs(m.at.z) < 1e-9 && fabs(m.inwards.z + 1) < 1e-9 && m.to_child.y < -0.999);
    kw_arena_free(&h.a);
}
