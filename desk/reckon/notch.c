/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon notch: what to cut for a number, and what number the notches are. */
#include "desk/notch_words.h"

#include <stdio.h>
#include <string.h>

#include "desk/reckon/reckon.h"

enum { NUMBER, RIGHT, LEFT, LOCAL_EXTRA };

static const struct param params[] = {
    [NUMBER] = { "LITTER-PIG", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD, "litter and pig, such as 14-6" },
    [RIGHT] = { "right", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                "notches of the pig's own right ear, such as 9,3,1,1: the litter" },
    [LEFT] = { "left", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
               "notches of the pig's own left ear, such as 3,3: the pig in the litter" },
    [LOCAL_EXTRA] = { "local-extra", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                      "as some herds do: left 27 adds 200 to the litter, left 81 adds 81" },
};

static const struct shape shape[] = {
    { "number", SHAPE_TEXT, false, "litter-pig" },
    { "litter", SHAPE_WHOLE, false, "" },
    { "pig", SHAPE_WHOLE, false, "" },
    { "right", SHAPE_LIST, false, "values of the notches of the pig's own right ear, largest first" },
    { "right[]", SHAPE_WHOLE, false, "" },
    { "left", SHAPE_LIST, false, "of her own left ear" },
    { "left[]", SHAPE_WHOLE, false, "" },
    { "local_extra", SHAPE_FLAG, false, "" },
    { "says", SHAPE_TEXT, false, "where to cut, ear by ear" },
    SHAPE_CAUTIONS,
    SHAPE_ASSUMED,
};

/* "9,3,1,1" -> how many at each place. */
static enum status places_of(const char *which, const char *text, int ear[NOTCH_PLACES], struct message *why)
{
    for (const char *at = text; *at; at += strspn(at, ", ")) {
        const size_t length = strcspn(at, ", ");
        int p = 0;
        for (char value[8]; p < NOTCH_PLACES; p++) {
            (void)snprintf(value, sizeof value, "%d", notch_value[p]);
            if (strlen(value) == length && memcmp(value, at, length) == 0)
                break;
        }
        if (p == NOTCH_PLACES)
            return refuse(ST_BAD_INPUT, why, which, "--%s: \"%.20s\" is no place; the places are 1, 3, 9, 27 and 81",
                          which, at);
        if (ear[p] < 1000)
            ear[p]++;
        at += length;
    }
    return ST_OK;
}

static void answer_ear(struct answer *a, const char *key, const int ear[NOTCH_PLACES])
{
    struct answer *list = answer_list(a, key);

    for (int p = NOTCH_PLACES - 1; p >= 0; p--)
        for (int k = 0; k < ear[p]; k++)
            answer_whole(list, NULL, notch_value[p]);
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    const bool extra = given_flag(q, LOCAL_EXTRA), by_number = given_is(q, NUMBER);
    const bool by_ears = given_is(q, RIGHT) || given_is(q, LEFT);
    struct notch_number n = { 0, 0 };
    struct notch_ears ears = { .right = { 0 } };
    enum status st = ST_OK;

    if (by_number && by_ears)
        return refuse(ST_BAD_INPUT, why, "LITTER-PIG",
                      "Give either a number such as 14-6, or --right and --left; not both");
    if (!by_number && !(given_is(q, RIGHT) && given_is(q, LEFT)))
        return refuse(ST_BAD_INPUT, why, by_ears ? given_is(q, RIGHT) ? "left" : "right" : "LITTER-PIG",
                      by_ears ? "--right and --left are both needed: the right ear is the litter, the left the pig"
                              : "LITTER-PIG is needed: a number such as 14-6, or --right and --left");
    if (by_number) {
        st = notch_read(given_text(q, NUMBER), &n, why);
        if (st == ST_OK)
            st = notch_cut(n, extra, &ears, why);
    } else {
        st = places_of("right", given_text(q, RIGHT), ears.right, why);
        if (st == ST_OK)
            st = places_of("left", given_text(q, LEFT), ears.left, why);
        if (st == ST_OK)
            st = notch_count(&ears, extra, &n, why);
    }
    if (st != ST_OK)
        return st;
    answer_print(a, "number", "%d-%d", n.litter, n.pig);
    answer_whole(a, "litter", n.litter);
    answer_whole(a, "pig", n.pig);
    answer_ear(a, "right", ears.right);
    answer_ear(a, "left", ears.left);
    answer_flag(a, "local_extra", extra);
    answer_print(a, "says", "Her own right ear: %s. Her own left ear: %s.", notch_ear_words(q->mem, ears.right),
                 notch_ear_words(q->mem, ears.left));
    struct answer *cautions = answer_list(a, "cautions");
    if (!extra && n.pig > NOTCH_PIG_USUAL)
        answer_words(cautions, "Pig numbers seldom go above 26: look again whether the ears are the right way round.");
    answer_words(cautions, "Right and left are the pig's own. Facing her, her right ear is on your left.");
    answer_words(cautions, "Breed societies have keys of their own, and local rules say how and until when ears may be "
                           "notched: ask your vet.");
    return ST_OK;
}

const struct question piece_notch = {
    "notch", "Ear notches for a number, and the number of notches: right ear litter, left ear pig",
    params,  COUNT(params),
    shape,   COUNT(shape),
    NULL,    put,
};
