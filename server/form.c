// SPDX-License-Identifier: Apache-2.0
// The form of a part as bytes for the page: points for each step from blank to finished, triangles
// and lines that are the same at every step. Layout in docs/api.md.
#include "server/form.h"

#include <stdio.h>
#include <string.h>

/// Mesh steps of 5 degrees: a bend of 10 mm outside radius within 0.01 mm.
#define MESH_STEP (5 * KW_PI / 180)

static void put_u32(struct kw_text *t, uint32_t v) {
    char bytes[4];
    for (int i = 0; i < 4; i++)
        bytes[i] = (char)(v >> (8 * i) & 0xff);
    kw_text_addn(t, bytes, 4);
}

static void put_f32(struct kw_text *t, double v) {
    float f = (float)v;
    uint32_t bits;
    memcpy(&bits, &f, sizeof bits);
    put_u32(t, bits);
}

static void put_points(struct kw_text *t, const struct kw_mesh *m) {
    for (int i = 0; i < m->point_count; i++) {
        put_f32(t, m->points[i].x);
        put_f32(t, m->points[i].y);
        put_f32(t, m->points[i].z);
    }
}

static bool form_at(struct kw_arena *a, const void *user, int frame, int frames, struct form *out) {
    const struct kw_examined *what = user;
    double t = frames > 1 ? (double)frame / (frames - 1) : 1;
    if (what->body)
        return kw_body_mesh_lined(a, what->body, t, MESH_STEP, &out->mesh, &out->lines,
                                  &out->line_count);
    return what->tube && form_stick(a, what, t, out);
}

static void put_head(struct kw_text *out, const struct form *f, int frames) {
    kw_text_add(out, "KWF1");
    put_u32(out, (uint32_t)frames);
    put_u32(out, (uint32_t)f->mesh.point_count);
    put_u32(out, (uint32_t)f->mesh.triangle_count);
    put_u32(out, (uint32_t)f->line_count);
}

bool form_write(form_maker make, const void *user, int frames, struct kw_text *out) {
    size_t before = out->length;
    struct kw_arena a = {0};
    struct form f = {0};
    bool made = true;
    for (int i = 0; i < frames && made; i++) {
        kw_arena_free(&a);
        f = (struct form){0};
        made = make(&a, user, i, frames, &f);
        if (made && i == 0) put_head(out, &f, frames);
        if (made) put_points(out, &f.mesh);
    }
    for (int i = 0; made && i < f.mesh.triangle_count; i++)
        for (int k = 0; k < 3; k++)
            put_u32(out, (uint32_t)f.mesh.triangles[i][k]);
    for (int i = 0; made && i < f.line_count; i++)
        for (int k = 0; k < 2; k++)
            put_u32(out, (uint32_t)f.lines[i][k]);
    if (!made) out->length = before;
    kw_arena_free(&a);
    return made;
}

bool form_frames(struct call *c, int usual, int *frames) {
    const char *wanted = target_query(&c->target, "frames");
    int end = 0;
    *frames = usual;
    if (!wanted || (sscanf(wanted, "%4d%n", frames, &end) == 1 && !wanted[end] && *frames >= 1 &&
                    *frames <= MOST_FRAMES))
        return true;
    answer_says(c->response, 400, "frames: expected 1 to %d, got \"%.20s\"", MOST_FRAMES, wanted);
    return false;
}

void form_answer(struct call *c, form_maker make, const void *user, int frames) {
    if (form_write(make, user, frames, &c->response->body)) {
        c->response->status = 200;
        c->response->type = "application/octet-stream";
    } else {
        answer_says(c->response, 404, "this part makes no form");
    }
}

/// A stick keeps its metal, its finished form is told about its centreline: how much longer that
/// is, where coupons put the neutral line elsewhere.
static double centreline_over_stick(const struct kw_tube_table *t) {
    if (!t || !(t->cut_length > 0)) return 1;
    double more = 0;
    for (int i = 0; i < t->count; i++)
        more += t->bends[i].radius * t->bends[i].angle - kw_tube_taken(t, i);
    return 1 + more / t->cut_length;
}

double look_volume(const struct kw_examined *what, double density) {
    const struct kw_body *body = what->body;
    if (!body)
        return density > 0 ? what->mass / density * 1e9 * centreline_over_stick(what->tube) : 0;
    double volume = 0;
    for (int i = 0; i < body->face_count; i++)
        volume += kw_region_area(&body->faces[i].shape) * body->thickness;
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        volume += b->angle * body->thickness * (b->radius + body->thickness / 2) * b->length;
    }
    return volume;
}

HANDLER(get_form) {
    int frames;
    if (!form_frames(c, 2, &frames)) return;
    struct look *look = look_find(c->server, c->parts[0]);
    const struct kw_examined *what = NULL;
    for (int i = 0; look && look->kit && i < look->part_count; i++)
        if (strcmp(look->parts[i].part->name, c->parts[1]) == 0) what = &look->parts[i];
    if (!look)
        answer_says(c->response, 404, "this look is not kept any more: look again");
    else if (!what)
        answer_says(c->response, 404, "no part \"%.60s\"", c->parts[1]);
    else
        form_answer(c, form_at, what, frames);
    if (look) look_drop(c->server, look);
}
