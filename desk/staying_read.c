/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * keep: who is in the list, and what is recorded of her beside her litters. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/units.h"
#include "desk/herd_inside.h"
#include "desk/in_100.h"
#include "desk/staying_inside.h"
#include "desk/when.h"

int64_t staying_day(const struct staying *s, int64_t utc_s)
{
    const struct civil c = when_local(s->herd.zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

/* ---- weights ---- */

static enum status weigh_one(struct staying *s, const char *text, size_t n, struct message *why)
{
    char *word = arena_bytes(s->q->mem, text, n);
    char *equals = word ? strchr(word, '=') : NULL;
    double x = 0.0;
    int r = 0;

    if (!word)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (equals)
        *equals = '\0';
    while (r < STAYING_END && strcmp(word, staying_name[r]) != 0)
        r++;
    if (!equals || r == STAYING_END)
        return refuse(
            ST_BAD_INPUT, why, "weigh",
            "--weigh: \"%.40s\": write line=2; of line, inbred, left, teats, legs, temper, age, born, weaned, "
            "back, returns, trouble",
            word);
    if (!read_real(equals + 1, &x) || !(x >= 0.0 && x <= STAYING_WEIGHT_MOST))
        return refuse(ST_BAD_INPUT, why, "weigh", "--weigh: %s: \"%.20s\" is no weight; give 0 to %d", word, equals + 1,
                      STAYING_WEIGHT_MOST);
    s->weight[r] = x;
    return ST_OK;
}

/* "line=2,teats=1", once or several times; the last counts. */
static enum status weights(struct staying *s, struct message *why)
{
    const struct given *g = &s->q->given[KEEP_WEIGH];
    enum status st = ST_OK;

    memcpy(s->weight, staying_weights_usual, sizeof s->weight);
    for (size_t i = 0; i < g->n && st == ST_OK; i++)
        for (const char *t = g->text[i]; st == ST_OK;) {
            const size_t n = strcspn(t, ",");
            st = weigh_one(s, t, n, why);
            if (!t[n])
                break;
            t += n + 1;
        }
    return st;
}

/* ---- her line ---- */

/* Her mother's mother's mother, as far back as is written down. A name that stands for nobody is no mother. */
static size_t root_of(const struct kin *kin, size_t animal)
{
    size_t at = animal;

    if (at == KIN_NONE || kin->animals[at].at == 0)
        return KIN_NONE;
    for (size_t steps = 0; steps < kin->n; steps++) {
        const size_t dam = kin->animals[at].dam;
        if (dam == KIN_NONE || kin->animals[dam].at == 0)
            return at == animal ? KIN_NONE : at;
        at = dam;
    }
    return KIN_NONE; /* a loop */
}

static void lines(struct staying *s)
{
    for (size_t i = 0; i < s->n; i++)
        s->female[i].root = root_of(&s->kin, s->female[i].kin);
    for (size_t i = 0; i < s->n; i++) /* one whose own mother is not known, with daughters here, is the first of hers */
        for (size_t k = 0; k < s->n; k++)
            if (s->female[i].root == KIN_NONE && s->female[k].root != KIN_NONE && s->female[k].root == s->female[i].kin)
                s->female[i].root = s->female[i].kin;
    for (size_t i = 0; i < s->n; i++) {
        struct staying_female *f = &s->female[i];
        size_t count = 0;
        for (size_t k = 0; k < s->n && f->root != KIN_NONE; k++) {
            if (s->female[k].root != f->root)
                continue;
            count++;
            if (k != i && f->n_left < COUNT(f->left))
                f->left[f->n_left++] = s->female[k].kin;
        }
        f->is.seen[STAYING_LEFT] = count ? (double)count : (double)NAN;
    }
}

static void genes(struct staying *s, struct staying_female *f)
{
    if (f->kin == KIN_NONE)
        return;
    const uint32_t at = s->kin.animals[f->kin].at;
    const double generations = kin_generations(&s->kin, f->kin);

    f->is.generations = generations >= 0.5 ? generations : (double)NAN; /* "unknown" of kin_sure() */
    if (isnan(f->is.generations))
        return;
    f->is.seen[STAYING_LINE] = s->kin.mk && at ? s->kin.mk[at] : (double)NAN;
    f->is.seen[STAYING_INBRED] = kin_f(&s->kin, f->kin);
}

/* ---- herself ---- */

static int temper_of(const char *word)
{
    static const char *const words[] = { "calm", "steady", "wary", "fierce" };

    for (int k = 0; word && k < (int)COUNT(words); k++)
        if (strcmp(word, words[k]) == 0)
            return k;
    return -1;
}

static struct staying_female *female_of(struct staying *s, const char *uid)
{
    for (size_t i = 0; uid && i < s->n; i++)
        if (strcmp(s->female[i].sow->uid, uid) == 0)
            return &s->female[i];
    return NULL;
}

static void from_animal(struct staying *s, const struct fact *f)
{
    struct staying_female *w = female_of(s, f->uid);
    const int temper = w ? temper_of(row_text(f, "temper")) : -1;

    if (!w)
        return;
    w->teats = (int)fact_whole(f->kind, f->value, "teats", -1);
    w->blind = (int)fact_whole(f->kind, f->value, "blind_teats", -1);
    if (w->teats >= 0)
        w->is.seen[STAYING_TEATS] = w->teats;
    if (temper >= 0)
        w->is.seen[STAYING_TEMPER] = temper;
}

/* The worse of how she was recorded and how she was when she last farrowed: who is fierce once puts a person at risk. */
static void from_farrowing(struct staying *s, const struct fact *f, int64_t newest[])
{
    struct staying_female *w = female_of(s, row_text(f, "sow"));
    const int64_t at = row_when(f, "start");

    if (!w || temper_of(row_text(f, "temper")) < 0 || at > s->herd.at_utc_s || at < newest[w - s->female])
        return;
    newest[w - s->female] = at;
    w->temper_on = temper_of(row_text(f, "temper")); /* until worse_temper() */
}

static void worse_temper(struct staying *s, const int64_t newest[])
{
    for (size_t i = 0; i < s->n; i++) {
        struct staying_female *w = &s->female[i];
        const double then = (double)w->temper_on, is = w->is.seen[STAYING_TEMPER];
        if (newest[i] == INT64_MIN)
            continue;
        const bool counts = isnan(is) || then > is;
        if (counts)
            w->is.seen[STAYING_TEMPER] = then;
        w->temper_on = counts ? staying_day(s, newest[i]) : INT64_MIN;
    }
}

static void from_weighing(struct staying *s, const struct fact *f)
{
    struct staying_female *w = female_of(s, row_text(f, "animal"));
    const int64_t on = row_when(f, "on");

    if (!w || isnan(row_real(f, "legs")) || on > s->kin.today || on < w->legs_on)
        return;
    w->legs_on = on;
    w->is.seen[STAYING_LEGS] = row_real(f, "legs");
}

static void from_note(struct staying *s, const struct fact *f)
{
    struct staying_female *w = female_of(s, row_text(f, "animal"));
    const int64_t at = row_when(f, "at");

    if (!w || at > s->herd.at_utc_s)
        return;
    memmove(w->notes + 1, w->notes, (STAYING_NOTES - 1) * sizeof w->notes[0]);
    w->notes[0] = arena_print(s->q->mem, "noted %s: %s", kin_day(staying_day(s, at), s->q->mem), row_text(f, "text"));
    w->n_notes++;
}

static int by_at(const void *a, const void *b)
{
    const struct fact *x = a, *y = b;
    const int64_t tx = row_when(x, "at"), ty = row_when(y, "at");
    if (tx != ty)
        return tx < ty ? -1 : 1;
    return (x->number > y->number) - (x->number < y->number);
}

static enum status facts(struct staying *s, const char *kind, struct fact **all, size_t *n, struct message *why)
{
    return farm_facts(s->q->farm, fact_kind_find(kind), s->herd.known_to, s->q->mem, all, n, why);
}

static enum status herself(struct staying *s, struct message *why)
{
    struct fact *animal = NULL, *farrowing = NULL, *weighing = NULL, *note = NULL;
    size_t n_animal = 0, n_farrowing = 0, n_weighing = 0, n_note = 0;
    int64_t *newest = ARENA_NEW(s->q->mem, int64_t, s->n + 1);
    enum status st = facts(s, "animal", &animal, &n_animal, why);

    if (st == ST_OK)
        st = facts(s, "farrowing", &farrowing, &n_farrowing, why);
    if (st == ST_OK)
        st = facts(s, "weighing", &weighing, &n_weighing, why);
    if (st == ST_OK)
        st = facts(s, "note", &note, &n_note, why);
    if (st != ST_OK || !newest)
        return st != ST_OK ? st : refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < s->n; i++)
        newest[i] = INT64_MIN;
    for (size_t i = 0; i < n_animal; i++)
        from_animal(s, &animal[i]);
    for (size_t i = 0; i < n_farrowing; i++)
        from_farrowing(s, &farrowing[i], newest);
    worse_temper(s, newest);
    for (size_t i = 0; i < n_weighing; i++)
        from_weighing(s, &weighing[i]);
    qsort(note, n_note, sizeof *note, by_at);
    for (size_t i = 0; i < n_note; i++)
        from_note(s, &note[i]);
    return ST_OK;
}

/* ---- may she go at all now ---- */

static const double perhaps = 0.05; /* chance of being in pig from which it has to be found out first (judgement) */

static enum status in_pig(struct staying *s, struct staying_female *f, int64_t *birth, double *chance,
                          struct message *why)
{
    struct breeding_prior prior;
    struct breeding_posterior post;
    const enum status st = herd_chance(&s->herd, f->at, BREEDING_SINCE_LAST_LOOK, NULL, s->q->mem, &prior, &post, why);
    const int64_t mid = st == ST_OK && post.known ? breeding_quantile(&post.density, 0.5) : BREEDING_NONE;

    *chance = st == ST_OK && post.known ? post.p_pregnant : (double)NAN;
    *birth = mid == BREEDING_NONE ? INT64_MIN : staying_day(s, mid);
    return st;
}

static void until_weaned(struct staying *s, struct staying_female *f, int64_t birth, const char *is)
{
    const int64_t weaned = birth + llround(s->weaning_d);

    f->held = STAYING_LITTER;
    f->not_before = weaned > s->kin.today ? weaned : s->kin.today;
    f->held_says =
        weaned > s->kin.today
            ? arena_print(s->q->mem, "%s: not before her litter is weaned, about %s", is, kin_day(weaned, s->q->mem))
            : arena_print(s->q->mem, "%s: not before her litter is weaned, and it is of an age for that", is);
}

static enum status held(struct staying *s, struct staying_female *f, struct message *why)
{
    int64_t birth = INT64_MIN;
    double chance = NAN;
    enum status st = ST_OK;

    f->not_before = INT64_MIN;
    switch (f->sow->state) {
    case HERD_OPEN: return ST_OK;
    case HERD_SUCKLING: until_weaned(s, f, staying_day(s, f->sow->farrowed_utc_s), "suckling"); return ST_OK;
    case HERD_UNKNOWN: break;
    case HERD_SERVED: st = in_pig(s, f, &birth, &chance, why); break;
    }
    if (st != ST_OK || chance < perhaps)
        return st;
    if (chance >= 0.5 && birth != INT64_MIN) {
        until_weaned(s, f, birth > s->kin.today ? birth : s->kin.today, "in pig");
        return ST_OK;
    }
    f->held = STAYING_FIND_OUT;
    f->held_says = isnan(chance)
                       ? "nothing recorded says whether she is in pig: find out first"
                       : arena_print(s->q->mem, "perhaps in pig (%s): find out first", in_100_words(chance, s->q->mem));
    return ST_OK;
}

/* ---- all of it ---- */

static size_t in_kin(const struct kin *kin, const char *uid)
{
    for (size_t i = 0; i < kin->n; i++)
        if (strcmp(kin->animals[i].uid, uid) == 0)
            return i;
    return KIN_NONE;
}

enum status staying_read(struct staying *s, struct message *why)
{
    const struct asked *q = s->q;
    enum status st = weights(s, why);

    if (st == ST_OK)
        st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &s->herd, why);
    if (st == ST_OK)
        st = kin_read(q->farm, q->at_utc_s, s->herd.known_to, q->mem, &s->kin, why);
    if (st == ST_OK)
        st = kin_reckon(&s->kin, 0, 0, NULL, q->mem, why);
    if (st != ST_OK)
        return st;
    s->n = s->herd.n_sows;
    s->weaning_d = given_real(q, KEEP_WEANING);
    s->places = given_is(q, KEEP_PLACES) ? (size_t)given_real(q, KEEP_PLACES) : 0;
    s->female = ARENA_NEW(q->mem, struct staying_female, s->n + 1);
    if (!s->female)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < s->n && st == ST_OK; i++) {
        const struct herd_sow *sow = &s->herd.sows[i];
        struct staying_female *f = &s->female[i];
        *f = (struct staying_female){ .sow = sow,
                                      .at = i,
                                      .kin = in_kin(&s->kin, sow->uid),
                                      .mean_before = NAN,
                                      .teats = -1,
                                      .blind = -1,
                                      .root = KIN_NONE,
                                      .legs_on = INT64_MIN,
                                      .temper_on = INT64_MIN };
        for (int r = 0; r < STAYING_END; r++)
            f->is.seen[r] = NAN;
        f->is.generations = NAN;
        genes(s, f);
        if (sow->parity >= 0)
            f->is.seen[STAYING_AGE] = sow->parity;
        st = held(s, f, why);
    }
    if (st != ST_OK)
        return st;
    lines(s);
    st = herself(s, why);
    return st == ST_OK ? staying_past(s, why) : st;
}
