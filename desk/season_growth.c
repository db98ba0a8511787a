/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * At what age a pig weighs what people ask for: the curve, moved by the farm's own weighings of young pigs and by what
 * weaned litters weighed. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "desk/season_inside.h"
#include "desk/season_needs.h"
#include "desk/unit_words.h"
#include "desk/when.h"

static const double one_in_six_z = 0.9674; /* normal table: 1/6 lies beyond */
enum { SUCKLED_MOST_D = 120 };

struct own {
    const struct season *s;
    struct fact *animal, *weighing, *farrowing, *weaning;
    size_t n_animal, n_weighing, n_farrowing, n_weaning;
    struct growth_weighing *w;
    size_t n;
};

static enum status read_kind(const struct season *s, const char *name, struct fact **facts, size_t *n,
                             struct message *why)
{
    return farm_facts(s->q->farm, fact_kind_find(name), s->q->known_to, s->q->mem, facts, n, why);
}

static int64_t day_of(const struct season *s, int64_t utc_s)
{
    const struct civil c = when_local(s->herd.zone, utc_s);
    return civil_days(c.year, c.month, c.day);
}

/* The litter an animal is of: the first animal of the same mother and day. */
static size_t litter_of(const struct own *o, size_t i)
{
    const struct fact_kind *kind = fact_kind_find("animal");
    const char *dam = fact_text(kind, o->animal[i].value, "dam");
    const int64_t born = fact_whole(kind, o->animal[i].value, "born", INT64_MIN);

    for (size_t j = 0; dam && j < i; j++) {
        const char *other = fact_text(kind, o->animal[j].value, "dam");
        if (other && strcmp(other, dam) == 0 && fact_whole(kind, o->animal[j].value, "born", INT64_MIN) == born)
            return j;
    }
    return i;
}

static void weighed_alone(struct own *o, const struct fact *f)
{
    const struct fact_kind *animal = fact_kind_find("animal"), *kind = fact_kind_find("weighing");
    const char *who = fact_text(kind, f->value, "animal");
    const double kg = fact_real(kind, f->value, "mass_kg");
    const int64_t on = fact_whole(kind, f->value, "on", INT64_MIN);

    if (!who || isnan(kg) || on > o->s->today)
        return;
    for (size_t i = 0; i < o->n_animal; i++) {
        if (strcmp(o->animal[i].uid, who) != 0)
            continue;
        const int64_t born = fact_whole(animal, o->animal[i].value, "born", INT64_MIN);
        if (born != INT64_MIN && on >= born)
            o->w[o->n++] = (struct growth_weighing){ (double)(on - born), kg, 1.0, litter_of(o, i), i };
    }
}

/* What a weaned litter weighed together: so many pigs of one mean. */
static void weighed_together(struct own *o, size_t i)
{
    const struct fact_kind *kind = fact_kind_find("weaning"), *born = fact_kind_find("farrowing");
    const struct fact *f = &o->weaning[i];
    const char *sow = fact_text(kind, f->value, "sow");
    const double kg = fact_real(kind, f->value, "mass_kg");
    const int64_t pigs = fact_whole(kind, f->value, "weaned", 0), at = fact_whole(kind, f->value, "at", INT64_MIN);
    int64_t newest = INT64_MIN;

    if (!sow || isnan(kg) || pigs < 1 || at > o->s->herd.at_utc_s)
        return;
    for (size_t j = 0; j < o->n_farrowing; j++) {
        const char *hers = fact_text(born, o->farrowing[j].value, "sow");
        const int64_t start = fact_whole(born, o->farrowing[j].value, "start", INT64_MIN);
        if (hers && strcmp(hers, sow) == 0 && start <= at && start > newest)
            newest = start;
    }
    const int64_t age = newest == INT64_MIN ? INT64_MAX : day_of(o->s, at) - day_of(o->s, newest);
    if (age <= SUCKLED_MOST_D)
        o->w[o->n++] =
            (struct growth_weighing){ (double)age, kg / (double)pigs, (double)pigs, o->n_animal + i, o->n_animal + i };
}

static enum status from_own(struct season *s, struct message *why)
{
    struct own o = { .s = s };
    enum status st = read_kind(s, "weighing", &o.weighing, &o.n_weighing, why);

    if (st == ST_OK)
        st = read_kind(s, "weaning", &o.weaning, &o.n_weaning, why);
    if (st == ST_OK && o.n_weighing > 0)
        st = read_kind(s, "animal", &o.animal, &o.n_animal, why);
    if (st == ST_OK && o.n_weaning > 0)
        st = read_kind(s, "farrowing", &o.farrowing, &o.n_farrowing, why);
    if (st != ST_OK)
        return st;
    o.w = ARENA_NEW(s->q->mem, struct growth_weighing, o.n_weighing + o.n_weaning + 1);
    if (!o.w)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < o.n_weighing; i++)
        weighed_alone(&o, &o.weighing[i]);
    for (size_t i = 0; i < o.n_weaning; i++)
        weighed_together(&o, i);
    return growth_from_own(&s->grown.curve, o.n, o.w, &s->grown.own, why);
}

static enum status age_of(const struct season *s, double kg, double share, double *age_d, struct message *why)
{
    const enum status st = growth_age(&s->grown.curve, kg, share, age_d, why);

    if (st != ST_OK)
        return refuse(st, why, "weight", "--weight: %s", why->text);
    *age_d = ceil(*age_d);
    return *age_d >= 20.0 && *age_d <= 300.0
               ? ST_OK
               : refuse(ST_BAD_INPUT, why, "weight",
                        "--weight: a pig weighs %.4g kg at about %.0f days here; the plan takes 20 to 300 days", kg,
                        *age_d);
}

/* What people ask for, where it is written with a weight or an age: the middle by pigs. */
static enum status from_asks(struct season *s, struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("asked");
    struct fact *facts = NULL;
    size_t n = 0;
    double sum = 0.0, pigs = 0.0, kg_sum = 0.0, kg_pigs = 0.0, least = INFINITY, most = -INFINITY;
    enum status st = given_is(s->q, SEASON_SELL_FROM) ? ST_OK : read_kind(s, "asked", &facts, &n, why);

    for (size_t i = 0; st == ST_OK && i < n; i++) {
        const int64_t from = fact_whole(kind, facts[i].value, "from", 0);
        const double kg = fact_real(kind, facts[i].value, "mass_kg");
        const double many = (double)fact_whole(kind, facts[i].value, "pigs", 0);
        double age = fact_real(kind, facts[i].value, "age_d");
        if (fact_whole(kind, facts[i].value, "to", from + 6) < s->today)
            continue;
        if (isfinite(kg))
            st = age_of(s, kg, 0.5, &age, why);
        else if (isnan(age))
            age = s->costs.ready_d;
        sum += age * many;
        pigs += many;
        kg_sum += isfinite(kg) ? kg * many : 0.0;
        kg_pigs += isfinite(kg) ? many : 0.0;
        least = fmin(least, age);
        most = fmax(most, age);
        s->grown.from_asks |= isfinite(kg) || isfinite(fact_real(kind, facts[i].value, "age_d"));
    }
    if (st != ST_OK || !s->grown.from_asks || pigs <= 0.0)
        return st;
    s->grown.age_d = fmin(300.0, fmax(20.0, round(sum / pigs)));
    s->grown.differ = most - least > 7.0;
    if (kg_pigs >= pigs)
        s->grown.wanted_kg = kg_sum / kg_pigs;
    return ST_OK;
}

enum status season_growth(struct season *s, struct message *why)
{
    struct season_grown *g = &s->grown;

    *g = (struct season_grown){
        .curve = growth_default(), .wanted_kg = NAN, .age_d = s->costs.ready_d, .most_age_d = NAN
    };
    g->curve.weaning_d = given_real(s->q, SEASON_WEANING);
    if (given_is(s->q, SEASON_WEIGHT) && given_typed(s->q, SEASON_AGE))
        return refuse(ST_BAD_INPUT, why, "weight", "--weight: give a weight or an age, not both");
    enum status st = from_own(s, why);
    if (st == ST_OK && given_is(s->q, SEASON_WEIGHT)) {
        g->wanted_kg = given_real(s->q, SEASON_WEIGHT);
        st = age_of(s, g->wanted_kg, 0.5, &g->age_d, why);
    } else if (st == ST_OK && !given_typed(s->q, SEASON_AGE)) {
        st = from_asks(s, why);
    }
    if (st != ST_OK)
        return st;
    if (isfinite(g->wanted_kg)) { /* may lie past what the plan takes: then it is not said */
        struct message none;
        if (growth_age(&g->curve, g->wanted_kg, 5.0 / 6.0, &g->most_age_d, &none) == ST_OK)
            g->most_age_d = ceil(g->most_age_d);
        else
            g->most_age_d = NAN;
    }
    s->costs.ready_d = g->age_d;
    answer_words(s->assumed, "what a pig weighs: a curve of slow pigs at 85 in 100 of full feed (judgement), drawn to "
                             "what was weighed here");
    if (g->differ)
        answer_words(s->assumed, "people ask for pigs of different age or weight; the plan takes the middle one");
    return ST_OK;
}

static void say(const struct season *s, double kg, double off, struct answer *o)
{
    const struct season_grown *g = &s->grown;
    const struct desk_place *at = &s->herd.place;
    struct arena *mem = s->q->mem;
    const char *later = "", *own = " No weighings of your own are in this: weigh some at weaning.";

    if (isfinite(g->most_age_d))
        later = arena_print(mem, " Five in six are over %s at %.0f days.", words_mass(at, g->wanted_kg, mem),
                            g->most_age_d);
    if (g->own.used > 0)
        own = arena_print(mem, " %zu %s of your own, of %zu %s, %s in this.", g->own.used,
                          g->own.used == 1 ? "weighing" : "weighings", g->own.litters,
                          g->own.litters == 1 ? "litter" : "litters", g->own.used == 1 ? "is" : "are");
    answer_print(
        o, "says", "At %.0f days a pig here weighs about %s. One in six will be under %s, one in six over %s.%s%s",
        g->age_d, words_mass(at, kg, mem), words_mass(at, kg / off, mem), words_mass(at, kg * off, mem), later, own);
}

void season_say_growth(const struct season *s, struct answer *o)
{
    const struct season_grown *g = &s->grown;
    const double kg = growth_weight(&g->curve, g->age_d), off = exp(one_in_six_z * growth_spread(&g->curve));

    answer_real_or(o, "wanted_kg", g->wanted_kg, "an age was asked for");
    answer_real(o, "age_d", g->age_d);
    answer_real_or(o, "five_in_six_age_d", g->most_age_d,
                   isnan(g->wanted_kg) ? "an age was asked for" : "not within two years");
    answer_real(o, "kg", kg);
    answer_real(o, "light_kg", kg / off);
    answer_real(o, "heavy_kg", kg * off);
    answer_whole(o, "own_weighings", (int64_t)g->own.used);
    answer_whole(o, "own_litters", (int64_t)g->own.litters);
    answer_real(o, "own_weight", g->own.weight);
    say(s, kg, off, o);
}
