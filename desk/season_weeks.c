/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What every Monday of the coming year would bring, and the best of them. Two threads share the weeks. */
#include <math.h>

#include "core/base/civil.h"
#include "desk/memory.h"
#include "desk/season_inside.h"
#include "desk/season_kept.h"
#include "desk/share.h"

enum { CURVE_WINTERS = 1000, PARTS = 2 };

struct job {
    const struct season *s;
    int64_t first, stay;
    struct season_try *week; /* SEASON_WEEKS */
    enum status st[PARTS];
    struct message why[PARTS];
};

static void some_weeks(void *of, size_t part)
{
    struct job *j = of;

    j->st[part] = ST_OK;
    for (size_t w = part; w < SEASON_WEEKS && j->st[part] == ST_OK; w += PARTS) {
        const int64_t in = j->first + 7 * (int64_t)w;
        struct arena mem;
        arena_open(&mem, (size_t)512 << 20);
        j->st[part] = season_reckon(j->s, in, in + j->stay, CURVE_WINTERS, &mem, &j->week[w], &j->why[part]);
        arena_close(&mem);
        j->week[w].exact.count = j->week[w].exact.ready = NULL; /* closed with the arena */
        j->week[w].exact.day = NULL;
    }
}

static enum status reckon_weeks(struct job *j, struct message *why)
{
    share_parts(NULL, some_weeks, j, PARTS);
    for (size_t i = 0; i < PARTS; i++)
        if (j->st[i] != ST_OK) {
            *why = j->why[i];
            return j->st[i];
        }
    return ST_OK;
}

/* A week whose cold is not known is not set beside those whose cold is, as long as there are such. */
static bool better(const struct season_try *t, double worth, bool known)
{
    const bool this_known = !isnan(t->exact.danger);

    return this_known != known ? this_known : t->winters.worth.mean > worth;
}

enum status season_weeks(struct season *s, int64_t stay, struct answer *list, int64_t *best_in, struct message *why)
{
    struct season_kept *kept = desk_memory_season(s->q->memory);
    struct job j = { .s = s, .first = s->today + 7 - (int64_t)civil_weekday(s->today), .stay = stay };
    enum status st = ST_OK;
    double best = -INFINITY;
    bool known = false;

    j.week = season_kept_weeks(kept, s->q);
    if (!j.week) {
        j.week = kept ? season_kept_new_weeks(kept) : ARENA_NEW(s->q->mem, struct season_try, SEASON_WEEKS);
        if (!j.week)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        st = reckon_weeks(&j, why);
        if (st == ST_OK && kept)
            season_kept_weeks_are(kept, s->q);
    }
    for (size_t w = 0; w < SEASON_WEEKS && st == ST_OK; w++) {
        season_say_try(s, &j.week[w], answer_item(list));
        if (better(&j.week[w], best, known)) {
            best = j.week[w].winters.worth.mean;
            known = !isnan(j.week[w].exact.danger);
            *best_in = j.week[w].boar_in;
        }
    }
    return st;
}
