// SPDX-License-Identifier: Apache-2.0
// Inside the SVG reader (W3C, Scalable Vector Graphics 1.1, 2nd edition, and the parts of SVG 2
// that say the same): svg_xml.c makes a tree of elements, svg.c walks it, svg_style.c tells how an
// element looks and what role that gives it, svg_path.c and svg_shape.c turn shapes into pieces of
// the sketch, svg_values.c reads numbers, lengths, transforms and colours.
#pragma once

#include "kit/sketch.h"

struct kw_svg_attribute {
    const char *name, *value; ///< name without its namespace
};

struct kw_svg_element {
    const char *name; ///< without its namespace; "" when it is not one of SVG
    struct kw_svg_attribute *attributes;
    int attribute_count;
    int line;
    const char *text; ///< what a <style> says
    struct kw_svg_element *first, *last, *next;
};

struct kw_svg_id {
    const char *id;
    const struct kw_svg_element *element;
    int order;
};

/// A rule of a style sheet with one simple selector: x, .x, #x or *.
struct kw_svg_rule {
    char kind; ///< 'x', '.', '#' or '*'
    const char *name;
    const char *declarations;
    int length; ///< of them
};

struct kw_svg_paint {
    bool none;
    int colour; ///< 0xrrggbb; -1: not a plain colour
};

/// What an element takes from those around it.
struct kw_svg_state {
    struct kw_affine2 map;          ///< to mm
    double view_width, view_height; ///< what a length in percent is a part of
    enum kw_role role;              ///< of the nearest id, label or class that has one
    const char *layer;              ///< label or id of the nearest group that has one, for messages
    struct kw_svg_paint stroke, fill;
    bool visible;
    int depth;
};

/// Shapes whose role nothing tells.
struct kw_svg_unknown {
    int count;
    bool alike; ///< all look the same
    struct kw_svg_paint stroke, fill;
    const char *layer;
    int line; ///< of the first
};

struct kw_svg_reader {
    struct kw_sketch sketch;
    struct kw_svg_element *root;
    struct kw_svg_id *ids;
    int id_count;
    struct kw_svg_rule *rules; ///< the stronger ones later
    int rule_count;
    const struct kw_svg_element **open; ///< elements that `use` is inside of
    int open_count;
    bool any_role;
    struct kw_svg_unknown unknown;
    long visits, read; ///< elements, those used again each time; bytes of path data
};

// ---- svg_xml.c
enum kw_status kw_svg_xml(struct kw_svg_reader *r, const char *bytes, size_t length);
const char *kw_svg_attribute(const struct kw_svg_element *e, const char *name); ///< or NULL
const struct kw_svg_element *kw_svg_find(const struct kw_svg_reader *r, const char *id);

// ---- svg_values.c: read at *s, which then stands behind what was read; false when it isn't there
void kw_svg_blanks(const char **s); ///< and one comma among them
bool kw_svg_number(const char **s, double *out);
/// Pixels, of which an inch has 96; percent of `whole`. `unit` gets what was written, at most 3
/// letters.
bool kw_svg_length(const char *s, double whole, double *px, char unit[static 4]);
bool kw_svg_transform(const char *s, struct kw_affine2 *out);
/// #rgb, #rrggbb, rgb(1, 2, 3), rgb(1%, 2%, 3%) and the 17 names of CSS 2.1; -1 for others.
int kw_svg_colour(const char *s);
/// The role of a layer that is a colour, however it is written; ROLE_UNKNOWN for none.
enum kw_role kw_svg_colour_role(const struct kw_layers *l, int colour);
/// An attribute that is a length; `otherwise` when the element hasn't got it.
enum kw_status kw_svg_measure(struct kw_svg_reader *r, const struct kw_svg_element *e,
                              const char *name, double whole, double otherwise, double *px);

// ---- svg_style.c
void kw_svg_read_rules(struct kw_svg_reader *r, const struct kw_svg_element *e);
/// What style attribute, style sheets or the element's own attribute say, in this order; NULL:
/// nothing.
const char *kw_svg_property(struct kw_svg_reader *r, const struct kw_svg_element *e,
                            const char *name);
/// Paint, visibility, role and name of the layer. False: it and all in it is not displayed.
bool kw_svg_look(struct kw_svg_reader *r, const struct kw_svg_element *e, struct kw_svg_state *s);
/// Role of a shape; ROLE_CUT is provisional for those that nothing tells, and noted.
enum kw_role kw_svg_shape_role(struct kw_svg_reader *r, const struct kw_svg_element *e,
                               const struct kw_svg_state *s);
/// Refuses a drawing in which some shapes have a role, or look different, and others have none.
enum kw_status kw_svg_check_roles(struct kw_svg_reader *r);

// ---- shapes. A pen draws subpaths of one element, from the element's frame into mm.
struct kw_svg_pen {
    struct kw_svg_reader *r;
    struct kw_affine2 map;
    enum kw_role role;
    bool fills; ///< open subpaths are seen as closed
    int line;
    struct kw_vec2 start, at; ///< in the element's frame
    struct kw_path path;      ///< mm; its last point is `at`
};
enum kw_status kw_svg_pen_move(struct kw_svg_pen *p,
                               struct kw_vec2 to); ///< ends the subpath before
enum kw_status kw_svg_pen_line(struct kw_svg_pen *p, struct kw_vec2 to);
/// Bezier curve over `count` (2 or 3) more points.
enum kw_status kw_svg_pen_curve(struct kw_svg_pen *p, const struct kw_vec2 *points, int count);
/// Elliptical arc (SVG 1.1, appendix F.6).
enum kw_status kw_svg_pen_arc(struct kw_svg_pen *p, double rx, double ry, double turn, bool large,
                              bool sweep, struct kw_vec2 to);
enum kw_status kw_svg_pen_close(struct kw_svg_pen *p);
enum kw_status kw_svg_pen_end(struct kw_svg_pen *p); ///< after the last

enum kw_status kw_svg_path(struct kw_svg_pen *p, const char *text);
bool kw_svg_is_shape(const struct kw_svg_element *e);
enum kw_status kw_svg_shape(struct kw_svg_reader *r, const struct kw_svg_element *e,
                            const struct kw_svg_state *s);
