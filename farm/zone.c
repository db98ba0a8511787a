/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/zone_own.h"

#include <stdio.h>

#include "core/base/civil.h"

static const struct zone_type utc_type = { .abbr = "UTC" };

const char *zone_name(const struct zone *zone)
{
    return zone ? zone->name : "UTC";
}

/* Number of listed changes at or before a moment. */
static size_t changes_by(const struct zone *z, int64_t utc_s)
{
    size_t low = 0, high = z->n;

    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (z->at_utc_s[middle] <= utc_s)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* The type in force, and when the next stretch begins (INT64_MAX: never). RFC 8536, 3.2: before the first change type
 * 0. */
static const struct zone_type *type_at(const struct zone *z, int64_t utc_s, int64_t *next_utc_s)
{
    if (!z) {
        *next_utc_s = INT64_MAX;
        return &utc_type;
    }
    const size_t k = changes_by(z, utc_s);
    if (k == z->n && z->rule.there)
        return zone_rule_at(&z->rule, utc_s, next_utc_s);
    *next_utc_s = k < z->n ? z->at_utc_s[k] : INT64_MAX;
    return k == 0 ? &z->type[0] : &z->type[z->to[k - 1]];
}

int zone_offset_s(const struct zone *zone, int64_t utc_s)
{
    int64_t next;
    return type_at(zone, utc_s, &next)->offset_s;
}

const char *zone_abbreviation(const struct zone *zone, int64_t utc_s)
{
    int64_t next;
    return type_at(zone, utc_s, &next)->abbr;
}

enum { SEASON_DAYS = 300 }; /* a stretch of summer time, or of "winter time" where the file marks that, is shorter */

/* The offset of ordinary time near a moment in summer time: that of the last stretch without it, else of the next. */
static int ordinary_offset_s(const struct zone *zone, int64_t utc_s, const struct zone_type *now)
{
    int64_t next = utc_s, after;

    for (int64_t back = utc_s; back > utc_s - 3 * 366 * DAY_S; back -= 7 * DAY_S) {
        const struct zone_type *t = type_at(zone, back, &after);
        if (!t->summer)
            return t->offset_s;
    }
    for (int i = 0; i < 4; i++) {
        const struct zone_type *t = type_at(zone, next, &after);
        if (!t->summer)
            return t->offset_s;
        if (after == INT64_MAX)
            break;
        next = after;
    }
    return now->summer && now->offset_s >= 3600 ? now->offset_s - 3600 : now->offset_s;
}

int zone_standard_offset_s(const struct zone *zone, int64_t utc_s)
{
    int64_t next;
    const struct zone_type *now = type_at(zone, utc_s, &next);

    if (now->summer) {
        const int ordinary = ordinary_offset_s(zone, utc_s, now);
        return ordinary < now->offset_s ? ordinary : now->offset_s; /* Ireland's file marks the winter instead */
    }
    if (next < utc_s + SEASON_DAYS * DAY_S) {
        int64_t after;
        const struct zone_type *then = type_at(zone, next, &after);
        if (then->summer && then->offset_s < now->offset_s)
            return then->offset_s;
    }
    return now->offset_s;
}

bool zone_is_summer(const struct zone *zone, int64_t utc_s)
{
    return zone_offset_s(zone, utc_s) > zone_standard_offset_s(zone, utc_s);
}

bool zone_next_change(const struct zone *zone, int64_t utc_s, int64_t *change_utc_s)
{
    int64_t next;
    const int offset_s = type_at(zone, utc_s, &next)->offset_s;

    while (next != INT64_MAX) {
        const int64_t at = next;
        if (type_at(zone, at, &next)->offset_s != offset_s) {
            *change_utc_s = at;
            return true;
        }
    }
    return false;
}

enum { REACH_S = 2 * 93600 }; /* offsets lie within 26 hours of UTC */

enum zone_times zone_from_local(const struct zone *zone, int64_t local_s, int64_t *first_utc_s, int64_t *second_utc_s)
{
    int64_t from = local_s - REACH_S, jump = local_s - zone_offset_s(zone, local_s);
    size_t found = 0;

    for (;;) { /* stretch by stretch, the first moment that shows local_s and the last */
        int64_t change = INT64_MAX;
        const bool more = zone_next_change(zone, from, &change);
        const int offset_s = zone_offset_s(zone, from);
        const int64_t utc_s = local_s - offset_s;
        if (utc_s >= from && (!more || utc_s < change)) {
            if (found++ == 0)
                *first_utc_s = utc_s;
            *second_utc_s = utc_s;
        }
        if (!more || change > local_s + REACH_S)
            break;
        if (local_s >= change + offset_s && local_s < change + zone_offset_s(zone, change))
            jump = change;
        from = change;
    }
    if (found == 0)
        *first_utc_s = *second_utc_s = jump;
    return found == 0 ? ZONE_NEVER : *first_utc_s == *second_utc_s ? ZONE_ONCE : ZONE_TWICE;
}

static char *clock_text(int64_t local_s, char out[static 32])
{
    const struct civil c = civil_from_seconds(local_s);

    (void)snprintf(out, 32, "%02d:%02d", c.hour % 100, c.minute % 100);
    return out;
}

static char *offset_text(int offset_s, char out[static 16])
{
    const int minutes = (offset_s < 0 ? -offset_s : offset_s) / 60 % 6000;

    (void)snprintf(out, 16, "%c%02d:%02d", offset_s < 0 ? '-' : '+', minutes / 60, minutes % 60);
    return out;
}

enum status zone_from_local_text(const struct zone *zone, int64_t local_s, const char *field, int64_t *utc_s,
                                 struct message *why)
{
    int64_t first, second;
    char day[32], clock[32], before[32], after[32], one[16], two[16];
    const enum zone_times times = zone_from_local(zone, local_s, &first, &second);

    if (times == ZONE_ONCE) {
        *utc_s = first;
        return ST_OK;
    }
    (void)civil_date_text(civil_days(civil_from_seconds(local_s).year, civil_from_seconds(local_s).month,
                                     civil_from_seconds(local_s).day),
                          day);
    (void)clock_text(local_s, clock);
    if (times == ZONE_NEVER)
        return refuse(ST_BAD_INPUT, why, field, "%s: there is no %s on %s in %s; the clocks go from %s to %s then",
                      field, clock, day, zone_name(zone), clock_text(first + zone_offset_s(zone, first - 1), before),
                      clock_text(first + zone_offset_s(zone, first), after));
    return refuse(ST_BAD_INPUT, why, field,
                  "%s: the clock shows %s twice on %s in %s; write %s%s for the first or %s%s for the second", field,
                  clock, day, zone_name(zone), clock, offset_text(zone_offset_s(zone, first), one), clock,
                  offset_text(zone_offset_s(zone, second), two));
}

int zone_offset_of_local_s(void *zone, int64_t local_s, bool *ambiguous)
{
    int64_t first, second;

    *ambiguous = zone_from_local(zone, local_s, &first, &second) == ZONE_TWICE;
    return (int)(local_s - first);
}
