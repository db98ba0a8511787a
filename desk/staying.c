/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * keep: the females of the herd in order of what speaks for them, with reasons; who stays when so many have a place. The
 * person decides. */
#include <math.h>
#include <string.h>

#include "core/pedigree/genes.h"
#include "desk/in_100.h"
#include "desk/staying_inside.h"

static const double close_p = 0.75; /* under that chance of being the better one, two are close (judgement) */

/* ---- in order ---- */

static int best_first(const void *a, const void *b)
{
    const struct staying_female *x = a, *y = b;
    if (x->score.rank != y->score.rank)
        return x->score.rank < y->score.rank ? -1 : 1;
    const int name = strcmp(x->sow->name, y->sow->name);
    return name ? name : strcmp(x->sow->uid, y->sow->uid);
}

static enum status score(struct staying *s, struct message *why)
{
    struct staying_animal *animals = ARENA_NEW(s->q->mem, struct staying_animal, s->n + 1);
    struct staying_score *scores = ARENA_NEW(s->q->mem, struct staying_score, s->n + 1);
    double record[STAYING_END];

    if (!animals || !scores)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < s->n; i++)
        animals[i] = s->female[i].is;
    for (int r = 0; r < STAYING_END; r++)
        record[r] = s->of[r].mean;
    const enum status st = staying_scores(s->n, animals, s->weight, record, scores, why);
    for (size_t i = 0; st == ST_OK && i < s->n; i++)
        s->female[i].score = scores[i];
    if (st != ST_OK)
        return st;
    if (s->n > 1)
        qsort(s->female, s->n, sizeof *s->female, best_first);
    for (size_t i = 0; i < s->n; i++)
        s->female[i].place = i;
    return ST_OK;
}

/* Means of what was seen, plain, for the sentences. */
static void means(struct staying *s)
{
    for (int r = 0; r < STAYING_FIRST_RECORD; r++) {
        double sum = 0.0;
        size_t n = 0;
        for (size_t i = 0; i < s->n; i++)
            if (!isnan(s->female[i].is.seen[r])) {
                sum += s->female[i].is.seen[r];
                n++;
            }
        s->of[r] = (struct staying_mean){ n ? sum / (double)n : (double)NAN, n };
    }
}

/* ---- who stays ---- */

static bool stays(const struct staying *s, const struct staying_female *f)
{
    return s->places == 0 || f->place < s->places;
}

static const char *decision(const struct staying *s, const struct staying_female *f)
{
    if (s->places == 0)
        return NULL;
    return stays(s, f)                   ? "stays"
           : f->held == STAYING_FREE     ? "goes"
           : f->held == STAYING_FIND_OUT ? "find out first"
                                         : "goes later";
}

/* Hardly told apart from the one on the other side of the line. */
static const char *close_says(const struct staying *s, const struct staying_female *f)
{
    if (s->places == 0 || s->places >= s->n)
        return NULL;
    const struct staying_female *other = &s->female[stays(s, f) ? s->places : s->places - 1];
    const double p = stays(s, f) ? staying_better(&f->score, &other->score) : staying_better(&other->score, &f->score);
    if (!(p < close_p))
        return NULL;
    return stays(s, f)
               ? arena_print(s->q->mem, "close: better than %s with %s, by what is known", other->sow->name,
                             in_100_words(p, s->q->mem))
               : arena_print(s->q->mem, "close: %s, who has the last place, is better with %s, by what is known",
                             other->sow->name, in_100_words(p, s->q->mem));
}

static const char *names_of(const struct staying *s, size_t from, size_t to)
{
    const char **names = ARENA_NEW(s->q->mem, const char *, to - from + 1);

    for (size_t i = from; names && i < to; i++)
        names[i - from] = s->female[i].sow->name;
    return names ? kin_names(to - from, names, s->q->mem) : "";
}

static const char *says(const struct staying *s)
{
    struct arena *mem = s->q->mem;

    if (s->n == 0)
        return "No sow or gilt is here.";
    if (s->places == 0)
        return arena_print(
            mem,
            "%zu sow%s and gilt%s, in order of what speaks for them. Say how many the ground carries next "
            "year with --places, and the list shows where the line falls. You decide.",
            s->n, s->n == 1 ? "" : "s", s->n == 1 ? "" : "s");
    if (s->places >= s->n)
        return arena_print(mem, "There is a place for all %zu%s.", s->n,
                           s->places > s->n ? arena_print(mem, ", and for %zu more", s->places - s->n) : "");
    return arena_print(mem, "%zu place%s for %zu. By what is written down %s stay%s; below the line: %s. You decide.",
                       s->places, s->places == 1 ? "" : "s", s->n, names_of(s, 0, s->places), s->places == 1 ? "s" : "",
                       names_of(s, s->places, s->n));
}

/* Lines of which nobody would stay. */
static void answer_lost(const struct staying *s, struct answer *a)
{
    struct answer *list = answer_list(a, "lines_lost");

    for (size_t i = s->n; s->places && i > s->places; i--) {
        const struct staying_female *f = &s->female[i - 1];
        bool told = f->root == KIN_NONE;
        for (size_t k = 0; k < s->n && !told; k++)
            told = s->female[k].root == f->root && (k < s->places || k > i - 1);
        if (!told)
            answer_words(list,
                         arena_print(s->q->mem, "The line of %s would be gone: keep one of it, or a gilt of hers.",
                                     s->kin.animals[f->root].name));
    }
}

/* Mean kinship of the breeding herd without those below the line. */
static enum status kinship_then(const struct staying *s, double *now, double *then, struct message *why)
{
    const struct kin *kin = &s->kin;
    uint32_t *group = ARENA_NEW(s->q->mem, uint32_t, kin->n_group + 1);
    double *mk = ARENA_NEW(s->q->mem, double, (size_t)kin->p.n + 1);
    size_t n = 0;

    *now = *then = NAN;
    if (!group || !mk)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < kin->n_group; i++) {
        bool goes = false;
        for (size_t k = s->places ? s->places : s->n; k < s->n && !goes; k++)
            goes = s->female[k].kin == kin->who[kin->group[i]];
        if (!goes)
            group[n++] = kin->group[i];
        *now = (i ? *now : 0.0) + kin->mk[kin->group[i]] / (double)kin->n_group;
    }
    if (n == 0)
        return ST_OK;
    const struct genes_group left = { n, group, NULL };
    const enum status st = genes_mean_kinship(&kin->p, kin->d, &left, s->q->mem, mk, why);
    for (size_t i = 0; st == ST_OK && i < n; i++)
        *then = (i ? *then : 0.0) + mk[group[i]] / (double)n;
    return st;
}

/* ---- the answer ---- */

static const char *known_says(double known)
{
    return known < 0.25 ? "little is known of her" : known < 0.5 ? "some is known of her" : "she is well known";
}

static void answer_reasons(const struct staying *s, const struct staying_female *f, struct answer *row)
{
    struct answer *list = answer_list(row, "reasons");

    for (int r = 0; r < STAYING_END; r++) {
        const struct staying_part *p = &f->score.part[r];
        const bool known = p->known > 0.0;
        struct answer *o = answer_item(list);
        answer_text(o, "key", staying_name[r]);
        answer_text(o, "label", staying_label[r]);
        answer_text(o, "sign", staying_sign(p));
        answer_text(o, "says", staying_sentence(s, f, (enum staying_reason)r));
        answer_real(o, "points", p->points);
        answer_real_or(o, "value", known ? p->value : (double)NAN, "not known");
        answer_real(o, "known", p->known);
        answer_real_or(o, "own", f->is.seen[r], "not known");
        if (r >= STAYING_FIRST_RECORD)
            answer_whole(o, "records", (int64_t)f->is.n[r]);
        else
            answer_null(o, "records", "seen on her, no record");
    }
}

/* The strongest reasons on either side, in one sentence. */
static const char *short_of(const struct staying *s, const struct staying_female *f)
{
    int best = -1, worst = -1;

    for (int r = 0; r < STAYING_END; r++) {
        const double x = f->score.part[r].points;
        if (x > 0.0 && f->score.part[r].value >= 0.5 && (best < 0 || x > f->score.part[best].points))
            best = r;
        if (x < 0.0 && f->score.part[r].value <= -0.5 && (worst < 0 || x < f->score.part[worst].points))
            worst = r;
    }
    if (best < 0 && worst < 0)
        return arena_print(s->q->mem, "nothing that is written down sets her apart; %s", known_says(f->score.known));
    return arena_print(s->q->mem, "%s%s%s%s%s",
                       best >= 0 ? arena_print(s->q->mem, "most for her: %s", staying_label[best]) : "",
                       best >= 0 && worst >= 0 ? "; " : "",
                       worst >= 0 ? arena_print(s->q->mem, "most against: %s", staying_label[worst]) : "", "; ",
                       known_says(f->score.known));
}

static void answer_female(const struct staying *s, const struct staying_female *f, struct answer *list)
{
    struct answer *row = answer_item(list);

    answer_whole(row, "rank", (int64_t)f->score.rank);
    answer_text(row, "name", f->sow->name);
    answer_text(row, "uid", f->sow->uid);
    answer_text(row, "tag", *f->sow->tag ? f->sow->tag : NULL);
    answer_text(row, "is", f->sow->gilt ? "gilt" : "sow");
    answer_text(row, "decision", decision(s, f));
    answer_text(row, "close", close_says(s, f));
    answer_text(row, "held", f->held_says);
    if (f->not_before == INT64_MIN)
        answer_null(row, "not_before", "nothing holds her, or it is not known");
    else
        answer_day(row, "not_before", f->not_before);
    answer_real(row, "score", f->score.score);
    answer_real(row, "sd", f->score.sd);
    answer_real(row, "known", f->score.known);
    answer_text(row, "says", short_of(s, f));
    answer_flag(row, "danger", f->is.seen[STAYING_TEMPER] >= STAYING_FIERCE);
    answer_flag(row, "vet_first", f->is.seen[STAYING_LEGS] <= STAYING_LAME);
    answer_reasons(s, f, row);
    struct answer *notes = answer_list(row, "notes");
    for (size_t i = 0; i < f->n_notes && i < STAYING_NOTES; i++)
        answer_words(notes, f->notes[i] ? f->notes[i] : "");
    if (f->n_notes > STAYING_NOTES)
        answer_words(notes, arena_print(s->q->mem, "%zu earlier notes: leenest sow \"%s\"", f->n_notes - STAYING_NOTES,
                                        f->sow->name));
}

static void answer_herd(const struct staying *s, struct answer *a)
{
    struct answer *list = answer_list(a, "weights");

    for (int r = 0; r < STAYING_END; r++) {
        struct answer *row = answer_item(list);
        answer_text(row, "key", staying_name[r]);
        answer_text(row, "label", staying_label[r]);
        answer_text(row, "says", staying_help[r]);
        answer_real(row, "weight", s->weight[r]);
        answer_real_or(row, "herd", s->of[r].mean, "not known of anybody");
        answer_whole(row, "of", (int64_t)s->of[r].n);
    }
}

static void answer_record(const struct staying *s, struct answer *a)
{
    static const struct {
        enum staying_reason of;
        const char *words;
    } want[] = {
        { STAYING_TEATS, "the teats of %s: leenest record animal, --teats" },
        { STAYING_LEGS, "the legs of %s: leenest record weighing, --legs, 1 lame to 5 sound" },
        { STAYING_TEMPER, "the temper of %s" },
        { STAYING_LINE, "both parents of %s" },
    };
    struct answer *list = answer_list(a, "record");

    for (size_t k = 0; k < COUNT(want); k++) {
        const char *names[4];
        size_t n = 0;
        for (size_t i = 0; i < s->n; i++)
            if (isnan(s->female[i].is.seen[want[k].of])) {
                if (n < COUNT(names))
                    names[n] = s->female[i].sow->name;
                n++;
            }
        if (!n)
            continue;
        const char *who = kin_names(n < COUNT(names) ? n : COUNT(names), names, s->q->mem);
        const char *all = n > COUNT(names) ? arena_print(s->q->mem, "%s and %zu more", who, n - COUNT(names)) : who;
        const char *at = strstr(want[k].words, "%s");
        answer_words(list, arena_print(s->q->mem, "%.*s%s%s", (int)(at - want[k].words), want[k].words, all, at + 2));
    }
}

static void answer_cautions(const struct staying *s, struct answer *a)
{
    struct answer *list = answer_list(a, "cautions");

    for (size_t i = 0; i < s->n; i++)
        if (s->female[i].is.seen[STAYING_TEMPER] >= STAYING_FIERCE)
            answer_words(list,
                         arena_print(s->q->mem,
                                     "%s is written down as fierce: a sow like that can hurt a person badly. Do not "
                                     "wait for a list; a board in hand, and never alone with her.",
                                     s->female[i].sow->name));
    answer_words(list, "The list weighs what is written down and sees no animal. You decide.");
    answer_words(list, "A lame or sick animal is for the vet, not for this list: have her seen first.");
    answer_words(list,
                 "None goes in late pregnancy or with a litter at foot. What is allowed in moving and slaughter is "
                 "for your vet and local rules; look up her withdrawal date on her own page before she goes for "
                 "meat.");
}

enum status keep_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct staying *s = ARENA_NEW(q->mem, struct staying, 1);
    double now = NAN, then = NAN;

    if (!s)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    s->q = q;
    enum status st = staying_read(s, why);
    if (st == ST_OK) {
        means(s);
        st = score(s, why);
    }
    if (st == ST_OK)
        st = kinship_then(s, &now, &then, why);
    size_t *group = st == ST_OK ? ARENA_NEW(q->mem, size_t, s->n + 1) : NULL;
    if (!group)
        return st != ST_OK ? st : refuse(ST_NO_MEMORY, why, "", "out of memory");
    size_t n_group = 0;
    for (size_t i = 0; i < s->n; i++)
        if (s->female[i].kin != KIN_NONE)
            group[n_group++] = s->female[i].kin;
    answer_moment(a, "at", s->herd.at_utc_s);
    answer_whole(a, "known_to", s->herd.known_to);
    answer_text(a, "says", says(s));
    if (s->places)
        answer_whole(a, "places", (int64_t)s->places);
    else
        answer_null(a, "places", "not said");
    struct answer *list = answer_list(a, "females");
    for (size_t i = 0; i < s->n; i++)
        answer_female(s, &s->female[i], list);
    answer_lost(s, a);
    answer_real_or(a, "mean_kinship", now, "no breeding animal is here");
    answer_real_or(a, "mean_kinship_then", s->places ? then : (double)NAN,
                   s->places ? "no breeding animal would be here" : "no number of places was said");
    answer_herd(s, a);
    kin_answer_rests_on(&s->kin, n_group, group, a);
    answer_record(s, a);
    answer_cautions(s, a);
    staying_assumed(s, asked_assumed(q, a));
    return ST_OK;
}
