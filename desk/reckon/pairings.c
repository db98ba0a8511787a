/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon pairings: which boar to which sow, over a pedigree file. */
#include <math.h>
#include <string.h>

#include "core/pedigree/mating.h"
#include "desk/reckon/pedigree_in.h"
#include "desk/reckon/reckon.h"

enum { PEDIGREE, BOARS, SOWS, FORBID, LIMIT, WORST_FIRST };

static const struct param params[] = {
    [PEDIGREE] = { "PEDIGREE", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                   "CSV file: a line id,sire,dam and, if wanted, sex,born,breed,name" },
    [BOARS] = { "boars", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED,
                "ids with commas between; ID:4 = at most 4 sows, ID:4:1 = and at least 1" },
    [SOWS] = { "sows", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED, "ids with commas between, each once" },
    [FORBID] = { "forbid", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REPEAT, "SOW=BOAR: not these two" },
    [LIMIT] = { "limit", P_QUANTITY, Q_FRACTION, 0, 1, NULL, NULL, 0, "no litter with F above it" },
    [WORST_FIRST] = { "worst-first", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                      "first the least worst litter, then the mean" },
};

#define SHAPE_PLAN(at, help)                                                                                           \
    { at, SHAPE_LIST, true, help }, { at "[]", SHAPE_OBJECT, false, "" }, { at "[].sow", SHAPE_TEXT, false, "" },      \
        { at "[].boar", SHAPE_TEXT, false, "" },                                                                       \
    {                                                                                                                  \
        at "[].f", SHAPE_REAL, false, "inbreeding of the litter"                                                       \
    }

static const struct shape shape[] = {
    SHAPE_PLAN("plan", "in the order of --sows; null: no plan fits as asked"),
    { "mean_f", SHAPE_REAL, true, "of the plan" },
    { "worst_f", SHAPE_REAL, true, "of the plan" },
    { "worst_possible_f", SHAPE_REAL, true, "no plan has a worst litter below it" },
    { "free_choice_mean_f", SHAPE_REAL, true, "each sow to her best boar, whatever his number" },
    { "in_list_order_mean_f", SHAPE_REAL, true, "sow after sow, the best boar with room left; null: it runs aground" },
    { "infeasible", SHAPE_TEXT, true, "why no plan fits, and what would make it work; null: one does" },
    SHAPE_PLAN("with_that_change", "the plan with what `infeasible` asks for; null where one fits as asked"),
    SHAPE_PEDIGREE_IN,
    SHAPE_ASSUMED,
};

struct pairing {
    const struct asked *q;
    struct pedigree_in *in;
    size_t n_sows, n_boars;
    uint32_t *sow, *boar, *most, *least;
    bool *all; /* by boar: no number was given */
    bool *forbidden;
    double *f;
};

static size_t commas(const char *text)
{
    size_t n = 1;

    for (; *text; text++)
        n += *text == ',';
    return n;
}

static char *trimmed(char *text)
{
    text += strspn(text, " \t");
    for (size_t end = strlen(text); end && (text[end - 1] == ' ' || text[end - 1] == '\t'); end--)
        text[end - 1] = 0;
    return text;
}

static enum status animal_of(const struct pairing *p, const char *flag, const char *id, bool male, uint32_t *animal,
                             struct message *why)
{
    if (!*id)
        return refuse(ST_BAD_INPUT, why, flag, "--%s: an id is missing between two commas", flag);
    *animal = pedigree_find(&p->in->p, p->in->index, id);
    if (!*animal)
        return refuse(ST_NOT_FOUND, why, flag, "--%s: no animal \"%.80s\" in the pedigree", flag, id);
    if (p->in->p.sex[*animal] == (male ? PEDIGREE_FEMALE : PEDIGREE_MALE))
        return refuse(ST_BAD_INPUT, why, flag, "--%s: \"%.80s\" is %s in the pedigree; name %s", flag, id,
                      male ? "a female" : "a male", male ? "a boar" : "a sow");
    return ST_OK;
}

static enum status once(const char *flag, const char *id, const uint32_t list[], size_t n, uint32_t animal,
                        struct message *why)
{
    for (size_t k = 0; k < n; k++)
        if (list[k] == animal)
            return refuse(ST_BAD_INPUT, why, flag, "--%s: \"%.80s\" is named twice; name each once", flag, id);
    return ST_OK;
}

static enum status sows_of(struct pairing *p, struct message *why)
{
    char *text = arena_text(&p->in->mem, given_text(p->q, SOWS)), *next;

    p->sow = text ? ARENA_NEW(&p->in->mem, uint32_t, commas(text)) : NULL;
    if (!p->sow)
        return refuse(ST_NO_MEMORY, why, "sows", "too many sows for the memory of this machine");
    for (char *at = text; at; at = next) {
        next = strchr(at, ',');
        if (next)
            *next++ = 0;
        at = trimmed(at);
        uint32_t animal;
        enum status st = animal_of(p, "sows", at, false, &animal, why);
        if (st == ST_OK)
            st = once("sows", at, p->sow, p->n_sows, animal, why);
        if (st != ST_OK)
            return st;
        p->sow[p->n_sows++] = animal;
    }
    return ST_OK;
}

/* ":4" off the end of an id: only when digits follow, so that ids with a colon stay. */
static bool number_off(char *id, uint32_t *number)
{
    char *colon = strrchr(id, ':');
    uint32_t n = 0;

    if (!colon || !colon[1] || strspn(colon + 1, "0123456789") != strlen(colon + 1) || strlen(colon + 1) > 6)
        return false;
    for (const char *c = colon + 1; *c; c++)
        n = n * 10 + (uint32_t)(*c - '0');
    *number = n;
    *colon = 0;
    return true;
}

static enum status boar_of(struct pairing *p, char *at, struct message *why)
{
    const size_t b = p->n_boars;
    uint32_t animal, number[2];
    size_t n = 0;

    while (n < 2 && !pedigree_find(&p->in->p, p->in->index, at) && number_off(at, &number[n]))
        n++;
    enum status st = animal_of(p, "boars", at, true, &animal, why);
    if (st == ST_OK)
        st = once("boars", at, p->boar, b, animal, why);
    if (st != ST_OK)
        return st;
    p->boar[b] = animal;
    p->all[b] = n == 0;
    p->most[b] = n == 0 ? (uint32_t)p->n_sows : number[n - 1];
    p->least[b] = n == 2 ? number[0] : 0;
    if (p->least[b] > p->most[b])
        return refuse(ST_BAD_INPUT, why, "boars",
                      "--boars: \"%.80s\" has at most %u sows and at least %u; write ID:most:least", at,
                      (unsigned)p->most[b], (unsigned)p->least[b]);
    p->n_boars++;
    return ST_OK;
}

static enum status boars_of(struct pairing *p, struct message *why)
{
    char *text = arena_text(&p->in->mem, given_text(p->q, BOARS)), *next;
    const size_t n = text ? commas(text) : 0;

    p->boar = ARENA_NEW(&p->in->mem, uint32_t, n);
    p->most = ARENA_NEW(&p->in->mem, uint32_t, n);
    p->least = ARENA_NEW(&p->in->mem, uint32_t, n);
    p->all = ARENA_NEW(&p->in->mem, bool, n);
    if (arena_full(&p->in->mem))
        return refuse(ST_NO_MEMORY, why, "boars", "too many boars for the memory of this machine");
    for (char *at = text; at; at = next) {
        next = strchr(at, ',');
        if (next)
            *next++ = 0;
        const enum status st = boar_of(p, trimmed(at), why);
        if (st != ST_OK)
            return st;
    }
    return ST_OK;
}

static size_t place_in(const uint32_t list[], size_t n, uint32_t animal)
{
    size_t k = 0;

    while (k < n && (list[k] != animal || animal == 0))
        k++;
    return k;
}

/* SOW=BOAR; ids may hold "=" themselves, so every one is tried. */
static enum status forbid(struct pairing *p, const char *text, struct message *why)
{
    char *id = arena_text(&p->in->mem, text);

    if (!id)
        return refuse(ST_NO_MEMORY, why, "forbid", "too many pairs for the memory of this machine");
    for (char *at = strchr(id, '='); at; at = strchr(at + 1, '=')) {
        *at = 0;
        const size_t s = place_in(p->sow, p->n_sows, pedigree_find(&p->in->p, p->in->index, trimmed(id))),
                     b = place_in(p->boar, p->n_boars, pedigree_find(&p->in->p, p->in->index, trimmed(at + 1)));
        *at = '=';
        if (s < p->n_sows && b < p->n_boars) {
            p->forbidden[s * p->n_boars + b] = true;
            return ST_OK;
        }
        (void)memcpy(id, text, strlen(text) + 1); /* what was trimmed */
    }
    return refuse(ST_BAD_INPUT, why, "forbid",
                  "--forbid: \"%.80s\" is not SOW=BOAR with a sow of --sows and a boar of --boars", text);
}

static enum status read_all(struct pairing *p, struct message *why)
{
    const struct pedigree_hands hands = pedigree_in_hands(0);
    struct pedigree_in *in = p->in;
    enum status st = in->index ? ST_OK : pedigree_index_make(&in->p, &in->mem, &in->index, why);

    if (st == ST_OK)
        st = sows_of(p, why);
    if (st == ST_OK)
        st = boars_of(p, why);
    if (st != ST_OK)
        return st;
    p->forbidden = ARENA_NEW(&in->mem, bool, p->n_sows * p->n_boars);
    p->f = ARENA_NEW(&in->mem, double, p->n_sows * p->n_boars);
    if (!p->forbidden || !p->f)
        return refuse(ST_NO_MEMORY, why, "sows", "too many pairs for the memory of this machine");
    for (size_t k = 0; st == ST_OK && k < p->q->given[FORBID].n; k++)
        st = forbid(p, p->q->given[FORBID].text[k], why);
    if (st == ST_OK)
        st = pedigree_kinship(&in->p, in->d, p->n_sows, p->sow, p->n_boars, p->boar, &hands, &in->mem, p->f, why);
    return st;
}

/* ---- the answer ---- */

static const char *id_of(const struct pairing *p, struct arena *mem, uint32_t animal)
{
    return arena_text(mem, p->in->p.id[animal]);
}

static const char *infeasible(const struct pairing *p, const struct mating_plan *plan, struct arena *mem)
{
    const char *boar = id_of(p, mem, p->boar[plan->relax_boar]), *sow = id_of(p, mem, p->sow[plan->relax_sow]);
    const char *alone = plan->relax_alone ? "" : ", and that alone is not enough";
    const char *limit = "";

    if (plan->relax != MATING_LIMIT && plan->relax_limit >= 0.0)
        limit = arena_print(mem, "; or --limit would have to be %.6g", plan->relax_limit);
    switch (plan->relax) {
    case MATING_FITS: return NULL;
    case MATING_MORE:
        return arena_print(mem, "No plan fits: %s would need %.0f sows%s%s.", boar, plan->relax_needs, alone, limit);
    case MATING_LIMIT:
        return arena_print(mem, "No plan fits: --limit would have to be %.6g%s.", plan->relax_limit, alone);
    case MATING_FEWER:
        return arena_print(mem, "No plan fits: %s can get %.0f sows at most, not %u%s%s.", boar, plan->relax_needs,
                           (unsigned)p->least[plan->relax_boar], alone, limit);
    case MATING_NO_BOAR:
        return arena_print(mem, "No plan fits: every boar is forbidden for %s; allow her one%s.", sow, alone);
    }
    return NULL;
}

static void answer_plan(const struct pairing *p, const struct mating_plan *plan, const char *key, struct answer *a)
{
    struct answer *list = answer_list(a, key);

    for (size_t s = 0; s < p->n_sows; s++) {
        struct answer *row = answer_item(list);
        answer_text(row, "sow", id_of(p, a->mem, p->sow[s]));
        answer_text(row, "boar", id_of(p, a->mem, p->boar[plan->boar[s]]));
        answer_real(row, "f", p->f[s * p->n_boars + plan->boar[s]]);
    }
}

static void answer_all(const struct pairing *p, const struct mating_plan *plan, struct answer *a)
{
    const bool fits = plan->relax == MATING_FITS;
    const char *none = "no plan fits as asked";

    if (fits)
        answer_plan(p, plan, "plan", a);
    else
        answer_null(a, "plan", none);
    answer_real_or(a, "mean_f", fits ? plan->mean : (double)NAN, none);
    answer_real_or(a, "worst_f", fits ? plan->worst : (double)NAN, none);
    answer_real_or(a, "worst_possible_f", fits ? plan->worst_possible : (double)NAN, none);
    answer_real_or(a, "free_choice_mean_f", fits ? plan->free_mean : (double)NAN, none);
    answer_real_or(a, "in_list_order_mean_f", fits ? plan->listed_mean : (double)NAN,
                   fits ? "in the order of the list a sow finds no boar with room left" : none);
    answer_text(a, "infeasible", infeasible(p, plan, a->mem));
    if (!fits) {
        answer_plan(p, plan, "with_that_change", a);
        a->no = true;
    }
}

static enum status put_all(struct pairing *p, struct answer *a, struct message *why)
{
    const struct asked *q = p->q;
    struct mating_plan plan;
    enum status st = read_all(p, why);
    const struct mating_ask ask = { .n_sows = p->n_sows,
                                    .n_boars = p->n_boars,
                                    .cost = p->f,
                                    .forbidden = p->forbidden,
                                    .most = p->most,
                                    .least = p->least,
                                    .limit = given_is(q, LIMIT) ? given_real(q, LIMIT) : (double)INFINITY,
                                    .worst_first = given_flag(q, WORST_FIRST) };

    if (st == ST_OK)
        st = mating_find(&ask, &p->in->mem, &plan, why);
    if (st != ST_OK)
        return st;
    answer_all(p, &plan, a);
    pedigree_in_findings(p->in, a);
    struct answer *assumed = asked_assumed(q, a);
    for (size_t b = 0; b < p->n_boars; b++)
        if (p->all[b])
            answer_words(assumed,
                         arena_print(a->mem, "%s may have every sow: no number was given", p->in->p.id[p->boar[b]]));
    answer_words(assumed, "all generations that are known; an unknown parent is kin to nobody");
    return ST_OK;
}

static enum status put_pairings(const struct asked *q, struct answer *a, struct message *why)
{
    struct pedigree_in in;
    struct pairing p = { .q = q, .in = &in };
    enum status st = pedigree_in_open(given_text(q, PEDIGREE), 0, &in, why);

    if (st == ST_OK)
        st = put_all(&p, a, why);
    pedigree_in_close(&in);
    return st;
}

const struct question piece_pairings = {
    "pairings", "Which boar to which sow, so that the litters are least inbred",
    params,     COUNT(params),
    shape,      COUNT(shape),
    "plan",     put_pairings,
};
