/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <math.h>
#include <stdbool.h>
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

struct wanted { /* ranks that have to hold what stands there in order */
    size_t n;
    const size_t *rank;
};

static bool wants(const struct wanted *w, size_t low, size_t high)
{
    for (size_t i = 0; i < w->n; i++)
        if (w->rank[i] >= low && w->rank[i] < high)
            return true;
    return false;
}

/* Splits x[low .. high): all before the rank returned are at most, all from it on at least as large as a middle one of
 * three. */
static size_t split(double x[], size_t low, size_t high)
{
    const double a = x[low], b = x[low + (high - low) / 2], c = x[high - 1];
    const double middle = fmax(fmin(a, b), fmin(fmax(a, b), c));
    size_t i = low, k = high - 1;

    for (;; i++, k--) {
        while (x[i] < middle)
            i++;
        while (x[k] > middle)
            k--;
        if (i >= k)
            return i > low ? i : low + 1;
        const double swap = x[i];
        x[i] = x[k];
        x[k] = swap;
    }
}

/* Sorts as far as the ranks wanted ask for it. */
static void put_in_order(double x[], size_t low, size_t high, const struct wanted *w, int left)
{
    enum { FEW = 24 };

    while (high - low > FEW && left-- > 0) {
        const size_t middle = split(x, low, high);
        const bool below = wants(w, low, middle), above = wants(w, middle, high);
        if (below && above)
            put_in_order(x, low, middle, w, left);
        if (above)
            low = middle;
        else if (below)
            high = middle;
        else
            return;
    }
    qsort(x + low, high - low, sizeof *x, by_size); /* few are left, or the splits were unlucky */
}

void cold_quantiles(size_t n, double x[], size_t n_q, const double q[], double out[])
{
    enum { MOST = 8, SPLITS = 64 };
    size_t rank[2 * MOST];
    const struct wanted w = { 2 * n_q, rank };

    assert(n_q <= MOST);
    for (size_t i = 0; i < n_q; i++) {
        const size_t at = n ? (size_t)(q[i] * (double)(n - 1)) : 0;
        rank[2 * i] = at;
        rank[2 * i + 1] = at + 1 < n ? at + 1 : at;
    }
    if (n > 0)
        put_in_order(x, 0, n, &w, SPLITS);
    for (size_t i = 0; i < n_q; i++) {
        const double at = q[i] * (double)(n ? n - 1 : 0);
        const size_t k = rank[2 * i];
        out[i] = n == 0 ? (double)NAN : k + 1 < n ? x[k] + (at - (double)k) * (x[k + 1] - x[k]) : x[n - 1];
    }
}

struct in_year {
    double sum;
    size_t days;
};

static void conclude(size_t n, double x[], struct cold_week *w)
{
    static const double share[] = { 0.1, 0.5, 0.9 };
    double sum = 0.0, at[3];

    for (size_t i = 0; i < n; i++)
        sum += x[i];
    cold_quantiles(n, x, 3, share, at);
    *w = (struct cold_week){
        .years = n, .mean = n ? sum / (double)n : (double)NAN, .p10 = at[0], .p50 = at[1], .p90 = at[2]
    };
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
