/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/shelter_words.h"

#include <math.h>

#include "desk/unit_words.h"

static const char *const point[16] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                       "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };

const char *shelter_point(double deg)
{
    return point[(int)fmod(deg / 22.5 + 0.5, 16.0)];
}

static const char *straw_words(const struct desk_place *place, const struct shelter *is, struct arena *mem)
{
    if (is->floor != PIGLET_STRAW || is->straw_m < 0.005)
        return "no straw";
    const bool old = is->straw == STRAW_DRY && is->straw_age_d > 14.0;
    return arena_print(mem, "%s of %s straw", words_depth(place, is->straw_m, mem),
                       old ? "old" : straw_state_name[is->straw]);
}

const char *shelter_words(const struct desk_place *place, const struct shelter *is, struct arena *mem)
{
    const char *straw = straw_words(place, is, mem), *looks = "which way the door looks is not recorded";

    switch (is->kind) {
    case SHELTER_HUT:
        if (isfinite(is->hut.facing_deg))
            looks = arena_print(mem, "door to %s (%.0f°)", shelter_point(is->hut.facing_deg), is->hut.facing_deg);
        return arena_print(mem, "%s, %s, %s", looks, straw, is->hut.flap ? "flap hung" : "no flap");
    case SHELTER_OPEN: return arena_print(mem, "in the open, %s", straw);
    case SHELTER_LEE: return arena_print(mem, "in the lee, %s", straw);
    case SHELTER_BARN: return arena_print(mem, "in a building, %s", straw);
    case SHELTER_KIND_END: break;
    }
    return straw;
}
