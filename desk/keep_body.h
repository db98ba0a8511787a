/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Records as a form or a phone's queue brings them: an object of fields, a uid made by whoever records, and the clock
 * time at which it was recorded.
 */
#ifndef DESK_KEEP_BODY_H
#define DESK_KEEP_BODY_H

#include "farm/farm.h"

struct json_t;

struct keep_body {
    const char *kind;          /* as said: "service", "sow" */
    const struct json_t *fact; /* object of fields; see farm_json_fact() */
    struct farm_meta meta;     /* uid NULL: made here, and a repeat is a second fact */
    enum status status;        /* going in: ST_OK, or why this one cannot even be tried (then `why` says so) */
    struct message why;
};

/* Record one. A moment that every such fact has and that is not said is the one at which it was recorded; the same uid
 * sent again keeps the one it has.
 * Fails as farm_record(); ST_NOT_FOUND: no such kind. Sentences call fields by their labels. */
enum status keep_body(struct farm *farm, const struct keep_body *body, int64_t now_utc_s, struct arena *mem,
                      struct farm_outcome *outcome, struct message *why) MUST_USE;

/* The values of one without recording it. kind is that of the body. */
enum status keep_body_values(struct farm *farm, const struct keep_body *body, const struct fact_kind *kind,
                             int64_t now_utc_s, struct arena *mem, struct fact_value **values,
                             struct message *why) MUST_USE;

/* A queue, one by one in this order, each by itself: what is refused rests in the held tray, and the next goes on.
 * Returned  *items in mem, n of them: status, why, outcome, meta.uid, kind (NULL: unknown)
 * Fails     ST_BUSY, ST_IO, ST_NO_MEMORY: what came before stays recorded, and sent again is there already */
enum status keep_queue(struct farm *farm, size_t n, struct keep_body body[], int64_t now_utc_s, struct arena *mem,
                       struct farm_item **items, struct message *why) MUST_USE;

/* A sentence when the clock of whoever records is plainly wrong by this machine's, NULL when it is not.
 * Given  recorded_utc_s   what they say they recorded at; 0 not said. What is long past may have waited on a phone
 *        sent_utc_s       what their clock showed when they sent it; 0 not said */
const char *keep_clock(int64_t recorded_utc_s, int64_t sent_utc_s, int64_t now_utc_s, struct arena *mem);
/* A sentence when this machine's own clock has gone back behind what it recorded before, NULL when it has not. */
const char *keep_clock_back(struct farm *farm, struct arena *mem);

#endif
