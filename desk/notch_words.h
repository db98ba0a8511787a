/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ear notches in words.
 */
#ifndef DESK_NOTCH_WORDS_H
#define DESK_NOTCH_WORDS_H

#include "core/base/arena.h"
#include "core/litter/notch.h"

/* "two at the lower edge near the head, one at the tip"; "" for none. */
const char *notch_ear_words(struct arena *mem, const int ear[NOTCH_PLACES]);

/* A tag such as 14-6 as the notches of both ears, by the universal key, or with the local extra (and said so) where the
 * litter is too large for it. NULL: a tag of another form, or one that no key holds. */
const char *notch_tag_words(struct arena *mem, const char *tag);

#endif
