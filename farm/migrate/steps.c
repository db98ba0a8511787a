/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Version 1 is the first. A next one is a row
 *     { 5, "0005_name", "UPDATE ..." },
 */
#include "farm/migrate/steps.h"

static const struct farm_step steps[] = {
    { 1, "0001_first", "" },
    { 2, "0002_door", FARM_DOOR_SQL_1 ";" FARM_DOOR_SQL_2 },
    { 3, "0003_season_and_pairings", "" },
    { 4, "0004_losses", "" },
};

const struct farm_step *const farm_steps = steps;
const size_t farm_n_steps = sizeof steps / sizeof steps[0];
