/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/litter/notch.h"

#include <string.h>

const int notch_value[NOTCH_PLACES] = { 1, 3, 9, 27, 81 };
const char *const notch_where[NOTCH_PLACES] = {
    "lower edge near the head", "lower edge near the tip", "upper edge near the tip", "upper edge near the head", "tip",
};
enum { EXTRA_27 = 200, EXTRA_81 = 81 };

static int most_at(int place)
{
    return place == NOTCH_81 ? 1 : 2;
}

/* Largest first: base 3 below 81, and 81 once. */
static int cut_ear(int number, int ear[NOTCH_PLACES])
{
    int notches = 0;

    for (int p = NOTCH_PLACES - 1; p >= 0; p--) {
        ear[p] = number / notch_value[p] < most_at(p) ? number / notch_value[p] : most_at(p);
        number -= ear[p] * notch_value[p];
        notches += ear[p];
    }
    return notches;
}

/* The litter's part beyond the right ear: fewest notches of all four ways, in the order none, 81, 200, both. */
static void cut_with_extra(int litter, struct notch_ears *ears)
{
    int fewest = 99, by_81 = 0, by_27 = 0, ear[NOTCH_PLACES];

    for (int way = 0; way < 4; way++) {
        const int rest = litter - EXTRA_81 * (way & 1) - EXTRA_27 * (way >> 1);
        if (rest < 1 || rest > NOTCH_MOST || (way > 0 && litter <= NOTCH_MOST))
            continue;
        const int notches = cut_ear(rest, ear) + (way & 1) + (way >> 1);
        if (notches < fewest) {
            fewest = notches;
            by_81 = way & 1;
            by_27 = way >> 1;
        }
    }
    (void)cut_ear(litter - EXTRA_81 * by_81 - EXTRA_27 * by_27, ears->right);
    ears->left[NOTCH_27] = by_27;
    ears->left[NOTCH_81] = by_81;
}

enum status notch_cut(struct notch_number n, bool local_extra, struct notch_ears *ears, struct message *why)
{
    const int litters = local_extra ? NOTCH_LITTER_EXTRA : NOTCH_MOST,
              pigs = local_extra ? NOTCH_PIG_USUAL : NOTCH_MOST;

    if (n.litter < 1 || n.litter > litters)
        return refuse(ST_BAD_INPUT, why, "number", "Litter %d is out of range; the right ear holds 1 to %d", n.litter,
                      litters);
    if (n.pig < 1 || n.pig > pigs)
        return refuse(ST_BAD_INPUT, why, "number", "Pig %d is out of range; the left ear holds 1 to %d", n.pig, pigs);
    *ears = (struct notch_ears){ .right = { 0 } };
    (void)cut_ear(n.pig, ears->left);
    if (local_extra)
        cut_with_extra(n.litter, ears);
    else
        (void)cut_ear(n.litter, ears->right);
    return ST_OK;
}

static enum status count_ear(const int ear[NOTCH_PLACES], const char *which, int *number, struct message *why)
{
    *number = 0;
    for (int p = 0; p < NOTCH_PLACES; p++) {
        if (ear[p] < 0 || ear[p] > most_at(p))
            return refuse(ST_BAD_INPUT, why, which, "--%s: %d notches at %d; at most %s there", which, ear[p],
                          notch_value[p], p == NOTCH_81 ? "one is" : "two are");
        *number += ear[p] * notch_value[p];
    }
    return ST_OK;
}

enum status notch_count(const struct notch_ears *ears, bool local_extra, struct notch_number *n, struct message *why)
{
    int litter = 0, pig = 0;
    enum status st = count_ear(ears->right, "right", &litter, why);

    if (st == ST_OK)
        st = count_ear(ears->left, "left", &pig, why);
    if (st != ST_OK)
        return st;
    if (local_extra) {
        if (ears->left[NOTCH_27] > 1)
            return refuse(ST_BAD_INPUT, why, "left", "--left: two notches at 27; with the local extra one is the most");
        const int by_27 = ears->left[NOTCH_27], by_81 = ears->left[NOTCH_81];
        pig -= notch_value[NOTCH_27] * by_27 + notch_value[NOTCH_81] * by_81;
        litter = litter == 0 ? 0 : litter + EXTRA_27 * by_27 + EXTRA_81 * by_81;
    }
    if (litter == 0)
        return refuse(ST_BAD_INPUT, why, "right", "--right: no notch; the right ear is the litter, 1 or more");
    if (pig == 0)
        return refuse(ST_BAD_INPUT, why, "left", "--left: no notch; the left ear is the pig, 1 or more");
    *n = (struct notch_number){ litter, pig };
    return ST_OK;
}

/* Up to four figures, so that no sum can overflow; NULL: no figures, or too many. */
static const char *read_number(const char *at, int *number)
{
    int figures = 0;

    at += strspn(at, " ");
    for (*number = 0; *at >= '0' && *at <= '9'; at++, figures++) {
        if (figures == 4)
            return NULL;
        *number = *number * 10 + (*at - '0');
    }
    return figures ? at + strspn(at, " ") : NULL;
}

enum status notch_read(const char *text, struct notch_number *n, struct message *why)
{
    struct notch_number read = { 0, 0 };
    const char *at = read_number(text, &read.litter);

    if (at && *at == '-')
        at = read_number(at + 1, &read.pig);
    else
        at = NULL;
    if (!at || *at)
        return refuse(ST_BAD_INPUT, why, "number", "\"%.40s\" is no notch number; write litter and pig, such as 14-6",
                      text);
    *n = read;
    return ST_OK;
}
