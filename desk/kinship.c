/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * kinship: boars and sows, each with each, and through whom. */
#include <math.h>
#include <string.h>

#include "desk/kin_inside.h"
#include "desk/kin_table.h"

/* ---- the table, for this question and for pairings ---- */

static enum status given_animals(const struct asked *q, size_t param, const char *field, enum kin_sex sex,
                                 const struct kin *kin, size_t list[], size_t *n, struct message *why)
{
    const struct given *g = &q->given[param];
    enum status st = ST_OK;

    for (size_t i = 0; i < g->n && st == ST_OK; i++) {
        st = kin_find(kin, field, g->text[i], sex, &list[*n], why);
        for (size_t k = 0; st == ST_OK && k < *n; k++)
            if (list[k] == list[*n])
                return refuse(ST_BAD_INPUT, why, field, "--%s: %s is named twice", field, kin->animals[list[k]].name);
        *n += st == ST_OK;
    }
    return st;
}

static int by_name(const void *a, const void *b)
{
    const struct kin_named *x = a, *y = b;
    const int c = strcmp(x->name, y->name);
    return c ? c : strcmp(x->uid, y->uid);
}

enum status kin_here(const struct kin *kin, bool male, struct arena *mem, size_t list[], size_t *n, struct message *why)
{
    struct kin_named *order = ARENA_NEW(mem, struct kin_named, kin->n + 1);
    size_t found = 0;

    if (!order)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < kin->n; i++)
        if (kin->animals[i].breeds && kin->animals[i].male == male)
            order[found++] = (struct kin_named){ kin->animals[i].name, kin->animals[i].uid, i };
    qsort(order, found, sizeof *order, by_name);
    for (size_t i = 0; i < found; i++)
        list[(*n)++] = order[i].animal;
    return ST_OK;
}

enum status kin_table_reckon(const struct kin *kin, struct kin_table *t, struct arena *mem, struct message *why)
{
    uint32_t *rows = ARENA_NEW(mem, uint32_t, t->n_sows + 1), *cols = ARENA_NEW(mem, uint32_t, t->n_boars + 1);

    t->f = ARENA_NEW(mem, double, t->n_sows * t->n_boars + 1);
    t->best = ARENA_NEW(mem, double, t->n_sows + 1);
    if (!rows || !cols || !t->f || !t->best)
        return refuse(ST_NO_MEMORY, why, "", "too many animals to hold at once");
    for (size_t s = 0; s < t->n_sows; s++)
        t->best[s] = NAN;
    for (size_t i = 0; i < t->n_sows * t->n_boars; i++)
        t->f[i] = NAN;
    if (t->n_sows == 0 || t->n_boars == 0 || kin->p.n == 0)
        return ST_OK;
    for (size_t s = 0; s < t->n_sows; s++)
        rows[s] = kin->animals[t->sows[s]].at ? kin->animals[t->sows[s]].at : 1; /* no figure: see below */
    for (size_t b = 0; b < t->n_boars; b++)
        cols[b] = kin->animals[t->boars[b]].at ? kin->animals[t->boars[b]].at : 1;
    const enum status st = pedigree_kinship(&kin->p, kin->d, t->n_sows, rows, t->n_boars, cols, NULL, mem, t->f, why);
    for (size_t s = 0; st == ST_OK && s < t->n_sows; s++) {
        t->best[s] = INFINITY;
        for (size_t b = 0; b < t->n_boars; b++) {
            double *f = &t->f[s * t->n_boars + b];
            if (isnan(kin_f(kin, t->sows[s])) || isnan(kin_f(kin, t->boars[b])))
                *f = NAN; /* stands for nobody, or lies in a loop */
            t->best[s] = fmin(t->best[s], *f);
        }
        if (!isfinite(t->best[s]))
            t->best[s] = NAN;
    }
    return st;
}

double kin_table_mean(const struct kin_table *t)
{
    double sum = 0.0;
    size_t n = 0;

    for (size_t i = 0; i < t->n_sows * t->n_boars; i++)
        if (!isnan(t->f[i])) {
            sum += t->f[i];
            n++;
        }
    return n ? sum / (double)n : (double)NAN;
}

/* ---- the question ---- */

static enum status answer_through(const struct kin *kin, size_t sow, size_t boar, struct arena *mem, struct answer *row,
                                  struct message *why)
{
    const struct pedigree_through *through = NULL;
    size_t n = 0;
    const uint32_t s = kin->animals[sow].at, b = kin->animals[boar].at;
    const enum status st = s && b ? pedigree_kin_through(&kin->p, kin->d, s, b, mem, &through, &n, why) : ST_OK;
    struct answer *list = answer_list(row, "through");

    for (size_t i = 0; st == ST_OK && i < n; i++) {
        const size_t who = kin->who[through[i].ancestor];
        struct answer *x = answer_item(list);
        answer_text(x, "name", kin->animals[who].name);
        answer_text(x, "id", kin->animals[who].id);
        answer_real(x, "part", through[i].part);
        answer_whole(x, "sow_generations", through[i].from_i);
        answer_whole(x, "boar_generations", through[i].from_j);
        answer_print(x, "says", "%s%s, %s%s", kin_ancestor_word(kin, who, through[i].from_i, mem),
                     through[i].from_i ? " of her" : "", kin_ancestor_word(kin, who, through[i].from_j, mem),
                     through[i].from_j ? " of him" : "");
    }
    return st;
}

static void answer_sides(const struct kin *kin, const struct kin_table *t, struct answer *a)
{
    struct answer *boars = answer_list(a, "boars"), *sows = NULL;

    for (size_t b = 0; b < t->n_boars; b++) {
        const struct kin_animal *x = &kin->animals[t->boars[b]];
        struct answer *row = answer_item(boars);
        double sum = 0.0;
        for (size_t s = 0; s < t->n_sows; s++) /* one without a figure leaves him without */
            sum += t->f[s * t->n_boars + b];
        answer_text(row, "name", x->name);
        answer_text(row, "uid", x->uid);
        answer_real_or(row, "mean_f", t->n_sows ? sum / (double)t->n_sows : (double)NAN, "a figure is not known");
        answer_flag(row, "here", x->here);
    }
    sows = answer_list(a, "sows");
    for (size_t s = 0; s < t->n_sows; s++) {
        const struct kin_animal *x = &kin->animals[t->sows[s]];
        struct answer *row = answer_item(sows);
        answer_text(row, "name", x->name);
        answer_text(row, "uid", x->uid);
        answer_real_or(row, "best_f", t->best[s], "no figure is known");
        answer_flag(row, "here", x->here);
    }
}

static void answer_whole_table(const struct kin *kin, const struct kin_table *t, struct answer *a)
{
    const double mean = kin_table_mean(t);
    double least = NAN, most = NAN;
    size_t s = 0, b = 0;

    for (size_t i = 0; i < t->n_sows * t->n_boars; i++) {
        if (!isnan(t->f[i]) && !(t->f[i] <= most)) {
            s = i / t->n_boars;
            b = i % t->n_boars;
        }
        least = fmin(least, t->f[i]);
        most = fmax(most, t->f[i]);
    }
    if (isnan(mean))
        answer_text(a, "says",
                    t->n_boars == 0  ? "No boar is here: name one with --boar, also one elsewhere."
                    : t->n_sows == 0 ? "No sow or gilt is here."
                                     : "No pair has a figure.");
    else
        answer_print(a, "says", "Mean of all pairs %s, from %s to %s. Nearest kin: %s with %s%s%s.",
                     kin_percent(mean, a->mem), kin_percent(least, a->mem), kin_percent(most, a->mem),
                     kin->animals[t->sows[s]].name, kin->animals[t->boars[b]].name,
                     kin_relation(kin, t->sows[s], t->boars[b]) ? ", " : "",
                     kin_relation(kin, t->sows[s], t->boars[b]) ? kin_relation(kin, t->sows[s], t->boars[b]) : "");
}

static void answer_range(const struct kin_table *t, struct answer *a)
{
    double least = NAN, most = NAN;

    for (size_t i = 0; i < t->n_sows * t->n_boars; i++) {
        least = fmin(least, t->f[i]);
        most = fmax(most, t->f[i]);
    }
    answer_real_or(a, "mean_f", kin_table_mean(t), "no pair has a figure");
    answer_real_or(a, "least_f", least, "no pair has a figure");
    answer_real_or(a, "most_f", most, "no pair has a figure");
    if (least >= 0.125 - 1e-9)
        answer_print(a, "unavoidable",
                     "No pair here is under %s: in so small a breed that cannot be avoided, and each pair is judged "
                     "against the best there is.",
                     kin_percent(least, a->mem));
    else
        answer_null(a, "unavoidable", NULL);
}

static enum status read_table(const struct asked *q, struct kin *kin, struct kin_table *t, struct message *why)
{
    size_t n_also = 0;

    enum status st = kin_read(q->farm, q->at_utc_s, q->known_to, q->mem, kin, why);
    if (st != ST_OK)
        return st;
    t->sows = ARENA_NEW(q->mem, size_t, kin->n + 1);
    t->boars = ARENA_NEW(q->mem, size_t, kin->n + 1);
    size_t *also = ARENA_NEW(q->mem, size_t, 2 * kin->n + 1);
    if (!t->sows || !t->boars || !also)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    st = given_animals(q, KINSHIP_BOAR, "boar", KIN_MALE, kin, t->boars, &t->n_boars, why);
    if (st == ST_OK)
        st = given_animals(q, KINSHIP_SOW, "sow", KIN_FEMALE, kin, t->sows, &t->n_sows, why);
    if (st == ST_OK && t->n_boars == 0)
        st = kin_here(kin, true, q->mem, t->boars, &t->n_boars, why);
    if (st == ST_OK && t->n_sows == 0)
        st = kin_here(kin, false, q->mem, t->sows, &t->n_sows, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < t->n_sows; i++)
        also[n_also++] = t->sows[i];
    for (size_t i = 0; i < t->n_boars; i++)
        also[n_also++] = t->boars[i];
    t->all = also;
    t->n_all = n_also;
    st = kin_reckon(kin, given_is(q, KINSHIP_DEPTH) ? (unsigned)given_real(q, KINSHIP_DEPTH) : 0, n_also, also, q->mem,
                    why);
    return st == ST_OK ? kin_table_reckon(kin, t, q->mem, why) : st;
}

enum status kinship_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct kin kin;
    struct kin_table t = { .n_sows = 0 };
    enum status st = read_table(q, &kin, &t, why);

    if (st != ST_OK)
        return st;
    answer_moment(a, "at", kin.at_utc_s);
    answer_whole(a, "known_to", kin.known_to);
    answer_whole_table(&kin, &t, a);
    answer_sides(&kin, &t, a);
    struct answer *pairs = answer_list(a, "pairs");
    for (size_t s = 0; s < t.n_sows && st == ST_OK; s++)
        for (size_t b = 0; b < t.n_boars && st == ST_OK; b++) {
            struct answer *row = kin_answer_pair(&kin, t.sows[s], t.boars[b], t.f[s * t.n_boars + b], t.best[s], pairs);
            st = answer_through(&kin, t.sows[s], t.boars[b], q->mem, row, why);
            if (arena_full(q->mem))
                return refuse(
                    ST_NO_MEMORY, why, "",
                    "%zu sows with %zu boars are too many pairs for one answer: name some with --sow or --boar",
                    t.n_sows, t.n_boars);
        }
    answer_range(&t, a);
    kin_answer_rests_on(&kin, t.n_all, t.all, a);
    kin_answer_tail(&kin, t.n_all, t.all, a);
    return st;
}
