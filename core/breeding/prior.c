/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * f(x) = integral of c(t) N(x - t) dt: conception moments put through the length of gestation.
 */
#include "core/breeding/inside.h"

struct length {              /* of gestation for this sow */
    double mean_d, sd_d;
    double tail, tail_mean_d, tail_sd_d;
    double low_d, high_d;    /* nothing worth keeping lies outside */
};

static struct length length_of(const struct breeding_rules *r, const struct breeding_evidence *e, struct arena *mem,
                               struct breeding_notes *notes, bool *full)
{
    const bool own_mean = !isnan(r->value[BR_GESTATION_D]);
    double base = breeding_use(r, BR_GESTATION_D, notes), *kept = ARENA_NEW(mem, double, e->n_past + 1);
    size_t n = 0;
    struct length g = { 0 };

    *full = !kept;
    if (*full)
        return g;
    if (!isnan(e->breed_shift_d))
        base += e->breed_shift_d;
    if (!isnan(e->litter_above_mean))
        base += e->litter_above_mean * breeding_use(r, BR_LITTER_SHIFT_D, notes);
    else if (!own_mean && e->parity >= 0)   /* expected size by parity: judgement, docs/reckoning/breeding.md */
        base += breeding_use(r, BR_LITTER_SHIFT_D, notes) *
                (e->parity == 0 ? -1.0 : e->parity == 1 ? -0.3 : e->parity >= 6 ? -0.5 : 0.0);
    for (size_t i = 0; i < e->n_past; i++) {
        if (e->past_gestation_d[i] >= 105.0 && e->past_gestation_d[i] <= 125.0)
            kept[n++] = e->past_gestation_d[i];
        else
            notes->cautions |= 1U << BC_PAST_LENGTH;
    }
    const double sd = breeding_use(r, BR_GESTATION_SD_D, notes);
    const double alike = n ? breeding_use(r, BR_REPEATABILITY, notes) : breeding_rule(r, BR_REPEATABILITY);
    breeding_own_gestation(base, sd, alike, n, kept, &g.mean_d, &g.sd_d);
    g.tail = breeding_use(r, BR_TAIL, notes);
    g.tail_mean_d = g.mean_d + (g.tail > 0.0 ? breeding_use(r, BR_TAIL_SHIFT_D, notes) : 0.0);
    g.tail_sd_d = g.tail > 0.0 ? breeding_use(r, BR_TAIL_SD_D, notes) : g.sd_d;
    g.low_d = fmin(g.mean_d - 7.5 * g.sd_d, g.tail_mean_d - (g.tail > 0.0 ? 5.5 * g.tail_sd_d : 0.0));
    g.high_d = fmax(g.mean_d + 7.5 * g.sd_d, g.tail_mean_d + (g.tail > 0.0 ? 5.5 * g.tail_sd_d : 0.0));
    return g;
}

static double length_below(const struct length *g, const struct breeding_normal *t, double days)
{
    const double main_part = normal_below(t, (days - g->mean_d) / g->sd_d);

    if (g->tail <= 0.0)
        return main_part;
    return (1.0 - g->tail) * main_part + g->tail * normal_below(t, (days - g->tail_mean_d) / g->tail_sd_d);
}

/* The distribution of length on the grid, from `low_s` in steps of BREEDING_STEP_S: 0 at its first edge, 1 at its last. */
struct length_table {
    int64_t low_s;
    size_t n;           /* edges */
    double *below;
};

static enum status tabulate(const struct length *g, const struct breeding_normal *t, struct arena *mem,
                            struct length_table *out, struct message *why)
{
    const double step_d = (double)BREEDING_STEP_S / (double)DAY_S;
    const int64_t low = (int64_t)floor(g->low_d / step_d), high = (int64_t)ceil(g->high_d / step_d);
    const size_t n = (size_t)(high - low) + 1;

    *out = (struct length_table){ low * BREEDING_STEP_S, n, ARENA_NEW(mem, double, n) };
    if (!out->below)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 1; i < n - 1; i++)
        out->below[i] = length_below(g, t, (double)(low + (int64_t)i) * step_d);
    out->below[n - 1] = 1.0;
    return ST_OK;
}

static int64_t grid_floor(int64_t s)
{
    const int64_t q = s / BREEDING_STEP_S;

    return (q - (s % BREEDING_STEP_S < 0)) * BREEDING_STEP_S;
}

/* One moment of conception: its distribution of birth, added onto the edges. Off the grid, linear between entries
 * (error under 1e-6: a quarter of an hour against a spread of more than a day). */
static void add_moment(const struct length_table *l, const struct breeding_point *p, int64_t start, size_t n, double up_to[])
{
    const int64_t first = p->at_utc_s + l->low_s - start;   /* of the table, from the grid's start */
    const int64_t cell = grid_floor(first) / BREEDING_STEP_S;
    const double part = (double)(first - cell * BREEDING_STEP_S) / BREEDING_STEP_S;
    const size_t low = cell < 0 ? 0 : (size_t)cell;
    size_t i = low;

    /* edge i lies `i - cell - part` steps into the table */
    for (; i <= n && (int64_t)i - cell < (int64_t)l->n; i++) {
        const size_t k = (size_t)((int64_t)i - cell);
        const double after = l->below[k], before = k ? l->below[k - 1] : 0.0;
        up_to[i] += p->mass * (after + part * (before - after));
    }
    for (; i <= n; i++)
        up_to[i] += p->mass;
}

/* Hours of a run: convolved hour by hour, since both sides vary over days; then spread on the quarters of an hour by the
 * straight line between neighbouring hours, scaled to the run's mass. */
static enum status add_run(const struct length_table *l, size_t n_points, const struct breeding_point points[],
                           struct arena *mem, int64_t start, size_t n, double up_to[], struct message *why)
{
    const size_t per = BREEDING_BIN_S / BREEDING_STEP_S, taps = (l->n - 1) / per;
    int64_t first = INT64_MAX, last = INT64_MIN;
    double mass = 0.0, sum = 0.0;

    for (size_t i = 0; i < n_points; i++)
        if (points[i].bin) {
            first = points[i].at_utc_s < first ? points[i].at_utc_s : first;
            last = points[i].at_utc_s > last ? points[i].at_utc_s : last;
            mass += points[i].mass;
        }
    if (first > last)
        return ST_OK;
    const size_t hours = (size_t)((last - first) / BREEDING_BIN_S) + taps + 1;
    double *tap = ARENA_NEW(mem, double, taps), *at_hour = ARENA_NEW(mem, double, hours + 2), *cell = ARENA_NEW(mem, double, n + 1);
    if (!tap || !at_hour || !cell)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t k = 0; k < taps; k++)   /* centred half an hour after edge k * per */
        tap[k] = l->below[(k + 1) * per] - l->below[k * per];
    for (size_t i = 0; i < n_points; i++)
        if (points[i].bin && points[i].mass > 1e-14) {
            double *to = at_hour + 1 + (points[i].at_utc_s - first) / BREEDING_BIN_S;
            for (size_t k = 0; k < taps; k++)
                to[k] += points[i].mass * tap[k];
        }
    /* at_hour[1 + k] is the mass of the hour centred at first + low_s + (k + 1/2) hours */
    const int64_t centre = first + l->low_s + BREEDING_BIN_S / 2 - BREEDING_BIN_S;   /* of at_hour[0], which is 0 */
    for (size_t i = 0; i < n; i++) {
        const int64_t mid2 = 2 * (start + (int64_t)i * BREEDING_STEP_S - centre) + BREEDING_STEP_S; /* twice, from centre */
        if (mid2 < 0)
            continue;
        const size_t k = (size_t)(mid2 / (2 * BREEDING_BIN_S));
        if (k + 1 >= hours + 2)
            continue;
        const double x = (double)(mid2 - (int64_t)k * 2 * BREEDING_BIN_S) / (2.0 * BREEDING_BIN_S);
        cell[i] = at_hour[k] * (1.0 - x) + at_hour[k + 1] * x;
        sum += cell[i];
    }
    if (!(sum > 0.0))
        return ST_OK;
    double up = 0.0;
    for (size_t i = 0; i < n; i++) {
        up += cell[i];
        up_to[i + 1] += up * mass / sum;
    }
    return ST_OK;
}

static enum status make_density(const struct length *g, const struct breeding_normal *t, const struct conception *c,
                                struct arena *mem, struct breeding_density *d, struct message *why)
{
    struct length_table l;
    int64_t first = INT64_MAX, last = INT64_MIN;
    double mass = 0.0;
    enum status st = tabulate(g, t, mem, &l, why);

    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < c->n; i++) {
        if (!(c->points[i].mass > 0.0))
            continue;
        first = c->points[i].at_utc_s < first ? c->points[i].at_utc_s : first;
        last = c->points[i].at_utc_s > last ? c->points[i].at_utc_s : last;
        mass += c->points[i].mass;
    }
    if (first > last)
        first = last = c->points[0].at_utc_s;   /* no chance of any: an empty grid where it would have been */
    const int64_t start = grid_floor(first + l.low_s - BREEDING_BIN_S);
    const int64_t end = grid_floor(last + l.low_s + (int64_t)l.n * BREEDING_STEP_S) + 2 * BREEDING_BIN_S;
    const size_t n = (size_t)((end - start) / BREEDING_STEP_S);
    double *up_to = ARENA_NEW(mem, double, n + 1);
    if (!up_to)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 0; i < c->n; i++)
        if (!c->points[i].bin)
            add_moment(&l, &c->points[i], start, n, up_to);
    st = add_run(&l, c->n, c->points, mem, start, n, up_to, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 1; i < n; i++)   /* rounding never makes a step down */
        if (up_to[i] < up_to[i - 1])
            up_to[i] = up_to[i - 1];
    up_to[n] = mass > up_to[n - 1] ? mass : up_to[n - 1];
    *d = (struct breeding_density){ start, n, up_to, 1.0 - up_to[n] > 0.0 ? 1.0 - up_to[n] : 0.0 };
    return ST_OK;
}

/* Masses and open mass to 1 together. */
static enum status normalise(const struct breeding_evidence *e, struct conception *c, struct message *why)
{
    double mass = 0.0;
    const double open = e->given_pregnant ? 0.0 : c->fresh + c->failed + c->silent;

    for (size_t i = 0; i < c->n; i++)
        mass += c->points[i].mass;
    if (!(mass > 0.0) && e->given_pregnant)
        return refuse(ST_BAD_INPUT, why, "given-pregnant", "nothing recorded could have made her pregnant; record a service or a boar");
    if (!(mass + open > 0.0))
        return refuse(ST_BAD_INPUT, why, "return-seen", "the chances given rule out everything that was recorded; give some above 0");
    for (size_t i = 0; i < c->n; i++)
        c->points[i].mass /= mass + open;
    return ST_OK;
}

static bool several_boars(const struct conception *c)
{
    for (size_t i = 1; i < c->n; i++)
        if (c->points[i].boar != c->points[0].boar)
            return true;
    return false;
}

enum status breeding_prior(const struct breeding_rules *rules, const struct breeding_evidence *e, struct arena *mem,
                           struct breeding_prior *out, struct message *why)
{
    struct breeding_prior p = { .density = { .open = 1.0 }, .first_chance_utc_s = BREEDING_NONE,
                                .last_chance_utc_s = BREEDING_NONE };
    struct breeding_normal *normal = ARENA_NEW(mem, struct breeding_normal, 1);
    struct conception c;
    bool full = false;
    enum status st = breeding_check(rules, e, why);

    if (st != ST_OK)
        return st;
    if (!normal)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    breeding_normal_fill(normal);
    p.normal = normal;
    if (!e->n_services && !e->n_runs) {
        p.notes.cautions |= 1U << BC_NOTHING_KNOWN;
        p.gestation_d = p.gestation_sd_d = NAN;
        *out = p;
        return ST_OK;
    }
    const struct length g = length_of(rules, e, mem, &p.notes, &full);
    if (full)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    st = breeding_conceive(rules, e, normal, mem, &c, &p.notes, why);
    if (st == ST_OK)
        st = normalise(e, &c, why);
    if (st == ST_OK && c.n)
        st = make_density(&g, normal, &c, mem, &p.density, why);
    if (st != ST_OK)
        return st;
    p.known = true;
    p.gestation_d = g.mean_d;
    p.gestation_sd_d = g.sd_d;
    p.first_chance_utc_s = c.first_utc_s;
    p.last_chance_utc_s = c.last_utc_s;
    p.n_points = c.n;
    p.points = c.points;
    p.by_evidence = c.by_evidence;
    p.tail = g.tail;
    p.tail_d = g.tail_mean_d;
    p.tail_sd_d = g.tail_sd_d;
    if (several_boars(&c)) {
        double share[BREEDING_BOARS + 1];
        if (breeding_boar_prior(&p, share))
            p.notes.cautions |= 1U << BC_BOAR_UNCERTAIN;
    }
    *out = p;
    return ST_OK;
}
