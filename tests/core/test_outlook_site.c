/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The place against the forecast. The figures beside each case were worked by hand from the rules in outlook.h;
 * witness for standard deviations: the GNU Scientific Library.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/base/dice.h"
#include "core/outlook/outlook.h"

static const int64_t noon_utc_s = 1768478400; /* 2026-01-15T12:00:00Z */

/* A still clear night, -10 °C forecast six hours before. */
static struct outlook_pair night(int64_t utc_s, double read_c)
{
    return (struct outlook_pair){
        .made_utc_s = utc_s - 6 * HOUR_S,
        .forecast = { .utc_s = utc_s,
                      .temp_c = -10.0,
                      .dew_point_c = -13.0,
                      .rh = 0.7,
                      .wind_mps = 1.0,
                      .gust_mps = NAN,
                      .wind_from_deg = 270.0,
                      .cloud_oktas = 1.0,
                      .rain_mm = 0.0 },
        .temp_c = read_c,
        .wind_mps = NAN,
        .wind_from_deg = NAN,
        .rain_mm = NAN,
    };
}

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.10g within %g, got %.10g", what, want, off, got);
}

static void offsets_are_shrunk_toward_nothing(void **state)
{
    /* read 4, 4, 1 K colder on three nights: mean -3; n / (n + 6) = 3/9; and so on */
    static const struct {
        size_t n;
        double read_c[12], raw_k, shrunk_k;
    } row[] = {
        { 0, { 0 }, NAN, 0.0 },
        { 1, { -14.0 }, -4.0, -4.0 / 7.0 },
        { 3, { -14.0, -14.0, -11.0 }, -3.0, -1.0 },
        { 6, { -13.0, -13.0, -13.0, -13.0, -13.0, -13.0 }, -3.0, -1.5 },
        { 12, { -13, -13, -13, -13, -13, -13, -13, -13, -13, -13, -13, -13 }, -3.0, -2.0 },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        struct outlook_pair p[12];
        struct outlook_site site;

        for (size_t k = 0; k < row[i].n; k++)
            p[k] = night(noon_utc_s + (int64_t)k * DAY_S, row[i].read_c[k]);
        outlook_site_learn(row[i].n, p, &site);
        assert_int_equal(site.by_class[0].n_temp, row[i].n);
        assert_int_equal(site.by_class[0].n_temp_readings, row[i].n);
        assert_true(isnan(row[i].raw_k) ? isnan(site.by_class[0].temp_raw_k)
                                        : fabs(site.by_class[0].temp_raw_k - row[i].raw_k) < 1e-12);
        near("shrunk", site.by_class[0].temp_k, row[i].shrunk_k, 1e-12);
        for (int c = 1; c < OUTLOOK_CLASSES; c++)
            assert_true(site.by_class[c].n_temp == 0 && site.by_class[c].temp_k == 0.0);
    }
}

static void one_night_read_every_hour_counts_as_two(void **state)
{
    struct outlook_pair p[12];
    struct outlook_site site;

    (void)state;
    for (int k = 0; k < 12; k++) /* six hours 2 K colder, then six hours 4 K colder */
        p[k] = night(noon_utc_s + k * HOUR_S, k < 6 ? -12.0 : -14.0);
    outlook_site_learn(12, p, &site);
    assert_int_equal(site.by_class[0].n_temp_readings, 12);
    assert_int_equal(site.by_class[0].n_temp, 2);
    near("mean of the two occasions", site.by_class[0].temp_raw_k, -3.0, 1e-12);
    near("2 / (2 + 6)", site.by_class[0].temp_k, -0.75, 1e-12);
}

static void newest_forecast_of_an_hour_counts(void **state)
{
    struct outlook_pair p[3] = { night(noon_utc_s, -12.0), night(noon_utc_s, -12.0), night(noon_utc_s, -12.0) };
    struct outlook_site site;

    (void)state;
    p[0].made_utc_s = noon_utc_s - 48 * HOUR_S;
    p[0].forecast.temp_c = 0.0;
    p[2].made_utc_s = noon_utc_s - 24 * HOUR_S;
    p[2].forecast.temp_c = -30.0;
    outlook_site_learn(3, p, &site);
    assert_int_equal(site.by_class[0].n_temp_readings, 1);
    near("against the one of six hours before", site.by_class[0].temp_raw_k, -2.0, 1e-12);
}

static void classes_are_told_apart(void **state)
{
    static const struct {
        double wind_mps, cloud_oktas;
        bool daylight;
        const char *name;
    } row[] = {
        { 1.9, 3.0, false, "still clear night" }, { 1.9, 3.0, true, "still clear day" },
        { 2.0, 3.0, false, "windy clear night" }, { 1.9, 4.0, false, "still cloudy night" },
        { 9.0, 8.0, true, "windy cloudy day" },   { NAN, NAN, false, "windy cloudy night" },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        const struct hour h = { .wind_mps = row[i].wind_mps, .cloud_oktas = row[i].cloud_oktas };

        assert_string_equal(outlook_class_name[outlook_class(&h, row[i].daylight)], row[i].name);
    }
}

static void wind_is_a_factor_shrunk_toward_one(void **state)
{
    struct outlook_pair p[4];
    struct outlook_site site;
    static const double said[] = { 4.0, 8.0, 0.5, 3.0 }, read[] = { 2.0, 4.0, 5.0, 1.5 };

    (void)state;
    for (int k = 0; k < 4; k++) {
        p[k] = night(noon_utc_s + k * DAY_S, NAN);
        p[k].forecast.wind_mps = said[k];
        p[k].wind_mps = read[k];
    }
    outlook_site_learn(4, p, &site);
    assert_int_equal(site.by_class[OUTLOOK_WINDY].n_wind, 3); /* the 0.5 m/s forecast says nothing of a factor */
    near("7.5 read over 15 said", site.by_class[OUTLOOK_WINDY].wind_raw, 0.5, 1e-12);
    near("1 - 0.5 x 3/9", site.by_class[OUTLOOK_WINDY].wind_factor, 1.0 - 0.5 / 3.0, 1e-12);
    near("no wind read: as forecast", site.by_class[0].wind_factor, 1.0, 0.0);
}

static void offsets_are_laid_on_by_class(void **state)
{
    struct outlook_site site = { 0 };
    const struct hour still = night(noon_utc_s, 0.0).forecast;
    struct hour h[3] = { still, still, still };
    const bool daylight[3] = { false, true, false };

    (void)state;
    for (int c = 0; c < OUTLOOK_CLASSES; c++)
        site.by_class[c].wind_factor = 1.0;
    site.by_class[0].temp_k = -1.5;
    site.by_class[0].wind_factor = 0.8;
    site.by_class[OUTLOOK_DAY].temp_k = 0.25;
    h[2].temp_c = NAN;
    outlook_site_apply(&site, 3, daylight, h);
    near("night", h[0].temp_c, -11.5, 1e-12);
    near("dew point goes with it", h[0].dew_point_c, -14.5, 1e-12);
    near("wind", h[0].wind_mps, 0.8, 1e-12);
    near("day", h[1].temp_c, -9.75, 1e-12);
    near("humidity stays", h[0].rh, 0.7, 0.0);
    assert_true(isnan(h[2].temp_c) && isnan(h[0].gust_mps));
}

static void scores_by_lead(void **state)
{
    struct outlook_pair p[6];
    struct outlook_verified v;
    const double errors[3] = { 2.0, -1.0, 5.0 };

    (void)state;
    for (int k = 0; k < 3; k++) { /* leads 6, 7, 11: the bin 6-12 */
        p[k] = night(noon_utc_s + k * DAY_S, -10.0 - errors[k]);
        p[k].made_utc_s = p[k].forecast.utc_s - (int64_t[]){ 6, 7, 11 }[k] * HOUR_S;
    }
    p[3] = night(noon_utc_s, -10.0);
    p[3].made_utc_s = noon_utc_s - 100 * HOUR_S;
    p[3].forecast.wind_mps = 3.0;
    p[3].wind_mps = 5.0;
    p[3].forecast.wind_from_deg = 350.0;
    p[3].wind_from_deg = 20.0;
    p[3].rain_mm = 0.4;
    p[4] = night(noon_utc_s, -90.0);
    p[4].made_utc_s = noon_utc_s + 1; /* made afterwards: no forecast at all */
    p[5] = night(noon_utc_s, NAN);
    outlook_verify(6, p, &v);
    assert_int_equal(v.temp_k[1].n, 3);
    near("bias", v.temp_k[1].bias, 2.0, 1e-12);
    near("mean absolute", v.temp_k[1].mae, 8.0 / 3.0, 1e-12);
    near("sd", v.temp_k[1].sd, gsl_stats_sd(errors, 1, 3), 1e-12);
    assert_int_equal(v.temp_k[0].n, 0);
    assert_true(isnan(v.temp_k[0].bias) && isnan(v.temp_k[0].sd));
    assert_int_equal(v.temp_k[4].n, 1);
    near("one pair has a bias", v.temp_k[4].bias, 0.0, 1e-12);
    assert_true(isnan(v.temp_k[4].sd)); /* and no spread */
    near("wind", v.wind_mps[4].bias, -2.0, 1e-12);
    near("350 is 30 degrees to the left of 20", v.from_deg[4].bias, -30.0, 1e-12);
    assert_true(v.rain[4].missed == 1 && v.rain[4].hit == 0 && v.rain[4].false_alarm == 0 && v.rain[4].dry == 0);
}

static void own_spread_takes_over_after_thirty_pairs(void **state)
{
    static struct outlook_pair p[400];
    struct dice d = dice_from(42);
    struct outlook_spread s;

    (void)state;
    for (int k = 0; k < 400; k++) { /* errors twice the default's, at 1 to 72 h, and 1.2 K too warm throughout */
        const double lead_h = 1.0 + k % 72;
        const double sd_k = outlook_grown(outlook_default_spread.temp_k, lead_h);

        p[k] = night(noon_utc_s + k * DAY_S, NAN);
        p[k].made_utc_s = p[k].forecast.utc_s - (int64_t)lead_h * HOUR_S;
        p[k].temp_c = p[k].forecast.temp_c - 1.2 + 2.0 * sd_k * dice_normal(&d);
    }
    s = outlook_own_spread(29, p);
    assert_int_equal(s.n_temp, 0);
    near("judgement", s.temp_k.last, 3.0, 0.0);
    s = outlook_own_spread(30, p);
    assert_int_equal(s.n_temp, 30);
    assert_true(s.temp_k.first > 1.5 * 1.4 && s.temp_k.first < 1.5 * 2.8);
    s = outlook_own_spread(400, p);
    near("twice the default", s.temp_k.first, 3.0, 0.25); /* one standard error is 3.5 % */
    near("the growth keeps its shape", s.temp_k.last / s.temp_k.first, 2.0, 1e-12);
    assert_int_equal(s.n_wind, 0); /* no wind was read: judgement stays there */
    near("wind untouched", s.wind_fraction.first, 0.25, 0.0);
    near("rain untouched", s.rain_log.last, 0.8, 0.0);
}

static void thirty_readings_of_one_day_are_not_thirty(void **state)
{
    static struct outlook_pair p[48];

    (void)state;
    for (int k = 0; k < 48; k++) {
        p[k] = night(noon_utc_s + k * HOUR_S, -10.0 + k % 3);
        p[k].made_utc_s = p[k].forecast.utc_s - 3 * HOUR_S;
    }
    assert_int_equal(outlook_own_spread(48, p).n_temp, 0); /* two days: eight occasions six hours apart */
}

static void own_spread_stays_within_reason(void **state)
{
    static struct outlook_pair p[60];

    (void)state;
    for (int k = 0; k < 60; k++)
        p[k] = night(noon_utc_s + k * DAY_S, -10.0); /* never an error: too good to be taken at its word */
    near("not under 0.3 of the default", outlook_own_spread(60, p).temp_k.first, 0.45, 1e-12);
    for (int k = 0; k < 60; k++)
        p[k].temp_c = k % 2 ? -60.0 : 40.0;
    near("not over 3", outlook_own_spread(60, p).temp_k.first, 4.5, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(offsets_are_shrunk_toward_nothing),
        cmocka_unit_test(one_night_read_every_hour_counts_as_two),
        cmocka_unit_test(newest_forecast_of_an_hour_counts),
        cmocka_unit_test(classes_are_told_apart),
        cmocka_unit_test(wind_is_a_factor_shrunk_toward_one),
        cmocka_unit_test(offsets_are_laid_on_by_class),
        cmocka_unit_test(scores_by_lead),
        cmocka_unit_test(own_spread_takes_over_after_thirty_pairs),
        cmocka_unit_test(thirty_readings_of_one_day_are_not_thirty),
        cmocka_unit_test(own_spread_stays_within_reason),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
