/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/watch/advice.h"

#include <math.h>
#include <stdlib.h>

/* ---- one sow under one choice ---- */

struct tally {
    struct watch_chance chance;                  /* mean over members */
    double least, most;                          /* danger over members */
    double near_limit;                           /* chance of birth in hours near a limit of the grades */
    double lies_danger;                          /* that part of danger in which she does not use what is put out */
    double *danger;                              /* n_hours */
    double *need;                                /* n_hours */
    double *cold[WATCH_COLD], *heat[WATCH_HEAT]; /* n_hours each: shares of the members */
};

/* In heat there is no cold to speak of. */
static unsigned cold_grade(const struct watch_cell *c)
{
    return c->heat_grade >= 2 ? 0 : c->grade;
}

static void add_hour(const struct work *k, struct watch_chance *sum, const struct watch_cell *c, double chance)
{
    const unsigned grade = cold_grade(c);

    sum->danger += grade >= 2 ? chance : 0.0;
    sum->unfit += grade >= 3 ? chance : 0.0;
    sum->cold += grade == 1 ? chance : 0.0;
    sum->runt_danger += c->heat_grade < 2 && c->runt_grade >= 2 ? chance : 0.0;
    sum->heat += c->heat_grade >= 2 ? chance : 0.0;
    sum->shortfall_c += chance * (k->w->typical * (double)c->shortfall_c + k->w->runt * (double)c->runt_shortfall_c);
    sum->need_c += chance * watch_need_c(k->w, c);
}

static void add_chance(struct watch_chance *sum, const struct watch_chance *x, double part)
{
    sum->danger += part * x->danger;
    sum->unfit += part * x->unfit;
    sum->cold += part * x->cold;
    sum->runt_danger += part * x->runt_danger;
    sum->heat += part * x->heat;
    sum->shortfall_c += part * x->shortfall_c;
    sum->need_c += part * x->need_c;
}

static void add_shares(const struct tally *t, size_t h, const struct watch_cell *c, double share)
{
    const unsigned cold = cold_grade(c), heat = c->heat_grade;

    if (cold > 0 && cold <= WATCH_COLD)
        t->cold[cold - 1][h] += share;
    if (heat > 0 && heat <= WATCH_HEAT)
        t->heat[heat - 1][h] += share;
}

static struct watch_shares shares_of(const struct tally *t)
{
    struct watch_shares s;

    for (size_t g = 0; g < WATCH_COLD; g++)
        s.cold[g] = t->cold[g];
    for (size_t g = 0; g < WATCH_HEAT; g++)
        s.heat[g] = t->heat[g];
    return s;
}

static size_t ready_for(const struct work *k, size_t sow, size_t option)
{
    const double own_h = work_own_due(k, k->in->sows[sow].birth, sow, option);
    return work_ready_h(k, &k->in->options[option], &k->in->moments[0], own_h);
}

static bool tally(const struct work *k, size_t sow, size_t option, struct tally *t)
{
    const struct watch_night *n = k->in;
    const double *birth = n->sows[sow].birth, part = 1.0 / (double)n->n_members;
    const size_t lies = n->sows[sow].lies, there = option == WATCH_NONE ? lies : option;
    const size_t ready_h = option == WATCH_NONE ? 0 : ready_for(k, sow, option);
    const double uses = option == WATCH_NONE ? 0.0 : work_p_use(k, sow, option);

    *t = (struct tally){ .least = HUGE_VAL,
                         .most = 0.0,
                         .danger = ARENA_NEW(k->mem, double, n->n_hours),
                         .need = ARENA_NEW(k->mem, double, n->n_hours) };
    for (size_t g = 0; g < WATCH_COLD; g++)
        t->cold[g] = ARENA_NEW(k->mem, double, n->n_hours);
    for (size_t g = 0; g < WATCH_HEAT; g++)
        t->heat[g] = ARENA_NEW(k->mem, double, n->n_hours);
    if (arena_full(k->mem))
        return false;
    for (size_t m = 0; m < n->n_members; m++) {
        const struct watch_cell *a = work_cells(k, lies, m), *b = work_cells(k, there, m);
        struct watch_chance sum = { 0 };
        for (size_t h = 0; h < n->n_hours; h++) {
            const double p = h < ready_h ? 0.0 : uses, stays = birth[h] * (1.0 - p), goes = birth[h] * p;
            const double danger = sum.danger;
            add_hour(k, &sum, &a[h], stays);
            add_shares(t, h, &a[h], part * (1.0 - p));
            add_shares(t, h, &b[h], part * p);
            t->lies_danger += sum.danger > danger ? part * stays : 0.0;
            if (p > 0.0)
                add_hour(k, &sum, &b[h], goes);
            t->danger[h] += part * (sum.danger - danger);
            t->need[h] += part * (stays * watch_need_c(k->w, &a[h]) + goes * watch_need_c(k->w, &b[h]));
            t->near_limit += part * (stays * a[h].near_limit + goes * b[h].near_limit);
        }
        add_chance(&t->chance, &sum, part);
        t->least = fmin(t->least, sum.danger);
        t->most = fmax(t->most, sum.danger);
    }
    return true;
}

/* The shortest run of hours that holds four fifths of what is gained. */
static void main_hours(size_t n_hours, const double *gain, size_t *from_h, size_t *to_h)
{
    double total = 0.0, in = 0.0;
    size_t from = 0;

    *from_h = *to_h = 0;
    for (size_t h = 0; h < n_hours; h++)
        total += fmax(0.0, gain[h]);
    for (size_t h = 0; total > 1e-9 && h < n_hours; h++) {
        in += fmax(0.0, gain[h]);
        while (in - fmax(0.0, gain[from]) >= 0.8 * total)
            in -= fmax(0.0, gain[from++]);
        if (in >= 0.8 * total * (1.0 - 1e-12) && (*to_h == 0 || h + 1 - from < *to_h - *from_h)) {
            *from_h = from;
            *to_h = h + 1;
        }
    }
}

/* ---- what would make it surer: limits are judgement ---- */

static unsigned record_of(const struct work *k, size_t sow, const struct watch_advice *a, const struct tally *t)
{
    const struct watch_night *n = k->in;
    double mean_h = 0.0, square = 0.0;
    unsigned bits = 0;

    for (size_t h = 0; h < n->n_hours; h++) {
        mean_h += n->sows[sow].birth[h] * ((double)h + 0.5);
        square += n->sows[sow].birth[h] * ((double)h + 0.5) * ((double)h + 0.5);
    }
    if (a->p_birth > 0.0) {
        mean_h /= a->p_birth;
        square = square / a->p_birth - mean_h * mean_h;
    }
    if (a->agree < 0.8 || t->most - t->least > 0.2)
        bits |= WATCH_RECORD_WEATHER;
    if (a->p_birth >= 0.05 && (a->p_birth < 0.8 || square > 12.0 * 12.0))
        bits |= WATCH_RECORD_SIGNS;
    if (a->option != WATCH_NONE && t->chance.danger > 0.05 && t->lies_danger > 0.5 * t->chance.danger &&
        work_p_use(k, sow, a->option) < 1.0)
        bits |= WATCH_RECORD_NEST;
    if (a->p_birth > 0.0 && t->near_limit > 0.25 * a->p_birth)
        bits |= WATCH_RECORD_STRAW;
    return bits;
}

/* The same thing done to the same place; half a bale or a whole one is no other advice. */
static bool same_advice(const struct watch_night *n, size_t a, size_t b)
{
    if (a == b || a == WATCH_NONE || b == WATCH_NONE)
        return a == b;
    return n->options[a].site == n->options[b].site && n->options[a].change == n->options[b].change;
}

static bool advise_sow(const struct work *k, const struct chosen *c, size_t sow, struct watch_advice *a)
{
    const struct watch_night *n = k->in;
    struct tally now, after;
    size_t same = 0;

    if (!tally(k, sow, c->now[sow], &now) || !tally(k, sow, c->after[sow], &after))
        return false;
    *a = (struct watch_advice){ .sow = sow,
                                .option = c->after[sow],
                                .now_option = c->now[sow],
                                .now = now.chance,
                                .after = after.chance,
                                .least_danger = after.least,
                                .most_danger = after.most,
                                .danger_now = now.danger,
                                .danger_after = after.danger,
                                .shares_now = shares_of(&now),
                                .shares_after = shares_of(&after),
                                .gain_c = now.need };
    for (size_t h = 0; h < n->n_hours; h++) {
        a->p_birth += n->sows[sow].birth[h];
        a->p_12h += h < 12 ? n->sows[sow].birth[h] : 0.0;
        now.need[h] -= after.need[h];
    }
    for (size_t m = 0; m < n->n_members; m++)
        same += same_advice(n, c->by_member[m * n->n_sows + sow], a->option) ? 1 : 0;
    a->agree = (double)same / (double)n->n_members;
    main_hours(n->n_hours, now.need, &a->from_h, &a->to_h);
    a->record = record_of(k, sow, a, &after);
    return true;
}

/* ---- the pieces of work ---- */

static int up(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

static bool set_deadline(const struct work *k, struct watch_action *a, const double *gain)
{
    const struct watch_night *n = k->in;
    const struct watch_option *o = &n->options[a->option];
    double *by = ARENA_NEW(k->mem, double, n->n_members);

    if (!by)
        return false;
    a->deadline = watch_deadline_of(o, &n->moments[0], n->n_hours, gain, k->w->still_worth);
    for (size_t m = 0; m < n->n_members; m++) {
        by[m] = watch_deadline_of(o, &n->moments[m], n->n_hours, gain, k->w->still_worth).by_h;
        by[m] = isnan(by[m]) ? HUGE_VAL : by[m]; /* none: last */
    }
    qsort(by, n->n_members, sizeof *by, up);
    const double tenth = by[(n->n_members + 9) / 10 - 1];
    a->deadline.earliest_h = tenth < HUGE_VAL ? tenth : (double)NAN;
    return true;
}

static bool in_member(const struct work *k, const struct chosen *c, size_t m, size_t option)
{
    bool found = same_advice(k->in, c->spare_by_member[m].option, option);
    for (size_t s = 0; s < k->in->n_sows; s++)
        found = found || same_advice(k->in, c->by_member[m * k->in->n_sows + s], option);
    return found;
}

static bool fill_action(const struct work *k, const struct chosen *c, const struct watch_advice *advice,
                        struct watch_action *a, double *gain)
{
    const struct watch_night *n = k->in;
    size_t *sows = ARENA_NEW(k->mem, size_t, n->n_sows), same = 0;

    if (!sows)
        return false;
    for (size_t i = 0; i < n->n_sows; i++) { /* by key, so that sums come out the same in any order given */
        const size_t sow = k->sow[i];
        if (advice[sow].option != a->option)
            continue;
        sows[a->n_sows++] = sow;
        a->danger_before += advice[sow].now.danger;
        a->danger_after += advice[sow].after.danger;
        a->record |= advice[sow].record;
        for (size_t h = 0; h < n->n_hours; h++)
            gain[h] += advice[sow].gain_c[h];
    }
    if (a->n_sows == 0) { /* the spare: in place of what she passed by, and again only if she takes to it */
        const size_t sow = c->spare.sow, lies = n->sows[sow].lies, ready_h = ready_for(k, sow, a->option);
        const double p = work_p_use(k, sow, c->after[sow]), again = work_p_use(k, sow, a->option);
        for (size_t h = ready_h; h < n->n_hours; h++)
            gain[h] = n->sows[sow].birth[h] * (1.0 - p) * again *
                      (k->need_mean[lies * n->n_hours + h] - k->need_mean[a->option * n->n_hours + h]);
    }
    for (size_t h = 0; h < n->n_hours; h++)
        a->gain_c += gain[h];
    for (size_t m = 0; m < n->n_members; m++)
        same += in_member(k, c, m, a->option) ? 1 : 0;
    a->agree = (double)same / (double)n->n_members;
    a->sows = sows;
    return set_deadline(k, a, gain);
}

struct ranked {
    double first, second;
    size_t third, index;
};

static int in_rank(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;

    if (x->first != y->first)
        return x->first < y->first ? -1 : 1;
    if (x->second != y->second)
        return x->second < y->second ? -1 : 1;
    return x->third < y->third ? -1 : x->third > y->third;
}

static bool advise_work(const struct work *k, const struct chosen *c, const struct watch_advice *advice,
                        struct watch_plan *plan)
{
    const struct watch_night *n = k->in;
    struct watch_action *made = ARENA_NEW(k->mem, struct watch_action, n->n_options), *ordered;
    struct ranked *rank = ARENA_NEW(k->mem, struct ranked, n->n_options);
    size_t n_made = 0;

    if (arena_full(k->mem))
        return false;
    for (size_t i = 0; i < n->n_options; i++) {
        const size_t option = k->option[i];
        const struct watch_option *o = &n->options[option];
        size_t places = c->spare.option == option ? 1 : 0;
        for (size_t s = 0; s < n->n_sows; s++)
            places += c->after[s] == option ? 1 : 0;
        plan->hand_minutes += (double)places * o->minutes * o->people;
        plan->straw_kg += (double)places * o->straw_kg;
        if (places == 0 || o->change == WATCH_AS_IT_STANDS)
            continue;
        double *gain = ARENA_NEW(k->mem, double, n->n_hours);
        struct watch_action *a = &made[n_made];
        a->option = option;
        if (!gain || !fill_action(k, c, advice, a, gain))
            return false;
        rank[n_made] = (struct ranked){ isnan(a->deadline.by_h) ? HUGE_VAL : a->deadline.by_h, -a->gain_c, i, n_made };
        n_made++;
    }
    ordered = ARENA_NEW(k->mem, struct watch_action, n_made);
    if (!ordered)
        return false;
    qsort(rank, n_made, sizeof *rank, in_rank);
    for (size_t i = 0; i < n_made; i++)
        ordered[i] = made[rank[i].index];
    plan->actions = ordered;
    plan->n_actions = n_made;
    return true;
}

static enum status no_room(struct message *why)
{
    return refuse(ST_NO_MEMORY, why, "", "too many sows, sites and options to hold at once");
}

enum status advise(const struct work *k, const struct chosen *c, struct watch_plan *plan, struct message *why)
{
    const size_t n = k->in->n_sows;
    struct watch_advice *by_index = ARENA_NEW(k->mem, struct watch_advice, n),
                        *ordered = ARENA_NEW(k->mem, struct watch_advice, n);
    struct ranked *rank = ARENA_NEW(k->mem, struct ranked, n);

    if (arena_full(k->mem))
        return no_room(why);
    for (size_t i = 0; i < n; i++) {
        const size_t sow = k->sow[i];
        struct watch_advice *a = &by_index[sow];
        if (!advise_sow(k, c, sow, a))
            return no_room(why);
        rank[i] = (struct ranked){ -a->now.need_c, -a->p_birth, i, sow };
        plan->need_now_c += a->now.need_c;
        plan->need_after_c += a->after.need_c;
        plan->n_ready += a->option != WATCH_NONE ? 1 : 0;
        plan->n_unserved += k->in->sows[sow].near && a->option == WATCH_NONE && a->after.need_c > 1e-6 ? 1 : 0;
    }
    qsort(rank, n, sizeof *rank, in_rank);
    for (size_t i = 0; i < n; i++)
        ordered[i] = by_index[rank[i].index];
    plan->n_advice = n;
    plan->advice = ordered;
    plan->chosen = c->after;
    plan->spare = c->spare.option;
    plan->n_ready += c->spare.option != WATCH_NONE ? 1 : 0;
    return advise_work(k, c, by_index, plan) ? ST_OK : no_room(why);
}

/* ---- heat ---- */

static unsigned middle_heat(const struct work *k, size_t option, size_t h)
{
    const size_t n = k->in->n_members;
    size_t at_least[5] = { 0 };

    for (size_t m = 0; m < n; m++)
        for (unsigned g = 0; g <= work_cells(k, option, m)[h].heat_grade; g++)
            at_least[g]++;
    for (unsigned g = 4; g > 0; g--)
        if (2 * at_least[g] >= n)
            return g;
    return 0;
}

enum status advise_heat(const struct work *k, const struct chosen *c, struct watch_plan *plan, struct message *why)
{
    struct watch_heat *heat = ARENA_NEW(k->mem, struct watch_heat, k->in->n_sows);

    if (!heat)
        return no_room(why);
    for (size_t i = 0; i < plan->n_advice; i++) {
        const size_t sow = plan->advice[i].sow;
        const size_t option = c->after[sow] == WATCH_NONE ? k->in->sows[sow].lies : c->after[sow];
        struct watch_heat x = { .sow = sow,
                                .option = option,
                                .vents = k->in->sites[k->in->options[option].site].opens };
        for (size_t h = 0; h < k->in->n_hours; h++) {
            const unsigned grade = middle_heat(k, option, h);
            if (grade < 2)
                continue;
            x.from_h = x.n_hours ? x.from_h : h;
            x.n_hours++;
            x.worst_grade = grade > x.worst_grade ? grade : x.worst_grade;
        }
        if (x.n_hours)
            heat[plan->n_heat++] = x;
    }
    plan->heat = heat;
    return ST_OK;
}
