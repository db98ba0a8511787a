/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A look not yet taken: how likely it is to see the sign, and what either outcome would say.
 *
 * P(seen at tau | x, what was found before) comes from the onset model itself, summed over where among the looks the
 * onset may lie, so that the two outcomes weighed by their chances are exactly today's answer.
 */
#include "core/breeding/inside.h"

#include <stdlib.h>

enum { MOST_LOOKS = 24 }; /* at one sign; the latest are kept */

struct history {
    struct sign_view view; /* the figures of the sign */
    size_t n;              /* looks so far, then the new one at [n] */
    int64_t at_utc_s[MOST_LOOKS + 1];
    double off[MOST_LOOKS + 1], on[MOST_LOOKS + 1]; /* chance of what was found with the sign not begun, begun */
};

static int by_moment(const void *left, const void *right)
{
    const struct breeding_look *a = *(const struct breeding_look *const *)left;
    const struct breeding_look *b = *(const struct breeding_look *const *)right;

    if (a->at_utc_s != b->at_utc_s)
        return a->at_utc_s < b->at_utc_s ? -1 : 1;
    return (int)a->present - (int)b->present;
}

/* The latest looks at this sign, in order. Insertion into a short sorted list: no memory of its own. */
static void collect(const struct breeding_posterior *post, const struct breeding_look *look, struct history *h)
{
    const struct breeding_look *kept[MOST_LOOKS];
    struct breeding_notes ignored = { 0 };
    size_t n = 0;

    for (size_t i = 0; i < post->n_looks; i++) {
        const struct breeding_look *l = &post->looks[i];
        if (l->sign != look->sign || !breeding_look_counts(l))
            continue;
        if (n < MOST_LOOKS) {
            kept[n++] = l;
            continue;
        }
        size_t oldest = 0;
        for (size_t k = 1; k < n; k++)
            if (by_moment(&kept[k], &kept[oldest]) < 0)
                oldest = k;
        if (by_moment(&l, &kept[oldest]) > 0)
            kept[oldest] = l;
    }
    if (n > 1)
        qsort(kept, n, sizeof(const struct breeding_look *), by_moment);
    h->n = n;
    h->view.rule = breeding_sign_rule(&post->rules, look->sign);
    h->view.log_median = log(h->view.rule.median_h);
    h->view.unborn_h = h->view.rule.median_h * exp(7.0 * h->view.rule.log_sd);
    for (size_t i = 0; i < n; i++) {
        const double f = breeding_look_false(&post->rules, kept[i], &ignored), s = h->view.rule.seen;
        h->at_utc_s[i] = kept[i]->at_utc_s;
        h->off[i] = kept[i]->present ? f : 1.0 - f;
        h->on[i] = kept[i]->present ? s : 1.0 - s;
    }
    h->at_utc_s[n] = look->at_utc_s;
    h->off[n] = breeding_look_false(&post->rules, look, &ignored);
    h->on[n] = h->view.rule.seen;
}

/* P(the new look sees it | birth at x, what was found). With onset between look m and m + 1, looks up to m met no sign.
 */
static double sees(const struct history *h, const struct breeding_normal *t, double x_utc_s)
{
    double seen = 0.0, all = 0.0, begun = 0.0, off = 1.0, on_rest[MOST_LOOKS + 2];

    if (!h->n) {
        const double there = sign_there(t, &h->view, (x_utc_s - (double)h->at_utc_s[0]) / 3600.0);
        return h->off[0] + (h->on[0] - h->off[0]) * there;
    }
    on_rest[h->n] = 1.0;
    for (size_t m = h->n; m-- > 0;)
        on_rest[m] = on_rest[m + 1] * h->on[m];
    for (size_t m = 0; m <= h->n + 1; m++) { /* onset before look 0, ..., after look n */
        const double there = m <= h->n ? sign_there(t, &h->view, (x_utc_s - (double)h->at_utc_s[m]) / 3600.0) : 1.0;
        const double share = there - begun;
        const double found = share * off * (m <= h->n ? on_rest[m] : 1.0);
        all += found;
        seen += found * (m <= h->n ? h->on[h->n] : h->off[h->n]);
        begun = there;
        if (m < h->n)
            off *= h->off[m];
    }
    return all > 0.0 ? seen / all : h->on[h->n];
}

static void into_hours(int64_t at_utc_s, double mass, int64_t from_utc_s, size_t n, double hours[])
{
    const int64_t since = at_utc_s - from_utc_s;
    const int64_t hour = since >= 0 ? since / HOUR_S : -((-since + HOUR_S - 1) / HOUR_S);
    const int64_t left = (hour + 1) * HOUR_S - since; /* of this hour, from the cell's start */
    const double here = left >= BREEDING_STEP_S ? 1.0 : (double)left / BREEDING_STEP_S;

    if (hour >= 0 && hour < (int64_t)n)
        hours[hour] += mass * here;
    if (here < 1.0 && hour + 1 >= 0 && hour + 1 < (int64_t)n)
        hours[hour + 1] += mass * (1.0 - here);
}

/* Share of a cell `at_s` after the look that lies within `hours` of it. */
static double share_within(double at_s, double hours)
{
    const double left = (hours * 3600.0 - at_s) / BREEDING_STEP_S;

    return left >= 1.0 ? 1.0 : left > 0.0 ? left : 0.0;
}

static void add_outcome(struct breeding_outcome *o, double at_s, double mass)
{
    o->within_6h += mass * share_within(at_s, 6.0);
    o->within_12h += mass * share_within(at_s, 12.0);
    o->within_24h += mass * share_within(at_s, 24.0);
}

static void scale(struct breeding_outcome *o, double by, size_t n, double hours[])
{
    o->open *= by;
    o->within_6h *= by;
    o->within_12h *= by;
    o->within_24h *= by;
    for (size_t i = 0; i < n; i++)
        hours[i] *= by;
}

/* Another sign already seen shares its cause with the new one: halve (agreement power) what the new one tells. */
static double discount(const struct breeding_posterior *post, enum breeding_sign sign)
{
    const double power = post->rules.value[BR_SIGN_POWER];

    if (!isnan(power))
        return power;
    return post->seen & ~(1U << sign) ? breeding_rule(&post->rules, BR_AGREE_POWER) : 1.0;
}

/* Up to how far from the look cells are looked at one by one; beyond, hour by hour. */
static size_t cells_at(size_t i)
{
    return i < BREEDING_FINE_CELLS ? 1 : 4;
}

/* m and m x P(seen), summed over what lies after the look: told[] in all, seen[] with the sign. */
static void add_up(const struct breeding_density *d, const struct history *h, const struct breeding_normal *t,
                   int64_t look_utc_s, struct breeding_outcome *told, struct breeding_outcome *seen, double total[2],
                   int64_t from_utc_s, size_t n, double told_hours[], double seen_hours[])
{
    const int64_t end = d->start_utc_s + (int64_t)d->n * BREEDING_STEP_S;
    const size_t cells = look_utc_s < end ? (size_t)((end - look_utc_s + BREEDING_STEP_S - 1) / BREEDING_STEP_S) : 0;

    for (size_t i = 0; i < cells; i += cells_at(i)) {
        const int64_t at = look_utc_s + (int64_t)i * BREEDING_STEP_S, wide = (int64_t)cells_at(i) * BREEDING_STEP_S;
        const double m = breeding_between(d, at, at + wide);
        if (!(m > 0.0))
            continue;
        const double p = sees(h, t, (double)at + 0.5 * (double)wide);
        total[0] += m;
        total[1] += m * p;
        if (i < BREEDING_FINE_CELLS) { /* the windows end within 24 h */
            add_outcome(told, (double)i * BREEDING_STEP_S, m);
            add_outcome(seen, (double)i * BREEDING_STEP_S, m * p);
        }
        for (int64_t c = 0; c < wide && n; c += BREEDING_STEP_S) {
            const double part = wide == BREEDING_STEP_S ? m : breeding_between(d, at + c, at + c + BREEDING_STEP_S);
            into_hours(at + c, part, from_utc_s, n, told_hours);
            into_hours(at + c, part * p, from_utc_s, n, seen_hours);
        }
    }
}

/* What the outcome "seen" holds, lambda of it by what the sign tells and the rest as things stand; "not seen" has the
 * rest. */
static void part(struct breeding_outcome *told, struct breeding_outcome *seen, double p_seen, double lambda)
{
    double *all = &told->open, *with = &seen->open;
    double *fields[4][2] = { { all, with },
                             { &told->within_6h, &seen->within_6h },
                             { &told->within_12h, &seen->within_12h },
                             { &told->within_24h, &seen->within_24h } };

    for (int i = 0; i < 4; i++) {
        const double whole = *fields[i][0], yes = (1.0 - lambda) * p_seen * whole + lambda * *fields[i][1];
        *fields[i][1] = yes;
        *fields[i][0] = whole - yes;
    }
}

enum status breeding_look_ahead(const struct breeding_posterior *post, const struct breeding_look *look,
                                int64_t from_utc_s, size_t n, double if_seen[], double if_not_seen[],
                                struct breeding_ahead *out, struct message *why)
{
    const struct breeding_density *d = &post->density;
    struct breeding_ahead a = { 0 };
    struct history h;
    double total[2] = { 0.0, 0.0 };

    if (!post->known)
        return refuse(ST_BAD_INPUT, why, "look",
                      "nothing is recorded of her, so no look can be weighed; record a service or a boar");
    if ((unsigned)look->sign >= BS_END || look->at_utc_s < post->at_utc_s)
        return refuse(ST_BAD_INPUT, why, "look",
                      "the look to weigh lies before the moment asked about; give a later one");
    collect(post, look, &h);
    const double off = h.off[h.n], lambda = discount(post, look->sign);
    for (size_t i = 0; i < n; i++)
        if_seen[i] = if_not_seen[i] = 0.0;
    add_up(d, &h, post->normal, look->at_utc_s, &a.not_seen, &a.seen, total, from_utc_s, n, if_not_seen, if_seen);
    total[0] += d->open;
    total[1] += d->open * off;
    a.not_seen.open = d->open;
    a.seen.open = d->open * off;
    a.p_before = breeding_between(d, d->start_utc_s, look->at_utc_s);
    a.p_seen = total[0] > 0.0 ? total[1] / total[0] : off;
    part(&a.not_seen, &a.seen, a.p_seen, lambda);
    for (size_t i = 0; i < n; i++) {
        const double yes = (1.0 - lambda) * a.p_seen * if_not_seen[i] + lambda * if_seen[i];
        if_not_seen[i] -= yes;
        if_seen[i] = yes;
    }
    const double yes = a.p_seen * total[0], no = (1.0 - a.p_seen) * total[0];
    scale(&a.seen, yes > 0.0 ? 1.0 / yes : 0.0, n, if_seen);
    scale(&a.not_seen, no > 0.0 ? 1.0 / no : 0.0, n, if_not_seen);
    *out = a;
    return ST_OK;
}
