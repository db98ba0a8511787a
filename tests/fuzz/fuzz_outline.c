/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any bytes as the outline of a field, GeoJSON or GPX. What is taken is an outline that the farm file takes as it stands.
 */
#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "desk/plan_world.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena mem;
    struct plan_read r;
    struct message why = { "", "" };

    arena_open(&mem, 64 << 20);
    const enum status st = plan_from_bytes((const char *)data, size, &mem, &r, &why);
    assert(st == ST_OK || why.text[0]);
    if (st == ST_OK) {
        struct corner *again = NULL;
        size_t n = 0;
        assert(r.n >= 3 && r.n <= CORNERS_MOST && isfinite(r.gap_m) && r.gap_m >= 0.0);
        assert(fabs(r.origin_lat_deg) <= 90.0 && isfinite(r.origin_lon_deg));
        const char *text = corners_text(r.corners, r.n, &mem);
        assert(text && corners_read(text, true, &mem, &again, &n, &why) == ST_OK && n == r.n);
    }
    arena_close(&mem);
    return 0;
}
