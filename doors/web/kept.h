/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Answers kept: the reply to a question, as long as nothing has changed that it could depend on. An answer depends on
 * the farm file (its version: any change by any program makes another), on the address with its query, and on the
 * minute. So a hundred looks at tonight in a minute are reckoned once, and a record or a forecast shows at once.
 *
 * One thread's. The least lately used go first past KEPT_BYTES or KEPT_MOST.
 */
#ifndef DOORS_WEB_KEPT_H
#define DOORS_WEB_KEPT_H

#include <microhttpd.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { KEPT_MOST = 64, KEPT_BYTES = 2 * 1024 * 1024 };

/* A response that several send, and that may be kept too: counted, since the library lets no one else hold on to it. */
struct shared {
    struct MHD_Response *response;
    unsigned holders;
};
struct shared *shared_new(struct MHD_Response *response); /* one holder; takes the response, also when it gives NULL */
void shared_let_go(struct shared *shared);

struct kept_key {
    const char *uri;
    int64_t version, changed_ns, minute; /* farm_version(); the file's own time beside it */
    unsigned changes, generation;
};
struct kept {
    struct kept_row {
        char *uri;
        struct kept_key key;
        struct shared *answer; /* NULL = empty */
        size_t bytes;
        uint64_t used;
    } row[KEPT_MOST];
    size_t bytes;
    uint64_t clock;
};

bool kept_same(const struct kept_key *a, const struct kept_key *b);
/* NULL: not kept, or no longer true. */
struct shared *kept_find(struct kept *kept, const struct kept_key *key);
/* Becomes one more holder. Not kept: too large, out of memory. */
void kept_add(struct kept *kept, const struct kept_key *key, struct shared *answer, size_t bytes);
/* What was kept of one state of the file is true of another: nothing between them matters to an answer. */
struct kept_state {
    int64_t version, changed_ns;
};
void kept_carry_key(struct kept_key *key, const struct kept_state *from, const struct kept_state *to);
void kept_carry(struct kept *kept, const struct kept_state *from, const struct kept_state *to);
void kept_clear(struct kept *kept);

#endif
