/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <stdint.h>
#include <string.h>

#include "core/pedigree/pedigree.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena mem;
    struct pedigree p;
    struct pedigree_findings found;
    const uint8_t *in_loop;
    struct message why = { "", "" };

    if (size > 1 << 16)
        return 0;
    arena_open(&mem, (size_t)256 << 20);
    const enum status st = pedigree_read((const char *)data, size, NULL, &mem, &p, &found, &in_loop, &why);
    if (st != ST_OK) {
        assert(why.text[0] != 0);
        arena_close(&mem);
        return 0;
    }
    double *f = ARENA_NEW(&mem, double, (size_t)p.n + 1), *g = ARENA_NEW(&mem, double, (size_t)p.n + 1);
    assert(f && g && p.n > 0);
    assert(pedigree_inbreeding(&p, PEDIGREE_BY_SIRE, NULL, &mem, f, &why) == ST_OK);
    assert(pedigree_inbreeding(&p, PEDIGREE_BUCKETS, NULL, &mem, g, &why) == ST_OK);
    for (uint32_t i = 1; i <= p.n; i++) {
        assert(p.sire[i] < i && p.dam[i] < i && p.id[i][0] != 0);
        assert(f[i] > -1e-12 && f[i] < 1.0 + 1e-12 && f[i] - g[i] < 1e-12 && g[i] - f[i] < 1e-12);
    }
    for (size_t r = 0; r < p.n_rows; r++)
        assert(p.of_row[r] <= p.n);
    for (size_t k = 0; k < found.n; k++)
        assert(found.list[k].id && found.list[k].says[0] != 0 && found.list[k].kind < PK_END);
    arena_close(&mem);
    return 0;
}
