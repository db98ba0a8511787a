/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/blend.h"

#include <math.h>
#include <stddef.h>

double blend_weight(long k)
{
    const double w = (double)k / (double)(BLEND_HOURS + 1);

    return w > 1.0 ? 1.0 : w < 0.0 ? 0.0 : w;
}

double blend_deg(double from_deg, double to_deg, double w)
{
    double turn, at;

    if (!(w >= 0.0 && w <= 1.0) || isnan(from_deg) || isnan(to_deg))
        return NAN;
    turn = fmod(to_deg - from_deg, 360.0);
    if (turn > 180.0)
        turn -= 360.0;
    if (turn < -180.0)
        turn += 360.0;
    at = fmod(from_deg + w * turn, 360.0);
    if (at < 0.0)
        at += 360.0;
    return at >= 360.0 ? 0.0 : at;
}

static double mixed(double last, double past, double w)
{
    return isnan(last) || isnan(past) ? past : (1.0 - w) * last + w * past;
}

/* Keeps the shape of the day: what is carried over is how far the forecast stood from the past, and that fades. */
static double shifted(double last, double past_last, double past, double w)
{
    if (isnan(last) || isnan(past_last) || isnan(past))
        return mixed(last, past, w);
    return past + (1.0 - w) * (last - past_last);
}

struct hour blend_hour(const struct hour *last, const struct hour *past_last, const struct hour *past, long k)
{
    const double w = blend_weight(k);
    struct hour h = *past;

    h.temp_c = shifted(last->temp_c, past_last ? past_last->temp_c : (double)NAN, past->temp_c, w);
    h.dew_point_c = shifted(last->dew_point_c, past_last ? past_last->dew_point_c : (double)NAN, past->dew_point_c, w);
    if (h.dew_point_c > h.temp_c)
        h.dew_point_c = h.temp_c;
    h.rh = mixed(last->rh, past->rh, w);
    h.wind_mps = mixed(last->wind_mps, past->wind_mps, w);
    h.gust_mps = mixed(last->gust_mps, past->gust_mps, w);
    h.cloud_oktas = mixed(last->cloud_oktas, past->cloud_oktas, w);
    h.pressure_kpa = mixed(last->pressure_kpa, past->pressure_kpa, w);
    if (last->wind_mps > 0.0 && past->wind_mps > 0.0 && !isnan(last->wind_from_deg) && !isnan(past->wind_from_deg))
        h.wind_from_deg = blend_deg(last->wind_from_deg, past->wind_from_deg, w);
    return h;
}
