/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon air, wind-chill, wind-at, lee: single figures of the air. */
#include "core/air/air.h"

#include <math.h>

#include "desk/reckon/reckon.h"

/* ---- air ---- */

enum { TEMP, RH, DEW_POINT, PRESSURE };

static const struct param air_params[] = {
    [TEMP] = { "temp", P_QUANTITY, Q_TEMPERATURE, -60, 60, NULL, NULL, PARAM_REQUIRED, "air temperature" },
    [RH] = { "rh", P_QUANTITY, Q_FRACTION, 0.01, 1, NULL, NULL, 0,
             "relative humidity, 0.85 or 85%; or give --dew-point" },
    [DEW_POINT] = { "dew-point", P_QUANTITY, Q_TEMPERATURE, -80, 60, NULL, NULL, 0,
                    "dew point; over ice below 0.01 C" },
    [PRESSURE] = { "pressure", P_QUANTITY, Q_PRESSURE, 50, 110, "101.325 kPa", NULL, 0, "air pressure at the place" },
};

static const struct shape air_shape[] = {
    { "temp_c", SHAPE_REAL, false, "air temperature" },
    { "rh", SHAPE_REAL, false, "relative humidity, 0 .. 1; over ice below 0.01 C" },
    { "dew_point_c", SHAPE_REAL, false, "over ice below 0.01 C" },
    { "wet_bulb_c", SHAPE_REAL, false, "ice bulb below 0 C" },
    { "vapour_pressure_kpa", SHAPE_REAL, false, "of the water in the air" },
    { "saturation_pressure_kpa", SHAPE_REAL, false, "when it holds all it can" },
    { "humidity_ratio", SHAPE_REAL, false, "kg water in 1 kg dry air" },
    { "enthalpy_kj_kg", SHAPE_REAL, false, "of 1 kg dry air with its water, 0 at 0 C and dry" },
    { "volume_m3_kg", SHAPE_REAL, false, "of 1 kg dry air" },
    { "density_kg_m3", SHAPE_REAL, false, "of the moist air" },
    { "pressure_kpa", SHAPE_REAL, false, "air pressure" },
    SHAPE_ASSUMED,
};

static enum status put_air(const struct asked *q, struct answer *a, struct message *why)
{
    const double temp_c = given_real(q, TEMP), kpa = given_real(q, PRESSURE);
    struct air air;
    enum status st;

    if (given_is(q, RH) == given_is(q, DEW_POINT))
        return refuse(ST_BAD_INPUT, why, "rh", "give either --rh or --dew-point, %s",
                      given_is(q, RH) ? "not both" : "one of them");
    if (given_is(q, RH))
        st = air_from_rh(temp_c, given_real(q, RH), kpa, &air, why);
    else
        st = air_from_dew_point(temp_c, given_real(q, DEW_POINT), kpa, &air, why);
    if (st != ST_OK)
        return st;
    answer_real(a, "temp_c", air.temp_c);
    answer_real(a, "rh", air.rh);
    answer_real(a, "dew_point_c", air.dew_point_c);
    answer_real(a, "wet_bulb_c", air.wet_bulb_c);
    answer_real(a, "vapour_pressure_kpa", air.vapour_kpa);
    answer_real(a, "saturation_pressure_kpa", air.saturation_kpa);
    answer_real(a, "humidity_ratio", air.humidity_ratio);
    answer_real(a, "enthalpy_kj_kg", air.enthalpy_kj_kg);
    answer_real(a, "volume_m3_kg", air.volume_m3_kg);
    answer_real(a, "density_kg_m3", air.density_kg_m3);
    answer_real(a, "pressure_kpa", air.pressure_kpa);
    return ST_OK;
}

const struct question piece_air = {
    "air",      "Moist air from its temperature and humidity: dew point, wet bulb, water and heat in it",
    air_params, COUNT(air_params),
    air_shape,  COUNT(air_shape),
    NULL,       put_air,
};

/* ---- wind chill ---- */

enum { CHILL_TEMP, CHILL_WIND };

static const struct param chill_params[] = {
    [CHILL_TEMP] = { "temp", P_QUANTITY, Q_TEMPERATURE, -60, 60, NULL, NULL, PARAM_REQUIRED, "air temperature" },
    [CHILL_WIND] = { "wind", P_QUANTITY, Q_SPEED, 0, 75, NULL, NULL, PARAM_REQUIRED, "mean wind at 10 m" },
};

static const struct shape chill_shape[] = {
    { "wind_chill_c", SHAPE_REAL, true, "null above 10 C or under 4.8 km/h, where the index does not exist" },
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

static enum status put_chill(const struct asked *q, struct answer *a, struct message *why)
{
    const double temp_c = given_real(q, CHILL_TEMP), wind_mps = given_real(q, CHILL_WIND);

    (void)why;
    answer_real_or(a, "wind_chill_c", air_wind_chill_c(temp_c, wind_mps), air_wind_chill_none(temp_c, wind_mps));
    answer_words(answer_list(a, "cautions"),
                 "Wind chill is for a person's bare face: use it for yourself, never for pigs.");
    return ST_OK;
}

const struct question piece_wind_chill = {
    "wind-chill", "How cold the wind feels on a person's face",
    chill_params, COUNT(chill_params),
    chill_shape,  COUNT(chill_shape),
    NULL,         put_chill,
};

/* ---- wind at a height ---- */

enum { AT_WIND, AT_HEIGHT, AT_ROUGHNESS };

static const struct param at_params[] = {
    [AT_WIND] = { "wind", P_QUANTITY, Q_SPEED, 0, 75, NULL, NULL, PARAM_REQUIRED, "mean wind at 10 m" },
    [AT_HEIGHT] = { "height", P_QUANTITY, Q_LENGTH, 0.01, 50, NULL, NULL, PARAM_REQUIRED, "height above the ground" },
    [AT_ROUGHNESS] = { "roughness", P_QUANTITY, Q_LENGTH, 0.0001, 2, "0.03 m", NULL, 0,
                       "roughness length: 0.005 m snow, 0.03 m short grass, 0.1 m rough grass" },
};

static const struct shape at_shape[] = {
    { "wind_mps", SHAPE_REAL, false, "wind at that height" },
    { "factor", SHAPE_REAL, false, "over the wind at 10 m" },
    { "guess", SHAPE_FLAG, false, "so near the ground that the law is a guess" },
    SHAPE_ASSUMED,
};

static enum status put_wind_at(const struct asked *q, struct answer *a, struct message *why)
{
    const double height_m = given_real(q, AT_HEIGHT), roughness_m = given_real(q, AT_ROUGHNESS);

    (void)why;
    answer_real(a, "wind_mps", air_wind_at_mps(given_real(q, AT_WIND), height_m, roughness_m));
    answer_real(a, "factor", air_wind_factor(height_m, roughness_m));
    answer_flag(a, "guess", height_m < 20.0 * roughness_m);
    return ST_OK;
}

const struct question piece_wind_at = {
    "wind-at", "Wind at another height than 10 m, over open ground",
    at_params, COUNT(at_params),
    at_shape,  COUNT(at_shape),
    NULL,      put_wind_at,
};

/* ---- in the lee ---- */

enum { LEE_DISTANCE, LEE_POROSITY };

static const struct param lee_params[] = {
    [LEE_DISTANCE] = { "distance-heights", P_QUANTITY, Q_NUMBER, -20, 60, NULL, NULL, PARAM_REQUIRED,
                       "distance from the windbreak in heights of it; negative on the windward side" },
    [LEE_POROSITY] = { "porosity", P_QUANTITY, Q_FRACTION, 0, 1, "0.5", NULL, 0,
                       "0 solid, 0.5 a good hedge, 1 nothing there" },
};

static const struct shape lee_shape[] = {
    { "wind_ratio", SHAPE_REAL, false, "wind there over open wind" },
    { "eddies", SHAPE_FLAG, false, "a solid wall throws eddies and drops snow there" },
    SHAPE_ASSUMED,
};

static enum status put_lee(const struct asked *q, struct answer *a, struct message *why)
{
    const double heights = given_real(q, LEE_DISTANCE), porosity = given_real(q, LEE_POROSITY);

    (void)why;
    answer_real(a, "wind_ratio", air_lee_ratio(heights, porosity));
    answer_flag(a, "eddies", air_lee_eddies(heights, porosity));
    struct answer *assumed = asked_assumed(q, a);
    answer_words(assumed, "a long windbreak, ten times its height or more, square to the wind");
    return ST_OK;
}

const struct question piece_lee = {
    "lee",      "How much wind is left behind a hedge, bales or a wall",
    lee_params, COUNT(lee_params),
    lee_shape,  COUNT(lee_shape),
    NULL,       put_lee,
};
