/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From 72 figures to an answer: best, arcs, worst, and whether it matters at all.
 */
#include <math.h>

#include "core/nest/facing.h"

static const double arc_share = 0.05, hardly_under = 0.15, nothing_under = 1e-3;

struct run {
    size_t first, length;
}; /* bearings first .. first + length - 1, round the circle */

/* Runs of bearings whose figure is low enough, each as long as it goes. A whole circle is one run. */
static size_t runs_of(const double value[FACING_BEARINGS], double most, struct run runs[FACING_ARCS])
{
    size_t start = 0, n = 0;

    while (start < FACING_BEARINGS && value[start] <= most)
        start++; /* begin behind a bearing that is out, so that no run is cut at north */
    if (start == FACING_BEARINGS) {
        runs[0] = (struct run){ 0, FACING_BEARINGS };
        return 1;
    }
    for (size_t i = 1; i <= FACING_BEARINGS; i++) {
        const size_t g = (start + i) % FACING_BEARINGS, before = (g + FACING_BEARINGS - 1) % FACING_BEARINGS;
        if (!(value[g] <= most))
            continue;
        if (value[before] <= most)
            runs[n - 1].length++;
        else
            runs[n++] = (struct run){ g, 1 };
    }
    return n;
}

/* Middle of the longest run of (nearly) equal lowest figures; between equal runs the one with more morning sun. */
static double middle_of_lowest(const struct facing *f, const double value[FACING_BEARINGS])
{
    struct run runs[FACING_ARCS];
    double lowest = INFINITY, most_sun = -INFINITY, middle_deg = 0.0;
    size_t longest = 0;

    for (size_t g = 0; g < FACING_BEARINGS; g++)
        lowest = fmin(lowest, value[g]);
    const size_t n = runs_of(value, lowest + 1e-7 * fmax(1.0, fabs(lowest)), runs);
    for (size_t i = 0; i < n; i++) {
        const size_t middle = (runs[i].first + (runs[i].length - 1) / 2) % FACING_BEARINGS;
        const double sun = f->rows[middle].morning_sun_kwh_m2_day;
        if (runs[i].length > longest || (runs[i].length == longest && sun > most_sun)) {
            longest = runs[i].length;
            most_sun = sun;
            middle_deg = f->rows[middle].facing_deg;
        }
    }
    return middle_deg;
}

static const struct facing_row *row_at(const struct facing *f, double facing_deg)
{
    for (size_t g = 0; g < FACING_BEARINGS; g++)
        if (f->rows[g].facing_deg == facing_deg)
            return &f->rows[g];
    return &f->rows[0];
}

static void fill_arcs(struct facing *f, const double cold[FACING_BEARINGS])
{
    struct run runs[FACING_ARCS] = { { 0, 0 } };
    const size_t n = runs_of(cold, f->best + arc_share * (f->worst - f->best), runs);
    size_t home = 0;

    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < runs[i].length; k++)
            if (f->rows[(runs[i].first + k) % FACING_BEARINGS].facing_deg == f->best_deg)
                home = i;
    f->n_arcs = n;
    for (size_t i = 0; i < n; i++) {
        const struct run r = runs[(home + i) % n];
        f->arcs[i] = (struct facing_arc){ f->rows[r.first].facing_deg,
                                          f->rows[(r.first + r.length - 1) % FACING_BEARINGS].facing_deg };
    }
    if (n == 1 && runs[0].length == FACING_BEARINGS)
        f->arcs[0] = (struct facing_arc){ 0.0, 360.0 };
}

void facing_judge(struct facing *f)
{
    double cold[FACING_BEARINGS], warm[FACING_BEARINGS], shade[FACING_BEARINGS];

    f->best = INFINITY;
    f->worst = -INFINITY;
    for (size_t g = 0; g < FACING_BEARINGS; g++) {
        cold[g] = f->rows[g].cold_degree_hours_per_day;
        warm[g] = -cold[g];
        shade[g] = -f->rows[g].morning_sun_kwh_m2_day;
        f->best = fmin(f->best, cold[g]);
        f->worst = fmax(f->worst, cold[g]);
    }
    f->nothing_differs = f->worst - f->best < nothing_under;
    f->hardly_matters = f->nothing_differs || (f->worst - f->best) / f->best < hardly_under;
    f->best_deg = middle_of_lowest(f, f->nothing_differs ? shade : cold);
    f->worst_deg = middle_of_lowest(f, warm);
    fill_arcs(f, cold);
    f->best = row_at(f, f->best_deg)->cold_degree_hours_per_day;
    f->worst = row_at(f, f->worst_deg)->cold_degree_hours_per_day;
}
