/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DEMO_INSIDE_H
#define DEMO_INSIDE_H

#include "core/base/dice.h"
#include "farm/farm.h"

enum status demo_facts(struct farm *farm, struct arena *mem, struct message *why) MUST_USE;
enum status demo_weather(struct farm *farm, uint64_t seed, struct arena *mem, struct message *why) MUST_USE;

#endif
