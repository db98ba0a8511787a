/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One series of hours from many: for each hour and each figure the best source that has it, and where it came from.
 *
 * Order: own reading at the place, observed, newest forecast, older forecast, past years of the same season. Beyond
 * the end of the forecast the past years take over, blended over six hours. What no source has is filled by the rules
 * below and said so, or stays NAN.
 *
 *   temperature, dew point, humidity, wind, gust, pressure   straight line between two values up to 6 h apart
 *   direction       the shorter way round between two values up to 6 h apart; never through calm or variable wind
 *   sky             the last value carried at most 3 h; else 4 oktas
 *   rain            0 where the hours before and after, at most 3 h apart, are dry; else not known
 * Past years are never used to fill a hole inside the forecast, only beyond its end. A source whose steps are longer
 * than an hour goes through weather_fill() first, which spreads a step's rain over its hours.
 */
#ifndef WEATHER_SERIES_H
#define WEATHER_SERIES_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/hour.h"
#include "core/base/status.h"

enum series_rank {
    SERIES_OWN = 0,    /* read at the place */
    SERIES_OBSERVED,   /* a station */
    SERIES_FORECAST,   /* several: the newest wins, by made_utc_s. Typed hours are forecasts too */
    SERIES_PAST_YEARS, /* hours of past years given the dates of the window: outlook_analog_hours() */
    SERIES_RANKS
};
extern const char *const series_rank_name[SERIES_RANKS]; /* "own reading", "observed", "forecast", "past years" */

struct series_source {
    enum series_rank rank;
    const char *name;   /* "own thermometer", "US national forecast of 15:00": shown to people */
    int64_t made_utc_s; /* when it was made or fetched; among equals the later wins */
    size_t n_hours;
    const struct hour *hours; /* any order; hours outside the window are passed over */
};

enum series_field { /* the order of enum hour_field's bits */
                    SERIES_TEMP = 0,
                    SERIES_DEW_POINT,
                    SERIES_RH,
                    SERIES_WIND,
                    SERIES_GUST,
                    SERIES_WIND_FROM,
                    SERIES_CLOUD,
                    SERIES_RAIN,
                    SERIES_SNOW,
                    SERIES_SUN,
                    SERIES_PRESSURE,
                    SERIES_FIELDS
};
extern const char *const series_field_name[SERIES_FIELDS]; /* "temperature", "dew point" ... */

enum { SERIES_NOT_KNOWN = -1, SERIES_BY_RULE = -2, SERIES_BLENDED = -3 }; /* else an index of the sources given */

struct series_hour {
    struct hour is; /* .source: where the temperature came from, as from[SERIES_TEMP] */
    short from[SERIES_FIELDS];
};

struct series {
    size_t n_hours;
    struct series_hour *hours;     /* consecutive, the first at from_utc_s */
    size_t n_firm;                 /* hours up to the end of readings and forecasts; the rest leans on past years */
    int64_t newest_forecast_utc_s; /* made_utc_s of the newest forecast used; 0 = none */
    size_t n_missing[SERIES_FIELDS], n_filled[SERIES_FIELDS], n_blended; /* hours */
    const char **note; /* what was filled, blended, missing, in sentences */
    size_t n_notes;
};

/* Merge.
 *
 * Given     from_utc_s      a whole hour
 *           n_hours         1 .. 8784
 *           sources         n_sources of them, 0 .. 1000
 *           mem             where the series lives
 * Returned  *out
 * Moisture  dew point and humidity come from one source. Where the temperature comes from another, the humidity is
 *           kept and the dew point left NAN for the caller to work out again; with no humidity the dew point is kept,
 *           not above the temperature, and marked as filled
 * Fails     ST_BAD_INPUT from_utc_s, n_hours; ST_NO_MEMORY
 */
enum status series_merge(int64_t from_utc_s, size_t n_hours, size_t n_sources, const struct series_source sources[],
                         struct arena *mem, struct series *out, struct message *why) MUST_USE;

/* The plain hours of a series, for core. NULL when the arena is full. */
struct hour *series_plain(const struct series *s, struct arena *mem) MUST_USE;

/* Who gave a figure, in words: the source's name, "not known", "by rule", "between forecast and past years". */
const char *series_from_name(int from, size_t n_sources, const struct series_source sources[]);

#endif
