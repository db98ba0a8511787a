/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/pedigree/lanes.h"

#include <string.h>

/* All lanes as one value of the compiler's own vectors. They need not lie on a border of 64 bytes. */
typedef double all_lanes __attribute__((vector_size(LANES * sizeof(double)), aligned(8), may_alias));

static inline all_lanes *row(struct lanes *w, uint32_t i)
{
    return (all_lanes *)w[i].w;
}

struct sheet *sheets_open(size_t n, uint32_t last, struct arena *work)
{
    struct sheet *s = ARENA_NEW(work, struct sheet, n);

    for (size_t i = 0; s && i < n; i++) {
        s[i].w = ARENA_NEW(work, struct lanes, (size_t)last + 1);
        s[i].ancestor = ARENA_NEW(work, uint8_t, (size_t)last + 1);
    }
    return arena_full(work) ? NULL : s;
}

/* Shares traced up from `who`, times D; few of the youngest are ancestors of anybody here. */
static void sweep_up(const uint32_t sire[], const uint32_t dam[], const double d[], uint32_t youngest,
                     const struct sheet *sheet)
{
    struct lanes *w = sheet->w;
    uint8_t *ancestor = sheet->ancestor;

    for (uint32_t i = youngest; i > 0; i--) {
        if (!ancestor[i])
            continue;
        const all_lanes share = *row(w, i), half = 0.5 * share;
        ancestor[i] = 0;
        ancestor[sire[i]] = ancestor[dam[i]] = 1;
        *row(w, sire[i]) += half;
        *row(w, dam[i]) += half;
        *row(w, i) = share * d[i];
    }
    ancestor[0] = 0;
    w[0] = (struct lanes){ { 0 } };
}

void lanes_columns(const uint32_t sire[], const uint32_t dam[], const double d[], size_t n, const uint32_t who[],
                   uint32_t last, const struct sheet *sheet)
{
    struct lanes *w = sheet->w;
    uint32_t youngest = 0;

    for (size_t k = 0; k < n; k++)
        youngest = who[k] > youngest ? who[k] : youngest;
    memset(w, 0, ((size_t)youngest + 1) * sizeof *w);
    for (size_t k = 0; k < n; k++) {
        w[who[k]].w[k] = 1.0;
        sheet->ancestor[who[k]] = 1;
    }
    sweep_up(sire, dam, d, youngest, sheet);
    for (uint32_t i = 1; i <= youngest; i++)
        *row(w, i) += 0.5 * (*row(w, sire[i]) + *row(w, dam[i]));
    for (uint32_t i = youngest + 1; i <= last; i++)
        *row(w, i) = 0.5 * (*row(w, sire[i]) + *row(w, dam[i]));
}
