/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The US National Weather Service's hourly forecast (api.weather.gov, GeoJSON): properties.periods. It has neither
 * millimetres of rain nor gusts; those are in the grid. Its day/night flag is a clock, not the sun, and is not read.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/formats.h"
#include "weather/json_in.h"

enum { MOST_PERIODS = 5000 };

/* "10 mph", "5 to 10 mph", "15 km/h": the larger figure. False: not such a text. */
static bool wind_words(const char *text, double *mps)
{
    char unit[16] = "";
    double low = 0.0, high = 0.0;
    char *end = NULL;

    if (strlen(text) > 40 || *text < '0' || *text > '9')
        return false;
    low = high = strtod(text, &end);
    while (*end == ' ')
        end++;
    if (strncmp(end, "to ", 3) == 0) {
        const char *second = end + 3;
        if (*second < '0' || *second > '9')
            return false;
        high = strtod(second, &end);
        while (*end == ' ')
            end++;
    }
    if (strlen(end) >= sizeof unit)
        return false;
    (void)snprintf(unit, sizeof unit, "%s", end);
    struct message why = { "", "" };
    return unit[0] && isfinite(low) && isfinite(high) &&
           unit_to_si(high > low ? high : low, unit, Q_SPEED, mps, &why) == ST_OK;
}

static double read_wind(struct gather *g, const json_t *v, const char *entry)
{
    double mps = NAN;

    if (!v || json_is_null(v) || (json_is_string(v) && json_string_value(v)[0] == '\0'))
        return NAN;
    if (json_is_object(v)) { /* newer replies may give {unitCode, value} or {unitCode, minValue, maxValue} */
        const json_t *most = json_object_get(v, "maxValue");
        if (most && !json_is_null(most)) {
            struct message why = { "", "" };
            const char *unit = wmo_unit(json_in_text(v, "unitCode"));
            const double given = json_value(g, most, entry, "windSpeed");
            return !isnan(given) && unit && unit_to_si(given, unit, Q_SPEED, &mps, &why) == ST_OK ? mps : (double)NAN;
        }
        return json_quantity(g, v, Q_SPEED, "kmh", entry, "windSpeed");
    }
    if (json_is_string(v) && wind_words(json_string_value(v), &mps))
        return mps;
    gather_reject(g, 0, "windSpeed", "%s: windSpeed is \"%.30s\"; wanted is such as \"10 mph\" or \"5 to 10 mph\"",
                  entry, json_is_string(v) ? json_string_value(v) : "not text");
    return NAN;
}

/* Eighths of sky behind the forecast's words: National Weather Service glossary, sky condition (clear 0/8, mostly clear
 * 1/8 - 2/8, partly 3/8 - 4/8, mostly cloudy 5/8 - 7/8, cloudy 8/8), from memory; the middle of each. */
static double cloud_of(const char *words)
{
    static const struct {
        const char *words;
        double oktas;
    } sky[] = {
        { "Mostly Cloudy", 6.0 }, { "Mostly Sunny", 1.5 }, { "Mostly Clear", 1.5 }, { "Partly Sunny", 4.0 },
        { "Partly Cloudy", 3.5 }, { "Sunny", 0.0 },        { "Clear", 0.0 },        { "Cloudy", 8.0 },
    };
    for (size_t i = 0; i < COUNT(sky); i++)
        if (strcmp(words, sky[i].words) == 0)
            return sky[i].oktas;
    return NAN;
}

static enum fall fall_of(const char *words, double temp_c)
{
    const bool blown =
        strstr(words, "Blowing Snow") != NULL && strstr(words, "Snow") == strstr(words, "Blowing Snow") + 8;
    const bool snow = (strstr(words, "Snow") && !blown) || strstr(words, "Flurries") || strstr(words, "Blizzard");
    const bool rain =
        strstr(words, "Rain") || strstr(words, "Drizzle") || strstr(words, "Sleet") || strstr(words, "Wintry");

    if (snow && rain)
        return temp_c <= 0.5 ? FALL_SNOW : FALL_RAIN;
    return snow ? FALL_SNOW : rain ? FALL_RAIN : FALL_UNKNOWN;
}

static bool read_span(struct gather *g, const json_t *p, const char *entry, int64_t *start_utc_s)
{
    int64_t end_utc_s = 0;

    if (!moment_with_offset(json_in_text(p, "startTime"), start_utc_s)) {
        gather_reject(g, 0, "startTime",
                      "%s: startTime \"%.30s\" is no moment with an offset, such as "
                      "2026-01-22T15:00:00-06:00",
                      entry, json_in_text(p, "startTime"));
        return false;
    }
    if (moment_with_offset(json_in_text(p, "endTime"), &end_utc_s) && end_utc_s - *start_utc_s > 3 * HOUR_S) {
        gather_reject(g, 0, "endTime", "%s lasts %lld hours; this is the half-day forecast, fetch the hourly one",
                      entry, (long long)((end_utc_s - *start_utc_s) / HOUR_S));
        return false;
    }
    return true;
}

static bool read_period(struct gather *g, const json_t *p, size_t i, int source)
{
    char entry[32];
    int64_t start_utc_s = 0;

    (void)snprintf(entry, sizeof entry, "period %zu", i + 1);
    if (!json_is_object(p)) {
        gather_reject(g, 0, "", "%s is not an object", entry);
        return true;
    }
    if (!read_span(g, p, entry, &start_utc_s))
        return true;
    struct hour h = gather_hour(start_utc_s - ((start_utc_s % HOUR_S) + HOUR_S) % HOUR_S, source);
    const char *unit = json_in_text(p, "temperatureUnit");
    h.temp_c = gather_checked(
        g, WF_TEMP,
        json_quantity(g, json_object_get(p, "temperature"), Q_TEMPERATURE, unit[0] ? unit : "F", entry, "temperature"),
        0, entry, "temperature");
    const double dew_c = gather_checked_dew(
        g, &h, json_quantity(g, json_object_get(p, "dewpoint"), Q_TEMPERATURE, "C", entry, "dewpoint"), 0, entry,
        "dewpoint");
    const double rh = gather_checked(
        g, WF_RH, json_quantity(g, json_object_get(p, "relativeHumidity"), Q_FRACTION, "%", entry, "relativeHumidity"),
        0, entry, "relativeHumidity");
    gather_moisture(&h, dew_c, rh);
    const double wind_mps =
        gather_checked(g, WF_WIND, read_wind(g, json_object_get(p, "windSpeed"), entry), 0, entry, "windSpeed");
    const char *from = json_in_text(p, "windDirection");
    if (from[0] && isnan(compass_deg(from)) && strcmp(from, "VRB") != 0)
        gather_reject(g, 0, "windDirection", "%s: windDirection \"%.20s\" is no point of the compass", entry, from);
    gather_wind(&h, wind_mps, compass_deg(from), strcmp(from, "VRB") == 0);
    h.rain_probability = json_quantity(g, json_object_get(p, "probabilityOfPrecipitation"), Q_FRACTION, "%", entry,
                                       "probabilityOfPrecipitation");
    if (!(h.rain_probability >= 0.0 && h.rain_probability <= 1.0))
        h.rain_probability = NAN;
    const char *words = json_in_text(p, "shortForecast");
    h.cloud_oktas = cloud_of(words); /* said by the forecast, if in words: not filled by a rule of ours */
    const struct gather_extra extra = { .fall = fall_of(words, h.temp_c),
                                        .says = words[0] ? arena_text(g->mem, words) : NULL };
    return gather_put(g, &h, &extra);
}

enum status read_nws_hourly(struct gather *g, const json_t *properties, struct message *why)
{
    const json_t *periods = json_object_get(properties, "periods");
    const json_t *elevation = json_object_get(properties, "elevation");
    const int source = gather_source(g, WEATHER_NWS_HOURLY, "");

    if (!json_is_array(periods))
        return refuse(ST_BAD_INPUT, why, "periods", "%.120s: its periods are not a list; fetch it again", g->name);
    if (json_array_size(periods) > MOST_PERIODS)
        return refuse(ST_BAD_INPUT, why, "periods", "%.120s: %zu periods; an hourly forecast has some 156", g->name,
                      json_array_size(periods));
    for (size_t i = 0; i < json_array_size(periods); i++)
        if (!read_period(g, json_array_get(periods, i), i, source))
            return refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", g->name);
    if (g->n > 0)
        gather_note(g, "Cloud is taken from the forecast's words (\"Mostly Sunny\"), where they speak of the sky.");
    g->out.format = WEATHER_NWS_HOURLY;
    g->out.forecast = true;
    g->out.wind_height_m = 10.0;
    g->out.elevation_m = json_in_number(elevation, "value");
    g->out.credit = "Forecast: US National Weather Service, public domain";
    if (!moment_with_offset(json_in_text(properties, "updateTime"), &g->out.issued_utc_s))
        (void)moment_with_offset(json_in_text(properties, "generatedAt"), &g->out.issued_utc_s);
    return ST_OK;
}
