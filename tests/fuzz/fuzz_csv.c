/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <stdint.h>
#include <string.h>

#include "core/base/csv.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct csv c;
    struct message why = { "", "" };
    size_t line = 0;

    if (csv_open(&c, (const char *)data, size, 0, &why) != ST_OK)
        return 0;
    for (enum csv_result r; (r = csv_next(&c, &why)) != CSV_END;) {
        assert(c.line > line);
        line = c.line;
        assert(r == CSV_BAD ? why.text[0] != 0 : c.n_fields >= 1 && c.n_fields <= CSV_FIELDS);
        for (size_t i = 0; i < c.n_fields; i++)
            assert(strlen(c.field[i]) <= CSV_ROW_BYTES);
    }
    csv_close(&c);
    return 0;
}
