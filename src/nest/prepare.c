// SPDX-License-Identifier: Apache-2.0
// What the search works on: each part's pieces, turned every allowed way for every group of sheets
// that lie alike; sheets' missing corners as obstacles.
#include "nest/prepare.h"

#include <string.h>

#define MOST_PIECES    20   // beyond, the outline is taken more coarsely: pairs cost the product
#define COARSEST_MM    1.5  // but not beyond this, or a hundredth of a larger part
#define SAME_ANGLE     1e-6 // radians
#define SAME_PLACE_MM  1e-6
#define THINNEST_MM    5.0
#define MOST_ROTATIONS 3600 // a tenth of a degree all round

// ------------------------------------------------------------------------------ at the door

static enum kw_status bad(struct kw_error *err, enum kw_status s, const char *what, int i,
                          const char *why) {
    return kw_fail(err, s, (struct kw_place){0}, "nest: %s %d: %s", what, i, why);
}

static enum kw_status check_ring(const struct kw_path *p, bool outer, int part,
                                 struct kw_error *err) {
    enum kw_status s = kw_path_check(p, (struct kw_place){0}, err);
    if (s != KW_OK) return s;
    double area = kw_path_area(p);
    if (!(outer ? area > 0 : area < 0)) {
        return bad(err, KW_GEOMETRY, "part", part,
                   outer ? "outer outline is not counter-clockwise" : "hole is not clockwise");
    }
    return KW_OK;
}

static enum kw_status check_part(const struct kw_nest_part *p, int i, struct kw_error *err) {
    if (p->count < 0) return bad(err, KW_RANGE, "part", i, "negative count");
    if (p->count > KW_NEST_MOST_COPIES) return bad(err, KW_LIMIT, "part", i, "too many copies");
    if (p->rotation_count < 0 || p->rotation_count > MOST_ROTATIONS) {
        return bad(err, KW_RANGE, "part", i, "number of rotations");
    }
    if (p->has_grain && !(fabs(p->grain) < 100)) return bad(err, KW_RANGE, "part", i, "grain");
    for (int k = 0; k < p->rotation_count; k++) {
        if (!(fabs(p->rotations[k]) < 100)) return bad(err, KW_RANGE, "part", i, "rotation");
    }
    if (!p->outline) return bad(err, KW_GEOMETRY, "part", i, "no outline");
    enum kw_status s = check_ring(&p->outline->outer, true, i, err);
    for (int k = 0; s == KW_OK && k < p->outline->hole_count; k++) {
        s = check_ring(&p->outline->holes[k], false, i, err);
    }
    return s;
}

static enum kw_status check_sheet(const struct kw_nest_sheet *s, int i, struct kw_error *err) {
    if (!(s->width > 0 && s->width <= KW_MOST_MM && s->height > 0 && s->height <= KW_MOST_MM)) {
        return bad(err, KW_RANGE, "sheet", i, "size");
    }
    if (!(s->price >= 0 && s->price < 1e12)) return bad(err, KW_RANGE, "sheet", i, "price");
    if (s->count < -1) return bad(err, KW_RANGE, "sheet", i, "count");
    if (!(fabs(s->grain) < 100)) return bad(err, KW_RANGE, "sheet", i, "grain");
    if (!s->outline) return KW_OK;
    enum kw_status status = kw_path_check(&s->outline->outer, (struct kw_place){0}, err);
    for (int k = 0; status == KW_OK && k < s->outline->hole_count; k++) {
        status = kw_path_check(&s->outline->holes[k], (struct kw_place){0}, err);
    }
    if (status != KW_OK) return status;
    struct kw_box2 b = kw_path_box(&s->outline->outer);
    bool within = b.min.x >= -TOUCH_MM && b.min.y >= -TOUCH_MM && b.max.x <= s->width + TOUCH_MM &&
                  b.max.y <= s->height + TOUCH_MM;
    return within ? KW_OK : bad(err, KW_GEOMETRY, "sheet", i, "outline beyond width or height");
}

enum kw_status check_job(const struct kw_nest_job *job, const struct kw_nest_options *o,
                         struct kw_error *err) {
    if (!(o->spacing >= 0 && o->spacing <= KW_MOST_MM))
        return bad(err, KW_RANGE, "spacing of", 0, "out of range");
    if (!(o->margin >= 0 && o->margin <= KW_MOST_MM))
        return bad(err, KW_RANGE, "margin of", 0, "out of range");
    if (!(o->drop_short >= 0) || !(o->drop_long >= 0))
        return bad(err, KW_RANGE, "drop size of", 0, "out of range");
    long copies = 0;
    for (int i = 0; i < job->part_count; i++) {
        enum kw_status s = check_part(&job->parts[i], i, err);
        if (s != KW_OK) return s;
        copies += job->parts[i].count;
    }
    if (copies > KW_NEST_MOST_COPIES) {
        return kw_fail(err, KW_LIMIT, (struct kw_place){0},
                       "nest: expected at most %d copies, got %ld", KW_NEST_MOST_COPIES, copies);
    }
    for (int i = 0; i < job->sheet_count; i++) {
        enum kw_status s = check_sheet(&job->sheets[i], i, err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

// ------------------------------------------------------------------------------------- poses

static struct kw_vec2 swap_if(int axis, struct kw_vec2 p) {
    return axis ? kw_v2(p.y, p.x) : p;
}

/// Pieces of the blank turned by `m`, moved so that `corner` is the origin, in u and v.
static struct pieces turned(struct kw_arena *a, const struct pieces *p, struct kw_move2 m,
                            struct kw_vec2 corner, int axis) {
    struct pieces out = {.v = KW_NEW_ARRAY(a, struct convex, p->count), .count = p->count};
    bool reversed = m.mirror != (axis == 1);
    for (int i = 0; i < p->count; i++) {
        int n = p->v[i].count;
        out.v[i] = (struct convex){KW_NEW_ARRAY(a, struct kw_vec2, n), n};
        for (int k = 0; k < n; k++) {
            struct kw_vec2 q = kw_move2_point(m, p->v[i].v[reversed ? n - 1 - k : k]);
            out.v[i].v[k] = swap_if(axis, kw_sub2(q, corner));
        }
    }
    return out;
}

static double wrap_angle(double angle) {
    double full = 2 * KW_PI, r = fmod(angle, full);
    if (r < 0) r += full;
    return r >= full - 1e-12 ? 0 : r;
}

/// Whether the sheet's grain runs along the part's when it lies so.
static bool along_grain(const struct kw_nest_part *p, double rotation, bool mirrored,
                        double sheet_grain) {
    double lies = rotation + (mirrored ? KW_PI - p->grain : p->grain);
    return fabs(sin(lies - sheet_grain)) < SAME_ANGLE;
}

static bool on_region(const struct kw_region *r, struct kw_vec2 p) {
    if (kw_path_distance(&r->outer, p) < SAME_PLACE_MM) return true;
    for (int i = 0; i < r->hole_count; i++) {
        if (kw_path_distance(&r->holes[i], p) < SAME_PLACE_MM) return true;
    }
    return false;
}

/// Whether all of a path lies on the borders of a region that is moved by `by`: four points of each
/// segment are tried.
static bool path_lies_on(const struct kw_path *p, const struct kw_region *r, struct kw_vec2 by) {
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_segment s = kw_path_segment(p, i);
        for (int k = 0; k < 4; k++) {
            if (!on_region(r, kw_sub2(kw_segment_point(s, k / 4.0), by))) return false;
        }
    }
    return true;
}

/// Whether two turned outlines of one part are the same but for a move: then one pose does for
/// both.
static bool same_shape(const struct kw_region *p, struct kw_vec2 p_corner,
                       const struct kw_region *q, struct kw_vec2 q_corner) {
    struct kw_vec2 by = kw_sub2(p_corner, q_corner);
    if (!path_lies_on(&p->outer, q, by)) return false;
    for (int i = 0; i < p->hole_count; i++) {
        if (!path_lies_on(&p->holes[i], q, by)) return false;
    }
    return true;
}

struct pose_list {
    struct pose *v;
    int count;
};

/// The outlines of the poses of one part in one group, to find those that are alike.
struct alike {
    struct kw_region *regions;
    struct kw_vec2 *corners;
    int count;
};

/// A part as the search sees it.
struct drawn {
    struct kw_region outline; ///< with roomy holes only
    struct pieces pieces;
};

static void add_pose(struct world *w, struct pose_list *list, struct alike *seen, int part,
                     const struct drawn *drawn, double rotation, bool mirrored, int axis) {
    struct kw_move2 m = kw_move2_make(0, 0, rotation, mirrored);
    struct kw_region lies = kw_region_moved(w->a, &drawn->outline, m);
    struct kw_box2 box = kw_path_box(&lies.outer);
    for (int i = 0; i < seen->count; i++) {
        if (same_shape(&lies, box.min, &seen->regions[i], seen->corners[i])) return;
    }
    seen->regions[seen->count] = lies;
    seen->corners[seen->count++] = box.min;
    struct pose p = {.part = part, .rotation = rotation, .mirrored = mirrored, .corner = box.min};
    p.size = swap_if(axis, kw_sub2(box.max, box.min));
    p.pieces = turned(w->a, &drawn->pieces, m, box.min, axis);
    KW_PUSH(w->a, list->v, list->count) = p;
}

/// The part's rotations; where it has a grain and no rotation of its own list suits, the two that
/// bring its grain along the sheet's.
static int part_rotations(struct world *w, const struct kw_nest_part *p, double **out) {
    int n = p->rotation_count > 0 ? p->rotation_count : 4;
    double *r = KW_NEW_ARRAY(w->a, double, n);
    for (int i = 0; i < n; i++) {
        r[i] = wrap_angle(p->rotation_count > 0 ? p->rotations[i] : i * KW_PI / 2);
    }
    *out = r;
    return n;
}

static struct pose_range part_poses(struct world *w, struct pose_list *list, int part,
                                    const struct drawn *drawn, const struct kind *k,
                                    double sheet_grain) {
    const struct kw_nest_part *p = &w->job->parts[part];
    double *rotations;
    int n = part_rotations(w, p, &rotations), sides = p->may_mirror ? 2 : 1;
    struct alike seen = {KW_NEW_ARRAY(w->a, struct kw_region, 2 * n),
                         KW_NEW_ARRAY(w->a, struct kw_vec2, 2 * n), 0};
    struct pose_range range = {list->count, 0};
    for (int side = 0; side < sides; side++) {
        for (int i = 0; i < n; i++) {
            bool lies_right = !p->has_grain || along_grain(p, rotations[i], side == 1, sheet_grain);
            if (!lies_right) continue;
            add_pose(w, list, &seen, part, drawn, rotations[i], side == 1, k->axis);
        }
    }
    if (seen.count == 0 && p->rotation_count == 0) { // no quarter turn suits the grain
        for (int half = 0; half < 2; half++) {
            double r = wrap_angle(sheet_grain - p->grain + half * KW_PI);
            add_pose(w, list, &seen, part, drawn, r, false, k->axis);
        }
    }
    range.count = list->count - range.first;
    return range;
}

// ------------------------------------------------------------------------------ parts and sheets

/// Whether a part could lie in a box: by its own box where it only makes quarter turns, else by its
/// length against the diagonal.
static bool may_lie_in(const struct world *w, int part, struct kw_box2 box) {
    const struct kw_nest_part *p = &w->job->parts[part];
    double x = box.max.x - box.min.x, y = box.max.y - box.min.y, s = 2 * w->options->spacing;
    bool quarters = true;
    for (int i = 0; i < p->rotation_count; i++) {
        quarters = quarters && fabs(sin(2 * p->rotations[i])) < SAME_ANGLE;
    }
    if (p->count == 0) return false;
    if (!quarters || p->has_grain) return w->longest[part] + s <= hypot(x, y);
    return w->longest[part] + s <= fmax(x, y) + TOUCH_MM &&
           w->shortest[part] + s <= fmin(x, y) + TOUCH_MM;
}

/// The outline with only those holes in which another part could lie: every hole that is kept costs
/// pieces, and a pair of parts costs the product of their pieces.
static struct kw_region roomy_holes_only(struct world *w, int part) {
    const struct kw_region *from = w->job->parts[part].outline;
    struct kw_region r = {.outer = from->outer};
    for (int i = 0; i < from->hole_count; i++) {
        struct kw_box2 box = kw_path_box(&from->holes[i]);
        bool roomy = false;
        for (int k = 0; k < w->job->part_count && !roomy; k++) {
            roomy = k != part && may_lie_in(w, k, box);
        }
        if (roomy) KW_PUSH(w->a, r.holes, r.hole_count) = from->holes[i];
    }
    return r;
}

/// Nothing thinner is expected to reach into a pocket: 5 mm, or a quarter of the smallest part.
static double thinnest(const struct world *w) {
    double least = THINNEST_MM;
    for (int i = 0; i < w->job->part_count; i++)
        least = fmin(least, 0.25 * w->shortest[i]);
    return least;
}

static struct drawn draw_part(struct world *w, int part) {
    struct drawn d = {.outline = roomy_holes_only(w, part)};
    double gap = 2 * w->options->spacing + thinnest(w), longest = w->longest[part];
    double tolerance = fmin(fmax(longest * 5e-4, 0.001), 0.3);
    for (;; tolerance *= 2) {
        d.pieces = pieces_of_region(w->a, &d.outline, tolerance, gap);
        double coarsest = fmin(fmax(COARSEST_MM, longest / 100), longest / 20);
        if (d.pieces.count <= MOST_PIECES || tolerance * 2 > coarsest) {
            return d;
        }
    }
}

static void measure_parts(struct world *w) {
    int n = w->job->part_count + 1;
    w->area = KW_NEW_ARRAY(w->a, double, n);
    w->bulk = KW_NEW_ARRAY(w->a, double, n);
    w->longest = KW_NEW_ARRAY(w->a, double, n);
    w->shortest = KW_NEW_ARRAY(w->a, double, n);
    for (int i = 0; i < w->job->part_count; i++) {
        const struct kw_region *r = w->job->parts[i].outline;
        struct kw_box2 box = kw_path_box(&r->outer);
        double x = box.max.x - box.min.x, y = box.max.y - box.min.y;
        w->area[i] = kw_region_area(r);
        w->bulk[i] = kw_path_area(&r->outer);
        w->longest[i] = fmax(x, y);
        w->shortest[i] = fmin(x, y);
    }
}

static void add_obstacle(struct world *w, struct pose_list *list, const struct kw_region *r,
                         int axis) {
    struct pieces pieces = pieces_of_region(w->a, r, 0.05, 0);
    struct pose p = {.part = -1};
    p.pieces = turned(w->a, &pieces, kw_move2_none(), kw_v2(0, 0), axis);
    KW_PUSH(w->a, list->v, list->count) = p;
}

bool is_rectangle(const struct kw_nest_sheet *s) {
    if (!s->outline) return true;
    double area = fabs(kw_path_area(&s->outline->outer)), whole = s->width * s->height;
    return fabs(area - whole) <= 1e-9 * whole;
}

/// What of the rectangle is not sheet: a frame around the outline, and the outline's holes.
static void add_obstacles(struct world *w, struct pose_list *list, const struct kw_nest_sheet *s,
                          struct kind *k) {
    k->first_obstacle = list->count;
    if (!is_rectangle(s)) { // else its edges need no obstacle
        double wide = w->options->margin + 10;
        struct kw_path hole = kw_path_oriented(w->a, &s->outline->outer, false);
        struct kw_region frame = {.holes = &hole, .hole_count = 1};
        frame.outer = kw_path_box_outline(w->a, -wide, -wide, s->width + wide, s->height + wide, 0);
        add_obstacle(w, list, &frame, k->axis);
    }
    for (int i = 0; s->outline && i < s->outline->hole_count; i++) {
        struct kw_region keep_out = {0};
        keep_out.outer = kw_path_oriented(w->a, &s->outline->holes[i], true);
        add_obstacle(w, list, &keep_out, k->axis);
    }
    k->obstacle_count = list->count - k->first_obstacle;
}

static double sheet_area(const struct kw_nest_sheet *s) {
    if (!s->outline) return s->width * s->height;
    double area = fabs(kw_path_area(&s->outline->outer));
    for (int i = 0; i < s->outline->hole_count; i++) {
        area -= fabs(kw_path_area(&s->outline->holes[i]));
    }
    return area;
}

static bool same_grain(const struct world *w, double a, double b) {
    bool matters = false;
    for (int i = 0; i < w->job->part_count; i++)
        matters = matters || w->job->parts[i].has_grain;
    return !matters || fabs(sin(a - b)) < SAME_ANGLE;
}

static void prepare_kinds(struct world *w, struct pose_list *list) {
    bool priced = false;
    for (int i = 0; i < w->job->sheet_count; i++)
        priced = priced || w->job->sheets[i].price > 0;
    w->kinds = KW_NEW_ARRAY(w->a, struct kind, w->job->sheet_count + 1);
    for (int i = 0; i < w->job->sheet_count; i++) {
        const struct kw_nest_sheet *s = &w->job->sheets[i];
        struct kind *k = &w->kinds[i];
        k->axis = s->height > s->width;
        k->length = fmax(s->width, s->height);
        k->breadth = fmin(s->width, s->height);
        k->area = sheet_area(s);
        k->value = priced ? s->price : k->area * 1e-6;
        k->count = s->count;
        add_obstacles(w, list, s, k);
        k->group = -1;
        for (int j = 0; j < i && k->group < 0; j++) {
            bool alike =
                w->kinds[j].axis == k->axis && same_grain(w, s->grain, w->job->sheets[j].grain);
            if (alike) k->group = w->kinds[j].group;
        }
        if (k->group < 0) k->group = w->group_count++;
    }
}

static void prepare_poses(struct world *w, struct pose_list *list) {
    int n = w->job->part_count;
    struct drawn *drawn = KW_NEW_ARRAY(w->a, struct drawn, n + 1);
    for (int i = 0; i < n; i++)
        drawn[i] = draw_part(w, i);
    w->parts = KW_NEW_ARRAY(w->a, struct pose_range *, w->group_count + 1);
    for (int k = 0; k < w->job->sheet_count; k++) {
        int group = w->kinds[k].group;
        if (w->parts[group]) continue;
        w->parts[group] = KW_NEW_ARRAY(w->a, struct pose_range, n + 1);
        for (int i = 0; i < n; i++) {
            w->parts[group][i] =
                part_poses(w, list, i, &drawn[i], &w->kinds[k], w->job->sheets[k].grain);
        }
    }
}

void prepare_world(struct world *w) {
    struct pose_list list = {0};
    measure_parts(w);
    prepare_kinds(w, &list);
    prepare_poses(w, &list);
    w->poses = list.v;
    w->pose_count = list.count;
    w->from = KW_NEW_ARRAY(w->a, double, list.count + 1);
    w->found = KW_NEW_ARRAY(w->a, struct spot, list.count + 1);
    w->found_at = KW_NEW_ARRAY(w->a, int, list.count + 1);
    w->contacts = contacts_for(w, false);
    w->lie = KW_NEW_ARRAY(w->a, char, w->job->part_count + 1);
    w->random = w->options->seed;
}

uint64_t worker_random(const struct world *w, enum role role, int worker) {
    uint64_t seed = w->options->seed;
    int name[2] = {(int)role, worker};
    return kw_hash(kw_random(&seed), name, sizeof name);
}
