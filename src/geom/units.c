// SPDX-License-Identifier: Apache-2.0
// Quantities as people write them: "1-1/2 in", "38.1 mm", "60 ksi", "85 %".
#include "geom/units.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

// ----------------------------------------------------------------------------------- the
// dimensions

struct dimension {
    const char *name;
    const char *house;   // the unit inside the program
    const char *example; // for messages
    const char *bare[2]; // the unit of a bare number, in files of mm and of inches
};

static const struct dimension dimensions[KW_DIM_COUNT_OF_DIMENSIONS] = {
    [KW_DIM_NUMBER] = {"number", "", "a number such as 0.44 or 3-1/2", {"", ""}},
    [KW_DIM_LENGTH] = {"length", "mm", "a length such as 1-1/2 in or 38.1 mm", {"mm", "in"}},
    [KW_DIM_ANGLE] = {"angle",
                      "rad" /* house unit */,
                      "an angle such as 90 deg or 1.2 rad",
                      {"deg", "deg"}},
    [KW_DIM_MASS] = {"mass", "kg", "a mass such as 12.5 kg or 27 lb", {"kg", "kg"}},
    [KW_DIM_FORCE] = {"force", "N", "a force such as 2.5 kN or 40 ton", {"kN", "kN"}},
    [KW_DIM_STRESS] = {"stress", "MPa", "a stress such as 400 MPa or 60 ksi", {"MPa", "MPa"}},
    [KW_DIM_TIME] = {"time", "s", "a time such as 45 s or 1.5 min", {"s", "s"}},
    [KW_DIM_SPEED] = {"speed",
                      "mm/s",
                      "a speed such as 120 in/min or 3 m/min",
                      {"mm/min", "in/min"}},
    [KW_DIM_MONEY] = {"money", "money", "an amount of money such as 12.50", {"", ""}},
    [KW_DIM_MONEY_PER_HOUR] = {"money an hour",
                               "money/h",
                               "an amount of money an hour such as 65",
                               {"", ""}},
    [KW_DIM_DENSITY] = {"density",
                        "kg/m3",
                        "a density such as 7850 kg/m3 or 0.284 lb/in3",
                        {"kg/m3", "kg/m3"}},
    [KW_DIM_FRACTION] = {"fraction", "", "a fraction from 0 to 1 such as 85 % or 0.85", {"", ""}},
    [KW_DIM_CURRENT] = {"current", "A", "a current such as 45 A", {"A", "A"}},
    [KW_DIM_ACCELERATION] = {"acceleration",
                             "mm/s2",
                             "an acceleration such as 1500 mm/s2 or 0.15 g",
                             {"mm/s2", "mm/s2"}},
    [KW_DIM_FORCE_PER_LENGTH] = {"force per length",
                                 "N/mm",
                                 "a force per length such as 150 kN/m or 5 ton/ft",
                                 {"kN/m", "kN/m"}},
};

const char *kw_dimension_example(enum kw_dimension dim) {
    return dimensions[dim].example;
}
const char *kw_dimension_name(enum kw_dimension dim) {
    return dimensions[dim].name;
}
const char *kw_dimension_unit(enum kw_dimension dim) {
    return dimensions[dim].house;
}

// A value in this unit times `times` over `over` is in the house unit. Two factors, so that 90 deg
// is the nearest double to pi/2 and 60 mm/min is exactly 1 mm/s.
struct unit {
    enum kw_dimension dim;
    const char *name;
    double times, over;
};

// 12 * 25.4 is not the nearest double to 304.8.
#define MM_PER_FT 304.8

// Factors: NIST SP 811 (2008), appendix B; the standard acceleration of gravity is 9.80665 m/s2.
static const struct unit units[] = {
    {KW_DIM_LENGTH, "mm", 1, 1},
    {KW_DIM_LENGTH, "in", KW_MM_PER_IN, 1},
    {KW_DIM_LENGTH, "\"", KW_MM_PER_IN, 1},
    {KW_DIM_LENGTH, "cm", 10, 1},
    {KW_DIM_LENGTH, "m", 1000, 1},
    {KW_DIM_LENGTH, "ft", MM_PER_FT, 1},
    {KW_DIM_ANGLE, "deg", KW_PI, 180},
    {KW_DIM_ANGLE, "\xC2\xB0", KW_PI, 180},
    {KW_DIM_ANGLE, "rad", 1, 1},
    {KW_DIM_MASS, "kg", 1, 1},
    {KW_DIM_MASS, "g", 1, 1000},
    {KW_DIM_MASS, "lb", KW_KG_PER_LB, 1},
    {KW_DIM_MASS, "oz", KW_KG_PER_LB, 16},
    {KW_DIM_FORCE, "kN", 1000, 1},
    {KW_DIM_FORCE, "N", 1, 1},
    {KW_DIM_FORCE, "ton", KW_N_PER_SHORT_TON, 1},
    {KW_DIM_FORCE, "lbf", KW_N_PER_LBF, 1},
    {KW_DIM_STRESS, "MPa", 1, 1},
    {KW_DIM_STRESS, "ksi", KW_MPA_PER_KSI, 1},
    {KW_DIM_STRESS, "psi", KW_MPA_PER_KSI, 1000},
    {KW_DIM_TIME, "s", 1, 1},
    {KW_DIM_TIME, "min", 60, 1},
    {KW_DIM_TIME, "h", 3600, 1},
    {KW_DIM_SPEED, "mm/s", 1, 1},
    {KW_DIM_SPEED, "mm/min", 1, 60},
    {KW_DIM_SPEED, "m/min", 1000, 60},
    {KW_DIM_SPEED, "in/min", KW_MM_PER_IN, 60},
    {KW_DIM_DENSITY, "kg/m3", 1, 1},
    {KW_DIM_DENSITY, "lb/in3", KW_KG_PER_LB * 1e9, KW_MM_PER_IN *KW_MM_PER_IN *KW_MM_PER_IN},
    {KW_DIM_FRACTION, "%", 1, 100},
    {KW_DIM_CURRENT, "A", 1, 1},
    {KW_DIM_ACCELERATION, "mm/s2", 1, 1},
    {KW_DIM_ACCELERATION, "in/s2", KW_MM_PER_IN, 1},
    {KW_DIM_ACCELERATION, "g", 9806.65, 1},
    {KW_DIM_FORCE_PER_LENGTH, "kN/m", 1, 1},
    {KW_DIM_FORCE_PER_LENGTH, "ton/ft", KW_N_PER_SHORT_TON, MM_PER_FT},
};

// -------------------------------------------------------------------------------------- the number

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
static bool is_space(char c) {
    return c == ' ' || c == '\t';
}

static const char *skip_spaces(const char *s) {
    while (is_space(*s))
        s++;
    return s;
}

// A run of at most 9 digits; NULL when there is none or it is longer.
static const char *read_whole(const char *s, long *value) {
    const char *start = s;
    for (*value = 0; is_digit(*s); s++) {
        if (s - start >= 9) return NULL;
        *value = *value * 10 + (*s - '0');
    }
    return s == start ? NULL : s;
}

// N/D with D > 0; NULL when it is not that.
static const char *read_ratio(const char *s, long *over, long *under) {
    s = read_whole(s, over);
    if (!s || *s != '/') return NULL;
    s = read_whole(s + 1, under);
    return s && *under > 0 ? s : NULL;
}

// "3/8", "1-1/2" or "1 1/2". In a mixed number the fraction must be a proper one: 1-3/2 is far more
// likely a slip than 2-1/2.
static const char *read_fraction(const char *s, double *value) {
    long whole = 0, over, under;
    const char *end = read_ratio(s, &over, &under);
    if (!end) {
        s = read_whole(s, &whole);
        if (!s) return NULL;
        const char *part = *s == '-' ? s + 1 : skip_spaces(s);
        if (part == s) return NULL;
        end = read_ratio(part, &over, &under);
        if (!end || over >= under) return NULL;
    }
    *value = (double)whole + (double)over / (double)under;
    return end;
}

// mantissa * 10^power. Correctly rounded for 15 digits and powers to 22 (both factors are exact
// doubles); within an ulp or two elsewhere. strtod would follow the locale.
static double scaled(uint64_t mantissa, int power) {
    if (mantissa == 0) return 0;
    if (power > 40) return INFINITY;
    if (power < -330) return 0;
    bool exact = mantissa < (1ULL << 53) && power >= -22 && power <= 22;
    if (exact) {
        double ten = 1;
        for (int i = 0; i < (power < 0 ? -power : power); i++)
            ten *= 10;
        return power < 0 ? (double)mantissa / ten : (double)mantissa * ten;
    }
    return (double)((long double)mantissa * powl(10.0L, (long double)power));
}

// "e5", "E-3": the exponent at s, if there is one.
static const char *read_exponent(const char *s, int *power) {
    if (*s != 'e' && *s != 'E') return s;
    const char *p = s + 1;
    bool negative = *p == '-';
    if (*p == '-' || *p == '+') p++;
    if (!is_digit(*p)) return s;
    int e = 0;
    for (; is_digit(*p); p++)
        if (e < 10000) e = e * 10 + (*p - '0');
    *power += negative ? -e : e;
    return p;
}

// Digits with at most one point and an exponent.
static const char *read_decimal(const char *s, double *value) {
    uint64_t mantissa = 0;
    int power = 0, digits = 0, places = 0;
    bool point = false;
    for (;; s++) {
        if (*s == '.' && !point) {
            point = true;
            continue;
        }
        if (!is_digit(*s)) break;
        digits++;
        bool full = mantissa > (UINT64_MAX - 9) / 10;
        if (full && !point && places < 400) places++;
        if (full) continue;
        mantissa = mantissa * 10 + (uint64_t)(*s - '0');
        if (point) power--;
    }
    if (digits == 0) return NULL;
    power += places;
    s = read_exponent(s, &power);
    *value = scaled(mantissa, power);
    return s;
}

// The number at the start of `s`; *end is what follows it.
static bool read_number(const char *s, double *value, const char **end) {
    s = skip_spaces(s);
    double sign = *s == '-' ? -1 : 1;
    if (*s == '-' || *s == '+') s++;
    *end = read_fraction(s, value);
    if (!*end) *end = read_decimal(s, value);
    if (!*end) return false;
    // A longer number than the one read: "1/0" after 1, "1-2/3-4" after 1-2/3.
    if (**end == '/' || **end == '-' || **end == '.' || is_digit(**end)) return false;
    *value *= sign;
    return isfinite(*value) && fabs(*value) <= 1e12;
}

// --------------------------------------------------------------------------------------- the whole

// The factor of the unit `name`; NULL when this dimension has no such unit.
static const struct unit *find_unit(enum kw_dimension dim, const char *name, size_t length) {
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (units[i].dim == dim && strlen(units[i].name) == length &&
            memcmp(units[i].name, name, length) == 0)
            return &units[i];
    return NULL;
}

static bool read_quantity(const char *text, enum kw_dimension dim, enum kw_length_unit bare,
                          double *out) {
    double value;
    const char *name;
    if (!read_number(text, &value, &name)) return false;
    name = skip_spaces(name);
    size_t length = strlen(name);
    while (length > 0 && is_space(name[length - 1]))
        length--;
    if (length == 0) {
        name = dimensions[dim].bare[bare == KW_IN];
        length = strlen(name);
    }
    if (length > 0) {
        const struct unit *u = find_unit(dim, name, length);
        if (!u) return false;
        value = value * u->times / u->over;
    }
    if (dim == KW_DIM_FRACTION && !(value >= 0 && value <= 1)) return false;
    *out = value;
    return true;
}

// Bytes of `text` to show in a message: at most 60, whole characters.
static int shown_length(const char *text) {
    size_t n = strlen(text);
    if (n <= 60) return (int)n;
    n = 60;
    while (n > 0 && ((unsigned char)text[n] & 0xC0) == 0x80)
        n--;
    return (int)n;
}

enum kw_status kw_quantity(const char *text, enum kw_dimension dim, enum kw_length_unit bare,
                           struct kw_place at, double *out, struct kw_error *err) {
    kw_assert(dim >= 0 && dim < KW_DIM_COUNT_OF_DIMENSIONS);
    if (read_quantity(text, dim, bare, out)) return KW_OK;
    return kw_fail(err, KW_UNIT, at, "expected %s, got \"%.*s\"", dimensions[dim].example,
                   shown_length(text), text);
}

// ------------------------------------------------------------------------------------------ as
// text

static char *with_unit(char buf[static 48], double value, int decimals, const char *unit) {
    char number[KW_NUMBER_SIZE];
    kw_fixed(number, value, decimals);
    (void)snprintf(buf, 48, "%s %s", number, unit);
    return buf;
}

char *kw_length_text(char buf[static 48], double mm, enum kw_length_unit unit) {
    return unit == KW_IN ? with_unit(buf, mm / KW_MM_PER_IN, 3, "in") : with_unit(buf, mm, 1, "mm");
}

char *kw_mass_text(char buf[static 48], double kg, enum kw_length_unit unit) {
    return unit == KW_IN ? with_unit(buf, kg / KW_KG_PER_LB, 1, "lb") : with_unit(buf, kg, 1, "kg");
}

char *kw_force_text(char buf[static 48], double newton, enum kw_length_unit unit) {
    return unit == KW_IN ? with_unit(buf, newton / KW_N_PER_SHORT_TON, 2, "ton")
                         : with_unit(buf, newton / 1000, 1, "kN");
}

char *kw_tape_text(char buf[static 48], double mm, enum kw_length_unit unit) {
    if (unit == KW_MM) {
        (void)kw_fixed(buf, mm, 0);
        return buf;
    }
    long parts = lround(mm / KW_MM_PER_IN * 64);
    const char *sign = parts < 0 ? "-" : "";
    if (parts < 0) parts = -parts;
    long whole = parts / 64;
    int over = (int)(parts % 64), under = 64;
    while (over > 0 && over % 2 == 0) {
        over /= 2;
        under /= 2;
    }
    if (over == 0)
        (void)snprintf(buf, 48, "%s%ld", sign, whole);
    else if (whole == 0)
        (void)snprintf(buf, 48, "%s%d/%d", sign, over, under);
    else
        (void)snprintf(buf, 48, "%s%ld-%d/%d", sign, whole, over, under);
    return buf;
}
