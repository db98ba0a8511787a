/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An invented farm on one invented winter evening, for showing and trying. No real place, animal or weather.
 */
#ifndef DEMO_DEMO_H
#define DEMO_DEMO_H

#include <stdint.h>

#include "core/base/status.h"

/* Moment at which the demo farm stands still: 2026-01-22T15:40Z, a Thursday afternoon. */
extern const int64_t demo_at_utc_s;

/* Make the farm file at `path` (none may be there). The same seed gives the same farm. */
enum status demo_make(const char *path, uint64_t seed, struct message *why) MUST_USE;

#endif
