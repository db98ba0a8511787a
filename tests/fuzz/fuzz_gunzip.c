/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <stdint.h>

#include "weather/gunzip.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct text out;
    struct message why = { "", "" };

    text_open(&out, (size_t)1 << 20);
    if (gunzip("case", (const char *)data, size, &out, &why) != ST_OK)
        assert(why.text[0]);
    assert(out.length <= (size_t)1 << 20);
    text_close(&out);
    return 0;
}
