/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon sun: where the sun stands, and when it rises and sets. */
#include <math.h>

#include "core/air/air.h"
#include "core/sun/sun.h"
#include "desk/reckon/reckon.h"

enum { LAT, LON, AT, ELEVATION, ZONE };

static const struct param params[] = {
    [LAT] = { "lat", P_QUANTITY, Q_ANGLE, -90, 90, NULL, NULL, PARAM_REQUIRED, "latitude, north positive" },
    [LON] = { "lon", P_QUANTITY, Q_ANGLE, -180, 180, NULL, NULL, PARAM_REQUIRED, "longitude, east positive" },
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED, "the moment asked about" },
    [ELEVATION] = { "elevation", P_QUANTITY, Q_LENGTH, -500, 5500, "0 m", NULL, 0,
                    "height of the place above the sea; thin air bends the light less" },
    [ZONE] = { "zone", P_ZONE, Q_NUMBER, 0, 0, "UTC", NULL, 0, "time zone of a time without an offset" },
};

static const struct shape shape[] = {
    { "azimuth_deg", SHAPE_REAL, false, "bearing of the sun, clockwise from true north" },
    { "elevation_deg", SHAPE_REAL, false, "height over the horizon as seen, with refraction" },
    { "elevation_true_deg", SHAPE_REAL, false, "without refraction" },
    { "sun", SHAPE_TEXT, false, "rises, always up, always down" },
    { "sunrise", SHAPE_MOMENT, true, "of the solar day that holds the moment" },
    { "sunset", SHAPE_MOMENT, true, "likewise" },
    { "sunrise_azimuth_deg", SHAPE_REAL, true, "" },
    { "sunset_azimuth_deg", SHAPE_REAL, true, "" },
    { "solar_noon", SHAPE_MOMENT, false, "" },
    { "noon_elevation_deg", SHAPE_REAL, false, "without refraction" },
    { "grazing", SHAPE_FLAG, false, "the sun barely clears or misses the horizon: refraction decides" },
    SHAPE_ASSUMED,
};

static void event(struct answer *a, const char *key, const char *azimuth_key, bool there, int64_t utc_s,
                  double azimuth_deg, const char *because)
{
    if (there)
        answer_moment(a, key, utc_s);
    else
        answer_null(a, key, because);
    answer_real_or(a, azimuth_key, there ? azimuth_deg : (double)NAN, because);
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    const double lat = given_real(q, LAT), lon = given_real(q, LON), height_m = given_real(q, ELEVATION);
    const int64_t at = given_when(q, AT);
    /* 101.0 kPa and 10 C are the refraction form's own air; height thins it as in the standard atmosphere */
    const double kpa = 101.0 * air_pressure_at_kpa(height_m) / AIR_SEA_LEVEL_KPA;
    const struct sun_position sun = sun_position_in_air(at, lat, lon, kpa, 10.0);
    const struct sun_day day = sun_day(at, lat, lon);

    if (isnan(sun.azimuth_deg) || day.state == SUN_NOT_KNOWN)
        return refuse(ST_BAD_INPUT, why, "at", "the sun is reckoned for the years 1900 to 2100; give a moment in them");
    const char *because = day.state == SUN_ALWAYS_UP     ? "the sun does not go down on this day"
                          : day.state == SUN_ALWAYS_DOWN ? "the sun does not come up on this day"
                                                         : "there is none on this day, so near the polar circle";
    answer_real(a, "azimuth_deg", sun.azimuth_deg);
    answer_real(a, "elevation_deg", sun.elevation_deg);
    answer_real(a, "elevation_true_deg", sun.elevation_true_deg);
    answer_text(a, "sun", sun_state_name[day.state]);
    event(a, "sunrise", "sunrise_azimuth_deg", day.has_rise, day.rise_utc_s, day.rise_azimuth_deg, because);
    event(a, "sunset", "sunset_azimuth_deg", day.has_set, day.set_utc_s, day.set_azimuth_deg, because);
    answer_moment(a, "solar_noon", day.transit_utc_s);
    answer_real(a, "noon_elevation_deg", day.transit_elevation_deg);
    answer_flag(a, "grazing", day.grazing);
    return ST_OK;
}

const struct question piece_sun = {
    "sun",  "Where the sun stands at a place and moment, and when it rises and sets",
    params, COUNT(params),
    shape,  COUNT(shape),
    NULL,   put,
};
