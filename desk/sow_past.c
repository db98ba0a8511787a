/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/sow_past.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/herd_inside.h"
#include "desk/when.h"

struct past {
    struct farm *farm;
    const struct herd *herd;
    const struct herd_sow *sow;
    struct arena *mem;
    struct rows farrowing, weaning, loss, service, nested, treatment, note, move;
};

static int64_t today_of(const struct herd *h)
{
    const struct civil c = when_local(h->zone, h->at_utc_s);
    return civil_days(c.year, c.month, c.day);
}

/* Newest first; of one moment the one recorded last. */
static int newest_first(const void *a, const void *b)
{
    const struct fact *x = a, *y = b;
    const int64_t tx = row_when(x, x->kind->when), ty = row_when(y, y->kind->when);
    if (tx != ty)
        return tx > ty ? -1 : 1;
    return (y->number > x->number) - (y->number < x->number);
}

static enum status read_rows(struct past *p, const char *kind, struct rows *rows, struct message *why)
{
    size_t kept = 0;

    rows->kind = fact_kind_find(kind);
    const enum status st = farm_facts(p->farm, rows->kind, p->herd->known_to, p->mem, &rows->fact, &rows->n, why);
    for (size_t i = 0; st == ST_OK && i < rows->n; i++)
        if (row_when(&rows->fact[i], rows->kind->when) <= p->herd->at_utc_s)
            rows->fact[kept++] = rows->fact[i];
    rows->n = st == ST_OK ? kept : 0;
    if (rows->n > 1)
        qsort(rows->fact, rows->n, sizeof *rows->fact, newest_first);
    return st;
}

static void whole_if(struct answer *row, const char *key, const struct fact *f, const char *field)
{
    if (f && fact_given(f->kind, f->value, field))
        answer_whole(row, key, fact_whole(f->kind, f->value, field, 0));
    else
        answer_null(row, key, NULL);
}

/* The first weaning after a farrowing and before her next. */
static const struct fact *weaning_of(const struct past *p, int64_t start, int64_t next)
{
    const struct fact *best = NULL;

    for (size_t i = 0; i < p->weaning.n; i++) { /* newest first: the last that fits is the first of them */
        const struct fact *w = &p->weaning.fact[i];
        if (row_is(w, "sow", p->sow->uid) && row_when(w, "at") >= start && row_when(w, "at") < next)
            best = w;
    }
    return best;
}

/* Piglets of one litter that died after birth: how many, and of what, oldest first. */
static void losses_of(const struct past *p, int64_t start, int64_t next, struct answer *row)
{
    const char *causes = NULL;
    int64_t lost = 0;

    for (size_t i = p->loss.n; i-- > 0;) {
        const struct fact *l = &p->loss.fact[i];
        if (!row_is(l, "sow", p->sow->uid) || row_when(l, "at") < start || row_when(l, "at") >= next)
            continue;
        const int64_t many = fact_whole(l->kind, l->value, "many", 0);
        lost += many;
        if (row_text(l, "cause"))
            causes = arena_print(p->mem, "%s%s%lld: %s", causes ? causes : "", causes ? "; " : "", (long long)many,
                                 row_text(l, "cause"));
    }
    answer_whole(row, "lost", lost);
    answer_text(row, "lost_of", causes);
}

/* What was noted about where she nested for this litter: within two days of it. */
static const struct fact *nested_of(const struct past *p, int64_t start)
{
    for (size_t i = 0; i < p->nested.n; i++) {
        const struct fact *n = &p->nested.fact[i];
        const int64_t apart = row_when(n, "at") - start;
        if (row_is(n, "sow", p->sow->uid) && apart <= 2 * DAY_S && apart >= -2 * DAY_S)
            return n;
    }
    return NULL;
}

/* The hut that stood there, or what the bed of straw was called. */
static const char *place_name(const struct past *p, const char *placement_uid)
{
    struct fact f;
    struct message ignored;

    if (!placement_uid)
        return NULL;
    const enum status st = farm_fact(p->farm, placement_uid, p->herd->known_to, p->mem, &f, &ignored);
    arena_heed(p->mem, st);
    if (st != ST_OK)
        return NULL;
    const char *shelter = row_text(&f, "shelter");
    return shelter ? farm_called(p->farm, shelter, p->mem) : row_text(&f, "name");
}

static void one_litter(const struct past *p, const struct fact *f, int64_t next, struct answer *list)
{
    struct answer *row = answer_item(list);
    const int64_t start = row_when(f, "start");
    const double length = herd_length_d(&p->service, p->sow->uid, start);
    const enum breeding_length is = breeding_length_of(length);
    const struct fact *weaned = weaning_of(p, start, next), *nested = nested_of(p, start);

    answer_moment(row, "start", start);
    whole_if(row, "born_alive", f, "born_alive");
    whole_if(row, "still", f, "still");
    whole_if(row, "mummified", f, "mummified");
    losses_of(p, start, next, row);
    whole_if(row, "weaned", weaned, "weaned");
    if (weaned)
        answer_moment(row, "weaned_at", row_when(weaned, "at"));
    else
        answer_null(row, "weaned_at", NULL);
    answer_real_or(row, "gestation_d", length, "no service fits");
    answer_text(row, "gestation_words", is == BG_END ? NULL : breeding_length_words[is]);
    answer_text(row, "place", row_text(f, "place") ? row_text(f, "place") : nested ? row_text(nested, "place") : NULL);
    answer_text(row, "at_place", place_name(p, row_text(f, "placement")));
    answer_text(row, "put_out", nested ? row_text(nested, "put_out") : NULL);
    answer_text(row, "temper", row_text(f, "temper"));
    answer_flag(row, "helped", row_flag(f, "helped"));
}

static void litters(const struct past *p, struct answer *a)
{
    struct answer *list = answer_list(a, "litters");
    int64_t next = INT64_MAX;

    for (size_t i = 0; i < p->farrowing.n; i++) {
        const struct fact *f = &p->farrowing.fact[i];
        if (!row_is(f, "sow", p->sow->uid))
            continue;
        one_litter(p, f, next, list);
        next = row_when(f, "start");
    }
}

static bool was_in_group(const struct past *p, const char *group, int64_t at)
{
    for (size_t i = 0; i < p->move.n; i++) { /* newest first */
        const struct fact *m = &p->move.fact[i];
        if (row_is(m, "animal", p->sow->uid) && row_when(m, "at") <= at && row_text(m, "to_group"))
            return row_is(m, "to_group", group);
    }
    return false;
}

static void treatments(const struct past *p, struct answer *a)
{
    struct answer *list = answer_list(a, "treatments");
    const int64_t today = today_of(p->herd);
    int64_t until = INT64_MIN;

    for (size_t i = 0; i < p->treatment.n; i++) {
        const struct fact *t = &p->treatment.fact[i];
        const char *group = row_text(t, "group");
        if (!row_is(t, "animal", p->sow->uid) && !(group && was_in_group(p, group, row_when(t, "at"))))
            continue;
        struct answer *row = answer_item(list);
        const int64_t ends = row_when(t, "withdrawal_ends");
        answer_moment(row, "at", row_when(t, "at"));
        answer_text(row, "what", row_text(t, "what"));
        answer_text(row, "dose", row_text(t, "dose"));
        answer_text(row, "lot", row_text(t, "lot"));
        answer_text(row, "why", row_text(t, "why"));
        answer_text(row, "of_group", group ? farm_called(p->farm, group, p->mem) : NULL);
        answer_day_or(row, "withdrawal_ends", ends, NULL);
        answer_flag(row, "in_withdrawal", ends != INT64_MIN && today < ends); /* that day meat may be eaten again */
        answer_day_or(row, "booster_due", row_when(t, "booster_due"), NULL);
        if (ends != INT64_MIN && today < ends && ends > until)
            until = ends;
    }
    answer_day_or(a, "withdrawal_until", until, NULL);
}

static void notes(const struct past *p, struct answer *a)
{
    struct answer *list = answer_list(a, "notes_about_her");

    for (size_t i = 0; i < p->note.n; i++) {
        const struct fact *n = &p->note.fact[i];
        if (!row_is(n, "animal", p->sow->uid))
            continue;
        struct answer *row = answer_item(list);
        answer_moment(row, "at", row_when(n, "at"));
        answer_text(row, "text", row_text(n, "text"));
    }
}

enum status sow_past(struct farm *farm, const struct herd *herd, size_t sow, struct arena *mem, struct answer *a,
                     struct message *why)
{
    struct past p = { .farm = farm, .herd = herd, .sow = &herd->sows[sow], .mem = mem };
    const struct {
        const char *kind;
        struct rows *rows;
    } all[] = {
        { "farrowing", &p.farrowing }, { "weaning", &p.weaning },     { "loss", &p.loss }, { "service", &p.service },
        { "nested", &p.nested },       { "treatment", &p.treatment }, { "note", &p.note }, { "move", &p.move },
    };
    enum status st = ST_OK;

    for (size_t i = 0; i < COUNT(all) && st == ST_OK; i++)
        st = read_rows(&p, all[i].kind, all[i].rows, why);
    if (st != ST_OK)
        return st;
    litters(&p, a);
    treatments(&p, a);
    notes(&p, a);
    return ST_OK;
}
