/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Staying: what speaks for and against keeping each female of a herd, in one measure, with its parts out.
 *
 * Every reason is measured from the herd, so that an animal of whom nothing is known stands at the herd: what is not
 * known neither helps nor harms. One unit is one usual difference between animals; a weight says what that unit counts.
 *
 *     seen on her      value = k (x - mean) / scale      k 1; of the pedigree t / (t + 1), t generations known
 *     her own record   value = w (own - herd) / (s sqrt r)      w = n r / (1 + (n - 1) r)
 *
 * with the sign turned where less is better. k and w are the share of the truth that is known; what is left of 1 is
 * the variance of what is not. Formulas, sources and limits: docs/reckoning/keep.md.
 */
#ifndef CORE_STAYING_STAYING_H
#define CORE_STAYING_STAYING_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/attr.h"
#include "core/base/status.h"

enum staying_reason {
    STAYING_LINE,   /* mean kinship with the breeding herd, 0 .. 1; less is rarer */
    STAYING_INBRED, /* her own inbreeding, 0 .. 1; less is better */
    STAYING_LEFT,   /* females of her line in the list, herself included, 1 ..; fewer counts for her */
    STAYING_TEATS,  /* good teats, 0 .. 24; more than STAYING_TEATS_MOST count as those */
    STAYING_LEGS,   /* 1 lame .. 5 sound and easy */
    STAYING_TEMPER, /* enum staying_temper */
    STAYING_AGE,    /* litters so far, 0 .. 25; only those past STAYING_PRIME count against her */
    /* her own record: the mean of n */
    STAYING_BORN,    /* born alive a litter, 0 .. 30 */
    STAYING_WEANED,  /* weaned a litter, 0 .. 30 */
    STAYING_BACK,    /* days from weaning to service, 0 .. 60; fewer is better */
    STAYING_RETURNS, /* share of her services that failed, 0 .. 1 */
    STAYING_TROUBLE, /* share of her farrowings with trouble, 0 .. 1 */
    STAYING_END,
    STAYING_FIRST_RECORD = STAYING_BORN
};
enum { STAYING_TEATS_MOST = 16, STAYING_PRIME = 5 };
enum staying_temper { STAYING_CALM, STAYING_STEADY, STAYING_WARY, STAYING_FIERCE };

extern const char *const staying_name[STAYING_END]; /* "line" "inbred" "left" "teats" ... */

struct staying_rule {
    double scale;   /* seen on her: one usual difference, in the reason's own unit */
    double spread;  /* a record: sd between records of one kind, s */
    double repeats; /* a record: repeatability r, 0 .. 1 */
    bool less_is_better;
};
/* Sources: docs/reckoning/keep.md; most are judgement. */
extern const struct staying_rule staying_rules[STAYING_END];
extern const double staying_weights_usual[STAYING_END]; /* judgement */
enum { STAYING_WEIGHT_MOST = 10 };

struct staying_animal {
    double seen[STAYING_END]; /* NAN not known; of a record the mean of her own */
    size_t n[STAYING_END];    /* of a record: how many; 0 not known. Else not read */
    double generations;       /* equivalent complete generations of her pedigree; NAN not known: line and inbreeding
                                 then count as not known */
};

struct staying_part {
    double value;  /* in usual differences between animals, from the herd; 0 where nothing is known */
    double points; /* weight times value */
    double known;  /* k or w, 0 .. 1 */
};
struct staying_score {
    struct staying_part part[STAYING_END];
    double score; /* sum of the points */
    double sd;    /* of what is not known of her: root of the sum of weight^2 (1 - known) */
    double known; /* sum of weight known / sum of weight, 0 .. 1; 0 when all weights are 0 */
    size_t rank;  /* 1 is best; equal scores have equal ranks */
};
/* Score and rank of each, in the order given. Who else stands in the list matters only through the means: to put it in
 * another order changes nothing.
 *
 * Given     weight    0 .. STAYING_WEIGHT_MOST each
 *           record    the herd's mean of each record (others not read); NAN: there is none, nobody's counts
 * Returned  scores[n]
 * Fails     ST_BAD_INPUT naming the weight, or the reason whose figure is out of its range
 */
enum status staying_scores(size_t n, const struct staying_animal animals[], const double weight[STAYING_END],
                           const double record[STAYING_END], struct staying_score scores[],
                           struct message *why) MUST_USE;

/* Chance that a is truly the better of the two, when what is not known of each is normal and apart: 0.5 when they are
 * level. */
double staying_better(const struct staying_score *a, const struct staying_score *b);

/* What a litter of that number (1 the first) is short of one in her prime, in pigs: -1.0, -0.3, 0 .. from the seventh
 * -0.5 (judgement). */
double staying_litter_shift(int litter);

#endif
