/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A whole night from invented herd and weather, without a farm file: hundreds of cases in seconds.
 *
 *     struct night_case c;
 *     case_begin(&c);              an empty farm at 45 N 93 W, 36 hours of calm grey -2 °C
 *     case_sow(&c, "Bracken", 115, 0);
 *     case_hut(&c, "Alder hut", WALL_STEEL, 90, 0.05);
 *     c.hours[h].wind_mps = 6;     hours 0 .. CASE_BEFORE - 1 have passed; CASE_BEFORE is the hour asked about
 *     case_night(&c, lone);        lays out and plans; c.night, c.plan
 *     case_end(&c);
 */
#ifndef TESTS_E2E_NIGHT_CASE_H
#define TESTS_E2E_NIGHT_CASE_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "core/sun/sun.h"
#include "desk/night.h"
#include "desk/tonight_words.h"
#include "tests/prop.h"

enum {
    CASE_BEFORE = 24,
    CASE_HOURS = 36,
    CASE_RUN = CASE_BEFORE + CASE_HOURS,
    CASE_SOWS = 8,
    CASE_SITES = 10,
    CASE_LOOKS = 24
};

struct night_case {
    struct arena mem;
    struct herd herd;
    struct coming coming;
    struct herd_sow sows[CASE_SOWS];
    struct breeding_service service[CASE_SOWS];
    struct breeding_look looks[CASE_SOWS][CASE_LOOKS];
    struct herd_site sites[CASE_SITES];
    struct herd_break breaks[2];
    struct hour hours[CASE_RUN];
    struct nest_sun sun[CASE_RUN];
    bool daylight[CASE_RUN];
    struct hour member[OUTLOOK_MEMBERS * CASE_RUN];
    struct night night;
    struct watch_plan plan;
    struct message why;
};

static const int64_t case_at_utc_s = 1768431600; /* 2026-01-14T23:00Z: 17:00 by the sun at 93 W */

static inline void case_begin(struct night_case *c)
{
    memset(c, 0, sizeof *c);
    arena_open(&c->mem, 256u << 20);
    c->herd = (struct herd){
        .at_utc_s = case_at_utc_s,
        .place = { .name = "Case Farm",
                   .lat_deg = 45.0,
                   .lon_deg = -93.0,
                   .elevation_m = 250.0,
                   .declination_deg = NAN },
        .sows = c->sows,
        .sites = c->sites,
        .breaks = c->breaks,
        .stock = { .straw_kg = 400.0,
                   .bale_kg = 18.0,
                   .flaps = 4,
                   .bales = 12,
                   .panels = 0,
                   .people = 2,
                   .hand_minutes_per_h = 60.0 },
    };
    for (size_t i = 0; i < CASE_RUN; i++) {
        struct hour *h = &c->hours[i];
        *h = hour_unknown(case_at_utc_s + ((int64_t)i - CASE_BEFORE) * HOUR_S);
        h->temp_c = -2.0;
        h->rh = 0.85;
        h->wind_mps = 1.0;
        h->wind_from_deg = 270.0;
        h->cloud_oktas = 8.0;
        h->rain_mm = 0.0;
    }
}

static inline void case_end(struct night_case *c)
{
    arena_close(&c->mem);
}

/* Served so many days before the moment asked about. Gives her index. */
static inline size_t case_sow(struct night_case *c, const char *name, double days_ago)
{
    const size_t i = c->herd.n_sows++;
    struct herd_sow *s = &c->sows[i];

    assert_true(i < CASE_SOWS);
    c->service[i] = (struct breeding_service){ .at_utc_s = case_at_utc_s - (int64_t)llround(days_ago * 86400.0),
                                               .weight = NAN,
                                               .boar = -1 };
    *s = (struct herd_sow){ .name = name,
                            .uid = name,
                            .tag = "",
                            .breed = "",
                            .temper = "",
                            .parity = 3,
                            .born_days = INT64_MIN,
                            .mass_kg = NAN,
                            .condition = NAN,
                            .state = HERD_SERVED,
                            .evidence = breeding_evidence_none(),
                            .last_look_utc_s = case_at_utc_s - 1800,
                            .nesting_utc_s = BREEDING_NONE,
                            .farrowed_utc_s = BREEDING_NONE,
                            .weaned_utc_s = BREEDING_NONE,
                            .born_alive = -1,
                            .born_dead = -1,
                            .mean_litter = NAN,
                            .paddock = HERD_NONE,
                            .group = HERD_NONE,
                            .nests_at = HERD_NONE };
    s->evidence.services = &c->service[i];
    s->evidence.n_services = 1;
    s->evidence.parity = 3;
    s->evidence.not_farrowed_by_utc_s = s->last_look_utc_s;
    s->evidence.known_to_utc_s = case_at_utc_s;
    s->evidence.looks = c->looks[i];
    return i;
}

/* A sign looked for so many hours ago. */
static inline void case_sign(struct night_case *c, size_t sow, enum breeding_sign sign, double hours_ago, bool present)
{
    struct herd_sow *s = &c->sows[sow];

    assert_true(s->evidence.n_looks < CASE_LOOKS);
    c->looks[sow][s->evidence.n_looks++] =
        (struct breeding_look){ .at_utc_s = case_at_utc_s - (int64_t)llround(hours_ago * 3600.0),
                                .sign = sign,
                                .present = present,
                                .flags = sign == BS_NEST && present ? (unsigned)BL_ALONE : 0u };
    if (s->last_look_utc_s < case_at_utc_s - (int64_t)llround(hours_ago * 3600.0))
        s->last_look_utc_s = case_at_utc_s - (int64_t)llround(hours_ago * 3600.0);
    s->evidence.not_farrowed_by_utc_s = s->last_look_utc_s;
}

static inline size_t case_site(struct night_case *c, const char *name, const struct shelter *is, bool placed)
{
    const size_t i = c->herd.n_sites++;

    assert_true(i < CASE_SITES);
    c->sites[i] = (struct herd_site){ .name = name,
                                      .uid = name,
                                      .shelter_uid = name,
                                      .is = *is,
                                      .placed = placed,
                                      .paddock = HERD_NONE,
                                      .x_m = NAN,
                                      .y_m = NAN,
                                      .placed_utc_s = case_at_utc_s - 5 * DAY_S,
                                      .bedded_utc_s = case_at_utc_s - DAY_S,
                                      .straw_kg = NAN,
                                      .mass_kg = NAN,
                                      .flap_possible = true,
                                      .lee = HERD_NONE,
                                      .nest_of = HERD_NONE,
                                      .litter_of = HERD_NONE };
    return i;
}

static inline size_t case_hut(struct night_case *c, const char *name, enum hut_wall wall, double facing_deg,
                              double straw_m)
{
    struct shelter is = shelter_default(SHELTER_HUT);
    is.hut.wall = wall;
    is.hut.facing_deg = facing_deg;
    is.straw_m = straw_m;
    is.floor = straw_m > 0.0 ? PIGLET_STRAW : PIGLET_SOIL;
    return case_site(c, name, &is, true);
}

/* She has begun to nest at the site. */
static inline void case_nests(struct night_case *c, size_t sow, size_t site)
{
    c->sows[sow].nests_at = site;
    c->sows[sow].nesting_utc_s = case_at_utc_s - HOUR_S;
    c->sites[site].nest_of = sow;
}

static inline void case_weather(struct night_case *c, bool lone)
{
    for (size_t i = 0; i < CASE_RUN; i++) {
        const struct sun_hour s = sun_of_hour(&c->hours[i], c->herd.place.lat_deg, c->herd.place.lon_deg);
        c->sun[i] =
            (struct nest_sun){ s.sun.azimuth_deg, s.sun.elevation_true_deg, s.light.ghi, s.light.dni, s.light.dhi,
                               s.top_w_m2 };
        c->daylight[i] = s.sun.elevation_deg > 0.0;
    }
    if (lone)
        memcpy(c->member, c->hours, sizeof c->hours);
    else
        outlook_members(&outlook_default_spread, outlook_seed, case_at_utc_s, CASE_RUN, c->hours, NULL, c->member);
    c->coming = (struct coming){ .from_utc_s = case_at_utc_s,
                                 .n_before = CASE_BEFORE,
                                 .n_hours = CASE_HOURS,
                                 .line = c->hours,
                                 .sun = c->sun,
                                 .daylight = c->daylight,
                                 .member = c->member,
                                 .n_firm = CASE_HOURS };
}

/* The night laid out, the plan made. `lone`: the forecast alone, no spread. */
static inline void case_night(struct night_case *c, bool lone)
{
    const struct night_ask ask = { .n_hours = CASE_HOURS - 6, .lone_member = lone };

    case_weather(c, lone);
    if (night_lay_out(&c->herd, &c->coming, &ask, &c->mem, &c->night, &c->why) != ST_OK)
        fail_msg("layout: %s: %s", c->why.field, c->why.text);
    if (watch_plan(&c->night.watch, &watch_usual_weights, &c->mem, &c->plan, &c->why) != ST_OK)
        fail_msg("plan: %s: %s", c->why.field, c->why.text);
}

static inline const struct watch_advice *case_advice(const struct night_case *c, const char *sow)
{
    for (size_t i = 0; i < c->plan.n_advice; i++)
        if (strcmp(c->night.watch.sows[c->plan.advice[i].sow].key, sow) == 0)
            return &c->plan.advice[i];
    fail_msg("no advice for %s", sow);
    return c->plan.advice; /* not reached */
}

/* What stands at a site of this name, as it stands. */
static inline const struct night_option *case_stands(const struct night_case *c, const char *name)
{
    for (size_t i = 0; i < c->night.n_sites; i++)
        if (strcmp(c->night.sites[i].name, name) == 0)
            return &c->night.options[c->night.sites[i].as_it_stands];
    fail_msg("no site %s", name);
    return c->night.options; /* not reached */
}

static inline const char *case_do(const struct night_case *c, const char *sow)
{
    const struct watch_advice *v = case_advice(c, sow);
    return tonight_do(&c->night, &c->plan, v, tonight_action_of(&c->plan, v));
}

/* Every sentence of the night one after the other: to look for words in. */
static inline const char *case_all_words(struct night_case *c)
{
    const char *all = tonight_in_short(&c->night, &c->plan);

    for (size_t i = 0; i < c->plan.n_advice; i++) {
        const struct watch_advice *v = &c->plan.advice[i];
        all = arena_print(&c->mem, "%s\n%s: %s\n%s\n%s", all, c->night.watch.sows[v->sow].key,
                          tonight_do(&c->night, &c->plan, v, tonight_action_of(&c->plan, v)),
                          tonight_why(&c->night, &c->plan, v), tonight_how_sure(&c->night, v));
    }
    for (size_t i = 0; i < c->plan.n_actions; i++)
        all = arena_print(&c->mem, "%s\n%s: %s", all,
                          c->night.sites[c->night.options[c->plan.actions[i].option].site].name,
                          night_do(&c->night, c->plan.actions[i].option));
    for (size_t i = 0; i < c->plan.n_heat; i++)
        all = arena_print(&c->mem, "%s\n%s", all, tonight_heat_words(&c->night, &c->plan.heat[i]));
    for (size_t i = 0; i < c->night.n_assumed; i++)
        all = arena_print(&c->mem, "%s\n%s", all, c->night.assumed[i]);
    assert_non_null(all);
    return all;
}

/* Weather as it comes: a slow walk of temperature and wind, a wet spell now and then. */
static inline void case_some_weather(struct night_case *c, struct dice *d)
{
    const double mean_c = prop_between(d, -18.0, 12.0), swing_k = prop_between(d, 0.0, 5.0);
    double wind = prop_between(d, 0.0, 9.0), from = prop_between(d, 0.0, 360.0);
    const double cloud = floor(prop_between(d, 0.0, 9.0)), rh = prop_between(d, 0.5, 1.0);
    const bool wet = prop_between(d, 0.0, 1.0) < 0.3;
    const double wet_from = prop_between(d, 0.0, CASE_RUN), wet_for = prop_between(d, 2.0, 14.0);

    for (size_t i = 0; i < CASE_RUN; i++) {
        struct hour *h = &c->hours[i];
        wind = fmin(18.0, fmax(0.0, wind + prop_between(d, -0.8, 0.8)));
        from = fmod(from + prop_between(d, -12.0, 12.0) + 360.0, 360.0);
        h->temp_c = mean_c + swing_k * cos((double)i * 0.2618);
        h->wind_mps = wind < 0.3 ? 0.0 : wind;
        h->wind_from_deg = from;
        h->cloud_oktas = cloud;
        h->rh = rh;
        h->rain_mm = wet && (double)i >= wet_from && (double)i < wet_from + wet_for ? prop_between(d, 0.2, 3.0) : 0.0;
        h->snow = h->rain_mm > 0.0 && h->temp_c < 0.5;
    }
}

#endif
