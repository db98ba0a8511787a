/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Is what was recorded usable, and which sightings belong to one heat.
 */
#include "core/breeding/inside.h"

#include <stdlib.h>

enum { MOST_HEATS = 256, MOST_RUNS = 64 };
#define MOMENT_MOST  INT64_C(13600000000) /* year 2400 */
#define MOMENT_LEAST INT64_C(-11700000000)

static bool is_moment(int64_t utc_s)
{
    return utc_s >= MOMENT_LEAST && utc_s <= MOMENT_MOST;
}

static enum status check_rules(const struct breeding_rules *r, struct message *why)
{
    double wei = 0.0;

    for (int i = 0; i < BR_END; i++) {
        const struct breeding_default *d = &breeding_defaults[i];
        if (!isnan(r->value[i]) && !(r->value[i] >= d->low && r->value[i] <= d->high))
            return refuse(ST_BAD_INPUT, why, d->name, "%s is %g; give %g to %g%s%s", d->words, r->value[i], d->low,
                          d->high, *d->unit ? " " : "", d->unit);
    }
    if (breeding_rule(r, BR_SCAN_FULL_D) <= breeding_rule(r, BR_SCAN_FROM_D))
        return refuse(ST_BAD_INPUT, why, "scan-full",
                      "a scan is at its best only after the day it first tells anything");
    for (int s = 0; s < BS_END; s++) {
        const struct breeding_sign_rule g = breeding_sign_rule(r, (enum breeding_sign)s);
        if (!(g.median_h > 0.01 && g.median_h < 1000.0) || !(g.log_sd >= 0.05 && g.log_sd <= 2.0) || !(g.seen <= 1.0) ||
            !(g.false_seen >= 0.0) || !(g.false_seen < g.seen))
            return refuse(ST_BAD_INPUT, why, "sign",
                          "the figures for \"%s\" cannot be used: onset 0.01 to 1000 h, spread "
                          "0.05 to 2, and a false sighting rarer than a true one",
                          breeding_sign_words[s]);
    }
    if (isnan(r->wei[0]))
        return ST_OK;
    for (int d = 0; d < BREEDING_WEI_DAYS; d++) {
        if (!(r->wei[d] >= 0.0))
            return refuse(ST_BAD_INPUT, why, "wei", "day %d from weaning to heat is %g; give shares from 0 to 1", d,
                          r->wei[d]);
        wei += r->wei[d];
    }
    if (!(wei <= 1.0 + 1e-9))
        return refuse(ST_BAD_INPUT, why, "wei", "shares by day from weaning to heat add up to %g; they reach 1 at most",
                      wei);
    return ST_OK;
}

int64_t breeding_run_end(const struct breeding_evidence *e, const struct breeding_run *run)
{
    return run->to_utc_s == BREEDING_NONE ? e->known_to_utc_s : run->to_utc_s;
}

static enum status check_runs(const struct breeding_evidence *e, struct message *why)
{
    int64_t hours = 0;

    if (e->n_runs > MOST_RUNS)
        return refuse(ST_BAD_INPUT, why, "boar-from", "%zu boar runs for one sow; %d are taken", e->n_runs,
                      (int)MOST_RUNS);
    for (size_t i = 0; i < e->n_runs; i++) {
        const struct breeding_run *run = &e->runs[i];
        const int64_t end = breeding_run_end(e, run);
        if (!is_moment(run->from_utc_s))
            return refuse(ST_BAD_INPUT, why, "boar-from",
                          "the day the boar came is out of range; give a date from 1600 to 2400");
        if (!is_moment(end))
            return refuse(ST_BAD_INPUT, why, "boar-to",
                          "when the boar left is not given; give a date, or the moment asked about");
        if (end <= run->from_utc_s)
            return refuse(ST_BAD_INPUT, why, "boar-to", "the boar leaves before he comes; give a later date");
        if (run->boar < -1 || run->boar >= BREEDING_BOARS)
            return refuse(ST_BAD_INPUT, why, "boar", "boar %d; number them from 0 to %d", run->boar,
                          BREEDING_BOARS - 1);
        hours += (end - run->from_utc_s) / BREEDING_BIN_S;
        if (hours > BREEDING_BINS)
            return refuse(ST_BAD_INPUT, why, "boar-from",
                          "more than %d days of boar runs for one litter; give the last turn only", BREEDING_BINS / 24);
    }
    return ST_OK;
}

static enum status check_services(const struct breeding_evidence *e, struct message *why)
{
    if (e->n_services > MOST_HEATS || e->n_heats > MOST_HEATS)
        return refuse(ST_BAD_INPUT, why, "service", "%zu services and %zu heats; %d of each are taken", e->n_services,
                      e->n_heats, (int)MOST_HEATS);
    for (size_t i = 0; i < e->n_services; i++) {
        const struct breeding_service *s = &e->services[i];
        if (!is_moment(s->at_utc_s))
            return refuse(ST_BAD_INPUT, why, "service", "a service is out of range; give a date from 1600 to 2400");
        if (!isnan(s->weight) && !(s->weight >= 0.0 && s->weight <= 1e6))
            return refuse(ST_BAD_INPUT, why, "service", "a weight of %g; give a number from 0 up, such as 0.5",
                          s->weight);
        if (s->boar < -1 || s->boar >= BREEDING_BOARS)
            return refuse(ST_BAD_INPUT, why, "boar", "boar %d; number them from 0 to %d", s->boar, BREEDING_BOARS - 1);
    }
    for (size_t i = 0; i < e->n_heats; i++)
        if (!is_moment(e->heats_utc_s[i]))
            return refuse(ST_BAD_INPUT, why, "return", "a heat is out of range; give a date from 1600 to 2400");
    return ST_OK;
}

static enum status check_rest(const struct breeding_evidence *e, struct message *why)
{
    if (e->n_scans > BREEDING_MOST || e->n_return_looks > BREEDING_MOST || e->n_looks > BREEDING_MOST ||
        e->n_past > BREEDING_MOST)
        return refuse(ST_BAD_INPUT, why, "sign", "more than %d records of one kind for one sow", BREEDING_MOST);
    for (size_t i = 0; i < e->n_scans; i++)
        if (!is_moment(e->scans[i].at_utc_s))
            return refuse(ST_BAD_INPUT, why, "scan", "a scan is out of range; give a date from 1600 to 2400");
    for (size_t i = 0; i < e->n_return_looks; i++)
        if (!is_moment(e->return_looks[i].from_utc_s) || !is_moment(e->return_looks[i].to_utc_s) ||
            e->return_looks[i].to_utc_s <= e->return_looks[i].from_utc_s)
            return refuse(ST_BAD_INPUT, why, "no-return",
                          "days looked for a return end before they begin; give from and to");
    for (size_t i = 0; i < e->n_looks; i++)
        if (!is_moment(e->looks[i].at_utc_s) || (unsigned)e->looks[i].sign >= BS_END)
            return refuse(ST_BAD_INPUT, why, e->looks[i].present ? "sign" : "no-sign",
                          "a look at a sign has no such sign or moment");
    for (size_t i = 0; i < e->n_past; i++)
        if (!(e->past_gestation_d[i] > 0.0 && e->past_gestation_d[i] < 400.0))
            return refuse(ST_BAD_INPUT, why, "past-gestation",
                          "a past length of %g days; give days from service to farrowing", e->past_gestation_d[i]);
    if (!isnan(e->breed_shift_d) && !(e->breed_shift_d >= -5.0 && e->breed_shift_d <= 5.0))
        return refuse(ST_BAD_INPUT, why, "breed-shift", "a breed's shift of %g days; give -5 to 5", e->breed_shift_d);
    if (!isnan(e->litter_above_mean) && !(e->litter_above_mean >= -20.0 && e->litter_above_mean <= 20.0))
        return refuse(ST_BAD_INPUT, why, "litter", "%g piglets above the mean; give -20 to 20", e->litter_above_mean);
    if (!isnan(e->p_cycling) && !(e->p_cycling >= 0.0 && e->p_cycling <= 1.0))
        return refuse(ST_BAD_INPUT, why, "cycling", "chance that she is cycling is %g; give 0 to 1", e->p_cycling);
    if (e->n_runs && e->state == BREEDING_WEANED && !is_moment(e->weaned_utc_s))
        return refuse(ST_BAD_INPUT, why, "weaned", "she is said to be freshly weaned; give the day");
    if (e->n_runs && e->state == BREEDING_SUCKLING && !is_moment(e->farrowed_utc_s))
        return refuse(ST_BAD_INPUT, why, "farrowed", "she is said to be suckling; give the day she farrowed");
    return ST_OK;
}

enum status breeding_check(const struct breeding_rules *r, const struct breeding_evidence *e, struct message *why)
{
    enum status st = check_rules(r, why);

    if (st == ST_OK)
        st = check_services(e, why);
    if (st == ST_OK)
        st = check_runs(e, why);
    if (st == ST_OK)
        st = check_rest(e, why);
    return st;
}

/* By moment; then by what else tells two apart, so that the order of listing never matters. */
static int by_moment(const void *left, const void *right)
{
    const struct heat_sight *a = left, *b = right;

    if (a->at_utc_s != b->at_utc_s)
        return a->at_utc_s < b->at_utc_s ? -1 : 1;
    if (!a->service || !b->service)
        return (a->service != NULL) - (b->service != NULL);
    if (a->service->boar != b->service->boar)
        return a->service->boar < b->service->boar ? -1 : 1;
    const double wa = isnan(a->service->weight) ? 0.0 : a->service->weight;
    const double wb = isnan(b->service->weight) ? 0.0 : b->service->weight;
    return (wa > wb) - (wa < wb);
}

enum status breeding_heats(const struct breeding_evidence *e, struct arena *mem, struct heat_sight **sights,
                           struct heat **heats, size_t *n_heats, bool *odd, struct message *why)
{
    const size_t n = e->n_services + e->n_heats;
    struct heat_sight *s = ARENA_NEW(mem, struct heat_sight, n + 1);
    struct heat *h = ARENA_NEW(mem, struct heat, n + 1);
    size_t groups = 0;

    if (!s || !h)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 0; i < e->n_services; i++)
        s[i] = (struct heat_sight){ e->services[i].at_utc_s, &e->services[i] };
    for (size_t i = 0; i < e->n_heats; i++)
        s[e->n_services + i] = (struct heat_sight){ e->heats_utc_s[i], NULL };
    if (n > 1)
        qsort(s, n, sizeof *s, by_moment);
    for (size_t i = 0; i < n; i++) {
        const int64_t gap = groups ? s[i].at_utc_s - h[groups - 1].to_utc_s : 0;
        const bool fresh = !groups || (gap > 4 * DAY_S && s[i].at_utc_s - h[groups - 1].from_utc_s >= 15 * DAY_S);
        if (fresh)
            h[groups++] = (struct heat){ .first = i, .from_utc_s = s[i].at_utc_s };
        else if (gap > 4 * DAY_S)
            *odd = true;
        struct heat *last = &h[groups - 1];
        last->n++;
        last->to_utc_s = s[i].at_utc_s;
        last->n_services += s[i].service != NULL;
        last->mid_utc_s = last->from_utc_s + (last->to_utc_s - last->from_utc_s) / 2;
    }
    *sights = s;
    *heats = h;
    *n_heats = groups;
    return ST_OK;
}
