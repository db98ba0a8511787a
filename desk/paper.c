/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * paper: what is recorded of one animal, on a sheet for a buyer. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/herd.h"
#include "desk/herd_family.h"
#include "desk/kin_inside.h"
#include "desk/notch_words.h"
#include "desk/questions.h"
#include "desk/when.h"

enum { PAPER_NAME, PAPER_AT };
enum { GENERATIONS = 4 };

static const struct param params[] = {
    [PAPER_NAME] = { "NAME", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                     "its name, tag or uid; of this herd or elsewhere" },
    [PAPER_AT] = PARAM_AT_KIN,
};

struct paper {
    const struct asked *q;
    struct kin kin;
    size_t animal;
    struct fact *facts; /* of kin.animals, in the same order */
    struct herd herd;   /* of the same moment */
    struct fact *litters, *treatments;
    size_t n_litters, n_treatments;
};

static enum status read_all(struct paper *p, struct message *why)
{
    const struct asked *q = p->q;
    size_t n = 0;

    enum status st = kin_read(q->farm, q->at_utc_s, q->known_to, q->mem, &p->kin, why);
    const int64_t known_to = p->kin.known_to;
    if (st == ST_OK)
        st = kin_find(&p->kin, "NAME", given_text(q, PAPER_NAME), KIN_ANY, &p->animal, why);
    if (st == ST_OK)
        st = kin_reckon(&p->kin, 0, 1, &p->animal, q->mem, why);
    if (st == ST_OK)
        st = farm_facts(q->farm, fact_kind_find("animal"), known_to, q->mem, &p->facts, &n, why);
    if (st == ST_OK)
        st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &p->herd, why);
    if (st == ST_OK)
        st = farm_facts(q->farm, fact_kind_find("farrowing"), known_to, q->mem, &p->litters, &p->n_litters, why);
    if (st == ST_OK)
        st = farm_facts(q->farm, fact_kind_find("treatment"), known_to, q->mem, &p->treatments, &p->n_treatments, why);
    return st;
}

static bool about(const struct fact *f, const char *field, const char *uid)
{
    const char *of = fact_text(f->kind, f->value, field);
    return of && strcmp(of, uid) == 0;
}

static bool on_day(const struct paper *p, const struct fact *f, const char *field, int64_t day)
{
    const int64_t at = fact_whole(f->kind, f->value, field, INT64_MIN);
    if (at == INT64_MIN)
        return false;
    const struct civil c = when_local(p->kin.zone, at);
    return civil_days(c.year, c.month, c.day) == day;
}

/* The litter it was born in: of its dam, begun or ended on its birthday. NULL: not recorded. */
static const struct fact *litter_of(const struct paper *p)
{
    const struct kin_animal *a = &p->kin.animals[p->animal];

    for (size_t i = 0; a->dam != KIN_NONE && a->born_days != INT64_MIN && i < p->n_litters; i++) {
        const struct fact *f = &p->litters[i];
        if (about(f, "sow", p->kin.animals[a->dam].uid) &&
            (on_day(p, f, "start", a->born_days) || on_day(p, f, "end", a->born_days)))
            return f;
    }
    return NULL;
}

static void answer_count_or(struct answer *a, const char *key, const struct fact *f, const char *field)
{
    const int64_t n = f ? fact_whole(f->kind, f->value, field, -1) : -1;

    if (n < 0)
        answer_null(a, key, "not recorded");
    else
        answer_whole(a, key, n);
}

/* Her own litters, of a sow of this herd. */
static void answer_own_litters(const struct paper *p, struct answer *a)
{
    const struct herd_sow *s = NULL;

    for (size_t i = 0; i < p->herd.n_sows && !s; i++)
        if (strcmp(p->herd.sows[i].uid, p->kin.animals[p->animal].uid) == 0)
            s = &p->herd.sows[i];
    if (s && s->parity >= 0)
        answer_whole(a, "litters", s->parity);
    else
        answer_null(a, "litters", s ? "how many litters she has had is not recorded" : NULL);
    answer_real_or(a, "mean_litter", s ? s->mean_litter : (double)NAN, s ? "no litter was counted" : NULL);
}

static void answer_who(const struct paper *p, struct answer *a)
{
    const struct kin_animal *x = &p->kin.animals[p->animal];
    const struct fact *own = &p->facts[p->animal], *litter = litter_of(p);
    int64_t until = INT64_MIN;

    for (size_t i = 0; i < p->n_treatments; i++) {
        const struct fact *t = &p->treatments[i];
        const int64_t ends = fact_whole(t->kind, t->value, "withdrawal_ends", INT64_MIN);
        if (about(t, "animal", x->uid) && ends > p->kin.today && ends > until)
            until = ends;
    }
    answer_text(a, "name", x->name);
    answer_text(a, "uid", x->uid);
    answer_text(a, "tag", *x->tag ? x->tag : NULL);
    answer_text(a, "is", x->is);
    answer_text(a, "sex", x->male ? "m" : "f");
    answer_day_or(a, "born", x->born_days, "not recorded");
    answer_text(a, "notches", notch_tag_words(p->q->mem, x->tag));
    answer_text(a, "breed", *x->breed ? x->breed : NULL);
    answer_text(a, "breeds_say", kin_breeds_say(&p->kin, x, p->q->mem));
    answer_own_litters(p, a);
    answer_flag(a, "here", x->here);
    answer_text(a, "gone", x->gone);
    answer_count_or(a, "teats", own, "teats");
    answer_count_or(a, "blind_teats", own, "blind_teats");
    answer_count_or(a, "born_alive", litter, "born_alive");
    answer_count_or(a, "born_dead", litter, "still");
    answer_day_or(a, "withdrawal_until", until, NULL);
    answer_text(a, "sure", kin_sure(kin_generations(&p->kin, p->animal)));
}

static void written(const struct paper *p, struct answer *list, const char *what, const struct fact *f)
{
    if (!f)
        return;
    const struct civil c = when_local(p->kin.zone, f->recorded_utc_s);
    struct answer *row = answer_item(list);
    answer_text(row, "what", what);
    answer_day(row, "recorded", civil_days(c.year, c.month, c.day));
    answer_text(row, "who", *f->who ? f->who : NULL);
}

static void answer_written(const struct paper *p, struct answer *a)
{
    const struct kin_animal *x = &p->kin.animals[p->animal];
    struct answer *list = answer_list(a, "written");

    written(p, list, "this animal", &p->facts[p->animal]);
    written(p, list, "its sire", x->sire == KIN_NONE ? NULL : &p->facts[x->sire]);
    written(p, list, "its dam", x->dam == KIN_NONE ? NULL : &p->facts[x->dam]);
    written(p, list, "the litter it was born in", litter_of(p));
}

static bool is_id(const struct paper *p, size_t animal, const char *id)
{
    return animal != KIN_NONE && id && strcmp(p->kin.animals[animal].id, id) == 0;
}

/* What is odd in the pedigree about it and its parents. */
static void answer_odd(const struct paper *p, struct answer *a)
{
    const struct kin_animal *x = &p->kin.animals[p->animal];
    struct answer *list = answer_list(a, "odd");

    for (size_t i = 0; i < p->kin.found.n; i++) {
        const char *id = p->kin.found.list[i].id;
        if (is_id(p, p->animal, id) || is_id(p, x->sire, id) || is_id(p, x->dam, id))
            answer_words(list, p->kin.found.list[i].says);
    }
}

static enum status paper_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct paper *p = ARENA_NEW(q->mem, struct paper, 1);

    if (!p)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    p->q = q;
    enum status st = read_all(p, why);
    if (st != ST_OK)
        return st;
    answer_moment(a, "at", p->kin.at_utc_s);
    answer_whole(a, "known_to", p->kin.known_to);
    answer_day(a, "on", p->kin.today);
    answer_text(a, "says",
                "The breeder's own statement. No breed society's certificate, no paper on health or medicine.");
    answer_who(p, a);
    st = herd_family(&p->kin, p->animal, GENERATIONS, q->mem, a, why);
    answer_written(p, a);
    answer_odd(p, a);
    struct answer *cautions = answer_list(a, "cautions");
    answer_words(cautions, "What is not recorded counts as not kin. Entry is for the breed society to decide.");
    answer_words(cautions, "What may go for meat, and when, is for your vet, the label and local rules.");
    return st;
}

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "on", SHAPE_DAY, false, "the day it speaks of, in the farm's own time" },
    { "says", SHAPE_TEXT, false, "what this sheet is, and is not" },
    { "name", SHAPE_TEXT, false, "" },
    { "uid", SHAPE_TEXT, false, "" },
    { "tag", SHAPE_TEXT, true, "ear tag, notch or tattoo" },
    { "is", SHAPE_TEXT, false, "sow, gilt, boar, barrow" },
    { "sex", SHAPE_TEXT, false, "m or f" },
    { "born", SHAPE_DAY, true, "" },
    { "notches", SHAPE_TEXT, true, "the tag as ear notches, by the universal key; null: a tag of another form" },
    { "breed", SHAPE_TEXT, true, "as recorded" },
    { "breeds_say", SHAPE_TEXT, true, "parts of breeds, reckoned from those of its parents" },
    { "litters", SHAPE_WHOLE, true, "her own; null where not of this herd, no sow or gilt, or not recorded" },
    { "mean_litter", SHAPE_REAL, true, "born alive, over her own litters" },
    { "here", SHAPE_FLAG, false, "of this herd on that day" },
    { "gone", SHAPE_TEXT, true, "elsewhere; died 3 Mar 2025; not here yet" },
    { "teats", SHAPE_WHOLE, true, "good ones" },
    { "blind_teats", SHAPE_WHOLE, true, "" },
    { "born_alive", SHAPE_WHOLE, true, "in the litter it was born in" },
    { "born_dead", SHAPE_WHOLE, true, "in the same litter" },
    { "withdrawal_until", SHAPE_DAY, true, "first day on which meat may be eaten again; null: none is open" },
    { "sure", SHAPE_TEXT, false, "how far its F can be trusted: unknown, little, some, well" },
    { "family", SHAPE_OBJECT, false, "its ancestors, four generations" },
    SHAPE_FAMILY,
    { "written", SHAPE_LIST, false, "who wrote it down, and when" },
    { "written[]", SHAPE_OBJECT, false, "" },
    { "written[].what", SHAPE_TEXT, false, "this animal, its sire, its dam, the litter it was born in" },
    { "written[].recorded", SHAPE_DAY, false, "in the farm's own time" },
    { "written[].who", SHAPE_TEXT, true, "null: not said" },
    { "odd", SHAPE_LIST, false, "what is wrong, odd or missing in the records of it and its parents" },
    { "odd[]", SHAPE_TEXT, false, "" },
    { "cautions", SHAPE_LIST, false, "" },
    { "cautions[]", SHAPE_TEXT, false, "" },
    { "assumed", SHAPE_LIST, true, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
};

const struct question question_paper = {
    "paper", "Paper for a buyer: one animal on a sheet, its ancestors, its inbreeding, who wrote it down",
    params,  COUNT(params),
    shape,   COUNT(shape),
    NULL,    paper_put,
};
