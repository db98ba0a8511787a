/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What must hold of roses and nights; figures from real hours are in tests/published/test_ohare.c. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "core/air/rose.h"
#include "core/base/civil.h"
#include "tests/prop.h"

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.8g, got %.8g, allowed %g", what, want, got, off);
}

static struct hour windy(double wind_mps, double from_deg)
{
    return (struct hour){ .temp_c = NAN, .rain_mm = NAN, .wind_mps = wind_mps, .wind_from_deg = from_deg };
}

static void sectors_have_their_edges(void **state)
{
    static const struct {
        double deg;
        const char *name;
    } row[] = {
        { 0, "N" },   { 11.24, "N" }, { 11.25, "NNE" }, { 348.75, "N" }, { 348.74, "NNW" },
        { 360, "N" }, { 270, "W" },   { -10, "N" },     { 590, "SW" },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        assert_string_equal(rose_sector_name[rose_sector(row[i].deg)], row[i].name);
    assert_int_equal(rose_sector(NAN), -1);
    assert_int_equal(rose_sector(INFINITY), -1);
    for (int i = 0; i < ROSE_SECTORS; i++)
        assert_int_equal(rose_sector(rose_sector_deg(rose_sector_name[i])), i);
    near("either case", rose_sector_deg("wNw"), 292.5, 0.0);
    assert_true(isnan(rose_sector_deg("NX")) && isnan(rose_sector_deg("")) && isnan(rose_sector_deg("NNWW")));
}

static void every_hour_is_counted_once(void **state)
{
    struct dice p = prop_start();
    static struct hour h[4000];

    (void)state;
    for (int run = 0; run < 20; run++) {
        const double spread = run % 4 * 5.0;
        size_t calm = 0, variable = 0, unknown = 0;
        for (size_t i = 0; i < COUNT(h); i++) {
            const double kind = prop_between(&p, 0.0, 1.0);
            h[i] = kind < 0.1    ? windy(0.0, NAN)
                   : kind < 0.15 ? windy(2.0, NAN)
                   : kind < 0.2  ? windy(NAN, 90.0)
                                 : windy(prop_between(&p, 0.1, 20.0), prop_between(&p, 0.0, 360.0));
            calm += kind < 0.1;
            variable += kind >= 0.1 && kind < 0.15;
            unknown += kind >= 0.15 && kind < 0.2;
        }
        const struct rose r = rose_of(COUNT(h), h, spread);
        double sum = 0.0, speed = 0.0;
        for (int i = 0; i < ROSE_SECTORS; i++) {
            sum += r.count[i];
            speed += r.speed_sum[i];
            assert_true(r.count[i] <= r.count[r.modal]);
        }
        near("hours in sectors", sum + (double)(r.calm + r.variable), (double)r.hours, 1e-6);
        near("metres in sectors", (speed + 2.0 * (double)r.variable) / (double)r.hours, r.mean_mps, 1e-9);
        assert_int_equal(r.calm, calm);
        assert_int_equal(r.variable, variable);
        assert_int_equal(r.no_wind, unknown);
        assert_int_equal(r.hours + r.no_wind, COUNT(h));
        assert_true(r.steadiness >= 0.0 && r.steadiness <= 1.0 && r.max_mps <= 20.0);
    }
}

static void one_wind_is_steady_and_two_opposed_are_none(void **state)
{
    struct hour h[] = { windy(4.0, 350.0), windy(4.0, 10.0), windy(8.0, 0.0) };
    (void)state;
    struct rose r = rose_of(COUNT(h), h, 0.0);
    assert_string_equal(rose_sector_name[r.modal], "N");
    near("from north, across the turn", cos(r.vector_from_deg * 0.017453292519943295), 1.0, 1e-12);
    assert_true(r.prevailing && r.steadiness > 0.98);
    h[0] = windy(4.0, 180.0);
    h[1] = windy(4.0, 0.0);
    h[2] = windy(0.0, NAN);
    r = rose_of(COUNT(h), h, 0.0);
    assert_true(isnan(r.vector_from_deg) && isnan(r.unit_from_deg) && r.steadiness < 1e-9 && !r.prevailing);
    assert_int_equal(r.calm, 1);
    r = rose_of(0, NULL, 0.0);
    assert_true(r.hours == 0 && isnan(r.mean_mps) && r.modal == -1);
    assert_int_equal(rose_of(COUNT(h), h, 46.0).hours, 0);
    assert_int_equal(rose_of(COUNT(h), h, NAN).hours, 0);
    h[0].wind_variable = true;
    assert_int_equal(rose_of(COUNT(h), h, 0.0).variable, 1);
}

/* 36 equal winds at 10, 20, ... 360: two or three fall to a sector as reported; spread over +-5 they are even. */
static void spreading_takes_the_beat_away(void **state)
{
    struct hour h[36];

    (void)state;
    for (int i = 0; i < 36; i++)
        h[i] = windy(5.0, 10.0 * (i + 1 == 36 ? 0 : i + 1));
    const struct rose raw = rose_of(36, h, 0.0), even = rose_of(36, h, 5.0);
    double most = 0.0, least = 99.0;
    for (int i = 0; i < ROSE_SECTORS; i++) {
        near("even", even.count[i], 2.25, 1e-9);
        most = fmax(most, raw.count[i]);
        least = fmin(least, raw.count[i]);
    }
    near("three here", most, 3.0, 0.0);
    near("two there", least, 2.0, 0.0);
    const struct hour one = windy(1.0, 11.25);
    const struct rose split = rose_of(1, &one, 5.0); /* on the edge: half and half */
    near("N", split.count[0], 0.5, 1e-12);
    near("NNE", split.count[1], 0.5, 1e-12);
    const struct hour north = windy(1.0, 359.0);
    near("all N", rose_of(1, &north, 5.0).count[0], 1.0, 1e-12);
    const struct hour wide = windy(1.0, 0.0); /* +-45: N has a quarter, NNE and NNW a quarter, NE and NW the rest */
    near("a quarter", rose_of(1, &wide, 45.0).count[0], 0.25, 1e-12);
    near("an eighth", rose_of(1, &wide, 45.0).count[2], 0.125, 1e-12);
}

static void quantiles_lie_between_ranks(void **state)
{
    const double x[] = { 1.0, 2.0, 4.0, 8.0 };
    (void)state;
    near("median", rose_quantile(4, x, 0.5), 3.0, 1e-12); /* Hyndman & Fan (1996), type 7 */
    near("P10", rose_quantile(4, x, 0.1), 1.3, 1e-12);
    near("P90", rose_quantile(4, x, 0.9), 6.8, 1e-12);
    near("ends", rose_quantile(4, x, 1.0) - rose_quantile(4, x, 0.0), 7.0, 0.0);
    near("one", rose_quantile(1, x, 0.3), 1.0, 0.0);
    assert_true(isnan(rose_quantile(0, x, 0.5)) && isnan(rose_quantile(4, x, 1.1)) && isnan(rose_quantile(4, x, NAN)));
}

/* Two days and a half of hours from 2026-01-20 00:00 local at +5:45, temperature = hour of the day. */
static void nights_are_named_by_the_evening(void **state)
{
    const int offset_s = 5 * 3600 + 2700;
    const int64_t midnight = civil_days(2026, 1, 20) * DAY_S - offset_s;
    struct hour h[60];
    struct arena mem;
    struct rose_nights n;
    struct message why = { "", "" };

    (void)state;
    for (int i = 0; i < 60; i++) {
        h[i] = windy(i % 2 ? 2.0 : 4.0, 270.0);
        h[i].utc_s = midnight + i * HOUR_S;
        h[i].temp_c = i % 24;
        h[i].rain_mm = i == 20 || i == 40 ? 1.5 : 0.0;
    }
    arena_open(&mem, 1 << 16);
    assert_int_equal(rose_nights(60, h, offset_s, 0, &mem, &n, &why), ST_OK);
    assert_int_equal(n.n, 3);
    assert_true(n.night[0].evening == civil_days(2026, 1, 19) && n.night[0].hours == 6); /* 00 .. 05 */
    assert_true(n.night[1].evening == civil_days(2026, 1, 20) && n.night[1].hours == 12);
    assert_true(n.night[2].evening == civil_days(2026, 1, 21) && n.night[2].hours == 12);
    near("mean", n.night[1].mean_temp_c, (18 + 19 + 20 + 21 + 22 + 23 + 0 + 1 + 2 + 3 + 4 + 5) / 12.0, 1e-12);
    near("minimum", n.night[1].min_temp_c, 0.0, 0.0);
    near("wind", n.night[1].mean_wind_mps, 3.0, 1e-12);
    near("strongest", n.night[1].max_wind_mps, 4.0, 0.0);
    near("from", n.night[1].vector_from_deg, 270.0, 1e-9);
    near("rain of the night alone", n.night[1].rain_mm, 1.5, 1e-12);
    near("rain of the afternoon is left out", n.night[2].rain_mm, 0.0, 0.0);
    h[23].temp_c = -15.0;
    h[24].temp_c = NAN;
    h[25].wind_mps = NAN;
    assert_int_equal(rose_nights(60, h, offset_s, 1U << 0, &mem, &n, &why), ST_OK);
    assert_true(n.at_or_under_minus_10 == 1 && n.at_or_under_minus_15 == 1 && n.night[1].hours == 11);
    assert_int_equal(rose_nights(60, h, offset_s, 1U << 1, &mem, &n, &why), ST_OK); /* February: none */
    assert_true(n.n == 0 && isnan(n.p50_min_temp_c) && isnan(n.mean_min_temp_c) && n.at_or_under_minus_10 == 0);
    assert_int_equal(rose_nights(0, NULL, 0, 0, &mem, &n, &why), ST_OK);
    assert_int_equal(n.n, 0);
    arena_close(&mem);
}

/* With UTC days an American night would be cut in two; with local time it is whole, also before 1970. */
static void a_night_is_not_cut_at_the_utc_day(void **state)
{
    struct hour h[12];
    struct arena mem;
    struct rose_nights n;
    struct message why;

    (void)state;
    for (int i = 0; i < 12; i++) {
        h[i] = windy(1.0, 90.0);
        h[i].utc_s =
            civil_days(1965, 12, 31) * DAY_S + (18 + 6 + i) * HOUR_S; /* 18:00 at -6 h, the last evening of 1965 */
        h[i].temp_c = -i;
    }
    arena_open(&mem, 1 << 16);
    assert_int_equal(rose_nights(12, h, -6 * 3600, 1U << 11, &mem, &n, &why), ST_OK);
    assert_true(n.n == 1 && n.night[0].hours == 12 && n.night[0].evening == civil_days(1965, 12, 31));
    near("P10 of one", n.p10_min_temp_c, -11.0, 0.0);
    arena_close(&mem);
}

static void nights_refuse(void **state)
{
    struct hour h[2] = { windy(1.0, 0.0), windy(1.0, 0.0) };
    struct arena mem;
    struct rose_nights n = { .n = 77 };
    struct message why = { "", "" };

    (void)state;
    arena_open(&mem, 1 << 16);
    h[0].utc_s = 3600;
    assert_int_equal(rose_nights(2, h, 0, 0, &mem, &n, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "hour 1"));
    assert_int_equal(rose_nights(1, h, 70000, 0, &mem, &n, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "zone");
    arena_close(&mem);
    arena_open(&mem, 1);
    h[1].utc_s = 7200;
    assert_int_equal(rose_nights(2, h, 0, 0, &mem, &n, &why), ST_NO_MEMORY);
    assert_int_equal(n.n, 77);
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sectors_have_their_edges),
        cmocka_unit_test(every_hour_is_counted_once),
        cmocka_unit_test(one_wind_is_steady_and_two_opposed_are_none),
        cmocka_unit_test(spreading_takes_the_beat_away),
        cmocka_unit_test(quantiles_lie_between_ranks),
        cmocka_unit_test(nights_are_named_by_the_evening),
        cmocka_unit_test(a_night_is_not_cut_at_the_utc_day),
        cmocka_unit_test(nights_refuse),
    };
    return cmocka_run_group_tests_name("core/rose", tests, NULL, NULL);
}
