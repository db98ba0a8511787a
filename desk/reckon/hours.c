/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon hours: the hours of weather files, as read. */
#include <math.h>

#include "desk/reckon/reckon.h"
#include "desk/reckon/weather_in.h"

static const struct param params[] = { WEATHER_IN_PARAMS };

static const struct shape shape[] = {
    { "hours", SHAPE_WHOLE, false, "how many" },
    { "time", SHAPE_LIST, false, "columns begin: when the hour (or step) begins" },
    { "time[]", SHAPE_MOMENT, false, "" },
    { "temp_c", SHAPE_REALS, false, "" },
    { "dew_point_c", SHAPE_REALS, false, "over ice below 0.01 C" },
    { "rh", SHAPE_REALS, false, "0 .. 1" },
    { "wind_mps", SHAPE_REALS, false, "mean at 10 m" },
    { "gust_mps", SHAPE_REALS, false, "" },
    { "wind_from_deg", SHAPE_REALS, false, "null: variable or not known; 0 where it is calm" },
    { "cloud_oktas", SHAPE_REALS, false, "" },
    { "rain_mm", SHAPE_REALS, false, "in the hour, melted" },
    { "snow", SHAPE_LIST, false, "what falls is snow" },
    { "snow[]", SHAPE_FLAG, false, "" },
    { "snow_cm", SHAPE_REALS, false, "fresh snow in the hour" },
    { "ghi_w_m2", SHAPE_REALS, false, "sun on the level, mean of the hour" },
    { "pressure_kpa", SHAPE_REALS, false, "" },
    { "step_h", SHAPE_REALS, false, "hours the row stands for: 1, or 6 in the far part of a forecast" },
    { "source", SHAPE_LIST, false, "format and station; the columns end here" },
    { "source[]", SHAPE_TEXT, false, "" },
    { "risks", SHAPE_LIST, false, "what may come on top: TEMPO, PROB, warnings" },
    { "risks[]", SHAPE_OBJECT, false, "" },
    { "risks[].from", SHAPE_MOMENT, false, "" },
    { "risks[].to", SHAPE_MOMENT, false, "" },
    { "risks[].probability", SHAPE_REAL, true, "0 .. 1" },
    { "risks[].wind_mps", SHAPE_REAL, true, "" },
    { "risks[].gust_mps", SHAPE_REAL, true, "" },
    { "risks[].says", SHAPE_TEXT, true, "the group as written" },
    SHAPE_WEATHER_IN,
    SHAPE_ASSUMED,
};

/* One column; `of` picks the figure. */
static void column(struct answer *a, const char *key, const struct weather *w, size_t offset, int digits)
{
    double *at = ARENA_NEW(a->mem, double, w->n);

    if (!at)
        return; /* the arena is full, and whoever asked looks at that once */
    for (size_t i = 0; i < w->n; i++)
        at[i] = *(const double *)(const void *)((const char *)&w->hour[i] + offset);
    answer_reals(a, key, at, w->n, digits);
}

static void answer_risks(const struct weather *w, struct answer *a)
{
    struct answer *list = answer_list(a, "risks");

    for (size_t i = 0; i < w->n_risks; i++) {
        struct answer *row = answer_item(list);
        answer_moment(row, "from", w->risk[i].from_utc_s);
        answer_moment(row, "to", w->risk[i].to_utc_s);
        answer_real(row, "probability", w->risk[i].probability);
        answer_real(row, "wind_mps", w->risk[i].wind_mps);
        answer_real(row, "gust_mps", w->risk[i].gust_mps);
        answer_text(row, "says", w->risk[i].says);
    }
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct weather w;
    const enum status st = weather_in_read(q, &w, why);

    if (st != ST_OK)
        return st;
    answer_whole(a, "hours", (int64_t)w.n);
    struct answer *time = answer_list(a, "time");
    for (size_t i = 0; i < w.n; i++)
        answer_moment_item(time, w.hour[i].utc_s);
    column(a, "temp_c", &w, offsetof(struct hour, temp_c), 3);
    column(a, "dew_point_c", &w, offsetof(struct hour, dew_point_c), 3);
    column(a, "rh", &w, offsetof(struct hour, rh), 4);
    column(a, "wind_mps", &w, offsetof(struct hour, wind_mps), 3);
    column(a, "gust_mps", &w, offsetof(struct hour, gust_mps), 3);
    column(a, "wind_from_deg", &w, offsetof(struct hour, wind_from_deg), 1);
    column(a, "cloud_oktas", &w, offsetof(struct hour, cloud_oktas), 3);
    column(a, "rain_mm", &w, offsetof(struct hour, rain_mm), 4);
    struct answer *snow = answer_list(a, "snow");
    for (size_t i = 0; i < w.n; i++)
        answer_flag(snow, NULL, w.hour[i].snow);
    column(a, "snow_cm", &w, offsetof(struct hour, snow_cm), 3);
    column(a, "ghi_w_m2", &w, offsetof(struct hour, ghi_w_m2), 1);
    column(a, "pressure_kpa", &w, offsetof(struct hour, pressure_kpa), 4);
    double *step = ARENA_NEW(q->mem, double, w.n);
    for (size_t i = 0; step && i < w.n; i++)
        step[i] = w.step_h ? (double)w.step_h[i] : 1.0;
    answer_reals(a, "step_h", step, step ? w.n : 0, 0);
    struct answer *source = answer_list(a, "source");
    for (size_t i = 0; i < w.n; i++)
        answer_words(source, w.source[w.hour[i].source].name);
    answer_risks(&w, a);
    weather_in_answer(&w, a);
    return ST_OK;
}

const struct question piece_hours = {
    "hours", "The hours of weather files, as they are read", params, COUNT(params), shape, COUNT(shape), "", put,
};
