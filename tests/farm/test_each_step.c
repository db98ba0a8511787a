/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Killed between each step and the next: an export over another, going back to a backup, bringing up a file of every
 * version there has been. What stands afterwards is the old or the new, never half of either.
 */
#include <sqlite3.h>
#include <sys/stat.h>

#include "farm/exchange_own.h"
#include "farm/own.h"
#include "tests/farm/each_step.h"
#include "tests/farm/farm_help.h"

enum { MOST_KILLS = 16 }; /* of longer works a choice, evenly spread, the first and the last among them */

static void slurp(const char *path, struct text *out)
{
    struct message why;

    text_open(out, 1 << 24);
    if (read_file(path, 1 << 24, out, &why) != ST_OK)
        fail_msg("%s", why.text);
}

static void spill(const char *path, const struct text *bytes)
{
    FILE *f = fopen(path, "wb");

    assert_non_null(f);
    assert_int_equal(fwrite(text_get(bytes), 1, bytes->length, f), bytes->length);
    assert_int_equal(fclose(f), 0);
}

static bool alike(const char *path, const struct text *bytes)
{
    struct text now;

    slurp(path, &now);
    const bool same = now.length == bytes->length && memcmp(text_get(&now), text_get(bytes), now.length) == 0;
    text_close(&now);
    return same;
}

static int64_t in_file(const char *path, const char *sql)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *st = NULL;

    if (sqlite3_open(path, &db) != SQLITE_OK || sqlite3_prepare_v2(db, sql, -1, &st, NULL) != SQLITE_OK ||
        sqlite3_step(st) != SQLITE_ROW)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    const int64_t got = sqlite3_column_int64(st, 0);
    (void)sqlite3_finalize(st);
    (void)sqlite3_close(db);
    return got;
}

static int kill_number(int i, int kills, int steps)
{
    return 1 + (int)((int64_t)i * (steps - 1) / (kills > 1 ? kills - 1 : 1));
}

static int steps_or_skip(int (*work)(void *), void *with)
{
    const int steps = steps_run(work, with, 0);

    if (steps < 0) {
        print_message("skipped: no process may be watched here\n");
        skip();
    }
    return steps;
}

/* ---- export ---- */

struct export_work {
    const char *farm, *to;
};

static int export_again(void *with)
{
    const struct export_work *w = with;
    struct message why;
    struct farm *f = NULL;

    if (farm_open(w->farm, &f, &why) != ST_OK || farm_export_json(f, w->to, &why) != ST_OK)
        return 1;
    farm_close(f);
    return 0;
}

static void an_export_is_the_old_or_the_new(void **state)
{
    struct scratch s;
    struct text old, new;
    char to[160];
    int olds = 0, news = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    (void)snprintf(to, sizeof to, "%s/all.json", s.folder);
    assert_int_equal(farm_export_json(s.farm, to, &s.why), ST_OK);
    slurp(to, &old);
    RECORDED(&s, "note", "at", "2026-10-03", "text", "more", NULL);
    struct export_work w = { s.path, to };
    const int steps = steps_or_skip(export_again, &w);
    slurp(to, &new);
    for (int n = 1; n <= steps; n++) {
        struct stat is;
        spill(to, &old);
        (void)steps_run(export_again, &w, n);
        const bool is_old = alike(to, &old);
        if (!is_old && !alike(to, &new))
            fail_msg("killed before step %d the export is neither the old nor the new", n);
        olds += is_old;
        news += !is_old;
        assert_int_equal(stat(to, &is), 0);
    }
    print_message("export: %d steps; killed before each: %d times the old, %d times the new\n", steps, olds, news);
    assert_true(olds > 2 && news > 0);
    text_close(&old);
    text_close(&new);
    scratch_close(&s);
}

/* ---- going back ---- */

struct restore_work {
    const char *backup, *farm;
};

static int go_back(void *with)
{
    const struct restore_work *w = with;
    struct message why;

    return farm_restore(w->backup, w->farm, utc(2027, 1, 1, 0, 0), &why) == ST_OK ? 0 : 1;
}

static void tidy(const struct scratch *s)
{
    char command[600];

    (void)snprintf(command, sizeof command, "rm -f '%s'.before-* '%s'-journal '%s'.restore-part*", s->path, s->path,
                   s->path);
    assert_int_equal(system(command), 0);
}

/* `ruined`: the farm file is past reading; else it is sound, with one note more than the backup. */
static void going_back(bool ruined)
{
    struct scratch s;
    struct farm_backup made;
    struct text now;
    int before = 0, after = 0;

    scratch_open(&s);
    some_farm(&s);
    assert_int_equal(farm_backup(s.farm, NULL, NULL, utc(2026, 1, 1, 0, 0), &s.mem, &made, &s.why), ST_OK);
    RECORDED(&s, "note", "at", "2026-10-03", "text", "one more", NULL);
    farm_close(s.farm);
    s.farm = NULL;
    if (ruined)
        assert_int_equal(truncate(s.path, 20000), 0);
    slurp(s.path, &now);
    struct restore_work w = { made.path, s.path };
    const int steps = steps_or_skip(go_back, &w), kills = ruined || steps < MOST_KILLS ? steps : MOST_KILLS;
    for (int i = 0; i < kills; i++) {
        const int n = kill_number(i, kills, steps);
        struct message why;
        tidy(&s);
        spill(s.path, &now);
        (void)steps_run(go_back, &w, n);
        if (access(s.path, F_OK) != 0)
            fail_msg("killed before step %d of %d there is no farm file", n, steps);
        if (ruined && alike(s.path, &now)) {
            before++;
            continue;
        }
        if (farm_open(s.path, &s.farm, &why) != ST_OK)
            fail_msg("killed before step %d of %d: %s", n, steps, why.text);
        assert_int_equal(farm_verify(s.farm, &s.why), ST_OK);
        assert_int_equal(count_facts(&s, "animal", 0), 4);
        const size_t notes = count_facts(&s, "note", 0);
        assert_true(notes == 0 || (notes == 1 && !ruined));
        before += notes == 1;
        after += notes == 0;
        farm_close(s.farm);
        s.farm = NULL;
    }
    print_message("going back, %s file: %d steps, %d kills: %d as before, %d as the backup\n",
                  ruined ? "ruined" : "sound", steps, kills, before, after);
    assert_true(before > 0 && after > 0);
    text_close(&now);
    scratch_close(&s);
}

static void going_back_is_done_or_not(void **state)
{
    (void)state;
    going_back(false);
}

static void a_ruined_file_keeps_its_place_until_the_backup_takes_it(void **state)
{
    (void)state;
    going_back(true);
}

/* ---- files of every version ---- */

static int bring_up(void *with)
{
    struct message why;
    struct farm *f = NULL;

    if (farm_open(with, &f, &why) != ST_OK)
        return 1;
    farm_close(f);
    return 0;
}

static void load(int version, struct scratch *s)
{
    sqlite3 *db = NULL;
    struct text sql;
    char path[100];

    (void)snprintf(path, sizeof path, "tests/farm/released/version_%d.sql", version);
    if (access(path, F_OK) != 0)
        fail_msg("%s is missing: a small farm file as that version wrote it, by `sqlite3 FILE .dump`, with its "
                 "application_id and user_version (docs/change/farm-file.md)",
                 path);
    slurp(path, &sql);
    assert_int_equal(sqlite3_open(s->path, &db), SQLITE_OK);
    if (sqlite3_exec(db, text_get(&sql), NULL, NULL, NULL) != SQLITE_OK)
        fail_msg("%s: %s", path, sqlite3_errmsg(db));
    (void)sqlite3_close(db);
    text_close(&sql);
    assert_int_equal(in_file(s->path, "PRAGMA user_version"), version);
}

/* Every fact that lived says what the journal of that time wrote of it. */
static void all_is_there(struct scratch *s, int64_t lived)
{
    size_t n_all = 0;

    if (farm_verify(s->farm, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
    for (size_t k = 0; fact_kinds[k]; k++) {
        struct fact *facts = NULL;
        size_t n = 0;
        assert_int_equal(farm_facts(s->farm, fact_kinds[k], 0, &s->mem, &facts, &n, &s->why), ST_OK);
        n_all += n;
    }
    assert_int_equal(n_all, lived);
    struct fact *sows = NULL;
    size_t n = 0;
    assert_int_equal(farm_facts(s->farm, fact_kind_find("animal"), 0, &s->mem, &sows, &n, &s->why), ST_OK);
    assert_int_equal(n, 3);
    for (size_t i = 0; i < n; i++) /* the corrected one says what the correction says */
        if (strcmp(fact_text(sows[i].kind, sows[i].value, "name"), "Sedge") == 0)
            assert_int_equal(fact_whole(sows[i].kind, sows[i].value, "born", 0), civil_days(2025, 1, 12));
    assert_int_equal(count_facts(s, "note", 0), 0); /* undone then, and undone now */
}

static void every_version_comes_up_and_a_kill_leaves_it_old(void **state)
{
    (void)state;
    for (int version = 1; version <= FARM_VERSION; version++) {
        struct scratch s;
        struct text old;
        int still_old = 0, up = 0;

        scratch_folder(&s);
        load(version, &s);
        slurp(s.path, &old);
        const int64_t lived = in_file(s.path, "SELECT count(*) FROM lived WHERE to_number IS NULL");
        const int steps = steps_or_skip(bring_up, s.path);
        assert_int_equal(in_file(s.path, "PRAGMA user_version"), FARM_VERSION);
        const int kills = version == FARM_VERSION ? 0 : MOST_KILLS;
        for (int i = 0; i <= kills; i++) {
            tidy(&s);
            spill(s.path, &old);
            if (i < kills) {
                (void)steps_run(bring_up, s.path, kill_number(i, kills, steps));
                const int64_t is = in_file(s.path, "PRAGMA user_version");
                if (is != version && is != FARM_VERSION)
                    fail_msg("version %d, step %d: it says %lld", version, i, (long long)is);
                still_old += is == version;
                up += is == FARM_VERSION;
                if (is == version) /* the rows of then, in the tables of then */
                    assert_int_equal(in_file(s.path, "SELECT count(*) FROM animal"), 4);
            }
            if (farm_open(s.path, &s.farm, &s.why) != ST_OK)
                fail_msg("version %d: %s", version, s.why.text);
            all_is_there(&s, lived);
            RECORDED(&s, "note", "at", "2026-10-03", "text", "life goes on", NULL);
            farm_close(s.farm);
            s.farm = NULL;
        }
        print_message("version %d: %lld facts come up; %d steps, %d kills: %d times the old file, %d times the new\n",
                      version, (long long)lived, steps, kills, still_old, up);
        assert_true(kills == 0 || still_old > kills / 2);
        text_close(&old);
        scratch_close(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_export_is_the_old_or_the_new),
        cmocka_unit_test(going_back_is_done_or_not),
        cmocka_unit_test(a_ruined_file_keeps_its_place_until_the_backup_takes_it),
        cmocka_unit_test(every_version_comes_up_and_a_kill_leaves_it_old),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
