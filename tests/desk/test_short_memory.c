/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Memory runs out at every part of an answer: the question is refused in a sentence and never falls. The source is the
 * contract of core/base/arena.h and desk/answer.h; the farm is small, so that the arena is short and not the machine. */
#include "ask_case.h"

#include "desk/questions.h"

#define AT "2026-06-01T12:00"

enum { PARTS = 60 };

static size_t refused;

static void small_farm(struct farm_case *c)
{
    case_open(c);
    case_record(c, "animal", "name=Alder", "is=boar", "breed=Hedgerow Black", "born=2022-03-01", NULL);
    case_record(c, "animal", "name=Gran", "is=sow", "breed=Marsh Ginger", "kept=elsewhere", NULL);
    case_record(c, "animal", "name=Ann", "is=sow", "sire=Alder", "dam=Gran", "teats=14", NULL);
    case_record(c, "animal", "name=Rook", "is=boar", "sire=Alder", "dam=Gran", "sows-most=2", NULL);
    case_record(c, "animal", "name=Bess", "is=gilt", "sire=Rook", "dam=Ann", NULL);
    case_record(c, "animal", "name=Cass", "is=gilt", "sire=Alder", "dam=Ann", "tag=14-6", NULL);
}

/* With `room` bytes more than what was typed took up; SIZE_MAX: as much as it likes. */
static enum status put_in(struct farm *farm, const char *name, const char *words, size_t room, size_t *took)
{
    struct ask_case s = { .answer = NULL };
    struct typed_param typed[16];
    const struct question *q = question_find(questions, name);
    struct message why = { "", "" };
    char copy[64];

    assert_non_null(q);
    arena_open(&s.mem, (size_t)1 << 29);
    assert_int_equal(desk_zone(farm, &s.mem, &s.zone, &why), ST_OK);
    (void)snprintf(copy, sizeof copy, "%s", words);
    s.asked = (struct asked){ .question = q, .farm = farm, .at_utc_s = case_moment(AT), .zone = s.zone, .mem = &s.mem };
    assert_int_equal(asked_read(&s.asked, ask_typed(q, copy, typed), typed, &why), ST_OK);
    const size_t before = s.mem.used;
    if (room != SIZE_MAX)
        s.mem.ceiling = before + room;
    const enum status st = question_put(&s.asked, &s.answer, &why);
    *took = s.mem.used - before;
    if (st != ST_OK && !*why.text)
        fail_msg("%s: refused without a word", name);
    ask_close(&s);
    return st;
}

static void every_question_of_kin_is_refused_and_none_falls(void **state)
{
    static const struct {
        const char *name, *words;
    } asked[] = {
        { "herd", "all family=Bess" },   { "kinship", "" }, { "pairings", "" },
        { "founders", "replicates=64" }, { "keep", "" },
    };
    struct farm_case c;

    (void)state;
    small_farm(&c);
    for (size_t i = 0; i < COUNT(asked); i++) {
        size_t whole = 0, took = 0;
        assert_int_equal(put_in(c.farm, asked[i].name, asked[i].words, SIZE_MAX, &whole), ST_OK);
        for (size_t k = 0; k < PARTS; k++) {
            const enum status st = put_in(c.farm, asked[i].name, asked[i].words, whole * k / PARTS, &took);
            if (st != ST_NO_MEMORY)
                fail_msg("%s with %zu of %zu bytes: status %d", asked[i].name, whole * k / PARTS, whole, (int)st);
            refused++;
        }
    }
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_question_of_kin_is_refused_and_none_falls),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    (void)printf("desk, short memory: %zu refusals, %d failed\n", refused, failed);
    return failed;
}
