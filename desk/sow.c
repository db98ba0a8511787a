/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sow NAME: everything that is known of one animal, and what each look did to her chance. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/coming.h"
#include "desk/herd.h"
#include "desk/questions.h"
#include "desk/sow_past.h"
#include "desk/when.h"
#include "desk/window.h"

enum { NAME, AT };
static const struct param params[] = {
    [NAME] = { "NAME", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED, "her name, tag or uid" },
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
};

enum { MOST_LOOKS = 40 }; /* the newest; each is reckoned anew */

/* ---- who and where ---- */

static void answer_who(const struct herd *h, const struct herd_sow *s, struct answer *a)
{
    const struct civil now = when_local(h->zone, h->at_utc_s);
    const int64_t today = civil_days(now.year, now.month, now.day);

    answer_text(a, "name", s->name);
    answer_text(a, "uid", s->uid);
    answer_text(a, "tag", *s->tag ? s->tag : NULL);
    answer_text(a, "breed", *s->breed ? s->breed : NULL);
    answer_flag(a, "gilt", s->gilt);
    if (s->parity < 0)
        answer_null(a, "parity", "how many litters she has had is not recorded");
    else
        answer_whole(a, "parity", s->parity);
    if (s->born_days == INT64_MIN) {
        answer_null(a, "born", NULL);
        answer_null(a, "age_d", "her day of birth is not recorded");
    } else {
        answer_day(a, "born", s->born_days);
        answer_whole(a, "age_d", today - s->born_days);
    }
    answer_real_or(a, "mass_kg", s->mass_kg, "she was not weighed");
    answer_real_or(a, "condition", s->condition, "her condition is not recorded");
    answer_text(a, "temper", *s->temper ? s->temper : NULL);
    answer_real_or(a, "mean_litter", s->mean_litter, "no litter was counted");
    answer_text(a, "state", herd_state_name[s->state]);
    if (s->lost_all)
        answer_moment(a, "lost_all_at", s->weaned_utc_s);
    else
        answer_null(a, "lost_all_at", NULL);
}

static enum status group_name(struct farm *farm, const struct herd *h, const struct herd_sow *s, struct arena *mem,
                              const char **name, struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("group");
    struct fact *groups = NULL;
    size_t n = 0;

    *name = NULL;
    if (s->group == HERD_NONE)
        return ST_OK;
    const enum status st = farm_facts(farm, kind, h->known_to, mem, &groups, &n, why);
    if (st == ST_OK && s->group < n)
        *name = fact_text(kind, groups[s->group].value, "name");
    return st;
}

static enum status answer_where(const struct asked *q, const struct herd *h, size_t i, struct answer *a,
                                struct message *why)
{
    const struct herd_sow *s = &h->sows[i];
    const char *group = NULL;
    const enum status st = group_name(q->farm, h, s, q->mem, &group, why);

    answer_text(a, "paddock", s->paddock == HERD_NONE ? NULL : h->paddocks[s->paddock].name);
    answer_text(a, "group", group);
    answer_text(a, "lies", s->nests_at == HERD_NONE ? NULL : h->sites[s->nests_at].name);
    answer_flag(a, "penned", s->penned);
    answer_moment_or(a, "nesting_since", s->nesting_utc_s, NULL);
    answer_real(a, "p_use", herd_p_use(h, i));
    answer_whole(a, "nested_times", (int64_t)s->n_nested);
    answer_whole(a, "nested_in_what_was_put_out", (int64_t)s->n_nested_used);
    return st;
}

/* ---- this turn ---- */

static void answer_boars(const struct herd *h, const struct breeding_prior *prior,
                         const struct breeding_posterior *post, struct answer *turn)
{
    double p[BREEDING_BOARS + 1];
    struct answer *list = answer_list(turn, "boars");

    (void)breeding_boar_now(prior, post, p);
    for (size_t i = 0; i <= BREEDING_BOARS; i++)
        if (p[i] > 0.01) { /* false for NAN */
            struct answer *row = answer_item(list);
            answer_text(row, "name", i == BREEDING_BOARS || i >= h->n_boars ? "not recorded" : h->boars[i].name);
            answer_real(row, "probability", p[i]);
        }
}

static void answer_turn(const struct herd *h, size_t i, const struct coming *c, const struct breeding_prior *prior,
                        const struct breeding_posterior *p, struct arena *mem, struct answer *a)
{
    static const struct {
        const char *key;
        double hours;
    } within[] = {
        { "p_within_6h", 6.0 },
        { "p_within_12h", 12.0 },
        { "p_within_24h", 24.0 },
        { "p_within_48h", 48.0 },
    };
    const struct herd_sow *s = &h->sows[i];
    struct answer *turn = answer_object(a, "turn");
    const char *nothing = "nothing is recorded that says";

    answer_text(turn, "known", herd_known_words(h, i, mem));
    answer_real_or(turn, "days_since_last_chance", p->day, nothing);
    answer_real_or(turn, "p_pregnant", p->known ? p->p_pregnant : (double)NAN, nothing);
    answer_real_or(turn, "p_not_pregnant", breeding_not_pregnant(p), nothing);
    answer_real_or(turn, "p_farrowed_unseen", p->known ? p->already : (double)NAN, nothing);
    for (size_t k = 0; k < COUNT(within); k++)
        answer_real_or(turn, within[k].key, p->known ? breeding_within(p, within[k].hours) : (double)NAN, nothing);
    window_answer(p, turn);
    answer_text(turn, "watch", breeding_watch_words[herd_watch(p, coming_frost_within(c, 12))]);
    answer_moment_or(turn, "last_look", s->last_look_utc_s, "no look is recorded");
    answer_real_or(turn, "gestation_d", prior->gestation_d, nothing);
    answer_real_or(turn, "gestation_sd_d", prior->gestation_sd_d, nothing);
    answer_whole(turn, "own_lengths_known", (int64_t)s->evidence.n_past);
    answer_boars(h, prior, p, turn);
    struct answer *beware = answer_list(turn, "beware");
    for (unsigned bit = 0; bit < BC_END; bit++)
        if (p->notes.cautions & (1u << bit))
            answer_words(beware, breeding_caution_words[bit]);
}

/* ---- what each look did ---- */

static int by_moment(const void *a, const void *b)
{
    const struct breeding_look *x = a, *y = b;
    if (x->at_utc_s != y->at_utc_s)
        return x->at_utc_s < y->at_utc_s ? -1 : 1;
    return (x->sign > y->sign) - (x->sign < y->sign);
}

/* The chance of a birth within 12 h of a look, with the first n looks told: she is seen not to have farrowed. */
static enum status p12_with(const struct herd *h, size_t i, const struct breeding_look looks[], size_t n,
                            int64_t at_utc_s, const struct coming *c, double *p12, struct message *why)
{
    struct herd_sow one = h->sows[i];
    struct herd then = *h;
    struct breeding_prior prior;
    struct breeding_posterior post;
    struct arena scratch;

    one.evidence.looks = looks;
    one.evidence.n_looks = n;
    one.evidence.not_farrowed_by_utc_s = at_utc_s;
    then.sows = &one;
    then.n_sows = 1;
    then.at_utc_s = at_utc_s;
    arena_open(&scratch, 16u << 20);
    const enum status st = herd_chance(&then, 0, BREEDING_SEEN_NOW, c, &scratch, &prior, &post, why);
    if (st == ST_OK)
        *p12 = post.known ? breeding_within(&post, 12.0) : (double)NAN;
    arena_close(&scratch);
    return st;
}

static enum status answer_looks(const struct asked *q, const struct herd *h, size_t i, const struct coming *c,
                                struct answer *a, struct answer *list, struct message *why)
{
    const struct breeding_evidence *e = &h->sows[i].evidence;
    struct breeding_look *looks = ARENA_NEW(q->mem, struct breeding_look, e->n_looks + 1);
    const size_t first = e->n_looks > MOST_LOOKS ? e->n_looks - MOST_LOOKS : 0;
    enum status st = looks ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    answer_whole(a, "looks_left_out", (int64_t)first);
    if (st != ST_OK || e->n_looks == 0)
        return st;
    memcpy(looks, e->looks, e->n_looks * sizeof *looks);
    qsort(looks, e->n_looks, sizeof *looks, by_moment);
    for (size_t k = first; k < e->n_looks && st == ST_OK; k++) {
        double before = NAN, after = NAN;
        st = p12_with(h, i, looks, k, looks[k].at_utc_s, c, &before, why);
        if (st == ST_OK)
            st = p12_with(h, i, looks, k + 1, looks[k].at_utc_s, c, &after, why);
        if (st != ST_OK)
            return st;
        struct answer *row = answer_item(list);
        answer_moment(row, "at", looks[k].at_utc_s);
        answer_text(row, "sign", breeding_sign_name[looks[k].sign]);
        answer_text(row, "words", breeding_sign_words[looks[k].sign]);
        answer_flag(row, "seen", looks[k].present);
        answer_real_or(row, "p_within_12h_before", before, "nothing is recorded that gives a day");
        answer_real_or(row, "p_within_12h_after", after, "nothing is recorded that gives a day");
    }
    return ST_OK;
}

/* ---- the answer ---- */

static void answer_record(const struct herd *h, const struct herd_sow *s, const struct breeding_posterior *p,
                          struct answer *a)
{
    struct answer *list = answer_list(a, "record");

    for (size_t i = 0; i < h->n_missing; i++)
        if (strstr(h->missing[i], s->name))
            answer_words(list, h->missing[i]);
    if (p && p->known && breeding_within(p, 48.0) >= 0.05)
        answer_words(list, arena_print(a->mem,
                                       "What you see of her at each look, the absent signs too: leenest record look "
                                       "--sow %s --absent nest,milk-streams",
                                       s->name));
    if (p && p->known && s->evidence.n_scans == 0 && p->day >= 24.0 && p->day < 90.0)
        answer_words(list, "A scan: from day 24 on it is nearly sure.");
    if (s->parity < 0)
        answer_words(list, "How many litters she has had.");
    if (isnan(s->condition))
        answer_words(
            list,
            arena_print(a->mem,
                        "Her condition, 1 thin to 5 fat: leenest record weighing --animal %s --condition 3 --how eye",
                        s->name));
    if (!*s->temper)
        answer_words(list, "How she is with people, so that a helper knows.");
    if (s->n_nested == 0 && !s->gilt)
        answer_words(list, "Where she nests this time, and whether she uses what is put out.");
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct herd h;
    struct coming coming;
    const struct coming *c = NULL;
    struct breeding_prior prior;
    struct breeding_posterior post;
    struct message no_weather = { "", "" };
    size_t i = 0;
    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &h, why);

    if (st == ST_OK)
        st = herd_find(&h, given_text(q, NAME), &i, why);
    if (st != ST_OK)
        return st;
    const struct herd_sow *s = &h.sows[i];
    const bool served = s->state == HERD_SERVED;
    /* weather makes nesting doubtful before a front; where there is none, nothing is made of it */
    if (served) {
        st = coming_read(q->farm, &h.place, h.zone, q->at_utc_s, h.known_to, 96, 36, q->mem, &coming, &no_weather);
        arena_heed(q->mem, st);
        c = st == ST_OK ? &coming : NULL;
    }
    answer_moment(a, "at", h.at_utc_s);
    answer_whole(a, "known_to", h.known_to);
    answer_who(&h, s, a);
    st = answer_where(q, &h, i, a, why);
    if (st == ST_OK && served)
        st = herd_chance(&h, i, BREEDING_SINCE_LAST_LOOK, c, q->mem, &prior, &post, why);
    if (st == ST_OK && served)
        answer_turn(&h, i, c, &prior, &post, q->mem, a);
    struct answer *looks = answer_list(a, "looks"); /* of a sow that may be in pig; else there is none */
    if (st == ST_OK && served)
        st = answer_looks(q, &h, i, c, a, looks, why);
    if (st == ST_OK)
        st = sow_past(q->farm, &h, i, q->mem, a, why);
    if (st != ST_OK)
        return st;
    struct answer *odd = answer_list(a, "odd");
    for (size_t k = 0; k < s->n_flags; k++)
        answer_words(odd, s->flags[k]);
    answer_record(&h, s, served ? &post : NULL, a);
    struct answer *cautions = answer_list(a, "cautions");
    answer_words(cautions, "A sow with a litter or a nest may turn on anyone: keep a board and a way out.");
    answer_words(
        cautions,
        "Medicines and withdrawal are for your vet and the label; what stands here is only what was recorded.");
    return ST_OK;
}

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "name", SHAPE_TEXT, false, "" },
    { "uid", SHAPE_TEXT, false, "" },
    { "tag", SHAPE_TEXT, true, "" },
    { "breed", SHAPE_TEXT, true, "" },
    { "gilt", SHAPE_FLAG, false, "has not farrowed" },
    { "parity", SHAPE_WHOLE, true, "litters so far" },
    { "born", SHAPE_DAY, true, "" },
    { "age_d", SHAPE_WHOLE, true, "" },
    { "mass_kg", SHAPE_REAL, true, "newest" },
    { "condition", SHAPE_REAL, true, "1 thin .. 5 fat, newest" },
    { "temper", SHAPE_TEXT, true, "" },
    { "mean_litter", SHAPE_REAL, true, "born alive, over her own litters" },
    { "state", SHAPE_TEXT, false, "" },
    { "lost_all_at", SHAPE_MOMENT, true, "when the last of her newest litter was lost" },
    { "paddock", SHAPE_TEXT, true, "" },
    { "group", SHAPE_TEXT, true, "" },
    { "lies", SHAPE_TEXT, true, "where she nests, lies with her litter or is penned" },
    { "penned", SHAPE_FLAG, false, "" },
    { "nesting_since", SHAPE_MOMENT, true, "" },
    { "p_use", SHAPE_REAL, false, "chance that she uses what is put out" },
    { "nested_times", SHAPE_WHOLE, false, "" },
    { "nested_in_what_was_put_out", SHAPE_WHOLE, false, "" },
    { "turn", SHAPE_OBJECT, true, "of a sow that may be in pig" },
    { "turn.known", SHAPE_TEXT, false, "what is recorded of it" },
    { "turn.days_since_last_chance", SHAPE_REAL, true, "days since she can last have conceived" },
    { "turn.p_pregnant", SHAPE_REAL, true, "" },
    { "turn.p_not_pregnant", SHAPE_REAL, true, "neither pregnant nor farrowed" },
    { "turn.p_farrowed_unseen", SHAPE_REAL, true, "since the last look" },
    { "turn.p_within_6h", SHAPE_REAL, true, "" },
    { "turn.p_within_12h", SHAPE_REAL, true, "" },
    { "turn.p_within_24h", SHAPE_REAL, true, "" },
    { "turn.p_within_48h", SHAPE_REAL, true, "" },
    { "turn.window", SHAPE_OBJECT, false, "nine in ten births lie in it, given that she is pregnant" },
    { "turn.window.from", SHAPE_MOMENT, true, "" },
    { "turn.window.likeliest", SHAPE_MOMENT, true, "as many before as after" },
    { "turn.window.to", SHAPE_MOMENT, true, "" },
    { "turn.watch", SHAPE_TEXT, false, "how often to look" },
    { "turn.last_look", SHAPE_MOMENT, true, "" },
    { "turn.gestation_d", SHAPE_REAL, true, "mean length reckoned with" },
    { "turn.gestation_sd_d", SHAPE_REAL, true, "" },
    { "turn.own_lengths_known", SHAPE_WHOLE, false, "" },
    { "turn.boars", SHAPE_LIST, false, "" },
    { "turn.boars[]", SHAPE_OBJECT, false, "" },
    { "turn.boars[].name", SHAPE_TEXT, false, "" },
    { "turn.boars[].probability", SHAPE_REAL, false, "" },
    { "turn.beware", SHAPE_LIST, false, "" },
    { "turn.beware[]", SHAPE_TEXT, false, "" },
    { "looks", SHAPE_LIST, false, "signs looked for in this turn, oldest first" },
    { "looks[]", SHAPE_OBJECT, false, "" },
    { "looks[].at", SHAPE_MOMENT, false, "" },
    { "looks[].sign", SHAPE_TEXT, false, "" },
    { "looks[].words", SHAPE_TEXT, false, "" },
    { "looks[].seen", SHAPE_FLAG, false, "false: looked for and not there" },
    { "looks[].p_within_12h_before", SHAPE_REAL, true,
      "chance of a birth within 12 h of this look, before its sign is told" },
    { "looks[].p_within_12h_after", SHAPE_REAL, true, "and after" },
    { "looks_left_out", SHAPE_WHOLE, true, "older ones that are not listed" },
    SHAPE_SOW_PAST,
    { "odd", SHAPE_LIST, false, "odd records about her that nobody has settled" },
    { "odd[]", SHAPE_TEXT, false, "" },
    { "record", SHAPE_LIST, false, "what to record to make it surer" },
    { "record[]", SHAPE_TEXT, false, "" },
    { "cautions", SHAPE_LIST, false, "" },
    { "cautions[]", SHAPE_TEXT, false, "" },
    { "assumed", SHAPE_LIST, true, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
};

const struct question question_sow = {
    "sow",   "Everything that is known of one sow or gilt, and what each look did to her chance",
    params,  COUNT(params),
    shape,   COUNT(shape),
    "looks", put,
};
