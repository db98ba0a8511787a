/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Contradictions about huts, and about where they and beds stand.
 */
#include <math.h>
#include <string.h>

#include "farm/contra_own.h"

/* Of a hut that can be moved, metres and kg. Common practice, no source: a hut for one sow is about 2.4 x 1.8 m and 1.1 m
 * high (core/nest/nest.h), one for a group a few times that; past the second limit it is a building. */
static const struct {
    const char *field, *flag;
    double odd_below, odd_above, most;
} hut_sizes[] = {
    { "length_m", "length", 0.9, 10, 30 },
    { "width_m", "width", 0.9, 10, 30 },
    { "height_m", "height", 0.6, 4, 10 },
    { "mass_kg", "mass", 0, 5000, INFINITY },
};

static enum status hut_fits(struct farm_contra *c, struct message *why)
{
    for (size_t i = 0; i < COUNT(hut_sizes); i++) {
        const double size = contra_real(c, hut_sizes[i].field);
        const char *flag = hut_sizes[i].flag, *unit = i == COUNT(hut_sizes) - 1 ? "kg" : "m";
        if (size > hut_sizes[i].most && !c->again) /* what was taken before may be brought back */
            return refuse(ST_BAD_INPUT, why, hut_sizes[i].field,
                          "%s: %.4g %s is more than a hut has that can be moved (%g at most); say is barn, or mend it",
                          flag, size, unit, hut_sizes[i].most);
        if (size > hut_sizes[i].odd_above)
            farm_odd(c, "hut-size-odd", NULL, "a %s of %.4g %s is much for a hut that can be moved", flag, size, unit);
        if (size < hut_sizes[i].odd_below)
            farm_odd(c, "hut-size-odd", NULL, "a %s of %.4g %s is little for a sow to lie in", flag, size, unit);
    }
    return ST_OK;
}

enum status contra_of_shelter(struct farm_contra *c, struct message *why)
{
    enum { THICK_CM = 15 }; /* sizes are of the inside, the opening may be measured with its frame */
    const double slack_m = THICK_CM / 100.0, length_m = contra_real(c, "length_m"), width_m = contra_real(c, "width_m");
    const double door_m = contra_real(c, "door_width_m"); /* a side that is not known (NAN) may be any */

    if (contra_real(c, "door_height_m") > contra_real(c, "height_m") + slack_m && !c->again)
        return refuse(ST_BAD_INPUT, why, "door_height_m", "door-height: the opening is higher than the inside");
    if (door_m > length_m + slack_m && door_m > width_m + slack_m && !c->again)
        return refuse(ST_BAD_INPUT, why, "door_width_m", "door-width: the opening is wider than the longer side");
    return strcmp(contra_text(c, "is"), "hut") == 0 ? hut_fits(c, why) : ST_OK;
}

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
