/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Keeping the record, for doors: writing facts down, taking them back, carrying them in and out, weather from outside.
 * Doors reach farm/ and weather/ through this header alone.
 */
#ifndef DESK_KEEPING_H
#define DESK_KEEPING_H

#include "core/base/text.h"
#include "farm/exchange.h"
#include "farm/farm.h"
#include "farm/json_room.h"
#include "farm/keep.h"
#include "farm/weather_store.h"

/* One typed field of a fact to be recorded. */
struct said {
    const char *field, *text;
};

/* Record one fact (or, where a field may be named several times, one fact for each) from texts as typed.
 *
 * Given     kind      "sow" and "gilt", "boar" are taken as animal with `is` filled in
 *           said      field or flag names; a moment field that is required and not said is `now_utc_s`
 *           uid       NULL or the recorder's own (one fact only)
 * Returned  *outcomes in mem, *n of them
 * Fails     as farm_record(); several are all kept or none
 */
enum status keep_record(struct farm *farm, const char *kind, size_t n_said, const struct said said[],
                        const struct farm_meta *meta, int64_t now_utc_s, struct arena *mem,
                        struct farm_outcome **outcomes, size_t *n, struct message *why) MUST_USE;

/* True for the moment a fact needs and that is now unless it was said; false for what is seldom written down at once, a
 * service for example: its day is asked for. */
bool keep_now_will_do(const struct fact_kind *kind, size_t field);

/* The fact kind behind a word, NULL: none. */
const struct fact_kind *keep_kind(const char *word);

/* A file of weather -> the farm file. sort: WEATHER_PAST, WEATHER_OBSERVED or WEATHER_FORECAST. Hours still to come are
 * refused as anything but a forecast (field "as"); a typical year (EPW) has no real dates and is not looked at for that. */
struct kept_weather {
    enum weather_sort sort;
    size_t n_hours;
    int64_t first_utc_s, last_utc_s;
    const char *source, *format; /* "ISD-Lite" */
    const char *const *note;
    size_t n_notes, n_rejected;
    const char *first_rejected;
};
struct keep_weather_how {
    enum weather_sort sort;
    const char *name;
    const char *columns, *where;
    int64_t issued_utc_s;
    bool ahead; /* refuse hours that are all past: as a forecast they are of no use */
    bool tell;  /* take the sort from the hours: WEATHER_PAST when all are past, else WEATHER_FORECAST */
};
enum status keep_weather_file(struct farm *farm, const char *path, const struct keep_weather_how *how,
                              int64_t now_utc_s, struct arena *mem, struct kept_weather *kept,
                              struct message *why) MUST_USE;

/* Ask a forecast service and keep what it says; the last good forecast stays when it fails. base NULL = the usual
 * address. */
struct keep_fetch_how {
    const char *service, *base, *contact;
    bool plain_loopback;
};
enum status keep_weather_fetch(struct farm *farm, const struct keep_fetch_how *how, int64_t now_utc_s,
                               struct arena *mem, struct text *report, struct message *why) MUST_USE;

/* The line that the source of the newest forecast wants to see beside it; NULL: none. */
const char *keep_weather_credit(struct farm *farm, struct arena *mem);

/* "low 12F, wind SW 15 mph, rain until 21:00" -> hours from now on. */
enum status keep_weather_typed(struct farm *farm, const char *text, int64_t now_utc_s, size_t n_hours,
                               struct arena *mem, struct text *report, struct message *why) MUST_USE;

#endif
