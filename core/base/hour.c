/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/base/hour.h"

#include <math.h>

struct hour hour_unknown(int64_t utc_s)
{
    return (struct hour){ .utc_s = utc_s,
                          .temp_c = NAN,
                          .dew_point_c = NAN,
                          .rh = NAN,
                          .wind_mps = NAN,
                          .gust_mps = NAN,
                          .wind_from_deg = NAN,
                          .cloud_oktas = NAN,
                          .rain_mm = NAN,
                          .snow_cm = NAN,
                          .pressure_kpa = NAN,
                          .ghi_w_m2 = NAN,
                          .dni_w_m2 = NAN,
                          .dhi_w_m2 = NAN,
                          .rain_probability = NAN };
}
