/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/pedigree/lanes.h"

#include <stdbool.h>

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
        s[i].want = ARENA_NEW(work, uint64_t, (size_t)last / 64 + 1);
        s[i].above = ARENA_NEW(work, uint64_t, (size_t)last / 64 + 1);
    }
    return arena_full(work) ? NULL : s;
}

static void mark(uint64_t bits[], uint32_t row)
{
    bits[row / 64] |= UINT64_C(1) << row % 64;
}

/* The highest row of this word below `under` bits; false: none. */
static inline bool next_down(const uint64_t bits[], uint32_t word, uint64_t *under, uint32_t *row)
{
    const uint64_t left = bits[word] & *under;

    if (left == 0)
        return false;
    const uint32_t bit = 63 - (uint32_t)__builtin_clzll(left);
    *under = (UINT64_C(1) << bit) - 1;
    *row = word * 64 + bit;
    return true;
}

/* With the rows wanted their ancestors, all of them empty. */
static void clear_up(const uint32_t sire[], const uint32_t dam[], uint32_t last, const struct sheet *sheet)
{
    for (uint32_t word = last / 64 + 1, i; word-- > 0;)
        for (uint64_t under = UINT64_MAX; next_down(sheet->want, word, &under, &i);) {
            mark(sheet->want, sire[i]);
            mark(sheet->want, dam[i]);
            *row(sheet->w, i) = (all_lanes){ 0 };
        }
}

/* Shares traced up from the youngest of `who`, times D. */
static void sweep_up(const uint32_t sire[], const uint32_t dam[], const double d[], uint32_t youngest,
                     const struct sheet *sheet)
{
    struct lanes *w = sheet->w;

    for (uint32_t word = youngest / 64 + 1, i; word-- > 0;) {
        for (uint64_t under = UINT64_MAX; next_down(sheet->above, word, &under, &i);) {
            const all_lanes share = *row(w, i), half = 0.5 * share;
            if (i == 0)
                break;
            mark(sheet->above, sire[i]);
            mark(sheet->above, dam[i]);
            *row(w, sire[i]) += half;
            *row(w, dam[i]) += half;
            *row(w, i) = share * d[i];
        }
        sheet->above[word] = 0;
    }
    w[0] = (struct lanes){ { 0 } };
}

void lanes_columns(const uint32_t sire[], const uint32_t dam[], const double d[], size_t n, const uint32_t who[],
                   uint32_t last, const struct sheet *sheet)
{
    struct lanes *w = sheet->w;
    uint32_t youngest = 0;

    for (size_t k = 0; k < n; k++) {
        youngest = who[k] > youngest ? who[k] : youngest;
        mark(sheet->want, who[k]);
        mark(sheet->above, who[k]);
    }
    mark(sheet->want, 0);
    clear_up(sire, dam, last, sheet);
    for (size_t k = 0; k < n; k++)
        w[who[k]].w[k] = 1.0;
    sweep_up(sire, dam, d, youngest, sheet);
    sheet->want[0] &= ~UINT64_C(1);
    for (uint32_t word = 0; word <= last / 64; word++) {
        for (uint64_t left = sheet->want[word]; left; left &= left - 1) {
            const uint32_t i = word * 64 + (uint32_t)__builtin_ctzll(left);
            *row(w, i) += 0.5 * (*row(w, sire[i]) + *row(w, dam[i]));
        }
        sheet->want[word] = 0;
    }
}
