/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/gather.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/vapour.h"

const char *const weather_format_name[WEATHER_FORMAT_END] = {
    [WEATHER_ISD_LITE] = "ISD-Lite",
    [WEATHER_NWS_HOURLY] = "US national hourly forecast",
    [WEATHER_NWS_GRID] = "US national grid forecast",
    [WEATHER_MET_NORWAY] = "MET Norway forecast",
    [WEATHER_METAR] = "METAR",
    [WEATHER_TAF] = "TAF",
    [WEATHER_EPW] = "EPW",
    [WEATHER_OWN_CSV] = "own CSV",
    [WEATHER_COLUMNS_CSV] = "CSV by columns",
    [WEATHER_MIXED] = "several formats",
};

const char *const weather_field_name[WF_END] = {
    [WF_TEMP] = "temp_c",       [WF_DEW_POINT] = "dew_point_c", [WF_RH] = "rh",
    [WF_WIND] = "wind_mps",     [WF_GUST] = "gust_mps",         [WF_WIND_FROM] = "wind_from_deg",
    [WF_CLOUD] = "cloud_oktas", [WF_RAIN] = "rain_mm",          [WF_SNOW] = "snow_cm",
    [WF_SUN] = "ghi_w_m2",      [WF_PRESSURE] = "pressure_kpa",
};

/* What the world can do, a little past the records; beyond it a figure is a slip. Records: WMO Weather and Climate
 * Extremes Archive. Speeds above 75 m/s and temperatures outside -70 .. 60 C are nowhere a pig is kept. */
static const struct {
    double low, high;
    const char *what;
} possible[WF_END] = {
    [WF_TEMP] = { -70.0, 60.0, "air is taken from -70 to 60 C" },
    [WF_DEW_POINT] = { -60.0, 40.0, "a dew point is taken from -60 to 40 C" },
    [WF_RH] = { 0.0, 1.0, "humidity is taken from 0 to 1 (0 to 100 %)" },
    [WF_WIND] = { 0.0, 75.0, "wind is taken from 0 to 75 m/s" },
    [WF_GUST] = { 0.0, 115.0, "gusts are taken from 0 to 115 m/s" },
    [WF_WIND_FROM] = { 0.0, 360.0, "a direction is taken from 0 to 360 degrees" },
    [WF_CLOUD] = { 0.0, 8.0, "cloud is taken from 0 to 8 oktas" },
    [WF_RAIN] = { 0.0, 400.0, "rain is taken from 0 to 400 mm in an hour" },
    [WF_SNOW] = { 0.0, 60.0, "fresh snow is taken from 0 to 60 cm in an hour" },
    [WF_SUN] = { 0.0, 1500.0, "sun is taken from 0 to 1500 W/m2" },
    [WF_PRESSURE] = { 45.0, 110.0, "pressure is taken from 45 to 110 kPa" },
};

static const struct weather_options nothing_asked = { .columns = NULL };

enum status gather_open(struct gather *g, const char *name, const struct weather_options *opt, struct arena *mem,
                        struct message *why)
{
    *g = (struct gather){ .name = name, .opt = opt ? opt : &nothing_asked, .mem = mem, .sorted = true };
    g->out.place = "";
    g->out.credit = "";
    g->out.lat_deg = g->out.lon_deg = g->out.elevation_m = g->out.wind_height_m = NAN;
    g->rejected = ARENA_NEW(mem, struct weather_rejected, WEATHER_REJECTED_LISTED);
    g->source = ARENA_NEW(mem, struct weather_source, WEATHER_SOURCES_LISTED);
    g->note = ARENA_NEW(mem, const char *, WEATHER_NOTES_LISTED);
    g->risk = ARENA_NEW(mem, struct weather_risk, WEATHER_RISKS_LISTED);
    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "", "%s: no memory left for weather", name);
    return ST_OK;
}

static void *grown(struct gather *g, const void *old, size_t n, size_t room, size_t size)
{
    void *bigger = arena_get(g->mem, room, size);
    if (bigger && old && n)
        memcpy(bigger, old, n * size);
    return bigger;
}

bool gather_reserve(struct gather *g, size_t rows)
{
    if (rows <= g->room)
        return true;
    g->hour = grown(g, g->hour, g->n, rows, sizeof *g->hour);
    if (g->seen_utc_s)
        g->seen_utc_s = grown(g, g->seen_utc_s, g->n, rows, sizeof *g->seen_utc_s);
    if (g->step_h)
        g->step_h = grown(g, g->step_h, g->n, rows, sizeof *g->step_h);
    if (g->says)
        g->says = grown(g, g->says, g->n, rows, sizeof *g->says);
    g->room = arena_full(g->mem) ? 0 : rows;
    return g->room > 0;
}

int gather_source(struct gather *g, enum weather_format format, const char *station)
{
    for (size_t i = 0; i < g->out.n_sources; i++)
        if (g->source[i].format == format && strcmp(g->source[i].station, station) == 0)
            return (int)i;
    if (g->out.n_sources == WEATHER_SOURCES_LISTED) {
        g->n_sources_dropped++;
        return -1;
    }
    const char *kept = arena_text(g->mem, station);
    const char *name = arena_print(g->mem, "%s%s%s", weather_format_name[format], station[0] ? " " : "", station);
    if (!kept || !name)
        return -1;
    g->source[g->out.n_sources] = (struct weather_source){ .name = name, .format = format, .station = kept };
    return (int)g->out.n_sources++;
}

struct hour gather_hour(int64_t utc_s, int source)
{
    struct hour h = hour_unknown(utc_s);

    h.source = source;
    return h;
}

void gather_reject(struct gather *g, size_t line, const char *field, const char *fmt, ...)
{
    char says[200];
    va_list args;

    g->out.n_rejected++;
    if (g->out.n_rejected_listed == WEATHER_REJECTED_LISTED)
        return;
    va_start(args, fmt);
    const int n = vsnprintf(says, sizeof says, fmt, args);
    va_end(args);
    for (char *c = says; *c; c++) /* one line, plain characters: outside text is quoted in it */
        if ((unsigned char)*c < 0x20 || (unsigned char)*c >= 0x7f)
            *c = '?';
    const char *kept_field = arena_text(g->mem, field), *kept = n < 0 ? NULL : arena_text(g->mem, says);
    if (!kept_field || !kept)
        return;
    g->rejected[g->out.n_rejected_listed++] =
        (struct weather_rejected){ .line = line, .field = kept_field, .says = kept };
}

void gather_note(struct gather *g, const char *fmt, ...)
{
    char says[300];
    va_list args;

    if (g->out.n_notes == WEATHER_NOTES_LISTED)
        return;
    va_start(args, fmt);
    const int n = vsnprintf(says, sizeof says, fmt, args);
    va_end(args);
    for (size_t i = 0; i < g->out.n_notes; i++)
        if (strcmp(g->note[i], says) == 0)
            return; /* said already, before files were joined or gaps filled */
    const char *kept = n < 0 ? NULL : arena_text(g->mem, says);
    if (kept)
        g->note[g->out.n_notes++] = kept;
}

void gather_risk(struct gather *g, const struct weather_risk *risk)
{
    if (g->out.n_risks == WEATHER_RISKS_LISTED)
        g->n_risks_dropped++;
    else
        g->risk[g->out.n_risks++] = *risk;
}

double gather_checked(struct gather *g, enum weather_field what, double value, size_t line, const char *entry,
                      const char *field)
{
    if (isnan(value) || (value >= possible[what].low && value <= possible[what].high))
        return value;
    gather_reject(g, line, field, "%s%s%s is %.6g; %s", entry, entry[0] ? ": " : "", field, value, possible[what].what);
    return NAN;
}

double gather_checked_dew(struct gather *g, const struct hour *h, double dew_c, size_t line, const char *entry,
                          const char *field)
{
    dew_c = gather_checked(g, WF_DEW_POINT, dew_c, line, entry, field);
    if (!(dew_c > h->temp_c + 2.0))
        return dew_c;
    gather_reject(g, line, field, "%s%s%s is %.6g, above the air temperature of %.6g; it can't be", entry,
                  entry[0] ? ": " : "", field, dew_c, h->temp_c);
    return NAN;
}

/* Vapour over ice in excess of saturation lies down as frost: the humidity kept is at most 1. */
static double ratio_of(double vapour_pa, double temp_c)
{
    const double rh = vapour_pa / vapour_saturation_pa(temp_c);
    return rh > 1.0 ? 1.0 : rh;
}

void gather_moisture(struct hour *h, double dew_over_water_c, double rh_over_water)
{
    const double water_pa = vapour_over_water_pa(h->temp_c);

    if (!isnan(dew_over_water_c))
        h->dew_point_c = vapour_dew_point_over_ice_c(dew_over_water_c);
    else if (rh_over_water > 0.0 && !isnan(water_pa))
        h->dew_point_c = vapour_dew_point_c(rh_over_water * water_pa);
    if (!isnan(rh_over_water))
        h->rh = h->temp_c < 0.01 ? ratio_of(rh_over_water * water_pa, h->temp_c) : rh_over_water;
    else if (!isnan(dew_over_water_c) && !isnan(h->temp_c))
        h->rh = ratio_of(vapour_over_water_pa(dew_over_water_c), h->temp_c);
}

void gather_moisture_kept(struct hour *h, double dew_point_c, double rh)
{
    h->dew_point_c = dew_point_c;
    h->rh = rh;
    if (isnan(dew_point_c) && rh > 0.0)
        h->dew_point_c = vapour_dew_point_c(rh * vapour_saturation_pa(h->temp_c));
    if (isnan(rh) && !isnan(dew_point_c))
        h->rh = ratio_of(vapour_saturation_pa(dew_point_c), h->temp_c);
}

void gather_wind(struct hour *h, double wind_mps, double from_deg, bool variable)
{
    h->wind_mps = wind_mps;
    h->wind_from_deg = from_deg >= 360.0 ? from_deg - 360.0 : from_deg;
    if (wind_mps <= 0.0) {
        h->wind_from_deg = 0.0; /* calm */
    } else if (variable) {
        h->wind_from_deg = NAN;
        h->wind_variable = wind_mps > 0.0;
    }
}

double gather_wind_to_10m(double height_m)
{
    const double short_grass_m = 0.03; /* roughness length: WMO-No. 8 (2018), ch. 5, annex (Davenport classes) */

    if (!(height_m >= 1.0 && height_m <= 200.0))
        return NAN;
    return log(10.0 / short_grass_m) / log(height_m / short_grass_m);
}

static bool grow_extra(struct gather *g, const struct gather_extra *extra, int64_t seen_utc_s, int64_t utc_s)
{
    if (!g->seen_utc_s && seen_utc_s != utc_s) {
        g->seen_utc_s = ARENA_NEW(g->mem, int64_t, g->room);
        for (size_t i = 0; g->seen_utc_s && i < g->n; i++)
            g->seen_utc_s[i] = g->hour[i].utc_s;
    }
    if (!g->step_h && extra->step_h > 1) {
        g->step_h = ARENA_NEW(g->mem, unsigned char, g->room);
        if (g->step_h && g->n)
            memset(g->step_h, 1, g->n);
    }
    if (!g->says && extra->says)
        g->says = ARENA_NEW(g->mem, const char *, g->room);
    return !arena_full(g->mem);
}

bool gather_put(struct gather *g, const struct hour *h, const struct gather_extra *extra)
{
    static const struct gather_extra plain = { .fall = FALL_UNKNOWN };
    const struct weather_options *opt = g->opt;

    g->out.rows++;
    if ((opt->has_from && h->utc_s < opt->from_utc_s) || (opt->has_to && h->utc_s > opt->to_utc_s)) {
        g->outside++;
        return true;
    }
    if (g->n == g->room && !gather_reserve(g, g->room ? g->room * 2 : 256))
        return false;
    if (!extra)
        extra = &plain;
    const int64_t seen_utc_s = extra->seen_utc_s ? extra->seen_utc_s : h->utc_s;
    if (!grow_extra(g, extra, seen_utc_s, h->utc_s))
        return false;
    struct hour *kept = &g->hour[g->n];
    *kept = *h;
    const bool falls = kept->rain_mm > 0.0 || kept->rain_trace || kept->snow_cm > 0.0;
    /* 0.5 C: below it most of what falls is snow; the common limit of driving-rain reckoning (ISO 15927-3 leaves out
     * snow) */
    kept->snow = extra->fall == FALL_SNOW || (extra->fall == FALL_UNKNOWN && falls && kept->temp_c <= 0.5);
    if (g->seen_utc_s)
        g->seen_utc_s[g->n] = seen_utc_s;
    if (g->step_h)
        g->step_h[g->n] = extra->step_h ? extra->step_h : 1;
    if (g->says)
        g->says[g->n] = extra->says;
    if (g->n > 0) {
        const struct hour *before = &g->hour[g->n - 1];
        if (before->utc_s > kept->utc_s || (before->utc_s == kept->utc_s && before->source >= kept->source))
            g->sorted = false;
    }
    g->n++;
    return true;
}

enum status gather_nothing(struct gather *g, struct message *why)
{
    if (g->out.n_rejected_listed == 0)
        return refuse(ST_BAD_INPUT, why, "", "%.120s: there is no hour of weather in it", g->name);
    const struct weather_rejected *first = &g->rejected[0];
    if (first->line)
        return refuse(ST_BAD_INPUT, why, first->field, "%.120s, line %zu: %s", g->name, first->line, first->says);
    return refuse(ST_BAD_INPUT, why, first->field, "%.120s: %s", g->name, first->says);
}
