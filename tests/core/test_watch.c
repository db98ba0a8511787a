/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Watch: on thousands of small invented nights, against a witness written here that tries every plan there is and lets
 * hands work hour by hour, earliest deadline first (Horn 1974 shows that nothing beats it; from memory).
 */
#include "tests/core/watch_night.h"

/* ---- the witness ---- */

static double need_of(const struct watch_cell *c)
{
    const double floor_c[4] = { 0.0, 0.0, 1.0, 2.5 };
    if (c->heat_grade >= 2)
        return c->heat_grade - 1.0;
    return (c->grade >= 2 ? 0.85 * fmax((double)c->shortfall_c, floor_c[c->grade]) : 0.0) +
           (c->runt_grade >= 2 ? 0.15 * fmax((double)c->runt_shortfall_c, floor_c[c->runt_grade]) : 0.0);
}

static double mean_need(const struct watch_night *n, size_t option, size_t h)
{
    double sum = 0.0;
    for (size_t m = 0; m < n->n_members; m++)
        sum += need_of(&n->options[option].cells[m * n->n_hours + h]);
    return sum / (double)n->n_members;
}

static double useful_until(const struct watch_night *n, size_t sow, size_t option)
{
    const struct watch_option *o = &n->options[option];
    double total = 0.0, past = 0.0, h = 0.0;

    for (size_t i = 0; i < n->n_hours; i++)
        total += n->sows[sow].birth[i] * fmax(0.0, mean_need(n, n->sows[sow].lies, i) - mean_need(n, option, i));
    for (size_t i = 0; i < n->n_hours && !(past > 0.5 * total); i++) {
        past += n->sows[sow].birth[i] * fmax(0.0, mean_need(n, n->sows[sow].lies, i) - mean_need(n, option, i));
        h = past > 0.5 * total ? (double)i : (double)i + 1.0;
    }
    return fmin(fmax(h, o->earliest_h + o->minutes / 60.0), (double)n->n_hours);
}

/* Rain and dusk that are over before half of her gain is past: the work can wait. */
static bool can_wait(const struct watch_night *n, size_t sow, size_t option, double again_h)
{
    return again_h > 0.0 && again_h + n->options[option].minutes / 60.0 <= useful_until(n, sow, option);
}

static double physical_due(const struct watch_night *n, size_t sow, size_t option, const struct watch_moments *m)
{
    const struct watch_option *o = &n->options[option];
    double due = HUGE_VAL;
    if ((o->needs & WATCH_BEFORE_RAIN) && m->rain_h > 0.0 && !can_wait(n, sow, option, m->dry_again_h))
        due = fmin(due, m->rain_h);
    if ((o->needs & WATCH_BEFORE_DUSK) && m->dusk_h > 0.0 && !can_wait(n, sow, option, m->light_again_h))
        due = fmin(due, m->dusk_h);
    if ((o->needs & WATCH_BEFORE_FREEZE) && !isnan(m->freeze_h))
        due = fmin(due, m->freeze_h);
    if ((o->needs & WATCH_BEFORE_THAW) && !isnan(m->thaw_h))
        due = fmin(due, m->thaw_h);
    return due;
}

/* The first whole hour in which it is ready: work that cannot be done before the rain or the dark begins after them. */
static double ready_from(const struct watch_night *n, size_t sow, size_t option, const struct watch_moments *m)
{
    const struct watch_option *o = &n->options[option];
    const double took = o->minutes / 60.0;
    double begin = o->earliest_h;

    if ((o->needs & WATCH_BEFORE_RAIN) && m->rain_h > 0.0 && o->earliest_h + took > m->rain_h &&
        can_wait(n, sow, option, m->dry_again_h))
        begin = fmax(begin, m->dry_again_h);
    if ((o->needs & WATCH_BEFORE_DUSK) && m->dusk_h > 0.0 && o->earliest_h + took > m->dusk_h &&
        can_wait(n, sow, option, m->light_again_h))
        begin = fmax(begin, m->light_again_h);
    return floor(begin + took + 1e-9);
}

static double expected_need(const struct watch_night *n, size_t sow, size_t option)
{
    const struct watch_sow *s = &n->sows[sow];
    double sum = 0.0;

    for (size_t h = 0; h < n->n_hours; h++) {
        double p = 0.0;
        if (option != WATCH_NONE && (double)h >= ready_from(n, sow, option, &n->moments[0]))
            p = n->options[option].site == n->options[s->lies].site || n->options[option].site == s->nests_at
                    ? 1.0
                    : s->p_use;
        sum += s->birth[h] * (1.0 - p) * mean_need(n, s->lies, h);
        if (p > 0.0)
            sum += s->birth[h] * p * mean_need(n, option, h);
    }
    return sum;
}

static bool nested(const struct watch_night *n, size_t site, size_t but)
{
    for (size_t i = 0; i < n->n_sows; i++)
        if (i != but && n->sows[i].nests_at == site)
            return true;
    return n->sites[site].has_nest || n->sites[site].has_litter;
}

static bool allowed(const struct watch_night *n, size_t sow, size_t option)
{
    const struct watch_option *o = &n->options[option];
    const struct watch_sow *s = &n->sows[sow];
    const struct watch_moments *m = &n->moments[0];
    const bool away = (o->change & WATCH_MOVE) && !o->brings, hers = s->nests_at == o->site;
    const size_t stands = away && o->takes != WATCH_NONE ? o->takes : o->site;

    if (n->reach && !n->reach[sow * n->n_options + option])
        return false;
    if (!s->near || (s->nests_at != WATCH_NONE && !hers) || o->people > n->limits.people)
        return false;
    if (n->sites[o->site].room < 2 && (n->sites[o->site].has_litter || (n->sites[o->site].has_nest && !hers)))
        return false;
    for (size_t i = 0; i < n->n_sows; i++)
        if (i != sow && n->sows[i].nests_at == o->site && n->sites[o->site].room < 2)
            return false;
    if (((o->change & WATCH_TURN) || away) && (nested(n, o->site, WATCH_NONE) || n->sites[o->site].frozen_in))
        return false;
    if (o->takes != WATCH_NONE && (nested(n, o->takes, WATCH_NONE) || n->sites[o->takes].frozen_in))
        return false;
    if (!isnan(m->drift_h) && n->sites[stands].drift_prone && s->nests_at != stands &&
        n->options[s->lies].site != stands)
        return false;
    return o->earliest_h + o->minutes / 60.0 <= physical_due(n, sow, option, m) + 1e-9;
}

struct job {
    double from_h, to_h, left;
};

/* Minute by minute, the job with the earliest deadline first. Figures of the nights here are whole minutes. */
static bool hands_suffice(const struct watch_night *n, struct job *job, size_t n_jobs)
{
    if (!n->limits.hand_minutes)
        return true;
    for (size_t minute = 0; minute < n->n_hours * 60; minute++) {
        double hands = n->limits.hand_minutes[minute / 60] / 60.0;
        while (hands > 1e-12) {
            struct job *next = NULL;
            for (size_t i = 0; i < n_jobs; i++)
                if (job[i].left > 1e-9 && job[i].from_h * 60.0 <= (double)minute + 1e-9 &&
                    job[i].to_h * 60.0 >= (double)minute + 1.0 - 1e-9 && (!next || job[i].to_h < next->to_h))
                    next = &job[i];
            if (!next)
                break;
            const double done = fmin(hands, next->left);
            next->left -= done;
            hands -= done;
        }
    }
    for (size_t i = 0; i < n_jobs; i++)
        if (job[i].left > 1e-6)
            return false;
    return true;
}

static bool can_all_be_had(const struct watch_night *n, const size_t *chosen)
{
    double flaps = 0, bales = 0, panels = 0, straw = 0;
    unsigned at[SITES] = { 0 };
    struct job job[SOWS];
    size_t n_jobs = 0;

    for (size_t s = 0; s < n->n_sows; s++) {
        if (chosen[s] == WATCH_NONE)
            continue;
        const struct watch_option *o = &n->options[chosen[s]];
        if (!allowed(n, s, chosen[s]))
            return false;
        flaps += o->flaps;
        bales += o->bales;
        panels += o->panels;
        straw += o->straw_kg;
        at[o->site]++;
        if (o->takes != WATCH_NONE)
            at[o->takes]++;
        if (o->minutes > 0.0)
            job[n_jobs++] =
                (struct job){ o->earliest_h,
                              fmin(physical_due(n, s, chosen[s], &n->moments[0]), useful_until(n, s, chosen[s])),
                              o->minutes * o->people };
    }
    for (size_t s = 0; s < n->n_sows; s++) /* who stays puts no claim on a site, but a claimed one must have room */
        if (chosen[s] != WATCH_NONE) {
            const struct watch_option *o = &n->options[chosen[s]];
            if (at[o->site] > n->sites[o->site].room ||
                (o->takes != WATCH_NONE && at[o->takes] > n->sites[o->takes].room))
                return false;
        }
    return flaps <= n->limits.flaps && bales <= n->limits.bales && panels <= n->limits.panels &&
           straw <= n->limits.straw_kg && hands_suffice(n, job, n_jobs);
}

static double cost_of(const struct watch_night *n, const struct watch_weights *w, const size_t *chosen)
{
    double sum = 0.0;
    for (size_t s = 0; s < n->n_sows; s++) {
        sum += expected_need(n, s, chosen[s]);
        if (chosen[s] != WATCH_NONE)
            sum += w->minute_c * n->options[chosen[s]].minutes * n->options[chosen[s]].people +
                   w->straw_kg_c * n->options[chosen[s]].straw_kg;
    }
    return sum;
}

static void try_all(const struct watch_night *n, const struct watch_weights *w, size_t sow, size_t *chosen,
                    double *best)
{
    if (sow == n->n_sows) {
        const double cost = cost_of(n, w, chosen);
        if (cost < *best && can_all_be_had(n, chosen))
            *best = cost;
        return;
    }
    chosen[sow] = WATCH_NONE;
    try_all(n, w, sow + 1, chosen, best);
    for (size_t o = 0; o < n->n_options; o++)
        if (allowed(n, sow, o)) {
            chosen[sow] = o;
            try_all(n, w, sow + 1, chosen, best);
        }
    chosen[sow] = WATCH_NONE;
}

/* ---- the plan ---- */

static void the_plan_is_the_best_there_is(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();
    int worked = 0, tight = 0;

    (void)state;
    for (int k = 0; k < 4000; k++) {
        struct arena mem;
        size_t chosen[SOWS];
        double best = HUGE_VAL, need = 0.0;

        some_night(&d, &s);
        arena_open(&mem, 8 << 20);
        const struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, k);
        try_all(&s.n, &watch_usual_weights, 0, chosen, &best);
        const double got = cost_of(&s.n, &watch_usual_weights, plan.chosen);
        if (!can_all_be_had(&s.n, plan.chosen))
            fail_msg("case %d: the plan cannot be had", k);
        if (!plan.proved || !(got <= best + 1e-6))
            fail_msg("case %d: the best plan costs %.9g, the given one %.9g", k, best, got);
        for (size_t i = 0; i < s.n.n_sows; i++)
            need += expected_need(&s.n, i, plan.chosen[i]);
        assert_true(fabs(need - plan.need_after_c) < 1e-9);
        assert_true(plan.need_after_c <= plan.need_now_c + 1e-6);
        worked += plan.n_actions > 0;
        tight += (plan.tight & ~(unsigned)WATCH_TIGHT_PLACES) != 0;
        arena_close(&mem);
    }
    if (!(worked > 1200 && tight > 500))
        fail_msg("the cases were idle: %d with work, %d with something tight", worked, tight);
}

static void chances_add_up(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 1000; k++) {
        struct arena mem;
        some_night(&d, &s);
        arena_open(&mem, 8 << 20);
        const struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, k);
        assert_int_equal(plan.n_advice, s.n.n_sows);
        for (size_t i = 0; i < plan.n_advice; i++) {
            const struct watch_advice *a = &plan.advice[i];
            double now = 0.0, after = 0.0, gain = 0.0, want = 0.0;
            for (size_t h = 0; h < s.n.n_hours; h++) {
                now += a->danger_now[h];
                after += a->danger_after[h];
                gain += a->gain_c[h];
                for (size_t m = 0; m < s.n.n_members; m++) { /* the sum as it is defined */
                    const struct watch_sow *sow = &s.sows[a->sow];
                    const struct watch_cell *lies = &s.options[sow->lies].cells[m * s.n.n_hours + h], *to = lies;
                    double p = 0.0;
                    if (a->option != WATCH_NONE && (double)h >= ready_from(&s.n, a->sow, a->option, &s.moments[0])) {
                        to = &s.options[a->option].cells[m * s.n.n_hours + h];
                        p = s.options[a->option].site == s.options[sow->lies].site ||
                                    s.options[a->option].site == sow->nests_at
                                ? 1.0
                                : sow->p_use;
                    }
                    want += sow->birth[h] *
                            (p * (to->grade >= 2 && to->heat_grade < 2) +
                             (1.0 - p) * (lies->grade >= 2 && lies->heat_grade < 2)) /
                            (double)s.n.n_members;
                }
            }
            assert_true(fabs(now - a->now.danger) < 1e-9 && fabs(after - a->after.danger) < 1e-9);
            assert_true(fabs(want - a->after.danger) < 1e-9);
            assert_true(fabs(gain - (a->now.need_c - a->after.need_c)) < 1e-9);
            assert_true(a->after.danger <= a->p_birth + 1e-9 && a->after.danger >= -1e-12);
            assert_true(a->after.unfit <= a->after.danger + 1e-12);
            assert_true(a->least_danger <= a->after.danger + 1e-9 && a->most_danger >= a->after.danger - 1e-9);
            assert_true(a->agree >= 0.0 && a->agree <= 1.0 && a->from_h <= a->to_h && a->to_h <= s.n.n_hours);
            assert_true(i == 0 || plan.advice[i - 1].now.need_c >= a->now.need_c);
        }
        if (s.n.n_members == 1) /* the only forecast's own plan is the plan */
            for (size_t i = 0; i < plan.n_actions; i++)
                assert_true(plan.actions[i].agree == 1.0);
        arena_close(&mem);
    }
}

/* Take one site out with all its options; with it in again the cost must not be higher. */
static void another_hut_never_raises_the_need(void **state)
{
    static struct small_night s;
    struct watch_weights work_is_free = watch_usual_weights;
    struct dice d = prop_start();
    int changed = 0;

    (void)state;
    work_is_free.minute_c = work_is_free.straw_kg_c = 0.0;
    for (int k = 0; k < 3000; k++) {
        struct arena mem;
        bool without[SOWS * OPTIONS];
        some_night(&d, &s);
        const size_t gone = pick_of(&d, s.n.n_sites);
        arena_open(&mem, 8 << 20);
        const struct watch_plan with = planned(&s.n, &work_is_free, &mem, k);
        for (size_t i = 0; i < s.n.n_sows; i++)
            for (size_t o = 0; o < s.n.n_options; o++) {
                const size_t at = i * s.n.n_options + o;
                without[at] = (!s.n.reach || s.n.reach[at]) && s.options[o].site != gone && s.options[o].takes != gone;
            }
        s.n.reach = without;
        const struct watch_plan less = planned(&s.n, &work_is_free, &mem, k);
        if (!(with.need_after_c <= less.need_after_c + 1e-6))
            fail_msg("case %d: %g with one more, %g without", k, with.need_after_c, less.need_after_c);
        changed += with.need_after_c < less.need_after_c - 1e-6;
        arena_close(&mem);
    }
    assert_true(changed > 500);
}

static void more_of_anything_never_raises_the_cost(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 1500; k++) {
        struct arena mem;
        some_night(&d, &s);
        arena_open(&mem, 8 << 20);
        const struct watch_plan little = planned(&s.n, &watch_usual_weights, &mem, k);
        s.n.limits.flaps += (unsigned)pick_of(&d, 2);
        s.n.limits.bales += (unsigned)pick_of(&d, 3);
        s.n.limits.panels += (unsigned)pick_of(&d, 2);
        s.n.limits.straw_kg += 5.0 * (double)pick_of(&d, 3);
        for (size_t h = 0; h < s.n.n_hours; h++)
            s.hands[h] += 30.0 * (double)pick_of(&d, 2);
        const struct watch_plan much = planned(&s.n, &watch_usual_weights, &mem, k);
        assert_true(cost_of(&s.n, &watch_usual_weights, much.chosen) <=
                    cost_of(&s.n, &watch_usual_weights, little.chosen) + 1e-6);
        arena_close(&mem);
    }
}

/* ---- order ---- */

static void shuffle(struct dice *d, size_t n, size_t *to)
{
    for (size_t i = 0; i < n; i++)
        to[i] = i;
    for (size_t i = n; i > 1; i--) {
        const size_t j = pick_of(d, i), x = to[i - 1];
        to[i - 1] = to[j];
        to[j] = x;
    }
}

static size_t moved(const size_t *to, size_t i)
{
    return i == WATCH_NONE ? WATCH_NONE : to[i];
}

static void shuffled(struct dice *d, const struct small_night *a, struct small_night *b, size_t *sow, size_t *site,
                     size_t *option)
{
    *b = *a;
    shuffle(d, a->n.n_sows, sow);
    shuffle(d, a->n.n_sites, site);
    shuffle(d, a->n.n_options, option);
    for (size_t i = 0; i < a->n.n_sites; i++)
        b->sites[site[i]] = a->sites[i];
    for (size_t i = 0; i < a->n.n_options; i++) {
        b->options[option[i]] = a->options[i];
        b->options[option[i]].site = site[a->options[i].site];
        b->options[option[i]].takes = moved(site, a->options[i].takes);
    }
    for (size_t i = 0; i < a->n.n_sows; i++) {
        b->sows[sow[i]] = a->sows[i];
        b->sows[sow[i]].lies = option[a->sows[i].lies];
        b->sows[sow[i]].nests_at = moved(site, a->sows[i].nests_at);
        for (size_t o = 0; o < a->n.n_options; o++)
            b->reach[sow[i] * a->n.n_options + option[o]] = a->reach[i * a->n.n_options + o];
    }
    b->n.sows = b->sows;
    b->n.sites = b->sites;
    b->n.options = b->options;
    b->n.reach = a->n.reach ? b->reach : NULL;
}

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static void order_given_changes_nothing(void **state)
{
    static struct small_night a, b;
    struct dice d = prop_start();

    (void)state;
    for (int k = 0; k < 1500; k++) {
        size_t sow[SOWS], site[SITES], option[OPTIONS];
        struct arena mem;
        some_night(&d, &a);
        shuffled(&d, &a, &b, sow, site, option);
        arena_open(&mem, 8 << 20);
        const struct watch_plan x = planned(&a.n, &watch_usual_weights, &mem, k),
                                y = planned(&b.n, &watch_usual_weights, &mem, k);
        assert_true(x.need_now_c == y.need_now_c && x.need_after_c == y.need_after_c && x.tight == y.tight);
        assert_true(x.n_actions == y.n_actions && x.n_heat == y.n_heat && moved(option, x.spare) == y.spare);
        assert_true(x.hand_minutes == y.hand_minutes && x.straw_kg == y.straw_kg && x.n_ready == y.n_ready);
        for (size_t i = 0; i < x.n_advice; i++) {
            const struct watch_advice *p = &x.advice[i], *q = &y.advice[i];
            assert_true(sow[p->sow] == q->sow && moved(option, p->option) == q->option && p->agree == q->agree);
            assert_true(memcmp(&p->after, &q->after, sizeof p->after) == 0 && p->record == q->record);
        }
        for (size_t i = 0; i < x.n_actions; i++) {
            const struct watch_action *p = &x.actions[i], *q = &y.actions[i];
            assert_true(option[p->option] == q->option && p->n_sows == q->n_sows && p->gain_c == q->gain_c);
            assert_true(same(p->deadline.by_h, q->deadline.by_h) && p->agree == q->agree);
            for (size_t j = 0; j < p->n_sows; j++)
                assert_true(sow[p->sows[j]] == q->sows[j]);
        }
        arena_close(&mem);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plan_is_the_best_there_is),     cmocka_unit_test(chances_add_up),
        cmocka_unit_test(another_hut_never_raises_the_need), cmocka_unit_test(more_of_anything_never_raises_the_cost),
        cmocka_unit_test(order_given_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
