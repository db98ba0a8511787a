/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Several facts at once. They may refer to each other in any order: one whose reference is not there yet waits for the
 * next pass, until a pass brings nothing more.
 */
#include <stdio.h>
#include <string.h>

#include "farm/own.h"

struct batch {
    struct farm *farm;
    enum farm_batch_how how;
    const struct farm_meta *meta;
    const char *uid;
    struct farm_item *item;
    size_t n;
    bool *done; /* recorded, or refused for good */
    struct arena *mem;
};

static void fill_meta(const struct batch *b, struct farm_item *item)
{
    item->meta.batch = b->uid;
    if (!item->meta.who)
        item->meta.who = b->meta->who;
    if (!item->meta.device)
        item->meta.device = b->meta->device;
    if (!item->meta.recorded_utc_s)
        item->meta.recorded_utc_s = b->meta->recorded_utc_s;
    if (!item->meta.uid) {
        farm_new_uid(item->outcome.uid);
        item->meta.uid = arena_text(b->mem, item->outcome.uid);
    }
}

/* One item inside its own savepoint: refused, it leaves nothing behind. *broken: the machine failed, not the item. */
static bool put_one(struct batch *b, struct farm_item *item, enum status *broken, struct message *why)
{
    item->why = (struct message){ "", "" };
    *broken = farm_do(b->farm, "SAVEPOINT item", why);
    if (*broken != ST_OK)
        return false;
    item->status = farm_put(b->farm, item->kind, item->values, &item->meta, b->uid, b->mem, &item->outcome, &item->why);
    if (item->status == ST_OK) {
        *broken = farm_do(b->farm, "RELEASE item", why);
        return true;
    }
    if (item->status == ST_BUSY || item->status == ST_IO || item->status == ST_NO_MEMORY) {
        *why = item->why;
        *broken = item->status;
        return false;
    }
    *broken = farm_do(b->farm, "ROLLBACK TO item", why);
    if (*broken == ST_OK)
        *broken = farm_do(b->farm, "RELEASE item", why);
    return false;
}

/* What is referred to first, until nothing more goes in. */
static enum status passes(struct batch *b, struct message *why)
{
    const size_t *order = farm_batch_order(b->n, b->item, b->done, b->mem);
    bool progress = true;

    if (!order)
        return refuse(ST_NO_MEMORY, why, "", "too many facts at once");
    while (progress) {
        progress = false;
        for (size_t k = 0; k < b->n && order[k] != SIZE_MAX; k++) {
            const size_t i = order[k];
            enum status broken = ST_OK;
            if (b->done[i])
                continue;
            const bool in = put_one(b, &b->item[i], &broken, why);
            if (broken != ST_OK)
                return broken;
            progress = progress || in;
            b->done[i] = in || b->item[i].status != ST_NOT_FOUND;
        }
    }
    return ST_OK;
}

static size_t count_good(const struct batch *b)
{
    size_t good = 0;

    for (size_t i = 0; i < b->n; i++)
        good += b->item[i].status == ST_OK;
    return good;
}

static enum status first_bad(const struct batch *b, struct message *why)
{
    for (size_t i = 0; i < b->n; i++) {
        const struct farm_item *item = &b->item[i];
        if (item->status == ST_OK)
            continue;
        if (item->line && !item->told)
            return refuse(item->status, why, item->why.field, "%s%s%s %zu, %s", item->file ? item->file : "",
                          item->file ? ", " : "", item->body ? "record" : "line", item->line, item->why.text);
        *why = item->why;
        return item->status;
    }
    return ST_OK;
}

static enum status in_one(struct batch *b, size_t *n_good, struct message *why)
{
    enum status st = farm_begin(b->farm, why);

    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < b->n; i++) {
        b->done[i] = b->item[i].status != ST_OK;
        if (!b->done[i])
            fill_meta(b, &b->item[i]);
    }
    st = passes(b, why);
    if (st != ST_OK)
        return farm_end(b->farm, st, why);
    *n_good = count_good(b);
    if (b->how != FARM_KEEP_GOOD && *n_good < b->n)
        return farm_end(b->farm, first_bad(b, why), why);
    if (b->how == FARM_TRY)
        return farm_do(b->farm, "ROLLBACK", why);
    return farm_end(b->farm, ST_OK, why);
}

static enum status queued_one(struct batch *b, struct farm_item *item, struct message *why)
{
    bool dropped = false;

    fill_meta(b, item);
    if (item->status == ST_OK) {
        item->why = (struct message){ "", "" };
        item->status = farm_begin(b->farm, &item->why);
        if (item->status == ST_OK) {
            item->status =
                farm_put(b->farm, item->kind, item->values, &item->meta, b->uid, b->mem, &item->outcome, &item->why);
            if (item->status == ST_OK)
                item->status = farm_unhold(b->farm, item->meta.uid, &item->meta, &item->why);
            item->status = farm_end(b->farm, item->status, &item->why);
        }
    }
    if (item->status == ST_BUSY || item->status == ST_IO || item->status == ST_NO_MEMORY) {
        *why = item->why;
        return item->status; /* the rest stays with the phone */
    }
    if (item->status == ST_OK)
        return ST_OK;
    const enum status st = farm_hold(b->farm, item, b->uid, b->mem, &dropped, why);
    if (st == ST_OK && dropped) {
        item->status = ST_OK;
        item->outcome.already = true;
    }
    return st;
}

enum status farm_record_batch(struct farm *f, enum farm_batch_how how, const struct farm_meta *meta, size_t n,
                              struct farm_item item[], struct arena *mem, size_t *n_good, struct message *why)
{
    char uid[FARM_UID];
    struct batch b = { .farm = f, .how = how, .meta = meta, .uid = meta->batch, .item = item, .n = n, .mem = mem };
    enum status st = ST_OK;

    *n_good = 0;
    if (!b.uid) {
        farm_new_uid(uid);
        b.uid = arena_text(mem, uid);
    }
    b.done = ARENA_NEW(mem, bool, n + 1);
    if (!b.uid || !b.done)
        return refuse(ST_NO_MEMORY, why, "", "too many facts at once");
    if (how != FARM_QUEUED)
        return in_one(&b, n_good, why);
    for (size_t i = 0; i < n && st == ST_OK; i++)
        st = queued_one(&b, &item[i], why);
    *n_good = count_good(&b);
    return st;
}
