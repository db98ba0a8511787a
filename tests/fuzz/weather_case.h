/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One case of a weather reader's fuzz target: read, and if it reads, look that what came out is what the header
 * promises.
 */
#ifndef TESTS_FUZZ_WEATHER_CASE_H
#define TESTS_FUZZ_WEATHER_CASE_H

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "weather/weather.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static inline void weather_within(double value, double low, double high)
{
    assert(isnan(value) || (value >= low && value <= high));
}

static inline void weather_check(const struct weather *w)
{
    assert(w->n > 0);
    for (size_t i = 0; i < w->n; i++) {
        const struct hour *h = &w->hour[i];
        weather_within(h->temp_c, -70.0, 60.0);
        weather_within(h->rh, 0.0, 1.0);
        weather_within(h->wind_mps, 0.0, 75.0);
        weather_within(h->wind_from_deg, 0.0, 359.99999999);
        weather_within(h->cloud_oktas, 0.0, 8.0);
        weather_within(h->rain_mm, 0.0, 400.0);
        weather_within(h->rain_probability, 0.0, 1.0);
        assert(i == 0 || h->utc_s > w->hour[i - 1].utc_s ||
               (h->utc_s == w->hour[i - 1].utc_s && h->source > w->hour[i - 1].source));
        assert(h->source >= 0 && (size_t)h->source < w->n_sources);
    }
}

static inline void weather_case(const char *bytes, size_t n, const struct weather_options *opt)
{
    struct arena mem;
    struct weather w, filled;
    struct message why = { "", "" };

    arena_open(&mem, (size_t)256 << 20);
    if (weather_read("case", bytes, n, opt, &mem, &w, &why) == ST_OK) {
        weather_check(&w);
        if (weather_fill(&w, &mem, &filled, &why) == ST_OK)
            weather_check(&filled);
        if (weather_join(&w, 1, &mem, &filled, &why) == ST_OK)
            assert(filled.n == w.n);
    } else {
        assert(why.text[0] && !strpbrk(why.text, "\r\n"));
    }
    arena_close(&mem);
}

#endif
