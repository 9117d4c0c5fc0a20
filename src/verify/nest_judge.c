// SPDX-License-Identifier: Apache-2.0
// The judge of nests. All that is decided on geometry is decided with a slack of SLACK_MM: chords
// within 0.001 mm inside the metal and the rounding to 1e-4 mm together move a distance by less
// than 0.0023 mm upwards and 0.0002 mm downwards. So a legal nest is never refused, and every
// violation of 0.0044 mm or more is found.
#include "verify/exact.h"
#include "verify/run_file.h"
#include "verify/verify.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SLACK_MM 0.002
#define FARTHEST 530000000 // units: beyond, a placement is off every sheet and squares overflow

/// A placed blank and the name that faults call it by.
struct placed {
    const struct kw_run_placement *placement;
    int blank; ///< -1: not known
    struct body body;
    const char *name; ///< "part#copy"
};

/// The judging of one run.
struct judging {
    const struct kw_run_file *run;
    struct kw_verdict *verdict;
    struct kw_arena *a;  ///< scratch
    long *copies_placed; ///< by blank, times counted
};

static int64_t units(double mm) {
    return llround(mm * UNITS_PER_MM);
}
static double mm(double in_units) {
    return in_units / UNITS_PER_MM;
}

// ------------------------------------------------------------------------- names, counts, copies

static void judge_blanks(struct judging *j) {
    const struct kw_run_file *run = j->run;
    for (int i = 0; i < run->blank_count; i++) {
        const struct kw_run_blank *b = &run->blanks[i];
        for (int k = 0; k < i; k++) {
            const struct kw_run_blank *c = &run->blanks[k];
            if (strcmp(b->part, c->part) == 0 && strcmp(b->hand, c->hand) == 0) {
                kw_fault(j->verdict, "blank %s is listed twice", b->part);
            }
        }
    }
}

static const char *place_name(struct judging *j, const struct kw_run_placement *p) {
    return kw_format(j->a, "%s%s%s#%d", p->part, *p->hand ? " " : "", p->hand, p->copy);
}

static void judge_identity(struct judging *j, const struct kw_run_sheet *s,
                           const struct placed *p) {
    const struct kw_run_placement *at = p->placement;
    if (p->blank == -1) {
        kw_fault(j->verdict, "sheet %s: %s is not a part of this run", s->id, p->name);
        return;
    }
    if (p->blank == -2) {
        kw_fault(j->verdict, "sheet %s: %s comes in several hands and names none", s->id, p->name);
        return;
    }
    const struct kw_run_blank *b = &j->run->blanks[p->blank];
    if (at->copy > b->count) {
        kw_fault(j->verdict, "sheet %s: %s: only %d copies are wanted", s->id, p->name, b->count);
    }
    if (at->mirrored && b->good_side) {
        kw_fault(j->verdict, "sheet %s: %s lies turned over, but has a good side", s->id, p->name);
    }
    if (strcmp(b->material, s->material) != 0 || !(fabs(b->thickness - s->thickness) <= 1e-6)) {
        kw_fault(j->verdict, "sheet %s: %s is of %s %.4g mm, the sheet of %s %.4g mm", s->id,
                 p->name, b->material, b->thickness, s->material, s->thickness);
    }
}

static int by_name(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static void judge_copies_once(struct judging *j) {
    int n = 0;
    for (int i = 0; i < j->run->sheet_count; i++)
        n += j->run->sheets[i].placement_count;
    const char **names = KW_NEW_ARRAY(j->a, const char *, n + 1);
    n = 0;
    for (int i = 0; i < j->run->sheet_count; i++) {
        const struct kw_run_sheet *s = &j->run->sheets[i];
        for (int k = 0; k < s->placement_count; k++)
            names[n++] = place_name(j, &s->placements[k]);
    }
    qsort(names, (size_t)n, sizeof *names, by_name);
    for (int i = 1; i < n; i++) {
        bool again = strcmp(names[i], names[i - 1]) == 0;
        if (again) kw_fault(j->verdict, "%s is placed more than once", names[i]);
    }
}

/// Whether a left_out entry speaks of a blank: by KIT/PART, by kit and part, or by the kit alone.
static bool leaves_out(const struct kw_run_left_out *l, const struct kw_run_blank *b) {
    if (*l->hand && strcmp(l->hand, b->hand) != 0) return false;
    if (*l->part && strcmp(l->part, b->part) == 0) return true;
    size_t n = strlen(l->kit);
    if (n == 0 || strncmp(b->part, l->kit, n) != 0 || b->part[n] != '/') return false;
    const char *name = b->part + n + 1;
    size_t m = strlen(l->part); // both hands of a part may be named at once: "side" for "side left"
    return m == 0 || (strncmp(l->part, name, m) == 0 && (name[m] == 0 || name[m] == ' '));
}

static void judge_counts(struct judging *j) {
    for (int i = 0; i < j->run->blank_count; i++) {
        const struct kw_run_blank *b = &j->run->blanks[i];
        long left_out = 0;
        bool whole_kit = false;
        for (int k = 0; k < j->run->left_out_count; k++) {
            const struct kw_run_left_out *l = &j->run->left_out[k];
            if (!leaves_out(l, b)) continue;
            left_out += l->count;
            whole_kit = whole_kit || *l->part == 0; // its count is of kits, not of parts
        }
        long placed = j->copies_placed[i];
        if (placed > b->count) {
            kw_fault(j->verdict, "%s: %ld placed, only %d wanted", b->part, placed, b->count);
        } else if (placed + left_out < b->count && !whole_kit) {
            kw_fault(j->verdict, "%s: %d wanted, %ld placed and %ld named as left out", b->part,
                     b->count, placed, left_out);
        }
    }
}

// ----------------------------------------------------------------------------------- geometry

static bool within_reach(const struct body *b) {
    return b->box.min.x > -FARTHEST && b->box.min.y > -FARTHEST && b->box.max.x < FARTHEST &&
           b->box.max.y < FARTHEST;
}

static bool one_inside_other(const struct body *a, const struct body *b) {
    return body_holds(a, b->rings[0].v[0]) > 0 || body_holds(b, a->rings[0].v[0]) > 0;
}

static double overlap_depth(const struct body *a, const struct body *b, struct point *at) {
    struct kw_arena scratch = {0};
    struct point other = *at;
    double p = intrusion(&scratch, a, b, false, at);
    double q = intrusion(&scratch, b, a, false, &other);
    if (q > p) *at = other;
    kw_arena_free(&scratch);
    return fmax(p, q);
}

static int by_size(const void *a, const void *b) {
    double p = *(const double *)a, q = *(const double *)b;
    return (p > q) - (p < q);
}

/// Where a level line crosses a body, from left to right.
static int crossings(const struct body *b, double y, double *x) {
    int n = 0;
    for (int r = 0; r < b->ring_count; r++) {
        for (int i = 0; i < b->rings[r].count; i++) {
            struct point p = b->rings[r].v[i], q = b->rings[r].v[(i + 1) % b->rings[r].count];
            if (((double)p.y > y) == ((double)q.y > y)) continue;
            double part = (y - (double)p.y) / ((double)q.y - (double)p.y);
            x[n++] = (double)p.x + part * ((double)q.x - (double)p.x);
        }
    }
    qsort(x, (size_t)n, sizeof *x, by_size);
    return n;
}

/// A point well within: the middle of the longest stretch of a few level lines.
static struct point middle_of(struct kw_arena *a, const struct body *b) {
    int count = 1;
    struct point best = {0};
    double longest = -1;
    for (int r = 0; r < b->ring_count; r++)
        count += b->rings[r].count;
    double *x = KW_NEW_ARRAY(a, double, count);
    for (int k = 1; k < 10; k++) {
        double low = (double)b->box.min.y, y = low + k / 10.0 * ((double)b->box.max.y - low);
        int n = crossings(b, y, x);
        for (int i = 0; i + 1 < n; i += 2) {
            if (!(x[i + 1] - x[i] > longest)) continue;
            longest = x[i + 1] - x[i];
            best = (struct point){llround((x[i] + x[i + 1]) / 2), llround(y)};
        }
    }
    return best;
}

/// Whether one lies on the other so nearly that no border is deep in the other: then their middles
/// are in both. Two pieces that only fill each other's hollows may well have one box.
static bool share_middle(const struct body *a, const struct body *b) {
    struct kw_arena scratch = {0};
    bool share = body_holds(b, middle_of(&scratch, a)) > 0;
    share = share && body_holds(a, middle_of(&scratch, b)) > 0;
    kw_arena_free(&scratch);
    return share;
}

/// Two outlines of a sheet. Where the spacing is no more than the slack, touching is legal and only
/// the depth of an overlap counts.
static void judge_pair(struct judging *j, const struct kw_run_sheet *s, const char *name,
                       const struct body *a, const char *other, const struct body *b) {
    struct nearest near = {0};
    struct point at = {0};
    int64_t limit = units(s->spacing - SLACK_MM);
    bool near_enough = limit > 0 && bodies_nearer(a, b, limit, &near);
    if (limit > 0 && !near_enough && !one_inside_other(a, b)) return;
    if (near_enough && near.distance > 0 && !one_inside_other(a, b)) {
        kw_fault(j->verdict,
                 "sheet %s: %s and %s are %.3f mm apart at (%.1f, %.1f), spacing %.3f mm", s->id,
                 name, other, mm(near.distance), mm((double)near.at.x), mm((double)near.at.y),
                 s->spacing);
        return;
    }
    double depth = overlap_depth(a, b, &at);
    if (limit <= 0 && !(mm(depth) > SLACK_MM) && !share_middle(a, b)) return;
    kw_fault(j->verdict, "sheet %s: %s and %s overlap by %.3f mm at (%.1f, %.1f)", s->id, name,
             other, mm(depth), mm((double)at.x), mm((double)at.y));
}

static void judge_margin(struct judging *j, const struct kw_run_sheet *s, const struct body *sheet,
                         const char *name, const struct body *b) {
    struct nearest near = {0};
    int64_t limit = units(s->margin - SLACK_MM);
    bool close = limit > 0 && bodies_nearer(b, sheet, limit, &near);
    bool inside = body_holds(sheet, b->rings[0].v[0]) >= 0;
    if (inside && close && near.distance > 0) {
        kw_fault(j->verdict,
                 "sheet %s: %s is %.3f mm from the edge at (%.1f, %.1f), margin %.3f mm", s->id,
                 name, mm(near.distance), mm((double)near.at.x), mm((double)near.at.y), s->margin);
        return;
    }
    if (inside && limit > 0 && !close) return;
    struct kw_arena scratch = {0};
    struct point at = {0}, other = {0};
    double out = intrusion(&scratch, b, sheet, true, &at);
    double in = intrusion(&scratch, sheet, b, false, &other); // a corner of the sheet in the part
    kw_arena_free(&scratch);
    if (in > out) at = other;
    double depth = fmax(in, out);
    if (limit <= 0 && !(mm(depth) > SLACK_MM)) return;
    kw_fault(j->verdict, "sheet %s: %s is outside the sheet by %.3f mm at (%.1f, %.1f)", s->id,
             name, mm(depth), mm((double)at.x), mm((double)at.y));
}

static int by_left(const void *a, const void *b) {
    const struct placed *p = a, *q = b;
    if (p->body.box.min.x != q->body.box.min.x) {
        return p->body.box.min.x < q->body.box.min.x ? -1 : 1;
    }
    return (p->placement > q->placement) - (p->placement < q->placement); // one array: by index
}

/// Pairs whose boxes are nearer than the spacing, swept from left to right.
static void judge_pairs(struct judging *j, const struct kw_run_sheet *s, const struct placed *v,
                        int count) {
    int64_t reach = units(s->spacing);
    for (int i = 0; i < count; i++) {
        for (int k = i + 1; k < count; k++) {
            struct box p = v[i].body.box, q = v[k].body.box;
            if (q.min.x > p.max.x + reach) break;
            if (q.min.y > p.max.y + reach || p.min.y > q.max.y + reach) continue;
            judge_pair(j, s, v[i].name, &v[i].body, v[k].name, &v[k].body);
        }
    }
}

/// A drop that is promised to the rack must be sheet, and free.
static void judge_drops(struct judging *j, const struct kw_run_sheet *s, const struct body *sheet,
                        const struct placed *v, int count) {
    struct kw_run_sheet bare = *s; // a drop's edge is a cut of its own: no spacing, no margin
    bare.spacing = bare.margin = 0;
    for (int d = 0; d < s->drop_count; d++) {
        struct placing here = placing_make(0, 0, 0, false);
        struct body drop = body_make(j->a, &s->drops[d], NULL, 0, here, CHORDS_IN_METAL);
        const char *name = kw_format(j->a, "drop %d", d + 1);
        if (drop.rings[0].count < 3 || !within_reach(&drop)) {
            kw_fault(j->verdict, "sheet %s: %s is no outline", s->id, name);
            continue;
        }
        judge_margin(j, &bare, sheet, name, &drop);
        for (int i = 0; i < count; i++) {
            struct box p = drop.box, q = v[i].body.box;
            bool apart =
                q.min.x > p.max.x || p.min.x > q.max.x || q.min.y > p.max.y || p.min.y > q.max.y;
            if (!apart) judge_pair(j, &bare, v[i].name, &v[i].body, name, &drop);
        }
    }
}

/// Outlines that lie on the sheet and are not judged themselves keep their distance.
static void judge_beside(struct judging *j, const struct kw_run_sheet *s, const struct placed *v,
                         int count, const struct kw_run_outline *others, int other_count,
                         const char *what) {
    int64_t reach = units(s->spacing);
    for (int t = 0; t < other_count; t++) {
        struct placing here = placing_make(0, 0, 0, false);
        struct body b = body_make(j->a, &others[t], NULL, 0, here, CHORDS_IN_METAL);
        const char *name = kw_format(j->a, "%s (%d)", what, t + 1);
        if (b.rings[0].count < 3 || !within_reach(&b)) {
            kw_fault(j->verdict, "sheet %s: %s is no outline", s->id, name);
            continue;
        }
        for (int i = 0; i < count; i++) {
            struct box p = b.box, q = v[i].body.box;
            bool apart = q.min.x > p.max.x + reach || p.min.x > q.max.x + reach ||
                         q.min.y > p.max.y + reach || p.min.y > q.max.y + reach;
            if (!apart) judge_pair(j, s, v[i].name, &v[i].body, name, &b);
        }
    }
}

/// What an earlier run placed is off by the spacing, clamps and spoiled places by the margin.
static void judge_others(struct judging *j, const struct kw_run_sheet *s, const struct placed *v,
                         int count) {
    judge_beside(j, s, v, count, s->taken, s->taken_count, "what lies there");
    struct kw_run_sheet edged = *s;
    edged.spacing = s->margin;
    judge_beside(j, &edged, v, count, s->keep_out, s->keep_out_count, "a place to keep out of");
}

static void judge_sheet(struct judging *j, const struct kw_run_sheet *s) {
    struct placing here = placing_make(0, 0, 0, false);
    struct body sheet = body_make(j->a, &s->outline, NULL, 0, here, CHORDS_AROUND_METAL);
    if (sheet.rings[0].count < 3) {
        kw_fault(j->verdict, "sheet %s has no area", s->id);
        return;
    }
    struct placed *v = KW_NEW_ARRAY(j->a, struct placed, s->placement_count + 1);
    int count = 0;
    for (int i = 0; i < s->placement_count; i++) {
        const struct kw_run_placement *at = &s->placements[i];
        struct placed p = {.placement = at, .name = place_name(j, at)};
        p.blank = kw_run_find_blank(j->run, at->part, at->hand);
        j->verdict->looked_at++;
        judge_identity(j, s, &p);
        if (p.blank < 0) continue;
        j->copies_placed[p.blank] += s->times;
        const struct kw_run_blank *b = &j->run->blanks[p.blank];
        struct placing where = placing_make(at->x, at->y, at->rotation, at->mirrored);
        p.body = body_make(j->a, &b->outer, b->holes, b->hole_count, where, CHORDS_IN_METAL);
        if (p.body.rings[0].count < 3) {
            kw_fault(j->verdict, "sheet %s: %s has no area", s->id, p.name);
        } else if (!within_reach(&p.body)) {
            kw_fault(j->verdict, "sheet %s: %s is outside the sheet, beyond 53 m", s->id, p.name);
        } else {
            judge_margin(j, s, &sheet, p.name, &p.body);
            v[count++] = p;
        }
    }
    qsort(v, (size_t)count, sizeof *v, by_left);
    judge_pairs(j, s, v, count);
    judge_drops(j, s, &sheet, v, count);
    judge_others(j, s, v, count);
}

static void judge_sheet_names(struct judging *j) {
    for (int i = 0; i < j->run->sheet_count; i++) {
        for (int k = 0; k < i; k++) {
            const char *id = j->run->sheets[i].id;
            bool again = strcmp(id, j->run->sheets[k].id) == 0;
            if (again) kw_fault(j->verdict, "sheet %s is listed twice", id);
        }
    }
}

// -------------------------------------------------------------------------------------- in whole

static enum kw_status judge(struct kw_arena *a, const struct kw_run_file *run,
                            struct kw_verdict *verdict, struct kw_error *err) {
    struct judging j = {run, verdict, a, KW_NEW_ARRAY(a, long, run->blank_count + 1)};
    judge_blanks(&j);
    judge_sheet_names(&j);
    for (int i = 0; i < run->sheet_count; i++) {
        struct kw_arena one_sheet = {0};
        j.a = &one_sheet;
        judge_sheet(&j, &run->sheets[i]);
        kw_arena_free(&one_sheet);
    }
    j.a = a;
    judge_copies_once(&j);
    judge_counts(&j);
    if (verdict->fault_count == 0) return KW_OK;
    return kw_fail(err, KW_JUDGE, (struct kw_place){.file = "run.json"}, "%d faults: %s",
                   verdict->fault_count, verdict->faults[0]);
}

enum kw_status kw_judge_nests_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                   struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_run_file run;
    enum kw_status s = kw_run_file_text(&scratch, run_json, length, &run, err);
    if (s == KW_OK) s = judge(&scratch, &run, verdict, err);
    kw_arena_free(&scratch);
    return s;
}

enum kw_status kw_judge_nests(const char *folder, struct kw_verdict *verdict,
                              struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_run_file run;
    enum kw_status s = kw_run_file_read(&scratch, folder, &run, err);
    if (s == KW_OK) s = judge(&scratch, &run, verdict, err);
    kw_arena_free(&scratch);
    return s;
}
