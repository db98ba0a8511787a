/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Answers that several ask for: kept, waited for together, or asked ahead of who will want them.
 */
#include "desk/version.h"
#include "doors/web/server.h"

enum status serve_kept_key(struct request *rq)
{
    const struct web *web = rq->web;

    rq->key.uri = rq->uri;
    rq->key.minute = rq->call.now_utc_s / 60;
    rq->key.changes = web->changes;
    rq->key.generation = web->generation;
    rq->key.changed_ns = web->file.changed_ns;
    return web->farm ? farm_version(web->farm, &rq->key.version, &rq->why) : ST_OK;
}

enum serve_kept serve_kept_find(struct request *rq, struct shared **kept)
{
    *kept = kept_find(&rq->web->kept, &rq->key);
    if (*kept)
        return SERVE_KEPT;
    for (struct request *w = rq->web->waiting; w; w = w->waiting_next)
        if (kept_same(&w->key, &rq->key)) {
            rq->same = w->same;
            w->same = rq;
            return SERVE_ASKED;
        }
    return SERVE_NEW;
}

void serve_kept_wait(struct request *rq)
{
    struct web *web = rq->web;

    rq->waiting_next = web->waiting;
    rq->waiting_back = &web->waiting;
    if (web->waiting)
        web->waiting->waiting_back = &rq->waiting_next;
    web->waiting = rq;
}

void serve_kept_share(struct request *rq)
{
    int code = 0;
    const size_t bytes = rq->out.length;

    *rq->waiting_back = rq->waiting_next;
    if (rq->waiting_next)
        rq->waiting_next->waiting_back = rq->waiting_back;
    rq->waiting_back = NULL;
    struct MHD_Response *response = reply_response(rq, &code);
    struct shared *shared = response ? shared_new(response) : NULL;
    if (shared && code == MHD_HTTP_OK)
        kept_add(&rq->web->kept, &rq->key, shared, bytes);
    serve_log_failure(rq, code);
    for (struct request *one = rq, *next = NULL; one; one = next) {
        next = one->same;
        one->same = NULL;
        if (!one->mhd) { /* asked ahead */
            serve_request_free(one);
            continue;
        }
        one->ready = shared;
        one->ready_code = code;
        if (shared)
            shared->holders++;
        one->status = shared ? one->status : refuse(ST_NO_MEMORY, &one->why, "", "out of memory");
        MHD_resume_connection(one->mhd); /* serve() is called again, and sends it */
    }
    shared_let_go(shared);
}

/* ---- ahead ---- */

static bool put_ahead(struct web *web, const char *path)
{
    struct request *rq = serve_request_new(web, path);
    struct shared *kept = NULL;
    bool other_method = false;

    if (!rq || !rq->uri) {
        if (rq)
            serve_request_free(rq);
        return false;
    }
    rq->call = (struct web_call){ .web = web,
                                  .method = WEB_GET,
                                  .path = rq->uri,
                                  .rest = "",
                                  .farm_path = web->how->farm_path,
                                  .address = "",
                                  .now_utc_s = (int64_t)time(NULL),
                                  .mem = &rq->mem };
    rq->call.route = serve_route(rq->uri, WEB_GET, &rq->call.rest, &other_method);
    rq->looked_at = true;
    const bool given = rq->call.route && serve_kept_key(rq) == ST_OK && serve_kept_find(rq, &kept) == SERVE_NEW &&
                       work_give(&web->work, WORK_AHEAD, rq, &rq->why) == ST_OK;
    if (given)
        serve_kept_wait(rq);
    else
        serve_request_free(rq);
    return given;
}

void serve_ahead(struct web *web)
{
    struct message why = { "", "" };
    struct farm *farm = NULL;

    web->ahead_ms = INT64_MAX; /* where it cannot be had now the page asks, and is told why */
    if (serve_farm(web, &farm, &why) == ST_OK && farm)
        (void)put_ahead(web, "/api/round");
}

/* ---- what this thread writes itself ---- */

struct own_write serve_own_write(struct web *web)
{
    struct own_write w = { .changed_ns = web->file.changed_ns };
    struct message why = { "", "" };

    w.known = web->farm && farm_others_wrote(web->farm, &w.others, &why) == ST_OK &&
              farm_version(web->farm, &w.version, &why) == ST_OK;
    return w;
}

void serve_own_written(struct web *web, const struct own_write *before)
{
    struct kept_state to = { 0, 0 };
    struct message why = { "", "" };
    struct farm *farm = NULL;
    int64_t others = 0;

    /* The others are asked for before all else at first and after all else now: what they write in between shows. */
    if (!before->known || serve_farm(web, &farm, &why) != ST_OK || !farm ||
        farm_version(farm, &to.version, &why) != ST_OK || farm_others_wrote(farm, &others, &why) != ST_OK ||
        others != before->others || to.version == before->version)
        return;
    to.changed_ns = web->file.changed_ns;
    const struct kept_state from = { before->version, before->changed_ns };
    kept_carry(&web->kept, &from, &to);
    for (struct request *w = web->waiting; w; w = w->waiting_next)
        kept_carry_key(&w->key, &from, &to);
}
