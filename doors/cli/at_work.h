/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * At work: while a question takes long, a person at a terminal sees that it has not hung. From the second second on a line
 * on standard error counts the seconds; it is wiped away before the answer. Nothing where standard error is no terminal.
 */
#ifndef DOORS_CLI_AT_WORK_H
#define DOORS_CLI_AT_WORK_H

#include <pthread.h>
#include <stdbool.h>

struct at_work {
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t change;
    const char *words; /* what is asked */
    bool runs, over;
};

void at_work_begin(struct at_work *work, const char *words);
void at_work_end(struct at_work *work);

#endif
