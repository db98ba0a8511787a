/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ten thousand winters. Every sow draws from dice of her own, keyed by winter and sow, so that a change of the plan
 * leaves all other luck as it was. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "core/base/dice.h"
#include "core/season/cold.h"
#include "core/season/plan_inside.h"

enum { LEAST_WINTERS = 100, MOST_WINTERS = 100000 };

struct pig_lot { /* the pigs of one litter */
    int32_t born, ready;
    size_t sow;
    double pigs, hut, cold; /* her dice for where she lies and for the weather of her day */
    bool housed;
};

struct season {
    const struct plan *p;
    double *const *up_to; /* n_sows arrays of n_days + 1 */
    struct pig_lot *lot;  /* n_sows */
    size_t n_lots;
    double worth, in_time, late, danger;
};

/* The day before which a share u of her births lies; n_days: none. */
static size_t day_of(const struct plan *p, const double up_to[], double u)
{
    size_t low = 0, high = p->n_days;

    if (!(u < up_to[p->n_days]))
        return p->n_days;
    while (low < high) {
        const size_t middle = (low + high) / 2;
        if (up_to[middle + 1] > u)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

static void births(struct season *s, uint64_t seed)
{
    const struct plan *p = s->p;

    for (size_t i = 0; i < p->n_sows; i++) {
        struct dice d = dice_from(seed ^ (0x9e3779b97f4a7c15ULL * (i + 1)));
        const double u = dice_even(&d), size = dice_normal(&d), hut = dice_even(&d), cold = dice_even(&d);
        const size_t day = day_of(p, s->up_to[i], u);
        if (day < p->n_days)
            s->lot[s->n_lots++] =
                (struct pig_lot){ .born = (int32_t)day,
                                  .ready = (int32_t)day + (int32_t)ceil(p->ready_d),
                                  .sow = i,
                                  .pigs = fmax(0.0, round(p->sows[i].litter + p->sows[i].litter_sd * size)),
                                  .hut = hut,
                                  .cold = cold };
    }
}

/* Who comes first has the hut; lots in order of birth. */
static void houses(struct season *s, size_t winter)
{
    const struct plan *p = s->p;

    for (size_t i = 0; i < s->n_lots; i++) {
        struct pig_lot *l = &s->lot[i];
        size_t taken = 0;
        for (size_t k = 0; k < i; k++)
            taken += s->lot[k].housed && (double)s->lot[k].born + p->hut_after_d >= (double)l->born - p->hut_before_d;
        l->housed = taken < p->huts;
        const double in_hut = l->housed && l->hut < p->uses_hut ? 1.0 : 0.0;
        if (p->n_winters > 0 && l->cold < plan_danger_on(p, winter, (size_t)l->born, in_hut))
            s->danger += 1.0;
    }
}

static int by_day(const void *a, const void *b)
{
    const struct pig_lot *x = a, *y = b;
    const int c = (x->born > y->born) - (x->born < y->born);
    return c ? c : (x->sow > y->sow) - (x->sow < y->sow);
}

/* Each asking takes what is ready by its last day, the oldest first; a pig that is ready before it is wanted is
 * kept. */
static void sales(struct season *s)
{
    const struct plan *p = s->p;

    for (size_t a = 0; a < p->n_asked; a++) {
        double open = p->asked[a].pigs;
        for (size_t i = 0; i < s->n_lots && open > 0.0; i++) {
            struct pig_lot *l = &s->lot[i];
            if (l->ready > p->asked[a].to || !(l->pigs > 0.0) || (double)(p->asked[a].from - l->ready) > p->wait_most_d)
                continue;
            const double take = l->pigs < open ? l->pigs : open;
            const double wait = l->ready < p->asked[a].from ? (double)(p->asked[a].from - l->ready) : 0.0;
            s->worth += take * (p->asked[a].price - wait * p->keep_cost);
            s->in_time += take;
            l->pigs -= take;
            open -= take;
        }
    }
    for (size_t i = 0; i < s->n_lots; i++) {
        s->late += s->lot[i].pigs;
        s->worth += s->lot[i].pigs * p->late_price;
    }
    s->worth -= s->danger * p->danger_cost;
}

static struct plan_spread spread_of(size_t n, double x[])
{
    double sum = 0.0;

    for (size_t i = 0; i < n; i++)
        sum += x[i];
    return (struct plan_spread){ sum / (double)n, cold_quantile(n, x, 0.05), cold_quantile(n, x, 0.5),
                                 cold_quantile(n, x, 0.95) };
}

enum status plan_winters(const struct plan *p, size_t n, uint64_t seed, struct arena *mem, struct plan_winters *out,
                         struct message *why)
{
    const enum status st = plan_check(p, why);
    double asked = 0.0, bad = 0.0;

    if (st != ST_OK)
        return st;
    if (n < LEAST_WINTERS || n > MOST_WINTERS)
        return refuse(ST_BAD_INPUT, why, "winters", "give 100 to 100,000 winters");
    double *all = ARENA_NEW(mem, double, p->n_sows *(p->n_days + 1) + 1), *x = ARENA_NEW(mem, double, 5 * n),
           **up_to = ARENA_NEW(mem, double *, p->n_sows + 1);
    struct season s = { .p = p, .lot = ARENA_NEW(mem, struct pig_lot, p->n_sows + 1) };
    if (!all || !x || !up_to || !s.lot)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and winters at once");
    for (size_t i = 0; i < p->n_sows; i++) {
        up_to[i] = all + i * (p->n_days + 1);
        for (size_t d = 0; d < p->n_days; d++)
            up_to[i][d + 1] = up_to[i][d] + p->sows[i].born[d];
    }
    s.up_to = up_to;
    for (size_t a = 0; a < p->n_asked; a++)
        asked += p->asked[a].pigs;
    for (size_t w = 0; w < n; w++) {
        struct dice d = dice_from(seed + w);
        const bool sound = dice_even(&d) >= p->boar_fails;
        const uint64_t luck = dice_bits(&d);
        s.worth = s.in_time = s.late = s.danger = 0.0;
        s.n_lots = 0;
        if (sound)
            births(&s, luck);
        qsort(s.lot, s.n_lots, sizeof *s.lot, by_day);
        houses(&s, p->n_winters > 0 ? w % p->n_winters : 0);
        const double litters = (double)s.n_lots;
        sales(&s);
        x[w] = s.worth;
        x[n + w] = s.in_time;
        x[2 * n + w] = s.late;
        x[3 * n + w] = s.danger;
        x[4 * n + w] = litters;
        bad += s.in_time < 0.5 * asked ? 1.0 : 0.0;
    }
    *out = (struct plan_winters){ .n = n,
                                  .worth = spread_of(n, x),
                                  .in_time = spread_of(n, x + n),
                                  .late = spread_of(n, x + 2 * n),
                                  .danger = spread_of(n, x + 3 * n),
                                  .litters = spread_of(n, x + 4 * n),
                                  .bad_p = bad / (double)n };
    return ST_OK;
}
