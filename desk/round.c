/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * round: what must be done on this farm today, by when and why; each can be ticked off, and the tick is a fact.
 * calendar: the same for the weeks to come, with the days on which sows may farrow. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/in_100.h"
#include "desk/memory.h"
#include "desk/night.h"
#include "desk/prompts.h"
#include "desk/questions.h"
#include "desk/tonight_inside.h"
#include "desk/tonight_words.h"
#include "desk/when.h"

static int64_t today_of(const struct herd *h)
{
    const struct civil c = when_local(h->zone, h->at_utc_s);
    return civil_days(c.year, c.month, c.day);
}

/* Weather is wanted, but a day's round must not fail for want of it. */
static const struct coming *weather_if_any(const struct asked *q, const struct herd *h, struct coming *c,
                                           struct answer *a)
{
    struct message why = { "", "" };

    const enum status st = coming_read(q->farm, &h->place, h->zone, q->at_utc_s, h->known_to, 48, 54, q->mem, c, &why);
    arena_heed(q->mem, st);
    if (st == ST_OK)
        return c;
    answer_print(a, "no_weather", "What hangs on the weather is left out: %s", why.text);
    return NULL;
}

static void answer_prompt(const struct prompt *p, struct answer *row)
{
    answer_text(row, "key", p->key);
    answer_text(row, "short_key", p->short_key);
    answer_text(row, "kind", prompt_kind_name[p->kind]);
    answer_day(row, "day", p->day);
    answer_moment_or(row, "by", p->by_utc_s, NULL);
    answer_text(row, "who", *p->who ? p->who : NULL);
    answer_text(row, "where", *p->where ? p->where : NULL);
    answer_text(row, "what", p->what);
    answer_text(row, "why", *p->why ? p->why : NULL);
    answer_flag(row, "late", p->late);
    answer_flag(row, "ticked", p->ticked);
    answer_text(row, "ticked_by", *p->ticked_by ? p->ticked_by : NULL);
}

/* The jobs that the coming nights ask for, weighed as `tonight` weighs them, so that both pages say the same. */
static enum status night_jobs(const struct asked *q, const struct herd *h, struct answer *a, struct message *why)
{
    const struct night_ask ask = { .n_hours = 72, .kept = desk_memory_cells(q->memory) };
    struct coming c;
    struct night n;
    struct watch_plan plan;

    enum status st =
        coming_read(q->farm, &h->place, h->zone, q->at_utc_s, h->known_to, 48, ask.n_hours + 6, q->mem, &c, why);
    if (st == ST_OK)
        st = night_lay_out(h, &c, &ask, q->mem, &n, why);
    if (st == ST_OK)
        st = watch_plan(&n.watch, &watch_usual_weights, q->mem, &plan, why);
    size_t *order = st == ST_OK ? ARENA_NEW(q->mem, size_t, plan.n_actions + 1) : NULL;
    if (st == ST_OK && !order)
        st = refuse(ST_NO_MEMORY, why, "", "too many jobs to hold at once");
    if (st != ST_OK)
        return st;
    answer_text(a, "in_short", tonight_in_short(&n, &plan));
    struct answer *list = answer_list(a, "night_jobs");
    tonight_by_deadline(&n, &plan, order);
    for (size_t i = 0; i < plan.n_actions; i++) {
        const struct watch_action *act = &plan.actions[order[i]];
        struct answer *row = answer_item(list);
        bool by_day = false;
        answer_text(row, "place", n.sites[n.options[act->option].site].name);
        answer_text(row, "what", night_do(&n, act->option));
        if (isfinite(act->deadline.by_h))
            answer_moment(row, "by", tonight_moment(&n, tonight_deadline_h(&n, act->option, &act->deadline, &by_day)));
        else
            answer_null(row, "by", NULL);
        answer_text(row, "why",
                    by_day ? "in the last daylight before her hours" : tonight_deadline_words(act->deadline.why));
    }
    return st;
}

enum { AT };
static const struct param round_params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
};

static enum status put_round(const struct asked *q, struct answer *a, struct message *why)
{
    struct herd h;
    struct coming c;
    struct prompts p;
    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &h, why);

    if (st != ST_OK)
        return st;
    answer_moment(a, "at", h.at_utc_s);
    answer_whole(a, "known_to", h.known_to);
    const int64_t today = today_of(&h);
    answer_day(a, "day", today);
    const struct coming *weather = weather_if_any(q, &h, &c, a);
    st = prompts_fold(q->farm, &h, weather, today, today, q->mem, &p, why);
    if (st != ST_OK)
        return st;
    struct answer *list = answer_list(a, "to_do");
    size_t open = 0;
    for (size_t i = 0; i < p.n; i++) {
        answer_prompt(&p.prompt[i], answer_item(list));
        open += !p.prompt[i].ticked;
    }
    answer_whole(a, "open", (int64_t)open);
    if (weather)
        st = night_jobs(q, &h, a, why);
    else {
        answer_null(a, "in_short", NULL);
        (void)answer_list(a, "night_jobs");
    }
    struct answer *record = answer_list(a, "record"), *cautions = answer_list(a, "cautions");
    for (size_t i = 0; i < h.n_missing; i++)
        answer_words(record, h.missing[i]);
    answer_words(
        cautions,
        "Medicines, withdrawal and what may be fed are for your vet and local rules; these are reminders only.");
    answer_words(
        cautions,
        "Marking and handling piglets: a second person keeps the sow off. A boar is never turned your back on.");
    answer_words(
        cautions,
        "Switch the electric fence off before you work on it; carry water and straw on frozen ground in small loads.");
    return st;
}

#define SHAPE_PROMPT(list)                                                                                             \
    { list, SHAPE_LIST, false, "" }, { list "[]", SHAPE_OBJECT, false, "" },                                           \
        { list "[].key", SHAPE_TEXT, false, "tick it off with: leenest record tick --prompt KEY" },                    \
        { list "[].short_key", SHAPE_TEXT, false, "the same for typing, with the name in it" },                        \
        { list "[].kind", SHAPE_TEXT, false, "" }, { list "[].day", SHAPE_DAY, false, "" },                            \
        { list "[].by", SHAPE_MOMENT, true, "null: some time that day" }, { list "[].who", SHAPE_TEXT, true, "" },     \
        { list "[].where", SHAPE_TEXT, true, "" }, { list "[].what", SHAPE_TEXT, false, "" },                          \
        { list "[].why", SHAPE_TEXT, true, "" },                                                                       \
        { list "[].late", SHAPE_FLAG, false, "its day is past, and nobody has ticked it off" },                        \
        { list "[].ticked", SHAPE_FLAG, false, "" },                                                                   \
    {                                                                                                                  \
        list "[].ticked_by", SHAPE_TEXT, true, ""                                                                      \
    }

static const struct shape round_shape[] = {
    { "at", SHAPE_MOMENT, false, "" },
    { "known_to", SHAPE_WHOLE, false, "" },
    { "day", SHAPE_DAY, false, "" },
    { "no_weather", SHAPE_TEXT, true, "" },
    SHAPE_PROMPT("to_do"),
    { "open", SHAPE_WHOLE, false, "not ticked off yet" },
    { "in_short", SHAPE_TEXT, true, "the coming night in a sentence or two, as tonight says it; null without weather" },
    { "night_jobs", SHAPE_LIST, false, "what the coming nights ask for" },
    { "night_jobs[]", SHAPE_OBJECT, false, "" },
    { "night_jobs[].place", SHAPE_TEXT, false, "" },
    { "night_jobs[].what", SHAPE_TEXT, false, "" },
    { "night_jobs[].by", SHAPE_MOMENT, true, "" },
    { "night_jobs[].why", SHAPE_TEXT, true, "" },
    { "record", SHAPE_LIST, false, "" },
    { "record[]", SHAPE_TEXT, false, "" },
    { "cautions", SHAPE_LIST, false, "" },
    { "cautions[]", SHAPE_TEXT, false, "" },
    { "assumed", SHAPE_LIST, true, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
};

const struct question question_round = {
    "round",      "What must be done today, by when and why; tick off with: leenest record tick --prompt KEY",
    round_params, COUNT(round_params),
    round_shape,  COUNT(round_shape),
    "to_do",      put_round,
};

/* ---- calendar ---- */

enum { CAL_AT, CAL_DAYS };
static const struct param calendar_params[] = {
    [CAL_AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [CAL_DAYS] = { "days", P_WHOLE, Q_NUMBER, 1, 400, "150", NULL, 0, "how far ahead" },
};

static int64_t day_of(const struct herd *h, int64_t utc_s)
{
    const struct civil c = when_local(h->zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

struct event {
    const char *key;
    int64_t from, to;
    const char *title, *says;
};
struct events {
    size_t n, most;
    struct event *at;
};

static void event(struct events *e, const char *key, int64_t from, int64_t to, const char *title, const char *says)
{
    if (e->n < e->most && key && title)
        e->at[e->n++] = (struct event){ key, from, to, title, says && *says ? says : NULL };
}

static int by_day(const void *a, const void *b)
{
    const struct event *x = a, *y = b;
    if (x->from != y->from)
        return x->from < y->from ? -1 : 1;
    return strcmp(x->key, y->key);
}

static enum status windows(const struct asked *q, const struct herd *h, int64_t last, struct events *list,
                           struct message *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < h->n_sows && st == ST_OK; i++) {
        struct breeding_prior prior;
        struct breeding_posterior post;
        if (h->sows[i].state != HERD_SERVED)
            continue;
        st = herd_chance(h, i, BREEDING_SINCE_LAST_LOOK, NULL, q->mem, &prior, &post, why);
        if (st != ST_OK)
            return st;
        const int64_t from = breeding_quantile(&post.density, 0.05), to = breeding_quantile(&post.density, 0.95);
        const int64_t middle = breeding_quantile(&post.density, 0.5);
        if (from == BREEDING_NONE || post.p_pregnant < 0.05 || day_of(h, from) > last)
            continue;
        const struct civil m = when_local(h->zone, middle);
        event(list, arena_print(q->mem, "due:%s", h->sows[i].uid), day_of(h, from), day_of(h, to),
              arena_print(q->mem, "%s may farrow", h->sows[i].name),
              arena_print(q->mem, "Nine in ten, if she is in pig (%s); the middle is %d %s. Known: %s.",
                          in_100_words(post.p_pregnant, q->mem), m.day, when_month[m.month],
                          herd_known_words(h, i, q->mem)));
    }
    return st;
}

static enum status put_calendar(const struct asked *q, struct answer *a, struct message *why)
{
    struct herd h;
    struct prompts p;
    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &h, why);

    if (st != ST_OK)
        return st;
    struct events e = { 0, h.n_sows + PROMPTS_MOST, ARENA_NEW(q->mem, struct event, h.n_sows + PROMPTS_MOST) };
    if (!e.at)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    const int64_t today = today_of(&h), last = today + (int64_t)given_real(q, CAL_DAYS);
    answer_moment(a, "at", h.at_utc_s);
    answer_text(a, "farm", h.place.name);
    st = windows(q, &h, last, &e, why);
    if (st == ST_OK)
        st = prompts_fold(q->farm, &h, NULL, today, last, q->mem, &p, why);
    for (size_t i = 0; i < (st == ST_OK ? p.n : 0); i++) {
        const struct prompt *x = &p.prompt[i];
        if (x->kind == PROMPT_WATER || x->kind == PROMPT_LOOK || x->kind == PROMPT_RECORD || x->ticked || x->late ||
            (x->kind == PROMPT_FEED && strcmp(x->key, "feed") == 0))
            continue; /* the everyday work is the round's */
        event(&e, arena_print(q->mem, "%s@%lld", x->key, (long long)x->day), x->day, x->day, x->what, x->why);
    }
    qsort(e.at, e.n, sizeof *e.at, by_day);
    struct answer *list = answer_list(a, "events");
    for (size_t i = 0; i < e.n; i++) {
        struct answer *row = answer_item(list);
        answer_text(row, "key", e.at[i].key);
        answer_day(row, "from", e.at[i].from);
        answer_day(row, "to", e.at[i].to);
        answer_text(row, "title", e.at[i].title);
        answer_text(row, "says", e.at[i].says);
    }
    return st;
}

static const struct shape calendar_shape[] = {
    { "at", SHAPE_MOMENT, false, "" },
    { "farm", SHAPE_TEXT, true, "" },
    { "events", SHAPE_LIST, false, "whole days" },
    { "events[]", SHAPE_OBJECT, false, "" },
    { "events[].key", SHAPE_TEXT, false, "the same event keeps its key" },
    { "events[].from", SHAPE_DAY, false, "" },
    { "events[].to", SHAPE_DAY, false, "the last day, included" },
    { "events[].title", SHAPE_TEXT, false, "" },
    { "events[].says", SHAPE_TEXT, true, "" },
    { "assumed", SHAPE_LIST, true, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
};

const struct question question_calendar = {
    "calendar",      "The weeks to come: when sows may farrow and what falls due; --ics gives a calendar file",
    calendar_params, COUNT(calendar_params),
    calendar_shape,  COUNT(calendar_shape),
    "events",        put_calendar,
};
