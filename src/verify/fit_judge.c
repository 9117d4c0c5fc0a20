// SPDX-License-Identifier: Apache-2.0
// The judge of fitted ends: each end of run.json's tubes that is cut to stand on another piece is
// cut once more, where each of its pieces stands, and held against the pieces that it goes onto.
// Every line of the tube's outside must end on the other's surface, and the tube lie before it.
//
// The cut is told as the shop sets it: a saw of a diameter whose axis crosses the tube's at an
// angle and passes it by an offset, turned about the tube from its reference line; or a flat cut so
// far off square. Where along the tube it sits follows from the length sawn: the longest point of
// the cut is the end of the stick. So the saw is first laid through the end, how far it cuts on
// each line is solved, and it is moved back by the most.
#include "verify/fit_scene.h"
#include "verify/run_file.h"

#include <string.h>

#define ALLOWED 0.05 // mm that the cut may be off the other's surface: far under what a torch does
#define STEP    1.0  // mm along the tube behind the cut
#define FAR     8.0  // diameters of the other tube
enum { LINES = 72, FINE = 7200 };

struct cut {
    int end;
    const char *onto;
    double saw, angle, offset, miter, turn;
};

/// An end of a tube where it stands: product frame.
struct standing {
    struct fit_vec at, out;      ///< end of the stick's middle line, and the way out of it
    struct fit_vec first, third; ///< the cut's first line, and a quarter turn on from it
    double radius, back;         ///< back: half the straight behind
};

struct judging {
    struct kw_verdict *verdict;
    struct fit_reader *r;
    const char *label;
    const struct cut *cut;
    const struct fit_piece *piece;
    struct standing s;
    struct fit_vec edge[LINES]; ///< of the cut, on the tube's outside
};

/// The way of least fault found so far among the faces and straights of the other pieces.
struct nearest {
    double off;
    const char *says;
};

// ----------------------------------------------------------------------------------------- the cut

static struct fit_vec on_line(const struct standing *s, double around) {
    struct fit_vec p = fit_plus(s->at, s->radius * cos(around), s->first);
    return fit_plus(p, s->radius * sin(around), s->third);
}

/// How far along the way out the cut is on that line, the saw laid through the end. NAN: the saw
/// passes the line by.
static double reach(const struct standing *s, const struct cut *c, double around) {
    if (!(c->saw > 0)) return s->radius * sin(around) * tan(c->miter);
    struct fit_vec none = {0, 0, 0};
    struct fit_vec axis = fit_plus(fit_plus(none, sin(c->angle), s->third), cos(c->angle), s->out);
    struct fit_vec through = fit_plus(s->at, c->offset, s->first);
    // |(p + z out - through) x axis| = half the saw, the first of the two.
    struct fit_vec a = fit_cross(s->out, axis);
    struct fit_vec b = fit_cross(fit_plus(on_line(s, around), -1, through), axis);
    double aa = fit_dot(a, a), ab = fit_dot(a, b);
    double under = ab * ab - aa * (fit_dot(b, b) - c->saw * c->saw / 4);
    return under >= 0 && aa > 0 ? (-ab - sqrt(under)) / aa : NAN;
}

/// Fills the edge; false when the saw does not go all round.
static bool cut_edge(struct judging *j) {
    double most = -INFINITY;
    for (int i = 0; i < FINE; i++) {
        double z = reach(&j->s, j->cut, 2 * 180 * FIT_DEGREE * i / FINE);
        if (!isfinite(z)) return false;
        most = fmax(most, z);
    }
    for (int i = 0; i < LINES; i++) {
        double around = 2 * 180 * FIT_DEGREE * i / LINES;
        j->edge[i] =
            fit_plus(on_line(&j->s, around), reach(&j->s, j->cut, around) - most, j->s.out);
    }
    return true;
}

// ------------------------------------------------------------------------------ what it stands on

static double off_axis(struct fit_vec p, const struct fit_limb *l, double *along) {
    struct fit_vec way = fit_plus(l->to, -1, l->from), from = fit_plus(p, -1, l->from);
    double length = fit_length(way);
    *along = fit_dot(from, way) / length;
    return fit_length(fit_cross(from, way)) / length;
}

/// Against one straight of a round tube: the largest distance of the edge from its surface, or by
/// how much the tube behind the edge enters it.
static void hold_round(const struct judging *j, const struct fit_limb *l, double od,
                       struct nearest *best) {
    double length = fit_length(fit_plus(l->to, -1, l->from)), off = 0, in = 0, near = INFINITY;
    if (!(length > 0)) return;
    double back = fmin(j->s.back, FAR * od); // a line is within a cylinder for less, at any angle
    for (int i = 0; i < LINES; i++) {
        double along, away = off_axis(j->edge[i], l, &along);
        off = fmax(off, fabs(away - od / 2));
        near = fmin(near, fmax(-along, along - length));
        for (int k = 1; k * STEP < back; k++) {
            struct fit_vec p = fit_plus(j->edge[i], -k * STEP, j->s.out);
            in = fmax(in, od / 2 - off_axis(p, l, &along));
        }
    }
    const char *says = "";
    if (j->cut->saw > 0 && fabs(j->cut->saw - od) > ALLOWED)
        off = fmax(off, fabs(j->cut->saw - od)), says = ", sawn for another diameter";
    if (!(j->cut->saw > 0)) off = fmax(off, od), says = ", cut flat";
    if (in > ALLOWED) off = fmax(off, in), says = ", it runs into it";
    if (near > od) off = fmax(off, near), says = ", beyond its end";
    if (off < best->off) *best = (struct nearest){off, says};
}

/// Against a flat face: `f` its frame in the product, z out of the metal. `is_on`: whether the
/// middle of the cut lies within the face.
static void hold_face(const struct judging *j, const struct fit_frame *f, bool is_on,
                      struct nearest *best) {
    double off = 0;
    for (int i = 0; i < LINES; i++)
        off = fmax(off, fabs(fit_dot(fit_plus(j->edge[i], -1, f->zero), f->z)));
    const char *says = "";
    if (j->cut->saw > 0) off = fmax(off, j->cut->saw), says = ", cut as a saddle";
    if (fit_dot(j->s.out, f->z) > 0) off = fmax(off, j->s.radius), says = ", from behind";
    if (!is_on) off = fmax(off, j->s.radius), says = ", beside it";
    if (off < best->off) *best = (struct nearest){off, says};
}

/// Where the tube's middle line meets a face's plane, in the face's own two directions.
static bool meets(const struct judging *j, const struct fit_frame *f, double *u, double *v) {
    double steep = fit_dot(j->s.out, f->z);
    if (fabs(steep) < 1e-6) return false;
    double z = -fit_dot(fit_plus(j->s.at, -1, f->zero), f->z) / steep;
    struct fit_vec p = fit_plus(fit_plus(j->s.at, z, j->s.out), -1, f->zero);
    *u = fit_dot(p, f->x);
    *v = fit_dot(p, f->y);
    return true;
}

static struct fit_frame placed_frame(const struct fit_piece *p, struct fit_frame f, double mirror) {
    if (p->mirrored) {
        f.zero.x = mirror - f.zero.x;
        f.x.x = -f.x.x, f.y.x = -f.y.x, f.z.x = -f.z.x;
    }
    return (struct fit_frame){fit_placed(&p->place, f.zero), fit_pointing(&p->place, f.x),
                              fit_pointing(&p->place, f.y), fit_pointing(&p->place, f.z)};
}

static void hold_sheet(const struct judging *j, const struct fit_piece *p,
                       const struct fit_sheet *s, struct nearest *best) {
    for (int face = 0; face <= s->bend_count; face++)
        for (int under = 0; under < 2; under++) {
            struct fit_frame f = fit_face(s, face);
            if (under) f.zero = fit_plus(f.zero, -s->thickness, f.z);
            f = placed_frame(p, f, s->mirror);
            double u, v;
            bool on = meets(j, &f, &u, &v) && fit_on_face(s, face, u, v);
            if (under) f.z = (struct fit_vec){-f.z.x, -f.z.y, -f.z.z};
            hold_face(j, &f, on, best);
        }
}

/// A bar lies along x from zero, its section behind and above.
static void hold_bar(const struct judging *j, const struct fit_piece *p, const double size[3],
                     struct nearest *best) {
    struct fit_frame whole =
        placed_frame(p, (struct fit_frame){{0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, 0);
    for (int side = 0; side < 4; side++) {
        bool deep = side & 1, far = side & 2;
        struct fit_vec across = deep ? whole.y : whole.z, out = deep ? whole.z : whole.y;
        double wide = size[deep ? 1 : 2], thick = size[deep ? 2 : 1], u, v;
        struct fit_frame f = {fit_plus(whole.zero, far ? thick : 0, out), whole.x, across, out};
        bool on = meets(j, &f, &u, &v) && u >= 0 && u <= size[0] && v >= 0 && v <= wide;
        if (!far) f.z = (struct fit_vec){-out.x, -out.y, -out.z};
        hold_face(j, &f, on, best);
    }
}

static void hold_piece(const struct judging *j, const struct fit_piece *p,
                       const struct fit_shape *s, struct nearest *best) {
    if (s->kind == FIT_SHEET) hold_sheet(j, p, &s->sheet, best);
    if (s->kind == FIT_BAR) hold_bar(j, p, s->size, best);
    for (int i = 0; s->kind == FIT_ROUND && i < s->round.limb_count; i++) {
        struct fit_limb l = {fit_placed(&p->place, s->round.limbs[i].from),
                             fit_placed(&p->place, s->round.limbs[i].to)};
        hold_round(j, &l, s->round.od, best);
    }
}

// ------------------------------------------------------------------------------------- one end

static void stand(struct judging *j, const struct fit_round *t) {
    const struct fit_limb *l = &t->limbs[j->cut->end ? t->limb_count - 1 : 0];
    const struct fit_frame *place = &j->piece->place;
    struct fit_vec line = fit_pointing(place, t->line[j->cut->end]);
    j->s.at = fit_placed(place, j->cut->end ? l->to : l->from);
    j->s.out = fit_pointing(place, t->out[j->cut->end]);
    j->s.first = fit_turned(line, j->s.out, j->cut->turn);
    j->s.third = fit_cross(j->s.out, j->s.first);
    j->s.radius = t->od / 2;
    j->s.back = fit_length(fit_plus(l->to, -1, l->from)) / 2;
}

static void judge_piece(struct judging *j, const struct fit_kit *kit) {
    static const char *const ends[] = {"start", "end"};
    struct nearest best = {INFINITY, ""};
    if (!cut_edge(j)) {
        kw_fault(j->verdict, "tube %s: the saw for the %s of piece %s does not go all round",
                 j->label, ends[j->cut->end], j->piece->name);
        return;
    }
    for (int i = 0; i < kit->piece_count; i++) {
        const struct fit_piece *p = &kit->pieces[i];
        if (p == j->piece || strcmp(p->part, j->cut->onto) != 0) continue;
        for (int s = 0; s < kit->shape_count; s++)
            if (strcmp(kit->shapes[s].part, p->part) == 0) hold_piece(j, p, &kit->shapes[s], &best);
    }
    if (best.off <= ALLOWED) return;
    if (isinf(best.off))
        kw_fault(j->verdict, "tube %s: the %s of piece %s goes onto %s, which stands nowhere",
                 j->label, ends[j->cut->end], j->piece->name, j->cut->onto);
    else
        kw_fault(j->verdict, "tube %s: the %s of piece %s is off %s by %.2f mm%s", j->label,
                 ends[j->cut->end], j->piece->name, j->cut->onto, best.off, best.says);
}

static void read_cut(struct fit_reader *r, json_t *from, struct cut *c) {
    const char *end = fit_word(r, from, "end");
    if (strcmp(end, "start") != 0 && strcmp(end, "end") != 0) fit_refuse(r, "end: start or end");
    c->end = strcmp(end, "end") == 0;
    c->onto = fit_word(r, from, "onto");
    c->saw = fit_number(r, from, "saw", 0, 50000);
    c->angle = fit_number(r, from, "angle", 0, 180) * FIT_DEGREE;
    c->offset = fit_number(r, from, "offset", -50000, 50000);
    c->miter = fit_number(r, from, "miter", -89, 89) * FIT_DEGREE;
    c->turn = fit_number(r, from, "turn", -3600, 3600) * FIT_DEGREE;
}

static void judge_end(struct judging *j, json_t *from, const struct fit_round *t,
                      const struct fit_kit *kit, const char *part) {
    struct cut c;
    read_cut(j->r, from, &c);
    if (j->r->status != KW_OK) return;
    j->cut = &c;
    int pieces = 0;
    for (int i = 0; i < kit->piece_count; i++) {
        if (strcmp(kit->pieces[i].part, part) != 0) continue;
        j->piece = &kit->pieces[i];
        stand(j, t);
        judge_piece(j, kit);
        pieces++;
    }
    if (pieces == 0) kw_fault(j->verdict, "tube %s: no piece of it stands anywhere", j->label);
    j->verdict->looked_at++;
}

/// The stick's length is that of the straights and bends: of a bent tube its own judge holds that.
static void check_straight(struct judging *j, json_t *tube, const struct fit_round *t) {
    if (t->limb_count > 1) return;
    double said = fit_number(j->r, tube, "cut_length", 0, 50000);
    double is = fit_length(fit_plus(t->limbs[0].to, -1, t->limbs[0].from));
    if (fabs(said - is) > ALLOWED)
        kw_fault(j->verdict, "tube %s: sawn to %.2f mm, %.2f where it stands", j->label, said, is);
}

static void judge_tube(struct judging *j, json_t *tube, const struct fit_kit *kits, int kit_count) {
    json_t *fits = json_object_get(tube, "fits");
    if (!fits) return;
    j->label = j->r->where = fit_word(j->r, tube, "part");
    const char *name = fit_word(j->r, fits, "kit"), *part = fit_word(j->r, fits, "part");
    struct fit_round t;
    fit_read_round(j->r, tube, &t);
    json_t *ends = json_object_get(fits, "ends");
    if (json_array_size(ends) < 1 || json_array_size(ends) > 2)
        fit_refuse(j->r, "ends: one or two");
    if (j->r->status != KW_OK) return;
    check_straight(j, tube, &t);
    for (int k = 0; k < kit_count; k++) {
        if (strcmp(kits[k].name, name) != 0) continue;
        for (size_t i = 0; j->r->status == KW_OK && i < json_array_size(ends); i++)
            judge_end(j, json_array_get(ends, i), &t, &kits[k], part);
        return;
    }
    fit_refuse(j->r, "no assembly of its kit");
}

enum kw_status kw_judge_fits_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                  struct kw_error *err) {
    json_t *root = kw_run_json(run_json, length, err);
    if (!root) return KW_FORMAT;
    struct kw_arena scratch = {0};
    struct fit_reader r = {.arena = &scratch, .err = err, .where = "assemblies"};
    json_t *list = json_object_get(root, "assemblies"), *tubes = json_object_get(root, "tubes");
    int count = (int)json_array_size(list);
    struct fit_kit *kits = KW_NEW_ARRAY(&scratch, struct fit_kit, count + 1);
    for (int i = 0; r.status == KW_OK && i < count; i++)
        fit_read_kit(&r, json_array_get(list, (size_t)i), &kits[i]);
    struct judging *j = KW_NEW(&scratch, struct judging);
    *j = (struct judging){.verdict = verdict, .r = &r};
    for (size_t i = 0; r.status == KW_OK && i < json_array_size(tubes); i++)
        judge_tube(j, json_array_get(tubes, i), kits, count);
    json_decref(root);
    kw_arena_free(&scratch);
    if (r.status == KW_OK && verdict->fault_count > 0)
        return kw_fail(err, KW_JUDGE, (struct kw_place){.file = "run.json"}, "%s",
                       verdict->faults[0]);
    return r.status;
}

enum kw_status kw_judge_fits(const char *folder, struct kw_verdict *verdict, struct kw_error *err) {
    return kw_judge_folder(folder, kw_judge_fits_text, verdict, err);
}
