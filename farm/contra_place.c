/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Contradictions about where huts and beds stand.
 */
#include <string.h>

#include "farm/contra_own.h"

static int64_t from_of(const struct contra_list *l, size_t i)
{
    return fact_whole(l->kind, l->fact[i].value, "from", INT64_MIN);
}

/* A hut stands in one place. Without an end, a placement ends when the next one of the same hut begins. */
static enum status one_place(struct farm_contra *c, const char *shelter, struct message *why)
{
    struct contra_list others;
    const int64_t from_s = contra_when(c), to_s = fact_whole(c->kind, c->values, "to", INT64_MAX);
    const enum status st = contra_list(c, "placement", "shelter", shelter, &others, why);

    for (size_t i = 0; st == ST_OK && i < others.n; i++) {
        const int64_t other_from_s = from_of(&others, i);
        const int64_t other_to_s = fact_whole(others.kind, others.fact[i].value, "to", INT64_MAX);
        const bool both = other_from_s == from_s ||
                          (other_from_s < from_s && other_to_s != INT64_MAX && other_to_s > from_s) ||
                          (other_from_s > from_s && to_s != INT64_MAX && to_s > other_from_s);
        if (both)
            return refuse(
                ST_CONFLICT, why, "from", "from: %s would stand in two places at once; it is placed from %s%s%s too",
                contra_called(c, shelter), contra_moment(c, other_from_s), other_to_s == INT64_MAX ? "" : " to ",
                other_to_s == INT64_MAX ? "" : contra_moment(c, other_to_s));
    }
    return st;
}

enum status contra_of_placement(struct farm_contra *c, struct message *why)
{
    const char *shelter = contra_text(c, "shelter"), *is = contra_text(c, "is");
    const bool bed = strcmp(is, "lee") == 0 || strcmp(is, "open") == 0;
    struct fact hut;

    if (!shelter && !bed)
        return refuse(ST_BAD_INPUT, why, "is", "is: without a hut it is a bed of straw: say lee or open");
    if (shelter && bed)
        return refuse(ST_BAD_INPUT, why, "is", "is: with a hut it is hut or barn, not %s", is);
    if (!shelter)
        return ST_OK;
    enum status st = farm_fact(c->farm, shelter, 0, c->mem, &hut, why);
    if (st == ST_OK && fact_whole(hut.kind, hut.value, "gone", 0) == 1)
        farm_odd(c, "hut-gone", shelter, "%s is recorded as gone", contra_called(c, shelter));
    return st == ST_OK ? one_place(c, shelter, why) : st;
}

enum status contra_of_bedding(struct farm_contra *c, struct message *why)
{
    const char *uid = contra_text(c, "placement");
    struct fact place;
    const enum status st = farm_fact(c->farm, uid, 0, c->mem, &place, why);

    if (st != ST_OK)
        return st;
    const int64_t at_s = contra_when(c), from_s = fact_whole(place.kind, place.value, "from", INT64_MIN);
    const int64_t to_s = fact_whole(place.kind, place.value, "to", INT64_MAX);
    if (at_s < from_s && words_local_day(c->farm->zone, at_s) < words_local_day(c->farm->zone, from_s))
        return refuse(ST_CONFLICT, why, "at", "at: %s does not stand there before %s", contra_called(c, uid),
                      contra_moment(c, from_s));
    if (at_s > to_s)
        farm_odd(c, "bedded-after", uid, "%s is bedded on %s, after it was taken away on %s", contra_called(c, uid),
                 contra_moment(c, at_s), contra_moment(c, to_s));
    return ST_OK;
}
