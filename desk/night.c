/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sows' side of the night: birth hours, who is near, limits, moments. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "desk/night_inside.h"
#include "desk/night_kept.h"
#include "desk/unit_words.h"
#include "desk/when.h"

const struct night_work night_work = {
    .turn_min = 12,
    .straw_min = 6,
    .flap_min = 10,
    .wall_min = 15,
    .move_min = 30,
    .bed_min = 8,
    .vents_min = 3,
    .turn_people = 2,
    .move_people = 2,
    .wall_bales = 4,
    .wall_porosity = 0.15,
    .wall_distance_heights = 1.0,
    .wall_height_m = 0.9,
    .wall_length_m = 4.0,
    .half_bale = 0.5,
    .deepest_m = 0.25,
    .found_bed_m = 0.05,
    .lee_distance_heights = 3.0,
    .near_chance = 0.10,
};

/* Loose straw settles to about 40 kg/m3 (from memory); a sow's nest covers so much ground (judgement, made to agree
 * with half a small bale of 18 kg in a hut and one in the open: common practice, no source). */
static const double straw_kg_m3 = 40.0, nest_hut_m2 = 1.5, nest_open_m2 = 2.25;

double night_straw_depth_m(double straw_kg, bool in_the_open)
{
    return straw_kg >= 0.0 ? straw_kg / (straw_kg_m3 * (in_the_open ? nest_open_m2 : nest_hut_m2)) : (double)NAN;
}

double night_straw_kg(double depth_m, bool in_the_open)
{
    return depth_m * straw_kg_m3 * (in_the_open ? nest_open_m2 : nest_hut_m2);
}

void night_assume(struct night *n, const char *sentence)
{
    for (size_t i = 0; i < n->n_assumed; i++)
        if (strcmp(n->assumed[i], sentence) == 0)
            return;
    if (sentence && n->n_assumed < NIGHT_ASSUMED)
        n->assumed[n->n_assumed++] = sentence;
}

static double share_of_births(const struct night *n, const struct night_sow *s, double hours)
{
    double sum = 0.0;
    for (size_t h = 0; h < n->n_hours && (double)h < hours; h++)
        sum += s->birth[h];
    return sum;
}

static enum status one_sow(struct night *n, size_t i, const struct night_ask *ask, struct night_sow *s,
                           struct message *why)
{
    const struct herd_sow *h = &n->herd->sows[i];
    const int64_t at = n->herd->at_utc_s;

    s->herd = i;
    const enum status st = herd_chance(n->herd, i, ask->seen_now ? BREEDING_SEEN_NOW : BREEDING_SINCE_LAST_LOOK,
                                       n->coming, n->mem, &s->prior, &s->post, why);
    if (st != ST_OK)
        return st;
    s->birth = ARENA_NEW(n->mem, double, n->n_hours);
    if (!s->birth)
        return refuse(ST_NO_MEMORY, why, "", "too many sows or hours to hold at once");
    if (!s->post.known)
        return ST_OK;
    breeding_hours(&s->post.density, n->coming->from_utc_s, n->n_hours, s->birth);
    /* what lies before the moment asked about has happened or not; it is no birth to come */
    const int64_t past_s = at - n->coming->from_utc_s;
    if (past_s > 0)
        s->birth[0] = breeding_between(&s->post.density, at, n->coming->from_utc_s + HOUR_S);
    s->p_24h = share_of_births(n, s, 24.0);
    s->p_48h = share_of_births(n, s, 48.0);
    s->p_horizon = share_of_births(n, s, (double)n->n_hours);
    s->near = s->p_horizon >= night_work.near_chance || h->nesting_utc_s != BREEDING_NONE;
    return ST_OK;
}

static enum status all_sows(struct night *n, const struct night_ask *ask, struct message *why)
{
    enum status st = ST_OK;

    n->sows = ARENA_NEW(n->mem, struct night_sow, n->herd->n_sows + 1);
    if (!n->sows)
        return refuse(ST_NO_MEMORY, why, "", "too many sows to hold at once");
    for (size_t i = 0; i < n->herd->n_sows && st == ST_OK; i++) {
        if (n->herd->sows[i].state != HERD_SERVED)
            continue;
        st = one_sow(n, i, ask, &n->sows[n->n_sows], why);
        n->n_sows += st == ST_OK;
    }
    return st;
}

/* Sow and litter that a shelter is reckoned with: the herd's own means where they are recorded. */
static void who_lies_there(struct night *n)
{
    double mass = 0.0, litter = 0.0;
    size_t n_mass = 0, n_litter = 0;

    n->inside = nest_inside_default();
    n->typical = piglet_newborn();
    n->runt_kg = 0.9;
    for (size_t i = 0; i < n->herd->n_sows; i++) {
        const struct herd_sow *s = &n->herd->sows[i];
        if (isfinite(s->mass_kg) && s->mass_kg > 0.0) {
            mass += s->mass_kg;
            n_mass++;
        }
        if (isfinite(s->mean_litter) && s->mean_litter > 0.0) {
            litter += s->mean_litter * (double)s->n_litters;
            n_litter += s->n_litters;
        }
    }
    if (n_mass)
        n->inside.sow_kg = mass / (double)n_mass;
    if (n_litter) {
        n->inside.piglets = litter / (double)n_litter;
        n->typical.mates = fmax(1.0, floor(n->inside.piglets + 0.5) - 1.0);
    }
    const struct desk_place *place = &n->herd->place;
    night_assume(n, arena_print(n->mem, "Sow of %s and a litter of %.0f%s; piglet of %s, runt of %s.",
                                words_mass(place, n->inside.sow_kg, n->mem), n->inside.piglets,
                                n_mass && n_litter ? " (the herd's own means)" : "",
                                words_mass(place, n->typical.mass_kg, n->mem), words_mass(place, n->runt_kg, n->mem)));
}

/* Frozen ground: freezing degree-hours since the last thaw. A hut is fast when they pass 24, loose again after 24 of
 * thaw (judgement). Gives hours from now, 0 when so already, NAN when not within the horizon. */
static void frost_moments(const struct hour *run, size_t before, size_t hours, struct watch_moments *m)
{
    double frost = 0.0;
    bool frozen = false;

    m->freeze_h = m->thaw_h = NAN;
    for (size_t i = 0; i < before + hours; i++) {
        const double t = run[i].temp_c, h = i < before ? 0.0 : (double)(i - before);
        if (!isfinite(t))
            continue;
        frost = fmin(48.0, fmax(0.0, frost + fmin(4.0, -t)));
        if (!frozen && frost >= 24.0) {
            frozen = true;
            if (isnan(m->freeze_h))
                m->freeze_h = h;
        } else if (frozen && frost <= 0.0) {
            frozen = false;
            if (i >= before && isnan(m->thaw_h))
                m->thaw_h = h;
            if (i < before)
                m->freeze_h = NAN;
        }
    }
}

/* The hour after the first rain from which five hours running stay dry. */
static double dry_again(const struct hour hours[], size_t n)
{
    size_t dry = 0;
    bool wet = false;

    for (size_t h = 0; h < n; h++) {
        const bool rains = hours[h].rain_mm >= 0.2;
        wet = wet || rains;
        dry = rains ? 0 : dry + 1;
        if (wet && dry == 5)
            return (double)(h - 4);
    }
    return NAN;
}

static double light_again(const struct night *n)
{
    const struct coming *c = n->coming;
    for (size_t h = 1; h < n->n_hours; h++)
        if (c->daylight[c->n_before + h] && !c->daylight[c->n_before + h - 1])
            return (double)h;
    return NAN;
}

void night_moments(const struct night *n, struct watch_moments *moments)
{
    const struct coming *c = n->coming;
    const size_t run = c->n_before + c->n_hours;

    for (size_t k = 0; k < n->watch.n_members; k++) {
        const struct hour *hours = c->member + k * run;
        struct watch_moments *m = &moments[k];
        *m = (struct watch_moments){ NAN, NAN, NAN, NAN, NAN, NAN, NAN };
        frost_moments(hours, c->n_before, n->n_hours, m);
        m->dry_again_h = dry_again(hours + c->n_before, n->n_hours);
        m->light_again_h = light_again(n);
        for (size_t h = n->n_hours; h-- > 0;) {
            const struct hour *x = &hours[c->n_before + h];
            if (x->rain_mm >= 0.2 && !x->snow)
                m->rain_h = (double)h;
            if (x->snow && x->wind_mps >= 7.0)
                m->drift_h = (double)h;
        }
        const struct sun_day day = sun_day(n->herd->at_utc_s, n->herd->place.lat_deg, n->herd->place.lon_deg);
        if (day.has_set && day.rise_utc_s <= n->herd->at_utc_s && day.set_utc_s > n->herd->at_utc_s)
            m->dusk_h = (double)(day.set_utc_s - c->from_utc_s) / (double)HOUR_S;
        else if (day.state == SUN_RISES)
            m->dusk_h = 0.0; /* dark already: by torch */
    }
}

static void limits(struct night *n)
{
    const struct herd_stock *s = &n->herd->stock;
    struct watch_limits *l = &n->watch.limits;

    l->people = s->people > 0 ? (unsigned)s->people : 1;
    l->flaps = s->flaps > 0 ? (unsigned)s->flaps : 0;
    l->bales = s->bales > 0 ? (unsigned)s->bales : 0;
    l->panels = s->panels > 0 ? (unsigned)s->panels : 0;
    l->straw_kg = isfinite(s->straw_kg) ? s->straw_kg : 0.0;
    if (s->people <= 0)
        night_assume(
            n, "Nobody is recorded as a helper: one pair of hands, so huts that take two are left where they stand.");
    if (!isfinite(s->straw_kg))
        night_assume(n, "No straw is recorded in stock; record it with: leenest record stock --straw 200kg");
    double *minutes = ARENA_NEW(n->mem, double, n->n_hours);
    for (size_t h = 0; minutes && h < n->n_hours; h++)
        minutes[h] = (double)l->people * (isfinite(s->hand_minutes_per_h) ? s->hand_minutes_per_h : 60.0);
    if (minutes) /* what is left of the hour that is under way */
        minutes[0] *= 1.0 - (double)(n->herd->at_utc_s - n->coming->from_utc_s) / (double)HOUR_S;
    l->hand_minutes = minutes;
}

static enum status for_the_watch(struct night *n, struct message *why)
{
    struct watch_sow *sows = ARENA_NEW(n->mem, struct watch_sow, n->n_sows + 1);
    struct watch_site *sites = ARENA_NEW(n->mem, struct watch_site, n->n_sites + 1);
    struct watch_moments *moments = ARENA_NEW(n->mem, struct watch_moments, n->watch.n_members);
    size_t ground = WATCH_NONE;

    if (!moments || !sites || !sows)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and shelters to hold at once");
    for (size_t i = 0; i < n->n_sites; i++) {
        const struct night_site *s = &n->sites[i];
        const struct herd_site *h = s->herd == HERD_NONE ? NULL : &n->herd->sites[s->herd];
        const bool bed = s->kind == NIGHT_BED_LEE || s->kind == NIGHT_BED_OPEN || s->kind == NIGHT_GROUND;
        sites[i] = (struct watch_site){ .key = s->name, .room = bed ? 4 : 1 };
        if (s->kind == NIGHT_GROUND)
            ground = s->as_it_stands;
        if (h) {
            sites[i].has_nest = h->nest_of != HERD_NONE;
            sites[i].has_litter = h->litter_of != HERD_NONE;
            sites[i].frozen_in = h->frozen_in;
            sites[i].drift_prone = h->drift_prone;
            sites[i].opens = h->is.kind == SHELTER_HUT;
        }
    }
    for (size_t i = 0; i < n->n_sows; i++) {
        const struct herd_sow *h = &n->herd->sows[n->sows[i].herd];
        sows[i] = (struct watch_sow){ .key = h->name,
                                      .birth = n->sows[i].birth,
                                      .p_use = herd_p_use(n->herd, n->sows[i].herd),
                                      .near = n->sows[i].near,
                                      .lies = ground,
                                      .nests_at = WATCH_NONE };
        for (size_t k = 0; k < n->n_sites; k++)
            if (h->nests_at != HERD_NONE && n->sites[k].herd == h->nests_at) {
                sows[i].nests_at = k;
                sows[i].lies = n->sites[k].as_it_stands;
            }
    }
    n->watch.sows = sows;
    n->watch.sites = sites;
    n->watch.n_sows = n->n_sows;
    n->watch.n_sites = n->n_sites;
    night_moments(n, moments);
    n->watch.moments = moments;
    if (moments[0].freeze_h <= 0.0)
        night_assume(n, "After the frost of the past days huts are taken as frozen to the ground, so none is turned; "
                        "try whether one "
                        "comes loose.");
    limits(n);
    return ST_OK;
}

enum status night_base(const struct herd *herd, const struct coming *coming, const struct night_ask *ask,
                       struct arena *mem, struct night *n, struct message *why)
{
    *n = (struct night){ .herd = herd, .coming = coming, .mem = mem };
    n->n_hours = ask->n_hours < coming->n_hours ? ask->n_hours : coming->n_hours;
    n->watch.n_hours = n->n_hours;
    n->watch.n_members = ask->lone_member ? 1 : OUTLOOK_MEMBERS;
    n->assumed = ARENA_NEW(mem, const char *, NIGHT_ASSUMED);
    n->feels = ARENA_NEW(mem, struct feels_table, 1);
    if (!n->assumed || !n->feels)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    feels_table_make(NULL, n->feels);
    who_lies_there(n);
    return all_sows(n, ask, why);
}

enum status night_lay_out(const struct herd *herd, const struct coming *coming, const struct night_ask *ask,
                          struct arena *mem, struct night *n, struct message *why)
{
    enum status st = night_base(herd, coming, ask, mem, n, why);
    if (st == ST_OK) {
        n->kept = ask->kept;
        night_kept_world(n);
        st = night_sites_and_options(n, why);
    }
    if (st == ST_OK)
        st = night_cells(n, why); /* drops options; indices are final after it */
    if (st == ST_OK)
        st = for_the_watch(n, why);
    return st;
}

/* The hours of the first night that lies in the horizon; all hours when none does. */
void night_span(const struct night *n, size_t *from, size_t *to)
{
    const int64_t at = n->coming->from_utc_s, six = when_next_clock(n->herd->zone, at, 18, 0);
    const int64_t begin = six - at > 12 * HOUR_S ? at : six, end = when_next_clock(n->herd->zone, begin + 60, 6, 0);

    *from = (size_t)((begin - at) / HOUR_S);
    *to = (size_t)((end - at) / HOUR_S);
    if (*from >= n->n_hours) {
        *from = 0;
        *to = n->n_hours;
    } else if (*to > n->n_hours) {
        *to = n->n_hours;
    }
}
