// SPDX-License-Identifier: Apache-2.0
// check: the table of rules, and the findings it gives for a kit on this shop's machines. One row a
// rule: id, what it says, formula, source, default limit, level. The shop may override a limit by
// id (`rules:` in shop.yaml). What a later engine finds out (brake, tube, cut, nest) uses the same
// table.
#pragma once

#include "base/base.h"
#include "brake/brake.h"
#include "carton/carton.h"
#include "kit/kit.h"
#include "shape/assembly.h"
#include "shape/shape.h"
#include "shop/shop.h"
#include "tube/tube.h"

struct kw_rule {
    const char *id;      ///< "hole-small", "leg-short", ...
    enum kw_level level; ///< of a breach
    double limit;        ///< default; what it multiplies stands in `formula`
    const char *unit;    ///< of measured and limit in a finding
    const char *formula; ///< "least hole = the largest of 1.5 t, 3 kerfs, 3/16 in"
    const char *says;    ///< the rule in plain words
    const char *fix;     ///< the usual remedy
    const char *source;  ///< standard, handbook, or "common practice, no source"
    bool own;            ///< true: the shop may put a limit of its own; false: an engine's, or none
};
extern const struct kw_rule kw_rules[];              ///< ended by a row without id
const struct kw_rule *kw_rule_named(const char *id); ///< our bug when there is none
/// The shop's limit, or the rule's own. Only rules with `own` can be given another; one for any
/// other rule, or for none, is told as "rule-override".
double kw_rule_limit(const struct kw_shop *shop, const char *id);
/// The reference page docs/rules.md.
void kw_rules_page(struct kw_text *out);

/// A finding by rule id with level, unit and fix from the table; kit and part may be NULL.
struct kw_finding kw_rule_finding(const char *id, const struct kw_kit *kit,
                                  const struct kw_part *part, struct kw_place where);

/// When a dimple is flared: in the flat blank unless it would run into the brake's tools, then once
/// all is bent unless the part no longer goes into the shop press, then between two strokes.
enum kw_flare_at { KW_FLARE_LAST = -2, KW_FLARE_FLAT = -1 };

/// One part as examined: what run, quote and the papers need of it. Lives in the arena.
struct kw_examined {
    const struct kw_kit *kit;
    const struct kw_part *part;
    struct kw_body *body;        ///< sheet parts, NULL when it has none or can't be made
    struct kw_brake_plan *brake; ///< sheet parts with bends, NULL else
    int *flare_at; ///< of each of the body's dimples: enum kw_flare_at, or the bend after whose
                   ///< stroke it is flared; NULL: all in the flat blank
    struct kw_tube_table *tube; ///< bent and straight tube and bar, NULL else
    struct kw_tube_mark *marks; ///< of the tube's bends
    struct kw_tube_trims trims;
    struct kw_tube_end ends[2]; ///< cuts of tube and bar, start and end as the kit file has them
    bool from_end; ///< the bender starts at the end that is written last: `tube` runs from there
    double mass;   ///< kg of one finished piece
    double cut_length;                  ///< tube and bar: mm on the saw, trims included
    struct kw_box3 box;                 ///< of the finished piece, own frame
    bool has_grain;                     ///< sheet parts: it must lie with `grain` along the sheet's
    double grain;                       ///< rad from +x of the blank frame
    bool makeable;                      ///< no `stop` on it (found here; run may find more)
    const struct kw_assembly *assembly; ///< of its kit, NULL when the kit file says nothing of it
};

/// Examines every part of a kit: builds bodies, runs brake and tube engines, applies the rules, and
/// marks signed risks: a risk of a rule and part that the kit file signs, with the part's present
/// code, gets signed_by "name, date: reason"; with another code it stays unsigned and the note
/// "signed-for-older-form" says so; a signature for what is no risk gets "signed-not-needed". One
/// signature holds for all findings of its rule in its part. Findings in `findings`; one
/// kw_examined a part in `out` (kit order).
/// The kit's joints are worked out first: tabs and slots of its parts are filled in.
void kw_check_kit(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *kit,
                  struct kw_findings *findings, struct kw_examined **out, int *count);

/// kw_check_kit for a look while somebody types: the same findings, but any bend order without a
/// flaw will do (see kw_check_findings), so that the brake plans are not to be printed.
void kw_check_kit_look(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *kit,
                       struct kw_findings *findings, struct kw_examined **out, int *count);

/// Up to so many kits at a time, remedies are tried for parts that can't be bent (20 ms each); of
/// more, their findings say that the kit is to be checked by itself.
#define KW_CHECK_MOST_TRIED 20
/// The findings of kw_check_kit alone, for several kits in their order, on up to `threads` threads
/// (which make no difference). Several times faster: any bend order without a flaw will do. Returns
/// the number of parts.
int kw_check_findings(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *const *kits,
                      int count, int threads, struct kw_findings *findings);

/// How much longer a hole's edge becomes in a dimple die, as a part of its length: a flat ring from
/// the pre-hole to the flare is folded to a cone of the die's height.
double kw_check_flare_stretch(const struct kw_dimple_die *die);

/// A dimple that is flared in the bent part: by the brake's face, in the blank.
struct kw_check_flare {
    int face;
    struct kw_vec2 at;
    double clear; ///< mm, diameter that lies on the die
    int after;    ///< strokes made before
};
/// How many strokes are made before a dimple is flared: 0, all, or some.
int kw_check_flared_after(const struct kw_examined *what, int dimple);

/// What the brake's plan of a part was made of, and the plan with its bends numbered as in `part`:
/// for its judge. False when the part has no brake plan.
struct kw_check_brake {
    struct kw_brake_part part;
    struct kw_brake_material material;
    struct kw_brake_shop shop;
    struct kw_brake_plan plan;
    const double (*finished)[3]; ///< the first point of each face's outline on the finished part,
                                 ///< bottom of the sheet, frame of face 0; NULL where the press
                                 ///< does not finish it (tabs bent by hand) or with a
                                 ///< tool of its own (offset bends)
    struct kw_check_flare *flares;
    int flare_count;
    double throat, daylight; ///< mm, of the shop press
};
bool kw_check_brake_inputs(struct kw_arena *a, const struct kw_shop *shop,
                           const struct kw_examined *what, struct kw_check_brake *out);

/// Section picture of a brake step (see kw_brake_section), from the same inputs that the part's
/// plan was made of. False when the step has no tools or the part no brake plan.
bool kw_check_brake_section(struct kw_arena *a, const struct kw_shop *shop,
                            const struct kw_examined *what, int step, double reach,
                            struct kw_brake_section *out);

/// A collision of the part's plan (hit or obvious_hit) cut across at its spot; *bend and *face name
/// what is bent and what runs into it. False when the part has none.
bool kw_check_brake_collision(struct kw_arena *a, const struct kw_shop *shop,
                              const struct kw_examined *what, const struct kw_brake_hit *hit,
                              double reach, struct kw_brake_collision *out, const char **bend,
                              const char **face);

/// The shop's cartons and its carrier's limits, as the carton engine takes them; in the arena.
struct kw_check_cartons {
    struct kw_carton_kind *kinds;
    int count;
    struct kw_carton_rules rules;
};
struct kw_check_cartons kw_check_cartons(struct kw_arena *a, const struct kw_shop *shop);
/// `count` finished pieces of a part as boxes, any side up.
struct kw_carton_box kw_check_carton_box(const struct kw_examined *what, int count);
/// The finding of a carton problem, about `name` of the kit, with its figures in the shop's units;
/// `part` is NULL for what is no part, such as a bag.
struct kw_finding kw_check_carton_finding(struct kw_arena *a, const struct kw_shop *shop,
                                          const struct kw_kit *kit, const struct kw_part *part,
                                          const char *name, const struct kw_carton_problem *p);

/// Marks the risks of `findings` from index `from` on that the kit has signed (kw_signature); a
/// signature for an older form of the part adds a note.
void kw_check_sign(struct kw_arena *a, const struct kw_kit *kit, struct kw_findings *findings,
                   int from);
/// Whether a risk is one that only a run can meet, such as a hole too near to a cut.
bool kw_risk_of_runs(const char *rule);
