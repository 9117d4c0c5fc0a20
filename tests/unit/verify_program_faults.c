// SPDX-License-Identifier: Apache-2.0
// The judge of programs: a good program passes, planted faults are named.
#include "verify/rs274.h"
#include "verify/verify.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

// Two plates (an L with a round hole; the second turned over) and a small part with a round
// corner, 1.5 mm kerf. Written by hand, so that it owes nothing to the planner.
static const char *const run_head =
    "{\"run\":\"t\",\"blanks\":["
    "{\"part\":\"shelf/plate\",\"material\":\"m\",\"thickness\":3,\"count\":2,"
    "\"outer\":[[0,0,0],[100,0,0],[100,40,0],[60,40,0],[60,80,0],[0,80,0]],"
    "\"holes\":[[[20,30,-1],[40,30,-1]]],\"bends\":[]},"
    "{\"part\":\"shelf/tab\",\"material\":\"m\",\"thickness\":3,\"count\":1,"
    "\"outer\":[[0,0,0],[30,0,0],[30,10,0.41421356237309503],[20,20,0],[0,20,0]],\"holes\":[],"
    "\"bends\":[]}],"
    "\"sheets\":[{\"id\":\"S1\",\"material\":\"m\",\"thickness\":3,"
    "\"outline\":[[0,0,0],[310,0,0],[310,200,0],[0,200,0]],\"times\":1,\"program\":\"sheets/"
    "S1.nc\","
    "\"kerf\":1.5,\"spacing\":6,\"margin\":8,\"placements\":["
    "{\"part\":\"shelf/plate\",\"copy\":1,\"x\":20,\"y\":20,\"rotation\":0,\"mirrored\":false},"
    "{\"part\":\"shelf/plate\",\"copy\":2,\"x\":290,\"y\":100,\"rotation\":0,\"mirrored\":true},"
    "{\"part\":\"shelf/tab\",\"copy\":1,\"x\":200,\"y\":50,\"rotation\":90,\"mirrored\":false}],"
    "\"tabs\":[],\"marks\":[{\"from\":[20,80],\"to\":[21.6,80]}],\"drops\":[],";

static const char *const good[] = {
    "%",
    "(SHEET S1)",
    "G21 G90 G17 G40", // 0
    "G0 X20 Y80",
    "M3",
    "G4 P0.5",
    "G1 X21.6 F3000",
    "M5", // 3 mark
    "(PART plate 1)",
    "G0 X50 Y50",
    "M3",
    "G4 P0.5",
    "G1 X59.25 Y50 F1800", // 8 hole
    "G3 X40.75 Y50 I-9.25 J0",
    "G3 X59.25 Y50 I9.25 J0",
    "M5", // 13
    "G0 X14 Y60",
    "M3",
    "G4 P0.5",
    "G1 X19.25 Y60 F3000",
    "G1 Y100", // 16 outside
    "G2 X20 Y100.75 I0.75 J0",
    "G1 X80",
    "G2 X80.75 Y100 I0 J-0.75", // 21
    "G1 Y60.75",
    "G1 X120",
    "G2 X120.75 Y60 I0 J-0.75",
    "G1 Y20", // 24
    "G2 X120 Y19.25 I-0.75 J0",
    "G1 X20",
    "G2 X19.25 Y20 I0 J0.75",
    "G1 Y60", // 28
    "M5",     // 32
    "(PART plate 2)",
    "G0 X260 Y130",
    "M3",
    "G1 X269.25 F1800", // 33 hole
    "G3 X250.75 Y130 I-9.25 J0",
    "G3 X269.25 Y130 I9.25 J0",
    "M5", // 37
    "G0 X296 Y140",
    "M3",
    "G1 X290.75 F3000",
    "G1 Y100", // 40 outside
    "G2 X290 Y99.25 I-0.75 J0",
    "G1 X190",
    "G2 X189.25 Y100 I0 J0.75", // 44
    "G1 Y140",
    "G2 X190 Y140.75 I0.75 J0",
    "G1 X229.25",
    "G1 Y180", // 47
    "G2 X230 Y180.75 I0.75 J0",
    "G1 X290",
    "G2 X290.75 Y180 I0 J-0.75", // 51
    "G1 Y140",
    "M5", // 54
    "(PART tab 1)",
    "G0 X206 Y65",
    "M3",
    "G1 X200.75",
    "G1 Y50", // 56
    "G2 X200 Y49.25 I-0.75 J0",
    "G1 X180",
    "G2 X179.25 Y50 I0 J0.75", // 61
    "G1 Y70",
    "G2 X190 Y80.75 I10.75 J0",
    "G1 X200", // 64
    "G2 X200.75 Y80 I0 J-0.75",
    "G1 Y65",
    "M5",
    "M2",
    "%", // 67
};
enum { LINES = sizeof good / sizeof *good };
// By hand: mark 1.6; holes 2 (9.25 + 2 pi 9.25); plates 2 (5.25 + 360 - 2 * 0.75 + 5 pi 0.75 / 2);
// tab 5.25 + 30 + 10 + 20 + 20 + pi 10.75 / 2 + 3 pi 0.75 / 2.
#define CUT_LENGTH 981.3

struct edit {
    const char *name;
    int line, count;     // lines taken out
    const char *with[4]; // lines put in
    const char *says;
};

static void run_json(char *text, size_t size, const char *extra) {
    snprintf(text, size, "%s\"pierces\":6,\"cut_length\":%.1f%s}],\"left_out\":[]}", run_head,
             CUT_LENGTH, extra);
}

static void program_text(struct kw_text *t, const struct edit *e) {
    for (int i = 0; i < LINES; i++) {
        for (int k = 0; e && i == e->line && k < 4 && e->with[k]; k++)
            kw_text_addf(t, "%s\n", e->with[k]);
        if (!e || i < e->line || i >= e->line + e->count) kw_text_addf(t, "%s\n", good[i]);
    }
}

static enum kw_status judge(const char *run, const struct kw_text *program,
                            struct kw_verdict *verdict) {
    struct kw_error err = {0};
    return kw_judge_program_text(run, strlen(run), "S1", program->s, program->length, verdict,
                                 &err);
}

static bool says(const struct kw_verdict *v, const char *what) {
    for (int i = 0; i < v->fault_count && i < 100; i++)
        if (strstr(v->faults[i], what)) return true;
    return false;
}

static void expect(const char *name, const char *run, const struct kw_text *program,
                   const char *what) {
    struct kw_arena arena = {0};
    struct kw_verdict v = {.arena = &arena};
    enum kw_status s = judge(run, program, &v);
    if (what) {
        cr_expect_eq(s, KW_JUDGE, "%s: status %d", name, s);
        cr_expect(says(&v, what), "%s: expected \"%s\", first of %d: %s", name, what, v.fault_count,
                  v.fault_count ? v.faults[0] : "nothing");
    } else {
        cr_expect_eq(s, KW_OK, "%s: %s", name, v.fault_count ? v.faults[0] : "?");
        cr_expect_gt(v.looked_at, 20);
    }
    kw_arena_free(&arena);
}

Test(verify_program, a_program_written_by_hand_passes) {
    struct kw_text t = {0};
    char run[3000];
    run_json(run, sizeof run, "");
    program_text(&t, NULL);
    expect("good", run, &t, NULL);
    kw_text_free(&t);
}

Test(verify_program, every_planted_fault_is_caught_and_named) {
    static const struct edit edits[] = {
        {"straight line dropped", 24, 2, {"G1 X120 Y60.75"}, "plate#1"},
        {"arc dropped", 48, 1, {0}, "plate#2"},
        {"arc dropped before an arc", 51, 1, {0}, "radius differs"},
        {"last line dropped", 68, 1, {0}, "tab#1"},
        {"corner moved 0.2 mm into the part",
         25,
         1,
         {"G1 X100", "G1 X110 Y60.55", "G1 X120 Y60.75"},
         "into shelf/plate#1"},
        {"side 0.2 mm off the part",
         27,
         1,
         {"G1 X120.95", "G1 Y20", "G1 X120.75"},
         "outside is not followed"},
        {"hole 0.2 mm small",
         12,
         3,
         {"G1 X59.05 Y50 F1800", "G3 X40.95 Y50 I-9.05 J0", "G3 X59.05 Y50 I9.05 J0"},
         "plate#1"},
        {"hole 0.2 mm large",
         12,
         3,
         {"G1 X59.45 Y50 F1800", "G3 X40.55 Y50 I-9.45 J0", "G3 X59.45 Y50 I9.45 J0"},
         "0.20 mm into shelf/plate#1 hole 1"},
        {"wrong arc direction", 21, 1, {"G3 X20 Y100.75 I0.75 J0"}, "into shelf/plate#1"},
        {"wrong direction of a large arc", 65, 1, {"G3 X190 Y80.75 I10.75 J0"}, "tab#1"},
        {"torch left on between cuts", 15, 3, {"G0 X14 Y60"}, "rapid move with the torch on"},
        {"torch off forgotten", 15, 1, {0}, "on while it is on"},
        {"torch never off", 69, 1, {0}, "torch is on at the end"},
        {"torch not lit", 58, 1, {"(lost)", 0}, "torch off"},
        {"a part is missing", 57, 13, {0}, "tab#1 outside is not cut"},
        {"a hole is missing", 34, 6, {0}, "plate#2 hole 1 is not cut"},
        {"a hole cut twice",
         16,
         0,
         {"G0 X50 Y50\nM3\nG1 X59.25 Y50 F1800", "G3 X40.75 Y50 I-9.25 J0",
          "G3 X59.25 Y50 I9.25 J0", "M5"},
         "cut 2 times"},
        {"feed zero", 12, 1, {"G1 X59.25 Y50 F0"}, "no feed"},
        {"wrong units", 2, 1, {"G20 G90 G17 G40"}, "outside the sheet"},
        {"units not said", 2, 1, {"G90 G17 G40"}, "G20 or G21"},
        {"incremental", 2, 1, {"G21 G91 G17 G40"}, "sheet S1"},
        {"radius mismatch", 65, 1, {"G2 X190 Y80.75 I10.757 J0"}, "radius differs"},
        {"arc without centre", 65, 1, {"G2 X190 Y80.75"}, "without centre"},
        {"arc end on the wrong point", 65, 1, {"G2 X190 Y59.25 I10.75 J0", "G1 Y80.75"}, "tab#1"},
        {"pierce inside the part", 16, 1, {"G0 X25 Y60"}, "pierces shelf/plate#1"},
        {"lead crosses a neighbour", 57, 1, {"G0 X206 Y106"}, "pierces shelf/plate#2"},
        {"lead too near another part", 57, 1, {"G0 X206 Y99.5"}, "into shelf/plate#2"},
        {"stops before it closes", 31, 1, {"G1 Y59.7"}, "from where it began"},
        {"a cut through scrap alone",
         69,
         0,
         {"M5", "G0 X150 Y10", "M3", "G1 X160"},
         "follows no outline"},
        {"a cut through a part", 69, 0, {"M5", "G0 X100 Y30", "M3", "G1 X110"}, "pierces"},
        {"runs away after the cut", 55, 0, {"G1 X296"}, "follows no outline"},
        {"goes off the sheet", 55, 0, {"G1 X312"}, "outside the sheet"},
        {"mark forgotten", 3, 5, {0}, "cut 0 times"},
        {"mark too long", 6, 1, {"G1 X22.6 F3000"}, "cut 0 times"},
        {"a mark that is not listed",
         8,
         0,
         {"G0 X20 Y90", "M3", "G1 X21.6 F3000", "M5"},
         "plate#1"},
        {"unclosed comment", 1, 1, {"(SHEET S1"}, "unclosed comment"},
        {"no end", 70, 2, {0}, "without an end"},
        {"pierce that cuts nothing", 8, 0, {"M3", "M5"}, "cuts nothing"},
    };
    char run[3000];
    run_json(run, sizeof run, "");
    cr_expect_geq(sizeof edits / sizeof *edits, 30);
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        struct kw_text t = {0};
        program_text(&t, &edits[i]);
        expect(edits[i].name, run, &t, edits[i].says);
        kw_text_free(&t);
    }
}

// The moves from `line` to `end` (not included), all shifted by (dx, dy) or mirrored.
static void shifted(struct kw_text *t, double dx, double dy, bool mirror) {
    for (int i = 0; i < LINES; i++) {
        for (const char *c = good[i]; *c;) {
            double v;
            int used;
            bool word =
                strchr("XYIJ", *c) && good[i][0] != '(' && sscanf(c + 1, "%lf%n", &v, &used);
            if (!word) {
                kw_text_addn(t, c++, 1);
                continue;
            }
            double sign = mirror && (*c == 'X' || *c == 'I') ? -1 : 1;
            double move = *c == 'X' ? (mirror ? 310 : dx) : *c == 'Y' ? dy : 0;
            kw_text_addf(t, "%c%.4f", *c, sign * v + move);
            c += 1 + used;
        }
        if (mirror && strncmp(good[i], "G2 ", 3) == 0)
            t->s[strlen(t->s) - strlen(strrchr(t->s, 'G')) + 1] = '3';
        else if (mirror && strncmp(good[i], "G3 ", 3) == 0)
            t->s[strlen(t->s) - strlen(strrchr(t->s, 'G')) + 1] = '2';
        kw_text_add(t, "\n");
    }
}

Test(verify_program, the_whole_program_shifted_or_mirrored_is_caught) {
    static const struct {
        const char *name;
        double dx, dy;
        bool mirror;
        const char *says;
    } cases[] = {
        {"shifted by nothing", 0, 0, false, NULL},
        {"shifted 0.02", 0.02, 0, false, NULL},
        {"shifted 0.2 in x", 0.2, 0, false, "into"},
        {"shifted 0.2 in y", 0, -0.2, false, "into"},
        {"mirrored", 0, 0, true, "tab#1 outside is not cut"},
    };
    char run[3000];
    run_json(run, sizeof run, "");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_text t = {0};
        shifted(&t, cases[i].dx, cases[i].dy, cases[i].mirror);
        expect(cases[i].name, run, &t, cases[i].says);
        kw_text_free(&t);
    }
}

static void move_lines(struct kw_text *t, int from, int count, int before) {
    for (int i = 0; i < LINES; i++) {
        for (int k = 0; i == before && k < count; k++)
            kw_text_addf(t, "%s\n", good[from + k]);
        if (i < from || i >= from + count) kw_text_addf(t, "%s\n", good[i]);
    }
}

Test(verify_program, an_outside_before_its_hole_is_caught) {
    struct kw_text t = {0};
    char run[3000];
    run_json(run, sizeof run, "");
    move_lines(&t, 16, 17, 9);
    expect("order", run, &t, "is cut before shelf/plate#1 hole 1");
    kw_text_free(&t);
}

static void replaced(char *run, size_t size, const char *what, const char *with) {
    char whole[3000];
    run_json(whole, sizeof whole, "");
    char *at = strstr(whole, what);
    cr_assert_not_null(at, "%s", what);
    snprintf(run, size, "%.*s%s%s", (int)(at - whole), whole, with, at + strlen(what));
}

Test(verify_program, totals_and_words_of_run_json_are_held_against_the_program) {
    static const struct {
        const char *what, *with, *says;
    } cases[] = {
        {"\"pierces\":6", "\"pierces\":7", "6 pierces, run.json says 7"},
        {"\"cut_length\":981.3", "\"cut_length\":988.2", "run.json says 988.2"},
        {"\"cut_length\":981.3", "\"cut_length\":985.0", NULL},
        {"\"pierces\":6,", "", "no pierces"},
        {"\"kerf\":1.5", "\"kerf\":1.8", "into"},
        {"\"kerf\":1.5", "\"kerf\":1.3", "not"},
        {"\"kerf\":1.5", "\"kerf\":0", "kerf of 0"},
        {"\"pierces\":6", "\"feed\":49.9,\"pierces\":6", "cuts at 50.00 mm/s, the rule says 49.90"},
        {"\"pierces\":6", "\"feed\":50,\"hole_feed\":0.6,\"hole_feed_below\":25,\"pierces\":6",
         NULL},
        {"\"pierces\":6", "\"feed\":50,\"pierces\":6", "cuts at 30.00 mm/s, the rule says 50.00"},
        {"\"pierces\":6", "\"feed\":50,\"hole_feed\":0.5,\"hole_feed_below\":25,\"pierces\":6",
         "cuts at 30.00 mm/s, the rule says 25.00"},
        {"\"tabs\":[]", "\"tabs\":[{\"at\":[70,20],\"width\":2}]", "is 0.00 mm wide, not 2.00"},
        {"\"drops\":[]", "\"drops\":[],\"scrap_cuts\":[{\"from\":[5,5],\"to\":[9,5]}]",
         "the cut in scrap at (5.00, 5.00) is cut 0 times"},
        {"\"drops\":[]", "\"drops\":[],\"taken\":[[[5,55],[13.2,55],[13.2,65],[5,65]]]", NULL},
        {"\"drops\":[]", "\"drops\":[],\"taken\":[[[5,55],[13.4,55],[13.4,65],[5,65]]]",
         "cuts what an earlier run placed"},
        {"\"drops\":[]", "\"drops\":[],\"keep_out\":[[[5,55],[13.2,55],[13.2,65],[5,65]]]", NULL},
        {"\"drops\":[]", "\"drops\":[],\"keep_out\":[[[5,55],[13.4,55],[13.4,65],[5,65]]]",
         "cuts where a clamp holds or the sheet is spoiled"},
        {"\"drops\":[]", "\"drops\":[],\"taken\":[[[5,5],[99,5],[99,99],[5,99]]]",
         "cuts what an earlier run placed"},
        {"\"mirrored\":true", "\"mirrored\":false", "plate#2"},
        {"\"rotation\":90", "\"rotation\":89", "tab#1"},
        {"\"rotation\":90", "\"rotation\":450", NULL},
        {"\"part\":\"shelf/tab\",\"copy\"", "\"part\":\"shelf/bat\",\"copy\"", "no known blank"},
        {"[310,0,0],[310,200,0]", "[295,0,0],[295,200,0]", "outside the sheet"},
        {"\"pierces\"", "\"controller\":{\"torch_on\":\"M4\"},\"pierces\"", "torch off"},
        {"\"pierces\"", "\"controller\":{\"torch_on\":\"M3\",\"torch_off\":\"M5\"},\"pierces\"",
         NULL},
    };
    struct kw_text t = {0};
    program_text(&t, NULL);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char run[3000];
        replaced(run, sizeof run, cases[i].what, cases[i].with);
        expect(cases[i].with, run, &t, cases[i].says);
    }
    kw_text_free(&t);
}
