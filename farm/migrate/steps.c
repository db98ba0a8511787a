/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Version 1 is the first. The next one begins with a row
 *     { 2, "0002_name", "UPDATE ..." },
 */
#include "farm/migrate/steps.h"

static const struct farm_step steps[] = {
    { 1, "0001_first", "" },
};

const struct farm_step *const farm_steps = steps;
const size_t farm_n_steps = sizeof steps / sizeof steps[0];
