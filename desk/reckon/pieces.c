/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pieces of the reckoning that can be asked for by themselves: `leenest reckon NAME`. */
#include "desk/reckon/reckon.h"

const struct question *const pieces[] = {
    &piece_sun,          &piece_beam,       &piece_air,     &piece_wind_chill, &piece_wind_at, &piece_lee,
    &piece_driving_rain, &piece_hours,      &piece_nights,  &piece_facing,     &piece_due,     &piece_piglet,
    &piece_nest,         &piece_inbreeding, &piece_kinship, &piece_pairings,   &piece_notch,   NULL,
};
