/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/kept.h"

#include <stdlib.h>
#include <string.h>

struct shared *shared_new(struct MHD_Response *response)
{
    struct shared *shared = malloc(sizeof *shared);

    if (!shared)
        MHD_destroy_response(response);
    else
        *shared = (struct shared){ response, 1 };
    return shared;
}

void shared_let_go(struct shared *shared)
{
    if (!shared || --shared->holders > 0)
        return;
    MHD_destroy_response(shared->response);
    free(shared);
}

bool kept_same(const struct kept_key *a, const struct kept_key *b)
{
    return a->version == b->version && a->changed_ns == b->changed_ns && a->minute == b->minute &&
           a->changes == b->changes && a->generation == b->generation && strcmp(a->uri, b->uri) == 0;
}

static void drop(struct kept *kept, struct kept_row *row)
{
    if (!row->answer)
        return;
    shared_let_go(row->answer);
    free(row->uri);
    kept->bytes -= row->bytes;
    *row = (struct kept_row){ .uri = NULL };
}

struct shared *kept_find(struct kept *kept, const struct kept_key *key)
{
    for (size_t i = 0; i < KEPT_MOST; i++) {
        struct kept_row *row = &kept->row[i];
        if (!row->answer || !kept_same(&row->key, key))
            continue;
        row->used = ++kept->clock;
        return row->answer;
    }
    return NULL;
}

/* What is no longer true first, then what was not asked for longest. */
static struct kept_row *to_go(struct kept *kept, const struct kept_key *now)
{
    struct kept_row *oldest = NULL;

    for (size_t i = 0; i < KEPT_MOST; i++) {
        struct kept_row *row = &kept->row[i];
        if (!row->answer)
            continue;
        if (row->key.minute != now->minute || row->key.version != now->version ||
            row->key.changed_ns != now->changed_ns || row->key.changes != now->changes ||
            row->key.generation != now->generation)
            return row;
        if (!oldest || row->used < oldest->used)
            oldest = row;
    }
    return oldest;
}

static struct kept_row *empty(struct kept *kept)
{
    for (size_t i = 0; i < KEPT_MOST; i++)
        if (!kept->row[i].answer)
            return &kept->row[i];
    return NULL;
}

void kept_add(struct kept *kept, const struct kept_key *key, struct shared *answer, size_t bytes)
{
    const size_t n = strlen(key->uri) + 1;
    struct kept_row *row = NULL;

    if (bytes > KEPT_BYTES / 2 || kept_find(kept, key))
        return;
    while (!(row = empty(kept)) || kept->bytes + bytes > KEPT_BYTES)
        drop(kept, to_go(kept, key));
    char *uri = malloc(n);
    if (!uri)
        return;
    memcpy(uri, key->uri, n);
    *row = (struct kept_row){ .uri = uri, .key = *key, .answer = answer, .bytes = bytes, .used = ++kept->clock };
    row->key.uri = uri;
    kept->bytes += bytes;
    answer->holders++;
}

void kept_carry_key(struct kept_key *key, const struct kept_state *from, const struct kept_state *to)
{
    if (key->version != from->version || key->changed_ns != from->changed_ns)
        return;
    key->version = to->version;
    key->changed_ns = to->changed_ns;
}

void kept_carry(struct kept *kept, const struct kept_state *from, const struct kept_state *to)
{
    for (size_t i = 0; i < KEPT_MOST; i++)
        if (kept->row[i].answer)
            kept_carry_key(&kept->row[i].key, from, to);
}

void kept_clear(struct kept *kept)
{
    for (size_t i = 0; i < KEPT_MOST; i++)
        drop(kept, &kept->row[i]);
}
