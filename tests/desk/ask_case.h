/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A question put to a farm file from a test: words after the question, "NAME=value" for a flag, "value" alone for the
 * bare word or a flag without a value.
 */
#ifndef TESTS_DESK_ASK_CASE_H
#define TESTS_DESK_ASK_CASE_H

#include "farm_case.h"

struct ask_case {
    struct arena mem;
    const struct zone *zone;
    struct asked asked;
    struct answer *answer;
};

static inline size_t ask_typed(const struct question *q, char *words, struct typed_param typed[16])
{
    size_t n = 0;
    char *rest = words;

    for (char *w = strtok_r(words, " ", &rest); w; w = strtok_r(NULL, " ", &rest)) {
        char *equals = strchr(w, '=');
        const size_t length = equals ? (size_t)(equals - w) : strlen(w);
        size_t p = 0;
        for (char *c = equals ? equals + 1 : w; *c; c++) /* a name of two words: Hut_2 */
            *c = *c == '_' ? ' ' : *c;
        while (p < q->n_params && !(strlen(q->params[p].name) == length && strncmp(q->params[p].name, w, length) == 0))
            p++;
        if (p == q->n_params)
            for (p = 0; p < q->n_params && !(q->params[p].how & PARAM_WORD);)
                p++;
        if (p == q->n_params)
            fail_msg("%s has no %s", q->name, w);
        typed[n++] = (struct typed_param){ p, equals ? equals + 1 : q->params[p].how & PARAM_WORD ? w : "yes" };
    }
    return n;
}

/* Close with ask_close() whatever it gives. */
static inline enum status ask_try(struct ask_case *s, struct farm *farm, const char *question, const char *words,
                                  const char *at, struct message *why)
{
    const struct question *q = question_find(questions, question);
    struct typed_param typed[16];

    if (!q)
        fail_msg("there is no question %s", question);
    *s = (struct ask_case){ .answer = NULL };
    arena_open(&s->mem, (size_t)1 << 29);
    if (desk_zone(farm, &s->mem, &s->zone, why) != ST_OK)
        fail_msg("%s", why->text);
    char *copy = arena_text(&s->mem, words); /* an answer may hold what was typed */
    assert_non_null(copy);
    s->asked =
        (struct asked){ .question = q, .farm = farm, .at_utc_s = case_moment(at), .zone = s->zone, .mem = &s->mem };
    enum status st = asked_read(&s->asked, ask_typed(q, copy, typed), typed, why);
    if (st == ST_OK)
        st = question_put(&s->asked, &s->answer, why);
    return st;
}

static inline const struct answer *ask(struct ask_case *s, struct farm *farm, const char *question, const char *words,
                                       const char *at)
{
    struct message why = { "", "" };

    if (ask_try(s, farm, question, words, at, &why) != ST_OK)
        fail_msg("%s %s: %s: %s", question, words, why.field, why.text);
    if (shape_check(s->answer, s->asked.question->n_shape, s->asked.question->shape, &why) != ST_OK)
        fail_msg("%s %s: %s", question, words, why.text);
    return s->answer;
}

static inline void ask_close(struct ask_case *s)
{
    arena_close(&s->mem);
}

/* The row of a list whose text under `key` is that; the test falls where there is none. */
static inline const struct answer *ask_row(const struct answer *list, const char *key, const char *is)
{
    for (const struct answer *x = list ? list->first : NULL; x; x = x->next)
        if (answer_get_text(x, key) && strcmp(answer_get_text(x, key), is) == 0)
            return x;
    fail_msg("%s is not listed", is);
    return NULL;
}

#endif
