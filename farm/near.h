/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Near names, for "did you mean". Upper and lower case of ASCII letters count as the same.
 */
#ifndef FARM_NEAR_H
#define FARM_NEAR_H

#include <stdbool.h>
#include <stddef.h>

/* Letters to change, add, drop or swap with the neighbour; at most 99. Texts over 63 bytes are never near. */
unsigned near_steps(const char *a, const char *b);
/* Near enough to be offered: a third of the length at most, or one begins with the other (3 letters or more). */
bool near_enough(const char *typed, const char *known);

#endif
