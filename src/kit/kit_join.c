// SPDX-License-Identifier: Apache-2.0
// Pieces, joints and welds of a kit: the names that they use, looked up.
#include "kit/kit_in.h"

#include <string.h>

static int find_piece(const struct kw_kit *kit, const char *name, size_t length) {
    for (int i = 0; i < kit->assembly.count; i++) {
        const struct kw_standing *p = KW_ITEM(struct kw_standing, kit->assembly, i);
        if (strlen(p->name) == length && memcmp(p->name, name, length) == 0) return i;
    }
    return -1;
}

static enum kw_status fail_piece(struct kw_kit_file *k, struct kw_place at, const char *name) {
    const struct kw_items *pieces = &k->kit->assembly;
    const char **names = KW_NEW_ARRAY(k->arena, const char *, pieces->count + 1);
    for (int i = 0; i < pieces->count; i++)
        names[i] = KW_ITEM(struct kw_standing, *pieces, i)->name;
    const char *near = kw_nearest_word(name, names);
    return kw_fail(k->err, KW_UNKNOWN, at, "no piece \"%.60s\" in the assembly%s%s%s", name,
                   near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "");
}

static enum kw_status check_standing(struct kw_kit_file *k, struct kw_standing *s) {
    const struct kw_part *part = kw_kit_part(k->kit, s->part);
    struct kw_place at = kw_place_of(s->node, "part");
    if (!part) {
        return kw_fail(k->err, KW_UNKNOWN, at, "unknown part \"%.60s\" of piece \"%s\"", s->part,
                       s->name);
    }
    s->part_index = (int)(part - (const struct kw_part *)k->kit->parts.v);
    bool hands = part->left > 0 || part->right > 0;
    int has = s->hand == KW_LEFT_HAND ? part->left : s->hand == KW_RIGHT_HAND ? part->right : 1;
    if (hands == (s->hand != KW_EACH) && has > 0) return KW_OK;
    return kw_fail(k->err, KW_FORMAT, s->node->at,
                   hands ? "part \"%s\" comes in hands, expected hand: left or hand: right"
                         : "part \"%s\" doesn't come in hands",
                   part->name);
}

/// The piece before the dot, or the whole of `said`.
static enum kw_status piece_of(struct kw_kit_file *k, struct kw_place at, const char *said,
                               int *piece) {
    *piece = find_piece(k->kit, said, strcspn(said, "."));
    if (*piece >= 0) return KW_OK;
    return fail_piece(k, at, kw_copy_text(k->arena, said, strcspn(said, ".")));
}

static bool edge_known(const struct kw_part *part, const char *edge) {
    static const char *const edges[] = {"front", "right", "back", "left"};
    for (int i = 0; i < 4; i++) {
        if (strcmp(edge, edges[i]) == 0) return true;
    }
    return strncmp(edge, "edge ", 5) == 0 || kw_flange_named(part, edge) >= 0;
}

static enum kw_status check_joint(struct kw_kit_file *k, struct kw_joint *j) {
    struct kw_place tab = kw_place_of(j->node, "tab"), slot = kw_place_of(j->node, "slot");
    enum kw_status s = piece_of(k, tab, j->tab, &j->tab_piece);
    if (s == KW_OK) s = piece_of(k, slot, j->slot, &j->slot_piece);
    if (s != KW_OK) return s;
    const struct kw_standing *p = KW_ITEM(struct kw_standing, k->kit->assembly, j->tab_piece);
    const struct kw_standing *q = KW_ITEM(struct kw_standing, k->kit->assembly, j->slot_piece);
    const struct kw_part *on = KW_ITEM(struct kw_part, k->kit->parts, p->part_index);
    const struct kw_part *in = KW_ITEM(struct kw_part, k->kit->parts, q->part_index);
    const char *dot = strchr(j->tab, '.');
    if (!dot || !edge_known(on, dot + 1)) {
        return kw_fail(k->err, KW_UNKNOWN, tab,
                       "expected piece.edge with front, right, back, left, edge 3 or a flange of "
                       "\"%s\", got \"%.60s\"",
                       on->name, j->tab);
    }
    dot = strchr(j->slot, '.');
    if (dot && kw_flange_named(in, dot + 1) < 0) return kw_fail_flange(k, in, slot, dot + 1, false);
    if (on->stock.kind == KW_SHEET && in->stock.kind == KW_SHEET) return KW_OK;
    return kw_fail(k->err, KW_FORMAT, j->node->at, "tabs and slots are for sheet parts");
}

static enum kw_status check_weld(struct kw_kit_file *k, struct kw_weld *w) {
    struct kw_place at = kw_place_of(w->node, "between");
    if (w->between.count != 2) {
        return kw_fail(k->err, KW_FORMAT, at, "expected two pieces such as [front, post], got %d",
                       w->between.count);
    }
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < 2; i++)
        s = piece_of(k, at, *KW_ITEM(const char *, w->between, i), &w->pieces[i]);
    if (s == KW_OK && w->pieces[0] == w->pieces[1])
        s = kw_fail(k->err, KW_FORMAT, at, "a piece is not welded to itself");
    if (s == KW_OK && (w->stitch > 0) != (w->every > 0))
        s = kw_fail(k->err, KW_FORMAT, w->node->at, "stitch goes with every");
    if (s == KW_OK && w->stitch > w->every)
        s = kw_fail(k->err, KW_RANGE, kw_place_of(w->node, "every"),
                    "expected stitches that start at least a stitch apart");
    return s;
}

enum kw_status kw_kit_joined(struct kw_kit_file *k) {
    struct kw_kit *kit = k->kit;
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < kit->assembly.count; i++)
        s = check_standing(k, KW_ITEM(struct kw_standing, kit->assembly, i));
    for (int i = 0; s == KW_OK && i < kit->joints.count; i++)
        s = check_joint(k, KW_ITEM(struct kw_joint, kit->joints, i));
    for (int i = 0; s == KW_OK && i < kit->welds.count; i++)
        s = check_weld(k, KW_ITEM(struct kw_weld, kit->welds, i));
    return s;
}
