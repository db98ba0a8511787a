/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The pieces of the reckoning through the command line, against figures from outside. Each row: the words, the key,
 * what the source says, how near, and the source. */
#ifndef TESTS_DOORS_RECKON_CASE_H
#define TESTS_DOORS_RECKON_CASE_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>
#include <jansson.h>

#include "core/base/civil.h"
#include "tests/doors/run.h"

static int figures;

/* The answer to a line of words as JSON; the caller gives it back with json_decref(). */
static inline json_t *answer_to(const char *line)
{
    const char *words[RUN_MOST_WORDS + 1];
    char *copy = strdup(line);
    json_error_t error;

    size_t n = run_split(copy, words);
    words[n++] = "--json";
    words[n] = NULL;
    struct run r = run_how(words, false);
    if (r.code != 0 || r.err.length)
        fail_msg("%s: exit %d: %s", line, r.code, text_get(&r.err));
    json_t *j = json_loads(text_get(&r.out), JSON_REJECT_DUPLICATES, &error);
    if (!j)
        fail_msg("%s: no JSON: %s", line, error.text);
    run_close(&r);
    free(copy);
    return j;
}

/* "summary.p10", "rose[3]" */
static inline const json_t *at(const json_t *j, const char *path)
{
    char key[64];

    while (j && *path) {
        const size_t n = strcspn(path, ".[");
        if (n > 0) {
            (void)snprintf(key, sizeof key, "%.*s", (int)n, path);
            j = json_object_get(j, key);
        }
        path += n;
        if (*path == '[') {
            j = json_array_get(j, (size_t)strtoul(path + 1, NULL, 10));
            path += strcspn(path, "]") + 1;
        }
        path += *path == '.';
    }
    return j;
}

/* A number; a moment as seconds UTC. */
static inline double figure(const json_t *j, const char *path)
{
    const json_t *v = at(j, path);
    struct civil_text t;

    if (json_is_number(v))
        return json_number_value(v);
    if (json_is_string(v) && civil_read(json_string_value(v), &t))
        return (double)(civil_seconds(&t.at) - t.offset_s);
    return (double)NAN;
}

static inline double moment(const char *text)
{
    struct civil_text t;
    return civil_read(text, &t) ? (double)(civil_seconds(&t.at) - t.offset_s) : (double)NAN;
}

static inline void near(const json_t *j, const char *line, const char *path, double want, double off,
                        const char *source)
{
    const double got = figure(j, path);

    figures++;
    if (!(fabs(got - want) <= off))
        fail_msg("%s: %s: want %.10g within %.3g, got %.10g — %s", line, path, want, off, got, source);
}

struct row {
    const char *line, *path;
    double want, off;
    const char *source;
};

static inline void hold(size_t n, const struct row rows[])
{
    for (size_t i = 0; i < n; i++) {
        json_t *j = answer_to(rows[i].line);
        near(j, rows[i].line, rows[i].path, rows[i].want, rows[i].off, rows[i].source);
        json_decref(j);
    }
}
#define HOLD(rows) hold(sizeof(rows) / sizeof *(rows), rows)

/* For the end of a group. */
static inline int say_figures(void **state)
{
    (void)state;
    printf("%d figures held\n", figures);
    return 0;
}

#endif
