/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A disk that forgets. A SQLite VFS in memory: what is written is held apart until it is synced, file by file; when the
 * power fails, any subset of the unsynced writes is on the disk and the rest is not, in whole sectors or torn in the
 * middle of a write. Names of files are durable only after the folder is synced (SQLite asks for that when it deletes a
 * journal with synchronous=EXTRA, and when a journal is made). It can also fail on purpose: the n-th call gives an
 * error, or the disk is full from then on.
 *
 * One file system for the whole program; one thread.
 */
#ifndef TESTS_FARM_FORGET_VFS_H
#define TESTS_FARM_FORGET_VFS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FORGET_VFS "forget"

void forget_begin(void);                                         /* register; an empty disk */
void forget_empty(void);                                         /* forget all files */
void forget_load(const char *path, const void *bytes, size_t n); /* a file, on the disk */
size_t forget_size(const char *path);                            /* of what is on the disk; 0 = none */
const unsigned char *forget_bytes(const char *path);

/* Power fails at the n-th write, sync, truncation or deletion from now (1 ..); every later call fails. 0 = never. */
void forget_power_off_at(size_t n);
bool forget_power_is_off(void);
/* The n-th call of that sort from now gives an I/O error (once), or the disk is full from then on. 0 = never. */
void forget_error_at(size_t n, bool disk_full);
size_t forget_calls(void); /* writes, syncs, truncations, deletions so far */

/* After power off: what the disk holds, by dice. The same seed gives the same choice. All handles must be closed
 * first. */
void forget_power_on(uint64_t seed);

#endif
