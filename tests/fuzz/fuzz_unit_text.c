/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any text as a figure with a unit (first byte: the quantity), and as every type of field.
 */
#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/units.h"
#include "farm/facts.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena mem;
    struct message why = { "", "" };
    double si = -1.0, real;
    int64_t whole;
    struct civil_text civil;

    if (size < 2)
        return 0;
    arena_open(&mem, 16 << 20);
    const char *text = arena_bytes(&mem, (const char *)data + 1, size - 1);
    assert(text);
    if (quantity_read(text, (enum quantity)(data[0] % Q_END), -1e6, 1e6, "figure", &si, &why) == ST_OK)
        assert(isfinite(si) && si >= -1e6 && si <= 1e6);
    else
        assert(why.text[0]);
    if (read_real(text, &real))
        assert(isfinite(real));
    (void)!read_whole(text, &whole);
    (void)civil_read(text, &civil);
    for (size_t k = 0; fact_kinds[k]; k++) {
        const struct fact_field *f = &fact_kinds[k]->fields[data[0] % fact_kinds[k]->n_fields];
        const struct fact_speech speech = { .us_units = data[0] & 1, .clock_comes_first = data[0] & 2 };
        struct fact_value v = { .given = false };
        char flag[40];
        if (fact_value_read(f, fact_flag_name(f, flag), text, &speech, &mem, &v, &why) == ST_OK && v.given)
            assert(arena_full(&mem) || (fact_value_text(f, &v, &mem) && fact_value_show(f, &v, &speech, &mem)));
    }
    arena_close(&mem);
    return 0;
}
