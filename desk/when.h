/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * When: moments in the farm's clock, for doors. The zone itself is farm/zone.h's.
 */
#ifndef DESK_WHEN_H
#define DESK_WHEN_H

#include <stdint.h>

#include "core/base/civil.h"

struct zone;

struct civil when_local(const struct zone *zone, int64_t utc_s); /* zone NULL: UTC */
const char *when_zone_name(const struct zone *zone);             /* "America/Chicago"; NULL: "UTC" */
int when_offset_s(const struct zone *zone, int64_t utc_s);
/* The evening that names the night holding this moment: days since 1970-01-01. A night is 18:00-06:00 local standard
 * time; by day it is the coming night. */
int64_t when_evening(const struct zone *zone, int64_t utc_s);
/* The next moment at or after utc_s at which the local clock shows hour:minute. */
int64_t when_next_clock(const struct zone *zone, int64_t utc_s, int hour, int minute);

extern const char *const when_weekday[7]; /* "Mon" .. */
extern const char *const when_month[13];  /* [1] = "Jan" */

#endif
