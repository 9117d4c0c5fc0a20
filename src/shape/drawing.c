// SPDX-License-Identifier: Apache-2.0
// A drawn blank split by its bend lines: each bend zone is a strip between two tangent lines, what
// is left are the flats. The largest flat is the base.
#include "shape/inside.h"

#include <string.h>

#define SPLIT_TOLERANCE_MM 1e-6

/// Flats of the drawing, then those of flanges that are laid out on it.
struct pieces {
    struct kw_path *v;
    int count, flats;
    const struct kw_face *laid_out; // by face of the layout: piece `flats` is its face 1
};

static const struct kw_drawn_bend *drawn(const struct build *b, int i) {
    return KW_ITEM(struct kw_drawn_bend, b->part->drawn_bends, i);
}

static void find_line(struct build *b, int i, const char *what) {
    const struct kw_drawn_bend *line = drawn(b, i);
    shape_find_at(b, KW_STOP, "bend-line", line->at, kw_lerp2(line->a, line->b, 0.5),
                  kw_format(b->arena, "bend line %s %s", line->name ? line->name : "", what));
}

/// The part of the line through `p` along `u` that lies in the path round p; false when p is
/// outside.
static bool span_round(const struct kw_path *path, struct kw_vec2 p, struct kw_vec2 u, double *lo,
                       double *hi) {
    struct kw_arena scratch = {0};
    int n;
    double *s = shape_line_meets(&scratch, path, p, u, &n);
    bool below = false, above = false;
    for (int i = 0; i < n; i++) {
        if (s[i] <= 0)
            *lo = s[i], below = true;
        else if (!above)
            *hi = s[i], above = true;
    }
    kw_arena_free(&scratch);
    return below && above && kw_path_contains(path, p);
}

static bool split_at(struct build *b, const struct kw_path *path, struct kw_vec2 p,
                     struct kw_vec2 u, int bend, struct kw_path *left, struct kw_path *right) {
    double lo, hi;
    if (!span_round(path, p, u, &lo, &hi)) return false;
    return kw_path_split(b->arena, path, kw_add2(p, kw_scale2(u, lo)), kw_add2(p, kw_scale2(u, hi)),
                         SPLIT_TOLERANCE_MM, KW_TANGENT_TAG + bend, left, right);
}

/// Splits the piece under bend line `i` in two flats, the strip between them falls out.
static void split_one(struct build *b, struct pieces *pieces, int i, int index) {
    struct kw_bend *bend = &b->body->bends[index];
    struct kw_vec2 u = kw_sub2(drawn(b, i)->b, drawn(b, i)->a);
    u = kw_scale2(u, 1 / kw_length2(u));
    struct kw_vec2 middle = kw_lerp2(drawn(b, i)->a, drawn(b, i)->b, 0.5);
    struct kw_vec2 aside = kw_scale2(kw_left2(u), bend->allowance / 2);
    for (int k = 0; k < pieces->count; k++) {
        struct kw_path whole = pieces->v[k], left, rest, strip, right;
        double lo, hi;
        if (!span_round(&whole, middle, u, &lo, &hi)) continue;
        bend->from = kw_add2(middle, kw_scale2(u, lo));
        bend->to = kw_add2(middle, kw_scale2(u, hi));
        bend->length = hi - lo;
        if (!split_at(b, &whole, kw_add2(middle, aside), u, index, &left, &rest) ||
            !split_at(b, &rest, kw_sub2(middle, aside), u, index, &strip, &right))
            break;
        pieces->v[k] = left;
        KW_PUSH(b->arena, pieces->v, pieces->count) = right;
        return;
    }
    find_line(b, i, "does not split the blank in two flats with room for the bend between them");
}

/// The two flats at a bend: exactly one segment in each lies on its tangent lines.
static bool sides_of(const struct pieces *pieces, int bend, int sides[2]) {
    int found = 0;
    for (int k = 0; k < pieces->count; k++)
        for (int i = 0; i < pieces->v[k].count; i++) {
            if (pieces->v[k].v[i].tag != KW_TANGENT_TAG + bend) continue;
            if (found == 2) return false;
            sides[found++] = k;
        }
    return found == 2 && sides[0] != sides[1];
}

static struct kw_vec2 tangent_middle(const struct kw_path *p, int bend) {
    for (int i = 0; i < p->count; i++) {
        const struct kw_vertex *v = &p->v[i], *w = &p->v[(i + 1) % p->count];
        if (v->tag == KW_TANGENT_TAG + bend) return kw_v2((v->x + w->x) / 2, (v->y + w->y) / 2);
    }
    return kw_v2(0, 0);
}

/// Makes piece `k` the child face of `bend`: the line turned so that the child is on its left.
static void make_child(struct build *b, const struct pieces *pieces, int k, int parent, int line) {
    struct kw_body *body = b->body;
    struct kw_bend *bend = &body->bends[line];
    bend->parent = parent;
    bend->child = body->face_count;
    if (k >= pieces->flats) { // a flange has its frame
        body->faces[body->face_count] = pieces->laid_out[k - pieces->flats + 1];
        body->faces[body->face_count++].bend = line;
        return;
    }
    struct kw_vec2 d = kw_sub2(bend->to, bend->from);
    struct kw_vec2 to_child = kw_sub2(tangent_middle(&pieces->v[k], line), bend->from);
    if (kw_cross2(d, to_child) < 0) {
        struct kw_vec2 from = bend->from;
        bend->from = bend->to;
        bend->to = from;
        d = kw_scale2(d, -1);
    }
    d = kw_scale2(d, 1 / kw_length2(d));
    struct kw_vec2 at =
        kw_add2(bend->from, kw_scale2(kw_left2(d), bend->allowance / 2 - bend->setback));
    struct kw_face *f = &body->faces[body->face_count];
    f->bend = line;
    f->flat = (struct kw_move2){d.x, d.y, at.x, at.y, false};
    f->shape.outer = kw_path_moved(b->arena, &pieces->v[k], kw_move2_inverse(f->flat));
    body->face_count++;
}

/// Numbers the bends in the order in which the tree reaches them; the tangent tags follow.
static void renumber(struct build *b, const int *order, bool flanges) {
    struct kw_body *body = b->body;
    int n = body->bend_count;
    struct kw_bend *bends = KW_NEW_ARRAY(b->arena, struct kw_bend, n ? n : 1);
    int *place = KW_NEW_ARRAY(b->arena, int, n ? n : 1);
    for (int i = 0; i < n; i++) {
        bends[i] = body->bends[order[i]];
        place[order[i]] = i;
    }
    for (int i = 0; i < n; i++)
        if (bends[i].twin >= 0) bends[i].twin = place[bends[i].twin];
    body->bends = bends;
    for (int i = 0; i < body->blank.outer.count; i++) {
        int *tag = &body->blank.outer.v[i].tag; // sides of flanges
        if (flanges && *tag >= 1000 && *tag < 1000 + n) *tag = 1000 + place[*tag - 1000];
    }
    for (int f = 0; f < body->face_count; f++) {
        struct kw_face *face = &body->faces[f];
        if (face->bend >= 0) face->bend = place[face->bend];
        for (int i = 0; i < face->shape.outer.count; i++) {
            int *tag = &face->shape.outer.v[i].tag;
            if (*tag >= KW_TANGENT_TAG) *tag = KW_TANGENT_TAG + place[*tag - KW_TANGENT_TAG];
        }
    }
}

static int largest(const struct pieces *pieces) {
    int best = 0;
    for (int k = 1; k < pieces->flats; k++)
        if (kw_path_area(&pieces->v[k]) > kw_path_area(&pieces->v[best]) + 1e-6) best = k;
    return best;
}

/// A bend whose two sides are not one flat each.
static void find_apart(struct build *b, int bend) {
    const struct kw_bend *of = &b->body->bends[bend];
    if (of->drawn >= 0) {
        find_line(b, of->drawn, "runs into the bend zone of another");
        return;
    }
    shape_find_at(b, KW_STOP, "bend-line", of->at, kw_lerp2(of->from, of->to, 0.5),
                  kw_format(b->arena, "a bend line of the drawing runs into bend %s", of->id));
}

static void make_tree(struct build *b, const struct pieces *pieces) {
    struct kw_body *body = b->body;
    int n = body->bend_count, done = 0;
    int *piece = KW_NEW_ARRAY(b->arena, int, n + 1); // of each face
    int *order = KW_NEW_ARRAY(b->arena, int, n + 1);
    bool *used = KW_NEW_ARRAY(b->arena, bool, n + 1);
    piece[0] = largest(pieces);
    body->faces[0] = (struct kw_face){.bend = -1, .flat = kw_move2_none()};
    body->faces[0].shape.outer = pieces->v[piece[0]];
    body->face_count = 1;
    for (int f = 0; f < body->face_count; f++)
        for (int i = 0; i < n; i++) {
            int sides[2];
            if (used[i] || !sides_of(pieces, i, sides)) continue;
            if (sides[0] != piece[f] && sides[1] != piece[f]) continue;
            int other = sides[0] == piece[f] ? sides[1] : sides[0];
            used[i] = true;
            order[done++] = i;
            piece[body->face_count] = other;
            make_child(b, pieces, other, f, i);
        }
    for (int i = 0; i < n; i++)
        if (!used[i]) find_apart(b, i);
    if (!b->stopped) renumber(b, order, pieces->count > pieces->flats);
}

static bool line_mates(const struct build *b, const char *name) {
    for (int i = 0; name && i < b->part->bends.count; i++) {
        const struct kw_flange *f = KW_ITEM(struct kw_flange, b->part->bends, i);
        if (f->from_drawing && f->mates && strcmp(f->name, name) == 0) return true;
    }
    return false;
}

/// Faces and bends that a drawing with flanges has already, in larger arrays.
static struct kw_body take_over(struct build *b) {
    struct kw_body *body = b->body, old = *body;
    int lines = b->part->drawn_bends.count;
    body->faces = KW_NEW_ARRAY(b->arena, struct kw_face, lines + old.face_count + 1);
    body->bends = KW_NEW_ARRAY(b->arena, struct kw_bend, lines + old.bend_count + 1);
    for (int i = 0; i < old.bend_count; i++)
        body->bends[i] = old.bends[i];
    return old;
}

/// The flats of flanges as pieces of the drawing's frame.
static void add_flanges(struct build *b, struct pieces *pieces, const struct kw_body *old) {
    for (int i = 1; i < old->face_count; i++) {
        KW_PUSH(b->arena, pieces->v, pieces->count) =
            kw_path_moved(b->arena, &old->faces[i].shape.outer, old->faces[i].flat);
    }
}

void shape_drawing(struct build *b) {
    struct kw_body *body = b->body;
    const struct kw_part *part = b->part;
    struct kw_body old = take_over(b);
    struct pieces pieces = {0};
    if (old.face_count == 0)
        body->blank.outer = kw_path_oriented(b->arena, &part->drawing.outer, true);
    KW_PUSH(b->arena, pieces.v, pieces.count) =
        kw_path_copy(b->arena, old.face_count > 0 ? &old.faces[0].shape.outer : &body->blank.outer);
    for (int i = 0; i < part->drawn_bends.count && !b->stopped; i++) {
        const struct kw_drawn_bend *line = drawn(b, i);
        struct kw_bend *bend = &body->bends[body->bend_count++];
        *bend = (struct kw_bend){.id = line->name,
                                 .twin = -1,
                                 .flange = -1,
                                 .drawn = i,
                                 .way = line->way,
                                 .mates = line_mates(b, line->name),
                                 .at = line->at};
        shape_bend_sizes(b, bend, part->bends.count + i, line->turn > 0 ? line->turn : KW_PI / 2,
                         line->radius);
        split_one(b, &pieces, i, (int)(bend - body->bends));
    }
    pieces.flats = pieces.count;
    pieces.laid_out = old.faces;
    if (old.face_count > 0) add_flanges(b, &pieces, &old);
    if (!b->stopped) make_tree(b, &pieces);
}
