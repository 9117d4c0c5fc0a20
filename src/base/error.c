// SPDX-License-Identifier: Apache-2.0
// The error record: the first failure wins, because the deepest function knows best.
#include "base/base.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

int kw_exit_code(enum kw_status s) {
    static const int code[] = {
#define X(name, exit_code, meaning) exit_code,
        KW_STATUS_LIST(X)
#undef X
    };
    return code[s];
}

enum kw_status kw_fail(struct kw_error *err, enum kw_status s, struct kw_place at, const char *fmt,
                       ...) {
    if (err && err->status == KW_OK) {
        va_list args;
        va_start(args, fmt);
        vsnprintf(err->text, sizeof err->text, fmt, args);
        va_end(args);
        err->status = s;
        err->at = at;
        if (at.file) {
            snprintf(err->file_name, sizeof err->file_name, "%s", at.file);
            err->at.file = err->file_name;
        }
    }
    return s;
}

void kw_error_line(const struct kw_error *err, char *buf, size_t size) {
    const char *file = err->at.file;
    if (file && err->at.line > 0 && err->at.column > 0) {
        snprintf(buf, size, "%s:%d:%d: %s", file, err->at.line, err->at.column, err->text);
    } else if (file && err->at.line > 0) {
        snprintf(buf, size, "%s:%d: %s", file, err->at.line, err->text);
    } else if (file) {
        snprintf(buf, size, "%s: %s", file, err->text);
    } else {
        snprintf(buf, size, "%s", err->text);
    }
}

_Noreturn void kw_bug(const char *claim, const char *file, int line) {
    fprintf(stderr,
            "kitwright: a fault of ours at %s:%d: this should hold: %s\n"
            "Nothing was written. Please report it with the shop folder.\n",
            file, line, claim);
#ifdef FUZZING_BUILD_MODE_UNSAFE_FOR_PRODUCTION
    abort(); // the fuzzer keeps the input that led here
#endif
    _Exit(70);
}
