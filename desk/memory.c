/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/memory.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "desk/night_inside.h"
#include "desk/night_kept.h"
#include "desk/where_rows.h"
#include "desk/season_kept.h"

enum { KEPT = 48, MOST_HOURS = 256, SLACK_S = 300 };

struct kept { /* one shelter tried, with all its hours; allocated with the memory's arena */
    double key[NIGHT_KEY];
    bool is;
    struct night_option option;
};

struct desk_memory {
    struct arena mem; /* of all below; closed when the key no longer holds */
    bool holds;
    int64_t number, at_utc_s, known_to_asked;
    size_t n_hours;
    bool seen_now;
    struct herd herd;
    struct coming coming;
    struct night base;
    struct kept kept[KEPT];
    size_t next;
    struct season_kept *season; /* holds by a key of its own */
    struct where_rows *rows;    /* likewise */
    bool shared;                /* the rows are another's */
    struct night_kept *cells;   /* likewise */
    bool cells_shared;
};

struct desk_memory *desk_memory_open(void)
{
    struct desk_memory *m = calloc(1, sizeof *m);
    if (m)
        arena_open(&m->mem, (size_t)256 << 20);
    return m;
}

void desk_memory_close(struct desk_memory *m)
{
    if (!m)
        return;
    arena_close(&m->mem);
    season_kept_close(m->season);
    if (!m->shared)
        where_rows_close(m->rows);
    if (!m->cells_shared)
        night_kept_close(m->cells);
    free(m);
}

struct where_rows *desk_memory_rows(struct desk_memory *m)
{
    if (m && !m->rows)
        m->rows = where_rows_open();
    return m ? m->rows : NULL;
}

struct night_kept *desk_memory_cells(struct desk_memory *m)
{
    if (m && !m->cells)
        m->cells = night_kept_open();
    return m ? m->cells : NULL;
}

void desk_memory_share(struct desk_memory *m, struct where_rows *rows, struct night_kept *cells)
{
    if (m && rows) {
        m->rows = rows;
        m->shared = true;
    }
    if (m && cells) {
        m->cells = cells;
        m->cells_shared = true;
    }
}

struct season_kept *desk_memory_season(struct desk_memory *m)
{
    if (m && !m->season)
        m->season = season_kept_open();
    return m ? m->season : NULL;
}

static enum status make(const struct asked *q, size_t n_hours, bool seen_now, struct arena *mem, struct herd *herd,
                        struct coming *coming, struct night *night, struct message *why)
{
    const struct night_ask ask = { .n_hours = n_hours, .seen_now = seen_now };

    enum status st = herd_fold(q->farm, q->at_utc_s, q->known_to, mem, herd, why);
    if (st == ST_OK)
        st = coming_read(q->farm, &herd->place, herd->zone, q->at_utc_s, herd->known_to, 48, n_hours + 6, mem, coming,
                         why);
    return st == ST_OK ? night_base(herd, coming, &ask, mem, night, why) : st;
}

static bool still_holds(const struct desk_memory *m, const struct asked *q, int64_t number, size_t n_hours,
                        bool seen_now)
{
    const int64_t since_s = q->at_utc_s - m->at_utc_s;
    const bool same_moment = q->at_typed ? since_s == 0 : since_s >= 0 && since_s < SLACK_S;

    return m->holds && same_moment && m->number == number && m->known_to_asked == q->known_to &&
           m->n_hours == n_hours && m->seen_now == seen_now;
}

enum status desk_memory_night(const struct asked *q, size_t n_hours, bool seen_now, struct night *night,
                              struct message *why)
{
    struct desk_memory *m = q->memory;
    int64_t number = 0;

    if (!m) {
        struct herd *herd = ARENA_NEW(q->mem, struct herd, 1);
        struct coming *coming = ARENA_NEW(q->mem, struct coming, 1);
        return herd && coming ? make(q, n_hours, seen_now, q->mem, herd, coming, night, why)
                              : refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    enum status st = farm_number(q->farm, &number, why);
    if (st != ST_OK)
        return st;
    if (!still_holds(m, q, number, n_hours, seen_now)) {
        arena_close(&m->mem);
        *m = (struct desk_memory){ .number = number,
                                   .at_utc_s = q->at_utc_s,
                                   .known_to_asked = q->known_to,
                                   .n_hours = n_hours,
                                   .seen_now = seen_now,
                                   .season = m->season,
                                   .rows = m->rows,
                                   .shared = m->shared,
                                   .cells = m->cells,
                                   .cells_shared = m->cells_shared };
        arena_open(&m->mem, (size_t)256 << 20);
        st = make(q, n_hours, seen_now, &m->mem, &m->herd, &m->coming, &m->base, why);
        m->holds = st == ST_OK;
    }
    if (st == ST_OK) {
        *night = m->base;
        night->mem = q->mem; /* what is added to the copy is the question's own */
        night->assumed = ARENA_NEW(q->mem, const char *, NIGHT_ASSUMED);
        if (!night->assumed)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        memcpy(night->assumed, m->base.assumed, m->base.n_assumed * sizeof *night->assumed);
    }
    return st;
}

/* ---- shelters tried ---- */

static const struct kept *find(const struct desk_memory *m, const double key[NIGHT_KEY])
{
    for (size_t i = 0; m && i < KEPT; i++)
        if (m->kept[i].is && night_same_key(m->kept[i].key, key))
            return &m->kept[i];
    return NULL;
}

/* Into the oldest place; its arrays are written over, so the memory does not grow. */
static void keep(struct desk_memory *m, const double key[NIGHT_KEY], const struct night *n,
                 const struct night_option *o)
{
    struct kept *k = &m->kept[m->next];
    const size_t cells = n->watch.n_members * n->n_hours, hours = n->n_hours;

    if (!k->option.cells) {
        k->option.cells = ARENA_NEW(&m->mem, struct watch_cell, cells);
        k->option.feels_c = ARENA_NEW(&m->mem, double, hours);
        k->option.nest_c = ARENA_NEW(&m->mem, double, hours);
        k->option.draught_mps = ARENA_NEW(&m->mem, double, hours);
        k->option.min_c = ARENA_NEW(&m->mem, double, hours);
    }
    k->is = k->option.cells && k->option.feels_c && k->option.nest_c && k->option.draught_mps && k->option.min_c;
    if (!k->is)
        return; /* not kept: it is reckoned again next time */
    memcpy(k->option.cells, o->cells, cells * sizeof *o->cells);
    memcpy(k->option.feels_c, o->feels_c, hours * sizeof *o->feels_c);
    memcpy(k->option.nest_c, o->nest_c, hours * sizeof *o->nest_c);
    memcpy(k->option.draught_mps, o->draught_mps, hours * sizeof *o->draught_mps);
    memcpy(k->option.min_c, o->min_c, hours * sizeof *o->min_c);
    memcpy(k->key, key, sizeof k->key);
    m->next = (m->next + 1) % KEPT;
}

enum status desk_memory_shelters(const struct asked *q, struct night *night, size_t n, const struct shelter is[],
                                 struct message *why)
{
    struct night_option *options = ARENA_NEW(q->mem, struct night_option, n + 1);
    struct night fresh = *night;
    size_t *from = ARENA_NEW(q->mem, size_t, n + 1);
    double(*key)[NIGHT_KEY] = arena_get(q->mem, n + 1, sizeof *key);

    if (!options || !from || !key)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    fresh.options = ARENA_NEW(q->mem, struct night_option, n + 1);
    fresh.n_options = 0;
    if (!fresh.options)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n; i++) {
        options[i] = (struct night_option){ .site = i, .is = is[i] };
        night_key(&options[i], key[i]);
        const struct kept *k = find(q->memory, key[i]);
        from[i] = n;
        if (k) {
            options[i] = k->option;
            options[i].site = i;
            options[i].is = is[i];
            continue;
        }
        from[i] = fresh.n_options;
        fresh.options[fresh.n_options++] = options[i];
    }
    const enum status st = fresh.n_options ? night_cells_of_all(&fresh, why) : ST_OK;
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n; i++)
        if (from[i] < n) {
            options[i] = fresh.options[from[i]];
            options[i].pairs = NULL; /* done with */
            if (q->memory)
                keep(q->memory, key[i], night, &options[i]);
        }
    night->options = options;
    night->n_options = n;
    night->nest_assumed |= fresh.nest_assumed;
    return ST_OK;
}
