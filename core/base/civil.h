/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Civil dates: the proleptic Gregorian calendar as arithmetic. No clock and no time zone: those are farm/zone.h.
 * A moment is whole seconds since 1970-01-01T00:00Z (`_utc_s`); a day is a count of days since 1970-01-01.
 */
#ifndef CORE_BASE_CIVIL_H
#define CORE_BASE_CIVIL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define DAY_S  INT64_C(86400)
#define HOUR_S INT64_C(3600)

struct civil {
    int year, month, day;     /* 1600 .. 2400, 1 .. 12, 1 .. 31 */
    int hour, minute, second; /* 0 .. 23, 0 .. 59, 0 .. 59 */
};

bool civil_is_date(int year, int month, int day);
int64_t civil_days(int year, int month, int day);    /* days since 1970-01-01 */
struct civil civil_from_days(int64_t days);          /* time of day 0 */
int64_t civil_seconds(const struct civil *c);        /* as if c were UTC */
struct civil civil_from_seconds(int64_t seconds);    /* UTC; seconds of any sign */
int civil_day_of_year(int year, int month, int day); /* 1 .. 366 */
int civil_weekday(int64_t days);                     /* 0 = Monday .. 6 = Sunday */

/* ISO 8601: "2026-01-22", "2026-01-22T15:40", "2026-01-22 15:40:30", each with optional "Z", "+01:00", "-0600".
 * Fractions of a second are read and dropped. False: not such a text, or no such date. */
struct civil_text {
    struct civil at;
    bool has_time, has_offset;
    int offset_s; /* east positive; 0 without offset */
};
bool civil_read(const char *text, struct civil_text *out);

/* "2026-01-22" and "2026-01-22T15:40:00Z"; return `out`, which holds at least 32 bytes. */
char *civil_date_text(int64_t days, char out[static 32]);
char *civil_moment_text(int64_t utc_s, char out[static 32]);

#endif
