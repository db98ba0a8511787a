/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a season wants of feed, straw, water and hands, week by week, from the plan's expected litters by day. */
#include "desk/season_needs.h"

#include <math.h>

#include "core/base/civil.h"
#include "core/feed/need.h"
#include "desk/season_inside.h"
#include "desk/unit_words.h"
#include "desk/when.h"

enum { CARRIED_D = 115, TO_HUT_D = 14, HUT_BEFORE_D = 7, TOPPED_UP_D = 56, SPARE_D = 14, AGES = SEASON_DAYS + 400 };

static const double waste = 0.15;         /* between 10 in 100 on straw and 20 on mud (assumption) */
static const double pig_kcal_kg = 3300.0; /* creep and weaners' feed: NRC 2012's table is for such */
static const double lost = 0.135;         /* KilBride et al. 2014, as in the plan */
static const double boar_kcal = 7800.0;   /* NRC 2012, from memory */
static const double night_min = 60.0;     /* of work for each litter of a night (judgement) */
static const double night_h = 10.0;       /* and over so many hours */
static const double hand_min_h = 20.0;    /* minutes of each hour one can give where nothing is recorded (judgement) */
static const double small_bale_kg = 18.0; /* common practice, no source */

struct day_need {
    double dry, in_pig, suckling, pigs, temp_c;
    double sow_kg, creep_kg, pig_kg, straw_kg, water_l;
};

struct needs {
    const struct season *s;
    const struct season_try *t;
    double weaning_d, age_d, boars, sow_kg, weaned, sow_kcal_kg;
    double weight[AGES], gain[AGES]; /* by age */
    double left[SEASON_DAYS];        /* pigs of the litters of that day, not yet sold */
    double *asked;                   /* pigs still wanted, by asking */
    double temp[53];                 /* mean by week of the year; NAN */
    struct day_need day[SEASON_DAYS];
    int64_t from, to; /* indexes, both included */
};

double season_bale_kg(const struct season *s)
{
    return isfinite(s->herd.stock.bale_kg) ? s->herd.stock.bale_kg : small_bale_kg;
}

double season_bales_to_begin(const struct season *s, const struct season_try *t)
{
    return ceil(t->exact.huts_worst * need_straw_begin() / season_bale_kg(s));
}

/* ---- the air: by week of the year, the last of a day or two; half a week of hours at least ---- */

static size_t week_of(int64_t day)
{
    const struct civil c = civil_from_days(day);
    return (size_t)(day - civil_days(c.year, 1, 1)) / 7;
}

void season_mean_air(size_t n, const struct hour hours[], double temp_c[SEASON_AIR_WEEKS])
{
    double count[SEASON_AIR_WEEKS] = { 0.0 };

    for (size_t w = 0; w < SEASON_AIR_WEEKS; w++)
        temp_c[w] = 0.0;
    for (size_t i = 0; i < n; i++) {
        const size_t w = week_of((hours[i].utc_s - (hours[i].utc_s % DAY_S + DAY_S) % DAY_S) / DAY_S);
        if (isnan(hours[i].temp_c))
            continue;
        temp_c[w] += hours[i].temp_c;
        count[w] += 1.0;
    }
    for (size_t w = 0; w < SEASON_AIR_WEEKS; w++)
        temp_c[w] = count[w] >= (w == SEASON_AIR_WEEKS - 1 ? 12.0 : 84.0) ? temp_c[w] / count[w] : (double)NAN;
}

/* ---- sows ---- */

static double sow_kcal(const struct needs *n, double gestation_d, double temp_c)
{
    struct need_sow sow = need_sow_default();

    sow.mass_kg = n->sow_kg;
    sow.gestation_d = gestation_d;
    sow.litter = n->weaned / (1.0 - lost);
    sow.temp_c = temp_c;
    return need_sow(&sow);
}

/* So many sows (or a part of one) in pig, or with a litter of that age, on a day. */
static void add_in_pig(const struct needs *n, struct day_need *d, double sows, double gestation_d)
{
    d->in_pig += sows;
    d->sow_kg += sows * need_feed_kg(sow_kcal(n, gestation_d, d->temp_c), n->sow_kcal_kg, waste);
}

static void add_litter(const struct needs *n, struct day_need *d, double litters, double pigs, size_t age)
{
    d->suckling += litters;
    d->sow_kg += litters * need_feed_kg(need_suckling(n->sow_kg, pigs / litters, n->gain[age]), n->sow_kcal_kg, waste);
    d->creep_kg += pigs * need_creep_kg((double)age) / (1.0 - waste);
    if (age <= TOPPED_UP_D)
        d->straw_kg += litters * need_straw_week() / 7.0;
}

static double litters_on(const struct needs *n, int64_t i)
{
    return i >= 0 && i < SEASON_DAYS ? n->t->exact.day[i].litters : 0.0;
}

/* Litters that are there or on the way now, before the boar goes in. Returns sows not yet free. */
static double present_litters(const struct needs *n, struct day_need *d, int64_t i)
{
    const struct season *s = n->s;
    double busy = 0.0;

    for (size_t k = 0; k < s->n_sows; k++) {
        const int64_t free = s->sows[k].free_utc_s;
        if (free == INT64_MAX || free <= season_midnight(s, s->today + i) ||
            s->sows[k].evidence.weaned_utc_s == BREEDING_NONE)
            continue;
        const double since = (double)(season_midnight(s, s->today + i) - free) / (double)DAY_S + n->weaning_d;
        busy += 1.0;
        if (since < 0.0)
            add_in_pig(n, d, 1.0, fmax(1.0, CARRIED_D + since));
        else
            add_litter(n, d, 1.0, s->sows[k].litter, (size_t)since);
    }
    return busy;
}

static bool winter(const struct season *s, int64_t day)
{
    const int month = civil_from_days(day).month, shifted = s->herd.place.lat_deg < 0.0 ? (month + 5) % 12 + 1 : month;
    return shifted >= 11 || shifted <= 3;
}

/* Of those recorded and not gone, also one who is to serve no sow; a boar borrowed for the weeks eats where he is. */
static double boars_here(const struct season *s)
{
    double here = 0.0;

    for (size_t i = 0; i < s->herd.n_boars; i++)
        here += s->herd.boars[i].here ? 1.0 : 0.0;
    return here;
}

static void sows_of(const struct needs *n, struct day_need *d, int64_t i)
{
    const struct season *s = n->s;
    const double busy = present_litters(n, d, i), in_pig = d->in_pig, suckling = d->suckling;

    for (int64_t b = i + 1; b <= i + CARRIED_D; b++)
        if (litters_on(n, b) > 1e-6)
            add_in_pig(n, d, litters_on(n, b), (double)(CARRIED_D - (b - i)));
    for (int64_t b = i; b >= 0 && (double)(i - b) < n->weaning_d; b--)
        if (litters_on(n, b) > 1e-6)
            add_litter(n, d, litters_on(n, b), n->left[b], (size_t)(i - b));
    d->dry = fmax(0.0, (double)s->n_sows - busy - (d->in_pig - in_pig) - (d->suckling - suckling));
    d->sow_kg += d->dry * need_feed_kg(sow_kcal(n, 0.0, d->temp_c), n->sow_kcal_kg, waste);
    d->sow_kg += n->boars * need_feed_kg(boar_kcal, n->sow_kcal_kg, waste);
    d->straw_kg += litters_on(n, i + HUT_BEFORE_D) * need_straw_begin();
    if (winter(s, s->today + i))
        d->straw_kg +=
            (d->dry + d->in_pig) * (need_straw_dry_week() / 7.0 +
                                    (i == n->from || !winter(s, s->today + i - 1) ? need_straw_dry_begin() : 0.0));
}

/* ---- pigs ---- */

/* Oldest first, as long as they are asked for; past the last asking each goes when it is ready. */
static void sell(struct needs *n, int64_t i)
{
    const struct season *s = n->s;
    bool over = true;

    for (size_t a = 0; a < s->n_asked; a++) {
        over &= i > s->asked[a].to;
        for (int64_t b = 0; b <= i - (int64_t)n->age_d && i >= s->asked[a].from && i <= s->asked[a].to; b++) {
            const double go = fmin(n->left[b], n->asked[a]);
            n->left[b] -= go;
            n->asked[a] -= go;
        }
    }
    for (int64_t b = 0; over && b <= i - (int64_t)n->age_d; b++)
        n->left[b] = 0.0;
}

static void pigs_of(const struct needs *n, struct day_need *d, int64_t i)
{
    for (int64_t b = 0; (double)(i - b) >= n->weaning_d && b >= 0; b++) {
        if (n->left[b] < 1e-6)
            continue;
        const size_t age = (size_t)(i - b);
        d->pigs += n->left[b];
        d->pig_kg += n->left[b] * need_feed_kg(need_pig(n->weight[age], n->gain[age], d->temp_c), pig_kcal_kg, waste);
    }
}

static double mean_sow_kg(const struct season *s)
{
    double sum = 0.0, n = 0.0;

    for (size_t i = 0; i < s->herd.n_sows; i++)
        if (isfinite(s->herd.sows[i].mass_kg)) {
            sum += s->herd.sows[i].mass_kg;
            n += 1.0;
        }
    return n > 0.0 ? sum / n : need_sow_default().mass_kg;
}

static void span_of(struct needs *n)
{
    const struct season *s = n->s;
    int64_t last = n->t->boar_out - s->today;

    for (int64_t i = 0; i < SEASON_DAYS; i++)
        if (litters_on(n, i) > 1e-4)
            last = i + (int64_t)fmax(n->age_d, n->weaning_d);
    for (size_t a = 0; a < s->n_asked; a++)
        last = s->asked[a].to > last ? s->asked[a].to : last;
    n->from = n->t->boar_in > s->today ? n->t->boar_in - s->today : 0;
    n->to = last < SEASON_DAYS ? last : SEASON_DAYS - 1;
}

static void day_by_day(struct needs *n)
{
    const struct season *s = n->s;

    for (size_t a = 0; a < AGES; a++) {
        n->weight[a] = growth_weight(&s->grown.curve, (double)a);
        n->gain[a] = growth_gain(&s->grown.curve, (double)a);
    }
    for (size_t a = 0; a < s->n_asked; a++)
        n->asked[a] = s->asked[a].pigs;
    for (int64_t i = 0; i < SEASON_DAYS; i++)
        n->left[i] = litters_on(n, i) * n->weaned;
    span_of(n);
    for (int64_t i = 0; i <= n->to; i++) {
        struct day_need *d = &n->day[i];
        sell(n, i);
        if (i < n->from)
            continue;
        *d = (struct day_need){ .temp_c = s->air_c[week_of(s->today + i)] };
        sows_of(n, d, i);
        pigs_of(n, d, i);
        d->water_l = (d->dry + d->in_pig + n->boars) * need_water_sow() + d->suckling * need_water_suckling() +
                     d->pigs * need_water_pig();
    }
}

/* ---- said ---- */

struct sums {
    double sow_kg, creep_kg, pig_kg, straw_kg, water_most_l, day_most_kg;
};

static struct sums sums_from(const struct needs *n, int64_t from)
{
    struct sums x = { 0 };

    for (int64_t i = from > n->from ? from : n->from; i <= n->to; i++) {
        const struct day_need *d = &n->day[i];
        x.sow_kg += d->sow_kg;
        x.creep_kg += d->creep_kg;
        x.pig_kg += d->pig_kg;
        x.straw_kg += d->straw_kg;
        x.water_most_l = fmax(x.water_most_l, d->water_l);
        x.day_most_kg = fmax(x.day_most_kg, d->sow_kg + d->creep_kg + d->pig_kg);
    }
    return x;
}

static double feed_of(const struct sums *x)
{
    return x->sow_kg + x->creep_kg + x->pig_kg;
}

static void say_week(const struct needs *n, int64_t first, int64_t last, struct answer *row)
{
    struct day_need w = { 0 };
    double known = 0.0;
    const double days = (double)(last - first + 1);

    for (int64_t i = first; i <= last; i++) {
        const struct day_need *d = &n->day[i];
        w.dry += d->dry / days;
        w.in_pig += d->in_pig / days;
        w.suckling += d->suckling / days;
        w.pigs += d->pigs / days;
        w.sow_kg += d->sow_kg;
        w.creep_kg += d->creep_kg;
        w.pig_kg += d->pig_kg;
        w.straw_kg += d->straw_kg;
        w.water_l = fmax(w.water_l, d->water_l);
        w.temp_c += isnan(d->temp_c) ? 0.0 : d->temp_c;
        known += !isnan(d->temp_c);
    }
    answer_day(row, "from", n->s->today + first);
    answer_whole(row, "days", last - first + 1);
    answer_real(row, "dry", w.dry);
    answer_real(row, "in_pig", w.in_pig);
    answer_real(row, "suckling", w.suckling);
    answer_real(row, "pigs", w.pigs);
    answer_real_or(row, "temp_c", known > 0.0 ? w.temp_c / known : (double)NAN, "no past hours of that week are kept");
    answer_real(row, "sow_feed_kg", w.sow_kg);
    answer_real(row, "creep_kg", w.creep_kg);
    answer_real(row, "pig_feed_kg", w.pig_kg);
    answer_real(row, "straw_kg", w.straw_kg);
    answer_real(row, "water_l_day", w.water_l);
}

static void whole_or(struct answer *o, const char *key, double value, const char *because)
{
    if (isfinite(value))
        answer_whole(o, key, llround(value));
    else
        answer_null(o, key, because);
}

static double bales_there(const struct season *s)
{
    return isfinite(s->herd.stock.straw_kg) ? floor(s->herd.stock.straw_kg / season_bale_kg(s)) : (double)NAN;
}

/* As typed, or as last counted; NAN neither. */
static double feed_there(const struct season *s)
{
    return given_is(s->q, SEASON_FEED_THERE) ? given_real(s->q, SEASON_FEED_THERE) : s->herd.stock.feed_kg;
}

/* NAN when one of them is not known. */
static double lacks(double wanted, double there)
{
    return isnan(wanted) || isnan(there) ? (double)NAN : fmax(0.0, wanted - there);
}

static const char *kg(const struct season *s, double mass_kg)
{
    return words_mass(&s->herd.place, mass_kg, s->q->mem);
}

static const char *store(const struct season *s, double mass_kg)
{
    return words_store(&s->herd.place, mass_kg, s->q->mem);
}

static const char *day_words(const struct season *s, int64_t day)
{
    const struct civil c = civil_from_days(day);
    return arena_print(s->q->mem, "%d %s", c.day, when_month[c.month]);
}

/* What is used up from a day before the plan begins: as on the first day of the plan until then, and what the plan
 * uses before the day by which things have to be there. */
static double used_before(double all_kg, double later_kg, double first_day_kg, double days_before)
{
    return all_kg - later_kg + first_day_kg * days_before;
}

static double feed_used(const struct needs *n, const struct sums *all, const struct sums *later)
{
    const struct season *s = n->s;
    const struct day_need *first = &n->day[n->from];
    const bool counted = !given_is(s->q, SEASON_FEED_THERE) && s->herd.stock.feed_at_utc_s != INT64_MIN;
    const double since_d =
        counted ? fmax(0.0, (double)(s->q->at_utc_s - s->herd.stock.feed_at_utc_s) / (double)DAY_S) : 0.0;

    return used_before(feed_of(all), feed_of(later), first->sow_kg + first->creep_kg + first->pig_kg,
                       since_d + (double)n->from);
}

/* Straw put in since it was counted is taken off by the herd already. */
static double straw_used(const struct needs *n, const struct sums *all, const struct sums *later)
{
    return used_before(all->straw_kg, later->straw_kg, n->day[n->from].straw_kg, (double)n->from);
}

static const char *say_feed(const struct needs *n, double there, double left, double lack)
{
    const struct season *s = n->s;

    if (isnan(there))
        return "";
    if (left > 0.0)
        return arena_print(s->q->mem, " Of the %s you have some %s will be left by then; %s more is wanted.",
                           kg(s, there), kg(s, left), store(s, lack));
    return arena_print(s->q->mem, " The %s you have will be eaten by then.", kg(s, there));
}

static const char *say_straw(const struct needs *n, double there, double left, double lack)
{
    if (isnan(there))
        return " How many there are was never counted.";
    if (left > 0.0)
        return arena_print(n->s->q->mem,
                           " Of the %.0f you counted some %.0f will be left by then; %.0f more are wanted.", there,
                           left, lack);
    return arena_print(n->s->q->mem, " The %.0f you counted will be used up by then.", there);
}

/* What has to be there by a day: before the first litters, and with days to spare for a road that is closed. */
static void say_store(const struct needs *n, const struct sums *all, struct answer *o, struct answer *says)
{
    static const char *const none = "no litter is expected", *const not_counted = "straw was never counted";
    const struct season *s = n->s;
    const bool litters = n->t->first_litters != INT64_MIN;
    const int64_t by = litters ? n->t->first_litters - TO_HUT_D : 0;
    const struct sums x = litters ? sums_from(n, by - s->today) : *all;
    const double feed = litters ? feed_of(&x) + SPARE_D * x.day_most_kg : (double)NAN, bale = season_bale_kg(s);
    const double there = feed_there(s), bales = litters ? ceil(x.straw_kg / bale) : (double)NAN;
    const double have = bales_there(s), left = litters ? lacks(there, feed_used(n, all, &x)) : (double)NAN;
    const double bales_left = litters ? lacks(have, ceil(straw_used(n, all, &x) / bale)) : (double)NAN;

    if (litters)
        answer_day(o, "there_by", by);
    else
        answer_null(o, "there_by", none);
    answer_real_or(o, "there_feed_kg", feed, none);
    answer_real_or(o, "feed_there_kg", there, "feed was never counted: leenest record stock --feed 500kg");
    answer_real_or(o, "feed_left_kg", left, litters ? "feed was never counted" : none);
    answer_real_or(o, "feed_lacks_kg", lacks(feed, left), litters ? "feed was never counted" : none);
    whole_or(o, "there_bales", bales, none);
    answer_whole(o, "bales_to_begin", llround(season_bales_to_begin(s, n->t)));
    whole_or(o, "bales_there", have, not_counted);
    whole_or(o, "bales_left", bales_left, litters ? not_counted : none);
    whole_or(o, "bales_lack", lacks(bales, bales_left), litters ? not_counted : none);
    if (!litters)
        return;
    answer_words(says, arena_print(s->q->mem,
                                   "By %s have %s of feed there: it lasts to the last sale, with two weeks to spare.%s",
                                   day_words(s, by), store(s, feed), say_feed(n, there, left, lacks(feed, left))));
    answer_words(says, arena_print(s->q->mem, "And %.0f bales of straw of %s.%s", bales, kg(s, bale),
                                   say_straw(n, have, bales_left, lacks(bales, bales_left))));
}

static void say_night(const struct needs *n, struct answer *o, struct answer *says)
{
    const struct season *s = n->s;
    const size_t litters = n->t->exact.night_p90;
    const double each = isfinite(s->herd.stock.hand_minutes_per_h) && s->herd.stock.hand_minutes_per_h > 0.0
                            ? s->herd.stock.hand_minutes_per_h
                            : hand_min_h;
    const double minutes = (double)litters * night_min, hands = ceil(minutes / (each * night_h));

    answer_whole(o, "night_litters", (int64_t)litters);
    answer_real(o, "night_minutes", minutes);
    answer_whole(o, "night_hands", llround(hands));
    whole_or(o, "hands_there", s->herd.stock.people >= 0 ? (double)s->herd.stock.people : (double)NAN,
             "hands were never counted");
    if (litters > 0)
        answer_words(
            says,
            arena_print(s->q->mem,
                        "On the fullest night %zu may farrow: %.0f minutes of work, %.0f %s. Whoever goes in to a sow "
                        "says so first and has a board.",
                        litters, minutes, hands, hands > 1.0 ? "people" : "person"));
}

/* Two to a buyer, fed to the beginning of winter. */
static void say_buyers(const struct needs *n, struct answer *o, struct answer *says)
{
    const struct season *s = n->s;
    const int64_t last = s->today + n->to;
    const int month = s->herd.place.lat_deg < 0.0 ? 6 : 12;
    const struct civil c = civil_from_days(last);
    const int64_t day =
        civil_days(c.year, month, 1) > last ? civil_days(c.year, month, 1) : civil_days(c.year + 1, month, 1);
    const struct growth *g = &s->grown.curve;
    const int64_t sold =
        n->t->first_litters == INT64_MIN ? last : (n->t->first_litters + n->t->last_litters) / 2 + (int64_t)n->age_d;
    const double then_kg = growth_step(growth_weight(g, n->age_d), (double)(day - sold),
                                       g->most_kg * exp(g->farm_shift), g->rate_per_d * g->fed);

    answer_whole(o, "buyers", (int64_t)ceil(n->t->winters.in_time.mean / 2.0));
    answer_real(o, "autumn_kg", then_kg);
    answer_day(o, "autumn_day", day);
    answer_words(says,
                 arena_print(s->q->mem,
                             "Two to a buyer (common practice): %.0f buyers. Fed as here, one weighs about %s on %s.",
                             ceil(n->t->winters.in_time.mean / 2.0), kg(s, then_kg), day_words(s, day)));
}

static void say_money(const struct needs *n, const struct sums *all, struct answer *o, struct answer *says)
{
    const struct season *s = n->s;
    const double feed = feed_of(all) * given_real(s->q, SEASON_FEED_PRICE);
    const double straw = ceil(all->straw_kg / season_bale_kg(s)) * given_real(s->q, SEASON_STRAW_PRICE);

    answer_real_or(o, "feed_cost", feed, "no price was given: --feed-price");
    answer_real_or(o, "straw_cost", straw, "no price was given: --straw-price");
    if (isfinite(feed))
        answer_words(says, arena_print(s->q->mem, "The season's feed costs %.0f at that price.", feed));
    if (isfinite(straw))
        answer_words(says, arena_print(s->q->mem, "The season's straw costs %.0f at that price.", straw));
}

static void say_rests(const struct needs *n, struct answer *list)
{
    struct arena *mem = n->s->q->mem;

    answer_words(list, arena_print(mem, "Sows of %s; %.1f pigs weaned a litter; feed of %.0f kcal a kg.",
                                   kg(n->s, n->sow_kg), n->weaned, n->sow_kcal_kg));
    answer_words(list, "15 in 100 of the feed is trodden in (judgement). Grazing and roots count for nothing.");
    answer_words(list, "Expected numbers, not the worst season. Pigs of litters that are there already are not in it "
                       "once they are weaned.");
    answer_words(list, "Her condition wins over any table: look at her back every two weeks.");
    answer_words(list, "An hour's work for each litter of a night (judgement).");
    answer_words(list, "Water that failed for a day or more is given back a little at a time. Ask your vet.");
}

enum status season_needs(const struct season *s, const struct season_try *t, struct answer *o, struct message *why)
{
    struct needs *n = ARENA_NEW(s->q->mem, struct needs, 1);
    double *asked = ARENA_NEW(s->q->mem, double, s->n_asked + 1);

    if (!n || !asked)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    n->s = s;
    n->t = t;
    n->asked = asked;
    n->weaning_d = round(given_real(s->q, SEASON_WEANING));
    n->age_d = round(s->costs.ready_d);
    n->boars = boars_here(s);
    n->sow_kg = mean_sow_kg(s);
    n->sow_kcal_kg = given_real(s->q, SEASON_FEED_KCAL);
    n->weaned = t->exact.litters > 0.0 ? t->exact.pigs / t->exact.litters : 0.0;
    day_by_day(n);
    const struct sums all = sums_from(n, n->from);
    answer_day(o, "from", s->today + n->from);
    answer_day(o, "to", s->today + n->to);
    struct answer *weeks = answer_list(o, "by_week"), *says = answer_list(o, "says");
    for (int64_t i = n->from; i <= n->to; i += 7)
        say_week(n, i, i + 6 < n->to ? i + 6 : n->to, answer_item(weeks));
    answer_real(o, "sow_feed_kg", all.sow_kg);
    answer_real(o, "creep_kg", all.creep_kg);
    answer_real(o, "pig_feed_kg", all.pig_kg);
    answer_real(o, "feed_kg", feed_of(&all));
    answer_real(o, "straw_kg", all.straw_kg);
    answer_whole(o, "straw_bales", (int64_t)ceil(all.straw_kg / season_bale_kg(s)));
    answer_real(o, "bale_kg", season_bale_kg(s));
    answer_real(o, "water_l_day_most", all.water_most_l);
    say_store(n, &all, o, says);
    say_night(n, o, says);
    say_buyers(n, o, says);
    say_money(n, &all, o, says);
    say_rests(n, answer_list(o, "rests_on"));
    return ST_OK;
}
