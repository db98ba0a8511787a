/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/season/cold.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/breeding/breeding.h"
#include "core/sun/sun.h"

enum { BIRTH_HOURS = 7, NIGHT_FROM = 18, NIGHT_LONG = 12, NIGHT_LEAST = 9 };

/* f = 0.6 feels_c of the hour of birth + 0.4 of the next. Above safe_c nobody fell to grade 2, below danger_c all did,
 * over the hours, shelters and beds of docs/reckoning/season.md with room to spare; between, the whole balance is run. A
 * thin or bare bed feels colder than it does harm, so less is plain there. f sees two hours: where one of the five that
 * follow feels fall_k colder than both, nobody is plainly safe. Where none does, what two hours did not bring the other
 * four do not (least fall with which they did: 129 K, a wrong hour of wind). */
static const double now_share = 0.6, deep_straw_m = 0.15, fall_k = 15.0, short_h = 2.0;

struct lines {
    double safe_c, danger_c;
};
static const struct lines thin_lines[2] = { { 2.0, -22.0 }, { 7.0, -12.0 } }, /* typical; runt */
    deep_open[2] = { { 0.0, -13.0 }, { 7.5, -4.0 } }, deep_roofed[2] = { { 2.0, -10.0 }, { 9.0, -2.0 } };

static const struct lines *lines_of(const struct shelter *s)
{
    if (s->floor != PIGLET_STRAW || s->straw_m < deep_straw_m)
        return thin_lines;
    return s->kind == SHELTER_HUT || s->kind == SHELTER_BARN ? deep_roofed : deep_open;
}

struct cold_site cold_site_default(void)
{
    return (struct cold_site){ .n = 0, .clock_share = 0.25, .clock_peak_h = 21.0 };
}

static bool of_use(const struct hour *h)
{
    return isfinite(h->temp_c) && isfinite(h->wind_mps);
}

static enum status check(const struct cold_site *s, size_t *n, struct message *why)
{
    *n = 0;
    if (!(fabs(s->lat_deg) <= 90.0) || !(fabs(s->lon_deg) <= 180.0))
        return refuse(ST_BAD_INPUT, why, "lat", "the place is not on the globe");
    if (!(s->clock_share >= 0.0 && s->clock_share <= 1.0))
        return refuse(ST_BAD_INPUT, why, "clock", "the clock's share is not between 0 and 1");
    for (size_t i = 0; i < s->n; i++) {
        if (i > 0 && s->hours[i].utc_s <= s->hours[i - 1].utc_s)
            return refuse(ST_BAD_INPUT, why, "hours", "the hours of past years are not in order of time");
        *n += of_use(&s->hours[i]);
    }
    return *n > 0 ? ST_OK : refuse(ST_BAD_INPUT, why, "hours", "there is no past hour with temperature and wind");
}

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

static int hour_of_day(const struct cold_past *p, size_t i)
{
    const int64_t local = p->hours[i].utc_s + p->site.standard_offset_s;
    return (int)((local - floor_div(local, DAY_S) * DAY_S) / HOUR_S);
}

static struct nest_sun sun_over(const struct hour *h, const struct cold_site *s)
{
    const struct sun_hour x = sun_of_hour(h, s->lat_deg, s->lon_deg);

    return (struct nest_sun){ x.sun.azimuth_deg, x.sun.elevation_true_deg, x.light.ghi, x.light.dni, x.light.dhi,
                              x.top_w_m2 };
}

static void lowest_nights(const struct cold_past *p, float night_c[], uint8_t count[])
{
    for (size_t d = 0; d < p->n_days; d++)
        night_c[d] = NAN;
    for (size_t i = 0; i < p->n; i++) {
        const int h = hour_of_day(p, i);
        const bool evening = h >= NIGHT_FROM, morning = h < NIGHT_FROM + NIGHT_LONG - 24;
        if ((!evening && !morning) || (morning && p->day[i] == 0))
            continue;
        const size_t d = evening ? p->day[i] : p->day[i] - 1;
        const float t = (float)p->hours[i].temp_c;
        if (!(night_c[d] <= t))
            night_c[d] = t;
        count[d]++;
    }
    for (size_t d = 0; d < p->n_days; d++)
        if (count[d] < NIGHT_LEAST)
            night_c[d] = NAN;
}

enum status cold_prepare(const struct cold_site *site, struct arena *mem, struct cold_past **past, struct message *why)
{
    struct breeding_rules clock = breeding_rules_default();
    size_t n;
    enum status st = check(site, &n, why);

    if (st != ST_OK)
        return st;
    clock.value[BR_CLOCK] = site->clock_share;
    clock.value[BR_CLOCK_PEAK_H] = site->clock_peak_h;
    clock.utc_offset_s = site->standard_offset_s;
    struct cold_past *p = ARENA_NEW(mem, struct cold_past, 1);
    struct hour *hours = ARENA_NEW(mem, struct hour, n);
    struct nest_sun *sun = ARENA_NEW(mem, struct nest_sun, n);
    uint32_t *day = ARENA_NEW(mem, uint32_t, n);
    float *weight = ARENA_NEW(mem, float, n);
    struct feels_table *feels = ARENA_NEW(mem, struct feels_table, 1);
    if (!p || !hours || !sun || !day || !weight || !feels)
        return refuse(ST_NO_MEMORY, why, "", "too many hours of past years at once: %zu", n);
    *p = (struct cold_past){ .hours = hours, .sun = sun, .day = day, .weight = weight, .feels = feels, .site = *site };
    for (size_t i = 0; i < site->n; i++)
        if (of_use(&site->hours[i]))
            hours[p->n++] = site->hours[i];
    p->first_day = floor_div(hours[0].utc_s + site->standard_offset_s, DAY_S);
    p->n_days = (size_t)(floor_div(hours[n - 1].utc_s + site->standard_offset_s, DAY_S) - p->first_day) + 1;
    float *known = ARENA_NEW(mem, float, p->n_days), *night_c = ARENA_NEW(mem, float, p->n_days);
    uint8_t *count = ARENA_NEW(mem, uint8_t, p->n_days);
    if (!known || !night_c || !count)
        return refuse(ST_NO_MEMORY, why, "", "past years lie too far apart");
    for (size_t i = 0; i < n; i++) {
        sun[i] = sun_over(&hours[i], site);
        day[i] = (uint32_t)(floor_div(hours[i].utc_s + site->standard_offset_s, DAY_S) - p->first_day);
        weight[i] = (float)(breeding_clock(&clock, hours[i].utc_s + HOUR_S / 2) / 24.0);
        known[day[i]] += weight[i];
    }
    lowest_nights(p, night_c, count);
    feels_table_make(NULL, feels);
    p->known = known;
    p->night_c = night_c;
    *past = p;
    return ST_OK;
}

/* The nest in every hour, a new bed from each noon on. */
static enum status nests_of(const struct cold_past *p, const struct shelter *s, struct nest nests[],
                            struct message *why)
{
    enum status st = ST_OK;

    for (size_t from = 0, to; from < p->n && st == ST_OK; from = to) {
        struct nest_bed bed = { 0.0, 0.0 };
        for (to = from + 1; to < p->n && hour_of_day(p, to) != 12; to++)
            if (p->hours[to].utc_s - p->hours[to - 1].utc_s > DAY_S)
                break;
        st = nest_hours(NULL, s, p->site.place, p->site.inside, to - from, p->hours + from, p->sun + from, p->feels,
                        &bed, nests + from, why);
    }
    return st;
}

/* Hours from i on that follow each other without a hole, at most BIRTH_HOURS. */
static size_t run_from(const struct cold_past *p, size_t i)
{
    size_t k = 1;

    while (k < BIRTH_HOURS && i + k < p->n && p->hours[i + k].utc_s - p->hours[i + k - 1].utc_s <= HOUR_S)
        k++;
    return k;
}

struct births { /* what the hours of birth of one shelter share */
    const struct cold_past *p;
    const struct nest *nests;
    enum cold_how how;
    struct piglet who[2];      /* typical; runt */
    const struct lines *lines; /* of each */
    size_t n_who, wholly;
};

static enum status follow(struct piglet *who, enum cold_how how, bool turn, size_t n, const struct piglet_air air[],
                          bool *danger, struct message *why)
{
    struct piglet_result r;

    if (how == COLD_QUICK) {
        who->hours = turn ? piglet_newborn().hours : short_h;
        return piglet_run_danger(NULL, who, n, air, danger, why);
    }
    const enum status st = piglet_run_brisk(NULL, who, n, air, &r, why);
    *danger = st == ST_OK && r.grade >= 2 && !r.too_hot;
    return st;
}

/* In the k hours from i on: does it turn far colder than in the first two, or too hot for the balance? */
static bool turns(const struct nest nests[], size_t i, size_t k)
{
    const double first_c = fmin(nests[i].feels_c, nests[k > 1 ? i + 1 : i].feels_c);

    for (size_t h = 2; h < k; h++)
        if (!(nests[i + h].feels_c > first_c - fall_k) || nests[i + h].too_hot_for_piglet_model)
            return true;
    return false;
}

/* Of a birth in hour i. */
static enum status in_danger(struct births *b, size_t i, bool danger[2], struct message *why)
{
    struct piglet_air air[BIRTH_HOURS];
    const size_t k = run_from(b->p, i);
    const double feels = now_share * b->nests[i].feels_c + (1.0 - now_share) * b->nests[k > 1 ? i + 1 : i].feels_c;
    const bool turn = turns(b->nests, i, k);
    size_t n_air = 0;
    enum status st = ST_OK;

    for (size_t w = 0; w < b->n_who && st == ST_OK; w++) {
        danger[w] = feels < b->lines[w].danger_c;
        if (b->how == COLD_QUICK && (danger[w] || (feels > b->lines[w].safe_c && !turn)))
            continue;
        n_air = n_air ? n_air : nest_birth_air(k, b->nests + i, 0, air);
        st = follow(&b->who[w], b->how, turn, n_air, air, &danger[w], why);
        b->wholly++;
    }
    return st;
}

static void share_of_known(const struct cold_past *p, float daily[])
{
    for (size_t d = 0; d < p->n_days; d++)
        daily[d] = p->known[d] >= 0.75f ? daily[d] / p->known[d] : NAN;
}

enum status cold_of_shelter(const struct cold_past *p, const struct shelter *shelter, enum cold_how how,
                            struct arena *scratch, const struct cold_daily *out, size_t *wholly, struct message *why)
{
    struct nest *nests = ARENA_NEW(scratch, struct nest, p->n);
    struct births b = { .p = p,
                        .nests = nests,
                        .how = how,
                        .who = { piglet_newborn(), piglet_newborn() },
                        .lines = lines_of(shelter),
                        .n_who = out->runt ? 2 : 1 };
    float *const daily[] = { out->danger, out->heat, out->runt };

    b.who[1].mass_kg = COLD_RUNT_KG;
    enum status st = nests ? shelter_check(shelter, why)
                           : refuse(ST_NO_MEMORY, why, "", "too many hours of past years at once: %zu", p->n);
    if (st == ST_OK)
        st = nests_of(p, shelter, nests, why);
    for (size_t k = 0; k < 1 + b.n_who; k++)
        memset(daily[k], 0, p->n_days * sizeof *daily[k]);
    for (size_t i = 0; i < p->n && st == ST_OK; i++) {
        bool yes[2] = { false, false };
        st = in_danger(&b, i, yes, why);
        out->danger[p->day[i]] += yes[0] ? p->weight[i] : 0.0f;
        if (yes[1])
            out->runt[p->day[i]] += p->weight[i];
        out->heat[p->day[i]] += nests[i].heat_grade >= 3 ? p->weight[i] : 0.0f;
    }
    for (size_t k = 0; k < 1 + b.n_who; k++)
        share_of_known(p, daily[k]);
    if (wholly)
        *wholly = b.wholly;
    return st;
}
