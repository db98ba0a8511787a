/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/sun/sun.h"

#include <math.h>

#include "core/sun/own.h"

const char *const sun_state_name[] = { "rises", "always up", "always down", "not known" };

static const double grazing_deg = 0.3; /* air colder or warmer than usual moves the limit by this much and more */

int64_t sun_day_number(int64_t utc_s, double lon_deg)
{
    return (int64_t)floor(((double)utc_s + 240.0 * lon_deg) / 86400.0);
}

/* Moment near `guess_s` at which the sun stands at hour angle `want_deg`: the hour angle grows by 15 degrees an hour to
 * within a part in a thousand, so three steps leave under a millisecond. */
static double at_hour_angle(double guess_s, double lon_deg, double want_deg)
{
    double at_s = guess_s;

    for (int i = 0; i < 4; i++) {
        const struct sun_vector v = sun_vector_at(at_s);
        const double part = at_s / 86400.0 - floor(at_s / 86400.0);
        const double now_deg = 360.0 * part - 180.0 + lon_deg + v.clock_deg - atan2(v.y, v.x) / SUN_RAD;
        at_s += 240.0 * sun_wrap_half(want_deg - now_deg);
    }
    return at_s;
}

/* The sun passes the limit once between a moment below it and a moment above it. */
static double crossing(double below_s, double above_s, double lat_deg, double lon_deg)
{
    while (fabs(above_s - below_s) > 0.05) {
        const double middle_s = 0.5 * (below_s + above_s);
        if (sun_elevation_at(middle_s, lat_deg, lon_deg, NULL) >= SUN_RISE_DEG)
            above_s = middle_s;
        else
            below_s = middle_s;
    }
    return 0.5 * (below_s + above_s);
}

static bool near_limit(double elevation_deg)
{
    return fabs(elevation_deg - SUN_RISE_DEG) < grazing_deg;
}

struct sun_day sun_day(int64_t utc_s, double lat_deg, double lon_deg)
{
    struct sun_day d = { .state = SUN_NOT_KNOWN,
                         .rise_azimuth_deg = NAN,
                         .set_azimuth_deg = NAN,
                         .transit_elevation_deg = NAN,
                         .lowest_elevation_deg = NAN };

    if (!sun_time_known(utc_s) || !sun_spot_known(lat_deg, lon_deg))
        return d;
    const double noon_s = 86400.0 * ((double)sun_day_number(utc_s, lon_deg) + 0.5) - 240.0 * lon_deg;
    const double transit_s = at_hour_angle(noon_s, lon_deg, 0.0);
    const double before_s = at_hour_angle(transit_s - 43200.0, lon_deg, -180.0);
    const double after_s = at_hour_angle(transit_s + 43200.0, lon_deg, 180.0);
    const double high = sun_elevation_at(transit_s, lat_deg, lon_deg, NULL);
    const double low_before = sun_elevation_at(before_s, lat_deg, lon_deg, NULL);
    const double low_after = sun_elevation_at(after_s, lat_deg, lon_deg, NULL);

    d.transit_utc_s = (int64_t)round(transit_s);
    d.transit_elevation_deg = high;
    d.lowest_elevation_deg = fmin(low_before, low_after);
    d.grazing = near_limit(high) || near_limit(low_before) || near_limit(low_after);
    if (high < SUN_RISE_DEG) {
        d.state = SUN_ALWAYS_DOWN;
        return d;
    }
    d.has_rise = low_before < SUN_RISE_DEG;
    d.has_set = low_after < SUN_RISE_DEG;
    d.state = d.has_rise || d.has_set ? SUN_RISES : SUN_ALWAYS_UP;
    if (d.has_rise) {
        const double at_s = crossing(before_s, transit_s, lat_deg, lon_deg);
        d.rise_utc_s = (int64_t)round(at_s);
        (void)sun_elevation_at(at_s, lat_deg, lon_deg, &d.rise_azimuth_deg);
    }
    if (d.has_set) {
        const double at_s = crossing(after_s, transit_s, lat_deg, lon_deg);
        d.set_utc_s = (int64_t)round(at_s);
        (void)sun_elevation_at(at_s, lat_deg, lon_deg, &d.set_azimuth_deg);
    }
    return d;
}

/* Degrees the sun is past a bearing, -180 .. 180. */
static double past(double at_s, double lat_deg, double lon_deg, double bearing_deg)
{
    double azimuth_deg = NAN;
    (void)sun_elevation_at(at_s, lat_deg, lon_deg, &azimuth_deg);
    return sun_wrap_half(azimuth_deg - bearing_deg);
}

bool sun_when_over(int64_t utc_s, double lat_deg, double lon_deg, double bearing_deg, int64_t *at_utc_s)
{
    const double step_s = 300.0; /* shorter than the sun needs for half the circle anywhere but straight overhead */
    const struct sun_day d = sun_day(utc_s, lat_deg, lon_deg);

    if (!sun_within(bearing_deg, 0.0, 360.0) || (d.state != SUN_RISES && d.state != SUN_ALWAYS_UP))
        return false;
    const double from_s = d.has_rise ? (double)d.rise_utc_s : (double)d.transit_utc_s - 43200.0;
    const double to_s = d.has_set ? (double)d.set_utc_s : (double)d.transit_utc_s + 43200.0;
    double last_s = from_s, last = past(from_s, lat_deg, lon_deg, bearing_deg);
    for (double now_s = from_s; now_s < to_s;) {
        now_s = fmin(now_s + step_s, to_s);
        const double now = past(now_s, lat_deg, lon_deg, bearing_deg);
        /* a change of sign near 0, not the jump opposite the bearing */
        if ((last <= 0.0) != (now <= 0.0) && fabs(last - now) < 180.0) {
            double a_s = last_s, b_s = now_s;
            while (b_s - a_s > 0.05) {
                const double mid_s = 0.5 * (a_s + b_s);
                if ((past(mid_s, lat_deg, lon_deg, bearing_deg) <= 0.0) == (last <= 0.0))
                    a_s = mid_s;
                else
                    b_s = mid_s;
            }
            *at_utc_s = (int64_t)round(0.5 * (a_s + b_s));
            return true;
        }
        last_s = now_s;
        last = now;
    }
    return false;
}
