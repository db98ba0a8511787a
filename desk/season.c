/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * season: when the boar goes in so that pigs are ready when people ask, what that costs in cold, huts and hands, and
 * what every other week of the year would. */
#include <math.h>
#include <stdlib.h>

#include "core/base/civil.h"
#include "desk/memory.h"
#include "desk/questions.h"
#include "desk/season_inside.h"
#include "desk/season_kept.h"
#include "desk/share.h"
#include "desk/when.h"

/* ---- what people ask for ---- */

static int by_from(const void *a, const void *b)
{
    const struct plan_asked *x = a, *y = b;
    return (x->from > y->from) - (x->from < y->from);
}

static void add_asked(struct season *s, int64_t from, int64_t to, double pigs, double price)
{
    if (to < s->today) {
        s->over++;
        return;
    }
    s->asked[s->n_asked++] = (struct plan_asked){ (int32_t)(from - s->today), (int32_t)(to - s->today), pigs, price };
    s->asked_pigs += pigs;
    s->mean_price += pigs * price;
}

static enum status typed_asked(struct season *s, struct message *why)
{
    const struct asked *q = s->q;
    const int64_t from = given_when(q, SEASON_SELL_FROM),
                  to = given_is(q, SEASON_SELL_TO) ? given_when(q, SEASON_SELL_TO) : from + 27;

    if (!given_is(q, SEASON_PIGS))
        return refuse(ST_BAD_INPUT, why, "pigs",
                      "--sell-from goes with --pigs: say how many are asked for from that day");
    if (to < from)
        return refuse(ST_BAD_INPUT, why, "sell-to", "--sell-to: it lies before --sell-from");
    add_asked(s, from, to, given_real(q, SEASON_PIGS), given_is(q, SEASON_PRICE) ? given_real(q, SEASON_PRICE) : 100.0);
    return ST_OK;
}

static enum status what_is_asked(struct season *s, struct message *why)
{
    const struct asked *q = s->q;
    const struct fact_kind *kind = fact_kind_find("asked");
    struct fact *facts = NULL;
    size_t n = 0;
    enum status st = farm_facts(q->farm, kind, q->known_to, q->mem, &facts, &n, why);

    s->asked = ARENA_NEW(q->mem, struct plan_asked, n + 1);
    if (st != ST_OK || !s->asked)
        return st != ST_OK ? st : refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (given_is(q, SEASON_SELL_FROM)) {
        st = typed_asked(s, why);
    } else {
        for (size_t i = 0; i < n; i++) {
            const int64_t from = fact_whole(kind, facts[i].value, "from", 0);
            const double price = fact_real(kind, facts[i].value, "price");
            add_asked(s, from, fact_whole(kind, facts[i].value, "to", from + 6),
                      (double)fact_whole(kind, facts[i].value, "pigs", 0),
                      given_is(q, SEASON_PRICE) ? given_real(q, SEASON_PRICE)
                      : isfinite(price)         ? price
                                                : 100.0);
        }
        qsort(s->asked, s->n_asked, sizeof *s->asked, by_from);
    }
    s->mean_price = s->asked_pigs > 0.0 ? s->mean_price / s->asked_pigs : 100.0;
    return st;
}

static double or_share(const struct season *s, size_t param, double share, const char *words)
{
    if (given_is(s->q, param))
        return given_real(s->q, param);
    answer_words(s->assumed, arena_print(s->q->mem, "%s %.4g (judgement)", words, s->mean_price * share));
    return s->mean_price * share;
}

/* Huts, boars and costs: all of a plan but the days. */
static void costs_of(struct season *s)
{
    for (size_t i = 0; i < s->herd.n_sites; i++)
        s->huts += s->herd.sites[i].is.kind == SHELTER_HUT;
    season_boars(s);
    s->costs = plan_default();
    s->costs.n_days = SEASON_DAYS;
    s->costs.first_day = s->today;
    s->costs.asked = s->asked;
    s->costs.n_asked = s->n_asked;
    s->costs.ready_d = given_real(s->q, SEASON_AGE);
    s->costs.huts = s->huts;
    s->costs.n_winters = s->n_winters;
    s->costs.in_hut = s->in_hut;
    s->costs.in_open = s->in_open;
    s->costs.danger_cost = or_share(s, SEASON_DANGER_COST, 2.0, "a litter born into danger of cold counts");
    s->costs.late_price = or_share(s, SEASON_LATE_PRICE, 0.5, "a pig that nobody asked for in time fetches");
    s->costs.keep_cost = or_share(s, SEASON_KEEP_COST, 0.01, "a day of waiting costs");
    answer_words(s->assumed, "a boar that takes no sow at all: 5 in 100, each for himself (judgement)");
    answer_words(s->assumed, "a sow takes the hut that is put out for her: 75 in 100 (judgement)");
    answer_words(s->assumed, "a pig ready more than six weeks before it is asked for is no longer what was asked for");
    answer_words(s->assumed, "she holds it from 7 days before the litter to 14 after it");
    answer_words(s->assumed,
                 "seven born a litter, 13.5 in 100 lost by weaning; her own litters count as far as there are any");
}

/* ---- put ---- */

/* The plan and the same two weeks later, reckoned at once. */
struct two {
    const struct season *s;
    int64_t in, out;
    struct arena later_mem; /* of the later one: an arena is for one thread */
    struct season_try t, later;
    enum status st[2];
    struct message why[2];
};

static void one_of_two(void *of, size_t i)
{
    enum { LATER_D = 14 };
    struct two *two = of;
    const int64_t by = i == 0 ? 0 : LATER_D;

    two->st[i] = season_reckon(two->s, two->in + by, two->out + by, (size_t)given_real(two->s->q, SEASON_WINTERS),
                               i == 0 ? two->s->q->mem : &two->later_mem, i == 0 ? &two->t : &two->later, &two->why[i]);
}

static enum status reckon_two(struct two *two, struct message *why)
{
    share_parts(NULL, one_of_two, two, 2);
    for (size_t i = 0; i < 2; i++)
        if (two->st[i] != ST_OK) {
            *why = two->why[i];
            return two->st[i];
        }
    return ST_OK;
}

static enum status say_plan(struct season *s, const struct two *two, struct answer *a, struct message *why)
{
    const struct season_try *t = &two->t;

    season_say_try(s, t, answer_object(a, "plan"));
    season_say_try(s, &two->later, answer_object(a, "two_weeks_later"));
    season_say_days(s, t, answer_list(a, "by_day"));
    struct answer *events = answer_list(a, "events");
    if (s->n_asked > 0)
        season_diary(s, t, events);
    enum status st = season_needs(s, t, answer_object(a, "needs"), why);
    if (st == ST_OK)
        st = season_say_ways(s, t, a, why);
    if (st != ST_OK)
        return st;
    season_say(s, t, a);
    season_say_cautions(s, t, answer_list(a, "cautions"));
    return ST_OK;
}

static enum status plan_of(struct season *s, struct answer *a, struct message *why)
{
    const struct asked *q = s->q;
    const int64_t stay = llround(given_real(q, SEASON_STAY));
    struct answer *by_week = answer_list(a, "by_week");
    int64_t in = given_is(q, SEASON_BOAR_IN) ? given_when(q, SEASON_BOAR_IN) : s->today + 7;
    int64_t out = INT64_MIN;

    if (in < s->today - 30 || in > s->today + 400)
        return refuse(ST_BAD_INPUT, why, "boar-in", "--boar-in: give a day from last month to 400 days on");
    enum status st = season_way_asked(s, why);
    if (st == ST_OK)
        st = season_weeks(s, stay, by_week, given_is(q, SEASON_BOAR_IN) ? &out : &in, why);
    out = given_is(q, SEASON_BOAR_OUT) ? given_when(q, SEASON_BOAR_OUT) : in + stay;
    if (st == ST_OK && (out <= in || out > in + 120))
        return refuse(ST_BAD_INPUT, why, "boar-out", "--boar-out: give a day after --boar-in, 120 days later at most");
    if (st != ST_OK)
        return st;
    struct two two = { .s = s, .in = in, .out = out };
    arena_open(&two.later_mem, (size_t)512 << 20);
    st = reckon_two(&two, why);
    if (st == ST_OK)
        st = say_plan(s, &two, a, why);
    arena_close(&two.later_mem);
    return st;
}

enum status season_put(const struct asked *asked_now, struct answer *a, struct message *why)
{
    struct asked *q = ARENA_NEW(asked_now->mem, struct asked, 1);
    struct season *s = ARENA_NEW(asked_now->mem, struct season, 1);

    if (!s || !q)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    *q = *asked_now;
    s->q = q;
    enum status st = season_kept_moment(desk_memory_season(q->memory), asked_now, &q->at_utc_s, why);
    if (st == ST_OK)
        st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &s->herd, why);
    if (st != ST_OK)
        return st;
    const struct civil now = when_local(s->herd.zone, q->at_utc_s);
    s->today = civil_days(now.year, now.month, now.day);
    answer_moment(a, "at", q->at_utc_s);
    s->assumed = asked_assumed(q, a);
    st = what_is_asked(s, why);
    if (st == ST_OK)
        st = season_sows(s, given_real(q, SEASON_WEANING), why);
    if (st == ST_OK)
        st = season_cold(s, answer_list(a, "cold_weeks"), why);
    if (st != ST_OK)
        return st;
    costs_of(s);
    st = season_growth(s, why);
    if (st != ST_OK)
        return st;
    season_say_growth(s, answer_object(a, "growth"));
    answer_real(a, "asked_pigs", s->asked_pigs);
    answer_whole(a, "huts", (int64_t)s->huts);
    answer_whole(a, "winters", (int64_t)s->n_winters);
    answer_text(a, "hut", s->hut);
    answer_real_or(a, "hut_facing_deg", s->facing_deg, "no past hours are kept");
    season_say_sows(s, answer_list(a, "sows"));
    struct answer *asked = answer_list(a, "asked");
    for (size_t i = 0; i < s->n_asked; i++) {
        struct answer *row = answer_item(asked);
        answer_day(row, "from", s->today + s->asked[i].from);
        answer_day(row, "to", s->today + s->asked[i].to);
        answer_real(row, "pigs", s->asked[i].pigs);
        answer_real(row, "price", s->asked[i].price);
    }
    return plan_of(s, a, why);
}
