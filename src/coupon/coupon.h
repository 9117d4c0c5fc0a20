// SPDX-License-Identifier: Apache-2.0
// coupon: test pieces that the shop has bent and measured (coupons.csv), and what they say of bend
// allowance and springback for each stock and die.
//
//   coupons.csv ─kw_coupons_read─▶ coupons ─kw_coupons_learn─▶ groups, shop->learned
//
// Sheet over a press die. From the blank's length and the outside legs, each coupon has a bend
// allowance of blank - legs + 2 setback(angle, r, t) with its own angle and thickness; r is the
// mean of the measured inside radii, else the natural radius of the die. K is fitted through all:
// allowance - angle r = K (angle t), a line through the origin. What is used of it is the deduction
// at 90 degrees in the stock's own thickness, which does not depend on r.
//
// Springback, of sheet and tube. The angle under load is fitted against the angle that was left: a
// slope and an offset where three coupons or more span 20 degrees, else one ratio. Of a coupon with
// a depth but without an angle under load, that angle is the one that kw_brake_depth has for the
// depth, so that the depths which the program prints are the measured ones.
//
// Tube radius: the mean of measured centreline radii. Neutral line: the mean of length taken over
// angle, which stands for the radius too where that was not measured.
#pragma once

#include "base/base.h"
#include "brake/brake.h"
#include "coupon/fit.h"
#include "form/form.h"
#include "shop/learned.h"
#include "shop/shop.h"

struct kw_coupon {
    const struct kw_node *node;
    const char *name; ///< number as painted on it
    const char *from; ///< words of the stock
    struct kw_stock stock;
    const char *die_name;
    int die;             ///< index into the press's or the bender's dies
    double blank;        ///< sheet: length as cut
    double leg_a, leg_b; ///< sheet: outside legs
    double angle;        ///< turned from flat, after release
    double angle_set;    ///< under load, or as set on the bender; 0: not known
    double depth;        ///< sheet: of the punch from first contact; 0: not known
    double radius;       ///< inside of a sheet, centreline of a tube; 0: not measured
    double taken;        ///< tube: length that the bend took of the stick; 0: not measured
    double thickness;    ///< sheet: as measured
    int date;            ///< yyyymmdd, 0 none
    const char *who;     ///< NULL none
};

/// The columns of coupons.csv. The reader's user is the shop.
extern const struct kw_form kw_coupon_form;

struct kw_coupons {
    struct kw_coupon *v;
    int count;
};

/// Reads FOLDER/coupons.csv; none there is no failure and gives no coupons. The place of a failure
/// is that of the value, or of the row where one is missing.
enum kw_status kw_coupons_read(struct kw_arena *a, const struct kw_shop *shop, const char *path,
                               bool must_be, struct kw_coupons *out, struct kw_error *err);
enum kw_status kw_coupons_parse(struct kw_arena *a, const struct kw_shop *shop, const char *file,
                                const char *bytes, size_t length, struct kw_coupons *out,
                                struct kw_error *err);

/// Points of one fit, the coupon of each, and which are odd.
struct kw_points {
    int *coupons; ///< index into the coupons
    double *x, *y;
    bool *odd;
    int count;
    struct kw_line_fit fit; ///< when count > 0
};

enum kw_trust { KW_TRUST_NONE, KW_TRUST_ROUGH, KW_TRUST_FAIR, KW_TRUST_GOOD };
const char *kw_trust_word(enum kw_trust trust); ///< "not yet", "rough", "fair", "good"

struct kw_bend_group {
    struct kw_learned_bend use;
    bool radius_measured;
    struct kw_points lengths; ///< x angle t, y allowance - angle r; slope K
    double scatter;           ///< mm, residual standard deviation of one bend's flat length
    double half;              ///< mm, half the 95 % interval of the deduction; INFINITY: not known
    enum kw_trust trust;      ///< of the deduction
    struct kw_points springs; ///< x angle left, y angle under load
};
struct kw_tube_group {
    struct kw_learned_tube use;
    struct kw_points springs;
    double radius_half; ///< mm, half the 95 % interval of the radius; INFINITY: not known
};

struct kw_lessons {
    struct kw_bend_group *bends;
    int bend_count;
    struct kw_tube_group *tubes;
    int tube_count;
    struct kw_learned learned; ///< what shop->learned is to point at
};

/// Fits every stock and die, in the order of their first coupon.
struct kw_lessons kw_coupons_learn(struct kw_arena *a, const struct kw_shop *shop,
                                   const struct kw_coupons *coupons);
/// kw_coupons_read and kw_coupons_learn for FOLDER/coupons.csv, and shop->learned set; NULL lessons
/// where the folder has none.
enum kw_status kw_shop_learn(struct kw_arena *a, struct kw_shop *shop, const char *folder,
                             struct kw_error *err);

/// What the coupons say, for reading and as JSON.
void kw_lessons_print(const struct kw_shop *shop, const struct kw_coupons *coupons,
                      const struct kw_lessons *lessons, struct kw_text *out);
void kw_lessons_json(const struct kw_shop *shop, const struct kw_coupons *coupons,
                     const struct kw_lessons *lessons, struct kw_text *out);
