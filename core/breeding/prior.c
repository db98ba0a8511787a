/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * f(x) = integral of c(t) N(x - t) dt: conception moments put through the length of gestation.
 */
#include "core/breeding/inside.h"

struct length { /* of gestation for this sow */
    double mean_d, sd_d;
    double tail, tail_mean_d, tail_sd_d;
    double low_d, high_d; /* nothing worth keeping lies outside */
};

static enum status length_of(const struct breeding_rules *r, const struct breeding_evidence *e, struct arena *scratch,
                             struct breeding_notes *notes, struct length *out, struct message *why)
{
    const bool own_mean = !isnan(r->value[BR_GESTATION_D]);
    double base = breeding_use(r, BR_GESTATION_D, notes), *kept = ARENA_NEW(scratch, double, e->n_past + 1);
    size_t n = 0;
    struct length g = { 0 };

    if (!kept)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    if (!isnan(e->breed_shift_d))
        base += e->breed_shift_d;
    if (!isnan(e->litter_above_mean))
        base += e->litter_above_mean * breeding_use(r, BR_LITTER_SHIFT_D, notes);
    else if (!own_mean && e->parity >= 0) /* expected size by parity: judgement, docs/reckoning/breeding.md */
        base += breeding_use(r, BR_LITTER_SHIFT_D, notes) * (e->parity == 0   ? -1.0
                                                             : e->parity == 1 ? -0.3
                                                             : e->parity >= 6 ? -0.5
                                                                              : 0.0);
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
    g.low_d = fmin(g.mean_d - 7.5 * g.sd_d, g.tail_mean_d - (g.tail > 0.0 ? 5.0 * g.tail_sd_d : 0.0));
    g.high_d = fmax(g.mean_d + 7.5 * g.sd_d, g.tail_mean_d + (g.tail > 0.0 ? 5.0 * g.tail_sd_d : 0.0));
    *out = g;
    return ST_OK;
}

static double length_below(const struct length *g, const struct breeding_normal *t, double days)
{
    const double main_part = normal_below(t, (days - g->mean_d) / g->sd_d);

    if (g->tail <= 0.0)
        return main_part;
    return (1.0 - g->tail) * main_part + g->tail * normal_below(t, (days - g->tail_mean_d) / g->tail_sd_d);
}

/* Length on the grid: mass of each cell from `low_s` on, all of it. */
struct length_table {
    int64_t low_s;
    size_t n;
    double *cell;
};

static enum status tabulate(const struct length *g, const struct breeding_normal *t, struct arena *mem,
                            struct length_table *out, struct message *why)
{
    const double step_d = (double)BREEDING_STEP_S / (double)DAY_S;
    const int64_t low = (int64_t)floor(g->low_d / step_d), high = (int64_t)ceil(g->high_d / step_d);
    const size_t n = (size_t)(high - low);
    double before = 0.0;

    *out = (struct length_table){ low * BREEDING_STEP_S, n, ARENA_NEW(mem, double, n) };
    if (!out->cell)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 0; i < n; i++) {
        const double below = i + 1 < n ? length_below(g, t, (double)(low + (int64_t)i + 1) * step_d) : 1.0;
        out->cell[i] = below - before;
        before = below;
    }
    return ST_OK;
}

static int64_t grid_floor(int64_t s)
{
    const int64_t q = s / BREEDING_STEP_S;

    return (q - (s % BREEDING_STEP_S < 0)) * BREEDING_STEP_S;
}

/* One moment of conception, onto the cells of the grid from `start`. Between grid points mass is even in a cell (error
 * under 2e-6: a quarter of an hour against a spread of more than a day). */
static void add_moment(const struct length_table *l, const struct breeding_point *p, int64_t start, double cell[])
{
    const int64_t first = p->at_utc_s + l->low_s - start; /* of the table, from the grid's start: 0 or later */
    const double part = (double)(first % BREEDING_STEP_S) / BREEDING_STEP_S;
    double *to = cell + first / BREEDING_STEP_S;

    add_scaled(l->n, p->mass * (1.0 - part), l->cell, to);
    if (part > 0.0)
        add_scaled(l->n, p->mass * part, l->cell, to + 1);
}

/* The same for the hours of a run, which lie close and even: both sides are taken every `every` hours (a tenth of the
 * spread at most), each hour's mass shared by the two knots beside it. That sharing widens by every^2 / 6, so the
 * length is taken narrower by as much; between knots a cubic. */
struct knots {
    int64_t first_utc_s; /* of conception */
    size_t every, n;     /* hours apart; knots of conception */
    double *taken;
    size_t n_taps;
    double *tap; /* density of length at low_s + k * every */
    size_t n_births;
    double *births; /* with two more at either end */
};

static double length_density(const struct length *g, double days, double less)
{
    const double sd = sqrt(g->sd_d * g->sd_d - less), wide = sqrt(g->tail_sd_d * g->tail_sd_d - less);
    const double z = (days - g->mean_d) / sd, y = (days - g->tail_mean_d) / wide;
    const double root_two_pi = 2.50662827463100050242;

    return ((1.0 - g->tail) * exp(-0.5 * z * z) / sd + (g->tail > 0.0 ? g->tail * exp(-0.5 * y * y) / wide : 0.0)) /
           root_two_pi;
}

static enum status open_knots(const struct length *g, const struct length_table *l, int64_t first, int64_t last,
                              struct arena *mem, struct knots *k, struct message *why)
{
    const double tenth_h = 2.4 * g->sd_d, less = 1.0 / (24.0 * 24.0 * 6.0);
    const size_t every = tenth_h >= 3.0 ? 3 : tenth_h >= 2.0 ? 2 : 1;
    const int64_t gap = (int64_t)every * BREEDING_BIN_S;

    *k = (struct knots){ .first_utc_s = first, .every = every };
    k->n = (size_t)((last - first) / gap) + 2;
    k->n_taps = l->n * BREEDING_STEP_S / (size_t)gap + 1;
    k->n_births = k->n + k->n_taps - 1;
    double *room = ARENA_NEW(mem, double, k->n + k->n_taps + k->n_births + 4);
    if (!room)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    k->taken = room;
    k->tap = room + k->n;
    k->births = k->tap + k->n_taps + 2;
    for (size_t i = 0; i < k->n_taps; i++)
        k->tap[i] =
            length_density(g, (double)(l->low_s + (int64_t)i * gap) / (double)DAY_S, (double)(every * every) * less);
    return ST_OK;
}

/* Catmull-Rom weights x of the way from the second of four knots to the third. */
static double cubic(const double *y, double x)
{
    return y[1] + 0.5 * x *
                      (y[2] - y[0] +
                       x * (2.0 * y[0] - 5.0 * y[1] + 4.0 * y[2] - y[3] + x * (3.0 * (y[1] - y[2]) + y[3] - y[0])));
}

static enum status add_run(const struct length *g, const struct length_table *l, size_t n_points,
                           const struct breeding_point points[], struct arena *scratch, int64_t start, size_t n,
                           double cell[], struct message *why)
{
    int64_t first = INT64_MAX, last = INT64_MIN;
    double mass = 0.0, sum = 0.0;
    struct knots k;

    for (size_t i = 0; i < n_points; i++)
        if (points[i].bin) {
            first = points[i].at_utc_s < first ? points[i].at_utc_s : first;
            last = points[i].at_utc_s > last ? points[i].at_utc_s : last;
            mass += points[i].mass;
        }
    if (first > last || !(mass > 0.0))
        return ST_OK;
    enum status st = open_knots(g, l, first, last, scratch, &k, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n_points; i++)
        if (points[i].bin) {
            const size_t hour = (size_t)((points[i].at_utc_s - first) / BREEDING_BIN_S), at = hour / k.every;
            const double x = (double)(hour % k.every) / (double)k.every;
            k.taken[at] += points[i].mass * (1.0 - x);
            k.taken[at + 1] += points[i].mass * x;
        }
    for (size_t i = 0; i < k.n; i++)
        if (k.taken[i] > 1e-14)
            add_scaled(k.n_taps, k.taken[i], k.tap, k.births + i);
    for (size_t i = 0; i < k.n_births; i++)
        sum += k.births[i];
    const size_t per = k.every * BREEDING_BIN_S / BREEDING_STEP_S;
    const double scale = mass / (sum * (double)per);
    const size_t offset =
        (size_t)((first + l->low_s - start) / BREEDING_STEP_S); /* cell of births[0]: whole quarters */
    for (size_t i = 0; i < k.n_births; i++)
        for (size_t c = 0; c < per; c++) {
            const size_t to = offset + i * per + c;
            const double y = cubic(k.births + i - 1, ((double)c + 0.5) / (double)per);
            if (to < n && y > 0.0)
                cell[to] += y * scale;
        }
    return ST_OK;
}

static enum status make_density(const struct length *g, const struct breeding_normal *t, const struct conception *c,
                                struct arena *scratch, struct arena *mem, struct breeding_density *d,
                                struct message *why)
{
    struct length_table l;
    int64_t first = INT64_MAX, last = INT64_MIN;
    double mass = 0.0, sum = 0.0;
    enum status st = tabulate(g, t, scratch, &l, why);

    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < c->n; i++) {
        first = c->points[i].at_utc_s < first ? c->points[i].at_utc_s : first;
        last = c->points[i].at_utc_s > last ? c->points[i].at_utc_s : last;
        mass += c->points[i].mass;
    }
    const int64_t start = grid_floor(first + l.low_s - BREEDING_BIN_S);
    const int64_t end = grid_floor(last + l.low_s + (int64_t)l.n * BREEDING_STEP_S) + 4 * BREEDING_BIN_S;
    const size_t n = (size_t)((end - start) / BREEDING_STEP_S);
    double *up_to = ARENA_NEW(mem, double, n + 1);
    if (!up_to)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 0; i < c->n; i++)
        if (!c->points[i].bin && c->points[i].mass > 0.0)
            add_moment(&l, &c->points[i], start, up_to);
    st = add_run(g, &l, c->n, c->points, scratch, start, n, up_to, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n; i++) { /* cells to running sums, in place */
        const double m = up_to[i];
        up_to[i] = sum;
        sum += m;
    }
    up_to[n] = sum;
    const double scale = sum > 0.0 ? mass / sum : 1.0; /* rounding, and what the cubic left out at its ends */
    for (size_t i = 0; i <= n; i++)
        up_to[i] *= scale;
    *d = (struct breeding_density){ start, n, up_to, up_to[n] < 1.0 ? 1.0 - up_to[n] : 0.0 };
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
        return refuse(ST_BAD_INPUT, why, "given-pregnant",
                      "nothing recorded could have made her pregnant; record a service or a boar");
    if (!(mass + open > 0.0))
        return refuse(ST_BAD_INPUT, why, "return-seen",
                      "the chances given rule out everything that was recorded; give some above 0");
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

/* All that needs a density: what lasts goes to mem, what is only in between to scratch. */
static enum status reckon(const struct breeding_rules *rules, const struct breeding_evidence *e, struct arena *scratch,
                          struct arena *mem, struct breeding_prior *p, struct message *why)
{
    struct conception c = { 0 };
    struct length g = { 0 };
    enum status st = length_of(rules, e, scratch, &p->notes, &g, why);

    if (st == ST_OK)
        st = breeding_conceive(rules, e, p->normal, scratch, mem, &c, &p->notes, why);
    if (st == ST_OK)
        st = normalise(e, &c, why);
    if (st == ST_OK && c.n)
        st = make_density(&g, p->normal, &c, scratch, mem, &p->density, why);
    if (st != ST_OK)
        return st;
    p->known = true;
    p->gestation_d = g.mean_d;
    p->gestation_sd_d = g.sd_d;
    p->tail = g.tail;
    p->tail_d = g.tail_mean_d;
    p->tail_sd_d = g.tail_sd_d;
    p->first_chance_utc_s = c.first_utc_s;
    p->last_chance_utc_s = c.last_utc_s;
    p->n_points = c.n;
    p->points = c.points;
    p->by_evidence = c.by_evidence;
    if (several_boars(&c)) {
        double share[BREEDING_BOARS + 1];
        if (breeding_boar_prior(p, share))
            p->notes.cautions |= 1U << BC_BOAR_UNCERTAIN;
    }
    return ST_OK;
}

enum status breeding_prior(const struct breeding_rules *rules, const struct breeding_evidence *e, struct arena *mem,
                           struct breeding_prior *out, struct message *why)
{
    struct breeding_prior p = { .density = { .open = 1.0 },
                                .first_chance_utc_s = BREEDING_NONE,
                                .last_chance_utc_s = BREEDING_NONE,
                                .gestation_d = NAN,
                                .gestation_sd_d = NAN };
    struct breeding_normal *normal;
    struct arena scratch;
    enum status st = breeding_check(rules, e, why);

    if (st != ST_OK)
        return st;
    normal = ARENA_NEW(mem, struct breeding_normal, 1);
    if (!normal)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    breeding_normal_fill(normal);
    p.normal = normal;
    if (!e->n_services && !e->n_runs) {
        p.notes.cautions |= 1U << BC_NOTHING_KNOWN;
        *out = p;
        return ST_OK;
    }
    arena_open(&scratch, mem->ceiling - mem->used);
    st = reckon(rules, e, &scratch, mem, &p, why);
    arena_close(&scratch);
    if (st == ST_OK)
        *out = p;
    return st;
}
