/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * TAF: an aerodrome's forecast. The base group and FM groups are the state of each hour; BECMG brings its new state at
 * the end of its spell and is a risk while under way; TEMPO and PROB are kept as risk, never as state. Temperatures
 * (TX, TN) are single moments and are not read; rain amounts are not given.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/report.h"

enum { LONGEST_H = 48, MOST_SPELLS = 40 };

enum spell_kind { SPELL_BASE, SPELL_FROM, SPELL_BECOMING, SPELL_TEMPO, SPELL_PROB };

struct spell {
    enum spell_kind kind;
    int64_t from_utc_s, to_utc_s;
    double probability;
    struct sky_state sky;
    size_t first_word, end_word;
};

struct taf {
    struct gather *g;
    const struct report *r;
    int64_t issued_utc_s, from_utc_s, to_utc_s;
    struct spell spell[MOST_SPELLS];
    size_t n;
    int source;
};

/* Day and hour (24 allowed) near the time of issue: the first such day from three days before it. */
static bool near_issue(const struct taf *t, int day, int hour, int minute, int64_t *utc_s)
{
    const int64_t first_day = t->issued_utc_s / DAY_S - 3;

    if (hour > 24 || minute > 59 || (hour == 24 && minute > 0))
        return false;
    for (int64_t d = first_day; d < first_day + 31; d++)
        if (civil_from_days(d).day == day) {
            *utc_s = d * DAY_S + hour * HOUR_S + minute * INT64_C(60);
            return *utc_s < t->issued_utc_s + 10 * DAY_S;
        }
    return false;
}

static bool read_span(const struct taf *t, const char *word, int64_t *from_utc_s, int64_t *to_utc_s) /* "1803/1821" */
{
    return like_pattern(word, "9999/9999") && near_issue(t, two_digits(word), two_digits(word + 2), 0, from_utc_s) &&
           near_issue(t, two_digits(word + 5), two_digits(word + 7), 0, to_utc_s) && *to_utc_s > *from_utc_s;
}

/* A word that opens a new spell: then *n_words of it and what is known so far. */
static bool opens_spell(const struct taf *t, size_t i, struct spell *s, size_t *n_words)
{
    const char *word = t->r->word[i];
    const char *next = i + 1 < t->r->n ? t->r->word[i + 1] : "";

    *s = (struct spell){ .probability = NAN, .sky = sky_nothing() };
    *n_words = 1;
    if (like_pattern(word, "FM999999") || like_pattern(word, "FM9999")) {
        const bool with_day = word[6] != '\0';
        const int day = with_day ? two_digits(word + 2) : civil_from_seconds(t->from_utc_s).day;
        s->kind = SPELL_FROM;
        s->to_utc_s = t->to_utc_s;
        return near_issue(t, day, two_digits(word + (with_day ? 4 : 2)), two_digits(word + (with_day ? 6 : 4)),
                          &s->from_utc_s);
    }
    if (like_pattern(word, "PROB99")) {
        s->kind = SPELL_PROB;
        s->probability = two_digits(word + 4) / 100.0;
        if (strcmp(next, "TEMPO") == 0) {
            (*n_words)++;
            next = i + 2 < t->r->n ? t->r->word[i + 2] : "";
        }
    } else if (strcmp(word, "TEMPO") == 0) {
        s->kind = SPELL_TEMPO;
    } else if (strcmp(word, "BECMG") == 0) {
        s->kind = SPELL_BECOMING;
    } else {
        return false;
    }
    (*n_words)++;
    return read_span(t, next, &s->from_utc_s, &s->to_utc_s);
}

static bool is_opening_word(const char *word)
{
    return strcmp(word, "TEMPO") == 0 || strcmp(word, "BECMG") == 0 || like_pattern(word, "PROB99") ||
           like_pattern(word, "FM999999") || like_pattern(word, "FM9999");
}

/* Returns the word after the spell. */
static size_t read_spell(struct taf *t, size_t i, struct spell s)
{
    const struct report *r = t->r;

    s.first_word = i;
    for (; i < r->n && !is_opening_word(r->word[i]) && strcmp(r->word[i], "RMK") != 0; i++)
        if (!take_wind(r->word[i], &s.sky) && !take_cloud(r->word[i], &s.sky))
            (void)take_weather(r->word[i], &s.sky);
    s.end_word = i;
    if (t->n < MOST_SPELLS)
        t->spell[t->n++] = s;
    return i;
}

static void overlay(struct sky_state *state, const struct sky_state *change)
{
    if (change->has_wind) {
        state->has_wind = true;
        state->wind_mps = change->wind_mps;
        state->gust_mps = change->gust_mps;
        state->from_deg = change->from_deg;
        state->variable = change->variable;
    }
    if (change->has_cloud) {
        state->has_cloud = true;
        state->oktas = change->oktas;
    }
    if (change->has_weather) {
        state->has_weather = true;
        state->fall = change->fall;
        state->risks = change->risks;
        state->heavy = change->heavy;
        memcpy(state->weather, change->weather, sizeof state->weather);
    }
}

/* State for most of the hour that begins here: a change counts from the nearest full hour. */
static struct sky_state state_at(const struct taf *t, int64_t utc_s)
{
    struct sky_state state = sky_nothing();
    int64_t since_utc_s = INT64_MIN;

    for (size_t i = 0; i < t->n; i++) { /* the last FM at or before the hour is the ground */
        const struct spell *s = &t->spell[i];
        if ((s->kind == SPELL_BASE || s->kind == SPELL_FROM) && s->from_utc_s <= utc_s + HOUR_S / 2 &&
            s->from_utc_s >= since_utc_s) {
            state = s->sky;
            since_utc_s = s->from_utc_s;
        }
    }
    for (size_t i = 0; i < t->n; i++)
        if (t->spell[i].kind == SPELL_BECOMING && t->spell[i].to_utc_s <= utc_s &&
            t->spell[i].from_utc_s >= since_utc_s)
            overlay(&state, &t->spell[i].sky);
    return state;
}

/* What this spell adds to the state: enum weather_risk_bit. */
static unsigned risk_over(const struct sky_state *state, const struct sky_state *more)
{
    unsigned bits = (more->risks & ~state->risks) | (more->heavy & ~state->heavy);
    const double have = isnan(state->gust_mps) ? state->wind_mps : state->gust_mps;
    const double come = isnan(more->gust_mps) ? more->wind_mps : more->gust_mps;

    if (more->has_wind && come > (isnan(have) ? 0.0 : have) + 0.1)
        bits |= WEATHER_RISK_WIND;
    return bits;
}

static bool hand_in_hours(struct taf *t)
{
    struct gather *g = t->g;

    for (int64_t utc_s = t->from_utc_s; utc_s < t->to_utc_s; utc_s += HOUR_S) {
        const struct sky_state state = state_at(t, utc_s);
        struct hour h = gather_hour(utc_s, t->source);
        gather_wind(&h, gather_checked(g, WF_WIND, state.wind_mps, t->r->line, "", "wind"), state.from_deg,
                    state.variable);
        h.gust_mps = gather_checked(g, WF_GUST, state.gust_mps, t->r->line, "", "gust");
        h.cloud_oktas = state.oktas;
        for (size_t i = 0; i < t->n; i++) {
            const struct spell *s = &t->spell[i];
            if (s->kind < SPELL_BECOMING || s->from_utc_s > utc_s || s->to_utc_s <= utc_s)
                continue;
            h.risk |= risk_over(&state, &s->sky);
            if (!isnan(s->probability) && (s->sky.risks & (WEATHER_RISK_RAIN | WEATHER_RISK_SNOW)))
                h.rain_probability = fmax(isnan(h.rain_probability) ? 0.0 : h.rain_probability, s->probability);
        }
        const struct gather_extra extra = { .seen_utc_s = t->issued_utc_s,
                                            .fall = state.fall,
                                            .says = state.weather[0] ? arena_text(g->mem, state.weather) : NULL };
        if (!gather_put(g, &h, &extra))
            return false;
    }
    return true;
}

static void hand_in_risks(struct taf *t)
{
    for (size_t i = 0; i < t->n; i++) {
        const struct spell *s = &t->spell[i];
        char says[160] = "";
        size_t used = 0;
        if (s->kind < SPELL_BECOMING)
            continue;
        for (size_t k = s->first_word; k < s->end_word && used + REPORT_WORD_BYTES + 1 < sizeof says; k++)
            used += (size_t)snprintf(says + used, sizeof says - used, "%s%.*s", used ? " " : "", REPORT_WORD_BYTES,
                                     t->r->word[k]);
        const struct sky_state state = state_at(t, s->from_utc_s);
        const struct weather_risk risk = {
            .from_utc_s = s->from_utc_s,
            .to_utc_s = s->to_utc_s,
            .bits = risk_over(&state, &s->sky),
            .source = t->source,
            .probability = s->probability,
            .wind_mps = s->sky.wind_mps,
            .gust_mps = s->sky.gust_mps,
            .says = arena_text(t->g->mem, says),
        };
        if (risk.bits)
            gather_risk(t->g, &risk);
    }
}

static void read_spells(struct taf *t, size_t i)
{
    struct spell s = { .kind = SPELL_BASE,
                       .from_utc_s = t->from_utc_s,
                       .to_utc_s = t->to_utc_s,
                       .probability = NAN,
                       .sky = sky_nothing() };
    size_t words = 0;

    i = read_spell(t, i, s);
    while (i < t->r->n && strcmp(t->r->word[i], "RMK") != 0) {
        if (opens_spell(t, i, &s, &words)) {
            i = read_spell(t, i + words, s);
            continue;
        }
        gather_reject(t->g, t->r->line, "", "\"%.20s\" is followed by no spell such as 1803/1812; it is left out",
                      t->r->word[i]);
        for (i++; i < t->r->n && !is_opening_word(t->r->word[i]) && strcmp(t->r->word[i], "RMK") != 0; i++)
            ;
    }
}

/* Station, time of issue and validity; returns the word after them, 0 on failure. */
static size_t read_head(struct taf *t, const char **station, bool *no_month)
{
    const struct report *r = t->r;
    size_t i = 0;

    while (i < r->n &&
           (strcmp(r->word[i], "TAF") == 0 || strcmp(r->word[i], "AMD") == 0 || strcmp(r->word[i], "COR") == 0))
        i++;
    if (i + 2 >= r->n || !is_station(r->word[i]) || !like_pattern(r->word[i + 1], "999999Z")) {
        gather_reject(t->g, r->line, "", "no station and times, such as \"TAF KABC 221130Z 2212/2312\"");
        return 0;
    }
    *station = r->word[i];
    const char *time = r->word[i + 1];
    const enum moment_found found =
        report_moment(t->g, r, two_digits(time), two_digits(time + 2), two_digits(time + 4), &t->issued_utc_s);
    *no_month = found == MOMENT_NO_MONTH;
    if (*no_month)
        return 0;
    if (found == MOMENT_NO_SUCH_DAY || two_digits(time + 2) > 23 || two_digits(time + 4) > 59) {
        gather_reject(t->g, r->line, "", "%s is no day and time of that month", time);
        return 0;
    }
    if (!read_span(t, r->word[i + 2], &t->from_utc_s, &t->to_utc_s) ||
        t->to_utc_s - t->from_utc_s > LONGEST_H * HOUR_S) {
        gather_reject(t->g, r->line, "", "\"%.20s\" is no spell of at most %d h, such as 2212/2312", r->word[i + 2],
                      LONGEST_H);
        return 0;
    }
    return i + 3;
}

bool read_taf(struct gather *g, const struct report *r, bool *no_month)
{
    struct taf t = { .g = g, .r = r };
    const char *station = "";

    for (size_t k = 0; k < r->n; k++)
        if (strcmp(r->word[k], "NIL") == 0 || strcmp(r->word[k], "CNL") == 0)
            return true; /* none made, or withdrawn */
    const size_t i = read_head(&t, &station, no_month);
    if (i == 0)
        return true;
    t.source = gather_source(g, WEATHER_TAF, station);
    if (t.source < 0) {
        gather_reject(g, r->line, "", "the forecast for %s is of one station too many", station);
        return !arena_full(g->mem);
    }
    read_spells(&t, i);
    hand_in_risks(&t);
    if (t.issued_utc_s > g->out.issued_utc_s)
        g->out.issued_utc_s = t.issued_utc_s;
    return hand_in_hours(&t);
}
