/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Hours of weather in the farm file: past years, observed hours, forecasts as they were issued. Compact, exact: what is
 * put in comes out bit for bit (but minus zero), and what was known at a change number can be read again.
 *
 * A lot is what came at one time from one source: one forecast, one import. Hours of a newer lot of the same source and
 * sort stand before those of an older one; forecasts are kept lot by lot, so that they can be held against what came.
 */
#ifndef FARM_WEATHER_STORE_H
#define FARM_WEATHER_STORE_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/hour.h"
#include "core/base/status.h"
#include "farm/farm.h"

enum weather_sort { WEATHER_PAST, WEATHER_OBSERVED, WEATHER_FORECAST, WEATHER_TYPED, WEATHER_SORTS };
extern const char *const weather_sort_name[WEATHER_SORTS]; /* "past years" "observed" "forecast" "typed" */

struct weather_lot { /* texts "" when not known; in the arena given */
    int64_t number;  /* of the change that stored it; filled when put */
    enum weather_sort sort;
    const char *source;    /* "US national forecast", "ISD-Lite 725300-94846": hours with one name are one source */
    int64_t issued_utc_s;  /* when it was made; 0 not known */
    int64_t fetched_utc_s; /* when it came here; 0 = now */
    int64_t expires_utc_s; /* 0 not known */
    const char *address;   /* where it was fetched from */
    const char *etag, *last_modified, *expires; /* headers as they came, for asking again */
    const char *credit;                         /* line to show */
    const char *place;
    double lat_deg, lon_deg, elevation_m; /* NAN not known */
    int64_t first_utc_s, last_utc_s;      /* hours it holds; filled */
    size_t n_hours;                       /* filled */
};

/* Store hours (any order; doubles of one moment: the last wins). Past years and observed hours that are there
 * already, the same, are not stored twice. hour.source is not kept (it is given as 0 on reading).
 * Returned  lot->number, first, last, n_hours. A forecast equal to the newest of its source updates that one's
 *           fetched time and headers instead of making another. */
enum status farm_weather_put(struct farm *farm, struct weather_lot *lot, size_t n, const struct hour hours[],
                             const struct farm_meta *meta, struct message *why) MUST_USE;

/* 304 "not modified": the newest lot of the source has been seen again. */
enum status farm_weather_seen(struct farm *farm, const char *source, int64_t fetched_utc_s, int64_t expires_utc_s,
                              const char *expires, struct message *why) MUST_USE;

/* Lots, newest first. source NULL = all; sort WEATHER_SORTS = all. */
enum status farm_weather_lots(struct farm *farm, const char *source, enum weather_sort sort, int64_t known_to,
                              struct arena *mem, struct weather_lot **lots, size_t *n, struct message *why) MUST_USE;

/* Hours of one lot (a forecast) that begin in from .. to, both included, sorted. */
enum status farm_weather_of_lot(struct farm *farm, int64_t lot, int64_t from_utc_s, int64_t to_utc_s, struct arena *mem,
                                struct hour **hours, size_t *n, struct message *why) MUST_USE;

/* Hours of a source and sort, all lots merged, newer before older; source NULL = every source of the sort, one after
 * the other in time, the newest lot winning. */
enum status farm_weather_hours(struct farm *farm, const char *source, enum weather_sort sort, int64_t from_utc_s,
                               int64_t to_utc_s, int64_t known_to, struct arena *mem, struct hour **hours, size_t *n,
                               struct message *why) MUST_USE;

/* The same, held packed as the file holds them: some 20 bytes an hour. Given back by farm_weather_unpack(), by any thread. */
struct weather_packed;
enum status farm_weather_packed(struct farm *farm, const char *source, enum weather_sort sort, int64_t from_utc_s,
                                int64_t to_utc_s, int64_t known_to, struct arena *mem, struct weather_packed **packed,
                                size_t *n, struct message *why) MUST_USE;
/* Hours first .. first + most - 1 of those n. */
void farm_weather_unpack(const void *packed, size_t first, size_t most, struct hour out[]);

/* The same window of every year there is: day `first_day` (1..366, of the year, UTC) for n_days; hours sorted. */
enum status farm_weather_season(struct farm *farm, const char *source, int first_day, int n_days, int64_t known_to,
                                struct arena *mem, struct hour **hours, size_t *n, struct message *why) MUST_USE;

/* What sources there are. */
struct weather_holding {
    const char *source;
    enum weather_sort sort;
    int64_t first_utc_s, last_utc_s;
    size_t n_lots, n_hours;
};
enum status farm_weather_holdings(struct farm *farm, int64_t known_to, struct arena *mem,
                                  struct weather_holding **holdings, size_t *n, struct message *why) MUST_USE;

/* A small thing to remember by name, outside the facts and the journal: what was fetched last, and when to ask again.
 * bytes NULL forgets it. At most FARM_REMEMBER_BYTES. */
enum { FARM_REMEMBER_BYTES = 8 * 1024 * 1024 };
enum status farm_remember(struct farm *farm, const char *name, const char *bytes, size_t n,
                          struct message *why) MUST_USE;
/* ST_NOT_FOUND; *bytes ends in a 0 past n. */
enum status farm_recall(struct farm *farm, const char *name, struct arena *mem, const char **bytes, size_t *n,
                        struct message *why) MUST_USE;

#endif
