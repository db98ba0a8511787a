/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the exact plan and the winters drawn share. */
#ifndef CORE_SEASON_PLAN_INSIDE_H
#define CORE_SEASON_PLAN_INSIDE_H

#include "core/season/plan.h"

enum status plan_check(const struct plan *p, struct message *why) MUST_USE;

/* Chance that a litter born on that day of that winter meets danger, given the chance that it lies in a hut; unknown
 * = 0. */
double plan_danger_on(const struct plan *p, size_t winter, size_t day, double in_hut);

#endif
