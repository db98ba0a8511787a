/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Air by chance for tests of the newborn.
 */
#ifndef TESTS_CORE_PIGLET_CASE_H
#define TESTS_CORE_PIGLET_CASE_H

#include <math.h>

#include "core/piglet/piglet.h"
#include "tests/prop.h"

/* One hour about a temperature, on one floor with one depth of straw. */
static inline struct piglet_air case_hour(struct dice *d, double temp_c, double wind_mps, enum piglet_floor on,
                                          double straw_m)
{
    const double now_c = temp_c + prop_between(d, -2.0, 2.0);

    return (struct piglet_air){
        .air_c = now_c,
        .rh = prop_between(d, 0.4, 1.0),
        .draught_mps = wind_mps * prop_between(d, 0.5, 1.5),
        .radiant_c = now_c - prop_between(d, -3.0, 8.0),
        .bed_c = fmax(-3.0, now_c),
        .floor = on,
        .straw_m = straw_m,
        .straw = (enum straw_state)(int)prop_between(d, 0.0, 2.999),
        .wet_least = prop_between(d, 0.0, 1.0) < 0.1 ? 0.3 : 0.0,
    };
}

#endif
