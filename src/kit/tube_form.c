// SPDX-License-Identifier: Apache-2.0
// Tube and bar in a kit file: bent by points or as the bender counts it (by bench words:
// kit_words.c), the cuts at their ends, holes along and around.
#include "form/fields.h"
#include "kit/kit_in.h"

#include <string.h>

enum { MOST_POINTS = 100 };

// ------------------------------------------------------------------------------------------ points

/// "radius 6"
static enum kw_status read_radius(struct kw_reader *r, const struct kw_node *node, double *out,
                                  struct kw_error *err) {
    if (node->kind != KW_SCALAR || strncmp(node->text, "radius ", 7) != 0) {
        char got[KW_NODE_GOT_SIZE];
        return kw_fail(err, KW_FORMAT, node->at, "expected radius 6, got %s",
                       kw_node_got(got, node));
    }
    struct kw_node number = *node;
    number.text += 7;
    number.at.column += 7 + node->quoted;
    enum kw_status s = kw_node_quantity(r, &number, KW_DIM_LENGTH, 0, KW_MOST_MM, out, err);
    if (s != KW_OK || *out > 0) return s;
    return kw_fail(err, KW_RANGE, number.at, "expected a radius above 0, got \"%.60s\"",
                   number.text);
}

static enum kw_status read_point(struct kw_reader *r, const struct kw_node *node,
                                 struct kw_tube_point *p, struct kw_error *err) {
    if (node->kind != KW_LIST || node->count < 3 || node->count > 4) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected a point such as [25, 0, 30] or [25, 0, 30, radius 6]");
    }
    p->place = node->at;
    for (int k = 0; k < 3; k++) {
        enum kw_status s = kw_node_quantity(r, &node->items[k], KW_DIM_LENGTH, -KW_MOST_MM,
                                            KW_MOST_MM, &p->at[k], err);
        if (s != KW_OK) return s;
    }
    return node->count == 4 ? read_radius(r, &node->items[3], &p->radius, err) : KW_OK;
}

enum kw_status kw_read_tube_points(struct kw_reader *r, const struct kw_node *node,
                                   const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    if (node->kind != KW_LIST || node->count < 2 || node->count > MOST_POINTS) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected 2 to %d points such as [[0, 0, 0], [0, 0, 30], [25, 0, 30]]",
                       MOST_POINTS);
    }
    struct kw_tube_point *v = KW_NEW_ARRAY(r->arena, struct kw_tube_point, node->count);
    *(struct kw_items *)out = (struct kw_items){v, node->count};
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < node->count; i++)
        s = read_point(r, &node->items[i], &v[i], err);
    return s;
}

// ------------------------------------------------------------------------------- as the bender
// counts

static enum kw_status check_row(struct kw_reader *r, const struct kw_node *node, void *out,
                                struct kw_error *err) {
    (void)r;
    const struct kw_bender_row *row = out;
    if (row->angle > 0 || (row->rotate == 0 && row->radius == 0)) return KW_OK;
    return kw_fail(err, KW_FORMAT, node->at,
                   "rotate and radius belong to a bend, expected its angle beside them");
}

static const struct kw_field row_fields[] = {
    QUANTITY(kw_bender_row, "straight", straight, LENGTH, REQUIRED, .max = KW_MOST_MM,
             SAYS("Straight tube before the bend, from the end of the bend before.")),
    QUANTITY(kw_bender_row, "rotate", rotate, ANGLE, .min = -KW_PI, .max = KW_PI,
             SAYS("How far the tube is turned before the bend, counter-clockwise as seen from the "
                  "clamp along the stick.")),
    QUANTITY(
        kw_bender_row, "angle", angle, ANGLE, .max = KW_PI,
        SAYS("Turn of the bend, from straight; the last row has none: it is the straight after "
             "the last bend.")),
    QUANTITY(kw_bender_row, "radius", radius, LENGTH, .max = KW_MOST_MM,
             SAYS("Radius to the centreline; without it, the part's die.")),
    {0},
};
const struct kw_form kw_bender_row_form = {
    "bend row", "A straight and the bend at its end, as the bender counts.",
    sizeof(struct kw_bender_row), row_fields, check_row};

enum kw_status kw_part_bend_table(struct kw_kit_file *k, const struct kw_part *part) {
    int n = part->bend_table.count;
    if (n == 0) return KW_OK;
    for (int i = 0; i < n; i++) {
        const struct kw_bender_row *row = KW_ITEM(struct kw_bender_row, part->bend_table, i);
        if (i > 0 && i < n - 1 && row->angle > 0 && row->straight == 0)
            return kw_fail(k->err, KW_GEOMETRY, kw_place_of(row->node, "straight"),
                           "a straight between two bends has no length, expected one above 0");
        if ((row->angle > 0) == (i < n - 1)) continue;
        return kw_fail(k->err, KW_FORMAT, row->node->at,
                       i < n - 1 ? "expected an angle: only the last row is without a bend"
                                 : "expected a last row without an angle: the straight after the "
                                   "last bend");
    }
    return KW_OK;
}

// ------------------------------------------------------------------------------------ ends and
// holes

static const struct kw_field cope_fields[] = {
    TEXT(kw_cope, "onto", onto, REQUIRED, .example = "1-1/2 in",
         SAYS("Outside diameter of the round tube it stands on, or the name of a part of the kit: "
              "where both stand in the assembly, angle, offset, turn and length follow from it.")),
    QUANTITY(kw_cope, "angle", angle, ANGLE, .min = 1 * KW_PI / 180, .max = KW_PI / 2,
             DEFAULT("90 deg"), SAYS("Angle between the two tubes.")),
    QUANTITY(kw_cope, "offset", offset, LENGTH, .min = -500, .max = 500,
             SAYS("How far their centrelines pass each other.")),
    {0},
};
static const struct kw_form cope_form = {"cope", "A saddle cut so that a tube stands on another.",
                                         sizeof(struct kw_cope), cope_fields, NULL};

static enum kw_status check_end(struct kw_reader *r, const struct kw_node *node, void *out,
                                struct kw_error *err) {
    (void)r;
    const struct kw_end *e = out;
    int ways = (e->cope.node != NULL) + (e->miter != 0) + (e->flatten > 0);
    if (ways <= 1) return KW_OK;
    return kw_fail(err, KW_FORMAT, node->at, "an end is coped, mitred or flattened, expected one");
}

static const struct kw_field end_fields[] = {
    FORM(kw_end, "cope", cope, cope_form, SAYS("A saddle onto another round tube.")),
    QUANTITY(kw_end, "miter", miter, ANGLE, .min = -75 * KW_PI / 180, .max = 75 * KW_PI / 180,
             SAYS("How far the cut is off square.")),
    QUANTITY(kw_end, "turn", turn, ANGLE, .min = -2 * KW_PI, .max = 2 * KW_PI,
             SAYS("How far the cut is turned round the piece from the reference line, "
                  "counter-clockwise looking at the start.")),
    QUANTITY(kw_end, "flatten", flatten, LENGTH, .max = 500,
             SAYS("Length of the end that is pressed flat.")),
    {0},
};
static const struct kw_form end_form = {"end", "How one end of a tube or bar is cut.",
                                        sizeof(struct kw_end), end_fields, check_end};
static const struct kw_field ends_fields[] = {
    FORM(kw_ends, "start", start, end_form, SAYS("The end where the piece begins.")),
    FORM(kw_ends, "end", end, end_form, SAYS("The other end.")),
    {0},
};
const struct kw_form kw_ends_form = {"ends", "How the two ends of a tube or bar are cut.",
                                     sizeof(struct kw_ends), ends_fields, NULL};

static const char *const sides_words[] = {"one", "both", NULL};

static const struct kw_field drill_fields[] = {
    QUANTITY(kw_drill, "size", size, LENGTH, REQUIRED, ABOVE_ZERO_TO(200), SAYS("Diameter.")),
    QUANTITIES(kw_drill, "from_start", from_start, LENGTH, .max = KW_MOST_MM,
               SAYS("From the start of the piece, at its longest, to the centre of each hole.")),
    QUANTITIES(kw_drill, "from_end", from_end, LENGTH, .max = KW_MOST_MM,
               SAYS("The same from its other end.")),
    QUANTITY(
        kw_drill, "turn", turn, ANGLE, .min = -2 * KW_PI, .max = 2 * KW_PI,
        SAYS("Where round the piece, from the reference line, counter-clockwise looking at the "
             "start.")),
    WORD(kw_drill, "sides", both, sides_words, DEFAULT("one"),
         SAYS("Through one wall or through both.")),
    {0},
};
const struct kw_form kw_drill_form = {"drilled hole", "Holes along a tube or bar and around it.",
                                      sizeof(struct kw_drill), drill_fields, NULL};

/// The diameter that a cope is for: a length, or the round tube or rod of the part named.
static enum kw_status read_onto(struct kw_kit_file *k, struct kw_cope *c) {
    if (!c->node) return KW_OK;
    struct kw_place at = kw_place_of(c->node, "onto");
    const struct kw_part *part = kw_kit_part(k->kit, c->onto);
    bool number = (*c->onto >= '0' && *c->onto <= '9') || *c->onto == '.';
    if (part && (part->stock.kind == KW_ROUND_TUBE || part->stock.kind == KW_ROUND_ROD)) {
        c->diameter = part->stock.width;
        return KW_OK;
    }
    enum kw_stock_kind kind = part ? (enum kw_stock_kind)part->stock.kind : KW_ANGLE_BAR;
    if (kind == KW_SHEET || kind == KW_SQUARE_TUBE || kind == KW_FLAT_BAR)
        return KW_OK; // flat: from the assembly (check)
    if (!number)
        return kw_fail(k->err, KW_UNKNOWN, at,
                       part ? "part \"%.60s\" is an angle bar, expected anything else or a diameter"
                            : "no part \"%.60s\", expected a diameter or the name of a part",
                       c->onto);
    enum kw_status s = kw_quantity(c->onto, KW_DIM_LENGTH, k->units, at, &c->diameter, k->err);
    if (s != KW_OK || (c->diameter > 0 && c->diameter <= 1000)) return s;
    return kw_fail(k->err, KW_RANGE, at, "expected a diameter up to 1000 mm, got \"%.60s\"",
                   c->onto);
}

static enum kw_status check_cut(struct kw_kit_file *k, const struct kw_part *part,
                                struct kw_end *e) {
    enum kw_status s = read_onto(k, &e->cope);
    bool round = part->stock.kind == KW_ROUND_TUBE;
    if (s != KW_OK || round || (!e->cope.node && !(e->flatten > 0))) return s;
    return kw_fail(k->err, KW_FORMAT, e->node->at,
                   "only round tube is coped or flattened, part \"%s\" is %s", part->name,
                   part->from);
}

static enum kw_status check_drill(struct kw_kit_file *k, const struct kw_part *part,
                                  const struct kw_drill *d) {
    if ((d->from_start.count > 0) == (d->from_end.count > 0))
        return kw_fail(k->err, KW_FORMAT, d->node->at, "expected from_start or from_end");
    if (!(d->size < part->stock.width))
        return kw_fail(k->err, KW_RANGE, kw_place_of(d->node, "size"),
                       "a hole of %s %s doesn't fit in %s", kw_kit_shown(k, d->size),
                       kw_kit_unit(k), part->from);
    const struct kw_items *v = d->from_start.count > 0 ? &d->from_start : &d->from_end;
    for (int i = 0; i < v->count && part->length > 0; i++) {
        double at = *KW_ITEM(double, *v, i);
        if (at >= d->size / 2 && at <= part->length - d->size / 2) continue;
        return kw_fail(k->err, KW_GEOMETRY,
                       kw_place_of(d->node, d->from_start.count > 0 ? "from_start" : "from_end"),
                       "a hole of %s at %s leaves the piece of %s %s", kw_kit_shown(k, d->size),
                       kw_kit_shown(k, at), kw_kit_shown(k, part->length), kw_kit_unit(k));
    }
    return KW_OK;
}

enum kw_status kw_kit_ends(struct kw_kit_file *k) {
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < k->kit->parts.count; i++) {
        struct kw_part *part = KW_ITEM(struct kw_part, k->kit->parts, i);
        const struct kw_node *ends = kw_node_get(part->node, "ends");
        if (ends && kw_node_get(part->node, "miter"))
            return kw_fail(k->err, KW_FORMAT, ends->key_at,
                           "part \"%s\" has miter and ends, expected one of them", part->name);
        s = check_cut(k, part, &part->ends.start);
        if (s == KW_OK) s = check_cut(k, part, &part->ends.end);
        for (int d = 0; s == KW_OK && d < part->drill.count; d++)
            s = check_drill(k, part, KW_ITEM(struct kw_drill, part->drill, d));
        if (!part->ends.node) continue;
        kw_part_code(k->shop, part); // the other tube's diameter is in it
        kw_part_code_fitted(k->kit, part);
    }
    return s;
}
