/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What must hold of air, wind, windbreaks and driving rain for every input; published figures are in tests/published.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "core/air/air.h"
#include "tests/prop.h"

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.8g, got %.8g, allowed %g", what, want, got, off);
}

static void moist_air_holds_together(void **state)
{
    struct dice p = prop_start();
    struct message why;

    (void)state;
    for (int i = 0; i < 5000; i++) {
        const double t = prop_between(&p, -60.0, 60.0), rh = prop_between(&p, 0.01, 1.0),
                     kpa = prop_between(&p, 60.0, 110.0);
        struct air a, b;
        assert_int_equal(air_from_rh(t, rh, kpa, &a, &why), ST_OK);
        assert_int_equal(air_from_dew_point(t, a.dew_point_c, kpa, &b, &why), ST_OK);
        near("rh there and back", b.rh, rh, 1e-6);
        near("vapour there and back", b.vapour_kpa, a.vapour_kpa, 1e-6 * a.vapour_kpa);
        if (!(a.dew_point_c <= t && a.wet_bulb_c <= t + 1e-6))
            fail_msg("%g C, rh %g: dew point %g, wet bulb %g", t, rh, a.dew_point_c, a.wet_bulb_c);
        /* the bulb stands between dew point and air, but for the jump where it freezes */
        if (!(a.wet_bulb_c >= a.dew_point_c - 0.02))
            fail_msg("%g C, rh %g: dew point %g above wet bulb %g", t, rh, a.dew_point_c, a.wet_bulb_c);
        near("density is mass over volume", a.density_kg_m3 * a.volume_m3_kg, 1.0 + a.humidity_ratio, 1e-9);
        assert_true(air_rh(t, a.dew_point_c) <= 1.0 && air_saturation_kpa(t) == a.saturation_kpa);
    }
}

/* Psychrometer: the bulb's own energy balance, e = e_s(bulb) - gamma p (t - bulb), gamma 6.62e-4 /K ventilated, over
 * water (WMO-No. 8, part I, ch. 4, annex 4.B). Another route to the same bulb; they part by about 0.1 K in humid air.
 */
static void wet_bulb_agrees_with_the_psychrometer_formula(void **state)
{
    (void)state;
    for (double t = 5.0; t <= 35.0; t += 2.5)
        for (double rh = 0.5; rh <= 1.0; rh += 0.1) {
            const double ratio = air_humidity_ratio(rh * air_saturation_kpa(t), 101.325),
                         bulb = air_wet_bulb_c(t, ratio, 101.325);
            if (bulb < 0.5)
                continue;
            const double vapour = air_saturation_kpa(bulb) - 6.62e-4 * 101.325 * (t - bulb);
            near("vapour by the bulb", vapour, rh * air_saturation_kpa(t), 0.02);
        }
}

static void moist_air_refuses(void **state)
{
    static const struct {
        double t, rh, kpa;
        const char *field;
    } bad[] = {
        { -61, 0.5, 101, "temp" },     { 61, 0.5, 101, "temp" },     { NAN, 0.5, 101, "temp" },
        { 10, 85, 101, "rh" },         { 10, 0, 101, "rh" },         { 10, NAN, 101, "rh" },
        { 10, 0.5, 1013, "pressure" }, { 10, 0.5, NAN, "pressure" },
    };
    struct air a = { .rh = -7.0 };

    (void)state;
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct message why = { "", "" };
        assert_int_equal(air_from_rh(bad[i].t, bad[i].rh, bad[i].kpa, &a, &why), ST_BAD_INPUT);
        assert_string_equal(why.field, bad[i].field);
        assert_non_null(strstr(why.text, bad[i].field));
        assert_true(a.rh == -7.0);
    }
    struct message why = { "", "" };
    assert_int_equal(air_from_dew_point(5.0, 5.5, 101.0, &a, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "dew_point");
    assert_int_equal(air_from_dew_point(5.0, NAN, 101.0, &a, &why), ST_BAD_INPUT);
    assert_true(a.rh == -7.0);
    assert_true(isnan(air_rh(5.0, 5.5)) && isnan(air_dew_point_c(5.0, 1.1)) && isnan(air_humidity_ratio(60.0, 100.0)));
    assert_true(isnan(air_wet_bulb_c(NAN, 0.005, 101.0)) && isnan(air_enthalpy_kj_kg(10.0, -0.1)));
    assert_true(isnan(air_pressure_at_kpa(10000.0)) && isnan(air_saturation_kpa(-61.0)));
}

static void dew_point_over_ice_is_the_warmer(void **state)
{
    (void)state;
    for (double d = -40.0; d < -0.5; d += 0.5) {
        assert_true(air_dew_point_over_ice_c(d) > d);
        near("back", air_dew_point_over_water_c(air_dew_point_over_ice_c(d)), d, 1e-6);
    }
    near("above freezing", air_dew_point_over_ice_c(3.0), 3.0, 0.0);
}

static void wind_chill_has_its_limits(void **state)
{
    (void)state;
    assert_true(isnan(air_wind_chill_c(10.1, 5.0)) && isnan(air_wind_chill_c(-5.0, 4.79 / 3.6)) &&
                isnan(air_wind_chill_c(NAN, 5.0)));
    assert_true(!isnan(air_wind_chill_c(10.0, 4.8 / 3.6)) && !isnan(air_wind_chill_c(10.0, 4.8 * 0.2777777777777778)));
    assert_non_null(air_wind_chill_none(12.0, 5.0));
    assert_non_null(strstr(air_wind_chill_none(12.0, 5.0), "10 C"));
    assert_non_null(strstr(air_wind_chill_none(-5.0, 1.0), "4.8 km/h"));
    assert_non_null(air_wind_chill_none(NAN, 5.0));
    assert_non_null(air_wind_chill_none(-61.0, 5.0));
    assert_null(air_wind_chill_none(-5.0, 5.0));
    for (double t = -40.0; t < 10.0; t += 2.5)
        for (double v = 1.34; v < 25.0; v += 0.5) {
            assert_true(air_wind_chill_c(t, v + 0.5) < air_wind_chill_c(t, v)); /* more wind is never warmer */
            assert_true(air_wind_chill_c(t + 0.01, v) > air_wind_chill_c(t, v));
        }
}

static void wind_grows_with_height(void **state)
{
    struct dice p = prop_start();

    (void)state;
    for (int i = 0; i < 3000; i++) {
        const double z0 = prop_between(&p, 0.0001, 1.0), low = prop_between(&p, 0.01, 10.0),
                     high = prop_between(&p, low, 10.0);
        const double f = air_wind_factor(low, z0);
        assert_true(f >= 0.2 && f <= 1.0 && air_wind_factor(high, z0) >= f);
        near("at 10 m", air_wind_factor(10.0, z0), 1.0, 1e-12);
        near("times", air_wind_at_mps(7.0, low, z0), 7.0 * f, 1e-12);
    }
    near("not under a fifth", air_wind_factor(0.02, 0.03), 0.2, 0.0);
    assert_true(isnan(air_wind_factor(0.0, 0.03)) && isnan(air_wind_factor(1.0, 0.0)) &&
                isnan(air_wind_factor(NAN, 0.03)));
    assert_true(isnan(air_wind_at_mps(76.0, 1.0, 0.03)) && isnan(air_wind_at_mps(-0.1, 1.0, 0.03)));
    assert_true(isnan(air_gust_guess_mps(NAN, 0.03)) && isnan(air_wind_power_factor(1.0, 0.9)));
    assert_true(air_gust_guess_mps(8.0, 0.03) > 8.0);
}

static void a_windbreak_never_adds_wind(void **state)
{
    struct dice p = prop_start();

    (void)state;
    for (int i = 0; i < 5000; i++) {
        const double d = prop_between(&p, -20.0, 60.0), q = prop_between(&p, 0.0, 1.0), r = air_lee_ratio(d, q);
        if (!(r >= 0.25 && r <= 1.0))
            fail_msg("%g heights, porosity %g: %g", d, q, r);
        assert_true(fabs(air_lee_ratio(d + 0.001 > 60.0 ? d : d + 0.001, q) - r) < 0.001); /* no step */
        near("nothing there", air_lee_ratio(d, 1.0), 1.0, 0.0);
        const struct air_break b = { fabs(d), q, prop_between(&p, 0.0, 360.0), prop_between(&p, 0.0, 30.0) };
        const double from = prop_between(&p, 0.0, 360.0), got = air_lee_ratio_from(&b, from);
        assert_true(got >= 0.25 && got <= 1.0);
        struct air_break wider = b;
        wider.width_heights += 1.0;
        assert_true(air_lee_ratio_from(&wider, from) <= got + 1e-12);
    }
    assert_true(isnan(air_lee_ratio(61.0, 0.5)) && isnan(air_lee_ratio(5.0, 1.1)) && isnan(air_lee_ratio(NAN, 0.5)));
    assert_true(air_lee_eddies(2.0, 0.0) && !air_lee_eddies(2.0, 0.5) && !air_lee_eddies(5.0, 0.0) &&
                !air_lee_eddies(2.0, NAN));
}

static void a_windbreak_works_square_and_wide(void **state)
{
    struct air_break b = { .distance_heights = 5.0, .porosity = 0.5, .bearing_deg = 270.0, .width_heights = NAN };

    (void)state;
    near("square", air_lee_ratio_from(&b, 270.0), 0.30, 1e-12);
    near("within 30 degrees", air_lee_ratio_from(&b, 299.9), 0.30, 1e-12);
    near("60 degrees off: cos 60 / cos 30 of the shelter", air_lee_ratio_from(&b, 330.0),
         1.0 - 0.70 * 0.5 / cos(0.5235987755982988), 1e-9);
    near("along it", air_lee_ratio_from(&b, 0.0), 1.0, 1e-9);
    near("from behind, 5 heights to windward", air_lee_ratio_from(&b, 90.0), 1.0, 1e-12);
    b.width_heights = 5.0;
    near("half as wide as it should be", air_lee_ratio_from(&b, 270.0), 1.0 - 0.70 * 0.5, 1e-12);
    b.distance_heights = 1.0;
    b.width_heights = 20.0;
    assert_true(air_lee_ratio_from(&b, 90.0) < 1.0); /* close to it the windward side is sheltered too */
    b.distance_heights = 40.0;
    near("far to windward", air_lee_ratio_from(&b, 90.0), 1.0, 1e-12);
    b.distance_heights = -1.0;
    assert_true(isnan(air_lee_ratio_from(&b, 90.0)));
    b.distance_heights = 1.0;
    assert_true(isnan(air_lee_ratio_from(&b, NAN)));
}

static struct hour rainy(double temp_c, double wind_mps, double from_deg, double rain_mm)
{
    return (struct hour){ .temp_c = temp_c, .wind_mps = wind_mps, .wind_from_deg = from_deg, .rain_mm = rain_mm };
}

static void driving_rain_of_hours(void **state)
{
    struct hour h[8] = {
        rainy(5.0, 5.0, 90.0, 1.0), rainy(5.0, 5.0, 90.0, 1.0), rainy(0.5, 5.0, 90.0, 1.0), rainy(5.0, 0.0, NAN, 2.0),
        rainy(5.0, 3.0, NAN, 2.0),  rainy(5.0, 3.0, NAN, 2.0),  rainy(5.0, 3.0, 90.0, NAN), rainy(NAN, 3.0, 90.0, 0.0),
    };

    (void)state;
    h[1].snow = true;          /* by code */
    h[4].wind_variable = true; /* h[5]: the direction is missing */
    struct air_rain_index r = air_rain_index(COUNT(h), h, 90.0);
    near("only the first adds", r.index_l_m2, 10.0 / 9.0, 1e-12);
    assert_int_equal(r.hours, 6);
    assert_int_equal(r.wet_hours, 3); /* the first, the calm one, the variable one */
    assert_int_equal(r.not_known, 2);
    near("a year", r.per_year_l_m2, 10.0 / 9.0 * 8766.0 / 6.0, 1e-9);
    near("from behind", air_rain_index(COUNT(h), h, 270.0).index_l_m2, 0.0, 0.0);
    r = air_rain_index(0, NULL, 90.0);
    assert_true(r.hours == 0 && r.index_l_m2 == 0.0 && isnan(r.per_year_l_m2));
    assert_true(isnan(air_driving_rain_l_m2(NAN, 1.0, 0.0)) && isnan(air_driving_rain_l_m2(5.0, -1.0, 0.0)) &&
                isnan(air_driving_rain_l_m2(5.0, 1.0, NAN)));
    near("a turn more is the same", air_driving_rain_l_m2(5.0, 1.0, 360.0), 10.0 / 9.0, 1e-9);
    assert_true(isnan(air_rain_obstruction(3.9)) && isnan(air_rain_roughness(AIR_GROUND_END, 5.0)) &&
                isnan(air_rain_roughness(AIR_OPEN, NAN)));
    assert_string_equal(air_ground_name[AIR_FARMLAND], "farmland");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moist_air_holds_together),    cmocka_unit_test(wet_bulb_agrees_with_the_psychrometer_formula),
        cmocka_unit_test(moist_air_refuses),           cmocka_unit_test(dew_point_over_ice_is_the_warmer),
        cmocka_unit_test(wind_chill_has_its_limits),   cmocka_unit_test(wind_grows_with_height),
        cmocka_unit_test(a_windbreak_never_adds_wind), cmocka_unit_test(a_windbreak_works_square_and_wide),
        cmocka_unit_test(driving_rain_of_hours),
    };
    return cmocka_run_group_tests_name("core/air", tests, NULL, NULL);
}
