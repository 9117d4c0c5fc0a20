// SPDX-License-Identifier: Apache-2.0
// Outlines of letters out of an installed face, as lines and arcs.
#include "letter/letter.h"

#include <fontconfig/fontconfig.h>
#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_OUTLINE_H

#include <string.h>
#include <strings.h>

// ------------------------------------------------------------------------------ the installed face

/// Whether a pattern is the face asked for: by its full name, or a family's plain style.
static bool is_face(FcPattern *p, const char *face) {
    FcChar8 *full = NULL, *family = NULL, *style = NULL;
    if (FcPatternGetString(p, FC_FULLNAME, 0, &full) == FcResultMatch &&
        strcasecmp((const char *)full, face) == 0)
        return true;
    if (FcPatternGetString(p, FC_FAMILY, 0, &family) != FcResultMatch ||
        FcPatternGetString(p, FC_STYLE, 0, &style) != FcResultMatch)
        return false;
    bool plain = strcasecmp((const char *)style, "Book") == 0 ||
                 strcasecmp((const char *)style, "Regular") == 0;
    return plain && strcasecmp((const char *)family, face) == 0;
}

/// The file of a face, the first by name of those that fit; NULL when there is none.
static const char *file_of(struct kw_arena *a, const char *face) {
    FcConfig *config = FcInitLoadConfigAndFonts();
    FcPattern *all = FcPatternCreate();
    FcObjectSet *wanted = FcObjectSetBuild(FC_FULLNAME, FC_FAMILY, FC_STYLE, FC_FILE, (char *)NULL);
    FcFontSet *fonts = FcFontList(config, all, wanted);
    const char *best = NULL;
    for (int i = 0; fonts && i < fonts->nfont; i++) {
        FcChar8 *file = NULL;
        if (!is_face(fonts->fonts[i], face) ||
            FcPatternGetString(fonts->fonts[i], FC_FILE, 0, &file) != FcResultMatch)
            continue;
        if (!best || strcmp((const char *)file, best) < 0) best = (const char *)file;
    }
    if (best) best = kw_copy_text(a, best, strlen(best));
    if (fonts) FcFontSetDestroy(fonts);
    FcObjectSetDestroy(wanted);
    FcPatternDestroy(all);
    FcConfigDestroy(config);
    return best;
}

// ------------------------------------------------------------------------------------ its outlines

struct tracing {
    struct kw_arena *arena;
    struct kw_path *v; // closed
    int count;
    struct kw_path now; // open, while it is drawn
    double x, scale, tolerance;
};

static struct kw_vec2 point(const struct tracing *t, const FT_Vector *p) {
    return kw_v2(t->x + (double)p->x * t->scale, (double)p->y * t->scale);
}

static void close_path(struct tracing *t) {
    struct kw_path *p = &t->now;
    if (p->count > 0) {
        const struct kw_vertex *first = &p->v[0], *last = &p->v[p->count - 1];
        if (hypot(first->x - last->x, first->y - last->y) <= KW_SAME_POINT_MM) p->count--;
    }
    if (p->count >= 2) {
        p->open = false;
        KW_PUSH(t->arena, t->v, t->count) = *p;
    }
    t->now = (struct kw_path){.open = true};
}

static int move_to(const FT_Vector *to, void *user) {
    struct tracing *t = user;
    close_path(t);
    struct kw_vec2 p = point(t, to);
    kw_path_add(t->arena, &t->now, p.x, p.y, 0, 0);
    return 0;
}

static int line_to(const FT_Vector *to, void *user) {
    struct tracing *t = user;
    struct kw_vec2 p = point(t, to);
    const struct kw_vertex *last = &t->now.v[t->now.count - 1];
    if (hypot(last->x - p.x, last->y - p.y) <= KW_SAME_POINT_MM) return 0;
    kw_path_add(t->arena, &t->now, p.x, p.y, 0, 0);
    return 0;
}

static void curve(struct tracing *t, struct kw_vec2 *points, int degree) {
    double knots[8];
    for (int i = 0; i <= degree; i++)
        knots[i] = 0, knots[degree + 1 + i] = 1;
    struct kw_spline s = {.degree = degree, .count = degree + 1, .points = points, .knots = knots};
    if (kw_spline_fault(&s)) return;
    kw_path_add_spline(t->arena, &t->now, &s, t->tolerance, 0);
}

static int conic_to(const FT_Vector *control, const FT_Vector *to, void *user) {
    struct tracing *t = user;
    const struct kw_vertex *last = &t->now.v[t->now.count - 1];
    struct kw_vec2 p[3] = {{last->x, last->y}, point(t, control), point(t, to)};
    curve(t, p, 2);
    return 0;
}

static int cubic_to(const FT_Vector *one, const FT_Vector *two, const FT_Vector *to, void *user) {
    struct tracing *t = user;
    const struct kw_vertex *last = &t->now.v[t->now.count - 1];
    struct kw_vec2 p[4] = {{last->x, last->y}, point(t, one), point(t, two), point(t, to)};
    curve(t, p, 3);
    return 0;
}

/// The next character of UTF-8 text that is known to be well formed.
static unsigned long next_character(const char **p) {
    const unsigned char *s = (const unsigned char *)*p;
    int more = *s >= 0xF0 ? 3 : *s >= 0xE0 ? 2 : *s >= 0xC0 ? 1 : 0;
    unsigned long c = more == 3 ? *s & 0x07U : more == 2 ? *s & 0x0FU : more == 1 ? *s & 0x1FU : *s;
    for (int i = 1; i <= more; i++)
        c = c << 6 | (s[i] & 0x3FU);
    *p += 1 + more;
    return c;
}

static enum kw_status trace(FT_Face face, const char *text, const char *name, struct tracing *t,
                            struct kw_place at, struct kw_error *err) {
    static const FT_Outline_Funcs funcs = {move_to, line_to, conic_to, cubic_to, 0, 0};
    FT_UInt before = 0;
    for (const char *p = text; *p;) {
        const char *from = p;
        FT_UInt glyph = FT_Get_Char_Index(face, next_character(&p));
        if (glyph == 0 || FT_Load_Glyph(face, glyph, FT_LOAD_NO_SCALE) != 0 ||
            face->glyph->format != FT_GLYPH_FORMAT_OUTLINE) {
            return kw_fail(err, KW_FORMAT, at, "the face \"%.60s\" has no letter \"%.*s\"", name,
                           (int)(p - from), from);
        }
        FT_Vector closer = {0, 0};
        if (before && FT_HAS_KERNING(face))
            (void)FT_Get_Kerning(face, before, glyph, FT_KERNING_UNSCALED, &closer);
        t->x += (double)closer.x * t->scale;
        (void)FT_Outline_Decompose(&face->glyph->outline, &funcs, t);
        close_path(t);
        t->x += (double)face->glyph->metrics.horiAdvance * t->scale;
        before = glyph;
    }
    return KW_OK;
}

static double capital_height(FT_Face face) {
    if (FT_Load_Char(face, 'H', FT_LOAD_NO_SCALE) != 0) return 0;
    return (double)face->glyph->metrics.height;
}

// ---------------------------------------------------------------------------- outlines to regions

static bool inside(const struct kw_path *outer, const struct kw_path *p) {
    return kw_path_contains(outer, kw_v2(p->v[0].x, p->v[0].y));
}

static int depth_of(const struct tracing *t, int i) {
    int depth = 0;
    for (int k = 0; k < t->count; k++)
        depth += k != i && inside(&t->v[k], &t->v[i]);
    return depth;
}

/// Even depths are outer outlines, odd ones holes of the outline that is nearest round them.
static enum kw_status sort_out(struct tracing *t, struct kw_place at, struct kw_region **out,
                               int *count, struct kw_error *err) {
    for (int i = 0; i < t->count; i++)
        for (int k = i + 1; k < t->count; k++) {
            if (kw_path_gap(&t->v[i], &t->v[k]) > KW_SAME_POINT_MM) continue;
            return kw_fail(err, KW_GEOMETRY, at,
                           "letters of this face run into each other: use another face");
        }
    int *home = KW_NEW_ARRAY(t->arena, int, t->count + 1);
    for (int i = 0; i < t->count; i++) {
        if (depth_of(t, i) % 2) continue;
        home[i] = *count;
        struct kw_region r = {.outer = kw_path_oriented(t->arena, &t->v[i], true)};
        KW_PUSH(t->arena, *out, *count) = r;
    }
    for (int i = 0; i < t->count; i++) {
        int depth = depth_of(t, i);
        if (depth % 2 == 0) continue;
        for (int k = 0; k < t->count; k++) {
            if (k == i || depth_of(t, k) != depth - 1 || !inside(&t->v[k], &t->v[i])) continue;
            struct kw_region *r = &(*out)[home[k]];
            KW_PUSH(t->arena, r->holes, r->hole_count) =
                kw_path_oriented(t->arena, &t->v[i], false);
        }
    }
    return KW_OK;
}

enum kw_status kw_letter_outlines(struct kw_arena *a, const char *text, const char *face_name,
                                  double height, double tolerance, struct kw_place at,
                                  struct kw_region **out, int *count, double *width,
                                  struct kw_error *err) {
    kw_assert(height > 0 && tolerance > 0);
    *out = NULL;
    *count = 0;
    const char *file = file_of(a, face_name);
    if (!file) {
        return kw_fail(err, KW_MISSING, at, "no face \"%.60s\" is installed", face_name);
    }
    FT_Library library;
    FT_Face face;
    if (FT_Init_FreeType(&library) != 0) return kw_fail(err, KW_IO, at, "letters can't be traced");
    if (FT_New_Face(library, file, 0, &face) != 0) {
        FT_Done_FreeType(library);
        return kw_fail(err, KW_FORMAT, at, "the face \"%.60s\" can't be read", face_name);
    }
    struct tracing t = {.arena = a, .tolerance = tolerance, .now = {.open = true}};
    double capital = capital_height(face);
    enum kw_status s = KW_OK;
    if (capital > 0)
        t.scale = height / capital;
    else
        s = kw_fail(err, KW_FORMAT, at, "the face \"%.60s\" has no capitals", face_name);
    if (s == KW_OK) s = trace(face, text, face_name, &t, at, err);
    FT_Done_Face(face);
    FT_Done_FreeType(library);
    if (s == KW_OK) s = sort_out(&t, at, out, count, err);
    if (width) *width = t.x;
    return s;
}
