// SPDX-License-Identifier: Apache-2.0
// Any bytes as a torch program, judged against one small sheet: never a crash, always an answer.
#include "verify/verify.h"

#include <string.h>

static const char run_json[] =
    "{\"blanks\":[{\"part\":\"k/a\",\"material\":\"m\",\"thickness\":3,\"count\":2,"
    "\"outer\":[[0,0,0],[60,0,0],[60,20,0],[30,20,0],[30,40,0.4142],[20,50,0],[0,50,0]],"
    "\"holes\":[[[10,10,-1],[20,10,-1]]]}],"
    "\"sheets\":[{\"id\":\"S1\",\"material\":\"m\",\"thickness\":3,\"program\":\"s.nc\","
    "\"outline\":[[0,0,0],[200,0,0],[200,100,0],[0,100,0]],\"times\":1,\"kerf\":1.5,"
    "\"spacing\":6,\"margin\":8,\"placements\":["
    "{\"part\":\"k/a\",\"copy\":1,\"x\":20,\"y\":20,\"rotation\":0,\"mirrored\":false},"
    "{\"part\":\"k/a\",\"copy\":2,\"x\":180,\"y\":20,\"rotation\":30,\"mirrored\":true}],"
    "\"tabs\":[{\"at\":[50,20],\"width\":2}],\"marks\":[{\"from\":[20,40],\"to\":[21.6,40]}],"
    "\"drops\":[],\"pierces\":5,\"cut_length\":700,\"feed\":50,\"hole_feed\":0.6,"
    "\"hole_feed_below\":25,\"corner_feed\":0.7,\"zone\":4,\"pierce_delay\":0.5,"
    "\"pierce_height\":4,\"cut_height\":1.5,\"travel_height\":50,\"table\":[200,100],"
    "\"stops\":[2],\"controller\":{\"lock\":\"M50 P0\",\"unlock\":\"M50 P1\",\"stop\":\"M1\","
    "\"lines\":[\"M50 P0\",\"M50 P1\",\"M1\"]}}],\"left_out\":[]}";

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct kw_arena arena = {0};
    struct kw_verdict verdict = {.arena = &arena};
    struct kw_error err = {0};
    enum kw_status s = kw_judge_program_text(run_json, sizeof run_json - 1, "S1",
                                             (const char *)data, size, &verdict, &err);
    // An answer is a pass or a refusal with its reason; run.json itself is good.
    if (s != KW_OK && (s != KW_JUDGE || verdict.fault_count == 0)) __builtin_trap();
    static const char *const lines[] = {"M50 P0", "M50 P1", "M1"};
    const struct kw_backplot_words words = {.lines = lines, .line_count = 3};
    const char *text = (const char *)data, *cut = memchr(text, '(', size);
    size_t from = cut ? (size_t)(cut - text) : size / 2; // the rest as a program that goes on
    struct kw_error restart = {0};
    s = kw_judge_restart(text, size, text + from, size - from, &words, &restart);
    if (s != KW_OK && (s != KW_JUDGE || !*restart.text)) __builtin_trap();
    kw_arena_free(&arena);
    return 0;
}
