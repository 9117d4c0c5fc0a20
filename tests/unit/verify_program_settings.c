// SPDX-License-Identifier: Apache-2.0
// The judge of programs looks at how the table is driven: feeds, heights, pierce delays, height
// control, stops, the table's edge; and at programs that go on after a stop.
#include "verify_help.h"

#include <stdio.h>
#include <string.h>

// A plate with a small hole and a disc, 1.5 mm kerf, by hand: 50 mm/s, holes at 60 %, corners at 70
// %, torch height locked 4 mm before and after corners and before an end, torch moved by program.
static const char *const run_text =
    "{\"run\":\"t\",\"blanks\":["
    "{\"part\":\"k/a\",\"material\":\"m\",\"thickness\":3,\"count\":1,"
    "\"outer\":[[0,0,0],[60,0,0],[60,40,0],[0,40,0]],\"holes\":[[[22,20,-1],[38,20,-1]]],"
    "\"bends\":[]},"
    "{\"part\":\"k/b\",\"material\":\"m\",\"thickness\":3,\"count\":1,"
    "\"outer\":[[-15,0,1],[15,0,1]],\"holes\":[],\"bends\":[]}],"
    "\"sheets\":[{\"id\":\"S1\",\"material\":\"m\",\"thickness\":3,"
    "\"outline\":[[0,0,0],[200,0,0],[200,100,0],[0,100,0]],\"times\":1,"
    "\"program\":\"sheets/S1.nc\",\"kerf\":1.5,\"spacing\":6,\"margin\":8,\"placements\":["
    "{\"part\":\"k/a\",\"copy\":1,\"x\":20,\"y\":20,\"rotation\":0,\"mirrored\":false},"
    "{\"part\":\"k/b\",\"copy\":1,\"x\":115,\"y\":35,\"rotation\":0,\"mirrored\":false}],"
    "\"tabs\":[],\"marks\":[],\"drops\":[],\"pierces\":3,\"cut_length\":366.976,"
    "\"feed\":50,\"hole_feed\":0.6,\"hole_feed_below\":25,\"corner_feed\":0.7,\"zone\":4,"
    "\"pierce_delay\":0.5,\"pierce_height\":4,\"cut_height\":1.5,\"travel_height\":50,"
    "\"table\":[210,110],\"stops\":[3],\"controller\":{\"torch_on\":\"M3\",\"torch_off\":\"M5\","
    "\"stop\":\"M1\",\"lock\":\"M50 P0\",\"unlock\":\"M50 P1\",\"trace\":true,"
    "\"lines\":[\"M50 P0\",\"M50 P1\",\"M1\"]}}],\"left_out\":[]}";

static const char *const good = "%\n"
                                "(S1)\n"
                                "G21 G90 G17 G40 G94\n"
                                "M5\n"
                                "G0 Z50\n"
                                "G0 X0 Y0\n"
                                "M1\n"
                                "G0 X200 Y0\n"
                                "M1\n"
                                "G0 X15 Y15\n"
                                "M1\n"
                                "(PART a)\n"
                                "G0 X50 Y40\n"
                                "G0 Z4\n"
                                "M3\n"
                                "G4 P0.5\n"
                                "M50 P0\n"
                                "G1 Z1.5 F1800\n"
                                "G1 X57.25 Y40\n"
                                "G3 X42.75 Y40 I-7.25 J0\n"
                                "G3 X57.25 Y40 I7.25 J0\n"
                                "M50 P1\n"
                                "M5\n"
                                "G0 Z50\n"
                                "G0 X14 Y40\n"
                                "G0 Z4\n"
                                "M3\n"
                                "G4 P0.5\n"
                                "G1 Z1.5 F3000\n"
                                "G1 X19.25\n"
                                "G1 Y55\n"
                                "M50 P0\n"
                                "G1 Y60 F2100\n"
                                "G2 X20 Y60.75 I0.75 J0\n"
                                "G1 X25\n"
                                "M50 P1\n"
                                "G1 X75 F3000\n"
                                "M50 P0\n"
                                "G1 X80 F2100\n"
                                "G2 X80.75 Y60 I0 J-0.75\n"
                                "G1 Y55\n"
                                "M50 P1\n"
                                "G1 Y25 F3000\n"
                                "M50 P0\n"
                                "G1 Y20 F2100\n"
                                "G2 X80 Y19.25 I-0.75 J0\n"
                                "G1 X75\n"
                                "M50 P1\n"
                                "G1 X24 F3000\n"
                                "M50 P0\n"
                                "G1 X20 F2100\n"
                                "G2 X19.25 Y20 I0 J0.75\n"
                                "G1 Y24\n"
                                "M50 P1\n"
                                "G1 Y35 F3000\n"
                                "M50 P0\n"
                                "G1 Y40\n"
                                "M50 P1\n"
                                "M5\n"
                                "G0 Z50\n"
                                "(STOP)\n"
                                "M1\n"
                                "(PART b)\n"
                                "G0 X94 Y35\n"
                                "G0 Z4\n"
                                "M3\n"
                                "G4 P0.5\n"
                                "G1 Z1.5\n"
                                "G1 X99.25\n"
                                "G2 X130.75 Y35 I15.75 J0\n"
                                "G2 X100.037 Y30.084 I-15.75 J0\n"
                                "M50 P0\n"
                                "G2 X99.25 Y35 I14.963 J4.916\n"
                                "M50 P1\n"
                                "M5\n"
                                "G0 Z50\n"
                                "M2\n"
                                "%\n";

Test(verify_setting, a_program_with_heights_locks_and_stops_passes) {
    expect("good", run_text, good, NULL);
}

Test(verify_setting, faults_of_driving_are_caught_and_named) {
    static const struct {
        const char *name, *what;
        int nth;
        const char *with, *says;
    } edits[] = {
        {"pierced too low", "G0 Z4\n", 1, "G0 Z3\n", "pierces at a height of 3.00 mm"},
        {"not lowered to pierce", "G0 Z4\n", 2, "", "pierces at a height of 50.00 mm"},
        {"cut too high", "G1 Z1.5 F3000\n", 1, "G1 Z2.5 F3000\n", "cuts at a height of 2.50 mm"},
        {"cut at pierce height", "G1 Z1.5\n", 1, "", "cuts at a height of 4.00 mm"},
        {"height lost in the middle", "G1 X75 F3000\n", 1, "G1 X75 Z0.5 F3000\n",
         "cuts at a height of 0.50 mm"},
        {"no lift", "M5\nG0 Z50\n", 2, "M5\n", "travels at a height of 1.50 mm"},
        {"half a lift", "M5\nG0 Z50\n", 3, "M5\nG0 Z20\n", "travels at a height of 20.00 mm"},
        {"lowered on the travel", "G0 X94 Y35\nG0 Z4\n", 1, "G0 X94 Y35 Z4\n",
         "travels at a height of 4.00 mm"},
        {"height never said", "M5\nG0 Z50\n", 1, "M5\n", "travels at a height of"},
        {"delay short", "G4 P0.5\n", 2, "G4 P0.3\n", "pierces for 0.30 s"},
        {"delay forgotten", "G4 P0.5\n", 3, "", "pierces for 0.00 s"},
        {"delay after the lead-in", "G4 P0.5\nG1 Z1.5 F3000\nG1 X19.25\n", 1,
         "G1 Z1.5 F3000\nG1 X19.25\nG4 P0.5\n", "pierces for 0.00 s"},
        {"hole at full feed", "G1 Z1.5 F1800\n", 1, "G1 Z1.5 F3000\n",
         "cuts at 50.00 mm/s, the rule says 30.00"},
        {"outside at the hole's feed", "G1 X75 F3000\n", 1, "G1 X75 F1800\n",
         "cuts at 30.00 mm/s, the rule says 50.00"},
        {"feed too slow", "G1 Y25 F3000\n", 1, "G1 Y25 F300\n", "cuts at 5.00 mm/s"},
        {"feed too fast", "G1 Y25 F3000\n", 1, "G1 Y25 F3600\n", "cuts at 60.00 mm/s"},
        {"hole not locked", "M50 P0\n", 1, "", "free in a small hole"},
        {"hole let go too soon", "G3 X57.25 Y40 I7.25 J0\n", 1, "M50 P1\nG3 X57.25 Y40 I7.25 J0\n",
         "free in a small hole"},
        {"corner not locked", "M50 P0\nG1 X80 F2100\n", 1, "G1 X80 F2100\n", "free at a corner"},
        {"end not locked", "M50 P0\nG1 Y40\n", 1, "G1 Y40\n", "free at the end of a cut"},
        {"never let go", "M50 P1\nM5\n", 2, "M5\n", "still locked on a travel"},
        {"stop forgotten", "(STOP)\nM1\n", 1, "", "no stop before pierce 3"},
        {"a stop too many", "G0 X14 Y40\n", 1, "M1\nG0 X14 Y40\n",
         "an unlisted stop before pierce 2"},
        {"a stop in the middle of a cut", "G1 X24 F3000\n", 1, "M0\nG1 X24 F3000\n",
         "stops with the torch on"},
        {"trace without its last stop", "G0 X15 Y15\nM1\n", 1, "G0 X15 Y15\n",
         "no stop before pierce 1"},
        {"travel off the table", "G0 X200 Y0\n", 1, "G0 X220 Y0\n", "off the table"},
        {"travel behind the origin", "G0 X0 Y0\n", 1, "G0 X-5 Y0\n", "off the table"},
    };
    cr_expect_geq(sizeof edits / sizeof *edits, 20);
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        struct kw_text t = {0};
        edited(&t, good, edits[i].what, edits[i].nth, edits[i].with);
        expect(edits[i].name, run_text, t.s, edits[i].says);
        kw_text_free(&t);
    }
}

// What goes on at the second part: heading, then all from there.
static void rest_of(struct kw_text *t) {
    kw_text_addn(t, good, (size_t)(place_of(good, "G0 X0 Y0", 1) - good));
    kw_text_add(t, "F3000\n");
    kw_text_add(t, place_of(good, "(PART b)", 1));
}

static enum kw_status judge_rest(const char *rest, struct kw_error *err) {
    static const char *const lines[] = {"M50 P0", "M50 P1", "M1"};
    struct kw_backplot_words words = {
        .torch_on = "M3", .torch_off = "M5", .lines = lines, .line_count = 3};
    *err = (struct kw_error){0};
    return kw_judge_restart(good, strlen(good), rest, strlen(rest), &words, err);
}

Test(verify_setting, a_program_that_goes_on_does_what_the_whole_one_does) {
    static const struct {
        const char *name, *what, *with, *says;
    } edits[] = {
        {"feed not said", "F3000\n", "", "no feed"},
        {"another feed", "F3000\n", "F2400\n", "moves otherwise"},
        {"a move lost", "G2 X130.75 Y35 I15.75 J0\n", "", "radius differs"},
        {"shifted lead-in", "G0 X94 Y35\n", "G0 X95 Y35\n", "moves otherwise"},
        {"not lifted at the end", "M5\nG0 Z50\nM2", "M5\nM2", "other moves"},
        {"delay lost", "G4 P0.5\n", "", "stops, waits or locks"},
        {"not locked", "M50 P0\n", "", "stops, waits or locks"},
        {"torch on from the start", "F3000\n", "M3\nG1 X3 F3000\nM5\nG0 Z50\n", "moves"},
        {"feeds to the pierce", "G0 X94 Y35\n", "G1 X94 Y35\n", "does not travel"},
        {"cuts nothing", "M3\n", "", "cuts nothing"},
    };
    struct kw_text t = {0};
    struct kw_error err;
    rest_of(&t);
    cr_expect_eq(judge_rest(t.s, &err), KW_OK, "%s", err.text);
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        struct kw_text e = {0};
        edited(&e, t.s, edits[i].what, 1, edits[i].with);
        cr_expect(judge_rest(e.s, &err) == KW_JUDGE && strstr(err.text, edits[i].says), "%s: %s",
                  edits[i].name, err.text);
        kw_text_free(&e);
    }
    kw_text_free(&t);
}
