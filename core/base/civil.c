/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/civil.h"

#include <stdio.h>
#include <string.h>

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

bool civil_is_date(int year, int month, int day)
{
    static const int last[13] = { 0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };

    if (year < 1600 || year > 2400 || month < 1 || month > 12 || day < 1)
        return false;
    return day <= last[month] + (month == 2 && is_leap(year) ? 1 : 0);
}

/* Years begin in March, so that the leap day is the last of its year: the day count is then a closed form. */
int64_t civil_days(int year, int month, int day)
{
    const int64_t y = month <= 2 ? (int64_t)year - 1 : year;
    const int64_t era = (y >= 0 ? y : y - 399) / 400;
    const int64_t year_of_era = y - era * 400;
    const int64_t day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    const int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;

    return era * 146097 + day_of_era - 719468;
}

struct civil civil_from_days(int64_t days)
{
    const int64_t z = days + 719468;
    const int64_t era = (z >= 0 ? z : z - 146096) / 146097;
    const int64_t doe = z - era * 146097;
    const int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    const int64_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    const int64_t mp = (5 * doy + 2) / 153;
    const int month = (int)(mp < 10 ? mp + 3 : mp - 9);

    return (struct civil){ .year = (int)(yoe + era * 400 + (month <= 2)),
                           .month = month,
                           .day = (int)(doy - (153 * mp + 2) / 5 + 1) };
}

int64_t civil_seconds(const struct civil *c)
{
    return civil_days(c->year, c->month, c->day) * DAY_S + c->hour * HOUR_S + c->minute * 60 + c->second;
}

struct civil civil_from_seconds(int64_t seconds)
{
    int64_t days = seconds / DAY_S, rest = seconds % DAY_S;

    if (rest < 0) {
        rest += DAY_S;
        days--;
    }
    struct civil c = civil_from_days(days);
    c.hour = (int)(rest / HOUR_S);
    c.minute = (int)(rest % HOUR_S / 60);
    c.second = (int)(rest % 60);
    return c;
}

int civil_day_of_year(int year, int month, int day)
{
    return (int)(civil_days(year, month, day) - civil_days(year, 1, 1)) + 1;
}

int civil_weekday(int64_t days)
{
    const int64_t w = (days + 3) % 7; /* 1970-01-01 was a Thursday */
    return (int)(w < 0 ? w + 7 : w);
}

/* Exactly n digits at *s, moved past. */
static bool digits(const char **s, int n, int *value)
{
    int sum = 0;

    for (int i = 0; i < n; i++) {
        if ((*s)[i] < '0' || (*s)[i] > '9')
            return false;
        sum = sum * 10 + ((*s)[i] - '0');
    }
    *s += n;
    *value = sum;
    return true;
}

static bool read_offset(const char *s, struct civil_text *out)
{
    int hours = 0, minutes = 0;

    if (*s == '\0')
        return true;
    out->has_offset = true;
    if ((*s == 'Z' || *s == 'z') && s[1] == '\0')
        return true;
    if (*s != '+' && *s != '-')
        return false;
    const int sign = *s++ == '-' ? -1 : 1;
    if (!digits(&s, 2, &hours))
        return false;
    if (*s == ':')
        s++;
    if (*s && !digits(&s, 2, &minutes))
        return false;
    out->offset_s = sign * (hours * 3600 + minutes * 60);
    return *s == '\0' && hours <= 15 && minutes <= 59;
}

bool civil_read(const char *text, struct civil_text *out)
{
    struct civil_text got = { .has_time = false };
    const char *s = text;

    if (!digits(&s, 4, &got.at.year) || *s++ != '-' || !digits(&s, 2, &got.at.month) || *s++ != '-' ||
        !digits(&s, 2, &got.at.day) || !civil_is_date(got.at.year, got.at.month, got.at.day))
        return false;
    if (*s == 'T' || *s == 't' || *s == ' ') {
        s++;
        if (!digits(&s, 2, &got.at.hour) || *s++ != ':' || !digits(&s, 2, &got.at.minute))
            return false;
        if (*s == ':') {
            s++;
            if (!digits(&s, 2, &got.at.second))
                return false;
            if (*s == '.')
                for (s++; *s >= '0' && *s <= '9'; s++)
                    ;
        }
        if (got.at.hour > 23 || got.at.minute > 59 || got.at.second > 59)
            return false;
        got.has_time = true;
        if (!read_offset(s, &got))
            return false;
    } else if (*s != '\0') {
        return false;
    }
    *out = got;
    return true;
}

char *civil_date_text(int64_t days, char out[static 32])
{
    const struct civil c = civil_from_days(days);
    (void)snprintf(out, 32, "%04d-%02d-%02d", c.year % 10000, c.month % 100, c.day % 100);
    return out;
}

char *civil_moment_text(int64_t utc_s, char out[static 32])
{
    const struct civil c = civil_from_seconds(utc_s);
    (void)snprintf(out, 32, "%04d-%02d-%02dT%02d:%02d:%02dZ", c.year % 10000, c.month % 100, c.day % 100, c.hour % 100,
                   c.minute % 100, c.second % 100);
    return out;
}
