/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Has anything in the farm file changed? For doors that keep answers.
 */
#ifndef DESK_VERSION_H
#define DESK_VERSION_H

#include "farm/version.h"

#endif
