/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/pedigree/lanes.h"

#include <string.h>

static inline void add_half(struct lanes *to, const struct lanes *from)
{
    for (size_t k = 0; k < LANES; k++)
        to->w[k] += 0.5 * from->w[k];
}

void lanes_columns(const uint32_t sire[], const uint32_t dam[], const double d[], size_t n, const uint32_t who[],
                   uint32_t last, struct lanes w[])
{
    uint32_t youngest = 0;

    for (size_t k = 0; k < n; k++)
        youngest = who[k] > youngest ? who[k] : youngest;
    memset(w, 0, ((size_t)youngest + 1) * sizeof *w);
    for (size_t k = 0; k < n; k++)
        w[who[k]].w[k] = 1.0;
    for (uint32_t i = youngest; i > 0; i--) {
        const struct lanes v = w[i];
        add_half(&w[sire[i]], &v);
        add_half(&w[dam[i]], &v);
    }
    w[0] = (struct lanes){ { 0 } };
    for (uint32_t i = 1; i <= youngest; i++) {
        const struct lanes *s = &w[sire[i]], *m = &w[dam[i]];
        for (size_t k = 0; k < LANES; k++)
            w[i].w[k] = w[i].w[k] * d[i] + 0.5 * (s->w[k] + m->w[k]);
    }
    for (uint32_t i = youngest + 1; i <= last; i++) {
        const struct lanes *s = &w[sire[i]], *m = &w[dam[i]];
        for (size_t k = 0; k < LANES; k++)
            w[i].w[k] = 0.5 * (s->w[k] + m->w[k]);
    }
}
