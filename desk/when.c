/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/when.h"

#include <stdbool.h>

#include "farm/zone.h"

enum { MORNING_H = 6 }; /* a night is 18:00 .. 06:00 local standard time */

const char *const when_weekday[7] = { "Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun" };
const char *const when_month[13] = { "",    "Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec" };

static int64_t floor_days(int64_t seconds)
{
    return seconds / DAY_S - (seconds % DAY_S < 0);
}

const char *when_zone_name(const struct zone *zone)
{
    return zone_name(zone);
}

int when_offset_s(const struct zone *zone, int64_t utc_s)
{
    return zone_offset_s(zone, utc_s);
}

struct civil when_local(const struct zone *zone, int64_t utc_s)
{
    return civil_from_seconds(utc_s + zone_offset_s(zone, utc_s));
}

int64_t when_evening(const struct zone *zone, int64_t utc_s)
{
    /* before 06:00 it is still the night of the evening before */
    return floor_days(utc_s + zone_standard_offset_s(zone, utc_s) - MORNING_H * HOUR_S);
}

int64_t when_next_clock(const struct zone *zone, int64_t utc_s, int hour, int minute)
{
    const int64_t clock_s = hour * HOUR_S + minute * INT64_C(60);
    int64_t best = INT64_MAX;

    /* from the day before to the day after tomorrow: one of them holds it, whatever the clocks are changed by */
    for (int64_t day = floor_days(utc_s + zone_offset_s(zone, utc_s)) - 1, end = day + 4; day < end; day++) {
        int64_t moment[2];
        (void)zone_from_local(zone, day * DAY_S + clock_s, &moment[0], &moment[1]);
        for (int i = 0; i < 2; i++)
            if (moment[i] >= utc_s && moment[i] < best)
                best = moment[i];
    }
    return best;
}
