/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files of prompts (prompts.c, prompts_farm.c, prompts_heat.c) and by nobody else.
 */
#ifndef DESK_PROMPTS_INSIDE_H
#define DESK_PROMPTS_INSIDE_H

#include "desk/prompts.h"

struct prompt_fold {
    struct farm *farm;
    const struct herd *herd;
    const struct coming *coming;
    int64_t today, first, last;
    struct arena *mem;
    struct prompts *out;
    struct breeding_prior *prior;
    struct breeding_posterior *post; /* by sow, for served ones */
};

int64_t prompts_at_clock(const struct prompt_fold *f, int64_t day, int hour, int minute); /* of the farm's clock */
int64_t prompts_day_of(const struct prompt_fold *f, int64_t utc_s);                       /* local day number */
void prompts_add(struct prompt_fold *f, struct prompt p);                                 /* if its day is asked for */
double prompts_coldest(const struct prompt_fold *f, int64_t day); /* of its hours to come; NAN not known */

void prompts_litter(struct prompt_fold *f, const struct herd_sow *s);
void prompts_heat(struct prompt_fold *f, int64_t day);
void prompts_bedding(struct prompt_fold *f);
void prompts_frost_coming(struct prompt_fold *f);
void prompts_stock(struct prompt_fold *f);
enum status prompts_treatments(struct prompt_fold *f, struct message *why) MUST_USE;

#endif
