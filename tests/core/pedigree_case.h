/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A pedigree from text, reckoned, for tests. */
#ifndef TESTS_CORE_PEDIGREE_CASE_H
#define TESTS_CORE_PEDIGREE_CASE_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/pedigree/pedigree.h"

struct case_of {
    struct arena mem;
    struct pedigree p;
    struct pedigree_findings found;
    const uint8_t *in_loop;
    double *f, *d;
};

static inline void case_bytes(struct case_of *c, const char *bytes, size_t n)
{
    struct message why = { "", "" };

    arena_open(&c->mem, SIZE_MAX);
    if (pedigree_read(bytes, n, NULL, &c->mem, &c->p, &c->found, &c->in_loop, &why) != ST_OK)
        fail_msg("not read: %s", why.text);
    c->f = ARENA_NEW(&c->mem, double, (size_t)c->p.n + 1);
    c->d = ARENA_NEW(&c->mem, double, (size_t)c->p.n + 1);
    assert_int_equal(pedigree_inbreeding(&c->p, PEDIGREE_BEST, NULL, &c->mem, c->f, &why), ST_OK);
    pedigree_mendelian(&c->p, c->f, c->d);
}

static inline void case_read(struct case_of *c, const char *text)
{
    case_bytes(c, text, strlen(text));
}

static inline void case_close(struct case_of *c)
{
    arena_close(&c->mem);
}

/* False, said so: the outside data are not there. */
static inline bool case_outside(struct case_of *c, const char *name)
{
    const char *folder = getenv("LEENEST_OUTSIDE");
    char path[512];
    (void)snprintf(path, sizeof path, "%s/%s", folder ? folder : "", name);
    FILE *f = folder ? fopen(path, "rb") : NULL;
    if (!f) {
        print_message("skipped: %s is not there\n", name);
        return false;
    }
    char *bytes = malloc(4u << 20);
    const size_t n = bytes ? fread(bytes, 1, 4u << 20, f) : 0;
    (void)fclose(f);
    case_bytes(c, bytes, n);
    free(bytes); /* ids are copies */
    return true;
}

static inline double f_of(const struct case_of *c, const char *id)
{
    const uint32_t i = pedigree_find(&c->p, NULL, id);
    if (!i)
        fail_msg("no animal %s", id);
    return c->f[i];
}

static inline double k_of(struct case_of *c, const char *a, const char *b)
{
    const uint32_t i = pedigree_find(&c->p, NULL, a), j = pedigree_find(&c->p, NULL, b);
    struct message why;
    double k = -1.0;
    assert_true(i && j);
    assert_int_equal(pedigree_kinship(&c->p, c->d, 1, &i, 1, &j, NULL, &c->mem, &k, &why), ST_OK);
    return k;
}

static inline const struct pedigree_finding *case_says(const struct case_of *c, enum pedigree_kind kind, const char *id,
                                                       const char *part)
{
    for (size_t i = 0; i < c->found.n; i++) {
        const struct pedigree_finding *f = &c->found.list[i];
        if (f->kind == kind && strcmp(f->id, id) == 0 && strstr(f->says, part))
            return f;
    }
    return NULL;
}

#endif
