/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Attributes and small macros used everywhere.
 */
#ifndef CORE_BASE_ATTR_H
#define CORE_BASE_ATTR_H

#define MUST_USE                __attribute__((warn_unused_result))
#define PRINTF_LIKE(fmt, first) __attribute__((format(printf, fmt, first)))
#define COUNT(array)            (sizeof(array) / sizeof((array)[0]))

#endif
