/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/season_kept.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "farm/farm.h"

enum { ROOM = 64 << 20, TYPED_LONG = 2048, SLACK_S = 300 };

struct season_kept {
    struct arena cold_mem; /* of the arrays of `cold` */
    bool cold_is;
    struct season_cold_table cold;

    bool moment_is;
    int64_t at_utc_s, number, known_to;

    struct season_births *births;

    bool weeks_are;
    char weeks_typed[TYPED_LONG];
    struct season_try week[SEASON_WEEKS];
};

struct season_kept *season_kept_open(void)
{
    struct season_kept *k = calloc(1, sizeof *k);

    if (k) {
        arena_open(&k->cold_mem, ROOM);
        k->births = season_births_open(); /* without: each reckoned anew */
    }
    return k;
}

void season_kept_close(struct season_kept *k)
{
    if (!k)
        return;
    arena_close(&k->cold_mem);
    season_births_close(k->births);
    free(k);
}

const struct season_cold_table *season_kept_cold(const struct season_kept *k, const double key[SEASON_COLD_KEY],
                                                 int64_t at_utc_s)
{
    if (!k || !k->cold_is || at_utc_s < k->cold.from_utc_s || at_utc_s >= k->cold.to_utc_s)
        return NULL;
    for (size_t i = 0; i < SEASON_COLD_KEY; i++)
        if (k->cold.key[i] < key[i] || k->cold.key[i] > key[i])
            return NULL;
    return &k->cold;
}

struct season_cold_table *season_kept_new_cold(struct season_kept *k, struct arena **mem)
{
    k->cold_is = false;
    arena_close(&k->cold_mem);
    arena_open(&k->cold_mem, ROOM);
    *mem = &k->cold_mem;
    return &k->cold;
}

void season_kept_cold_is(struct season_kept *k)
{
    k->cold_is = true;
}

/* ---- the moment ---- */

enum status season_kept_moment(struct season_kept *k, const struct asked *q, int64_t *at_utc_s, struct message *why)
{
    int64_t number = 0;

    *at_utc_s = q->at_utc_s;
    if (!k)
        return ST_OK;
    const enum status st = farm_number(q->farm, &number, why);
    const int64_t since_s = q->at_utc_s - k->at_utc_s;
    const bool same_moment = q->at_typed ? since_s == 0 : since_s >= 0 && since_s < SLACK_S;
    if (st != ST_OK)
        return st;
    if (!k->moment_is || !same_moment || k->number != number || k->known_to != q->known_to) {
        k->moment_is = true;
        k->at_utc_s = q->at_utc_s;
        k->number = number;
        k->known_to = q->known_to;
        k->weeks_are = false;
        season_births_forget(k->births);
    }
    *at_utc_s = k->at_utc_s;
    return ST_OK;
}

struct season_births *season_kept_births(struct season_kept *k)
{
    return k ? k->births : NULL;
}

/* ---- what every Monday brings ---- */

/* Does the curve read it? Several runs keep their distance from the first, so their days are read. */
static bool weeks_read(const struct asked *q, size_t param)
{
    return param != SEASON_AT && param != SEASON_WINTERS && param != SEASON_BOAR_OUT && param != SEASON_CHOOSE &&
           (param != SEASON_BOAR_IN || q->given[param].n > 1);
}

/* All that was typed and is read, each value behind its parameter's number. False: too long to be kept. */
static bool typed_text(const struct asked *q, char text[TYPED_LONG])
{
    size_t at = 0;

    for (size_t i = 0; i < q->question->n_params; i++)
        for (size_t k = 0; weeks_read(q, i) && q->given[i].typed && k < q->given[i].n; k++) {
            const int n = snprintf(text + at, TYPED_LONG - at, "%zu=%s\n", i, q->given[i].text[k]);
            if (n < 0 || (size_t)n >= TYPED_LONG - at)
                return false;
            at += (size_t)n;
        }
    text[at] = 0;
    return true;
}

struct season_try *season_kept_weeks(struct season_kept *k, const struct asked *q)
{
    char text[TYPED_LONG];

    return k && k->weeks_are && typed_text(q, text) && strcmp(text, k->weeks_typed) == 0 ? k->week : NULL;
}

struct season_try *season_kept_new_weeks(struct season_kept *k)
{
    k->weeks_are = false;
    return k->week;
}

void season_kept_weeks_are(struct season_kept *k, const struct asked *q)
{
    k->weeks_are = typed_text(q, k->weeks_typed);
}
