/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Within core/pedigree: a number for every spelling, in order of first use. Short texts lie in the table itself, and
 * many are looked up at a time, so that one wait for memory serves them all.
 */
#ifndef CORE_PEDIGREE_NAMES_H
#define CORE_PEDIGREE_NAMES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"

struct piece {
    const char *at; /* not ended by 0 */
    uint32_t n;
};

struct names {
    uint32_t n;         /* spellings, numbered from 1 */
    struct piece *text; /* by number */
    uint32_t room;
    struct names_slot *slot;
    uint64_t mask;
    struct arena mem;
};

enum { NAMES_BATCH = 192 };

bool names_open(struct names *t, size_t expect);
void names_close(struct names *t);
/* Numbers of many, n <= NAMES_BATCH, new ones added; 0 for an empty piece. False: memory. */
bool names_add(struct names *t, size_t n, const struct piece piece[], uint32_t number[]);
uint32_t names_find(const struct names *t, struct piece piece);

#endif
