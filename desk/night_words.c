/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shelters and changes to them in words. */
#include <math.h>
#include <string.h>

#include "desk/night_inside.h"
#include "desk/unit_words.h"

static const char *const point[16] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                       "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };

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
    const char *looks = point[(facing * 16 + 180) / 360 % 16];
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
                                 point[(int)fmod(o->is.lee.bearing_deg / 22.5 + 0.5, 16.0)]);
    if (k == 0)
        return "leave as it stands";
    const char *all = parts[0];
    for (size_t i = 1; i < k; i++)
        all = arena_print(n->mem, "%s%s%s", all, i + 1 == k ? " and " : ", ", parts[i]);
    return all ? all : "";
}

static const char *point_of(double deg)
{
    return point[(int)fmod(deg / 22.5 + 0.5, 16.0)];
}

static const char *straw_words(const struct night *n, const struct shelter *is)
{
    if (is->floor != PIGLET_STRAW || is->straw_m < 0.005)
        return "no straw";
    const bool old = is->straw == STRAW_DRY && is->straw_age_d > 14.0;
    return arena_print(n->mem, "%s of %s straw", words_depth(&n->herd->place, is->straw_m, n->mem),
                       old ? "old" : straw_state_name[is->straw]);
}

const char *night_shelter_words(const struct night *n, const struct shelter *is)
{
    const char *straw = straw_words(n, is), *looks = "which way the door looks is not recorded";

    switch (is->kind) {
    case SHELTER_HUT:
        if (isfinite(is->hut.facing_deg))
            looks = arena_print(n->mem, "door to %s (%.0f°)", point_of(is->hut.facing_deg), is->hut.facing_deg);
        return arena_print(n->mem, "%s, %s, %s", looks, straw, is->hut.flap ? "flap hung" : "no flap");
    case SHELTER_OPEN: return arena_print(n->mem, "in the open, %s", straw);
    case SHELTER_LEE: return arena_print(n->mem, "in the lee, %s", straw);
    case SHELTER_BARN: return arena_print(n->mem, "in a building, %s", straw);
    case SHELTER_KIND_END: break;
    }
    return straw;
}

const char *night_stands(const struct night *n, size_t option)
{
    const struct night_option *o = &n->options[option];
    const char *all = night_shelter_words(n, &o->is);

    if (o->walled)
        all = arena_print(n->mem, "%s, wall of bales to %s", all, point_of(o->is.lee.bearing_deg));
    return all ? all : "";
}
