/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * MET Norway's Locationforecast 2.0, compact and complete. Steps are hourly for about two and a half days, then six
 * hours apart. Rain comes for the coming hour, and also for the coming six; the two overlap, so the six-hour sum serves
 * only where there is no one-hour figure. Any member may be missing; the last step has often nothing but the moment's
 * values.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/formats.h"
#include "weather/json_in.h"

enum { MOST_STEPS = 5000 };

static enum status check_units(const struct gather *g, const json_t *units, struct message *why)
{
    static const struct {
        const char *what, *unit;
    } used[] = {
        { "air_temperature", "celsius" },       { "wind_speed", "m/s" },
        { "precipitation_amount", "mm" },       { "relative_humidity", "%" },
        { "cloud_area_fraction", "%" },         { "wind_from_direction", "degrees" },
        { "dew_point_temperature", "celsius" }, { "air_pressure_at_sea_level", "hPa" },
    };
    for (size_t i = 0; i < COUNT(used); i++) {
        const char *unit = json_in_text(units, used[i].what);
        if (unit[0] && strcmp(unit, used[i].unit) != 0)
            return refuse(ST_BAD_INPUT, why, used[i].what, "%.120s: %s is given in \"%.20s\"; only %s is known here",
                          g->name, used[i].what, unit, used[i].unit);
    }
    return ST_OK;
}

static bool start_of(const json_t *step, int64_t *utc_s)
{
    return moment_with_offset(json_in_text(step, "time"), utc_s);
}

static double taken(struct gather *g, const json_t *details, const char *key, double scale, enum weather_field what,
                    const char *entry)
{
    return gather_checked(g, what, json_value(g, json_object_get(details, key), entry, key) * scale, 0, entry, key);
}

static void read_instant(struct gather *g, const json_t *details, const char *entry, struct hour *h)
{
    h->temp_c = taken(g, details, "air_temperature", 1.0, WF_TEMP, entry);
    const double dew_c =
        json_value(g, json_object_get(details, "dew_point_temperature"), entry, "dew_point_temperature");
    gather_moisture(h, gather_checked_dew(g, h, dew_c, 0, entry, "dew_point_temperature"),
                    taken(g, details, "relative_humidity", 0.01, WF_RH, entry));
    const double from_deg = taken(g, details, "wind_from_direction", 1.0, WF_WIND_FROM, entry);
    gather_wind(h, taken(g, details, "wind_speed", 1.0, WF_WIND, entry), from_deg, false);
    h->gust_mps = taken(g, details, "wind_speed_of_gust", 1.0, WF_GUST, entry);
    h->cloud_oktas = taken(g, details, "cloud_area_fraction", 0.08, WF_CLOUD, entry);
    h->pressure_kpa = taken(g, details, "air_pressure_at_sea_level", 0.1, WF_PRESSURE, entry);
}

/* The period the step's rain is of: its name and hours. */
static const json_t *rain_period(const json_t *data, int *hours)
{
    static const struct {
        const char *name;
        int hours;
    } periods[] = { { "next_1_hours", 1 }, { "next_6_hours", 6 }, { "next_12_hours", 12 } };
    for (size_t i = 0; i < COUNT(periods); i++) {
        const json_t *p = json_object_get(data, periods[i].name);
        const json_t *amount = json_object_get(json_object_get(p, "details"), "precipitation_amount");
        if (amount && !json_is_null(amount)) {
            *hours = periods[i].hours;
            return p;
        }
    }
    *hours = 1;
    return NULL;
}

static enum fall fall_of(const char *symbol) /* "lightsnowshowers_day": the service's weather symbols */
{
    if (strstr(symbol, "snow"))
        return FALL_SNOW;
    return strstr(symbol, "rain") || strstr(symbol, "sleet") ? FALL_RAIN : FALL_UNKNOWN;
}

/* Hours this step stands for: up to the next one, at most what its rain is of. */
static unsigned char step_hours(int64_t utc_s, const json_t *next, int rain_hours)
{
    int64_t next_utc_s = 0;

    if (!next || !start_of(next, &next_utc_s) || next_utc_s <= utc_s)
        return 1;
    const int64_t apart_h = (next_utc_s - utc_s) / HOUR_S;
    return (unsigned char)(apart_h < 1 ? 1 : apart_h > rain_hours ? rain_hours : apart_h);
}

static bool read_step(struct gather *g, const json_t *steps, size_t i, int source)
{
    const json_t *step = json_array_get(steps, i), *data = json_object_get(step, "data");
    char entry[48];
    int64_t utc_s = 0;
    int rain_hours = 1;

    (void)snprintf(entry, sizeof entry, "step %zu", i + 1);
    if (!start_of(step, &utc_s)) {
        gather_reject(g, 0, "time", "%s: time \"%.30s\" is no moment, such as 2026-01-22T15:00:00Z", entry,
                      json_in_text(step, "time"));
        return true;
    }
    struct hour h = gather_hour(utc_s - ((utc_s % HOUR_S) + HOUR_S) % HOUR_S, source);
    const json_t *instant = json_object_get(json_object_get(data, "instant"), "details");
    if (!json_is_object(instant)) {
        gather_reject(g, 0, "instant", "%s has no values for its moment", entry);
        return true;
    }
    read_instant(g, instant, entry, &h);
    const json_t *period = rain_period(data, &rain_hours), *details = json_object_get(period, "details");
    h.rain_mm = gather_checked(
        g, WF_RAIN,
        json_value(g, json_object_get(details, "precipitation_amount"), entry, "precipitation_amount") / rain_hours, 0,
        entry, "precipitation_amount");
    h.rain_probability =
        json_value(g, json_object_get(details, "probability_of_precipitation"), entry, "probability_of_precipitation") *
        0.01;
    if (!(h.rain_probability >= 0.0 && h.rain_probability <= 1.0))
        h.rain_probability = NAN;
    const char *symbol = json_in_text(json_object_get(period, "summary"), "symbol_code");
    const struct gather_extra extra = {
        .step_h = step_hours(utc_s, json_array_get(steps, i + 1), rain_hours),
        .fall = fall_of(symbol),
        .says = symbol[0] ? arena_text(g->mem, symbol) : NULL,
    };
    return gather_put(g, &h, &extra);
}

enum status read_met_norway(struct gather *g, const json_t *root, struct message *why)
{
    const json_t *properties = json_object_get(root, "properties"), *meta = json_object_get(properties, "meta");
    const json_t *steps = json_object_get(properties, "timeseries");
    const json_t *at = json_object_get(json_object_get(root, "geometry"), "coordinates");
    const int source = gather_source(g, WEATHER_MET_NORWAY, "");
    const enum status st = check_units(g, json_object_get(meta, "units"), why);

    if (st != ST_OK)
        return st;
    if (!json_is_array(steps) || json_array_size(steps) > MOST_STEPS)
        return refuse(ST_BAD_INPUT, why, "timeseries", "%.120s: its timeseries is not a list of at most %d steps",
                      g->name, MOST_STEPS);
    for (size_t i = 0; i < json_array_size(steps); i++)
        if (!read_step(g, steps, i, source))
            return refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", g->name);
    g->out.format = WEATHER_MET_NORWAY;
    g->out.forecast = true;
    g->out.sea_level_pressure = true;
    g->out.wind_height_m = 10.0;
    if (json_array_size(at) >= 2) {
        g->out.lon_deg = json_is_number(json_array_get(at, 0)) ? json_number_value(json_array_get(at, 0)) : (double)NAN;
        g->out.lat_deg = json_is_number(json_array_get(at, 1)) ? json_number_value(json_array_get(at, 1)) : (double)NAN;
        g->out.elevation_m =
            json_is_number(json_array_get(at, 2)) ? json_number_value(json_array_get(at, 2)) : (double)NAN;
    }
    g->out.credit = "Weather data from MET Norway, CC BY 4.0";
    (void)moment_with_offset(json_in_text(meta, "updated_at"), &g->out.issued_utc_s);
    return ST_OK;
}
