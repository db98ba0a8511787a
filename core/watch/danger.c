/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What an hour counts, how often to look, and when a piece of work must be done.
 */
#include <math.h>

#include "core/watch/work.h"

/* Shares of typical and runt: judgement, as in the weights of the shortfall itself. least_c: the shortfall at the
 * limits between the grades (34 - 33 and 34 - 31.5 °C), since a slow recovery can be danger with little shortfall. */
const struct watch_weights watch_usual_weights = {
    .typical = 0.85,
    .runt = 0.15,
    .least_c = { 0.0, 0.0, 1.0, 2.5 },
    .heat_c = 1.0,
    .minute_c = 0.001,
    .straw_kg_c = 0.0001,
    .still_worth = 0.9,
    .spare_share = 0.5,
    .solver_ms = 40,
};

double watch_need_c(const struct watch_weights *w, const struct watch_cell *cell)
{
    double need = 0.0;

    if (cell->heat_grade >= 2)
        return w->heat_c * (cell->heat_grade - 1);
    if (cell->grade >= 2)
        need += w->typical * fmax((double)cell->shortfall_c, w->least_c[cell->grade]);
    if (cell->runt_grade >= 2)
        need += w->runt * fmax((double)cell->runt_shortfall_c, w->least_c[cell->runt_grade]);
    return need;
}

enum watch_often watch_how_often(double p_12h, bool frost)
{
    const int step = p_12h > 0.6 ? 3 : p_12h >= 0.25 ? 2 : p_12h >= 0.05 ? 1 : 0;
    return (enum watch_often)(frost && step < 3 ? step + 1 : step);
}

/* The last whole hour at which `still_worth` of the gain is still ahead; NAN when there is no gain. */
static double her_chance(size_t n_hours, const double *gain_c, double still_worth)
{
    double total = 0.0, past = 0.0;
    size_t h = 0;

    for (size_t i = 0; i < n_hours; i++)
        total += fmax(0.0, gain_c[i]);
    if (!(total > 0.0))
        return NAN;
    for (; h < n_hours; h++) {
        past += fmax(0.0, gain_c[h]);
        if (past > (1.0 - still_worth) * total)
            break;
    }
    return (double)h;
}

struct watch_deadline watch_deadline_of(const struct watch_option *o, const struct watch_moments *moments,
                                        size_t n_hours, const double *gain_c, double still_worth)
{
    struct watch_deadline d = { .by_h = NAN, .earliest_h = NAN, .start_h = NAN, .why = WATCH_NO_DEADLINE };
    const double took_h = o->minutes / 60.0, hers = her_chance(n_hours, gain_c, still_worth);

    d.by_h = work_physical_due(o, moments, hers, &d.why);
    if (!isnan(hers) && !(d.by_h <= fmax(hers, o->earliest_h + took_h))) { /* true also while there is no other */
        d.by_h = fmax(hers, o->earliest_h + took_h);
        d.why = WATCH_HER_CHANCE;
    }
    d.earliest_h = d.by_h;
    d.start_h = isnan(d.by_h) ? d.by_h : fmax(0.0, d.by_h - took_h);
    return d;
}
