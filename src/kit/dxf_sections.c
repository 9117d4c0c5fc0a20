// SPDX-License-Identifier: Apache-2.0
// The first walk through a DXF drawing: units of the header, layers that are not seen, where blocks
// and entities stand.
#include "kit/dxf_in.h"

#include <stdlib.h>
#include <strings.h>

static enum kw_status skip_section(struct kw_dxf *d) {
    struct kw_group g;
    do {
        enum kw_status s = kw_dxf_next(d, &g);
        if (s != KW_OK) return s;
        if (kw_dxf_is(&g, 0, "EOF")) return kw_dxf_cut_off(d, "a section ends without ENDSEC");
    } while (!kw_dxf_is(&g, 0, "ENDSEC"));
    return KW_OK;
}

static enum kw_status read_header(struct kw_dxf *d) {
    struct kw_group g;
    int *wanted = NULL;
    for (;;) {
        enum kw_status s = kw_dxf_next(d, &g);
        if (s != KW_OK) return s;
        if (kw_dxf_is(&g, 0, "ENDSEC")) return KW_OK;
        if (kw_dxf_is(&g, 0, "EOF")) return kw_dxf_cut_off(d, "a section ends without ENDSEC");
        if (g.code == 9) {
            wanted = kw_dxf_is(&g, 9, "$INSUNITS")      ? &d->insunits
                     : kw_dxf_is(&g, 9, "$MEASUREMENT") ? &d->measurement
                                                        : NULL;
        } else if (wanted && g.code == 70 && !kw_dxf_code(g.value, g.length, wanted)) {
            return kw_fail(d->sketch.err, KW_FORMAT, kw_sketch_place(&d->sketch, g.line),
                           "expected a whole number for the drawing's units, got \"%s\"",
                           kw_dxf_shown(d, &g));
        }
    }
}

static enum kw_status note_entities(struct kw_dxf *d) {
    struct kw_dxf_mark from = d->at;
    struct kw_group g;
    enum kw_status s = kw_dxf_next(d, &g);
    if (s == KW_OK && g.code != 0) {
        s = kw_fail(d->sketch.err, KW_FORMAT, kw_sketch_place(&d->sketch, g.line - 1),
                    "expected an entity (group code 0), got group code %d", g.code);
    }
    KW_PUSH(d->sketch.scratch, d->entities, d->section_count) = from;
    return s == KW_OK && !kw_dxf_is(&g, 0, "ENDSEC") ? skip_section(d) : s;
}

// Layers that are switched off (a colour below 0) or frozen (flag 1).
static enum kw_status read_tables(struct kw_dxf *d) {
    struct kw_group g;
    struct kw_dxf_layer layer = {0};
    bool in_layer = false, off = false;
    for (;;) {
        enum kw_status s = kw_dxf_next(d, &g);
        if (s != KW_OK) return s;
        if (kw_dxf_is(&g, 0, "EOF")) return kw_dxf_cut_off(d, "a section ends without ENDSEC");
        int number = 0;
        if (g.code == 0) {
            if (in_layer && (off || layer.frozen))
                KW_PUSH(d->sketch.scratch, d->hidden, d->hidden_count) = layer;
            in_layer = kw_dxf_is(&g, 0, "LAYER");
            layer = (struct kw_dxf_layer){0};
            off = false;
        }
        if (kw_dxf_is(&g, 0, "ENDSEC")) return KW_OK;
        if (g.code == 2) layer.name = g;
        if (g.code == 70 && kw_dxf_code(g.value, g.length, &number)) layer.frozen = number & 1;
        if (g.code == 62 && kw_dxf_code(g.value, g.length, &number)) off = number < 0;
    }
}

// Where each block begins, so that it can be read whenever it is put somewhere.
static enum kw_status note_blocks(struct kw_dxf *d) {
    struct kw_group g;
    struct kw_dxf_block *block = NULL;
    for (;;) {
        enum kw_status s = kw_dxf_next(d, &g);
        if (s != KW_OK) return s;
        if (kw_dxf_is(&g, 0, "EOF")) return kw_dxf_cut_off(d, "a section ends without ENDSEC");
        if (kw_dxf_is(&g, 0, "BLOCK")) {
            KW_PUSH(d->sketch.scratch, d->blocks, d->block_count) =
                (struct kw_dxf_block){.from = d->at};
            block = &d->blocks[d->block_count - 1];
            continue;
        }
        if (kw_dxf_is(&g, 0, "ENDSEC") && block && !block->ended)
            return kw_dxf_cut_off(d, "a block ends without ENDBLK");
        if (kw_dxf_is(&g, 0, "ENDSEC")) return KW_OK;
        if (kw_dxf_is(&g, 0, "ENDBLK") && block) block->ended = true;
        if (g.code == 0 && block) block->own_read = true;
        if (!block || block->own_read) continue;
        if (g.code == 2) block->name = g;
        if (g.code == 70 && !kw_dxf_code(g.value, g.length, &block->flags)) block->flags = 0;
    }
}

static int by_name(const void *a, const void *b) {
    const struct kw_group *g = &((const struct kw_dxf_block *)a)->name;
    const struct kw_group *h = &((const struct kw_dxf_block *)b)->name;
    int shorter = g->length < h->length ? g->length : h->length;
    int order = shorter > 0 ? strncasecmp(g->value, h->value, (size_t)shorter) : 0;
    return order != 0 ? order : (g->length > h->length) - (g->length < h->length);
}

static int by_name_then_line(const void *a, const void *b) {
    int order = by_name(a, b);
    const struct kw_dxf_block *p = a, *q = b;
    return order != 0 ? order : (p->from.line > q->from.line) - (p->from.line < q->from.line);
}

const struct kw_dxf_block *kw_dxf_find_block(const struct kw_dxf *d, const struct kw_group *name) {
    struct kw_dxf_block wanted = {.name = *name};
    if (d->block_count == 0) return NULL;
    return bsearch(&wanted, d->blocks, (size_t)d->block_count, sizeof wanted, by_name);
}

enum kw_status kw_dxf_sections(struct kw_dxf *d) {
    for (;;) {
        struct kw_group g;
        enum kw_status s = kw_dxf_next(d, &g);
        if (s != KW_OK) return s;
        if (kw_dxf_is(&g, 0, "EOF")) break;
        if (!kw_dxf_is(&g, 0, "SECTION")) {
            return kw_fail(d->sketch.err, KW_FORMAT, kw_sketch_place(&d->sketch, g.line),
                           "expected SECTION or EOF of a DXF drawing, got \"%s\"",
                           kw_dxf_shown(d, &g));
        }
        s = kw_dxf_next(d, &g);
        if (s != KW_OK) return s;
        s = kw_dxf_is(&g, 2, "HEADER")     ? read_header(d)
            : kw_dxf_is(&g, 2, "TABLES")   ? read_tables(d)
            : kw_dxf_is(&g, 2, "BLOCKS")   ? note_blocks(d)
            : kw_dxf_is(&g, 2, "ENTITIES") ? note_entities(d)
                                           : skip_section(d);
        if (s != KW_OK) return s;
    }
    if (d->block_count > 0)
        qsort(d->blocks, (size_t)d->block_count, sizeof *d->blocks, by_name_then_line);
    return KW_OK;
}
