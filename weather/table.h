/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Table: rows of a CSV whose columns are known, whoever named them: our own CSV by its header, any other by --columns.
 */
#ifndef WEATHER_TABLE_H
#define WEATHER_TABLE_H

#include "core/base/csv.h"
#include "core/base/units.h"
#include "weather/gather.h"

enum table_slot {
    TABLE_TIME = 0,
    TABLE_DATE,
    TABLE_TEMP,
    TABLE_DEW,      /* as instruments and services report it: over water */
    TABLE_DEW_KEPT, /* as this program writes it: over ice below 0.01 C */
    TABLE_RH,       /* over water */
    TABLE_RH_KEPT,  /* over ice when colder than 0.01 C */
    TABLE_WIND,
    TABLE_GUST,
    TABLE_FROM,
    TABLE_RAIN,
    TABLE_SNOW,
    TABLE_CLOUD,
    TABLE_SUN,
    TABLE_PRESSURE,
    TABLE_FALL, /* is it snow: true or false */
    TABLE_SLOTS
};

struct table_column {
    int at;            /* index of the column; -1: the table has none */
    const char *name;  /* for messages */
    double scale, add; /* ours = scale x given + add */
    bool guess;        /* humidity or cloud without a unit: found from the column's largest figure */
};

struct table {
    struct gather *g;
    struct csv csv; /* the header has been read */
    size_t columns; /* in the header */
    struct table_column column[TABLE_SLOTS];
    bool offset_required; /* a time without an offset makes the row unreadable; else it is local to opt->zone */
    bool na_is_variable;  /* wind without direction: "NA" = variable */
    int where_at;         /* -1: all rows are wanted */
    const char *where_value;
    int source;
    int64_t before_utc_s; /* of the last row, for the doubled hour in autumn */
    size_t twice_shown, kept_by_where;
};

void table_open(struct table *t, struct gather *g);
/* Skip the '#' lines at the start: returns where the header begins and its line. */
const char *table_skip_comments(const char *bytes, size_t n, size_t *line);
/* Linear change from a unit to ours; false: not a unit of this slot's quantity. unit "" = ours. */
bool table_unit(enum table_slot slot, const char *unit, struct table_column *c);
/* All rows. ST_NO_MEMORY. Bad rows are listed. */
enum status table_read(struct table *t, struct message *why) MUST_USE;

#endif
