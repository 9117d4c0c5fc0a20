// SPDX-License-Identifier: Apache-2.0
// Any bytes as run.json, before each judge that reads it: refused, or judged; an "ok" has looked at
// something or there was nothing to look at. The torch program beside it is of one part.
#include "verify/verify.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef enum kw_status judge(const char *, size_t, struct kw_verdict *, struct kw_error *);

static void ask(judge *j, const char *text, size_t size) {
    struct kw_arena a = {0};
    struct kw_verdict v = {.arena = &a};
    struct kw_error err = {0};
    enum kw_status s = j(text, size, &v, &err);
    kw_assert((s == KW_OK) == (err.status == KW_OK));
    kw_assert(s != KW_OK || v.fault_count == 0);
    kw_assert(v.fault_count == 0 || s == KW_JUDGE);
    kw_arena_free(&a);
}

static const char program[] =
    "G21 G90 G91.1 G40\nF3000\nG0 X5 Y5\nM3\nG4 P0.5\nG1 X10 Y5\nG1 X110 Y5\n"
    "G1 X110 Y60\nG1 X10 Y60\nG1 X10 Y5\nM5\nM2\n";

static enum kw_status of_program(const char *text, size_t size, struct kw_verdict *v,
                                 struct kw_error *err) {
    return kw_judge_program_text(text, size, "S1", program, sizeof program - 1, v, err);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char *text = malloc(size + 1); // judges may look for an end
    kw_assert(text);
    memcpy(text, data, size);
    text[size] = 0;
    ask(kw_judge_nests_text, text, size);
    ask(kw_judge_tubes_text, text, size);
    ask(kw_judge_fits_text, text, size);
    ask(kw_judge_sticks_text, text, size);
    ask(of_program, text, size);
    free(text);
    return 0;
}
