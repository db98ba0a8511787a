/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of the question pairings, and by nobody else.
 */
#ifndef DESK_PAIRINGS_INSIDE_H
#define DESK_PAIRINGS_INSIDE_H

#include "core/pedigree/genes.h"
#include "core/pedigree/mating.h"
#include "desk/herd.h"
#include "desk/kin_inside.h"
#include "desk/kin_table.h"

enum pairing_how { PAIRING_RECKONED, PAIRING_BY_HAND, PAIRING_SETTLED };

struct pairing_boar {
    uint32_t most, least;
    const char *says; /* "at most 4 sows" */
};

struct pairing_sow {
    enum pairing_how how;
    uint32_t fixed;  /* boar decided; MATING_NONE */
    int64_t free_on; /* day on which she can be served; INT64_MIN: now */
};

struct pairings {
    const struct asked *q;
    struct herd herd;
    struct kin kin;
    struct kin_table table;
    int64_t from; /* first day of the season */
    bool from_said;
    struct pairing_boar *boars; /* as table.boars */
    struct pairing_sow *sows;   /* as table.sows */
    const char **forbidden;     /* sow * n_boars + boar: why; NULL = allowed */
    struct mating_ask ask;
    struct mating_plan plan;
    struct fact *settled; /* facts `pairing` that count here, oldest first */
    size_t n_settled;
    size_t *left_out; /* animals */
    const char **left_out_why;
    size_t n_left_out;
    const char **notes; /* what else to know: settled with a boar that is not here ... */
    size_t n_notes;
    struct answer *said; /* what was assumed */
};

/* Whom, with whom, how many, what is fixed, what cannot be (pairings_read.c). */
enum status pairings_read(struct pairings *p, struct message *why) MUST_USE;
const char *pairing_name(const struct pairings *p, bool boar, size_t i);
double pairing_f(const struct pairings *p, size_t sow, size_t boar);
/* How many sows a plan sends to a boar. */
size_t pairing_count(const struct pairings *p, const uint32_t plan[], uint32_t boar);

/* What surrounds the plan (pairings_why.c): why, if_lame, crop and contributions, circle, outside. */
void pairings_why(const struct pairings *p, struct answer *a);
enum status pairings_if_lame(const struct pairings *p, struct answer *a, struct message *why) MUST_USE;
enum status pairings_crop(const struct pairings *p, struct answer *a, struct message *why) MUST_USE;
enum status pairings_circle(const struct pairings *p, struct answer *a, struct message *why) MUST_USE;
enum status pairings_outside(const struct pairings *p, struct answer *a, struct message *why) MUST_USE;
/* "Rook would need 5 sows": the least change that makes a plan fit; NULL: it fits. */
const char *pairings_relax(const struct pairings *p, const struct mating_plan *plan);

#endif
