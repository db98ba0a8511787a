/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the farm itself says of itself: its zone, its units, its place.
 */
#ifndef DESK_FARM_WORDS_H
#define DESK_FARM_WORDS_H

#include <stdbool.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

struct farm;
struct zone;

struct desk_place {
    const char *name;
    double lat_deg, lon_deg, elevation_m, declination_deg; /* NAN: not recorded */
    const char *zone;
    bool us_units;
};

/* From the fact `farm`; a farm file without one is refused with what to record. */
enum status desk_place(struct farm *farm, int64_t known_to, struct arena *mem, struct desk_place *place,
                       struct message *why) MUST_USE;
enum status desk_zone(struct farm *farm, struct arena *mem, const struct zone **zone, struct message *why) MUST_USE;
bool desk_us_units(struct farm *farm);

/* The newest value of a fact `setting`; NULL: none, or it could not be read (for want of memory: the arena is full). */
const char *desk_setting(struct farm *farm, const char *name, struct arena *mem);

/* The moment a question is about when nobody says otherwise: the clock's, or the one at which the farm stands still
 * (the setting `show-at`, as in the demo farm). */
int64_t desk_now(struct farm *farm, int64_t clock_utc_s, struct arena *mem);

#endif
