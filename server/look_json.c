// SPDX-License-Identifier: Apache-2.0
// A look as JSON: parts with their figures, where the pieces stand, findings.
#include "packet/packet.h"
#include "server/form.h"
#include "server/planning.h"

#include <string.h>

enum { FINE = 6 };
#define GAP 40.0 // mm between parts that stand in a row

static double degrees(double rad) {
    return rad * 180 / KW_PI;
}

// ------------------------------------------------------------------------------------------ paths

static void put_step(struct kw_json *j, const struct kw_node *parent, int index) {
    if (parent->kind == KW_MAP)
        kw_json_text(j, parent->items[index].key);
    else
        kw_json_count(j, index);
}

void put_path(struct kw_json *j, const char *key, const struct kw_node *root,
              const struct kw_node *target) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    const struct kw_node *at = root;
    while (at && at != target) {
        const struct kw_node *next = NULL;
        for (int i = 0; at->items && i < at->count && !next; i++) {
            const struct kw_node *n = &at->items[i];
            if (n != target && !(n->from <= target->from && target->to <= n->to && n->count > 0))
                continue;
            put_step(j, at, i);
            next = n;
        }
        at = next;
    }
    kw_json_close(j);
}

const struct kw_node *node_at(const struct kw_node *root, const json_t *path) {
    const struct kw_node *at = root;
    for (size_t i = 0; at && i < json_array_size(path); i++) {
        const json_t *step = json_array_get(path, i);
        const struct kw_node *next = NULL;
        if (json_is_string(step)) {
            next = kw_node_get(at, json_string_value(step));
        } else if (json_is_integer(step) && at->kind == KW_LIST) {
            json_int_t n = json_integer_value(step);
            if (n >= 0 && n < at->count) next = &at->items[n];
        }
        at = next;
    }
    return at;
}

// ------------------------------------------------------------------------------------------ parts

static const char *kind_word(enum kw_stock_kind kind) {
    return kind == KW_SHEET                                  ? "sheet"
           : kind == KW_ROUND_TUBE || kind == KW_SQUARE_TUBE ? "tube"
                                                             : "bar";
}

static void put_flat_point(struct kw_json *j, const char *key, const struct kw_body *body,
                           struct kw_vec2 p) {
    struct kw_vec2 q = kw_move2_point(kw_move2_inverse(body->faces[0].flat), p);
    put_point(j, key, (double[]){q.x, q.y}, 2, FINE);
}

static void put_bends(struct kw_json *j, const struct look *look, const struct kw_body *body) {
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        kw_json_open(j, '{');
        kw_json_key_text(j, "id", b->id);
        kw_json_key_number(j, "angle", degrees(b->angle), FINE);
        kw_json_key_number(j, "radius", b->radius, FINE);
        kw_json_key_text(j, "toward", b->way == KW_UP ? "up" : "down");
        kw_json_key_text(j, "source", b->source);
        put_flat_point(j, "from", body, b->from);
        put_flat_point(j, "to", body, b->to);
        kw_json_key_count(j, "line", b->at.line);
        const struct kw_flange *f =
            b->flange >= 0 ? KW_ITEM(struct kw_flange, body->part->bends, b->flange) : NULL;
        if (f && f->node)
            put_path(j, "path", look->kit->node, f->node);
        else
            put_null(j, "path");
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void put_tube_bends(struct kw_json *j, struct kw_arena *a, const struct kw_examined *what) {
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    const struct kw_tube_table *t = form_table(a, what);
    for (int i = 0; i < t->count; i++) {
        kw_json_open(j, '{');
        char id[KW_NUMBER_SIZE];
        kw_json_key_text(j, "id", kw_number(id, i + 1, 0));
        kw_json_key_number(j, "angle", degrees(t->bends[i].angle), FINE);
        kw_json_key_number(j, "radius", t->bends[i].radius, FINE);
        kw_json_key_number(j, "straight", t->bends[i].straight, FINE);
        kw_json_key_number(j, "rotate", degrees(t->bends[i].rotate), FINE);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static int drawn_holes(const struct kw_body *body) {
    int n = 0;
    for (int i = 0; i < body->face_count; i++)
        n += body->faces[i].shape.hole_count;
    return n;
}

static void put_sheet(struct kw_json *j, const struct look *look, const struct kw_examined *what) {
    const struct kw_body *body = what->body;
    struct kw_box2 box = kw_path_box(&body->blank.outer);
    put_point(j, "blank", (double[]){box.max.x - box.min.x, box.max.y - box.min.y}, 2, FINE);
    kw_json_key_number(j, "area", body->area, FINE);
    kw_json_key_count(j, "holes", body->blank.hole_count);
    kw_json_key_count(j, "holes_drawn", drawn_holes(body));
    put_bends(j, look, body);
}

static void put_layer_roles(struct kw_json *j, const struct kw_layers *l) {
    const struct kw_items *lists[] = {&l->cut, &l->bend_up, &l->bend_down, &l->mark, &l->ignore};
    kw_json_key(j, "layers");
    kw_json_open_inline(j, '{');
    for (size_t k = 0; k < sizeof lists / sizeof *lists; k++)
        for (int i = 0; i < lists[k]->count; i++) {
            const char *name = *KW_ITEM(const char *, *lists[k], i);
            put_text(j, name, kw_layer_role(l, name));
        }
    kw_json_close(j);
}

static void put_part(struct kw_json *j, const struct look *look, const struct kw_examined *what) {
    const struct kw_part *p = what->part;
    struct kw_arena scratch = {0};
    struct kw_vec3 size = kw_sub3(what->box.max, what->box.min);
    kw_json_open(j, '{');
    kw_json_key_text(j, "part", p->name);
    kw_json_key_text(j, "kind", kind_word(p->stock.kind));
    kw_json_key_count(j, "count", p->each + p->left + p->right);
    kw_json_key_count(j, "each", p->each);
    kw_json_key_text(j, "material", p->stock.text);
    kw_json_key_number(j, "thickness", p->stock.thickness, FINE);
    kw_json_key_text(j, "code", p->code);
    kw_json_key_text(j, "drawing", p->flat);
    if (p->layers.node) put_layer_roles(j, &p->layers);
    put_point(j, "size", (double[]){size.x, size.y, size.z}, 3, FINE);
    put_point(j, "box", &what->box.min.x, 3, FINE);
    kw_json_key_number(j, "mass", what->mass, FINE);
    double density = kw_shop_material(look->view->shop, &p->stock)->density;
    kw_json_key_number(j, "volume", look_volume(what, density), 3);
    kw_json_key_count(j, "line", p->node->key_at.line);
    put_path(j, "path", look->kit->node, p->node);
    put_truth(j, "makeable", what->makeable);
    put_truth(j, "form", what->body || what->tube);
    if (what->body) {
        put_sheet(j, look, what);
    } else {
        if (what->tube) kw_json_key_number(j, "cut_length", what->cut_length, FINE);
        if (what->tube)
            put_tube_bends(j, &scratch, what);
        else {
            kw_json_key(j, "bends");
            kw_json_open(j, '[');
            kw_json_close(j);
        }
    }
    look_sizes(j, &scratch, look, what);
    kw_json_close(j);
    kw_arena_free(&scratch);
}

// ----------------------------------------------------------------------------------------- pieces

static void put_piece(struct kw_json *j, const char *part, const char *name,
                      const struct kw_move3 *m) {
    kw_json_open(j, '{');
    kw_json_key_text(j, "part", part);
    kw_json_key_text(j, "name", name);
    put_truth(j, "mirrored",
              kw_dot3(kw_cross3(kw_v3(m->r[0][0], m->r[0][1], m->r[0][2]),
                                kw_v3(m->r[1][0], m->r[1][1], m->r[1][2])),
                      kw_v3(m->r[2][0], m->r[2][1], m->r[2][2])) < 0);
    double place[16] = {0};
    for (int column = 0; column < 3; column++)
        for (int row = 0; row < 3; row++)
            place[column * 4 + row] = m->r[row][column];
    place[12] = m->t.x;
    place[13] = m->t.y;
    place[14] = m->t.z;
    place[15] = 1;
    put_point(j, "place", place, 16, 9);
    kw_json_close(j);
}

static bool stands(const struct kw_assembly *all, int part) {
    for (int i = 0; all && i < all->piece_count; i++)
        if (all->pieces[i].part == part) return true;
    return false;
}

static struct kw_box3 form_box(const struct kw_examined *what) {
    struct kw_box3 box = what->box;
    if (what->tube && !form_is_bent(what)) { // its form lies behind and above the origin
        struct kw_vec3 by = kw_v3(0, -box.min.y, -box.min.z);
        box.min = kw_add3(box.min, by);
        box.max = kw_add3(box.max, by);
    }
    return box;
}

/// What the kit file does not assemble stands in a row, in front of the rest.
static void put_pieces(struct kw_json *j, const struct look *look) {
    const struct kw_assembly *all = look->part_count > 0 ? look->parts[0].assembly : NULL;
    double x = 0, y = 0;
    kw_json_key(j, "pieces");
    kw_json_open(j, '[');
    for (int i = 0; all && i < all->piece_count; i++) {
        const struct kw_piece *p = &all->pieces[i];
        put_piece(j, look->parts[p->part].part->name, p->standing->name, &p->place);
    }
    if (all && isfinite(all->box.min.y)) {
        x = all->box.min.x;
        y = all->box.min.y - GAP;
    }
    for (int i = 0; i < look->part_count; i++) {
        const struct kw_examined *e = &look->parts[i];
        if (stands(all, i) || (!e->body && !e->tube)) continue;
        struct kw_box3 box = form_box(e);
        struct kw_move3 m = kw_move3_none();
        m.t = kw_v3(x - box.min.x, y - (all ? box.max.y : box.min.y), -box.min.z);
        put_piece(j, e->part->name, e->part->name, &m);
        x += box.max.x - box.min.x + GAP;
    }
    kw_json_close(j);
}

// -------------------------------------------------------------------------------------- the whole

/// Names that may stand in sums, with the values that the file gives them.
static void put_names_of(struct kw_json *j, const struct look *look, const struct kw_node *map) {
    for (int i = 0; map && map->kind == KW_MAP && i < map->count; i++) {
        const struct kw_node *n = &map->items[i];
        if (n->kind != KW_SCALAR) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "says", n->key);
        kw_json_key_text(j, "value", n->text);
        put_path(j, "path", look->kit->node, n);
        kw_json_key_count(j, "line", n->at.line);
        kw_json_close(j);
    }
}

static void put_names(struct kw_json *j, const struct look *look) {
    const struct kw_node *sizes = kw_node_get(look->kit->node, "sizes");
    kw_json_key(j, "names");
    kw_json_open(j, '[');
    if (sizes && look->kit->size) put_names_of(j, look, kw_node_get(sizes, look->kit->size));
    put_names_of(j, look, kw_node_get(look->kit->node, "dimensions"));
    kw_json_close(j);
}

static void put_choices(struct kw_json *j, const struct look *look) {
    const struct kw_kit *kit = look->kit;
    kw_json_key(j, "sizes");
    kw_json_open(j, '[');
    for (int i = 0; i < kit->sizes.count; i++)
        kw_json_text(j, KW_ITEM(struct kw_kit_size, kit->sizes, i)->name);
    kw_json_close(j);
    kw_json_key(j, "options");
    kw_json_open(j, '[');
    for (int i = 0; i < kit->options.count; i++) {
        const struct kw_kit_option *o = KW_ITEM(struct kw_kit_option, kit->options, i);
        kw_json_open(j, '{');
        kw_json_key_text(j, "name", o->name);
        kw_json_key_text(j, "title", o->title ? o->title : o->name);
        put_truth(j, "normally", o->normally == 0);
        put_truth(j, "with", look->with ? look_listed(look->with, o->name) : o->normally == 0);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_key_text(j, "size", kit->size);
}

static void put_empty(struct kw_json *j) {
    static const char *const lists[] = {"sizes", "options", "findings", "parts", "pieces", "names"};
    kw_json_key_text(j, "title", NULL);
    kw_json_key_text(j, "size", NULL);
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        kw_json_key(j, lists[i]);
        kw_json_open(j, '[');
        kw_json_close(j);
    }
}

void look_write(struct look *look) {
    struct kw_json json = {.out = &look->json}, *j = &json;
    kw_json_open_inline(j, '{');
    put_error(j, "error", &look->error);
    if (!look->kit) {
        put_empty(j);
        kw_json_close(j);
        return;
    }
    kw_json_key_text(j, "title", look->kit->title);
    kw_json_key_text(j, "family", look->kit->family);
    kw_json_key_text(j, "revision", look->kit->revision);
    kw_json_key_text(j, "code", look->kit->code);
    put_choices(j, look);
    put_names(j, look);
    kw_packet_findings_json(j, &look->findings);
    kw_json_key(j, "parts");
    kw_json_open(j, '[');
    for (int i = 0; i < look->part_count; i++)
        put_part(j, look, &look->parts[i]);
    kw_json_close(j);
    put_pieces(j, look);
    kw_json_close(j);
}

void look_answer(struct call *c, const struct look *look, bool written) {
    char digits[HASH_DIGITS + 1];
    struct kw_json j = answer_json(c->response);
    put_text(&j, "kit", look->name);
    hash_text(digits, look->hash);
    kw_json_key_text(&j, "hash", digits);
    hash_text(digits, look->id);
    kw_json_key_text(&j, "look", digits);
    put_textn(&j, "text", look->text, look->length);
    put_truth(&j, "written", written);
    put_known_cost(&j, c->server, look);
    kw_text_add(&c->response->body, ", ");
    kw_text_addn(&c->response->body, look->json.s + 1, look->json.length - 1); // without its "{"
}
