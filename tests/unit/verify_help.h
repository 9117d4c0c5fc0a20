// SPDX-License-Identifier: Apache-2.0
// Programs and run.json with one thing changed, and what the judge of programs says of them.
#pragma once

#include "verify/verify.h"

#include <criterion/criterion.h>
#include <string.h>

// The `nth` place of `what`, from 1.
static inline const char *place_of(const char *text, const char *what, int nth) {
    const char *at = strstr(text, what);
    while (at && --nth > 0)
        at = strstr(at + 1, what);
    cr_assert_not_null(at, "%s", what);
    return at;
}

static inline void edited(struct kw_text *t, const char *text, const char *what, int nth,
                          const char *with) {
    const char *at = place_of(text, what, nth);
    kw_text_addn(t, text, (size_t)(at - text));
    kw_text_add(t, with);
    kw_text_add(t, at + strlen(what));
}

/// `says`: a part of one of the faults; NULL: there are none.
static inline void expect(const char *name, const char *run, const char *program,
                          const char *says) {
    struct kw_arena arena = {0};
    struct kw_verdict v = {.arena = &arena};
    struct kw_error err = {0};
    enum kw_status s =
        kw_judge_program_text(run, strlen(run), "S1", program, strlen(program), &v, &err);
    bool said = false;
    for (int i = 0; says && i < v.fault_count; i++)
        said = said || strstr(v.faults[i], says);
    if (says)
        cr_expect(s == KW_JUDGE && said, "%s: expected \"%s\", first of %d: %s", name, says,
                  v.fault_count, v.fault_count ? v.faults[0] : "nothing");
    else
        cr_expect_eq(s, KW_OK, "%s: %s", name, v.fault_count ? v.faults[0] : err.text);
    kw_arena_free(&arena);
}
