/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Within core/pedigree: rows as they came, and the steps from them to a pedigree with its findings.
 */
#ifndef CORE_PEDIGREE_GIVEN_H
#define CORE_PEDIGREE_GIVEN_H

#include "core/pedigree/names.h"
#include "core/pedigree/pedigree.h"

/* Rows by number of their names. Optional columns are NULL when no row has any. */
struct given {
    size_t n; /* rows, all arrays of n */
    uint32_t *id, *sire, *dam, *line;
    uint8_t *sex, *year_only;
    int32_t *born;
    uint16_t *breed;
    const char **name;
    const char *const *breeds;
    size_t n_breeds;
    struct names names;
};

/* Findings on the way; full memory shows in `mem`. */
struct findings_pot {
    struct pedigree_finding *list;
    size_t n, room, wrong;
    struct arena *mem; /* of the sentences */
    struct arena work;
};
void tell(struct findings_pot *pot, enum pedigree_kind kind, enum pedigree_weight weight, uint32_t line, const char *id,
          const char *fmt, ...) PRINTF_LIKE(6, 7);

/* Between names and animals while the order is made; arrays by name, 0 .. names.n. */
struct order {
    const struct given *g;
    uint32_t *row; /* first row of the name + 1; 0 = named only as a parent */
    uint32_t *sire, *dam;
    uint8_t *nobody;    /* a name that stands for nobody */
    uint8_t *loop;      /* member of a loop; NULL = none */
    uint32_t *sequence; /* names, parents first; n of them, from 1 */
    uint32_t n;
    struct arena *work;
    struct findings_pot *pot;
};

const char *name_text(struct order *o, uint32_t name); /* ended by 0; in the arena of the sentences */

bool unknown_text(const char *s, size_t n);     /* a spelling of "unknown" */
bool placeholder_text(const char *s, size_t n); /* a name that stands for nobody */

/* Loops are cut and told, then sequence is filled. False: memory. */
bool order_make(struct order *o);

/* Findings that need the finished pedigree. False: memory. */
bool checks(const struct pedigree *p, const struct given *g, const struct pedigree_rules *rules, struct arena *work,
            struct findings_pot *pot);
void check_breeds(const struct pedigree *p, struct findings_pot *pot);
bool check_spellings(const struct pedigree *p, struct arena *work, struct findings_pot *pot);

/* From rows to the pedigree; closes g->names. */
enum status given_settle(struct given *g, const struct pedigree_rules *rules, struct findings_pot *pot,
                         struct arena *mem, struct pedigree *p, struct pedigree_findings *out, const uint8_t **in_loop,
                         struct message *why) MUST_USE;

/* Why rows could not be taken: more spellings of breeds than can be numbered, by `line`; else memory. */
enum status given_refuse(uint32_t n_breeds, uint32_t line, struct message *why);

/* "2026-01-22", "22.1.2026", "2026", "98" ...: false when it is none of these. */
bool born_text(const char *s, size_t n, int32_t *born, bool *year_only);

#endif
