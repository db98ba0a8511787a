/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * weather: the hours to come at this place, where each figure comes from, how far they can be trusted. */
#include <math.h>
#include <stdio.h>

#include "core/base/civil.h"
#include "desk/coming.h"
#include "desk/questions.h"

enum { AT, HOURS, LAST_NIGHTS = 10 };
static const struct param params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [HOURS] = { "hours", P_WHOLE, Q_NUMBER, 7, 330, "72", NULL, 0, "how many hours" },
};

/* Spread of the fifteen versions at one hour: the second lowest and second highest. */
static void spread(const struct coming *c, size_t h, double *low, double *high)
{
    const size_t run = c->n_before + c->n_hours;
    double lowest[2] = { INFINITY, INFINITY }, highest[2] = { -INFINITY, -INFINITY };

    for (size_t m = 0; m < OUTLOOK_MEMBERS; m++) {
        const double t = c->member[m * run + c->n_before + h].temp_c;
        if (t < lowest[0]) {
            lowest[1] = lowest[0];
            lowest[0] = t;
        } else if (t < lowest[1]) {
            lowest[1] = t;
        }
        if (t > highest[0]) {
            highest[1] = highest[0];
            highest[0] = t;
        } else if (t > highest[1]) {
            highest[1] = t;
        }
    }
    *low = lowest[1];
    *high = highest[1];
}

static void site(const struct coming *c, struct answer *a)
{
    struct answer *list = answer_list(a, "own_offsets");

    for (int k = 0; k < OUTLOOK_CLASSES && c->site_learned; k++) {
        const struct outlook_offset *o = &c->site.by_class[k];
        if (o->n_temp_readings == 0 && o->n_wind_readings == 0)
            continue;
        struct answer *row = answer_item(list);
        answer_text(row, "when", outlook_class_name[k]);
        answer_real(row, "temp_k", o->temp_k);
        answer_real(row, "wind_factor", o->wind_factor);
        answer_whole(row, "readings", (int64_t)o->n_temp_readings);
    }
}

/* Forecast less reading, by how far ahead it was made. */
static void verified(const struct coming *c, struct answer *a)
{
    struct answer *list = answer_list(a, "verified");

    for (int b = 0; b < OUTLOOK_BINS && c->n_pairs > 0; b++) {
        const struct outlook_score *t = &c->verified.temp_k[b], *w = &c->verified.wind_mps[b];
        if (t->n == 0)
            continue;
        struct answer *row = answer_item(list);
        answer_real(row, "from_h", outlook_bin_from_h[b]);
        answer_real(row, "to_h", outlook_bin_from_h[b + 1]); /* null: and more */
        answer_whole(row, "readings", (int64_t)t->n);
        answer_real(row, "temp_bias_k", t->bias);
        answer_real(row, "temp_error_k", t->mae);
        answer_real(row, "wind_bias_mps", w->bias);
        answer_real(row, "wind_error_mps", w->mae);
    }
}

/* The last nights hour by hour as read, beside the newest forecast that was made before. */
static void last_nights(const struct coming *c, int64_t at_utc_s, struct answer *a)
{
    struct answer *list = answer_list(a, "last_nights");

    for (size_t i = 0; i < c->n_pairs; i++) {
        const struct outlook_pair *p = &c->pair[i];
        const bool newest = i + 1 == c->n_pairs || c->pair[i + 1].forecast.utc_s != p->forecast.utc_s;
        if (!newest || p->daylight || p->forecast.utc_s < at_utc_s - LAST_NIGHTS * DAY_S)
            continue;
        struct answer *row = answer_item(list);
        answer_moment(row, "time", p->forecast.utc_s);
        answer_moment(row, "made", p->made_utc_s);
        answer_real(row, "said_temp_c", p->forecast.temp_c);
        answer_real(row, "read_temp_c", p->temp_c);
        answer_real(row, "said_wind_mps", p->forecast.wind_mps);
        answer_real(row, "read_wind_mps", p->wind_mps);
    }
}

/* Name of what a figure of an hour comes from, and when that was made where it is a forecast. */
static const char *from_where(const struct coming *c, size_t i, enum series_field f)
{
    return series_from_name(c->series.hours[i].from[f], c->n_sources, c->sources);
}
static void made(const struct coming *c, size_t i, struct answer *row)
{
    const short from = c->series.hours[i].from[SERIES_TEMP];
    if (from >= 0 && c->sources[from].rank == SERIES_FORECAST)
        answer_moment(row, "made", c->sources[from].made_utc_s);
    else
        answer_null(row, "made", "no forecast");
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct desk_place place;
    struct coming c;
    const size_t n = (size_t)given_real(q, HOURS);

    enum status st = desk_place(q->farm, q->known_to, q->mem, &place, why);
    if (st == ST_OK)
        st = coming_read(q->farm, &place, q->zone, q->at_utc_s, q->known_to, 0, n, q->mem, &c, why);
    if (st != ST_OK)
        return st;
    answer_moment(a, "at", q->at_utc_s);
    coming_answer(&c, q->at_utc_s, a);
    struct answer *rows = answer_list(a, "hours");
    for (size_t i = 0; i < c.n_hours; i++) {
        const struct hour *h = &c.line[i];
        struct answer *row = answer_item(rows);
        double low = NAN, high = NAN;
        spread(&c, i, &low, &high);
        answer_moment(row, "time", h->utc_s);
        answer_real(row, "temp_c", h->temp_c);
        answer_real(row, "temp_low_c", low);
        answer_real(row, "temp_high_c", high);
        answer_real(row, "rh", h->rh);
        answer_real(row, "wind_mps", h->wind_mps);
        answer_real(row, "gust_mps", h->gust_mps);
        answer_real(row, "wind_from_deg", h->wind_from_deg);
        answer_real(row, "cloud_oktas", h->cloud_oktas);
        answer_real(row, "rain_mm", h->rain_mm);
        answer_flag(row, "snow", h->snow);
        answer_text(row, "source", from_where(&c, i, SERIES_TEMP));
        answer_text(row, "wind_source", from_where(&c, i, SERIES_WIND));
        answer_text(row, "rain_source", from_where(&c, i, SERIES_RAIN));
        made(&c, i, row);
    }
    site(&c, a);
    verified(&c, a);
    last_nights(&c, q->at_utc_s, a);
    answer_whole(a, "pairs", (int64_t)c.n_pairs);
    return ST_OK;
}

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "" },
    { "weather", SHAPE_OBJECT, false, "" },
    { "weather.says", SHAPE_TEXT, false, "" },
    { "weather.from", SHAPE_MOMENT, false, "" },
    { "weather.forecast", SHAPE_TEXT, true, "" },
    { "weather.made", SHAPE_MOMENT, true, "" },
    { "weather.age_h", SHAPE_REAL, true, "" },
    { "weather.firm_h", SHAPE_WHOLE, false, "" },
    { "weather.credit", SHAPE_TEXT, true, "" },
    { "weather.notes", SHAPE_LIST, false, "" },
    { "weather.notes[]", SHAPE_TEXT, false, "" },
    { "weather.hours", SHAPE_OBJECT, false, "columns" },
    { "weather.hours.time", SHAPE_LIST, false, "" },
    { "weather.hours.time[]", SHAPE_MOMENT, false, "" },
    { "weather.hours.temp_c", SHAPE_REALS, false, "" },
    { "weather.hours.wind_mps", SHAPE_REALS, false, "" },
    { "weather.hours.gust_mps", SHAPE_REALS, false, "" },
    { "weather.hours.wind_from_deg", SHAPE_REALS, false, "" },
    { "weather.hours.cloud_oktas", SHAPE_REALS, false, "" },
    { "weather.hours.rain_mm", SHAPE_REALS, false, "" },
    { "weather.hours.snow", SHAPE_REALS, false, "" },
    { "weather.hours.daylight", SHAPE_REALS, false, "" },
    { "hours", SHAPE_LIST, false, "one row an hour" },
    { "hours[]", SHAPE_OBJECT, false, "" },
    { "hours[].time", SHAPE_MOMENT, false, "" },
    { "hours[].temp_c", SHAPE_REAL, true, "" },
    { "hours[].temp_low_c", SHAPE_REAL, true, "eight of ten forecasts tried lie between" },
    { "hours[].temp_high_c", SHAPE_REAL, true, "" },
    { "hours[].rh", SHAPE_REAL, true, "" },
    { "hours[].wind_mps", SHAPE_REAL, true, "at 10 m" },
    { "hours[].gust_mps", SHAPE_REAL, true, "" },
    { "hours[].wind_from_deg", SHAPE_REAL, true, "" },
    { "hours[].cloud_oktas", SHAPE_REAL, true, "" },
    { "hours[].rain_mm", SHAPE_REAL, true, "" },
    { "hours[].snow", SHAPE_FLAG, false, "" },
    { "hours[].source", SHAPE_TEXT, false, "where the temperature comes from" },
    { "hours[].wind_source", SHAPE_TEXT, false, "where the wind comes from" },
    { "hours[].rain_source", SHAPE_TEXT, false, "where rain and snow come from" },
    { "hours[].made", SHAPE_MOMENT, true, "when that forecast was made; null: it is none" },
    { "own_offsets", SHAPE_LIST, false, "this place against the forecast" },
    { "own_offsets[]", SHAPE_OBJECT, false, "" },
    { "own_offsets[].when", SHAPE_TEXT, false, "" },
    { "own_offsets[].temp_k", SHAPE_REAL, false, "" },
    { "own_offsets[].wind_factor", SHAPE_REAL, false, "" },
    { "own_offsets[].readings", SHAPE_WHOLE, false, "" },
    { "verified", SHAPE_LIST, false, "how good past forecasts were here, by how far ahead" },
    { "verified[]", SHAPE_OBJECT, false, "" },
    { "verified[].from_h", SHAPE_REAL, false, "hours ahead" },
    { "verified[].to_h", SHAPE_REAL, true, "null: and more" },
    { "verified[].readings", SHAPE_WHOLE, false, "" },
    { "verified[].temp_bias_k", SHAPE_REAL, true, "forecast less reading, mean" },
    { "verified[].temp_error_k", SHAPE_REAL, true, "mean size of the error" },
    { "verified[].wind_bias_mps", SHAPE_REAL, true, "" },
    { "verified[].wind_error_mps", SHAPE_REAL, true, "" },
    { "last_nights", SHAPE_LIST, false, "what was read in the dark of the last ten nights, and what was forecast" },
    { "last_nights[]", SHAPE_OBJECT, false, "" },
    { "last_nights[].time", SHAPE_MOMENT, false, "the hour" },
    { "last_nights[].made", SHAPE_MOMENT, false, "when the newest forecast before it was made" },
    { "last_nights[].said_temp_c", SHAPE_REAL, true, "" },
    { "last_nights[].read_temp_c", SHAPE_REAL, true, "" },
    { "last_nights[].said_wind_mps", SHAPE_REAL, true, "" },
    { "last_nights[].read_wind_mps", SHAPE_REAL, true, "at 10 m" },
    { "pairs", SHAPE_WHOLE, false, "forecasts held against own readings" },
    { "assumed", SHAPE_LIST, true, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
};

const struct question question_weather = {
    "weather", "The hours to come at this place, where each figure comes from, how far it can be trusted",
    params,    COUNT(params),
    shape,     COUNT(shape),
    "hours",   put,
};
