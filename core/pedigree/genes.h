/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Genes: what a group of animals still carries of its founders and of its breeds, and how fast it loses it.
 *
 * A group is n_group animals with weights c that sum to 1 (NULL: equal). Where an animal has one parent unknown, that
 * parent counts as a founder of its own (a phantom), so that shares sum to 1 exactly.
 * Formulas, sources and limits: docs/reckoning/genes-and-pairings.md.
 */
#ifndef CORE_PEDIGREE_GENES_H
#define CORE_PEDIGREE_GENES_H

#include "core/pedigree/pedigree.h"

struct genes_group {
    size_t n;
    const uint32_t *animal;
    const double *weight; /* NULL = 1/n each */
};

struct genes_founder {
    uint32_t animal; /* the founder, or the half-known animal whose other parent it is */
    bool phantom;    /* true: the unknown parent of `animal` */
    double share;    /* of the genes of the group; 0 = lost */
    size_t carriers; /* members of the group that descend from it */
    uint32_t only;   /* the one member that does, when it is one; else 0 */
    double survives; /* chance that at least one of its two alleles at a locus is in the group (gene drop); NAN */
    double alleles;  /* expected number of its two alleles in the group, 0 .. 2; NAN without gene drop */
};

struct genes {
    size_t n_founders;
    const struct genes_founder
        *founder; /* largest share first; the lost at the end, those that never had offspring left out */
    double fe;    /* effective founders (Lacy 1989) */
    double fg;    /* founder genome equivalents, exact: 1 / (c'A c) */
    double mean_f;
    double mean_kinship; /* selves included: c'A c / 2 */
    double mean_kinship_without_self;
    double equivalent_generations; /* mean */
    double ballou;                 /* mean ancestral inbreeding (Ballou 1997) */
    double ne;         /* effective size from individual increase, root t - 1 (Gutierrez et al. 2009); NAN, INFINITY */
    double ne_numbers; /* 4 Nm Nf / (Nm + Nf) over the parents of the group; NAN */
};
enum status genes_of(const struct pedigree *p, const double f[], const double d[], const struct genes_group *group,
                     struct arena *mem, struct genes *out, struct message *why) MUST_USE;

/* Effective ancestors (Boichard, Maignel & Verrier 1997). */
struct genes_ancestor {
    uint32_t animal;
    double marginal;
};
struct genes_ancestors {
    size_t n;
    const struct genes_ancestor *ancestor; /* in the order picked */
    double fa, explained;                  /* at `explained` under 1: fa lies between low and high */
    double fa_low, fa_high;
};
enum status genes_ancestors_of(const struct pedigree *p, const struct genes_group *group, double explain, size_t most,
                               struct arena *mem, struct genes_ancestors *out, struct message *why) MUST_USE;

/* Mean kinship of every animal with the group, (A c)(i) / 2, into mk[0 .. n]. */
enum status genes_mean_kinship(const struct pedigree *p, const double d[], const struct genes_group *group,
                               struct arena *mem, double mk[], struct message *why) MUST_USE;

/* Gene drop: fills survives and alleles of the founders of `g`. 64 replicates a word, a counter-based generator keyed by
 * animal and block: the same seed gives the same figures for any number of threads. */
enum status genes_drop(const struct pedigree *p, const struct genes_group *group, uint64_t seed, size_t replicates,
                       const struct pedigree_hands *hands, struct arena *mem, struct genes *g,
                       struct message *why) MUST_USE;

/* Ancestral inbreeding of every animal (Ballou 1997), b[0 .. n]. */
void genes_ballou(const struct pedigree *p, const double f[], double b[]);

/* Effective size over the years of birth: regression of ln(1 - F); NAN with fewer than two years or a rise of none. */
double genes_ne_by_year(const struct pedigree *p, const double f[], double generation_years);

/* Breed parts: g[breed of n_breeds + 1], the last one "unknown"; exact in binary fractions. An animal without parents is 1
 * of its recorded breed; an unknown parent counts as the animal's own recorded breed (own_breed) or as unknown. */
enum status genes_breeds(const struct pedigree *p, bool own_breed, struct arena *mem,
                         double *const g[], /* n + 1 rows */
                         struct message *why) MUST_USE;

/* Grading up: generation by share, g = floor(-log2(1 - share) + 1e-9); 0 below a half; GENES_PURE for a share of 1 whose
 * ancestors are all pure. "F2" here is 3/4, as breed societies count, not F1 x F1. */
enum { GENES_PURE = 255 };
unsigned genes_grade(double share);
/* 15/16 beside 0.9375; false: no such fraction up to 1/1048576. */
bool genes_fraction(double share, uint32_t *over, uint32_t *under);

#endif
