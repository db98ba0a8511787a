/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Scans, and days on which a return was looked for and not seen: what each says of a conception at any moment.
 */
#include "core/breeding/inside.h"

/* Positive ultrasound at `age_d` days of pregnancy; before conception the age is negative, as of an empty sow. */
static double scan_positive(const struct breeding_rules *r, double age_d)
{
    const double low = breeding_rule(r, BR_SCAN_FALSE), high = breeding_rule(r, BR_SCAN_TRUE);
    const double from = breeding_rule(r, BR_SCAN_FROM_D), full = breeding_rule(r, BR_SCAN_FULL_D);

    if (age_d < from)
        return low;
    return age_d >= full ? high : low + (high - low) * (age_d - from) / (full - from);
}

static void apply_scan(const struct breeding_rules *r, const struct breeding_scan *scan, struct conception *c)
{
    const double empty = breeding_rule(r, BR_SCAN_FALSE), open = scan->positive ? empty : 1.0 - empty;

    for (size_t i = 0; i < c->n; i++) {
        const double p = scan_positive(r, (double)(scan->at_utc_s - c->points[i].at_utc_s) / (double)DAY_S);
        c->points[i].mass *= scan->positive ? p : 1.0 - p;
    }
    c->fresh *= open;
    c->failed *= open;
    c->silent *= open;
}

/* How much of a return the days looked at cover: 1 when they reach two sd either side of the expected day. */
static double share_looked_at(const struct breeding_rules *r, const struct breeding_return_look *look,
                              const struct heat heats[], size_t n_heats, struct breeding_notes *notes)
{
    const double cycle_d = breeding_rule(r, BR_CYCLE_D), sd_d = breeding_rule(r, BR_CYCLE_SD_D);
    const double root_half = 0.70710678118654752440;
    const struct heat *last = NULL;
    double share = 0.0;

    for (size_t k = 0; k < n_heats; k++)
        if (heats[k].mid_utc_s < look->from_utc_s)
            last = &heats[k];
    if (!last) {
        share = (double)(look->to_utc_s - look->from_utc_s) / (cycle_d * (double)DAY_S);
    } else {
        const double from_d = (double)(look->from_utc_s - last->mid_utc_s) / (double)DAY_S;
        const double to_d = (double)(look->to_utc_s - last->mid_utc_s) / (double)DAY_S;
        for (int k = 1; k <= 6; k++) {
            const double mid = k * cycle_d, sd = sd_d * sqrt((double)k);
            if (sd > 0.0)
                share += 0.5 * (erfc((from_d - mid) / sd * root_half) - erfc((to_d - mid) / sd * root_half));
            else
                share += from_d <= mid && mid <= to_d ? 1.0 : 0.0;
        }
        share /= sd_d > 0.0 ? erf(2.0 * root_half) : 1.0;
    }
    if (share < 0.999)
        notes->assumed |= 1U << BA_RETURN_SHARE;
    return share < 1.0 ? share : 1.0;
}

static void apply_return_look(const struct breeding_rules *r, const struct breeding_return_look *look,
                              const struct heat heats[], size_t n_heats, struct conception *c,
                              struct breeding_notes *notes)
{
    const double found = breeding_use(r, BR_LOOK_FINDS_RETURN, notes) * share_looked_at(r, look, heats, n_heats, notes);
    const double pregnant = 1.0 - breeding_use(r, BR_HEAT_WHILE_PREGNANT, notes), empty = 1.0 - found;

    for (size_t i = 0; i < c->n; i++) /* a conception after the days looked at: she was empty then */
        c->points[i].mass *= c->points[i].at_utc_s < look->from_utc_s ? pregnant : empty;
    c->fresh *= empty;
    c->failed *= empty;
}

void breeding_findings(const struct breeding_rules *r, const struct breeding_evidence *e, const struct heat heats[],
                       size_t n_heats, struct conception *c, struct breeding_notes *notes)
{
    for (size_t i = 0; i < e->n_scans; i++) {
        for (int rule = BR_SCAN_TRUE; rule <= BR_SCAN_FULL_D; rule++)
            (void)breeding_use(r, (enum breeding_rule)rule, notes);
        apply_scan(r, &e->scans[i], c);
        if (e->scans[i].positive && n_heats && heats[n_heats - 1].to_utc_s > e->scans[i].at_utc_s)
            notes->cautions |= 1U << BC_HEAT_AFTER_SCAN;
    }
    for (size_t i = 0; i < e->n_return_looks; i++)
        apply_return_look(r, &e->return_looks[i], heats, n_heats, c, notes);
    c->by_evidence = c->by_evidence || e->n_scans || e->n_return_looks;
}
