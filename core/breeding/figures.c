/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a person asks of a density.
 */
#include "core/breeding/inside.h"

static double mass_before(const struct breeding_density *d, int64_t utc_s)
{
    if (!d->n || utc_s <= d->start_utc_s)
        return 0.0;
    const int64_t since = utc_s - d->start_utc_s, cell = since / BREEDING_STEP_S;
    if (cell >= (int64_t)d->n)
        return d->up_to[d->n];
    const double part = (double)(since - cell * BREEDING_STEP_S) / BREEDING_STEP_S;
    return d->up_to[cell] + part * (d->up_to[cell + 1] - d->up_to[cell]);
}

double breeding_between(const struct breeding_density *d, int64_t from_utc_s, int64_t to_utc_s)
{
    return to_utc_s > from_utc_s ? mass_before(d, to_utc_s) - mass_before(d, from_utc_s) : 0.0;
}

double breeding_within(const struct breeding_posterior *p, double hours)
{
    if (!p->known || p->at_utc_s == BREEDING_NONE || !(hours > 0.0) || !(hours <= 1e6))
        return 0.0;
    return breeding_between(&p->density, p->at_utc_s, p->at_utc_s + llround(hours * 3600.0));
}

double breeding_not_pregnant(const struct breeding_posterior *p)
{
    return p->known ? p->density.open : (double)NAN;
}

int64_t breeding_quantile(const struct breeding_density *d, double q)
{
    size_t low = 0, high = d->n;

    if (!d->n || !(d->up_to[d->n] > 0.0) || !(q >= 0.0 && q <= 1.0))
        return BREEDING_NONE;
    const double want = q * d->up_to[d->n];
    while (high - low > 1) { /* up_to[low] <= want <= up_to[high] */
        const size_t mid = low + (high - low) / 2;
        if (d->up_to[mid] < want)
            low = mid;
        else
            high = mid;
    }
    const double step = d->up_to[high] - d->up_to[low];
    const double part = step > 0.0 ? (want - d->up_to[low]) / step : 0.0;
    return d->start_utc_s + (int64_t)low * BREEDING_STEP_S + llround(part * BREEDING_STEP_S);
}

void breeding_hours(const struct breeding_density *d, int64_t from_utc_s, size_t n, double p[])
{
    double before = mass_before(d, from_utc_s);

    for (size_t i = 0; i < n; i++) {
        const double after = mass_before(d, from_utc_s + (int64_t)(i + 1) * HOUR_S);
        p[i] = after - before;
        before = after;
    }
}

/* Density of the length of gestation at `days`, 1/d, up to a factor common to all points. */
static double length_density(const struct breeding_prior *p, double days)
{
    const double z = (days - p->gestation_d) / p->gestation_sd_d;
    const double main_part = exp(-0.5 * z * z) / p->gestation_sd_d;

    if (p->tail <= 0.0)
        return main_part;
    const double y = (days - p->tail_d) / p->tail_sd_d;
    return (1.0 - p->tail) * main_part + p->tail * exp(-0.5 * y * y) / p->tail_sd_d;
}

static bool share_of_boars(double p[BREEDING_BOARS + 1])
{
    double sum = 0.0, most = 0.0;

    for (int b = 0; b <= BREEDING_BOARS; b++)
        sum += p[b];
    for (int b = 0; b <= BREEDING_BOARS; b++) {
        p[b] = sum > 0.0 ? p[b] / sum : (double)NAN;
        most = fmax(most, p[b]);
    }
    return sum > 0.0 && most <= 0.95;
}

static void add_boars_at(const struct breeding_prior *prior, double x_utc_s, double weight,
                         double p[BREEDING_BOARS + 1])
{
    double here[BREEDING_BOARS + 1] = { 0.0 }, sum = 0.0;

    for (size_t i = 0; i < prior->n_points; i++) {
        const struct breeding_point *c = &prior->points[i];
        if (!(c->mass > 0.0))
            continue;
        const double m = c->mass * length_density(prior, (x_utc_s - (double)c->at_utc_s) / (double)DAY_S);
        here[c->boar < 0 ? BREEDING_BOARS : c->boar] += m;
        sum += m;
    }
    if (sum > 0.0)
        for (int b = 0; b <= BREEDING_BOARS; b++)
            p[b] += weight * here[b] / sum;
}

bool breeding_boar_at(const struct breeding_prior *prior, int64_t x_utc_s, double p[BREEDING_BOARS + 1])
{
    for (int b = 0; b <= BREEDING_BOARS; b++)
        p[b] = 0.0;
    add_boars_at(prior, (double)x_utc_s, 1.0, p);
    return share_of_boars(p);
}

bool breeding_boar_prior(const struct breeding_prior *prior, double p[BREEDING_BOARS + 1])
{
    for (int b = 0; b <= BREEDING_BOARS; b++)
        p[b] = 0.0;
    for (size_t i = 0; i < prior->n_points; i++)
        p[prior->points[i].boar < 0 ? BREEDING_BOARS : prior->points[i].boar] += prior->points[i].mass;
    return share_of_boars(p);
}

bool breeding_boar_now(const struct breeding_prior *prior, const struct breeding_posterior *post,
                       double p[BREEDING_BOARS + 1])
{
    const int64_t block_s = 6 * HOUR_S; /* a sire's share varies over days */
    const struct breeding_density *d = &post->density;

    for (int b = 0; b <= BREEDING_BOARS; b++)
        p[b] = 0.0;
    for (int64_t at = 0; at < (int64_t)d->n * BREEDING_STEP_S; at += block_s) {
        const double m = breeding_between(d, d->start_utc_s + at, d->start_utc_s + at + block_s);
        if (m > 1e-9)
            add_boars_at(prior, (double)(d->start_utc_s + at) + 0.5 * (double)block_s, m, p);
    }
    return share_of_boars(p);
}
