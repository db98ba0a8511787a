/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Kin: all animals the farm knows of (the herd, ancestors elsewhere, the dead and the sold) as a pedigree, as of a
 * moment and a journal number. Piglets are no animals until they are recorded as such.
 *
 * Reading and reckoning are two steps, so that a question can say whose ancestors count when the depth is limited.
 *
 * Memory   everything lives in the arena given.
 */
#ifndef DESK_KIN_H
#define DESK_KIN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/pedigree/pedigree.h"
#include "desk/answer.h"
#include "farm/farm.h"
#include "farm/zone.h"

#define KIN_NONE SIZE_MAX

struct kin_animal {
    const char *id;          /* the name, where no other animal has it; else with the tag; else the uid */
    const char *name, *uid;  /* */
    const char *tag, *breed; /* "" when not recorded */
    const char *is;          /* "sow" "gilt" "boar" "barrow" */
    bool male;
    bool here;           /* of this herd on that day */
    bool breeds;         /* here, and sow, gilt or boar */
    const char *gone;    /* why it is not here: "elsewhere", "died 3 Mar 2025"; NULL when here */
    int64_t born_days;   /* INT64_MIN not known */
    int sows_most;       /* of a boar; -1 not recorded */
    size_t sire, dam;    /* index; KIN_NONE */
    uint32_t at;         /* number in the pedigree; 0: stands for nobody, see the findings */
    const double *parts; /* of breeds, kin->n_breeds + 1, the last "unknown" */
};

struct kin {
    int64_t at_utc_s, known_to, today; /* day number */
    const struct zone *zone;
    size_t n;
    struct kin_animal *animals; /* in the order recorded */
    /* after kin_reckon() */
    struct pedigree p;
    struct pedigree_findings found;
    const uint8_t *in_loop; /* NULL: no loop */
    const size_t *who;      /* p.n + 1: index of the animal */
    double *f, *d, *t;      /* p.n + 1: inbreeding, Mendelian variance, equivalent complete generations */
    unsigned depth;         /* 0: all known */
    size_t n_group;         /* breeding animals of the herd */
    const uint32_t *group;  /* their numbers in the pedigree */
    double *mk;             /* p.n + 1: mean kinship with them; NULL: there is none */
    size_t n_breeds;
    const char *const *breeds; /* by name, as first spelled */
};

enum status kin_read(struct farm *farm, int64_t at_utc_s, int64_t known_to, struct arena *mem, struct kin *kin,
                     struct message *why) MUST_USE;

/* Order, check and reckon. With a depth, the parents of animals that many generations back from the herd and from
 * `also` are taken as unknown. */
enum status kin_reckon(struct kin *kin, unsigned depth, size_t n_also, const size_t also[], struct arena *mem,
                       struct message *why) MUST_USE;

enum kin_sex { KIN_ANY, KIN_MALE, KIN_FEMALE };
/* By name, tag or uid, those of the herd first. `field` names the parameter. ST_NOT_FOUND names near ones; ST_CONFLICT
 * when several have it. */
enum status kin_find(const struct kin *kin, const char *field, const char *name, enum kin_sex sex, size_t *animal,
                     struct message *why) MUST_USE;

/* Inbreeding of one; NAN for a member of a loop and for one that stands for nobody. */
double kin_f(const struct kin *kin, size_t animal);
double kin_generations(const struct kin *kin, size_t animal); /* NAN */

/* ---- breeds (kin_breeds.c) ---- */

/* Parts of breeds of every animal: half of each parent; where both are unknown, as recorded; where one is, it is taken
 * as of the animal's own breed, and an animal recorded in parts stays as recorded. Called by kin_reckon(). */
enum status kin_breeds(struct kin *kin, struct arena *mem, struct message *why) MUST_USE;

enum { KIN_BREEDS_MOST = 256 };
/* Of one animal by size of part, the largest first, none of no share: which[k] is for kin_breed_name(). Gives how many. */
size_t kin_breeds_by_share(const struct kin *kin, const struct kin_animal *a, size_t which[static KIN_BREEDS_MOST + 1]);
const char *kin_breed_name(const struct kin *kin, size_t which); /* "unknown" for kin->n_breeds */
/* "Hedgerow Black 3/4, unknown 1/4"; NULL: no parts. */
const char *kin_breeds_say(const struct kin *kin, const struct kin_animal *a, struct arena *mem);

struct kin_society { /* a fact `society` */
    const char *breed;
    double sow_share, boar_share; /* NAN: pure only */
    bool boars;
};
enum status kin_societies(struct farm *farm, int64_t known_to, struct arena *mem, struct kin_society **list, size_t *n,
                          struct message *why) MUST_USE;
/* "may be entered", "one more cross with a pure boar", ... */
const char *kin_society_says(const struct kin_society *s, bool male, double share, struct arena *mem);

/* ---- words (kin_words.c) ---- */

/* "hardly kin" .. "as full brother", and the level 0 .. 4; "?" and -1 for NAN. Common practice: half-cousins 1/32,
 * cousins 1/16, half-sibs 1/8, full sibs 1/4. */
const char *kin_word(double f, int *level);
int kin_squares(double f); /* of eight, each 1/32 */
/* What the boar is to the sow where they are near: "her father", "her half-brother"; NULL. */
const char *kin_relation(const struct kin *kin, size_t sow, size_t boar);
/* "sire", "great-grandam": an ancestor so many generations back; 0: "herself", "himself". */
const char *kin_ancestor_word(const struct kin *kin, size_t ancestor, unsigned generations, struct arena *mem);
const char *kin_percent(double f, struct arena *mem);                          /* "6.3 %"; "not known" for NAN */
const char *kin_names(size_t n, const char *const names[], struct arena *mem); /* "A, B and C" */
const char *kin_day(int64_t days, struct arena *mem);                          /* "3 Mar 2025" */
/* How far an F can be trusted: "unknown" (t < 0.5), "little" (< 2), "some" (< 4), "well" (4 or more). Judgement. */
const char *kin_sure(double generations);
const char *kin_f_says(const struct kin *kin, size_t animal, struct arena *mem);

/* One row of "pairs", but for what a question adds. `best`: the least f any boar has with her. */
struct answer *kin_answer_pair(const struct kin *kin, size_t sow, size_t boar, double f, double best,
                               struct answer *list);
bool kin_too_close(double f, double best);

/* "rests_on" over these animals, and "findings". */
void kin_answer_rests_on(const struct kin *kin, size_t n, const size_t animals[], struct answer *a);
/* "record" and "cautions". */
void kin_answer_tail(const struct kin *kin, size_t n, const size_t animals[], struct answer *a);

#endif
