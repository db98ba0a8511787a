/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/nest/own.h"

struct limit {
    const char *field, *what, *unit;
    double value, low, high;
    bool may_be_unknown;
};

static enum status refuse_outside(size_t n, const struct limit limits[], struct message *why)
{
    for (size_t i = 0; i < n; i++) {
        const struct limit *l = &limits[i];
        if (isnan(l->value) && l->may_be_unknown)
            continue;
        if (!(l->value >= l->low && l->value <= l->high))
            return refuse(ST_BAD_INPUT, why, l->field, "%s is %g; give %g to %g%s", l->what, l->value, l->low, l->high,
                          l->unit);
    }
    return ST_OK;
}

static enum status check_hut(const struct hut *h, struct message *why)
{
    const struct limit limits[] = {
        { "hut-length", "the hut's floor length", " m", h->floor_length_m, 1.0, 12.0, false },
        { "hut-width", "the hut's floor width", " m", h->floor_width_m, 0.8, 12.0, false },
        { "hut-height", "the hut's height", " m", h->height_m, 0.6, 4.0, false },
        { "skin", "the hut's outside skin", " m2", h->skin_m2, 2.0, 400.0, true },
        { "door-width", "the door's width", " m", h->door_width_m, 0.2, 12.0, false },
        { "door-height", "the door's height", " m", h->door_height_m, 0.2, 4.0, false },
        { "leaks", "the area of cracks", " m2", h->leaks_m2, 0.0, 2.0, false },
        { "facing", "the door's bearing", " degrees", h->facing_deg, 0.0, 360.0, true },
    };

    if ((unsigned)h->wall >= HUT_WALL_END)
        return refuse(ST_BAD_INPUT, why, "wall", "the wall is none that is known: steel, plastic, wood or insulated");
    return refuse_outside(COUNT(limits), limits, why);
}

static enum status check_lee(const struct windbreak *b, struct message *why)
{
    const struct limit limits[] = {
        { "windbreak-porosity", "the windbreak's porosity", " as a fraction", b->porosity, 0.0, 1.0, false },
        { "windbreak-distance-heights", "the distance to the windbreak", " times its height", b->distance_heights,
          -20.0, 60.0, false },
        { "windbreak-bearing", "the windbreak's bearing", " degrees", b->bearing_deg, 0.0, 360.0, true },
        { "windbreak-width-heights", "the windbreak's length", " times its height", b->width_heights, 0.0, 1000.0,
          true },
    };

    return refuse_outside(COUNT(limits), limits, why);
}

enum status shelter_check(const struct shelter *s, struct message *why)
{
    const struct limit limits[] = {
        { "straw-depth", "the settled depth of straw", " m", s->straw_m, 0.0, 1.5, false },
        { "straw-age", "the age of the straw", " days", s->straw_age_d, 0.0, 3650.0, false },
        { "barn-warmer", "the barn's warmth above outside", " K", s->barn_warmer_k, -10.0, 40.0, false },
        { "barn-temp", "the barn's air", " °C", s->barn_temp_c, -40.0, 45.0, true },
    };
    enum status st;

    if ((unsigned)s->kind >= SHELTER_KIND_END)
        return refuse(ST_BAD_INPUT, why, "shelter", "the shelter is none that is known: open, lee, hut or barn");
    if ((unsigned)s->floor >= PIGLET_FLOOR_END)
        return refuse(ST_BAD_INPUT, why, "floor",
                      "the floor is none that is known: mesh, concrete, wood, soil or straw");
    if ((unsigned)s->straw >= STRAW_STATE_END)
        return refuse(ST_BAD_INPUT, why, "straw", "the straw is none of dry, damp, soaked");
    st = refuse_outside(COUNT(limits), limits, why);
    if (st == ST_OK && s->kind == SHELTER_HUT)
        st = check_hut(&s->hut, why);
    if (st == ST_OK && s->lee.stands)
        st = check_lee(&s->lee, why);
    return st;
}
