/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon nights: what the nights of a place are like, from hours of weather. */
#include <math.h>

#include "core/air/rose.h"
#include "desk/reckon/reckon.h"
#include "desk/reckon/weather_in.h"

enum { MONTHS = WIN_END };

static const struct param params[] = {
    WEATHER_IN_PARAMS,
    [MONTHS] = { "months", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                 "months of the evening: 12,1,2 or Dec-Feb; all unless given" },
};

static const struct shape shape[] = {
    { "nights", SHAPE_LIST, false, "18:00 to 06:00 local standard time" },
    { "nights[]", SHAPE_OBJECT, false, "" },
    { "nights[].night", SHAPE_DAY, false, "date of the evening" },
    { "nights[].hours", SHAPE_WHOLE, false, "that have a temperature, of 12" },
    { "nights[].min_temp_c", SHAPE_REAL, false, "" },
    { "nights[].mean_temp_c", SHAPE_REAL, false, "" },
    { "nights[].mean_wind_mps", SHAPE_REAL, true, "" },
    { "nights[].max_wind_mps", SHAPE_REAL, true, "" },
    { "nights[].vector_from_deg", SHAPE_REAL, true, "of the mean wind vector; null: calm or no direction known" },
    { "nights[].rain_mm", SHAPE_REAL, true, "null: nothing known of rain" },
    { "summary", SHAPE_OBJECT, false, "" },
    { "summary.nights", SHAPE_WHOLE, false, "" },
    { "summary.mean_min_temp_c", SHAPE_REAL, true, "" },
    { "summary.p10_min_temp_c", SHAPE_REAL, true, "of the minima, linear between ranks" },
    { "summary.p50_min_temp_c", SHAPE_REAL, true, "" },
    { "summary.p90_min_temp_c", SHAPE_REAL, true, "" },
    { "summary.nights_at_or_under_minus_10", SHAPE_WHOLE, false, "" },
    { "summary.nights_at_or_under_minus_15", SHAPE_WHOLE, false, "" },
    SHAPE_WEATHER_IN,
    SHAPE_ASSUMED,
};

static void answer_night(const struct rose_night *n, struct answer *row)
{
    answer_day(row, "night", n->evening);
    answer_whole(row, "hours", (int64_t)n->hours);
    answer_real(row, "min_temp_c", n->min_temp_c);
    answer_real(row, "mean_temp_c", n->mean_temp_c);
    answer_real(row, "mean_wind_mps", n->mean_wind_mps);
    answer_real(row, "max_wind_mps", n->max_wind_mps);
    answer_real(row, "vector_from_deg", n->vector_from_deg);
    answer_real(row, "rain_mm", n->rain_mm);
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct weather w;
    struct rose_nights nights;
    unsigned months = 0;
    enum status st = given_is(q, MONTHS) ? months_read(given_text(q, MONTHS), &months, why) : ST_OK;

    if (st == ST_OK)
        st = weather_in_read_once(q, &w, why);
    if (st == ST_OK)
        st = rose_nights(w.n, w.hour, weather_in_standard_s(q, &w), months, q->mem, &nights, why);
    if (st != ST_OK)
        return st;
    struct answer *list = answer_list(a, "nights");
    for (size_t i = 0; i < nights.n; i++)
        answer_night(&nights.night[i], answer_item(list));
    struct answer *s = answer_object(a, "summary");
    answer_whole(s, "nights", (int64_t)nights.n);
    answer_real(s, "mean_min_temp_c", nights.mean_min_temp_c);
    answer_real(s, "p10_min_temp_c", nights.p10_min_temp_c);
    answer_real(s, "p50_min_temp_c", nights.p50_min_temp_c);
    answer_real(s, "p90_min_temp_c", nights.p90_min_temp_c);
    answer_whole(s, "nights_at_or_under_minus_10", (int64_t)nights.at_or_under_minus_10);
    answer_whole(s, "nights_at_or_under_minus_15", (int64_t)nights.at_or_under_minus_15);
    weather_in_answer(&w, a);
    return ST_OK;
}

const struct question piece_nights = {
    "nights", "How cold and windy the nights are at a place, from hours of weather",
    params,   COUNT(params),
    shape,    COUNT(shape),
    "nights", put,
};
