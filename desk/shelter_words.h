/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How a shelter stands, in words: "door to W (275°), 12 cm of dry straw, no flap".
 */
#ifndef DESK_SHELTER_WORDS_H
#define DESK_SHELTER_WORDS_H

#include "core/nest/nest.h"
#include "desk/farm_words.h"

const char *shelter_words(const struct desk_place *place, const struct shelter *is, struct arena *mem);
const char *shelter_point(double deg); /* nearest of 16 points: "SSE" */

#endif
