/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/base/attr.h"
#include "core/base/vapour.h"

/* Saturation pressures: ASHRAE Handbook - Fundamentals (2017), ch. 1, table 3, and the triple point; two of them again
 * as psychrolib 1.1.1 prints them. Error allowed: the last digit printed. */
static const struct {
    double temp_c, want_pa, off_pa;
    const char *source;
} saturation[] = {
    { -60.0, 1.08, 0.005, "ASHRAE 2017, ch. 1, table 3 (from memory)" },
    { -25.0, 63.29, 0.01, "psychrolib 1.1.1" },
    { -10.0, 259.90, 0.01, "psychrolib 1.1.1" },
    { 0.0, 611.15, 0.02, "psychrolib 1.1.1" },
    { 0.01, 611.65, 0.6, "triple point of water, 611.657 Pa: IAPWS R7-97" },
    { 15.0, 1705.45, 0.05, "psychrolib 1.1.1" },
    { 25.0, 3169.22, 0.05, "psychrolib 1.1.1" },
    { 32.0, 4758.53, 0.05, "psychrolib 1.1.1" },
};

static void saturation_agrees_with_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(saturation); i++) {
        const double got_pa = vapour_saturation_pa(saturation[i].temp_c);
        if (!(fabs(got_pa - saturation[i].want_pa) <= saturation[i].off_pa))
            fail_msg("%g C: want %g Pa, got %.6g: %s", saturation[i].temp_c, saturation[i].want_pa, got_pa,
                     saturation[i].source);
    }
}

static double magnus_water_pa(double t) /* WMO-No. 8 (2018), annex 4.B, -45 .. 60 C */
{
    return 611.2 * exp(17.62 * t / (243.12 + t));
}

static double magnus_ice_pa(double t) /* the same, -65 .. 0 C */
{
    return 611.2 * exp(22.46 * t / (272.62 + t));
}

static void supercooled_water_stays_near_the_magnus_form(void **state)
{
    (void)state;
    for (double t = -45.0; t <= 40.0; t += 0.5)
        if (!(fabs(vapour_over_water_pa(t) / magnus_water_pa(t) - 1.0) < 0.01))
            fail_msg("%g C: %g against %g Pa", t, vapour_over_water_pa(t), magnus_water_pa(t));
    for (double t = -65.0; t <= 0.0; t += 0.5)
        if (!(fabs(vapour_over_ice_pa(t) / magnus_ice_pa(t) - 1.0) < 0.01))
            fail_msg("ice %g C: %g against %g Pa", t, vapour_over_ice_pa(t), magnus_ice_pa(t));
}

/* Frost point from dew point by the two Magnus forms of WMO-No. 8, solved in closed form. 0.1 K is their difference
 * from the ASHRAE forms; taking ice for water or the other way round would be off by 1 K and more. */
static void dew_points_go_over_to_ice(void **state)
{
    (void)state;
    for (double dew_c = -45.0; dew_c < -0.1; dew_c += 0.7) {
        const double x = log(magnus_water_pa(dew_c) / 611.2), want_c = 272.62 * x / (22.46 - x);
        const double got_c = vapour_dew_point_over_ice_c(dew_c);
        if (!(fabs(got_c - want_c) < 0.1))
            fail_msg("dew point %g C: want frost point %.3f, got %.3f", dew_c, want_c, got_c);
        assert_true(got_c > dew_c);
    }
}

static void there_and_back(void **state)
{
    (void)state;
    for (double t = -50.0; t <= 40.0; t += 0.37) {
        if (!(fabs(vapour_dew_point_over_water_c(vapour_dew_point_over_ice_c(t)) - t) < 1e-6))
            fail_msg("%g C does not come back: %.9g", t, vapour_dew_point_over_water_c(vapour_dew_point_over_ice_c(t)));
        if (!(fabs(vapour_dew_point_c(vapour_saturation_pa(t)) - t) < 1e-6))
            fail_msg("%g C: dew point of its own saturation is %.9g", t, vapour_dew_point_c(vapour_saturation_pa(t)));
    }
    for (double t = 0.01; t <= 40.0; t += 0.5)
        assert_true(vapour_dew_point_over_ice_c(t) == t);
}

static void out_of_range_is_nan(void **state)
{
    (void)state;
    assert_true(isnan(vapour_over_ice_pa(1.0)));
    assert_true(isnan(vapour_over_water_pa(-61.0)));
    assert_true(isnan(vapour_saturation_pa(NAN)));
    assert_true(isnan(vapour_dew_point_over_ice_c(-61.0)));
    assert_true(isnan(vapour_dew_point_over_ice_c(NAN)));
    assert_true(isnan(vapour_dew_point_over_water_c(61.0)));
    assert_true(isnan(vapour_dew_point_c(0.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(saturation_agrees_with_tables), cmocka_unit_test(supercooled_water_stays_near_the_magnus_form),
        cmocka_unit_test(dew_points_go_over_to_ice),     cmocka_unit_test(there_and_back),
        cmocka_unit_test(out_of_range_is_nan),
    };
    return cmocka_run_group_tests_name("core/vapour", tests, NULL, NULL);
}
