/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Air: moist air, wind chill, wind at a height and behind a windbreak, rain driven onto a wall.
 *
 * All pure. Units in the names. Each function states its range; outside it the result is NAN, never a silent clamp.
 * Formulas, sources and limits: docs/reckoning/air.md and wind.md.
 */
#ifndef CORE_AIR_AIR_H
#define CORE_AIR_AIR_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/attr.h"
#include "core/base/hour.h"
#include "core/base/status.h"

/* ---- Moist air ----
 * Source    ASHRAE Handbook - Fundamentals (2017), ch. 1; equation numbers stand in core/air/moist.c. Saturation is
 *           over ice below 0.01 C, over water from there on; rh and dew point follow it.
 * Checked   against PsychroLib: pressures and ratios 0.05 %, 0.01 kJ/kg, 0.02 C
 */

#define AIR_SEA_LEVEL_KPA 101.325

struct air {
    double temp_c, rh, pressure_kpa;
    double saturation_kpa, vapour_kpa;
    double humidity_ratio; /* kg water / kg dry air */
    double dew_point_c;    /* over ice below 0.01 C */
    double wet_bulb_c;     /* ice bulb below 0 C */
    double enthalpy_kj_kg; /* per kg dry air, 0 at 0 C dry */
    double volume_m3_kg;   /* per kg dry air */
    double density_kg_m3;  /* of the moist air */
};

/* Everything from temperature and humidity, or from temperature and dew point.
 *
 * Given     temp_c         -60 .. 60
 *           rh             0.01 .. 1        (a fraction)
 *           dew_point_c    -95 .. temp_c    (over ice below 0.01 C; convert reported ones: core/base/vapour.h)
 *           pressure_kpa   50 .. 110
 * Returned  *out; untouched on failure
 * Fails     ST_BAD_INPUT naming the field ("temp", "rh", "dew_point", "pressure")
 */
enum status air_from_rh(double temp_c, double rh, double pressure_kpa, struct air *out, struct message *why) MUST_USE;
enum status air_from_dew_point(double temp_c, double dew_point_c, double pressure_kpa, struct air *out,
                               struct message *why) MUST_USE;

/* The pieces. Ranges as above. */
double air_saturation_kpa(double temp_c); /* -60 .. 60 */
double air_dew_point_c(double temp_c, double rh);
double air_rh(double temp_c, double dew_point_c); /* dew point above temp_c: NAN */
double air_humidity_ratio(double vapour_kpa, double pressure_kpa);
double air_wet_bulb_c(double temp_c, double humidity_ratio, double pressure_kpa);
double air_enthalpy_kj_kg(double temp_c, double humidity_ratio);
double air_volume_m3_kg(double temp_c, double humidity_ratio, double pressure_kpa);
double air_density_kg_m3(double temp_c, double humidity_ratio, double pressure_kpa);
double air_pressure_at_kpa(double altitude_m); /* standard air, -500 .. 9000 m */

/* Dew point as reports give it (over water) <-> over ice. -60 .. 60 C. */
double air_dew_point_over_ice_c(double over_water_c);
double air_dew_point_over_water_c(double over_ice_c);

/* ---- Wind chill: a human face, for the stockman himself; never for pigs ----
 *
 * Given     temp_c -60 .. 10, wind_mps at 10 m, 4.8 km/h (1.3333 m/s) .. 75 m/s
 * Returned  C; NAN where the index does not exist
 * Source    Meteorological Service of Canada and US National Weather Service (2001)
 */
double air_wind_chill_c(double temp_c, double wind_mps);
/* Why there is none, one sentence; NULL where there is one. */
const char *air_wind_chill_none(double temp_c, double wind_mps);

/* ---- Wind at a height ---- */

#define AIR_ROUGHNESS_M 0.03 /* short grass */

/* Wind at height_m over wind at 10 m: ln(z/z0)/ln(10/z0), never under 0.2 (below about 20 z0 the law is a guess).
 * height_m 0.01 .. 50, roughness_m 0.0001 .. 2; NAN outside. Neutral air, open ground. */
double air_wind_factor(double height_m, double roughness_m);
/* wind10_mps 0 .. 75 */
double air_wind_at_mps(double wind10_mps, double height_m, double roughness_m);
/* The power law of some tables, (z/10)^exponent; exponent 0.05 .. 0.6. For comparison. */
double air_wind_power_factor(double height_m, double exponent);
/* 3 s gust at 10 m where none is reported. A rule of thumb (after Wieringa 1973): always shown as a guess. */
double air_gust_guess_mps(double wind10_mps, double roughness_m);

/* ---- In the lee of a windbreak ---- */

/* Wind there over open wind, right behind the middle of a long break, wind square to it.
 *
 * Given     distance_heights   -20 .. 60, in heights of the break; negative: on its windward side
 *           porosity           0 solid .. 1 nothing there; 0.5 a good hedge
 * Returned  0 .. 1; NAN outside
 * Source    Brandle & Finch (1991), University of Nebraska extension EC91-1763; nearer than 5 heights, beyond 30 and on
 *           the windward side partly our own estimate: docs/reckoning/wind.md
 */
double air_lee_ratio(double distance_heights, double porosity);
/* A solid wall (porosity under 0.2) throws eddies and snow at 1 .. 3 heights: true there. */
bool air_lee_eddies(double distance_heights, double porosity);

struct air_break {
    double distance_heights; /* from the place to the break, 0 .. 60 */
    double porosity;         /* 0 .. 1 */
    double bearing_deg;      /* where it stands as seen from the place */
    double width_heights;    /* its length in heights of it; 10 or more counts in full; NAN = wide */
};
/* The same with the wind's direction: full within 30 degrees of square, fading with the cosine, none along the break;
 * wind from the other side finds the place on the windward side. NAN outside the ranges. */
double air_lee_ratio_from(const struct air_break *b, double wind_from_deg);

/* A break drawn on a plan: from one end to the other, metres east and north. */
struct air_line {
    double x_m, y_m, x2_m, y2_m;
    double height_m, porosity;
};

/* Wind at a place on the plan over open wind, behind one break of a certain length: the table above along lines drawn
 * towards where the wind comes from, 20 degrees to either side (a wind of an hour wavers so much), so that the shelter
 * ends where the break does.
 *
 * Returned  0 .. 1; NAN where a height is not over 0, a porosity not 0 .. 1 or a figure not finite
 */
double air_lee_at(const struct air_line *b, double x_m, double y_m, double wind_from_deg);

/* The same behind several: the one that shelters most counts alone (judgement: shelter does not add up). 1 with none. */
double air_lee_among(size_t n, const struct air_line breaks[], double x_m, double y_m, double wind_from_deg);

/* ---- Driving rain ----
 * ISO 15927-3:2009, hourly method: rain driven onto an upright plane, L/m2 in the hour.
 *
 * Given     wind_mps   0 .. 75 (at 10 m for the airfield index; at the opening's height for a hut)
 *           rain_mm    0 .. 500, liquid
 *           angle_deg  any: between where the wind comes from and where the plane looks
 * Returned  2/9 v r^(8/9) cos(angle), 0 where the wind comes from behind; NAN outside
 */
double air_driving_rain_l_m2(double wind_mps, double rain_mm, double angle_deg);

#define AIR_RAIN_FROM_C 0.5 /* colder than or at this it counts as snow, which the standard leaves out */

struct air_rain_index {
    size_t hours;         /* with wind, direction, rain and temperature known */
    size_t wet_hours;     /* of them, with rain warmer than 0.5 C */
    size_t not_known;     /* hours left out */
    double index_l_m2;    /* sum over the hours */
    double per_year_l_m2; /* scaled by hours in a mean year (8766) / hours; NAN with none */
};
/* Airfield index of a run of hours for one facing. Calm and variable hours add nothing and count as hours. */
struct air_rain_index air_rain_index(size_t n, const struct hour hours[], double facing_deg);

/* From the airfield index to a wall: index x roughness x topography x obstruction x wall. NAN outside. */
enum air_ground { AIR_OPEN, AIR_FARMLAND, AIR_SUBURB, AIR_TOWN, AIR_GROUND_END };
extern const char *const air_ground_name[AIR_GROUND_END];
double air_rain_roughness(enum air_ground ground, double height_m); /* C_R; 0.1 .. 100 m */
/* O: distance to the nearest thing as high as the wall, 4 m or more. */
double air_rain_obstruction(double distance_m);

#endif
