/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/outlook/outlook.h"

#include <math.h>
#include <stdlib.h>

#include "core/base/attr.h"
#include "core/base/civil.h"

static const int days_beside[] = { 0, -5, 5, -10, 10 }; /* of the same date: in the order of preference */
static const int64_t shortest_shift_d = 180;            /* nearer is the same season, not a past one */
static const double known_fraction = 0.9, temp_scale_k = 3.0, wind_scale_mps = 2.0, wet_mm = 0.1;
static const size_t compared_h = 24;
enum { SEASON_DAYS = 10, USUAL_ROOM = 2100 }; /* 21 days of 100 years */

static const struct hour *hour_at(size_t n, const struct hour past[], int64_t utc_s)
{
    size_t low = 0, high = n;

    while (low < high) {
        const size_t mid = low + (high - low) / 2;
        if (past[mid].utc_s < utc_s)
            low = mid + 1;
        else
            high = mid;
    }
    return low < n && past[low].utc_s == utc_s ? &past[low] : NULL;
}

/* The same date and time of day in another year; 29 February becomes the 28th where there is none. */
static int64_t same_date_in(int year, int64_t utc_s)
{
    struct civil c = civil_from_seconds(utc_s);

    c.year = year;
    if (!civil_is_date(c.year, c.month, c.day))
        c.day = 28;
    return civil_seconds(&c);
}

static double unlikeness(size_t n_past, const struct hour past[], size_t n_line, const struct hour line[],
                         int64_t shift_s)
{
    const size_t first = n_line > compared_h ? n_line - compared_h : 0;
    double sum = 0.0;
    size_t n = 0;

    for (size_t i = first; i < n_line; i++) {
        const struct hour *h = hour_at(n_past, past, line[i].utc_s - shift_s);
        const double apart_k = h ? (line[i].temp_c - h->temp_c) / temp_scale_k : (double)NAN;
        const double apart_mps = h ? (line[i].wind_mps - h->wind_mps) / wind_scale_mps : (double)NAN;

        if (isnan(apart_k))
            continue;
        sum += apart_k * apart_k + (isnan(apart_mps) ? 0.0 : apart_mps * apart_mps);
        n++;
    }
    return n > 0 ? sqrt(sum / (double)n) : (double)NAN;
}

static bool well_known(size_t n_past, const struct hour past[], int64_t from_utc_s, size_t n_hours)
{
    size_t known = 0;

    for (size_t i = 0; i < n_hours; i++) {
        const struct hour *h = hour_at(n_past, past, from_utc_s + (int64_t)i * HOUR_S);
        if (h && !isnan(h->temp_c))
            known++;
    }
    return (double)known >= known_fraction * (double)n_hours;
}

/* Kept sorted, the most alike first; one that can't be compared comes last. Equal ones stay in the order they came. */
static size_t keep_best(const struct outlook_analog *a, size_t n, size_t room, struct outlook_analog analog[])
{
    size_t at = n;

    while (at > 0 && (a->distance < analog[at - 1].distance || (isnan(analog[at - 1].distance) && !isnan(a->distance))))
        at--;
    if (at >= room)
        return n;
    if (n < room)
        n++;
    for (size_t i = n - 1; i > at; i--)
        analog[i] = analog[i - 1];
    analog[at] = *a;
    return n;
}

size_t outlook_analogs(size_t n_past, const struct hour past[], size_t n_line, const struct hour line[],
                       int64_t from_utc_s, size_t n_hours, size_t room, struct outlook_analog analog[])
{
    size_t n = 0;
    int first_year, last_year;

    if (n_past == 0 || room == 0 || n_hours == 0)
        return 0;
    first_year = civil_from_seconds(past[0].utc_s).year - 1;
    last_year = civil_from_seconds(past[n_past - 1].utc_s).year + 1;
    for (size_t beside = 0; beside < COUNT(days_beside); beside++) {
        for (int year = last_year; year >= first_year; year--) {
            const int64_t begin = same_date_in(year, from_utc_s) + days_beside[beside] * DAY_S;
            struct outlook_analog a = { from_utc_s - begin, NAN };

            if (a.shift_s < shortest_shift_d * DAY_S || !well_known(n_past, past, begin, n_hours))
                continue;
            a.distance = unlikeness(n_past, past, n_line, line, a.shift_s);
            n = keep_best(&a, n, room, analog);
        }
    }
    return n;
}

void outlook_analog_hours(size_t n_past, const struct hour past[], const struct outlook_analog *analog,
                          int64_t from_utc_s, size_t n_hours, struct hour out[])
{
    for (size_t i = 0; i < n_hours; i++) {
        const int64_t utc_s = from_utc_s + (int64_t)i * HOUR_S;
        const struct hour *h = hour_at(n_past, past, utc_s - analog->shift_s);

        out[i] = h ? *h : hour_unknown(utc_s);
        out[i].utc_s = utc_s;
    }
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static double quantile(size_t n, const double sorted[], double q)
{
    const double at = q * (double)(n - 1);
    const size_t below = (size_t)at;

    return below + 1 < n ? sorted[below] + (at - (double)below) * (sorted[below + 1] - sorted[below]) : sorted[n - 1];
}

struct outlook_usual outlook_usual(size_t n_past, const struct hour past[], int64_t utc_s)
{
    struct outlook_usual usual = { 0, NAN, NAN, NAN, NAN, NAN };
    double temp_c[USUAL_ROOM], wind_sum_mps = 0.0;
    size_t n_wind = 0, n_rain = 0, n_wet = 0;
    int first_year, last_year;

    if (n_past == 0)
        return usual;
    first_year = civil_from_seconds(past[0].utc_s).year - 1;
    last_year = civil_from_seconds(past[n_past - 1].utc_s).year + 1;
    for (int year = last_year; year >= first_year; year--) {
        for (int d = -SEASON_DAYS; d <= SEASON_DAYS; d++) {
            const struct hour *h = hour_at(n_past, past, same_date_in(year, utc_s) + d * DAY_S);

            if (!h || isnan(h->temp_c) || usual.n == USUAL_ROOM)
                continue;
            temp_c[usual.n++] = h->temp_c;
            if (!isnan(h->wind_mps)) {
                wind_sum_mps += h->wind_mps;
                n_wind++;
            }
            if (!isnan(h->rain_mm)) {
                n_rain++;
                n_wet += h->rain_mm >= wet_mm;
            }
        }
    }
    if (usual.n == 0)
        return usual;
    qsort(temp_c, usual.n, sizeof temp_c[0], by_size);
    usual.temp_p10_c = quantile(usual.n, temp_c, 0.1);
    usual.temp_p50_c = quantile(usual.n, temp_c, 0.5);
    usual.temp_p90_c = quantile(usual.n, temp_c, 0.9);
    if (n_wind > 0)
        usual.wind_mean_mps = wind_sum_mps / (double)n_wind;
    if (n_rain > 0)
        usual.wet_fraction = (double)n_wet / (double)n_rain;
    return usual;
}
