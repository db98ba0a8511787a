/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pedigree: who descends from whom, as numbers; what is wrong in it; inbreeding and kinship.
 *
 * Animals are 1 .. n and parents come before their offspring; 0 stands for an unknown parent. Every array of a pedigree
 * holds n + 1 values, the first one a dummy, so that a sweep needs no branch. a(i,j) is the numerator relationship,
 * k(i,j) = a(i,j) / 2 the kinship (coancestry), f(i) = k(sire, dam) the inbreeding, 0 when a parent is unknown.
 * Double precision throughout: to about 25 generations F is a dyadic fraction and exact.
 *
 * All pure. What is slow is split into parts that a caller may hand to threads (struct pedigree_hands); the result is
 * the same, byte for byte, for any number of them. Formulas, sources and limits: docs/reckoning/pedigree.md.
 */
#ifndef CORE_PEDIGREE_PEDIGREE_H
#define CORE_PEDIGREE_PEDIGREE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

enum pedigree_sex { PEDIGREE_SEX_UNKNOWN, PEDIGREE_MALE, PEDIGREE_FEMALE };

#define PEDIGREE_NO_DAY INT32_MIN
enum { PEDIGREE_NO_BREED = 0xffff };

struct pedigree {
    uint32_t n;                 /* animals */
    const uint32_t *sire, *dam; /* 0 = unknown; always below the animal's own number */
    const char *const *id;      /* as spelled in the source; id[0] is "" */
    const char *const *name;    /* NULL when no row has a name; else n + 1, "" = none */
    const uint8_t *sex;         /* enum pedigree_sex: recorded, else implied by use */
    const int32_t *born;        /* days since 1970-01-01, or the middle of a year alone; PEDIGREE_NO_DAY */
    const uint8_t *year_only;   /* 1: `born` rests on a year alone */
    const uint16_t *breed;      /* index of breeds; PEDIGREE_NO_BREED. NULL when no row has a breed */
    const char *const *breeds;  /* as spelled, in order of first use */
    size_t n_breeds;
    const uint32_t *line;   /* line (or row number) of the source; 0: named only as a parent */
    const uint32_t *of_row; /* by row of the source, from 0: its animal; 0 = the row was dropped */
    size_t n_rows;
};

/* ---- reading ------------------------------------------------------------------------------------------------- */

struct pedigree_rules {     /* start from pedigree_rules_default() */
    double boar_least_d;    /* 183: younger at the birth of offspring is odd (about 6 months and a gestation) */
    double sow_least_d;     /* 274: about 9 months at farrowing */
    double sow_most_d;      /* 4383: 12 years */
    double litters_apart_d; /* 115: litters of a dam closer than that are odd */
    unsigned litter_most;   /* 25 */
    unsigned generations;   /* 0 = all known; else ancestors further back are not read (state it beside F) */
};
struct pedigree_rules pedigree_rules_default(void);

enum pedigree_weight { PEDIGREE_NOTE, PEDIGREE_HINT, PEDIGREE_ODD, PEDIGREE_WRONG /* an error: exit 1 */ };
enum pedigree_kind {          /* the word of pedigree_kind_name[] stands in JSON */
                     PK_LOOP, /* "loop": an animal its own ancestor; the whole loop once; a self-parent is the shortest */
                     PK_DUPLICATE, /* "duplicate": an id twice; same parents odd, others wrong; near spellings a hint */
                     PK_NO_ROW,    /* "no-row": a parent without a row of its own; it becomes a founder of that sex */
                     PK_SEX,       /* "sex": used as sire and as dam, or against its recorded sex */
                     PK_BORN,      /* "born": born before or with a parent; too young; too old; litters too close */
                     PK_PLACEHOLDER,  /* "placeholder": a name that stands for nobody, or an id `0` */
                     PK_SAME_PARENTS, /* "same-parent": sire equal to dam */
                     PK_LITTER,       /* "litter": one litter with several sires, or too many in it */
                     PK_BREED,        /* "breed": recorded as one its parents and ancestors don't have */
                     PK_END
};
extern const char *const pedigree_kind_name[PK_END];

struct pedigree_finding {
    enum pedigree_kind kind;
    enum pedigree_weight weight;
    uint32_t line;    /* 0: none */
    const char *id;   /* the animal it is about */
    const char *says; /* one plain sentence */
};
struct pedigree_findings {
    size_t n, wrong;                     /* all; of them PEDIGREE_WRONG */
    const struct pedigree_finding *list; /* by line */
};

/* One row of a pedigree that is already in memory. Texts may be NULL or a spelling of unknown. */
struct pedigree_row {
    const char *id, *sire, *dam, *name, *breed;
    enum pedigree_sex sex;
    int32_t born; /* PEDIGREE_NO_DAY */
    bool year_only;
    uint32_t line;
};

/* Order, number and check rows. Animals in a loop lose the link that closes it (said in a finding): `in_loop` (n + 1,
 * may be NULL when there is none) marks those whose F is undefined.
 *
 * Given     rules     NULL = default
 * Returned  *p, *found, *in_loop in the arena; a pedigree with findings is still returned
 * Fails     ST_BAD_INPUT when nothing can be made of it (no rows; an id missing), or with more than 65534 spellings of
 *           breeds; ST_NO_MEMORY
 */
enum status pedigree_order(size_t n_rows, const struct pedigree_row rows[], const struct pedigree_rules *rules,
                           struct arena *mem, struct pedigree *p, struct pedigree_findings *found,
                           const uint8_t **in_loop, struct message *why) MUST_USE;

/* The same from the bytes of a CSV file (header id,sire,dam and, optionally, sex, born, breed, name; separators, BOM,
 * quotes, dates and spellings of unknown as docs/reckoning/pedigree.md lists). The bytes may go afterwards. */
enum status pedigree_read(const char *bytes, size_t n_bytes, const struct pedigree_rules *rules, struct arena *mem,
                          struct pedigree *p, struct pedigree_findings *found, const uint8_t **in_loop,
                          struct message *why) MUST_USE;

/* Animal of an id as spelled; 0: there is none. Linear the first time unless an index was made. */
struct pedigree_index; /* id -> animal, in the arena */
enum status pedigree_index_make(const struct pedigree *p, struct arena *mem, struct pedigree_index **index,
                                struct message *why) MUST_USE;
uint32_t pedigree_find(const struct pedigree *p, const struct pedigree_index *index, const char *id);

/* ---- inbreeding ---------------------------------------------------------------------------------------------- */

/* Who does the parts of a long job: run part(job, i) for every i < n, on as many threads as the caller likes, and
 * return when all are done. NULL = one after another. */
struct pedigree_hands {
    void (*share)(void *self, void (*part)(void *job, size_t i), void *job, size_t n);
    void *self;
    size_t threads; /* how many parts are worth making; results never depend on it */
};

enum pedigree_method {
    PEDIGREE_BEST,    /* by sire, buckets where neither sex is small */
    PEDIGREE_BY_SIRE, /* Colleau 2002; Sargolzaei, Iwaisaki & Colleau 2005 */
    PEDIGREE_BUCKETS, /* Sargolzaei & Iwaisaki 2005, grouped by longest ancestral path */
};

/* F of every animal into f[0 .. n]; f[0] = -1 (the convention for an unknown parent in the Mendelian variance).
 *
 * Fails     ST_NO_MEMORY
 * Source    see enum pedigree_method; error under 1e-14 past 25 generations, exact before
 */
enum status pedigree_inbreeding(const struct pedigree *p, enum pedigree_method how, const struct pedigree_hands *hands,
                                struct arena *mem, double f[], struct message *why) MUST_USE;

/* The same, but of each animal only the ancestors up to `generations` back count (1 = its parents alone, F 0 unless they
 * are one animal); who stands at that distance by the shortest way is taken as a founder. f as above. For figures to
 * hold against those of others; D for anything else rests on all that is known. ST_NO_MEMORY. */
enum status pedigree_inbreeding_depth(const struct pedigree *p, unsigned generations, struct arena *mem, double f[],
                                      struct message *why) MUST_USE;

/* Mendelian sampling variance d(i) = 1/2 - (f(sire) + f(dam)) / 4 into d[0 .. n]; d[0] = 0. */
void pedigree_mendelian(const struct pedigree *p, const double f[], double d[]);

/* y = A x in two sweeps (Colleau 2002); x, y of n + 1, x[0] and y[0] 0; y may be x. v: n + 1 of work space. */
void pedigree_times(const struct pedigree *p, const double d[], const double x[], double y[], double v[]);

/* A by the table, for checks and for teaching: a[(n + 1) * (n + 1)], row 0 and column 0 zero. */
void pedigree_table(const struct pedigree *p, double a[]);
/* A^-1 dense, the same shape (Henderson 1976; Quaas 1976). */
void pedigree_inverse(const struct pedigree *p, const double d[], double inverse[]);

/* Kinship of every `rows` with every `cols`: k[r * n_cols + c]. ST_NO_MEMORY. */
enum status pedigree_kinship(const struct pedigree *p, const double d[], size_t n_rows, const uint32_t rows[],
                             size_t n_cols, const uint32_t cols[], const struct pedigree_hands *hands,
                             struct arena *mem, double k[], struct message *why) MUST_USE;

/* Through whom two animals are kin: k(i,j) split by common ancestor, t(i,a) t(j,a) d(a) / 2, largest first; the parts
 * add up to the kinship. */
struct pedigree_through {
    uint32_t ancestor;
    double part;
    unsigned from_i, from_j; /* shortest generations back; 0: the animal itself */
};
enum status pedigree_kin_through(const struct pedigree *p, const double d[], uint32_t i, uint32_t j, struct arena *mem,
                                 const struct pedigree_through **through, size_t *n, struct message *why) MUST_USE;

/* How much of the pedigree is known. */
struct pedigree_known {
    double share[5];            /* of the ancestors 1 .. 5 generations back, the part that is known */
    unsigned complete, longest; /* generations wholly known; longest path */
    double equivalent;          /* equivalent complete generations: sum of known shares */
};
/* Of one animal; `equivalent` is NAN when the machine has no memory left for the ancestors. */
struct pedigree_known pedigree_known_of(const struct pedigree *p, uint32_t animal);
/* Equivalent complete generations of all, t[0 .. n]; t[0] = -1 so that an unknown parent counts nothing. */
void pedigree_equivalent(const struct pedigree *p, double t[]);

#endif
