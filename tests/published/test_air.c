/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Moist air, wind chill, wind at a height, windbreaks and driving rain against published figures. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/air/air.h"

static void near(const char *what, double at, double got, double want, double off, const char *source)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s at %g: want %.6f, got %.6f, allowed %g: %s", what, at, want, got, off, source);
}

/* PsychroLib 1.1.1 (which follows ASHRAE 2017). Allowed: 0.05 % or the last digit printed, 0.01 kJ/kg, 0.02 C. */
static const struct {
    double t, rh, kpa, saturation_pa, vapour_pa, ratio_g, enthalpy, dew, bulb, volume, density;
} moist[] = {
    { 25, 0.5, 101.325, 3169.22, 1584.61, 9.8810, 50.322, 13.864, 17.889, 0.85804, 1.1770 },
    { 20, 0.8, 101.325, 2338.80, 1871.04, 11.7007, 49.819, 16.447, 17.679, 0.84608, 1.1957 },
    { 0, 1, 101.325, 611.15, 611.15, 3.7741, 9.439, 0.000, 0.000, 0.77850, 1.2894 },
    { -10, 0.7, 101.325, 259.90, 181.93, 1.1187, -7.283, -13.957, -10.975, 0.74681, 1.3405 },
    { -25, 0.8, 101.325, 63.29, 50.63, 0.3109, -24.387, -27.214, -25.198, 0.70333, 1.4222 },
    { 15, 0.9, 95.000, 1705.45, 1534.90, 10.2137, 40.919, 13.374, 13.985, 0.88494, 1.1416 },
    { 5, 0.85, 101.325, 872.49, 741.61, 4.5857, 16.541, 2.691, 3.946, 0.79378, 1.2656 },
    { 32, 0.6, 101.325, 4758.53, 2855.12, 18.0332, 78.366, 23.261, 25.555, 0.88952, 1.1445 },
};

static void moist_air_row(const struct air *a, size_t i, double rh_off)
{
    static const char source[] = "PsychroLib 1.1.1";
    const double t = moist[i].t;

    near("saturation", t, 1000.0 * a->saturation_kpa, moist[i].saturation_pa, 0.0005 * moist[i].saturation_pa, source);
    near("vapour", t, 1000.0 * a->vapour_kpa, moist[i].vapour_pa, 0.0005 * moist[i].vapour_pa + rh_off, source);
    near("humidity ratio", t, 1000.0 * a->humidity_ratio, moist[i].ratio_g, 0.0005 * moist[i].ratio_g, source);
    near("enthalpy", t, a->enthalpy_kj_kg, moist[i].enthalpy, 0.01, source);
    near("dew point", t, a->dew_point_c, moist[i].dew, 0.02, source);
    near("wet bulb", t, a->wet_bulb_c, moist[i].bulb, 0.02, source);
    near("volume", t, a->volume_m3_kg, moist[i].volume, 0.00001, source);
    near("density", t, a->density_kg_m3, moist[i].density, 0.0001, source);
}

static void moist_air(void **state)
{
    struct message why;
    struct air a;

    (void)state;
    for (size_t i = 0; i < COUNT(moist); i++) {
        assert_int_equal(air_from_rh(moist[i].t, moist[i].rh, moist[i].kpa, &a, &why), ST_OK);
        moist_air_row(&a, i, 0.0);
        assert_int_equal(air_from_dew_point(moist[i].t, moist[i].dew, moist[i].kpa, &a, &why), ST_OK);
        near("rh by dew point", moist[i].t, a.rh, moist[i].rh, 0.0002, "PsychroLib 1.1.1; dew point to 0.001 C");
        near("humidity ratio by dew point", moist[i].t, 1000.0 * a.humidity_ratio, moist[i].ratio_g,
             0.0005 * moist[i].ratio_g, "PsychroLib 1.1.1");
    }
}

static void pressure_at_altitude(void **state)
{
    (void)state;
    near("standard atmosphere", 0, air_pressure_at_kpa(0.0), 101.325, 1e-9, "ASHRAE 2017, ch. 1, table 1");
    near("standard atmosphere", 500, air_pressure_at_kpa(500.0), 95.461, 0.005, "ASHRAE 2017, ch. 1, table 1");
    near("standard atmosphere", 1000, air_pressure_at_kpa(1000.0), 89.874, 0.005, "ASHRAE 2017, ch. 1, table 1");
}

/* MSC/NWS 2001. The chart's rounded values are the index itself to 0.1; 0 F and 15 mph is -19.4 F on the US chart. */
static void wind_chill(void **state)
{
    static const struct {
        double t, kmh, want, off;
        const char *source;
    } row[] = {
        { -10, 30, -19.52, 0.005, "2001 index" },
        { -20, 40, -34.13, 0.005, "2001 index" },
        { 0, 20, -5.24, 0.005, "2001 index" },
        { 0, 40, -7.4, 0.1, "Environment Canada chart" },
        { -10, 20, -17.9, 0.1, "Environment Canada chart" },
        { -20, 10, -27.2, 0.1, "Environment Canada chart" },
        { -160.0 / 9.0, 15 * 1.609344, (-19.4 - 32.0) * 5.0 / 9.0, 0.05,
          "NWS chart, 0 F and 15 mph: -19.4 F; the US form has its own rounding" },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        near("wind chill", row[i].t, air_wind_chill_c(row[i].t, row[i].kmh / 3.6), row[i].want, row[i].off,
             row[i].source);
}

static void wind_at_a_height(void **state)
{
    static const struct {
        double z0, want;
    } row[] = { { 0.005, 0.6971 }, { 0.01, 0.6667 }, { 0.03, 0.6036 },
                { 0.05, 0.5654 },  { 0.1, 0.5000 },  { 0.25, 0.3758 } };
    static const struct {
        double a, want;
    } power[] = { { 1.0 / 7.0, 0.7197 }, { 0.16, 0.6918 }, { 0.20, 0.6310 }, { 0.25, 0.5623 } };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        near("1 m over 10 m", row[i].z0, air_wind_factor(1.0, row[i].z0), row[i].want, 0.00005, "logarithmic profile");
    for (size_t i = 0; i < COUNT(power); i++)
        near("1 m over 10 m", power[i].a, air_wind_power_factor(1.0, power[i].a), power[i].want, 0.00005, "power law");
    near("hut door", 0.5, air_wind_factor(0.5, AIR_ROUGHNESS_M), 0.48, 0.005, "logarithmic profile");
    near("open nest", 0.25, air_wind_factor(0.25, AIR_ROUGHNESS_M), 0.36, 0.005, "logarithmic profile");
    /* FAO-56 (1998), eq. 47, brings 10 m to 2 m over 0.12 m grass: 4.87/ln(67.8 z - 5.42); here without displacement,
     * so 3 % */
    near("2 m", 2.0, air_wind_factor(2.0, 0.01476), 4.87 / log(67.8 * 10.0 - 5.42), 0.025,
         "FAO Irrigation and Drainage Paper 56, eq. 47");
    near("gust", 10.0, air_gust_guess_mps(10.0, AIR_ROUGHNESS_M), 14.1, 0.05,
         "after Wieringa 1973: 1.41 over short grass");
}

static void windbreaks(void **state)
{
    static const double at[] = { 5, 10, 15, 20, 30 };
    static const struct {
        double porosity, want[5];
        const char *name;
    } row[] = {
        { 0.70, { 0.50, 0.65, 0.80, 0.85, 1.00 }, "one row of broad-leaved trees" },
        { 0.50, { 0.30, 0.50, 0.60, 0.75, 0.95 }, "one row of conifers" },
        { 0.30, { 0.25, 0.35, 0.65, 0.85, 0.95 }, "several rows of conifers" },
        { 0.00, { 0.25, 0.70, 0.90, 0.95, 1.00 }, "solid fence" },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        for (size_t k = 0; k < COUNT(at); k++)
            near(row[i].name, at[k], air_lee_ratio(at[k], row[i].porosity), row[i].want[k], 1e-9,
                 "Brandle & Finch 1991, extension EC91-1763 (from memory)");
    near("hedge", 0.5, air_lee_ratio(0.5, 0.5), 0.55, 1e-9, "Brandle & Finch 1991 (from memory)");
    near("hedge", 2.0, air_lee_ratio(2.0, 0.5), 0.35, 1e-9, "Brandle & Finch 1991 (from memory)");
}

static void driving_rain(void **state)
{
    static const struct {
        double v, r, angle, want;
    } row[] = {
        { 5, 1, 0, 1.11111 },    { 5, 1, 60, 0.55556 },  { 10, 2, 0, 4.1150 },
        { 4, 0.5, 30, 0.41572 }, { 8, 5, -75, 1.92389 }, { 6, 3, 100, 0 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        near("driving rain", row[i].angle, air_driving_rain_l_m2(row[i].v, row[i].r, row[i].angle), row[i].want,
             0.00006, "ISO 15927-3:2009, 2/9 v r^(8/9) cos(D - g)");
}

static void wall_factors(void **state)
{
    static const char source[] = "ISO 15927-3:2009, tables (from memory)";
    static const struct {
        double m, want;
    } row[] = { { 4, 0.2 },  { 8, 0.2 },  { 10, 0.3 }, { 20, 0.4 },  { 30, 0.5 },
                { 50, 0.6 }, { 70, 0.7 }, { 90, 0.8 }, { 110, 0.9 }, { 121, 1.0 } };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        near("obstruction", row[i].m, air_rain_obstruction(row[i].m), row[i].want, 1e-9, source);
    near("open country, 10 m", 10, air_rain_roughness(AIR_OPEN, 10.0), 0.17 * log(10.0 / 0.01), 1e-9, source);
    near("farmland, 1 m", 1, air_rain_roughness(AIR_FARMLAND, 1.0), 0.19 * log(4.0 / 0.05), 1e-9, source);
    near("suburb, 8 m", 8, air_rain_roughness(AIR_SUBURB, 8.0), 0.22 * log(8.0 / 0.3), 1e-9, source);
    near("town, 20 m", 20, air_rain_roughness(AIR_TOWN, 20.0), 0.24 * log(20.0 / 1.0), 1e-9, source);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moist_air),        cmocka_unit_test(pressure_at_altitude), cmocka_unit_test(wind_chill),
        cmocka_unit_test(wind_at_a_height), cmocka_unit_test(windbreaks),           cmocka_unit_test(driving_rain),
        cmocka_unit_test(wall_factors),
    };
    return cmocka_run_group_tests_name("published/air", tests, NULL, NULL);
}
