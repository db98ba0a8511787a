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

static void when_litters_come(const struct season *s, struct season_try *t)
{
    const double first = t->exact.litters - t->exact.second; /* second litters come long after all first ones */
    double sum = 0.0;

    t->first_litters = t->last_litters = t->second_from = t->second_to = INT64_MIN;
    for (size_t d = 0; d < SEASON_DAYS && first > 0.0; d++) {
        const int64_t day = s->today + (int64_t)d;
        sum += t->exact.day[d].litters;
        if (t->first_litters == INT64_MIN && sum >= 0.05 * first)
            t->first_litters = day;
        if (t->last_litters == INT64_MIN && sum >= 0.95 * first)
            t->last_litters = day;
        if (t->exact.second > 0.0 && t->second_from == INT64_MIN && sum >= first + 0.05 * t->exact.second)
            t->second_from = day;
        if (t->exact.second > 0.0 && t->second_to == INT64_MIN && sum >= first + 0.95 * t->exact.second)
            t->second_to = day;
    }
}

enum status season_reckon_way(const struct season *s, const struct season_way *w, size_t n_winters, struct arena *mem,
                              struct season_try *t, struct message *why)
{
    struct plan plan;
    enum status st = season_lay(s, w, mem, &plan, why);

    *t = (struct season_try){ .boar_in = w->run[0].in,
                              .boar_out = w->run[w->n_runs - 1].out,
                              .first_stay = w->run[0].out - w->run[0].in };
    if (st == ST_OK)
        st = plan_exact(&plan, mem, &t->exact, why);
    if (st == ST_OK)
        st = plan_winters(&plan, n_winters, SEASON_SEED, mem, &t->winters, why);
    if (st == ST_OK)
        when_litters_come(s, t);
    return st;
}

enum status season_reckon(const struct season *s, int64_t boar_in, int64_t boar_out, size_t n_winters,
                          struct arena *mem, struct season_try *t, struct message *why)
{
    const struct season_way w = season_way_on(s, boar_in, boar_out);

    return season_reckon_way(s, &w, n_winters, mem, t, why);
}
