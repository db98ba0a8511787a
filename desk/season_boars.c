/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Boars at hand, how many sows each may serve, and which sows go to which run. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "desk/season_inside.h"

enum { FREE_BEFORE_OUT_D = 7 }; /* she has to be free that long before the boar leaves */

void season_boars(struct season *s)
{
    struct season_ways *w = &s->ways;

    for (size_t i = 0; i < s->herd.n_boars && w->n_boars < PLAN_BOARS; i++) {
        const struct herd_boar *b = &s->herd.boars[i];
        const size_t most = b->sows_most >= 0                         ? (size_t)b->sows_most
                            : herd_boar_young(b->born_days, s->today) ? HERD_YOUNG_BOAR_SOWS
                                                                      : SEASON_GROWN_BOAR_SOWS;
        if (b->here && most > 0)
            w->boar[w->n_boars++] = (struct season_boar){ b->name, most };
    }
    w->taken = w->n_boars == 0;
    if (w->taken)
        w->boar[w->n_boars++] = (struct season_boar){ "a boar", SEASON_GROWN_BOAR_SOWS };
    s->boars = w->n_boars;
    for (size_t i = 0; i < w->n_boars; i++)
        s->boar_places += w->boar[i].most;
    for (size_t d = 0; d <= SEASON_DAYS; d++)
        w->midnight[d] = season_midnight(s, s->today + (int64_t)d);
}

enum status season_way_asked(struct season *s, struct message *why)
{
    const struct asked *q = s->q;
    const struct given *in = &q->given[SEASON_BOAR_IN];
    const int64_t stay = llround(given_real(q, SEASON_STAY));
    struct season_way *w = &s->ways.asked;

    if (in->n > SEASON_RUNS)
        return refuse(ST_BAD_INPUT, why, "boar-in", "--boar-in: %d runs in a year at most", SEASON_RUNS);
    w->n_runs = in->n ? in->n : 1;
    for (size_t r = 0; r < in->n; r++) {
        w->run[r] = (struct season_run){ in->when[r], in->when[r] + stay };
        if (r > 0 && w->run[r].in <= w->run[r - 1].in)
            return refuse(ST_BAD_INPUT, why, "boar-in", "--boar-in: give the days in order");
        if (w->run[r].in > s->today + 400)
            return refuse(ST_BAD_INPUT, why, "boar-in", "--boar-in: give days up to 400 days on");
    }
    if (w->n_runs > 1 && given_is(q, SEASON_BOAR_OUT))
        return refuse(ST_BAD_INPUT, why, "boar-out", "--boar-out: with several runs give --stay");
    w->reserve = given_is(q, SEASON_RESERVE) && strcmp(given_text(q, SEASON_RESERVE), "yes") == 0;
    w->hand = given_is(q, SEASON_HAND) && strcmp(given_text(q, SEASON_HAND), "yes") == 0;
    w->second = given_is(q, SEASON_LITTERS) && given_real(q, SEASON_LITTERS) > 1.5;
    return ST_OK;
}

struct season_way season_way_on(const struct season *s, int64_t boar_in, int64_t boar_out)
{
    struct season_way w = s->ways.asked;
    const int64_t by = boar_in - w.run[0].in;

    for (size_t r = 1; r < w.n_runs; r++)
        w.run[r] = (struct season_run){ w.run[r].in + by, w.run[r].out + by };
    w.run[0] = (struct season_run){ boar_in, boar_out };
    return w;
}

struct waiting {
    int64_t free_utc_s;
    size_t sow;
};

static int by_free(const void *a, const void *b)
{
    const struct waiting *x = a, *y = b;
    const int c = (x->free_utc_s > y->free_utc_s) - (x->free_utc_s < y->free_utc_s);

    return c ? c : (x->sow > y->sow) - (x->sow < y->sow);
}

enum status season_batches(const struct season *s, const struct season_way *w, struct arena *mem, size_t batch[],
                           struct message *why)
{
    struct waiting *line = ARENA_NEW(mem, struct waiting, s->n_sows + 1);
    size_t next = 0;

    if (!line)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < s->n_sows; i++)
        line[i] = (struct waiting){ s->sows[i].free_utc_s, i };
    qsort(line, s->n_sows, sizeof *line, by_free);
    for (size_t r = 0; r < w->n_runs; r++) { /* who is free first goes first; the last run takes all who are left */
        const size_t left = s->n_sows - next, runs = w->n_runs - r, share = (left + runs - 1) / runs;
        const int64_t by = season_midnight(s, w->run[r].out - FREE_BEFORE_OUT_D);
        for (size_t k = 0; next < s->n_sows && (runs == 1 || (k < share && line[next].free_utc_s < by)); k++)
            batch[line[next++].sow] = r;
    }
    return ST_OK;
}
