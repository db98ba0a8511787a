/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the files of the time zone: what a zone is, its rule after the last listed change.
 */
#ifndef FARM_ZONE_OWN_H
#define FARM_ZONE_OWN_H

#include "farm/zone.h"

enum { ZONE_NAME = 64, ZONE_ABBR = 16, ZONE_FILE_BYTES = 256 * 1024 };

struct zone_type {
    int offset_s;
    bool summer; /* as the file marks it */
    char abbr[ZONE_ABBR];
};

struct zone_day {         /* when in the year the clocks change */
    char form;            /* 'M' month.week.day, 'J' day 1..365 without 29 Feb, '0' day 0..365 */
    int month, week, day; /* day: 0 = Sunday for 'M', else the number */
    int at_s;             /* local time, seconds after 00:00; may be outside one day */
};

struct zone_rule {
    bool there, alternates;
    struct zone_type standard, summer;
    struct zone_day summer_begins, summer_ends;
};

struct zone {
    char name[ZONE_NAME];
    size_t n;                /* listed changes */
    const int64_t *at_utc_s; /* rising */
    const unsigned char *to; /* type from then on */
    size_t n_types;          /* 1 or more */
    const struct zone_type *type;
    struct zone_rule rule; /* after the last listed change */
};

/* A POSIX TZ string, "CST6CDT,M3.2.0,M11.1.0". False: not one. */
bool zone_rule_read(const char *text, struct zone_rule *rule);
/* What the rule says at a moment; *next: the first moment after it at which that changes (INT64_MAX: never). */
const struct zone_type *zone_rule_at(const struct zone_rule *rule, int64_t utc_s, int64_t *next_utc_s);

#endif
