/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The readers, one a format. Each takes bytes that recognise() found to be its own, hands rows to a gather and returns
 * ST_OK, or refuses the whole file with a sentence that begins with its name.
 */
#ifndef WEATHER_FORMATS_H
#define WEATHER_FORMATS_H

#include <jansson.h>

#include "core/base/units.h"
#include "weather/gather.h"

/* What the bytes look like. JSON is told apart after parsing. */
enum look {
    LOOK_NOTHING = 0,
    LOOK_GZIP,
    LOOK_JSON,
    LOOK_ISD_LITE,
    LOOK_EPW,
    LOOK_REPORTS,
    LOOK_OWN_CSV,
    LOOK_TABLE,
    LOOK_BINARY
};
enum look recognise(const char *bytes, size_t n);

enum status read_isd_lite(struct gather *g, const char *bytes, size_t n, struct message *why) MUST_USE;
enum status read_reports(struct gather *g, const char *bytes, size_t n, struct message *why) MUST_USE; /* METAR, TAF */
enum status read_epw(struct gather *g, const char *bytes, size_t n, struct message *why) MUST_USE;
enum status read_own_csv(struct gather *g, const char *bytes, size_t n, struct message *why) MUST_USE;
enum status read_columns_csv(struct gather *g, const char *bytes, size_t n, struct message *why) MUST_USE;
enum status read_json(struct gather *g, const char *bytes, size_t n,
                      struct message *why) MUST_USE; /* the three below */
enum status read_nws_hourly(struct gather *g, const json_t *properties, struct message *why) MUST_USE;
enum status read_nws_grid(struct gather *g, const json_t *properties, struct message *why) MUST_USE;
enum status read_met_norway(struct gather *g, const json_t *root, struct message *why) MUST_USE;

/* A number or NAN; anything else than a number, a number as text or null is listed as refused. `entry` as in
 * gather_checked(). */
double json_value(struct gather *g, const json_t *v, const char *entry, const char *field);
/* {"unitCode": "wmoUnit:degC", "value": 1.5} or a bare number in `bare_unit` -> SI; NAN with a line in the list where
 * the unit is not known. */
double json_quantity(struct gather *g, const json_t *v, enum quantity of, const char *bare_unit, const char *entry,
                     const char *field);
/* "wmoUnit:km_h-1", "unit:degC" -> our name of that unit; NULL: not known. */
const char *wmo_unit(const char *code);
/* 16-point compass name -> degrees; NAN: not one. */
double compass_deg(const char *name);
/* "2024-02-20T11:00:00+00:00" -> seconds; an offset is required. */
bool moment_with_offset(const char *text, int64_t *utc_s);

/* Header of our own CSV: does this first row look like one? */
bool own_csv_header(const char *bytes, size_t n);

#endif
