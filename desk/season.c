/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * season: when the boar goes in so that pigs are ready when people ask, what that costs in cold, huts and hands, and
 * what every other week of the year would. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/in_100.h"
#include "desk/questions.h"
#include "desk/season_inside.h"
#include "desk/when.h"

enum {
    AT,
    SELL_FROM,
    SELL_TO,
    PIGS,
    PRICE,
    AGE,
    STAY,
    BOAR_IN,
    BOAR_OUT,
    WEANING,
    DANGER_COST,
    LATE_PRICE,
    KEEP_COST,
    WINTERS
};
enum { WEEKS = 52, CURVE_WINTERS = 1000 };

static const struct param params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [SELL_FROM] = { "sell-from", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0,
                    "first day on which people ask; what is recorded as asked unless given" },
    [SELL_TO] = { "sell-to", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0, "last day; four weeks from the first unless given" },
    [PIGS] = { "pigs", P_WHOLE, Q_NUMBER, 1, 5000, NULL, NULL, 0, "how many are asked for in those weeks" },
    [PRICE] = { "price", P_QUANTITY, Q_NUMBER, 0, 1e6, NULL, NULL, 0,
                "what one fetches, in the farm's own money; 100 unless recorded or given" },
    [AGE] = { "age", P_QUANTITY, Q_SPAN, 20, 300, "56d", NULL, 0, "age at which a pig is ready to go" },
    [STAY] = { "stay", P_QUANTITY, Q_SPAN, 1, 90, "21d", NULL, 0, "how long the boar stays with them" },
    [BOAR_IN] = { "boar-in", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0, "reckon this day and not the best one" },
    [BOAR_OUT] = { "boar-out", P_DAY, Q_NUMBER, 0, 0, NULL, NULL, 0, "and take him out on this" },
    [WEANING] = { "weaning", P_QUANTITY, Q_SPAN, 14, 120, "56d", NULL, 0, "age at which litters are weaned" },
    [DANGER_COST] = { "danger-cost", P_QUANTITY, Q_NUMBER, 0, 1e6, NULL, NULL, 0,
                      "what a litter born into danger of cold is to count; the price of two pigs unless given" },
    [LATE_PRICE] = { "late-price", P_QUANTITY, Q_NUMBER, 0, 1e6, NULL, NULL, 0,
                     "what a pig fetches that nobody asked for in time; half the price unless given" },
    [KEEP_COST] = { "keep-cost", P_QUANTITY, Q_NUMBER, 0, 1e5, NULL, NULL, 0,
                    "what a ready pig costs for each day it waits; one part in a hundred of the price unless given" },
    [WINTERS] = { "winters", P_WHOLE, Q_NUMBER, 100, 100000, "10000", NULL, 0, "how many winters are drawn" },
};

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
    const int64_t from = given_when(q, SELL_FROM), to = given_is(q, SELL_TO) ? given_when(q, SELL_TO) : from + 27;

    if (!given_is(q, PIGS))
        return refuse(ST_BAD_INPUT, why, "pigs", "--pigs: say how many are asked for from that day");
    if (to < from)
        return refuse(ST_BAD_INPUT, why, "sell-to", "--sell-to: it lies before --sell-from");
    add_asked(s, from, to, given_real(q, PIGS), given_is(q, PRICE) ? given_real(q, PRICE) : 100.0);
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
    if (given_is(q, SELL_FROM)) {
        st = typed_asked(s, why);
    } else {
        for (size_t i = 0; i < n; i++) {
            const int64_t from = fact_whole(kind, facts[i].value, "from", 0);
            const double price = fact_real(kind, facts[i].value, "price");
            add_asked(s, from, fact_whole(kind, facts[i].value, "to", from + 6),
                      (double)fact_whole(kind, facts[i].value, "pigs", 0),
                      given_is(q, PRICE) ? given_real(q, PRICE)
                      : isfinite(price)  ? price
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
    s->boars = s->herd.n_boars;
    for (size_t i = 0; i < s->herd.n_boars; i++) {
        const struct herd_boar *b = &s->herd.boars[i];
        const size_t most = b->sows_most >= 0                         ? (size_t)b->sows_most
                            : herd_boar_young(b->born_days, s->today) ? HERD_YOUNG_BOAR_SOWS
                                                                      : s->n_sows;
        s->boar_places += most;
    }
    s->costs = plan_default();
    s->costs.n_days = SEASON_DAYS;
    s->costs.first_day = s->today;
    s->costs.asked = s->asked;
    s->costs.n_asked = s->n_asked;
    s->costs.ready_d = given_real(s->q, AGE);
    s->costs.huts = s->huts;
    s->costs.n_winters = s->n_winters;
    s->costs.in_hut = s->in_hut;
    s->costs.in_open = s->in_open;
    s->costs.danger_cost = or_share(s, DANGER_COST, 2.0, "a litter born into danger of cold counts");
    s->costs.late_price = or_share(s, LATE_PRICE, 0.5, "a pig that nobody asked for in time fetches");
    s->costs.keep_cost = or_share(s, KEEP_COST, 0.01, "a day of waiting costs");
    answer_words(s->assumed, "a boar that takes no sow at all: 5 in 100 (judgement)");
    answer_words(s->assumed, "a sow takes the hut that is put out for her: 75 in 100 (judgement)");
    answer_words(s->assumed, "a pig ready more than six weeks before it is asked for is no longer what was asked for");
    answer_words(s->assumed, "she holds it from 7 days before the litter to 14 after it");
    answer_words(s->assumed,
                 "seven born a litter, 13.5 in 100 lost by weaning; her own litters count as far as there are any");
}

/* ---- said ---- */

static const char *day_words(const struct season *s, int64_t day)
{
    const struct civil c = civil_from_days(day);
    return arena_print(s->q->mem, "%s %d %s %d", when_weekday[civil_weekday(day)], c.day, when_month[c.month], c.year);
}

static void spread(struct answer *row, const char *key, const struct plan_spread *x)
{
    struct answer *o = answer_object(row, key);

    answer_real(o, "mean", x->mean);
    answer_real(o, "p05", x->p05);
    answer_real(o, "p50", x->p50);
    answer_real(o, "p95", x->p95);
}

static void day_or_null(struct answer *row, const char *key, int64_t day, int64_t add)
{
    if (day == INT64_MIN)
        answer_null(row, key, "no litter is expected");
    else
        answer_day(row, key, day + add);
}

static void answer_try(const struct season *s, const struct season_try *t, struct answer *row)
{
    const int64_t age = llround(s->costs.ready_d);

    answer_day(row, "boar_in", t->boar_in);
    answer_day(row, "boar_out", t->boar_out);
    day_or_null(row, "first_litters", t->first_litters, 0);
    day_or_null(row, "last_litters", t->last_litters, 0);
    day_or_null(row, "ready_from", t->first_litters, age);
    day_or_null(row, "ready_to", t->last_litters, age);
    answer_real(row, "litters", t->exact.litters);
    answer_real(row, "pigs", t->exact.pigs);
    answer_real_or(row, "danger_litters", t->exact.danger, "no past hours of weather are kept for that time of year");
    answer_whole(row, "huts_wanted", (int64_t)t->exact.huts_worst);
    answer_whole(row, "worst_night", (int64_t)t->exact.night_p90);
    answer_real(row, "bad_season", t->winters.bad_p);
    spread(row, "in_time", &t->winters.in_time);
    spread(row, "late", &t->winters.late);
    spread(row, "in_danger", &t->winters.danger);
    spread(row, "worth", &t->winters.worth);
}

static void answer_days(const struct season *s, const struct season_try *t, struct answer *list)
{
    for (size_t d = 0; d < SEASON_DAYS; d++) {
        const struct plan_day *x = &t->exact.day[d];
        if (x->huts < 1e-4 && (d >= t->exact.n_ready || t->exact.ready[d] < 1e-4))
            continue;
        struct answer *row = answer_item(list);
        answer_day(row, "day", s->today + (int64_t)d);
        answer_real(row, "litters", x->litters);
        answer_real(row, "huts", x->huts);
        answer_real(row, "huts_p90", x->huts_p90);
        answer_real(row, "short", x->short_p);
        answer_real(row, "danger", x->danger);
        answer_real(row, "ready", t->exact.ready[d]);
    }
}

static bool low_fertility(const struct season *s, const struct season_try *t)
{
    const int shift = s->herd.place.lat_deg < 0.0 ? 6 : 0;

    for (int64_t d = t->boar_in; d <= t->boar_out; d++) {
        const int month = (civil_from_days(d).month - 1 + shift) % 12 + 1;
        if (month >= 7 && month <= 9)
            return true;
    }
    return false;
}

static void answer_cautions(const struct season *s, const struct season_try *t, struct answer *list)
{
    if (low_fertility(s, t))
        answer_words(list, "He would serve in the warm weeks, in which fewer sows take: one in five fewer as a rule. A "
                           "second scan tells "
                           "early who is empty.");
    if (s->n_sows > s->boar_places)
        answer_words(list, arena_print(s->q->mem,
                                       "%zu sows for boars that may have %zu between them: the plan takes each heat as "
                                       "served.",
                                       s->n_sows, s->boar_places));
    if (s->n_winters == 0)
        answer_words(list, "No past winters are kept here: the cold is in none of these figures. Bring some years of a "
                           "station near by in.");
    else if (isnan(t->exact.danger))
        answer_words(list, "Past hours are kept for a part of the year only: where they fail the cold is not counted.");
    answer_words(list, "Danger is about cold at birth, not about how many die.");
    answer_words(list, "Boars: never with your back to one, never without a board and a way out. Strangers are kept "
                       "apart as long as your "
                       "vet asks for.");
}

/* ---- put ---- */

/* A week whose cold is not known is not set beside those whose cold is, as long as there are such. */
static bool better(const struct season_try *t, double worth, bool known)
{
    const bool this_known = !isnan(t->exact.danger);

    return this_known != known ? this_known : t->winters.worth.mean > worth;
}

static enum status curve(struct season *s, int64_t stay, struct answer *list, int64_t *best_in, struct message *why)
{
    const int64_t first = s->today + 7 - (int64_t)civil_weekday(s->today); /* the next Monday */
    enum status st = ST_OK;
    double best = -INFINITY;
    bool known = false;

    for (int64_t w = 0; w < WEEKS && st == ST_OK; w++) {
        struct season_try t;
        struct arena mem;
        arena_open(&mem, (size_t)64 << 20);
        st = season_reckon(s, first + 7 * w, first + 7 * w + stay, CURVE_WINTERS, &mem, &t, why);
        if (st == ST_OK) {
            answer_try(s, &t, answer_item(list));
            if (better(&t, best, known)) {
                best = t.winters.worth.mean;
                known = !isnan(t.exact.danger);
                *best_in = t.boar_in;
            }
        }
        arena_close(&mem);
    }
    return st;
}

static void answer_sows(const struct season *s, struct answer *list)
{
    for (size_t i = 0; i < s->n_sows; i++) {
        const struct season_sow *w = &s->sows[i];
        struct answer *row = answer_item(list);
        answer_text(row, "name", w->name);
        answer_moment(row, "free_from", w->free_utc_s);
        answer_flag(row, "expected", w->expected);
        answer_real(row, "weans", w->litter);
    }
}

static void lead(const struct season *s, const struct season_try *t, struct answer *a)
{
    if (s->n_asked == 0 && s->over > 0) {
        answer_text(a, "says", "The weeks in which people asked are over. Write down those to come.");
        return;
    }
    if (s->n_asked == 0) {
        answer_text(
            a, "says",
            "Nothing is written down of what people ask for. Write from which day to which, and how many pigs.");
        return;
    }
    if (t->first_litters == INT64_MIN) {
        answer_print(a, "says", "With the boar in on %s no litter is expected: nobody is free for him by then.",
                     day_words(s, t->boar_in));
        return;
    }
    answer_print(a, "says",
                 "Boar in on %s, out on %s. Litters from %s to %s; pigs ready from %s. Of %.0f asked for %.0f in time "
                 "(%.0f to %.0f).",
                 day_words(s, t->boar_in), day_words(s, t->boar_out), day_words(s, t->first_litters),
                 day_words(s, t->last_litters), day_words(s, t->first_litters + llround(s->costs.ready_d)),
                 s->asked_pigs, t->winters.in_time.mean, t->winters.in_time.p05, t->winters.in_time.p95);
}

static enum status plan_of(struct season *s, struct answer *a, struct message *why)
{
    const struct asked *q = s->q;
    const int64_t stay = llround(given_real(q, STAY));
    struct answer *by_week = answer_list(a, "by_week");
    int64_t in = given_is(q, BOAR_IN) ? given_when(q, BOAR_IN) : s->today + 7;
    int64_t out = INT64_MIN;
    struct season_try t, later;

    if (in < s->today - 30 || in > s->today + 400)
        return refuse(ST_BAD_INPUT, why, "boar-in", "--boar-in: give a day from last month to 400 days on");
    enum status st = curve(s, stay, by_week, given_is(q, BOAR_IN) ? &out : &in, why);
    out = given_is(q, BOAR_OUT) ? given_when(q, BOAR_OUT) : in + stay;
    if (st == ST_OK && (out <= in || out > in + 120))
        return refuse(ST_BAD_INPUT, why, "boar-out", "--boar-out: give a day after --boar-in, 120 days later at most");
    if (st == ST_OK)
        st = season_reckon(s, in, out, (size_t)given_real(q, WINTERS), q->mem, &t, why);
    if (st == ST_OK)
        st = season_reckon(s, in + 14, out + 14, (size_t)given_real(q, WINTERS), q->mem, &later, why);
    if (st != ST_OK)
        return st;
    answer_try(s, &t, answer_object(a, "plan"));
    answer_try(s, &later, answer_object(a, "two_weeks_later"));
    answer_days(s, &t, answer_list(a, "by_day"));
    struct answer *events = answer_list(a, "events");
    if (s->n_asked > 0)
        season_diary(s, &t, events);
    lead(s, &t, a);
    answer_cautions(s, &t, answer_list(a, "cautions"));
    return ST_OK;
}

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct season *s = ARENA_NEW(q->mem, struct season, 1);

    if (!s)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    s->q = q;
    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &s->herd, why);
    if (st != ST_OK)
        return st;
    const struct civil now = when_local(s->herd.zone, q->at_utc_s);
    s->today = civil_days(now.year, now.month, now.day);
    answer_moment(a, "at", q->at_utc_s);
    s->assumed = asked_assumed(q, a);
    st = what_is_asked(s, why);
    if (st == ST_OK)
        st = season_sows(s, given_real(q, WEANING), why);
    if (st == ST_OK)
        st = season_cold(s, answer_list(a, "cold_weeks"), why);
    if (st != ST_OK)
        return st;
    costs_of(s);
    answer_real(a, "asked_pigs", s->asked_pigs);
    answer_whole(a, "huts", (int64_t)s->huts);
    answer_whole(a, "winters", (int64_t)s->n_winters);
    answer_text(a, "hut", s->hut);
    answer_real_or(a, "hut_facing_deg", s->facing_deg, "no past hours are kept");
    answer_sows(s, answer_list(a, "sows"));
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

#define SPREAD(path, help)                                                                                             \
    { path, SHAPE_OBJECT, false, help }, { path ".mean", SHAPE_REAL, false, "" },                                      \
        { path ".p05", SHAPE_REAL, false, "" }, { path ".p50", SHAPE_REAL, false, "" },                                \
    {                                                                                                                  \
        path ".p95", SHAPE_REAL, false, "nine seasons of ten lie between p05 and p95"                                  \
    }
#define TRY(path)                                                                                                      \
    { path ".boar_in", SHAPE_DAY, false, "" }, { path ".boar_out", SHAPE_DAY, false, "" },                             \
        { path ".first_litters", SHAPE_DAY, true, "nine litters of ten come between this and last_litters" },          \
        { path ".last_litters", SHAPE_DAY, true, "" }, { path ".ready_from", SHAPE_DAY, true, "" },                    \
        { path ".ready_to", SHAPE_DAY, true, "" }, { path ".litters", SHAPE_REAL, false, "expected" },                 \
        { path ".pigs", SHAPE_REAL, false, "expected to be weaned" },                                                  \
        { path ".danger_litters", SHAPE_REAL, true, "expected litters born into danger of cold" },                     \
        { path ".huts_wanted", SHAPE_WHOLE, false, "enough in nine seasons of ten" },                                  \
        { path ".worst_night", SHAPE_WHOLE, false, "sows that farrow on the fullest night, nine seasons of ten" },     \
        { path ".bad_season", SHAPE_REAL, false, "chance that less than half of what is asked for is sold in time" },  \
        SPREAD(path ".in_time", "pigs sold when asked for"), SPREAD(path ".late", "pigs nobody asked for in time"),    \
        SPREAD(path ".in_danger", "litters born into danger"),                                                         \
        SPREAD(path ".worth", "in the farm's own money, less what danger, waiting and lateness count")

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "" },
    { "assumed", SHAPE_LIST, false, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
    { "cold_weeks", SHAPE_LIST, false, "weeks of the year from 1 January, over past years; empty without them" },
    { "cold_weeks[]", SHAPE_OBJECT, false, "" },
    { "cold_weeks[].week", SHAPE_WHOLE, false, "1 .. 52" },
    { "cold_weeks[].years", SHAPE_WHOLE, false, "with five known days or more" },
    { "cold_weeks[].danger_in_hut", SHAPE_REAL, true, "share of births in danger of cold" },
    { "cold_weeks[].danger_in_hut_p10", SHAPE_REAL, true, "between years" },
    { "cold_weeks[].danger_in_hut_p90", SHAPE_REAL, true, "" },
    { "cold_weeks[].danger_in_open", SHAPE_REAL, true, "" },
    { "cold_weeks[].danger_in_open_p10", SHAPE_REAL, true, "" },
    { "cold_weeks[].danger_in_open_p90", SHAPE_REAL, true, "" },
    { "cold_weeks[].too_warm", SHAPE_REAL, true, "share of births in hours with heat grade 3 or 4 in the hut" },
    { "cold_weeks[].nights_under_minus_10", SHAPE_REAL, true, "of seven" },
    { "cold_weeks[].nights_under_minus_10_p90", SHAPE_REAL, true, "" },
    { "asked_pigs", SHAPE_REAL, false, "" },
    { "huts", SHAPE_WHOLE, false, "there are" },
    { "winters", SHAPE_WHOLE, false, "of the past, laid under the plan" },
    { "hut", SHAPE_TEXT, true, "the cold is that of a hut of this make" },
    { "hut_facing_deg", SHAPE_REAL, true, "turned its best way" },
    { "sows", SHAPE_LIST, false, "" },
    { "sows[]", SHAPE_OBJECT, false, "" },
    { "sows[].name", SHAPE_TEXT, false, "" },
    { "sows[].free_from", SHAPE_MOMENT, false, "free for the boar" },
    { "sows[].expected", SHAPE_FLAG, false, "reckoned: she has still to farrow" },
    { "sows[].weans", SHAPE_REAL, false, "pigs, on average" },
    { "asked", SHAPE_LIST, false, "" },
    { "asked[]", SHAPE_OBJECT, false, "" },
    { "asked[].from", SHAPE_DAY, false, "" },
    { "asked[].to", SHAPE_DAY, false, "" },
    { "asked[].pigs", SHAPE_REAL, false, "" },
    { "asked[].price", SHAPE_REAL, false, "" },
    { "by_week", SHAPE_LIST, false, "the boar in on each Monday of the coming year" },
    { "by_week[]", SHAPE_OBJECT, false, "" },
    TRY("by_week[]"),
    { "plan", SHAPE_OBJECT, false, "the best of them, or the days asked about" },
    TRY("plan"),
    { "two_weeks_later", SHAPE_OBJECT, false, "the same with the boar two weeks later" },
    TRY("two_weeks_later"),
    { "by_day", SHAPE_LIST, false, "of the plan, days on which something is" },
    { "by_day[]", SHAPE_OBJECT, false, "" },
    { "by_day[].day", SHAPE_DAY, false, "" },
    { "by_day[].litters", SHAPE_REAL, false, "expected" },
    { "by_day[].huts", SHAPE_REAL, false, "in use, expected" },
    { "by_day[].huts_p90", SHAPE_REAL, false, "enough in nine seasons of ten" },
    { "by_day[].short", SHAPE_REAL, false, "chance that there are too few" },
    { "by_day[].danger", SHAPE_REAL, true, "litters born into danger, expected" },
    { "by_day[].ready", SHAPE_REAL, false, "pigs that become ready, expected" },
    { "events", SHAPE_LIST, false, "the diary" },
    { "events[]", SHAPE_OBJECT, false, "" },
    { "events[].key", SHAPE_TEXT, false, "" },
    { "events[].from", SHAPE_DAY, false, "" },
    { "events[].to", SHAPE_DAY, false, "the last day, included" },
    { "events[].title", SHAPE_TEXT, false, "" },
    { "events[].says", SHAPE_TEXT, true, "" },
    { "says", SHAPE_TEXT, false, "" },
    { "cautions", SHAPE_LIST, false, "" },
    { "cautions[]", SHAPE_TEXT, false, "" },
};

const struct question question_season = {
    "season",  "When the boar goes in so that pigs are ready when people ask, and what each week would cost",
    params,    COUNT(params),
    shape,     COUNT(shape),
    "by_week", put,
};
