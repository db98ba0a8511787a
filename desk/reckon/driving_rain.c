/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon driving-rain: how much rain the wind drives onto an upright plane that looks one way. */
#include "core/air/air.h"
#include "desk/reckon/reckon.h"
#include "desk/reckon/weather_in.h"

enum { FACING = WIN_END, MONTHS };

static const struct param params[] = {
    WEATHER_IN_PARAMS,
    [FACING] = { "facing", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, PARAM_REQUIRED,
                 "where the plane looks to, from true north" },
    [MONTHS] = { "months", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "12,1,2 or Dec-Feb; all unless given" },
};

static const struct shape shape[] = {
    { "hours", SHAPE_WHOLE, false, "with wind, direction, rain and temperature known" },
    { "wet_hours", SHAPE_WHOLE, false, "of them with rain warmer than 0.5 C" },
    { "not_known_hours", SHAPE_WHOLE, false, "left out" },
    { "index_mm", SHAPE_REAL, true, "airfield directional index of the period, L/m2" },
    { "index_mm_per_year", SHAPE_REAL, true, "the same for a mean year of 8766 h" },
    SHAPE_WEATHER_IN,
    SHAPE_ASSUMED,
};

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct weather w;
    unsigned months = 0;
    size_t n = 0;
    enum status st = given_is(q, MONTHS) ? months_read(given_text(q, MONTHS), &months, why) : ST_OK;

    if (st == ST_OK)
        st = weather_in_read_once(q, &w, why);
    if (st != ST_OK)
        return st;
    struct hour *kept = ARENA_NEW(q->mem, struct hour, w.n);
    if (!kept)
        return refuse(ST_NO_MEMORY, why, "weather", "--weather: too many hours");
    const int standard_s = weather_in_standard_s(q, &w);
    for (size_t i = 0; i < w.n; i++)
        if (weather_in_month(&w.hour[i], standard_s, months))
            kept[n++] = w.hour[i];
    const struct air_rain_index index = air_rain_index(n, kept, given_real(q, FACING));
    answer_whole(a, "hours", (int64_t)index.hours);
    answer_whole(a, "wet_hours", (int64_t)index.wet_hours);
    answer_whole(a, "not_known_hours", (int64_t)index.not_known);
    if (index.hours > 0) {
        answer_real(a, "index_mm", index.index_l_m2);
    } else {
        answer_null(a, "index_mm", "no hour has wind, its direction, rain and temperature");
    }
    answer_real_or(a, "index_mm_per_year", index.per_year_l_m2,
                   "no hour has wind, its direction, rain and temperature");
    weather_in_answer(&w, a);
    return ST_OK;
}

const struct question piece_driving_rain = {
    "driving-rain", "How much rain the wind drives onto a wall or into an opening that looks one way (ISO 15927-3)",
    params,         COUNT(params),
    shape,          COUNT(shape),
    NULL,           put,
};
