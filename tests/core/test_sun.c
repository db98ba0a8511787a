/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sun: ERFA as witness, and what must hold whatever the day and place. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "tests/prop.h"
#ifdef HAVE_ERFA
#include "tests/witness/erfa_sun.h"
#endif

static const double degree = 0.017453292519943295;

static double apart(double a_deg, double b_deg)
{
    return fabs(remainder(a_deg - b_deg, 360.0));
}

static int64_t some_moment(struct dice *p)
{
    return (int64_t)prop_between(p, 631152000.0, 2871763200.0); /* 1990 .. 2060 */
}

/* Near the zenith an azimuth is not worth much: what is compared is the arc, azimuth error x cos(elevation). */
static void agrees_with_erfa(void **state)
{
    (void)state;
#ifdef HAVE_ERFA
    struct dice p = prop_start();
    double worst_up = 0.0, worst_round = 0.0;
    for (int i = 0; i < 20000; i++) {
        const int64_t at = some_moment(&p);
        const double lat = prop_between(&p, -90.0, 90.0), lon = prop_between(&p, -180.0, 180.0);
        double azimuth, elevation;
        erfa_sun(at, lat, lon, &azimuth, &elevation);
        const struct sun_position got = sun_position(at, lat, lon);
        const double up = fabs(got.elevation_true_deg - elevation);
        const double round = apart(got.azimuth_deg, azimuth) * cos(elevation * degree);
        if (!(up <= 0.01 && round <= 0.01))
            fail_msg("%lld at %g %g: ERFA %.4f %.4f, ours %.4f %.4f", (long long)at, lat, lon, azimuth, elevation,
                     got.azimuth_deg, got.elevation_true_deg);
        worst_up = fmax(worst_up, up);
        worst_round = fmax(worst_round, round);
    }
    print_message("20000 positions 1990 .. 2060: worst %.4f degree up, %.4f round\n", worst_up, worst_round);
#else
    skip();
#endif
}

static void many_agree_with_one(void **state)
{
    enum { N = 5000 };
    static int64_t at[N];
    static double azimuth[N], elevation[N], alone[N];
    struct dice p = prop_start();

    (void)state;
    for (int place = 0; place < 20; place++) {
        const double lat = place == 0 ? 90.0 : prop_between(&p, -90.0, 90.0), lon = prop_between(&p, -180.0, 180.0);
        for (int i = 0; i < N; i++)
            at[i] = place % 2 ? some_moment(&p) : INT64_C(-1000000000) + i * INT64_C(541003);
        sun_positions(N, at, lat, lon, azimuth, elevation);
        for (int i = 0; i < N; i++) {
            const struct sun_position one = sun_position(at[i], lat, lon);
            if (!(fabs(one.elevation_true_deg - elevation[i]) < 1e-6) ||
                !(apart(one.azimuth_deg, azimuth[i]) * cos(elevation[i] * degree) < 1e-6) ||
                !(azimuth[i] >= 0.0 && azimuth[i] < 360.0))
                fail_msg("%lld at %g %g: one %.8f %.8f, many %.8f %.8f", (long long)at[i], lat, lon, one.azimuth_deg,
                         one.elevation_true_deg, azimuth[i], elevation[i]);
        }
        sun_positions(N, at, lat, lon, NULL, alone);
        assert_memory_equal(alone, elevation, sizeof alone);
        sun_positions(N, at, lat, lon, alone, NULL);
        assert_memory_equal(alone, azimuth, sizeof alone);
    }
}

static void many_out_of_range(void **state)
{
    const int64_t at[] = { 0, INT64_MIN, INT64_MAX, 4133980800, 4133980799, -2208988800, -2208988801 };
    const bool known[] = { true, false, false, false, true, true, false };
    double azimuth[COUNT(at)], elevation[COUNT(at)];

    (void)state;
    sun_positions(COUNT(at), at, 45.0, 10.0, azimuth, elevation);
    for (size_t i = 0; i < COUNT(at); i++) {
        assert_int_equal(!isnan(elevation[i]), known[i]);
        assert_int_equal(!isnan(azimuth[i]), known[i]);
        assert_int_equal(!isnan(sun_position(at[i], 45.0, 10.0).elevation_deg), known[i]);
    }
    sun_positions(COUNT(at), at, 91.0, 10.0, azimuth, elevation);
    for (size_t i = 0; i < COUNT(at); i++)
        assert_true(isnan(elevation[i]) && isnan(azimuth[i]));
    sun_positions(0, NULL, 45.0, 10.0, NULL, NULL);
}

static void out_of_range_is_nan(void **state)
{
    static const struct {
        double lat, lon, kpa, temp;
    } bad[] = {
        { 90.1, 0, 101, 10 },  { -91, 0, 101, 10 },       { NAN, 0, 101, 10 },
        { 0, 180.5, 101, 10 }, { 0, -INFINITY, 101, 10 }, { 0, 0, 40, 10 },
        { 0, 0, NAN, 10 },     { 0, 0, 101, 70 },         { 0, 0, 101, -71 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(bad); i++) {
        const struct sun_position p = sun_position_in_air(0, bad[i].lat, bad[i].lon, bad[i].kpa, bad[i].temp);
        assert_true(isnan(p.azimuth_deg) && isnan(p.elevation_deg) && isnan(p.elevation_true_deg));
    }
    assert_true(isnan(sun_place(INT64_MAX).declination_deg));
    assert_true(isnan(sun_hour_angle_deg(0, 181.0)));
    assert_true(isnan(sun_refraction_deg(91.0, 101.0, 10.0)));
    assert_int_equal(sun_day(0, NAN, 0.0).state, SUN_NOT_KNOWN);
    assert_int_equal(sun_day(INT64_MIN, 0.0, 0.0).state, SUN_NOT_KNOWN);
    assert_string_equal(sun_state_name[SUN_NOT_KNOWN], "not known");
}

/* Elevation by the textbook's hour angle and declination, and the noon rule 90 - |latitude - declination|. */
static void holds_together(void **state)
{
    struct dice p = prop_start();

    (void)state;
    for (int i = 0; i < 3000; i++) {
        const int64_t at = some_moment(&p);
        const double lat = prop_between(&p, -89.0, 89.0), lon = prop_between(&p, -180.0, 180.0);
        const struct sun_position q = sun_position(at, lat, lon);
        const double dec = sun_place(at).declination_deg * degree, hour = sun_hour_angle_deg(at, lon) * degree;
        const double want = asin(sin(lat * degree) * sin(dec) + cos(lat * degree) * cos(dec) * cos(hour)) / degree;
        assert_true(q.azimuth_deg >= 0.0 && q.azimuth_deg < 360.0);
        if (!(fabs(q.elevation_true_deg - want) <= 0.0025)) /* parallax, 8.8 seconds of arc */
            fail_msg("elevation %.5f by the hour angle, %.5f", want, q.elevation_true_deg);
        if (!((hour < 0.0) == (q.azimuth_deg < 180.0)))
            fail_msg("hour angle %.5f, azimuth %.5f", hour / degree, q.azimuth_deg);
        const struct sun_day d = sun_day(at, lat, lon);
        const double noon = 90.0 - fabs(lat - sun_place(d.transit_utc_s).declination_deg);
        if (!(fabs(d.transit_elevation_deg - noon) < 0.003))
            fail_msg("noon %.5f, wanted %.5f", d.transit_elevation_deg, noon);
        assert_true(llabs(d.transit_utc_s - at) <= DAY_S / 2 + 17 * 60);
        assert_true(sun_day_number(at, lon) == sun_day_number(d.transit_utc_s, lon));
    }
}

static void rises_where_the_limb_touches(void **state)
{
    struct dice p = prop_start();
    int risen = 0, half = 0;

    (void)state;
    for (int i = 0; i < 3000; i++) {
        const int64_t at = some_moment(&p);
        const double lat = prop_between(&p, -90.0, 90.0), lon = prop_between(&p, -180.0, 180.0);
        const struct sun_day d = sun_day(at, lat, lon);
        const int64_t edge[] = { d.rise_utc_s, d.set_utc_s };
        const bool has[] = { d.has_rise, d.has_set };
        for (int k = 0; k < 2; k++) {
            if (!has[k])
                continue;
            const struct sun_position q = sun_position(edge[k], lat, lon);
            if (!(fabs(q.elevation_true_deg + 0.8333) < 0.005))
                fail_msg("%g %g: at the %s the middle stands at %.4f", lat, lon, k ? "set" : "rise",
                         q.elevation_true_deg);
            assert_true(apart(q.azimuth_deg, k ? d.set_azimuth_deg : d.rise_azimuth_deg) *
                            cos(q.elevation_true_deg * degree) <
                        0.01);
        }
        risen += d.has_rise && d.has_set;
        half += d.has_rise != d.has_set;
        if (d.has_rise && d.has_set)
            assert_true(d.rise_utc_s <= d.transit_utc_s && d.transit_utc_s <= d.set_utc_s);
        assert_int_equal(d.state == SUN_RISES, d.has_rise || d.has_set);
        if (d.state == SUN_ALWAYS_UP)
            assert_true(d.lowest_elevation_deg >= -0.8334);
        if (d.state == SUN_ALWAYS_DOWN)
            assert_true(d.transit_elevation_deg < -0.8333 && isnan(d.rise_azimuth_deg) && isnan(d.set_azimuth_deg));
        /* the noon before or after is another day */
        assert_true(llabs(sun_day(at + DAY_S, lat, lon).transit_utc_s - d.transit_utc_s - DAY_S) < 60);
    }
    assert_true(risen > 2000);
    print_message("%d days with both, %d with one alone\n", risen, half);
}

/* At 69.65 N, 18.96 E (Tromso) the polar night begins at the end of November: day after day lower, a few grazing, then
 * none. At the pole the sun rises once a year. */
static void round_the_polar_circle(void **state)
{
    int last = SUN_RISES, changes = 0, grazing = 0;

    (void)state;
    for (int i = 0; i < 60; i++) {
        const struct sun_day d = sun_day((civil_days(2025, 10, 25) + i) * DAY_S + 43200, 69.65, 18.96);
        changes += (int)d.state != last;
        last = (int)d.state;
        grazing += d.grazing;
    }
    assert_int_equal(last, SUN_ALWAYS_DOWN);
    assert_int_equal(changes, 1);
    assert_in_range(grazing, 1, 8);
    assert_int_equal(sun_day(civil_days(2026, 6, 21) * DAY_S, 90.0, 0.0).state, SUN_ALWAYS_UP);
    assert_int_equal(sun_day(civil_days(2026, 6, 21) * DAY_S, -90.0, 0.0).state, SUN_ALWAYS_DOWN);
    assert_false(sun_day(civil_days(2026, 6, 21) * DAY_S, 90.0, 0.0).grazing);
}

/* A longitude near 180 has its sunrise on the UTC day before; one second is one day apart at the solar midnight. */
static void the_solar_day_is_the_places_own(void **state)
{
    const int64_t midnight = civil_days(2026, 6, 21) * DAY_S - (int64_t)(240.0 * 172.5);

    (void)state;
    assert_int_equal(sun_day_number(midnight, 172.5), civil_days(2026, 6, 21));
    assert_int_equal(sun_day_number(midnight - 1, 172.5), civil_days(2026, 6, 20));
    assert_true(sun_day(midnight, -43.5, 172.5).rise_utc_s < civil_days(2026, 6, 21) * DAY_S);
    assert_int_equal(sun_day(midnight, -43.5, 172.5).rise_utc_s,
                     sun_day(midnight + DAY_S - 1, -43.5, 172.5).rise_utc_s);
    assert_true(sun_day(midnight - 1, -43.5, 172.5).rise_utc_s < sun_day(midnight, -43.5, 172.5).rise_utc_s);
}

static void stands_over_a_bearing(void **state)
{
    struct dice p = prop_start();
    const int64_t winter = civil_days(2026, 1, 20) * DAY_S + 18 * HOUR_S;
    int found = 0;
    int64_t at = -1;

    (void)state;
    for (int i = 0; i < 300; i++) {
        const double lat = prop_between(&p, -65.0, 65.0), lon = prop_between(&p, -180.0, 180.0),
                     bearing = prop_between(&p, 0.0, 360.0);
        const int64_t day = some_moment(&p);
        if (!sun_when_over(day, lat, lon, bearing, &at))
            continue;
        found++;
        const struct sun_position q = sun_position(at, lat, lon);
        const double off = apart(q.azimuth_deg, bearing) * cos(q.elevation_true_deg * degree);
        if (!(off < 0.02 && q.elevation_true_deg > -0.85))
            fail_msg("%g %g, %g: %.4f at elevation %.4f", lat, lon, bearing, q.azimuth_deg, q.elevation_true_deg);
        assert_true(sun_day_number(at, lon) == sun_day_number(day, lon) || fabs(lat) > 60.0);
    }
    assert_true(found > 80);
    assert_true(sun_when_over(winter, 45.0, -93.0, 135.0, &at)); /* a winter morning in the south-east */
    assert_true(at < sun_day(winter, 45.0, -93.0).transit_utc_s);
    at = -1;
    assert_false(sun_when_over(winter, 45.0, -93.0, 10.0, &at)); /* never in the north at 45 N */
    assert_true(at == -1);
    assert_false(sun_when_over(winter, 45.0, -93.0, NAN, &at));
    assert_false(sun_when_over(winter, 75.0, -93.0, 180.0, &at)); /* polar night */
}

static void refraction_is_smooth_and_ends(void **state)
{
    double last = sun_refraction_deg(90.0, 101.0, 10.0);

    (void)state;
    assert_true(last >= 0.0 && last < 0.001);
    for (double h = 90.0; h >= -90.0; h -= 0.01) {
        const double now = sun_refraction_deg(h, 101.0, 10.0);
        assert_true(fabs(now - last) < 0.003); /* 0.2 degree of refraction in a degree of elevation at the horizon */
        assert_true(h > -0.8333 ? now >= last : now <= last + 1e-3);
        last = now;
    }
    assert_true(sun_refraction_deg(-11.0, 101.0, 10.0) == 0.0);
    assert_true(sun_refraction_deg(5.0, 101.0, -20.0) > sun_refraction_deg(5.0, 101.0, 10.0)); /* cold air bends more */
    assert_true(sun_refraction_deg(5.0, 80.0, 10.0) < sun_refraction_deg(5.0, 101.0, 10.0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_erfa),       cmocka_unit_test(many_agree_with_one),
        cmocka_unit_test(many_out_of_range),      cmocka_unit_test(out_of_range_is_nan),
        cmocka_unit_test(holds_together),         cmocka_unit_test(rises_where_the_limb_touches),
        cmocka_unit_test(round_the_polar_circle), cmocka_unit_test(the_solar_day_is_the_places_own),
        cmocka_unit_test(stands_over_a_bearing),  cmocka_unit_test(refraction_is_smooth_and_ends),
    };
    return cmocka_run_group_tests_name("core/sun", tests, NULL, NULL);
}
