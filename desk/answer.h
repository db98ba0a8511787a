/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Answer: what a question gives back, as a tree of named values. Doors turn it into JSON, text, CSV or a page; they
 * never reckon. Numbers are SI and their keys carry the unit (`temp_c`, `wind_mps`, `mass_kg`). A figure that is not
 * finite becomes null, with its reason beside it under `<key>_because`.
 *
 * Memory   everything lives in the arena given to answer_new(); texts and arrays handed in must live as long.
 * Failing  a full arena gives nodes that swallow what is put into them (never NULL, but for an answer_new() that is);
 *          ask arena_full() once at the end.
 */
#ifndef DESK_ANSWER_H
#define DESK_ANSWER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"

enum answer_kind {
    ANSWER_OBJECT, /* named members, in order */
    ANSWER_LIST,   /* items, in order; a table when all items are objects */
    ANSWER_REAL,
    ANSWER_WHOLE,
    ANSWER_TEXT,
    ANSWER_MOMENT, /* seconds UTC; JSON "2026-01-22T15:40:00Z" */
    ANSWER_DAY,    /* days since 1970-01-01; JSON "2026-01-22" */
    ANSWER_FLAG,   /* true or false */
    ANSWER_NULL,
    ANSWER_REALS, /* an array of numbers: one column of hours; NAN prints as null */
};

struct answer {
    enum answer_kind kind;
    const char *key; /* NULL for the root and for list items */
    union {
        double real;
        int64_t whole; /* also moment, day */
        const char *text;
        bool flag;
        struct {
            const double *at;
            size_t n;
            int digits;
        } reals; /* digits after the point when printed */
    } is;
    struct answer *first, *last, *next; /* children and the next sibling */
    struct arena *mem;
    bool no; /* on the root: the answer is 'no' or a check fell short (exit 1) */
};

struct answer *answer_new(struct arena *mem);                         /* an object, the root */
struct answer *answer_object(struct answer *parent, const char *key); /* a member that is an object */
struct answer *answer_list(struct answer *parent, const char *key);
struct answer *answer_item(struct answer *list);                        /* a new object at the end of a list */
void answer_real(struct answer *parent, const char *key, double value); /* not finite: null */
void answer_real_or(struct answer *parent, const char *key, double value, const char *because);
void answer_whole(struct answer *parent, const char *key, int64_t value);
void answer_text(struct answer *parent, const char *key, const char *text); /* NULL: null */
void answer_print(struct answer *parent, const char *key, const char *fmt, ...) PRINTF_LIKE(3, 4);
void answer_moment(struct answer *parent, const char *key, int64_t utc_s);
void answer_day(struct answer *parent, const char *key, int64_t days);
void answer_moment_or(struct answer *parent, const char *key, int64_t utc_s, const char *because); /* INT64_MIN: null */
void answer_day_or(struct answer *parent, const char *key, int64_t days, const char *because);     /* the same */
void answer_flag(struct answer *parent, const char *key, bool value);
void answer_null(struct answer *parent, const char *key, const char *because);
void answer_reals(struct answer *parent, const char *key, const double *at, size_t n, int digits);
void answer_words(struct answer *list, const char *text);   /* a text item of a list */
void answer_number_item(struct answer *list, double value); /* a number item of a list */
void answer_moment_item(struct answer *list, int64_t utc_s);

/* Looking: NULL when there is no such member. A path is "summary.p10" or "sows[2].name". */
const struct answer *answer_at(const struct answer *a, const char *path);
double answer_get_real(const struct answer *a, const char *path);      /* NAN when absent or null */
const char *answer_get_text(const struct answer *a, const char *path); /* NULL when absent */
size_t answer_count(const struct answer *list);

/* Shape: what may stand in an answer, declared beside its question. `path` has "[]" for every list:
 * "sows[].name". Every node of an answer must be covered by a row; a row that is not optional must be there. A path that
 * ends in ".*" ("facts[].shown.*") covers members whose names are data; with SHAPE_OBJECT of any kind. */
enum shape_of {
    SHAPE_OBJECT,
    SHAPE_LIST,
    SHAPE_REAL,
    SHAPE_WHOLE,
    SHAPE_TEXT,
    SHAPE_MOMENT,
    SHAPE_DAY,
    SHAPE_FLAG,
    SHAPE_REALS
};
struct shape {
    const char *path;
    enum shape_of of;
    bool nullable; /* may be null, or absent */
    const char *help;
};
enum status shape_check(const struct answer *a, size_t n, const struct shape shape[], struct message *why) MUST_USE;

#endif
