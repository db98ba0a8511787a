/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Who may come in: the devices that have a session, and the farm's password. They stand in the farm file but are no
 * facts: not in the journal, not exported, not undone. Going back to a backup leaves them as they are today.
 *
 * A session is 32 random bytes that only the device has; the file keeps a digest of them, so that a stolen copy of the
 * file lets nobody in. The digest is of random bytes, so it needs no salt and no slow hash.
 */
#ifndef FARM_DEVICE_H
#define FARM_DEVICE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

struct farm;

enum { DEVICE_TOKEN = 32, DEVICE_DIGEST = 32, DEVICE_CALLED = 60 };
enum { DEVICE_SESSION_D = 30 }; /* unused for so long, a session ends */

struct farm_device {
    int64_t number;
    const char *called;  /* "this machine", "Wenna's phone" */
    bool master;         /* may pair phones, set the password, go back to a backup */
    bool here;           /* the machine itself, by the key in its start address */
    int64_t since_utc_s; /* came in first */
    int64_t seen_utc_s;  /* last */
    unsigned char digest[DEVICE_DIGEST];
};

/* BLAKE2b-256 of a token, keyed with nothing: what the file keeps of it. */
void device_digest(const unsigned char token[static DEVICE_TOKEN], unsigned char digest[static DEVICE_DIGEST]);
/* Has its session ended because nobody used it? */
bool device_ended(const struct farm_device *d, int64_t now_utc_s);

/* A new device; number is filled in. Of machines by the start key only the newest eight stay. */
enum status farm_device_add(struct farm *farm, struct farm_device *d, struct message *why) MUST_USE;
/* ST_NOT_FOUND: nobody has that token. A session that ended by itself is found: look at device_ended(). */
enum status farm_device_find(struct farm *farm, const unsigned char digest[static DEVICE_DIGEST], struct arena *mem,
                             struct farm_device *d, struct message *why) MUST_USE;
enum status farm_device_seen(struct farm *farm, int64_t number, int64_t at_utc_s, struct message *why) MUST_USE;
/* The last seen first. */
enum status farm_devices(struct farm *farm, struct arena *mem, struct farm_device **devices, size_t *n,
                         struct message *why) MUST_USE;
/* Takes its row away: it has to be paired again. ST_NOT_FOUND. */
enum status farm_device_end(struct farm *farm, int64_t number, struct message *why) MUST_USE;

/* The password's hash (argon2id, in libsodium's text form); *hash NULL when none is set. */
enum status farm_password(struct farm *farm, struct arena *mem, const char **hash, struct message *why) MUST_USE;
/* Set it and end every session but one (0 = every one), in one transaction. */
enum status farm_password_set(struct farm *farm, const char *hash, int64_t but_device, int64_t now_utc_s,
                              struct message *why) MUST_USE;
/* The same password under a newer hash: nobody is sent out. */
enum status farm_password_rehash(struct farm *farm, const char *hash, struct message *why) MUST_USE;

#endif
