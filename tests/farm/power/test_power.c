/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Lost power at every write, a full disk, a failing disk: the file is sound afterwards, and what was acknowledged is
 * there. What a disk may do to unsynced writes: "Atomic Commit In SQLite", section 2 (hardware assumptions), taken at
 * its worst: any subset reaches the disk, in any order, torn at sectors; nothing is promised.
 */
#include "tests/farm/farm_help.h"
#include "farm/own.h"
#include "tests/farm/power/forget_vfs_body.h"

static struct {
    struct scratch s;
    unsigned char *bytes; /* a farm as it stood, on a real disk */
    size_t n;
    int64_t number;
} before;

static int make_template(void **state)
{
    FILE *f;

    (void)state;
    scratch_open(&before.s);
    some_farm(&before.s);
    assert_int_equal(farm_number(before.s.farm, &before.number, &before.s.why), ST_OK);
    farm_close(before.s.farm);
    before.s.farm = NULL;
    f = fopen(before.s.path, "rb");
    before.bytes = malloc(4 << 20);
    if (!f || !before.bytes)
        fail_msg("template");
    before.n = fread(before.bytes, 1, 4 << 20, f);
    (void)fclose(f);
    forget_begin();
    return 0;
}

static int drop_template(void **state)
{
    (void)state;
    free(before.bytes);
    forget_empty();
    scratch_close(&before.s);
    return 0;
}

enum { MOST = 16 };

struct acknowledged {
    size_t n;                 /* steps that gave ST_OK */
    bool ended;               /* all steps did */
    char uid[MOST][FARM_UID]; /* facts that are there now; "" once voided */
    enum status last;
    struct message why;
};

static enum status note_it(struct farm *f, const char *text, struct arena *mem, char uid[static FARM_UID],
                           struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("note");
    struct fact_value *values = ARENA_NEW(mem, struct fact_value, kind->n_fields);
    const struct farm_meta meta = { .who = "Ada", .recorded_utc_s = utc(2027, 6, 1, 12, 0) };
    struct farm_outcome outcome;

    values[fact_field_find(kind, "at")] = (struct fact_value){ .given = true, .whole = utc(2026, 10, 1, 0, 0) };
    values[fact_field_find(kind, "text")] = (struct fact_value){ .given = true, .text = text };
    const enum status st = farm_record(f, kind, values, &meta, mem, &outcome, why);
    if (st == ST_OK)
        (void)snprintf(uid, FARM_UID, "%s", outcome.uid);
    return st;
}

static enum status two_notes(struct farm *f, struct arena *mem, char a[static FARM_UID], char b[static FARM_UID],
                             struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("note");
    struct farm_item items[2] = { { .kind = kind }, { .kind = kind } };
    const struct farm_meta meta = { .who = "Ada", .recorded_utc_s = utc(2027, 6, 1, 12, 0) };
    size_t good = 0;

    for (int i = 0; i < 2; i++) {
        struct fact_value *values = ARENA_NEW(mem, struct fact_value, kind->n_fields);
        values[fact_field_find(kind, "at")] = (struct fact_value){ .given = true, .whole = utc(2026, 10, 1, 0, 0) };
        values[fact_field_find(kind, "text")] =
            (struct fact_value){ .given = true, .text = i ? "twin two" : "twin one" };
        items[i].values = values;
    }
    const enum status st = farm_record_batch(f, FARM_ALL_OR_NOTHING, &meta, 2, items, mem, &good, why);
    if (st == ST_OK) {
        (void)snprintf(a, FARM_UID, "%s", items[0].outcome.uid);
        (void)snprintf(b, FARM_UID, "%s", items[1].outcome.uid);
    }
    return st;
}

/* Notes, a batch of two, an undo. Stops at the first step that fails, unless `go_on`. */
static void work(struct farm *f, bool go_on, struct acknowledged *done)
{
    const struct farm_meta meta = { .who = "Ada", .recorded_utc_s = utc(2027, 6, 1, 12, 0) };
    struct farm_undo undo;
    struct arena mem;
    bool gone = false;
    size_t n = 0;

    arena_open(&mem, 1 << 26);
    *done = (struct acknowledged){ .n = 0 };
    for (int step = 0; step < 5; step++) {
        enum status st = ST_OK;
        if (step == 0 || step == 1 || step == 4) {
            st = note_it(f, step == 4 ? "the last" : "a note of some length, so that pages fill", &mem, done->uid[n],
                         &done->why);
            n += st == ST_OK;
        } else if (step == 2) {
            st = two_notes(f, &mem, done->uid[n], done->uid[n + 1], &done->why);
            n += st == ST_OK ? 2 : 0;
        } else if (n > 0) {
            st = farm_undo(f, done->uid[0], false, &meta, &mem, &undo, &done->why);
            if (st == ST_OK)
                done->uid[0][0] = '\0';
        }
        done->last = st;
        done->n += st == ST_OK;
        gone = gone || st != ST_OK;
        if (st != ST_OK && !go_on)
            break;
    }
    done->ended = !gone;
    arena_close(&mem);
}

static struct farm *open_here(struct message *why)
{
    const struct farm_how how = { .vfs = FORGET_VFS, .busy_ms = 1 };
    struct farm *f = NULL;

    return farm_open_how(before.s.path, &how, &f, why) == ST_OK ? f : NULL;
}

/* The file is sound and all that was acknowledged is there. */
static void must_hold(const struct acknowledged *done, const char *when, size_t n, uint64_t seed)
{
    struct message why = { "", "" };
    struct arena mem;
    struct fact fact, *notes = NULL;
    size_t n_notes = 0, twins = 0, wanted = 0;

    struct farm *f = open_here(&why);
    if (!f)
        fail_msg("%s %zu, seed %llu: cannot be opened: %s", when, n, (unsigned long long)seed, why.text);
    arena_open(&mem, 1 << 26);
    if (farm_verify(f, &why) != ST_OK)
        fail_msg("%s %zu, seed %llu: %s", when, n, (unsigned long long)seed, why.text);
    sqlite3_stmt *s = farm_statement(
        f, "SELECT (SELECT * FROM pragma_integrity_check(1)), (SELECT count(*) FROM pragma_foreign_key_check)", &why);
    enum status st = ST_OK;
    while (farm_row(f, s, &st, &why))
        if (strcmp((const char *)sqlite3_column_text(s, 0), "ok") != 0 || sqlite3_column_int(s, 1) != 0)
            fail_msg("%s %zu, seed %llu: %s", when, n, (unsigned long long)seed,
                     (const char *)sqlite3_column_text(s, 0));
    for (size_t i = 0; i < MOST; i++) {
        if (!done->uid[i][0])
            continue;
        wanted++;
        if (farm_fact(f, done->uid[i], 0, &mem, &fact, &why) != ST_OK || !fact.live) {
            /* the undo that was under way when the light went out may have been carried out: only for the first note */
            if (i == 0 && !done->ended)
                continue;
            fail_msg("%s %zu, seed %llu: an acknowledged note is lost", when, n, (unsigned long long)seed);
        }
    }
    assert_int_equal(farm_facts(f, fact_kind_find("note"), 0, &mem, &notes, &n_notes, &why), ST_OK);
    for (size_t i = 0; i < n_notes; i++)
        twins += strncmp(fact_text(notes[i].kind, notes[i].value, "text"), "twin", 4) == 0;
    assert_true(twins == 0 || twins == 2); /* a batch is there whole or not at all */
    assert_true(n_notes <= wanted + 2);    /* and besides that one step that was under way */
    struct acknowledged again;             /* and life goes on */
    if (seed % 7 == 0) {
        work(f, false, &again);
        if (!again.ended)
            fail_msg("%s %zu: %s", when, n, again.why.text);
    }
    farm_close(f);
    arena_close(&mem);
}

static void power_fails_at_every_write(void **state)
{
    struct acknowledged done = { .n = 0 };
    size_t runs = 0, n = 1;

    (void)state;
    for (; !done.ended; n++) {
        for (uint64_t seed = 1; seed <= 4; seed++, runs++) {
            struct message why;
            forget_empty();
            forget_load(before.s.path, before.bytes, before.n);
            struct farm *f = open_here(&why);
            if (!f)
                fail_msg("%s", why.text);
            forget_power_off_at(n);
            work(f, false, &done);
            farm_close(f);
            if (done.ended && !forget_power_is_off())
                break;
            done.ended = false;
            forget_power_on(seed * 1000003 + n);
            must_hold(&done, "power off at write", n, seed);
        }
        if (n > 20000)
            fail_msg("no end");
    }
    print_message("power lost at each of %zu writes, syncs and deletions, %zu runs\n", n - 2, runs);
    assert_true(n > 60);
}

static void errors_at_every_write(bool full)
{
    struct acknowledged done = { .n = 0 };
    size_t n = 1;

    for (; !done.ended; n++) {
        struct message why;
        forget_empty();
        forget_load(before.s.path, before.bytes, before.n);
        struct farm *f = open_here(&why);
        if (!f) {
            fail_msg("%s", why.text);
            return;
        }
        forget_error_at(n, full);
        work(f, true, &done);
        if (!done.ended && done.last != ST_OK && !strstr(done.why.text, before.s.path))
            fail_msg("call %zu: \"%s\" does not name the file", n, done.why.text);
        if (!done.ended && full)
            assert_non_null(strstr(done.why.text, "is full"));
        farm_close(f);
        forget_error_at(0, false);
        must_hold(&done, full ? "disk full at call" : "error at call", n, 7);
    }
    print_message("%s at each of %zu calls\n", full ? "disk full" : "error", n - 2);
    assert_true(n > 60);
}

static void an_error_at_every_call(void **state)
{
    (void)state;
    errors_at_every_write(false);
}

static void a_full_disk_at_every_call(void **state)
{
    (void)state;
    errors_at_every_write(true);
}

/* The test itself: with synchronous=OFF the same disk must lose or ruin something, or it does not forget. */
static void this_disk_does_forget(void **state)
{
    size_t lost = 0;

    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        struct message why;
        struct acknowledged done;
        struct arena mem;
        struct fact fact;
        forget_empty();
        forget_load(before.s.path, before.bytes, before.n);
        struct farm *f = open_here(&why);
        if (!f) {
            fail_msg("%s", why.text);
            return;
        }
        assert_int_equal(sqlite3_exec(f->db, "PRAGMA synchronous=OFF", NULL, NULL, NULL), SQLITE_OK);
        work(f, false, &done);
        assert_true(done.ended);
        forget_power_off_at(1);
        farm_close(f);
        forget_power_on(seed);
        arena_open(&mem, 1 << 24);
        f = open_here(&why);
        lost += !f || farm_verify(f, &why) != ST_OK || farm_fact(f, done.uid[1], 0, &mem, &fact, &why) != ST_OK;
        farm_close(f);
        arena_close(&mem);
    }
    print_message("without syncs %zu of 20 power cuts lose or ruin something\n", lost);
    assert_true(lost > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(this_disk_does_forget),
        cmocka_unit_test(power_fails_at_every_write),
        cmocka_unit_test(an_error_at_every_call),
        cmocka_unit_test(a_full_disk_at_every_call),
    };
    return cmocka_run_group_tests(tests, make_template, drop_template);
}
