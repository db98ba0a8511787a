/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pairings: which boar to which sow. */
#include <math.h>
#include <string.h>

#include "desk/pairings_inside.h"

static const double hair = 1e-9;

/* ---- the problem in numbers ---- */

static enum status pose(struct pairings *p, struct message *why)
{
    const size_t n_sows = p->table.n_sows, n_boars = p->table.n_boars;
    struct arena *mem = p->q->mem;
    double *cost = ARENA_NEW(mem, double, n_sows *n_boars + 1);
    bool *forbidden = ARENA_NEW(mem, bool, n_sows *n_boars + 1);
    uint32_t *most = ARENA_NEW(mem, uint32_t, n_boars + 1), *least = ARENA_NEW(mem, uint32_t, n_boars + 1),
             *fixed = ARENA_NEW(mem, uint32_t, n_sows + 1);

    if (!cost || !forbidden || !most || !least || !fixed)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n_sows * n_boars; i++) {
        const bool none = isnan(p->table.f[i]);
        cost[i] = none ? 1.0 : p->table.f[i];
        if (none && !p->forbidden[i])
            p->forbidden[i] = "no figure: it stands for nobody in particular, or is an ancestor of itself";
        forbidden[i] = p->forbidden[i] != NULL;
    }
    for (size_t b = 0; b < n_boars; b++) {
        most[b] = p->boars[b].most;
        least[b] = p->boars[b].least;
    }
    for (size_t s = 0; s < n_sows; s++)
        fixed[s] = p->sows[s].fixed;
    p->ask = (struct mating_ask){ .n_sows = n_sows,
                                  .n_boars = n_boars,
                                  .cost = cost,
                                  .forbidden = forbidden,
                                  .most = most,
                                  .least = least,
                                  .fixed = fixed,
                                  .limit = given_is(p->q, PAIR_LIMIT) ? given_real(p->q, PAIR_LIMIT) : (double)INFINITY,
                                  .worst_first = given_flag(p->q, PAIR_WORST_FIRST) };
    return mating_find(&p->ask, mem, &p->plan, why);
}

const char *pairings_relax(const struct pairings *p, const struct mating_plan *plan)
{
    struct arena *mem = p->q->mem;

    switch (plan->relax) {
    case MATING_FITS: return NULL;
    case MATING_MORE:
        return arena_print(mem, "%s would need %.0f sows", pairing_name(p, true, plan->relax_boar), plan->relax_needs);
    case MATING_LIMIT: return arena_print(mem, "the limit would have to be %s", kin_percent(plan->relax_limit, mem));
    case MATING_FEWER:
        return arena_print(mem, "%s can get %.0f at most", pairing_name(p, true, plan->relax_boar), plan->relax_needs);
    case MATING_NO_BOAR: return arena_print(mem, "no boar is allowed for %s", pairing_name(p, false, plan->relax_sow));
    }
    return NULL;
}

/* ---- in words ---- */

static const char *names_of(const struct pairings *p, uint32_t boar)
{
    const char **names = ARENA_NEW(p->q->mem, const char *, p->table.n_sows + 1);
    size_t n = 0;

    for (size_t s = 0; names && s < p->table.n_sows; s++)
        if (p->plan.boar[s] == boar)
            names[n++] = pairing_name(p, false, s);
    return names && n ? kin_names(n, names, p->q->mem) : NULL;
}

static const char *says(const struct pairings *p)
{
    const char *all = NULL, *none = names_of(p, MATING_NONE);

    for (uint32_t b = 0; b < p->table.n_boars; b++) {
        const char *sows = names_of(p, b);
        if (sows)
            all =
                arena_print(p->q->mem, "%s%s%s to %s.", all ? all : "", all ? " " : "", pairing_name(p, true, b), sows);
    }
    if (none)
        all = arena_print(p->q->mem, "%s%sNo boar for %s.", all ? all : "", all ? " " : "", none);
    return all ? all : "";
}

static const char *mean_says(const struct pairings *p)
{
    struct arena *mem = p->q->mem;
    const struct mating_plan *m = &p->plan;

    return arena_print(mem,
                       "Mean expected inbreeding of the litters %s, the worst %s; left to chance the mean would be %s, "
                       "sow after sow down the list %s, and with room for all at every boar %s.",
                       kin_percent(m->mean, mem), kin_percent(m->worst, mem),
                       kin_percent(kin_table_mean(&p->table), mem),
                       isnan(m->listed_mean) ? "it would run aground" : kin_percent(m->listed_mean, mem),
                       kin_percent(m->free_mean, mem));
}

/* ---- the lists ---- */

static void answer_boars(const struct pairings *p, struct answer *a)
{
    struct answer *list = answer_list(a, "boars");

    for (size_t b = 0; b < p->table.n_boars; b++) {
        const size_t i = p->table.boars[b];
        const struct kin_animal *x = &p->kin.animals[i];
        struct answer *row = answer_item(list);
        answer_text(row, "name", x->name);
        answer_text(row, "uid", x->uid);
        answer_whole(row, "most", p->boars[b].most);
        answer_whole(row, "least", p->boars[b].least);
        answer_text(row, "most_says", p->boars[b].says);
        struct answer *sows = answer_list(row, "sows");
        for (size_t s = 0; s < p->table.n_sows && p->table.n_boars; s++)
            if (p->plan.boar[s] == b)
                answer_words(sows, pairing_name(p, false, s));
        answer_real_or(row, "f", kin_f(&p->kin, i), "he is an ancestor of himself, or stands for nobody");
        answer_real_or(row, "generations", kin_generations(&p->kin, i), "not known");
        answer_real_or(row, "mean_kinship", p->kin.mk && x->at ? p->kin.mk[x->at] : (double)NAN,
                       "no breeding animal is here");
        answer_flag(row, "here", x->here);
    }
}

/* The boar nearest and the boar least kin to a sow; KIN_NONE: no figure. */
static void extremes(const struct pairings *p, size_t s, size_t *best, size_t *closest)
{
    *best = *closest = KIN_NONE;
    for (size_t b = 0; b < p->table.n_boars; b++) {
        const double f = pairing_f(p, s, b);
        if (isnan(f))
            continue;
        if (*best == KIN_NONE || f < pairing_f(p, s, *best) - hair)
            *best = b;
        if (*closest == KIN_NONE || f > pairing_f(p, s, *closest) + hair)
            *closest = b;
    }
}

static const char *why_of(const struct pairings *p, size_t s, size_t best, size_t closest)
{
    struct arena *mem = p->q->mem;
    const uint32_t b = p->plan.boar[s];
    int level = 0;

    if (b == MATING_NONE)
        return "no boar is allowed for her";
    const double f = pairing_f(p, s, b);
    const char *with = arena_print(mem, "%s: %s", kin_percent(f, mem), kin_word(f, &level));
    if (best != KIN_NONE && f > pairing_f(p, s, best) + hair)
        with = arena_print(mem, "%s; %s would be %s, %s", with, pairing_name(p, true, best),
                           kin_percent(pairing_f(p, s, best), mem),
                           p->forbidden[s * p->table.n_boars + best] ? "but that cannot be"
                           : p->sows[s].how != PAIRING_RECKONED      ? "but it is decided otherwise"
                                                                : "but he serves better elsewhere or has all he may");
    if (closest != KIN_NONE && closest != b && pairing_f(p, s, closest) > f + hair) {
        const char *relation = kin_relation(&p->kin, p->table.sows[s], p->table.boars[closest]);
        with = arena_print(mem, "%s; with %s %s%s%s", with, pairing_name(p, true, closest),
                           kin_percent(pairing_f(p, s, closest), mem), relation ? ": he is " : "",
                           relation ? relation : "");
    }
    return with;
}

static void answer_plan(const struct pairings *p, struct answer *a)
{
    static const char *const how[] = { "reckoned", "by hand", "settled" };
    struct answer *list = answer_list(a, "plan");

    for (size_t s = 0; s < p->table.n_sows && p->table.n_boars; s++) {
        const uint32_t b = p->plan.boar[s];
        const bool has = b != MATING_NONE;
        const double f = has ? pairing_f(p, s, b) : (double)NAN;
        size_t best = KIN_NONE, closest = KIN_NONE;
        int level = 0;
        extremes(p, s, &best, &closest);
        struct answer *row = answer_item(list);
        answer_text(row, "sow", pairing_name(p, false, s));
        answer_text(row, "uid", p->kin.animals[p->table.sows[s]].uid);
        answer_text(row, "boar", has ? pairing_name(p, true, b) : NULL);
        answer_text(row, "boar_uid", has ? p->kin.animals[p->table.boars[b]].uid : NULL);
        answer_real_or(row, "f", f, "no figure");
        answer_text(row, "word", isnan(f) ? NULL : kin_word(f, &level));
        if (p->sows[s].free_on == INT64_MIN)
            answer_null(row, "free_on", NULL);
        else
            answer_day(row, "free_on", p->sows[s].free_on);
        answer_text(row, "decided", how[p->sows[s].how]);
        answer_text(row, "best_boar", best == KIN_NONE ? NULL : pairing_name(p, true, best));
        answer_real_or(row, "best_f", best == KIN_NONE ? (double)NAN : pairing_f(p, s, best), "no figure");
        answer_text(row, "closest_boar", closest == KIN_NONE ? NULL : pairing_name(p, true, closest));
        answer_real_or(row, "closest_f", closest == KIN_NONE ? (double)NAN : pairing_f(p, s, closest), "no figure");
        answer_real_or(
            row, "f_generations",
            has ? (kin_generations(&p->kin, p->table.sows[s]) + kin_generations(&p->kin, p->table.boars[b])) / 2.0
                : (double)NAN,
            "not known");
        answer_text(row, "why", why_of(p, s, best, closest));
    }
}

static void answer_pairs(const struct pairings *p, struct answer *a)
{
    struct answer *list = answer_list(a, "pairs");

    for (size_t s = 0; s < p->table.n_sows; s++)
        for (size_t b = 0; b < p->table.n_boars; b++) {
            const double f = pairing_f(p, s, b);
            const char *forbidden = p->forbidden[s * p->table.n_boars + b];
            struct answer *row =
                kin_answer_pair(&p->kin, p->table.sows[s], p->table.boars[b], f, p->table.best[s], list);
            answer_flag(row, "chosen", p->plan.boar[s] == b);
            answer_text(row, "forbidden", forbidden ? forbidden : f > p->ask.limit + hair ? "above the limit" : NULL);
        }
}

/* ---- the answer ---- */

static void answer_figures(const struct pairings *p, bool any, struct answer *a)
{
    const struct mating_plan *m = &p->plan;
    const char *none = "there is no plan", *relax = any ? pairings_relax(p, m) : NULL;

    answer_text(a, "says",
                any                     ? says(p)
                : p->table.n_boars == 0 ? "No boar is here: name one with --boar, also one elsewhere."
                                        : "No sow or gilt is to be served.");
    answer_text(a, "mean_says", any ? mean_says(p) : "");
    answer_text(a, "infeasible",
                relax ? arena_print(a->mem, "No plan fits as asked: %s. What stands here is with that change.", relax)
                      : NULL);
    answer_real_or(a, "mean_f", any ? m->mean : (double)NAN, none);
    answer_real_or(a, "worst_f", any ? m->worst : (double)NAN, none);
    answer_real_or(a, "chance_mean_f", any ? kin_table_mean(&p->table) : (double)NAN, none);
    answer_real_or(a, "free_choice_mean_f", any ? m->free_mean : (double)NAN, none);
    answer_real_or(a, "in_list_order_mean_f", any ? m->listed_mean : (double)NAN,
                   any ? "down the list the last sows find no boar with room" : none);
    answer_real_or(a, "least_worst_f", any ? m->worst_possible : (double)NAN, none);
    if (given_is(p->q, PAIR_LIMIT))
        answer_real(a, "limit", given_real(p->q, PAIR_LIMIT));
    else
        answer_null(a, "limit", "none was set");
    answer_flag(a, "worst_first", given_flag(p->q, PAIR_WORST_FIRST));
    a->no = relax != NULL;
}

static void answer_left_out(const struct pairings *p, struct answer *a)
{
    struct answer *list = answer_list(a, "not_served");

    for (size_t i = 0; i < p->n_left_out; i++) {
        struct answer *row = answer_item(list);
        answer_text(row, "name", p->kin.animals[p->left_out[i]].name);
        answer_text(row, "why", p->left_out_why[i]);
    }
}

static enum status answer_all(struct pairings *p, struct answer *a, struct message *why)
{
    const bool any = p->table.n_sows > 0 && p->table.n_boars > 0;
    enum status st = any ? pose(p, why) : ST_OK;

    if (st != ST_OK)
        return st;
    answer_moment(a, "at", p->kin.at_utc_s);
    answer_whole(a, "known_to", p->kin.known_to);
    answer_day(a, "from", p->from);
    answer_figures(p, any, a);
    answer_boars(p, a);
    answer_plan(p, a);
    answer_pairs(p, a);
    pairings_why(p, a);
    st = pairings_if_lame(p, a, why);
    if (st == ST_OK)
        st = pairings_crop(p, a, why);
    if (st == ST_OK)
        st = pairings_circle(p, a, why);
    if (st == ST_OK)
        st = pairings_outside(p, a, why);
    if (st != ST_OK)
        return st;
    answer_left_out(p, a);
    kin_answer_rests_on(&p->kin, p->table.n_all, p->table.all, a);
    kin_answer_tail(&p->kin, p->table.n_all, p->table.all, a);
    return ST_OK;
}

enum status pairings_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct pairings *p = ARENA_NEW(q->mem, struct pairings, 1);

    if (!p)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    p->q = q;
    struct answer *aside = answer_new(q->mem); /* filled before its place in the answer comes */
    p->said = answer_list(aside, "assumed");
    enum status st = pairings_read(p, why);
    if (st == ST_OK)
        st = answer_all(p, a, why);
    if (st != ST_OK)
        return st;
    struct answer *assumed = asked_assumed(q, a);
    for (const struct answer *w = p->said->first; w; w = w->next)
        answer_words(assumed, w->is.text);
    return ST_OK;
}
