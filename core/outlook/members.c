/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/outlook/outlook.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#include "core/base/attr.h"
#include "core/base/blend.h"
#include "core/base/civil.h"
#include "core/base/dice.h"

/* Judgement until the farm's own pairs replace it; see docs/reckoning/outlook.md. */
const struct outlook_spread outlook_default_spread = {
    .rho = 0.95,
    .temp_k = { 1.5, 3.0 },
    .wind_fraction = { 0.25, 0.35 },
    .from_deg = { 20.0, 40.0 },
    .rain_log = { 0.5, 0.8 },
    .rain_shift_h = { 1.0, 4.0 },
};
const uint64_t outlook_seed = UINT64_C(0x6c65656e657374); /* the seven letters of the program's name */

static const double full_growth_h = 72.0, bridged_dry_h = 1.0;
static const double snow_melts_above_c = 1.5, rain_freezes_below_c = -0.5, snow_cm_per_mm = 1.0;
static const double fastest_mps = 75.0;

double outlook_grown(struct outlook_grow g, double lead_h)
{
    double share = (lead_h - 1.0) / (full_growth_h - 1.0);

    if (share < 0.0)
        share = 0.0;
    if (share > 1.0)
        share = 1.0;
    return g.first + (g.last - g.first) * share;
}

/* One autoregressive series of variance 1 throughout, first value included. */
struct wander {
    struct dice dice;
    double rho, now;
};

static struct wander wander_from(uint64_t seed, double rho)
{
    struct wander w = { dice_from(seed), rho, 0.0 };

    w.now = dice_normal(&w.dice);
    return w;
}

static void wander_on(struct wander *w)
{
    w->now = w->rho * w->now + sqrt(1.0 - w->rho * w->rho) * dice_normal(&w->dice);
}

/* The five series of one pair of members; `sign` makes the second of the pair the mirror of the first. */
struct drift {
    struct wander temp, wind, from, rain, shift;
    double sign;
};

static struct drift drift_from(const uint64_t seed[5], double rho, double sign)
{
    return (struct drift){ wander_from(seed[0], rho), wander_from(seed[1], rho), wander_from(seed[2], rho),
                           wander_from(seed[3], rho), wander_from(seed[4], rho), sign };
}

static void drift_on(struct drift *d)
{
    wander_on(&d->temp);
    wander_on(&d->wind);
    wander_on(&d->from);
    wander_on(&d->rain);
    wander_on(&d->shift);
}

static double lead_at(const struct hour *h, int64_t now_utc_s)
{
    return (double)(h->utc_s - now_utc_s) / (double)HOUR_S + 1.0;
}

static double less_than_fastest(double wind_mps)
{
    return wind_mps > fastest_mps ? fastest_mps : wind_mps;
}

static void perturb_air(const struct outlook_spread *spread, const struct drift *d, double lead_h,
                        const struct hour *line, struct hour *member)
{
    const double step_k = d->sign * d->temp.now * outlook_grown(spread->temp_k, lead_h);
    const double sd = outlook_grown(spread->wind_fraction, lead_h);
    const double factor = exp(sqrt(log1p(sd * sd)) * d->sign * d->wind.now);
    const double turn_deg = d->sign * d->from.now * outlook_grown(spread->from_deg, lead_h);

    member->temp_c = line->temp_c + step_k;
    member->dew_point_c = line->dew_point_c + step_k;
    member->wind_mps = less_than_fastest(line->wind_mps * factor);
    member->gust_mps = less_than_fastest(line->gust_mps * factor);
    if (!isnan(line->wind_from_deg)) {
        member->wind_from_deg = fmod(line->wind_from_deg + turn_deg, 360.0);
        if (member->wind_from_deg < 0.0)
            member->wind_from_deg += 360.0;
        if (member->wind_from_deg >= 360.0)
            member->wind_from_deg = 0.0;
    }
}

static bool falls(const struct hour *h)
{
    return h->rain_mm > 0.0 || h->snow_cm > 0.0;
}

/* Past the last wet hour of the spell that begins at `first`. Short dry breaks belong to the spell. */
static size_t spell_end(size_t first, size_t n, const struct hour line[])
{
    size_t end = first + 1;

    for (size_t i = first + 1; i < n && (double)(i - end) <= bridged_dry_h; i++)
        if (falls(&line[i]))
            end = i + 1;
    return end;
}

static void fall_into(const struct hour *from, double factor, struct hour *into)
{
    const bool colder = into->temp_c<from->temp_c, warmer = into->temp_c> from->temp_c;
    const double mm = from->rain_mm * factor;
    const bool was_dry = !falls(into);
    bool snow = from->snow;
    double cm = from->snow_cm * factor;

    if (!falls(from))
        return;
    if (snow && warmer && into->temp_c > snow_melts_above_c) {
        snow = false;
        cm = 0.0;
    } else if (!snow && colder && into->temp_c < rain_freezes_below_c) {
        snow = true;
        cm = mm * snow_cm_per_mm;
    }
    into->rain_mm = (was_dry ? 0.0 : into->rain_mm) + (isnan(mm) ? 0.0 : mm);
    if (!isnan(cm))
        into->snow_cm = (isnan(into->snow_cm) || was_dry ? 0.0 : into->snow_cm) + cm;
    into->snow = was_dry ? snow : snow && into->snow; /* where two spells meet, the wetter one decides */
    into->rain_trace = false;
}

/* One wet spell laid into the member, `moved` hours later (earlier when negative), none before `earliest`. */
static void lay_spell(size_t first, size_t end, size_t n, size_t earliest, bool under_way, long moved, double factor,
                      const struct hour line[], struct hour member[])
{
    if (under_way) { /* it is falling now: only its end can be otherwise */
        long last = (long)end + moved;

        if (last <= (long)first)
            last = (long)first + 1;
        for (size_t i = first; i < (size_t)last && i < n; i++)
            fall_into(&line[i < end ? i : end - 1], factor, &member[i]);
        return;
    }
    if ((long)first + moved < (long)earliest)
        moved = (long)earliest - (long)first;
    for (size_t i = first; i < end; i++)
        if ((size_t)((long)i + moved) < n)
            fall_into(&line[i], factor, &member[(long)i + moved]);
}

static void perturb_rain(const struct outlook_spread *spread, struct drift d, int64_t now_utc_s, size_t begin, size_t n,
                         const struct hour line[], struct hour member[])
{
    const size_t earliest = begin < n && line[begin].utc_s < now_utc_s ? begin + 1 : begin;

    for (size_t i = begin; i < n; i++) {
        if (falls(&line[i])) {
            member[i].rain_mm = isnan(line[i].rain_mm) ? (double)NAN : 0.0;
            member[i].snow_cm = isnan(line[i].snow_cm) ? (double)NAN : 0.0;
            member[i].snow = false;
        }
    }
    for (size_t i = begin; i < n; i++) {
        if (falls(&line[i])) {
            const size_t end = spell_end(i, n, line);
            const double lead_h = lead_at(&line[i], now_utc_s);
            const bool under_way = i == begin && (line[i].utc_s <= now_utc_s || (i > 0 && falls(&line[i - 1])));
            const long moved = lround(d.sign * d.shift.now * outlook_grown(spread->rain_shift_h, lead_h));
            const double factor = exp(d.sign * d.rain.now * outlook_grown(spread->rain_log, lead_h));

            lay_spell(i, end, n, earliest, under_way, moved, factor, line, member);
            for (; i + 1 < end; i++)
                drift_on(&d);
        }
        drift_on(&d);
    }
}

static const struct hour *past_hour(const struct outlook_beyond *b, int64_t utc_s)
{
    size_t low = 0, high = b->n_past;

    while (low < high) {
        const size_t mid = low + (high - low) / 2;
        if (b->past[mid].utc_s < utc_s)
            low = mid + 1;
        else
            high = mid;
    }
    return low < b->n_past && b->past[low].utc_s == utc_s ? &b->past[low] : NULL;
}

/* The hours beyond the forecast, from one stretch of the past. An hour that the past lacks keeps the line's. */
static void follow_past(const struct outlook_beyond *b, const struct outlook_analog *analog, size_t n_hours,
                        const struct hour line[], struct hour member[])
{
    const struct hour *before = b->n_firm > 0 ? past_hour(b, line[b->n_firm - 1].utc_s - analog->shift_s) : NULL;

    for (size_t i = b->n_firm; i < n_hours; i++) {
        const struct hour *past = past_hour(b, line[i].utc_s - analog->shift_s);

        if (!past || isnan(past->temp_c))
            continue;
        member[i] = b->n_firm > 0 ? blend_hour(&member[b->n_firm - 1], before, past, (long)(i - b->n_firm + 1)) : *past;
        member[i].utc_s = line[i].utc_s;
        member[i].source = line[i].source;
    }
}

static size_t first_open(int64_t now_utc_s, size_t n_hours, const struct hour line[])
{
    size_t i = 0;

    while (i < n_hours && line[i].utc_s + HOUR_S <= now_utc_s)
        i++;
    return i;
}

void outlook_members(const struct outlook_spread *spread, uint64_t seed, int64_t now_utc_s, size_t n_hours,
                     const struct hour line[], const struct outlook_beyond *beyond, struct hour member[])
{
    struct outlook_analog analog[OUTLOOK_MEMBERS - 1];
    struct dice root = dice_from(seed);
    const size_t begin = first_open(now_utc_s, n_hours, line);
    size_t n_analogs = 0, n_firm = n_hours;
    uint64_t own[5] = { 0 };

    assert(spread->rho >= 0.0 && spread->rho <= 1.0);
    if (beyond && beyond->n_past > 0 && beyond->n_firm < n_hours) {
        n_analogs = outlook_analogs(beyond->n_past, beyond->past, beyond->n_firm, line, line[beyond->n_firm].utc_s,
                                    n_hours - beyond->n_firm, COUNT(analog), analog);
        n_firm = n_analogs > 0 ? beyond->n_firm : n_hours; /* nothing to go on with: the line itself, with its spread */
    }
    for (size_t m = 0; m < OUTLOOK_MEMBERS; m++) {
        struct hour *mine = &member[m * n_hours];
        struct drift d;

        for (size_t i = 0; i < n_hours; i++)
            mine[i] = line[i];
        if (m == 0)
            continue;
        if (m % 2 == 1)
            for (size_t k = 0; k < COUNT(own); k++)
                own[k] = dice_bits(&root);
        d = drift_from(own, spread->rho, m % 2 == 1 ? 1.0 : -1.0);
        for (size_t i = begin; i < n_firm; i++) {
            perturb_air(spread, &d, lead_at(&line[i], now_utc_s), &line[i], &mine[i]);
            drift_on(&d);
        }
        d = drift_from(own, spread->rho, d.sign);
        perturb_rain(spread, d, now_utc_s, begin, n_firm, line, mine);
        if (n_analogs > 0)
            follow_past(beyond, &analog[(m - 1) % n_analogs], n_hours, line, mine);
    }
}
