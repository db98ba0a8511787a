/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The columns of an hour of weather in an export.
 */
#ifndef FARM_WHOLE_HOURS_H
#define FARM_WHOLE_HOURS_H

#include <stddef.h>

#include "core/base/hour.h"

enum { WHOLE_HOUR_REALS = 14, WHOLE_HOUR_WHOLES = 5, WHOLE_HOUR_COLUMNS = 2 + WHOLE_HOUR_REALS + WHOLE_HOUR_WHOLES };
extern const char *const whole_hour_column[WHOLE_HOUR_COLUMNS]; /* lot, time, temp_c ... */
double whole_hour_real(const struct hour *h, size_t i);
void whole_hour_set_real(struct hour *h, size_t i, double x);
unsigned whole_hour_whole(const struct hour *h, size_t i);
void whole_hour_set_whole(struct hour *h, size_t i, unsigned x);

#endif
