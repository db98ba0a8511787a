/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Prompts: what is to be done on this farm, by when and why, folded from all facts. `round` lists those of a day,
 * `calendar` those of the coming weeks. A prompt is never an order about medicine: it sends to the vet and to local
 * rules.
 *
 * A tick is a fact: {prompt: key, on: day}. A key names the same job on every day it comes back. For typing there is a
 * short form of it, with the name in place of the uid; a tick may say either.
 */
#ifndef DESK_PROMPTS_H
#define DESK_PROMPTS_H

#include "desk/coming.h"
#include "desk/herd.h"

enum prompt_kind {
    PROMPT_WATER,
    PROMPT_FEED,
    PROMPT_BEDDING,
    PROMPT_LOOK,
    PROMPT_SHELTER,
    PROMPT_STOCK,
    PROMPT_LITTER,
    PROMPT_BREEDING,
    PROMPT_VET,
    PROMPT_MOVE,
    PROMPT_RECORD,
    PROMPT_KIND_END
};
extern const char *const prompt_kind_name[PROMPT_KIND_END]; /* "water" "feed" ... */

struct prompt {
    const char *key;       /* "water-morning", "look:<uid>:15" */
    const char *short_key; /* "look:Bramble:15"; the key itself where that would be no other than another's */
    enum prompt_kind kind;
    int64_t day;            /* local day number it belongs to */
    int64_t by_utc_s;       /* INT64_MIN: some time that day */
    const char *who;        /* sow, or ""  */
    const char *where;      /* hut or field, or "" */
    const char *what, *why; /* sentences */
    bool once;              /* done once: it stays, late, until it is ticked off */
    bool late;              /* its day is past */
    bool ticked;
    const char *ticked_by; /* "" */
};

enum { PROMPTS_MOST = 600, PROMPTS_LATE_D = 21 };
struct prompts {
    size_t n;
    struct prompt *prompt;
};

/* All prompts of local days first_day .. last_day, by day, then deadline, then key; before them those of up to
 * PROMPTS_LATE_D days earlier that are done once and have not been ticked off. Given     coming   may be NULL: then
 * what hangs on the weather is left out */
enum status prompts_fold(struct farm *farm, const struct herd *herd, const struct coming *coming, int64_t first_day,
                         int64_t last_day, struct arena *mem, struct prompts *out, struct message *why) MUST_USE;

#endif
