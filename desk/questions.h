/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The questions, each in a file of its own. */
#ifndef DESK_QUESTIONS_H
#define DESK_QUESTIONS_H

#include "desk/question.h"

extern const struct question question_tonight, question_due, question_shelters, question_weather, question_round,
    question_calendar, question_where, question_field, question_try, question_sow, question_season, question_herd,
    question_kinship, question_pairings, question_founders, question_keep, question_paper;

#endif
