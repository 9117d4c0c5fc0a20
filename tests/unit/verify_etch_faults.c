// SPDX-License-Identifier: Apache-2.0
// The judge of programs looks at what a scribe etches.
#include "verify_help.h"

// A disc of 15 mm with a line and an arc on it, a scribe 10 mm to the right of the torch; by hand.
static const char *const run_text =
    "{\"blanks\":[{\"part\":\"k/b\",\"material\":\"m\",\"thickness\":3,\"count\":1,"
    "\"outer\":[[-15,0,1],[15,0,1]],\"holes\":[],"
    "\"marks\":[[[-5,0,0],[3,0,0]],[[0,5,-1],[0,-5,0]]]}],"
    "\"sheets\":[{\"id\":\"S1\",\"material\":\"m\",\"thickness\":3,"
    "\"outline\":[[0,0,0],[200,0,0],[200,100,0],[0,100,0]],\"times\":1,"
    "\"program\":\"sheets/S1.nc\",\"kerf\":1.5,\"spacing\":6,\"margin\":8,\"placements\":["
    "{\"part\":\"k/b\",\"copy\":1,\"x\":115,\"y\":35,\"rotation\":0,\"mirrored\":false}],"
    "\"tabs\":[],\"marks\":[],\"drops\":[],\"pierces\":1,\"cut_length\":104.2,\"table\":[210,110],"
    "\"unetched\":[],\"stops\":[],\"controller\":{\"torch_on\":\"M3\",\"torch_off\":\"M5\","
    "\"stop\":\"M1\",\"trace\":false,\"scribe\":{\"down\":\"M7\",\"up\":\"M9\",\"delay\":0.2,"
    "\"feed\":100,\"from_torch\":[10,0]},\"lines\":[\"M1\",\"M7\",\"M9\"]}}],\"left_out\":[]}";

static const char *const good = "G21 G90 G17 G40 G94\n"
                                "M5\n"
                                "M9\n"
                                "(ETCH b)\n"
                                "G0 X100 Y35\n"
                                "M7\n"
                                "G4 P0.2\n"
                                "G1 X108 F6000\n"
                                "M9\n"
                                "G0 X105 Y40\n"
                                "M7\n"
                                "G4 P0.2\n"
                                "G2 Y30 I0 J-5\n"
                                "M9\n"
                                "(PART b)\n"
                                "G0 X94 Y35\n"
                                "M3\n"
                                "G1 X99.25 F3000\n"
                                "G2 X130.75 Y35 I15.75 J0\n"
                                "G2 X99.25 Y35 I-15.75 J0\n"
                                "M5\n"
                                "M2\n";

Test(verify_etch, lines_where_the_marks_are_pass) {
    expect("good", run_text, good, NULL);
}

Test(verify_etch, faults_in_programs_are_caught_and_named) {
    static const struct {
        const char *name, *what;
        int nth;
        const char *with, *says;
    } edits[] = {
        {"a line too far", "G1 X108 F6000\n", 1, "G1 X108.2 F6000\n", "etches where there is no"},
        {"a line too short", "G1 X108 F6000\n", 1, "G1 X107.8 F6000\n", "a mark is not etched"},
        {"a line forgotten", "M7\nG4 P0.2\nG2 Y30 I0 J-5\nM9\n", 1, "", "a mark is not etched"},
        {"by the torch's middle", "G0 X100 Y35\n", 1, "G0 X90 Y35\n", "etches where there is no"},
        {"the other half of the arc", "G2 Y30", 1, "G3 Y30", "etches where there is no"},
        {"etched twice", "M9\nG0 X105 Y40\n", 1, "G1 X100\nM9\nG0 X105 Y40\n", "etches 31.7 mm"},
        {"rapid with the scribe down", "M9\nG0 X105 Y40\n", 1, "G0 X105 Y40\nM9\n", "a rapid move"},
        {"lowered twice", "M9\nG0 X105 Y40\nM7\n", 1, "G0 X105 Y40\nM7\n", "read for its scribe"},
        {"too fast", "F6000", 1, "F9000", "etches at another feed"},
        {"too slow", "F6000", 1, "F600", "etches at another feed"},
        {"no wait", "G4 P0.2\n", 2, "", "the scribe waits 0.00 s at its line 2"},
        {"half a wait", "G4 P0.2\n", 1, "G4 P0.1\n", "the scribe waits 0.10 s at its line 1"},
        {"never lifted", "M9\n(PART b)\n", 1, "(PART b)\n", "a rapid move"},
        {"down at the end", "M5\nM2\n", 1, "M5\nM7\nM2\n", "down at the end"},
        {"torch on over it", "G1 X108 F6000\n", 1, "M3\nG1 X108 F6000\nM5\n",
         "the scribe is down while the torch is on"},
        {"cut with the scribe down", "G1 X99.25 F3000\n", 1, "M7\nG1 X99.25 F3000\n",
         "the scribe is down while the torch is on"},
        {"feed with neither", "(PART b)\n", 1, "(PART b)\nG1 X50 Y50 F3000\n",
         "a feed move with the torch off"},
        {"after the cut", "M5\nM2\n", 1, "M5\nG0 X100\nM7\nG4 P0.2\nG1 X108 F6000\nM9\nM2\n",
         "etches after the first pierce"},
    };
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        struct kw_text t = {0};
        edited(&t, good, edits[i].what, edits[i].nth, edits[i].with);
        expect(edits[i].name, run_text, t.s, edits[i].says);
        kw_text_free(&t);
    }
}

Test(verify_etch, faults_in_run_json_are_caught_and_named) {
    static const struct {
        const char *name, *what, *with, *says;
    } edits[] = {
        {"turned over", "\"mirrored\":false", "\"mirrored\":true", "on its wrong side"},
        {"out of the part", "[3,0,0]]", "[25,0,0]]", "a mark of k/b#1 leaves it"},
        {"no scribe", "\"scribe\":", "\"spare\":", "and no scribe"},
        {"left out but etched", "\"unetched\":[]",
         "\"unetched\":[{\"part\":\"k/b\",\"copy\":1,\"mark\":0}]",
         "etches where there is no mark"},
        {"another scribe", "[10,0]", "[10,1]", "etches where there is no mark"},
    };
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        struct kw_text t = {0};
        edited(&t, run_text, edits[i].what, 1, edits[i].with);
        expect(edits[i].name, t.s, good, edits[i].says);
        kw_text_free(&t);
    }
}

Test(verify_etch, the_way_played_tells_what_the_scribe_draws) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    const char *const lines[] = {"M1", "M7", "M9"};
    struct kw_backplot_words w = {
        .torch_on = "M3", .torch_off = "M5", .lines = lines, .line_count = 3};
    struct kw_torch_move *v;
    int count, etched = 0, cut = 0;
    cr_assert_eq(kw_torch_moves(&a, good, strlen(good), &w, 250, &v, &count, &err), KW_OK);
    for (int i = 0; i < count; i++) {
        etched += v[i].etch;
        cut += v[i].cut;
        cr_expect_not(v[i].etch && v[i].cut);
        if (v[i].etch) cr_expect_str_eq(v[i].block, "b");
    }
    cr_expect_eq(etched, 2);
    cr_expect_eq(cut, 3);
    kw_arena_free(&a);
}
