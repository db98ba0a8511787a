/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Weather files as the pieces take them: one set of flags, one way to read, one way to say what was read.
 */
#ifndef DESK_RECKON_WEATHER_IN_H
#define DESK_RECKON_WEATHER_IN_H

#include "desk/question.h"
#include "weather/weather.h"

/* The first parameters of every such piece; its own begin at WIN_END. */
enum { WIN_WEATHER, WIN_COLUMNS, WIN_WHERE, WIN_FROM, WIN_TO, WIN_AT, WIN_ZONE, WIN_END };

/* clang-format off */
#define WEATHER_IN_PARAMS \
    [WIN_WEATHER] = { "weather", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED | PARAM_REPEAT, \
                      "weather files; what they are is found from their content" }, \
    [WIN_COLUMNS] = { "columns", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, \
                      "any hourly CSV: time=HEADER,temp=HEADER:F,wind=HEADER:mph and dew_point, rh, " \
                      "gust, wind_from, rain, cloud" }, \
    [WIN_WHERE] = { "where", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, \
                 "HEADER=VALUE: the rows to keep, one station of several" }, \
    [WIN_FROM] = { "from", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, \
                   "the first hour to keep; a date alone is its midnight" }, \
    [WIN_TO] = { "to", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the last hour to keep; a date alone is the whole day" }, \
    [WIN_AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, \
                 "near when METAR or TAF were sent: they tell the day of the month alone" }, \
    [WIN_ZONE] = { "zone", P_ZONE, Q_NUMBER, 0, 0, "UTC", NULL, 0, "time zone: of dates, months and times without an offset" }
/* clang-format on */

/* All files as one. */
enum status weather_in_read(const struct asked *q, struct weather *w, struct message *why) MUST_USE;

/* The same for pieces that take each hour once: two stations with one hour are refused with what to do. */
enum status weather_in_read_once(const struct asked *q, struct weather *w, struct message *why) MUST_USE;

/* Local standard time minus UTC of the asked zone when the hours were (at the first of them). */
int weather_in_standard_s(const struct asked *q, const struct weather *w);

/* Is the hour in these months by local standard time? months 0 = all. */
bool weather_in_month(const struct hour *h, int standard_s, unsigned months);

/* Where the hours came from and what was wrong with them, as members of `a`. */
void weather_in_answer(const struct weather *w, struct answer *a);

#define SHAPE_WEATHER_IN                                                                                               \
    { "format", SHAPE_TEXT, false, "what the files are" }, { "place", SHAPE_TEXT, true, "as the file names it" },      \
        { "lat_deg", SHAPE_REAL, true, "" }, { "lon_deg", SHAPE_REAL, true, "" },                                      \
        { "elevation_m", SHAPE_REAL, true, "" }, { "sources", SHAPE_LIST, false, "format and station" },               \
        { "sources[]", SHAPE_TEXT, false, "" }, { "credit", SHAPE_TEXT, true, "line to show with the data" },          \
        { "rows", SHAPE_WHOLE, false, "rows or reports read" },                                                        \
        { "doubles", SHAPE_WHOLE, false, "reports dropped for a later one of the same hour" },                         \
        { "calm", SHAPE_WHOLE, false, "hours without wind" },                                                          \
        { "variable", SHAPE_WHOLE, false, "hours with wind from no steady side" },                                     \
        { "trace", SHAPE_WHOLE, false, "hours with a trace of rain" },                                                 \
        { "missing", SHAPE_OBJECT, false, "hours without the value" }, { "missing.temp_c", SHAPE_WHOLE, false, "" },   \
        { "missing.dew_point_c", SHAPE_WHOLE, false, "" }, { "missing.rh", SHAPE_WHOLE, false, "" },                   \
        { "missing.wind_mps", SHAPE_WHOLE, false, "" }, { "missing.gust_mps", SHAPE_WHOLE, false, "" },                \
        { "missing.wind_from_deg", SHAPE_WHOLE, false, "" }, { "missing.cloud_oktas", SHAPE_WHOLE, false, "" },        \
        { "missing.rain_mm", SHAPE_WHOLE, false, "" }, { "missing.snow_cm", SHAPE_WHOLE, false, "" },                  \
        { "missing.ghi_w_m2", SHAPE_WHOLE, false, "" }, { "missing.pressure_kpa", SHAPE_WHOLE, false, "" },            \
        { "rejected", SHAPE_LIST, false, "values and rows that could not be taken" },                                  \
        { "rejected[]", SHAPE_OBJECT, false, "" },                                                                     \
        { "rejected[].line", SHAPE_WHOLE, true, "null: the format has no lines" },                                     \
        { "rejected[].field", SHAPE_TEXT, true, "null: the row" }, { "rejected[].says", SHAPE_TEXT, false, "" },       \
        { "rejected_count", SHAPE_WHOLE, false, "all of them; the list stops at 200" },                                \
        { "notes", SHAPE_LIST, false, "what was assumed, merged, dropped" },                                           \
    {                                                                                                                  \
        "notes[]", SHAPE_TEXT, false, ""                                                                               \
    }

#endif
