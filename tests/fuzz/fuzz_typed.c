/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A typed forecast: any text either is refused with a sentence or gives hours that weather can have.
 */
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "weather/typed.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check(const struct hour *h)
{
    if (!(isnan(h->temp_c) || (h->temp_c >= -70.0 && h->temp_c <= 60.0)) ||
        !(isnan(h->wind_mps) || (h->wind_mps >= 0.0 && h->wind_mps <= 75.0)) ||
        !(isnan(h->wind_from_deg) || (h->wind_from_deg >= 0.0 && h->wind_from_deg < 360.0)) ||
        !(isnan(h->rain_mm) || (h->rain_mm >= 0.0 && isfinite(h->rain_mm))))
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char text[1024];
    const size_t n = size < sizeof text - 1 ? size : sizeof text - 1;
    struct message why = { "", "" };
    struct typed t;
    struct arena mem;
    struct hour *hours;
    const char **note;
    size_t n_notes;

    memcpy(text, data, n);
    text[n] = 0;
    arena_open(&mem, 1u << 20);
    if (typed_read(text, 1768521600, -21600, &t, &why) == ST_OK) {
        if (typed_hours(&t, 1768521600, 48, 1768501800, 32400.0, &mem, &hours, &note, &n_notes, &why) == ST_OK)
            for (int i = 0; i < 48; i++)
                check(&hours[i]);
        else if (why.text[0] == 0)
            abort();
    } else if (why.text[0] == 0 || strlen(why.text) >= sizeof why.text) {
        abort();
    }
    arena_close(&mem);
    return 0;
}
