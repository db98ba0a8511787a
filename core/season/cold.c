/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "core/season/cold.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/breeding/breeding.h"
#include "core/sun/sun.h"

enum {
    BIRTH_HOURS = 7,
    SHORT_HOURS = 2,
    WAITING = 256,
    STRETCH = 1024,
    NIGHT_FROM = 18,
    NIGHT_LONG = 12,
    NIGHT_LEAST = 9
};

/* f = 0.6 feels_c of the hour of birth + 0.4 of the next. Above safe_c nobody fell to grade 2, below danger_c all did,
 * over the hours, shelters and beds of docs/reckoning/season.md with room to spare; between, the whole balance is run. A
 * thin or bare bed feels colder than it does harm, so less is plain there. f sees two hours: where one of the five that
 * follow feels fall_k colder than both, nobody is plainly safe. Where none does, what two hours did not bring the other
 * four do not (least fall with which they did: 129 K, a wrong hour of wind). */
static const double now_share = 0.6, deep_straw_m = 0.15, fall_k = 15.0;

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

/* A new bed is laid from each noon on, and after a hole of more than a day. The end of the hours that lie on one. */
static size_t bed_to(const struct cold_past *p, size_t from)
{
    size_t to = from + 1;

    while (to < p->n && hour_of_day(p, to) != 12 && p->hours[to].utc_s - p->hours[to - 1].utc_s <= DAY_S)
        to++;
    return to;
}

static size_t longest_bed(const struct cold_past *p)
{
    size_t most = 0;

    for (size_t from = 0, to; from < p->n; from = to) {
        to = bed_to(p, from);
        most = to - from > most ? to - from : most;
    }
    return most;
}

/* Hours from i on that follow each other without a hole, at most BIRTH_HOURS. */
static size_t run_from(const struct cold_past *p, size_t i)
{
    size_t k = 1;

    while (k < BIRTH_HOURS && i + k < p->n && p->hours[i + k].utc_s - p->hours[i + k - 1].utc_s <= HOUR_S)
        k++;
    return k;
}

/* Births of one kind that want the balance of so many hours; they are reckoned side by side. */
struct waiting {
    size_t hours, n;
    struct turn {
        double feels_c;
        size_t hour, at; /* at: whose air */
    } turn[WAITING];
    struct piglet_air air[WAITING * BIRTH_HOURS];
};

struct births { /* what the hours of birth of one shelter share */
    const struct cold_past *p;
    struct nest *nests; /* a stretch of the hours only: from base to end */
    size_t base, end, room;
    bool *warm; /* of each hour: heat grade 3 or 4 */
    enum cold_how how;
    struct piglet who[2];      /* typical; runt */
    const struct lines *lines; /* of each */
    size_t n_who, wholly;
    struct waiting *brief, *full; /* two hours, all seven; of each */
    struct piglet_air *air;       /* room for those of one kind, in order */
    bool *danger[2];              /* of each, by hour of birth */
};

/* All its hours, by itself. */
static enum status follow(const struct piglet *who, enum cold_how how, size_t n, const struct piglet_air air[],
                          bool *danger, struct message *why)
{
    struct piglet_result r;

    if (how == COLD_QUICK)
        return piglet_run_danger(NULL, who, n, air, danger, why);
    const enum status st = piglet_run_brisk(NULL, who, n, air, &r, why);
    *danger = st == ST_OK && r.grade >= 2 && !r.too_hot;
    return st;
}

static int by_feels(const void *a, const void *b)
{
    const struct turn *x = a, *y = b;

    return x->feels_c != y->feels_c ? (x->feels_c > y->feels_c) - (x->feels_c < y->feels_c)
                                    : (x->hour > y->hour) - (x->hour < y->hour);
}

/* Those that wait, over their hours. The coldest first: neighbours then come to the same end at the same time. */
static enum status follow_waiting(struct births *b, size_t w, struct waiting *all, struct message *why)
{
    struct piglet who = b->who[w];
    bool danger[WAITING];

    who.hours = all->hours < BIRTH_HOURS ? (double)all->hours : who.hours;
    qsort(all->turn, all->n, sizeof *all->turn, by_feels);
    for (size_t i = 0; i < all->n; i++)
        memcpy(b->air + i * all->hours, all->air + all->turn[i].at * all->hours, all->hours * sizeof *b->air);
    const enum status st = piglet_run_danger_many(NULL, &who, all->n, all->hours, b->air, danger, why);
    for (size_t i = 0; st == ST_OK && i < all->n; i++)
        b->danger[w][all->turn[i].hour] = danger[i];
    all->n = 0;
    return st;
}

/* In the k hours from here on: does it turn far colder than in the first two, or too hot for the balance? */
static bool turns(const struct nest here[], size_t k)
{
    const double first_c = fmin(here[0].feels_c, here[k > 1 ? 1 : 0].feels_c);

    for (size_t h = 2; h < k; h++)
        if (!(here[h].feels_c > first_c - fall_k) || here[h].too_hot_for_piglet_model)
            return true;
    return false;
}

static enum status wait(struct births *b, size_t w, struct waiting *all, size_t i, double feels_c, struct message *why)
{
    for (size_t h = 0; h < all->hours; h++)
        all->air[all->n * all->hours + h] = b->nests[i + h - b->base].air;
    all->turn[all->n] = (struct turn){ feels_c, i, all->n };
    all->n++;
    return all->n == WAITING ? follow_waiting(b, w, all, why) : ST_OK;
}

/* Of a birth in hour i: known at once, or it waits. */
static enum status born(struct births *b, size_t i, struct message *why)
{
    struct piglet_air air[BIRTH_HOURS];
    const size_t k = run_from(b->p, i);
    const struct nest *now = &b->nests[i - b->base], *next = k > 1 ? now + 1 : now;
    const double feels = now_share * now->feels_c + (1.0 - now_share) * next->feels_c;
    const bool quick = b->how == COLD_QUICK, brief = quick && !turns(now, k);
    enum status st = ST_OK;

    for (size_t w = 0; w < b->n_who && st == ST_OK; w++) {
        struct piglet who = b->who[w];
        struct waiting *all = brief ? &b->brief[w] : &b->full[w];
        b->danger[w][i] = feels < b->lines[w].danger_c;
        if (quick && (b->danger[w][i] || (feels > b->lines[w].safe_c && brief)))
            continue;
        b->wholly++;
        if (quick && k >= all->hours) {
            st = wait(b, w, all, i, feels, why);
            continue;
        }
        const size_t n_air = nest_birth_air(k, now, 0, air);
        who.hours = brief ? SHORT_HOURS : who.hours;
        st = follow(&who, b->how, n_air, air, &b->danger[w][i], why);
    }
    return st;
}

static void share_of_known(const struct cold_past *p, float daily[])
{
    for (size_t d = 0; d < p->n_days; d++)
        daily[d] = p->known[d] >= 0.75f ? daily[d] / p->known[d] : NAN;
}

static enum status births_open(const struct cold_past *p, size_t n_who, struct arena *scratch, struct births *b,
                               struct message *why)
{
    const size_t room = STRETCH + BIRTH_HOURS + longest_bed(p);

    *b = (struct births){ .p = p,
                          .nests = ARENA_NEW(scratch, struct nest, room),
                          .room = room,
                          .air = ARENA_NEW(scratch, struct piglet_air, WAITING * BIRTH_HOURS),
                          .warm = ARENA_NEW(scratch, bool, p->n),
                          .who = { piglet_newborn(), piglet_newborn() },
                          .n_who = n_who,
                          .brief = ARENA_NEW(scratch, struct waiting, n_who),
                          .full = ARENA_NEW(scratch, struct waiting, n_who) };
    b->who[1].mass_kg = COLD_RUNT_KG;
    bool there = b->nests && b->air && b->warm && b->brief && b->full;
    for (size_t w = 0; w < n_who; w++) {
        b->danger[w] = ARENA_NEW(scratch, bool, p->n);
        there = there && b->danger[w];
        if (!there)
            break;
        b->brief[w].hours = SHORT_HOURS;
        b->full[w].hours = BIRTH_HOURS;
    }
    return there ? ST_OK : refuse(ST_NO_MEMORY, why, "", "too many hours of past years at once: %zu", p->n);
}

/* The nests from hour i on, as many as there is room for; those of hours from i on that are there already stay. */
static enum status nests_from(struct births *b, const struct shelter *s, size_t i, struct message *why)
{
    const struct cold_past *p = b->p;
    enum status st = ST_OK;

    memmove(b->nests, b->nests + (i - b->base), (b->end - i) * sizeof *b->nests);
    b->base = i;
    while (b->end < p->n && st == ST_OK) {
        const size_t to = bed_to(p, b->end), n = to - b->end;
        struct nest *here = b->nests + (b->end - b->base);
        struct nest_bed bed = { 0.0, 0.0 };
        if (to - b->base > b->room)
            break;
        st = nest_hours(NULL, s, p->site.place, p->site.inside, n, p->hours + b->end, p->sun + b->end, p->feels, &bed,
                        here, why);
        for (size_t h = 0; h < n && st == ST_OK; h++)
            b->warm[b->end + h] = here[h].heat_grade >= 3;
        b->end = to;
    }
    return st;
}

static void share_out(const struct births *b, const struct cold_daily *out)
{
    const struct cold_past *p = b->p;
    float *const daily[] = { out->danger, out->heat, out->runt };

    for (size_t k = 0; k < 1 + b->n_who; k++)
        memset(daily[k], 0, p->n_days * sizeof *daily[k]);
    for (size_t i = 0; i < p->n; i++) {
        out->danger[p->day[i]] += b->danger[0][i] ? p->weight[i] : 0.0f;
        if (out->runt)
            out->runt[p->day[i]] += b->danger[1][i] ? p->weight[i] : 0.0f;
        out->heat[p->day[i]] += b->warm[i] ? p->weight[i] : 0.0f;
    }
    for (size_t k = 0; k < 1 + b->n_who; k++)
        share_of_known(p, daily[k]);
}

enum status cold_of_shelter(const struct cold_past *p, const struct shelter *shelter, enum cold_how how,
                            struct arena *scratch, const struct cold_daily *out, size_t *wholly, struct message *why)
{
    struct births b;
    enum status st = births_open(p, out->runt ? 2 : 1, scratch, &b, why);

    if (st == ST_OK)
        st = shelter_check(shelter, why);
    b.how = how;
    b.lines = lines_of(shelter);
    for (size_t i = 0; i < p->n && st == ST_OK;) {
        st = nests_from(&b, shelter, i, why);
        for (; i < p->n && (i + BIRTH_HOURS <= b.end || b.end == p->n) && st == ST_OK; i++)
            st = born(&b, i, why);
    }
    for (size_t w = 0; w < b.n_who && st == ST_OK; w++) {
        st = follow_waiting(&b, w, &b.brief[w], why);
        st = st == ST_OK ? follow_waiting(&b, w, &b.full[w], why) : st;
    }
    if (st == ST_OK)
        share_out(&b, out);
    if (wholly)
        *wholly = b.wholly;
    return st;
}
