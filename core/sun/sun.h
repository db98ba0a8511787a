/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sun: where it stands, when it rises and sets, and how much of it comes onto a plane or into an opening.
 *
 * Bearings clockwise from true north, a facing is where the opening looks TO; moments are UTC; east and north are
 * positive. All pure. Out of range gives NAN (or SUN_NOT_KNOWN), never a clamp.
 * Formulas, sources and limits: docs/reckoning/sun.md.
 */
#ifndef CORE_SUN_SUN_H
#define CORE_SUN_SUN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/hour.h"

/* ---- Position ---- */

struct sun_position {
    double azimuth_deg;        /* 0 <= x < 360 */
    double elevation_true_deg; /* of the disc's middle as seen from the ground, without refraction */
    double elevation_deg;      /* as it is seen: refraction added */
};

/* Where the sun stands.
 *
 * Given     utc_s            1900 .. 2100; UTC (delta T is left out: under 0.001 degree)
 *           lat_deg, lon_deg -90 .. 90, -180 .. 180
 * Returned  all three NAN outside the ranges
 * Error     against ERFA 1990 .. 2060: elevation 0.01, azimuth 0.02 x 1/cos(elevation) degrees (tests/core/test_sun.c)
 * Source    Meeus, Astronomical Algorithms (2nd ed. 1998), ch. 25 low accuracy, as in the solar calculator of NOAA's
 *           Global Monitoring Laboratory; refraction: Saemundsson (1986), at 101.0 kPa and 10 C
 */
struct sun_position sun_position(int64_t utc_s, double lat_deg, double lon_deg);

/* The same with the refraction of this air: pressure_kpa 50 .. 110, temp_c -70 .. 60. */
struct sun_position sun_position_in_air(int64_t utc_s, double lat_deg, double lon_deg, double pressure_kpa,
                                        double temp_c);

/* What refraction adds to a true elevation, degrees; the bending at 101.0 kPa and 10 C scaled by p/101 x 283/(273 + t).
 * Below -0.8333 (the upper limb is under the horizon, nothing is seen) it runs out evenly to 0 at -10.5. */
double sun_refraction_deg(double elevation_true_deg, double pressure_kpa, double temp_c);

/* Many moments at one place.
 *
 * Given     n moments, in any order
 * Returned  azimuth_deg[n], elevation_true_deg[n]: the figures of sun_position() to 1e-6 degree; NAN where it gives
 *           NAN. Either array may be NULL. Moments in order of time are reckoned five times as fast as mixed ones.
 */
void sun_positions(size_t n, const int64_t utc_s[], double lat_deg, double lon_deg, double azimuth_deg[],
                   double elevation_true_deg[]);

/* The sun itself, for checks and for other reckonings. */
struct sun_place {
    double longitude_deg;       /* apparent ecliptic longitude of date, 0 .. 360 */
    double right_ascension_deg; /* 0 .. 360 */
    double declination_deg;
    double obliquity_deg;
    double equation_of_time_min; /* apparent minus mean time */
};
struct sun_place sun_place(int64_t utc_s);
double sun_hour_angle_deg(int64_t utc_s, double lon_deg); /* -180 .. 180, afternoon positive; NAN out of range */

/* ---- Rise and set ---- */

enum sun_state { SUN_RISES, SUN_ALWAYS_UP, SUN_ALWAYS_DOWN, SUN_NOT_KNOWN /* out of range */ };
extern const char *const sun_state_name[]; /* "rises", "always up", "always down", "not known" */

struct sun_day {
    enum sun_state state;
    bool has_rise, has_set;        /* near the polar circle a day may hold one of them alone */
    bool grazing;                  /* the highest or lowest sun is within 0.3 degree of the limit: refraction decides */
    int64_t rise_utc_s, set_utc_s; /* upper limb on a flat horizon: middle at -0.8333 true */
    int64_t transit_utc_s;         /* solar noon */
    double rise_azimuth_deg, set_azimuth_deg; /* NAN when there is none */
    double transit_elevation_deg;             /* true */
    double lowest_elevation_deg;              /* true, the lower of the two solar midnights */
};

/* The solar day that holds a moment: mean solar time at the longitude, midnight to midnight. Rise and set are those on
 * either side of its solar noon.
 *
 * Given     as sun_position()
 * Error     60 s and 0.1 degree where not grazing
 */
struct sun_day sun_day(int64_t utc_s, double lat_deg, double lon_deg);

/* Day number of that solar day: days since 1970-01-01 in mean solar time. */
int64_t sun_day_number(int64_t utc_s, double lon_deg);

/* When, on the solar day that holds `utc_s`, the sun stands over a bearing ("face where the sun stands at 9:40").
 *
 * Given     bearing_deg   0 .. 360
 * Returned  true and *at_utc_s: the first moment with the sun up. False: it does not stand there in daylight that day.
 */
bool sun_when_over(int64_t utc_s, double lat_deg, double lon_deg, double bearing_deg, int64_t *at_utc_s);

/* ---- Radiation of a clear and of a cloudy sky ---- */

struct sun_light { /* W/m2 */
    double ghi;    /* on the level */
    double dni;    /* beam, square to it */
    double dhi;    /* of the sky alone, on the level */
};

/* Relative air mass, 1 overhead. zenith_deg 0 .. 90 of the apparent sun; NAN outside. Kasten & Young (1989). */
double sun_air_mass(double zenith_deg);

/* Outside the atmosphere, square to the beam, W/m2. day_of_year 1 .. 366. Solar constant 1366.1 (ASTM E490, 2000). */
double sun_top_w_m2(int day_of_year);
double sun_top_at_w_m2(int64_t utc_s);

/* Clear sky on the level, W/m2; 0 with the sun down. Haurwitz (1945). */
double sun_haurwitz_w_m2(double elevation_deg);

/* Clear sky with a measured haze.
 *
 * Given     elevation_deg   apparent, -90 .. 90 (all 0 with the sun down)
 *           air_mass        absolute: relative x pressure / 101.325
 *           linke           turbidity, 1 .. 10; 2 cold clear air, 3 usual, 5 hazy
 *           altitude_m      -500 .. 9000
 *           top_w_m2        sun_top_w_m2()
 * Source    Ineichen & Perez (2002), Solar Energy 73:151
 */
struct sun_light sun_ineichen(double elevation_deg, double air_mass, double linke, double altitude_m, double top_w_m2);

/* ASHRAE's monthly clear day: month 1 .. 12, northern hemisphere's air (give the month six on in the south). */
struct sun_light sun_ashrae(int month, double elevation_deg);

/* Kasten & Czeplak (1980), Solar Energy 24:177. Oktas 0 .. 8. */
double sun_kasten_w_m2(double elevation_deg); /* clear sky on the level; 0 where the form would be negative */
double sun_cloud_factor(double oktas);        /* share of clear GHI that comes through, 1 .. 0.25 */
double sun_diffuse_share(double oktas);       /* DHI / GHI, 0.3 .. 1 */

/* ---- Onto a plane, into an opening ---- */

enum sun_sky { SUN_ISOTROPIC, SUN_HAY_DAVIES, SUN_PEREZ };
extern const char *const sun_sky_name[]; /* "isotropic", "Hay-Davies", "Perez" */

struct sun_plane {
    double tilt_deg; /* 0 level, looking up .. 90 upright .. 180 looking down */
    double facing_deg;
    double albedo; /* of the ground before it: 0.2 grass, 0.8 fresh snow */
};

struct sun_seen { /* W/m2 of the plane; NAN for input out of range */
    double beam, sky, ground, total;
};

/* cos of the angle between the sun and the plane's outward normal; below 0: the sun is behind it. */
double sun_cos_incidence(double elevation_deg, double azimuth_deg, double tilt_deg, double facing_deg);

/* What a plane receives.
 *
 * Given     sky            which model of the sky's own light
 *           light          all three known, 0 or more
 *           elevation_deg, azimuth_deg of the sun
 *           top_w_m2       sun_top_w_m2()
 *           air_mass       used by SUN_PEREZ alone; NAN = sun_air_mass() of the elevation
 * Source    Hay & Davies (1980); Perez, Ineichen, Seals, Michalsky & Stewart (1990), Solar Energy 44:271, table 1
 */
struct sun_seen sun_on_plane(enum sun_sky sky, const struct sun_plane *plane, const struct sun_light *light,
                             double elevation_deg, double azimuth_deg, double top_w_m2, double air_mass);

/* An upright opening, Hay-Davies: W/m2. *beam_w_m2 may be NULL. */
double sun_into_opening_w_m2(double facing_deg, double albedo, const struct sun_light *light, double elevation_deg,
                             double azimuth_deg, double top_w_m2, double *beam_w_m2);

/* ---- One hour of weather ---- */

enum sun_light_from {
    SUN_LIGHT_REPORTED,
    SUN_LIGHT_SPLIT,  /* GHI reported, its beam by the clouds */
    SUN_LIGHT_CLOUDS, /* none reported */
};

struct sun_hour {
    struct sun_position sun;   /* in the middle of the hour */
    struct sun_light light;    /* all 0 with the sun down */
    double top_w_m2, air_mass; /* air_mass NAN with the sun down */
    bool morning;              /* before solar noon */
    enum sun_light_from from;
    bool cloud_assumed; /* sky not known and needed: 4 oktas taken */
};

/* Light from what is known of the sky: GHI = Haurwitz x cloud factor, of it the diffuse share; DNI at most 1000.
 * oktas NAN = 4. All 0 with the sun down. */
struct sun_light sun_light_of_clouds(double elevation_deg, double oktas);

/* Sun and light of an hour at a place: reported where all three are, else split, else from the clouds. */
struct sun_hour sun_of_hour(const struct hour *hour, double lat_deg, double lon_deg);

#endif
