/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A pedigree from rows that are already in memory. */
#include <string.h>

#include "core/pedigree/given.h"

static struct piece piece_of(const char *s)
{
    struct piece p = { .at = s ? s : "", .n = 0 };

    while (*p.at == ' ' || *p.at == '\t')
        p.at++;
    size_t n = strlen(p.at);
    while (n && (p.at[n - 1] == ' ' || p.at[n - 1] == '\t'))
        n--;
    if (!unknown_text(p.at, n))
        p.n = n > UINT32_MAX ? UINT32_MAX : (uint32_t)n;
    return p;
}

static bool given_open(struct given *g, size_t n, struct arena *work)
{
    *g = (struct given){ .n = n };
    g->id = ARENA_NEW(work, uint32_t, n);
    g->sire = ARENA_NEW(work, uint32_t, n);
    g->dam = ARENA_NEW(work, uint32_t, n);
    g->line = ARENA_NEW(work, uint32_t, n);
    g->sex = ARENA_NEW(work, uint8_t, n);
    g->year_only = ARENA_NEW(work, uint8_t, n);
    g->born = ARENA_NEW(work, int32_t, n);
    return !arena_full(work) && names_open(&g->names, n + 1);
}

/* How many breeds, and the line of the last row looked at, also when it fails. */
struct breeds {
    uint32_t n, line;
};

static bool number_breeds(struct given *g, const struct pedigree_row rows[], struct names *names, struct breeds *out)
{
    for (size_t r = 0; r < g->n; r++) {
        const struct piece p = piece_of(rows[r].breed);
        uint32_t k = 0;
        const bool added = names_add(names, 1, &p, &k);
        *out = (struct breeds){ names->n, g->line[r] };
        if (!added || k >= PEDIGREE_NO_BREED)
            return false;
        g->breed[r] = k ? (uint16_t)(k - 1) : PEDIGREE_NO_BREED;
    }
    return true;
}

static bool breeds_of(struct given *g, const struct pedigree_row rows[], struct arena *work, struct arena *mem,
                      struct breeds *out)
{
    struct names names;
    bool any = false;

    for (size_t r = 0; r < g->n; r++)
        any |= piece_of(rows[r].breed).n > 0;
    if (!any)
        return true;
    g->breed = ARENA_NEW(work, uint16_t, g->n);
    bool all = names_open(&names, 64) && g->breed && number_breeds(g, rows, &names, out);
    const char **breeds = all ? ARENA_NEW(mem, const char *, (size_t)names.n + 1) : NULL;
    for (uint32_t k = 0; breeds && k < names.n; k++)
        all = all && (breeds[k] = arena_bytes(mem, names.text[k + 1].at, names.text[k + 1].n)) != NULL;
    g->breeds = breeds;
    g->n_breeds = names.n;
    names_close(&names);
    return all && breeds;
}

static bool names_of_rows(struct given *g, const struct pedigree_row rows[], struct arena *work)
{
    for (size_t r = 0; r < g->n; r++)
        if (rows[r].name && *rows[r].name) {
            if (!g->name && !(g->name = ARENA_NEW(work, const char *, g->n)))
                return false;
            g->name[r] = rows[r].name;
        }
    return true;
}

static bool given_rows(struct given *g, const struct pedigree_row rows[])
{
    for (size_t r = 0; r < g->n; r++) {
        const struct piece p[3] = { piece_of(rows[r].id), piece_of(rows[r].sire), piece_of(rows[r].dam) };
        uint32_t k[3];
        if (!names_add(&g->names, 3, p, k))
            return false;
        g->id[r] = k[0];
        g->sire[r] = k[1];
        g->dam[r] = k[2];
        g->line[r] = rows[r].line ? rows[r].line : (uint32_t)r + 1;
        g->sex[r] = (uint8_t)rows[r].sex;
        g->born[r] = rows[r].born;
        g->year_only[r] = rows[r].year_only;
    }
    return true;
}

enum status pedigree_order(size_t n_rows, const struct pedigree_row rows[], const struct pedigree_rules *rules,
                           struct arena *mem, struct pedigree *p, struct pedigree_findings *out,
                           const uint8_t **in_loop, struct message *why)
{
    struct findings_pot pot = { .mem = mem };
    struct arena work;
    struct given g = { .n = 0 };
    struct breeds breeds = { 0, 0 };
    enum status st;

    arena_open(&work, SIZE_MAX);
    arena_open(&pot.work, SIZE_MAX);
    if (n_rows >= UINT32_MAX / 4 || !given_open(&g, n_rows, &work) || !given_rows(&g, rows) ||
        !names_of_rows(&g, rows, &work) || !breeds_of(&g, rows, &work, mem, &breeds)) {
        names_close(&g.names);
        st = given_refuse(breeds.n, breeds.line, why);
    } else {
        st = given_settle(&g, rules, &pot, mem, p, out, in_loop, why);
    }
    arena_close(&pot.work);
    arena_close(&work);
    return st;
}
