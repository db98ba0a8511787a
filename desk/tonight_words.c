/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/in_100.h"
#include "desk/tonight_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/sun/sun.h"
#include "desk/joined.h"
#include "desk/kin.h"
#include "desk/when.h"

/* ---- small change ------------------------------------------------------------------------------------------------ */

static const char *chance(const struct night *n, double p)
{
    return in_100_words(p, n->mem);
}

static const char *clock_text(const struct night *n, double h)
{
    int64_t utc_s = n->coming->from_utc_s + (int64_t)llround(h * (double)HOUR_S);
    if (utc_s < n->herd->at_utc_s)
        utc_s = n->herd->at_utc_s;
    const struct civil c = when_local(n->herd->zone, utc_s), now = when_local(n->herd->zone, n->herd->at_utc_s);
    const int64_t day = civil_days(c.year, c.month, c.day), today = civil_days(now.year, now.month, now.day);

    if (day == today || (day == today + 1 && c.hour < 9)) /* the coming morning needs no day */
        return arena_print(n->mem, "%02d:%02d", c.hour, c.minute);
    return arena_print(n->mem, "%s %02d:%02d", when_weekday[civil_weekday(day)], c.hour, c.minute);
}

/* "Bramble, Sedge and Teasel" */
static const char *names(const struct night *n, size_t count, const size_t sows[])
{
    const char **key = ARENA_NEW(n->mem, const char *, count);

    for (size_t i = 0; i < count && key; i++)
        key[i] = n->watch.sows[sows[i]].key;
    return key ? joined_with_and(count, key, n->mem) : NULL;
}

static const char *temp_text(const struct night *n, double c)
{
    if (c < -60.0) /* the reference loss is not drawn out further than that */
        return n->herd->place.us_units ? "-76 °F or colder" : "-60 °C or colder";
    if (n->herd->place.us_units)
        return arena_print(n->mem, "%.0f °F", round(c * 1.8 + 32.0));
    return arena_print(n->mem, "%.0f °C", round(c) + 0.0);
}

const char *tonight_deadline_words(enum watch_why why)
{
    switch (why) {
    case WATCH_NO_DEADLINE: return NULL;
    case WATCH_RAIN: return "before the rain: straw must go in dry";
    case WATCH_FREEZE: return "before the ground freezes and the hut will not come loose";
    case WATCH_THAW: return "before the thaw makes the gateway impassable";
    case WATCH_DUSK: return "by daylight";
    case WATCH_HER_CHANCE: return "while most of her chance still lies ahead";
    }
    return NULL;
}

double tonight_danger_of_a_day(const struct night *n, const struct watch_advice *v)
{
    double sum = 0.0;
    for (size_t h = 0; h < 24 && h < n->n_hours; h++)
        sum += v->danger_now[h];
    return sum;
}

const char *tonight_place_words(const struct night *n, size_t option)
{
    const struct night_site *s = &n->sites[n->options[option].site];
    return s->kind == NIGHT_GROUND ? "in the open, where she lies down" : s->name;
}

const struct watch_action *tonight_action_of(const struct watch_plan *plan, const struct watch_advice *v)
{
    for (size_t i = 0; i < plan->n_actions; i++)
        for (size_t k = 0; k < plan->actions[i].n_sows; k++)
            if (plan->actions[i].sows[k] == v->sow)
                return &plan->actions[i];
    return NULL;
}

/* As people say it, and the same on every page: down to the half hour; to five minutes where that leaves no time for
 * the work. */
static double round_down_h(const struct night *n, size_t option, double by_h)
{
    const int64_t utc_s = n->coming->from_utc_s + (int64_t)llround(by_h * (double)HOUR_S);
    const int64_t starts_s = n->herd->at_utc_s + (int64_t)llround(n->watch.options[option].minutes * 60.0);
    const int64_t half_s = utc_s - utc_s % 1800, five_s = utc_s - utc_s % 300;
    const int64_t said_s = half_s >= starts_s ? half_s : five_s >= n->herd->at_utc_s ? five_s : utc_s;
    return (double)(said_s - n->coming->from_utc_s) / (double)HOUR_S;
}

static double latest_h(const struct night *n, size_t option, const struct watch_deadline *d, bool *by_day)
{
    const struct coming *c = n->coming;
    size_t h = d->by_h > 0.0 ? (size_t)d->by_h : 0;

    *by_day = false;
    if (!(n->watch.options[option].needs & WATCH_BEFORE_DUSK) || h >= n->n_hours || c->daylight[c->n_before + h])
        return d->by_h;
    while (h > 0 && !c->daylight[c->n_before + h])
        h--;
    const double work_h = n->watch.options[option].minutes / 60.0;
    const double now_h = (double)(n->herd->at_utc_s - c->from_utc_s) / (double)HOUR_S;
    const struct sun_day day =
        sun_day(c->from_utc_s + (int64_t)h * HOUR_S, n->herd->place.lat_deg, n->herd->place.lon_deg);
    const double sunset_h = day.has_set ? (double)(day.set_utc_s - c->from_utc_s) / (double)HOUR_S : (double)h + 1.0;
    if (!c->daylight[c->n_before + h] || sunset_h < now_h + work_h || sunset_h >= d->by_h)
        return d->by_h;
    *by_day = true;
    return sunset_h;
}

double tonight_deadline_h(const struct night *n, size_t option, const struct watch_deadline *d, bool *by_day)
{
    return round_down_h(n, option, latest_h(n, option, d, by_day));
}

/* ---- what to do -------------------------------------------------------------------------------------------------- */

static const char *by_words(const struct night *n, size_t option, const struct watch_deadline *d)
{
    bool by_day = false;
    if (!isfinite(d->by_h))
        return "";
    const double now_h = (double)(n->herd->at_utc_s - n->coming->from_utc_s) / (double)HOUR_S;
    const double by_h = tonight_deadline_h(n, option, d, &by_day);
    if (by_h - n->watch.options[option].minutes / 60.0 <= now_h + 0.25)
        return arena_print(n->mem, "now, by %s: ", clock_text(n, by_h));
    return arena_print(n->mem, "by %s: ", clock_text(n, by_h));
}

static const char *first_capital(const struct night *n, const char *s)
{
    char *copy = arena_text(n->mem, s);
    if (copy && copy[0] >= 'a' && copy[0] <= 'z')
        copy[0] = (char)(copy[0] - 'a' + 'A');
    return copy ? copy : "";
}

static const struct watch_heat *heat_of(const struct watch_plan *plan, size_t sow)
{
    for (size_t i = 0; i < plan->n_heat; i++)
        if (plan->heat[i].sow == sow)
            return &plan->heat[i];
    return NULL;
}

const char *tonight_do(const struct night *n, const struct watch_plan *plan, const struct watch_advice *v,
                       const struct watch_action *action)
{
    const struct night_sow *s = &n->sows[v->sow];
    const struct watch_heat *heat = heat_of(plan, v->sow);
    const bool nests = n->watch.sows[v->sow].nests_at != WATCH_NONE;

    if (action) {
        const struct night_site *site = &n->sites[n->options[action->option].site];
        return arena_print(n->mem, "%s%s: %s.%s", first_capital(n, by_words(n, action->option, &action->deadline)),
                           site->name, night_do(n, action->option), nests ? " Leave her where she is." : "");
    }
    if (v->option != WATCH_NONE && !nests)
        return arena_print(n->mem, "%s stands ready for her; leave it as it is.",
                           n->sites[n->options[v->option].site].name);
    if (nests && v->after.danger >= 0.05)
        return arena_print(
            n->mem,
            "Nothing more can be put to %s with what is at hand. Do not move her: be there, dry and warm each one.",
            tonight_place_words(n, n->watch.sows[v->sow].lies));
    if (heat && v->after.heat > v->after.danger)
        return arena_print(n->mem, "%sKeep her cool: shade, a wallow with room, water topped up%s.",
                           nests ? "Leave her where she is. " : "",
                           heat->vents ? ", vents open and the flap tied up" : "");
    if (nests)
        return arena_print(n->mem, "Leave her in %s; look as often as said.",
                           tonight_place_words(n, n->watch.sows[v->sow].lies));
    if (s->post.known && breeding_not_pregnant(&s->post) > 0.7)
        return "Nothing to put out for her: have her tested, and watch her for heat.";
    if (v->p_birth < 0.02)
        return "Nothing to do tonight.";
    if (s->near && v->now.danger >= 0.05)
        return "No place is left for her. Be there when she farrows: dry and warm each one, or ask a neighbour for a "
               "hut or a pen.";
    if (v->now.danger >= 0.02)
        return "Not yet worth a hut: look again tomorrow.";
    return "Nothing to put out: she will do where she lies down.";
}

static double wind_turn(const struct coming *c, size_t from, size_t to, double *a, double *b)
{
    *a = c->line[c->n_before + from].wind_from_deg;
    *b = c->line[c->n_before + to].wind_from_deg;
    return isnan(*a) || isnan(*b) ? 0.0 : fabs(remainder(*b - *a, 360.0));
}

static const char *point_of(double deg)
{
    static const char *const point[8] = { "N", "NE", "E", "SE", "S", "SW", "W", "NW" };
    return point[(int)floor(fmod(deg + 360.0 + 22.5, 360.0) / 45.0) % 8];
}

/* What in the weather of these hours makes the danger. */
static const char *weather_words(const struct night *n, size_t from, size_t to)
{
    const struct coming *c = n->coming;
    double coldest = INFINITY, rain = 0.0, snow_mm = 0.0, wind = 0.0, a = NAN, b = NAN;
    double warmest_snow = -INFINITY;
    bool snow = false, unknown = false;

    for (size_t h = from; h < to; h++) {
        const struct hour *x = &c->line[c->n_before + h];
        unknown = unknown || isnan(x->rain_mm);
        if (x->snow)
            warmest_snow = fmax(warmest_snow, x->temp_c);
        coldest = fmin(coldest, x->temp_c);
        *(x->snow ? &snow_mm : &rain) += isfinite(x->rain_mm) ? x->rain_mm : 0.0;
        wind = fmax(wind, isfinite(x->wind_mps) ? x->wind_mps : 0.0);
        snow = snow || x->snow;
    }
    const char *text = arena_print(n->mem, "%s", temp_text(n, coldest));
    const double last_deg = c->line[c->n_before + to - 1].wind_from_deg;
    if (wind >= 4.0 && wind_turn(c, 0, to - 1, &a, &b) > 60.0)
        text = arena_print(n->mem, "%s with wind going round from %s to %s", text, point_of(a), point_of(b));
    else if (wind >= 4.0)
        text =
            arena_print(n->mem, "%s with wind from %s", text, isnan(last_deg) ? "varying sides" : point_of(last_deg));
    if (rain >= 0.5 && snow_mm >= 0.5)
        text = arena_print(n->mem, "%s, rain and snow", text);
    else if (rain >= 0.5)
        text = arena_print(n->mem, "%s and rain", text);
    else if (snow_mm >= 0.5 || (snow && unknown))
        text = arena_print(n->mem, "%s and %s", text, warmest_snow > 0.0 ? "wet snow" : "snow");
    return text;
}

static double mean_feels(const struct night_option *o, const double f[], size_t from, size_t to)
{
    double sum = 0.0, weight = 0.0;
    for (size_t h = from; h < to; h++) {
        const double w = f[h] + 1e-6;
        if (isfinite(o->feels_c[h])) {
            sum += w * o->feels_c[h];
            weight += w;
        }
    }
    return weight > 0.0 ? sum / weight : (double)NAN;
}

/* Of a hut or a barn one is in it; a nest or a bed is a spot. */
static const char *in_or_at(const struct night_site *s)
{
    return s->kind == NIGHT_HUT || s->kind == NIGHT_HUT_IN_STORE || s->kind == NIGHT_BARN ? "in"
           : s->kind == NIGHT_NEST                                                        ? "at"
                                                                                          : "on";
}

static const char *now_words(const struct night *n, const struct night_site *s)
{
    if (s->kind == NIGHT_GROUND)
        return "In the open";
    return arena_print(n->mem, "%s %s as it stands",
                       s->kind == NIGHT_NEST ? "At"
                       : *in_or_at(s) == 'i' ? "In"
                                             : "On",
                       s->name);
}

/* Share of what is left of her danger that comes from her not using what is put out. */
static double danger_elsewhere(const struct night *n, const struct watch_advice *v)
{
    const struct watch_sow *w = &n->watch.sows[v->sow];
    double used = 0.0;

    for (size_t m = 0; m < n->watch.n_members; m++)
        for (size_t h = 0; h < n->n_hours; h++)
            used += w->birth[h] * (n->options[v->option].cells[m * n->n_hours + h].grade >= 2);
    return v->after.danger - w->p_use * used / (double)n->watch.n_members;
}

/* A word on what is left when the work is done. */
static const char *what_is_left(const struct night *n, const struct watch_advice *v)
{
    if (v->after.danger > 0.8 * v->now.danger && v->after.danger > 0.05)
        return " Even so it stays dangerous there: be there when she starts, dry and warm each one.";
    if (v->option != WATCH_NONE && n->watch.sows[v->sow].nests_at == WATCH_NONE && v->after.danger > 0.03 &&
        danger_elsewhere(n, v) > 0.6 * v->after.danger)
        return " What is left is mostly the chance that she lies down elsewhere.";
    return "";
}

static const char *why_hot(const struct night *n, const char *when, const struct watch_advice *v)
{
    double hottest = -INFINITY;

    for (size_t h = 0; h < n->n_hours; h++)
        hottest = fmax(hottest, n->coming->line[n->coming->n_before + h].temp_c);
    return arena_print(n->mem, "%s; up to %s. Into hours too hot for a sow: %s.", first_capital(n, when),
                       temp_text(n, hottest), chance(n, v->after.heat));
}

const char *tonight_why(const struct night *n, const struct watch_plan *plan, const struct watch_advice *v)
{
    const struct night_sow *s = &n->sows[v->sow];
    const size_t stands = v->now_option == WATCH_NONE ? n->watch.sows[v->sow].lies : v->now_option;
    const struct night_option *now = &n->options[stands];
    const struct night_option *after = v->option == WATCH_NONE ? now : &n->options[v->option];
    const size_t hours = n->n_hours, to = v->to_h > v->from_h ? v->to_h : hours < 24 ? hours : 24;
    const size_t from = v->to_h > v->from_h ? v->from_h : 0;

    if (!s->post.known)
        return "Nothing is recorded that says when she was served: her day is not known.";
    if (breeding_not_pregnant(&s->post) > 0.7)
        return arena_print(n->mem, "Most likely she is not in pig: %s that she is.",
                           chance(n, 1.0 - breeding_not_pregnant(&s->post)));
    const char *when =
        arena_print(n->mem, "%s to farrow within %s", chance(n, breeding_within(&s->post, (double)hours)),
                    hours == 72 ? "three days" : arena_print(n->mem, "%zu h", hours));
    if (s->p_24h >= 0.02 && hours > 24)
        when = arena_print(n->mem, "%s, %s within a day", when, chance(n, breeding_within(&s->post, 24.0)));
    if (v->p_birth < 0.02)
        return arena_print(n->mem, "%s.", first_capital(n, when));
    if (heat_of(plan, v->sow) && v->after.heat > v->now.danger)
        return why_hot(n, when, v);
    const double feels_now = mean_feels(now, s->birth, from, to), feels_after = mean_feels(after, s->birth, from, to);
    const char *text = arena_print(n->mem, "%s; %s. ", first_capital(n, when), weather_words(n, from, to));
    if (after != now)
        return arena_print(
            n->mem,
            "%s%s it feels like %s to a wet newborn, %s like %s: into danger %s as it stands, %s with the work.%s",
            text, now_words(n, &n->sites[now->site]), temp_text(n, feels_now),
            now->site == after->site
                ? "with the work"
                : arena_print(n->mem, "%s %s", in_or_at(&n->sites[after->site]), n->sites[after->site].name),
            temp_text(n, feels_after), chance(n, v->now.danger), chance(n, v->after.danger), what_is_left(n, v));
    return arena_print(n->mem, "%sIt feels like %s to a wet newborn there: into danger %s.", text,
                       temp_text(n, feels_now), chance(n, v->now.danger));
}

const char *tonight_how_sure(const struct night *n, const struct watch_advice *v)
{
    const int of_15 = (int)lround(v->agree * (double)n->watch.n_members);
    const struct night_sow *s = &n->sows[v->sow];

    if (!s->post.known)
        return "Not sure at all: nothing is recorded.";
    if (n->watch.n_members == 1)
        return "One forecast, no spread tried.";
    const char *text =
        of_15 >= 14 ? arena_print(n->mem, "Of 15 forecasts tried, %d say the same.", of_15)
        : of_15 >= 9
            ? arena_print(n->mem, "Of 15 forecasts tried, %d say the same: look again when a fresh one is in.", of_15)
            : arena_print(n->mem, "The forecasts do not agree: only %d of 15 say the same.", of_15);
    if (v->most_danger - v->least_danger > 0.15)
        text = arena_print(n->mem, "%s Her danger lies between %d and %d in 100.", text, in_100(v->least_danger),
                           in_100(v->most_danger));
    return text;
}

const char *tonight_record_words(const struct night *n, unsigned bit, const char *name)
{
    switch (bit) {
    case WATCH_RECORD_WEATHER: return "A fresh forecast, or what your own thermometer by the hut says.";
    case WATCH_RECORD_SIGNS:
        return arena_print(
            n->mem, "Look at %s for signs and record them, the absent ones too: they say more than the calendar.",
            name);
    case WATCH_RECORD_NEST: return arena_print(n->mem, "Note where %s nests or lies at dusk.", name);
    case WATCH_RECORD_STRAW:
        return arena_print(n->mem, "How deep and how dry the straw lies, and whether wind gets in at the door: %s.",
                           name);
    default: return "";
    }
}

/* ---- the whole night --------------------------------------------------------------------------------------------- */

const char *tonight_in_short(const struct night *n, const struct watch_plan *plan)
{
    const int64_t dawn = when_next_clock(n->herd->zone, n->herd->at_utc_s, 6, 0);
    const char *who = NULL;
    size_t likely[8], k = 0, urgent = 0;
    double chances[8];
    double first_h = INFINITY, danger = 0.0;

    for (size_t i = 0; i < plan->n_advice; i++) {
        const size_t sow = plan->advice[i].sow;
        const double p = breeding_between(&n->sows[sow].post.density, n->herd->at_utc_s, dawn);
        if (n->sows[sow].post.known && p >= 0.05 && k < COUNT(likely)) {
            size_t to = k++;
            for (; to > 0 && chances[to - 1] < p; to--) {
                likely[to] = likely[to - 1];
                chances[to] = chances[to - 1];
            }
            likely[to] = sow;
            chances[to] = p;
        }
        danger += plan->advice[i].now.danger;
    }
    if (n->n_sows == 0)
        return "No sow is recorded as served: nobody is waited for.";
    who = k == 0 ? "Nobody is likely to farrow before dawn."
                 : arena_print(n->mem, "%s may farrow before dawn.", names(n, k, likely));
    if (plan->n_heat > 0)
        who = arena_print(n->mem, "%s It gets too hot for sows: shade, a wallow and water.", who);
    for (size_t i = 0; i < plan->n_actions; i++)
        if (isfinite(plan->actions[i].deadline.by_h)) {
            urgent++;
            bool by_day = false;
            first_h =
                fmin(first_h, tonight_deadline_h(n, plan->actions[i].option, &plan->actions[i].deadline, &by_day));
        }
    if (plan->n_actions == 0)
        return plan->n_heat > 0 && danger < 0.02
                   ? who
                   : arena_print(n->mem, "%s %s", who,
                                 danger < 0.02 ? "The coming nights are bearable as things stand; normal watch."
                                               : "Nothing that is at hand would make it better: be there.");
    if (urgent == 0)
        return arena_print(n->mem, "%s %zu %s to do, none of them pressing.", who, plan->n_actions,
                           plan->n_actions == 1 ? "job" : "jobs");
    return arena_print(n->mem, "%s %zu %s to do, the first by %s.", who, plan->n_actions,
                       plan->n_actions == 1 ? "job" : "jobs", clock_text(n, first_h));
}

static bool same_sows(const struct watch_visit *a, const struct watch_visit *b)
{
    return a->n_sows == b->n_sows && memcmp(a->sows, b->sows, a->n_sows * sizeof *a->sows) == 0;
}

/* "18:00, 20:00 and 22:00" */
static const char *clocks(const struct night *n, const struct watch_visit visits[], size_t count)
{
    const char **at = ARENA_NEW(n->mem, const char *, count);

    for (size_t i = 0; i < count && at; i++)
        at[i] = clock_text(n, visits[i].at_h);
    return at ? joined_with_and(count, at, n->mem) : NULL;
}

/* The visits go by the cold alone: a sow that is close is looked at besides. */
static const char *close_words(const struct night *n, size_t n_close, const size_t close[])
{
    return n_close == 0
               ? ""
               : arena_print(n->mem, " %s %s close: look at %s every 2 to 3 hours all the same.",
                             names(n, n_close, close), n_close == 1 ? "is" : "are", n_close == 1 ? "her" : "them");
}

const char *tonight_rounds_words(const struct night *n, const struct watch_rounds *r, size_t n_close,
                                 const size_t close[])
{
    if (r->n_visits == 0)
        return arena_print(
            n->mem, "%s%s",
            r->uncovered[0] >= 0.02 ? "No visit would help much against the cold tonight."
            : n_close == 0          ? "No need to get up: the chance of a litter in danger tonight is under 2 in 100."
                           : "No need to get up for the cold: the chance of a litter in danger tonight is under 2 in "
                             "100.",
            close_words(n, n_close, close));
    const struct watch_visit *v = r->visits;
    const struct civil first =
        when_local(n->herd->zone, n->coming->from_utc_s + (int64_t)llround(v[0].at_h * (double)HOUR_S));
    const bool sleep_first = v[0].at_h - r->sleep_from_h > 1.5 && fabs(r->sleep_to_h - v[0].at_h) < 0.1 &&
                             (first.hour >= 23 || first.hour < 9); /* nobody is asleep before */
    const char *text = "";
    for (size_t i = 0, to; i < r->n_visits; i = to) {
        for (to = i + 1; to < r->n_visits && same_sows(&v[i], &v[to]) && !(i == 0 && sleep_first);)
            to++;
        if (i == 0 && sleep_first)
            text =
                arena_print(n->mem, "%s till %s, then look at %s", n_close > 0 ? "For the cold alone sleep" : "Sleep",
                            clock_text(n, v[0].at_h), names(n, v[0].n_sows, v[0].sows));
        else
            text = arena_print(n->mem, "%s%s %s %s %s", text, i == 0 ? "At" : "; at", clocks(n, v + i, to - i),
                               i == 0 ? "look at" : "at",
                               i > 0 && same_sows(&v[i - 1], &v[i]) ? "the same" : names(n, v[i].n_sows, v[i].sows));
    }
    return arena_print(
        n->mem,
        "%s. The chance that a litter comes in danger with nobody there is %s without getting up, and %s with these "
        "visits.%s",
        text, chance(n, r->uncovered[0]), chance(n, r->uncovered[r->n_visits]), close_words(n, n_close, close));
}

const char *tonight_look_words(const struct night *n, const struct watch_look *l, const struct watch_look_worth *w)
{
    static const struct {
        const char *sign, *words;
    } words[] = {
        { "nest", "carrying straw or arranging a nest" },
        { "milk-streams", "milk in streams" },
        { "udder-tight", "udder tight" },
    };
    const char *sign = l->sign;

    for (size_t i = 0; i < COUNT(words); i++)
        if (strcmp(words[i].sign, l->sign) == 0)
            sign = words[i].words;
    return arena_print(n->mem,
                       "%s look at %s for %s: %d in 100 that it is so, and %d in 100 that the answer changes the plan.",
                       l->at_h < 1.0 ? "Now" : arena_print(n->mem, "About %s", clock_text(n, l->at_h)),
                       n->watch.sows[l->sow].key, sign, in_100(l->p_present), in_100(w->p_changes));
}

const char *tonight_heat_words(const struct night *n, const struct watch_heat *h)
{
    const char *what = nest_heat_words((int)h->worst_grade);
    return arena_print(n->mem, "%sShade and a wallow with room, water topped up. %s%s",
                       h->vents ? "Open the vents and tie up the flap. " : "", what ? first_capital(n, what) : "",
                       what ? "." : "");
}

/* A sow full of milk and without piglets: two days to look at her udder (common practice, no source). */
static const char *lost_all_words(const struct night *n, const struct herd_sow *s)
{
    const double days = (double)(n->herd->at_utc_s - s->weaned_utc_s) / 86400.0;
    const struct civil c = when_local(n->herd->zone, s->weaned_utc_s);

    return arena_print(n->mem, "Lost all of her litter by %s; not served since.%s",
                       kin_day(civil_days(c.year, c.month, c.day), n->mem),
                       days < 3.0 ? " See that she eats and that her udder is not hot or hard; else ring the vet."
                                  : "");
}

const char *tonight_other_words(const struct night *n, const struct herd_sow *s)
{
    switch (s->state) {
    case HERD_SUCKLING: {
        const double days = (double)(n->herd->at_utc_s - s->farrowed_utc_s) / 86400.0;
        if (days < 3.0)
            return arena_print(n->mem,
                               "Farrowed %.0f h ago, %d alive: see that all suck and the bed is dry; they are at risk "
                               "from cold for three days.",
                               days * 24.0, herd_living(s) < 0 ? 0 : herd_living(s));
        return arena_print(n->mem, "With her litter, %.0f days old.", floor(days));
    }
    case HERD_OPEN: return s->lost_all ? lost_all_words(n, s) : "Not served since she was weaned.";
    case HERD_UNKNOWN:
        return "Nothing recorded says whether she is in pig; if she might be, record a service, a boar's stay or a "
               "scan.";
    case HERD_SERVED: return "";
    }
    return "";
}

const char *tonight_tight_words(const struct night *n, const struct watch_plan *plan)
{
    static const struct {
        unsigned bit;
        const char *words;
    } words[] = {
        { WATCH_TIGHT_PLACES, "a hut more" },        { WATCH_TIGHT_STRAW, "more straw" },
        { WATCH_TIGHT_HANDS, "more hands in time" }, { WATCH_TIGHT_FLAPS, "more flaps" },
        { WATCH_TIGHT_BALES, "bales for a wall" },   { WATCH_TIGHT_PANELS, "windbreak panels" },
    };
    const char *text = NULL;

    for (size_t i = 0; i < COUNT(words); i++)
        if (plan->tight & words[i].bit)
            text = text ? arena_print(n->mem, "%s, %s", text, words[i].words) : words[i].words;
    return text ? arena_print(n->mem, "What would make the night safer still: %s.", text) : NULL;
}
