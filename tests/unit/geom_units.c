// SPDX-License-Identifier: Apache-2.0
#include "geom/geom.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const struct kw_place nowhere = {"kit.yaml", 7, 3};

static double read(const char *text, enum kw_dimension dim, enum kw_length_unit bare) {
    double v = NAN;
    struct kw_error err = {0};
    cr_expect_eq(kw_quantity(text, dim, bare, nowhere, &v, &err), KW_OK, "%s: %s", text, err.text);
    return v;
}

struct reading {
    const char *text;
    enum kw_dimension dim;
    double value;
};

Test(geom_units, lengths_are_read_as_shops_write_them) {
    static const struct reading rows[] = {
        {"1-1/2 in", KW_DIM_LENGTH, 38.1},    {"1-1/2in", KW_DIM_LENGTH, 38.1},
        {"1 1/2", KW_DIM_LENGTH, 38.1},       {"1  1/2 in", KW_DIM_LENGTH, 38.1},
        {"3/8", KW_DIM_LENGTH, 9.525},        {"3/8\"", KW_DIM_LENGTH, 9.525},
        {"0.125in", KW_DIM_LENGTH, 3.175},    {".125", KW_DIM_LENGTH, 3.175},
        {"38.1 mm", KW_DIM_LENGTH, 38.1},     {"38.1mm", KW_DIM_LENGTH, 38.1},
        {"30-5/8", KW_DIM_LENGTH, 777.875},   {"14.5\"", KW_DIM_LENGTH, 368.3},
        {"  2 ft ", KW_DIM_LENGTH, 609.6},    {"1.5 m", KW_DIM_LENGTH, 1500},
        {"2.5cm", KW_DIM_LENGTH, 25},         {"-3", KW_DIM_LENGTH, -76.2},
        {"-1-1/2", KW_DIM_LENGTH, -38.1},     {"-3/8 in", KW_DIM_LENGTH, -9.525},
        {"+4", KW_DIM_LENGTH, 101.6},         {"1e2 mm", KW_DIM_LENGTH, 100},
        {"2.5E-1 in", KW_DIM_LENGTH, 6.35},   {"0", KW_DIM_LENGTH, 0},
        {"5.", KW_DIM_LENGTH, 127},           {"0.1 mm", KW_DIM_LENGTH, 0.1},
        {"9/8", KW_DIM_LENGTH, 28.575},       {"12", KW_DIM_LENGTH, 304.8},
        {"0.000001 mm", KW_DIM_LENGTH, 1e-6}, {"123456789012.5 mm", KW_DIM_LENGTH, 123456789012.5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double got = read(rows[i].text, rows[i].dim, KW_IN);
        cr_expect_float_eq(got, rows[i].value, 1e-12 * (1 + fabs(rows[i].value)), "%s is %.17g",
                           rows[i].text, got);
    }
    cr_expect_eq(read("12", KW_DIM_LENGTH, KW_MM), 12);
    cr_expect_eq(read("0.1", KW_DIM_LENGTH, KW_MM), 0.1);
    cr_expect_eq(read("3.3", KW_DIM_LENGTH, KW_MM), 3.3);
    cr_expect_eq(read("1234.5678", KW_DIM_LENGTH, KW_MM), 1234.5678);
}

// Factors from NIST SP 811 (2008), appendix B.8 and B.9, with the digits printed there (exact ones
// in bold there are tested to the last bit of rounding).
Test(geom_units, factors_are_those_of_nist_sp_811) {
    static const struct {
        const char *text;
        enum kw_dimension dim;
        double value, within;
    } rows[] = {
        {"1 in", KW_DIM_LENGTH, 25.4, 0},
        {"1 ft", KW_DIM_LENGTH, 304.8, 0},
        {"1 lb", KW_DIM_MASS, 0.45359237, 0},
        {"1 oz", KW_DIM_MASS, 2.834952e-2, 5e-9},
        {"1 lbf", KW_DIM_FORCE, 4.448222, 5e-7},
        {"1 ton", KW_DIM_FORCE, 8.896443e3, 5e-4}, // ton-force (2000 lbf)
        {"1 psi", KW_DIM_STRESS, 6.894757e-3, 5e-10},
        {"1 ksi", KW_DIM_STRESS, 6.894757, 5e-7},
        {"60 ksi", KW_DIM_STRESS, 413.68542, 5e-5},
        {"1 deg", KW_DIM_ANGLE, 1.745329e-2, 5e-9},
        {"1 lb/in3", KW_DIM_DENSITY, 2.767990e4, 5e-3},
        {"1 g", KW_DIM_ACCELERATION, 9806.65, 0}, // standard acceleration of free fall
        {"1 in/s2", KW_DIM_ACCELERATION, 25.4, 0},
        {"1 min", KW_DIM_TIME, 60, 0},
        {"1 h", KW_DIM_TIME, 3600, 0},
        // pound-force per foot is 14.59390 N/m
        {"1 ton/ft", KW_DIM_FORCE_PER_LENGTH, 2000 * 14.59390e-3, 2000 * 5e-9},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double got = read(rows[i].text, rows[i].dim, KW_MM);
        cr_expect(fabs(got - rows[i].value) <= rows[i].within, "%s is %.12g", rows[i].text, got);
    }
}

Test(geom_units, other_dimensions_and_bare_numbers) {
    cr_expect_eq(read("90 deg", KW_DIM_ANGLE, KW_IN), KW_PI / 2);
    cr_expect_eq(read("90", KW_DIM_ANGLE, KW_IN), KW_PI / 2);
    cr_expect_eq(read("90\xC2\xB0", KW_DIM_ANGLE, KW_IN), KW_PI / 2);
    cr_expect_eq(read("1.25 rad", KW_DIM_ANGLE, KW_IN), 1.25);
    cr_expect_eq(read("2.5 kN", KW_DIM_FORCE, KW_IN), 2500);
    cr_expect_eq(read("2.5", KW_DIM_FORCE, KW_IN), 2500);
    cr_expect_eq(read("250 N", KW_DIM_FORCE, KW_IN), 250);
    cr_expect_eq(read("400", KW_DIM_STRESS, KW_IN), 400);
    cr_expect_eq(read("85 %", KW_DIM_FRACTION, KW_IN), 0.85);
    cr_expect_eq(read("85%", KW_DIM_FRACTION, KW_IN), 0.85);
    cr_expect_eq(read("0.85", KW_DIM_FRACTION, KW_IN), 0.85);
    cr_expect_eq(read("60", KW_DIM_SPEED, KW_MM), 1);
    cr_expect_eq(read("60", KW_DIM_SPEED, KW_IN), 25.4);
    cr_expect_eq(read("120 in/min", KW_DIM_SPEED, KW_MM), 50.8);
    cr_expect_eq(read("3 m/min", KW_DIM_SPEED, KW_IN), 50);
    cr_expect_eq(read("12.50", KW_DIM_MONEY, KW_IN), 12.5);
    cr_expect_eq(read("65", KW_DIM_MONEY_PER_HOUR, KW_IN), 65);
    cr_expect_eq(read("500 g", KW_DIM_MASS, KW_IN), 0.5);
    cr_expect_eq(read("3-1/2", KW_DIM_NUMBER, KW_IN), 3.5);
    cr_expect_eq(read("45 A", KW_DIM_CURRENT, KW_IN), 45);
    cr_expect_eq(read("150 kN/m", KW_DIM_FORCE_PER_LENGTH, KW_IN), 150);
}

Test(geom_units, refuses_what_is_not_one_quantity) {
    static const char *const bad[] = {
        "nan",
        "inf",
        "-inf",
        "1e999",
        "",
        " ",
        "7 kg",
        "1/0",
        "1-2/3-4",
        "1-3/2",
        "1 2",
        "1.5-1/2",
        "1/2/3",
        "in",
        "\"",
        "--3",
        "1,5",
        "0x10",
        "1e13",
        "-2e12",
        "3 mmm",
        "3 MM",
        "1 in in",
        "1-1/2-",
        "1.2.3",
        "1e",
        "1 /2",
        "1/ 2",
        "$5",
        "1-/2",
        "1--1/2",
        "12345678901234",
        "-",
        "3 in 4",
        "1'",
        "4 mm2",
        "1/2.5",
        "1.5/2",
        "1e5/2",
        "1 1/0",
        "- 3",
        "1-1/1",
        "999999999999999999999999999999",
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double v;
        struct kw_error err = {0};
        cr_expect_eq(kw_quantity(bad[i], KW_DIM_LENGTH, KW_IN, nowhere, &v, &err), KW_UNIT,
                     "accepted \"%s\" as %g", bad[i], v);
        cr_expect_eq(err.at.line, 7);
    }
    double v;
    struct kw_error err = {0};
    cr_expect_eq(kw_quantity("7 kg", KW_DIM_LENGTH, KW_IN, nowhere, &v, &err), KW_UNIT);
    cr_expect_str_eq(err.text, "expected a length such as 1-1/2 in or 38.1 mm, got \"7 kg\"");
    cr_expect_eq(kw_quantity("5 mm", KW_DIM_NUMBER, KW_IN, nowhere, &v, NULL), KW_UNIT);
    cr_expect_eq(kw_quantity("85", KW_DIM_FRACTION, KW_IN, nowhere, &v, NULL), KW_UNIT);
    cr_expect_eq(kw_quantity("120 %", KW_DIM_FRACTION, KW_IN, nowhere, &v, NULL), KW_UNIT);
    cr_expect_eq(kw_quantity("-1 %", KW_DIM_FRACTION, KW_IN, nowhere, &v, NULL), KW_UNIT);
    cr_expect_eq(kw_quantity("5 s", KW_DIM_MONEY, KW_IN, nowhere, &v, NULL), KW_UNIT);
    // A long text is cut between characters.
    char text[200];
    memset(text, 0, sizeof text);
    for (int i = 0; i < 60; i++)
        memcpy(text + 3 * i, "\xE2\x82\xAC", 3);
    err = (struct kw_error){0};
    cr_expect_eq(kw_quantity(text, KW_DIM_LENGTH, KW_IN, nowhere, &v, &err), KW_UNIT);
    cr_expect(kw_is_utf8(err.text, strlen(err.text), &(size_t){0}));
}

Test(geom_units, every_dimension_reads_its_own_example) {
    for (int d = 0; d < KW_DIM_COUNT_OF_DIMENSIONS; d++) {
        const char *example = kw_dimension_example((enum kw_dimension)d);
        cr_expect(strlen(kw_dimension_name((enum kw_dimension)d)) > 0);
        cr_expect(kw_dimension_unit((enum kw_dimension)d) != NULL);
        // "... such as A or B": each of them
        const char *rest = strstr(example, "such as ");
        if (!rest) rest = strstr(example, "such ");
        cr_assert(rest, "%s", example);
        rest = strstr(rest, "as ") + 3;
        char text[64];
        while (rest) {
            const char * or = strstr(rest, " or ");
            size_t n = or ? (size_t)(or -rest) : strlen(rest);
            memcpy(text, rest, n);
            text[n] = 0;
            (void)read(text, (enum kw_dimension)d, KW_IN);
            rest = or ? or +4 : NULL;
        }
    }
}

Test(geom_units, a_tape_shows_the_nearest_sixty_fourth) {
    static const struct {
        double in;
        const char *text;
    } rows[] = {
        {1.5, "1-1/2"},           {30.625, "30-5/8"}, {0, "0"},
        {-1.0 / 64, "-1/64"},     {0.0078, "0"},      {0.0079, "1/64"},
        {-0.0078, "0"},           {-1.5, "-1-1/2"},   {0.9999, "1"},
        {11.992, "11-63/64"},     {11.9922, "12"},    {0.25, "1/4"},
        {2 + 3.0 / 32, "2-3/32"}, {7.0 / 16, "7/16"}, {120, "120"},
        {0.3333, "21/64"},
    };
    char buf[48];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_expect_str_eq(kw_tape_text(buf, rows[i].in * 25.4, KW_IN), rows[i].text);
    cr_expect_str_eq(kw_tape_text(buf, 38.4, KW_MM), "38");
    cr_expect_str_eq(kw_tape_text(buf, -38.6, KW_MM), "-39");
    // What the tape shows is read back to within half a 64th, and is shown the same again.
    uint64_t state = 1;
    for (int i = 0; i < 2000; i++) {
        double mm = (kw_random_unit(&state) - 0.3) * 5000;
        char again[48];
        double back = read(kw_tape_text(buf, mm, KW_IN), KW_DIM_LENGTH, KW_IN);
        cr_expect_float_eq(back, mm, 25.4 / 128 + 1e-9, "%s", buf);
        cr_expect_str_eq(kw_tape_text(again, back, KW_IN), buf);
    }
}

Test(geom_units, texts_for_people) {
    char buf[48];
    cr_expect_str_eq(kw_length_text(buf, 38.1, KW_MM), "38.1 mm");
    cr_expect_str_eq(kw_length_text(buf, 38.1, KW_IN), "1.500 in");
    cr_expect_str_eq(kw_mass_text(buf, 12.3, KW_MM), "12.3 kg");
    cr_expect_str_eq(kw_mass_text(buf, 12.3, KW_IN), "27.1 lb");
    cr_expect_str_eq(kw_force_text(buf, 12300, KW_MM), "12.3 kN");
    cr_expect_str_eq(kw_force_text(buf, 12300, KW_IN), "1.38 ton");
}
