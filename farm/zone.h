/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Time zones from the system's tz database (package tzdata). The files are read here, so that nothing hangs on the TZ
 * of the process and several zones can be in use at once. A zone is never changed after it is opened: share it freely.
 *
 * Moments are seconds UTC; a local time is civil seconds "as if UTC" (civil_seconds() of what the clock on the wall
 * shows).
 * Source    RFC 8536 (TZif), POSIX.1-2017 chapter 8.3 (the rule after the last transition)
 */
#ifndef FARM_ZONE_H
#define FARM_ZONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

struct zone;

/* By IANA name ("America/Chicago", "UTC"). $ZONEINFO, else /usr/share/zoneinfo, else the usual other places.
 * Fails     ST_NOT_FOUND no such zone (with a near name), ST_BAD_INPUT not a name or not a sound file, ST_NO_MEMORY */
enum status zone_open(const char *name, struct arena *mem, const struct zone **zone, struct message *why) MUST_USE;

/* The same from the bytes of a TZif file: for zone_open() and its tests. */
enum status zone_read(const char *name, const void *bytes, size_t n, struct arena *mem, const struct zone **zone,
                      struct message *why) MUST_USE;

const char *zone_name(const struct zone *zone); /* NULL zone: "UTC", here and below */

/* Seconds east of UTC at a moment. */
int zone_offset_s(const struct zone *zone, int64_t utc_s);
/* The same without summer time: the standard offset in force at that moment. */
int zone_standard_offset_s(const struct zone *zone, int64_t utc_s);
bool zone_is_summer(const struct zone *zone, int64_t utc_s);
/* "CST"; in the zone's own memory. */
const char *zone_abbreviation(const struct zone *zone, int64_t utc_s);

enum zone_times { ZONE_ONCE, ZONE_TWICE /* clocks went back over it */, ZONE_NEVER /* clocks jumped over it */ };

/* Local time -> UTC. ZONE_TWICE: *first and *second (the later) differ. ZONE_NEVER: both are the moment of the jump.
 * ZONE_ONCE: both equal. */
enum zone_times zone_from_local(const struct zone *zone, int64_t local_s, int64_t *first_utc_s, int64_t *second_utc_s);

/* For what a person typed: a time that never was or was twice is refused with what to write instead. */
enum status zone_from_local_text(const struct zone *zone, int64_t local_s, const char *field, int64_t *utc_s,
                                 struct message *why) MUST_USE;

/* In the form weather_options.offset_s wants; `zone` is a const struct zone *. */
int zone_offset_of_local_s(void *zone, int64_t local_s, bool *ambiguous);

/* Next change of the offset after utc_s; false: none is known. */
bool zone_next_change(const struct zone *zone, int64_t utc_s, int64_t *change_utc_s);

#endif
