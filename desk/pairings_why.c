/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pairings: what surrounds the plan. */
#include <math.h>
#include <string.h>

#include "desk/pairings_inside.h"

static const double hair = 1e-9;

enum { MOST_WHY = 8 };

/* ---- why ---- */

/* The nearest pairs that the plan keeps apart, the closest first. */
static void why_apart(const struct pairings *p, struct answer *list)
{
    const size_t n = p->table.n_sows * p->table.n_boars;
    bool *told = ARENA_NEW(p->q->mem, bool, n + 1);

    for (int k = 0; told && k < MOST_WHY; k++) {
        size_t at = KIN_NONE;
        for (size_t i = 0; i < n; i++) {
            const size_t s = i / p->table.n_boars, b = i % p->table.n_boars;
            if (!told[i] && p->plan.boar[s] != b && kin_too_close(p->table.f[i], p->table.best[s]) &&
                (at == KIN_NONE || p->table.f[i] > p->table.f[at] + hair))
                at = i;
        }
        if (at == KIN_NONE)
            return;
        told[at] = true;
        const size_t s = at / p->table.n_boars, b = at % p->table.n_boars;
        const char *relation = kin_relation(&p->kin, p->table.sows[s], p->table.boars[b]);
        int level = 0;
        answer_words(list,
                     arena_print(p->q->mem, "%s with %s: %s. %s%s.", pairing_name(p, false, s),
                                 pairing_name(p, true, b), kin_percent(p->table.f[at], p->q->mem),
                                 relation ? "He is " : "Kin ", relation ? relation : kin_word(p->table.f[at], &level)));
    }
}

/* Pairs of the plan that are as close as half-sibs all the same. */
static void why_close(const struct pairings *p, struct answer *list)
{
    for (size_t s = 0; s < p->table.n_sows; s++) {
        const uint32_t b = p->plan.boar[s];
        if (b == MATING_NONE || !(pairing_f(p, s, b) >= 0.125 - hair))
            continue;
        const char *relation = kin_relation(&p->kin, p->table.sows[s], p->table.boars[b]);
        answer_words(list, arena_print(p->q->mem, "%s with %s stays close, %s%s%s: %s.", pairing_name(p, false, s),
                                       pairing_name(p, true, b), kin_percent(pairing_f(p, s, b), p->q->mem),
                                       relation ? ", " : "", relation ? relation : "",
                                       pairing_f(p, s, b) > p->table.best[s] + hair
                                           ? "the boars less kin to her are taken, forbidden or decided otherwise"
                                           : "none of these boars is less kin to her"));
    }
}

static void why_founders(const struct pairings *p, struct answer *list)
{
    struct genes genes;
    struct message none = { "", "" };
    const struct genes_group all = { p->kin.n_group, p->kin.group, NULL };
    size_t told = 0;

    if (p->kin.n_group == 0)
        return;
    const enum status st = genes_of(&p->kin.p, p->kin.f, p->kin.d, &all, p->q->mem, &genes, &none);
    arena_heed(p->q->mem, st);
    if (st != ST_OK) /* a remark, no more */
        return;
    for (size_t i = 0; i < genes.n_founders && told < 4; i++) {
        const struct genes_founder *f = &genes.founder[i];
        if (f->phantom || !f->only || f->only == f->animal || !(f->share > 0.0))
            continue;
        const struct kin_animal *only = &p->kin.animals[p->kin.who[f->only]],
                                *founder = &p->kin.animals[p->kin.who[f->animal]];
        answer_words(list, arena_print(p->q->mem, "%s alone still carries %s: keep %s of this litter%s.", only->name,
                                       founder->name, only->male ? "a son or daughter" : "a gilt",
                                       only->male ? " of his" : ""));
        told++;
    }
}

void pairings_why(const struct pairings *p, struct answer *a)
{
    struct answer *list = answer_list(a, "why");

    for (size_t i = 0; i < p->n_notes; i++)
        answer_words(list, p->notes[i]);
    if (p->table.n_sows == 0 || p->table.n_boars == 0)
        return;
    why_apart(p, list);
    why_close(p, list);
    why_founders(p, list);
}

/* ---- if a boar fails ---- */

static enum status lame(const struct pairings *p, uint32_t boar, struct answer *list, struct message *why)
{
    struct arena *mem = p->q->mem;
    struct mating_ask ask = p->ask;
    struct mating_plan plan;
    uint32_t *most = ARENA_NEW(mem, uint32_t, ask.n_boars), *least = ARENA_NEW(mem, uint32_t, ask.n_boars),
             *fixed = ARENA_NEW(mem, uint32_t, ask.n_sows);
    bool *forbidden = ARENA_NEW(mem, bool, ask.n_sows *ask.n_boars);

    if (!most || !least || !fixed || !forbidden)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t b = 0; b < ask.n_boars; b++) {
        most[b] = b == boar ? 0 : ask.most[b];
        least[b] = b == boar ? 0 : ask.least[b];
    }
    for (size_t s = 0; s < ask.n_sows; s++) {
        fixed[s] = ask.fixed[s] == boar ? MATING_NONE : ask.fixed[s];
        for (size_t b = 0; b < ask.n_boars; b++)
            forbidden[s * ask.n_boars + b] = b == boar || ask.forbidden[s * ask.n_boars + b];
    }
    ask.most = most;
    ask.least = least;
    ask.fixed = fixed;
    ask.forbidden = forbidden;
    const enum status st = mating_find(&ask, mem, &plan, why);
    if (st != ST_OK)
        return st;
    const char *relax = pairings_relax(p, &plan), *worst = NULL;
    struct answer *row = answer_item(list);
    answer_text(row, "boar", pairing_name(p, true, boar));
    answer_real_or(row, "mean_f", relax ? (double)NAN : plan.mean, "the others cannot take his sows");
    double most_f = -1.0;
    for (size_t s = 0; s < ask.n_sows; s++)
        if (p->plan.boar[s] == boar && plan.boar[s] != MATING_NONE && pairing_f(p, s, plan.boar[s]) > most_f) {
            most_f = pairing_f(p, s, plan.boar[s]);
            worst = arena_print(mem, "; the best left for %s is %s at %s", pairing_name(p, false, s),
                                pairing_name(p, true, plan.boar[s]), kin_percent(most_f, mem));
        }
    if (relax)
        answer_print(row, "says", "If %s goes lame the others cannot take his sows as things stand: %s.",
                     pairing_name(p, true, boar), relax);
    else
        answer_print(row, "says", "If %s goes lame the mean %s %s%s.", pairing_name(p, true, boar),
                     plan.mean > p->plan.mean + hair ? "rises to" : "is", kin_percent(plan.mean, mem),
                     worst ? worst : "");
    struct answer *moves = answer_list(row, "moves");
    for (size_t s = 0; !relax && s < ask.n_sows; s++)
        if (plan.boar[s] != p->plan.boar[s] && plan.boar[s] != MATING_NONE) {
            struct answer *m = answer_item(moves);
            answer_text(m, "sow", pairing_name(p, false, s));
            answer_text(m, "boar", pairing_name(p, true, plan.boar[s]));
            answer_real_or(m, "f", pairing_f(p, s, plan.boar[s]), "no figure");
        }
    return ST_OK;
}

enum status pairings_if_lame(const struct pairings *p, struct answer *a, struct message *why)
{
    struct answer *list = answer_list(a, "if_lame");
    enum status st = ST_OK;

    if (p->table.n_sows == 0 || p->table.n_boars < 2)
        return ST_OK;
    for (uint32_t b = 0; b < p->table.n_boars && st == ST_OK; b++)
        if (pairing_count(p, p->plan.boar, b) > 0)
            st = lame(p, b, list, why);
    return st;
}

/* ---- the crop ---- */

/* Kinship of all sows and boars among themselves, selves included; sows first. */
static enum status among(const struct pairings *p, double **k, struct message *why)
{
    const size_t n = p->table.n_all;
    uint32_t *who = ARENA_NEW(p->q->mem, uint32_t, n + 1);

    *k = ARENA_NEW(p->q->mem, double, n *n + 1);
    if (!who || !*k)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    for (size_t i = 0; i < n; i++)
        who[i] = p->kin.animals[p->table.all[i]].at;
    return pedigree_kinship(&p->kin.p, p->kin.d, n, who, n, who, NULL, p->q->mem, *k, why);
}

/* c'K c with every sow alike and the boars by these numbers of sows; `extra` sows went to a boar kin to none. */
static double crop_of(const struct pairings *p, const double *k, const double sows_of[], double extra)
{
    const size_t n = p->table.n_all, n_sows = p->table.n_sows;
    double sum = 0.0;

    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            const double ci = i < n_sows ? 1.0 : sows_of[i - n_sows], cj = j < n_sows ? 1.0 : sows_of[j - n_sows];
            sum += ci * cj * k[i * n + j];
        }
    sum += extra * extra * 0.5; /* with himself alone */
    return sum / (4.0 * (double)n_sows * (double)n_sows);
}

static enum status best_use(const struct pairings *p, const double *k, double share[], double *best,
                            struct message *why)
{
    const size_t n = p->table.n_all;
    double *a = ARENA_NEW(p->q->mem, double, n *n + 1), *c = ARENA_NEW(p->q->mem, double, n + 1);
    bool *male = ARENA_NEW(p->q->mem, bool, n + 1);

    if (!a || !c || !male)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    for (size_t i = 0; i < n * n; i++)
        a[i] = 2.0 * k[i];
    for (size_t i = 0; i < n; i++)
        male[i] = i >= p->table.n_sows;
    const struct mating_shares_ask ask = { n, a, male, true };
    const enum status st = mating_shares(&ask, p->q->mem, c, best, why);
    for (size_t b = 0; st == ST_OK && b < p->table.n_boars; b++)
        share[b] = 2.0 * c[p->table.n_sows + b];
    return st;
}

static bool all_have_figures(const struct pairings *p)
{
    if (p->table.n_sows == 0 || p->table.n_boars == 0)
        return false;
    for (size_t i = 0; i < p->table.n_all; i++)
        if (isnan(kin_f(&p->kin, p->table.all[i])))
            return false;
    for (size_t s = 0; s < p->table.n_sows; s++)
        if (p->plan.boar[s] == MATING_NONE)
            return false;
    return true;
}

static void answer_crop(const struct pairings *p, double now, double next, double best, struct answer *a)
{
    const char *none = "an animal has no figure, or a sow no boar";
    struct answer *o = answer_object(a, "crop");

    answer_real_or(o, "now", now, none);
    answer_real_or(o, "next", next, none);
    answer_real_or(o, "best", best, none);
    if (isnan(next))
        answer_text(o, "says", "");
    else
        answer_print(
            o, "says",
            "The young of this plan would be %s kin among themselves on average (%s were each boar used alike; "
            "no use of these boars gets under %s). Least inbred litters alone only put inbreeding off; using "
            "the boars more alike slows it.",
            kin_percent(next, p->q->mem), kin_percent(now, p->q->mem), kin_percent(best, p->q->mem));
}

enum status pairings_crop(const struct pairings *p, struct answer *a, struct message *why)
{
    const size_t n_boars = p->table.n_boars;
    double *k = NULL, now = NAN, next = NAN, best = NAN;
    double *counts = ARENA_NEW(p->q->mem, double, n_boars + 1), *alike = ARENA_NEW(p->q->mem, double, n_boars + 1),
           *share = ARENA_NEW(p->q->mem, double, n_boars + 1);
    enum status st = counts && alike && share ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");
    const bool can = st == ST_OK && all_have_figures(p);

    for (size_t b = 0; st == ST_OK && b < n_boars; b++)
        share[b] = NAN;
    if (can)
        st = among(p, &k, why);
    if (can && st == ST_OK)
        st = best_use(p, k, share, &best, why);
    if (st != ST_OK)
        return st;
    for (size_t b = 0; can && b < n_boars; b++) {
        counts[b] = (double)pairing_count(p, p->plan.boar, (uint32_t)b);
        alike[b] = (double)p->table.n_sows / (double)n_boars;
    }
    if (can) {
        now = crop_of(p, k, alike, 0.0);
        next = crop_of(p, k, counts, 0.0);
    }
    answer_crop(p, now, next, best, a);
    struct answer *list = answer_list(a, "contributions");
    for (size_t b = 0; can && b < n_boars; b++) {
        struct answer *row = answer_item(list);
        answer_text(row, "boar", pairing_name(p, true, b));
        answer_real(row, "share", counts[b] / (double)p->table.n_sows);
        answer_real_or(row, "best_share", share[b], "not known");
        answer_real_or(row, "best_sows", share[b] * (double)p->table.n_sows, "not known");
    }
    return ST_OK;
}

/* ---- a rule in place of a table ---- */

/* The boar in whose male line a sow stands: her sire, or his sire, and so on; MATING_NONE. */
static uint32_t line_of(const struct pairings *p, size_t sow)
{
    const struct kin *kin = &p->kin;
    uint32_t at = kin->animals[p->table.sows[sow]].at ? kin->p.sire[kin->animals[p->table.sows[sow]].at] : 0;

    for (; at; at = kin->p.sire[at])
        for (uint32_t b = 0; b < p->table.n_boars; b++)
            if (kin->animals[p->table.boars[b]].at == at)
                return b;
    return MATING_NONE;
}

enum status pairings_circle(const struct pairings *p, struct answer *a, struct message *why)
{
    const size_t n_sows = p->table.n_sows, n_boars = p->table.n_boars;
    uint32_t *line = ARENA_NEW(p->q->mem, uint32_t, n_sows + 1), *boar = ARENA_NEW(p->q->mem, uint32_t, n_sows + 1);
    const char *ring = NULL;
    double sum = 0.0;

    if (!line || !boar)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (n_boars < 3 || n_sows == 0) {
        answer_null(a, "circle", "a circle needs three boar lines or more");
        return ST_OK;
    }
    for (size_t s = 0; s < n_sows; s++)
        line[s] = line_of(p, s);
    const enum status st = mating_circle(n_sows, line, (uint32_t)n_boars, boar, why);
    if (st != ST_OK)
        return st;
    for (size_t s = 0; s < n_sows; s++) /* of none of the lines: where she fits best */
        for (uint32_t b = 0; b < n_boars && line[s] == MATING_NONE; b++)
            if (boar[s] >= n_boars || pairing_f(p, s, b) < pairing_f(p, s, boar[s]) - hair)
                boar[s] = b;
    for (size_t b = 0; b < n_boars; b++)
        ring = arena_print(p->q->mem, "%s%sof %s to %s", ring ? ring : "", ring ? ", " : "", pairing_name(p, true, b),
                           pairing_name(p, true, (b + 1) % n_boars));
    struct answer *o = answer_object(a, "circle");
    answer_print(o, "says",
                 "A rule in place of a table, for years to come: daughters %s. A sow of none of these lines begins "
                 "where she fits best.",
                 ring);
    size_t n = 0;
    for (size_t s = 0; s < n_sows; s++)
        if (boar[s] < n_boars && !isnan(pairing_f(p, s, boar[s]))) {
            sum += pairing_f(p, s, boar[s]);
            n++;
        }
    answer_real_or(o, "mean_f", n ? sum / (double)n : (double)NAN, "no sow is of these lines");
    struct answer *list = answer_list(o, "sows");
    for (size_t s = 0; s < n_sows; s++) {
        struct answer *row = answer_item(list);
        answer_text(row, "sow", pairing_name(p, false, s));
        answer_text(row, "line", line[s] == MATING_NONE ? NULL : pairing_name(p, true, line[s]));
        answer_text(row, "boar", boar[s] < n_boars ? pairing_name(p, true, boar[s]) : NULL);
        answer_real_or(row, "f", boar[s] < n_boars ? pairing_f(p, s, boar[s]) : (double)NAN, "of none of these lines");
    }
    return ST_OK;
}

/* ---- one boar more ---- */

/* The problem with a boar kin to none at the end of the row: as many sows as would be his were all used alike, or as
 * many as what is decided leaves him. */
static enum status with_stranger(const struct pairings *p, struct mating_plan *plan, struct message *why)
{
    struct arena *mem = p->q->mem;
    const size_t n_sows = p->table.n_sows, n_boars = p->table.n_boars, wide = n_boars + 1;
    struct mating_ask ask = p->ask;
    double *cost = ARENA_NEW(mem, double, n_sows *wide);
    bool *forbidden = ARENA_NEW(mem, bool, n_sows *wide);
    uint32_t *most = ARENA_NEW(mem, uint32_t, wide), *least = ARENA_NEW(mem, uint32_t, wide);

    if (!cost || !forbidden || !most || !least)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t s = 0; s < n_sows; s++)
        for (size_t b = 0; b < n_boars; b++) {
            cost[s * wide + b] = ask.cost[s * n_boars + b];
            forbidden[s * wide + b] = ask.forbidden[s * n_boars + b];
        }
    for (size_t b = 0; b < n_boars; b++) {
        most[b] = ask.most[b];
        least[b] = ask.least[b];
    }
    most[n_boars] = (uint32_t)((n_sows + wide - 1) / wide);
    ask.n_boars = wide;
    ask.cost = cost;
    ask.forbidden = forbidden;
    ask.most = most;
    ask.least = least;
    least[n_boars] = most[n_boars];
    const enum status st = mating_find(&ask, mem, plan, why);
    if (st != ST_OK || plan->relax == MATING_FITS)
        return st;
    least[n_boars] = 0;
    return mating_find(&ask, mem, plan, why);
}

enum status pairings_outside(const struct pairings *p, struct answer *a, struct message *why)
{
    const size_t n_boars = p->table.n_boars;
    double *k = NULL, *counts = ARENA_NEW(p->q->mem, double, n_boars + 1);
    double *with = ARENA_NEW(p->q->mem, double, n_boars + 1);
    struct mating_plan plan;
    enum status st = counts && with ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (st == ST_OK && !given_flag(p->q, PAIR_OUTSIDE)) {
        answer_null(a, "outside", "not asked");
        return ST_OK;
    }
    if (st == ST_OK && !all_have_figures(p)) {
        answer_null(a, "outside", "an animal has no figure, or a sow no boar");
        return ST_OK;
    }
    if (st == ST_OK)
        st = among(p, &k, why);
    if (st == ST_OK)
        st = with_stranger(p, &plan, why);
    if (st != ST_OK)
        return st;
    if (plan.relax != MATING_FITS) {
        answer_null(a, "outside", "no plan fits with him either");
        return ST_OK;
    }
    for (uint32_t b = 0; b < n_boars; b++) {
        counts[b] = (double)pairing_count(p, p->plan.boar, b);
        with[b] = (double)pairing_count(p, plan.boar, b);
    }
    const size_t his = pairing_count(p, plan.boar, (uint32_t)n_boars);
    const double before = crop_of(p, k, counts, 0.0), after = crop_of(p, k, with, (double)his);
    struct answer *o = answer_object(a, "outside");
    answer_real(o, "next", after);
    answer_real(o, "change", after - before);
    answer_real(o, "mean_f", plan.mean);
    answer_print(
        o, "says",
        "One boar more who is kin to none, with %zu sow%s: mean kinship of the next crop %s in place of %s, mean "
        "inbreeding of the litters %s in place of %s.",
        his, his == 1 ? "" : "s", kin_percent(after, p->q->mem), kin_percent(before, p->q->mem),
        kin_percent(plan.mean, p->q->mem), kin_percent(p->plan.mean, p->q->mem));
    struct answer *list = answer_list(o, "sows");
    for (size_t s = 0; s < p->table.n_sows; s++)
        if (plan.boar[s] == n_boars)
            answer_words(list, pairing_name(p, false, s));
    return ST_OK;
}
