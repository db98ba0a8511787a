/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Invented weather from a seed: a telling week (thaw and rain, the wind goes round, hard frost), the days before it
 * as a station saw them, older forecasts against own readings, and past winters. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/vapour.h"
#include "demo/demo.h"
#include "demo/inside.h"
#include "farm/weather_store.h"

enum { FORECAST_H = 84, BEFORE_H = 12 * 24, WINTERS = 14, READINGS = 22 };

/* Turning points of the telling week: hours from the demo hour, °C, m/s, gust, from, oktas, mm/h. */
static const struct turn {
    double h, temp_c, wind_mps, gust_mps, from_deg, oktas, rain_mm;
} turns[] = {
    { -72, -2.0, 3.0, 6.0, 300, 3, 0.0 }, { -48, -3.5, 2.5, 5.0, 280, 2, 0.0 }, { -30, 0.5, 4.0, 8.0, 240, 7, 0.0 },
    { -12, 3.4, 5.5, 10.5, 235, 8, 0.3 }, { 0, 3.8, 5.0, 9.5, 245, 8, 0.0 },    { 2, 3.2, 5.6, 11.0, 250, 8, 0.0 },
    { 4, 2.4, 6.6, 13.0, 262, 8, 1.1 },   { 7, 0.6, 7.9, 15.5, 295, 8, 1.6 },   { 9, -1.4, 8.2, 16.0, 312, 8, 0.9 },
    { 11, -3.2, 7.6, 15.0, 320, 6, 0.2 }, { 13, -4.8, 6.6, 13.0, 325, 3, 0.0 }, { 17, -7.4, 4.6, 9.0, 330, 1, 0.0 },
    { 21, -4.0, 4.2, 8.5, 335, 1, 0.0 },  { 25, -5.2, 3.2, 6.5, 340, 0, 0.0 },  { 33, -10.8, 1.6, 3.5, 350, 0, 0.0 },
    { 40, -12.9, 1.0, 2.5, 10, 0, 0.0 },  { 46, -5.4, 1.6, 3.5, 80, 1, 0.0 },   { 52, -6.4, 2.8, 5.5, 120, 3, 0.0 },
    { 60, -5.0, 4.6, 9.0, 140, 8, 0.1 },  { 66, -2.6, 5.2, 10.0, 150, 8, 0.5 }, { 84, 0.4, 5.0, 10.0, 165, 8, 0.3 },
};

static double straight(double a, double b, double share)
{
    return a + (b - a) * share;
}

static struct hour telling_hour(int64_t base, int h)
{
    struct hour x = hour_unknown(base + h * HOUR_S);
    size_t i = 1;

    while (i + 1 < COUNT(turns) && turns[i].h < h)
        i++;
    const struct turn *a = &turns[i - 1], *b = &turns[i];
    const double s = fmin(1.0, fmax(0.0, (h - a->h) / (b->h - a->h)));
    x.temp_c = straight(a->temp_c, b->temp_c, s);
    x.wind_mps = straight(a->wind_mps, b->wind_mps, s);
    x.gust_mps = straight(a->gust_mps, b->gust_mps, s) + 0.3 * sin(h * 1.7);
    x.wind_from_deg = fmod(a->from_deg + remainder(b->from_deg - a->from_deg, 360.0) * s + 360.0, 360.0);
    x.cloud_oktas = floor(straight(a->oktas, b->oktas, s) + 0.5);
    x.rain_mm = straight(a->rain_mm, b->rain_mm, s) < 0.05 ? 0.0 : straight(a->rain_mm, b->rain_mm, s);
    x.rh = fmin(0.99, 0.80 + 0.02 * x.cloud_oktas + (x.rain_mm > 0.0 ? 0.03 : 0.0));
    x.snow = x.rain_mm > 0.0 && x.temp_c < 0.5;
    return x;
}

static enum status put(struct farm *farm, enum weather_sort sort, const char *source, int64_t issued, size_t n,
                       const struct hour h[], int64_t now, struct message *why)
{
    struct weather_lot lot = { .sort = sort,
                               .source = source,
                               .issued_utc_s = issued,
                               .fetched_utc_s = issued ? issued : now,
                               .address = "",
                               .etag = "",
                               .last_modified = "",
                               .expires = "",
                               .credit = "",
                               .place = "Larkmoor",
                               .lat_deg = 54.62,
                               .lon_deg = -2.41,
                               .elevation_m = 265.0 };
    const struct farm_meta meta = { .who = "Wenna", .recorded_utc_s = now };
    return farm_weather_put(farm, &lot, n, h, &meta, why);
}

/* ---- older forecasts, and what was then read --------------------------------------------------------------------- */

static enum status reading(struct farm *farm, struct arena *mem, int64_t at, double temp_c, double wind_mps,
                           struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("reading");
    struct fact_value *v = ARENA_NEW(mem, struct fact_value, kind->n_fields);
    struct farm_outcome outcome;

    if (!v)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    v[fact_field_find(kind, "at")] = (struct fact_value){ .given = true, .whole = at };
    v[fact_field_find(kind, "temp_c")] =
        (struct fact_value){ .given = true, .real = floor(temp_c * 10.0 + 0.5) / 10.0 };
    v[fact_field_find(kind, "wind_mps")] =
        (struct fact_value){ .given = true, .real = floor(wind_mps * 10.0 + 0.5) / 10.0 };
    const struct farm_meta meta = { .who = "Wenna", .recorded_utc_s = at > demo_at_utc_s ? demo_at_utc_s : at };
    return farm_record(farm, kind, v, &meta, mem, &outcome, why);
}

static enum status older(struct farm *farm, struct dice *d, int64_t base, struct arena *mem, struct message *why)
{
    struct hour h[60];
    enum status st = ST_OK;

    for (int day = 11; day >= 1 && st == ST_OK; day--) {
        const int64_t issued = base - day * DAY_S - 2 * HOUR_S;
        const bool clear = day % 3 != 0;
        for (int i = 0; i < 60; i++) {
            h[i] = hour_unknown(issued + i * HOUR_S);
            const double clock = (double)(h[i].utc_s % DAY_S) / (double)HOUR_S;
            h[i].temp_c =
                1.5 - 2.5 * cos((clock - 3.0) / 12.0 * 3.14159265358979) * (clear ? 1.3 : 0.5) + 1.2 * sin(day * 0.9);
            h[i].wind_mps = clear ? 1.6 : 4.5;
            h[i].wind_from_deg = 250.0 + 10.0 * day;
            h[i].cloud_oktas = clear ? 1 : 8;
            h[i].rain_mm = clear ? 0.0 : 0.2;
            h[i].rh = 0.88;
        }
        st = put(farm, WEATHER_FORECAST, "Fellside forecast (invented)", issued, 60, h, issued, why);
        for (int k = 0; k < 2 && st == ST_OK; k++) { /* one look at the thermometer before bed, one at dawn */
            const int i = k == 0 ? 9 : 17;
            const double off = (clear ? -1.9 : -0.3) + 0.6 * dice_normal(d);
            /* by hand at 2 m: the wind there is about 0.7 of that at 10 m */
            st = reading(farm, mem, h[i].utc_s + 20 * 60, h[i].temp_c + off, h[i].wind_mps * 0.7, why);
        }
    }
    return st;
}

/* ---- past winters ------------------------------------------------------------------------------------------------ */

/* November to March, hour by hour: temperature and wind as first-order series, the sky between, rain in spells. */
static enum status winter(struct farm *farm, struct dice *d, int year, struct arena *mem, struct message *why)
{
    const int64_t first = civil_days(year, 11, 1) * DAY_S;
    const size_t n = (size_t)((civil_days(year + 1, 4, 1) * DAY_S - first) / HOUR_S);
    struct hour *h = ARENA_NEW(mem, struct hour, n);
    double warm = 0.0, breeze = 0.0, veer = 0.0, sky = 0.0, wet = 0.0;
    const double harsh = 1.2 * dice_normal(d);

    if (!h)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n; i++) {
        const double clock = (double)(i % 24), season = cos(((double)i / 24.0 - 80.0) / 182.5 * 3.14159265358979);
        warm = 0.985 * warm + 0.60 * dice_normal(d);
        breeze = 0.96 * breeze + 0.28 * dice_normal(d);
        veer = 0.97 * veer + 11.0 * dice_normal(d);
        sky = 0.97 * sky + 0.24 * dice_normal(d);
        wet = 0.90 * wet + 0.44 * dice_normal(d);
        h[i] = hour_unknown(first + (int64_t)i * HOUR_S);
        h[i].temp_c = 3.2 - harsh - 2.0 * season + warm -
                      (1.6 - sky) * 0.6 * cos((clock - 14.0) / 12.0 * -3.14159265358979 + 3.14159265358979);
        h[i].wind_mps = fmax(0.0, floor((4.6 * exp(0.45 * breeze) - 0.4) * 10.0) / 10.0);
        h[i].wind_from_deg = fmod(floor((245.0 + veer) / 10.0) * 10.0 + 720.0, 360.0);
        h[i].cloud_oktas = fmin(8.0, fmax(0.0, floor(4.8 + 3.4 * sky + 0.5)));
        h[i].rain_mm = wet > 1.1 && h[i].cloud_oktas > 4.0 ? floor((wet - 1.0) * 14.0) / 10.0 : 0.0;
        h[i].rh = fmin(0.99, 0.78 + 0.02 * h[i].cloud_oktas);
        h[i].snow = h[i].rain_mm > 0.0 && h[i].temp_c < 0.5;
        h[i].temp_c = floor(h[i].temp_c * 10.0 + 0.5) / 10.0;
    }
    return put(farm, WEATHER_PAST, "past winters (invented)", 0, n, h, demo_at_utc_s, why);
}

enum status demo_weather(struct farm *farm, uint64_t seed, struct arena *mem, struct message *why)
{
    const int64_t base = demo_at_utc_s - demo_at_utc_s % HOUR_S;
    struct dice d = dice_from(seed);
    struct hour h[BEFORE_H + FORECAST_H];
    enum status st = older(farm, &d, base, mem, why);

    for (int y = 0; y < WINTERS && st == ST_OK; y++)
        st = winter(farm, &d, 2011 + y, mem, why);
    for (int i = 0; i < 72; i++)
        h[i] = telling_hour(base, i - 72);
    if (st == ST_OK)
        st = put(farm, WEATHER_OBSERVED, "Fellside station (invented)", 0, 72, h, demo_at_utc_s, why);
    for (int i = 0; i < FORECAST_H; i++)
        h[i] = telling_hour(base, i - 1);
    if (st == ST_OK)
        st = put(farm, WEATHER_FORECAST, "Fellside forecast (invented)", base - HOUR_S, FORECAST_H, h, demo_at_utc_s,
                 why);
    return st;
}
