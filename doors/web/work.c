/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The threads that reckon and write, so that the one that answers never waits. Each has its own handle on the farm
 * file. Signals are blocked in all of them; main waits for those.
 */
#include <errno.h>
#include <signal.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include "desk/memory.h"
#include "desk/night_kept.h"
#include "desk/where_rows.h"
#include "doors/show/show.h"
#include "doors/web/server.h"

void work_answer(struct request *rq)
{
    if (rq->status == ST_OK)
        rq->status = rq->call.route->handle(&rq->call, &rq->reply, &rq->why);
    if (rq->status == ST_OK && rq->reply.answer)
        rq->status = show_json(rq->reply.answer, &rq->out, &rq->why);
    else if (rq->status == ST_OK && rq->reply.bytes)
        text_add_bytes(&rq->out, rq->reply.bytes, rq->reply.length);
    else if (rq->status == ST_OK && !rq->reply.file)
        text_add(&rq->out, "{}\n");
    if (rq->status == ST_OK && (text_full(&rq->out) || arena_full(&rq->mem)))
        rq->status = refuse(ST_NO_MEMORY, &rq->why, "", "the answer is too long to be written out");
}

struct own { /* a thread's */
    struct farm *farm;
    struct desk_memory *memory;
    unsigned generation;
};

static void own_close(struct own *own)
{
    desk_memory_close(own->memory);
    farm_close(own->farm);
    *own = (struct own){ .farm = NULL };
}

static struct desk_memory *memory_open(struct work *work)
{
    struct desk_memory *m = desk_memory_open();

    desk_memory_share(m, work->rows, work->cells);
    return m;
}

/* This thread's handle, opened anew when the file is another one. */
static void farm_for(struct request *rq, struct own *own, bool with_memory)
{
    if (own->farm && own->generation != rq->key.generation)
        own_close(own);
    rq->call.farm = NULL;
    if (!own->farm && rq->status == ST_OK) {
        struct message why = { "", "" };
        const struct farm_how how = { .looked_at = rq->looked_at, .one_of_many = true };
        const enum status st = farm_open_how(rq->call.farm_path, &how, &own->farm, &why);
        own->generation = rq->key.generation;
        own->memory = st == ST_OK && with_memory ? memory_open(&rq->web->work) : NULL;
        if (st != ST_OK && !(rq->call.route->how & WEB_NO_FARM)) {
            rq->status = refuse(st, &rq->why, why.field, "%s", why.text);
            return;
        }
    }
    rq->call.farm = own->farm;
    rq->call.memory = own->memory;
}

/* For the thread of the sockets, which needs it first; with --lan that thread has opened the file by itself. */
static bool open_first(struct work *work, const char *path)
{
    const struct farm_how how = {
        .no_migration = true, .pages_later = true, .busy_ms = SERVE_BUSY_MS, .one_of_many = true
    };
    struct message why = { "", "" };
    struct farm *farm = NULL;
    struct stat is;

    if (stat(path, &is) == 0 && farm_open_how(path, &how, &farm, &why) != ST_OK)
        farm = NULL;
    (void)pthread_mutex_lock(&work->lock);
    work->first.farm = farm;
    work->first.device = farm ? is.st_dev : 0;
    work->first.inode = farm ? is.st_ino : 0;
    work->first.coming = false;
    (void)pthread_cond_signal(&work->first.there);
    (void)pthread_mutex_unlock(&work->lock);
    return farm != NULL;
}

struct farm *work_take_first(struct work *work, uint64_t *device, uint64_t *inode)
{
    (void)pthread_mutex_lock(&work->lock);
    while (work->first.coming)
        (void)pthread_cond_wait(&work->first.there, &work->lock);
    struct farm *farm = work->first.farm;
    work->first.farm = NULL;
    if (farm) {
        *device = work->first.device;
        *inode = work->first.inode;
    }
    (void)pthread_mutex_unlock(&work->lock);
    return farm;
}

/* The first asker opens the file while the first request is still on its way. What stands in the way is met again, and
 * said, when a request needs the file. */
static void open_ahead(struct work_line *line, struct own *own)
{
    const char *path = line->web->how->farm_path;
    struct work *work = &line->web->work;
    struct farm_how how = { .no_migration = true, .pages_later = true, .one_of_many = true };
    struct message why = { "", "" };

    if (!line->web->how->lan) {
        how.looked_at = open_first(work, path);
        if (!how.looked_at)
            return;
    }
    own->generation = 0; /* no file has been put in the place of another yet */
    if (farm_open_how(path, &how, &own->farm, &why) == ST_OK)
        own->memory = memory_open(work);
}

static void *worker(void *given)
{
    struct work_line *line = given;
    struct work *work = &line->web->work;
    struct own own = { .farm = NULL };
    bool ahead = false;

    (void)pthread_mutex_lock(&work->lock);
    ahead = line->opening_ahead;
    (void)pthread_mutex_unlock(&work->lock);
    if (ahead)
        open_ahead(line, &own);
    (void)pthread_mutex_lock(&work->lock);
    if (ahead) { /* it counted as idle meanwhile: what came in waits for it */
        line->opening_ahead = false;
        line->n_idle--;
    }
    for (;;) {
        while (!line->first && !work->stop) {
            line->n_idle++;
            (void)pthread_cond_wait(&line->more, &work->lock);
            line->n_idle--;
        }
        struct request *rq = line->first;
        if (!rq)
            break;
        line->first = rq->next;
        if (!line->first)
            line->last = &line->first;
        (void)pthread_mutex_unlock(&work->lock);

        farm_for(rq, &own, line == &work->line[WORK_ASK] || line == &work->line[WORK_AHEAD]);
        work_answer(rq);
        if (line == &work->line[WORK_AHEAD]) /* once only */
            own_close(&own);

        (void)pthread_mutex_lock(&work->lock);
        rq->next = work->done;
        work->done = rq;
        const uint64_t one = 1;
        while (write(work->wake, &one, sizeof one) < 0 && errno == EINTR)
            continue;
    }
    (void)pthread_mutex_unlock(&work->lock);
    own_close(&own);
    return NULL;
}

enum status work_open(struct work *work, struct web *web, struct message *why)
{
    static const struct {
        const char *called;
        int most;
    } kinds[] = { [WORK_ASK] = { "asker", 2 },
                  [WORK_WRITE] = { "writer", 1 },
                  [WORK_FETCH] = { "fetcher", 1 },
                  [WORK_AHEAD] = { "ahead", 1 } };

    *work = (struct work){ .web = web, .wake = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK) };
    if (work->wake < 0 || pthread_mutex_init(&work->lock, NULL) != 0 ||
        pthread_cond_init(&work->first.there, NULL) != 0)
        return refuse(ST_IO, why, "", "cannot start: %s", strerror(errno));
    for (size_t i = 0; i < COUNT(kinds); i++) {
        work->line[i] = (struct work_line){ .web = web, .called = kinds[i].called, .most = kinds[i].most };
        work->line[i].last = &work->line[i].first;
        if (pthread_cond_init(&work->line[i].more, NULL) != 0)
            return refuse(ST_IO, why, "", "cannot start: no condition to be had");
    }
    work->rows = where_rows_open();
    work->cells = night_kept_open();
    struct work_line *ask = &work->line[WORK_ASK];
    ask->opening_ahead = true;
    ask->n_idle = 1;
    work->first.coming = !web->how->lan;
    if (pthread_create(&ask->thread[0], NULL, worker, ask) == 0) {
        ask->n_threads = 1;
    } else { /* then when the first request comes */
        ask->opening_ahead = false;
        ask->n_idle = 0;
        work->first.coming = false;
    }
    return ST_OK;
}

enum status work_give(struct work *work, enum work_kind kind, struct request *rq, struct message *why)
{
    struct work_line *line = &work->line[kind];
    enum status st = ST_OK;

    rq->next = NULL;
    (void)pthread_mutex_lock(&work->lock);
    if (line->n_idle == 0 && line->n_threads < line->most) {
        const int rc = pthread_create(&line->thread[line->n_threads], NULL, worker, line);
        if (rc == 0)
            line->n_threads++;
        else if (line->n_threads == 0)
            st = refuse(ST_NO_MEMORY, why, "", "no thread could be started: %s", strerror(rc));
    }
    if (st == ST_OK) {
        *line->last = rq;
        line->last = &rq->next;
        (void)pthread_cond_signal(&line->more);
    }
    (void)pthread_mutex_unlock(&work->lock);
    return st;
}

struct request *work_take_done(struct work *work)
{
    struct request *oldest = NULL;
    uint64_t count = 0;

    while (read(work->wake, &count, sizeof count) < 0 && errno == EINTR)
        continue;
    (void)pthread_mutex_lock(&work->lock);
    struct request *newest = work->done;
    work->done = NULL;
    (void)pthread_mutex_unlock(&work->lock);
    while (newest) {
        struct request *older = newest->next;
        newest->next = oldest;
        oldest = newest;
        newest = older;
    }
    return oldest;
}

void work_close(struct work *work)
{
    if (work->wake < 0 || !work->web)
        return;
    (void)pthread_mutex_lock(&work->lock);
    work->stop = true;
    for (size_t i = 0; i < COUNT(work->line); i++)
        (void)pthread_cond_broadcast(&work->line[i].more);
    (void)pthread_mutex_unlock(&work->lock);
    for (size_t i = 0; i < COUNT(work->line); i++)
        for (int t = 0; t < work->line[i].n_threads; t++)
            (void)pthread_join(work->line[i].thread[t], NULL);
    farm_close(work->first.farm);
    work->first.farm = NULL;
    where_rows_close(work->rows);
    night_kept_close(work->cells);
    work->rows = NULL;
    work->cells = NULL;
}
