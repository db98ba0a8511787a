/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A question put with a memory or without, its answer as JSON: to hold the one against the other byte for byte. */
#ifndef TESTS_DESK_PUT_WITH_H
#define TESTS_DESK_PUT_WITH_H

#include "ask_case.h"

#include "desk/memory.h"
#include "desk/questions.h"
#include "doors/show/show.h"

/* To be freed. */
static inline char *put_with(struct farm *farm, struct desk_memory *memory, const char *question, const char *words,
                             const char *at)
{
    struct ask_case s = { .answer = NULL };
    struct typed_param typed[16];
    const struct question *q = question_find(questions, question);
    struct message why = { "", "" };
    struct text out;
    char copy[256];

    arena_open(&s.mem, (size_t)1 << 30);
    assert_int_equal(desk_zone(farm, &s.mem, &s.zone, &why), ST_OK);
    (void)snprintf(copy, sizeof copy, "%s", words);
    s.asked = (struct asked){ .question = q,
                              .farm = farm,
                              .at_utc_s = case_moment(at),
                              .at_typed = true,
                              .zone = s.zone,
                              .mem = &s.mem,
                              .memory = memory };
    if (asked_read(&s.asked, ask_typed(q, copy, typed), typed, &why) != ST_OK ||
        question_put(&s.asked, &s.answer, &why) != ST_OK)
        fail_msg("%s: %s", words, why.text);
    text_open(&out, 4 << 20);
    assert_int_equal(show_json(s.answer, &out, &why), ST_OK);
    char *json = strdup(text_get(&out));
    text_close(&out);
    ask_close(&s);
    return json;
}

#endif
