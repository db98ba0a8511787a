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
    size_t n;                   /* cells from start on */
    int64_t start_utc_s;        /* the moment conditioned on, or the prior's start */
    double *mass;               /* prior x clock, then x likelihood */
    double *product, *one;      /* scratch */
    double open;
    double *seen[BS_END];       /* likelihoods of the signs seen, agreement rule */
    enum breeding_sign which[BS_END];
    size_t n_seen;
};

static const double nothing[1] = { 0.0 };

static double raised(double x, double power)
{
    if (power >= 1.0)
        return x;
    return power > 0.499999 && power < 0.500001 ? sqrt(x) : pow(x, power);
}

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
    w->product = ARENA_NEW(mem, double, w->n + 1);
    w->one = ARENA_NEW(mem, double, w->n + 1);
    if (!w->mass || !w->product || !w->one)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 0; i < w->n; i++) {
        const int64_t at = start + (int64_t)i * BREEDING_STEP_S;
        w->mass[i] = breeding_between(d, at, at + BREEDING_STEP_S);
        w->product[i] = 1.0;
    }
    weigh_clock(w);
    return ST_OK;
}

/* P within the 12 h after `from` when sign k counts in full and the others for `power`. */
static double p12_with(const struct weighing *w, const double rest[], size_t k, double power, double open_rest,
                       const double open_seen[], double cells_12h)
{
    const size_t whole = (size_t)cells_12h;
    double within = 0.0, total = open_rest * raised(open_seen[k], 1.0 - power);

    for (size_t i = 0; i < w->n; i++) {
        const double m = w->mass[i] * rest[i] * raised(w->seen[k][i], 1.0 - power);
        total += m;
        if (i < whole)
            within += m;
        else if (i == whole)   /* the same even spread in a cell as in breeding_between() */
            within += m * (cells_12h - (double)whole);
    }
    return total > 0.0 ? within / total : 0.0;
}

/* Strongest in full, the others for the agreement power. The strongest is the one that makes birth within 12 h likeliest:
 * with that choice one more sign can only raise that chance (docs/reckoning/breeding.md has the proof). */
static size_t agree(struct weighing *w, const struct sign_set *set, double power, double cells_12h)
{
    double open_seen[BS_END] = { 0.0 }, open_rest = w->open, best_p = -1.0;
    size_t best = 0;

    for (size_t k = 0; k < w->n_seen; k++) {
        open_seen[k] = breeding_view_open(&set->view[w->which[k]]);
        open_rest *= raised(open_seen[k], power);
        for (size_t i = 0; i < w->n; i++)
            w->product[i] *= raised(w->seen[k][i], power);
    }
    for (size_t k = 0; k < w->n_seen && w->n_seen > 1; k++) {
        const double p12 = p12_with(w, w->product, k, power, open_rest, open_seen, cells_12h);
        if (p12 > best_p) {
            best_p = p12;
            best = k;
        }
    }
    for (size_t i = 0; i < w->n; i++)
        w->mass[i] *= w->product[i] * raised(w->seen[best][i], 1.0 - power);
    w->open = open_rest * raised(open_seen[best], 1.0 - power);
    return best;
}

static void plain_product(struct weighing *w, double power, double open_product)
{
    for (size_t i = 0; i < w->n; i++)
        w->mass[i] *= raised(w->product[i], power);
    w->open *= raised(open_product, power);
}

static enum status weigh_signs(struct weighing *w, const struct sign_set *set, double cells_12h, struct arena *mem,
                               struct breeding_posterior *out, struct message *why)
{
    const double power = w->r->value[BR_SIGN_POWER];
    const bool whole = !isnan(power);
    double open_product = 1.0;

    for (int s = 0; s < BS_END; s++) {
        const struct sign_view *v = &set->view[s];
        const bool seen = breeding_counts_as_seen(v);
        if (!v->has_present && !v->has_absent)
            continue;
        *(seen ? &out->seen : &out->absent) |= 1U << s;
        if (seen && !whole) {
            w->seen[w->n_seen] = ARENA_NEW(mem, double, w->n + 1);
            if (!w->seen[w->n_seen])
                return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
            breeding_view_fill(v, w->normal, w->start_utc_s, w->n, w->seen[w->n_seen]);
            w->which[w->n_seen++] = (enum breeding_sign)s;
            continue;
        }
        breeding_view_fill(v, w->normal, w->start_utc_s, w->n, w->one);
        for (size_t i = 0; i < w->n; i++)
            w->product[i] *= w->one[i];
        open_product *= breeding_view_open(v);
    }
    if (whole) {
        plain_product(w, power, open_product);
    } else if (w->n_seen) {
        w->open *= open_product;
        out->strongest = w->which[agree(w, set, breeding_rule(w->r, BR_AGREE_POWER), cells_12h)];
    } else {
        plain_product(w, 1.0, open_product);
    }
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

static enum status close_weighing(const struct weighing *w, struct arena *mem, struct breeding_posterior *out,
                                  struct message *why)
{
    double sum = 0.0, total, *up_to = ARENA_NEW(mem, double, w->n + 1);

    if (!up_to)
        return refuse(ST_NO_MEMORY, why, "", "no memory left to reckon with");
    for (size_t i = 0; i < w->n; i++) {
        sum += w->mass[i];
        up_to[i + 1] = sum;
    }
    total = sum + w->open;
    if (!(sum > 0.0) || !(total > 0.0)) {
        out->notes.cautions |= 1U << BC_SPENT;
        out->density = (struct breeding_density){ w->start_utc_s, 0, nothing, 1.0 };
        return ST_OK;
    }
    for (size_t i = 0; i <= w->n; i++)
        up_to[i] /= total;
    out->density = (struct breeding_density){ w->start_utc_s, w->n, up_to, w->open / total };
    return ST_OK;
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
        *c |= 1U << (out->day >= 125.0 || (p->by_evidence && p->density.open > 0.5) ? BC_MAY_BE_EMPTY : BC_NOT_FROM_DATES);
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
        return refuse(ST_BAD_INPUT, why, "not-farrowed-by", "she was last seen after the moment asked about; give a later moment");
    return ST_OK;
}

enum status breeding_posterior(const struct breeding_rules *rules, const struct breeding_evidence *e,
                               const struct breeding_prior *p, int64_t at_utc_s, enum breeding_from how,
                               struct arena *mem, struct breeding_posterior *out, struct message *why)
{
    struct breeding_posterior post = { .at_utc_s = at_utc_s, .from_utc_s = e->not_farrowed_by_utc_s, .known = p->known,
                                       .day = NAN, .strongest = BS_END, .notes = p->notes, .rules = *rules,
                                       .n_looks = e->n_looks, .looks = e->looks, .normal = p->normal };
    struct sign_set set;
    struct weighing w;
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
    st = open_weighing(rules, p, post.from_utc_s, mem, &w, why);
    if (st == ST_OK) {   /* the window in which the strongest sign is chosen: to 12 h from now */
        const int64_t now = at_utc_s == BREEDING_NONE ? post.from_utc_s : at_utc_s;
        const double cells = set.last_look_utc_s == BREEDING_NONE ? 0.0 :
                             (double)(now + 12 * HOUR_S - w.start_utc_s) / BREEDING_STEP_S;
        st = weigh_signs(&w, &set, cells > 0.0 ? cells : 0.0, mem, &post, why);
    }
    if (st == ST_OK)
        st = close_weighing(&w, mem, &post, why);
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
