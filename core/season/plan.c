/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/season/plan.h"

#include <math.h>
#include <string.h>

#include "core/season/plan_inside.h"

struct plan plan_default(void)
{
    return (struct plan){ .ready_d = 56.0,
                          .hut_before_d = 7.0,
                          .hut_after_d = 14.0,
                          .uses_hut = 0.75,
                          .wait_most_d = 42.0,
                          .boar_fails = 0.05 };
}

static enum status check_sow(const struct plan *p, const struct plan_sow *s, struct message *why)
{
    double sum = 0.0;

    for (size_t d = 0; d < p->n_days; d++) {
        if (!(s->born[d] >= 0.0))
            return refuse(ST_BAD_INPUT, why, "born", "a chance of birth is below 0 or not a number");
        sum += s->born[d];
    }
    if (!(sum <= 1.0 + 1e-6))
        return refuse(ST_BAD_INPUT, why, "born", "a sow's chances of birth add up to more than 1");
    if (!(s->litter >= 0.0 && s->litter <= 40.0) || !(s->litter_sd >= 0.0 && s->litter_sd <= 20.0))
        return refuse(ST_BAD_INPUT, why, "litter", "the pigs of a litter are not between 0 and 40");
    return ST_OK;
}

enum status plan_check(const struct plan *p, struct message *why)
{
    enum status st = ST_OK;

    if (p->n_days < 1 || p->n_days > 3660)
        return refuse(ST_BAD_INPUT, why, "days", "a plan runs over 1 to 3,660 days");
    if (!(p->ready_d >= 1.0 && p->ready_d <= 400.0))
        return refuse(ST_BAD_INPUT, why, "age", "the age at sale is not between 1 and 400 days");
    if (!(p->uses_hut >= 0.0 && p->uses_hut <= 1.0) || !(p->boar_fails >= 0.0 && p->boar_fails <= 1.0))
        return refuse(ST_BAD_INPUT, why, "chance", "a chance is not between 0 and 1");
    if (!(p->hut_before_d >= 0.0 && p->hut_before_d <= 60.0) || !(p->hut_after_d >= 0.0 && p->hut_after_d <= 120.0))
        return refuse(ST_BAD_INPUT, why, "hut", "a hut is held at most 60 days before a birth and 120 after");
    if (!isfinite(p->danger_cost) || !isfinite(p->keep_cost) || !(p->wait_most_d >= 0.0) || !isfinite(p->late_price))
        return refuse(ST_BAD_INPUT, why, "cost", "a cost is not a number");
    for (size_t i = 0; i < p->n_sows && st == ST_OK; i++)
        st = check_sow(p, &p->sows[i], why);
    for (size_t i = 0; i < p->n_asked && st == ST_OK; i++) {
        const struct plan_asked *a = &p->asked[i];
        if (a->to < a->from || !(a->pigs >= 0.0) || !isfinite(a->price) || (i > 0 && a->from < p->asked[i - 1].from))
            st = refuse(ST_BAD_INPUT, why, "asked", "pigs are asked for from a first to a last day, in order");
    }
    return st;
}

void plan_sum_of(size_t n, const double q[], double count[])
{
    count[0] = 1.0;
    for (size_t i = 0; i < n; i++) {
        count[i + 1] = count[i] * q[i];
        for (size_t k = i; k > 0; k--)
            count[k] = count[k] * (1.0 - q[i]) + count[k - 1] * q[i];
        count[0] *= 1.0 - q[i];
    }
}

/* The boar that takes nobody is shared: with that chance there is none at all. */
static void with_boar(const struct plan *p, size_t n, double count[])
{
    for (size_t k = 0; k <= n; k++)
        count[k] *= 1.0 - p->boar_fails;
    count[0] += p->boar_fails;
}

static size_t enough(size_t n, const double count[], double share)
{
    double sum = 0.0;

    for (size_t k = 0; k <= n; k++)
        if ((sum += count[k]) >= share - 1e-12)
            return k;
    return n;
}

/* Chance that a sow holds a hut on day d: that her birth lies in d - after .. d + before. */
static double holds(const struct plan *p, const double up_to[], size_t d)
{
    const double low = (double)d - p->hut_after_d, high = (double)d + p->hut_before_d + 1.0;
    const size_t from = low > 0.0 ? (size_t)low : 0, to = high < (double)p->n_days ? (size_t)high : p->n_days;
    return to > from ? up_to[to] - up_to[from] : 0.0;
}

double plan_danger_on(const struct plan *p, size_t winter, size_t day, double in_hut)
{
    const double hut = (double)p->in_hut[winter][day], open = (double)p->in_open[winter][day];

    return in_hut * (isnan(hut) ? 0.0 : hut) + (1.0 - in_hut) * (isnan(open) ? 0.0 : open);
}

/* Danger on a day, averaged over the winters that know it; births find a hut free with the chance that one is. */
static double mean_danger(const struct plan *p, size_t day, double in_hut)
{
    double sum = 0.0;
    size_t n = 0;

    for (size_t w = 0; w < p->n_winters; w++)
        if (!isnan(p->in_hut[w][day]) && !isnan(p->in_open[w][day])) {
            sum += plan_danger_on(p, w, day, in_hut);
            n++;
        }
    return n ? sum / (double)n : (double)NAN;
}

static void one_day(const struct plan *p, double *const up_to[], size_t d, double q[], double count[],
                    struct plan_day *day)
{
    double found = 0.0, wanted = 0.0;

    *day = (struct plan_day){ .litters = 0.0 };
    for (size_t s = 0; s < p->n_sows; s++) {
        q[s] = holds(p, up_to[s], d);
        day->huts += q[s] * (1.0 - p->boar_fails);
        day->litters += p->sows[s].born[d] * (1.0 - p->boar_fails);
    }
    plan_sum_of(p->n_sows, q, count);
    for (size_t k = 0; k <= p->n_sows; k++) { /* of those that want one, the share that finds one */
        const size_t have = k < p->huts ? k : p->huts;
        found += count[k] * (double)have;
        wanted += count[k] * (double)k;
    }
    with_boar(p, p->n_sows, count);
    day->huts_p90 = (double)enough(p->n_sows, count, 0.9);
    for (size_t k = p->huts + 1; k <= p->n_sows; k++)
        day->short_p += count[k];
    day->danger = NAN;
    if (p->n_winters > 0)
        day->danger = day->litters > 0.0
                          ? day->litters * mean_danger(p, d, p->uses_hut * (wanted > 0.0 ? found / wanted : 1.0))
                          : 0.0;
}

static void sum_up(const struct plan *p, const struct plan_day day[], struct plan_exact *x)
{
    for (size_t d = 0; d < p->n_days; d++) {
        x->litters += day[d].litters;
        x->danger += isnan(day[d].danger) && day[d].litters <= 0.0 ? 0.0 : day[d].danger;
        if (day[d].litters > x->night_worst) {
            x->night_worst = day[d].litters;
            x->night_worst_day = d;
        }
        if (day[d].huts_p90 > x->huts_worst) {
            x->huts_worst = day[d].huts_p90;
            x->huts_worst_day = d;
        }
    }
}

enum status plan_exact(const struct plan *p, struct arena *mem, struct plan_exact *out, struct message *why)
{
    const enum status st = plan_check(p, why);
    const size_t lag = st == ST_OK ? (size_t)ceil(p->ready_d) : 0;

    if (st != ST_OK)
        return st;
    struct plan_day *day = ARENA_NEW(mem, struct plan_day, p->n_days);
    double *ready = ARENA_NEW(mem, double, p->n_days + lag + 1), *count = ARENA_NEW(mem, double, p->n_sows + 1),
           *scratch = ARENA_NEW(mem, double, 2 * p->n_sows + 2), **up_to = ARENA_NEW(mem, double *, p->n_sows + 1),
           *all = ARENA_NEW(mem, double, p->n_sows *(p->n_days + 1) + 1);
    if (!day || !ready || !count || !scratch || !up_to || !all)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and days to plan at once");
    struct plan_exact x = { .count = count, .ready = ready, .n_ready = p->n_days + lag + 1, .day = day };
    double *q = scratch, *fold = scratch + p->n_sows;
    for (size_t s = 0; s < p->n_sows; s++) {
        up_to[s] = all + s * (p->n_days + 1);
        for (size_t d = 0; d < p->n_days; d++) {
            up_to[s][d + 1] = up_to[s][d] + p->sows[s].born[d];
            ready[d + lag] += p->sows[s].born[d] * p->sows[s].litter * (1.0 - p->boar_fails);
        }
        x.pigs += up_to[s][p->n_days] * p->sows[s].litter * (1.0 - p->boar_fails);
    }
    for (size_t d = 0; d < p->n_days; d++)
        one_day(p, up_to, d, q, fold, &day[d]);
    sum_up(p, day, &x);
    for (size_t s = 0; s < p->n_sows; s++)
        q[s] = p->sows[s].born[x.night_worst_day];
    plan_sum_of(p->n_sows, q, fold);
    with_boar(p, p->n_sows, fold);
    x.night_p90 = enough(p->n_sows, fold, 0.9);
    for (size_t s = 0; s < p->n_sows; s++)
        q[s] = up_to[s][p->n_days] < 1.0 ? up_to[s][p->n_days] : 1.0;
    plan_sum_of(p->n_sows, q, count);
    with_boar(p, p->n_sows, count);
    if (p->n_winters == 0)
        x.danger = NAN;
    *out = x;
    return ST_OK;
}
