/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/notch_words.h"

const char *notch_ear_words(struct arena *mem, const int ear[NOTCH_PLACES])
{
    const char *words = "";

    for (int p = 0; p < NOTCH_PLACES; p++)
        if (ear[p])
            words = arena_print(mem, "%s%s%s at the %s", words, *words ? ", " : "", ear[p] == 2 ? "two" : "one",
                                notch_where[p]);
    return words;
}

const char *notch_tag_words(struct arena *mem, const char *tag)
{
    struct notch_number n = { 0, 0 };
    struct notch_ears ears = { .right = { 0 } };
    struct message why = { "", "" };

    if (notch_read(tag, &n, &why) != ST_OK)
        return NULL;
    const bool extra = n.litter > NOTCH_MOST;
    if (notch_cut(n, extra, &ears, &why) != ST_OK)
        return NULL;
    return arena_print(mem, "its own right ear (litter %d): %s; its own left ear (pig %d): %s%s", n.litter,
                       notch_ear_words(mem, ears.right), n.pig, notch_ear_words(mem, ears.left),
                       extra ? "; with the local extra of 200 for a notch at the left 27 and 81 for one at the left 81"
                             : "");
}
