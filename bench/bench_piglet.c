/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How fast: one piglet followed for 6 h by the quick and by the plain solver, how it feels, one nest hour, and the
 * facing of a site over three winters (6,500 hours x 72 bearings) on one thread. */
#include <math.h>
#include <stdio.h>
#include <time.h>

#include "core/base/civil.h"
#include "core/base/dice.h"
#include "core/nest/facing.h"

enum { CASES = 2000, THREE_WINTERS = 6500, ROUNDS = 5 };

/* Processor time: other work on the machine does not count. */
static double now_s(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void any_air(struct dice *d, struct piglet_air air[7])
{
    const double temp_c = dice_between(d, -5.0, 15.0);

    for (int h = 0; h < 7; h++)
        air[h] = (struct piglet_air){
            .air_c = temp_c + dice_between(d, -1.0, 1.0),
            .rh = 0.8,
            .draught_mps = dice_between(d, 0.08, 0.4),
            .radiant_c = temp_c - 3.0,
            .bed_c = fmax(-3.0, temp_c),
            .floor = PIGLET_STRAW,
            .straw_m = 0.20,
        };
}

static void bench_piglets(void)
{
    static struct piglet_air air[CASES][7];
    static struct piglet_case cases[CASES];
    static struct piglet_result out[CASES];
    struct piglet who = piglet_newborn();
    struct message why = { "", "" };
    struct dice d = dice_from(1);
    double best_s = INFINITY, sum = 0.0;

    for (int i = 0; i < CASES; i++) {
        any_air(&d, air[i]);
        cases[i] = (struct piglet_case){ &who, air[i], 7 };
    }
    for (int round = 0; round < ROUNDS; round++) {
        const double start_s = now_s();
        piglet_run_batch(NULL, CASES, cases, out);
        best_s = fmin(best_s, now_s() - start_s);
    }
    const double start_s = now_s();
    for (int i = 0; i < 20; i++)
        if (piglet_run_reference(NULL, &who, 7, air[i], 20.0, NULL, &out[i], &why) == ST_OK)
            sum += out[i].min_c;
    const double plain_s = (now_s() - start_s) / 20.0, quick_s = best_s / CASES;
    printf(
        "piglet, 6 h     %9.0f runs/s (%.1f us); bisection and 20 s steps: %.0f runs/s; %.0f times as fast  [%.1f]\n",
        1.0 / quick_s, 1e6 * quick_s, 1.0 / plain_s, plain_s / quick_s, sum / 20.0);
}

static void bench_feels(void)
{
    static struct piglet_air air[CASES][7];
    struct feels_table table;
    struct feels_bed bed;
    struct dice d = dice_from(2);
    double sum = 0.0;

    for (int i = 0; i < CASES; i++)
        any_air(&d, air[i]);
    double start_s = now_s();
    feels_table_make(NULL, &table);
    printf("feels, table    %9.2f ms to make, once a question\n", 1e3 * (now_s() - start_s));
    start_s = now_s();
    for (int k = 0; k < 100; k++)
        for (int i = 0; i < CASES; i++)
            sum += feels_c(&table, &air[i][0]);
    const double plain_s = (now_s() - start_s) / (100.0 * CASES);
    feels_bed_make(&table, PIGLET_STRAW, 0.20, STRAW_DRY, &bed);
    start_s = now_s();
    for (int k = 0; k < 100; k++)
        for (int i = 0; i < CASES; i++) {
            const struct piglet_air *a = &air[i][0];
            sum += feels_c_quick(&table, &bed, a->air_c, 0.8, a->draught_mps, a->radiant_c, a->bed_c, 27.0);
        }
    const double quick_s = (now_s() - start_s) / (100.0 * CASES);
    printf("feels           %9.2f M/s checked, %.2f M/s on one bed  [%.2f]\n", 1e-6 / plain_s, 1e-6 / quick_s,
           sum / (200.0 * CASES));
}

static void make_winters(struct hour hours[THREE_WINTERS])
{
    struct dice d = dice_from(3);

    for (int i = 0; i < THREE_WINTERS; i++)
        hours[i] = (struct hour){
            .utc_s = civil_days(2023 + i / 2160, 12, 1) * 86400 + i % 2160 * INT64_C(3600),
            .temp_c = dice_between(&d, -15.0, 6.0),
            .rh = 0.85,
            .wind_mps = dice_between(&d, 0.0, 9.0),
            .wind_from_deg = dice_between(&d, 180.0, 330.0),
            .cloud_oktas = dice_between(&d, 0.0, 8.0),
            .rain_mm = dice_between(&d, 0.0, 1.0) < 0.08 ? 0.6 : 0.0,
            .ghi_w_m2 = NAN,
            .dni_w_m2 = NAN,
            .dhi_w_m2 = NAN,
        };
}

static void bench_nest_and_facing(void)
{
    static struct hour hours[THREE_WINTERS];
    static struct nest nests[THREE_WINTERS];
    struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = facing_ask_default();
    struct feels_table table;
    struct message why = { "", "" };
    double best_s = INFINITY, at_deg = NAN;

    make_winters(hours);
    feels_table_make(NULL, &table);
    hut.hut.facing_deg = 90.0;
    const double start_s = now_s();
    if (nest_hours(NULL, &hut, NULL, NULL, THREE_WINTERS, hours, NULL, &table, NULL, nests, &why) != ST_OK)
        printf("%s\n", why.text);
    printf("nest, one hour  %9.2f M/s\n", 1e-6 * THREE_WINTERS / (now_s() - start_s));
    ask.n = THREE_WINTERS;
    ask.hours = hours;
    ask.lat_deg = 45.0;
    ask.lon_deg = -93.0;
    ask.shelter = &hut;
    for (int round = 0; round < ROUNDS; round++) {
        struct arena mem;
        struct facing f;
        const double begin_s = now_s();
        arena_open(&mem, 64u << 20);
        if (facing_find(&ask, &mem, &f, &why) == ST_OK)
            at_deg = f.best_deg;
        arena_close(&mem);
        best_s = fmin(best_s, now_s() - begin_s);
    }
    printf("facing          %9.3f s for %d hours x %d bearings on one thread (goal 0.2 s on two)  [best %g]\n", best_s,
           (int)THREE_WINTERS, (int)FACING_BEARINGS, at_deg);
}

int main(void)
{
    bench_piglets();
    bench_feels();
    bench_nest_and_facing();
    return 0;
}
