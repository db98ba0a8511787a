/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/fuzz/weather_case.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct weather_options opt = { .has_at = true, .at_utc_s = INT64_C(1925380800) }; /* 2031-01-05T12:00Z */

    weather_case((const char *)data, size, &opt);
    return 0;
}
