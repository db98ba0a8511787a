/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The farm file copied by hand while it is written to, and a farm file on a disk that is no disk of this machine.
 */
#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/statfs.h>
#include <sys/wait.h>
#include <sys/xattr.h>
#include <time.h>

#include "farm/exchange_own.h"
#include "farm/own.h"
#include "tests/farm/farm_help.h"

/* ---- what statfs() says: this one stands in the place of the C library's ---- */

static long pretended; /* 0: the truth */

int statfs(const char *path, struct statfs *out)
{
    (void)path;
    memset(out, 0, sizeof *out);
    out->f_type = pretended ? pretended : 0xEF53; /* ext4 */
    return 0;
}

static void a_network_file_system_is_refused_unless_forced(void **state)
{
    static const struct {
        long type;
        const char *name;
    } net[] = { { 0x65735546, "FUSE" }, { 0x6969, "NFS" }, { 0xFE534D42, "SMB2" } };
    const struct farm_how forced = { .network_too = true };
    struct scratch s;

    (void)state;
    scratch_folder(&s);
    for (size_t i = 0; i < COUNT(net); i++) {
        pretended = net[i].type;
        assert_int_equal(farm_create(s.path, NULL, &s.farm, &s.why), ST_IO);
        if (!strstr(s.why.text, net[i].name) || !strstr(s.why.text, "own disk"))
            fail_msg("%s", s.why.text);
        assert_int_equal(access(s.path, F_OK), -1);
        assert_int_equal(farm_create(s.path, &forced, &s.farm, &s.why), ST_OK);
        farm_close(s.farm);
        assert_int_equal(farm_open(s.path, &s.farm, &s.why), ST_IO);
        assert_non_null(strstr(s.why.text, net[i].name));
        assert_int_equal(farm_open_how(s.path, &forced, &s.farm, &s.why), ST_OK);
        farm_close(s.farm);
        s.farm = NULL;
        assert_int_equal(unlink(s.path), 0);
    }
    pretended = 0;
    scratch_close(&s);
}

/* ---- copies ---- */

/* Notes "0", "1", ... until killed. */
static void write_on(const char *path)
{
    struct scratch s = { .recorded_utc_s = utc(2027, 6, 1, 12, 0) };
    char text[32];

    if (farm_open(path, &s.farm, &s.why) != ST_OK)
        _exit(3);
    for (int i = 0;; i++) {
        arena_open(&s.mem, 1 << 24);
        (void)snprintf(text, sizeof text, "%d", i);
        if (record_it(&s, "note", "at", "2026-10-01", "text", text, NULL) != ST_OK)
            _exit(4);
        arena_close(&s.mem);
    }
}

/* As `cp` does it, a piece at a time; false: there is none. */
static bool copy(const char *from, const char *to)
{
    char piece[8192];
    const int in = open(from, O_RDONLY), out = in < 0 ? -1 : open(to, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    ssize_t n = 0;

    while (out >= 0 && (n = read(in, piece, sizeof piece)) > 0)
        assert_int_equal(write(out, piece, (size_t)n), n);
    if (in >= 0)
        (void)close(in);
    if (out >= 0)
        (void)close(out);
    return out >= 0;
}

/* 0: refused; 1: opens and the check finds it damaged; 2: whole, the notes 0 to n - 1 each there. */
static int worth(struct scratch *s, const char *path)
{
    struct farm_finding *findings = NULL;
    struct fact *notes = NULL;
    size_t n = 0, n_notes = 0;
    bool wrong = false;

    if (farm_open(path, &s->farm, &s->why) != ST_OK)
        return 0;
    if (farm_check(s->farm, utc(2027, 6, 2, 0, 0), &s->mem, &findings, &n, &s->why) != ST_OK)
        wrong = true;
    for (size_t i = 0; i < n; i++)
        wrong = wrong || findings[i].grade == FARM_WRONG;
    if (!wrong) {
        assert_int_equal(farm_facts(s->farm, fact_kind_find("note"), 0, &s->mem, &notes, &n_notes, &s->why), ST_OK);
        for (size_t i = 0; i < n_notes; i++)
            if ((size_t)strtoul(fact_text(notes[i].kind, notes[i].value, "text"), NULL, 10) != i)
                fail_msg("silently wrong: of %zu notes the one at %zu is another", n_notes, i);
        assert_int_equal(count_facts(s, "animal", 0), 4);
    }
    farm_close(s->farm);
    s->farm = NULL;
    return wrong ? 1 : 2;
}

static void a_copy_made_by_hand_is_never_silently_wrong(void **state)
{
    struct scratch s;
    char to[200], journal[200], to_journal[220];
    int count[2][3] = { { 0 } };

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    farm_close(s.farm);
    s.farm = NULL;
    (void)snprintf(to, sizeof to, "%s/copy.farm", s.folder);
    (void)snprintf(journal, sizeof journal, "%s-journal", s.path);
    (void)snprintf(to_journal, sizeof to_journal, "%s-journal", to);
    (void)fflush(NULL);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        write_on(s.path);
    for (int i = 0; i < 40; i++) {
        const bool journal_too = i % 2;
        const struct timespec pause = { 0, 5000000 + i % 7 * 1000000 };
        (void)nanosleep(&pause, NULL);
        (void)unlink(to_journal);
        assert_true(copy(s.path, to));
        if (journal_too)
            (void)copy(journal, to_journal);
        count[journal_too][worth(&s, to)]++;
    }
    (void)kill(child, SIGKILL);
    assert_int_equal(waitpid(child, NULL, 0), child);
    /* at rest, with the journal that the kill may have left: whole */
    (void)unlink(to_journal);
    assert_true(copy(s.path, to));
    (void)copy(journal, to_journal);
    assert_int_equal(worth(&s, to), 2);
    for (int j = 0; j < 2; j++)
        print_message("20 copies %s its journal: %d refused, %d said to be damaged by the check, %d whole\n",
                      j ? "with" : "without", count[j][0], count[j][1], count[j][2]);
    scratch_close(&s);
}

/* ---- large files: not looked through at every opening ---- */

/* Several MB of notes. */
static void large_farm(struct scratch *s)
{
    char *words = malloc(3001);

    scratch_open(s);
    some_farm(s);
    assert_non_null(words);
    memset(words, 'w', 3000);
    words[3000] = '\0';
    for (int i = 0; i < 700; i++) {
        struct arena kept = s->mem;
        arena_open(&s->mem, 1 << 24);
        (void)snprintf(words, 8, "%06d", i);
        words[6] = ' ';
        RECORDED(s, "note", "at", "2026-10-01", "text", words, NULL);
        arena_close(&s->mem);
        s->mem = kept;
    }
    free(words);
    farm_close(s->farm);
    s->farm = NULL;
}

static off_t bytes_of(const char *path)
{
    struct stat is;

    assert_int_equal(stat(path, &is), 0);
    return is.st_size;
}

/* As a copy tears: one page stays as it was before, here empty. */
static void tear(const char *path, off_t page)
{
    char zeros[4096] = { 0 };
    const int fd = open(path, O_WRONLY);

    assert_true(fd >= 0);
    assert_int_equal(pwrite(fd, zeros, sizeof zeros, page * (off_t)sizeof zeros), (ssize_t)sizeof zeros);
    assert_int_equal(close(fd), 0);
}

static bool marks_are_kept(const char *path)
{
    return setxattr(path, "user.leenest.test", "1", 1, 0) == 0;
}

static void a_large_copy_that_tore_is_refused_at_its_first_opening(void **state)
{
    struct scratch s;
    char to[200];
    size_t refused = 0;

    (void)state;
    large_farm(&s);
    if (!marks_are_kept(s.path)) {
        scratch_close(&s);
        print_message("skipped: the disk under /tmp keeps no marks on files\n");
        skip();
    }
    (void)snprintf(to, sizeof to, "%s/copy.farm", s.folder);
    const off_t pages = bytes_of(s.path) / 4096;
    assert_true(pages * 4096 > 2 * 1024 * 1024);
    for (off_t page = 8; page < pages; page += pages / 20) {
        (void)unlink(to);
        assert_true(copy(s.path, to));
        assert_int_equal(farm_open(to, &s.farm, &s.why), ST_OK); /* a whole copy is taken, and marked */
        farm_close(s.farm);
        s.farm = NULL;
        assert_false(farm_is_new_here(to));
        (void)unlink(to);
        assert_true(copy(s.path, to));
        tear(to, page);
        if (farm_open(to, &s.farm, &s.why) == ST_OK)
            fail_msg("a copy torn at page %lld of %lld is opened", (long long)page, (long long)pages);
        if (!strstr(s.why.text, "damaged"))
            fail_msg("%s", s.why.text);
        refused++;
    }
    /* a cut copy says so itself: the file is shorter than its own head tells */
    (void)unlink(to);
    assert_true(copy(s.path, to));
    assert_int_equal(truncate(to, (pages - 3) * 4096), 0);
    assert_int_equal(farm_open(to, &s.farm, &s.why), ST_IO);
    print_message("%zu torn copies of %lld pages refused at their first opening, and one cut short\n", refused,
                  (long long)pages);
    scratch_close(&s);
}

/* A mark that a copy took along names another file. */
static void a_mark_that_was_copied_is_not_believed(void **state)
{
    struct scratch s;
    char to[200], mark[64];

    (void)state;
    scratch_open(&s);
    if (!marks_are_kept(s.path)) {
        scratch_close(&s);
        skip();
    }
    farm_close(s.farm);
    s.farm = NULL;
    (void)snprintf(to, sizeof to, "%s/copy.farm", s.folder);
    assert_true(farm_is_new_here(s.path));
    farm_mark_looked(s.path);
    assert_false(farm_is_new_here(s.path));
    const ssize_t n = getxattr(s.path, "user.leenest.looked", mark, sizeof mark);
    assert_true(n > 2);
    assert_true(copy(s.path, to));
    assert_int_equal(setxattr(to, "user.leenest.looked", mark, (size_t)n, 0), 0);
    assert_true(farm_is_new_here(to));
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_network_file_system_is_refused_unless_forced),
        cmocka_unit_test(a_copy_made_by_hand_is_never_silently_wrong),
        cmocka_unit_test(a_large_copy_that_tore_is_refused_at_its_first_opening),
        cmocka_unit_test(a_mark_that_was_copied_is_not_believed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
