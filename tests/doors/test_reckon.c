/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sun, light, air and wind, asked through the command line. */
#include "tests/doors/reckon_case.h"

/* ---- sun ---- */

#define ENGINE "astronomy-engine 2.1.19, topocentric, without refraction"

static void ten_places_of_the_sun(void **state)
{
    static const struct {
        const char *at;
        double lat, lon, azimuth, elevation;
    } sun[] = {
        { "2003-10-17T19:30:30Z", 39.7425, -105.179, 194.3404, 39.8720 },
        { "2025-12-21T14:30:00Z", 45, -93, 130.9578, 5.1790 },
        { "2025-12-21T18:10:00Z", 45, -93, 179.9229, 21.5596 },
        { "2026-01-15T13:30:00Z", 44.47, -73.15, 131.0824, 8.5698 },
        { "2026-02-01T21:00:00Z", 41.98, -87.9, 224.2383, 18.6394 },
        { "2026-02-10T10:00:00Z", 52.2, 0.12, 145.9646, 17.5039 },
        { "2025-12-05T11:00:00Z", 59.9, 10.7, 178.1628, 7.6554 },
        { "2025-12-21T22:30:00Z", 69.5, -157.1, 180.7344, -2.9420 },
        { "2026-06-20T21:00:00Z", -43.5, 172.6, 47.4855, 7.3751 },
        { "2026-03-19T21:00:00Z", -35.4, 149.1, 83.1046, 10.0844 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof sun / sizeof *sun; i++) {
        char line[160];
        (void)snprintf(line, sizeof line, "reckon sun --lat %g --lon %g --at %s", sun[i].lat, sun[i].lon, sun[i].at);
        json_t *j = answer_to(line);
        near(j, line, "azimuth_deg", sun[i].azimuth, 0.05, ENGINE);
        near(j, line, "elevation_true_deg", sun[i].elevation, 0.03, ENGINE);
        json_decref(j);
    }
}

static void rise_and_set(void **state)
{
    static const struct {
        const char *at;
        double lat, lon;
        const char *rise;
        double rise_az;
        const char *set;
        double set_az;
    } days[] = {
        { "2015-01-02T19:00Z", 39.742476, -105.1786, "2015-01-02T14:21:54Z", 119.611, "2015-01-02T23:47:43Z", 240.439 },
        { "2025-12-21T18:00Z", 45, -93, "2025-12-21T13:47:18Z", 123.230, "2025-12-21T22:33:19Z", 236.771 },
        { "2026-02-01T18:00Z", 45, -93, "2026-02-01T13:31:35Z", 113.509, "2026-02-01T23:20:06Z", 246.664 },
        { "2026-02-10T12:00Z", 52.2, 0.12, "2026-02-10T07:24:36Z", 112.628, "2026-02-10T17:03:31Z", 247.596 },
        { "2025-12-21T11:00Z", 59.9, 10.7, "2025-12-21T08:18:16Z", 140.179, "2025-12-21T14:12:27Z", 219.820 },
        { "2026-06-21T00:00Z", -43.5, 172.6, "2026-06-20T20:03:00Z", 57.677, "2026-06-21T04:59:36Z", 302.324 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        char line[160];
        (void)snprintf(line, sizeof line, "reckon sun --lat %g --lon %g --at %s", days[i].lat, days[i].lon, days[i].at);
        json_t *j = answer_to(line);
        near(j, line, "sunrise", moment(days[i].rise), 60.0, ENGINE);
        near(j, line, "sunset", moment(days[i].set), 60.0, ENGINE);
        near(j, line, "sunrise_azimuth_deg", days[i].rise_az, 0.1, ENGINE);
        near(j, line, "sunset_azimuth_deg", days[i].set_az, 0.1, ENGINE);
        json_decref(j);
    }
    json_t *night = answer_to("reckon sun --lat 69.5 --lon -157.1 --at 2025-12-21T22:00Z");
    json_t *day = answer_to("reckon sun --lat 69.5 --lon -157.1 --at 2026-06-21T22:00Z");
    assert_true(json_is_null(at(night, "sunrise")) && json_is_null(at(day, "sunset")));
    assert_string_equal(json_string_value(at(night, "sun")), "always down");
    assert_string_equal(json_string_value(at(day, "sun")), "always up");
    json_decref(night);
    json_decref(day);
}

static void sun_as_it_is_seen(void **state)
{
    static const struct row rows[] = {
        /* at 820 hPa and 11 C there; here the height's own air */
        { "reckon sun --lat 39.742476 --lon -105.1786 --at 2003-10-17T12:30:30-07:00 --elevation 1830.14",
          "elevation_deg", 39.888378, 0.01, "Reda & Andreas 2004, NREL/TP-560-34302, worked example" },
        { "reckon sun --lat 45 --lon -93 --at 2025-12-21T14:30Z", "elevation_deg", 5.337, 0.01,
          "suncalc 2.0.2, refraction included" },
        { "reckon sun --lat 59.9 --lon 10.7 --at 2025-12-05T11:00Z", "elevation_deg", 7.772, 0.01,
          "suncalc 2.0.2, refraction included" },
    };

    (void)state;
    HOLD(rows);
}

/* ---- light ---- */

static void light_into_an_upright_opening(void **state)
{
#define HAND "Hay & Davies 1980, worked by hand with 1400 W/m2 above the air"
    static const struct row rows[] = {
        { "reckon beam --sun-azimuth 130 --sun-elevation 15 --dni 500 --dhi 80 --top 1400 --facing 120", "beam_w_m2",
          475.6256, 1e-3, HAND },
        { "reckon beam --sun-azimuth 130 --sun-elevation 15 --dni 500 --dhi 80 --top 1400 --facing 120", "sky_w_m2",
          130.7244, 1e-3, HAND },
        { "reckon beam --sun-azimuth 220 --sun-elevation 15 --dni 500 --dhi 80 --top 1400 --facing 120", "beam_w_m2",
          0.0, 1e-6, HAND },
        { "reckon beam --sun-azimuth 220 --sun-elevation 15 --dni 500 --dhi 80 --top 1400 --facing 120", "sky_w_m2",
          25.7143, 1e-3, HAND },
        { "reckon beam --sun-azimuth 180 --sun-elevation 20 --dni 300 --dhi 60 --top 1400 --facing 180", "beam_w_m2",
          281.9078, 1e-3, HAND },
        { "reckon beam --sun-azimuth 180 --sun-elevation 20 --dni 300 --dhi 60 --top 1400 --facing 180", "sky_w_m2",
          58.8961, 1e-3, HAND },
        /* 500 sin 15 + 80 on the level, a fifth of it thrown back, half of that seen by an upright plane */
        { "reckon beam --sun-azimuth 130 --sun-elevation 15 --dni 500 --dhi 80 --top 1400 --facing 120", "ground_w_m2",
          20.9410, 1e-3, "arithmetic" },
        { "reckon beam --lat 45 --lon -93 --at 2025-12-21T06:00Z --facing 90", "opening_w_m2", 0.0, 1e-9, "night" },
    };
    char line[160];

    (void)state;
    HOLD(rows);
    (void)snprintf(line, sizeof line,
                   "reckon beam --lat 45 --lon -93 --at 2025-12-21T18:10Z --facing 180 --cloud 4okta");
    json_t *j = answer_to(line),
           *k = answer_to("reckon beam --lat 45 --lon -93 --at 2025-12-21T18:10Z --facing 180 --cloud 0.5");
    assert_true(figure(j, "opening_w_m2") == figure(k, "opening_w_m2"));
    near(j, line, "opening_w_m2", figure(j, "beam_w_m2") + figure(j, "sky_w_m2") + figure(j, "ground_w_m2"), 1e-9,
         "its parts");
    json_decref(j);
    json_decref(k);
}

/* ---- air and wind ---- */

static void moist_air(void **state)
{
    /* t C, rh, kPa -> pw Pa, W g/kg, h kJ/kg, dew C, wet bulb C */
    static const struct {
        double t, rh, kpa, pw, w, h, dew, wet;
    } table[] = {
        { 25, 0.5, 101.325, 1584.61, 9.8810, 50.322, 13.864, 17.889 },
        { 20, 0.8, 101.325, 1871.04, 11.7007, 49.819, 16.447, 17.679 },
        { 0, 1, 101.325, 611.15, 3.7741, 9.439, 0.000, 0.000 },
        { -10, 0.7, 101.325, 181.93, 1.1187, -7.283, -13.957, -10.975 },
        { -25, 0.8, 101.325, 50.63, 0.3109, -24.387, -27.214, -25.198 },
        { 15, 0.9, 95.0, 1534.90, 10.2137, 40.919, 13.374, 13.985 },
        { 5, 0.85, 101.325, 741.61, 4.5857, 16.541, 2.691, 3.946 },
        { 32, 0.6, 101.325, 2855.12, 18.0332, 78.366, 23.261, 25.555 },
    };
    const char *source = "psychrolib 1.1.1 (ASHRAE Handbook - Fundamentals 2017, ch. 1)";

    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char line[128];
        (void)snprintf(line, sizeof line, "reckon air --temp %g --rh %g --pressure %g", table[i].t, table[i].rh,
                       table[i].kpa);
        json_t *j = answer_to(line);
        near(j, line, "vapour_pressure_kpa", table[i].pw / 1000.0, table[i].pw * 0.0005 / 1000.0, source);
        near(j, line, "humidity_ratio", table[i].w / 1000.0, table[i].w * 0.0005 / 1000.0, source);
        near(j, line, "enthalpy_kj_kg", table[i].h, 0.01, source);
        near(j, line, "dew_point_c", table[i].dew, 0.02, source);
        near(j, line, "wet_bulb_c", table[i].wet, 0.02, source);
        json_decref(j);
        (void)snprintf(line, sizeof line, "reckon air --temp %g --dew-point %.4f --pressure %g", table[i].t,
                       table[i].dew, table[i].kpa);
        j = answer_to(line);
        near(j, line, "rh", table[i].rh, 0.001, source);
        json_decref(j);
    }
}

static void wind_chill_wind_and_lee(void **state)
{
#define NWS     "US National Weather Service and Environment Canada 2001, wind chill chart"
#define LOG     "logarithmic law, ln(z/z0)/ln(10/z0)"
#define BRANDLE "Brandle & Finch 1991, extension circular EC91-1763 (from memory)"
    static const struct row rows[] = {
        { "reckon wind-chill --temp 0 --wind 20kmh", "wind_chill_c", -5.2, 0.1, NWS },
        { "reckon wind-chill --temp 0 --wind 40kmh", "wind_chill_c", -7.4, 0.1, NWS },
        { "reckon wind-chill --temp -10 --wind 20kmh", "wind_chill_c", -17.9, 0.1, NWS },
        { "reckon wind-chill --temp -10 --wind 30kmh", "wind_chill_c", -19.5, 0.1, NWS },
        { "reckon wind-chill --temp -20 --wind 10kmh", "wind_chill_c", -27.2, 0.1, NWS },
        { "reckon wind-chill --temp -20 --wind 40kmh", "wind_chill_c", -34.1, 0.1, NWS },
        { "reckon wind-chill --temp 0F --wind 15mph", "wind_chill_c", (-19.4 - 32.0) / 1.8, 0.05,
          NWS " (US form: -19.4 F)" },
        { "reckon wind-at --wind 10 --height 1m --roughness 0.005", "wind_mps", 6.971, 0.001, LOG },
        { "reckon wind-at --wind 10 --height 1m", "wind_mps", 6.036, 0.001, LOG },
        { "reckon wind-at --wind 10 --height 1m --roughness 0.1", "wind_mps", 5.000, 0.001, LOG },
        { "reckon wind-at --wind 10 --height 3in", "wind_mps", 2.0, 1e-9, "never under 0.2" },
        { "reckon lee --distance-heights 0.5", "wind_ratio", 0.55, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 2", "wind_ratio", 0.35, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 5", "wind_ratio", 0.30, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 10 --porosity 50%", "wind_ratio", 0.50, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 15", "wind_ratio", 0.60, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 20", "wind_ratio", 0.75, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 30", "wind_ratio", 0.95, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 5 --porosity 0", "wind_ratio", 0.25, 1e-9, BRANDLE },
        { "reckon lee --distance-heights 10 --porosity 0", "wind_ratio", 0.70, 1e-9, BRANDLE },
        { "reckon lee --distance-heights -5", "wind_ratio", 1.0, 1e-9,
          BRANDLE ": the effect begins 2 to 5 heights before it" },
    };

    (void)state;
    HOLD(rows);
}

/* Started afresh, as a script would: same bytes twice, and the text too. */
static void the_program_itself_answers_alike(void **state)
{
    static const char *const lines[] = { "reckon sun --lat 45 --lon -93 --at 2025-12-21T14:30Z --json",
                                         "reckon piglet --temp -5 --json",
                                         "reckon due --service 2026-01-01 --at 2026-04-25",
                                         "reckon nest --shelter hut --temp 0 --wind 3 --narrow" };
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct run a = run_line(lines[i]), b = run_line(lines[i]);
        assert_int_equal(a.code, 0);
        assert_string_equal(text_get(&a.out), text_get(&b.out));
        assert_true(a.out.length > 100 && a.err.length == 0);
        run_close(&a);
        run_close(&b);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_places_of_the_sun),
        cmocka_unit_test(rise_and_set),
        cmocka_unit_test(sun_as_it_is_seen),
        cmocka_unit_test(light_into_an_upright_opening),
        cmocka_unit_test(moist_air),
        cmocka_unit_test(wind_chill_wind_and_lee),
        cmocka_unit_test(the_program_itself_answers_alike),
    };
    return cmocka_run_group_tests_name("reckon", tests, NULL, say_figures);
}
