/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Who can go to the boar, from when, and what a litter of hers is expected to wean; and one choice of days reckoned
 * through. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/season_inside.h"

/* About seven a litter (common practice, no source), 13.5 in 100 of the live-born lost by weaning (KilBride et al.
 * 2014, outdoor herds), spread 2.5, a first litter one fewer (judgement); repeatability 0.15 (from memory). */
static const double usual_litter = 7.0, first_fewer = 1.0, lost = 0.135, spread = 2.5, repeats = 0.15;
static const double recycles_after_d = 33.0; /* days from weaning past which she counts as cycling */

int64_t season_midnight(const struct season *s, int64_t day)
{
    int64_t first = 0, second = 0;

    (void)zone_from_local(s->herd.zone, day * DAY_S, &first, &second);
    return first;
}

static void litter_of(const struct herd_sow *h, bool first, struct season_sow *s)
{
    const double base = usual_litter - (first ? first_fewer : 0.0);
    const double own = isfinite(h->mean_litter) ? breeding_own_weight(h->n_litters, repeats) : 0.0;

    s->litter = (1.0 - lost) * (own > 0.0 ? base + own * (h->mean_litter - base) : base);
    s->litter_sd = spread;
}

static enum status expected_birth(const struct season *s, size_t i, int64_t *utc_s, struct message *why)
{
    struct breeding_prior prior;
    struct breeding_posterior post;
    const enum status st = herd_chance(&s->herd, i, BREEDING_SINCE_LAST_LOOK, NULL, s->q->mem, &prior, &post, why);

    *utc_s = BREEDING_NONE;
    if (st == ST_OK && post.known && post.p_pregnant >= 0.5)
        *utc_s = breeding_quantile(&post.density, 0.5);
    return st;
}

static enum status one(struct season *s, size_t i, int64_t weaning_s, struct season_sow *row, struct message *why)
{
    const struct herd_sow *h = &s->herd.sows[i];
    int64_t birth = BREEDING_NONE;
    enum status st = ST_OK;

    *row = (struct season_sow){ .name = h->name, .evidence = breeding_evidence_none(), .free_utc_s = s->herd.at_utc_s };
    row->evidence.state = h->gilt ? BREEDING_GILT : BREEDING_CYCLING;
    row->evidence.parity = h->parity;
    row->evidence.breed_shift_d = h->evidence.breed_shift_d;
    row->evidence.n_past = h->evidence.n_past;
    row->evidence.past_gestation_d = h->evidence.past_gestation_d;
    row->evidence.p_cycling = h->evidence.p_cycling;
    if (h->state == HERD_SERVED)
        st = expected_birth(s, i, &birth, why);
    else if (h->state == HERD_SUCKLING)
        birth = h->farrowed_utc_s;
    if (birth != BREEDING_NONE) { /* she has a litter to rear first */
        row->expected = h->state == HERD_SERVED;
        row->free_utc_s = birth + weaning_s;
        row->evidence.weaned_utc_s = row->free_utc_s;
        row->evidence.state = BREEDING_WEANED;
        row->evidence.parity = h->parity < 0 ? -1 : h->parity + (h->state == HERD_SERVED);
    }
    litter_of(h, row->evidence.state == BREEDING_GILT, row);
    return st;
}

enum status season_sows(struct season *s, double weaning_d, struct message *why)
{
    enum status st = ST_OK;

    s->n_sows = s->herd.n_sows;
    s->sows = ARENA_NEW(s->q->mem, struct season_sow, s->n_sows + 1);
    if (!s->sows)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < s->n_sows && st == ST_OK; i++)
        st = one(s, i, llround(weaning_d * (double)DAY_S), &s->sows[i], why);
    return st;
}

/* Chance of her first birth on each day of the grid, with the boar there from day to day. */
static enum status days_of(const struct season *s, const struct season_sow *sow, int64_t boar_in, int64_t boar_out,
                           struct arena *scratch, double born[SEASON_DAYS], struct message *why)
{
    const struct breeding_run run = { season_midnight(s, boar_in) + DAY_S / 2, season_midnight(s, boar_out) + DAY_S / 2,
                                      0 };
    struct breeding_rules rules = breeding_rules_default();
    struct breeding_evidence e = sow->evidence;
    struct breeding_prior prior;

    memset(born, 0, SEASON_DAYS * sizeof born[0]);
    if (sow->free_utc_s >= run.to_utc_s)
        return ST_OK; /* not weaned yet */
    if (e.state == BREEDING_WEANED && (double)(run.from_utc_s - sow->free_utc_s) > recycles_after_d * (double)DAY_S) {
        e.state = BREEDING_CYCLING;
        e.weaned_utc_s = BREEDING_NONE;
    }
    rules.utc_offset_s = zone_standard_offset_s(s->herd.zone, s->herd.at_utc_s);
    rules.southern = s->herd.place.lat_deg < 0.0;
    e.runs = &run;
    e.n_runs = 1;
    e.known_to_utc_s = run.to_utc_s;
    const enum status st = breeding_prior(&rules, &e, scratch, &prior, why);
    for (int64_t d = 0; st == ST_OK && d < SEASON_DAYS; d++) {
        const int64_t from = season_midnight(s, s->today + d);
        if (from > run.from_utc_s + 100 * DAY_S && from < run.to_utc_s + 140 * DAY_S)
            born[d] = breeding_between(&prior.density, from, season_midnight(s, s->today + d + 1));
    }
    return st;
}

static void when_litters_come(const struct season *s, struct season_try *t)
{
    double sum = 0.0;

    t->first_litters = t->last_litters = INT64_MIN;
    for (size_t d = 0; d < SEASON_DAYS && t->exact.litters > 0.0; d++) {
        sum += t->exact.day[d].litters;
        if (t->first_litters == INT64_MIN && sum >= 0.05 * t->exact.litters)
            t->first_litters = s->today + (int64_t)d;
        if (t->last_litters == INT64_MIN && sum >= 0.95 * t->exact.litters)
            t->last_litters = s->today + (int64_t)d;
    }
}

enum status season_reckon(const struct season *s, int64_t boar_in, int64_t boar_out, size_t n_winters,
                          struct arena *mem, struct season_try *t, struct message *why)
{
    struct plan plan = s->costs;
    struct plan_sow *sows = ARENA_NEW(mem, struct plan_sow, s->n_sows + 1);
    double *born = ARENA_NEW(mem, double, (s->n_sows + 1) * SEASON_DAYS);
    struct arena scratch;
    enum status st = ST_OK;

    if (!sows || !born)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    arena_open(&scratch, (size_t)64 << 20);
    for (size_t i = 0; i < s->n_sows && st == ST_OK; i++) {
        sows[i] = (struct plan_sow){ .born = born + i * SEASON_DAYS,
                                     .litter = s->sows[i].litter,
                                     .litter_sd = s->sows[i].litter_sd };
        st = days_of(s, &s->sows[i], boar_in, boar_out, &scratch, born + i * SEASON_DAYS, why);
    }
    arena_close(&scratch);
    plan.sows = sows;
    plan.n_sows = s->n_sows;
    *t = (struct season_try){ .boar_in = boar_in, .boar_out = boar_out };
    if (st == ST_OK)
        st = plan_exact(&plan, mem, &t->exact, why);
    if (st == ST_OK)
        st = plan_winters(&plan, n_winters, 1, mem, &t->winters, why);
    if (st == ST_OK)
        when_litters_come(s, t);
    return st;
}
