/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Plan and world: metres east and north of a field's south-west corner, and latitude and longitude (WGS 84).
 *
 * Flat over a field: metres in a degree are those at the origin's latitude, from the radii of curvature of the
 * ellipsoid (NIMA TR8350.2, 3rd ed. 2000, table 3.1: a = 6378137 m, 1/f = 298.257223563). At 55 degrees off
 * by 1 cm across 200 m and 25 cm across 1 km (a degree of longitude shrinks northward).
 */
#ifndef DESK_PLAN_WORLD_H
#define DESK_PLAN_WORLD_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "farm/corners.h"

struct plan_world {
    double lat_deg, lon_deg;        /* of the origin */
    double north_m_deg, east_m_deg; /* metres in a degree of latitude, of longitude, at the origin */
};

/* False: not finite, or within 1 degree of a pole. */
bool plan_world_of(double lat_deg, double lon_deg, struct plan_world *w);
void plan_to_world(const struct plan_world *w, double x_m, double y_m, double *lat_deg, double *lon_deg);
void plan_from_world(const struct plan_world *w, double lat_deg, double lon_deg, double *x_m, double *y_m);

struct plan_read {
    struct corner *corners; /* settled: the south-west corner of their box is 0,0 */
    size_t n;
    double origin_lat_deg, origin_lon_deg; /* of that corner */
    const char *name;                      /* the feature's; NULL none */
    size_t fixes;                          /* places there were before the line was made simpler */
    double gap_m;                          /* a walk: from where it ended to where it began; 0 when it met */
};

struct plan_fix { /* a place on earth */
    double lat_deg, lon_deg;
};

/* The outline from a walk round the field, its places in order. A last place within 5 m of the first is the first
 * again; what lies within 1 m of a straight side is left out (corners_simplify), and more where over 60 would stay.
 * Fails as below. */
enum status plan_from_walk(const struct plan_fix fixes[], size_t n, const char *name, struct arena *mem,
                           struct plan_read *out, struct message *why) MUST_USE;
/* The same from a GPX file: its longest track (all its segments), or its longest route where there is no track. */
enum status plan_from_gpx(const char *bytes, size_t n, struct arena *mem, struct plan_read *out,
                          struct message *why) MUST_USE;
/* GeoJSON or GPX, found from how it begins. */
enum status plan_from_bytes(const char *bytes, size_t n, struct arena *mem, struct plan_read *out,
                            struct message *why) MUST_USE;

/* The outline in a GeoJSON text: its first Polygon (outer ring); where there is none the first of its first MultiPolygon;
 * else its first LineString, taken as a walk round the field. More than 60 corners are made fewer (corners_simplify,
 * 1 m at first).
 * Fails     ST_BAD_INPUT: not JSON, no such geometry, a place that is none on earth, fewer than 3 corners, over 10 km
 *           across, sides that cross */
enum status plan_from_geojson(const char *bytes, size_t n, struct arena *mem, struct plan_read *out,
                              struct message *why) MUST_USE;

#endif
