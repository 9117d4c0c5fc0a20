// SPDX-License-Identifier: Apache-2.0
// Any bytes as a run.json with fitted ends: refused with a place, judged, and never read beyond.
#include "verify/verify.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct kw_arena a = {0};
    struct kw_verdict verdict = {.arena = &a};
    struct kw_error err = {0};
    enum kw_status s = kw_judge_fits_text((const char *)data, size, &verdict, &err);
    kw_assert(s == KW_OK || s == KW_FORMAT || s == KW_JUDGE);
    kw_assert((s == KW_OK) == (err.status == KW_OK));
    kw_assert((s == KW_JUDGE) == (verdict.fault_count > 0 && s != KW_FORMAT));
    kw_arena_free(&a);
    return 0;
}
