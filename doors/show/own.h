/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Questions with a text of their own. Each function draws from the answer tree alone.
 */
#ifndef DOORS_SHOW_OWN_H
#define DOORS_SHOW_OWN_H

#include "doors/show/show.h"

typedef void show_function(const struct answer *a, const struct show_how *how, struct text *out);

struct show_own {
    const char *question;
    show_function *show;
};
extern const struct show_own show_own[]; /* question NULL at the end */

/* pieces of the reckoning */
show_function show_piece_inbreeding, show_piece_kinship;
show_function show_piece_sun, show_piece_beam, show_piece_air, show_piece_wind_chill, show_piece_wind_at,
    show_piece_lee, show_piece_driving_rain, show_piece_hours, show_piece_nights, show_piece_facing, show_piece_due,
    show_piece_piglet, show_piece_nest, show_piece_pairings, show_piece_notch;

show_function show_tonight, show_due, show_shelters, show_weather, show_round, show_calendar, show_where, show_field,
    show_try, show_sow, show_herd, show_kinship, show_pairings, show_founders, show_season, show_keep, show_paper;

#endif
