/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What would change the plan: another hut, another boar, two weeks, the gilts, a second litter, a second scan, each
 * against the plan in the same winters; pigs by week of sale; who goes to which run. Two threads share the choices. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/season_inside.h"
#include "desk/share.h"
#include "desk/when.h"

enum { CHOICE_WINTERS = 2000, WEEK_WINTERS = 10000, BY_D = 14, THREADS = 2 };

enum choice_kind { HUT, BOAR, RESERVE, EARLIER, LATER, GILTS, SECOND, SCAN, KINDS };

static const struct {
    const char *key, *title, *undone; /* undone: where the plan has it already */
} kinds[KINDS] = {
    [HUT] = { "hut", "One hut more", NULL },
    [BOAR] = { "boar", "One more grown boar from the first day", NULL },
    [RESERVE] = { "reserve", "A boar in reserve from day 24", "Without the boar in reserve" },
    [EARLIER] = { "earlier", "Two weeks earlier", NULL },
    [LATER] = { "later", "Two weeks later", NULL },
    [GILTS] = { "gilts", "Without the gilts", NULL },
    [SECOND] = { "second", "A second litter in the year", "One litter in the year" },
    [SCAN] = { "scan", "A second scan, and the boar again for who is empty", NULL },
};

struct choice {
    enum choice_kind kind;
    struct season_way way;
    struct plan_changes change;
    bool cold_known;
    double second_pigs; /* pigs of second litters expected, with the plan or with the choice */
    int64_t second_from, second_to;
};

struct choosing {
    const struct season *s;
    const struct plan *base;
    struct choice choice[KINDS];
    size_t n;
    enum status st[THREADS];
    struct message why[THREADS];
};

static bool gilt_comes(const struct season *s, const struct season_way *w)
{
    for (size_t i = 0; i < s->n_sows; i++)
        if (s->sows[i].evidence.state == BREEDING_GILT && s->sows[i].free_utc_s < season_midnight(s, w->run[0].out))
            return true;
    return false;
}

static void move(struct season_way *w, int64_t by)
{
    for (size_t r = 0; r < w->n_runs; r++)
        w->run[r] = (struct season_run){ w->run[r].in + by, w->run[r].out + by };
}

/* The plan with that one thing changed; false: it cannot be done. */
static bool with_change(const struct season *s, const struct season_way *base, enum choice_kind kind,
                        struct season_way *w)
{
    *w = *base;
    switch (kind) {
    case HUT: w->more_huts++; return true;
    case BOAR: w->more_boars++; return s->ways.n_boars + w->more_boars <= PLAN_BOARS;
    case RESERVE: w->reserve = !w->reserve; return true;
    case EARLIER: move(w, -BY_D); return w->run[0].in >= s->today;
    case LATER: move(w, BY_D); return true;
    case GILTS: w->no_gilts = true; return gilt_comes(s, base);
    case SECOND: w->second = !w->second; return true;
    case SCAN: w->scan = true; return true;
    case KINDS: break;
    }
    return false;
}

static enum status reckon_one(const struct choosing *c, struct choice *one, struct arena *mem, struct message *why)
{
    const bool second = one->kind == SECOND;
    struct plan plan;
    struct season_try t;
    enum status st = season_lay(c->s, &one->way, mem, &plan, why);

    if (st == ST_OK)
        st = plan_compare(c->base, &plan, CHOICE_WINTERS, SEASON_SEED, mem, &one->change, why);
    if (st == ST_OK && second && one->way.second) {
        st = season_reckon_way(c->s, &one->way, 100, mem, &t, why); /* its days; the hundred winters are not read */
        one->second_from = st == ST_OK ? t.second_from : INT64_MIN;
        one->second_to = st == ST_OK ? t.second_to : INT64_MIN;
        one->second_pigs = st == ST_OK ? t.exact.second_pigs : 0.0;
    }
    return st;
}

/* Every second choice, from i on. */
static void some(void *job, size_t i)
{
    struct choosing *c = job;

    for (size_t k = i; k < c->n && c->st[i] == ST_OK; k += THREADS) {
        struct arena mem;
        arena_open(&mem, (size_t)512 << 20);
        c->st[i] = reckon_one(c, &c->choice[k], &mem, &c->why[i]);
        arena_close(&mem);
    }
}

/* ---- said ---- */

static const char *joined(struct arena *mem, const char *so_far, const char *more)
{
    return so_far ? arena_print(mem, "%s; %s", so_far, more) : more;
}

/* "3.1 pigs more in time": NULL where it cannot be told from luck. */
static const char *amount(struct arena *mem, const struct plan_change *x, double least, const char *more,
                          const char *fewer)
{
    if (!(fabs(x->mean) > 2.0 * x->se) || fabs(x->mean) < least)
        return NULL;
    return arena_print(mem, "%.1f %s", fabs(x->mean), x->mean > 0.0 ? more : fewer);
}

static const char *short_day(const struct season *s, int64_t day)
{
    const struct civil c = civil_from_days(day);
    return arena_print(s->q->mem, "%d %s", c.day, when_month[c.month]);
}

/* When its pigs come, and whether anybody asks for pigs then. */
static const char *second_words(const struct season *s, const struct choice *c)
{
    const int64_t age = llround(s->costs.ready_d), from = c->second_from + age, to = c->second_to + age;
    bool asked = false;

    for (size_t i = 0; i < s->n_asked; i++)
        asked = asked || (s->today + s->asked[i].from <= to + 42 && s->today + s->asked[i].to >= from);
    return arena_print(s->q->mem, "%.0f pigs ready from %s to %s%s", c->second_pigs, short_day(s, from),
                       short_day(s, to), asked ? "" : ", when nobody is written down as asking");
}

static const char *sentence(const struct season *s, const struct choice *c, const char *title)
{
    struct arena *mem = s->q->mem;
    const struct plan_changes *x = &c->change;
    const char *says = NULL, *part = amount(mem, &x->in_time, 0.05, "pigs more in time", "pigs fewer in time");

    if (part)
        says = joined(mem, says, part);
    part = amount(mem, &x->late, 0.05, "more that nobody asks for", "fewer that nobody asks for");
    if (part)
        says = joined(mem, says, part);
    part =
        c->cold_known ? amount(mem, &x->danger, 0.05, "litters more into danger", "litters fewer into danger") : NULL;
    if (part)
        says = joined(mem, says, part);
    if (fabs(x->bad.mean) > 2.0 * x->bad.se && fabs(x->bad.mean) >= 0.005)
        says = joined(mem, says,
                      arena_print(mem, "a bad season %.0f in 100 %s often", 100.0 * fabs(x->bad.mean),
                                  x->bad.mean > 0.0 ? "more" : "less"));
    if (fabs(x->worth.mean) > 2.0 * x->worth.se && fabs(x->worth.mean) >= 0.5)
        says = joined(mem, says,
                      arena_print(mem, "worth %.0f %s", fabs(x->worth.mean), x->worth.mean > 0.0 ? "more" : "less"));
    if (c->second_from != INT64_MIN)
        says = joined(mem, says, second_words(s, c));
    return says ? arena_print(mem, "%s: %s.", title, says)
                : arena_print(mem, "%s: nothing that can be told from luck.", title);
}

static void change_row(struct answer *row, const char *key, const struct plan_change *x, const char *because)
{
    struct answer *o = answer_object(row, key);

    if (because) {
        answer_null(o, "mean", because);
        answer_null(o, "se", because);
        return;
    }
    answer_real(o, "mean", x->mean);
    answer_real(o, "se", x->se);
}

static void second_rows(const struct season *s, const struct choice *c, struct answer *row)
{
    const int64_t age = llround(s->costs.ready_d);

    if (c->kind != SECOND || !c->way.second || c->second_from == INT64_MIN)
        return;
    answer_day(row, "second_from", c->second_from);
    answer_day(row, "second_to", c->second_to);
    answer_day(row, "second_ready_from", c->second_from + age);
    answer_day(row, "second_ready_to", c->second_to + age);
    answer_real(row, "second_pigs", c->second_pigs);
}

static void choice_row(const struct season *s, const struct choice *c, struct answer *list)
{
    const bool undoes = (c->kind == RESERVE && !c->way.reserve) || (c->kind == SECOND && !c->way.second);
    const char *title = undoes ? kinds[c->kind].undone : kinds[c->kind].title;
    struct answer *row = answer_item(list);

    answer_text(row, "key", kinds[c->kind].key);
    answer_text(row, "title", title);
    answer_text(row, "says", sentence(s, c, title));
    change_row(row, "pigs", &c->change.in_time, NULL);
    change_row(row, "late", &c->change.late, NULL);
    change_row(row, "worth", &c->change.worth, NULL);
    change_row(row, "bad_season", &c->change.bad, NULL);
    change_row(row, "litters", &c->change.litters, NULL);
    change_row(row, "danger", &c->change.danger,
               c->cold_known ? NULL : "no past hours of weather are kept for that time of year");
    second_rows(s, c, row);
}

/* Is the cold of every day known on which a litter of either plan may come? */
static bool cold_known(const struct season *s, const struct season_way *w, const struct choice *c)
{
    const int64_t a = w->run[0].in < c->way.run[0].in ? w->run[0].in : c->way.run[0].in;
    const int64_t last = w->run[w->n_runs - 1].out, other = c->way.run[c->way.n_runs - 1].out;
    const int64_t b = (last > other ? last : other) +
                      (w->second || c->way.second ? 120 + llround(given_real(s->q, SEASON_WEANING)) : 0);

    if (s->n_winters == 0)
        return false;
    for (int64_t d = a + 112; d <= b + 118; d++) {
        bool known = d < s->today || d - s->today >= SEASON_DAYS;
        for (size_t i = 0; i < s->n_winters && !known; i++)
            known = !isnan(s->in_hut[i][d - s->today]) && !isnan(s->in_open[i][d - s->today]);
        if (!known)
            return false;
    }
    return true;
}

enum status season_choices(const struct season *s, const struct season_way *w, const struct season_try *t,
                           struct answer *a, struct message *why)
{
    struct choosing *c = ARENA_NEW(s->q->mem, struct choosing, 1);
    struct plan base;

    if (!c)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    struct answer *list = answer_list(a, "choices");
    if (s->n_asked == 0 || t->first_litters == INT64_MIN)
        return ST_OK;
    enum status st = season_lay(s, w, s->q->mem, &base, why);
    c->s = s;
    c->base = &base;
    for (int k = 0; k < KINDS && st == ST_OK; k++) {
        struct choice *one = &c->choice[c->n];
        one->kind = (enum choice_kind)k;
        if (!with_change(s, w, one->kind, &one->way))
            continue;
        one->cold_known = cold_known(s, w, one);
        one->second_from = one->second_to = INT64_MIN;
        c->n++;
    }
    if (st == ST_OK)
        share_parts(NULL, some, c, THREADS);
    for (size_t i = 0; i < THREADS && st == ST_OK; i++)
        if (c->st[i] != ST_OK) {
            *why = c->why[i];
            st = c->st[i];
        }
    for (size_t k = 0; k < c->n && st == ST_OK; k++)
        choice_row(s, &c->choice[k], list);
    answer_whole(a, "choice_winters", CHOICE_WINTERS);
    return st;
}

/* ---- pigs by week of sale ---- */

static void amount_row(struct answer *row, const char *key, const struct plan_amount *x)
{
    struct answer *o = answer_object(row, key);

    answer_real(o, "expected", x->expected);
    answer_real(o, "p10", x->p10);
    answer_real(o, "p50", x->p50);
    answer_real(o, "p90", x->p90);
}

static double asked_in(const struct season *s, int64_t from, int64_t to)
{
    double pigs = 0.0;

    for (size_t i = 0; i < s->n_asked; i++) { /* spread evenly over its days */
        const int64_t a = s->today + s->asked[i].from, b = s->today + s->asked[i].to;
        const int64_t low = a > from ? a : from, high = b < to ? b : to;
        if (high >= low)
            pigs += s->asked[i].pigs * (double)(high - low + 1) / (double)(b - a + 1);
    }
    return pigs;
}

enum status season_sale_weeks(const struct season *s, const struct season_way *w, const struct season_try *t,
                              struct answer *a, struct message *why)
{
    struct answer *list = answer_list(a, "sale_weeks");
    struct plan plan;
    struct plan_week *week = NULL;
    size_t n = 0;
    enum status st = season_lay(s, w, s->q->mem, &plan, why);
    const size_t monday = (7 - (size_t)civil_weekday(s->today)) % 7;
    const size_t winters = (size_t)given_real(s->q, SEASON_WINTERS);

    if (st == ST_OK)
        st = plan_weeks(&plan, &t->exact, monday, winters < WEEK_WINTERS ? winters : WEEK_WINTERS, SEASON_SEED,
                        s->q->mem, &week, &n, why);
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        const int64_t from = s->today + week[i].from;
        if (week[i].ready.expected < 1e-3)
            continue; /* a tail of under a thousandth of a pig */
        struct answer *row = answer_item(list);
        answer_day(row, "from", from);
        answer_day(row, "to", from + 6);
        answer_real(row, "asked", asked_in(s, from, from + 6));
        amount_row(row, "ready", &week[i].ready);
        amount_row(row, "by_then", &week[i].by_then);
    }
    return st;
}

/* ---- who goes where ---- */

static const char *names_of(const struct season *s, const struct season_way *w, const size_t batch[], size_t r,
                            size_t *n)
{
    const int64_t out = season_midnight(s, w->run[r].out);
    const char *names = NULL;

    *n = 0;
    for (size_t i = 0; i < s->n_sows; i++)
        if (batch[i] == r && s->sows[i].free_utc_s < out) {
            names = names ? arena_print(s->q->mem, "%s, %s", names, s->sows[i].name) : s->sows[i].name;
            (*n)++;
        }
    return names;
}

static int64_t day_of(const struct season *s, int64_t utc_s)
{
    const struct civil c = when_local(s->herd.zone, utc_s);

    return civil_days(c.year, c.month, c.day);
}

/* Days on which she is to be looked at: after weaning, or over a whole cycle from the first day on. */
static void services_of(const struct season *s, const struct season_way *w, const size_t batch[], struct answer *list)
{
    enum { FIRST_D = 3, LIKELY_D = 5, LAST_D = 10, CYCLE_D = 21 };

    for (size_t i = 0; i < s->n_sows; i++) {
        const struct season_sow *sow = &s->sows[i];
        const struct season_run *run = &w->run[batch[i]];
        const int64_t free = day_of(s, sow->free_utc_s);
        if (sow->free_utc_s >= season_midnight(s, run->out))
            continue;
        struct answer *row = answer_item(list);
        const bool weaned = sow->evidence.state == BREEDING_WEANED && free + LAST_D >= run->in;
        answer_text(row, "name", sow->name);
        answer_day(row, "from", weaned && free + FIRST_D > run->in ? free + FIRST_D : run->in);
        if (weaned && free + LIKELY_D >= run->in)
            answer_day(row, "likely", free + LIKELY_D);
        else
            answer_null(row, "likely", "her heats are not known: any day of the cycle");
        answer_day(row, "to", weaned ? free + LAST_D : run->in + CYCLE_D);
    }
}

enum status season_say_groups(const struct season *s, const struct season_way *w, struct answer *a, struct message *why)
{
    size_t *batch = ARENA_NEW(s->q->mem, size_t, s->n_sows + 1), n = 0;
    struct answer *groups = answer_list(a, "groups"), *services = answer_list(a, "services");
    const enum status st =
        batch ? season_batches(s, w, s->q->mem, batch, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");

    if (st != ST_OK)
        return st;
    for (size_t r = 0; r < w->n_runs; r++) {
        const char *names = names_of(s, w, batch, r, &n);
        struct answer *row = answer_item(groups);
        answer_day(row, "boar_in", w->run[r].in);
        answer_day(row, "boar_out", w->run[r].out);
        answer_whole(row, "sows", (int64_t)n);
        answer_text(row, "names", names);
    }
    if (w->hand)
        services_of(s, w, batch, services);
    return ST_OK;
}

enum status season_say_ways(const struct season *s, const struct season_try *t, struct answer *a, struct message *why)
{
    const char *choose = given_text(s->q, SEASON_CHOOSE);
    const struct season_way w = season_way_on(s, t->boar_in, t->boar_in + t->first_stay);
    struct answer *boars = answer_list(a, "boars");

    for (size_t i = 0; i < s->ways.n_boars; i++) {
        struct answer *row = answer_item(boars);
        answer_text(row, "name", s->ways.boar[i].name);
        answer_whole(row, "most", (int64_t)s->ways.boar[i].most);
    }
    enum status st = season_say_groups(s, &w, a, why);
    const bool choices = !(choose && strcmp(choose, "no") == 0);
    if (st == ST_OK && choices)
        st = season_choices(s, &w, t, a, why);
    if (st == ST_OK && choices)
        st = season_wishes(s, &w, t, a, why);
    if (st == ST_OK)
        st = season_sale_weeks(s, &w, t, a, why);
    return st;
}
