/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/season/cold.h"

#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/breeding/breeding.h"
#include "core/sun/sun.h"

enum { BIRTH_HOURS = 7, NIGHT_FROM = 18, NIGHT_LONG = 12, NIGHT_LEAST = 9 };

/* f = 0.6 feels_c of the hour of birth + 0.4 of the next. Above safe_c no typical piglet fell to grade 2, below
 * danger all did, over the hours, shelters and beds of docs/reckoning/season.md with room to spare; between, the
 * whole balance is run. A thin or bare bed feels colder than it does harm, so less is plain there. */
static const double now_share = 0.6, deep_straw_m = 0.15, safe_c = 2.0, thin_danger_c = -22.0;
static const double deep_danger_c[SHELTER_KIND_END] = {
    [SHELTER_OPEN] = -13.0, [SHELTER_LEE] = -13.0, [SHELTER_HUT] = -10.0, [SHELTER_BARN] = -10.0
};

static double danger_under_c(const struct shelter *s)
{
    return s->floor == PIGLET_STRAW && s->straw_m >= deep_straw_m ? deep_danger_c[s->kind] : thin_danger_c;
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

static enum status in_danger(const struct cold_past *p, const struct nest nests[], size_t i, double danger_c,
                             enum cold_how how, const struct piglet *who, bool *danger, size_t *wholly,
                             struct message *why)
{
    struct piglet_air air[BIRTH_HOURS];
    struct piglet_result r;
    const size_t k = run_from(p, i);
    const double feels = now_share * nests[i].feels_c + (1.0 - now_share) * nests[k > 1 ? i + 1 : i].feels_c;

    if (how == COLD_QUICK && (feels > safe_c || feels < danger_c)) {
        *danger = feels < danger_c;
        return ST_OK;
    }
    const enum status st = piglet_run_brisk(NULL, who, nest_birth_air(k, nests + i, 0, air), air, &r, why);
    *danger = st == ST_OK && r.grade >= 2 && !r.too_hot;
    ++*wholly;
    return st;
}

enum status cold_of_shelter(const struct cold_past *p, const struct shelter *shelter, enum cold_how how,
                            struct arena *scratch, float danger[], float heat[], size_t *wholly, struct message *why)
{
    const struct piglet who = piglet_newborn();
    struct nest *nests = ARENA_NEW(scratch, struct nest, p->n);
    size_t ran = 0;

    enum status st = nests ? shelter_check(shelter, why)
                           : refuse(ST_NO_MEMORY, why, "", "too many hours of past years at once: %zu", p->n);
    if (st == ST_OK)
        st = nests_of(p, shelter, nests, why);
    for (size_t d = 0; d < p->n_days; d++)
        danger[d] = heat[d] = 0.0f;
    for (size_t i = 0; i < p->n && st == ST_OK; i++) {
        bool yes = false;
        st = in_danger(p, nests, i, danger_under_c(shelter), how, &who, &yes, &ran, why);
        danger[p->day[i]] += yes ? p->weight[i] : 0.0f;
        heat[p->day[i]] += nests[i].heat_grade >= 3 ? p->weight[i] : 0.0f;
    }
    for (size_t d = 0; d < p->n_days; d++) {
        const float known = p->known[d];
        danger[d] = known >= 0.75f ? danger[d] / known : NAN;
        heat[d] = known >= 0.75f ? heat[d] / known : NAN;
    }
    if (wholly)
        *wholly = ran;
    return st;
}
