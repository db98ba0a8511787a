/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Has anything in the farm file changed? For whoever keeps an answer.
 */
#ifndef FARM_VERSION_H
#define FARM_VERSION_H

#include <stdint.h>

#include "core/base/status.h"

struct farm;

/* The file's own count of changes, by any handle of any program: another number after every one. One small read that
 * waits for no lock (asking SQLite takes nine calls of the system). While somebody writes it may be ahead of what can
 * be read; whoever keeps answers by it asks it before the answer. A change taken back after a power cut takes the
 * count back too, so that the file's own time is to be looked at beside it. */
enum status farm_version(struct farm *farm, int64_t *version, struct message *why) MUST_USE;

/* A number that another one takes the place of when any other handle has written, and that this handle's own writing
 * leaves as it is: between two calls, was it all our own? */
enum status farm_others_wrote(struct farm *farm, int64_t *number, struct message *why) MUST_USE;

#endif
