/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/growth/growth.h"

#include <math.h>

static const double curve_to_d = 42.0; /* the suckling curve was fitted to that age */
static const double own_from_d = 10.0; /* a weight sooner says more of the birth than of the growth (judgement) */
static const double own_to_d = 180.0;
static const double step_d = 1e-3; /* ages are found to that */

struct growth growth_default(void)
{
    return (struct growth){ .suckling_pace = 0.92,
                            .weaning_d = 56.0,
                            .most_kg = 220.0,
                            .rate_per_d = 0.0073,
                            .fed = 0.85,
                            .pig_spread = 0.15,
                            .litter_spread = 0.10,
                            .farm_spread = 0.15 };
}

enum status growth_check(const struct growth *g, struct message *why)
{
    const struct {
        const char *name;
        double is, low, high;
    } field[] = {
        { "suckling_pace", g->suckling_pace, 0.3, 1.5 },
        { "weaning_d", g->weaning_d, 14.0, 120.0 },
        { "most_kg", g->most_kg, 60.0, 500.0 },
        { "rate_per_d", g->rate_per_d, 0.002, 0.02 },
        { "fed", g->fed, 0.3, 1.3 },
        { "pig_spread", g->pig_spread, 0.0, 1.0 },
        { "litter_spread", g->litter_spread, 0.0, 1.0 },
        { "farm_spread", g->farm_spread, 0.0, 1.0 },
        { "farm_shift", g->farm_shift, -1.5, 1.5 },
    };

    for (size_t i = 0; i < sizeof field / sizeof field[0]; i++)
        if (!(field[i].is >= field[i].low && field[i].is <= field[i].high))
            return refuse(ST_BAD_INPUT, why, field[i].name, "%s: %g lies outside %g to %g", field[i].name, field[i].is,
                          field[i].low, field[i].high);
    return ST_OK;
}

double growth_step(double w_kg, double days, double most_kg, double rate_per_d)
{
    return most_kg * pow(w_kg / most_kg, exp(-rate_per_d * days));
}

static double suckling(double age_d, double pace)
{
    return exp(0.2127 + pace * (0.07545 * age_d - 0.000558 * age_d * age_d));
}

double growth_suckling(double age_d)
{
    return suckling(age_d, 1.0);
}

double growth_weight(const struct growth *g, double age_d)
{
    const double turn = fmin(curve_to_d, g->weaning_d);
    const double there = suckling(fmin(age_d, turn), g->suckling_pace);
    const double now = age_d <= turn ? there : growth_step(there, age_d - turn, g->most_kg, g->rate_per_d * g->fed);

    return now * exp(g->farm_shift);
}

double growth_gain(const struct growth *g, double age_d)
{
    return growth_weight(g, age_d + 1.0) - growth_weight(g, age_d);
}

double growth_spread(const struct growth *g)
{
    return sqrt(g->pig_spread * g->pig_spread + g->litter_spread * g->litter_spread + g->farm_spread * g->farm_spread);
}

static double part_under_z(double z)
{
    return 0.5 * erfc(-z / sqrt(2.0));
}

double growth_part_under(const struct growth *g, double age_d, double kg)
{
    const double off = kg > 0.0 ? log(kg / growth_weight(g, age_d)) : -(double)INFINITY;
    const double sd = growth_spread(g);

    return sd > 0.0 ? part_under_z(off / sd) : off > 0.0 ? 1.0 : 0.0;
}

enum status growth_age(const struct growth *g, double kg, double share, double *age_d, struct message *why)
{
    double low = 0.0, high = GROWTH_AGE_MOST_D;

    if (!(kg > 0.0) || !(share > 0.0 && share < 1.0))
        return refuse(ST_BAD_INPUT, why, kg > 0.0 ? "share" : "kg", "a weight over 0 and a share between 0 and 1");
    if (1.0 - growth_part_under(g, low, kg) >= share)
        return refuse(ST_BAD_INPUT, why, "kg", "%.4g kg: a pig weighs that at birth", kg);
    if (1.0 - growth_part_under(g, high, kg) < share)
        return refuse(ST_BAD_INPUT, why, "kg", "%.4g kg: not reached in %d days", kg, GROWTH_AGE_MOST_D);
    while (high - low > step_d) { /* weight only rises with age */
        const double middle = 0.5 * (low + high);
        if (1.0 - growth_part_under(g, middle, kg) >= share)
            high = middle;
        else
            low = middle;
    }
    *age_d = high;
    return ST_OK;
}

/* ---- the farm's own ---- */

static bool taken(const struct growth_weighing *w)
{
    return w->age_d >= own_from_d && w->age_d <= own_to_d;
}

static bool seen(const struct growth_weighing w[], size_t i, bool by_pig)
{
    for (size_t j = 0; j < i; j++)
        if (taken(&w[j]) && w[j].litter == w[i].litter && (!by_pig || w[j].pig == w[i].pig))
            return true;
    return false;
}

static double off_curve(const struct growth *curve, const struct growth_weighing *w)
{
    return log(w->kg / growth_weight(curve, w->age_d));
}

/* Mean over the weighings of the pig of w[i]. */
static double of_pig(const struct growth *curve, size_t n, const struct growth_weighing w[], size_t i)
{
    double sum = 0.0, count = 0.0;

    for (size_t j = i; j < n; j++)
        if (taken(&w[j]) && w[j].litter == w[i].litter && w[j].pig == w[i].pig) {
            sum += off_curve(curve, &w[j]);
            count += 1.0;
        }
    return sum / count;
}

/* Mean over the pigs of the litter of w[i]. */
static double of_litter(const struct growth *curve, size_t n, const struct growth_weighing w[], size_t i, double *pigs)
{
    double sum = 0.0;

    *pigs = 0.0;
    for (size_t j = i; j < n; j++)
        if (taken(&w[j]) && w[j].litter == w[i].litter && !seen(w, j, true)) {
            sum += w[j].pigs * of_pig(curve, n, w, j);
            *pigs += w[j].pigs;
        }
    return sum / *pigs;
}

enum status growth_from_own(struct growth *g, size_t n, const struct growth_weighing w[], struct growth_own *own,
                            struct message *why)
{
    struct growth curve = *g;
    double sum = 0.0, weights = 0.0;

    curve.farm_shift = 0.0;
    *own = (struct growth_own){ 0 };
    for (size_t i = 0; i < n; i++)
        if (!(w[i].kg > 0.0 && isfinite(w[i].kg) && w[i].pigs >= 1.0))
            return refuse(ST_BAD_INPUT, why, "kg", "a weight is not over 0, or is of less than one pig");
    for (size_t i = 0; i < n; i++) {
        double pigs;
        if (!taken(&w[i]))
            continue;
        own->used++;
        if (seen(w, i, false))
            continue;
        const double mean = of_litter(&curve, n, w, i, &pigs);
        const double weight = 1.0 / (g->litter_spread * g->litter_spread + g->pig_spread * g->pig_spread / pigs + 1e-6);
        sum += weight * mean;
        weights += weight;
        own->litters++;
    }
    if (own->used == 0 || g->farm_spread <= 0.0)
        return ST_OK;
    const double all = weights + 1.0 / (g->farm_spread * g->farm_spread);
    own->weight = weights / all;
    g->farm_shift = sum / all;
    g->farm_spread = sqrt(1.0 / all);
    return ST_OK;
}
