/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tonight: who may farrow, how dangerous is each hour, what should each sow have, before when. The main job. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "desk/night.h"
#include "desk/questions.h"
#include "desk/tonight_words.h"
#include "desk/when.h"

enum { AT, HORIZON, SEEN_NOW, VISITS, HOURS_TOO };

static const struct param params[] = {
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the moment asked about; now unless given" },
    [HORIZON] = { "horizon", P_QUANTITY, Q_SPAN, 0.25, 10, "72h", NULL, 0, "how far ahead" },
    [SEEN_NOW] = { "seen-now", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                   "you have just walked round and none has farrowed" },
    [VISITS] = { "visits", P_WHOLE, Q_NUMBER, 0, 12, "6", NULL, 0, "most visits to plan for one night" },
    [HOURS_TOO] = { "hours", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "list every sow's hours too" },
};

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

static int64_t moment_of(const struct night *n, double h)
{
    const int64_t at = n->coming->from_utc_s + (int64_t)llround(h * (double)HOUR_S);
    return at > n->herd->at_utc_s ? at : n->herd->at_utc_s;
}

/* The moment by which a deadline asks for the work, null when there is none. */
static void answer_deadline(const struct night *n, struct answer *a, size_t option, const struct watch_deadline *d)
{
    if (isfinite(d->by_h)) {
        bool by_day = false;
        answer_moment(a, "deadline", moment_of(n, tonight_deadline_h(n, option, d, &by_day)));
        answer_text(a, "deadline_because",
                    by_day ? "in the last daylight before her hours" : tonight_deadline_words(d->why));
    } else {
        answer_null(a, "deadline", NULL);
    }
}

static void answer_columns(const struct night *n, const struct watch_advice *v, const struct night_sow *s,
                           struct answer *row)
{
    const size_t hours = n->n_hours;
    const struct watch_sow *w = &n->watch.sows[v->sow];
    const struct night_option *now = &n->options[v->now_option == WATCH_NONE ? w->lies : v->now_option];
    const struct night_option *after = v->option == WATCH_NONE ? now : &n->options[v->option];
    double *grade_now = ARENA_NEW(n->mem, double, hours), *grade_after = ARENA_NEW(n->mem, double, hours);
    double *runt_now = ARENA_NEW(n->mem, double, hours), *runt_after = ARENA_NEW(n->mem, double, hours);
    struct answer *h = answer_object(row, "hours");

    if (!runt_after || !runt_now || !grade_after || !grade_now)
        return;
    for (size_t i = 0; i < hours; i++) {
        grade_now[i] = now->cells[i].grade;
        grade_after[i] = after->cells[i].grade;
        runt_now[i] = now->cells[i].runt_grade;
        runt_after[i] = after->cells[i].runt_grade;
    }
    answer_reals(h, "chance", s->birth, hours, 4);
    answer_reals(h, "danger_now", v->danger_now, hours, 4);
    answer_reals(h, "danger_after", v->danger_after, hours, 4);
    answer_reals(h, "grade_now", grade_now, hours, 0);
    answer_reals(h, "grade_after", grade_after, hours, 0);
    answer_reals(h, "runt_grade_now", runt_now, hours, 0);
    answer_reals(h, "runt_grade_after", runt_after, hours, 0);
    answer_reals(h, "feels_now_c", now->feels_c, hours, 1);
    answer_reals(h, "feels_after_c", after->feels_c, hours, 1);
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
    static const struct {
        const char *key;
        double q;
    } quantile[] = { { "from", 0.05 }, { "likeliest", 0.5 }, { "to", 0.95 } };
    struct answer *w = answer_object(row, "window");
    for (size_t i = 0; i < COUNT(quantile); i++) {
        const int64_t t = breeding_quantile(&p->density, quantile[i].q);
        if (t == BREEDING_NONE)
            answer_null(w, quantile[i].key, "nothing recorded gives a day");
        else
            answer_moment(w, quantile[i].key, t);
    }
}

static bool frost_within_12h(const struct night *n)
{
    for (size_t h = 0; h < 12 && h < n->n_hours; h++)
        if (n->coming->line[n->coming->n_before + h].temp_c < 0.0)
            return true;
    return false;
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
    answer_text(row, "watch", breeding_watch_words[herd_watch(&s->post, frost_within_12h(n))]);
    if (h->last_look_utc_s == BREEDING_NONE)
        answer_null(row, "last_look", "no look is recorded");
    else
        answer_moment(row, "last_look", h->last_look_utc_s);
    answer_text(row, "lies", tonight_place_words(n, n->watch.sows[v->sow].lies));
    answer_text(row, "ready_now", v->now_option == WATCH_NONE ? NULL : n->sites[n->options[v->now_option].site].name);
    answer_text(row, "serves", v->option == WATCH_NONE ? NULL : n->sites[n->options[v->option].site].name);
    answer_real(row, "p_use", n->watch.sows[v->sow].p_use);
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
        answer_moment(row, "hours_that_matter_from", moment_of(n, (double)v->from_h));
        answer_moment(row, "hours_that_matter_to", moment_of(n, (double)v->to_h));
    }
    struct answer *record = answer_list(row, "record");
    /* the others are said once, of the whole night */
    for (unsigned bit = WATCH_RECORD_SIGNS; bit <= WATCH_RECORD_NEST; bit <<= 1)
        if (v->record & bit)
            answer_words(record, tonight_record_words(n, bit, h->name));
    answer_notes(s, row);
    if (hours_too || s->near)
        answer_columns(n, v, s, row);
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

static void by_deadline(const struct night *n, const struct watch_plan *plan, size_t order[])
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
    by_deadline(n, plan, order);
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
                          moment_of(n, fmax(0.0, tonight_deadline_h(n, act->option, &act->deadline, &by_day) -
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
    }
}

/* ---- night rounds, and the look worth taking --------------------------------------------------------------------- */

static enum status answer_rounds(const struct asked *q, const struct night *n, const struct watch_plan *plan,
                                 struct answer *a, struct message *why)
{
    const int64_t at = n->herd->at_utc_s, six = when_next_clock(n->herd->zone, at, 18, 0);
    const int64_t from = six - at > 12 * HOUR_S ? at : six; /* evening, or what is left of the night */
    const int64_t until = when_next_clock(n->herd->zone, from + 60, 7, 0);
    const double **risk = ARENA_NEW(n->mem, const double *, n->n_sows + 1);
    struct watch_rounds rounds;

    if (!risk)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < plan->n_advice; i++) {
        double *r = ARENA_NEW(n->mem, double, n->n_hours);
        if (!r)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        for (size_t h = 0; h < n->n_hours; h++) /* births before the rounds begin are for the looks of the day */
            r[h] = plan->advice[i].danger_after[h] *
                   fmin(1.0, fmax(0.0, (double)h + 1.0 - (double)(from - n->coming->from_utc_s) / (double)HOUR_S));
        risk[plan->advice[i].sow] = r;
    }
    struct watch_rounds_ask ask = {
        .n_hours = n->n_hours,
        .n_sows = n->n_sows,
        .risk = risk,
        .slot_minutes = 30,
        .from_h = (double)(from - n->coming->from_utc_s) / (double)HOUR_S,
        .until_h = fmin((double)n->n_hours, (double)(until - n->coming->from_utc_s) / (double)HOUR_S),
        .most = (unsigned)given_real(q, VISITS),
        .enough = 0.35,
        .enough_chance = 0.02,
    };
    struct answer *o = answer_object(a, "rounds");
    if (n->n_sows == 0 || ask.most == 0 || ask.until_h - ask.from_h < 1.0) {
        answer_text(o, "says", "No visits planned.");
        return ST_OK;
    }
    const enum status st = watch_rounds(&ask, n->mem, &rounds, why);
    if (st != ST_OK)
        return st;
    answer_text(o, "says", tonight_rounds_words(n, &rounds));
    answer_moment(o, "sleep_from", moment_of(n, rounds.sleep_from_h));
    answer_moment(o, "sleep_to", moment_of(n, rounds.sleep_to_h));
    answer_flag(o, "enough", rounds.enough);
    answer_reals(o, "uncovered_by_visits", rounds.uncovered, ask.most + 1, 4);
    struct answer *visits = answer_list(o, "visits");
    for (size_t i = 0; i < rounds.n_visits; i++) {
        struct answer *row = answer_item(visits);
        answer_moment(row, "at", moment_of(n, rounds.visits[i].at_h));
        answer_real(row, "meets", rounds.visits[i].meets);
        struct answer *sows = answer_list(row, "look_at");
        for (size_t k = 0; k < rounds.visits[i].n_sows; k++)
            answer_words(sows, n->watch.sows[rounds.visits[i].sows[k]].key);
    }
    return ST_OK;
}

enum { LOOK_SOWS = 4, LOOK_TIMES = 2, LOOKS = LOOK_SOWS * LOOK_TIMES * 3, LOOKS_SHOWN = 3 };

/* One sow, one sign, on a walk that is taken anyway: what a look must be worth (judgement). */
static const double look_minutes = 2.0;

/* A sign stays till birth: once seen it need not be looked for again. */
static bool seen_already(const struct herd_sow *s, enum breeding_sign sign)
{
    for (size_t i = 0; i < s->evidence.n_looks; i++)
        if (s->evidence.looks[i].sign == sign && s->evidence.looks[i].present)
            return true;
    return false;
}

/* The same sow and sign at a better time. */
static bool said_before(const struct watch_look looks[], const struct watch_look_worth worth[], size_t i)
{
    const struct watch_look *l = &looks[worth[i].look];
    for (size_t k = 0; k < i; k++)
        if (looks[worth[k].look].sow == l->sow && strcmp(looks[worth[k].look].sign, l->sign) == 0)
            return true;
    return false;
}

static enum status answer_looks(const struct night *n, const struct watch_plan *plan, struct answer *a,
                                struct message *why)
{
    static const enum breeding_sign signs[] = { BS_NEST, BS_STREAMS, BS_UDDER };
    struct watch_look *looks = ARENA_NEW(n->mem, struct watch_look, LOOKS);
    struct watch_look_worth *worth = NULL;
    size_t count = 0, k = 0;
    struct answer *list = answer_list(a, "looks_worth_taking");

    if (!looks)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0, sows = 0; i < plan->n_advice && sows < LOOK_SOWS; i++) {
        const struct night_sow *s = &n->sows[plan->advice[i].sow];
        if (!s->near || !s->post.known)
            continue;
        sows++;
        for (size_t g = 0; g < COUNT(signs); g++)
            for (int t = 0; t < LOOK_TIMES && !seen_already(&n->herd->sows[s->herd], signs[g]); t++) {
                const double at_h = t == 0 ? 0.5 : 4.0;
                double *seen = ARENA_NEW(n->mem, double, n->n_hours), *not_seen = ARENA_NEW(n->mem, double, n->n_hours);
                struct breeding_ahead ahead;
                const struct breeding_look look = { .at_utc_s = moment_of(n, at_h) + 60, .sign = signs[g] };
                if (!seen || !not_seen)
                    return refuse(ST_NO_MEMORY, why, "", "out of memory");
                const enum status st = breeding_look_ahead(&s->post, &look, n->coming->from_utc_s, n->n_hours, seen,
                                                           not_seen, &ahead, why);
                if (st != ST_OK)
                    return st;
                looks[count++] = (struct watch_look){
                    plan->advice[i].sow, breeding_sign_name[signs[g]], at_h, ahead.p_seen, seen, not_seen
                };
            }
    }
    const enum status st =
        watch_looks(&n->watch, &watch_usual_weights, plan, count, looks, LOOKS, n->mem, &worth, &k, why);
    for (size_t i = 0, shown = 0; i < k && shown < LOOKS_SHOWN && st == ST_OK; i++) {
        const struct watch_look *l = &looks[worth[i].look];
        if (said_before(looks, worth, i) || worth[i].worth_c < look_minutes * watch_usual_weights.minute_c)
            continue;
        shown++;
        struct answer *row = answer_item(list);
        answer_text(row, "sow", n->watch.sows[l->sow].key);
        answer_text(row, "sign", l->sign);
        answer_moment(row, "at", moment_of(n, l->at_h));
        answer_real(row, "p_present", l->p_present);
        answer_real(row, "p_changes", worth[i].p_changes);
        answer_real(row, "worth_c", worth[i].worth_c);
        answer_text(row, "says", tonight_look_words(n, l, &worth[i]));
    }
    return st;
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
        answer_moment(row, "from", moment_of(n, (double)h->from_h));
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

static enum status put(const struct asked *q, struct answer *a, struct message *why)
{
    struct herd herd;
    struct coming coming;
    struct night night;
    struct watch_plan plan;
    const size_t horizon = (size_t)ceil(given_real(q, HORIZON) * 24.0);

    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, q->mem, &herd, why);
    if (st == ST_OK)
        st = coming_read(q->farm, &herd.place, herd.zone, q->at_utc_s, herd.known_to, 48, horizon + 6, q->mem, &coming,
                         why);
    const struct night_ask ask = { .n_hours = horizon, .seen_now = given_flag(q, SEEN_NOW) };
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
        answer_sow(&night, &plan, order[i], given_flag(q, HOURS_TOO), sows);
    st = answer_rounds(q, &night, &plan, a, why);
    if (st == ST_OK)
        st = answer_looks(&night, &plan, a, why);
    if (st != ST_OK)
        return st;
    answer_heat(&night, &plan, a);
    answer_others(&night, a);
    answer_text(a, "short_of", tonight_tight_words(&night, &plan));
    coming_answer(&coming, q->at_utc_s, a);
    answer_lists(&night, &plan, a);
    return ST_OK;
}

static const struct shape shape[] = {
    { "at", SHAPE_MOMENT, false, "the moment asked about" },
    { "known_to", SHAPE_WHOLE, false, "number of the newest change that was known" },
    { "farm", SHAPE_TEXT, true, "name of the farm" },
    { "horizon_h", SHAPE_REAL, false, "hours looked ahead" },
    { "in_short", SHAPE_TEXT, false, "who, what, before when, in one or two sentences" },
    { "jobs", SHAPE_LIST, false, "work to be done, by deadline" },
    { "jobs[]", SHAPE_OBJECT, false, "" },
    { "jobs[].place", SHAPE_TEXT, false, "the hut, nest or bed" },
    { "jobs[].do", SHAPE_TEXT, false, "what to do" },
    { "jobs[].deadline", SHAPE_MOMENT, true, "finished by" },
    { "jobs[].start_by", SHAPE_MOMENT, true, "begun by" },
    { "jobs[].sows", SHAPE_LIST, false, "whom it serves" },
    { "jobs[].sows[]", SHAPE_TEXT, false, "" },
    { "jobs[].spare", SHAPE_FLAG, false, "it serves none yet, and stands ready" },
    { "jobs[].minutes", SHAPE_REAL, false, "of work" },
    { "jobs[].people", SHAPE_WHOLE, false, "hands at once" },
    { "jobs[].straw_kg", SHAPE_REAL, false, "" },
    { "jobs[].flaps", SHAPE_WHOLE, false, "" },
    { "jobs[].bales", SHAPE_WHOLE, false, "for a wall" },
    { "jobs[].danger_before", SHAPE_REAL, false, "chance of farrowing into danger, summed over the sows it serves" },
    { "jobs[].danger_after", SHAPE_REAL, false, "" },
    { "jobs[].agree", SHAPE_REAL, true, "share of the forecasts tried that give the same advice" },
    { "sows", SHAPE_LIST, false, "served sows, most in need first" },
    { "sows[]", SHAPE_OBJECT, false, "" },
    { "sows[].name", SHAPE_TEXT, false, "" },
    { "sows[].gilt", SHAPE_FLAG, false, "has not farrowed before" },
    { "sows[].near", SHAPE_FLAG, false, "a place is made ready for her" },
    { "sows[].p_before_midnight", SHAPE_REAL, false, "chance that she farrows before midnight" },
    { "sows[].p_before_dawn", SHAPE_REAL, false, "before 06:00" },
    { "sows[].p_within_12h", SHAPE_REAL, false, "" },
    { "sows[].p_within_24h", SHAPE_REAL, false, "" },
    { "sows[].p_within_48h", SHAPE_REAL, false, "" },
    { "sows[].p_within_72h", SHAPE_REAL, false, "" },
    { "sows[].p_not_pregnant", SHAPE_REAL, true, "" },
    { "sows[].p_farrowed_unseen", SHAPE_REAL, true, "chance that she has farrowed since the last look" },
    { "sows[].window", SHAPE_OBJECT, false, "nine in ten births lie in it, given that she is pregnant" },
    { "sows[].window.from", SHAPE_MOMENT, true, "" },
    { "sows[].window.likeliest", SHAPE_MOMENT, true, "as many before as after" },
    { "sows[].window.to", SHAPE_MOMENT, true, "" },
    { "sows[].watch", SHAPE_TEXT, false, "how often to look" },
    { "sows[].last_look", SHAPE_MOMENT, true, "" },
    { "sows[].lies", SHAPE_TEXT, false, "where she farrows if nothing is done" },
    { "sows[].ready_now", SHAPE_TEXT, true, "what she could use if nothing is done" },
    { "sows[].serves", SHAPE_TEXT, true, "the place made ready for her" },
    { "sows[].p_use", SHAPE_REAL, false, "chance that she uses it" },
    { "sows[].do", SHAPE_TEXT, false, "one sentence of action" },
    { "sows[].deadline", SHAPE_MOMENT, true, "" },
    { "sows[].why", SHAPE_TEXT, false, "one sentence of why" },
    { "sows[].now", SHAPE_OBJECT, false, "if nothing is done" },
    { "sows[].now.danger", SHAPE_REAL, false, "chance that she farrows in hours of danger" },
    { "sows[].now.runt_danger", SHAPE_REAL, false, "the same for a small piglet" },
    { "sows[].now.cold", SHAPE_REAL, false, "merely cold hours" },
    { "sows[].now.unfit", SHAPE_REAL, false, "hours not fit for newborns" },
    { "sows[].now.heat", SHAPE_REAL, false, "hours too hot for the sow" },
    { "sows[].now.shortfall_c", SHAPE_REAL, false, "expected shortfall of the lowest body temperature from 34 C" },
    { "sows[].after", SHAPE_OBJECT, false, "with the plan" },
    { "sows[].after.danger", SHAPE_REAL, false, "" },
    { "sows[].after.runt_danger", SHAPE_REAL, false, "" },
    { "sows[].after.cold", SHAPE_REAL, false, "" },
    { "sows[].after.unfit", SHAPE_REAL, false, "" },
    { "sows[].after.heat", SHAPE_REAL, false, "" },
    { "sows[].after.shortfall_c", SHAPE_REAL, false, "" },
    { "sows[].least_danger", SHAPE_REAL, false, "of the forecasts tried" },
    { "sows[].most_danger", SHAPE_REAL, false, "" },
    { "sows[].agree", SHAPE_REAL, true, "share of the forecasts tried that give the same advice" },
    { "sows[].how_sure", SHAPE_TEXT, false, "" },
    { "sows[].hours_that_matter_from", SHAPE_MOMENT, true, "" },
    { "sows[].hours_that_matter_to", SHAPE_MOMENT, true, "" },
    { "sows[].record", SHAPE_LIST, false, "what to record to make it surer" },
    { "sows[].record[]", SHAPE_TEXT, false, "" },
    { "sows[].notes", SHAPE_LIST, false, "" },
    { "sows[].notes[]", SHAPE_TEXT, false, "" },
    { "sows[].hours", SHAPE_OBJECT, true, "columns; the first hour is weather.hours.time[0]" },
    { "sows[].hours.chance", SHAPE_REALS, false, "chance of first birth in the hour" },
    { "sows[].hours.danger_now", SHAPE_REALS, false, "" },
    { "sows[].hours.danger_after", SHAPE_REALS, false, "" },
    { "sows[].hours.grade_now", SHAPE_REALS, false, "0 bearable 1 cold 2 danger 3 not fit for newborns" },
    { "sows[].hours.grade_after", SHAPE_REALS, false, "" },
    { "sows[].hours.runt_grade_now", SHAPE_REALS, false, "" },
    { "sows[].hours.runt_grade_after", SHAPE_REALS, false, "" },
    { "sows[].hours.feels_now_c", SHAPE_REALS, false, "how it feels to a wet newborn" },
    { "sows[].hours.feels_after_c", SHAPE_REALS, false, "" },
    { "rounds", SHAPE_OBJECT, false, "when to get up" },
    { "rounds.says", SHAPE_TEXT, false, "" },
    { "rounds.sleep_from", SHAPE_MOMENT, true, "" },
    { "rounds.sleep_to", SHAPE_MOMENT, true, "" },
    { "rounds.enough", SHAPE_FLAG, true, "the visits cover what can be covered" },
    { "rounds.uncovered_by_visits", SHAPE_REALS, true, "chance of danger not met, with 0, 1, 2 ... visits" },
    { "rounds.visits", SHAPE_LIST, true, "" },
    { "rounds.visits[]", SHAPE_OBJECT, false, "" },
    { "rounds.visits[].at", SHAPE_MOMENT, false, "" },
    { "rounds.visits[].meets", SHAPE_REAL, false, "" },
    { "rounds.visits[].look_at", SHAPE_LIST, false, "" },
    { "rounds.visits[].look_at[]", SHAPE_TEXT, false, "" },
    { "looks_worth_taking", SHAPE_LIST, false, "which look would change the plan most" },
    { "looks_worth_taking[]", SHAPE_OBJECT, false, "" },
    { "looks_worth_taking[].sow", SHAPE_TEXT, false, "" },
    { "looks_worth_taking[].sign", SHAPE_TEXT, false, "" },
    { "looks_worth_taking[].at", SHAPE_MOMENT, false, "" },
    { "looks_worth_taking[].p_present", SHAPE_REAL, false, "" },
    { "looks_worth_taking[].p_changes", SHAPE_REAL, false, "chance that the answer changes the plan" },
    { "looks_worth_taking[].worth_c", SHAPE_REAL, false, "" },
    { "looks_worth_taking[].says", SHAPE_TEXT, false, "" },
    { "heat", SHAPE_LIST, false, "hours too hot for a sow" },
    { "heat[]", SHAPE_OBJECT, false, "" },
    { "heat[].sow", SHAPE_TEXT, true, "" },
    { "heat[].place", SHAPE_TEXT, false, "" },
    { "heat[].from", SHAPE_MOMENT, false, "" },
    { "heat[].hours", SHAPE_WHOLE, false, "" },
    { "heat[].grade", SHAPE_WHOLE, false, "" },
    { "heat[].do", SHAPE_TEXT, false, "" },
    { "others", SHAPE_LIST, false, "sows that are not waited for, and why" },
    { "others[]", SHAPE_OBJECT, false, "" },
    { "others[].name", SHAPE_TEXT, false, "" },
    { "others[].state", SHAPE_TEXT, false, "" },
    { "others[].says", SHAPE_TEXT, false, "" },
    { "short_of", SHAPE_TEXT, true, "what there is too little of" },
    { "weather", SHAPE_OBJECT, false, "the hours to come, and where they come from" },
    { "weather.says", SHAPE_TEXT, false, "" },
    { "weather.from", SHAPE_MOMENT, false, "" },
    { "weather.forecast", SHAPE_TEXT, true, "" },
    { "weather.made", SHAPE_MOMENT, true, "" },
    { "weather.age_h", SHAPE_REAL, true, "" },
    { "weather.firm_h", SHAPE_WHOLE, false, "hours that are read or forecast; the rest leans on past years" },
    { "weather.credit", SHAPE_TEXT, true, "" },
    { "weather.notes", SHAPE_LIST, false, "" },
    { "weather.notes[]", SHAPE_TEXT, false, "" },
    { "weather.hours", SHAPE_OBJECT, false, "columns" },
    { "weather.hours.time", SHAPE_LIST, false, "" },
    { "weather.hours.time[]", SHAPE_MOMENT, false, "" },
    { "weather.hours.temp_c", SHAPE_REALS, false, "" },
    { "weather.hours.wind_mps", SHAPE_REALS, false, "at 10 m" },
    { "weather.hours.gust_mps", SHAPE_REALS, false, "" },
    { "weather.hours.wind_from_deg", SHAPE_REALS, false, "where from, true" },
    { "weather.hours.cloud_oktas", SHAPE_REALS, false, "" },
    { "weather.hours.rain_mm", SHAPE_REALS, false, "" },
    { "weather.hours.snow", SHAPE_REALS, false, "1 = what falls is snow" },
    { "weather.hours.daylight", SHAPE_REALS, false, "1 = sun above the horizon" },
    { "assumed", SHAPE_LIST, false, "" },
    { "assumed[]", SHAPE_TEXT, false, "" },
    { "record", SHAPE_LIST, false, "what to record to make it surer" },
    { "record[]", SHAPE_TEXT, false, "" },
    { "cautions", SHAPE_LIST, false, "" },
    { "cautions[]", SHAPE_TEXT, false, "" },
};

const struct question question_tonight = {
    "tonight", "Who may farrow, how cold each hour is for newborns, what to do for each sow, before when",
    params,    COUNT(params),
    shape,     COUNT(shape),
    "sows",    put,
};
