/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/plan_world.h"

#include <jansson.h>
#include <math.h>
#include <string.h>
#include "farm/json_room.h"

static const double axis_m = 6378137.0, flattening = 1.0 / 298.257223563, degree = 0.017453292519943295;
static const double meets_m = 5.0; /* a phone's place under the open sky is good to about so much: common practice */
static const double wavers_m = 1.0;
enum { FIXES_MOST = 100000 };

bool plan_world_of(double lat_deg, double lon_deg, struct plan_world *w)
{
    if (!(lat_deg > -89.0 && lat_deg < 89.0) || !(lon_deg >= -180.0 && lon_deg <= 180.0))
        return false;
    const double e2 = flattening * (2.0 - flattening), s = sin(lat_deg * degree), k = 1.0 - e2 * s * s;
    *w = (struct plan_world){ lat_deg, lon_deg, axis_m * (1.0 - e2) / (k * sqrt(k)) * degree,
                              axis_m / sqrt(k) * cos(lat_deg * degree) * degree };
    return true;
}

void plan_to_world(const struct plan_world *w, double x_m, double y_m, double *lat_deg, double *lon_deg)
{
    *lat_deg = w->lat_deg + y_m / w->north_m_deg;
    *lon_deg = w->lon_deg + x_m / w->east_m_deg;
}

void plan_from_world(const struct plan_world *w, double lat_deg, double lon_deg, double *x_m, double *y_m)
{
    *x_m = (lon_deg - w->lon_deg) * w->east_m_deg;
    *y_m = (lat_deg - w->lat_deg) * w->north_m_deg;
}

/* ---- reading ---- */

/* The geometry of that type in a feature, or in a bare geometry. */
static const json_t *coordinates_of(const json_t *feature, const char *type, const char **name)
{
    const char *is = json_string_value(json_object_get(feature, "type"));
    const json_t *g = is && strcmp(is, "Feature") == 0 ? json_object_get(feature, "geometry") : feature;
    const char *of = json_string_value(json_object_get(g, "type"));

    if (!of || strcmp(of, type) != 0)
        return NULL;
    *name = json_string_value(json_object_get(json_object_get(feature, "properties"), "name"));
    const json_t *c = json_object_get(g, "coordinates");
    return strcmp(type, "MultiPolygon") == 0 ? json_array_get(json_array_get(c, 0), 0)
           : strcmp(type, "Polygon") == 0    ? json_array_get(c, 0)
                                             : c;
}

static const json_t *first_of(const json_t *root, const char *type, const char **name)
{
    const json_t *features = json_object_get(root, "features"), *found = coordinates_of(root, type, name);

    for (size_t i = 0; !found && i < json_array_size(features); i++)
        found = coordinates_of(json_array_get(features, i), type, name);
    return found;
}

static enum status lay_out(const struct plan_fix fixes[], size_t n, struct arena *mem, struct plan_read *out,
                           struct message *why)
{
    struct plan_world w = { 0 };
    struct corner *c = n <= FIXES_MOST ? ARENA_NEW(mem, struct corner, n + 1) : NULL;
    double west = 0.0, south = 0.0, east = 0.0, north = 0.0;

    if (!c)
        return refuse(ST_BAD_INPUT, why, "outline", "too many places in one line; %d at most", (int)FIXES_MOST);
    for (size_t i = 0; i < n; i++) {
        if (!(fabs(fixes[i].lat_deg) < 89.0) || !(fabs(fixes[i].lon_deg) <= 180.0))
            return refuse(ST_BAD_INPUT, why, "outline", "place %zu is none on earth: %g north, %g east", i + 1,
                          fixes[i].lat_deg, fixes[i].lon_deg);
        if (i == 0)
            (void)plan_world_of(fixes[i].lat_deg, fixes[i].lon_deg, &w);
        plan_from_world(&w, fixes[i].lat_deg, fixes[i].lon_deg, &c[i].x_m, &c[i].y_m);
        if (!(hypot(c[i].x_m, c[i].y_m) <= 10000.0))
            return refuse(ST_BAD_INPUT, why, "outline", "place %zu is over 10 km from the first; a field is smaller",
                          i + 1);
        west = fmin(west, c[i].x_m);
        south = fmin(south, c[i].y_m);
        east = fmax(east, c[i].x_m);
        north = fmax(north, c[i].y_m);
    }
    if (n < 3)
        return refuse(ST_BAD_INPUT, why, "outline", "an outline has three corners or more; here are %zu", n);
    plan_to_world(&w, west, south, &out->origin_lat_deg, &out->origin_lon_deg);
    for (size_t i = 0; i < n; i++) {
        c[i].x_m -= west;
        c[i].y_m -= south;
    }
    if (east - west > 5000.0 || north - south > 5000.0)
        return refuse(ST_BAD_INPUT, why, "outline", "over 5 km across; a field is smaller");
    out->corners = c;
    out->n = out->fixes = n;
    return ST_OK;
}

static enum status places(const json_t *list, struct arena *mem, struct plan_read *out, struct message *why)
{
    const size_t n = json_array_size(list);
    struct plan_fix *fixes = n <= FIXES_MOST ? ARENA_NEW(mem, struct plan_fix, n + 1) : NULL;

    if (!fixes)
        return refuse(ST_BAD_INPUT, why, "outline", "too many places in one line; %d at most", (int)FIXES_MOST);
    for (size_t i = 0; i < n; i++) {
        const json_t *p = json_array_get(list, i), *lon = json_array_get(p, 0), *lat = json_array_get(p, 1);
        fixes[i] = (struct plan_fix){ json_number_value(lat), json_number_value(lon) };
        if (!json_is_number(lon) || !json_is_number(lat) || !(fabs(fixes[i].lat_deg) < 89.0) ||
            !(fabs(fixes[i].lon_deg) <= 180.0))
            return refuse(ST_BAD_INPUT, why, "outline",
                          "place %zu is none on earth; GeoJSON wants longitude, then latitude, in degrees", i + 1);
    }
    return lay_out(fixes, n, mem, out, why);
}

/* A walk ends about where it began: what lies within reach of the first place again is left out, and how far the end is
 * from the beginning is kept. */
static void closed(struct plan_read *out)
{
    const struct corner *c = out->corners;

    while (out->n > 3 && hypot(c[out->n - 1].x_m - c[0].x_m, c[out->n - 1].y_m - c[0].y_m) <= meets_m)
        out->n--;
    out->gap_m = out->n < out->fixes ? 0.0 : hypot(c[out->n - 1].x_m - c[0].x_m, c[out->n - 1].y_m - c[0].y_m);
}

/* The south-west corner of what is left is 0,0. */
static void settle(struct plan_read *out)
{
    double west = INFINITY, south = INFINITY;
    struct plan_world w;

    for (size_t i = 0; i < out->n; i++) {
        west = fmin(west, out->corners[i].x_m);
        south = fmin(south, out->corners[i].y_m);
    }
    if (out->n == 0 || !plan_world_of(out->origin_lat_deg, out->origin_lon_deg, &w))
        return;
    for (size_t i = 0; i < out->n; i++) {
        out->corners[i].x_m -= west;
        out->corners[i].y_m -= south;
    }
    plan_to_world(&w, west, south, &out->origin_lat_deg, &out->origin_lon_deg);
}

static enum status simpler(bool walked, struct arena *mem, struct plan_read *out, struct message *why)
{
    struct corner *kept = NULL;
    size_t n = 0;

    if (walked && out->n > 3) {
        const size_t was = out->n;
        out->n = corners_simplify(out->corners, out->n, wavers_m, CORNERS_MOST);
        out->n = out->n < 3 ? was : out->n;
    } else if (out->n > CORNERS_MOST) {
        out->n = corners_simplify(out->corners, out->n, wavers_m, CORNERS_MOST);
    }
    settle(out);
    const char *text = corners_text(out->corners, out->n, mem);
    if (!text)
        return refuse(ST_NO_MEMORY, why, "outline", "out of memory");
    const enum status st = corners_read(text, true, mem, &kept, &n, why); /* the same rules as for what is typed */
    if (st == ST_OK) {
        out->corners = kept;
        out->n = n;
    }
    return st;
}

enum status plan_from_geojson(const char *bytes, size_t n, struct arena *mem, struct plan_read *out,
                              struct message *why)
{
    json_error_t error;
    json_t *root = json_room_load(bytes, n, &error);
    struct plan_read read = { .name = NULL };
    const char *name = NULL;

    if (!root && json_had_no_room(&error))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (!root)
        return refuse(ST_BAD_INPUT, why, "outline", "line %d: this is no GeoJSON: %.100s", error.line, error.text);
    const json_t *polygon = first_of(root, "Polygon", &name);
    const json_t *ring = polygon ? polygon : first_of(root, "MultiPolygon", &name);
    const json_t *list = ring ? ring : first_of(root, "LineString", &name);
    enum status st = list ? places(list, mem, &read, why)
                          : refuse(ST_BAD_INPUT, why, "outline",
                                   "there is no outline (a Polygon) and no walk (a LineString) in this file");
    if (st == ST_OK && !ring)
        closed(&read);
    if (st == ST_OK)
        st = simpler(!ring, mem, &read, why);
    if (st == ST_OK) {
        read.name = name ? arena_text(mem, name) : NULL;
        *out = read;
    }
    json_decref(root);
    return st;
}

enum status plan_from_walk(const struct plan_fix fixes[], size_t n, const char *name, struct arena *mem,
                           struct plan_read *out, struct message *why)
{
    struct plan_read read = { .name = name };

    enum status st = lay_out(fixes, n, mem, &read, why);
    if (st == ST_OK) {
        closed(&read);
        st = simpler(true, mem, &read, why);
    }
    if (st == ST_OK)
        *out = read;
    return st;
}
