/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sun position, rise and set against figures published elsewhere. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/sun/sun.h"

static int64_t moment(const char *text)
{
    struct civil_text t;
    if (!civil_read(text, &t))
        fail_msg("no such moment: %s", text);
    return civil_seconds(&t.at) - t.offset_s;
}

static void near(const char *what, double got, double want, double off, const char *source)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.6f, got %.6f, allowed %g: %s", what, want, got, off, source);
}

/* Reda & Andreas (2004), Solar Energy 76:577, worked example: 2003-10-17 12:30:30 at UTC-7, 39.742476 N, 105.1786 W,
 * 820 hPa, 11 C. Allowed: 0.01 degree is what a low-accuracy chain promises (Meeus, ch. 25); 0.02 min of time likewise.
 */
static void solar_position_algorithm_example(void **state)
{
    static const char source[] = "Reda & Andreas 2004, worked example";
    const int64_t at = moment("2003-10-17T12:30:30-07:00");
    const struct sun_place s = sun_place(at);
    const struct sun_position p = sun_position_in_air(at, 39.742476, -105.1786, 82.0, 11.0);

    (void)state;
    near("apparent longitude", s.longitude_deg, 204.0085519281, 0.01, source);
    near("right ascension", s.right_ascension_deg, 202.227408, 0.01, source);
    near("declination", s.declination_deg, -9.31434, 0.005, source);
    near("obliquity", s.obliquity_deg, 23.440465, 0.0005, source);
    near("hour angle", sun_hour_angle_deg(at, -105.1786), 11.10590, 0.01, source);
    near("equation of time", s.equation_of_time_min, 14.641503, 0.02, "Reda & Andreas 2004 (from memory)");
    near("elevation without refraction", p.elevation_true_deg, 39.872046, 0.01, source);
    near("elevation with refraction", p.elevation_deg, 39.888378, 0.01, source);
    near("refraction", p.elevation_deg - p.elevation_true_deg, 39.888378 - 39.872046, 0.0002, source);
    near("azimuth", p.azimuth_deg, 194.340241, 0.01, source);
    near("angle of incidence",
         acos(sun_cos_incidence(p.elevation_deg, p.azimuth_deg, 30.0, 170.0)) * 180.0 / 3.14159265358979, 25.18700,
         0.01, "Reda & Andreas 2004 (from memory): slope 30, turned 10 degrees east of south");
}

static void meeus_examples(void **state)
{
    const struct sun_place s = sun_place(moment("1992-10-13T00:00:00Z"));

    (void)state;
    near("apparent longitude", s.longitude_deg, 199.90895, 0.0001, "Meeus 1998, example 25.a");
    near("right ascension", s.right_ascension_deg, 198.38083, 0.0001, "Meeus 1998, example 25.a");
    near("declination", s.declination_deg, -7.78507, 0.0001, "Meeus 1998, example 25.a");
    near("equation of time", s.equation_of_time_min, 13.0 + 42.6 / 60.0, 0.02, "Meeus 1998, example 28.a");
}

static void refraction_values(void **state)
{
    static const struct {
        double elevation_deg, want_min;
    } row[] = { { 0, 28.98 }, { 5, 9.67 }, { 10, 5.41 }, { 30, 1.75 } };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++)
        near("refraction, minutes of arc", 60.0 * sun_refraction_deg(row[i].elevation_deg, 101.0, 10.0),
             row[i].want_min, 0.006, "Saemundsson's form at 1010 hPa and 10 C, as Meeus 16.4 prints it");
}

/* astronomy-engine 2.1.19 (topocentric, no refraction) and, in the last two, suncalc 2.0.2 (refraction included). Both
 * are independent of this code. 0.03 degree of elevation, 0.05 of azimuth: a hut is set to about 5 degrees. The
 * apparent elevation under the horizon is convention, so that row is allowed more. */
static const struct {
    const char *at;
    double lat, lon, azimuth, elevation, other_azimuth, other_apparent;
} place[] = {
    { "2003-10-17T19:30:30Z", 39.7425, -105.179, 194.3404, 39.8720, 194.339, 39.893 },
    { "2025-12-21T14:30:00Z", 45, -93, 130.9578, 5.1790, 130.956, 5.337 },
    { "2025-12-21T18:10:00Z", 45, -93, 179.9229, 21.5596, 179.920, 21.604 },
    { "2026-01-15T13:30:00Z", 44.47, -73.15, 131.0824, 8.5698, 131.077, 8.673 },
    { "2026-02-01T21:00:00Z", 41.98, -87.9, 224.2383, 18.6394, 224.234, 18.695 },
    { "2026-02-10T10:00:00Z", 52.2, 0.12, 145.9646, 17.5039, 145.956, 17.558 },
    { "2025-12-05T11:00:00Z", 59.9, 10.7, 178.1628, 7.6554, 178.160, 7.772 },
    { "2025-12-21T22:30:00Z", 69.5, -157.1, 180.7344, -2.9420, 180.731, -2.456 },
    { "2026-06-20T21:00:00Z", -43.5, 172.6, 47.4855, 7.3751, 47.490, 7.492 },
    { "2026-03-19T21:00:00Z", -35.4, 149.1, 83.1046, 10.0844, 83.107, 10.169 },
};

static void ten_places_of_the_sun(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(place); i++) {
        const struct sun_position p = sun_position(moment(place[i].at), place[i].lat, place[i].lon);
        near(place[i].at, p.azimuth_deg, place[i].azimuth, 0.05, "azimuth, astronomy-engine 2.1.19");
        near(place[i].at, p.elevation_true_deg, place[i].elevation, 0.03, "elevation, astronomy-engine 2.1.19");
        near(place[i].at, p.azimuth_deg, place[i].other_azimuth, 0.05, "azimuth, suncalc 2.0.2");
        near(place[i].at, p.elevation_deg, place[i].other_apparent, 0.03, "elevation with refraction, suncalc 2.0.2");
    }
}

/* astronomy-engine 2.1.19; the day is named in mean time of the place. 60 s and 0.1 degree: the air itself moves a
 * sunrise by more. The elevation at transit carries refraction; under the horizon by that library's own continuation,
 * so that row is allowed 0.2. */
static const struct {
    const char *holds; /* a moment of the day asked for */
    double lat, lon;
    const char *rise, *set, *transit;
    double rise_azimuth, set_azimuth, transit_elevation;
} day[] = {
    { "2003-10-16T12:00:00-07:00", 39.742476, -105.1786, "2003-10-16T13:11:41Z", "2003-10-17T00:20:18Z",
      "2003-10-16T18:46:17Z", 100.840, 258.937, 41.338 },
    { "2003-10-17T12:00:00-07:00", 39.742476, -105.1786, "2003-10-17T13:12:44Z", "2003-10-18T00:18:51Z",
      "2003-10-17T18:46:04Z", 101.320, 258.458, 40.972 },
    { "2015-01-02T12:00:00-07:00", 39.742476, -105.1786, "2015-01-02T14:21:54Z", "2015-01-02T23:47:43Z",
      "2015-01-02T19:04:44Z", 119.611, 240.439, 27.400 },
    { "2015-08-02T12:00:00-07:00", 39.742476, -105.1786, "2015-08-02T12:00:29Z", "2015-08-03T02:12:51Z",
      "2015-08-02T19:06:58Z", 65.866, 293.927, 67.954 },
    { "2025-12-21T12:00:00-06:00", 45, -93, "2025-12-21T13:47:18Z", "2025-12-21T22:33:19Z", "2025-12-21T18:10:18Z",
      123.230, 236.771, 21.602 },
    { "2026-02-01T12:00:00-06:00", 45, -93, "2026-02-01T13:31:35Z", "2026-02-01T23:20:06Z", "2026-02-01T18:25:34Z",
      113.509, 246.664, 28.090 },
    { "2026-01-15T12:00:00-05:00", 44.47, -73.15, "2026-01-15T12:25:28Z", "2026-01-15T21:39:00Z",
      "2026-01-15T17:02:04Z", 119.302, 240.806, 24.535 },
    { "2026-02-10T12:00:00Z", 52.2, 0.12, "2026-02-10T07:24:36Z", "2026-02-10T17:03:31Z", "2026-02-10T12:13:41Z",
      112.628, 247.596, 23.584 },
    { "2025-12-21T12:00:00+01:00", 59.9, 10.7, "2025-12-21T08:18:16Z", "2025-12-21T14:12:27Z", "2025-12-21T11:15:22Z",
      140.179, 219.820, 6.788 },
    { "2026-06-21T12:00:00+12:00", -43.5, 172.6, "2026-06-20T20:03:00Z", "2026-06-21T04:59:36Z", "2026-06-21T00:31:18Z",
      57.677, 302.324, 23.099 },
    { "2025-12-21T12:00:00-10:00", 69.5, -157.1, NULL, NULL, "2025-12-21T22:26:48Z", NAN, NAN, -2.308 },
    { "2026-06-21T12:00:00-10:00", 69.5, -157.1, NULL, NULL, "2026-06-21T22:30:18Z", NAN, NAN, 43.953 },
};

static void rise_and_set(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(day); i++) {
        const struct sun_day d = sun_day(moment(day[i].holds), day[i].lat, day[i].lon);
        near(day[i].holds, (double)d.transit_utc_s, (double)moment(day[i].transit), 60.0,
             "transit, astronomy-engine 2.1.19");
        near(day[i].holds, d.transit_elevation_deg + sun_refraction_deg(d.transit_elevation_deg, 101.0, 10.0),
             day[i].transit_elevation, day[i].transit_elevation > 0.0 ? 0.03 : 0.2,
             "elevation at transit, refraction included, astronomy-engine 2.1.19");
        if (day[i].rise == NULL) {
            assert_false(d.has_rise || d.has_set);
            assert_int_equal(d.state, day[i].transit_elevation > 0.0 ? SUN_ALWAYS_UP : SUN_ALWAYS_DOWN);
            continue;
        }
        assert_int_equal(d.state, SUN_RISES);
        assert_true(d.has_rise && d.has_set);
        near(day[i].holds, (double)d.rise_utc_s, (double)moment(day[i].rise), 60.0, "rise, astronomy-engine 2.1.19");
        near(day[i].holds, (double)d.set_utc_s, (double)moment(day[i].set), 60.0, "set, astronomy-engine 2.1.19");
        near(day[i].holds, d.rise_azimuth_deg, day[i].rise_azimuth, 0.1, "rise azimuth, astronomy-engine 2.1.19");
        near(day[i].holds, d.set_azimuth_deg, day[i].set_azimuth, 0.1, "set azimuth, astronomy-engine 2.1.19");
    }
}

/* Golden, Colorado. The sunset printed in the worked example of 17 October (17:20:19) is that of the evening before,
 * since it falls at 00:20:19 of 17 October in UT; so is the 19:13:58 which the calculator prints for 2 August 2015
 * (02:13:58 UT of the 2nd is the evening of the 1st; the next evening is 67 s earlier, as two other reckonings have it
 * above). */
static void golden_colorado(void **state)
{
    static const struct {
        const char *rise, *transit, *set;
        double off_s;
        const char *source;
    } row[] = {
        { "2003-10-17T06:12:43-07:00", NULL, "2003-10-17T17:18:51-07:00", 60.0,
          "Reda & Andreas 2004 (from memory); set: astronomy-engine" },
        { NULL, NULL, "2003-10-16T17:20:19-07:00", 60.0, "Reda & Andreas 2004 (from memory)" },
        { "2015-01-02T07:21:55-07:00", "2015-01-02T12:04:45-07:00", "2015-01-02T16:47:43-07:00", 60.0,
          "NREL solar position calculator" },
        { "2015-08-02T05:00:27-07:00", "2015-08-02T12:06:58-07:00", NULL, 60.0, "NREL solar position calculator" },
        { NULL, NULL, "2015-08-01T19:13:58-07:00", 60.0, "NREL solar position calculator, printed for 2 August" },
        { "2015-01-01T07:22:00-07:00", "2015-01-01T12:04:00-07:00", "2015-01-01T16:47:00-07:00", 61.0,
          "USNO, to the minute" },
        { "2015-01-03T07:22:00-07:00", "2015-01-03T12:05:00-07:00", "2015-01-03T16:49:00-07:00", 61.0,
          "USNO, to the minute" },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        const char *of = row[i].rise ? row[i].rise : row[i].set;
        const struct sun_day d = sun_day(moment(of), 39.742476, -105.1786);
        if (row[i].rise)
            near(row[i].rise, (double)d.rise_utc_s, (double)moment(row[i].rise), row[i].off_s, row[i].source);
        if (row[i].transit)
            near(row[i].transit, (double)d.transit_utc_s, (double)moment(row[i].transit), row[i].off_s, row[i].source);
        if (row[i].set)
            near(row[i].set, (double)d.set_utc_s, (double)moment(row[i].set), row[i].off_s, row[i].source);
    }
}

/* 2436116.31 is the Julian day of 1957-10-04.81 (Meeus 1998, example 7.a): ours counts from 2440587.5. */
static void julian_day_anchor(void **state)
{
    (void)state;
    near("day of 1957-10-04", (double)civil_days(1957, 10, 4) + 0.81 + 2440587.5, 2436116.31, 1e-9,
         "Meeus 1998, example 7.a");
    near("worked example's day", (double)moment("2003-10-17T19:30:30Z") / 86400.0 + 2440587.5, 2452930.312847, 1e-6,
         "Reda & Andreas 2004, worked example");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solar_position_algorithm_example),
        cmocka_unit_test(meeus_examples),
        cmocka_unit_test(refraction_values),
        cmocka_unit_test(ten_places_of_the_sun),
        cmocka_unit_test(rise_and_set),
        cmocka_unit_test(golden_colorado),
        cmocka_unit_test(julian_day_anchor),
    };
    return cmocka_run_group_tests_name("published/sun", tests, NULL, NULL);
}
