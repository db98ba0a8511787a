/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Danger of many births, several at a time. They share the clock of run.c: the minutes at which something jumps and
 * the steps between them. Only a birth that begins to suck inside a step goes its own way to the next jump. The answer
 * is that of piglet_run_danger() for each.
 */
#include <stdint.h>
#include <string.h>

#include "core/piglet/abreast.h"
#include "core/piglet/steps.h"
#include "core/piglet/tally.h"

/* Beginning to suck this near a jump, a birth would have a leg too short to tell from rounding: it is run alone. */
static const double near_jump_min = 1e-3;

struct fates {
    lane min_c, at_2h_c;
    bool sure[ABREAST];  /* comes to danger */
    bool alone[ABREAST]; /* must be run by itself */
};

struct leg_of { /* a stretch in which nothing jumps; each birth has its own clock in it */
    lane at_min, dt_min, steps;
    struct ages by;      /* over half a step */
    bool goes[ABREAST];  /* takes part */
    bool sucks[ABREAST]; /* began to suck and stopped there */
};

static void step_length(const struct abreast *g, struct leg_of *leg, size_t l, double dt_min)
{
    leg->dt_min[l] = dt_min;
    if (l > 0 && !(leg->dt_min[l - 1] < dt_min || leg->dt_min[l - 1] > dt_min)) { /* as a rule all step alike */
        leg->by.vessel[l] = leg->by.vessel[l - 1];
        leg->by.birth[l] = leg->by.birth[l - 1];
        leg->by.neutral[l] = leg->by.neutral[l - 1];
        leg->by.summit[l] = leg->by.summit[l - 1];
        return;
    }
    const struct aged by = aged_at(g->m, 0.5 * dt_min / 60.0);
    leg->by.vessel[l] = by.vessel;
    leg->by.birth[l] = by.birth;
    leg->by.neutral[l] = by.neutral;
    leg->by.summit[l] = by.summit;
}

static void leg_open(const struct abreast *g, double to_min, struct leg_of *leg)
{
    for (size_t l = 0; l < ABREAST; l++) {
        const double from_min = leg->at_min[l], span_min = leg->goes[l] ? to_min - from_min : 0.0;
        leg->sucks[l] = false;
        leg->steps[l] = leg->goes[l] ? ceil(span_min / pace_at(piglet_brisk, from_min) - 1e-6) : 0.0;
        step_length(g, leg, l, leg->goes[l] ? span_min / leg->steps[l] : 0.0);
    }
}

/* Somebody whose fate is open does not move. */
static bool somebody_stays(const struct fates *f, const bool moves[ABREAST])
{
    bool stays = false;

    for (size_t l = 0; l < ABREAST; l++)
        stays = stays || !(moves[l] || f->sure[l] || f->alone[l]);
    return stays;
}

/* Those that do not move stay as they were. */
static void hold(struct moving *at, const struct moving *was, const bool moves[ABREAST])
{
    for (size_t l = 0; l < ABREAST; l++) {
        if (moves[l])
            continue;
        at->y.body_c[l] = was->y.body_c[l];
        at->y.water_kg[l] = was->y.water_kg[l];
        at->y.heat_w_kg[l] = was->y.heat_w_kg[l];
        at->y.reserve_kj_kg[l] = was->y.reserve_kj_kg[l];
        at->y.milk_g_kg[l] = was->y.milk_g_kg[l];
        at->age.vessel[l] = was->age.vessel[l];
        at->age.birth[l] = was->age.birth[l];
        at->age.neutral[l] = was->age.neutral[l];
        at->age.summit[l] = was->age.summit[l];
        at->open_c[l] = was->open_c[l];
        at->ref_c[l] = was->ref_c[l];
    }
}

static void note_low(struct fates *f, size_t l, double t0, double t1, double d0, double d1, double dt_min)
{
    double share;

    if (!(d0 < 0.0 && d1 > 0.0))
        return;
    const double low_c = cubic_low(t0, t1, d0, d1, dt_min * 60.0, &share);
    if (low_c < f->min_c[l])
        f->min_c[l] = low_c;
}

/* tally_step(), for what danger asks. Once collapsed it is sure, whatever is noted later. */
static void note_step(struct fates *f, size_t l, double collapse_c, double from_c, double to_c, double from_min,
                      double to_min)
{
    f->min_c[l] = to_c < collapse_c ? collapse_c : smaller(to_c, f->min_c[l]);
    tally_mark(&f->at_2h_c[l], 120.0, from_c, to_c, from_min, to_min, to_min);
}

struct last_step { /* where it began, of each */
    lane body_c, slope, at_min;
};

/* Who began to suck inside the step just lived lives it again up to there. */
static void live_again(struct abreast *g, struct leg_of *leg, const struct fates *f, const struct state *y,
                       const struct ages *age, const struct speed *now, const bool moves[ABREAST])
{
    bool again[ABREAST], any = false;
    lane dt_s;

    for (size_t l = 0; l < ABREAST; l++) {
        const double from_c = y->body_c[l], to_c = g->at.y.body_c[l];
        again[l] = moves[l] && !f->sure[l] && g->may_eat && !(g->fed[l] > 0.0) && leg->dt_min[l] > 0.05 &&
                   g->at.y.milk_g_kg[l] > y->milk_g_kg[l];
        if (again[l])
            step_length(g, leg, l,
                        smaller(leg->dt_min[l],
                                within_or((34.0 - from_c) / (to_c - from_c), 0.0, 1.0) * leg->dt_min[l] + 0.02));
        leg->sucks[l] = leg->sucks[l] || again[l];
        any = any || again[l];
        dt_s[l] = leg->dt_min[l] * 60.0;
    }
    if (!any)
        return;
    const struct moving was = g->at;
    abreast_step(g, y, age, &leg->by, now, dt_s);
    hold(&g->at, &was, again);
}

/* One step of those that move; has: they have made a step in this leg before. */
static void live(struct abreast *g, struct leg_of *leg, struct fates *f, const bool moves[ABREAST], bool has,
                 struct last_step *last)
{
    struct speed now;
    lane dt_s;

    abreast_open(g, &now);
    for (size_t l = 0; l < ABREAST; l++) {
        if (moves[l] && has)
            note_low(f, l, last->body_c[l], g->at.y.body_c[l], last->slope[l], now.body[l],
                     leg->at_min[l] - last->at_min[l]);
        dt_s[l] = leg->dt_min[l] * 60.0;
    }
    const struct state y = g->at.y;
    const struct ages age = g->at.age;
    abreast_step(g, &y, &age, &leg->by, &now, dt_s);
    live_again(g, leg, f, &y, &age, &now, moves);
    for (size_t l = 0; l < ABREAST; l++) {
        if (!moves[l])
            continue;
        const double from_min = leg->at_min[l];
        leg->at_min[l] = from_min + leg->dt_min[l];
        last->at_min[l] = from_min;
        last->slope[l] = now.body[l];
        last->body_c[l] = y.body_c[l];
        note_step(f, l, g->m->collapse_c, y.body_c[l], g->at.y.body_c[l], from_min, leg->at_min[l]);
    }
}

/* Still cooling when the last step began: did it turn inside? */
static void note_last_low(struct abreast *g, const struct leg_of *leg, struct fates *f, const struct last_step *last)
{
    bool cooled[ABREAST], any = false;
    struct speed now;

    for (size_t l = 0; l < ABREAST; l++) {
        cooled[l] = leg->goes[l] && last->slope[l] < 0.0;
        any = any || cooled[l];
    }
    if (!any)
        return;
    const struct moving was = g->at;
    abreast_open(g, &now);
    for (size_t l = 0; l < ABREAST; l++)
        if (cooled[l])
            note_low(f, l, last->body_c[l], g->at.y.body_c[l], last->slope[l], now.body[l],
                     leg->at_min[l] - last->at_min[l]);
    hold(&g->at, &was, cooled);
}

static void live_leg(struct abreast *g, struct leg_of *leg, struct fates *f, double to_min)
{
    struct last_step last = { .slope = { 0 } };
    bool moves[ABREAST], any = true;

    leg_open(g, to_min, leg);
    for (double i = 0.0; any; i += 1.0) {
        any = false;
        for (size_t l = 0; l < ABREAST; l++) {
            moves[l] = leg->goes[l] && !leg->sucks[l] && i < leg->steps[l];
            any = any || moves[l];
        }
        if (any && somebody_stays(f, moves)) {
            const struct moving was = g->at;
            live(g, leg, f, moves, i > 0.0, &last);
            hold(&g->at, &was, moves);
        } else if (any)
            live(g, leg, f, moves, i > 0.0, &last);
    }
    note_last_low(g, leg, f, &last);
}

static void begin_to_suck(struct abreast *g)
{
    for (size_t l = 0; l < ABREAST; l++)
        if (g->may_eat && piglet_milk(g->m, g->at.y.body_c[l], g->air_c[l]) > 0.0)
            g->fed[l] = 1.0;
}

/* False: nobody is left to follow. */
static bool judge(struct fates *f)
{
    bool open = false;

    for (size_t l = 0; l < ABREAST; l++) {
        f->sure[l] = f->sure[l] || (!f->alone[l] && piglet_danger_is_sure(f->min_c[l], f->at_2h_c[l]));
        open = open || !(f->sure[l] || f->alone[l]);
    }
    return open;
}

/* Who began to suck on the way goes on from there. False: nobody is on the way any more. */
static bool go_on(struct leg_of *leg, struct fates *f, double to_min)
{
    bool any = false;

    for (size_t l = 0; l < ABREAST; l++) {
        leg->goes[l] = leg->goes[l] && leg->sucks[l] && !f->sure[l];
        if (leg->goes[l] && to_min - leg->at_min[l] < near_jump_min) {
            f->alone[l] = true;
            leg->goes[l] = false;
        }
        any = any || leg->goes[l];
    }
    return any;
}

/* From one jump to the next; false: nobody is left to follow. */
static bool live_to(struct abreast *g, struct fates *f, double at_min, double to_min)
{
    struct leg_of leg;
    bool open;

    for (size_t l = 0; l < ABREAST; l++) {
        leg.at_min[l] = at_min;
        leg.goes[l] = !f->sure[l] && !f->alone[l];
    }
    do {
        begin_to_suck(g);
        live_leg(g, &leg, f, to_min);
        open = judge(f);
    } while (go_on(&leg, f, to_min));
    return open;
}

static void follow(const struct piglet_model *m, const struct piglet *who, size_t n,
                   const struct piglet_air *const air[ABREAST], struct fates *f)
{
    struct abreast g;
    size_t last_hour = SIZE_MAX;
    double last_mates = -1.0;
    bool open = true;

    abreast_start(&g, m, who);
    for (size_t l = 0; l < ABREAST; l++) {
        f->min_c[l] = who->body_c;
        f->at_2h_c[l] = NAN;
        f->sure[l] = f->alone[l] = false;
    }
    for (double at_min = 0.0; open && at_min < who->hours * 60.0 - 1e-6;) {
        const double to_min = piglet_next_jump(m, who, at_min), age_h = who->age_h + at_min / 60.0;
        const size_t at = (size_t)(at_min / 60.0 + 1e-9), hour = at < n ? at : n - 1;
        const bool by_itself = who->mates <= 0.0 || at_min + 1e-6 < who->alone_min;
        const double mates = by_itself ? 0.0 : piglet_mates_at(who, at_min + 1e-6);

        if (hour != last_hour || mates < last_mates || mates > last_mates) {
            const struct piglet_air *now[ABREAST];
            for (size_t l = 0; l < ABREAST; l++)
                now[l] = &air[l][hour];
            abreast_surround(&g, mates, who->at_udder && !by_itself, now);
            abreast_settle(&g);
        }
        last_hour = hour;
        last_mates = mates;
        g.may_eat = piglet_may_eat(m, who, age_h + 1e-8, at_min);
        open = live_to(&g, f, at_min, to_min);
        at_min = to_min;
    }
}

static bool too_hot(const struct piglet *who, size_t n, const struct piglet_air air[])
{
    const size_t lived = (size_t)ceil(who->hours);
    bool hot = false;

    for (size_t i = 0; i < n && i < lived; i++)
        hot = hot || air[i].air_c > 36.0;
    return hot;
}

enum status piglet_run_danger_many(const struct piglet_model *m, const struct piglet *who, size_t n_births, size_t n,
                                   const struct piglet_air air[], bool danger[], struct message *why)
{
    enum status st = ST_OK;

    for (size_t b = 0; b < n_births && st == ST_OK; b++)
        st = piglet_refuse_bad(who, n, air + b * n, why);
    if (st == ST_OK && !(who->hours >= 2.0))
        st = refuse(ST_BAD_INPUT, why, "hours", "danger shows in two hours: give 2 or more");
    for (size_t b = 0; b < n_births && st == ST_OK; b += ABREAST) {
        const size_t k = n_births - b < ABREAST ? n_births - b : ABREAST;
        const struct piglet_air *each[ABREAST];
        struct fates f;
        for (size_t l = 0; l < ABREAST; l++)
            each[l] = air + (b + (l < k ? l : k - 1)) * n;
        follow(m ? m : &piglet_published, who, n, each, &f);
        for (size_t l = 0; l < k && st == ST_OK; l++) {
            danger[b + l] = f.sure[l] && !too_hot(who, n, each[l]);
            if (f.alone[l] && !f.sure[l])
                st = piglet_run_danger(m, who, n, each[l], &danger[b + l], why);
        }
    }
    return st;
}
