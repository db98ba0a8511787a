/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A real disk, real processes: killed at any moment, two writers at once, a lock held too long, and random histories
 * undone.
 */
#include <errno.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <time.h>

#include "core/base/dice.h"
#include "farm/own.h"
#include "tests/farm/farm_help.h"

static enum status note_it(struct farm *f, const char *text, char uid[static FARM_UID], struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("note");
    const struct farm_meta meta = { .who = "Ada", .recorded_utc_s = utc(2027, 6, 1, 12, 0) };
    struct farm_outcome outcome;
    struct arena mem;

    arena_open(&mem, 1 << 22);
    struct fact_value *values = ARENA_NEW(&mem, struct fact_value, kind->n_fields);
    values[fact_field_find(kind, "at")] = (struct fact_value){ .given = true, .whole = utc(2026, 10, 1, 0, 0) };
    values[fact_field_find(kind, "text")] = (struct fact_value){ .given = true, .text = text };
    const enum status st = farm_record(f, kind, values, &meta, &mem, &outcome, why);
    if (st == ST_OK)
        (void)snprintf(uid, FARM_UID, "%s", outcome.uid);
    arena_close(&mem);
    return st;
}

/* A child that writes and says through the pipe what was acknowledged, until it is killed. */
static void write_until_killed(const char *path, int to)
{
    struct farm *f = NULL;
    struct message why;
    char uid[FARM_UID];

    if (farm_open(path, &f, &why) != ST_OK)
        _exit(3);
    while (note_it(f, "written while the axe hangs over it", uid, &why) == ST_OK)
        if (write(to, uid, FARM_UID) != FARM_UID)
            _exit(4);
    _exit(5);
}

static void killed_two_hundred_times(void **state)
{
    struct scratch s;
    struct dice d = dice_from(23);
    size_t acknowledged = 0;

    (void)state;
    scratch_open(&s);
    farm_close(s.farm);
    s.farm = NULL;
    for (int round = 0; round < 200; round++) {
        int ends[2];
        char uid[FARM_UID];
        char(*uids)[FARM_UID] = calloc(4096, sizeof *uids);
        size_t n = 0;
        assert_non_null(uids);
        assert_int_equal(pipe(ends), 0);
        const pid_t child = fork();
        assert_true(child >= 0);
        if (child == 0) {
            (void)close(ends[0]);
            write_until_killed(s.path, ends[1]);
        }
        (void)close(ends[1]);
        if (round % 4) /* three in four while it writes, the rest while it opens or soon after */
            n += read(ends[0], uids[0], FARM_UID) == FARM_UID;
        const struct timespec wait = { 0, (long)dice_between(&d, 0, 30e6) };
        (void)nanosleep(&wait, NULL);
        (void)kill(child, SIGKILL);
        int how = 0;
        assert_int_equal(waitpid(child, &how, 0), child);
        assert_true(WIFSIGNALED(how));
        while (n < 4096 && read(ends[0], uid, FARM_UID) == FARM_UID)
            memcpy(uids[n++], uid, FARM_UID);
        (void)close(ends[0]);
        if (farm_open(s.path, &s.farm, &s.why) != ST_OK)
            fail_msg("round %d: %s", round, s.why.text);
        for (size_t i = 0; i < n; i++) {
            struct fact fact;
            if (farm_fact(s.farm, uids[i], 0, &s.mem, &fact, &s.why) != ST_OK)
                fail_msg("round %d: acknowledged %s is lost", round, uids[i]);
        }
        if (round % 20 == 19 && farm_verify(s.farm, &s.why) != ST_OK)
            fail_msg("round %d: %s", round, s.why.text);
        acknowledged += n;
        farm_close(s.farm);
        s.farm = NULL;
        free(uids);
    }
    assert_int_equal(farm_sound(s.path, &s.why), ST_OK);
    print_message("200 kills, %zu acknowledged, none lost\n", acknowledged);
    assert_true(acknowledged >= 150); /* one at least in each round that waited for one */
    scratch_close(&s);
}

static void two_writers_at_once(void **state)
{
    enum { EACH = 1000 };
    struct scratch s;
    pid_t child[2];

    (void)state;
    scratch_open(&s);
    farm_close(s.farm);
    for (int c = 0; c < 2; c++) {
        child[c] = fork();
        assert_true(child[c] >= 0);
        if (child[c] == 0) {
            struct farm *f = NULL;
            struct message why;
            char uid[FARM_UID];
            const struct farm_how how = { .busy_ms = 60000 }; /* a machine under load; the wait itself is tried below */
            if (farm_open_how(s.path, &how, &f, &why) != ST_OK)
                _exit(1);
            for (int i = 0; i < EACH; i++)
                if (note_it(f, c ? "from the house" : "from the gate", uid, &why) != ST_OK)
                    _exit(2);
            farm_close(f);
            _exit(0);
        }
    }
    for (int c = 0; c < 2; c++) {
        int how = 0;
        assert_int_equal(waitpid(child[c], &how, 0), child[c]);
        assert_true(WIFEXITED(how));
        assert_int_equal(WEXITSTATUS(how), 0);
    }
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_OK);
    assert_int_equal(count_facts(&s, "note", 0), 2 * EACH);
    if (farm_verify(s.farm, &s.why) != ST_OK)
        fail_msg("%s", s.why.text);
    scratch_close(&s);
}

static void many_may_make_or_open_at_once(void **state)
{
    struct scratch s;
    int made = 0;

    (void)state;
    scratch_folder(&s);
    pid_t child[8];
    for (size_t c = 0; c < COUNT(child); c++) {
        child[c] = fork();
        assert_true(child[c] >= 0);
        if (child[c] == 0) {
            struct farm *f = NULL;
            struct message why;
            const enum status st = farm_create(s.path, NULL, &f, &why);
            _exit(st == ST_OK ? 0 : st == ST_CONFLICT ? 1 : 2);
        }
    }
    for (size_t c = 0; c < COUNT(child); c++) {
        int how = 0;
        assert_int_equal(waitpid(child[c], &how, 0), child[c]);
        assert_true(WIFEXITED(how) && WEXITSTATUS(how) < 2);
        made += WEXITSTATUS(how) == 0;
    }
    assert_int_equal(made, 1);
    scratch_close(&s);
}

static void a_lock_held_long_is_said(void **state)
{
    struct scratch s;
    sqlite3 *other = NULL;
    const struct farm_how how = { .busy_ms = 200 };

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    farm_close(s.farm);
    assert_int_equal(farm_open_how(s.path, &how, &s.farm, &s.why), ST_OK);
    assert_int_equal(sqlite3_open(s.path, &other), SQLITE_OK);
    assert_int_equal(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    REFUSED(&s, ST_BUSY, "another program is writing", "note", "at", "2026-10-01", "text", "x", NULL);
    assert_int_equal(count_facts(&s, "animal", 0), 4); /* reading goes on */
    assert_int_equal(sqlite3_exec(other, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    RECORDED(&s, "note", "at", "2026-10-01", "text", "x", NULL);
    (void)sqlite3_close(other);
    scratch_close(&s);
}

/* ---- random histories ---- */

static char *all_facts(struct scratch *s, int64_t known_to)
{
    struct text out;

    text_open(&out, 1 << 24);
    for (size_t k = 0; fact_kinds[k]; k++)
        assert_int_equal(farm_csv_write(s->farm, fact_kinds[k], known_to, &out, &s->why), ST_OK);
    char *copy = arena_text(&s->mem, text_get(&out));
    text_close(&out);
    return copy;
}

static void one_change(struct scratch *s, struct dice *d)
{
    const struct farm_meta meta = { .who = "Ada" };
    struct fact *animals = NULL, *services = NULL;
    struct farm_undo undo;
    char name[32], day[32];
    size_t n = 0, m = 0;

    assert_int_equal(farm_facts(s->farm, fact_kind_find("animal"), 0, &s->mem, &animals, &n, &s->why), ST_OK);
    assert_int_equal(farm_facts(s->farm, fact_kind_find("service"), 0, &s->mem, &services, &m, &s->why), ST_OK);
    (void)snprintf(name, sizeof name, "n%u", (unsigned)(dice_bits(d) % 100000));
    (void)civil_date_text(civil_days(2026, 1, 1) + (int64_t)(dice_bits(d) % 300), day);
    const struct fact *one = n ? &animals[dice_bits(d) % n] : NULL;
    switch (dice_bits(d) % 6) {
    case 0:
    case 1:
        (void)record_it(s, "animal", "name", name, "is", "sow", one ? "dam" : "note", one ? one->uid : "", NULL);
        break;
    case 2:
    case 3:
        if (one)
            (void)record_it(s, "service", "sow", one->uid, "at", day, NULL);
        break;
    case 4:
        if (one) {
            s->replaces = one->uid;
            (void)record_it(s, "animal", "name", name, "is", "sow", NULL);
        }
        break;
    case 5:
        if (m && dice_even(d) < 0.5)
            assert_int_equal(farm_void(s->farm, services[dice_bits(d) % m].uid, false, &meta, &s->mem, &undo, &s->why),
                             ST_OK);
        else if (one && dice_even(d) < 0.3)
            assert_int_equal(farm_void(s->farm, one->uid, false, &meta, &s->mem, &undo, &s->why), ST_OK);
        break;
    }
}

/* Changes of every sort, some undone and redone on the way; then all undone, newest first: the farm equals the start,
 * field by field. Then all redone: it equals the end. And every earlier state can still be read by its number. */
static void what_is_undone_is_as_it_was(void **state)
{
    const struct farm_meta meta = { .who = "Ada" };
    size_t undone = 0, states = 0;

    (void)state;
    for (uint64_t seed = 1; seed <= 12; seed++) {
        struct scratch s;
        struct dice d = dice_from(seed);
        struct farm_undo undo;
        int64_t number[200], start = 0;
        char *as_known[200];
        size_t n = 0;

        scratch_open(&s); /* an empty farm: undo may be tried at any time and never goes behind the start */
        assert_int_equal(farm_number(s.farm, &start, &s.why), ST_OK);
        const char *before = all_facts(&s, 0);
        for (int i = 0; i < 60; i++) {
            one_change(&s, &d);
            if (dice_even(&d) < 0.15 && farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why) == ST_OK &&
                dice_even(&d) < 0.5)
                assert_int_equal(farm_redo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
            assert_int_equal(farm_number(s.farm, &number[n], &s.why), ST_OK);
            if (number[n] < start)
                fail_msg("the journal went back");
            as_known[n++] = all_facts(&s, 0);
        }
        size_t steps = 0;
        for (;;) { /* back to the farm as it was: never further */
            struct farm_undo look;
            const char *now = all_facts(&s, 0);
            if (strcmp(now, before) == 0 && steps > 0)
                break;
            if (farm_undo(s.farm, NULL, true, &meta, &s.mem, &look, &s.why) != ST_OK)
                fail_msg("seed %llu, step %zu: %s", (unsigned long long)seed, steps, s.why.text);
            assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
            assert_string_equal(look.batch, undo.batch);
            if (++steps > 200)
                fail_msg("seed %llu: undoing does not lead back", (unsigned long long)seed);
        }
        undone += steps;
        for (size_t i = 0; i < n; i++, states++)
            if (strcmp(all_facts(&s, number[i]), as_known[i]) != 0)
                fail_msg("seed %llu: state %zu as known at %lld differs", (unsigned long long)seed, i,
                         (long long)number[i]);
        for (size_t i = 0; i < steps; i++)
            if (farm_redo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why) != ST_OK)
                fail_msg("seed %llu, redo %zu: %s", (unsigned long long)seed, i, s.why.text);
        if (strcmp(all_facts(&s, 0), as_known[n - 1]) != 0)
            fail_msg("seed %llu: redone, it differs", (unsigned long long)seed);
        if (farm_verify(s.farm, &s.why) != ST_OK)
            fail_msg("%s", s.why.text);
        scratch_close(&s);
    }
    print_message("%zu changes undone and redone, %zu past states read again\n", undone, states);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_undone_is_as_it_was),   cmocka_unit_test(a_lock_held_long_is_said),
        cmocka_unit_test(many_may_make_or_open_at_once), cmocka_unit_test(two_writers_at_once),
        cmocka_unit_test(killed_two_hundred_times),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
