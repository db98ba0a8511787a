/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a season wants of feed, straw and hands, in words: a part of what show_season() prints. */
#ifndef DOORS_SHOW_SAY_SEASON_NEEDS_H
#define DOORS_SHOW_SAY_SEASON_NEEDS_H

#include "desk/answer.h"
#include "doors/show/show.h"

void say_season_needs(const struct answer *a, const struct show_how *how, struct text *out);

#endif
