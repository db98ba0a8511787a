/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sun positions a second: ours one by one, ours many at once (hours in order, and moments at random), the two cores
 * together, and ERFA's routines. bench_sun.mjs gives astronomy-engine's figure in the same run. */
#include <math.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "core/base/dice.h"
#include "core/sun/sun.h"
#ifdef HAVE_ERFA
#include "tests/witness/erfa_sun.h"
#endif

enum { N = 1 << 20, SLOW = 20000 };
static const double lat = 45.0, lon = -93.0;

static double now_s(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void say(const char *what, double n, double seconds, double check)
{
    printf("%-44s %9.3f M/s   (sum of elevations %.6g)\n", what, n / seconds / 1e6, check);
}

static double sum(const double x[], size_t n)
{
    double s = 0.0;
    for (size_t i = 0; i < n; i++)
        s += x[i];
    return s;
}

struct share {
    const int64_t *at;
    double *azimuth, *elevation;
    size_t n;
};

static void *run_share(void *what)
{
    const struct share *s = what;
    sun_positions(s->n, s->at, lat, lon, s->azimuth, s->elevation);
    return NULL;
}

/* The best of five: other work on the machine only ever makes it slower. */
static double best_many(const int64_t at[], double azimuth[], double elevation[], int threads)
{
    double best = 1e9;
    for (int k = 0; k < 5; k++) {
        const double start = now_s();
        struct share first = { at, azimuth, elevation, (size_t)(N / threads) };
        struct share rest = { at + first.n, azimuth + first.n, elevation + first.n, (size_t)N - first.n };
        pthread_t other;
        if (threads == 2 && pthread_create(&other, NULL, run_share, &rest) != 0)
            return NAN;
        (void)run_share(&first);
        if (threads == 2)
            (void)pthread_join(other, NULL);
        best = fmin(best, now_s() - start);
    }
    return best;
}

int main(void)
{
    int64_t *hours = calloc(N, sizeof *hours), *moments = calloc(N, sizeof *moments);
    double *azimuth = calloc(N, sizeof *azimuth), *elevation = calloc(N, sizeof *elevation);
    struct dice dice = dice_from(1);
    double start, check = 0.0;

    if (!hours || !moments || !azimuth || !elevation)
        return 1;
    for (int i = 0; i < N; i++) {
        hours[i] =
            INT64_C(631152000) + INT64_C(3600) * (i % (60 * 8766)); /* every hour of 1990 .. 2049, and over again */
        moments[i] = (int64_t)dice_between(&dice, 631152000.0, 2871763200.0);
    }
    double took = best_many(hours, azimuth, elevation, 1);
    say("ours, hours in order, one core", N, took, sum(elevation, N));
    took = best_many(hours, azimuth, elevation, 2);
    say("ours, hours in order, two threads", N, took, sum(elevation, N));
    took = best_many(moments, azimuth, elevation, 1);
    say("ours, moments at random, one core", N, took, sum(elevation, N));
    start = now_s();
    for (int i = 0; i < N / 4; i++)
        check += sun_position(hours[i], lat, lon).elevation_true_deg;
    say("ours, one by one with refraction, one core", N / 4, now_s() - start, check);
#ifdef HAVE_ERFA
    start = now_s();
    check = 0.0;
    for (int i = 0; i < SLOW; i++) {
        double az, el;
        erfa_sun(hours[i], lat, lon, &az, &el);
        check += el;
    }
    say("ERFA (epv00, 2006/2000A), one core", SLOW, now_s() - start, check);
#else
    printf("ERFA: skipped, liberfa is not installed\n");
#endif
    free(hours), free(moments), free(azimuth), free(elevation);
    return 0;
}
