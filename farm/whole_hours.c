/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/whole_hours.h"

#include <string.h>

#include "core/base/attr.h"

const char *const whole_hour_column[WHOLE_HOUR_COLUMNS] = {
    "lot",        "time",          "temp_c",      "dew_point_c",      "rh",      "wind_mps",
    "gust_mps",   "wind_from_deg", "cloud_oktas", "rain_mm",          "snow_cm", "pressure_kpa",
    "ghi_w_m2",   "dni_w_m2",      "dhi_w_m2",    "rain_probability", "snow",    "wind_variable",
    "rain_trace", "filled",        "risk",
};

static const size_t reals[] = {
    offsetof(struct hour, temp_c),       offsetof(struct hour, dew_point_c),      offsetof(struct hour, rh),
    offsetof(struct hour, wind_mps),     offsetof(struct hour, gust_mps),         offsetof(struct hour, wind_from_deg),
    offsetof(struct hour, cloud_oktas),  offsetof(struct hour, rain_mm),          offsetof(struct hour, snow_cm),
    offsetof(struct hour, pressure_kpa), offsetof(struct hour, ghi_w_m2),         offsetof(struct hour, dni_w_m2),
    offsetof(struct hour, dhi_w_m2),     offsetof(struct hour, rain_probability),
};
_Static_assert(COUNT(reals) == WHOLE_HOUR_REALS, "one offset for each column");

double whole_hour_real(const struct hour *h, size_t i)
{
    double x;
    memcpy(&x, (const char *)h + reals[i], sizeof x);
    return x;
}

void whole_hour_set_real(struct hour *h, size_t i, double x)
{
    memcpy((char *)h + reals[i], &x, sizeof x);
}

unsigned whole_hour_whole(const struct hour *h, size_t i)
{
    const unsigned whole[WHOLE_HOUR_WHOLES] = { h->snow, h->wind_variable, h->rain_trace, h->filled, h->risk };
    return whole[i];
}

void whole_hour_set_whole(struct hour *h, size_t i, unsigned x)
{
    switch (i) {
    case 0: h->snow = x != 0; break;
    case 1: h->wind_variable = x != 0; break;
    case 2: h->rain_trace = x != 0; break;
    case 3: h->filled = x; break;
    case 4: h->risk = x; break;
    }
}
