/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A boar running with her: heats are followed hour by hour. Each heat that falls while he is there is served and takes
 * with its chance; what did not take comes round again a cycle later.
 *
 *   c(t) = sum over k of (chance she is empty at her k-th heat, and it falls at t) x chance it takes,  t while covered
 *
 * own renewal model; first heat uniform over a cycle for a cycling sow.
 */
#include "core/breeding/inside.h"

#include <string.h>

static enum status fill_taps(const struct breeding_rules *r, const struct breeding_normal *normal, struct arena *mem,
                             struct herding *h, struct breeding_notes *notes, struct message *why)
{
    const double hours = 24.0 * breeding_use(r, BR_CYCLE_D, notes), sd = 24.0 * breeding_use(r, BR_CYCLE_SD_D, notes);
    const double reach = ceil(5.0 * sd) + 1.0;

    h->first_tap = (int64_t)floor(hours) - (int64_t)reach;
    h->n_taps = (size_t)(2 * (int64_t)reach) + 2;
    h->tap = ARENA_NEW(mem, double, h->n_taps);
    if (!h->tap)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 0; i < h->n_taps; i++) {
        const double off = (double)(h->first_tap + (int64_t)i) - hours;
        if (sd > 0.0)
            h->tap[i] = normal_below(normal, (off + 0.5) / sd) - normal_below(normal, (off - 0.5) / sd);
        else
            h->tap[i] = fabs(off) < 1.0 ? 1.0 - fabs(off) : 0.0; /* a whole number of hours is one tap */
    }
    return ST_OK;
}

/* Share of the hour from `at` that lies in the run. */
static double overlap(int64_t at, int64_t from, int64_t to)
{
    const int64_t low = at > from ? at : from, end = at + BREEDING_BIN_S, high = end < to ? end : to;

    return high > low ? (double)(high - low) / BREEDING_BIN_S : 0.0;
}

enum status breeding_herding(const struct breeding_rules *r, const struct breeding_evidence *e,
                             const struct breeding_normal *normal, int64_t origin_utc_s, int64_t end_utc_s,
                             struct arena *mem, struct herding *h, struct breeding_notes *notes, struct message *why)
{
    const int64_t bins = (end_utc_s - origin_utc_s + BREEDING_BIN_S - 1) / BREEDING_BIN_S;

    if (bins > BREEDING_BINS)
        return refuse(ST_BAD_INPUT, why, "boar-from",
                      "%lld days lie between the first record and the last; give the last "
                      "turn only (%d days at most)",
                      (long long)(bins / 24), BREEDING_BINS / 24);
    *h = (struct herding){ .origin_utc_s = origin_utc_s, .n = (size_t)bins };
    const size_t days = h->n / 24 + 1;
    double *room = ARENA_NEW(mem, double, 6 * h->n + 2 * days);
    if (!room)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    h->covered = room;
    h->fresh = room + h->n;
    h->failed = room + 2 * h->n;
    h->next_fresh = room + 3 * h->n;
    h->next_failed = room + 4 * h->n;
    h->taken = room + 5 * h->n;
    h->takes = room + 6 * h->n;
    h->takes_again = h->takes + days;
    for (size_t j = 0; j < h->n; j++) {
        const int64_t at = origin_utc_s + (int64_t)j * BREEDING_BIN_S;
        for (size_t i = 0; i < e->n_runs; i++)
            h->covered[j] += overlap(at, e->runs[i].from_utc_s, breeding_run_end(e, &e->runs[i]));
        if (h->covered[j] > 1.0)
            h->covered[j] = 1.0;
    }
    for (size_t d = 0; d < days; d++) {
        const int64_t middle = origin_utc_s + (int64_t)d * DAY_S + DAY_S / 2;
        h->takes[d] = breeding_takes(r, e, middle, false, notes);
        h->takes_again[d] = breeding_takes(r, e, middle, true, notes);
    }
    return fill_taps(r, normal, mem, h, notes, why);
}

/* The hour that ends at `utc_s` or holds it: a heat on the last moment of a run is still served. */
static void drop(const struct herding *h, double heats[], int64_t utc_s, double mass)
{
    int64_t j = (utc_s - h->origin_utc_s + BREEDING_BIN_S - 1) / BREEDING_BIN_S - 1;

    if (j < 0)
        j = 0;
    if (j < (int64_t)h->n)
        heats[j] += mass;
}

/* mass x Normal(mid, sd) cut to from .. to, over the hours; the share inside comes back. */
static double spread(const struct herding *h, const struct breeding_normal *normal, double heats[], int64_t mid_utc_s,
                     double sd_s, int64_t from_utc_s, int64_t to_utc_s, double mass)
{
    const double mid = (double)(mid_utc_s - h->origin_utc_s);
    const double low = (double)(from_utc_s - h->origin_utc_s), high = (double)(to_utc_s - h->origin_utc_s);

    for (size_t j = 0; j < h->n; j++) {
        double a = (double)j * BREEDING_BIN_S, b = a + BREEDING_BIN_S;
        if (b < mid - 8.0 * sd_s || a > mid + 8.0 * sd_s || b <= low || a >= high)
            continue;
        a = a < low ? low : a;
        b = b > high ? high : b;
        heats[j] += mass * (normal_below(normal, (b - mid) / sd_s) - normal_below(normal, (a - mid) / sd_s));
    }
    return mass * (normal_below(normal, (high - mid) / sd_s) - normal_below(normal, (low - mid) / sd_s));
}

static void after_weaning(const struct breeding_rules *r, struct herding *h, int64_t weaned_utc_s, double mass,
                          struct breeding_notes *notes)
{
    const double *wei = breeding_wei(r, notes);

    for (int d = 0; d < BREEDING_WEI_DAYS; d++)
        if (wei[d] > 0.0)
            drop(h, h->fresh, weaned_utc_s + d * DAY_S, mass * wei[d]);
}

static double while_suckling(const struct breeding_rules *r, const struct breeding_evidence *e,
                             const struct breeding_normal *normal, struct herding *h, int64_t boar_in_utc_s,
                             struct breeding_notes *notes)
{
    const double share = breeding_use(r, BR_SUCKLING_SHARE, notes);
    const int64_t opens = e->farrowed_utc_s + llround(breeding_use(r, BR_SUCKLING_FROM_D, notes) * (double)DAY_S);
    const int64_t from = opens > boar_in_utc_s ? opens : boar_in_utc_s;
    const int64_t mid = from + llround(breeding_use(r, BR_SUCKLING_AFTER_D, notes) * (double)DAY_S);
    const double sd_s = breeding_use(r, BR_SUCKLING_SD_D, notes) * (double)DAY_S;
    const bool weaned = e->weaned_utc_s != BREEDING_NONE;

    if (weaned && e->weaned_utc_s <= from) {
        after_weaning(r, h, e->weaned_utc_s, 1.0, notes);
        return 0.0;
    }
    const double early = spread(h, normal, h->fresh, mid, sd_s, from, weaned ? e->weaned_utc_s : INT64_MAX / 2, share);
    if (!weaned)
        return 1.0 - share;
    after_weaning(r, h, e->weaned_utc_s, 1.0 - early, notes);
    return 0.0;
}

double breeding_first_heat(const struct breeding_rules *r, const struct breeding_evidence *e,
                           const struct breeding_normal *normal, struct herding *h, int64_t boar_in_utc_s,
                           struct breeding_notes *notes)
{
    const double cycle_s = breeding_use(r, BR_CYCLE_D, notes) * (double)DAY_S;
    double cycling = 1.0;

    switch (e->state) {
    case BREEDING_WEANED:
        notes->cautions |= 1U << BC_BUNCHED;
        after_weaning(r, h, e->weaned_utc_s, 1.0, notes);
        return 0.0;
    case BREEDING_SUCKLING: return while_suckling(r, e, normal, h, boar_in_utc_s, notes);
    case BREEDING_GILT:
        notes->cautions |= 1U << BC_BUNCHED;
        cycling = isnan(e->p_cycling) ? breeding_use(r, BR_CYCLING, notes) : e->p_cycling;
        break;
    case BREEDING_STATE_UNKNOWN: notes->assumed |= 1U << BA_CYCLING; break;
    case BREEDING_CYCLING: break;
    }
    for (size_t j = 0; j < h->n; j++) {
        const int64_t at = h->origin_utc_s + (int64_t)j * BREEDING_BIN_S;
        h->fresh[j] = cycling * BREEDING_BIN_S / cycle_s * overlap(at, boar_in_utc_s, boar_in_utc_s + llround(cycle_s));
    }
    return 1.0 - cycling;
}

void breeding_next_heat(struct herding *h, int64_t heat_utc_s, double fresh, double failed)
{
    const int64_t bin = (heat_utc_s - h->origin_utc_s) / BREEDING_BIN_S;

    memset(h->fresh, 0, h->n * sizeof *h->fresh);
    memset(h->failed, 0, h->n * sizeof *h->failed);
    for (size_t i = 0; i < h->n_taps; i++) {
        const int64_t j = bin + h->first_tap + (int64_t)i;
        if (j >= 0 && j < (int64_t)h->n) {
            h->fresh[j] += fresh * h->tap[i];
            h->failed[j] += failed * h->tap[i];
        }
    }
}

/* One round: every heat before bin `end` is met; what is left comes round again. Returns the mass still to be met. */
static double one_round(struct herding *h, size_t end, double *fresh, double *failed)
{
    double left = 0.0;

    memset(h->next_fresh, 0, h->n * sizeof *h->next_fresh);
    memset(h->next_failed, 0, h->n * sizeof *h->next_failed);
    for (size_t j = 0; j < end; j++) {
        if (h->fresh[j] + h->failed[j] < 1e-12)
            continue;
        const double first = h->fresh[j] * h->covered[j], again = h->failed[j] * h->covered[j];
        const double taken = first * h->takes[j / 24] + again * h->takes_again[j / 24];
        const double empty_fresh = h->fresh[j] - first, empty_failed = h->failed[j] + first - taken;
        h->taken[j] += taken;
        *fresh -= first;
        *failed += first - taken;
        const size_t start = j + (size_t)h->first_tap;
        const size_t n = start >= end ? 0 : end - start < h->n_taps ? end - start : h->n_taps;
        if (empty_fresh > 1e-12)
            add_scaled(n, empty_fresh, h->tap, h->next_fresh + start);
        if (empty_failed > 1e-12)
            add_scaled(n, empty_failed, h->tap, h->next_failed + start);
    }
    for (size_t j = 0; j < end; j++)
        left += h->next_fresh[j] + h->next_failed[j];
    double *swap = h->fresh;
    h->fresh = h->next_fresh;
    h->next_fresh = swap;
    swap = h->failed;
    h->failed = h->next_failed;
    h->next_failed = swap;
    return left;
}

/* Who was with her in that hour gets the mass; two at once share it. */
static enum status share_out(const struct breeding_evidence *e, int64_t at, double mass, struct conception *c,
                             struct breeding_notes *notes, struct message *why)
{
    double there = 0.0;
    size_t n = 0;
    enum status st = ST_OK;

    for (size_t i = 0; i < e->n_runs; i++) {
        const double part = overlap(at, e->runs[i].from_utc_s, breeding_run_end(e, &e->runs[i]));
        there += part;
        n += part > 0.0;
    }
    if (n > 1 && there > 1.0 + 1e-9)
        notes->assumed |= 1U << BA_FIRST_BOAR_SHARE;
    for (size_t i = 0; i < e->n_runs && st == ST_OK; i++) {
        const double part = overlap(at, e->runs[i].from_utc_s, breeding_run_end(e, &e->runs[i]));
        if (part > 0.0)
            st = breeding_add_point(c, at + BREEDING_BIN_S / 2, mass * part / there, e->runs[i].boar, true, why);
    }
    return st;
}

enum status breeding_follow(struct herding *h, const struct breeding_evidence *e, int64_t until_utc_s,
                            struct conception *c, double *fresh, double *failed, struct breeding_notes *notes,
                            struct message *why)
{
    const int64_t bins = (until_utc_s - h->origin_utc_s + BREEDING_BIN_S - 1) / BREEDING_BIN_S;
    const size_t end = bins < 0 ? 0 : bins > (int64_t)h->n ? h->n : (size_t)bins;
    enum status st = ST_OK;

    memset(h->taken, 0, h->n * sizeof *h->taken);
    for (int round = 0; round < 60 && one_round(h, end, fresh, failed) > 1e-10; round++)
        ;
    for (size_t j = 0; j < end && st == ST_OK; j++)
        if (h->taken[j] > 1e-13)
            st = share_out(e, h->origin_utc_s + (int64_t)j * BREEDING_BIN_S, h->taken[j], c, notes, why);
    return st;
}
