/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Looking the farm over: all that farm_check() finds, and then how the door stands: what is open, weak, old.
 */
#ifndef DOORS_WEB_AUDIT_H
#define DOORS_WEB_AUDIT_H

#include "desk/devices.h"

enum { AUDIT_UNSEEN_D = 90, AUDIT_AUTHORITY_D = 365 };

/* As farm_check(); on a damaged file the door is not looked at. */
enum status audit(struct farm *farm, int64_t at_utc_s, struct arena *mem, struct farm_finding **findings, size_t *n,
                  struct message *why) MUST_USE;

#endif
