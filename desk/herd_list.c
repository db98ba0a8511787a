/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * herd: one line an animal. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/pedigree/genes.h"
#include "desk/herd.h"
#include "desk/herd_family.h"
#include "desk/kin_inside.h"
#include "desk/when.h"

enum { FAMILY_GENERATIONS = 4 }; /* unless asked otherwise */

struct list { /* what one line is made from */
    const struct asked *q;
    struct herd herd;
    struct kin kin;
    struct kin_society *society;
    size_t n_societies;
    struct fact *group; /* in the order of herd_sow.group */
    size_t n_groups;
    struct fact *run; /* a boar's stays */
    size_t n_runs;
    unsigned *rank; /* by animal; 0: none */
    struct answer *out;
};

/* ---- whom to list ---- */

/* Is `part` somewhere in `text`? Capitals count as small letters. */
static bool has_part(const char *text, const char *part)
{
    const size_t n = strlen(part);

    for (const char *s = text; strlen(s) >= n; s++) {
        size_t i = 0;
        while (i < n) {
            const unsigned char x = (unsigned char)s[i], y = (unsigned char)part[i];
            const unsigned char lx = x >= 'A' && x <= 'Z' ? (unsigned char)(x + 32) : x,
                                ly = y >= 'A' && y <= 'Z' ? (unsigned char)(y + 32) : y;
            if (lx != ly)
                break;
            i++;
        }
        if (i == n)
            return true;
        if (!*s)
            break;
    }
    return false;
}

static bool is_listed(const struct list *l, size_t i)
{
    const struct kin_animal *a = &l->kin.animals[i];
    const char *part = given_text(l->q, HERD_SEARCH);

    if (!a->here && !given_flag(l->q, HERD_ALL))
        return false;
    return !part || has_part(a->name, part) || has_part(a->tag, part) || has_part(a->breed, part);
}

static const struct herd_sow *sow_of(const struct list *l, const char *uid, size_t *index)
{
    for (size_t i = 0; i < l->herd.n_sows; i++)
        if (strcmp(l->herd.sows[i].uid, uid) == 0) {
            *index = i;
            return &l->herd.sows[i];
        }
    return NULL;
}

static const char *group_of(const struct list *l, const struct herd_sow *s)
{
    return s && s->group < l->n_groups ? fact_text(l->group[s->group].kind, l->group[s->group].value, "name") : NULL;
}

static const char *place_of(const struct list *l, const struct herd_sow *s)
{
    return s && s->paddock != HERD_NONE ? l->herd.paddocks[s->paddock].name : NULL;
}

/* The field of a group: where its sows are. NULL: none is known. */
static const char *place_of_group(const struct list *l, const char *group)
{
    for (size_t i = 0; group && i < l->herd.n_sows; i++) {
        const struct herd_sow *s = &l->herd.sows[i];
        const char *hers = group_of(l, s);
        if (hers && strcmp(hers, group) == 0 && s->paddock != HERD_NONE)
            return place_of(l, s);
    }
    return NULL;
}

/* The group a boar runs with now; NULL: none. */
static const char *runs_with(const struct list *l, const char *uid)
{
    const char *name = NULL;

    for (size_t i = 0; i < l->n_runs; i++) {
        const struct fact *f = &l->run[i];
        const char *boar = fact_text(f->kind, f->value, "boar"), *group = fact_text(f->kind, f->value, "group");
        if (strcmp(boar, uid) != 0 || !group || fact_whole(f->kind, f->value, "from", INT64_MAX) > l->herd.at_utc_s ||
            fact_whole(f->kind, f->value, "to", INT64_MAX) <= l->herd.at_utc_s)
            continue;
        for (size_t g = 0; g < l->n_groups; g++)
            if (strcmp(l->group[g].uid, group) == 0)
                name = fact_text(l->group[g].kind, l->group[g].value, "name");
    }
    return name;
}

/* ---- what is next ---- */

static int64_t local_day(const struct list *l, int64_t utc_s)
{
    const struct civil c = when_local(l->herd.zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

enum { WEANING_D = 49 }; /* as in the round: six to eight weeks on pasture */

static enum status next_of(const struct list *l, const struct herd_sow *s, size_t i, const char **says, int64_t *on,
                           struct message *why)
{
    struct breeding_prior prior;
    struct breeding_posterior post;

    *on = INT64_MIN;
    switch (s->state) {
    case HERD_UNKNOWN: *says = "record her services, or a boar's stay"; return ST_OK;
    case HERD_OPEN:
        *says = s->lost_all ? arena_print(l->q->mem, "lost her litter %s; to be served",
                                          kin_day(local_day(l, s->weaned_utc_s), l->q->mem))
                            : "to be served";
        return ST_OK;
    case HERD_SUCKLING:
        *says = "plan the weaning";
        *on = local_day(l, s->farrowed_utc_s) + WEANING_D;
        return ST_OK;
    case HERD_SERVED: break;
    }
    const enum status st = herd_chance(&l->herd, i, BREEDING_SINCE_LAST_LOOK, NULL, l->q->mem, &prior, &post, why);
    if (st != ST_OK)
        return st;
    const int64_t mid = post.known ? breeding_quantile(&post.density, 0.5) : BREEDING_NONE;
    if (mid == BREEDING_NONE) {
        *says = "nothing recorded gives a day";
        return ST_OK;
    }
    if (post.p_pregnant < 0.05 && post.day >= 118.0) {
        *says = "past her day and most likely not in pig: ring the vet";
        return ST_OK;
    }
    *says = post.p_pregnant >= 0.5 ? "to farrow" : "look for heat or have her scanned; if she is in pig, to farrow";
    *on = local_day(l, mid);
    return ST_OK;
}

/* ---- one line ---- */

static void answer_pedigree(const struct kin *kin, const struct kin_animal *a, struct answer *row)
{
    answer_text(row, "id", a->id);
    answer_text(row, "sire", a->sire == KIN_NONE ? NULL : kin->animals[a->sire].id);
    answer_text(row, "dam", a->dam == KIN_NONE ? NULL : kin->animals[a->dam].id);
    answer_text(row, "sex", a->male ? "m" : "f");
    answer_day_or(row, "born", a->born_days, NULL);
    answer_text(row, "breed", *a->breed ? a->breed : NULL);
    answer_text(row, "name", a->name);
    answer_text(row, "tag", *a->tag ? a->tag : NULL);
    answer_text(row, "uid", a->uid);
    answer_text(row, "is", a->is);
    answer_flag(row, "here", a->here);
    answer_text(row, "gone", a->gone);
}

static enum status answer_where(const struct list *l, const struct kin_animal *a, struct answer *row,
                                struct message *why)
{
    size_t i = 0;
    const struct herd_sow *s = sow_of(l, a->uid, &i);
    const char *next = NULL;
    int64_t on = INT64_MIN;
    const enum status st = s ? next_of(l, s, i, &next, &on, why) : ST_OK;

    const char *group = s || !a->here ? group_of(l, s) : runs_with(l, a->uid);
    answer_text(row, "place", s ? place_of(l, s) : place_of_group(l, group)); /* a boar is where his sows are */
    answer_text(row, "group", group);
    answer_text(row, "lies", s && s->nests_at != HERD_NONE ? l->herd.sites[s->nests_at].name : NULL);
    answer_text(row, "state", s ? herd_state_name[s->state] : NULL);
    answer_text(row, "next", next);
    answer_day_or(row, "next_on", on, NULL);
    if (s && s->parity >= 0)
        answer_whole(row, "parity", s->parity);
    else
        answer_null(row, "parity", s ? "how many litters she has had is not recorded" : NULL);
    if (a->born_days == INT64_MIN || !a->here)
        answer_null(row, "age_d", a->here ? "the day of birth is not recorded" : NULL);
    else
        answer_whole(row, "age_d", l->kin.today - a->born_days);
    return st;
}

static void answer_inbreeding(const struct list *l, size_t i, struct answer *row)
{
    const struct kin *kin = &l->kin;
    const struct kin_animal *a = &kin->animals[i];
    const double t = kin_generations(kin, i);
    struct pedigree_known known = { .complete = 0 };

    if (a->at)
        known = pedigree_known_of(&kin->p, a->at);
    answer_real_or(row, "f", kin_f(kin, i), "it stands for nobody in particular, or is an ancestor of itself");
    answer_real_or(row, "generations", t, "it stands for nobody in particular");
    if (a->at) {
        answer_whole(row, "complete", known.complete);
        answer_whole(row, "longest", known.longest);
    } else {
        answer_null(row, "complete", NULL);
        answer_null(row, "longest", NULL);
    }
    struct answer *shares = answer_list(row, "known");
    for (size_t k = 0; a->at && k < COUNT(known.share); k++)
        answer_number_item(shares, known.share[k]);
    answer_text(row, "sure", kin_sure(t));
    answer_text(row, "f_says", kin_f_says(kin, i, l->q->mem));
    answer_real_or(row, "mean_kinship", kin->mk && a->at ? kin->mk[a->at] : (double)NAN, "no breeding animal is here");
    if (l->rank[i])
        answer_whole(row, "rank", l->rank[i]);
    else
        answer_null(row, "rank", NULL);
}

/* ---- breeds ---- */

static void answer_society(const struct list *l, const struct kin_animal *a, const char *breed, double share,
                           struct answer *row)
{
    for (size_t i = 0; i < l->n_societies; i++) {
        if (strcmp(l->society[i].breed, breed) != 0)
            continue;
        const unsigned grade = genes_grade(share);
        answer_text(row, "code", share >= 1.0 ? "pure" : arena_print(row->mem, "F%u", grade));
        answer_text(row, "society", kin_society_says(&l->society[i], a->male, share, row->mem));
        return;
    }
    answer_text(row, "code", NULL);
    answer_text(row, "society", NULL);
}

static void answer_breeds(const struct list *l, const struct kin_animal *a, struct answer *row)
{
    const struct kin *kin = &l->kin;
    struct answer *list = answer_list(row, "breeds");
    size_t which[KIN_BREEDS_MOST + 1];
    const size_t n = kin_breeds_by_share(kin, a, which);

    for (size_t i = 0; i < n; i++) {
        const char *name = kin_breed_name(kin, which[i]);
        const double share = a->parts[which[i]];
        uint32_t over = 0, under = 0;
        struct answer *x = answer_item(list);
        answer_text(x, "breed", name);
        answer_real(x, "share", share);
        answer_text(x, "fraction",
                    genes_fraction(share, &over, &under) ? arena_print(row->mem, "%u/%u", over, under) : NULL);
        answer_society(l, a, name, share, x);
    }
    answer_text(row, "breeds_say", kin_breeds_say(kin, a, row->mem));
}

/* ---- the list ---- */

struct ranked {
    double mk;
    size_t animal;
};

static int by_kinship(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;
    if (x->mk < y->mk || x->mk > y->mk)
        return x->mk < y->mk ? -1 : 1;
    return (x->animal > y->animal) - (x->animal < y->animal);
}

static bool rank_all(struct list *l)
{
    const struct kin *kin = &l->kin;
    struct ranked *order = ARENA_NEW(l->q->mem, struct ranked, kin->n + 1);
    size_t n = 0;

    l->rank = ARENA_NEW(l->q->mem, unsigned, kin->n + 1);
    if (!order || !l->rank)
        return false;
    for (size_t i = 0; i < kin->n && kin->mk; i++)
        if (kin->animals[i].breeds && kin->animals[i].at)
            order[n++] = (struct ranked){ kin->mk[kin->animals[i].at], i };
    qsort(order, n, sizeof *order, by_kinship);
    for (size_t i = 0; i < n; i++) /* equal kinship, equal rank */
        l->rank[order[i].animal] =
            i > 0 && order[i].mk - order[i - 1].mk < 1e-12 ? l->rank[order[i - 1].animal] : (unsigned)i + 1;
    return true;
}

struct named {
    const char *name, *uid;
    size_t animal;
};

static int by_name_of(const void *a, const void *b)
{
    const struct named *x = a, *y = b;
    const int c = strcmp(x->name, y->name);
    return c ? c : strcmp(x->uid, y->uid);
}

static enum status answer_animals(struct list *l, struct message *why)
{
    struct named *order = ARENA_NEW(l->q->mem, struct named, l->kin.n + 1);
    struct answer *list = answer_list(l->out, "animals");
    enum status st = order ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    for (size_t i = 0; st == ST_OK && i < l->kin.n; i++)
        order[i] = (struct named){ l->kin.animals[i].name, l->kin.animals[i].uid, i };
    if (st == ST_OK)
        qsort(order, l->kin.n, sizeof *order, by_name_of);
    for (size_t k = 0; st == ST_OK && k < l->kin.n; k++) {
        const size_t i = order[k].animal;
        if (!is_listed(l, i))
            continue;
        struct answer *row = answer_item(list);
        answer_pedigree(&l->kin, &l->kin.animals[i], row);
        st = answer_where(l, &l->kin.animals[i], row, why);
        answer_inbreeding(l, i, row);
        answer_breeds(l, &l->kin.animals[i], row);
    }
    return st;
}

static bool same_text(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

/* Sows and gilts by field and group, as they stand in the list. */
static void answer_places(struct list *l)
{
    struct answer *list = answer_list(l->out, "places");
    bool *done = ARENA_NEW(l->q->mem, bool, l->herd.n_sows + 1);

    for (size_t i = 0; done && i < l->herd.n_sows; i++) {
        const struct herd_sow *s = &l->herd.sows[i];
        const char *place = place_of(l, s), *group = group_of(l, s);
        int64_t n = 0;
        if (done[i])
            continue;
        struct answer *row = answer_item(list);
        answer_text(row, "place", place);
        answer_text(row, "group", group);
        struct answer *names = NULL;
        for (int pass = 0; pass < 2; pass++) { /* the count stands before the names */
            for (size_t k = i; k < l->herd.n_sows; k++)
                if (same_text(place, place_of(l, &l->herd.sows[k])) &&
                    same_text(group, group_of(l, &l->herd.sows[k]))) {
                    done[k] = true;
                    n += pass == 0;
                    if (names)
                        answer_words(names, l->herd.sows[k].name);
                }
            if (pass == 0) {
                answer_whole(row, "n", n);
                names = answer_list(row, "names");
            }
        }
    }
}

static void answer_says(struct list *l, struct answer *a)
{
    size_t sows = 0, boars = 0, gilts = 0, listed = 0;

    for (size_t i = 0; i < l->kin.n; i++) {
        const struct kin_animal *x = &l->kin.animals[i];
        sows += x->here && strcmp(x->is, "sow") == 0;
        gilts += x->here && strcmp(x->is, "gilt") == 0;
        boars += x->here && strcmp(x->is, "boar") == 0;
        listed += is_listed(l, i);
    }
    answer_whole(a, "listed", (int64_t)listed);
    answer_print(a, "says", "%zu sow%s, %zu gilt%s and %zu boar%s; %zu animal%s known in all.", sows,
                 sows == 1 ? "" : "s", gilts, gilts == 1 ? "" : "s", boars, boars == 1 ? "" : "s", l->kin.n,
                 l->kin.n == 1 ? "" : "s");
}

static enum status answer_all(struct list *l, size_t family, struct answer *a, struct message *why)
{
    const unsigned generations =
        given_is(l->q, HERD_GENERATIONS) ? (unsigned)given_real(l->q, HERD_GENERATIONS) : FAMILY_GENERATIONS;
    size_t *here = ARENA_NEW(l->q->mem, size_t, l->kin.n + 1), n = 0;

    if (!here || !rank_all(l))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < l->kin.n; i++)
        if (l->kin.animals[i].here)
            here[n++] = i;
    answer_moment(a, "at", l->herd.at_utc_s);
    answer_whole(a, "known_to", l->herd.known_to);
    answer_text(a, "search", given_text(l->q, HERD_SEARCH));
    answer_whole(a, "here", (int64_t)n);
    answer_says(l, a);
    answer_places(l);
    enum status st = answer_animals(l, why);
    if (st == ST_OK && family != KIN_NONE)
        st = herd_family(&l->kin, family, generations, l->q->mem, a, why);
    if (st != ST_OK)
        return st;
    kin_answer_rests_on(&l->kin, n, here, a);
    kin_answer_tail(&l->kin, n, here, a);
    return ST_OK;
}

enum status herd_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct list *l = ARENA_NEW(q->mem, struct list, 1);
    size_t family = KIN_NONE;

    if (!l)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    l->q = q;
    l->out = a;
    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &l->herd, why);
    if (st == ST_OK)
        st = kin_read(q->farm, q->at_utc_s, l->herd.known_to, q->mem, &l->kin, why);
    if (st == ST_OK && given_text(q, HERD_FAMILY))
        st = kin_find(&l->kin, "family", given_text(q, HERD_FAMILY), KIN_ANY, &family, why);
    if (st == ST_OK)
        st = kin_reckon(&l->kin, given_is(q, HERD_DEPTH) ? (unsigned)given_real(q, HERD_DEPTH) : 0,
                        family == KIN_NONE ? 0 : 1, &family, q->mem, why);
    if (st == ST_OK)
        st = kin_societies(q->farm, l->herd.known_to, q->mem, &l->society, &l->n_societies, why);
    if (st == ST_OK)
        st = farm_facts(q->farm, fact_kind_find("group"), l->herd.known_to, q->mem, &l->group, &l->n_groups, why);
    if (st == ST_OK)
        st = farm_facts(q->farm, fact_kind_find("boar_run"), l->herd.known_to, q->mem, &l->run, &l->n_runs, why);
    return st == ST_OK ? answer_all(l, family, a, why) : st;
}
