/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Within core/pedigree: eight columns of A at once, one in each lane (Colleau 2002). Plain doubles side by side, so that
 * the compiler can use vectors of whatever width the machine has; lanes never mix.
 */
#ifndef CORE_PEDIGREE_LANES_H
#define CORE_PEDIGREE_LANES_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"

enum { LANES = 8 };
struct lanes {
    double w[LANES];
};

/* What one worker needs. */
struct sheet {
    struct lanes *w;        /* rows 0 .. last */
    uint64_t *want, *above; /* a bit for each row, all 0 between uses */
};
/* `n` sheets for rows 0 .. last; NULL: memory. */
struct sheet *sheets_open(size_t n, uint32_t last, struct arena *work);

/* The next lanes_columns() gives this row. */
static inline void lanes_want(const struct sheet *sheet, uint32_t row)
{
    sheet->want[row / 64] |= UINT64_C(1) << row % 64;
}

/* The rows wanted, of the columns of A that belong to who[0 .. n), n <= LANES, into sheet->w; w[0] = 0. Only those rows
 * and their ancestors are reckoned; what else lies in w is left over from before. Nothing is wanted afterwards.
 *
 * Given     sire, dam, d   as of a pedigree; d(i) may be any finite number where i is no ancestor of one of `who`
 *           last           no smaller than any of `who` and any row wanted
 */
void lanes_columns(const uint32_t sire[], const uint32_t dam[], const double d[], size_t n, const uint32_t who[],
                   uint32_t last, const struct sheet *sheet);

#endif
