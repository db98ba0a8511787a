/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any bytes as a time zone file. What is taken must answer for any moment, and local times must lead back.
 */
#include <assert.h>
#include <stdint.h>
#include <string.h>

#include "farm/zone.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const int64_t moments[] = { -5364662400, -2208988800, 0,          951868800,
                                       1769092800,  1782864000,  4102444800, 7258118400 };
    struct arena mem;
    const struct zone *z = NULL;
    struct message why = { "", "" };

    arena_open(&mem, 32 << 20);
    if (zone_read("fuzz", data, size, &mem, &z, &why) == ST_OK) {
        for (size_t i = 0; i < sizeof moments / sizeof moments[0]; i++) {
            int64_t first, second, change = 0;
            const int offset_s = zone_offset_s(z, moments[i]);
            assert(offset_s >= -180000 * 4 && offset_s <= 180000 * 4);
            assert(zone_standard_offset_s(z, moments[i]) <= offset_s);
            assert(strlen(zone_abbreviation(z, moments[i])) < 16);
            if (zone_next_change(z, moments[i], &change))
                assert(change > moments[i]);
            const enum zone_times times = zone_from_local(z, moments[i] + offset_s, &first, &second);
            if (times != ZONE_NEVER)
                assert(first <= second && first + zone_offset_s(z, first) == moments[i] + offset_s);
        }
    } else {
        assert(why.text[0]);
    }
    arena_close(&mem);
    return 0;
}
