/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the files that hold a new fact against those recorded.
 */
#ifndef FARM_CONTRA_OWN_H
#define FARM_CONTRA_OWN_H

#include "farm/own.h"

/* Live facts of a kind that refer by `field` to the fact `uid`, but for the one being replaced. */
struct contra_list {
    const struct fact_kind *kind;
    struct fact *fact;
    size_t n;
};
enum status contra_list(struct farm_contra *c, const char *kind, const char *field, const char *uid,
                        struct contra_list *list, struct message *why);

static inline int64_t contra_at(const struct contra_list *l, size_t i, const char *field) /* INT64_MIN not given */
{
    return fact_whole(l->kind, l->fact[i].value, field, INT64_MIN);
}

enum status contra_animal(struct farm_contra *c, const char *uid, struct fact *animal, struct message *why);
const char *contra_called(struct farm_contra *c, const char *uid); /* never NULL */
const char *contra_day(struct farm_contra *c, int64_t utc_s);      /* "2026-01-22" in the farm's zone */
const char *contra_moment(struct farm_contra *c, int64_t utc_s);   /* "2026-01-22 15:40" */
const char *contra_date(struct farm_contra *c, int64_t day);
/* Field of the fact in question. */
const char *contra_text(const struct farm_contra *c, const char *field); /* NULL not given */
int64_t contra_whole(const struct farm_contra *c, const char *field);    /* INT64_MIN not given */
double contra_real(const struct farm_contra *c, const char *field);
int64_t contra_when(const struct farm_contra *c); /* of a moment kind */

/* by subject */
enum status contra_of_animal(struct farm_contra *c, struct message *why);
enum status contra_of_leaving(struct farm_contra *c, struct message *why);
enum status contra_of_weighing(struct farm_contra *c, struct message *why);
enum status contra_of_service(struct farm_contra *c, struct message *why);
enum status contra_of_boar_run(struct farm_contra *c, struct message *why);
enum status contra_of_scan(struct farm_contra *c, struct message *why);
enum status contra_of_look(struct farm_contra *c, struct message *why);
enum status contra_of_sign(struct farm_contra *c, struct message *why);
enum status contra_of_farrowing(struct farm_contra *c, struct message *why);
enum status contra_of_weaning(struct farm_contra *c, struct message *why);
enum status contra_of_loss(struct farm_contra *c, struct message *why);
enum status contra_of_shelter(struct farm_contra *c, struct message *why);
enum status contra_of_placement(struct farm_contra *c, struct message *why);
enum status contra_of_bedding(struct farm_contra *c, struct message *why);

#endif
