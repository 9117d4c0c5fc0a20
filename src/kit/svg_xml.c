// SPDX-License-Identifier: Apache-2.0
// The elements of an SVG file as a tree, by expat. Nothing outside the file is read, and entities
// that the file declares itself are refused: a few lines of them can stand for gigabytes.
#include "kit/svg_in.h"

#include <expat.h>
#include <stdlib.h>
#include <string.h>

enum { DEEPEST = 200, MOST_ELEMENTS = 500000 };
#define SVG_SPACE "http://www.w3.org/2000/svg"

struct tree {
    struct kw_svg_reader *r;
    XML_Parser parser;
    struct kw_svg_element *open[DEEPEST + 1];
    int depth, count;
    struct kw_text style; // of the open <style>
    enum kw_status status;
};

static struct kw_place here(const struct tree *t) {
    return kw_sketch_place(&t->r->sketch, (int)XML_GetCurrentLineNumber(t->parser));
}

static void stop(struct tree *t, enum kw_status s) {
    t->status = s;
    (void)XML_StopParser(t->parser, XML_FALSE);
}

// "space name", or "name" without one.
static const char *local(const char *name, size_t *space) {
    const char *blank = strrchr(name, ' ');
    *space = blank ? (size_t)(blank - name) : 0;
    return blank ? blank + 1 : name;
}

static const char *copy(struct tree *t, const char *s) {
    return kw_copy_text(t->r->sketch.scratch, s, strlen(s));
}

// Of attributes of other namespaces only two count: a reference, and what a drawing program calls a
// layer. One without a namespace goes first.
static void take_attribute(struct tree *t, struct kw_svg_element *e, const char *full,
                           const char *value) {
    size_t space;
    const char *name = local(full, &space);
    if (space > 0 && strcmp(name, "href") != 0 && strcmp(name, "label") != 0) return;
    struct kw_svg_attribute one = {copy(t, name), copy(t, value)};
    KW_PUSH(t->r->sketch.scratch, e->attributes, e->attribute_count) = one;
    if (space > 0) return;
    e->attributes[e->attribute_count - 1] = e->attributes[0];
    e->attributes[0] = one;
}

static void XMLCALL on_start(void *user, const XML_Char *full, const XML_Char **attributes) {
    struct tree *t = user;
    if (t->depth == DEEPEST || ++t->count > MOST_ELEMENTS) {
        stop(t, kw_fail(t->r->sketch.err, KW_LIMIT, here(t),
                        "expected at most %d elements, one in the other at most %d deep",
                        MOST_ELEMENTS, DEEPEST));
        return;
    }
    size_t space;
    const char *name = local(full, &space);
    bool svg = space == 0 || (space == strlen(SVG_SPACE) && memcmp(full, SVG_SPACE, space) == 0);
    struct kw_svg_element *e = KW_NEW(t->r->sketch.scratch, struct kw_svg_element);
    e->name = svg ? copy(t, name) : "";
    e->line = (int)XML_GetCurrentLineNumber(t->parser);
    for (int i = 0; attributes[i]; i += 2)
        take_attribute(t, e, attributes[i], attributes[i + 1]);
    struct kw_svg_element *around = t->depth > 0 ? t->open[t->depth - 1] : NULL;
    if (!around)
        t->r->root = e;
    else if (around->last)
        around->last->next = e;
    else
        around->first = e;
    if (around) around->last = e;
    const char *id = kw_svg_attribute(e, "id");
    if (id) {
        KW_PUSH(t->r->sketch.scratch, t->r->ids, t->r->id_count) =
            (struct kw_svg_id){id, e, t->count};
    }
    t->open[t->depth++] = e;
}

static void XMLCALL on_end(void *user, const XML_Char *full) {
    (void)full;
    struct tree *t = user;
    struct kw_svg_element *e = t->open[--t->depth];
    if (strcmp(e->name, "style") != 0 || !t->style.length) return;
    e->text = copy(t, t->style.s);
    kw_text_free(&t->style);
}

static void XMLCALL on_text(void *user, const XML_Char *s, int length) {
    struct tree *t = user;
    if (t->depth > 0 && strcmp(t->open[t->depth - 1]->name, "style") == 0)
        kw_text_addn(&t->style, s, (size_t)length);
}

static void XMLCALL on_entity(void *user, const XML_Char *name, int is_parameter,
                              const XML_Char *value, int length, const XML_Char *base,
                              const XML_Char *system, const XML_Char *pub, const XML_Char *note) {
    (void)is_parameter, (void)value, (void)length, (void)base, (void)system, (void)pub, (void)note;
    struct tree *t = user;
    const char *shown = kw_sketch_shown(t->r->sketch.scratch, name, (int)strlen(name));
    stop(t, kw_fail(t->r->sketch.err, KW_FORMAT, here(t),
                    "the entity \"%s\" is declared: save the drawing as plain SVG", shown));
}

static enum kw_status fail_xml(struct tree *t) {
    struct kw_place at = here(t);
    at.column = (int)XML_GetCurrentColumnNumber(t->parser) + 1;
    return kw_fail(t->r->sketch.err, KW_FORMAT, at, "expected an SVG drawing: %s",
                   XML_ErrorString(XML_GetErrorCode(t->parser)));
}

static int by_id(const void *a, const void *b) {
    const struct kw_svg_id *p = a, *q = b;
    int order = strcmp(p->id, q->id);
    return order != 0 ? order : (p->order > q->order) - (p->order < q->order);
}

enum kw_status kw_svg_xml(struct kw_svg_reader *r, const char *bytes, size_t length) {
    struct tree t = {.r = r, .parser = XML_ParserCreateNS(NULL, ' ')};
    kw_assert(t.parser);
    XML_SetUserData(t.parser, &t);
    XML_SetElementHandler(t.parser, on_start, on_end);
    XML_SetCharacterDataHandler(t.parser, on_text);
    XML_SetEntityDeclHandler(t.parser, on_entity);
    bool read = XML_Parse(t.parser, bytes, (int)length, XML_TRUE) == XML_STATUS_OK;
    if (t.status == KW_OK && !read) t.status = fail_xml(&t);
    if (t.status == KW_OK && strcmp(r->root->name, "svg") != 0) {
        t.status = kw_fail(r->sketch.err, KW_FORMAT, kw_sketch_place(&r->sketch, r->root->line),
                           "expected an SVG drawing: its first element is not svg");
    }
    XML_ParserFree(t.parser);
    kw_text_free(&t.style);
    if (r->id_count > 1) qsort(r->ids, (size_t)r->id_count, sizeof *r->ids, by_id);
    return t.status;
}

const char *kw_svg_attribute(const struct kw_svg_element *e, const char *name) {
    for (int i = 0; i < e->attribute_count; i++) {
        if (strcmp(e->attributes[i].name, name) == 0) return e->attributes[i].value;
    }
    return NULL;
}

// The first of that id in the file.
const struct kw_svg_element *kw_svg_find(const struct kw_svg_reader *r, const char *id) {
    int lo = 0, hi = r->id_count;
    while (lo < hi) {
        int middle = (lo + hi) / 2;
        if (strcmp(r->ids[middle].id, id) < 0)
            lo = middle + 1;
        else
            hi = middle;
    }
    return lo < r->id_count && strcmp(r->ids[lo].id, id) == 0 ? r->ids[lo].element : NULL;
}
