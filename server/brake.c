// SPDX-License-Identifier: Apache-2.0
// The bend order of a part, to be played: its strokes, the tools in section, and its form in the
// press's frame while each stroke is made.
#include "brake/brake.h"

#include "packet/packet.h"
#include "server/form.h"
#include "server/planning.h"

#include <stdio.h>
#include <string.h>

#define MESH_STEP (7.5 * KW_PI / 180)

enum { FINE = 4 };

/// A part with its plan, in an arena of its own.
struct bent {
    struct plan_input in;
    struct kw_check_brake plan;
    const struct kw_examined *what;
    bool other_hand; ///< the right one: all of it mirrored along the press
};

/// `label`: a part's name, with " left" or " right" where it is sold in hands.
static bool find_part(struct bent *b, struct kw_kit *kit, const char *label, struct kw_error *err) {
    struct kw_arena *a = &b->in.arena;
    size_t n = strcspn(label, " ");
    const char *part = kw_copy_text(a, label, n);
    b->other_hand = strcmp(label + n, " right") == 0;
    struct kw_findings findings = {.arena = a};
    struct kw_examined *v;
    int count;
    kw_check_kit(a, b->in.shop, kit, &findings, &v, &count);
    for (int i = 0; i < count; i++)
        if (strcmp(v[i].part->name, part) == 0) b->what = &v[i];
    if (b->what && kw_check_brake_inputs(a, b->in.shop, b->what, &b->plan)) return true;
    kw_fail(err, KW_MISSING, (struct kw_place){0}, "no bend order of a part \"%.60s\"", part);
    return false;
}

static bool of_run(struct call *c, struct bent *b, struct kw_error *err) {
    if (plan_read(c->server, true, &b->in, err) != KW_OK) return false;
    struct kw_kit *kit = kw_kits_find(&b->in.kits, c->parts[1]);
    if (kit) return find_part(b, kit, c->parts[2], err);
    kw_fail(err, KW_MISSING, (struct kw_place){0}, "no kit \"%.60s\" any more", c->parts[1]);
    return false;
}

static bool of_look(struct call *c, struct bent *b, struct kw_error *err) {
    struct look *look = look_find(c->server, c->parts[0]);
    struct kw_kit *kit = NULL;
    if (!look) {
        kw_fail(err, KW_MISSING, (struct kw_place){0},
                "this look is not kept any more: look again");
        return false;
    }
    bool read = plan_read(c->server, false, &b->in, err) == KW_OK &&
                look_read_again(c->server, look, b->in.shop, &b->in.arena, &kit, err) == KW_OK;
    look_drop(c->server, look);
    return read && find_part(b, kit, c->parts[1], err);
}

// ---------------------------------------------------------------------------------- the press's
// view

/// The part while stroke `step` is made, `part` of it (0 the punch touches, 1 under load): turns of
/// the body's bends, and how far the sheet is pressed down.
static void turns_at(const struct bent *b, int step, double part, double *turns) {
    const struct kw_body *body = b->what->body;
    const struct kw_brake_plan *plan = b->what->brake;
    for (int s = 0; s <= step; s++) {
        const struct kw_brake_step *k = &plan->steps[s];
        for (int i = 0; i < k->bend_count; i++) {
            double whole = body->bends[k->bends[i]].angle, *t = &turns[k->bends[i]];
            double end = s < step ? k->angle : fmax(k->angle, k->angle_under_load);
            double to = whole > 0 ? end / whole : 1;
            *t = s < step ? fmin(1, to) : *t + (fmin(to, KW_PI / whole) - *t) * part;
        }
    }
}

static double depth_at(const struct bent *b, const struct kw_brake_step *k, double turn) {
    if (k->die < 0 || k->blocked || !(turn > 0)) return 0;
    const struct kw_brake_die *die = &b->plan.shop.dies[k->die];
    return kw_brake_depth(fmin(turn, KW_PI * 0.95), k->inside_radius, b->plan.material.thickness,
                          die);
}

/// Part's frame to the stroke's: u to the gauge, v along the bend, z up from the die's top face.
static struct kw_move3 place_of(const struct bent *b, int step, const double *turns) {
    const struct kw_brake_step *k = &b->what->brake->steps[step];
    int bend = k->bends[0];
    struct kw_bend_middle m = kw_body_bend_middle(b->what->body, turns, bend);
    struct kw_vec3 u = kw_scale3(m.to_child, k->gauge_child_side ? 1 : -1), z = m.inwards;
    struct kw_vec3 v = kw_cross3(z, u);
    struct kw_move3 out = {.r = {{u.x, u.y, u.z}, {v.x, v.y, v.z}, {z.x, z.y, z.z}}};
    out.t = kw_v3(-kw_dot3(u, m.at), -kw_dot3(v, m.at), -kw_dot3(z, m.at));
    out.t.z -= depth_at(b, k, turns[bend] * b->what->body->bends[bend].angle);
    return out;
}

static bool stroke_form(struct kw_arena *a, const void *user, int frame, int frames,
                        struct form *out) {
    const struct bent *b = user;
    int each = frames / b->what->brake->step_count, step = frame / each;
    double part = each > 1 ? (double)(frame % each) / (each - 1) : 1;
    double *turns = KW_NEW_ARRAY(a, double, b->what->body->bend_count + 1);
    turns_at(b, step, part, turns);
    if (!kw_body_mesh_each(a, b->what->body, turns, MESH_STEP, &out->mesh, &out->lines,
                           &out->line_count))
        return false;
    struct kw_move3 m = place_of(b, step, turns);
    for (int i = 0; i < out->mesh.point_count; i++)
        out->mesh.points[i] = kw_move3_point(m, out->mesh.points[i]);
    if (b->other_hand) kw_mesh_mirror(&out->mesh, 1);
    return true;
}

static void answer_form(struct call *c, const struct bent *b) {
    int each, steps = b->what->brake->step_count;
    if (!form_frames(c, 8, &each)) return;
    if (steps == 0 || each * steps > 2000)
        answer_says(c->response, 400, "%d strokes of %d frames: expected at most 2000 in all",
                    steps, each);
    else
        form_answer(c, stroke_form, b, each * steps);
}

// ------------------------------------------------------------------------------------------- JSON

static const char *die_id(const struct bent *b, int die) {
    return die >= 0 ? b->plan.shop.dies[die].id : NULL;
}
static const char *punch_id(const struct bent *b, int punch) {
    return punch >= 0 ? b->plan.shop.punches[punch].id : NULL;
}

static double whole_length(const struct bent *b, double own) {
    return own > 0 ? own : kw_brake_bed(&b->plan.shop);
}

/// Where a tool begins along the press, for the hand that is bent.
static double tool_at(const struct bent *b, double at, double length, double whole) {
    return b->other_hand ? -at - (length > 0 ? length : whole) : at;
}

static void put_step(struct kw_json *j, const struct bent *b, const struct kw_brake_step *k) {
    const struct kw_brake_shop *shop = &b->plan.shop;
    double punch = k->punch >= 0 ? whole_length(b, shop->punches[k->punch].length) : 0;
    double die = k->die >= 0 ? whole_length(b, shop->dies[k->die].length) : 0;
    kw_json_open(j, '{');
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    for (int i = 0; i < k->bend_count; i++)
        kw_json_text(j, b->what->body->bends[k->bends[i]].id);
    kw_json_close(j);
    kw_json_key_text(j, "punch", punch_id(b, k->punch));
    put_truth(j, "punch_turned", k->punch_turned);
    kw_json_key_text(j, "die", die_id(b, k->die));
    kw_json_key_count(j, "station", k->station);
    put_truth(j, "blocked", k->blocked);
    put_truth(j, "gauged", k->gauged);
    kw_json_key_number(j, "gauge_x", k->gauge_x, FINE);
    kw_json_key_number(j, "gauge_r", k->gauge_r, FINE);
    kw_json_key_number(j, "gauge_back", k->gauge_back, FINE);
    kw_json_key_text(j, "gauge_edge", k->gauge_edge);
    kw_json_key_number(j, "depth", k->depth, FINE);
    kw_json_key_number(j, "force", k->force / 1000, FINE);
    kw_json_key_number(j, "angle", k->angle * 180 / KW_PI, FINE);
    kw_json_key_number(j, "angle_under_load", k->angle_under_load * 180 / KW_PI, FINE);
    put_truth(j, "turned_over", k->turned_over);
    put_truth(j, "rotated", k->rotated);
    kw_json_key_number(j, "span", k->span, FINE);
    kw_json_key_number(j, "punch_at", tool_at(b, k->punch_at, k->punch_length, punch), FINE);
    kw_json_key_number(j, "punch_length", k->punch_length, FINE);
    kw_json_key_number(j, "die_at", tool_at(b, k->die_at, k->die_length, die), FINE);
    kw_json_key_number(j, "die_length", k->die_length, FINE);
    kw_json_close(j);
}

static bool uses(const struct bent *b, int die, int punch) {
    for (int i = 0; i < b->what->brake->step_count; i++) {
        const struct kw_brake_step *k = &b->what->brake->steps[i];
        if ((die >= 0 && k->die == die) || (punch >= 0 && k->punch == punch)) return true;
    }
    return false;
}

static void put_tool(struct kw_json *j, const char *id, const char *kind,
                     const struct kw_path *profile, double whole) {
    kw_json_open(j, '{');
    kw_json_key_text(j, "name", id);
    kw_json_key_text(j, "kind", kind);
    kw_json_key(j, "profile");
    kw_packet_outline_json(j, profile, FINE);
    kw_json_key_number(j, "whole", whole, FINE);
    kw_json_close(j);
}

static void put_tools(struct kw_json *j, struct bent *b) {
    struct kw_arena *a = &b->in.arena;
    const struct kw_brake_shop *shop = &b->plan.shop;
    kw_json_key(j, "tools");
    kw_json_open(j, '[');
    for (int i = 0; i < shop->die_count; i++) {
        struct kw_path p = kw_brake_die_profile(a, &shop->dies[i]);
        double whole = whole_length(b, shop->dies[i].length);
        if (uses(b, i, -1)) put_tool(j, shop->dies[i].id, "die", &p, whole);
    }
    for (int i = 0; i < shop->punch_count; i++) {
        struct kw_path p = kw_brake_punch_profile(a, &shop->punches[i], false);
        double whole = whole_length(b, shop->punches[i].length);
        if (uses(b, -1, i)) put_tool(j, shop->punches[i].id, "punch", &p, whole);
    }
    kw_json_close(j);
}

/// Whether the run has other strokes than the part as its kit file has it now.
static bool has_changed(struct call *c, const struct bent *b, const json_t *run) {
    const char *label = kw_format(&c->arena, "%s/%s", c->parts[1], c->parts[2]);
    const json_t *row = row_named(json_object_get(run, "brake"), "part", label);
    const json_t *steps = json_object_get(row, "steps");
    const struct kw_brake_plan *plan = b->what->brake;
    if ((int)json_array_size(steps) != plan->step_count) return true;
    for (int i = 0; i < plan->step_count; i++) {
        const json_t *s = json_array_get(steps, (size_t)i);
        const char *die = json_string_value(json_object_get(s, "die"));
        const char *mine = die_id(b, plan->steps[i].die);
        double x = json_number_value(json_object_get(s, "gauge_x"));
        if (fabs(x - plan->steps[i].gauge_x) > 0.01) return true;
        if (!die != !mine || (die && strcmp(die, mine) != 0)) return true;
    }
    return false;
}

static void answer_steps(struct call *c, struct bent *b, bool changed) {
    const struct kw_brake_plan *plan = b->what->brake;
    struct kw_json j = answer_json(c->response);
    kw_json_key_text(&j, "part", b->what->part->name);
    put_truth(&j, "changed", changed);
    kw_json_key_number(&j, "thickness", b->plan.material.thickness, 6);
    put_truth(&j, "bed_moves", b->plan.shop.press.bed_moves);
    kw_json_key(&j, "steps");
    kw_json_open(&j, '[');
    for (int i = 0; i < plan->step_count; i++)
        put_step(&j, b, &plan->steps[i]);
    kw_json_close(&j);
    put_tools(&j, b);
    kw_json_close(&j);
}

// --------------------------------------------------------------------------------------- handlers

static void answer_failure(struct call *c, const struct kw_error *err) {
    answer_error(c->response, status_of(err), err);
}

HANDLER(get_brake) {
    struct bent b = {0};
    struct kw_error err = {0};
    json_t *run = run_json(c);
    if (!run) return;
    if (of_run(c, &b, &err))
        answer_steps(c, &b, has_changed(c, &b, run));
    else
        answer_failure(c, &err);
    kw_arena_free(&b.in.arena);
    json_decref(run);
}

HANDLER(get_brake_form) {
    struct bent b = {0};
    struct kw_error err = {0};
    if (of_run(c, &b, &err))
        answer_form(c, &b);
    else
        answer_failure(c, &err);
    kw_arena_free(&b.in.arena);
}

HANDLER(get_look_brake) {
    struct bent b = {0};
    struct kw_error err = {0};
    if (of_look(c, &b, &err))
        answer_steps(c, &b, false);
    else
        answer_failure(c, &err);
    kw_arena_free(&b.in.arena);
}

HANDLER(get_look_brake_form) {
    struct bent b = {0};
    struct kw_error err = {0};
    if (of_look(c, &b, &err))
        answer_form(c, &b);
    else
        answer_failure(c, &err);
    kw_arena_free(&b.in.arena);
}
