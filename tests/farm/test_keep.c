/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Opening, settings, backups, going back to one, looking the farm over, migration.
 */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include "farm/own.h"
#include "farm/weather_store.h"
#include "tests/farm/farm_help.h"

static int64_t pragma(struct scratch *s, const char *sql)
{
    sqlite3_stmt *st = NULL;
    int64_t got = -1;

    if (sqlite3_prepare_v2(s->farm->db, sql, -1, &st, NULL) != SQLITE_OK || sqlite3_step(st) != SQLITE_ROW)
        fail_msg("%s", sql);
    got = sqlite3_column_type(st, 0) == SQLITE_TEXT ? strcmp((const char *)sqlite3_column_text(st, 0), "delete") == 0
                                                    : sqlite3_column_int64(st, 0);
    (void)sqlite3_finalize(st);
    return got;
}

static void settings_are_as_they_should_be(void **state)
{
    struct scratch s;
    struct stat is;
    int defensive = 0;

    (void)state;
    scratch_open(&s);
    farm_close(s.farm);
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_OK);
    assert_int_equal(pragma(&s, "PRAGMA journal_mode"), 1);
    assert_int_equal(pragma(&s, "PRAGMA synchronous"), 3); /* EXTRA */
    assert_int_equal(pragma(&s, "PRAGMA foreign_keys"), 1);
    assert_int_equal(pragma(&s, "PRAGMA trusted_schema"), 0);
    assert_int_equal(pragma(&s, "PRAGMA cell_size_check"), 1);
    assert_int_equal(pragma(&s, "PRAGMA busy_timeout"), 3000);
    assert_int_equal(pragma(&s, "PRAGMA application_id"), FARM_APPLICATION);
    assert_int_equal(pragma(&s, "PRAGMA user_version"), FARM_VERSION);
    assert_int_equal(sqlite3_db_config(s.farm->db, SQLITE_DBCONFIG_DEFENSIVE, -1, &defensive), SQLITE_OK);
    assert_int_equal(defensive, 1);
    assert_int_equal(pragma(&s, "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND sql NOT LIKE '%STRICT%'"),
                     0);
    assert_int_equal(stat(s.path, &is), 0);
    assert_int_equal(is.st_mode & 0777, 0600);
    scratch_close(&s);
}

static void what_is_no_farm_file_is_refused(void **state)
{
    struct scratch s;
    struct farm *f = NULL;
    char path[200];

    (void)state;
    scratch_open(&s);
    assert_int_equal(farm_open("/nowhere/x.farm", &f, &s.why), ST_NOT_FOUND);
    assert_int_equal(farm_open(s.folder, &f, &s.why), ST_BAD_INPUT);
    assert_int_equal(farm_create(s.path, NULL, &f, &s.why), ST_CONFLICT);
    assert_int_equal(farm_create("/nowhere/x.farm", NULL, &f, &s.why), ST_NOT_FOUND);
    (void)snprintf(path, sizeof path, "%s/text", s.folder);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    for (int i = 0; i < 500; i++)
        (void)fputs("this is a shopping list\n", file);
    (void)fclose(file);
    assert_int_equal(farm_open(path, &f, &s.why), ST_BAD_INPUT);
    assert_non_null(strstr(s.why.text, "is not a farm file"));
    assert_int_equal(truncate(path, 0), 0);
    assert_int_equal(farm_open(path, &f, &s.why), ST_BAD_INPUT);
    assert_non_null(strstr(s.why.text, "is empty"));
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "CREATE TABLE x(y)", NULL, NULL, NULL), SQLITE_OK);
    (void)sqlite3_close(db);
    assert_int_equal(farm_open(path, &f, &s.why), ST_BAD_INPUT);
    assert_non_null(strstr(s.why.text, "not a farm file"));
    scratch_close(&s);
}

static void network_file_systems_are_known(void **state)
{
    (void)state; /* numbers of linux/magic.h and statfs(2) */
    assert_string_equal(farm_network_name(0x6969), "NFS");
    assert_string_equal(farm_network_name(0xFE534D42), "SMB2");
    assert_string_equal(farm_network_name(0x65735546), "FUSE");
    assert_null(farm_network_name(0xEF53));     /* ext4 */
    assert_null(farm_network_name(0x01021994)); /* tmpfs */
    assert_null(farm_network_name(0x9123683E)); /* btrfs */
    assert_null(farm_network_name(0x58465342)); /* xfs */
}

static void a_newer_file_is_read_and_not_written(void **state)
{
    struct scratch s;
    const char *sentence = "";

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    assert_int_equal(sqlite3_exec(s.farm->db, "PRAGMA user_version = 99", NULL, NULL, NULL), SQLITE_OK);
    farm_close(s.farm);
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_OK);
    assert_true(farm_read_only(s.farm, &sentence));
    assert_non_null(strstr(sentence, "newer leenest"));
    assert_int_equal(count_facts(&s, "animal", 0), 4);
    REFUSED(&s, ST_IO, "newer leenest", "note", "at", "2026-01-01", "text", "x", NULL);
    farm_close(s.farm);
    const struct farm_how how = { .read_only = true };
    assert_int_equal(farm_open_how(s.path, &how, &s.farm, &s.why), ST_OK);
    REFUSED(&s, ST_IO, "newer leenest", "note", "at", "2026-01-01", "text", "x", NULL);
    scratch_close(&s);
}

/* ---- migration ---- */

static void an_older_file_is_brought_up_to_date(void **state)
{
    struct scratch s;
    struct farm_backup *backups = NULL;
    struct fact *before = NULL, *after = NULL;
    struct stat is;
    size_t n = 0, m = 0, n_backups = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "service", "sow", "Bramble", "boar", "Rusty", "at", "2026-10-03", NULL);
    RECORDED(&s, "note", "at", "2026-10-03", "text", "kept", NULL);
    assert_int_equal(farm_facts(s.farm, fact_kind_find("animal"), 0, &s.mem, &before, &n, &s.why), ST_OK);
    /* make it look as an earlier release would have left it: a table without some columns, one absent */
    assert_int_equal(sqlite3_exec(s.farm->db,
                                  "PRAGMA foreign_keys=OFF; PRAGMA legacy_alter_table=ON; BEGIN;"
                                  "CREATE TABLE old(id INTEGER PRIMARY KEY REFERENCES fact(id), name TEXT NOT NULL, "
                                  "tag TEXT, \"is\" TEXT NOT NULL, kept TEXT,"
                                  " born INTEGER) STRICT;"
                                  "INSERT INTO old SELECT id, name, tag, \"is\", kept, born FROM animal; DROP TABLE "
                                  "animal; ALTER TABLE old RENAME TO animal;"
                                  "DROP TABLE tick; COMMIT",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    farm_close(s.farm);
    s.farm = NULL;
    const struct farm_how only_look = { .no_migration = true };
    assert_int_equal(farm_open_how(s.path, &only_look, &s.farm, &s.why), ST_IO);
    assert_non_null(strstr(s.why.text, "brought up to date"));
    if (farm_open(s.path, &s.farm, &s.why) != ST_OK)
        fail_msg("%s", s.why.text);
    assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n_backups, &s.why), ST_OK);
    assert_int_equal(n_backups, 1);
    assert_int_equal(stat(backups[0].path, &is), 0);
    assert_int_equal(farm_facts(s.farm, fact_kind_find("animal"), 0, &s.mem, &after, &m, &s.why), ST_OK);
    assert_int_equal(n, m);
    for (size_t i = 0; i < n; i++)
        assert_string_equal(fact_json(before[i].kind, before[i].value, &s.mem),
                            fact_json(after[i].kind, after[i].value, &s.mem));
    assert_int_equal(count_facts(&s, "service", 0), 1);
    assert_int_equal(count_facts(&s, "tick", 0), 0);
    RECORDED(&s, "tick", "prompt", "water-morning", "at", "2026-10-03", NULL);
    RECORDED(&s, "animal", "name", "Fern", "is", "gilt", "teats", "14", NULL);
    assert_int_equal(farm_verify(s.farm, &s.why), ST_OK);
    farm_close(s.farm);
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_OK); /* and only once */
    assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n_backups, &s.why), ST_OK);
    assert_int_equal(n_backups, 1);
    scratch_close(&s);
}

static void a_migration_that_breaks_something_leaves_the_old_file(void **state)
{
    struct scratch s;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "service", "sow", "Bramble", "boar", "Rusty", "at", "2026-10-03", NULL);
    /* an animal of a sort that the table of today does not allow */
    assert_int_equal(sqlite3_exec(s.farm->db,
                                  "PRAGMA foreign_keys=OFF; PRAGMA legacy_alter_table=ON; BEGIN;"
                                  "CREATE TABLE old(id INTEGER PRIMARY KEY REFERENCES fact(id), name TEXT NOT NULL, "
                                  "tag TEXT, \"is\" TEXT NOT NULL) STRICT;"
                                  "INSERT INTO old SELECT id, name, tag, 'hog' FROM animal; DROP TABLE animal; ALTER "
                                  "TABLE old RENAME TO animal;"
                                  "COMMIT",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    farm_close(s.farm);
    s.farm = NULL;
    assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_CONFLICT);
    sqlite3 *db = NULL;
    sqlite3_stmt *st = NULL;
    assert_int_equal(sqlite3_open(s.path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT count(*) FROM animal WHERE \"is\" = 'hog'", -1, &st, NULL),
                     SQLITE_OK);
    assert_int_equal(sqlite3_step(st), SQLITE_ROW);
    assert_int_equal(sqlite3_column_int(st, 0), 4);
    (void)sqlite3_finalize(st);
    (void)sqlite3_close(db);
    scratch_close(&s);
}

/* ---- backups ---- */

static void backups_are_made_thinned_and_restored(void **state)
{
    struct scratch s;
    struct farm_backup made, *backups = NULL;
    size_t n = 0;
    char second[200];

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    (void)snprintf(second, sizeof second, "%s/stick", s.folder);
    for (int day = 0; day < 500; day += day < 480 ? 3 : 1)
        if (farm_backup(s.farm, NULL, day == 499 ? second : NULL, utc(2026, 1, 1, 20, 0) + day * DAY_S, &s.mem, &made,
                        &s.why) != ST_OK)
            fail_msg("day %d: %s", day, s.why.text);
    assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n, &s.why), ST_OK);
    const int64_t newest = utc(2026, 1, 1, 20, 0) + 499 * DAY_S;
    assert_int_equal(backups[0].made_utc_s, newest);
    for (int i = 0; i < 7; i++) /* of 500 days, every third, the last twenty all: 7 days, 4 weeks, 12 months stay */
        assert_int_equal(backups[i].made_utc_s, newest - i * DAY_S);
    assert_true(n >= 7 + 3 + 10 && n <= 7 + 3 + 12);
    assert_true(newest - backups[n - 1].made_utc_s > 310 * DAY_S);
    assert_int_equal(farm_backups(s.path, second, &s.mem, &backups, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    /* something goes wrong, and the state of the backup comes back; the server keeps its handle all the while */
    struct farm_undo undo;
    const struct farm_meta meta = { .who = "Ada" };
    RECORDED(&s, "note", "at", "2026-10-03", "text", "later", NULL);
    assert_int_equal(farm_restore(made.path, s.path, newest, &s.why), ST_OK);
    assert_int_equal(count_facts(&s, "note", 0), 0);
    assert_int_equal(count_facts(&s, "animal", 0), 4);
    RECORDED(&s, "note", "at", "2026-10-03", "text", "again", NULL);
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    char aside[200];
    (void)snprintf(aside, sizeof aside, "%s.before-restore-20270515T200000Z", s.path);
    struct farm *was = NULL;
    assert_int_equal(farm_open(aside, &was, &s.why), ST_OK);
    farm_close(was);
    assert_int_equal(farm_restore("/nowhere", s.path, newest, &s.why), ST_NOT_FOUND);
    assert_int_equal(farm_restore(s.path, s.path, newest, &s.why), ST_BAD_INPUT);
    assert_non_null(strstr(s.why.text, "is the farm file itself"));
    assert_int_equal(truncate(made.path, 5000), 0);
    assert_int_equal(farm_restore(made.path, s.path, newest + 1, &s.why), ST_BAD_INPUT);
    assert_int_equal(count_facts(&s, "animal", 0), 4);
    scratch_close(&s);
}

static void written_at(struct scratch *s, int64_t utc_s)
{
    const struct timespec both[2] = { { utc_s, 0 }, { utc_s, 0 } };
    assert_int_equal(utimensat(AT_FDCWD, s->path, both, 0), 0);
}

/* Made once a day, and not where nothing was written since the newest. */
static void a_day_has_its_backup(void **state)
{
    const int64_t start = utc(2026, 1, 1, 20, 0);
    const struct {
        int64_t written, at;
        bool made;
    } steps[] = {
        { start - 60, start, true },
        { start + 60, start + 3600, false },      /* the newest is an hour old */
        { start + 60, start + DAY_S + 60, true }, /* a day old, and written to since */
        { start + 60, start + 3 * DAY_S, false }, /* nothing written since */
        { start + 4 * DAY_S, start + 5 * DAY_S, true },
    };
    struct scratch s;
    struct farm_backup made, *backups = NULL;
    size_t n = 0, want = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    for (size_t i = 0; i < COUNT(steps); i++) {
        written_at(&s, steps[i].written);
        assert_int_equal(farm_backup_of_day(s.path, steps[i].at, &s.mem, &made, &s.why), ST_OK);
        if ((made.path != NULL) != steps[i].made)
            fail_msg("step %zu: %s", i, made.path ? "made" : "none made");
        want += steps[i].made;
        assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n, &s.why), ST_OK);
        assert_int_equal(n, want);
    }
    assert_int_equal(farm_backup_of_day("/nowhere/farm.leenest", start, &s.mem, &made, &s.why), ST_OK);
    assert_null(made.path);
    scratch_close(&s);
}

static void a_failed_backup_leaves_the_old_ones(void **state)
{
    struct scratch s;
    struct farm_backup made, *backups = NULL;
    size_t n = 0;
    char folder[200];

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    assert_int_equal(farm_backup(s.farm, NULL, NULL, utc(2026, 1, 1, 0, 0), &s.mem, &made, &s.why), ST_OK);
    assert_int_equal(farm_backup(s.farm, "/proc/nowhere", NULL, utc(2026, 1, 2, 0, 0), &s.mem, &made, &s.why), ST_IO);
    assert_int_equal(farm_backup(s.farm, NULL, "/proc/nowhere", utc(2026, 1, 3, 0, 0), &s.mem, &made, &s.why), ST_IO);
    assert_non_null(strstr(s.why.text, "the second copy failed"));
    assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n, &s.why), ST_OK);
    assert_int_equal(n, 2);
    (void)snprintf(folder, sizeof folder, "%s.backups", s.path);
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *e; (e = readdir(dir));)
        assert_null(strstr(e->d_name, ".part"));
    (void)closedir(dir);
    scratch_close(&s);
}

/* Killed at any moment of making a backup: what stands under a backup's name is whole. */
static void backups_killed_at_any_point_are_whole(void **state)
{
    struct scratch s;
    struct farm_backup *backups = NULL;
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    farm_close(s.farm);
    s.farm = NULL;
    for (int i = 0; i < 30; i++) {
        const pid_t child = fork();
        assert_true(child >= 0);
        if (child == 0) {
            struct farm *f = NULL;
            struct arena mem;
            struct message why;
            struct farm_backup made;
            arena_open(&mem, 1 << 24);
            if (farm_open(s.path, &f, &why) == ST_OK)
                for (int k = 0; k < 100; k++)
                    if (farm_backup(f, NULL, NULL, utc(2026, 1, 1, 0, 0) + i * DAY_S + k, &mem, &made, &why) != ST_OK)
                        break;
            farm_close(f);
            arena_close(&mem);
            arena_close(&s.mem); /* the child's copy: the leak checker looks at it too */
            _exit(0);
        }
        /* one round in three waits until a backup of its own stands, however slow the machine; the rest are cut
         * anywhere */
        const struct timespec pause = { 0, 50000000L };
        bool stands = i % 3 != 0;
        for (int tries = 0; !stands && tries < 1200; tries++) {
            (void)nanosleep(&pause, NULL);
            assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n, &s.why), ST_OK);
            stands = n > 0 && backups[0].made_utc_s >= utc(2026, 1, 1, 0, 0) + i * DAY_S;
        }
        assert_true(stands);
        const struct timespec wait = { 0, 20000000L + i * 16700000L };
        (void)nanosleep(&wait, NULL);
        (void)kill(child, SIGKILL);
        assert_int_equal(waitpid(child, NULL, 0), child);
    }
    assert_int_equal(farm_backups(s.path, NULL, &s.mem, &backups, &n, &s.why), ST_OK);
    print_message("%zu backups stand after 30 kills\n", n);
    assert_true(n > 0);
    for (size_t i = 0; i < n; i++)
        assert_int_equal(farm_sound(backups[i].path, &s.why), ST_OK);
    scratch_close(&s);
}

/* ---- damage ---- */

/* Every byte of the file in turn would take long: every 997th, and all of the first page. */
static void a_flipped_byte_is_found(void **state)
{
    struct scratch s;
    struct stat is;
    size_t n_open = 0, n_found = 0, n_harmless = 0, n_tried = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    for (int i = 0; i < 30; i++)
        RECORDED(&s, "note", "at", "2026-10-03", "text", "the gilt in the far corner lay down at dusk", NULL);
    struct hour hours[48] = { { .utc_s = 0 } };
    for (int i = 0; i < 48; i++)
        hours[i].utc_s = utc(2026, 1, 1, 0, 0) + i * HOUR_S;
    struct weather_lot lot = { .sort = WEATHER_PAST, .source = "s" };
    assert_int_equal(farm_weather_put(s.farm, &lot, 48, hours, &(struct farm_meta){ .who = "" }, &s.why), ST_OK);
    struct farm_backup made;
    assert_int_equal(farm_backup(s.farm, NULL, NULL, utc(2026, 1, 1, 0, 0), &s.mem, &made, &s.why), ST_OK);
    struct text before, now;
    text_open(&before, 1 << 20);
    text_open(&now, 1 << 20);
    assert_int_equal(farm_csv_write(s.farm, fact_kind_find("note"), 0, &before, &s.why), ST_OK);
    farm_close(s.farm);
    s.farm = NULL;
    assert_int_equal(stat(s.path, &is), 0);
    unsigned char *whole = malloc((size_t)is.st_size);
    assert_non_null(whole);
    int fd = open(s.path, O_RDONLY);
    assert_int_equal(read(fd, whole, (size_t)is.st_size), is.st_size);
    (void)close(fd);
    for (off_t at = 0; at < is.st_size; at += at < 112 ? 1 : 997) {
        struct farm_finding *findings = NULL;
        size_t n = 0;
        bool wrong = false;
        fd = open(s.path, O_WRONLY | O_TRUNC);
        whole[at] ^= 0x55;
        assert_int_equal(write(fd, whole, (size_t)is.st_size), is.st_size);
        whole[at] ^= 0x55;
        (void)close(fd);
        s.why = (struct message){ "", "" };
        const enum status st = farm_open(s.path, &s.farm, &s.why);
        n_tried++;
        if (st != ST_OK) {
            n_open++;
            assert_true(s.why.text[0] != '\0');
            if (st == ST_IO && strstr(s.why.text, "damaged") &&
                !strstr(s.why.text, ".backups/")) /* where to go back to */
                fail_msg("byte %lld: \"%s\"", (long long)at, s.why.text);
        } else {
            const enum status checked = farm_check(s.farm, utc(2026, 1, 1, 0, 0), &s.mem, &findings, &n, &s.why);
            for (size_t i = 0; checked == ST_OK && i < n; i++)
                wrong = wrong || findings[i].grade == FARM_WRONG;
            n_found += wrong || checked != ST_OK;
            n_harmless += !wrong && checked == ST_OK;
            if (!wrong && checked == ST_OK) /* then every fact must still say what it said */
                assert_int_equal(farm_csv_write(s.farm, fact_kind_find("note"), 0, &now, &s.why), ST_OK);
            if (!wrong && checked == ST_OK && strcmp(text_get(&now), text_get(&before)) != 0)
                fail_msg("byte %lld changed a note, and nobody noticed", (long long)at);
            text_close(&now);
        }
        farm_close(s.farm);
        s.farm = NULL;
    }
    free(whole);
    text_close(&before);
    print_message(
        "%zu bytes flipped: %zu refused at opening, %zu found by the check, %zu without effect (unused bytes)\n",
        n_tried, n_open, n_found, n_harmless);
    assert_true(n_open + n_found > n_tried / 10);
    scratch_close(&s);
}

static void the_check_says_what_is_open_and_old(void **state)
{
    struct scratch s;
    struct farm_finding *findings = NULL;
    size_t n = 0;
    const int64_t at = utc(2027, 6, 1, 12, 0);
    static const char *const wanted[] = { "no-backup",         "flags",         "no-forecast", "overdue",
                                          "stock-not-counted", "boar-still-in", "file-open" };

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2027-02-01", NULL); /* 120 days ago */
    RECORDED(&s, "animal", "name", "Bramble", "is", "boar", NULL);       /* flagged: same name */
    RECORDED(&s, "boar_run", "boar", "Rusty", "group", "dry sows", "from", "2027-01-01", NULL);
    assert_int_equal(chmod(s.path, 0644), 0);
    assert_int_equal(farm_check(s.farm, at, &s.mem, &findings, &n, &s.why), ST_OK);
    for (size_t w = 0; w < COUNT(wanted); w++) {
        bool found = false;
        for (size_t i = 0; i < n; i++)
            found = found || strcmp(findings[i].key, wanted[w]) == 0;
        if (!found)
            fail_msg("no finding %s", wanted[w]);
    }
    for (size_t i = 0; i < n; i++)
        assert_int_not_equal(findings[i].grade, FARM_WRONG);
    /* each put right */
    RECORDED(&s, "farrowing", "sow", "12", "start", "2027-05-28", "born_alive", "7", NULL);
    assert_int_equal(chmod(s.path, 0600), 0);
    RECORDED(&s, "stock", "at", "2027-05-30", "straw_kg", "400", NULL);
    struct farm_backup made;
    assert_int_equal(farm_backup(s.farm, NULL, NULL, at - DAY_S, &s.mem, &made, &s.why), ST_OK);
    struct hour hours[2] = { { .utc_s = at - 3600 }, { .utc_s = at + 3600 } };
    struct weather_lot lot = { .sort = WEATHER_FORECAST, .source = "s", .fetched_utc_s = at - 20 * HOUR_S };
    assert_int_equal(farm_weather_put(s.farm, &lot, 2, hours, &(struct farm_meta){ .who = "" }, &s.why), ST_OK);
    assert_int_equal(farm_check(s.farm, at, &s.mem, &findings, &n, &s.why), ST_OK);
    for (size_t i = 0; i < n; i++) {
        assert_string_not_equal(findings[i].key, "overdue");
        assert_string_not_equal(findings[i].key, "file-open");
        assert_string_not_equal(findings[i].key, "no-backup");
        assert_string_not_equal(findings[i].key, "stock-not-counted");
        if (strcmp(findings[i].key, "forecast-old") == 0)
            assert_string_equal(findings[i].says, "the newest forecast came 20 hours ago");
    }
    /* a reference broken by hand */
    assert_int_equal(
        sqlite3_exec(s.farm->db,
                     "PRAGMA foreign_keys=OFF; DELETE FROM animal WHERE name = 'Sedge'; PRAGMA foreign_keys=ON", NULL,
                     NULL, NULL),
        SQLITE_OK);
    assert_int_equal(farm_check(s.farm, at, &s.mem, &findings, &n, &s.why), ST_OK);
    bool wrong = false;
    for (size_t i = 0; i < n; i++)
        wrong = wrong || findings[i].grade == FARM_WRONG;
    assert_true(wrong);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(settings_are_as_they_should_be),
        cmocka_unit_test(what_is_no_farm_file_is_refused),
        cmocka_unit_test(network_file_systems_are_known),
        cmocka_unit_test(a_newer_file_is_read_and_not_written),
        cmocka_unit_test(an_older_file_is_brought_up_to_date),
        cmocka_unit_test(a_migration_that_breaks_something_leaves_the_old_file),
        cmocka_unit_test(backups_are_made_thinned_and_restored),
        cmocka_unit_test(a_day_has_its_backup),
        cmocka_unit_test(a_failed_backup_leaves_the_old_ones),
        cmocka_unit_test(backups_killed_at_any_point_are_whole),
        cmocka_unit_test(a_flipped_byte_is_found),
        cmocka_unit_test(the_check_says_what_is_open_and_old),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
