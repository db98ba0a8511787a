/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The fifteen versions of a forecast. Witnesses: the GNU Scientific Library's statistics, and the theory of first-order
 * autoregressive series (Box & Jenkins: correlation at lag k is rho^k) and of the lognormal distribution (mean
 * exp(s^2 / 2), standard deviation over mean sqrt(exp(s^2) - 1)).
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
#include "core/base/blend.h"
#include "core/base/civil.h"
#include "core/outlook/outlook.h"
#include "tests/prop.h"

enum { HOURS = 80, SEEDS = 400 };
static const int64_t now_utc_s = 1768500000; /* 2026-01-15T18:00:00Z */

static struct hour plain_hour(int64_t utc_s)
{
    return (struct hour){
        .utc_s = utc_s,
        .temp_c = -5.0,
        .dew_point_c = -8.0,
        .rh = 0.79,
        .wind_mps = 5.0,
        .gust_mps = 9.0,
        .wind_from_deg = 250.0,
        .cloud_oktas = 6.0,
        .rain_mm = 0.0,
        .snow_cm = 0.0,
        .pressure_kpa = 99.0,
        .ghi_w_m2 = NAN,
        .dni_w_m2 = NAN,
        .dhi_w_m2 = NAN,
        .rain_probability = NAN,
    };
}

static void plain_line(struct hour line[static HOURS])
{
    for (int i = 0; i < HOURS; i++)
        line[i] = plain_hour(now_utc_s + i * HOUR_S);
}

static void members(uint64_t seed, const struct hour line[static HOURS],
                    struct hour out[static OUTLOOK_MEMBERS * HOURS])
{
    outlook_members(&outlook_default_spread, seed, now_utc_s, HOURS, line, NULL, out);
}

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.10g within %g, got %.10g", what, want, off, got);
}

/* ---- the members ---- */

static void first_member_is_the_forecast_itself(void **state)
{
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];

    (void)state;
    plain_line(line);
    line[7].rain_mm = 2.0;
    members(outlook_seed, line, m);
    assert_memory_equal(m, line, sizeof line);
    for (int k = 1; k < OUTLOOK_MEMBERS; k++)
        for (int i = 0; i < HOURS; i++)
            assert_true(m[k * HOURS + i].utc_s == line[i].utc_s &&
                        fabs(m[k * HOURS + i].temp_c - line[i].temp_c) > 0.0);
}

static void same_seed_same_bytes(void **state)
{
    struct hour line[HOURS];
    static struct hour a[OUTLOOK_MEMBERS * HOURS], b[OUTLOOK_MEMBERS * HOURS];

    (void)state;
    plain_line(line);
    members(outlook_seed, line, a);
    members(outlook_seed, line, b);
    assert_memory_equal(a, b, sizeof a);
    members(outlook_seed + 1, line, b);
    assert_true(fabs(a[HOURS + 5].temp_c - b[HOURS + 5].temp_c) > 1e-6);
}

static void pairs_are_opposite(void **state)
{
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];

    (void)state;
    plain_line(line);
    members(outlook_seed, line, m);
    for (int k = 1; k < OUTLOOK_MEMBERS; k += 2) {
        for (int i = 0; i < HOURS; i++) {
            const struct hour *a = &m[k * HOURS + i], *b = &m[(k + 1) * HOURS + i];

            near("temperatures lie as far above as below", a->temp_c + b->temp_c, 2.0 * line[i].temp_c, 1e-9);
            near("winds by inverse factors", a->wind_mps * b->wind_mps, 25.0, 1e-9);
            near("gusts with their wind", a->gust_mps / a->wind_mps, 9.0 / 5.0, 1e-12);
            near("turned both ways", fmod(a->wind_from_deg + b->wind_from_deg + 720.0 - 500.0, 360.0), 0.0, 1e-9);
        }
    }
}

/* The k-th of 7 independent members at hour i over many seeds. */
static void spread_at(int hour, double temp_k[static 7 * SEEDS], double log_wind[static 7 * SEEDS],
                      double turn_deg[static 7 * SEEDS])
{
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];

    plain_line(line);
    for (int i = 0; i < HOURS; i++)
        line[i].wind_from_deg = 180.0;
    for (int s = 0; s < SEEDS; s++) {
        members(1000u + (uint64_t)s, line, m);
        for (int k = 0; k < 7; k++) {
            const struct hour *h = &m[(2 * k + 1) * HOURS + hour];

            temp_k[7 * s + k] = h->temp_c - line[hour].temp_c;
            log_wind[7 * s + k] = log(h->wind_mps / line[hour].wind_mps);
            turn_deg[7 * s + k] = h->wind_from_deg - 180.0;
        }
    }
}

static void spread_is_what_is_said(void **state)
{
    /* 2800 independent draws: one standard error of a standard deviation is 1.34 %; 5 % is nearly four of them */
    static const struct {
        int hour;
        double temp_k, wind, turn_deg;
    } row[] = {
        { 0, 1.5, 0.25, 20.0 },
        { 35, 1.5 + 1.5 * 35.0 / 71.0, 0.25 + 0.10 * 35.0 / 71.0, 20.0 + 20.0 * 35.0 / 71.0 },
        { 71, 3.0, 0.35, 40.0 },
        { 79, 3.0, 0.35, 40.0 }, /* no further growth after 72 h */
    };
    static double t[7 * SEEDS], w[7 * SEEDS], d[7 * SEEDS], factor[7 * SEEDS];

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        const size_t n = COUNT(t);

        spread_at(row[i].hour, t, w, d);
        near("temperature sd", gsl_stats_sd(t, 1, n) / row[i].temp_k, 1.0, 0.05);
        near("temperature mean", gsl_stats_mean(t, 1, n) / row[i].temp_k, 0.0, 0.075);
        near("sd of ln wind", gsl_stats_sd(w, 1, n) / sqrt(log(1.0 + row[i].wind * row[i].wind)), 1.0, 0.05);
        for (size_t k = 0; k < n; k++)
            factor[k] = exp(w[k]);
        near("wind sd over mean is the stated fraction", gsl_stats_sd(factor, 1, n) / gsl_stats_mean(factor, 1, n),
             row[i].wind, 0.06 * row[i].wind + 0.01);
        near("turn sd", gsl_stats_sd(d, 1, n) / row[i].turn_deg, 1.0, 0.07); /* wraps at +-180 hardly matter */
    }
}

static void errors_hang_together_from_hour_to_hour(void **state)
{
    static const int lag[] = { 1, 6, 24 };
    static double at[3][7 * SEEDS], first[7 * SEEDS], w[7 * SEEDS], d[7 * SEEDS];

    (void)state;
    spread_at(20, first, w, d);
    for (size_t i = 0; i < COUNT(lag); i++) {
        spread_at(20 + lag[i], at[i], w, d);
        near("correlation at a lag", gsl_stats_correlation(first, 1, at[i], 1, COUNT(first)), pow(0.95, lag[i]), 0.06);
    }
    near("temperature and wind go apart", gsl_stats_correlation(at[2], 1, w, 1, COUNT(w)), 0.0, 0.07);
}

static void nothing_impossible_comes_out(void **state)
{
    struct dice p = prop_start();
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];

    (void)state;
    for (int round = 0; round < 60; round++) {
        for (int i = 0; i < HOURS; i++) {
            line[i] = plain_hour(now_utc_s + i * HOUR_S);
            line[i].temp_c = prop_between(&p, -40.0, 35.0);
            line[i].dew_point_c = line[i].temp_c - prop_between(&p, 0.0, 15.0);
            line[i].wind_mps = prop_between(&p, 0.0, 1.0) < 0.2 ? 0.0 : prop_between(&p, 0.0, 60.0);
            line[i].gust_mps = prop_between(&p, 0.0, 1.0) < 0.5 ? (double)NAN : line[i].wind_mps * 1.4;
            line[i].wind_from_deg = line[i].wind_mps > 0.0 ? prop_between(&p, 0.0, 359.999) : (double)NAN;
            line[i].rain_mm = prop_between(&p, 0.0, 1.0) < 0.6 ? 0.0 : prop_between(&p, 0.0, 8.0);
            line[i].snow = line[i].temp_c < 0.5;
            if (prop_between(&p, 0.0, 1.0) < 0.05)
                line[i].temp_c = line[i].dew_point_c = line[i].wind_mps = line[i].rain_mm = NAN;
        }
        members(prop_bits(&p), line, m);
        for (int k = 0; k < OUTLOOK_MEMBERS * HOURS; k++) {
            const struct hour *h = &m[k], *l = &line[k % HOURS];

            assert_true(isnan(h->temp_c) == isnan(l->temp_c));
            assert_true(isnan(h->wind_mps) == isnan(l->wind_mps));
            assert_true(isnan(h->gust_mps) == isnan(l->gust_mps));
            assert_true(isnan(h->wind_from_deg) == isnan(l->wind_from_deg));
            assert_true(isnan(l->wind_mps) || (h->wind_mps >= 0.0 && h->wind_mps <= 75.0));
            assert_true(!(l->wind_mps == 0.0) || h->wind_mps == 0.0);
            assert_true(isnan(h->wind_from_deg) || (h->wind_from_deg >= 0.0 && h->wind_from_deg < 360.0));
            assert_true(!(h->dew_point_c > h->temp_c));
            assert_true(h->rh == l->rh && h->cloud_oktas == l->cloud_oktas && h->utc_s == l->utc_s);
            assert_true(!(h->rain_mm < 0.0) && !(h->snow_cm < 0.0));
        }
    }
}

static void what_was_observed_stays(void **state)
{
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];

    (void)state;
    plain_line(line);
    line[3].rain_mm = 1.0;
    line[40].rain_mm = 1.0;
    outlook_members(&outlook_default_spread, outlook_seed, now_utc_s + 10 * HOUR_S + 60, HOURS, line, NULL, m);
    for (int k = 0; k < OUTLOOK_MEMBERS; k++) {
        assert_memory_equal(&m[k * HOURS], line, 10 * sizeof line[0]);
        if (k > 0)
            assert_true(fabs(m[k * HOURS + 10].temp_c - line[10].temp_c) > 0.0); /* the running hour is forecast */
    }
    outlook_members(&outlook_default_spread, outlook_seed, now_utc_s + 1000 * HOUR_S, HOURS, line, NULL, m);
    for (int k = 0; k < OUTLOOK_MEMBERS; k++)
        assert_memory_equal(&m[k * HOURS], line, sizeof line);
}

/* ---- rain ---- */

static double rain_sum(const struct hour h[static HOURS])
{
    double sum_mm = 0.0;

    for (int i = 0; i < HOURS; i++)
        sum_mm += h[i].rain_mm;
    return sum_mm;
}

static int first_wet(const struct hour h[static HOURS])
{
    for (int i = 0; i < HOURS; i++)
        if (h[i].rain_mm > 0.0)
            return i;
    return HOURS;
}

static void wet_spell_moves_as_a_whole(void **state)
{
    struct outlook_spread only_shift = outlook_default_spread;
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];
    static double shift_h[7 * SEEDS];

    (void)state;
    only_shift.rain_log = (struct outlook_grow){ 0.0, 0.0 };
    plain_line(line);
    for (int i = 0; i < HOURS; i++)
        line[i].temp_c = 10.0;
    line[30].rain_mm = 1.0;
    line[31].rain_mm = 4.0; /* 32 is a dry break of an hour inside the spell */
    line[33].rain_mm = 2.0;
    for (int s = 0; s < SEEDS; s++) {
        outlook_members(&only_shift, 5000u + (uint64_t)s, now_utc_s, HOURS, line, NULL, m);
        for (int k = 0; k < OUTLOOK_MEMBERS; k++) {
            const struct hour *h = &m[k * HOURS];
            const int at = first_wet(h);

            near("nothing is lost", rain_sum(h), 7.0, 1e-12);
            assert_true(h[at].rain_mm == 1.0 && h[at + 1].rain_mm == 4.0 && h[at + 2].rain_mm == 0.0 &&
                        h[at + 3].rain_mm == 2.0);
            if (k % 2 == 1)
                shift_h[7 * s + k / 2] = at - 30;
        }
    }
    /* rounding to whole hours adds 1/12 to the variance (Sheppard's correction) */
    near("start moves by", gsl_stats_sd(shift_h, 1, COUNT(shift_h)),
         sqrt(pow(1.0 + 3.0 * 30.0 / 71.0, 2.0) + 1.0 / 12.0), 0.12);
    near("to both sides", gsl_stats_mean(shift_h, 1, COUNT(shift_h)), 0.0, 0.15);
}

static void rain_amount_is_lognormal_around_the_forecast(void **state)
{
    struct outlook_spread still = outlook_default_spread;
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];
    static double log_factor[7 * SEEDS];

    (void)state;
    still.rain_shift_h = (struct outlook_grow){ 0.0, 0.0 };
    plain_line(line);
    line[71].rain_mm = 3.0;
    for (int s = 0; s < SEEDS; s++) {
        outlook_members(&still, 9000u + (uint64_t)s, now_utc_s, HOURS, line, NULL, m);
        for (int k = 0; k < 7; k++) {
            log_factor[7 * s + k] = log(m[(2 * k + 1) * HOURS + 71].rain_mm / 3.0);
            near("opposite", m[(2 * k + 1) * HOURS + 71].rain_mm * m[(2 * k + 2) * HOURS + 71].rain_mm, 9.0, 1e-9);
        }
    }
    near("sd of ln factor at 72 h", gsl_stats_sd(log_factor, 1, COUNT(log_factor)), 0.8, 0.04);
    near("median is the forecast", gsl_stats_mean(log_factor, 1, COUNT(log_factor)), 0.0, 0.06);
}

static void rain_that_falls_now_neither_starts_nor_stops_before_now(void **state)
{
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];
    int longer = 0, shorter = 0;

    (void)state;
    plain_line(line);
    for (int i = 0; i < 6; i++)
        line[i].rain_mm = 1.0;
    for (uint64_t seed = 0; seed < 60; seed++) {
        members(seed, line, m);
        for (int k = 1; k < OUTLOOK_MEMBERS; k++) {
            const struct hour *h = &m[k * HOURS];
            int wet = 0;

            while (wet < HOURS && h[wet].rain_mm > 0.0)
                wet++;
            assert_true(wet >= 1); /* it rains in the hour that runs now: that is known */
            longer += wet > 6;
            shorter += wet < 6;
        }
    }
    assert_true(longer > 100 && shorter > 100);
    plain_line(line);
    line[1].rain_mm = 5.0; /* close ahead: an earlier start is held at the first hour after now */
    for (uint64_t seed = 0; seed < 60; seed++) {
        outlook_members(&outlook_default_spread, seed, now_utc_s + 60, HOURS, line, NULL, m);
        for (int k = 1; k < OUTLOOK_MEMBERS; k++)
            assert_true(first_wet(&m[k * HOURS]) >= 1);
    }
}

static void snow_and_rain_change_over_with_the_air(void **state)
{
    struct hour line[HOURS];
    static struct hour m[OUTLOOK_MEMBERS * HOURS];
    int melted = 0, frozen = 0, stayed = 0;

    (void)state;
    plain_line(line);
    for (int i = 0; i < HOURS; i++) {
        line[i].temp_c = i < 40 ? 0.0 : 1.0;
        line[i].rain_mm = 1.0;
        line[i].snow = i < 40;
        line[i].snow_cm = i < 40 ? 1.0 : 0.0;
    }
    members(outlook_seed, line, m);
    for (int k = 0; k < OUTLOOK_MEMBERS * HOURS; k++) {
        const struct hour *h = &m[k];

        if (h->rain_mm <= 0.0)
            continue;
        assert_true(!(h->temp_c > 1.5) || !h->snow);
        assert_true(!(h->temp_c < -0.5) || h->snow);
        assert_true(h->snow == (h->snow_cm > 0.0));
        melted += k % HOURS < 40 && !h->snow;
        frozen += k % HOURS >= 40 && h->snow;
        stayed += k % HOURS < 40 && h->snow;
    }
    assert_true(melted > 20 && frozen > 20 && stayed > 20);
    line[5].temp_c = -3.0; /* rain by the report though it freezes: the forecast itself is left alone */
    line[5].snow = false;
    line[5].snow_cm = 0.0;
    members(outlook_seed, line, m);
    assert_false(m[5].snow);
}

/* ---- beyond the forecast ---- */

enum { YEARS = 5, YEAR_HOURS = 70 * 24 };

/* Five winters, 10 December to 17 February; winter y is y K warmer, and the day swings by 6 K. */
static size_t five_winters(struct hour past[static YEARS * YEAR_HOURS])
{
    size_t n = 0;

    for (int y = 0; y < YEARS; y++) {
        const int64_t begin = civil_days(2020 + y, 12, 10) * DAY_S;

        for (int i = 0; i < YEAR_HOURS; i++) {
            past[n] = plain_hour(begin + i * HOUR_S);
            past[n].temp_c = -10.0 + 2.0 * y + 3.0 * sin(i * 3.14159265358979 / 12.0);
            past[n].wind_mps = 3.0 + 0.5 * y;
            n++;
        }
    }
    return n;
}

static void the_most_alike_winter_comes_first(void **state)
{
    static struct hour past[YEARS * YEAR_HOURS];
    const size_t n = five_winters(past);
    struct outlook_analog a[40];
    struct hour line[24];
    size_t found;

    (void)state;
    for (int i = 0; i < 24; i++) { /* like the winter of 2022: y = 2 */
        line[i] = plain_hour(now_utc_s + i * HOUR_S);
        line[i].temp_c = -10.0 + 2.0 * 2 + 3.0 * sin((18 + i) * 3.14159265358979 / 12.0);
        line[i].wind_mps = 4.0;
    }
    found = outlook_analogs(n, past, 24, line, now_utc_s + 24 * HOUR_S, 48, COUNT(a), a);
    assert_int_equal(found, 5 * 5); /* five winters, five dates each */
    for (size_t i = 0; i < 5; i++) {
        assert_int_equal(civil_from_seconds(now_utc_s + 24 * HOUR_S - a[i].shift_s).year, 2023);
        near("alike", a[i].distance, 0.0, 1e-9);
    }
    for (size_t i = 0; i < found; i++) {
        assert_int_equal(a[i].shift_s % DAY_S, 0); /* the same time of day */
        assert_true(i == 0 || a[i].distance >= a[i - 1].distance);
    }
    near("one winter away: 2 K and 0.5 m/s", a[5].distance, hypot(2.0 / 3.0, 0.5 / 2.0), 1e-9);
    found = outlook_analogs(n, past, 24, line, now_utc_s + 24 * HOUR_S, 48, 3, a);
    assert_int_equal(found, 3);
    assert_int_equal(outlook_analogs(0, past, 24, line, now_utc_s, 48, 3, a), 0);
}

static void holes_and_the_present_winter_are_no_past(void **state)
{
    static struct hour past[YEARS * YEAR_HOURS];
    const size_t n = five_winters(past);
    struct outlook_analog a[40];
    size_t found;

    (void)state;
    /* asked in January 2025, inside the fifth winter: that one does not count, four remain */
    found = outlook_analogs(n, past, 0, NULL, civil_days(2025, 1, 15) * DAY_S, 48, COUNT(a), a);
    assert_int_equal(found, 4 * 5);
    for (size_t i = 0; i < found; i++)
        assert_true(isnan(a[i].distance) && a[i].shift_s > 300 * DAY_S);
    assert_int_equal(a[0].shift_s / DAY_S, 366); /* without a forecast: the same date, latest year first (2024 leaps) */
    for (size_t i = 0; i < n; i++)
        if (civil_from_seconds(past[i].utc_s).year == 2024 && i % 5 == 0)
            past[i].temp_c = NAN; /* a fifth of the hours missing */
    found = outlook_analogs(n, past, 0, NULL, civil_days(2025, 1, 15) * DAY_S, 48, COUNT(a), a);
    assert_int_equal(found, 3 * 5);
    /* 29 February has a date to fall back on */
    assert_int_equal(outlook_analogs(n, past, 0, NULL, civil_days(2028, 2, 29) * DAY_S, 24, COUNT(a), a), 0);
    found = outlook_analogs(n, past, 0, NULL, civil_days(2028, 2, 9) * DAY_S, 24, COUNT(a), a);
    assert_true(found > 5);
}

static void members_go_on_with_past_winters(void **state)
{
    static struct hour past[YEARS * YEAR_HOURS], m[OUTLOOK_MEMBERS * HOURS];
    struct outlook_beyond beyond = { 48, five_winters(past), past };
    struct hour line[HOURS];
    struct outlook_analog a[14];

    (void)state;
    plain_line(line);
    outlook_members(&outlook_default_spread, outlook_seed, now_utc_s, HOURS, line, &beyond, m);
    assert_memory_equal(m, line, sizeof line);
    assert_int_equal(outlook_analogs(beyond.n_past, past, 48, line, line[48].utc_s, HOURS - 48, 14, a), 14);
    for (int k = 1; k < OUTLOOK_MEMBERS; k++) {
        struct hour own[HOURS];

        outlook_analog_hours(beyond.n_past, past, &a[k - 1], line[0].utc_s, HOURS, own);
        for (int i = 48; i < HOURS; i++) {
            const double w = i - 47 >= 7 ? 1.0 : (i - 47) / 7.0;
            const double carried_k = m[k * HOURS + 47].temp_c - own[47].temp_c;

            near("past and what is left of the difference", m[k * HOURS + i].temp_c,
                 own[i].temp_c + (1.0 - w) * carried_k, 1e-9);
            assert_true(m[k * HOURS + i].utc_s == line[i].utc_s);
        }
        near("no step at the seam", m[k * HOURS + 48].temp_c - m[k * HOURS + 47].temp_c,
             own[48].temp_c - own[47].temp_c - (m[k * HOURS + 47].temp_c - own[47].temp_c) / 7.0, 1e-9);
    }
    beyond.n_past = 0; /* no past: the line goes on with its own spread */
    outlook_members(&outlook_default_spread, outlook_seed, now_utc_s, HOURS, line, &beyond, m);
    assert_true(fabs(m[HOURS + 79].temp_c - line[79].temp_c) > 0.0);
}

static void bearings_blend_the_shorter_way(void **state)
{
    (void)state;
    near("over north", blend_deg(350.0, 20.0, 0.5), 5.0, 1e-12);
    near("and back", blend_deg(20.0, 350.0, 0.5), 5.0, 1e-12);
    near("to the end", blend_deg(350.0, 20.0, 1.0), 20.0, 1e-12);
    near("at the start", blend_deg(350.0, 20.0, 0.0), 350.0, 1e-12);
    assert_true(isnan(blend_deg(NAN, 20.0, 0.5)) && isnan(blend_deg(0.0, 20.0, 1.5)));
    near("weights", blend_weight(1), 1.0 / 7.0, 1e-15);
    near("six hours are mixed", blend_weight(6), 6.0 / 7.0, 1e-15);
    near("the seventh is not", blend_weight(7), 1.0, 0.0);
}

static void usual_weather_is_the_quantiles_of_the_season(void **state)
{
    static struct hour past[YEARS * YEAR_HOURS];
    const size_t n = five_winters(past);
    double sorted[105];
    struct outlook_usual u;

    (void)state;
    for (size_t i = 0; i < 105; i++) /* 21 days x 5 winters at one time of day: 18 h after midnight */
        sorted[i] = -10.0 + 2.0 * (double)(i / 21) + 3.0 * sin(18 * 3.14159265358979 / 12.0);
    past[20].rain_mm = 0.0;
    u = outlook_usual(n, past, civil_days(2026, 1, 15) * DAY_S + 18 * HOUR_S);
    assert_int_equal(u.n, 105);
    near("P10", u.temp_p10_c, gsl_stats_quantile_from_sorted_data(sorted, 1, 105, 0.1), 1e-9);
    near("P50", u.temp_p50_c, gsl_stats_quantile_from_sorted_data(sorted, 1, 105, 0.5), 1e-9);
    near("P90", u.temp_p90_c, gsl_stats_quantile_from_sorted_data(sorted, 1, 105, 0.9), 1e-9);
    near("wind", u.wind_mean_mps, 4.0, 1e-12);
    near("wet", u.wet_fraction, 0.0, 0.0);
    assert_int_equal(outlook_usual(n, past, civil_days(2026, 7, 15) * DAY_S).n, 0);
    assert_true(isnan(outlook_usual(0, NULL, 0).temp_p50_c));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(first_member_is_the_forecast_itself),
        cmocka_unit_test(same_seed_same_bytes),
        cmocka_unit_test(pairs_are_opposite),
        cmocka_unit_test(spread_is_what_is_said),
        cmocka_unit_test(errors_hang_together_from_hour_to_hour),
        cmocka_unit_test(nothing_impossible_comes_out),
        cmocka_unit_test(what_was_observed_stays),
        cmocka_unit_test(wet_spell_moves_as_a_whole),
        cmocka_unit_test(rain_amount_is_lognormal_around_the_forecast),
        cmocka_unit_test(rain_that_falls_now_neither_starts_nor_stops_before_now),
        cmocka_unit_test(snow_and_rain_change_over_with_the_air),
        cmocka_unit_test(the_most_alike_winter_comes_first),
        cmocka_unit_test(holes_and_the_present_winter_are_no_past),
        cmocka_unit_test(members_go_on_with_past_winters),
        cmocka_unit_test(bearings_blend_the_shorter_way),
        cmocka_unit_test(usual_weather_is_the_quantiles_of_the_season),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
