// SPDX-License-Identifier: Apache-2.0
// Units and tolerances: every conversion factor and every geometric tolerance of the program.
#pragma once

#include "base/base.h"

#define KW_PI 3.14159265358979323846

// ---- exact by definition (NIST SP 811, appendix B)
#define KW_MM_PER_IN       25.4
#define KW_KG_PER_LB       0.45359237
#define KW_N_PER_LBF       4.4482216152605
#define KW_MPA_PER_KSI     6.894757293168361
#define KW_N_PER_SHORT_TON (2000 * KW_N_PER_LBF)

// ---- tolerances
/// Points nearer than this are the same point; shorter segments are dropped. Far below what any
/// machine here can hold (0.1 mm), far above rounding at the largest coordinate.
#define KW_SAME_POINT_MM 1e-6
/// Ends in a drawing that are nearer than this are joined.
#define KW_JOIN_MM 0.05
/// Largest gap between an arc and its chords wherever an outline is taken to chords for a test.
#define KW_CHORD_MM 0.01
/// No coordinate or size read from a file may be larger: 50 m.
#define KW_MOST_MM 50000.0

/// What a number in a file measures. A number without a unit takes the file's declared one where
/// the dimension is a length, and the one in brackets elsewhere.
enum kw_dimension {
    KW_DIM_NUMBER, ///< pure number (no unit allowed); 3-1/2 and 1/4 too
    KW_DIM_LENGTH, ///< mm <- in, ", mm, cm, m, ft; fractions "1-1/2", "1 1/2", "3/8"
    KW_DIM_ANGLE,  ///< rad <- [deg], rad
    KW_DIM_MASS,   ///< kg <- lb, oz, [kg], g
    KW_DIM_FORCE,  ///< N <- [kN], N, ton (short ton-force), lbf
    KW_DIM_STRESS, ///< MPa <- [MPa], ksi, psi
    KW_DIM_TIME,   ///< s <- [s], min, h
    KW_DIM_SPEED,  ///< mm/s <- in/min, mm/min, m/min, mm/s; bare: the file's length unit a minute
    KW_DIM_MONEY,  ///< the shop's currency, bare
    KW_DIM_MONEY_PER_HOUR,   ///< bare: currency an hour
    KW_DIM_DENSITY,          ///< kg/m3 [kg/m3], lb/in3
    KW_DIM_FRACTION,         ///< 0..1 <- "85 %" or bare 0.85
    KW_DIM_CURRENT,          ///< A [A]
    KW_DIM_ACCELERATION,     ///< mm/s2 [mm/s2], in/s2, g
    KW_DIM_FORCE_PER_LENGTH, ///< N/mm <- [kN/m], ton/ft
    KW_DIM_COUNT_OF_DIMENSIONS
};

enum kw_length_unit { KW_MM, KW_IN };

/// Reads all of `text` as one quantity of dimension `dim` into house units. On failure returns
/// KW_UNIT and a sentence "expected a length such as 1-1/2 in, got \"7 kg\"" at `at`.
/// Not-a-number, infinities, empty text, exponents beyond 1e12 and trailing words are refused.
enum kw_status kw_quantity(const char *text, enum kw_dimension dim, enum kw_length_unit bare,
                           struct kw_place at, double *out, struct kw_error *err);
/// "a length such as 1-1/2 in or 38.1 mm": for messages, schema and reference page.
const char *kw_dimension_example(enum kw_dimension dim);
const char *kw_dimension_name(enum kw_dimension dim); ///< "length", "angle", ...
const char *kw_dimension_unit(enum kw_dimension dim); ///< house unit: "mm", "rad", ...

/// A length for people. KW_MM: "38.1 mm" (one decimal); KW_IN: "1.500 in" (three decimals).
char *kw_length_text(char buf[static 48], double mm, enum kw_length_unit unit);
/// The nearest 1/64 in for a tape: "1-1/2", "30-5/8", "0", "-1/64"; KW_MM: rounded to whole mm.
char *kw_tape_text(char buf[static 48], double mm, enum kw_length_unit unit);
/// kg as "12.3 kg" or, with KW_IN shops, "27.1 lb".
char *kw_mass_text(char buf[static 48], double kg, enum kw_length_unit unit);
/// N as "12.3 kN" or, in inch shops, "1.38 ton".
char *kw_force_text(char buf[static 48], double newton, enum kw_length_unit unit);
