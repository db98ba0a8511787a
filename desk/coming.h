/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The hours to come at this place: readings, forecasts and past years merged into one line, with the place's own
 * offsets laid on, the sun of each hour, and fifteen versions of it. Everything lives in the arena given.
 */
#ifndef DESK_COMING_H
#define DESK_COMING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/hour.h"
#include "core/base/status.h"
#include "core/nest/nest.h"
#include "core/outlook/outlook.h"
#include "desk/farm_words.h"
#include "desk/answer.h"
#include "farm/farm.h"
#include "farm/zone.h"
#include "weather/series.h"

struct coming {
    int64_t from_utc_s;       /* the whole hour that holds the moment asked about */
    size_t n_before, n_hours; /* hours of the past days first (straw has got wet), then the hours asked for */
    struct hour *line;        /* n_before + n_hours */
    struct nest_sun *sun;     /* of each */
    bool *daylight;           /* sun above the horizon in the middle of the hour */
    struct hour *member;      /* OUTLOOK_MEMBERS x (n_before + n_hours); the past is the same in each */
    size_t n_firm;            /* hours of n_hours that are read or forecast */
    struct series series;
    const struct series_source *sources;
    size_t n_sources;
    const char *forecast_name; /* "US national forecast"; NULL = there is no forecast */
    int64_t forecast_made_utc_s;
    const char *credit; /* NULL none is asked for */
    const char **note;  /* sentences */
    size_t n_notes;
    struct outlook_spread spread;
    size_t n_pairs;                   /* forecasts held against own readings */
    const struct outlook_pair *pair;  /* those, by hour and then by when the forecast was made */
    struct outlook_verified verified; /* how good past forecasts were; all counts 0 without pairs */
    struct outlook_site site;         /* the place's own offsets */
    bool site_learned;
};

/* Given     known_to  number of the newest change to be known; 0 = all
 *           n_hours   1 .. 336 from the hour that holds at_utc_s; n_before hours before it, 0 .. 96
 * Fails     ST_NOT_FOUND when no temperature and wind is known for any of the hours: the sentence says how to get some;
 *           hours past the end of what is known are left out (n_hours is then smaller than asked) */
enum status coming_read(struct farm *farm, const struct desk_place *place, const struct zone *zone, int64_t at_utc_s,
                        int64_t known_to, size_t n_before, size_t n_hours, struct arena *mem, struct coming *c,
                        struct message *why) MUST_USE;

/* The weather part of an answer: where it comes from, how old it is, its hours as columns. */
void coming_answer(const struct coming *c, int64_t at_utc_s, struct answer *parent);

/* Does frost come in the first so many hours from now? false without weather (NULL). */
bool coming_frost_within(const struct coming *c, size_t hours);

#endif
