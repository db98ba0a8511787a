/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/air/rose.h"

#include <math.h>

#include "core/air/own.h"
#include "core/base/civil.h"

enum { EVENING_H = 18, NIGHT_H = 12 };

double rose_quantile(size_t n, const double sorted[], double p)
{
    if (n == 0 || !air_within(p, 0.0, 1.0))
        return NAN;
    const double rank = p * (double)(n - 1);
    const size_t low = (size_t)floor(rank), high = low + 1 < n ? low + 1 : low;
    return sorted[low] + (rank - (double)low) * (sorted[high] - sorted[low]);
}

static int64_t whole_down(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

/* The evening an hour belongs to; false by day. */
static bool evening_of(int64_t utc_s, int offset_s, int64_t *evening)
{
    const int64_t since_evening_s = utc_s + offset_s - EVENING_H * HOUR_S;

    *evening = whole_down(since_evening_s, DAY_S);
    return since_evening_s - *evening * DAY_S < NIGHT_H * HOUR_S;
}

static bool month_wanted(int64_t evening, unsigned months)
{
    return months == 0 || (months >> (civil_from_days(evening).month - 1) & 1U) != 0;
}

struct night_sums {
    double temp, wind, east, north;
    size_t windy;
};

static void add_hour(struct rose_night *night, struct night_sums *s, const struct hour *h)
{
    if (!isnan(h->temp_c)) {
        night->min_temp_c = night->hours == 0 ? h->temp_c : fmin(night->min_temp_c, h->temp_c);
        night->hours++;
        s->temp += h->temp_c;
    }
    if (!isnan(h->wind_mps)) {
        night->max_wind_mps = s->windy == 0 ? h->wind_mps : fmax(night->max_wind_mps, h->wind_mps);
        s->windy++;
        s->wind += h->wind_mps;
        if (!h->wind_variable && isfinite(h->wind_from_deg)) {
            s->east += h->wind_mps * sin(AIR_RAD * h->wind_from_deg);
            s->north += h->wind_mps * cos(AIR_RAD * h->wind_from_deg);
        }
    }
    if (!isnan(h->rain_mm))
        night->rain_mm = isnan(night->rain_mm) ? h->rain_mm : night->rain_mm + h->rain_mm;
}

static void close_night(struct rose_night *night, const struct night_sums *s)
{
    if (night->hours > 0)
        night->mean_temp_c = s->temp / (double)night->hours;
    if (s->windy > 0)
        night->mean_wind_mps = s->wind / (double)s->windy;
    if (hypot(s->east, s->north) > 1e-9)
        night->vector_from_deg = air_wrap(atan2(s->east, s->north) / AIR_RAD);
}

/* One night from hours[*i] on; *i moves past its last hour. */
static struct rose_night one_night(size_t n, const struct hour hours[], int offset_s, int64_t evening, size_t *i)
{
    struct rose_night night = { .evening = evening,
                                .min_temp_c = NAN,
                                .mean_temp_c = NAN,
                                .mean_wind_mps = NAN,
                                .max_wind_mps = NAN,
                                .vector_from_deg = NAN,
                                .rain_mm = NAN };
    struct night_sums s = { 0 };
    int64_t of = evening;

    for (; *i < n && evening_of(hours[*i].utc_s, offset_s, &of) && of == evening; ++*i)
        add_hour(&night, &s, &hours[*i]);
    close_night(&night, &s);
    return night;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static enum status summary(struct arena *mem, struct rose_nights *all, struct message *why)
{
    double *minima = ARENA_NEW(mem, double, all->n ? all->n : 1), sum = 0.0;

    if (minima == NULL)
        return refuse(ST_NO_MEMORY, why, "", "no room for %zu nights", all->n);
    for (size_t i = 0; i < all->n; i++) {
        minima[i] = all->night[i].min_temp_c;
        sum += minima[i];
        all->at_or_under_minus_10 += minima[i] <= -10.0;
        all->at_or_under_minus_15 += minima[i] <= -15.0;
    }
    qsort(minima, all->n, sizeof minima[0], by_value);
    all->p10_min_temp_c = rose_quantile(all->n, minima, 0.1);
    all->p50_min_temp_c = rose_quantile(all->n, minima, 0.5);
    all->p90_min_temp_c = rose_quantile(all->n, minima, 0.9);
    all->mean_min_temp_c = all->n ? sum / (double)all->n : (double)NAN;
    return ST_OK;
}

/* Nights there can be at most: one for each change of evening. */
static enum status count_evenings(size_t n, const struct hour hours[], int offset_s, size_t *count, struct message *why)
{
    int64_t last = INT64_MIN;

    *count = 0;
    for (size_t i = 0; i < n; i++) {
        int64_t evening;
        if (i > 0 && hours[i].utc_s < hours[i - 1].utc_s)
            return refuse(ST_BAD_INPUT, why, "hours",
                          "hour %zu is earlier than the one before it; give hours in order of time", i);
        if (evening_of(hours[i].utc_s, offset_s, &evening) && evening != last) {
            ++*count;
            last = evening;
        }
    }
    return ST_OK;
}

enum status rose_nights(size_t n, const struct hour hours[], int standard_offset_s, unsigned months, struct arena *mem,
                        struct rose_nights *out, struct message *why)
{
    struct rose_nights all = { 0 };
    size_t most;

    if (standard_offset_s < -18 * HOUR_S || standard_offset_s > 18 * HOUR_S)
        return refuse(ST_BAD_INPUT, why, "zone", "standard time is %d s from UTC; at most 18 hours either way",
                      standard_offset_s);
    enum status st = count_evenings(n, hours, standard_offset_s, &most, why);
    if (st != ST_OK)
        return st;
    all.night = ARENA_NEW(mem, struct rose_night, most ? most : 1);
    if (all.night == NULL)
        return refuse(ST_NO_MEMORY, why, "", "no room for %zu nights", most);
    for (size_t i = 0; i < n;) {
        int64_t evening;
        if (!evening_of(hours[i].utc_s, standard_offset_s, &evening)) {
            i++;
            continue;
        }
        const struct rose_night night = one_night(n, hours, standard_offset_s, evening, &i);
        if (night.hours > 0 && month_wanted(evening, months))
            all.night[all.n++] = night;
    }
    st = summary(mem, &all, why);
    if (st == ST_OK)
        *out = all;
    return st;
}
