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
    "\"drops\":[],\"pierces\":5,\"cut_length\":700}],\"left_out\":[]}";

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct kw_arena arena = {0};
    struct kw_verdict verdict = {.arena = &arena};
    struct kw_error err = {0};
    enum kw_status s = kw_judge_program_text(run_json, sizeof run_json - 1, "S1",
                                             (const char *)data, size, &verdict, &err);
    // An answer is a pass or a refusal with its reason; run.json itself is good.
    if (s != KW_OK && (s != KW_JUDGE || verdict.fault_count == 0)) __builtin_trap();
    kw_arena_free(&arena);
    return 0;
}
