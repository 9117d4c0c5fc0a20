// SPDX-License-Identifier: Apache-2.0
// Marks: lines and letters that are drawn, scratched or etched on a blank, and the part's own name.
#include "letter/letter.h"
#include "shape/stand.h"

static void add_strokes(struct build *b, const struct kw_path *v, int count, struct kw_move2 m) {
    for (int i = 0; i < count; i++)
        KW_PUSH(b->arena, b->body->marks, b->body->mark_count) = kw_path_moved(b->arena, &v[i], m);
}

/// A text with its baseline from the origin of a frame that `at` brings into the blank.
static void add_text(struct build *b, const char *text, double height, bool name,
                     struct kw_move2 at) {
    struct kw_body *body = b->body;
    struct kw_body_text t = {
        .first = body->mark_count, .text = text, .height = height, .at = at, .name = name};
    struct kw_path *v = kw_letter_strokes(b->arena, text, height, &t.count, &t.width);
    add_strokes(b, v, t.count, at);
    KW_PUSH(b->arena, body->texts, body->text_count) = t;
}

static void described_mark(struct build *b, const struct kw_mark *mark) {
    struct kw_move2 to_blank = shape_told_to_blank(b, mark->flange);
    if (mark->text) {
        bool sideways = mark->flange >= 0 && kw_node_get(mark->node, "from_front");
        double x = sideways ? mark->from_front : mark->from_left;
        double y = mark->flange >= 0 ? mark->from_bottom : mark->from_front;
        struct kw_move2 m = kw_move2_make(x, y, mark->turn, false);
        add_text(b, mark->text, mark->height, false, kw_move2_then(m, to_blank));
        return;
    }
    struct kw_path line = {.open = true};
    for (int i = 0; i < mark->line.count; i++) {
        const struct kw_corner *c = KW_ITEM(struct kw_corner, mark->line, i);
        double chord =
            i + 1 < mark->line.count
                ? kw_length2(kw_sub2(KW_ITEM(struct kw_corner, mark->line, i + 1)->at, c->at))
                : 0;
        double bulge = c->bow != 0 && chord > 0 ? fmax(-1, fmin(1, 2 * c->bow / chord)) : 0;
        kw_path_add(b->arena, &line, c->at.x, c->at.y, bulge, 0);
    }
    add_strokes(b, &line, 1, to_blank);
}

/// Whether a box of the base, told coordinates, lies in its metal clear of holes and bends.
static bool is_free(const struct build *b, double x, double y, double w, double h, double clear) {
    struct kw_arena scratch = {0};
    const struct kw_region *shape = &b->body->faces[0].shape;
    struct kw_path box = kw_path_box_outline(&scratch, x, y, x + w, y + h, 0);
    bool free =
        kw_path_contains(&shape->outer, kw_v2(x, y)) && kw_path_gap(&shape->outer, &box) > clear;
    for (int i = 0; free && i < shape->hole_count; i++) {
        const struct kw_path *hole = &shape->holes[i];
        free = kw_path_gap(hole, &box) > clear && !kw_path_contains(hole, kw_v2(x, y)) &&
               !kw_path_contains(&box, kw_v2(hole->v[0].x, hole->v[0].y));
    }
    kw_arena_free(&scratch);
    return free;
}

/// The name that is marked: of handed parts with the hand's letter.
static const char *shape_name_on(struct kw_arena *a, const struct kw_part *part, bool other_hand) {
    if (part->left + part->right == 0) return part->name;
    return kw_format(a, "%s %s", part->name, other_hand ? "R" : "L");
}

/// The part's own name on its base, where there is room; no name is no fault.
static void name_mark(struct build *b) {
    enum { TRIES = 9 };
    double height = b->shop->marking.text_height, width, clear = 3;
    int count;
    const char *name = shape_name_on(b->arena, b->part, false);
    kw_letter_strokes(b->arena, name, height, &count, &width);
    struct kw_box2 box = kw_path_box(&b->body->faces[0].shape.outer);
    for (int j = 0; j < TRIES; j++)
        for (int i = 0; i < TRIES; i++) {
            double x =
                box.min.x + clear + (box.max.x - box.min.x - width - 2 * clear) * i / (TRIES - 1);
            double y =
                box.min.y + clear + (box.max.y - box.min.y - height - 2 * clear) * j / (TRIES - 1);
            if (!is_free(b, x, y, width, height, clear)) continue;
            struct kw_move2 m = kw_move2_make(x, y, 0, false);
            add_text(b, name, height, true, kw_move2_then(m, b->body->faces[0].flat));
            return;
        }
}

void shape_marks(struct build *b) {
    for (int i = 0; i < b->part->marks.count; i++)
        described_mark(b, KW_ITEM(struct kw_mark, b->part->marks, i));
    if (b->shop->marking.name_parts && b->shop->marking.way == KW_MARK_ETCH) name_mark(b);
    for (int i = 0; b->part->flat && i < b->part->drawn_marks.count; i++)
        add_strokes(b, KW_ITEM(struct kw_path, b->part->drawn_marks, i), 1, b->body->faces[0].flat);
}

// ----------------------------------------------------------------------------- the other hand

static const struct kw_body_text *text_at(const struct kw_body *body, int mark) {
    for (int i = 0; i < body->text_count; i++)
        if (body->texts[i].first == mark) return &body->texts[i];
    return NULL;
}

struct kw_path *kw_body_marks(struct kw_arena *a, const struct kw_body *body, bool other_hand,
                              int *count) {
    struct kw_path *v = NULL;
    *count = 0;
    for (int i = 0; i < body->mark_count; i++) {
        const struct kw_body_text *t = other_hand ? text_at(body, i) : NULL;
        struct kw_move2 m = other_hand ? kw_body_hand_move(body) : kw_move2_none();
        if (!t) {
            KW_PUSH(a, v, *count) = kw_path_moved(a, &body->marks[i], m);
            continue;
        }
        // Turned over about their own middle, then with the blank, letters read again.
        double width;
        int strokes;
        const char *text = t->name ? shape_name_on(a, body->part, true) : t->text;
        struct kw_path *letters = kw_letter_strokes(a, text, t->height, &strokes, &width);
        struct kw_move2 in_place = kw_move2_make(t->width / 2 + width / 2, 0, 0, true);
        m = kw_move2_then(kw_move2_then(in_place, t->at), m);
        for (int k = 0; k < strokes; k++)
            KW_PUSH(a, v, *count) = kw_path_moved(a, &letters[k], m);
        i += t->count - 1;
    }
    return v;
}
