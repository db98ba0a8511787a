/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon beam: how much sun falls into an upright opening. */
#include <math.h>

#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "desk/reckon/reckon.h"

enum { FACING, LAT, LON, AT, CLOUD, AZIMUTH, ELEVATION, DNI, DHI, TOP, ALBEDO, ZONE };

static const struct param params[] = {
    [FACING] = { "facing", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, PARAM_REQUIRED,
                 "where the opening looks to, from true north" },
    [LAT] = { "lat", P_QUANTITY, Q_ANGLE, -90, 90, NULL, NULL, 0, "latitude, north positive" },
    [LON] = { "lon", P_QUANTITY, Q_ANGLE, -180, 180, NULL, NULL, 0, "longitude, east positive" },
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about" },
    [CLOUD] = { "cloud", P_QUANTITY, Q_CLOUD, 0, 1, NULL, NULL, 0, "share of the sky covered; half unless given" },
    [AZIMUTH] = { "sun-azimuth", P_QUANTITY, Q_ANGLE, 0, 360, NULL, NULL, 0,
                  "instead of place and moment: bearing of the sun" },
    [ELEVATION] = { "sun-elevation", P_QUANTITY, Q_ANGLE, -90, 90, NULL, NULL, 0, "its height over the horizon" },
    [DNI] = { "dni", P_QUANTITY, Q_IRRADIANCE, 0, 1500, NULL, NULL, 0, "the beam, measured square to it" },
    [DHI] = { "dhi", P_QUANTITY, Q_IRRADIANCE, 0, 1500, NULL, NULL, 0, "light of the sky alone, on the level" },
    [TOP] = { "top", P_QUANTITY, Q_IRRADIANCE, 1300, 1450, NULL, NULL, 0,
              "sun above the air, square to it; by the day of the moment, else 1366.1" },
    [ALBEDO] = { "albedo", P_QUANTITY, Q_FRACTION, 0, 1, "0.2", NULL, 0,
                 "light thrown back by the ground: 0.2 grass, 0.8 fresh snow" },
    [ZONE] = { "zone", P_ZONE, Q_NUMBER, 0, 0, "UTC", NULL, 0, "time zone of a time without an offset" },
};

static const struct shape shape[] = {
    { "azimuth_deg", SHAPE_REAL, false, "bearing of the sun" },
    { "elevation_deg", SHAPE_REAL, false, "its height as seen" },
    { "ghi_w_m2", SHAPE_REAL, false, "on the level" },
    { "dni_w_m2", SHAPE_REAL, false, "the beam, square to it" },
    { "dhi_w_m2", SHAPE_REAL, false, "of the sky alone, on the level" },
    { "opening_w_m2", SHAPE_REAL, false, "into the opening, for each m2 of it" },
    { "beam_w_m2", SHAPE_REAL, false, "of it the beam" },
    { "sky_w_m2", SHAPE_REAL, false, "of it from the sky (Hay-Davies)" },
    { "ground_w_m2", SHAPE_REAL, false, "of it thrown back by the ground" },
    SHAPE_ASSUMED,
};

struct seen {
    double azimuth_deg, elevation_deg, top_w_m2;
    struct sun_light light;
};

static enum status from_place(const struct asked *q, struct seen *s, struct message *why)
{
    for (size_t p = LAT; p <= AT; p++)
        if (!given_is(q, p))
            return refuse(
                ST_BAD_INPUT, why, params[p].name,
                "--%s is needed: give --lat, --lon and --at, or --sun-azimuth, --sun-elevation, --dni and --dhi",
                params[p].name);
    const struct sun_position sun = sun_position(given_when(q, AT), given_real(q, LAT), given_real(q, LON));
    if (isnan(sun.azimuth_deg))
        return refuse(ST_BAD_INPUT, why, "at", "the sun is reckoned for the years 1900 to 2100; give a moment in them");
    s->azimuth_deg = sun.azimuth_deg;
    s->elevation_deg = sun.elevation_deg;
    s->light = sun_light_of_clouds(sun.elevation_deg, given_is(q, CLOUD) ? given_real(q, CLOUD) * 8.0 : (double)NAN);
    return ST_OK;
}

static enum status from_meters(const struct asked *q, struct seen *s, struct message *why)
{
    for (size_t p = AZIMUTH; p <= DHI; p++)
        if (!given_is(q, p))
            return refuse(ST_BAD_INPUT, why, params[p].name,
                          "--%s is needed: --sun-azimuth, --sun-elevation, --dni and --dhi go together",
                          params[p].name);
    if (given_is(q, LAT) || given_is(q, LON) || given_is(q, CLOUD))
        return refuse(
            ST_BAD_INPUT, why, "sun-azimuth",
            "give a place, a moment and --cloud, or --sun-azimuth, --sun-elevation, --dni and --dhi; not both");
    s->azimuth_deg = given_real(q, AZIMUTH);
    s->elevation_deg = given_real(q, ELEVATION);
    const double high = fmax(0.0, sin(s->elevation_deg * 3.14159265358979323846 / 180.0));
    s->light = (struct sun_light){ .dni = given_real(q, DNI), .dhi = given_real(q, DHI) };
    s->light.ghi = s->light.dni * high + s->light.dhi;
    return ST_OK;
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    const bool meters = given_is(q, AZIMUTH) || given_is(q, ELEVATION) || given_is(q, DNI) || given_is(q, DHI);
    struct seen s;
    const enum status st = meters ? from_meters(q, &s, why) : from_place(q, &s, why);

    if (st != ST_OK)
        return st;
    s.top_w_m2 = given_is(q, TOP) ? given_real(q, TOP) : given_is(q, AT) ? sun_top_at_w_m2(given_when(q, AT)) : 1366.1;
    const struct sun_plane opening = { .tilt_deg = 90.0,
                                       .facing_deg = given_real(q, FACING),
                                       .albedo = given_real(q, ALBEDO) };
    const struct sun_seen in =
        sun_on_plane(SUN_HAY_DAVIES, &opening, &s.light, s.elevation_deg, s.azimuth_deg, s.top_w_m2, (double)NAN);
    if (isnan(in.total))
        return refuse(ST_BAD_INPUT, why, "at", "no light can be reckoned for this moment; give one from 1900 to 2100");
    answer_real(a, "azimuth_deg", s.azimuth_deg);
    answer_real(a, "elevation_deg", s.elevation_deg);
    answer_real(a, "ghi_w_m2", s.light.ghi);
    answer_real(a, "dni_w_m2", s.light.dni);
    answer_real(a, "dhi_w_m2", s.light.dhi);
    answer_real(a, "opening_w_m2", in.total);
    answer_real(a, "beam_w_m2", in.beam);
    answer_real(a, "sky_w_m2", in.sky);
    answer_real(a, "ground_w_m2", in.ground);
    struct answer *assumed = asked_assumed(q, a);
    if (!meters && !given_is(q, CLOUD))
        answer_words(assumed, "cloud 0.5: nobody looked, so half the sky is taken as covered");
    if (meters && !given_is(q, TOP) && !given_is(q, AT))
        answer_words(assumed, "top 1366.1 W/m2: mean over the year");
    return ST_OK;
}

const struct question piece_beam = {
    "beam", "How much sun falls into an upright opening", params, COUNT(params), shape, COUNT(shape), NULL, put,
};
