/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/fuzz/weather_case.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    weather_case((const char *)data, size, NULL);
    return 0;
}
