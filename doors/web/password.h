/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The farm's password as a hash: argon2id (RFC 9106), 64 MiB, 2 passes, in libsodium's text form, which carries its own
 * settings and salt. Each hash takes its 64 MiB while it lasts, so callers make one at a time.
 */
#ifndef DOORS_WEB_PASSWORD_H
#define DOORS_WEB_PASSWORD_H

#include <stdbool.h>

#include "core/base/status.h"

enum { PASSWORD_LEAST = 8, PASSWORD_MOST = 1024, PASSWORD_HASH = 128 };

/* May this be set as a password? From 8 characters (NIST SP 800-63B, 5.1.1.2) to 1,024 bytes, valid UTF-8, not one
 * character over and over. */
enum status password_fits(const char *text, struct message *why) MUST_USE;
enum status password_hash(const char *text, char hash[static PASSWORD_HASH], struct message *why) MUST_USE;
/* Compared in constant time. A text longer than any password is refused before it costs anything. */
bool password_right(const char *hash, const char *text);
/* Made with lesser settings than those of today: to be hashed anew when it is next given. */
bool password_old_hash(const char *hash);

#endif
