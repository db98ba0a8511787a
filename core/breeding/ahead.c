/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A look not yet taken: how likely it is to see the sign, and what either outcome would say.
 *
 * P(seen at tau | x, what was found before) comes from the onset model itself, summed over where among the looks the onset
 * may lie, so that the two outcomes weighed by their chances are exactly today's answer.
 */
#include "core/breeding/inside.h"

#include <stdlib.h>

enum { MOST_LOOKS = 24 };   /* at one sign; the latest are kept */

struct history {
    struct sign_view view;      /* the figures of the sign */
    size_t n;                   /* looks so far, then the new one at [n] */
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
        qsort(kept, n, sizeof kept[0], by_moment);
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

/* P(the new look sees it | birth at x, what was found). With onset between look m and m + 1, looks up to m met no sign. */
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
    for (size_t m = 0; m <= h->n + 1; m++) {   /* onset before look 0, ..., after look n */
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
    const int64_t left = (hour + 1) * HOUR_S - since;   /* of this hour, from the cell's start */
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

struct sums { double total, seen; };

/* Mass of cell i of today's density that lies after the look, in cells that begin there. */
static double cell_mass(const struct breeding_density *d, int64_t from, size_t i)
{
    const int64_t at = from + (int64_t)i * BREEDING_STEP_S;

    return breeding_between(d, at, at + BREEDING_STEP_S);
}

enum status breeding_look_ahead(const struct breeding_posterior *post, const struct breeding_look *look,
                                int64_t from_utc_s, size_t n, double if_seen[], double if_not_seen[],
                                struct breeding_ahead *out, struct message *why)
{
    const struct breeding_density *d = &post->density;
    const int64_t end = d->start_utc_s + (int64_t)d->n * BREEDING_STEP_S;
    struct breeding_ahead a = { 0 };
    struct history h;
    struct sums sum = { 0.0, 0.0 };

    if (!post->known)
        return refuse(ST_BAD_INPUT, why, "look", "nothing is recorded of her, so no look can be weighed; record a service or a boar");
    if ((unsigned)look->sign >= BS_END || look->at_utc_s < post->at_utc_s)
        return refuse(ST_BAD_INPUT, why, "look", "the look to weigh lies before the moment asked about; give a later one");
    collect(post, look, &h);
    const double off = h.off[h.n], lambda = discount(post, look->sign);
    const size_t cells = look->at_utc_s < end ? (size_t)((end - look->at_utc_s + BREEDING_STEP_S - 1) / BREEDING_STEP_S) : 0;
    const double step_s = BREEDING_STEP_S;

    for (size_t i = 0; i < cells; i++) {
        const double m = cell_mass(d, look->at_utc_s, i);
        sum.total += m;
        sum.seen += m > 0.0 ? m * sees(&h, post->normal, (double)look->at_utc_s + ((double)i + 0.5) * step_s) : 0.0;
    }
    a.p_before = breeding_between(d, d->start_utc_s, look->at_utc_s);
    sum.total += d->open;
    sum.seen += d->open * off;
    a.p_seen = sum.total > 0.0 ? sum.seen / sum.total : off;
    for (size_t i = 0; i < n; i++)
        if_seen[i] = if_not_seen[i] = 0.0;
    for (size_t i = 0; i < cells; i++) {
        const double m = cell_mass(d, look->at_utc_s, i);
        if (!(m > 0.0))
            continue;
        const double p = sees(&h, post->normal, (double)look->at_utc_s + ((double)i + 0.5) * step_s);
        const double tells = a.p_seen + lambda * (p - a.p_seen), at_s = (double)i * step_s;
        add_outcome(&a.seen, at_s, m * tells);
        add_outcome(&a.not_seen, at_s, m * (1.0 - tells));
        into_hours(look->at_utc_s + (int64_t)i * BREEDING_STEP_S, m * tells, from_utc_s, n, if_seen);
        into_hours(look->at_utc_s + (int64_t)i * BREEDING_STEP_S, m * (1.0 - tells), from_utc_s, n, if_not_seen);
    }
    const double tells_open = a.p_seen + lambda * (off - a.p_seen);
    a.seen.open = d->open * tells_open;
    a.not_seen.open = d->open * (1.0 - tells_open);
    scale(&a.seen, a.p_seen * sum.total > 0.0 ? 1.0 / (a.p_seen * sum.total) : 0.0, n, if_seen);
    scale(&a.not_seen, (1.0 - a.p_seen) * sum.total > 0.0 ? 1.0 / ((1.0 - a.p_seen) * sum.total) : 0.0, n, if_not_seen);
    *out = a;
    return ST_OK;
}
