/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/zone_own.h"

#include <string.h>

#include "core/base/civil.h"

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

/* 1 to 3 digits. */
static bool take_number(const char **s, int *value)
{
    int n = 0;

    *value = 0;
    for (; digit(**s) && n < 3; n++)
        *value = *value * 10 + (*(*s)++ - '0');
    return n > 0 && !digit(**s);
}

/* "CST" or "<+0330>". */
static bool take_name(const char **s, char abbr[static ZONE_ABBR])
{
    const bool quoted = **s == '<';
    size_t n = 0;

    *s += quoted;
    for (; **s; (*s)++) {
        const char c = **s;
        const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        if (!letter && !(quoted && (digit(c) || c == '+' || c == '-')))
            break;
        if (n + 1 >= ZONE_ABBR)
            return false;
        abbr[n++] = c;
    }
    abbr[n] = '\0';
    if (quoted && *(*s)++ != '>')
        return false;
    return n >= 3;
}

/* [+-]hh[:mm[:ss]], hours to 167 (RFC 8536, 3.3.1). */
static bool take_time(const char **s, int *seconds)
{
    const int sign = **s == '-' ? -1 : 1;
    int h = 0, m = 0, sec = 0;

    *s += **s == '-' || **s == '+';
    if (!take_number(s, &h) || h > 167)
        return false;
    if (**s == ':') {
        (*s)++;
        if (!take_number(s, &m) || m > 59)
            return false;
        if (**s == ':') {
            (*s)++;
            if (!take_number(s, &sec) || sec > 59)
                return false;
        }
    }
    *seconds = sign * (h * 3600 + m * 60 + sec);
    return true;
}

static bool take_day(const char **s, struct zone_day *day)
{
    *day = (struct zone_day){ .form = **s == 'M' || **s == 'J' ? **s : '0', .at_s = 2 * 3600 };
    if (day->form != '0')
        (*s)++;
    if (day->form == 'M') {
        if (!take_number(s, &day->month) || *(*s)++ != '.' || !take_number(s, &day->week) || *(*s)++ != '.' ||
            !take_number(s, &day->day))
            return false;
        if (day->month < 1 || day->month > 12 || day->week < 1 || day->week > 5 || day->day > 6)
            return false;
    } else if (!take_number(s, &day->day) || day->day > 365 || (day->form == 'J' && day->day < 1)) {
        return false;
    }
    if (**s != '/')
        return true;
    (*s)++;
    return take_time(s, &day->at_s);
}

bool zone_rule_read(const char *text, struct zone_rule *rule)
{
    struct zone_rule r = { .there = true };
    const char *s = text;
    int west_s = 0;

    if (!take_name(&s, r.standard.abbr) || !take_time(&s, &west_s))
        return false;
    r.standard.offset_s = -west_s;
    if (*s) {
        r.alternates = r.summer.summer = true;
        if (!take_name(&s, r.summer.abbr))
            return false;
        r.summer.offset_s = r.standard.offset_s + 3600;
        if (*s && *s != ',') {
            if (!take_time(&s, &west_s))
                return false;
            r.summer.offset_s = -west_s;
        }
        if (*s++ != ',' || !take_day(&s, &r.summer_begins) || *s++ != ',' || !take_day(&s, &r.summer_ends) || *s)
            return false;
    }
    *rule = r;
    return true;
}

static int64_t day_of(const struct zone_day *d, int year)
{
    if (d->form == '0')
        return civil_days(year, 1, 1) + d->day;
    if (d->form == 'J') /* 29 February is never counted */
        return civil_days(year, 1, 1) + d->day - 1 + (civil_is_date(year, 2, 29) && d->day > 59);
    const int64_t first = civil_days(year, d->month, 1);
    const int first_weekday = (civil_weekday(first) + 1) % 7; /* 0 = Sunday */
    int64_t day = first + (d->day - first_weekday + 7) % 7 + 7 * (d->week - 1);
    const int64_t next_month = d->month == 12 ? civil_days(year + 1, 1, 1) : civil_days(year, d->month + 1, 1);
    while (day >= next_month)
        day -= 7;
    return day;
}

const struct zone_type *zone_rule_at(const struct zone_rule *rule, int64_t utc_s, int64_t *next_utc_s)
{
    const struct zone_type *is = &rule->standard;
    int64_t latest = INT64_MIN;

    *next_utc_s = INT64_MAX;
    if (!rule->alternates)
        return is;
    int64_t clamped = utc_s; /* civil dates end in 2400 */
    if (clamped < civil_days(1700, 1, 1) * DAY_S)
        clamped = civil_days(1700, 1, 1) * DAY_S;
    if (clamped > civil_days(2390, 1, 1) * DAY_S)
        clamped = civil_days(2390, 1, 1) * DAY_S;
    const int year = civil_from_seconds(clamped).year;
    for (int y = year - 1; y <= year + 1; y++) {
        const int64_t ends = day_of(&rule->summer_ends, y) * DAY_S + rule->summer_ends.at_s - rule->summer.offset_s;
        const int64_t begins =
            day_of(&rule->summer_begins, y) * DAY_S + rule->summer_begins.at_s - rule->standard.offset_s;
        if (ends <= utc_s && ends >= latest && !(ends == latest && is == &rule->summer)) {
            latest = ends;
            is = &rule->standard;
        }
        if (begins <= utc_s && begins >= latest) { /* begins wins a tie: summer time all year */
            latest = begins;
            is = &rule->summer;
        }
        if (ends > utc_s && ends < *next_utc_s)
            *next_utc_s = ends;
        if (begins > utc_s && begins < *next_utc_s)
            *next_utc_s = begins;
    }
    return is;
}
