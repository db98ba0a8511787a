/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The record as answers, for doors: what can be recorded, what is, what was changed, what is odd, what waits. Every
 * function adds its members to an answer that is there.
 */
#ifndef DESK_RECORDS_H
#define DESK_RECORDS_H

#include "desk/answer.h"
#include "farm/farm.h"

enum { RECORDS_MOST = 500, RECORDS_USUAL = 50, RECORDS_SEARCH_BYTES = 200 };

/* One value under its field's name: SI, uids. */
void record_value(struct answer *row, const struct fact_field *field, const struct fact_value *value);

/* kinds[]: what a form needs of every kind, in the farm's units. farm NULL: metric. */
void records_kinds(struct farm *farm, struct answer *answer);

/* names[]: whom or what a field may name; `here` on that day. Kinds without names are refused. */
enum status records_names(struct farm *farm, const struct fact_kind *kind, int64_t day, struct answer *answer,
                          struct message *why) MUST_USE;

/* facts[], newest first, and `more`.
 * Given  search  any part of any shown text, upper and lower case alike; NULL or "": all
 *        before  a change number: older than that; 0: from the newest
 *        most    1 .. RECORDS_MOST */
enum status records_list(struct farm *farm, const struct fact_kind *kind, const char *search, int64_t before,
                         size_t most, struct answer *answer, struct message *why) MUST_USE;

/* One fact by uid, live or not: members as in facts[], and kind, live, changes[]. */
enum status records_fact(struct farm *farm, const char *uid, struct answer *answer, struct message *why) MUST_USE;

/* changes[] and `more`; uid NULL: all. */
enum status records_history(struct farm *farm, const char *uid, int64_t before, size_t most, struct answer *answer,
                            struct message *why) MUST_USE;

/* Under `key`: what a recording brought up. */
void records_odd(struct answer *answer, const char *key, size_t n, const struct farm_flag flags[]);
/* flags[] that are open, held[] that wait. */
enum status records_flags(struct farm *farm, struct answer *answer, struct message *why) MUST_USE;
enum status records_held(struct farm *farm, struct answer *answer, struct message *why) MUST_USE;
/* The one that waits under this number. ST_NOT_FOUND. *replaces: what it was to correct; NULL: nothing. */
enum status records_held_one(struct farm *farm, int64_t number, struct arena *mem, struct farm_held *held,
                             const char **replaces, struct message *why) MUST_USE;

/* batch, changes[], dependents: what an undo did or would do. */
void records_undone(struct answer *answer, const struct farm_undo *undo);

/* A uid as it is, or the uid of what bears that name among all kinds that have names. */
enum status records_uid_of(struct farm *farm, const char *field, const char *word, struct arena *mem, const char **uid,
                           struct message *why) MUST_USE;

#endif
