/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One series from many sources. The expected figures were worked by hand from the rules in weather/series.h; the last
 * two cases merge real files, and what they should give was counted from the files.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/outlook/outlook.h"
#include "tests/prop.h"
#include "tests/weather/outside.h"
#include "weather/series.h"
#include "weather/weather.h"

static const int64_t begin_utc_s = 1768500000; /* 2026-01-15T18:00:00Z */

static struct arena mem;
static struct series got;
static struct message why;

static int begin(void **state)
{
    (void)state;
    arena_open(&mem, 64u << 20);
    why = (struct message){ "", "" };
    return 0;
}

static int end(void **state)
{
    (void)state;
    arena_close(&mem);
    return 0;
}

static struct hour unknown(int at)
{
    return hour_unknown(begin_utc_s + at * HOUR_S);
}

static struct hour full(int at, double temp_c)
{
    struct hour h = unknown(at);

    h.temp_c = temp_c;
    h.dew_point_c = temp_c - 3.0;
    h.rh = 0.8;
    h.wind_mps = 4.0;
    h.gust_mps = 7.0;
    h.wind_from_deg = 240.0;
    h.cloud_oktas = 7.0;
    h.rain_mm = 0.0;
    h.snow_cm = 0.0;
    return h;
}

static void merge(size_t n_hours, size_t n, const struct series_source s[])
{
    if (series_merge(begin_utc_s, n_hours, n, s, &mem, &got, &why) != ST_OK)
        fail_msg("refused: %s", why.text);
    assert_int_equal(got.n_hours, n_hours);
    for (size_t i = 0; i < n_hours; i++)
        assert_int_equal(got.hours[i].is.utc_s, begin_utc_s + (int64_t)i * HOUR_S);
}

static void near(const char *what, double value, double want, double off)
{
    if (!(fabs(value - want) <= off))
        fail_msg("%s: want %.10g within %g, got %.10g", what, want, off, value);
}

static bool noted(const char *says)
{
    for (size_t i = 0; i < got.n_notes; i++)
        if (strstr(got.note[i], says))
            return true;
    return false;
}

/* ---- ranks ---- */

static void own_reading_then_observed_then_newest_forecast(void **state)
{
    struct hour own[] = { unknown(0) }, station[] = { full(0, -1.0), full(1, -2.0) };
    struct hour old[] = { full(0, 10.0), full(1, 11.0), full(2, 12.0), full(3, 13.0) };
    struct hour fresh[] = { full(0, 20.0), full(1, 21.0), full(2, 22.0) };
    const struct series_source s[] = {
        { SERIES_FORECAST, "old", 100, 4, old },
        { SERIES_OBSERVED, "station", 50, 2, station },
        { SERIES_FORECAST, "fresh", 200, 3, fresh },
        { SERIES_OWN, "own", 10, 1, own },
    };

    (void)state;
    own[0].temp_c = -7.5;
    merge(4, 4, s);
    near("own temperature", got.hours[0].is.temp_c, -7.5, 0.0);
    assert_int_equal(got.hours[0].from[SERIES_TEMP], 3);
    assert_int_equal(got.hours[0].is.source, 3);
    assert_int_equal(got.hours[0].from[SERIES_WIND], 1); /* the own thermometer has no wind: the station's */
    near("observed", got.hours[1].is.temp_c, -2.0, 0.0);
    near("newest forecast", got.hours[2].is.temp_c, 22.0, 0.0);
    near("older forecast where the newest ends", got.hours[3].is.temp_c, 13.0, 0.0);
    assert_int_equal(got.newest_forecast_utc_s, 200);
    assert_int_equal(got.n_firm, 4);
    assert_string_equal(series_from_name(3, 4, s), "own");
    assert_string_equal(series_from_name(SERIES_BY_RULE, 4, s), "by rule");
}

static void humidity_travels_and_dew_point_does_not(void **state)
{
    struct hour own[] = { unknown(0), unknown(1) }, forecast[] = { full(0, -5.0), full(1, -5.0) };
    const struct series_source s[] = { { SERIES_OWN, "own", 0, 2, own }, { SERIES_FORECAST, "f", 1, 2, forecast } };

    (void)state;
    own[0].temp_c = own[1].temp_c = -11.0;
    forecast[1].rh = NAN; /* a dew point of -8 alone, above the -11 read */
    merge(2, 2, s);
    near("humidity", got.hours[0].is.rh, 0.8, 0.0);
    assert_true(isnan(got.hours[0].is.dew_point_c));
    assert_int_equal(got.n_missing[SERIES_RH], 0);
    near("never above the air", got.hours[1].is.dew_point_c, -11.0, 0.0);
    assert_true(got.hours[1].is.filled & HOUR_DEW_POINT);
}

static void variable_and_calm_winds_are_answers(void **state)
{
    struct hour station[] = { full(0, 1.0), full(1, 1.0), full(2, 1.0) };
    struct hour forecast[] = { full(0, 1.0), full(1, 1.0), full(2, 1.0) };
    const struct series_source s[] = { { SERIES_OBSERVED, "s", 0, 3, station },
                                       { SERIES_FORECAST, "f", 1, 3, forecast } };

    (void)state;
    station[0].wind_from_deg = NAN;
    station[0].wind_variable = true;
    station[1].wind_mps = 0.0;
    station[1].wind_from_deg = NAN;
    station[2].wind_from_deg = NAN; /* missing: the forecast may say */
    station[0].gust_mps = station[1].gust_mps = station[2].gust_mps = NAN;
    merge(3, 2, s);
    assert_true(isnan(got.hours[0].is.wind_from_deg) && got.hours[0].is.wind_variable);
    assert_true(isnan(got.hours[1].is.wind_from_deg) && !got.hours[1].is.wind_variable);
    near("filled from the forecast", got.hours[2].is.wind_from_deg, 240.0, 0.0);
    assert_true(isnan(got.hours[0].is.gust_mps)); /* a gust of another mean wind is none of this one's */
    assert_int_equal(got.n_missing[SERIES_WIND_FROM], 0);
}

/* ---- holes ---- */

static void short_holes_are_bridged_and_long_ones_stay(void **state)
{
    struct hour f[] = { full(0, -6.0), full(6, 0.0), full(13, 7.0) };
    const struct series_source s[] = { { SERIES_FORECAST, "six-hour steps", 1, 3, f } };

    (void)state;
    f[0].wind_from_deg = 350.0;
    f[1].wind_from_deg = 20.0;
    merge(14, 1, s);
    for (int i = 1; i < 6; i++) {
        near("straight line", got.hours[i].is.temp_c, -6.0 + i, 1e-12);
        near("the shorter way", got.hours[i].is.wind_from_deg, fmod(350.0 + 5.0 * i, 360.0), 1e-9);
        assert_int_equal(got.hours[i].from[SERIES_TEMP], SERIES_BY_RULE);
        assert_true((got.hours[i].is.filled & (HOUR_TEMP | HOUR_WIND | HOUR_WIND_FROM | HOUR_CLOUD)) ==
                    (HOUR_TEMP | HOUR_WIND | HOUR_WIND_FROM | HOUR_CLOUD));
        assert_true(isnan(got.hours[i].is.rain_mm)); /* five dry hours are not known to be dry */
    }
    for (int i = 7; i < 13; i++)
        assert_true(isnan(got.hours[i].is.temp_c) && got.hours[i].from[SERIES_TEMP] == SERIES_NOT_KNOWN);
    assert_int_equal(got.n_filled[SERIES_TEMP], 5);
    assert_int_equal(got.n_missing[SERIES_TEMP], 6);
    assert_true(noted("temperature: not given in 5 of 14") && noted("temperature: not known in 6 of 14"));
}

static void no_bearing_is_made_through_calm_or_variable(void **state)
{
    struct hour f[] = { full(0, 0.0), full(1, 0.0), full(2, 0.0), full(3, 0.0), full(4, 0.0), full(5, 0.0) };
    const struct series_source s[] = { { SERIES_OBSERVED, "s", 1, 6, f } };

    (void)state;
    f[1].wind_mps = 0.0;
    f[1].wind_from_deg = f[2].wind_from_deg = f[4].wind_from_deg = NAN;
    f[4].wind_variable = true;
    merge(6, 1, s);
    assert_true(isnan(got.hours[1].is.wind_from_deg));
    assert_true(isnan(got.hours[2].is.wind_from_deg)); /* between calm and 240: not known */
    assert_true(isnan(got.hours[4].is.wind_from_deg) && got.hours[4].is.wind_variable);
    assert_int_equal(got.n_missing[SERIES_WIND_FROM], 1);
}

static void sky_is_carried_three_hours_then_half_cloud(void **state)
{
    struct hour f[10];
    const struct series_source s[] = { { SERIES_OBSERVED, "s", 1, 10, f } };

    (void)state;
    for (int i = 0; i < 10; i++) {
        f[i] = full(i, 0.0);
        f[i].cloud_oktas = i == 2 ? 8.0 : (double)NAN;
    }
    merge(10, 1, s);
    for (int i = 0; i < 10; i++) {
        near("sky", got.hours[i].is.cloud_oktas, i < 2 || i > 5 ? 4.0 : 8.0, 0.0);
        assert_true(((got.hours[i].is.filled & HOUR_CLOUD) != 0) == (i != 2));
    }
    assert_int_equal(got.n_filled[SERIES_CLOUD], 9);
    assert_true(noted("half cloud"));
}

static void missing_rain_is_dry_only_between_dry_hours(void **state)
{
    static const double mm[] = { 0.0, NAN, NAN, 0.0, NAN, 1.0, NAN, 0.0, NAN, NAN, NAN, 0.0 };
    static const double want[] = { 0.0, 0.0, 0.0, 0.0, NAN, 1.0, NAN, 0.0, NAN, NAN, NAN, 0.0 };
    struct hour f[12];
    const struct series_source s[] = { { SERIES_OBSERVED, "s", 1, 12, f } };

    (void)state;
    for (int i = 0; i < 12; i++) {
        f[i] = full(i, 0.0);
        f[i].rain_mm = mm[i];
    }
    merge(12, 1, s);
    for (int i = 0; i < 12; i++)
        assert_true(isnan(want[i]) ? isnan(got.hours[i].is.rain_mm) : got.hours[i].is.rain_mm == want[i]);
    assert_int_equal(got.n_filled[SERIES_RAIN], 2);
    assert_int_equal(got.n_missing[SERIES_RAIN], 5);
}

static void sky_filled_by_a_reader_gives_way_to_one_that_was_seen(void **state)
{
    struct hour fresh[] = { full(0, 0.0) }, old[] = { full(0, 0.0) };
    const struct series_source s[] = { { SERIES_FORECAST, "fresh", 2, 1, fresh },
                                       { SERIES_FORECAST, "old", 1, 1, old } };

    (void)state;
    fresh[0].cloud_oktas = 4.0;
    fresh[0].filled = HOUR_CLOUD;
    merge(1, 2, s);
    near("the older forecast said so", got.hours[0].is.cloud_oktas, 7.0, 0.0);
    assert_false(got.hours[0].is.filled & HOUR_CLOUD);
}

/* ---- beyond the forecast ---- */

static void past_years_take_over_within_six_hours(void **state)
{
    struct hour f[6], past[20];
    const struct series_source s[] = { { SERIES_FORECAST, "f", 1, 6, f },
                                       { SERIES_PAST_YEARS, "January 2019", 0, 20, past } };

    (void)state;
    for (int i = 0; i < 6; i++)
        f[i] = full(i, -14.0);
    f[5].wind_from_deg = 300.0;
    for (int i = 0; i < 20; i++) {
        past[i] = full(i, -0.5 * i); /* at hour 5: -2.5, so the forecast stands 11.5 K below it */
        past[i].wind_mps = 11.0;
        past[i].wind_from_deg = 20.0;
        past[i].rain_mm = 0.25;
    }
    f[2].rain_mm = NAN; /* a hole inside the forecast is no door for the past */
    merge(20, 2, s);
    assert_int_equal(got.n_firm, 6);
    assert_int_equal(got.n_blended, 6);
    near("a dry hour between dry hours", got.hours[2].is.rain_mm, 0.0, 0.0);
    for (int i = 6; i < 20; i++) {
        const double w = i - 5 >= 7 ? 1.0 : (i - 5) / 7.0;

        near("difference fades", got.hours[i].is.temp_c, -0.5 * i - 11.5 * (1.0 - w), 1e-9);
        near("wind is mixed", got.hours[i].is.wind_mps, 4.0 * (1.0 - w) + 11.0 * w, 1e-9);
        near("turns over north", got.hours[i].is.wind_from_deg, fmod(300.0 + 80.0 * w, 360.0), 1e-9);
        near("rain as it was", got.hours[i].is.rain_mm, 0.25, 0.0);
        assert_int_equal(got.hours[i].from[SERIES_TEMP], i < 12 ? SERIES_BLENDED : 1);
        assert_int_equal(got.hours[i].is.source, i < 12 ? SERIES_BLENDED : 1);
        assert_int_equal(got.hours[i].from[SERIES_RAIN], 1);
    }
    assert_true(noted("the last 14 of 20 hours lie beyond the forecast and lean on past years"));
}

static void without_past_years_the_end_is_the_end(void **state)
{
    struct hour f[] = { full(0, -14.0), full(1, -14.0) };
    const struct series_source s[] = { { SERIES_FORECAST, "f", 1, 2, f } };

    (void)state;
    merge(5, 1, s);
    assert_int_equal(got.n_firm, 2);
    for (int i = 2; i < 5; i++) {
        assert_true(isnan(got.hours[i].is.temp_c) && isnan(got.hours[i].is.cloud_oktas));
        assert_int_equal(got.hours[i].is.filled, 0);
    }
    assert_true(noted("no past years are at hand"));
}

static void nothing_at_all_is_said_to_be_nothing(void **state)
{
    (void)state;
    merge(3, 0, NULL);
    assert_int_equal(got.n_firm, 0);
    assert_int_equal(got.n_missing[SERIES_TEMP], 3);
    for (int i = 0; i < 3; i++)
        for (int f = 0; f < SERIES_FIELDS; f++)
            assert_int_equal(got.hours[i].from[f], SERIES_NOT_KNOWN);
}

static void bad_windows_are_refused(void **state)
{
    (void)state;
    assert_int_equal(series_merge(begin_utc_s + 1, 3, 0, NULL, &mem, &got, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "from");
    assert_int_equal(series_merge(begin_utc_s, 0, 0, NULL, &mem, &got, &why), ST_BAD_INPUT);
    assert_int_equal(series_merge(begin_utc_s, 9000, 0, NULL, &mem, &got, &why), ST_BAD_INPUT);
    for (size_t ceiling = 1; ceiling < 8000; ceiling *= 2) {
        struct arena little;

        arena_open(&little, ceiling);
        assert_int_equal(series_merge(begin_utc_s, 48, 0, NULL, &little, &got, &why), ST_NO_MEMORY);
        arena_close(&little);
    }
}

/* Order of the sources and of their hours must not matter. */
static void order_of_sources_changes_nothing(void **state)
{
    enum { N = 48, SOURCES = 5 };
    static struct hour hours[SOURCES][N];
    struct series_source s[SOURCES], turned[SOURCES];
    struct dice p = prop_start();

    (void)state;
    for (int k = 0; k < SOURCES; k++) {
        for (int i = 0; i < N; i++) {
            hours[k][i] = full(0, prop_between(&p, -20.0, 10.0)); /* disordered */
            hours[k][i].utc_s = begin_utc_s + (i * 7 % N) * HOUR_S;
            if (prop_between(&p, 0.0, 1.0) < 0.5)
                hours[k][i].temp_c = NAN;
            if (prop_between(&p, 0.0, 1.0) < 0.5)
                hours[k][i].wind_mps = NAN;
        }
        s[k] = (struct series_source){ (enum series_rank)(k % SERIES_RANKS), "x", 100 - k, N, hours[k] };
        turned[SOURCES - 1 - k] = s[k];
    }
    for (int round = 0; round < 2; round++) {
        static struct hour first[N];

        merge(N, SOURCES, round ? turned : s);
        for (int i = 0; i < N; i++) {
            struct hour h = got.hours[i].is;

            h.source = 0;
            if (round)
                assert_true((isnan(h.temp_c) && isnan(first[i].temp_c)) || h.temp_c == first[i].temp_c);
            if (round)
                assert_true((isnan(h.wind_mps) && isnan(first[i].wind_mps)) || h.wind_mps == first[i].wind_mps);
            first[i] = h;
        }
    }
}

/* ---- real files ---- */

static bool outside(const char *name, struct weather *w)
{
    char path[600];
    struct weather raw;
    enum status st;

    st = weather_read_file(outside_path(name, path), NULL, &mem, &raw, &why);
    if (st == ST_NOT_FOUND)
        return false;
    if (st != ST_OK || weather_fill(&raw, &mem, w, &why) != ST_OK)
        fail_msg("%s: %s", name, why.text);
    return true;
}

static void real_winter_carries_on_after_a_real_forecast(void **state)
{
    struct weather forecast, past;
    struct outlook_analog a;
    struct hour line[72], beyond[240];
    struct series_source s[2];

    (void)state;
    if (!outside("nws-hourly-MPX-45N-2024-01-11.json", &forecast) || !outside("isdlite-725300-94846-2017.gz", &past)) {
        print_message("skipped: the real files are not here\n");
        skip();
    }
    assert_true(forecast.n == 156);
    s[0] = (struct series_source){ SERIES_FORECAST, "forecast", forecast.issued_utc_s, forecast.n, forecast.hour };
    memcpy(line, &forecast.hour[forecast.n - 72], sizeof line);
    assert_int_equal(outlook_analogs(past.n, past.hour, 72, line, forecast.hour[155].utc_s + HOUR_S, 84, 1, &a), 1);
    outlook_analog_hours(past.n, past.hour, &a, forecast.hour[0].utc_s, 240, beyond);
    s[1] = (struct series_source){ SERIES_PAST_YEARS, "O'Hare 2017", 0, 240, beyond };
    if (series_merge(forecast.hour[0].utc_s, 240, 2, s, &mem, &got, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_int_equal(got.n_firm, 156);
    assert_int_equal(got.n_blended, 6);
    near("coldest hour, -10 F at 2024-01-15T06:00-06:00", got.hours[90].is.temp_c, -23.3333, 0.001);
    near("the sky in words, Mostly Sunny at 2024-01-11T12:00-06:00, is kept", got.hours[0].is.cloud_oktas, 1.5, 1e-9);
    for (size_t i = 1; i < 240; i++) { /* no step larger than the two sources themselves make */
        assert_true(!isnan(got.hours[i].is.temp_c));
        assert_true(fabs(got.hours[i].is.temp_c - got.hours[i - 1].is.temp_c) < 6.0);
    }
    assert_int_equal((int)(got.n_missing[SERIES_TEMP] + got.n_missing[SERIES_WIND]), 0);
}

static void real_six_hour_steps_become_hours(void **state)
{
    struct weather w;
    struct series_source s;
    double rain_mm = 0.0;

    (void)state;
    if (!outside("metno-compact-40.7_-74.0-2020-07-20.json", &w)) {
        print_message("skipped: the real files are not here\n");
        skip();
    }
    s = (struct series_source){ SERIES_FORECAST, "MET Norway", 1, w.n, w.hour };
    if (series_merge(w.hour[0].utc_s, 200, 1, &s, &mem, &got, &why) != ST_OK)
        fail_msg("%s", why.text);
    for (size_t i = 0; i < got.n_firm; i++) {
        assert_false(isnan(got.hours[i].is.temp_c) || isnan(got.hours[i].is.wind_mps));
        rain_mm += isnan(got.hours[i].is.rain_mm) ? 0.0 : got.hours[i].is.rain_mm;
    }
    near("next_1_hours sum 0.0, next_6_hours alone 9.2 mm", rain_mm, 9.2, 1e-6);
}

#define CASE(f) cmocka_unit_test_setup_teardown(f, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(own_reading_then_observed_then_newest_forecast),
        CASE(humidity_travels_and_dew_point_does_not),
        CASE(variable_and_calm_winds_are_answers),
        CASE(short_holes_are_bridged_and_long_ones_stay),
        CASE(no_bearing_is_made_through_calm_or_variable),
        CASE(sky_is_carried_three_hours_then_half_cloud),
        CASE(missing_rain_is_dry_only_between_dry_hours),
        CASE(sky_filled_by_a_reader_gives_way_to_one_that_was_seen),
        CASE(past_years_take_over_within_six_hours),
        CASE(without_past_years_the_end_is_the_end),
        CASE(nothing_at_all_is_said_to_be_nothing),
        CASE(bad_windows_are_refused),
        CASE(order_of_sources_changes_nothing),
        CASE(real_winter_carries_on_after_a_real_forecast),
        CASE(real_six_hour_steps_become_hours),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
