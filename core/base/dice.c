/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/dice.h"

#include <math.h>

struct dice dice_from(uint64_t seed)
{
    return (struct dice){ seed };
}

uint64_t dice_bits(struct dice *d)
{
    uint64_t z = (d->state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

double dice_even(struct dice *d)
{
    return (double)(dice_bits(d) >> 11) * 0x1p-53;
}

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
