/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/night_kept.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "desk/where_rows.h"

enum { WORLDS = 2, ENTRIES = 512, ROOM = 4 << 20, KEY_STRAW_AGE = 22 };

struct entry { /* one shelter; its arrays are the world's */
    double key[NIGHT_KEY];
    unsigned assumed;
    struct watch_cell *cells;               /* n_hours of a sketch, n_members x n_hours of the whole */
    double *feels_c, *nest_c, *draught_mps; /* of the whole alone */
    double *min_c;
};
struct world { /* everything but the shelter is the same */
    struct arena mem;
    uint64_t digest[2];
    uint64_t used; /* 0 = empty */
    size_t n_sketches, n_wholes;
    struct entry sketch[ENTRIES], whole[ENTRIES];
};
struct night_kept {
    pthread_mutex_t lock;
    uint64_t clock;
    struct world *world[WORLDS]; /* NULL until needed */
};

struct night_kept *night_kept_open(void)
{
    struct night_kept *k = calloc(1, sizeof *k);

    if (k && pthread_mutex_init(&k->lock, NULL) != 0) {
        free(k);
        return NULL;
    }
    return k;
}

void night_kept_close(struct night_kept *k)
{
    if (!k)
        return;
    for (size_t i = 0; i < WORLDS; i++)
        if (k->world[i]) {
            arena_close(&k->world[i]->mem);
            free(k->world[i]);
        }
    (void)pthread_mutex_destroy(&k->lock);
    free(k);
}

/* ---- what cells hang on ---- */

void night_kept_world(struct night *n)
{
    const struct coming *c = n->coming;
    const size_t run = c->n_before + c->n_hours;
    const struct facing_ask hours = { .hours = c->member, .n = run * n->watch.n_members };
    const struct piglet *p = &n->typical;
    const double who[] = { n->inside.sow_kg,
                           n->inside.milk_kg_d,
                           n->inside.piglets,
                           n->inside.piglet_kg,
                           n->runt_kg,
                           p->mass_kg,
                           p->wet,
                           p->suckles,
                           p->milk_at_once,
                           p->alone_min,
                           p->mates,
                           p->mates_per_h,
                           p->mates_most,
                           p->at_udder,
                           p->body_c,
                           p->age_h,
                           p->hours,
                           p->rub_per_h };

    if (!n->kept)
        return;
    where_digest(&hours, n->world);
    where_mix(n->world, c->n_before);
    where_mix(n->world, c->n_hours);
    where_mix(n->world, n->n_hours);
    where_mix(n->world, n->watch.n_members);
    for (size_t i = 0; i < COUNT(who); i++)
        where_mix_real(n->world, who[i]);
    for (size_t i = 0; i < run; i++) {
        const struct nest_sun *s = &c->sun[i];
        const double sun[] = { s->azimuth_deg, s->elevation_deg, s->ghi_w_m2, s->dni_w_m2, s->dhi_w_m2, s->top_w_m2 };
        for (size_t j = 0; j < COUNT(sun); j++)
            where_mix_real(n->world, sun[j]);
    }
}

/* The age of straw goes on by the second; what it does is to count as damp from a certain day on (nest/bed.c). */
static void key_of(const struct night_option *o, double key[NIGHT_KEY])
{
    night_key(o, key);
    key[KEY_STRAW_AGE] = o->is.straw_age_d > nest_published.straw_damp_after_d;
}

/* ---- finding ---- */

static struct world *world_of(struct night_kept *k, const uint64_t digest[static 2])
{
    for (size_t i = 0; i < WORLDS; i++)
        if (k->world[i] && k->world[i]->used && k->world[i]->digest[0] == digest[0] &&
            k->world[i]->digest[1] == digest[1]) {
            k->world[i]->used = ++k->clock;
            return k->world[i];
        }
    return NULL;
}

static void begin(struct world *w, const uint64_t digest[static 2], uint64_t clock)
{
    arena_close(&w->mem);
    arena_open(&w->mem, ROOM);
    w->digest[0] = digest[0];
    w->digest[1] = digest[1];
    w->used = clock;
    w->n_sketches = w->n_wholes = 0;
}

/* The world of that digest, else in the place of the one used longest ago; NULL: out of memory. */
static struct world *world_for(struct night_kept *k, const uint64_t digest[static 2])
{
    struct world *w = world_of(k, digest);
    size_t oldest = 0;

    if (w)
        return w;
    for (size_t i = 0; i < WORLDS; i++) {
        if (!k->world[i]) {
            k->world[i] = calloc(1, sizeof *k->world[i]);
            if (!k->world[i])
                return NULL;
        }
        if (k->world[i]->used < k->world[oldest]->used)
            oldest = i;
    }
    begin(k->world[oldest], digest, ++k->clock);
    return k->world[oldest];
}

static struct entry *find(struct entry list[], size_t n, const struct night_option *o)
{
    double key[NIGHT_KEY];

    key_of(o, key);
    for (size_t i = 0; i < n; i++)
        if (night_same_key(list[i].key, key))
            return &list[i];
    return NULL;
}

static size_t n_cells(const struct night *n, bool whole)
{
    return (whole ? n->watch.n_members : 1) * n->n_hours;
}

/* A place for it, with its arrays; NULL: it is there already, or there is no memory. One too many: all begins anew. */
static struct entry *place_for(struct world *w, bool whole, const struct night *n, const struct night_option *o)
{
    if (find(whole ? w->whole : w->sketch, whole ? w->n_wholes : w->n_sketches, o))
        return NULL;
    if ((whole ? w->n_wholes : w->n_sketches) == ENTRIES || arena_full(&w->mem))
        begin(w, w->digest, w->used);
    struct entry *e = whole ? &w->whole[w->n_wholes] : &w->sketch[w->n_sketches];
    *e = (struct entry){ .cells = ARENA_NEW(&w->mem, struct watch_cell, n_cells(n, whole)) };
    if (whole) {
        e->feels_c = ARENA_NEW(&w->mem, double, n->n_hours);
        e->nest_c = ARENA_NEW(&w->mem, double, n->n_hours);
        e->draught_mps = ARENA_NEW(&w->mem, double, n->n_hours);
        e->min_c = ARENA_NEW(&w->mem, double, n->n_hours);
    }
    if (arena_full(&w->mem))
        return NULL;
    key_of(o, e->key);
    w->n_wholes += whole;
    w->n_sketches += !whole;
    return e;
}

/* ---- for night_cells.c ---- */

static bool take(const struct night *n, bool whole, struct night_option *o, unsigned *assumed)
{
    const size_t bytes = n->n_hours * sizeof(double);
    const struct entry *e = NULL;

    if (!n->kept)
        return false;
    (void)pthread_mutex_lock(&n->kept->lock);
    struct world *w = world_of(n->kept, n->world);
    if (w)
        e = find(whole ? w->whole : w->sketch, whole ? w->n_wholes : w->n_sketches, o);
    if (e) {
        memcpy(o->cells, e->cells, n_cells(n, whole) * sizeof *o->cells);
        *assumed |= e->assumed;
    }
    if (e && whole) {
        memcpy(o->feels_c, e->feels_c, bytes);
        memcpy(o->nest_c, e->nest_c, bytes);
        memcpy(o->draught_mps, e->draught_mps, bytes);
        memcpy(o->min_c, e->min_c, bytes);
    }
    (void)pthread_mutex_unlock(&n->kept->lock);
    return e != NULL;
}

static void keep(const struct night *n, bool whole, const struct night_option *o, unsigned assumed)
{
    const size_t bytes = n->n_hours * sizeof(double);

    if (!n->kept)
        return;
    (void)pthread_mutex_lock(&n->kept->lock);
    struct world *w = world_for(n->kept, n->world);
    struct entry *e = w ? place_for(w, whole, n, o) : NULL;
    if (e) {
        memcpy(e->cells, o->cells, n_cells(n, whole) * sizeof *o->cells);
        e->assumed = assumed;
    }
    if (e && whole) {
        memcpy(e->feels_c, o->feels_c, bytes);
        memcpy(e->nest_c, o->nest_c, bytes);
        memcpy(e->draught_mps, o->draught_mps, bytes);
        memcpy(e->min_c, o->min_c, bytes);
    }
    (void)pthread_mutex_unlock(&n->kept->lock);
}

bool night_kept_sketch(const struct night *n, struct night_option *o, unsigned *assumed)
{
    return take(n, false, o, assumed);
}

void night_kept_sketch_is(const struct night *n, const struct night_option *o, unsigned assumed)
{
    keep(n, false, o, assumed);
}

bool night_kept_whole(const struct night *n, struct night_option *o, unsigned *assumed)
{
    return take(n, true, o, assumed);
}

void night_kept_whole_is(const struct night *n, const struct night_option *o, unsigned assumed)
{
    keep(n, true, o, assumed);
}
