/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What stands, what could be made of it, and what it would take. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/nest/facing.h"
#include "desk/facing_words.h"
#include "desk/night_inside.h"
#include "desk/unit_words.h"

static const double turn_worth_deg = 20.0; /* a hut that is nearer than this to its best is left alone (judgement) */

static struct night_option *add(struct night *n, size_t site, const struct shelter *is)
{
    if (n->n_options == NIGHT_OPTIONS)
        return NULL;
    struct night_option *o = &n->options[n->n_options++];
    *o = (struct night_option){ .site = site, .is = *is };
    return o;
}

static double turn_between(double a_deg, double b_deg)
{
    return fabs(remainder(a_deg - b_deg, 360.0));
}

enum status night_best_facing(struct night *n, const struct shelter *is, double *deg, struct message *why)
{
    double *weight = ARENA_NEW(n->mem, double, n->n_hours);
    struct arena scratch;
    struct facing f;

    if (!weight)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t h = 0; h < n->n_hours; h++) {
        weight[h] = 1e-4; /* with nobody near, all hours count alike */
        for (size_t i = 0; i < n->n_sows; i++)
            weight[h] += n->sows[i].near ? n->sows[i].birth[h] : 0.0;
    }
    struct facing_ask ask = facing_ask_default();
    ask.n = n->n_hours;
    ask.hours = n->coming->line + n->coming->n_before;
    ask.weight = weight;
    ask.lat_deg = n->herd->place.lat_deg;
    ask.lon_deg = n->herd->place.lon_deg;
    ask.shelter = is;
    ask.inside = &n->inside;
    ask.feels = n->feels;
    ask.standard_offset_s = zone_standard_offset_s(n->herd->zone, n->herd->at_utc_s);
    arena_open(&scratch, 64u << 20);
    const enum status st = facing_find_on_two(&ask, &scratch, NULL, &f, why);
    arena_close(&scratch);
    if (st == ST_OK)
        *deg = f.hardly_matters || f.nothing_differs ? (double)NAN : f.best_deg;
    return st;
}

struct straw_step {
    double bales;
    bool half;
};
static const struct straw_step straw_steps[] = { { 0.0, false }, { 0.5, true }, { 1.0, false } };

double night_bale_kg(const struct night *n)
{
    return isfinite(n->herd->stock.bale_kg) && n->herd->stock.bale_kg > 0.0 ? n->herd->stock.bale_kg : 18.0;
}

/* More straw on what lies there: on dry straw it adds up, wet straw is forked out first. False: nothing would be
 * gained. */
bool night_bedded(const struct night *n, struct shelter *is, double bales, double *kg)
{
    const bool open = is->kind == SHELTER_OPEN || is->kind == SHELTER_LEE;
    const bool keep = is->floor == PIGLET_STRAW && is->straw == STRAW_DRY && !(is->straw_age_d > 14.0);
    const double before = keep ? is->straw_m : 0.0;
    const double most = keep ? fmax(night_work.deepest_m, before) : night_work.deepest_m;
    const double wanted = fmin(most, before + night_straw_depth_m(bales * night_bale_kg(n), open));

    if (wanted - before < 0.02)
        return false;
    *kg = night_straw_kg(wanted - before, open);
    is->floor = PIGLET_STRAW;
    is->straw_m = wanted;
    is->straw = STRAW_DRY;
    is->straw_age_d = 0.0;
    return true;
}

/* Where the wind comes from in the hours in which a near sow may farrow (at a nest: its own sow): mean of the wind's
 * vector, cold hours first. */
static double windward(const struct night *n, size_t nest_of)
{
    double east = 0.0, north = 0.0;

    for (size_t h = 0; h < n->n_hours; h++) {
        const struct hour *x = &n->coming->line[n->coming->n_before + h];
        double w = 1e-4;
        for (size_t i = 0; i < n->n_sows; i++)
            w += n->sows[i].near && (nest_of == HERD_NONE || n->sows[i].herd == nest_of) ? n->sows[i].birth[h] : 0.0;
        if (isnan(x->wind_from_deg) || isnan(x->wind_mps))
            continue;
        w *= x->wind_mps * fmax(1.0, 10.0 - x->temp_c);
        east += w * sin(x->wind_from_deg * 0.017453292519943295);
        north += w * cos(x->wind_from_deg * 0.017453292519943295);
    }
    const double deg = atan2(east, north) / 0.017453292519943295;
    return deg < 0.0 ? deg + 360.0 : deg;
}

static bool walled(const struct night *n, size_t nest_of, struct shelter *is)
{
    const double deg = windward(n, nest_of);

    if (is->lee.stands && (is->lee.distance_heights <= 6.0 && turn_between(is->lee.bearing_deg, deg) <= 60.0))
        return false; /* stands in the way of that wind already */
    is->lee = (struct windbreak){ .stands = true,
                                  .porosity = night_work.wall_porosity,
                                  .distance_heights = night_work.wall_distance_heights,
                                  .bearing_deg = deg,
                                  .width_heights = night_work.wall_length_m / night_work.wall_height_m };
    if (is->kind == SHELTER_OPEN)
        is->kind = SHELTER_LEE;
    return true;
}

/* Every sensible combination at one site that stands in the field or in store. */
static enum status combine(struct night *n, size_t site, struct message *why)
{
    struct night_site *s = &n->sites[site];
    const struct herd_site *h = &n->herd->sites[s->herd];
    const bool hut = h->is.kind == SHELTER_HUT, store = s->kind == NIGHT_HUT_IN_STORE, nest = h->nest_of != HERD_NONE;
    const bool may_turn = hut && !nest && !h->frozen_in, may_flap = hut && h->flap_possible && !h->is.hut.flap;
    enum status st = ST_OK;

    s->best_facing_deg = NAN;
    s->as_it_stands = n->n_options;
    if (!store && !add(n, site, &h->is))
        return refuse(ST_NO_MEMORY, why, "", "too many shelters to weigh at once");
    if (may_turn || store)
        st = night_best_facing(n, &h->is, &s->best_facing_deg, why);
    if (store && isnan(s->best_facing_deg))
        s->best_facing_deg = isfinite(h->is.hut.facing_deg) ? h->is.hut.facing_deg : 135.0;
    if (st != ST_OK)
        return st;
    const bool turn =
        isfinite(s->best_facing_deg) && (store || isnan(h->is.hut.facing_deg) ||
                                         turn_between(s->best_facing_deg, h->is.hut.facing_deg) >= turn_worth_deg);
    for (int t = store ? 1 : 0; t <= (turn ? 1 : 0); t++)
        for (int f = 0; f <= (may_flap ? 1 : 0); f++)
            for (int w = 0; w <= (hut && !nest ? 0 : 1); w++)
                for (size_t b = 0; b < COUNT(straw_steps); b++) {
                    struct shelter is = h->is;
                    double kg = 0.0;
                    if (!t && !f && !w && b == 0)
                        continue; /* as it stands */
                    if (t)
                        is.hut.facing_deg = s->best_facing_deg;
                    if (f)
                        is.hut.flap = true;
                    if (w && !walled(n, h->nest_of, &is))
                        continue;
                    if (b > 0 && !night_bedded(n, &is, straw_steps[b].bales, &kg))
                        continue;
                    struct night_option *o = add(n, site, &is);
                    if (!o)
                        return refuse(ST_NO_MEMORY, why, "", "too many shelters to weigh at once");
                    o->turned = t && !store;
                    o->moved = store;
                    o->flapped = f;
                    o->walled = w;
                    o->bedded = b > 0;
                    o->straw_kg_more = kg;
                }
    return ST_OK;
}

static enum night_site_kind kind_of(const struct herd_site *h)
{
    if (h->is.kind == SHELTER_BARN)
        return NIGHT_BARN;
    if (h->is.kind == SHELTER_HUT)
        return h->placed ? NIGHT_HUT : NIGHT_HUT_IN_STORE;
    return NIGHT_NEST;
}

static enum status standing(struct night *n, struct message *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < n->herd->n_sites && st == ST_OK; i++) {
        const struct herd_site *h = &n->herd->sites[i];
        if (h->litter_of != HERD_NONE || (!h->placed && h->is.kind != SHELTER_HUT))
            continue;
        if (n->n_sites == NIGHT_SITES)
            return refuse(ST_NO_MEMORY, why, "", "more than %d shelters", (int)NIGHT_SITES);
        n->sites[n->n_sites] = (struct night_site){ .kind = kind_of(h), .herd = i, .lee = h->lee, .name = h->name };
        st = combine(n, n->n_sites++, why);
    }
    return st;
}

/* Rain means huts: straw laid in the open before rain is wasted, so a bed is made once five hours running stay dry. 0
 * when it is dry till then; the end of the horizon when it does not become dry. */
static double after_rain_h(const struct night *n)
{
    double wet_mm = 0.0;
    size_t dry = 0;

    for (size_t h = 0; h < n->n_hours; h++) {
        const struct hour *x = &n->coming->line[n->coming->n_before + h];
        const bool wets = !x->snow || x->temp_c > 0.0, rains = wets && x->rain_mm >= 0.2; /* dry snow is shaken off */
        wet_mm += h < 24 && wets && isfinite(x->rain_mm) ? x->rain_mm : 0.0;
        dry = rains ? 0 : dry + 1;
        if (h >= 23 && wet_mm < 1.0)
            return 0.0;
        if (wet_mm >= 1.0 && dry == 5)
            return (double)(h - 4);
    }
    return wet_mm < 1.0 ? 0.0 : (double)n->n_hours;
}

static enum status bed(struct night *n, enum night_site_kind kind, size_t lee, const char *name, struct message *why)
{
    struct shelter is = shelter_default(kind == NIGHT_BED_LEE ? SHELTER_LEE : SHELTER_OPEN);
    double kg = 0.0;

    if (n->n_sites == NIGHT_SITES)
        return refuse(ST_NO_MEMORY, why, "", "more than %d shelters", (int)NIGHT_SITES);
    struct night_site *s = &n->sites[n->n_sites];
    *s = (struct night_site){
        .kind = kind, .herd = HERD_NONE, .lee = lee, .name = name, .as_it_stands = n->n_options, .best_facing_deg = NAN
    };
    is.straw_m = 0.0;
    if (kind == NIGHT_BED_LEE) {
        const struct herd_break *b = &n->herd->breaks[lee];
        is.lee = (struct windbreak){ .stands = true,
                                     .porosity = b->porosity,
                                     .distance_heights = night_work.lee_distance_heights,
                                     .bearing_deg = b->bearing_deg,
                                     .width_heights = b->height_m > 0.0 ? b->length_m / b->height_m : (double)NAN };
    }
    if (kind == NIGHT_GROUND)
        is.straw_m = night_work.found_bed_m;
    else if (!night_bedded(n, &is, 1.0, &kg))
        return ST_OK;
    struct night_option *o = add(n, n->n_sites++, &is);
    if (!o)
        return refuse(ST_NO_MEMORY, why, "", "too many shelters to weigh at once");
    o->bedded = kind != NIGHT_GROUND;
    o->earliest_h = o->bedded ? after_rain_h(n) : 0.0;
    o->straw_kg_more = kg;
    return ST_OK;
}

enum status night_sites_and_options(struct night *n, struct message *why)
{
    n->sites = ARENA_NEW(n->mem, struct night_site, NIGHT_SITES);
    n->options = ARENA_NEW(n->mem, struct night_option, NIGHT_OPTIONS);
    if (!n->options || !n->sites)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = bed(n, NIGHT_GROUND, HERD_NONE, "where she lies down", why);
    night_assume(n,
                 arena_print(n->mem,
                             "A sow that uses nothing put out farrows in the open on %s of what she scrapes together.",
                             words_depth(&n->herd->place, night_work.found_bed_m, n->mem)));
    if (st == ST_OK)
        st = standing(n, why);
    if (st == ST_OK)
        st = bed(n, NIGHT_BED_OPEN, HERD_NONE, "straw in the open", why);
    for (size_t i = 0; i < n->herd->n_breaks && st == ST_OK; i++)
        st = bed(n, NIGHT_BED_LEE, i, arena_print(n->mem, "straw in the lee of %s", n->herd->breaks[i].name), why);
    night_assume(
        n,
        arena_print(n->mem,
                    "Half a small bale in a hut makes about %s where she nests, one in the open about %s; wet straw is "
                    "forked out first.",
                    words_depth(&n->herd->place, 0.15, n->mem), words_depth(&n->herd->place, 0.2, n->mem)));
    night_assume(n,
                 arena_print(n->mem,
                             "Work: turning a hut %.0f min with %u, carrying one %.0f min with %u, straw %.0f min, a "
                             "flap %.0f min, a wall of %u bales %.0f min.",
                             night_work.turn_min, night_work.turn_people, night_work.move_min, night_work.move_people,
                             night_work.straw_min, night_work.flap_min, night_work.wall_bales, night_work.wall_min));
    return st;
}
