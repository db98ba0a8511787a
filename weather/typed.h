/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A forecast typed by hand: what was heard on the radio or read on a page, turned into hours.
 *
 * "low 12F, wind SW 15 mph, rain until 21:00" as one text, or the same figures one by one from flags.
 */
#ifndef WEATHER_TYPED_H
#define WEATHER_TYPED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/hour.h"
#include "core/base/status.h"

struct typed {
    double now_c; /* NAN: not given, as for every figure here */
    double low_c, high_c;
    int64_t low_utc_s, high_utc_s;            /* 0: by the shape of the day */
    double wind_mps, gust_mps, wind_from_deg; /* direction NAN: not said, or variable */
    bool wind_variable;
    double rh, cloud_oktas;
    bool dry, rain, snow;     /* dry: said to stay dry; snow: it falls as snow */
    int64_t rain_from_utc_s;  /* 0: from the first hour */
    int64_t rain_until_utc_s; /* 0: to the last hour */
    double rain_mm, snow_cm;  /* in all; NAN: 1 mm of rain or 1 cm of snow an hour is taken, and said */
};

struct typed typed_nothing(void); /* every figure NAN or 0 */

/* "SW", "southwest", "south-west", "wsw", "220", "220deg" -> degrees; "variable" -> NAN and *variable.
 * Fails ST_BAD_INPUT, message field `field`. */
enum status typed_compass(const char *text, const char *field, double *from_deg, bool *variable,
                          struct message *why) MUST_USE;

/* A name alone: "SW", "southwest", "south-west", "southwesterly". False: no such point of the sixteen. */
bool typed_point(const char *text, double *from_deg);

/* One text. Parts are separated by commas or semicolons; words in any case:
 *   now 20F | low 12F [at 05:00] | high 25F [at 2pm] | wind [SW] [15 mph] [gusts 30 mph] | gusts 30 mph | calm
 *   rain [4 mm] [from 18:00] [until 21:00] | snow [5 cm] likewise, depth as it lies | dry | clear | cloudy | overcast
 *   cloud 60% | humidity 80%
 * "tonight", "today", "about", "around" and "of" are passed over. The units are those of core/base/units.h; a bare
 * number is SI (snow: mm of depth). A clock time is the first such time at or after from_utc_s (an until: after the
 * from).
 *
 * Given     text            at most 400 bytes
 *           from_utc_s      the first hour meant
 *           offset_s        of the farm's clock from UTC, east positive
 * Returned  *out            untouched on failure
 * Fails     ST_BAD_INPUT naming the part that is not understood and what would be
 */
enum status typed_read(const char *text, int64_t from_utc_s, int offset_s, struct typed *out,
                       struct message *why) MUST_USE;

/* Hours from the figures.
 *
 * Given     t
 *           from_utc_s      a whole hour
 *           n_hours         1 .. 240
 *           solar_noon_utc_s one solar noon of the place, any day
 *           day_length_s    from sunrise to sunset in that season; under 4 h or over 20 h is taken as 4 or 20 h (only
 *                           the shape of the day hangs on it), so that polar places work too
 * Returned  *hours          n_hours in mem
 *           note, n_notes   what was assumed, in sentences
 * Shape     low 0.17 h before sunrise, high 1.86 h after solar noon, sine by day, exponential fall by night
 *           (Parton & Logan 1981; here the fall reaches the low, theirs stops 11 % above it). A low alone: falls from
 *           `now` to it and stays there, or holds throughout; that is the colder way to take it, and said
 * Fails     ST_BAD_INPUT low above high, a high without a low, gust below wind, wind from the impossible, rain that
 *           ends before it starts or lies outside the hours, dry and wet at once, nothing given at all
 */
enum status typed_hours(const struct typed *t, int64_t from_utc_s, size_t n_hours, int64_t solar_noon_utc_s,
                        double day_length_s, struct arena *mem, struct hour **hours, const char ***note,
                        size_t *n_notes, struct message *why) MUST_USE;

#endif
