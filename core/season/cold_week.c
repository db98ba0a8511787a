/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "core/base/civil.h"
#include "core/season/cold.h"

enum { YEARS = 400, WEEK_LEAST = 5 };

size_t cold_week_of(int64_t day)
{
    const struct civil c = civil_from_days(day);
    const size_t of_year = (size_t)(day - civil_days(c.year, 1, 1));

    return of_year / 7 < COLD_WEEKS ? of_year / 7 : COLD_WEEKS - 1;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double cold_quantile(size_t n, double x[], double q)
{
    if (n == 0)
        return NAN;
    qsort(x, n, sizeof *x, by_size);
    const double at = q * (double)(n - 1);
    const size_t i = (size_t)at;
    return i + 1 < n ? x[i] + (at - (double)i) * (x[i + 1] - x[i]) : x[n - 1];
}

struct in_year {
    double sum;
    size_t days;
};

static void conclude(size_t n, double x[], struct cold_week *w)
{
    double sum = 0.0;

    for (size_t i = 0; i < n; i++)
        sum += x[i];
    *w = (struct cold_week){ .years = n,
                             .mean = n ? sum / (double)n : (double)NAN,
                             .p10 = cold_quantile(n, x, 0.1),
                             .p50 = cold_quantile(n, x, 0.5),
                             .p90 = cold_quantile(n, x, 0.9) };
}

/* limit NAN: the mean of the week's days; else how many of seven lie at or under it. */
static void by_week(int64_t first_day, size_t n_days, const float daily[], double limit,
                    struct cold_week week[COLD_WEEKS])
{
    const int first_year = civil_from_days(first_day).year;
    double x[YEARS];

    for (size_t w = 0; w < COLD_WEEKS; w++) {
        size_t n = 0;
        struct in_year now = { 0.0, 0 };
        int year = first_year;
        for (size_t d = 0; d <= n_days; d++) {
            const int y = d < n_days ? civil_from_days(first_day + (int64_t)d).year : year + 1;
            if (y != year) {
                if (now.days >= WEEK_LEAST && n < YEARS)
                    x[n++] = now.sum / (double)now.days;
                now = (struct in_year){ 0.0, 0 };
                year = y;
            }
            if (d < n_days && !isnan(daily[d]) && cold_week_of(first_day + (int64_t)d) == w) {
                now.sum += isnan(limit) ? (double)daily[d] : (double)daily[d] <= limit ? 7.0 : 0.0;
                now.days++;
            }
        }
        conclude(n, x, &week[w]);
    }
}

void cold_by_week(int64_t first_day, size_t n_days, const float daily[], struct cold_week week[COLD_WEEKS])
{
    by_week(first_day, n_days, daily, NAN, week);
}

void cold_days_under(int64_t first_day, size_t n_days, const float daily[], double limit,
                     struct cold_week week[COLD_WEEKS])
{
    by_week(first_day, n_days, daily, limit, week);
}
