/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ten thousand winters. Every sow draws from dice of her own, keyed by winter and sow, so that a change of the plan
 * leaves all other luck as it was. */
#include <math.h>
#include <string.h>

#include "core/base/dice.h"
#include "core/season/cold.h"
#include "core/season/plan_inside.h"

enum { LEAST_WINTERS = 100, MOST_WINTERS = 100000, SORT_FEW = 48 };
static const uint64_t golden = 0x9e3779b97f4a7c15ULL; /* parts one key from the next */

/* The first day up to which more than a share u of her births lies; n_days: none. Wherever the search begins, it ends
 * there. */
static size_t day_of(size_t n_days, const struct plan_sums *s, double u)
{
    const double *up_to = s->up_to;

    if (!(u < up_to[n_days]))
        return n_days;
    size_t d = s->start[(size_t)(u * s->parts)];
    while (d > 0 && up_to[d] > u)
        d--;
    while (!(up_to[d + 1] > u))
        d++;
    return d;
}

static enum status sums_of(const struct plan *p, const double born[], struct arena *mem, const struct plan_sums **out,
                           struct message *why)
{
    struct plan_sums *s = born ? ARENA_NEW(mem, struct plan_sums, 1) : NULL;
    double *up_to = s ? ARENA_NEW(mem, double, p->n_days + 1) : NULL;
    size_t day = 0;

    *out = s;
    if (!born)
        return ST_OK;
    if (!up_to)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and winters at once");
    for (size_t d = 0; d < p->n_days; d++)
        up_to[d + 1] = up_to[d] + born[d];
    s->up_to = up_to;
    s->parts = up_to[p->n_days] > 1e-9 ? PLAN_GUIDE / up_to[p->n_days] : 0.0;
    for (size_t i = 0; i <= PLAN_GUIDE; i++) {
        while (day + 1 < p->n_days && !(up_to[day + 1] > (double)i / PLAN_GUIDE * up_to[p->n_days]))
            day++;
        s->start[i] = (uint16_t)day;
    }
    return ST_OK;
}

enum status plan_season_open(const struct plan *p, struct arena *mem, struct plan_season *s, struct message *why)
{
    enum status st = plan_check(p, why);

    if (st != ST_OK)
        return st;
    *s = (struct plan_season){ .p = p,
                               .sums = ARENA_NEW(mem, const struct plan_sums *, PLAN_LUCKS * p->n_sows + 1),
                               .lot = ARENA_NEW(mem, struct pig_lot, 2 * p->n_sows + 1),
                               .sorted = ARENA_NEW(mem, struct pig_lot, 2 * p->n_sows + 1),
                               .upto = ARENA_NEW(mem, size_t, p->n_days),
                               .open = ARENA_NEW(mem, double, p->n_asked + 1) };
    if (!s->sums || !s->lot || !s->sorted || !s->upto || !s->open)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and winters at once");
    const size_t *first = plan_alike(p, mem);
    if (!first)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and winters at once");
    for (size_t i = 0; i < PLAN_LUCKS * p->n_sows && st == ST_OK; i++) {
        const enum plan_luck luck = (enum plan_luck)(i / p->n_sows);
        if (plan_share(p, luck) > 0.0 && first[i] < i && s->sums[first[i]])
            s->sums[i] = s->sums[first[i]];
        else if (plan_share(p, luck) > 0.0)
            st = sums_of(p, plan_born(&p->sows[i % p->n_sows], luck), mem, &s->sums[i], why);
    }
    return st;
}

static double litter_size(const struct plan_sow *s, double normal)
{
    return fmax(0.0, round(s->litter + s->litter_sd * normal));
}

static void add_lot(struct plan_season *s, size_t day, size_t sow, double pigs, double hut, double cold)
{
    s->lot[s->n_lots++] = (struct pig_lot){ .born = (int32_t)day,
                                            .ready = (int32_t)day + (int32_t)ceil(s->p->ready_d),
                                            .sow = sow,
                                            .pigs = pigs,
                                            .hut = hut,
                                            .cold = cold };
}

/* Her second litter: how long after the first; days past the grid are none. */
static size_t second_day(const struct plan *p, const struct plan_second *second, size_t first, double u)
{
    double sum = 0.0;

    for (size_t i = 0; i < second->n; i++)
        if ((sum += second->p[i]) > u)
            return first + second->from + i < p->n_days ? first + second->from + i : p->n_days;
    return p->n_days;
}

static void births_of(struct plan_season *s, size_t i, enum plan_luck luck, uint64_t seed)
{
    const struct plan *p = s->p;
    const struct plan_sums *sums = s->sums[(size_t)luck * p->n_sows + i];

    if (!sums)
        return;
    struct dice d = dice_from(seed ^ (golden * (i + 1)));
    const size_t day = day_of(p->n_days, sums, dice_even(&d));
    if (day >= p->n_days)
        return; /* her other dice are hers alone: nobody misses them */
    const double size = dice_normal(&d), hut = dice_even(&d), cold = dice_even(&d);
    add_lot(s, day, i, litter_size(&p->sows[i], size), hut, cold);
    if (!p->sows[i].second)
        return;
    const double u2 = dice_even(&d), size2 = dice_normal(&d), hut2 = dice_even(&d), cold2 = dice_even(&d);
    const size_t day2 = second_day(p, &p->sows[i].second[day], day, u2);
    if (day2 < p->n_days)
        add_lot(s, day2, p->n_sows + i, litter_size(&p->sows[i], size2), hut2, cold2);
}

/* Sows' first litters come in order of sow, and so do their second ones: two rounds through the days keep that order. */
static void sort_by_day(struct plan_season *s)
{
    size_t *upto = s->upto, sum = 0;

    memset(upto, 0, s->p->n_days * sizeof *upto);
    for (size_t i = 0; i < s->n_lots; i++)
        upto[s->lot[i].born]++;
    for (size_t d = 0; d < s->p->n_days; d++) {
        const size_t here = upto[d];
        upto[d] = sum;
        sum += here;
    }
    for (int second = 0; second < 2; second++)
        for (size_t i = 0; i < s->n_lots; i++)
            if ((s->lot[i].sow >= s->p->n_sows) == (second == 1))
                s->sorted[upto[s->lot[i].born]++] = s->lot[i];
}

/* Few: the places are put in order, not the lots. */
static void sort_few(struct plan_season *s)
{
    uint64_t key[SORT_FEW]; /* day, then sow */
    uint8_t at[SORT_FEW];

    for (size_t i = 0; i < s->n_lots; i++) {
        const uint64_t now = (uint64_t)s->lot[i].born << 40 | s->lot[i].sow;
        size_t k = i;
        for (; k > 0 && now < key[k - 1]; k--) {
            key[k] = key[k - 1];
            at[k] = at[k - 1];
        }
        key[k] = now;
        at[k] = (uint8_t)i;
    }
    for (size_t i = 0; i < s->n_lots; i++)
        s->sorted[i] = s->lot[at[i]];
}

/* No two lots are alike in day and sow: both ways give the same order. */
static void in_order_of_birth(struct plan_season *s)
{
    struct pig_lot *const unsorted = s->lot;

    if (s->n_lots > SORT_FEW)
        sort_by_day(s);
    else
        sort_few(s);
    s->lot = s->sorted;
    s->sorted = unsorted;
}

/* The first boar's luck is the winter's first throw; the others and the reserve have dice of their own. */
static void boars_of(const struct plan *p, struct dice *first, uint64_t winter_seed, bool sound[PLAN_BOARS],
                     bool *reserve)
{
    struct dice more = dice_from(winter_seed ^ (golden * 0x10001));

    sound[0] = dice_even(first) >= p->boar_fails;
    *reserve = dice_even(&more) >= p->reserve_fails;
    for (size_t b = 1; b < p->n_boars; b++)
        sound[b] = dice_even(&more) >= p->boar_fails;
}

void plan_season_births(struct plan_season *s, size_t winter, uint64_t seed)
{
    const struct plan *p = s->p;
    struct dice d = dice_from(seed + winter);
    bool sound[PLAN_BOARS], reserve;

    boars_of(p, &d, seed + winter, sound, &reserve);
    const uint64_t luck = dice_bits(&d);
    s->worth = s->in_time = s->late = s->danger = 0.0;
    s->n_lots = 0;
    for (size_t i = 0; i < p->n_sows; i++) {
        const bool own = sound[p->sows[i].boar];
        if (own || reserve)
            births_of(s, i, !own ? PLAN_INSTEAD : reserve ? PLAN_BOTH : PLAN_SOUND, luck);
    }
    in_order_of_birth(s);
}

/* Who comes first has the hut; lots in order of birth, so huts fall free in that order too. */
static void houses(struct plan_season *s, size_t winter)
{
    const struct plan *p = s->p;
    size_t taken = 0, oldest = 0; /* huts held; the first lot that may still hold one */

    for (size_t i = 0; i < s->n_lots; i++) {
        struct pig_lot *l = &s->lot[i];
        while (oldest < i && (double)s->lot[oldest].born + p->hut_after_d < (double)l->born - p->hut_before_d)
            taken -= s->lot[oldest++].housed;
        l->housed = taken < p->huts;
        taken += l->housed;
        const double in_hut = l->housed && l->hut < p->uses_hut ? 1.0 : 0.0;
        if (p->n_winters > 0 && l->cold < plan_danger_on(p, winter, (size_t)l->born, in_hut))
            s->danger += 1.0;
    }
}

/* Each asking takes what is ready by its last day, the oldest first; a pig that is ready before it is wanted is
 * kept. */
static void sales(struct plan_season *s)
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
        s->open[a] = open;
    }
    for (size_t i = 0; i < s->n_lots; i++) {
        s->late += s->lot[i].pigs;
        s->worth += s->lot[i].pigs * p->late_price;
    }
    s->worth -= s->danger * p->danger_cost;
}

void plan_season_sell(struct plan_season *s, size_t winter)
{
    houses(s, s->p->n_winters > 0 ? winter % s->p->n_winters : 0);
    sales(s);
}

enum status plan_draws(size_t n, struct message *why)
{
    if (n < LEAST_WINTERS || n > MOST_WINTERS)
        return refuse(ST_BAD_INPUT, why, "winters", "give 100 to 100,000 winters");
    return ST_OK;
}

static struct plan_spread spread_of(size_t n, double x[])
{
    static const double share[] = { 0.05, 0.5, 0.95 };
    double sum = 0.0, at[COUNT(share)];

    for (size_t i = 0; i < n; i++)
        sum += x[i];
    cold_quantiles(n, x, COUNT(share), share, at);
    return (struct plan_spread){ sum / (double)n, at[0], at[1], at[2] };
}

double plan_half_asked(const struct plan *p)
{
    double asked = 0.0;

    for (size_t a = 0; a < p->n_asked; a++)
        asked += p->asked[a].pigs;
    return 0.5 * asked;
}

enum status plan_winters(const struct plan *p, size_t n, uint64_t seed, struct arena *mem, struct plan_winters *out,
                         struct message *why)
{
    struct plan_season s;
    enum status st = plan_season_open(p, mem, &s, why);
    double bad = 0.0;

    if (st == ST_OK)
        st = plan_draws(n, why);
    if (st != ST_OK)
        return st;
    const double half = plan_half_asked(p);
    double *x = ARENA_NEW(mem, double, 5 * n);
    if (!x)
        return refuse(ST_NO_MEMORY, why, "", "too many sows and winters at once");
    for (size_t w = 0; w < n; w++) {
        plan_season_births(&s, w, seed);
        plan_season_sell(&s, w);
        x[w] = s.worth;
        x[n + w] = s.in_time;
        x[2 * n + w] = s.late;
        x[3 * n + w] = s.danger;
        x[4 * n + w] = (double)s.n_lots;
        bad += s.in_time < half ? 1.0 : 0.0;
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
