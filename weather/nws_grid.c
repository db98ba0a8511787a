/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The US National Weather Service's raw grid (api.weather.gov, GeoJSON): a list of layers, each with its unit and
 * values over ISO 8601 intervals. Equal neighbours are merged, so intervals run from PT1H to P1DT5H and more. A
 * temperature, wind or sky holds in every hour of its interval; rain, snow and ice are the SUM over it. Layers may be
 * empty or absent and come in any order; grid numbers come as numbers or text.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/formats.h"
#include "weather/json_in.h"

enum { MOST_HOURS = 24 * 31 };

struct grid {
    struct gather *g;
    const json_t *properties;
    int64_t from_utc_s; /* of hour 0 */
    size_t n;
    struct hour *hour;
    double *dew_c, *rh; /* over water, until temperature is known */
    enum fall *fall;
    const char **says;
};

static bool digits(const char **s, int *value)
{
    int sum = 0;
    const char *from = *s;

    for (; **s >= '0' && **s <= '9' && *s - from < 6; (*s)++)
        sum = sum * 10 + (**s - '0');
    *value = sum;
    return *s > from;
}

/* "P1DT5H" -> seconds; days, hours and minutes. 0: not such a text. */
static int64_t duration_s(const char *s)
{
    int64_t sum = 0;
    int value = 0;
    bool time = false;

    if (*s++ != 'P')
        return 0;
    for (; *s; s++) {
        if (*s == 'T' && !time) {
            time = true;
            s++;
        }
        if (!digits(&s, &value))
            return 0;
        if (*s == 'D' && !time)
            sum += value * DAY_S;
        else if (*s == 'H' && time)
            sum += value * HOUR_S;
        else if (*s == 'M' && time)
            sum += value * INT64_C(60);
        else
            return 0;
    }
    return sum;
}

/* "2024-02-20T11:00:00+00:00/PT6H" -> whole hours from .. to. */
static bool interval(const char *text, int64_t *from_utc_s, int64_t *to_utc_s)
{
    const char *slash = strchr(text, '/');
    char start[48];

    if (!slash || (size_t)(slash - text) >= sizeof start)
        return false;
    memcpy(start, text, (size_t)(slash - text));
    start[slash - text] = '\0';
    const int64_t lasts_s = duration_s(slash + 1);
    if (!moment_with_offset(start, from_utc_s) || lasts_s <= 0 || lasts_s > MOST_HOURS * HOUR_S)
        return false;
    const int64_t past_s = ((*from_utc_s % HOUR_S) + HOUR_S) % HOUR_S;
    *from_utc_s -= past_s;
    *to_utc_s = *from_utc_s + (lasts_s + past_s + HOUR_S - 1) / HOUR_S * HOUR_S;
    return true;
}

static const json_t *entries(const struct grid *r, const char *layer)
{
    const json_t *values = json_object_get(json_object_get(r->properties, layer), "values");
    return json_is_array(values) ? values : NULL;
}

/* Hours from the first to the last of the layer; n stays 0 where there is none. */
static void span_of(struct grid *r, const char *layer)
{
    const json_t *values = entries(r, layer);
    int64_t from_utc_s = 0, to_utc_s = 0, first_utc_s = INT64_MAX, last_utc_s = INT64_MIN;

    for (size_t i = 0; i < json_array_size(values); i++) {
        if (!interval(json_in_text(json_array_get(values, i), "validTime"), &from_utc_s, &to_utc_s))
            continue;
        if (last_utc_s != INT64_MIN && to_utc_s - first_utc_s > MOST_HOURS * HOUR_S)
            continue; /* a slip of the date: listed when the layer is read */
        first_utc_s = from_utc_s < first_utc_s ? from_utc_s : first_utc_s;
        last_utc_s = to_utc_s > last_utc_s ? to_utc_s : last_utc_s;
    }
    if (last_utc_s > first_utc_s && last_utc_s - first_utc_s <= MOST_HOURS * HOUR_S) {
        r->from_utc_s = first_utc_s;
        r->n = (size_t)((last_utc_s - first_utc_s) / HOUR_S);
    }
}

static void keep(struct grid *r, size_t at, enum weather_field what, double value)
{
    struct hour *h = &r->hour[at];

    switch (what) {
    case WF_TEMP: h->temp_c = value; break;
    case WF_DEW_POINT: r->dew_c[at] = value; break;
    case WF_RH: r->rh[at] = value; break;
    case WF_WIND: h->wind_mps = value; break;
    case WF_GUST: h->gust_mps = value; break;
    case WF_WIND_FROM: h->wind_from_deg = value; break;
    case WF_CLOUD: h->cloud_oktas = value; break;
    case WF_RAIN: h->rain_mm = value; break;
    case WF_SNOW: h->snow_cm = value; break;
    case WF_PRESSURE: h->pressure_kpa = value; break;
    case WF_SUN:
    case WF_END: break;
    }
}

static const struct layer {
    const char *name;
    enum weather_field what; /* WF_END: probability of rain */
    enum quantity of;
    double scale; /* SI of the quantity -> ours */
    bool sum;     /* over the interval */
} layers[] = {
    { "temperature", WF_TEMP, Q_TEMPERATURE, 1.0, false },
    { "dewpoint", WF_DEW_POINT, Q_TEMPERATURE, 1.0, false },
    { "relativeHumidity", WF_RH, Q_FRACTION, 1.0, false },
    { "windSpeed", WF_WIND, Q_SPEED, 1.0, false },
    { "windGust", WF_GUST, Q_SPEED, 1.0, false },
    { "windDirection", WF_WIND_FROM, Q_ANGLE, 1.0, false },
    { "skyCover", WF_CLOUD, Q_FRACTION, 8.0, false },
    { "quantitativePrecipitation", WF_RAIN, Q_LENGTH, 1000.0, true },
    { "snowfallAmount", WF_SNOW, Q_LENGTH, 100.0, true },
    { "pressure", WF_PRESSURE, Q_PRESSURE, 1.0, false },
    { "probabilityOfPrecipitation", WF_END, Q_FRACTION, 1.0, false },
};

static void read_entry(struct grid *r, const struct layer *l, const char *unit, const json_t *e, size_t i)
{
    char entry[64];
    int64_t from_utc_s = 0, to_utc_s = 0;
    struct message why = { "", "" };
    double si = NAN;

    (void)snprintf(entry, sizeof entry, "%s, entry %zu", l->name, i + 1);
    if (!interval(json_in_text(e, "validTime"), &from_utc_s, &to_utc_s)) {
        gather_reject(r->g, 0, l->name,
                      "%s: validTime \"%.44s\" is no interval, such as 2026-01-22T15:00:00+00:00/PT6H", entry,
                      json_in_text(e, "validTime"));
        return;
    }
    const double given = json_value(r->g, json_object_get(e, "value"), entry, "value");
    if (isnan(given) || unit_to_si(given, unit, l->of, &si, &why) != ST_OK)
        return;
    const int64_t hours = (to_utc_s - from_utc_s) / HOUR_S;
    double value = si * l->scale / (double)(l->sum ? hours : 1);
    value = gather_checked(r->g, l->what == WF_END ? WF_RH : l->what, value, 0, entry, l->name);
    for (int64_t t = from_utc_s; t < to_utc_s; t += HOUR_S) {
        const int64_t at = (t - r->from_utc_s) / HOUR_S;
        if (t < r->from_utc_s || at >= (int64_t)r->n)
            continue;
        if (l->what == WF_END)
            r->hour[at].rain_probability = value;
        else
            keep(r, (size_t)at, l->what, value);
    }
}

static void read_layer(struct grid *r, const struct layer *l)
{
    const json_t *values = entries(r, l->name);
    const char *code = json_in_text(json_object_get(r->properties, l->name), "uom");
    const char *unit = wmo_unit(code);
    struct message why = { "", "" };
    double si = 0.0;

    if (json_array_size(values) == 0)
        return;
    if (!unit || unit_to_si(1.0, unit, l->of, &si, &why) != ST_OK) {
        gather_reject(r->g, 0, l->name, "layer %s is in \"%.30s\", a unit not known here for it", l->name, code);
        return;
    }
    for (size_t i = 0; i < json_array_size(values); i++)
        read_entry(r, l, unit, json_array_get(values, i), i);
}

/* weather: what falls, in the office's words. */
static void read_weather_layer(struct grid *r)
{
    const json_t *values = entries(r, "weather");
    int64_t from_utc_s = 0, to_utc_s = 0;

    for (size_t i = 0; i < json_array_size(values); i++) {
        const json_t *e = json_array_get(values, i), *list = json_object_get(e, "value");
        char says[120] = "";
        bool snow = false, rain = false;
        if (!interval(json_in_text(e, "validTime"), &from_utc_s, &to_utc_s))
            continue;
        for (size_t k = 0; k < json_array_size(list); k++) {
            const json_t *w = json_array_get(list, k);
            const char *what = json_in_text(w, "weather"), *coverage = json_in_text(w, "coverage");
            const size_t used = strlen(says);
            if (!what[0])
                continue;
            snow = snow || strncmp(what, "snow", 4) == 0;
            rain = rain || strncmp(what, "rain", 4) == 0 || strstr(what, "drizzle") || strstr(what, "thunder");
            (void)snprintf(says + used, sizeof says - used, "%s%.30s %.30s", used ? ", " : "", coverage, what);
        }
        for (char *c = says; *c; c++)
            *c = *c == '_' ? ' ' : *c;
        const char *kept = says[0] ? arena_text(r->g->mem, says) : NULL;
        for (int64_t t = from_utc_s; t < to_utc_s; t += HOUR_S) {
            const int64_t at = (t - r->from_utc_s) / HOUR_S;
            if (t < r->from_utc_s || at >= (int64_t)r->n)
                continue;
            r->says[at] = kept;
            r->fall[at] = snow && !rain ? FALL_SNOW : rain && !snow ? FALL_RAIN : FALL_UNKNOWN;
        }
    }
}

/* Warnings that bear on a field in winter or summer: phenomenon codes of NWS Directive 10-1703 (VTEC), from memory. */
static const char *hazard_name(const char *code)
{
    static const struct {
        const char *code, *name;
    } names[] = {
        { "WC", "wind chill" },     { "EC", "extreme cold" },
        { "CW", "cold weather" },   { "WS", "winter storm" },
        { "BZ", "blizzard" },       { "IS", "ice storm" },
        { "ZR", "freezing rain" },  { "WW", "winter weather" },
        { "FZ", "freeze" },         { "FR", "frost" },
        { "HZ", "hard freeze" },    { "HW", "high wind" },
        { "WI", "wind" },           { "HT", "heat" },
        { "EH", "excessive heat" }, { "XH", "extreme heat" },
        { "FL", "flood" },          { "FA", "flood" },
        { "FF", "flash flood" },    { "LE", "lake effect snow" },
        { "SQ", "snow squall" },    { "SV", "severe thunderstorm" },
        { "TO", "tornado" },
    };
    for (size_t i = 0; i < COUNT(names); i++)
        if (strcmp(names[i].code, code) == 0)
            return names[i].name;
    return NULL;
}

static void read_hazards(struct grid *r, int source)
{
    const json_t *values = entries(r, "hazards");
    struct weather_risk risk = {
        .bits = WEATHER_RISK_HAZARD, .probability = NAN, .wind_mps = NAN, .gust_mps = NAN, .source = source
    };

    for (size_t i = 0; i < json_array_size(values); i++) {
        const json_t *e = json_array_get(values, i), *list = json_object_get(e, "value");
        if (!interval(json_in_text(e, "validTime"), &risk.from_utc_s, &risk.to_utc_s))
            continue;
        for (size_t k = 0; k < json_array_size(list); k++) {
            const json_t *w = json_array_get(list, k);
            const char *name = hazard_name(json_in_text(w, "phenomenon")), *level = json_in_text(w, "significance");
            if (!name)
                continue;
            risk.says = arena_print(r->g->mem, "%s %s", name,
                                    strcmp(level, "W") == 0   ? "warning"
                                    : strcmp(level, "A") == 0 ? "watch"
                                    : strcmp(level, "Y") == 0 ? "advisory"
                                                              : "notice");
            gather_risk(r->g, &risk);
            for (size_t at = 0; at < r->n; at++)
                if (r->hour[at].utc_s >= risk.from_utc_s && r->hour[at].utc_s < risk.to_utc_s)
                    r->hour[at].risk |= WEATHER_RISK_HAZARD;
        }
    }
}

static bool make_hours(struct grid *r, int source)
{
    struct arena *mem = r->g->mem;

    r->hour = ARENA_NEW(mem, struct hour, r->n);
    r->dew_c = ARENA_NEW(mem, double, r->n);
    r->rh = ARENA_NEW(mem, double, r->n);
    r->fall = ARENA_NEW(mem, enum fall, r->n);
    r->says = ARENA_NEW(mem, const char *, r->n);
    if (arena_full(mem))
        return false;
    for (size_t i = 0; i < r->n; i++) {
        r->hour[i] = gather_hour(r->from_utc_s + (int64_t)i * HOUR_S, source);
        r->dew_c[i] = r->rh[i] = NAN;
    }
    return true;
}

static bool hand_in(struct grid *r)
{
    for (size_t i = 0; i < r->n; i++) {
        struct hour *h = &r->hour[i];
        const struct gather_extra extra = { .fall = r->fall[i], .says = r->says[i] };
        char entry[32];
        (void)snprintf(entry, sizeof entry, "hour %zu", i + 1);
        gather_moisture(h, gather_checked_dew(r->g, h, r->dew_c[i], 0, entry, "dewpoint"), r->rh[i]);
        gather_wind(h, h->wind_mps, h->wind_from_deg, false);
        if (!gather_put(r->g, h, &extra))
            return false;
    }
    return true;
}

static int grid_source(struct gather *g, const json_t *properties)
{
    char station[48] = "";
    const double x = json_in_number(properties, "gridX"), y = json_in_number(properties, "gridY");
    const char *office = json_in_text(properties, "gridId");

    if (office[0] && fabs(x) < 1e6 && fabs(y) < 1e6)
        (void)snprintf(station, sizeof station, "%.8s %.0f,%.0f", office, x, y);
    return gather_source(g, WEATHER_NWS_GRID, station);
}

enum status read_nws_grid(struct gather *g, const json_t *properties, struct message *why)
{
    struct grid r = { .g = g, .properties = properties };
    const int source = grid_source(g, properties);

    for (size_t i = 0; i < COUNT(layers) && r.n == 0; i++)
        span_of(&r, layers[i].name);
    if (r.n == 0)
        return refuse(ST_BAD_INPUT, why, "temperature", "%.120s: none of its layers has a value; fetch it again",
                      g->name);
    if (!make_hours(&r, source))
        return refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", g->name);
    for (size_t i = 0; i < COUNT(layers); i++)
        read_layer(&r, &layers[i]);
    read_weather_layer(&r);
    read_hazards(&r, source);
    if (!hand_in(&r))
        return refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", g->name);
    g->out.format = WEATHER_NWS_GRID;
    g->out.forecast = true;
    g->out.wind_height_m = 10.0;
    g->out.elevation_m = json_in_number(json_object_get(properties, "elevation"), "value");
    g->out.credit = "Forecast: US National Weather Service, public domain";
    (void)moment_with_offset(json_in_text(properties, "updateTime"), &g->out.issued_utc_s);
    return ST_OK;
}
