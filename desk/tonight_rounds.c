/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tonight: the visits of the night, and the look worth taking. */
#include <math.h>
#include <string.h>

#include "desk/tonight_inside.h"
#include "desk/tonight_words.h"
#include "desk/when.h"

/* The sows that are close, whatever the cold, as the plan has them in order. */
static size_t close_sows(const struct night *n, const struct watch_plan *plan, size_t close[])
{
    size_t k = 0;

    for (size_t i = 0; i < plan->n_advice; i++)
        if (n->sows[plan->advice[i].sow].post.known && tonight_watch(n, plan->advice[i].sow) == BW_EVERY_2H)
            close[k++] = plan->advice[i].sow;
    return k;
}

static bool among(size_t sow, size_t count, const size_t sows[])
{
    for (size_t i = 0; i < count; i++)
        if (sows[i] == sow)
            return true;
    return false;
}

/* Who is up looks at those that are close as well; then in one order for every visit. */
static enum status visit_all(const struct night *n, const struct watch_plan *plan, size_t n_close, const size_t close[],
                             struct watch_visit *v, struct message *why)
{
    size_t *sows = ARENA_NEW(n->mem, size_t, n_close + v->n_sows), k = 0;

    if (!sows)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n_close; i++)
        sows[k++] = close[i];
    for (size_t i = 0; i < plan->n_advice; i++)
        if (among(plan->advice[i].sow, v->n_sows, v->sows) && !among(plan->advice[i].sow, n_close, close))
            sows[k++] = plan->advice[i].sow;
    v->sows = sows;
    v->n_sows = k;
    return ST_OK;
}

enum status tonight_rounds(const struct asked *q, const struct night *n, const struct watch_plan *plan,
                           struct answer *a, struct message *why)
{
    const int64_t at = n->herd->at_utc_s, six = when_next_clock(n->herd->zone, at, 18, 0);
    const int64_t from = six - at > 12 * HOUR_S ? at : six; /* evening, or what is left of the night */
    const int64_t until = when_next_clock(n->herd->zone, from + 60, 7, 0);
    const double **risk = ARENA_NEW(n->mem, const double *, n->n_sows + 1);
    struct watch_rounds rounds;

    if (!risk)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < plan->n_advice; i++) {
        double *r = ARENA_NEW(n->mem, double, n->n_hours);
        if (!r)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        for (size_t h = 0; h < n->n_hours; h++) /* births before the rounds begin are for the looks of the day */
            r[h] = plan->advice[i].danger_after[h] *
                   fmin(1.0, fmax(0.0, (double)h + 1.0 - (double)(from - n->coming->from_utc_s) / (double)HOUR_S));
        risk[plan->advice[i].sow] = r;
    }
    struct watch_rounds_ask ask = {
        .n_hours = n->n_hours,
        .n_sows = n->n_sows,
        .risk = risk,
        .slot_minutes = 30,
        .from_h = (double)(from - n->coming->from_utc_s) / (double)HOUR_S,
        .until_h = fmin((double)n->n_hours, (double)(until - n->coming->from_utc_s) / (double)HOUR_S),
        .most = (unsigned)given_real(q, TONIGHT_VISITS),
        .enough = 0.35,
        .enough_chance = 0.02,
    };
    struct answer *o = answer_object(a, "rounds");
    if (n->n_sows == 0 || ask.most == 0 || ask.until_h - ask.from_h < 1.0) {
        answer_text(o, "says", "No visits planned.");
        return ST_OK;
    }
    size_t *close = ARENA_NEW(n->mem, size_t, plan->n_advice + 1);
    if (!close)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    const size_t n_close = close_sows(n, plan, close);
    enum status st = watch_rounds(&ask, n->mem, &rounds, why);
    struct watch_visit *all = ARENA_NEW(n->mem, struct watch_visit, st == ST_OK ? rounds.n_visits + 1 : 1);
    if (st == ST_OK && !all)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; st == ST_OK && i < rounds.n_visits; i++) {
        all[i] = rounds.visits[i];
        st = visit_all(n, plan, n_close, close, &all[i], why);
    }
    if (st != ST_OK)
        return st;
    rounds.visits = all;
    answer_text(o, "says", tonight_rounds_words(n, &rounds, n_close, close));
    struct answer *near = answer_list(o, "close");
    for (size_t i = 0; i < n_close; i++)
        answer_words(near, n->watch.sows[close[i]].key);
    answer_moment(o, "sleep_from", tonight_moment(n, rounds.sleep_from_h));
    answer_moment(o, "sleep_to", tonight_moment(n, rounds.sleep_to_h));
    answer_flag(o, "enough", rounds.enough);
    answer_reals(o, "uncovered_by_visits", rounds.uncovered, ask.most + 1, 4);
    struct answer *visits = answer_list(o, "visits");
    for (size_t i = 0; i < rounds.n_visits; i++) {
        struct answer *row = answer_item(visits);
        answer_moment(row, "at", tonight_moment(n, rounds.visits[i].at_h));
        answer_real(row, "meets", rounds.visits[i].meets);
        struct answer *sows = answer_list(row, "look_at");
        for (size_t k = 0; k < rounds.visits[i].n_sows; k++)
            answer_words(sows, n->watch.sows[rounds.visits[i].sows[k]].key);
    }
    return ST_OK;
}

enum { LOOK_SOWS = 4, LOOK_TIMES = 2, LOOKS = LOOK_SOWS * LOOK_TIMES * 3, LOOKS_SHOWN = 3 };

/* One sow, one sign, on a walk that is taken anyway: what a look must be worth (judgement). */
static const double look_minutes = 2.0;

/* A sign stays till birth: once seen it need not be looked for again. */
static bool seen_already(const struct herd_sow *s, enum breeding_sign sign)
{
    for (size_t i = 0; i < s->evidence.n_looks; i++)
        if (s->evidence.looks[i].sign == sign && s->evidence.looks[i].present)
            return true;
    return false;
}

/* The same sow and sign at a better time. */
static bool said_before(const struct watch_look looks[], const struct watch_look_worth worth[], size_t i)
{
    const struct watch_look *l = &looks[worth[i].look];
    for (size_t k = 0; k < i; k++)
        if (looks[worth[k].look].sow == l->sow && strcmp(looks[worth[k].look].sign, l->sign) == 0)
            return true;
    return false;
}

enum status tonight_looks(const struct night *n, const struct watch_plan *plan, struct answer *a, struct message *why)
{
    static const enum breeding_sign signs[] = { BS_NEST, BS_STREAMS, BS_UDDER };
    struct watch_look *looks = ARENA_NEW(n->mem, struct watch_look, LOOKS);
    struct watch_look_worth *worth = NULL;
    size_t count = 0, k = 0;
    struct answer *list = answer_list(a, "looks_worth_taking");

    if (!looks)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0, sows = 0; i < plan->n_advice && sows < LOOK_SOWS; i++) {
        const struct night_sow *s = &n->sows[plan->advice[i].sow];
        if (!s->near || !s->post.known)
            continue;
        sows++;
        for (size_t g = 0; g < COUNT(signs); g++)
            for (int t = 0; t < LOOK_TIMES && !seen_already(&n->herd->sows[s->herd], signs[g]); t++) {
                const double at_h = t == 0 ? 0.5 : 4.0;
                double *seen = ARENA_NEW(n->mem, double, n->n_hours), *not_seen = ARENA_NEW(n->mem, double, n->n_hours);
                struct breeding_ahead ahead;
                const struct breeding_look look = { .at_utc_s = tonight_moment(n, at_h) + 60, .sign = signs[g] };
                if (!seen || !not_seen)
                    return refuse(ST_NO_MEMORY, why, "", "out of memory");
                const enum status st = breeding_look_ahead(&s->post, &look, n->coming->from_utc_s, n->n_hours, seen,
                                                           not_seen, &ahead, why);
                if (st != ST_OK)
                    return st;
                looks[count++] = (struct watch_look){
                    plan->advice[i].sow, breeding_sign_name[signs[g]], at_h, ahead.p_seen, seen, not_seen
                };
            }
    }
    const enum status st =
        watch_looks(&n->watch, &watch_usual_weights, plan, count, looks, LOOKS, n->mem, &worth, &k, why);
    for (size_t i = 0, shown = 0; i < k && shown < LOOKS_SHOWN && st == ST_OK; i++) {
        const struct watch_look *l = &looks[worth[i].look];
        if (said_before(looks, worth, i) || worth[i].worth_c < look_minutes * watch_usual_weights.minute_c)
            continue;
        shown++;
        struct answer *row = answer_item(list);
        answer_text(row, "sow", n->watch.sows[l->sow].key);
        answer_text(row, "sign", l->sign);
        answer_moment(row, "at", tonight_moment(n, l->at_h));
        answer_real(row, "p_present", l->p_present);
        answer_real(row, "p_changes", worth[i].p_changes);
        answer_real(row, "worth_c", worth[i].worth_c);
        answer_text(row, "says", tonight_look_words(n, l, &worth[i]));
    }
    return st;
}
