/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sentences of tonight: what to do, why, how sure, in a farmer's words. All live in the night's arena.
 */
#ifndef DESK_TONIGHT_WORDS_H
#define DESK_TONIGHT_WORDS_H

#include "desk/night.h"

const struct watch_action *tonight_action_of(const struct watch_plan *plan,
                                             const struct watch_advice *v);          /* NULL: none */
double tonight_danger_of_a_day(const struct night *n, const struct watch_advice *v); /* as things stand, within 24 h */
const char *tonight_in_short(const struct night *n, const struct watch_plan *plan);
const char *tonight_do(const struct night *n, const struct watch_plan *plan, const struct watch_advice *v,
                       const struct watch_action *action);
const char *tonight_why(const struct night *n, const struct watch_plan *plan, const struct watch_advice *v);
const char *tonight_how_sure(const struct night *n, const struct watch_advice *v);
const char *tonight_deadline_words(enum watch_why why);
/* The deadline as it is shown: work that wants daylight is not put into the night when a day comes before. Hours from
 * now. */
double tonight_deadline_h(const struct night *n, size_t option, const struct watch_deadline *d, bool *by_day);
const char *tonight_place_words(const struct night *n, size_t option);
const char *tonight_record_words(const struct night *n, unsigned bit,
                                 const char *name);                   /* of the sow; straw: of the places */
enum breeding_watch tonight_watch(const struct night *n, size_t sow); /* how often to look at her, whatever the cold */
/* `close`: the sows to look at every two to three hours whatever the cold; they stand first in every visit. */
const char *tonight_rounds_words(const struct night *n, const struct watch_rounds *r, size_t n_close,
                                 const size_t close[]);
const char *tonight_look_words(const struct night *n, const struct watch_look *l, const struct watch_look_worth *w);
const char *tonight_heat_words(const struct night *n, const struct watch_heat *h);
const char *tonight_other_words(const struct night *n, const struct herd_sow *s);
const char *tonight_tight_words(const struct night *n, const struct watch_plan *plan); /* NULL: short of nothing */

#endif
