/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The family of one animal, as places of a tree. Used by herd_list.c alone.
 */
#ifndef DESK_HERD_FAMILY_H
#define DESK_HERD_FAMILY_H

#include "desk/kin.h"

/* The object `family`: ancestors to so many generations (1 .. 8), those common to sire and dam marked and counted. */
enum status herd_family(const struct kin *kin, size_t animal, unsigned generations, struct arena *mem, struct answer *a,
                        struct message *why) MUST_USE;

#endif
