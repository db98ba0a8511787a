/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Share: long work done in parts at once. The parts must not touch the same memory; the order in which they end must not
 * show in the answer. */
#ifndef DESK_SHARE_H
#define DESK_SHARE_H

#include <stddef.h>

/* Runs part(job, i) for every i < n, part 0 on the caller's own thread, and returns when all are done. A part for which no
 * thread can be had is done by the caller. The form is that of core/pedigree's hands: `self` is not read. */
void share_parts(void *self, void (*part)(void *job, size_t i), void *job, size_t n);

#endif
