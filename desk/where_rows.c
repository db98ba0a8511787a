/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/where_rows.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "desk/facing_words.h"
#include "desk/night_inside.h"
#include "desk/share.h"

enum { WHERE_KEPT = 12 };

struct where_key {
    double real[NIGHT_KEY + 4]; /* the shelter; latitude, longitude, comfort, spread */
    uint64_t hours[2];          /* digest of all hours in their order */
    size_t n;
    unsigned months;
    int standard_offset_s;
    bool night_only;
    enum where_without without;
};

struct where_kept { /* one hut in one weather */
    struct where_key key;
    uint64_t used; /* 0 = empty */
    bool whole;    /* all of `f`; else the rows that are there */
    bool there[FACING_BEARINGS];
    struct facing f;
};
struct where_rows {
    pthread_mutex_t lock;
    struct where_kept kept[WHERE_KEPT];
    uint64_t clock;
};

struct where_rows *where_rows_open(void)
{
    struct where_rows *known = calloc(1, sizeof *known);

    if (known && pthread_mutex_init(&known->lock, NULL) != 0) {
        free(known);
        return NULL;
    }
    return known;
}

void where_rows_close(struct where_rows *known)
{
    if (!known)
        return;
    (void)pthread_mutex_destroy(&known->lock);
    free(known);
}

/* ---- what a facing hangs on ---- */

void where_mix(uint64_t digest[static 2], uint64_t word)
{
    /* two running products by odd numbers without a pattern, each folded on itself */
    digest[0] = (digest[0] ^ word) * 0x9E3779B97F4A7C15u;
    digest[0] ^= digest[0] >> 29;
    digest[1] = (digest[1] + word) * 0xC2B2AE3D27D4EB4Fu;
    digest[1] ^= digest[1] >> 31;
}

void where_mix_real(uint64_t digest[static 2], double x)
{
    uint64_t word = 0;

    memcpy(&word, &x, sizeof word);
    where_mix(digest, word);
}

static void mix_hour(uint64_t digest[static 2], const struct hour *h)
{
    const double real[] = { h->temp_c,        h->dew_point_c, h->rh,       h->wind_mps,        h->gust_mps,
                            h->wind_from_deg, h->cloud_oktas, h->rain_mm,  h->snow_cm,         h->pressure_kpa,
                            h->ghi_w_m2,      h->dni_w_m2,    h->dhi_w_m2, h->rain_probability };

    where_mix(digest, (uint64_t)h->utc_s);
    for (size_t k = 0; k < COUNT(real); k++)
        where_mix_real(digest, real[k]);
    where_mix(digest, (uint64_t)h->filled << 32 | h->risk);
    where_mix(digest, (uint64_t)h->snow << 2 | (uint64_t)h->wind_variable << 1 | (uint64_t)h->rain_trace);
}

void where_digest(const struct facing_ask *ask, uint64_t digest[static 2])
{
    struct hour room[FACING_BLOCK];
    const struct hour *hours;

    digest[0] = 1;
    digest[1] = 2;
    for (size_t first = 0, n; (n = facing_hours(ask, first, room, &hours)) > 0; first += n)
        for (size_t i = 0; i < n; i++)
            mix_hour(digest, &hours[i]);
}

static struct where_key key_of(const struct facing_ask *ask, const uint64_t digest[static 2], const struct shelter *is,
                               enum where_without without)
{
    const struct night_option option = { .is = *is };
    struct where_key key = { .hours = { digest[0], digest[1] },
                             .n = ask->n,
                             .months = ask->months,
                             .standard_offset_s = ask->standard_offset_s,
                             .night_only = ask->night_only,
                             .without = without };

    night_key(&option, key.real);
    key.real[NIGHT_KEY] = ask->lat_deg;
    key.real[NIGHT_KEY + 1] = ask->lon_deg;
    key.real[NIGHT_KEY + 2] = ask->comfort_c;
    key.real[NIGHT_KEY + 3] = ask->spread_deg;
    return key;
}

static bool same(const struct where_key *a, const struct where_key *b)
{
    for (size_t i = 0; i < COUNT(a->real); i++)
        if (a->real[i] < b->real[i] || a->real[i] > b->real[i])
            return false;
    return a->hours[0] == b->hours[0] && a->hours[1] == b->hours[1] && a->n == b->n && a->months == b->months &&
           a->standard_offset_s == b->standard_offset_s && a->night_only == b->night_only && a->without == b->without;
}

static struct where_kept *find(struct where_rows *known, const struct where_key *key)
{
    for (size_t i = 0; i < WHERE_KEPT; i++)
        if (known->kept[i].used && same(&known->kept[i].key, key)) {
            known->kept[i].used = ++known->clock;
            return &known->kept[i];
        }
    return NULL;
}

/* Where it is kept, else the place of what was used longest ago. */
static struct where_kept *place_of(struct where_rows *known, const struct where_key *key)
{
    struct where_kept *place = find(known, key);

    if (place)
        return place;
    place = &known->kept[0];
    for (size_t i = 1; i < WHERE_KEPT; i++)
        if (known->kept[i].used < place->used)
            place = &known->kept[i];
    *place = (struct where_kept){ .key = *key, .used = ++known->clock };
    return place;
}

/* ---- reckoning ---- */

static enum status whole(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                         struct facing *f, struct message *why)
{
    const struct where_key key = key_of(ask, digest, ask->shelter, WHERE_WHOLE);
    struct where_kept *kept = find(known, &key);
    struct arena scratch;

    if (kept && kept->whole) {
        *f = kept->f;
        return ST_OK;
    }
    arena_open(&scratch, WHERE_SCRATCH);
    const enum status st = facing_find_on_two(ask, &scratch, NULL, f, why);
    arena_close(&scratch);
    if (st != ST_OK)
        return st;
    kept = place_of(known, &key);
    kept->whole = true;
    memset(kept->there, true, sizeof kept->there);
    kept->f = *f;
    return ST_OK;
}

static void take_away(struct hour *h, const void *by)
{
    const enum where_without *without = by;

    switch (*without) {
    case WHERE_WIND: h->wind_variable = true; break; /* as strong, from no side */
    case WHERE_RAIN: h->rain_mm = 0.0; break;
    case WHERE_SUN: h->ghi_w_m2 = h->dni_w_m2 = h->dhi_w_m2 = 0.0; break;
    case WHERE_WHOLE: break;
    }
}

struct share { /* one thread's: jobs first, first + THREADS, ... */
    const struct facing_ask *ask;
    struct where_job *job;
    size_t n, first;
    enum status st;
    struct message why;
};
enum { THREADS = 2 };

static enum status one_job(const struct facing_ask *site, struct where_job *job, struct message *why)
{
    struct facing_ask ask = *site;
    struct facing_prepared *prepared = NULL;
    struct arena scratch;

    ask.shelter = &job->is;
    arena_open(&scratch, WHERE_SCRATCH);
    ask.change = take_away;
    ask.by = &job->without;
    enum status st = facing_prepare(&ask, &scratch, &prepared, why);
    while (st == ST_OK && facing_next(prepared))
        for (size_t g = 0; g < FACING_BEARINGS; g++)
            if (job->reckon[g])
                facing_scan(prepared, g, g + 1);
    for (size_t g = 0; g < FACING_BEARINGS && st == ST_OK; g++)
        if (job->reckon[g])
            job->rows[g] = facing_row_of(prepared, g);
    arena_close(&scratch);
    return st;
}

static bool any(const bool is[FACING_BEARINGS])
{
    return memchr(is, true, FACING_BEARINGS) != NULL;
}

static void work(void *all, size_t thread)
{
    struct share *s = (struct share *)all + thread;

    for (size_t i = s->first; i < s->n && s->st == ST_OK; i += THREADS)
        if (any(s->job[i].reckon))
            s->st = one_job(s->ask, &s->job[i], &s->why);
}

static enum status some(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                        size_t n, struct where_job job[], struct message *why)
{
    struct share share[THREADS];

    for (size_t i = 0; i < n; i++) {
        const struct where_key key = key_of(ask, digest, &job[i].is, job[i].without);
        const struct where_kept *kept = find(known, &key);
        for (size_t g = 0; g < FACING_BEARINGS; g++) {
            const bool there = kept && kept->there[g];
            job[i].reckon[g] = job[i].wanted[g] && !there;
            if (there)
                job[i].rows[g] = kept->f.rows[g];
        }
    }
    for (size_t t = 0; t < THREADS; t++)
        share[t] = (struct share){ .ask = ask, .job = job, .n = n, .first = t };
    share_parts(NULL, work, share, THREADS);
    for (size_t t = 0; t < THREADS; t++)
        if (share[t].st != ST_OK) {
            *why = share[t].why;
            return share[t].st;
        }
    for (size_t i = 0; i < n; i++) {
        const struct where_key key = key_of(ask, digest, &job[i].is, job[i].without);
        struct where_kept *kept = any(job[i].reckon) ? place_of(known, &key) : NULL;
        for (size_t g = 0; kept && g < FACING_BEARINGS; g++)
            if (job[i].reckon[g]) {
                kept->f.rows[g] = job[i].rows[g];
                kept->there[g] = true;
            }
    }
    return ST_OK;
}

enum status where_whole(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                        struct facing *f, struct message *why)
{
    (void)pthread_mutex_lock(&known->lock);
    const enum status st = whole(known, ask, digest, f, why);
    (void)pthread_mutex_unlock(&known->lock);
    return st;
}

enum status where_some(struct where_rows *known, const struct facing_ask *ask, const uint64_t digest[static 2],
                       size_t n, struct where_job job[], struct message *why)
{
    (void)pthread_mutex_lock(&known->lock);
    const enum status st = some(known, ask, digest, n, job, why);
    (void)pthread_mutex_unlock(&known->lock);
    return st;
}
