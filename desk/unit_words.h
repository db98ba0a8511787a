/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Amounts inside a sentence, in the farm's own units: "8 in", "20 cm". All live in the arena given; NULL when it is
 * full.
 */
#ifndef DESK_UNIT_WORDS_H
#define DESK_UNIT_WORDS_H

#include "core/base/arena.h"
#include "desk/farm_words.h"

const char *words_temp(const struct desk_place *place, double temp_c, struct arena *mem);
const char *words_depth(const struct desk_place *place, double depth_m, struct arena *mem);
const char *words_length(const struct desk_place *place, double length_m, struct arena *mem); /* m or ft */
const char *words_mass(const struct desk_place *place, double mass_kg,
                       struct arena *mem); /* under 10 kg with one digit more */
/* What is bought or stored: from 200 kg or lb up to the next ten, from 2,000 to the next fifty, so that it says no more
 * than is known. */
const char *words_store(const struct desk_place *place, double mass_kg, struct arena *mem);

#endif
