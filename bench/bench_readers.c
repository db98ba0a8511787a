/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Thirty station-years of ISD-Lite, made in memory, to a wind rose. Beside it the same job with the C library's sscanf,
 * the general tool anyone would take first. Goal: under 0.1 s.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/base/arena.h"
#include "core/base/civil.h"
#include "core/base/dice.h"
#include "weather/weather.h"

enum { YEARS = 30, ROW = 62, REPEATS = 5 };

static double now_s(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Invented weather in the real layout. */
static size_t make_year(int year, struct dice *d, char *to)
{
    const int64_t from = civil_days(year, 1, 1) * 24, end = civil_days(year + 1, 1, 1) * 24;
    char *s = to;

    for (int64_t h = from; h < end; h++) {
        const struct civil c = civil_from_seconds(h * HOUR_S);
        const double season = cos(2.0 * 3.14159265358979 * (double)(h - from) / (double)(end - from));
        const int temp = (int)(80.0 - 150.0 * season + 40.0 * dice_normal(d)), dew = temp - (int)(80.0 * dice_even(d));
        const int calm = dice_even(d) < 0.06, wind = calm ? 0 : (int)(130.0 * dice_even(d)) + 1;
        const int from_deg = calm ? 0 : 10 * (1 + (int)(36.0 * dice_even(d)));
        const int sky = dice_even(d) < 0.5 ? -9999 : (int)(9.0 * dice_even(d)),
                  rain = dice_even(d) < 0.1 ? (int)(30.0 * dice_even(d)) : 0;
        s += snprintf(s, ROW + 1, "%04d %02d %02d %02d%6d%6d%6d%6d%6d%6d%6d%6d\n", c.year % 10000, c.month % 100,
                      c.day % 100, c.hour % 100, temp, dew, 10130, from_deg, wind, sky, rain, -9999);
    }
    return (size_t)(s - to);
}

static void rose_of(const struct weather *w, size_t rose[16])
{
    for (size_t i = 0; i < w->n; i++)
        if (w->hour[i].wind_mps > 0.0 && !isnan(w->hour[i].wind_from_deg))
            rose[(size_t)((w->hour[i].wind_from_deg + 11.25) / 22.5) % 16]++;
}

static int ours(char *const text[YEARS], const size_t n[YEARS], size_t rose[16], size_t *hours)
{
    struct arena mem;
    struct message why;

    for (int y = 0; y < YEARS; y++) {
        struct weather w;
        arena_open(&mem, (size_t)64 << 20);
        if (weather_read("made", text[y], n[y], NULL, &mem, &w, &why) != ST_OK) {
            (void)fprintf(stderr, "%s\n", why.text);
            return 1;
        }
        rose_of(&w, rose);
        *hours += w.n;
        arena_close(&mem);
    }
    return 0;
}

static void witness(char *const text[YEARS], const size_t n[YEARS], size_t rose[16])
{
    for (int y = 0; y < YEARS; y++)
        for (const char *s = text[y]; s < text[y] + n[y]; s = strchr(s, '\n') + 1) {
            int v[12];
            char row[ROW + 1]; /* sscanf measures its whole input first: give it one row, or it takes minutes */
            memcpy(row, s, ROW);
            row[ROW] = '\0';
            /* NOLINTNEXTLINE(cert-err34-c): the witness is what a short program would do */
            if (sscanf(row, "%d %d %d %d %d %d %d %d %d %d %d %d", &v[0], &v[1], &v[2], &v[3], &v[4], &v[5], &v[6],
                       &v[7], &v[8], &v[9], &v[10], &v[11]) == 12 &&
                v[8] > 0 && v[7] >= 0)
                rose[(size_t)((v[7] % 360 + 11.25) / 22.5) % 16]++;
        }
}

int main(void)
{
    struct dice d = dice_from(20260101);
    char *text[YEARS];
    size_t n[YEARS], hours = 0, bytes = 0;
    double best = INFINITY, best_witness = INFINITY;

    for (int y = 0; y < YEARS; y++) {
        text[y] = malloc((size_t)8784 * ROW + 2);
        if (!text[y])
            return 1;
        n[y] = make_year(1990 + y, &d, text[y]);
        bytes += n[y];
    }
    for (int k = 0; k < REPEATS; k++) {
        size_t rose[16] = { 0 }, again[16] = { 0 };
        hours = 0;
        const double t0 = now_s();
        if (ours(text, n, rose, &hours))
            return 1;
        const double t1 = now_s();
        witness(text, n, again);
        const double t2 = now_s();
        best = fmin(best, t1 - t0);
        best_witness = fmin(best_witness, t2 - t1);
        if (memcmp(rose, again, sizeof rose) != 0) {
            (void)fprintf(stderr, "the two roses differ\n");
            return 1;
        }
    }
    (void)printf(
        "ISD-Lite, %d station-years (%zu hours, %.1f MB) to a rose: %.3f s (goal < 0.1 s), every field read and "
        "checked\n"
        "  witness: sscanf of the C library, rose alone:        %.3f s, %.1f times as long; the roses are equal\n",
        YEARS, hours, (double)bytes / 1e6, best, best_witness, best_witness / best);
    for (int y = 0; y < YEARS; y++)
        free(text[y]);
    return 0;
}
