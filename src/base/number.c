// SPDX-License-Identifier: Apache-2.0
// Numbers as text: the same bytes on every machine and in every locale.
#include "base/base.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

char *kw_fixed(char buf[static KW_NUMBER_SIZE], double v, int decimals) {
    static const double scale[] = {1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
    kw_assert(decimals >= 0 && decimals <= 9);
    kw_assert(fabs(v) < 1e12); // false for NaN and infinities too
    // Beyond 2^53 steps the last digits are noise; fewer decimals then.
    while (decimals > 0 && fabs(v) * scale[decimals] > 9e15)
        decimals--;
    long long n = llround(fabs(v) * scale[decimals]);
    long long unit = (long long)scale[decimals];
    const char *sign = v < 0 && n != 0 ? "-" : "";
    if (decimals == 0) {
        snprintf(buf, KW_NUMBER_SIZE, "%s%lld", sign, n);
    } else {
        snprintf(buf, KW_NUMBER_SIZE, "%s%lld.%0*lld", sign, n / unit, decimals, n % unit);
    }
    return buf;
}

char *kw_number(char buf[static KW_NUMBER_SIZE], double v, int decimals) {
    kw_fixed(buf, v, decimals);
    if (strchr(buf, '.')) {
        char *end = buf + strlen(buf);
        while (end[-1] == '0')
            *--end = 0;
        if (end[-1] == '.') *--end = 0;
    }
    return buf;
}

char *kw_date_text(char buf[static KW_NUMBER_SIZE], int yyyymmdd) {
    snprintf(buf, KW_NUMBER_SIZE, "%04d-%02d-%02d", yyyymmdd / 10000, yyyymmdd / 100 % 100,
             yyyymmdd % 100);
    return buf;
}
