/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/dice.h"

#include <math.h>

double dice_between(struct dice *d, double low, double high)
{
    return low + (high - low) * dice_even(d);
}

/* One draw each time and the second of the pair thrown away: no state besides the seed. */
double dice_normal(struct dice *d)
{
    const double two_pi = 6.28318530717958647692;
    const double u = 1.0 - dice_even(d), v = dice_even(d);

    return sqrt(-2.0 * log(u)) * cos(two_pi * v);
}
