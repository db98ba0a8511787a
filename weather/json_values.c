/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the forecast readers share, and which of them a JSON text belongs to.
 */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/formats.h"
#include "weather/json_in.h"

double json_value(struct gather *g, const json_t *v, const char *entry, const char *field)
{
    double value = NAN;

    if (!v || json_is_null(v))
        return NAN;
    if (json_is_number(v))
        return json_number_value(v);
    if (json_is_string(v) && read_real(json_string_value(v), &value))
        return value;
    if (json_is_string(v))
        gather_reject(g, 0, field, "%s: %s is \"%.30s\"; a number is wanted", entry, field, json_string_value(v));
    else
        gather_reject(g, 0, field, "%s: %s is not a number", entry, field);
    return NAN;
}

/* Codes of the WMO code registry (codes.wmo.int/common/unit) that a forecast uses. */
static const struct {
    const char *code, *unit;
} wmo_units[] = {
    { "degC", "C" },    { "degF", "F" },  { "K", "K" },        { "km_h-1", "kmh" },
    { "m_s-1", "mps" }, { "kt", "kn" },   { "mi_h-1", "mph" }, { "mm", "mm" },
    { "cm", "cm" },     { "m", "m" },     { "percent", "%" },  { "degree_(angle)", "deg" },
    { "Pa", "Pa" },     { "hPa", "hPa" },
};

const char *wmo_unit(const char *code)
{
    const char *colon = strrchr(code, ':');
    const char *bare = colon ? colon + 1 : code;

    for (size_t i = 0; i < COUNT(wmo_units); i++)
        if (strcmp(wmo_units[i].code, bare) == 0)
            return wmo_units[i].unit;
    return NULL;
}

double json_quantity(struct gather *g, const json_t *v, enum quantity of, const char *bare_unit, const char *entry,
                     const char *field)
{
    const bool object = json_is_object(v);
    const double given = json_value(g, object ? json_object_get(v, "value") : v, entry, field);
    const char *code = object ? json_in_text(v, "unitCode") : "";
    const char *unit = code[0] ? wmo_unit(code) : bare_unit;
    struct message why = { "", "" };
    double si = NAN;

    if (isnan(given))
        return NAN;
    if (!unit || unit_to_si(given, unit, of, &si, &why) != ST_OK) {
        gather_reject(g, 0, field, "%s: %s is in \"%.30s\", a unit not known here for it", entry, field, code);
        return NAN;
    }
    return si;
}

double compass_deg(const char *name)
{
    static const char *const points[16] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                            "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };
    for (size_t i = 0; i < COUNT(points); i++)
        if (strcmp(name, points[i]) == 0)
            return 22.5 * (double)i;
    return NAN;
}

bool moment_with_offset(const char *text, int64_t *utc_s)
{
    struct civil_text t;

    if (strlen(text) > 40 || !civil_read(text, &t) || !t.has_time || !t.has_offset)
        return false;
    *utc_s = civil_seconds(&t.at) - t.offset_s;
    return true;
}

/* The middle of the cell's corners. */
static void cell_place(struct gather *g, const json_t *geometry)
{
    const json_t *ring = json_array_get(json_object_get(geometry, "coordinates"), 0);
    const size_t corners = json_array_size(ring) > 1 ? json_array_size(ring) - 1 : 0; /* the last repeats the first */
    double lon = 0.0, lat = 0.0;

    for (size_t i = 0; i < corners; i++) {
        const json_t *corner = json_array_get(ring, i);
        lon += json_number_value(json_array_get(corner, 0));
        lat += json_number_value(json_array_get(corner, 1));
    }
    if (corners > 0 && fabs(lat) <= 90.0 * (double)corners && fabs(lon) <= 180.0 * (double)corners) {
        g->out.lat_deg = lat / (double)corners;
        g->out.lon_deg = lon / (double)corners;
    }
}

static enum status read_known(struct gather *g, const json_t *root, struct message *why)
{
    const json_t *properties = json_object_get(root, "properties");

    if (strcmp(json_in_text(json_object_get(root, "geometry"), "type"), "Polygon") == 0)
        cell_place(g, json_object_get(root, "geometry"));
    if (json_object_get(properties, "periods"))
        return read_nws_hourly(g, properties, why);
    if (json_object_get(properties, "timeseries"))
        return read_met_norway(g, root, why);
    if (json_object_get(properties, "temperature") || json_object_get(properties, "windSpeed"))
        return read_nws_grid(g, properties, why);
    if (json_object_get(properties, "forecastHourly"))
        return refuse(ST_BAD_INPUT, why, "",
                      "%.120s: only says where the forecast is to be had; fetch its forecastHourly "
                      "or forecastGridData address",
                      g->name);
    if (json_in_text(root, "title")[0] && json_object_get(root, "status"))
        return refuse(ST_BAD_INPUT, why, "",
                      "%.120s: the service answered with an error (%.100s); fetch it again later", g->name,
                      json_in_text(root, "title"));
    return refuse(ST_BAD_INPUT, why, "", "%.120s: JSON, but no forecast of a known kind", g->name);
}

enum status read_json(struct gather *g, const char *bytes, size_t n, struct message *why)
{
    json_t *root = NULL;
    enum status st = json_in(g->name, bytes, n, &root, why);

    if (st == ST_OK)
        st = read_known(g, root, why);
    json_decref(root);
    return st;
}
