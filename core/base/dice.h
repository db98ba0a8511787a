/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Dice: random numbers from a seed that the caller owns; the same seed gives the same numbers everywhere.
 * Not for secrets.
 */
#ifndef CORE_BASE_DICE_H
#define CORE_BASE_DICE_H

#include <stdint.h>

struct dice {
    uint64_t state;
};

static inline struct dice dice_from(uint64_t seed)
{
    return (struct dice){ seed };
}

/* SplitMix64: Steele, Lea & Flood (2014) */
static inline uint64_t dice_bits(struct dice *d)
{
    uint64_t z = (d->state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

/* uniform, 0 <= x < 1 */
static inline double dice_even(struct dice *d)
{
    return (double)(dice_bits(d) >> 11) * 0x1p-53;
}

double dice_between(struct dice *d, double low, double high); /* uniform */
double dice_normal(struct dice *d);                           /* mean 0, sd 1; Box and Muller (1958) */

#endif
