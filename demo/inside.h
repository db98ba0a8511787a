/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DEMO_INSIDE_H
#define DEMO_INSIDE_H

#include "core/base/dice.h"
#include "farm/farm.h"

enum { DEMO_PAIRS = 16 };

/* One fact: kind, then field=value pairs. A value of "@-113 14:00" is that many days before, at that hour. */
struct demo_row {
    const char *kind, *pair[DEMO_PAIRS];
};

/* Four generations of ancestors elsewhere, the young boar, and the rule of an invented breed society (ancestors.c). */
extern const struct demo_row demo_ancestors[];
extern const size_t demo_n_ancestors;

enum status demo_facts(struct farm *farm, struct arena *mem, struct message *why) MUST_USE;
enum status demo_weather(struct farm *farm, uint64_t seed, struct arena *mem, struct message *why) MUST_USE;

#endif
