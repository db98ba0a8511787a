/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cold and heat of thirty made-up years in six shelters, every hour, typical piglet and runt, on two threads; beside it
 * the whole balance of both for every hour of one of those years in the same shelters, brought to thirty. */
#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "core/base/civil.h"
#include "core/base/dice.h"
#include "core/season/cold.h"

enum { YEARS = 30, KINDS = 6, THREADS = 2, MOST_DAYS = 366 * YEARS };

static double clock_s(clockid_t id)
{
    struct timespec t;

    (void)clock_gettime(id, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void kinds(struct shelter s[KINDS])
{
    s[0] = shelter_default(SHELTER_OPEN);
    s[1] = shelter_default(SHELTER_LEE);
    s[1].lee = (struct windbreak){ true, 0.5, 3.0, 270.0, 10.0 };
    s[2] = s[3] = s[4] = s[5] = shelter_default(SHELTER_HUT);
    s[2].hut.facing_deg = 110.0;
    s[3].hut.facing_deg = 270.0;
    s[4].hut.facing_deg = s[5].hut.facing_deg = 110.0;
    s[4].hut.flap = true;
    s[5].hut.wall = WALL_WOOD;
}

/* A place of hard winters: a year's wave, a day's wave, weather that lasts for days. */
static size_t make_years(struct arena *mem, struct hour **hours)
{
    const int64_t first = civil_days(1990, 1, 1), last = civil_days(1990 + YEARS, 1, 1);
    const size_t n = (size_t)(last - first) * 24;
    struct dice d = dice_from(1);
    double spell = 0.0, wind = 4.0;
    struct hour *h = ARENA_NEW(mem, struct hour, n);

    for (size_t i = 0; h && i < n; i++) {
        const double turn = 6.283185307179586;
        spell = 0.985 * spell + 0.9 * dice_normal(&d);
        wind = fmax(0.0, fmin(20.0, 0.93 * wind + 0.07 * 4.5 + 0.7 * dice_normal(&d)));
        h[i] = hour_unknown(first * DAY_S + (int64_t)i * HOUR_S);
        h[i].temp_c = 7.0 - 13.0 * cos(turn * ((double)i / 8766.0 - 0.05)) -
                      4.0 * cos(turn * ((double)(i % 24) / 24.0 - 0.1)) + spell;
        h[i].rh = 0.8;
        h[i].wind_mps = wind;
        h[i].wind_from_deg = fmod(225.0 + 40.0 * dice_normal(&d) + 720.0, 360.0);
        h[i].cloud_oktas = 4.0;
        h[i].rain_mm = dice_even(&d) < 0.05 ? 1.0 : 0.0;
    }
    *hours = h;
    return h ? n : 0;
}

struct job {
    const struct cold_past *past;
    const struct shelter *s;
    enum cold_how how;
    size_t first, wholly;
    double danger; /* sum of shares: to see that both ways say the same */
    bool failed;
    float (*daily)[3][MOST_DAYS]; /* of each shelter */
};

static void *work(void *of)
{
    struct job *j = of;
    struct message why = { "", "" };

    for (size_t k = j->first; k < KINDS; k += THREADS) {
        struct arena scratch;
        size_t ran = 0;
        float *danger = j->daily[k][0], *runt = j->daily[k][2];
        const struct cold_daily out = { danger, runt, j->daily[k][1] };
        arena_open(&scratch, (size_t)512 << 20);
        if (cold_of_shelter(j->past, &j->s[k], j->how, &scratch, &out, &ran, &why) != ST_OK) {
            (void)printf("%s\n", why.text);
            j->failed = true;
        }
        arena_close(&scratch);
        j->wholly += ran;
        for (size_t d = 0; d < j->past->n_days && !j->failed; d++)
            j->danger += isnan(danger[d]) ? 0.0 : (double)danger[d] + (double)runt[d];
    }
    return NULL;
}

struct took {
    double wall_s, cpu_s, danger, whole_share;
    bool failed;
};

static struct took all_shelters(const struct hour *h, size_t n, enum cold_how how)
{
    static float daily[KINDS][3][MOST_DAYS];
    struct shelter s[KINDS];
    struct cold_site site = cold_site_default();
    struct cold_past *past = NULL;
    struct message why = { "", "" };
    struct arena mem;
    pthread_t thread;
    struct job job[THREADS];
    struct took t = { 0 };

    kinds(s);
    site.n = n;
    site.hours = h;
    site.lat_deg = 45.0;
    site.lon_deg = -93.0;
    site.standard_offset_s = -6 * HOUR_S;
    arena_open(&mem, (size_t)512 << 20);
    const double wall = clock_s(CLOCK_MONOTONIC), cpu = clock_s(CLOCK_PROCESS_CPUTIME_ID);
    t.failed = cold_prepare(&site, &mem, &past, &why) != ST_OK;
    if (!t.failed) {
        for (size_t i = 0; i < THREADS; i++)
            job[i] = (struct job){ .past = past, .s = s, .how = how, .first = i, .daily = daily };
        const bool two = pthread_create(&thread, NULL, work, &job[1]) == 0;
        (void)work(&job[0]);
        if (two)
            (void)pthread_join(thread, NULL);
        else
            (void)work(&job[1]);
        t.danger = job[0].danger + job[1].danger;
        t.whole_share = (double)(job[0].wholly + job[1].wholly) / (2.0 * (double)KINDS * (double)past->n);
        t.failed = job[0].failed || job[1].failed;
    }
    t.wall_s = clock_s(CLOCK_MONOTONIC) - wall;
    t.cpu_s = clock_s(CLOCK_PROCESS_CPUTIME_ID) - cpu;
    arena_close(&mem);
    return t;
}

int main(void)
{
    enum { ONE_YEAR = 365 * 24 };
    struct arena mem;
    struct hour *h = NULL;

    arena_open(&mem, (size_t)512 << 20);
    const size_t n = make_years(&mem, &h);
    const struct took quick = all_shelters(h, n, COLD_QUICK), a = all_shelters(h, ONE_YEAR, COLD_QUICK),
                      b = all_shelters(h, ONE_YEAR, COLD_WHOLE);
    if (n == 0 || quick.failed || a.failed || b.failed)
        return 1;
    (void)printf(
        "season, cold    %9.2f s for %d years x %d shelters on two threads (%.2f s of processor; goal 3 s), the "
        "whole balance for %.0f births in 100, typical piglet and runt\n",
        quick.wall_s, (int)YEARS, (int)KINDS, quick.cpu_s, 100.0 * quick.whole_share);
    (void)printf(
        "  every hour by the whole balance: %.2f s of processor for one year against %.2f; %.1f times; births in "
        "danger differ by %.6f days in %.1f\n",
        b.cpu_s, a.cpu_s, b.cpu_s / a.cpu_s, fabs(a.danger - b.danger), b.danger);
    arena_close(&mem);
    return 0;
}
