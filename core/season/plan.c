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
                          .boar_fails = 0.05,
                          .n_boars = 1,
                          .reserve_fails = 1.0 };
}

static enum status check_born(const struct plan *p, const double born[], struct message *why)
{
    double sum = 0.0;

    for (size_t d = 0; born && d < p->n_days; d++) {
        if (!(born[d] >= 0.0))
            return refuse(ST_BAD_INPUT, why, "born", "a chance of birth is below 0 or not a number");
        sum += born[d];
    }
    if (!(sum <= 1.0 + 1e-6))
        return refuse(ST_BAD_INPUT, why, "born", "a sow's chances of birth add up to more than 1");
    return ST_OK;
}

static enum status check_second(const struct plan *p, const struct plan_second second[], struct message *why)
{
    for (size_t d = 0; second && d < p->n_days; d++) {
        double sum = 0.0;
        for (size_t i = 0; i < second[d].n; i++) {
            if (!(second[d].p[i] >= 0.0))
                return refuse(ST_BAD_INPUT, why, "second", "a chance of a second litter is below 0 or not a number");
            sum += second[d].p[i];
        }
        if (!(sum <= 1.0 + 1e-6) || (second[d].n > 0 && second[d].from < 1))
            return refuse(ST_BAD_INPUT, why, "second",
                          "the chances of a second litter add up to more than 1, or it "
                          "comes with the first");
    }
    return ST_OK;
}

/* before: the sow before her; days that both share are not looked at twice. */
static enum status check_sow(const struct plan *p, const struct plan_sow *s, const struct plan_sow *before,
                             struct message *why)
{
    enum status st = ST_OK;

    for (int luck = 0; luck < PLAN_LUCKS && st == ST_OK; luck++)
        if (!before || plan_born(s, (enum plan_luck)luck) != plan_born(before, (enum plan_luck)luck))
            st = check_born(p, plan_born(s, (enum plan_luck)luck), why);
    if (st == ST_OK && (!before || s->second != before->second))
        st = check_second(p, s->second, why);
    if (st != ST_OK)
        return st;
    if (s->boar >= p->n_boars)
        return refuse(ST_BAD_INPUT, why, "boar", "a sow stands with a boar that is not there");
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
    if (p->n_boars < 1 || p->n_boars > PLAN_BOARS)
        return refuse(ST_BAD_INPUT, why, "boars", "a plan has 1 to %d boars", PLAN_BOARS);
    if (!(p->uses_hut >= 0.0 && p->uses_hut <= 1.0) || !(p->boar_fails >= 0.0 && p->boar_fails <= 1.0) ||
        !(p->reserve_fails >= 0.0 && p->reserve_fails <= 1.0))
        return refuse(ST_BAD_INPUT, why, "chance", "a chance is not between 0 and 1");
    if (!(p->hut_before_d >= 0.0 && p->hut_before_d <= 60.0) || !(p->hut_after_d >= 0.0 && p->hut_after_d <= 120.0))
        return refuse(ST_BAD_INPUT, why, "hut", "a hut is held at most 60 days before a birth and 120 after");
    if (!isfinite(p->danger_cost) || !isfinite(p->keep_cost) || !(p->wait_most_d >= 0.0) || !isfinite(p->late_price))
        return refuse(ST_BAD_INPUT, why, "cost", "a cost is not a number");
    for (size_t i = 0; i < p->n_sows && st == ST_OK; i++)
        st = check_sow(p, &p->sows[i], i > 0 ? &p->sows[i - 1] : NULL, why);
    for (size_t i = 0; i < p->n_asked && st == ST_OK; i++) {
        const struct plan_asked *a = &p->asked[i];
        if (a->to < a->from || !(a->pigs >= 0.0) || !isfinite(a->price) || (i > 0 && a->from < p->asked[i - 1].from))
            st = refuse(ST_BAD_INPUT, why, "asked", "pigs are asked for from a first to a last day, in order");
    }
    return st;
}

/* The smallest number that is not passed with that chance. */
static size_t enough(size_t n, const double count[], double share)
{
    double sum = 0.0;

    for (size_t k = 0; k <= n; k++)
        if ((sum += count[k]) >= share - 1e-12)
            return k;
    return n;
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

struct fold { /* every sow's births, first and second, by her luck; NULL where she has none */
    const struct plan *p;
    const double **born, **up_to; /* PLAN_LUCKS x n_sows arrays of n_days; of n_days + 1 */
    double share[PLAN_LUCKS];
    size_t from, to; /* births lie in from .. to - 1 */
    double *q[PLAN_LUCKS], *scratch, *count;
};

static void add_second(const struct plan *p, const struct plan_second second[], const double first[], double all[])
{
    for (size_t d = 0; d < p->n_days; d++)
        for (size_t i = 0; first[d] > 0.0 && i < second[d].n; i++)
            if (d + second[d].from + i < p->n_days)
                all[d + second[d].from + i] += first[d] * second[d].p[i];
}

static enum status fold_sow(struct fold *f, const size_t alike[], size_t s, enum plan_luck luck, struct arena *mem,
                            struct message *why)
{
    const struct plan *p = f->p;
    const double *born = f->share[luck] > 0.0 ? plan_born(&p->sows[s], luck) : NULL;
    const size_t at = (size_t)luck * p->n_sows + s;

    if (!born)
        return ST_OK;
    if (alike[at] < at && f->born[alike[at]]) {
        f->born[at] = f->born[alike[at]];
        f->up_to[at] = f->up_to[alike[at]];
        return ST_OK;
    }
    double *up_to = ARENA_NEW(mem, double, p->n_days + 1),
           *all = p->sows[s].second ? ARENA_NEW(mem, double, p->n_days) : NULL;
    if (!up_to || (p->sows[s].second && !all))
        return refuse(ST_NO_MEMORY, why, "", "too many sows and days to plan at once");
    if (all) {
        memcpy(all, born, p->n_days * sizeof *all);
        add_second(p, p->sows[s].second, born, all);
    }
    f->born[at] = all ? all : born;
    for (size_t d = 0; d < p->n_days; d++) {
        up_to[d + 1] = up_to[d] + f->born[at][d];
        if (f->born[at][d] > 0.0) {
            f->from = d < f->from ? d : f->from;
            f->to = d + 1 > f->to ? d + 1 : f->to;
        }
    }
    f->up_to[at] = up_to;
    return ST_OK;
}

static enum status fold_open(const struct plan *p, struct arena *mem, struct fold *f, struct message *why)
{
    const size_t n = p->n_sows + 1;
    double *room = ARENA_NEW(mem, double, (PLAN_LUCKS + 5) * n);
    enum status st = ST_OK;

    *f = (struct fold){ .p = p,
                        .from = p->n_days,
                        .born = ARENA_NEW(mem, const double *, PLAN_LUCKS *n),
                        .up_to = ARENA_NEW(mem, const double *, PLAN_LUCKS *n),
                        .count = ARENA_NEW(mem, double, n) };
    const size_t *alike = plan_alike(p, mem);
    if (!room || !alike || !f->born || !f->up_to || !f->count)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and days to plan at once");
    f->scratch = room + PLAN_LUCKS * n;
    for (int luck = 0; luck < PLAN_LUCKS; luck++) {
        f->q[luck] = room + (size_t)luck * n;
        f->share[luck] = plan_share(p, (enum plan_luck)luck);
        for (size_t s = 0; s < p->n_sows && st == ST_OK; s++)
            st = fold_sow(f, alike, s, (enum plan_luck)luck, mem, why);
    }
    return st;
}

/* Chance that a sow holds a hut on day d: that a birth of hers lies in d - after .. d + before. */
static double holds(const struct plan *p, const double up_to[], size_t d)
{
    const double low = (double)d - p->hut_after_d, high = (double)d + p->hut_before_d + 1.0;
    const size_t from = low > 0.0 ? (size_t)low : 0, to = high < (double)p->n_days ? (size_t)high : p->n_days;
    const double q = to > from ? up_to[to] - up_to[from] : 0.0;
    return q < 1.0 ? q : 1.0;
}

static void counted(struct fold *f)
{
    plan_sum_with_boars(f->p, f->q[PLAN_SOUND], f->q[PLAN_BOTH], f->q[PLAN_INSTEAD], f->scratch, f->count);
}

static void one_day(struct fold *f, size_t d, struct plan_day *day)
{
    const struct plan *p = f->p;
    double found = 0.0, wanted = 0.0;

    *day = (struct plan_day){ .danger = p->n_winters > 0 ? 0.0 : (double)NAN };
    if ((double)d + p->hut_before_d + 1.0 < (double)f->from || (double)d > (double)f->to + p->hut_after_d)
        return; /* nobody has a litter then, and nobody holds a hut */
    for (size_t i = 0; i < PLAN_LUCKS * p->n_sows; i++) {
        const size_t luck = i / p->n_sows, s = i % p->n_sows;
        f->q[luck][s] = f->born[i] ? holds(p, f->up_to[i], d) : 0.0;
        day->huts += f->q[luck][s] * f->share[luck];
        day->litters += f->born[i] ? f->born[i][d] * f->share[luck] : 0.0;
    }
    counted(f);
    for (size_t k = 0; k <= p->n_sows; k++) { /* of those that want one, the share that finds one */
        const size_t have = k < p->huts ? k : p->huts;
        found += f->count[k] * (double)have;
        wanted += f->count[k] * (double)k;
    }
    day->huts_p90 = (double)enough(p->n_sows, f->count, 0.9);
    for (size_t k = p->huts + 1; k <= p->n_sows; k++)
        day->short_p += f->count[k];
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

static void pigs_of(const struct fold *f, size_t lag, double ready[], struct plan_exact *x)
{
    const struct plan *p = f->p;

    for (size_t i = 0; i < PLAN_LUCKS * p->n_sows; i++) {
        const size_t luck = i / p->n_sows, s = i % p->n_sows;
        for (size_t d = 0; f->born[i] && d < p->n_days; d++) {
            const double pigs = f->born[i][d] * p->sows[s].litter * f->share[luck];
            ready[d + lag] += pigs;
            x->pigs += pigs;
        }
    }
}

/* How many sows farrow at all, and how many on the fullest night. */
static void counts_of(struct fold *f, double count[], struct plan_exact *x)
{
    const struct plan *p = f->p;

    for (size_t i = 0; i < PLAN_LUCKS * p->n_sows; i++)
        f->q[i / p->n_sows][i % p->n_sows] = f->born[i] ? fmin(1.0, f->born[i][x->night_worst_day]) : 0.0;
    counted(f);
    x->night_p90 = enough(p->n_sows, f->count, 0.9);
    x->second = x->litters;
    x->second_pigs = x->pigs;
    for (size_t i = 0; i < PLAN_LUCKS * p->n_sows; i++) {
        const size_t luck = i / p->n_sows, s = i % p->n_sows;
        const double *born = f->born[i] ? plan_born(&p->sows[s], (enum plan_luck)luck) : NULL;
        double sum = 0.0;
        for (size_t d = 0; born && d < p->n_days; d++)
            sum += born[d];
        f->q[luck][s] = sum < 1.0 ? sum : 1.0;
        x->second -= sum * f->share[luck];
        x->second_pigs -= sum * f->share[luck] * p->sows[s].litter;
    }
    x->second = x->second > 1e-9 ? x->second : 0.0;
    x->second_pigs = x->second > 0.0 ? x->second_pigs : 0.0;
    counted(f);
    memcpy(count, f->count, (p->n_sows + 1) * sizeof *count);
}

enum status plan_exact(const struct plan *p, struct arena *mem, struct plan_exact *out, struct message *why)
{
    enum status st = plan_check(p, why);
    const size_t lag = st == ST_OK ? (size_t)ceil(p->ready_d) : 0;
    struct fold f;

    if (st == ST_OK)
        st = fold_open(p, mem, &f, why);
    if (st != ST_OK)
        return st;
    struct plan_day *day = ARENA_NEW(mem, struct plan_day, p->n_days);
    double *ready = ARENA_NEW(mem, double, p->n_days + lag + 1), *count = ARENA_NEW(mem, double, p->n_sows + 1);
    if (!day || !ready || !count)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and days to plan at once");
    struct plan_exact x = { .count = count, .ready = ready, .n_ready = p->n_days + lag + 1, .day = day };
    for (size_t d = 0; d < p->n_days; d++)
        one_day(&f, d, &day[d]);
    sum_up(p, day, &x);
    pigs_of(&f, lag, ready, &x);
    counts_of(&f, count, &x);
    if (p->n_winters == 0)
        x.danger = NAN;
    *out = x;
    return ST_OK;
}
