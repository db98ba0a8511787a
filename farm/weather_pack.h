/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The hours of one day packed small and exactly: column by column, each in the narrowest form that gives back the very
 * same numbers. Layout: docs/change/farm-file.md
 */
#ifndef FARM_WEATHER_PACK_H
#define FARM_WEATHER_PACK_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/hour.h"

enum { PACK_HOURS = 288, PACK_BYTES = 64 * 1024 }; /* most hours (or five-minute reports) of a day */

/* Given  hours of the UTC day, sorted, no moment twice, 1 .. PACK_HOURS.  Returned  bytes written to out[PACK_BYTES] */
size_t weather_pack(int64_t day, size_t n, const struct hour hours[], unsigned char *out);
/* False: not such bytes, or a byte has changed. */
bool weather_unpack(int64_t day, const unsigned char *bytes, size_t n_bytes, struct hour hours[PACK_HOURS], size_t *n);
/* -0.0 becomes 0.0: the one thing that text would not carry. */
void weather_no_minus_zero(struct hour *h);
/* The same hour bit for bit (but for .source). */
bool weather_same_hour(const struct hour *a, const struct hour *b);

#endif
