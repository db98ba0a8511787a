/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared between the files of core/breeding; nobody else includes it.
 */
#ifndef CORE_BREEDING_INSIDE_H
#define CORE_BREEDING_INSIDE_H

#include <math.h>

#include "core/base/civil.h"
#include "core/breeding/breeding.h"

#define BREEDING_BIN_S 3600 /* hours in which a boar run is followed */
#define BREEDING_BINS  (24 * 800)

/* Standard normal distribution in steps of 1/16 with its slope: cubic between, within 6e-8 of erfc(). Built once a sow,
 * because the prior and every look ask for it thousands of times. */
#define NORMAL_REACH    8
#define NORMAL_PER_UNIT 16
#define NORMAL_CELLS    (2 * NORMAL_REACH * NORMAL_PER_UNIT)

struct breeding_normal {
    double below[NORMAL_CELLS + 1], slope[NORMAL_CELLS + 1]; /* slope: density / NORMAL_PER_UNIT */
};

void breeding_normal_fill(struct breeding_normal *t);

static inline double normal_below(const struct breeding_normal *t, double z)
{
    const double at = (z + NORMAL_REACH) * NORMAL_PER_UNIT;

    if (!(at > 0.0))
        return 0.0;
    if (!(at < NORMAL_CELLS))
        return 1.0;
    const size_t i = (size_t)at;
    const double x = at - (double)i, y = 1.0 - x;
    const double a = t->below[i], b = t->below[i + 1];

    return a * y * y * (1.0 + 2.0 * x) + b * x * x * (3.0 - 2.0 * x) + x * y * (t->slope[i] * y - t->slope[i + 1] * x);
}

/* A possible moment of conception. Sums of mass and the open mass are 1 together. */
struct breeding_point {
    int64_t at_utc_s;
    double mass;
    int boar;
    bool bin; /* middle of an hour of a run: at_utc_s is `first bin` + whole hours */
};

/* What the recorded services, runs, heats, scans and returns say of conception. */
struct conception {
    size_t n, room;
    struct breeding_point *points;
    double fresh;  /* not pregnant, never served in this turn */
    double failed; /* not pregnant, served */
    double silent; /* not pregnant, not in heat at all (gilt before puberty, suckling) */
    int64_t first_utc_s, last_utc_s;
    bool by_evidence, heat_after_scan;
};

enum status breeding_conceive(const struct breeding_rules *r, const struct breeding_evidence *e,
                              const struct breeding_normal *normal, struct arena *scratch, struct arena *mem,
                              struct conception *c, struct breeding_notes *notes, struct message *why) MUST_USE;

/* One heat: services and sightings that belong together (recorded moments, sorted). */
struct heat_sight {
    int64_t at_utc_s;
    const struct breeding_service *service; /* NULL: seen, not served */
};
struct heat {
    size_t first, n; /* of the sorted sightings */
    int64_t from_utc_s, to_utc_s;
    int64_t mid_utc_s; /* from which the next heat is counted */
    size_t n_services;
};
/* Sort and group. *odd: two services 5 .. 14 days apart. */
enum status breeding_heats(const struct breeding_evidence *e, struct arena *mem, struct heat_sight **sights,
                           struct heat **heats, size_t *n_heats, bool *odd, struct message *why) MUST_USE;
/* Chance of conception in a heat at this moment: first service of the turn, or a repeat. */
double breeding_takes(const struct breeding_rules *r, const struct breeding_evidence *e, int64_t at_utc_s, bool repeat,
                      struct breeding_notes *notes);
/* Multiply every point and the open mass by what the scans and the looks for a return found. */
void breeding_findings(const struct breeding_rules *r, const struct breeding_evidence *e, const struct heat *heats,
                       size_t n_heats, struct conception *c, struct breeding_notes *notes);

/* Where a run is followed: bins of an hour from origin. */
struct herding {
    int64_t origin_utc_s;
    size_t n;
    double *covered;             /* share of the hour that a boar is with her */
    double *takes, *takes_again; /* chance of conception by day */
    double *fresh, *failed, *next_fresh, *next_failed, *taken;
    size_t n_taps; /* cycle kernel */
    int64_t first_tap;
    double *tap;
};
enum status breeding_herding(const struct breeding_rules *r, const struct breeding_evidence *e,
                             const struct breeding_normal *normal, int64_t origin_utc_s, int64_t end_utc_s,
                             struct arena *mem, struct herding *h, struct breeding_notes *notes,
                             struct message *why) MUST_USE;
/* Her first heat of the turn, by her state when the boar came, into h->fresh; returns the share that is in no heat. */
double breeding_first_heat(const struct breeding_rules *r, const struct breeding_evidence *e,
                           const struct breeding_normal *normal, struct herding *h, int64_t boar_in_utc_s,
                           struct breeding_notes *notes);
/* The next heat one cycle after `heat`, never-served and served shares apart. */
void breeding_next_heat(struct herding *h, int64_t heat_utc_s, double fresh, double failed);
/* Follow heats from h->fresh and h->failed up to `until`; adds points, gives back the shares not pregnant. */
enum status breeding_follow(struct herding *h, const struct breeding_evidence *e, int64_t until_utc_s,
                            struct conception *c, double *fresh, double *failed, struct breeding_notes *notes,
                            struct message *why) MUST_USE;
int64_t breeding_run_end(const struct breeding_evidence *e, const struct breeding_run *run);

/* The table of days from weaning to heat; notes it when it is the default. */
const double *breeding_wei(const struct breeding_rules *r, struct breeding_notes *notes);
double breeding_use(const struct breeding_rules *r, enum breeding_rule which, struct breeding_notes *notes);
enum status breeding_check(const struct breeding_rules *r, const struct breeding_evidence *e,
                           struct message *why) MUST_USE;
enum status breeding_add_point(struct conception *c, int64_t at_utc_s, double mass, int boar, bool bin,
                               struct message *why) MUST_USE;

/* Which looks at one sign take part, after the one-event rule and the leaving-out rules. */
struct sign_view {
    bool has_present, has_absent;
    int64_t present_utc_s, absent_utc_s; /* earliest present, last absent */
    double present_false, absent_false;  /* false sighting at that look */
    bool doubtful;                       /* nesting seen, and counted for less */
    struct breeding_sign_rule rule;
    double log_median, unborn_h; /* earlier before birth than unborn_h the sign has not begun (7 sd) */
};
struct sign_set {
    struct sign_view view[BS_END];
    int64_t last_look_utc_s; /* of any look, counted or not; BREEDING_NONE */
    bool hot_breathing, nest_finished, labour, near_birth, gone;
};

bool breeding_look_counts(const struct breeding_look *l);
double breeding_look_false(const struct breeding_rules *r, const struct breeding_look *l, struct breeding_notes *notes);
void breeding_sort_signs(const struct breeding_rules *r, size_t n, const struct breeding_look looks[],
                         struct sign_set *set, struct breeding_notes *notes);
bool breeding_counts_as_seen(const struct sign_view *v);
/* Likelihood of what was found when birth comes h hours after the look (the absent one: absent_h); and for a sow that
 * is not pregnant. */
double breeding_view_likelihood(const struct sign_view *v, const struct breeding_normal *t, double present_h,
                                double absent_h);
/* The same for births in n cells from start_utc_s on, none of them before a look. Kept close together: one value a cell
 * for the first two days, then one an hour, straight between; nothing bends faster so far off (error under 1e-4). */
#define BREEDING_FINE_CELLS 192
size_t breeding_n_knots(size_t n);
void breeding_view_knots(const struct sign_view *v, const struct breeding_normal *t, int64_t start_utc_s, size_t n,
                         double knot[]);
void breeding_knots_weigh(const double knot[], double power, size_t n, double out[]); /* out[i] *= likelihood ^ power */
double breeding_view_open(const struct sign_view *v);

double breeding_raised(double x, double power);

/* to[i] += m x a[i]; in eights, so that the compiler can take two or four at a time. */
static inline void add_scaled(size_t n, double m, const double *restrict a, double *restrict to)
{
    size_t i = 0;

    for (; i + 8 <= n; i += 8)
        for (size_t k = 0; k < 8; k++)
            to[i + k] += m * a[i + k];
    for (; i < n; i++)
        to[i] += m * a[i];
}

/* Chance that the sign has begun `hours` before birth. */
static inline double sign_there(const struct breeding_normal *t, const struct sign_view *v, double hours)
{
    if (hours > v->unborn_h)
        return 0.0;
    return hours > 0.0 ? 1.0 - normal_below(t, (log(hours) - v->log_median) / v->rule.log_sd) : 1.0;
}

#endif
