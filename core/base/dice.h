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

struct dice dice_from(uint64_t seed);
uint64_t dice_bits(struct dice *d);                           /* SplitMix64: Steele, Lea & Flood (2014) */
double dice_even(struct dice *d);                             /* uniform, 0 <= x < 1 */
double dice_between(struct dice *d, double low, double high); /* uniform */
double dice_normal(struct dice *d);                           /* mean 0, sd 1; Box and Muller (1958) */

#endif
