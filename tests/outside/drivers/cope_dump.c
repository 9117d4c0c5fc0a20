// SPDX-License-Identifier: Apache-2.0
// Reads lines "onto angle offset radius", writes the cut's reach at 72 lines round the tube.
#include "tube/tube.h"

#include <stdio.h>

int main(void) {
    double onto, angle, offset, radius;
    while (scanf("%lf %lf %lf %lf", &onto, &angle, &offset, &radius) == 4) {
        struct kw_tube_cope c = {onto, angle, offset};
        for (int i = 0; i < 72; i++)
            printf("%.17g ", kw_tube_cope_at(&c, radius, i * KW_PI / 36));
        printf("\n");
    }
    return 0;
}
