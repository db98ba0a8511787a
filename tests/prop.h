/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Properties: say what must hold for every input, and try a few thousand.
 * The seed is fixed, so a red run is red again; PROP_SEED=... tries others. */
#ifndef TESTS_PROP_H
#define TESTS_PROP_H

#include <stdint.h>
#include <stdlib.h>

#include "core/base/dice.h"

static inline struct dice prop_start(void)
{
    const char *seed = getenv("PROP_SEED");
    return dice_from(seed ? strtoull(seed, NULL, 10) : 20260101);
}

#define prop_between dice_between
#define prop_bits    dice_bits

#endif
