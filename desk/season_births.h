/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Days of birth that were reckoned, kept between questions: of one sow with boars there on some days. A slider that moves a
 * price meets the same sows and the same days again. For several threads at once. Belongs to season_kept.h, which forgets
 * them with the moment and the state of the record. */
#ifndef DESK_SEASON_BIRTHS_H
#define DESK_SEASON_BIRTHS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SEASON_BIRTHS_STAYS = 3 };

/* All that the days rest on beside the record itself. Compared byte by byte: begin with memset 0. */
struct season_births_key {
    int64_t
        sow; /* her place among the season's sows where lengths of her own count, else -1: sows that are alike share */
    int64_t stays; /* bits: which of the stays find her free */
    int64_t today, weaned_utc_s, state, parity, hand, n_stays;
    int64_t in[SEASON_BIRTHS_STAYS], out[SEASON_BIRTHS_STAYS]; /* days */
    uint64_t share_bits, breed_bits, cycling_bits;             /* of doubles */
};

struct season_births;
struct season_births *season_births_open(void); /* NULL: out of memory */
void season_births_close(struct season_births *b);
void season_births_forget(struct season_births *b);

/* FNV-1a of the bytes of a key. */
uint64_t season_births_hash(const void *key, size_t n_bytes);

size_t season_births_count(struct season_births *b); /* how many are kept */

/* Filled into born[n], all 0 before; false: not there. b may be NULL. */
bool season_births_find(struct season_births *b, const struct season_births_key *key, size_t n, double born[]);
void season_births_add(struct season_births *b, const struct season_births_key *key, size_t n, const double born[]);

#endif
