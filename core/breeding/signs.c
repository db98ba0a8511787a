/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A sign begins at one moment before birth and stays till birth; a look sees it, misses it, or sees what is not there.
 *
 *   P(seen | h) = f + (s - f) Q(h),  Q(h) = P(onset earlier than h before birth) = 1 - Phi((ln h - ln M) / L)
 */
#include "core/breeding/inside.h"

bool breeding_look_counts(const struct breeding_look *l)
{
    if (l->sign == BS_BREATHING && (l->flags & BL_HOT))
        return false;
    return !(l->sign == BS_NEST && !l->present && (l->flags & BL_NEST_FINISHED));
}

static bool nest_in_doubt(const struct breeding_look *l)
{
    return l->sign == BS_NEST && (l->flags & (BL_FRESH_BED | BL_FRONT | BL_GALE)) && !(l->flags & BL_ALONE);
}

double breeding_look_false(const struct breeding_rules *r, const struct breeding_look *l, struct breeding_notes *notes)
{
    const double usual = breeding_sign_rule(r, l->sign).false_seen;

    return nest_in_doubt(l) ? fmax(usual, breeding_use(r, BR_FALSE_NEST, notes)) : usual;
}

/* Earliest present; but a nest that is beyond doubt goes before one that is not. */
static bool better_present(const struct sign_view *v, const struct breeding_look *l, bool doubt)
{
    if (!v->has_present)
        return true;
    if (v->doubtful != doubt)
        return v->doubtful;
    return l->at_utc_s < v->present_utc_s;
}

static void take(const struct breeding_rules *r, const struct breeding_look *l, struct sign_view *v,
                 struct breeding_notes *notes)
{
    const bool doubt = nest_in_doubt(l);
    const double f = breeding_look_false(r, l, notes);

    if (l->present) {
        if (!better_present(v, l, doubt))
            return;
        v->has_present = true;
        v->present_utc_s = l->at_utc_s;
        v->present_false = f;
        v->doubtful = doubt;
    } else if (!v->has_absent || l->at_utc_s > v->absent_utc_s ||
               (l->at_utc_s == v->absent_utc_s && f > v->absent_false)) {
        v->has_absent = true;
        v->absent_utc_s = l->at_utc_s;
        v->absent_false = f;
    }
}

bool breeding_counts_as_seen(const struct sign_view *v)
{
    return v->has_present && !(v->has_absent && v->absent_utc_s >= v->present_utc_s);
}

void breeding_sort_signs(const struct breeding_rules *r, size_t n, const struct breeding_look looks[],
                         struct sign_set *set, struct breeding_notes *notes)
{
    *set = (struct sign_set){ .last_look_utc_s = BREEDING_NONE };
    for (int s = 0; s < BS_END; s++) {
        struct sign_view *v = &set->view[s];
        v->rule = breeding_sign_rule(r, (enum breeding_sign)s);
        v->log_median = log(v->rule.median_h);
        v->unborn_h = v->rule.median_h * exp(7.0 * v->rule.log_sd);
    }
    for (size_t i = 0; i < n; i++) {
        const struct breeding_look *l = &looks[i];
        if (l->at_utc_s > set->last_look_utc_s)
            set->last_look_utc_s = l->at_utc_s;
        if (l->sign == BS_NEST && (l->flags & BL_NEST_FINISHED))
            set->nest_finished = true;
        if (breeding_look_counts(l))
            take(r, l, &set->view[l->sign], notes);
        else if (l->sign == BS_BREATHING)
            set->hot_breathing = true;
    }
    for (int s = 0; s < BS_END; s++) {
        const struct sign_view *v = &set->view[s];
        const bool seen = breeding_counts_as_seen(v);
        set->gone = set->gone || (v->has_present && !seen);
        set->labour = set->labour || (seen && (s == BS_FLUID || s == BS_STRAINING));
        set->near_birth = set->near_birth || (seen && !v->doubtful &&
                                              (s == BS_NEST || s == BS_STREAMS || s == BS_FLUID || s == BS_STRAINING));
    }
}

double breeding_view_open(const struct sign_view *v)
{
    return (v->has_present ? v->present_false : 1.0) * (v->has_absent ? 1.0 - v->absent_false : 1.0);
}

/* Absent before it was present: one event, so the onset lies between the looks or both looks met no sign.
 * Present before it was absent: the joint chance of the two looks over all onsets. */
static double both(const struct sign_view *v, const struct breeding_normal *t, double since_present_h,
                   double since_absent_h)
{
    const double s = v->rule.seen, none = v->present_false * (1.0 - v->absent_false);
    const double there_present = sign_there(t, v, since_present_h), there_absent = sign_there(t, v, since_absent_h);

    if (v->absent_utc_s < v->present_utc_s)
        return none + s * (there_present - there_absent);
    return none + (s * (1.0 - s) - none) * there_present +
           (v->present_false * (1.0 - s) - none) * (there_absent - there_present);
}

double breeding_view_likelihood(const struct sign_view *v, const struct breeding_normal *t, double present_h,
                                double absent_h)
{
    if (v->has_present && v->has_absent)
        return both(v, t, present_h, absent_h);
    if (v->has_present)
        return v->present_false + (v->rule.seen - v->present_false) * sign_there(t, v, present_h);
    return 1.0 - v->absent_false - (v->rule.seen - v->absent_false) * sign_there(t, v, absent_h);
}

double breeding_raised(double x, double power)
{
    if (power >= 1.0)
        return x;
    return power > 0.499999 && power < 0.500001 ? sqrt(x) : pow(x, power);
}

size_t breeding_n_knots(size_t n)
{
    return n <= BREEDING_FINE_CELLS ? n : BREEDING_FINE_CELLS + (n - BREEDING_FINE_CELLS + 3) / 4 + 1;
}

void breeding_view_knots(const struct sign_view *v, const struct breeding_normal *t, int64_t start_utc_s, size_t n,
                         double knot[])
{
    const double step_h = BREEDING_STEP_S / 3600.0;
    const double present_h = v->has_present ? (double)(start_utc_s - v->present_utc_s) / 3600.0 : 0.0;
    const double absent_h = v->has_absent ? (double)(start_utc_s - v->absent_utc_s) / 3600.0 : 0.0;

    for (size_t i = 0; i < breeding_n_knots(n);
         i++) { /* the middle of a near cell stands for it; hours at their edges */
        const double cells =
            i < BREEDING_FINE_CELLS ? (double)i + 0.5 : BREEDING_FINE_CELLS + 4.0 * (double)(i - BREEDING_FINE_CELLS);
        knot[i] = breeding_view_likelihood(v, t, present_h + cells * step_h, absent_h + cells * step_h);
    }
}

void breeding_knots_weigh(const double knot[], double power, size_t n, double out[])
{
    size_t i = 0, k = BREEDING_FINE_CELLS;

    for (; i < n && i < BREEDING_FINE_CELLS; i++)
        out[i] *= breeding_raised(knot[i], power);
    double low = i < n ? breeding_raised(knot[k], power) : 0.0;
    for (; i < n; i += 4) {
        const double high = breeding_raised(knot[++k], power), step = 0.25 * (high - low);
        const size_t some = n - i < 4 ? n - i : 4;
        for (size_t c = 0; c < some; c++)
            out[i + c] *= low + step * ((double)c + 0.5);
        low = high;
    }
}
