/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Question: one row describes it (name, help, parameters, shape of the answer, the function that puts it), and both
 * doors read the row: command-line flags, help, man page, completion, query strings and the API document.
 */
#ifndef DESK_QUESTION_H
#define DESK_QUESTION_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/base/units.h"
#include "desk/answer.h"
#include "farm/farm.h"
#include "farm/zone.h"

enum param_kind {
    P_QUANTITY, /* a number with unit: `of`, low, high in SI */
    P_WHOLE,    /* a whole number: low, high */
    P_TEXT,     /* any text */
    P_CHOICE,   /* one of `choices`, "open|lee|hut|barn" */
    P_MOMENT,   /* ISO 8601; without an offset in the zone; a date alone is noon */
    P_DAY,      /* a date */
    P_FLAG,     /* present or not; takes no value */
    P_FILE,     /* a path; the command line only */
    P_ZONE,     /* IANA name; the moments of the question are read in it */
};

struct param {
    const char *name; /* "not-farrowed-by"; on the command line --not-farrowed-by, in a query not-farrowed-by= */
    enum param_kind kind;
    enum quantity of;
    double low, high;
    const char *otherwise; /* documented default as text, read like a value; NULL = none */
    const char *choices;   /* P_CHOICE */
    unsigned how;          /* PARAM_... */
    const char *help;      /* one line */
};
enum { PARAM_REQUIRED = 1, PARAM_REPEAT = 2, PARAM_WORD = 4 /* a bare word, without --name */ };

struct given {         /* what came in for one param; arrays of n */
    size_t n;          /* 0: nothing given and no default */
    bool typed;        /* false: the default stands (then it is listed under "assumed") */
    double *real;      /* P_QUANTITY, P_WHOLE */
    int64_t *when;     /* P_MOMENT: seconds UTC; P_DAY: days */
    const char **text; /* as typed, always there; P_CHOICE, P_TEXT, P_FILE, P_ZONE use it */
};

struct question;
struct desk_memory;
struct asked {
    const struct question *question;
    struct given *given; /* by index of question->params */
    struct farm *farm;   /* NULL for a reckon piece */
    int64_t at_utc_s;    /* the moment asked about */
    bool at_typed;
    int64_t known_to; /* journal number to read up to; 0 = all */
    const struct zone *zone;
    struct arena *mem;
    struct desk_memory *memory; /* what a server keeps between questions (desk/memory.h); NULL = nothing */
};

struct question {
    const char *name, *help;
    const struct param *params;
    size_t n_params;
    const struct shape *shape;
    size_t n_shape;
    const char *table; /* path of the list that --csv prints, NULL = no table */
    enum status (*put)(const struct asked *q, struct answer *answer, struct message *why);
};

/* One typed parameter, by index of the parameter. Repeats keep their order. */
struct typed_param {
    size_t param;
    const char *text;
};

/* Check and convert what was typed, fill in defaults. ST_BAD_INPUT names the flag and its range. */
enum status asked_read(struct asked *q, size_t n, const struct typed_param typed[], struct message *why) MUST_USE;

/* A moment as a person types it, for put functions that read a text themselves ("nest@2026-01-22T15:40"): `field`
 * names the flag without its dashes. A date alone is noon, and *day_only true (day_only may be NULL). */
enum status moment_from_text(const char *field, const char *text, const struct zone *zone, int64_t *utc_s,
                             bool *day_only, struct message *why) MUST_USE;

/* Put the question. The answer gets `assumed` from defaults that stood, unless the question filled it itself with
 * asked_assumed(). */
enum status question_put(struct asked *q, struct answer **answer, struct message *why) MUST_USE;

/* Adds the list `assumed` to an answer, begun with every default that stood ("mass 1.3 kg: mass at birth"), and gives
 * it back for what else was assumed. At most once in an answer. */
struct answer *asked_assumed(const struct asked *q, struct answer *answer);

/* Short forms for put functions. */
bool given_is(const struct asked *q, size_t param);          /* typed, or has a default */
double given_real(const struct asked *q, size_t param);      /* NAN when not given */
const char *given_text(const struct asked *q, size_t param); /* NULL when not given */
int64_t given_when(const struct asked *q, size_t param);     /* INT64_MIN when not given */
bool given_flag(const struct asked *q, size_t param);
bool given_typed(const struct asked *q, size_t param); /* typed, whatever the default */

extern const struct question *const questions[]; /* asked of a farm; NULL at the end */
extern const struct question *const pieces[];    /* `leenest reckon ...`; no farm file; NULL at the end */
const struct question *question_find(const struct question *const list[], const char *name);

#endif
