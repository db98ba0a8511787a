/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What would change a season's plan, its groups and its pigs by week, in words: a part of what show_season() prints. */
#ifndef DOORS_SHOW_SAY_SEASON_CHOICES_H
#define DOORS_SHOW_SAY_SEASON_CHOICES_H

#include "desk/answer.h"
#include "doors/show/show.h"

const char *say_season_day(const struct answer *a, const char *path, char out[static 24]); /* "12 Oct"; "-" none */
void say_season_groups(const struct answer *a, const struct show_how *how,
                       struct text *out); /* several runs, by hand */
void say_season_choices(const struct answer *a, const struct show_how *how, struct text *out);
void say_season_sales(const struct answer *a, const struct show_how *how, struct text *out);
void say_season_wishes(const struct answer *a, const struct show_how *how, struct text *out); /* which to give up */
void say_season_cold(const struct answer *a, const struct show_how *how, struct text *out);   /* by week of birth */

#endif
