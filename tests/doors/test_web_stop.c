/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Asked to end while many write: what was recorded was answered, what was answered is recorded, no journal is left. And a
 * lock held by another program: both doors say so in a sentence.
 */
#include "tests/doors/web_case.h"

#include <sqlite3.h>

enum { WRITERS = 6, MOST = 4000 };

/* Sends notes until the server is gone; each answered one's number goes through the pipe. */
static void write_on(const struct web_case *c, int writer, int to)
{
    for (int i = 0; i < MOST; i++) {
        char body[160];
        (void)snprintf(body, sizeof body, "{\"uid\": \"%016x%016x\", \"fact\": {\"text\": \"from %d\"}}", writer + 1, i,
                       writer);
        struct web_got got = web_post(c, "/api/record/note", body);
        const int code = got.code;
        if (code == 200 && (!got.json || write(to, &i, sizeof i) != sizeof i))
            _exit(2); /* half an answer */
        web_free(&got);
        if (code == 0)
            _exit(0);
        if (code != 200 && code != 503)
            _exit(3);
    }
    _exit(4);
}

static bool kept(sqlite3_stmt *st, int writer, int i)
{
    char uid[40];

    (void)snprintf(uid, sizeof uid, "%016x%016x", writer + 1, i);
    (void)sqlite3_reset(st);
    (void)sqlite3_bind_text(st, 1, uid, -1, SQLITE_TRANSIENT);
    return sqlite3_step(st) == SQLITE_ROW;
}

static int wait_status(pid_t child)
{
    int how = 0;

    assert_int_equal(waitpid(child, &how, 0), child);
    return WIFEXITED(how) ? WEXITSTATUS(how) : 128 + WTERMSIG(how);
}

static void begin(struct web_case *c)
{
    const char *const words[] = { "--farm", c->farm, "record", "farm",   "--name",        "Larkmoor", "--lat",
                                  "54.62",  "--lon", "-2.41",  "--zone", "Europe/London", NULL };

    if (web_run(words) != 0)
        fail_msg("no farm");
}

static void stopped_under_load_no_answer_is_lost(void **state)
{
    struct web_case c;
    int pipes[WRITERS][2];
    pid_t child[WRITERS];
    char journal[200];
    size_t answered = 0;
    sqlite3 *db = NULL;
    sqlite3_stmt *st = NULL;

    (void)state;
    web_scratch(&c);
    begin(&c);
    web_start(&c, c.farm, NULL);
    for (int w = 0; w < WRITERS; w++) {
        assert_int_equal(pipe(pipes[w]), 0);
        child[w] = fork();
        assert_true(child[w] >= 0);
        if (child[w] == 0) {
            (void)close(pipes[w][0]);
            write_on(&c, w, pipes[w][1]);
        }
        (void)close(pipes[w][1]);
    }
    int first[WRITERS];
    for (int w = 0; w < WRITERS; w++) /* all are at it */
        assert_int_equal(read(pipes[w][0], &first[w], sizeof first[w]), sizeof first[w]);
    const struct timespec a_while = { 0, 300000000 };
    (void)nanosleep(&a_while, NULL);
    assert_int_equal(web_stop(&c), 0);
    assert_int_equal(sqlite3_open(c.farm, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT 1 FROM fact WHERE uid = ?1", -1, &st, NULL), SQLITE_OK);
    for (int w = 0; w < WRITERS; w++) {
        bool said[MOST] = { false };
        int i = first[w];
        do {
            said[i] = true;
            answered++;
        } while (read(pipes[w][0], &i, sizeof i) == sizeof i);
        (void)close(pipes[w][0]);
        assert_int_equal(wait_status(child[w]), 0);
        for (i = 0; i < MOST; i++)
            if (said[i] != kept(st, w, i))
                fail_msg("writer %d, note %d: %s", w, i, said[i] ? "answered and not kept" : "kept and not answered");
    }
    (void)sqlite3_finalize(st);
    (void)sqlite3_close(db);
    (void)snprintf(journal, sizeof journal, "%s-journal", c.farm);
    assert_int_equal(access(journal, F_OK), -1);
    print_message("%zu notes answered until the end, each kept, none kept unanswered\n", answered);
    assert_true(answered >= WRITERS);
    web_scratch_gone(&c);
}

/* Both wait their three seconds first. */
static void a_lock_held_is_said_by_both_doors(void **state)
{
    struct web_case c;
    sqlite3 *db = NULL;
    char command[400], line[400] = "";

    (void)state;
    web_scratch(&c);
    begin(&c);
    web_start(&c, c.farm, NULL);
    assert_int_equal(sqlite3_open(c.farm, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    (void)snprintf(command, sizeof command, "'%s' --farm '%s' record note --text x 2>&1; echo \" exit $?\"",
                   web_program(), c.farm);
    FILE *said = popen(command, "r");
    assert_non_null(said);
    struct web_got got = web_post(&c, "/api/record/note", "{\"fact\": {\"text\": \"x\"}}");
    WEB_WANT(&got, 503);
    assert_non_null(strstr(web_text(&got, "error.sentence"), "another program is writing"));
    web_free(&got);
    const size_t n = fread(line, 1, sizeof line - 1, said);
    line[n] = '\0';
    (void)pclose(said);
    if (!strstr(line, "another program is writing") || !strstr(line, "exit 3"))
        fail_msg("the command line says: %s", line);
    assert_int_equal(sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    (void)sqlite3_close(db);
    got = web_post(&c, "/api/record/note", "{\"fact\": {\"text\": \"x\"}}");
    WEB_WANT(&got, 200);
    web_free(&got);
    assert_int_equal(web_stop(&c), 0);
    web_scratch_gone(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stopped_under_load_no_answer_is_lost),
        cmocka_unit_test(a_lock_held_is_said_by_both_doors),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
