/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which of the askings to give up where not all can be met: each left out of the same winters. */
#include <math.h>

#include "core/base/civil.h"
#include "desk/season_inside.h"
#include "desk/when.h"

/* Draws in all: with many askings each is tried in fewer winters, and the answer says how many. */
enum { MOST_WINTERS = 2000, LEAST_WINTERS = 100, SALES = 200000 };
static const double decent = 0.8; /* chance that is not worth giving anything up for (judgement) */

static const char *short_day(const struct season *s, int64_t day)
{
    const struct civil c = civil_from_days(day);
    return arena_print(s->q->mem, "%d %s", c.day, when_month[c.month]);
}

static double in_100(double share)
{
    return round(100.0 * share);
}

static const char *asking(const struct season *s, size_t a)
{
    const struct plan_asked *x = &s->asked[a];
    return arena_print(s->q->mem, "the %.0f pigs asked for from %s to %s", x->pigs, short_day(s, s->today + x->from),
                       short_day(s, s->today + x->to));
}

static const char *give_up_words(const struct season *s, const struct plan_wish *w, size_t a)
{
    const double fewer = -w->pigs.mean, less = -w->worth.mean;
    const char *costs = less >= 0.5 ? arena_print(s->q->mem, "%.0f in your own money", less) : "nothing";

    return arena_print(s->q->mem,
                       "Least is lost by giving up %s: it costs %s (%.1f pigs fewer sold in time), and the chance that "
                       "all the others are met in full goes from %.0f in 100 to %.0f.",
                       asking(s, a), costs, fmax(0.0, fewer), in_100(w->rest_before_p), in_100(w->rest_after_p));
}

static const char *sentence(const struct season *s, const struct plan_wishes *w)
{
    const char *all = arena_print(s->q->mem, "Chance that every asking is met in full: %.0f in 100.", in_100(w->all_p));

    if (w->all_p >= decent)
        return all;
    if (w->give_up == s->n_asked)
        return arena_print(s->q->mem, "%s To give up any one of them would not help the others.", all);
    return arena_print(s->q->mem, "%s %s", all, give_up_words(s, &w->wish[w->give_up], w->give_up));
}

static void change_row(struct answer *row, const char *key, const struct plan_change *x)
{
    struct answer *o = answer_object(row, key);

    answer_real(o, "mean", x->mean);
    answer_real(o, "se", x->se);
}

static void wish_row(const struct season *s, const struct plan_wish *w, size_t a, bool give_up, struct answer *row)
{
    answer_day(row, "from", s->today + s->asked[a].from);
    answer_day(row, "to", s->today + s->asked[a].to);
    answer_real(row, "pigs", s->asked[a].pigs);
    answer_real(row, "met", w->met_p);
    answer_real(row, "others_met", w->rest_before_p);
    answer_real(row, "others_met_without", w->rest_after_p);
    change_row(row, "gain", &w->gain);
    change_row(row, "worth", &w->worth);
    change_row(row, "in_time", &w->pigs);
    answer_flag(row, "give_up", give_up);
}

enum status season_wishes(const struct season *s, const struct season_way *w, const struct season_try *t,
                          struct answer *a, struct message *why)
{
    struct answer *o = NULL, *list = NULL;
    struct plan plan;
    struct plan_wishes x;

    if (s->n_asked < 2 || t->first_litters == INT64_MIN)
        return ST_OK;
    const size_t share = SALES / s->n_asked, n = share > MOST_WINTERS    ? MOST_WINTERS
                                                 : share < LEAST_WINTERS ? LEAST_WINTERS
                                                                         : share;
    enum status st = season_lay(s, w, s->q->mem, &plan, why);
    if (st == ST_OK)
        st = plan_wishes(&plan, n, SEASON_SEED, s->q->mem, &x, why);
    if (st != ST_OK)
        return st;
    o = answer_object(a, "wishes");
    list = answer_list(o, "asked");
    for (size_t i = 0; i < s->n_asked; i++)
        wish_row(s, &x.wish[i], i, x.all_p < decent && i == x.give_up, answer_item(list));
    answer_whole(o, "winters", (int64_t)n);
    answer_real(o, "all_met", x.all_p);
    answer_text(o, "says", sentence(s, &x));
    return ST_OK;
}
