/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rose, nights and driving rain from real hours: Chicago O'Hare (USAF 725300, WBAN 94846), NOAA Integrated Surface
 * Database Lite, 2016 and 2017. The figures were reckoned once from the same files by another program in another
 * language. Skipped where the files are not beside the project. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "core/air/air.h"
#include "core/air/rose.h"
#include "core/base/civil.h"
#include "weather/weather.h"

static const int central_s = -6 * 3600; /* US Central Standard Time */

static struct {
    struct arena mem;
    struct weather year[2], months, winter; /* 2016, 2017; November .. March; 2016-12-01 00Z .. 2017-02-28 23Z */
    bool there;
} ohare;

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.4f, got %.4f, allowed %g", what, want, got, off);
}

static bool read_one(const char *name, const struct weather_options *opt, struct weather *out)
{
    const char *folder = getenv("LEENEST_OUTSIDE");
    struct message why = { "", "" };
    char path[512];

    (void)snprintf(path, sizeof path, "%s/weather/%s", folder ? folder : "../shared/data", name);
    const enum status st = weather_read_file(path, opt, &ohare.mem, out, &why);
    if (st != ST_OK)
        print_message("%s\n", why.text);
    return st == ST_OK;
}

static int set_up(void **state)
{
    const struct weather_options winter = { .has_from = true,
                                            .has_to = true,
                                            .from_utc_s = civil_days(2016, 12, 1) * DAY_S,
                                            .to_utc_s = civil_days(2017, 2, 28) * DAY_S + 23 * HOUR_S };
    (void)state;
    arena_open(&ohare.mem, (size_t)256 << 20);
    ohare.there = read_one("isdlite-725300-94846-2016.gz", NULL, &ohare.year[0]) &&
                  read_one("isdlite-725300-94846-2017.gz", NULL, &ohare.year[1]) &&
                  read_one("isdlite-725300-94846-winter-2016-17.txt", NULL, &ohare.months) &&
                  read_one("isdlite-725300-94846-winter-2016-17.txt", &winter, &ohare.winter);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_close(&ohare.mem);
    return 0;
}

static void need_files(void)
{
    if (!ohare.there) {
        print_message("skipped: no O'Hare files\n");
        skip();
    }
}

static void winter_rose(void **state)
{
    static const double want[ROSE_SECTORS] = { 83, 43, 36, 43, 72, 25, 73, 74, 202, 154, 105, 183, 517, 232, 156, 69 };
    (void)state;
    need_files();
    const struct rose r = rose_of(ohare.winter.n, ohare.winter.hour, 0.0);
    assert_int_equal(r.hours, 2160);
    assert_int_equal(r.calm, 88);
    assert_int_equal(r.variable, 5);
    for (int i = 0; i < ROSE_SECTORS; i++)
        near(rose_sector_name[i], r.count[i], want[i], 1e-9);
    near("mean wind", r.mean_mps, 4.8056, 0.00005);
    assert_string_equal(rose_sector_name[r.modal], "W");
    near("vector mean", r.vector_from_deg, 260.57, 0.005);
    near("unit mean", r.unit_from_deg, 258.87, 0.005);
    near("steadiness", r.steadiness, 0.5197, 0.00005);
    assert_true(r.prevailing);
}

static void the_years_wind(void **state)
{
    static const struct {
        size_t hours, calm, variable;
        double mean;
    } want[] = { { 8782, 503, 135, 4.332 }, { 8759, 465, 100, 4.487 } };
    (void)state;
    need_files();
    for (int y = 0; y < 2; y++) {
        const struct rose r = rose_of(ohare.year[y].n, ohare.year[y].hour, 0.0);
        assert_int_equal(r.hours + r.no_wind, want[y].hours);
        assert_int_equal(r.calm, want[y].calm);
        assert_int_equal(r.variable, want[y].variable);
        near("mean wind", r.mean_mps, want[y].mean, 0.0005);
    }
}

static void winter_nights(void **state)
{
    static const struct {
        int year, month, day;
        size_t hours;
        double min, mean, wind, max, from;
    } want[] = {
        { 2016, 12, 18, 12, -24.4, -21.292, 3.317, 5.7, 254.5 },
        { 2017, 1, 6, 12, -17.2, -16.458, 3.433, 4.1, 285.5 },
        { 2017, 1, 15, 12, -1.7, -0.483, 0.675, 2.1, 153.7 },
    };
    const unsigned december_to_february = 1U << 11 | 1U << 0 | 1U << 1;
    struct rose_nights nights;
    struct message why;

    (void)state;
    need_files();
    assert_int_equal(
        rose_nights(ohare.months.n, ohare.months.hour, central_s, december_to_february, &ohare.mem, &nights, &why),
        ST_OK);
    assert_int_equal(nights.n, 90);
    near("mean of minima", nights.mean_min_temp_c, -3.312, 0.0005);
    near("P10", nights.p10_min_temp_c, -11.75, 0.005);
    near("P50", nights.p50_min_temp_c, -2.80, 0.005);
    near("P90", nights.p90_min_temp_c, 4.01, 0.005);
    assert_int_equal(nights.at_or_under_minus_10, 17);
    assert_int_equal(nights.at_or_under_minus_15, 7);
    for (size_t k = 0; k < COUNT(want); k++) {
        const int64_t evening = civil_days(want[k].year, want[k].month, want[k].day);
        size_t i = 0;
        while (i < nights.n && nights.night[i].evening != evening)
            i++;
        assert_true(i < nights.n);
        const struct rose_night *n = &nights.night[i];
        assert_int_equal(n->hours, want[k].hours);
        near("minimum", n->min_temp_c, want[k].min, 1e-9);
        near("mean", n->mean_temp_c, want[k].mean, 0.0005);
        near("wind", n->mean_wind_mps, want[k].wind, 0.0005);
        near("strongest", n->max_wind_mps, want[k].max, 1e-9);
        near("from", n->vector_from_deg, want[k].from, 0.05);
    }
}

static void driving_rain(void **state)
{
    static const double want[2][8] = {
        { 217.734, 265.756, 242.002, 222.021, 203.056, 170.874, 122.496, 147.897 },
        { 428.060, 512.354, 404.032, 257.973, 229.710, 211.825, 177.369, 237.952 },
    };
    (void)state;
    need_files();
    for (int y = 0; y < 2; y++)
        for (int k = 0; k < 8; k++) {
            const struct air_rain_index r = air_rain_index(ohare.year[y].n, ohare.year[y].hour, 45.0 * k);
            near("index", r.index_l_m2, want[y][k], 0.0006);
            near("a year", r.per_year_l_m2, want[y][k], 0.01 * want[y][k]);
            assert_int_equal(r.hours + r.not_known, ohare.year[y].n);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(winter_rose),
        cmocka_unit_test(the_years_wind),
        cmocka_unit_test(winter_nights),
        cmocka_unit_test(driving_rain),
    };
    return cmocka_run_group_tests_name("published/ohare", tests, set_up, tear_down);
}
