/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Has anything in the farm file changed? For whoever keeps an answer.
 */
#ifndef FARM_VERSION_H
#define FARM_VERSION_H

#include <stdint.h>

#include "core/base/status.h"

struct farm;

/* A number that is another one after every change of the file by any other handle, in this program or another. Changes
 * by this very handle do not count. It means nothing to another handle. */
enum status farm_version(struct farm *farm, int64_t *version, struct message *why) MUST_USE;

#endif
