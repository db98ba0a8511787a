/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of the question keep (staying*.c), and by nobody else.
 */
#ifndef DESK_STAYING_INSIDE_H
#define DESK_STAYING_INSIDE_H

#include "core/staying/staying.h"
#include "desk/herd.h"
#include "desk/kin.h"
#include "desk/question.h"

enum { KEEP_AT, KEEP_PLACES, KEEP_WEIGH, KEEP_WEANING };
enum { STAYING_TOLD = 6, STAYING_NOTES = 3, STAYING_LAME = 2 }; /* litters and notes that are told one by one */

enum staying_held {
    STAYING_FREE,
    STAYING_LITTER,  /* in pig or suckling: not before her litter is weaned */
    STAYING_FIND_OUT /* perhaps in pig, or nobody knows */
};

struct staying_female {
    const struct herd_sow *sow;
    size_t at;  /* index in the herd's fold */
    size_t kin; /* index of the animal; KIN_NONE: the pedigree does not have her */
    struct staying_animal is;
    struct staying_score score;
    size_t place; /* in the list, from 0 */
    /* for the sentences */
    int told[STAYING_TOLD]; /* born alive, newest first */
    size_t n_told;
    size_t before; /* litters before those recorded here, of which only the mean is known */
    double mean_before;
    double born_sum;                                       /* born alive in all her litters, as they were */
    int teats, blind;                                      /* -1 not counted */
    int64_t legs_on, temper_on;                            /* day; INT64_MIN: not known, as recorded with her */
    size_t root;                                           /* first ancestress of her line; KIN_NONE not known */
    size_t left[4], n_left;                                /* others of her line, as animals of the pedigree */
    size_t tries, failed, farrowings, helped, dead, early; /* early: under 109 days */
    const char *notes[STAYING_NOTES];
    size_t n_notes;
    enum staying_held held;
    int64_t not_before; /* day; INT64_MIN */
    const char *held_says;
};

struct staying_mean {
    double mean;
    size_t n;
};

struct staying {
    const struct asked *q;
    struct herd herd;
    struct kin kin;
    size_t n;
    struct staying_female *female; /* in the order of the herd until ranked() */
    double weight[STAYING_END];
    struct staying_mean of[STAYING_END]; /* records: all litters known of the farm; seen: of those in the list */
    double weaning_d;
    size_t places; /* 0: not said */
};

/* staying_read.c: what is recorded of them. */
enum status staying_read(struct staying *s, struct message *why) MUST_USE;
/* staying_past.c: records of every female that is or was of the farm; fills those of the list, and the means. */
enum status staying_past(struct staying *s, struct message *why) MUST_USE;

/* staying_words.c */
extern const char *const staying_label[STAYING_END]; /* "line", "inbreeding", "of her line", ... for people */
extern const char *const staying_help[STAYING_END];  /* what the weight is of */
const char *staying_sentence(const struct staying *s, const struct staying_female *f, enum staying_reason r);
/* "much for" "for" "even" "against" "much against" "not known" */
const char *staying_sign(const struct staying_part *p);
void staying_assumed(const struct staying *s, struct answer *list);

int64_t staying_day(const struct staying *s, int64_t utc_s); /* local day number */
enum status keep_put(const struct asked *q, struct answer *a, struct message *why) MUST_USE;

#endif
