// SPDX-License-Identifier: Apache-2.0
// Private to verify: the pieces of an assembled kit as run.json tells them, for the judge of fitted
// ends. Own walk along a bent tube, own fold of a sheet, own turns; mm and radians.
#pragma once

#include "base/base.h"
#include "verify/verify.h"

#include <jansson.h>
#include <math.h>

#define FIT_DEGREE (3.14159265358979323846 / 180)
enum { FIT_MOST_BENDS = 200, FIT_MOST_CORNERS = 20000 };

struct fit_vec {
    double x, y, z;
};
static inline struct fit_vec fit_plus(struct fit_vec a, double s, struct fit_vec b) {
    return (struct fit_vec){a.x + s * b.x, a.y + s * b.y, a.z + s * b.z};
}
static inline double fit_dot(struct fit_vec a, struct fit_vec b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
static inline struct fit_vec fit_cross(struct fit_vec a, struct fit_vec b) {
    return (struct fit_vec){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
static inline double fit_length(struct fit_vec a) {
    return sqrt(fit_dot(a, a));
}
/// `v` turned about the unit vector `axis`, counter-clockwise seen against it.
struct fit_vec fit_turned(struct fit_vec v, struct fit_vec axis, double angle);

/// Axes of a piece, or of a face of it: where its zero and its unit vectors lie.
struct fit_frame {
    struct fit_vec zero, x, y, z;
};
struct fit_vec fit_placed(const struct fit_frame *f, struct fit_vec p);
struct fit_vec fit_pointing(const struct fit_frame *f, struct fit_vec d);

/// A straight of a round tube.
struct fit_limb {
    struct fit_vec from, to;
};

/// A round tube or rod in its own frame, from the end that is written first.
struct fit_round {
    double od;
    struct fit_limb *limbs;
    int limb_count;
    struct fit_vec out[2];  ///< the way out of it at its start and its end
    struct fit_vec line[2]; ///< and the side that the reference line is on there
};

struct fit_bend {
    const char *id;
    int beyond; ///< the bend that lies before it on the way from face 0, -1: none
    struct fit_vec middle, along, out; ///< of its zone, blank frame; out: away from face 0
    double half;                       ///< of the zone's width
    double length, angle, radius;
    bool up;
};

struct fit_sheet {
    double thickness, mirror;
    struct fit_vec *corners; ///< of the blank's outline, arcs as chords
    int corner_count;
    struct fit_bend *bends;
    int bend_count;
};

enum fit_kind { FIT_ROUND, FIT_BAR, FIT_SHEET };
/// What pieces of one part are.
struct fit_shape {
    const char *part;
    enum fit_kind kind;
    struct fit_round round;
    double size[3]; ///< of a bar
    struct fit_sheet sheet;
};

struct fit_piece {
    const char *name, *part;
    bool mirrored; ///< a right hand
    struct fit_frame place;
};

struct fit_kit {
    const char *name;
    struct fit_piece *pieces;
    int piece_count;
    struct fit_shape *shapes;
    int shape_count;
};

/// A reading under way: the first failure ends it.
struct fit_reader {
    struct kw_arena *arena;
    struct kw_error *err;
    enum kw_status status;
    const char *where; ///< "assemblies of garden-arch"
};
void fit_refuse(struct fit_reader *r, const char *want);
double fit_number(struct fit_reader *r, json_t *from, const char *key, double least, double most);
const char *fit_word(struct fit_reader *r, json_t *from, const char *key);
/// A round tube from an object with `od`, `last`, `lies` and `bends`.
void fit_read_round(struct fit_reader *r, json_t *from, struct fit_round *out);
void fit_read_kit(struct fit_reader *r, json_t *from, struct fit_kit *out);

/// Face of a folded sheet in the part's own frame: 0 is the base, i + 1 lies beyond bend i.
struct fit_frame fit_face(const struct fit_sheet *s, int face);
/// Whether a point of the blank, u and v, belongs to that face: inside the outline, beyond its own
/// bend and before those that follow. Holes are not looked at.
bool fit_on_face(const struct fit_sheet *s, int face, double u, double v);
