// SPDX-License-Identifier: Apache-2.0
// The judge of saw lists. What is wanted and what stands on the rack is in run.json's `saws`, the
// sticks as they are cut in `sticks`; lengths are counted anew as whole 1e-6 mm.
#include "verify/run_file.h"
#include "verify/verify.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_MM    1e6
#define MOST_COUNT 1000000
#define SLACK      2000 // 1e-6 mm: what rounding of the written lengths may add up to on a stick

/// The reading under way. The first wrong key ends it.
struct stick_reader {
    struct kw_verdict *verdict;
    struct kw_error *err;
    enum kw_status status;
};

static void refuse(struct stick_reader *r, const char *where, const char *key, const char *want) {
    if (r->status == KW_OK)
        r->status = kw_fail(r->err, KW_FORMAT, (struct kw_place){.file = "run.json"},
                            "%s.%s: expected %s", where, key, want);
}

static int64_t micro(struct stick_reader *r, json_t *o, const char *where, const char *key) {
    json_t *v = json_object_get(o, key);
    double x = json_is_number(v) ? json_number_value(v) : NAN;
    if (x >= 0 && x <= MOST_MM) return llround(x * 1e6);
    refuse(r, where, key, "a length of 0 or more");
    return 0;
}

static int count_of(struct stick_reader *r, json_t *o, const char *where, const char *key) {
    json_t *v = json_object_get(o, key);
    json_int_t x = json_is_integer(v) ? json_integer_value(v) : -1;
    if (x >= 0 && x <= MOST_COUNT) return (int)x;
    refuse(r, where, key, "a count");
    return 0;
}

static const char *text_of(struct stick_reader *r, json_t *o, const char *where, const char *key) {
    json_t *v = json_object_get(o, key);
    if (json_is_string(v)) return json_string_value(v);
    refuse(r, where, key, "a text");
    return "";
}

static json_t *list_of(struct stick_reader *r, json_t *o, const char *where, const char *key) {
    json_t *v = json_object_get(o, key);
    if (json_is_array(v)) return v;
    refuse(r, where, key, "a list");
    return NULL;
}

// ------------------------------------------------------------------------------------- one stick

#define DEGREE (3.14159265358979323846 / 180)

static double lean_of(json_t *piece, size_t end) {
    return json_number_value(json_array_get(json_object_get(piece, "leans"), end)) * DEGREE;
}

/// What the cuts of a piece take along the stick: one behind it, and one before it where that end
/// leans. A cut across at an angle is longer along the stick by 1/cos.
static int64_t cuts_of(json_t *piece, int64_t kerf) {
    double left = lean_of(piece, 0), right = lean_of(piece, 1);
    double cuts = (double)kerf / cos(right) + (left != 0 ? (double)kerf / cos(left) : 0);
    return llround(cuts);
}

/// A shared cut: the two ends are parallel, so they lean opposite ways.
static void judge_shared(struct stick_reader *r, json_t *pieces, const char *where) {
    size_t i;
    json_t *piece;
    double before = 0;
    json_array_foreach(pieces, i, piece) {
        if (json_is_true(json_object_get(piece, "shared")) &&
            fabs(before + lean_of(piece, 0)) > 1e-6)
            kw_fault(r->verdict,
                     "%s: piece %zu is to share a cut with the one before it, and the "
                     "two ends are not parallel",
                     where, i + 1);
        before = lean_of(piece, 1);
    }
}

/// The rule: trim, then each piece with a saw cut behind it, and at least what the vise must hold;
/// where that is 0, the last cut may run out of the end.
static void judge_fit(struct stick_reader *r, json_t *stick, const char *where) {
    int64_t length = micro(r, stick, where, "length"), kerf = micro(r, stick, where, "kerf");
    int64_t trim = micro(r, stick, where, "trim"), hold = micro(r, stick, where, "hold");
    int64_t left = length - trim, said = micro(r, stick, where, "leftover");
    json_t *pieces = list_of(r, stick, where, "pieces"), *piece;
    size_t i;
    json_array_foreach(pieces, i, piece) left -=
        micro(r, piece, where, "length") + cuts_of(piece, kerf);
    judge_shared(r, pieces, where);
    if (r->status != KW_OK) return;
    if (json_array_size(pieces) == 0) kw_fault(r->verdict, "%s: nothing is cut from it", where);
    int64_t short_by = (hold > 0 ? hold : -kerf) - left;
    if (short_by > SLACK)
        kw_fault(r->verdict,
                 "%s: its pieces, cuts, trim and what the vise holds are %.3f mm longer "
                 "than it",
                 where, (double)short_by * 1e-6);
    int64_t off = said - (left > 0 ? left : 0);
    if (off > SLACK || off < -SLACK)
        kw_fault(r->verdict, "%s: a remainder of %.3f mm is said, %.3f mm is left", where,
                 (double)said * 1e-6, (double)(left > 0 ? left : 0) * 1e-6);
}

// ------------------------------------------------------------------------- what is wanted, the
// rack

/// How often `part` is cut at this length from sticks of this stock.
static int cut_count(struct stick_reader *r, json_t *sticks, const char *stock, const char *part,
                     int64_t length, int *other_lengths) {
    int count = 0;
    size_t i, k;
    json_t *stick, *piece;
    *other_lengths = 0;
    json_array_foreach(sticks, i, stick) {
        if (strcmp(text_of(r, stick, "sticks", "stock"), stock) != 0) continue;
        int times = count_of(r, stick, "sticks", "times");
        json_array_foreach(json_object_get(stick, "pieces"), k, piece) {
            if (strcmp(text_of(r, piece, "sticks.pieces", "part"), part) != 0) continue;
            int64_t off = micro(r, piece, "sticks.pieces", "length") - length;
            if (off >= -1 && off <= 1)
                count += times;
            else
                *other_lengths += times;
        }
    }
    return count;
}

static int left_out(json_t *root, const char *part) {
    int count = 0;
    size_t i;
    json_t *one;
    json_array_foreach(json_object_get(root, "left_out"), i, one) {
        const char *kit = json_string_value(json_object_get(one, "kit"));
        const char *name = json_string_value(json_object_get(one, "part"));
        size_t n = kit ? strlen(kit) : 0;
        bool long_name = name && strcmp(name, part) == 0;
        bool short_name = name && strncmp(kit ? kit : "", part, n) == 0 && part[n] == '/' &&
                          strncmp(part + n + 1, name, strlen(name)) == 0 &&
                          (part[n + 1 + strlen(name)] == 0 || part[n + 1 + strlen(name)] == ' ');
        if (long_name || short_name)
            count += (int)json_integer_value(json_object_get(one, "count"));
    }
    return count;
}

static void judge_wanted(struct stick_reader *r, json_t *root, json_t *saw, const char *stock) {
    size_t i;
    json_t *want;
    json_array_foreach(list_of(r, saw, "saws", "wanted"), i, want) {
        const char *part = text_of(r, want, "saws.wanted", "part");
        int64_t length = micro(r, want, "saws.wanted", "length");
        int wanted = count_of(r, want, "saws.wanted", "count"), other;
        int cut = cut_count(r, json_object_get(root, "sticks"), stock, part, length, &other);
        if (other > 0)
            kw_fault(r->verdict, "%s: %s is cut %d times at another length than %.3f mm", stock,
                     part, other, (double)length * 1e-6);
        if (cut > wanted)
            kw_fault(r->verdict, "%s: %s is wanted %d times and cut %d times", stock, part, wanted,
                     cut);
        if (cut + left_out(root, part) < wanted)
            kw_fault(r->verdict, "%s: %s is wanted %d times, cut %d times, and left out %d times",
                     stock, part, wanted, cut, left_out(root, part));
    }
}

static void judge_rack(struct stick_reader *r, json_t *root, json_t *saw, const char *stock) {
    size_t i, k;
    json_t *rack, *stick;
    json_t *racks = list_of(r, saw, "saws", "racks"), *sticks = json_object_get(root, "sticks");
    json_array_foreach(racks, i, rack) {
        int64_t length = micro(r, rack, "saws.racks", "length");
        bool few = json_object_get(rack, "count") != NULL;
        int have = few ? count_of(r, rack, "saws.racks", "count") : MOST_COUNT, used = 0;
        json_array_foreach(sticks, k, stick) {
            if (strcmp(text_of(r, stick, "sticks", "stock"), stock) == 0 &&
                json_integer_value(json_object_get(stick, "rack")) == (json_int_t)i + 1) {
                used += count_of(r, stick, "sticks", "times");
                if (micro(r, stick, "sticks", "length") != length)
                    kw_fault(r->verdict, "%s: a stick of rack place %zu is not as long as that",
                             stock, i + 1);
            }
        }
        if (used > have)
            kw_fault(r->verdict, "%s: %d sticks of %.3f mm are cut and there are %d", stock, used,
                     (double)length * 1e-6, have);
    }
}

static double money_of(struct stick_reader *r, json_t *o, const char *where, const char *key) {
    char *end;
    const char *s = text_of(r, o, where, key);
    double x = strtod(s, &end);
    if (end == s || *end || !(x >= 0 && x <= 1e9)) refuse(r, where, key, "an amount of money");
    return x;
}

/// What is said of leftovers: those as long as `keep` are worth their part of the stick's price.
/// Amounts are written to cents, so that each stick's price may be half a cent off.
static void judge_kept(struct stick_reader *r, json_t *root, json_t *saw, const char *stock) {
    if (!json_object_get(saw, "kept_worth")) return;
    int64_t keep = micro(r, saw, "saws", "keep");
    double share = json_number_value(json_object_get(saw, "keep_worth")), sum = 0, slack = 0.006;
    double said = money_of(r, saw, "saws", "kept_worth");
    size_t i;
    json_t *stick, *racks = json_object_get(saw, "racks");
    json_array_foreach(json_object_get(root, "sticks"), i, stick) {
        if (strcmp(text_of(r, stick, "sticks", "stock"), stock) != 0) continue;
        int64_t left = micro(r, stick, "sticks", "leftover");
        json_int_t rack = json_integer_value(json_object_get(stick, "rack"));
        json_t *of = rack > 0 ? json_array_get(racks, (size_t)rack - 1) : NULL;
        int times = count_of(r, stick, "sticks", "times");
        if (!of || keep == 0 || left < keep - SLACK) continue;
        double part = (double)left / (double)micro(r, stick, "sticks", "length");
        sum += times * part * share * money_of(r, of, "saws.racks", "price");
        slack += times * part * share * 0.005;
    }
    if (!(fabs(sum - said) <= slack))
        kw_fault(r->verdict, "%s: leftovers are said to be worth %.2f, they are worth %.2f", stock,
                 said, sum);
}

/// Every stick is of a known stock and rack place, every piece is wanted there.
static void judge_names(struct stick_reader *r, json_t *saws, json_t *stick, const char *where) {
    const char *stock = text_of(r, stick, where, "stock");
    json_t *saw = NULL, *one, *piece, *want;
    size_t i, k;
    json_array_foreach(saws, i, one) {
        if (strcmp(text_of(r, one, "saws", "stock"), stock) == 0) saw = one;
    }
    if (count_of(r, stick, where, "times") == 0) kw_fault(r->verdict, "%s: cut no times", where);
    size_t racks = json_array_size(json_object_get(saw, "racks"));
    int rack = count_of(r, stick, where, "rack");
    if (rack < 1 || (size_t)rack > racks)
        kw_fault(r->verdict, "%s: %s has no rack place %d", where, stock, rack);
    json_array_foreach(json_object_get(stick, "pieces"), i, piece) {
        const char *part = text_of(r, piece, where, "part");
        bool known = false;
        json_array_foreach(json_object_get(saw, "wanted"), k, want) known =
            known || strcmp(text_of(r, want, "saws.wanted", "part"), part) == 0;
        if (!known) kw_fault(r->verdict, "%s: nobody wants %s of %s", where, part, stock);
    }
}

static enum kw_status judge(struct stick_reader *r, json_t *root) {
    json_t *sticks = list_of(r, root, "run.json", "sticks");
    json_t *saws = list_of(r, root, "run.json", "saws"), *one;
    size_t i;
    json_array_foreach(sticks, i, one) {
        const char *where = kw_format(r->verdict->arena, "sticks[%zu]", i);
        judge_fit(r, one, where);
        judge_names(r, saws, one, where);
        r->verdict->looked_at++;
    }
    json_array_foreach(saws, i, one) {
        const char *stock = text_of(r, one, "saws", "stock");
        judge_wanted(r, root, one, stock);
        judge_rack(r, root, one, stock);
        judge_kept(r, root, one, stock);
        r->verdict->looked_at++;
    }
    if (r->status != KW_OK || r->verdict->fault_count == 0) return r->status;
    return kw_fail(r->err, KW_JUDGE, (struct kw_place){.file = "run.json"}, "%s",
                   r->verdict->faults[0]);
}

enum kw_status kw_judge_sticks_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                    struct kw_error *err) {
    json_t *root = kw_run_json(run_json, length, err);
    if (!root) return KW_FORMAT;
    struct stick_reader r = {verdict, err, KW_OK};
    enum kw_status s = judge(&r, root);
    json_decref(root);
    return s;
}

enum kw_status kw_judge_sticks(const char *folder, struct kw_verdict *verdict,
                               struct kw_error *err) {
    return kw_judge_folder(folder, kw_judge_sticks_text, verdict, err);
}
