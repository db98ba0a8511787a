/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shelters and changes to them in words. */
#include <math.h>
#include <string.h>

#include "desk/joined.h"
#include "desk/night_inside.h"
#include "desk/shelter_words.h"

static const char *bales_in_words(const struct night *n, const struct night_option *o)
{
    const double bales = o->straw_kg_more / night_bale_kg(n);

    if (bales < 0.35)
        return "a few armfuls of straw";
    if (bales < 0.65)
        return "half a bale of straw";
    if (bales < 0.85)
        return "three quarters of a bale of straw";
    return bales < 1.25 ? "a bale of straw" : "more than a bale of straw";
}

const char *night_do(const struct night *n, size_t option)
{
    const struct night_option *o = &n->options[option];
    const struct night_site *s = &n->sites[o->site];
    const struct shelter *before = s->herd == HERD_NONE ? NULL : &n->herd->sites[s->herd].is;
    const int facing = (int)lround(isfinite(o->is.hut.facing_deg) ? o->is.hut.facing_deg : 0.0) % 360;
    const char *looks = shelter_point(facing);
    const char *parts[5];
    size_t k = 0;

    if (o->moved)
        parts[k++] = arena_print(n->mem, "carry it out and set it with the door to %s (%d°)", looks, facing);
    if (o->turned)
        parts[k++] = arena_print(n->mem, "turn the door to %s (%d°)", looks, facing);
    if (o->bedded && s->herd == HERD_NONE)
        parts[k++] = arena_print(n->mem, "lay %s as a bed", bales_in_words(n, o));
    else if (o->bedded)
        parts[k++] =
            arena_print(n->mem, "%sput in %s",
                        before && (before->straw != STRAW_DRY || before->straw_age_d > 14.0) && before->straw_m > 0.0
                            ? "fork out the wet straw and "
                            : "",
                        bales_in_words(n, o));
    if (o->flapped)
        parts[k++] = "hang the flap";
    if (o->walled)
        parts[k++] = arena_print(n->mem, "set a wall of %u bales to %s of it", night_work.wall_bales,
                                 shelter_point(o->is.lee.bearing_deg));
    if (k == 0)
        return "leave as it stands";
    const char *all = joined_with_and(k, parts, n->mem);
    return all ? all : "";
}

const char *night_stands(const struct night *n, size_t option)
{
    const struct night_option *o = &n->options[option];
    const char *all = shelter_words(&n->herd->place, &o->is, n->mem);

    if (o->walled)
        all = arena_print(n->mem, "%s, wall of bales to %s", all, shelter_point(o->is.lee.bearing_deg));
    return all ? all : "";
}
