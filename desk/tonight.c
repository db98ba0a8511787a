/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tonight: who may farrow, how dangerous is each hour, what should each sow have, before when. The main job. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "desk/memory.h"
#include "desk/night.h"
#include "desk/tonight_inside.h"
#include "desk/tonight_words.h"
#include "desk/when.h"
#include "desk/window.h"

static const char *const cautions[] = {
    "This is reckoned from records and a forecast. It never replaces going out to look.",
    "A sow with a litter or a nest may turn on anyone: keep a board and a way out, and never go in alone with your "
    "back to her.",
    "Two people carry a hut; tie it down. Keep heat lamps and flames away from straw.",
    "Dry a chilled piglet and warm it at 34-35 °C (93-95 °F) before it gets milk; then back to the udder. Ask your vet "
    "about any that fail.",
    "Local rules and your vet come first.",
};

/* ---- sows -------------------------------------------------------------------------------------------------------- */

int64_t tonight_moment(const struct night *n, double h)
{
    const int64_t at = n->coming->from_utc_s + (int64_t)llround(h * (double)HOUR_S);
    return at > n->herd->at_utc_s ? at : n->herd->at_utc_s;
}

/* The moment by which a deadline asks for the work, null when there is none. */
static void answer_deadline(const struct night *n, struct answer *a, size_t option, const struct watch_deadline *d)
{
    if (isfinite(d->by_h)) {
        bool by_day = false;
        answer_moment(a, "deadline", tonight_moment(n, tonight_deadline_h(n, option, d, &by_day)));
        answer_text(a, "deadline_because",
                    by_day ? "in the last daylight before her hours" : tonight_deadline_words(d->why));
    } else {
        answer_null(a, "deadline", NULL);
    }
}

static void answer_chances(struct answer *row, const char *key, const struct watch_chance *c)
{
    struct answer *a = answer_object(row, key);
    answer_real(a, "danger", c->danger);
    answer_real(a, "runt_danger", c->runt_danger);
    answer_real(a, "cold", c->cold);
    answer_real(a, "unfit", c->unfit);
    answer_real(a, "heat", c->heat);
    answer_real(a, "shortfall_c", c->shortfall_c);
}

static void answer_when(const struct night *n, const struct night_sow *s, struct answer *row)
{
    const struct breeding_posterior *p = &s->post;
    const int64_t at = n->herd->at_utc_s, midnight = when_next_clock(n->herd->zone, at, 0, 0);
    const int64_t dawn = when_next_clock(n->herd->zone, at, 6, 0);

    answer_real(row, "p_before_midnight", breeding_between(&p->density, at, midnight));
    answer_real(row, "p_before_dawn", breeding_between(&p->density, at, dawn));
    answer_real(row, "p_within_12h", breeding_between(&p->density, at, at + 12 * HOUR_S));
    answer_real(row, "p_within_24h", breeding_between(&p->density, at, at + 24 * HOUR_S));
    answer_real(row, "p_within_48h", breeding_between(&p->density, at, at + 48 * HOUR_S));
    answer_real(row, "p_within_72h", breeding_between(&p->density, at, at + 72 * HOUR_S));
    answer_real(row, "p_not_pregnant", breeding_not_pregnant(p));
    answer_real(row, "p_farrowed_unseen", p->already);
    window_answer(p, row);
}

enum breeding_watch tonight_watch(const struct night *n, size_t sow)
{
    return herd_watch(&n->sows[sow].post, coming_frost_within(n->coming, n->n_hours < 12 ? n->n_hours : 12));
}

static void answer_notes(const struct night_sow *s, struct answer *row)
{
    struct answer *list = answer_list(row, "notes");
    for (unsigned c = 0; c < BC_END; c++)
        if (s->post.notes.cautions & (1u << c))
            answer_words(list, breeding_caution_words[c]);
}

static void answer_sow(const struct night *n, const struct watch_plan *plan, size_t rank, bool hours_too,
                       struct answer *list)
{
    const struct watch_advice *v = &plan->advice[rank];
    const struct night_sow *s = &n->sows[v->sow];
    const struct herd_sow *h = &n->herd->sows[s->herd];
    const struct watch_action *action = tonight_action_of(plan, v);
    struct answer *row = answer_item(list);

    answer_text(row, "name", h->name);
    answer_flag(row, "gilt", h->gilt);
    answer_flag(row, "near", s->near);
    answer_when(n, s, row);
    answer_text(row, "watch", breeding_watch_words[tonight_watch(n, (size_t)(s - n->sows))]);
    answer_moment_or(row, "last_look", h->last_look_utc_s, "no look is recorded");
    answer_text(row, "lies", tonight_place_words(n, n->watch.sows[v->sow].lies));
    answer_text(row, "ready_now", v->now_option == WATCH_NONE ? NULL : n->sites[n->options[v->now_option].site].name);
    answer_text(row, "serves", v->option == WATCH_NONE ? NULL : n->sites[n->options[v->option].site].name);
    answer_real(row, "p_use", n->watch.sows[v->sow].p_use);
    tonight_place(n, v->now_option == WATCH_NONE ? n->watch.sows[v->sow].lies : v->now_option, "place_now", row);
    if (v->option != WATCH_NONE)
        tonight_place(n, v->option, "place_after", row);
    answer_text(row, "do", tonight_do(n, plan, v, action));
    if (action)
        answer_deadline(n, row, action->option, &action->deadline);
    else
        answer_null(row, "deadline", NULL);
    answer_text(row, "why", tonight_why(n, plan, v));
    answer_chances(row, "now", &v->now);
    answer_chances(row, "after", &v->after);
    answer_real(row, "least_danger", v->least_danger);
    answer_real(row, "most_danger", v->most_danger);
    answer_real(row, "agree", v->agree);
    answer_text(row, "how_sure", tonight_how_sure(n, v));
    if (v->to_h > v->from_h) {
        answer_moment(row, "hours_that_matter_from", tonight_moment(n, (double)v->from_h));
        answer_moment(row, "hours_that_matter_to", tonight_moment(n, (double)v->to_h));
    }
    struct answer *record = answer_list(row, "record");
    /* the others are said once, of the whole night */
    for (unsigned bit = WATCH_RECORD_SIGNS; bit <= WATCH_RECORD_NEST; bit <<= 1)
        if (v->record & bit)
            answer_words(record, tonight_record_words(n, bit, h->name));
    answer_notes(s, row);
    if (hours_too || s->near)
        tonight_columns(n, v, s, row);
}

/* Most in need first: the danger of the coming day, then what the watch says of all hours. */
static void by_need(const struct night *n, const struct watch_plan *plan, size_t order[])
{
    for (size_t i = 0; i < plan->n_advice; i++) {
        size_t at = i;
        const double mine = tonight_danger_of_a_day(n, &plan->advice[i]);
        while (at > 0 && tonight_danger_of_a_day(n, &plan->advice[order[at - 1]]) < mine - 0.01) {
            order[at] = order[at - 1];
            at--;
        }
        order[at] = i;
    }
}

/* ---- jobs -------------------------------------------------------------------------------------------------------- */

static double shown_h(const struct night *n, const struct watch_action *act)
{
    bool by_day = false;
    return isfinite(act->deadline.by_h) ? tonight_deadline_h(n, act->option, &act->deadline, &by_day) : 1e9;
}

void tonight_by_deadline(const struct night *n, const struct watch_plan *plan, size_t order[])
{
    for (size_t i = 0; i < plan->n_actions; i++) {
        size_t at = i;
        for (; at > 0; at--) {
            const struct watch_action *a = &plan->actions[order[at - 1]], *b = &plan->actions[i];
            const double first = shown_h(n, a), mine = shown_h(n, b);
            if (first < mine || (!(first > mine) && a->gain_c >= b->gain_c))
                break;
            order[at] = order[at - 1];
        }
        order[at] = i;
    }
}

static void answer_jobs(const struct night *n, const struct watch_plan *plan, struct answer *a)
{
    struct answer *list = answer_list(a, "jobs");
    size_t *order = ARENA_NEW(n->mem, size_t, plan->n_actions + 1);

    if (!order)
        return; /* the arena is full, and the question says so at its end */
    tonight_by_deadline(n, plan, order);
    for (size_t i = 0; i < plan->n_actions; i++) {
        const struct watch_action *act = &plan->actions[order[i]];
        const struct watch_option *o = &n->watch.options[act->option];
        struct answer *row = answer_item(list);
        answer_text(row, "place", n->sites[n->options[act->option].site].name);
        answer_text(row, "do", night_do(n, act->option));
        answer_deadline(n, row, act->option, &act->deadline);
        if (isfinite(act->deadline.by_h)) {
            bool by_day = false;
            answer_moment(row, "start_by",
                          tonight_moment(n, fmax(0.0, tonight_deadline_h(n, act->option, &act->deadline, &by_day) -
                                                          o->minutes / 60.0)));
        }
        struct answer *sows = answer_list(row, "sows");
        for (size_t k = 0; k < act->n_sows; k++)
            answer_words(sows, n->watch.sows[act->sows[k]].key);
        answer_flag(row, "spare", act->n_sows == 0);
        answer_real(row, "minutes", o->minutes);
        answer_whole(row, "people", o->people);
        answer_real(row, "straw_kg", o->straw_kg);
        answer_whole(row, "flaps", o->flaps);
        answer_whole(row, "bales", o->bales);
        answer_real(row, "danger_before", act->danger_before);
        answer_real(row, "danger_after", act->danger_after);
        answer_real(row, "agree", act->agree);
        tonight_lay(n, act->option, row);
    }
}

/* ---- the rest of the herd ---------------------------------------------------------------------------------------- */

static void answer_heat(const struct night *n, const struct watch_plan *plan, struct answer *a)
{
    struct answer *list = answer_list(a, "heat");

    for (size_t i = 0; i < plan->n_heat; i++) {
        const struct watch_heat *h = &plan->heat[i];
        struct answer *row = answer_item(list);
        answer_text(row, "sow", h->sow == WATCH_NONE ? NULL : n->watch.sows[h->sow].key);
        answer_text(row, "place", n->sites[n->options[h->option].site].name);
        answer_moment(row, "from", tonight_moment(n, (double)h->from_h));
        answer_whole(row, "hours", (int64_t)h->n_hours);
        answer_whole(row, "grade", h->worst_grade);
        answer_text(row, "do", tonight_heat_words(n, h));
    }
}

static void answer_others(const struct night *n, struct answer *a)
{
    struct answer *list = answer_list(a, "others");

    for (size_t i = 0; i < n->herd->n_sows; i++) {
        const struct herd_sow *s = &n->herd->sows[i];
        if (s->state == HERD_SERVED)
            continue;
        struct answer *row = answer_item(list);
        answer_text(row, "name", s->name);
        answer_text(row, "state", herd_state_name[s->state]);
        answer_text(row, "says", tonight_other_words(n, s));
    }
}

/* What would make the whole night surer: a forecast, and how the straw lies where it is near a limit. */
static void answer_record(const struct night *n, const struct watch_plan *plan, struct answer *list)
{
    const char *places = NULL;
    bool *named = ARENA_NEW(n->mem, bool, n->n_sites + 1), weather = false;

    for (size_t i = 0; named && i < plan->n_advice; i++) {
        const struct watch_advice *v = &plan->advice[i];
        const size_t site = n->options[v->option == WATCH_NONE ? n->watch.sows[v->sow].lies : v->option].site;
        weather = weather || (v->record & WATCH_RECORD_WEATHER);
        if (!(v->record & WATCH_RECORD_STRAW) || named[site] || n->sites[site].kind == NIGHT_GROUND)
            continue;
        named[site] = true;
        places = places ? arena_print(n->mem, "%s, %s", places, n->sites[site].name) : n->sites[site].name;
    }
    if (weather)
        answer_words(list, tonight_record_words(n, WATCH_RECORD_WEATHER, ""));
    if (places)
        answer_words(list, tonight_record_words(n, WATCH_RECORD_STRAW, places));
    for (size_t i = 0; i < n->herd->n_missing; i++)
        answer_words(list, n->herd->missing[i]);
}

static void answer_lists(const struct night *n, const struct watch_plan *plan, struct answer *a)
{
    struct answer *assumed = answer_list(a, "assumed"), *record = answer_list(a, "record"),
                  *c = answer_list(a, "cautions");

    for (size_t i = 0; i < n->n_assumed; i++)
        answer_words(assumed, n->assumed[i]);
    answer_record(n, plan, record);
    for (size_t i = 0; i < COUNT(cautions); i++)
        answer_words(c, cautions[i]);
}

enum status tonight_put(const struct asked *q, struct answer *a, struct message *why)
{
    struct herd herd;
    struct coming coming;
    struct night night;
    struct watch_plan plan;
    const size_t horizon = (size_t)ceil(given_real(q, TONIGHT_HORIZON) * 24.0);

    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &herd, why);
    if (st == ST_OK)
        st = coming_read(q->farm, &herd.place, herd.zone, q->at_utc_s, herd.known_to, 48, horizon + 6, q->mem, &coming,
                         why);
    const struct night_ask ask = { .n_hours = horizon,
                                   .seen_now = given_flag(q, TONIGHT_SEEN_NOW),
                                   .kept = desk_memory_cells(q->memory) };
    if (st == ST_OK)
        st = night_lay_out(&herd, &coming, &ask, q->mem, &night, why);
    if (st == ST_OK)
        st = watch_plan(&night.watch, &watch_usual_weights, q->mem, &plan, why);
    if (st != ST_OK)
        return st;

    answer_moment(a, "at", q->at_utc_s);
    answer_whole(a, "known_to", herd.known_to);
    answer_text(a, "farm", herd.place.name);
    answer_real(a, "horizon_h", (double)night.n_hours);
    answer_text(a, "in_short", tonight_in_short(&night, &plan));
    answer_jobs(&night, &plan, a);
    struct answer *sows = answer_list(a, "sows");
    size_t *order = ARENA_NEW(q->mem, size_t, plan.n_advice + 1);
    if (!order)
        return refuse(ST_NO_MEMORY, why, "", "too many sows to hold at once");
    by_need(&night, &plan, order);
    for (size_t i = 0; i < plan.n_advice; i++)
        answer_sow(&night, &plan, order[i], given_flag(q, TONIGHT_HOURS_TOO), sows);
    st = tonight_rounds(q, &night, &plan, a, why);
    if (st == ST_OK)
        st = tonight_looks(&night, &plan, a, why);
    if (st != ST_OK)
        return st;
    st = tonight_farrowing(&night, a, why);
    if (st == ST_OK)
        st = tonight_litters(&night, a, why);
    if (st != ST_OK)
        return st;
    answer_heat(&night, &plan, a);
    answer_others(&night, a);
    answer_text(a, "short_of", tonight_tight_words(&night, &plan));
    coming_answer(&coming, q->at_utc_s, a);
    answer_lists(&night, &plan, a);
    return ST_OK;
}
