/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From the end of a forecast into the hours that stand in beyond it, without a step. One rule, used for the single
 * line of hours and for each version of it.
 */
#ifndef CORE_BASE_BLEND_H
#define CORE_BASE_BLEND_H

#include "core/base/hour.h"

enum { BLEND_HOURS = 6 }; /* the hours that are a mixture; from the seventh on the stand-in is alone */

/* Weight of the stand-in in the k-th hour after the end, k = 1 ..: k / 7, at most 1. */
double blend_weight(long k);

/* A bearing w of the way from one to the other, the shorter way round; 0 <= result < 360. NAN where either is NAN or
 * w is outside 0 .. 1. */
double blend_deg(double from_deg, double to_deg, double w);

/* The k-th hour after the end.
 *
 * Given     last       the last hour of the forecast
 *           past_last  the stand-in at that same hour; NULL or NAN fields: not known
 *           past       the stand-in at the hour wanted
 *           k          1 ..
 * Returned  past, with temperature and dew point shifted by (1 - w) x (last - past_last), or mixed by w where past_last
 *           is not known; wind, gust, humidity, sky and pressure mixed by w; direction by blend_deg, where neither is
 *           calm or variable; rain, snow and sun as they were in the past
 * NAN       a figure missing in `last` comes from the past alone; one missing in the past stays NAN
 */
struct hour blend_hour(const struct hour *last, const struct hour *past_last, const struct hour *past, long k);

#endif
