/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What can be asked of a farm. One row a question; its file beside this one has the rest. */
#include "desk/questions.h"

const struct question *const questions[] = {
    &question_tonight, &question_due,      &question_shelters, &question_weather, &question_round,  &question_calendar,
    &question_where,   &question_field,    &question_try,      &question_sow,     &question_season, &question_herd,
    &question_kinship, &question_pairings, &question_founders, &question_keep,    &question_paper,  NULL,
};
