/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any bytes as a JSON record or list of records. What is taken is checked and written out, and must be JSON again.
 */
#include <assert.h>
#include <jansson.h>
#include <stdint.h>
#include <string.h>

#include "farm/exchange.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena mem;
    struct farm_item *items = NULL;
    struct message why = { "", "" };
    const struct fact_speech speech = { .us_units = size % 2 };
    size_t n = 0;

    arena_open(&mem, 64 << 20);
    const enum status st = farm_json_read("fuzz.json", (const char *)data, size, NULL, &speech, &mem, &items, &n, &why);
    assert(st == ST_OK || why.text[0]);
    for (size_t i = 0; st == ST_OK && i < n; i++) {
        if (items[i].status != ST_OK) {
            assert(items[i].why.text[0]);
            continue;
        }
        const char *body = fact_json(items[i].kind, items[i].values, &mem);
        if (!body)
            continue;
        json_error_t error;
        json_t *again = json_loads(body, JSON_REJECT_DUPLICATES, &error);
        assert(again);
        json_decref(again);
    }
    arena_close(&mem);
    return 0;
}
