/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * founders: what the breeding herd still carries of each, and whose line to keep. */
#include <math.h>
#include <string.h>

#include "core/pedigree/genes.h"
#include "desk/kin_inside.h"

enum { MOST_ANCESTORS = 12, MOST_NAMED = 4 };

struct founding {
    const struct asked *q;
    struct kin kin;
    struct genes genes;
    struct genes_ancestors ancestors;
    size_t *group; /* animals of the breeding herd */
};

static const char *name_of(const struct founding *o, uint32_t at)
{
    const size_t who = o->kin.who[at];
    return who == KIN_NONE ? o->kin.p.id[at] : o->kin.animals[who].name;
}

static const char *founder_name(const struct founding *o, const struct genes_founder *f)
{
    if (!f->phantom)
        return name_of(o, f->animal);
    return arena_print(o->q->mem, "unknown %s of %s", o->kin.p.sire[f->animal] ? "dam" : "sire", name_of(o, f->animal));
}

static bool lost(const struct genes_founder *f)
{
    return !(f->share > 0.0);
}

/* A founder that is itself of the herd and has no young in it hangs by nobody but itself. */
static bool hangs(const struct genes_founder *f)
{
    return f->only != 0 && !lost(f) && (f->only != f->animal || f->phantom);
}

static const char *founder_says(const struct founding *o, const struct genes_founder *f)
{
    if (lost(f))
        return "lost: no living descendant in the herd";
    if (f->only == f->animal && !f->phantom)
        return arena_print(o->q->mem, "%s, in the herd itself and not yet in any young",
                           kin_percent(f->share, o->q->mem));
    if (f->only)
        return arena_print(o->q->mem, "%s, only through %s", kin_percent(f->share, o->q->mem), name_of(o, f->only));
    return arena_print(o->q->mem, "%s, through %zu animals", kin_percent(f->share, o->q->mem), f->carriers);
}

static void answer_founders(const struct founding *o, struct answer *a)
{
    struct answer *list = answer_list(a, "founders");

    for (size_t i = 0; i < o->genes.n_founders; i++) {
        const struct genes_founder *f = &o->genes.founder[i];
        struct answer *row = answer_item(list);
        answer_text(row, "name", founder_name(o, f));
        answer_text(row, "id", o->kin.p.id[f->animal]);
        answer_flag(row, "unknown_parent", f->phantom);
        answer_real(row, "share", f->share);
        answer_flag(row, "lost", lost(f));
        answer_whole(row, "carriers", (int64_t)f->carriers);
        answer_text(row, "only", f->only ? name_of(o, f->only) : NULL);
        answer_real_or(row, "survives", f->survives, "genes were not dropped");
        answer_real_or(row, "alleles", f->alleles, "genes were not dropped");
        answer_text(row, "says", founder_says(o, f));
    }
}

/* ---- in words ---- */

static size_t names_where(const struct founding *o, bool (*which)(const struct genes_founder *),
                          const char *names[static MOST_NAMED])
{
    size_t n = 0;

    for (size_t i = 0; i < o->genes.n_founders; i++)
        if (which(&o->genes.founder[i])) {
            if (n < MOST_NAMED)
                names[n] = founder_name(o, &o->genes.founder[i]);
            n++;
        }
    return n;
}

static const char *some(size_t n, const char *const names[static MOST_NAMED], struct arena *mem)
{
    return n > MOST_NAMED ? arena_print(mem, "%s and %zu more", kin_names(MOST_NAMED, names, mem), n - MOST_NAMED)
                          : kin_names(n, names, mem);
}

static const char *says(const struct founding *o, size_t n_lost, const char *const lost_names[static MOST_NAMED])
{
    struct arena *mem = o->q->mem;
    const char *all = arena_print(mem, "Of %zu founder%s the herd now carries as much as %.1f that were used equally.",
                                  o->genes.n_founders, o->genes.n_founders == 1 ? "" : "s", o->genes.fe);
    size_t told = 0;

    for (size_t i = 0; i < o->genes.n_founders && told < MOST_NAMED; i++) {
        const struct genes_founder *f = &o->genes.founder[i];
        if (!hangs(f) || f->phantom)
            continue;
        all = arena_print(mem, "%s %s hangs by %s alone.", all, founder_name(o, f), name_of(o, f->only));
        told++;
    }
    if (n_lost)
        all = arena_print(mem, "%s Lost: %s.", all, some(n_lost, lost_names, mem));
    return all;
}

/* Rule of thumb: a rise under 1 % a generation (Ne 50) can be borne, under 0.5 % (Ne 100) is comfortable. */
static const char *ne_says(const struct genes *g, struct arena *mem)
{
    if (isinf(g->ne))
        return "No rise of inbreeding is to be seen in what is recorded; with few generations known that says little.";
    if (isnan(g->ne))
        return "Too few generations are known to say how fast inbreeding rises.";
    return arena_print(mem, "Inbreeding rises as in a herd of %.0f that breed alike: about %.1f %% a generation. %s",
                       g->ne, 50.0 / g->ne,
                       g->ne >= 100.0  ? "Under 0.5 % is comfortable."
                       : g->ne >= 50.0 ? "Under 1 % can be borne; under 0.5 % would be comfortable."
                                       : "Over 1 % is too fast to go on with: other lines are needed, as a rule from "
                                         "outside.");
}

/* ---- whose line to keep ---- */

struct kept {
    double mk;
    size_t animal;
};

static int by_kinship(const void *a, const void *b)
{
    const struct kept *x = a, *y = b;
    if (x->mk < y->mk || x->mk > y->mk)
        return x->mk < y->mk ? -1 : 1;
    return (x->animal > y->animal) - (x->animal < y->animal);
}

static void answer_alone(const struct founding *o, size_t animal, struct answer *row)
{
    struct answer *list = answer_list(row, "alone");
    const char *names[MOST_NAMED];
    size_t n = 0;

    for (size_t i = 0; i < o->genes.n_founders; i++) {
        const struct genes_founder *f = &o->genes.founder[i];
        if (f->only != o->kin.animals[animal].at || !hangs(f))
            continue;
        answer_words(list, founder_name(o, f));
        if (n < MOST_NAMED)
            names[n] = founder_name(o, f);
        n++;
    }
    const double mk = o->kin.mk[o->kin.animals[animal].at];
    if (n)
        answer_print(row, "says", "mean kinship %s; %s hang%s by %s alone: keep a %s of %s", kin_percent(mk, row->mem),
                     some(n, names, row->mem), n == 1 ? "s" : "", o->kin.animals[animal].male ? "him" : "her",
                     o->kin.animals[animal].male ? "son or daughter" : "gilt",
                     o->kin.animals[animal].male ? "his" : "hers");
    else
        answer_print(row, "says", "mean kinship %s", kin_percent(mk, row->mem));
}

static bool answer_keep(const struct founding *o, struct answer *a)
{
    const struct kin *kin = &o->kin;
    struct kept *order = ARENA_NEW(o->q->mem, struct kept, kin->n_group + 1);
    struct answer *list = answer_list(a, "keep");
    int64_t rank = 0;

    if (!order)
        return false;
    for (size_t i = 0; i < kin->n_group; i++)
        order[i] = (struct kept){ kin->mk[kin->group[i]], kin->who[kin->group[i]] };
    qsort(order, kin->n_group, sizeof *order, by_kinship);
    for (size_t i = 0; i < kin->n_group; i++) {
        const struct kin_animal *x = &kin->animals[order[i].animal];
        struct answer *row = answer_item(list);
        if (i == 0 || order[i].mk - order[i - 1].mk >= 1e-12)
            rank = (int64_t)i + 1; /* equal kinship, equal rank */
        answer_whole(row, "rank", rank);
        answer_text(row, "name", x->name);
        answer_text(row, "uid", x->uid);
        answer_text(row, "sex", x->male ? "m" : "f");
        answer_real(row, "mean_kinship", order[i].mk);
        answer_real_or(row, "f", kin_f(kin, order[i].animal), "it is an ancestor of itself");
        answer_real_or(row, "generations", kin_generations(kin, order[i].animal), "not known");
        answer_alone(o, order[i].animal, row);
    }
    return true;
}

/* ---- the answer ---- */

static void answer_figures(const struct founding *o, size_t n_lost, size_t n_hanging, struct answer *a)
{
    const struct genes *g = &o->genes;
    const char *few = "no breeding animal is here",
               *slow = "no rise of inbreeding is to be seen, or too little is known";

    answer_real_or(a, "equal_share", g->n_founders ? 1.0 / (double)g->n_founders : (double)NAN, few);
    answer_whole(a, "lost", (int64_t)n_lost);
    answer_whole(a, "hanging", (int64_t)n_hanging);
    answer_real_or(a, "fe", g->fe, few);
    answer_real_or(a, "fa", o->ancestors.fa, few);
    answer_real_or(a, "fg", g->fg, few);
    answer_real_or(a, "mean_f", g->mean_f, few);
    answer_real_or(a, "mean_kinship", g->mean_kinship, few);
    answer_real_or(a, "mean_kinship_without_self", g->mean_kinship_without_self, few);
    answer_real_or(a, "ballou", g->ballou, few);
    answer_real_or(a, "ne", g->ne, slow);
    answer_real_or(a, "ne_numbers", g->ne_numbers, "fathers or mothers of the herd are not recorded");
    answer_text(a, "ne_says", ne_says(g, o->q->mem));
    struct answer *list = answer_list(a, "ancestors");
    for (size_t i = 0; i < o->ancestors.n; i++) {
        struct answer *row = answer_item(list);
        answer_text(row, "name", name_of(o, o->ancestors.ancestor[i].animal));
        answer_text(row, "id", o->kin.p.id[o->ancestors.ancestor[i].animal]);
        answer_real(row, "part", o->ancestors.ancestor[i].marginal);
    }
}

static enum status reckon(struct founding *o, struct message *why)
{
    const struct asked *q = o->q;
    const struct genes_group all = { o->kin.n_group, o->kin.group, NULL };

    enum status st = genes_of(&o->kin.p, o->kin.f, o->kin.d, &all, q->mem, &o->genes, why);
    if (st == ST_OK)
        st = genes_ancestors_of(&o->kin.p, &all, 1.0, MOST_ANCESTORS, q->mem, &o->ancestors, why);
    if (st == ST_OK)
        st = genes_drop(&o->kin.p, &all, (uint64_t)given_real(q, FOUNDERS_SEED),
                        (size_t)given_real(q, FOUNDERS_REPLICATES), NULL, q->mem, &o->genes, why);
    return st;
}

static void nothing(struct founding *o)
{
    o->genes = (struct genes){ .fe = NAN,
                               .fg = NAN,
                               .mean_f = NAN,
                               .mean_kinship = NAN,
                               .mean_kinship_without_self = NAN,
                               .equivalent_generations = NAN,
                               .ballou = NAN,
                               .ne = NAN,
                               .ne_numbers = NAN };
    o->ancestors = (struct genes_ancestors){ .fa = NAN };
}

enum status founders_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct founding *o = ARENA_NEW(q->mem, struct founding, 1);
    const char *lost_names[MOST_NAMED], *hanging_names[MOST_NAMED];

    if (!o)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    o->q = q;
    enum status st = kin_read(q->farm, q->at_utc_s, q->known_to, q->mem, &o->kin, why);
    if (st == ST_OK)
        st = kin_reckon(&o->kin, given_is(q, FOUNDERS_DEPTH) ? (unsigned)given_real(q, FOUNDERS_DEPTH) : 0, 0, NULL,
                        q->mem, why);
    nothing(o);
    if (st == ST_OK && o->kin.n_group > 0)
        st = reckon(o, why);
    if (st != ST_OK)
        return st;
    o->group = ARENA_NEW(q->mem, size_t, o->kin.n_group + 1);
    if (!o->group)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < o->kin.n_group; i++)
        o->group[i] = o->kin.who[o->kin.group[i]];
    const size_t n_lost = names_where(o, lost, lost_names), n_hanging = names_where(o, hangs, hanging_names);
    answer_moment(a, "at", o->kin.at_utc_s);
    answer_whole(a, "known_to", o->kin.known_to);
    answer_text(a, "says", o->kin.n_group ? says(o, n_lost, lost_names) : "No sow, gilt or boar is here.");
    answer_whole(a, "breeding", (int64_t)o->kin.n_group);
    answer_founders(o, a);
    answer_figures(o, n_lost, n_hanging, a);
    if (!answer_keep(o, a))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    kin_answer_rests_on(&o->kin, o->kin.n_group, o->group, a);
    kin_answer_tail(&o->kin, o->kin.n_group, o->group, a);
    return ST_OK;
}
