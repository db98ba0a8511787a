/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Kinship of chosen animals, and through whom. */
#include <stdlib.h>

#include "core/pedigree/lanes.h"
#include "core/pedigree/pedigree.h"

/* ---- a table of pairs ---- */

struct job {
    const struct pedigree *p;
    const double *d;
    size_t n_down, n_across; /* one column of A for each `down`, read at each `across` */
    const uint32_t *down, *across;
    size_t step_down, step_across; /* strides in k */
    uint32_t last;
    size_t workers;
    const struct sheet *sheet; /* of each worker */
    double *k;
};

static void pack(const struct job *j, const struct sheet *sheet, size_t first)
{
    const struct lanes *w = sheet->w;
    const size_t n = j->n_down - first < LANES ? j->n_down - first : LANES;

    for (size_t c = 0; c < j->n_across; c++)
        lanes_want(sheet, j->across[c]);
    lanes_columns(j->p->sire, j->p->dam, j->d, n, j->down + first, j->last, sheet);
    for (size_t c = 0; c < j->n_across; c++)
        for (size_t r = 0; r < n; r++)
            j->k[(first + r) * j->step_down + c * j->step_across] = 0.5 * w[j->across[c]].w[r];
}

static void part(void *self, size_t worker)
{
    const struct job *j = self;

    for (size_t first = worker * LANES; first < j->n_down; first += j->workers * LANES)
        pack(j, &j->sheet[worker], first);
}

static uint32_t youngest(size_t n, const uint32_t who[], uint32_t last)
{
    for (size_t i = 0; i < n; i++)
        last = who[i] > last ? who[i] : last;
    return last;
}

enum status pedigree_kinship(const struct pedigree *p, const double d[], size_t n_rows, const uint32_t rows[],
                             size_t n_cols, const uint32_t cols[], const struct pedigree_hands *hands,
                             struct arena *mem, double k[], struct message *why)
{
    const bool by_row = n_rows <= n_cols;
    struct job j = { .p = p,
                     .d = d,
                     .n_down = by_row ? n_rows : n_cols,
                     .n_across = by_row ? n_cols : n_rows,
                     .down = by_row ? rows : cols,
                     .across = by_row ? cols : rows,
                     .step_down = by_row ? n_cols : 1,
                     .step_across = by_row ? 1 : n_cols,
                     .k = k };
    struct arena work;
    size_t most = (j.n_down + LANES - 1) / LANES;

    (void)mem;
    if (most == 0)
        return ST_OK;
    j.last = youngest(n_rows, rows, youngest(n_cols, cols, 0));
    j.workers = hands && hands->threads ? hands->threads : 1;
    if (j.workers > most)
        j.workers = most;
    arena_open(&work, SIZE_MAX);
    j.sheet = sheets_open(j.workers, j.last, &work);
    if (!j.sheet) {
        arena_close(&work);
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    }
    if (j.workers > 1)
        hands->share(hands->self, part, &j, j.workers);
    else
        part(&j, 0);
    arena_close(&work);
    return ST_OK;
}

/* ---- through whom ---- */

struct trace {
    double share;  /* of the genes of the animal below */
    unsigned back; /* shortest generations; UINT_MAX: no ancestor */
};

/* Traced shares of i and of all its ancestors: one sweep up. */
static struct trace *trace_up(const struct pedigree *p, uint32_t i, struct arena *mem)
{
    struct trace *t = ARENA_NEW(mem, struct trace, (size_t)i + 1);

    if (!t)
        return NULL;
    for (uint32_t a = 0; a <= i; a++)
        t[a].back = UINT32_MAX;
    t[i] = (struct trace){ .share = 1.0, .back = 0 };
    for (uint32_t a = i; a > 0; a--) {
        const uint32_t up[2] = { p->sire[a], p->dam[a] };
        for (size_t k = 0; t[a].share > 0.0 && k < 2; k++) {
            t[up[k]].share += 0.5 * t[a].share;
            if (t[a].back + 1 < t[up[k]].back)
                t[up[k]].back = t[a].back + 1;
        }
    }
    return t;
}

static int larger_first(const void *a, const void *b)
{
    const struct pedigree_through *x = a, *y = b;

    if (x->part > y->part || x->part < y->part)
        return x->part > y->part ? -1 : 1;
    return x->ancestor < y->ancestor ? -1 : x->ancestor > y->ancestor;
}

enum status pedigree_kin_through(const struct pedigree *p, const double d[], uint32_t i, uint32_t j, struct arena *mem,
                                 const struct pedigree_through **through, size_t *n, struct message *why)
{
    const uint32_t older = i < j ? i : j;
    struct arena work;
    size_t count = 0, k = 0;

    arena_open(&work, SIZE_MAX);
    const struct trace *ti = trace_up(p, i, &work), *tj = trace_up(p, j, &work);
    if (ti && tj)
        for (uint32_t a = 1; a <= older; a++)
            count += ti[a].share > 0.0 && tj[a].share > 0.0 && d[a] > 0.0;
    struct pedigree_through *list = ARENA_NEW(mem, struct pedigree_through, count);
    if (!ti || !tj || !list) {
        arena_close(&work);
        return refuse(ST_NO_MEMORY, why, "pedigree", "too many animals for the memory of this machine");
    }
    for (uint32_t a = 1; a <= older; a++)
        if (ti[a].share > 0.0 && tj[a].share > 0.0 && d[a] > 0.0)
            list[k++] = (struct pedigree_through){ .ancestor = a,
                                                   .part = 0.5 * ti[a].share * tj[a].share * d[a],
                                                   .from_i = ti[a].back,
                                                   .from_j = tj[a].back };
    arena_close(&work);
    qsort(list, count, sizeof *list, larger_first);
    *through = list;
    *n = count;
    return ST_OK;
}
