// SPDX-License-Identifier: Apache-2.0
// Faults planted in a legal run: each is caught and named. Small changes that stay legal pass.
#include "verify/verify.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) ((int)(sizeof(array) / sizeof *(array)))

// Two plates 100 x 60 with a hole of radius 20 in the middle, a disc of radius 12 in each hole, two
// angles 80 x 80. Spacing 5, margin 8, all of it used to the last hair by the plates.
static const char legal[] =
    "{\"blanks\": [\n"
    "{\"part\": \"rack/plate\", \"material\": \"mild\", \"thickness\": 3, \"count\": 2,\n"
    " \"good_side\": true, \"outer\": [[0,0,0],[100,0,0],[100,60,0],[0,60,0]],\n"
    " \"holes\": [[[70,30,-1],[30,30,-1]]]},\n"
    "{\"part\": \"rack/disc\", \"material\": \"mild\", \"thickness\": 3, \"count\": 2,\n"
    " \"outer\": [[-12,0,1],[12,0,1]], \"holes\": []},\n"
    "{\"part\": \"rack/angle\", \"material\": \"mild\", \"thickness\": 3, \"count\": 3,\n"
    " \"outer\": [[0,0,0],[80,0,0],[80,20,0],[20,20,0],[20,80,0],[0,80,0]], \"holes\": []}],\n"
    "\"left_out\": [{\"kit\": \"rack\", \"part\": \"angle\", \"count\": 1, \"why\": \"test\"}],\n"
    "\"sheets\": [{\"id\": \"S1\", \"material\": \"mild\", \"thickness\": 3, \"times\": 1,\n"
    " \"program\": \"sheets/S1.nc\", \"kerf\": 1.5, \"spacing\": 5, \"margin\": 8,\n"
    " \"outline\": [[0,0,0],[300,0,0],[300,200,0],[0,200,0]],\n"
    " \"drops\": [[[220,0],[300,0],[300,200],[220,200]]],\n"
    " \"placements\": [\n"
    "{\"part\":\"rack/plate\",\"copy\":1,\"x\":8,\"y\":8,\"rotation\":0,\"mirrored\":false},\n"
    "{\"part\":\"rack/plate\",\"copy\":2,\"x\":113,\"y\":8,\"rotation\":0,\"mirrored\":false},\n"
    "{\"part\":\"rack/disc\",\"copy\":1,\"x\":58,\"y\":38,\"rotation\":0,\"mirrored\":false},\n"
    "{\"part\":\"rack/disc\",\"copy\":2,\"x\":163,\"y\":38,\"rotation\":45,\"mirrored\":true},\n"
    "{\"part\":\"rack/angle\",\"copy\":1,\"x\":8,\"y\":73,\"rotation\":0,\"mirrored\":false},\n"
    "{\"part\":\"rack/angle\",\"copy\":2,\"x\":200,\"y\":160,\"rotation\":180,\"mirrored\":false}\n"
    "]}]}\n";

/// The legal run with the first `old` replaced.
static char *changed(struct kw_arena *a, const char *old, const char *fresh) {
    const char *at = strstr(legal, old);
    cr_assert(at != NULL, "no \"%s\" in the run", old);
    return kw_format(a, "%.*s%s%s", (int)(at - legal), legal, fresh, at + strlen(old));
}

static enum kw_status judge(struct kw_verdict *v, const char *text, struct kw_error *err) {
    return kw_judge_nests_text(text, strlen(text), v, err);
}

static bool names(const struct kw_verdict *v, const char *words) {
    for (int i = 0; i < v->fault_count && i < 100; i++) {
        if (strstr(v->faults[i], words)) return true;
    }
    return false;
}

struct change {
    const char *old, *fresh, *says; // says NULL: still legal
};

static void check_all(const struct change *c, int count) {
    for (int i = 0; i < count; i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        enum kw_status s = judge(&v, changed(&a, c[i].old, c[i].fresh), &err);
        cr_expect_eq(s, c[i].says ? KW_JUDGE : KW_OK, "\"%s\": %s", c[i].fresh, err.text);
        if (c[i].says) cr_expect(names(&v, c[i].says), "\"%s\": %s", c[i].fresh, err.text);
        cr_expect_geq(v.looked_at, 5);
        kw_arena_free(&a);
    }
}

#define PLATE2 "\"copy\":2,\"x\":113,\"y\":8,\"rotation\":0,\"mirrored\":false"
#define DISC1  "\"copy\":1,\"x\":58,\"y\":38"
#define DISC2  "\"copy\":2,\"x\":163,\"y\":38,\"rotation\":45,\"mirrored\":true"
#define ANGLE1 "\"copy\":1,\"x\":8,\"y\":73,\"rotation\":0"
#define ANGLE2 "\"copy\":2,\"x\":200,\"y\":160,\"rotation\":180"

Test(verify_nest_faults, the_run_as_written_is_legal) {
    struct kw_arena a = {0};
    struct kw_verdict v = {.arena = &a};
    struct kw_error err = {0};
    cr_expect_eq(judge(&v, legal, &err), KW_OK, "%s", err.text);
    cr_expect_eq(v.fault_count, 0);
    cr_expect_eq(v.looked_at, 6);
    kw_arena_free(&a);
}

Test(verify_nest_faults, every_planted_fault_is_caught_and_named) {
    static const struct change faults[] = {
        // spacing and overlap
        {PLATE2, "\"copy\":2,\"x\":112.99,\"y\":8,\"rotation\":0,\"mirrored\":false",
         "rack/plate#1 and rack/plate#2 are 4.990 mm apart"},
        {PLATE2, "\"copy\":2,\"x\":108,\"y\":8,\"rotation\":0,\"mirrored\":false", "overlap"},
        {PLATE2, "\"copy\":2,\"x\":107.65,\"y\":8,\"rotation\":0,\"mirrored\":false",
         "rack/plate#1 and rack/plate#2 overlap by 0.350 mm"},
        {PLATE2, "\"copy\":2,\"x\":8,\"y\":8,\"rotation\":0,\"mirrored\":false",
         "rack/plate#1 and rack/plate#2 overlap"}, // one exactly on the other
        {PLATE2, "\"copy\":2,\"x\":113,\"y\":12,\"rotation\":2,\"mirrored\":false", "apart"},
        {DISC1, "\"copy\":1,\"x\":61.01,\"y\":38", "rack/plate#1 and rack/disc#1 are 4.990 mm"},
        {DISC1, "\"copy\":1,\"x\":58,\"y\":34.99", "rack/plate#1 and rack/disc#1 are 4.990 mm"},
        {DISC1, "\"copy\":1,\"x\":22,\"y\":22", "overlap"}, // in the metal, no edges crossing
        {DISC1, "\"copy\":1,\"x\":75,\"y\":38", "overlap"}, // across the edge of the hole
        {ANGLE1, "\"copy\":1,\"x\":8,\"y\":73,\"rotation\":-2", "rack/angle#1 are"},
        {ANGLE1, "\"copy\":1,\"x\":130,\"y\":60,\"rotation\":0", "overlap"},
        {ANGLE2, "\"copy\":2,\"x\":200,\"y\":160,\"rotation\":0", "outside the sheet by 40.000 mm"},
        // what an earlier run placed
        {"\"kerf\"", "\"taken\":[[[113,73.5,0],[200,73.5,0],[200,74.5,0]]],\"kerf\"", NULL},
        {"\"kerf\"", "\"taken\":[[[113,72.99,0],[200,73.5,0],[200,74.5,0]]],\"kerf\"",
         "rack/plate#2 and what lies there (1) are 4.990 mm apart"},
        {"\"kerf\"", "\"taken\":[[[113,50,0],[200,50,0],[200,74.5,0]]],\"kerf\"", "overlap"},
        {"\"kerf\"", "\"taken\":[[[113,150,0],[114,150,0],[113,150,0]]],\"kerf\"",
         "what lies there (1) is no outline"},
        // where a clamp holds or the sheet is spoiled: off by the margin of 8
        {"\"kerf\"", "\"keep_out\":[[[113,76.5],[150,76.5],[150,77.5]]],\"kerf\"", NULL},
        {"\"kerf\"", "\"keep_out\":[[[113,75.99],[150,76.5],[150,77.5]]],\"kerf\"",
         "rack/plate#2 and a place to keep out of (1) are 7.990 mm apart"},
        // the sheet
        {"\"x\":8,\"y\":8", "\"x\":7.99,\"y\":8",
         "rack/plate#1 is 7.990 mm from the edge at (8.0, 8.0), margin 8.000 mm"},
        {"\"x\":8,\"y\":8", "\"x\":8,\"y\":-3", "rack/plate#1 is outside the sheet by 3.000 mm"},
        {"\"x\":8,\"y\":8", "\"x\":-500,\"y\":-500", "outside the sheet by"},
        {"\"x\":8,\"y\":8", "\"x\":-50000,\"y\":-50000", "outside the sheet"},
        {"[300,0,0]", "[300,0,0],[150,40,0]", "outside the sheet"}, // the edge runs into a plate
        {"[[220,0],", "[[210,0],", "rack/plate#2 and drop 1 overlap"},
        {"[300,0],[300,200],[220,200]", "[301,0],[301,200],[220,200]",
         "drop 1 is outside the sheet by 1.000 mm"},
        // which and how many
        {"\"part\":\"rack/plate\",\"copy\":2", "\"part\":\"rack/shelf\",\"copy\":2",
         "rack/shelf#2 is not a part of this run"},
        {"\"part\":\"rack/plate\",\"copy\":2", "\"part\":\"rack/plate\",\"copy\":1",
         "rack/plate#1 is placed more than once"},
        {"\"part\":\"rack/plate\",\"copy\":2", "\"part\":\"rack/plate\",\"copy\":3",
         "rack/plate#3: only 2 copies are wanted"},
        {"\"thickness\": 3, \"count\": 2,\n \"good", "\"thickness\": 3, \"count\": 4,\n \"good",
         "rack/plate: 4 wanted, 2 placed and 0 named as left out"},
        {"\"thickness\": 3, \"times\": 1", "\"thickness\": 3, \"times\": 2",
         "rack/plate: 4 placed, only 2 wanted"},
        {"\"part\": \"angle\", \"count\": 1", "\"part\": \"foot\", \"count\": 1",
         "rack/angle: 3 wanted, 2 placed"},
        {",\n{\"part\":\"rack/angle\"," ANGLE2 ",\"mirrored\":false}", "",
         "rack/angle: 3 wanted, 1 placed and 1 named as left out"},
        {PLATE2, "\"copy\":2,\"x\":213,\"y\":8,\"rotation\":0,\"mirrored\":true",
         "rack/plate#2 lies turned over"},
        {"\"S1\", \"material\": \"mild\"", "\"S1\", \"material\": \"stainless\"",
         "rack/plate#1 is of mild"},
        {"\"S1\", \"material\": \"mild\", \"thickness\": 3",
         "\"S1\", \"material\": \"mild\", \"thickness\": 2", "the sheet of mild 2 mm"},
        {"{\"part\": \"rack/disc\"", "{\"part\": \"rack/plate\"",
         "blank rack/plate is listed twice"},
    };
    cr_assert_geq(COUNT(faults), 20);
    check_all(faults, COUNT(faults));
}

Test(verify_nest_faults, small_changes_that_stay_legal_pass) {
    static const struct change fine[] = {
        {PLATE2, "\"copy\":2,\"x\":112.9998,\"y\":8,\"rotation\":0,\"mirrored\":false", NULL},
        {PLATE2, "\"copy\":2,\"x\":213,\"y\":68,\"rotation\":180,\"mirrored\":false", NULL},
        {PLATE2, "\"copy\":2,\"x\":213,\"y\":68,\"rotation\":-900,\"mirrored\":false", NULL},
        {DISC1, "\"copy\":1,\"x\":61,\"y\":38", NULL},
        {DISC1, "\"copy\":1,\"x\":55.878680,\"y\":40.121320", NULL}, // 3 mm at 135 degrees
        {DISC2, "\"copy\":2,\"x\":163,\"y\":41,\"rotation\":12.3,\"mirrored\":false", NULL},
        {ANGLE1, "\"copy\":1,\"x\":88,\"y\":73,\"rotation\":90", NULL},
        {ANGLE1, "\"copy\":1,\"x\":88,\"y\":153,\"rotation\":180", NULL},
        {"\"x\":8,\"y\":8", "\"x\":8,\"y\":7.9999", NULL},
        {"\"part\": \"angle\", \"count\": 1", "\"part\": \"rack/angle\", \"count\": 1", NULL},
        {"\"part\": \"angle\", \"count\": 1", "\"part\": \"\", \"count\": 1", NULL},
    };
    check_all(fine, COUNT(fine));
}

Test(verify_nest_faults, a_file_of_another_form_is_refused_with_its_key) {
    static const struct change broken[] = {
        {"\"blanks\"", "\"planks\"", "blanks: expected a list"},
        {"\"count\": 2", "\"count\": -2", "blanks[0].count: expected a whole number"},
        {"\"count\": 2", "\"count\": \"2\"", "blanks[0].count: expected a whole number"},
        {"\"x\":8", "\"x\":1e99", "sheets[0].placements[0].x: expected a number within"},
        {"\"x\":8", "\"x\":null", "sheets[0].placements[0].x: expected a number"},
        {"[70,30,-1]", "[70,30,-3]", "blanks[0].holes: expected bulges within"},
        {"[70,30,-1],", "", "blanks[0].holes: expected an outline of 2 points"},
        {"\"times\": 1", "\"times\": 0", "sheets[0].times: expected a whole number above 0"},
        {"\"spacing\": 5", "\"spacing\": -5", "sheets[0].spacing: expected a length"},
        {"\"mirrored\":false", "\"mirrored\":0", "sheets[0].placements[0].mirrored: expected true"},
        {"\"copy\":1,", "", "sheets[0].placements[0].copy: expected a whole number"},
        {"]}]}", "]}]", ""},
    };
    for (int i = 0; i < COUNT(broken); i++) {
        struct kw_arena a = {0};
        struct kw_verdict v = {.arena = &a};
        struct kw_error err = {0};
        enum kw_status s = judge(&v, changed(&a, broken[i].old, broken[i].fresh), &err);
        cr_expect_eq(s, KW_FORMAT, "\"%s\": %s", broken[i].fresh, err.text);
        cr_expect(strstr(err.text, broken[i].says) != NULL, "\"%s\": %s", broken[i].fresh,
                  err.text);
        kw_arena_free(&a);
    }
}

Test(verify_nest_faults, a_folder_without_run_json_is_said_to_be_missing) {
    struct kw_arena a = {0};
    struct kw_verdict v = {.arena = &a};
    struct kw_error err = {0};
    cr_expect_eq(kw_judge_nests("/nonexistent-folder", &v, &err), KW_MISSING);
    kw_arena_free(&a);
}
