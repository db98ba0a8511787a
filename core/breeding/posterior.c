/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Not farrowed yet, and what was looked for: Bayes on the grid.
 *
 *   post(x) ~ f(x) C(clock(x)) prod L(x), x > from;   open ~ open prod L(open);   one sum for both
 */
#include "core/breeding/inside.h"

struct weighing {
    const struct breeding_rules *r;
    const struct breeding_normal *normal;
    size_t n;            /* cells from start on */
    int64_t start_utc_s; /* the moment conditioned on, or the prior's start */
    double *mass;        /* prior x clock, then x likelihood */
    double open;
    const double *knot[BS_END]; /* likelihood of each sign seen, when there are several */
    double open_knot[BS_END];
    enum breeding_sign which[BS_END];
    size_t n_seen;
};

static const double nothing[1] = { 0.0 };

static void weigh_clock(struct weighing *w)
{
    enum { A_DAY = DAY_S / BREEDING_STEP_S };
    double factor[A_DAY];

    for (int i = 0; i < A_DAY; i++)
        factor[i] = breeding_clock(w->r, w->start_utc_s + i * BREEDING_STEP_S + BREEDING_STEP_S / 2);
    for (size_t i = 0; i < w->n; i++)
        w->mass[i] *= factor[i % A_DAY];
}

/* The prior from `from` on, in cells that begin there. */
static enum status open_weighing(const struct breeding_rules *r, const struct breeding_prior *p, int64_t from_utc_s,
                                 struct arena *mem, struct weighing *w, struct message *why)
{
    const struct breeding_density *d = &p->density;
    const int64_t end = d->start_utc_s + (int64_t)d->n * BREEDING_STEP_S;
    const int64_t start = from_utc_s == BREEDING_NONE || from_utc_s < d->start_utc_s ? d->start_utc_s : from_utc_s;

    *w = (struct weighing){ .r = r, .normal = p->normal, .open = d->open, .start_utc_s = start };
    w->n = start < end ? (size_t)((end - start + BREEDING_STEP_S - 1) / BREEDING_STEP_S) : 0;
    w->mass = ARENA_NEW(mem, double, w->n + 1);
    if (!w->mass)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    const size_t i0 = w->n ? (size_t)((start - d->start_utc_s) / BREEDING_STEP_S) : 0;
    const double part = (double)((start - d->start_utc_s) % BREEDING_STEP_S) / BREEDING_STEP_S;
    const double *u = d->up_to + i0;
    for (size_t i = 0; i < w->n; i++) { /* the tail of one cell and the head of the next */
        const double next = i0 + i + 2 <= d->n ? u[i + 2] - u[i + 1] : 0.0;
        w->mass[i] = (1.0 - part) * (u[i + 1] - u[i]) + part * next;
    }
    weigh_clock(w);
    return ST_OK;
}

/* P to the end of the window when sign k has `more` weight than the others. */
static double p_with(const struct weighing *w, size_t k, double more, double cells)
{
    const size_t whole = (size_t)cells;
    const double *knot = w->knot[k];
    double within = 0.0, total = w->open * breeding_raised(w->open_knot[k], more);

    for (size_t i = 0; i < w->n && i < BREEDING_FINE_CELLS; i++) {
        const double m = w->mass[i] * breeding_raised(knot[i], more);
        total += m;
        if (i < whole)
            within += m;
        else if (i == whole) /* the same even spread in a cell as in breeding_between() */
            within += m * (cells - (double)whole);
    }
    double low = w->n > BREEDING_FINE_CELLS ? breeding_raised(knot[BREEDING_FINE_CELLS], more) : 0.0;
    for (size_t i = BREEDING_FINE_CELLS, j = i; i < w->n; i += 4) {
        const double high = breeding_raised(knot[++j], more), step = 0.25 * (high - low);
        for (size_t c = 0; c < 4 && i + c < w->n; c++) {
            const double m = w->mass[i + c] * (low + step * ((double)c + 0.5));
            total += m;
            if (i + c < whole)
                within += m;
            else if (i + c == whole)
                within += m * (cells - (double)whole);
        }
        low = high;
    }
    return total > 0.0 ? within / total : 0.0;
}

/* Strongest in full, the others for the agreement power. The strongest is the one that makes birth within 12 h
 * likeliest: with that choice one more sign can only raise that chance (docs/reckoning/breeding.md has the proof). */
static size_t lift_strongest(struct weighing *w, double more, double cells)
{
    double best_p = -1.0;
    size_t best = 0;

    for (size_t k = 0; k < w->n_seen; k++) {
        const double p = p_with(w, k, more, cells);
        if (p > best_p) {
            best_p = p;
            best = k;
        }
    }
    breeding_knots_weigh(w->knot[best], more, w->n, w->mass);
    w->open *= breeding_raised(w->open_knot[best], more);
    return best;
}

static enum status weigh_signs(struct weighing *w, const struct sign_set *set, double cells, struct arena *scratch,
                               struct breeding_posterior *out, struct message *why)
{
    const bool by_agreement = isnan(w->r->value[BR_SIGN_POWER]);
    const double whole = by_agreement ? 1.0 : w->r->value[BR_SIGN_POWER], power = breeding_rule(w->r, BR_AGREE_POWER);
    double *knot = NULL;
    int n_seen = 0;

    for (int s = 0; s < BS_END; s++)
        n_seen += breeding_counts_as_seen(&set->view[s]);
    for (int s = 0; s < BS_END; s++) {
        const struct sign_view *v = &set->view[s];
        const bool seen = breeding_counts_as_seen(v), one_of_several = seen && by_agreement && n_seen > 1;
        if (!v->has_present && !v->has_absent)
            continue;
        if (!knot)
            knot = ARENA_NEW(scratch, double, breeding_n_knots(w->n) + 1);
        if (!knot)
            return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
        *(seen ? &out->seen : &out->absent) |= 1U << s;
        if (seen)
            out->strongest = (enum breeding_sign)s; /* the only one, or see below and loudest() */
        breeding_view_knots(v, w->normal, w->start_utc_s, w->n, knot);
        breeding_knots_weigh(knot, one_of_several ? power : whole, w->n, w->mass);
        w->open *= breeding_raised(breeding_view_open(v), one_of_several ? power : whole);
        if (one_of_several) {
            w->knot[w->n_seen] = knot;
            w->open_knot[w->n_seen] = breeding_view_open(v);
            w->which[w->n_seen++] = (enum breeding_sign)s;
            knot = NULL;
        }
    }
    if (w->n_seen)
        out->strongest = w->which[lift_strongest(w, 1.0 - power, cells)];
    return ST_OK;
}

/* The seen sign that alone speaks loudest, where the product is plain: largest s / f. */
static enum breeding_sign loudest(const struct sign_set *set)
{
    enum breeding_sign best = BS_END;
    double most = 0.0;

    for (int s = 0; s < BS_END; s++)
        if (breeding_counts_as_seen(&set->view[s])) {
            const double says = set->view[s].rule.seen / fmax(set->view[s].present_false, 1e-9);
            if (says > most) {
                most = says;
                best = (enum breeding_sign)s;
            }
        }
    return best;
}

/* Running sums in place, to a whole mass of 1. */
static void close_weighing(const struct weighing *w, struct breeding_posterior *out)
{
    double sum = 0.0, *up_to = w->mass;

    for (size_t i = 0; i < w->n; i++) {
        const double m = up_to[i];
        up_to[i] = sum;
        sum += m;
    }
    up_to[w->n] = sum;
    if (!(sum > 0.0)) {
        out->notes.cautions |= 1U << BC_SPENT;
        out->density = (struct breeding_density){ w->start_utc_s, 0, nothing, 1.0 };
        return;
    }
    const double total = sum + w->open;
    for (size_t i = 0; i <= w->n; i++)
        up_to[i] /= total;
    out->density = (struct breeding_density){ w->start_utc_s, w->n, up_to, w->open / total };
}

static void note_dates(const struct breeding_prior *p, enum breeding_from how, struct breeding_posterior *out)
{
    uint32_t *c = &out->notes.cautions;
    const double open = out->density.open;

    if (how == BREEDING_NOT_PRESENT && out->from_utc_s == BREEDING_NONE)
        return;
    if (out->day >= 118.0 && how != BREEDING_NOT_PRESENT)
        *c |= 1U << BC_RING_VET;
    if (out->day < 24.0 && how != BREEDING_NOT_PRESENT)
        *c |= 1U << BC_LATE_CHANCE;
    if (open > 0.5)
        *c |= 1U << (out->day >= 125.0 || (p->by_evidence && p->density.open > 0.5) ? BC_MAY_BE_EMPTY
                                                                                    : BC_NOT_FROM_DATES);
}

static void note_signs(const struct breeding_prior *p, const struct sign_set *set, struct breeding_posterior *out)
{
    uint32_t *c = &out->notes.cautions;

    if (set->hot_breathing)
        *c |= 1U << BC_HOT_BREATHING;
    if (set->nest_finished)
        *c |= 1U << BC_NEST_FINISHED;
    if (set->labour)
        *c |= 1U << BC_LABOUR;
    if (set->gone)
        *c |= 1U << BC_SIGN_GONE;
    if (out->false_nest_doubt)
        *c |= 1U << BC_FALSE_NEST;
    if (set->near_birth && p->known && out->at_utc_s - p->first_chance_utc_s < 109 * DAY_S)
        *c |= 1U << BC_EARLY;
}

static void note_rules(const struct breeding_rules *r, struct breeding_posterior *out)
{
    const unsigned used = out->seen | out->absent;

    if (breeding_use(r, BR_CLOCK, &out->notes) > 0.0)
        (void)breeding_use(r, BR_CLOCK_PEAK_H, &out->notes);
    for (int s = 0; s < BS_END; s++)
        if ((used >> s & 1U) && isnan(r->sign[s].median_h))
            out->notes.assumed |= 1U << BA_SIGNS;
    if (isnan(r->value[BR_SIGN_POWER]) && (out->seen & (out->seen - 1U))) {
        (void)breeding_use(r, BR_AGREE_POWER, &out->notes);
        out->notes.assumed |= 1U << BA_AGREEMENT;
    }
}

static enum status check_moments(const struct breeding_evidence *e, int64_t at_utc_s, enum breeding_from how,
                                 struct message *why)
{
    if (at_utc_s == BREEDING_NONE && how == BREEDING_NOT_PRESENT)
        return ST_OK;
    for (size_t i = 0; i < e->n_looks; i++)
        if (e->looks[i].at_utc_s > at_utc_s)
            return refuse(ST_BAD_INPUT, why, e->looks[i].present ? "sign" : "no-sign",
                          "a look at \"%s\" lies after the moment asked about; give an earlier look or a later moment",
                          breeding_sign_words[e->looks[i].sign]);
    if (e->not_farrowed_by_utc_s != BREEDING_NONE && e->not_farrowed_by_utc_s > at_utc_s)
        return refuse(ST_BAD_INPUT, why, "not-farrowed-by",
                      "she was last seen after the moment asked about; give a later moment");
    return ST_OK;
}

static enum status weigh(const struct breeding_rules *rules, const struct breeding_prior *p, const struct sign_set *set,
                         struct arena *mem, struct breeding_posterior *out, struct message *why)
{
    struct weighing w;
    struct arena scratch;
    enum status st = open_weighing(rules, p, out->from_utc_s, mem, &w, why);

    if (st != ST_OK)
        return st;
    /* the window in which the strongest sign is chosen: to 12 h from now */
    const int64_t now = out->at_utc_s == BREEDING_NONE ? out->from_utc_s : out->at_utc_s;
    const double cells =
        set->last_look_utc_s == BREEDING_NONE ? 0.0 : (double)(now + 12 * HOUR_S - w.start_utc_s) / BREEDING_STEP_S;
    arena_open(&scratch, mem->ceiling - mem->used);
    st = weigh_signs(&w, set, cells > 0.0 ? cells : 0.0, &scratch, out, why);
    arena_close(&scratch);
    if (st == ST_OK)
        close_weighing(&w, out);
    return st;
}

enum status breeding_posterior(const struct breeding_rules *rules, const struct breeding_evidence *e,
                               const struct breeding_prior *p, int64_t at_utc_s, enum breeding_from how,
                               struct arena *mem, struct breeding_posterior *out, struct message *why)
{
    struct breeding_posterior post = { .at_utc_s = at_utc_s,
                                       .from_utc_s = e->not_farrowed_by_utc_s,
                                       .known = p->known,
                                       .day = NAN,
                                       .strongest = BS_END,
                                       .notes = p->notes,
                                       .rules = *rules,
                                       .n_looks = e->n_looks,
                                       .looks = e->looks,
                                       .normal = p->normal };
    struct sign_set set;
    enum status st = check_moments(e, at_utc_s, how, why);

    if (st != ST_OK)
        return st;
    breeding_sort_signs(rules, e->n_looks, e->looks, &set, &post.notes);
    if (set.last_look_utc_s > post.from_utc_s)
        post.from_utc_s = set.last_look_utc_s;
    if (how == BREEDING_SEEN_NOW)
        post.from_utc_s = at_utc_s;
    if (p->known && at_utc_s != BREEDING_NONE)
        post.day = (double)(at_utc_s - p->last_chance_utc_s) / (double)DAY_S;
    post.false_nest_doubt = set.view[BS_NEST].has_present && set.view[BS_NEST].doubtful;
    note_signs(p, &set, &post);
    if (!p->known || !p->density.n) {
        post.density = (struct breeding_density){ 0, 0, nothing, 1.0 };
        post.strongest = loudest(&set);
        *out = post;
        return ST_OK;
    }
    st = weigh(rules, p, &set, mem, &post, why);
    if (st != ST_OK)
        return st;
    if (!isnan(rules->value[BR_SIGN_POWER]))
        post.strongest = loudest(&set);
    post.p_pregnant = post.density.n ? post.density.up_to[post.density.n] : 0.0;
    if (at_utc_s != BREEDING_NONE)
        post.already = breeding_between(&post.density, post.density.start_utc_s, at_utc_s);
    note_dates(p, how, &post);
    note_rules(rules, &post);
    *out = post;
    return ST_OK;
}
