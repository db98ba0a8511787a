/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any bytes as a CSV file of facts: the first byte picks the kind. What is taken must come back from its own text.
 */
#include <assert.h>
#include <stdint.h>
#include <string.h>

#include "farm/exchange.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void comes_back(const struct farm_item *item, struct arena *mem)
{
    const struct fact_speech speech = { .zone = NULL };
    struct message why = { "", "" };

    for (size_t i = 0; i < item->kind->n_fields; i++) {
        const struct fact_field *f = &item->kind->fields[i];
        const char *text = fact_value_text(f, &item->values[i], mem);
        struct fact_value back = { .given = false };
        if (!text)
            return;
        assert(fact_value_read(f, f->name, text, &speech, mem, &back, &why) == ST_OK || arena_full(mem));
        assert(arena_full(mem) || back.given == item->values[i].given);
        assert(arena_full(mem) || !back.given ||
               (f->type == FACT_REAL ? back.real == item->values[i].real : back.whole == item->values[i].whole));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena mem;
    struct farm_item *items = NULL;
    struct message why = { "", "" };
    size_t kinds = 0, n = 0;
    const struct fact_speech speech = { .us_units = size > 0 && (data[0] & 0x80) };

    while (fact_kinds[kinds])
        kinds++;
    if (size < 1)
        return 0;
    arena_open(&mem, 64 << 20);
    const struct fact_kind *kind = fact_kinds[(data[0] & 0x7f) % kinds];
    const enum status st =
        farm_csv_read("fuzz.csv", (const char *)data + 1, size - 1, kind, &speech, &mem, &items, &n, &why);
    assert(st == ST_OK || why.text[0]);
    for (size_t i = 0; st == ST_OK && i < n; i++) {
        assert(items[i].status == ST_OK || items[i].why.text[0]);
        if (items[i].status == ST_OK)
            comes_back(&items[i], &mem);
    }
    arena_close(&mem);
    return 0;
}
