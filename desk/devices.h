/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Who may come in, for doors: they reach the devices and the password in the farm file through this header alone.
 */
#ifndef DESK_DEVICES_H
#define DESK_DEVICES_H

#include "farm/device.h"
#include "farm/farm.h"
#include "farm/keep.h"

#endif
