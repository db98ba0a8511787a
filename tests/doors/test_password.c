/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * `leenest password` at a terminal: what is typed is not shown, two that differ are refused, and Ctrl-C leaves the
 * terminal as it was. (From a pipe: tests/doors/check_web_lan.sh.)
 */
#include "tests/farm/farm_help.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <termios.h>

#include "farm/device.h"

extern int posix_openpt(int); /* X/Open; the feature level of the build is POSIX */
extern int grantpt(int);
extern int unlockpt(int);
extern char *ptsname(int);

struct at_terminal {
    pid_t child;
    int line, end; /* our side and the program's */
    char shown[8192];
    size_t n;
};

static void start(struct at_terminal *t, const char *farm)
{
    const char *program = getenv("LEENEST");

    memset(t, 0, sizeof *t);
    t->line = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(t->line >= 0 && grantpt(t->line) == 0 && unlockpt(t->line) == 0);
    t->end = open(ptsname(t->line), O_RDWR | O_NOCTTY);
    assert_true(t->end >= 0);
    (void)fflush(NULL);
    t->child = fork();
    assert_true(t->child >= 0);
    if (t->child == 0) {
        (void)setsid();
        const int own = open(ptsname(t->line), O_RDWR); /* becomes the session's terminal */
        dup2(own, 0);
        dup2(own, 1);
        dup2(own, 2);
        close(t->line);
        execl(program && *program ? program : "build/leenest", "leenest", "--farm", farm, "password", (char *)NULL);
        _exit(127);
    }
}

/* Until the terminal shows these words (again, past what was looked at before). */
static void wait_for(struct at_terminal *t, const char *words, size_t from)
{
    for (int i = 0; i < 300; i++) {
        struct pollfd fd = { .fd = t->line, .events = POLLIN };
        if (strstr(t->shown + from, words))
            return;
        if (poll(&fd, 1, 100) > 0 && t->n < sizeof t->shown - 1) {
            const ssize_t got = read(t->line, t->shown + t->n, sizeof t->shown - 1 - t->n);
            t->n += got > 0 ? (size_t)got : 0;
        }
    }
    fail_msg("the terminal shows \"%s\", not \"%s\"", t->shown + from, words);
}

static bool shows_what_is_typed(const struct at_terminal *t)
{
    struct termios now;

    assert_int_equal(tcgetattr(t->end, &now), 0);
    return (now.c_lflag & ECHO) != 0;
}

static void type(struct at_terminal *t, const char *text)
{
    assert_int_equal(write(t->line, text, strlen(text)), strlen(text));
}

static int end(struct at_terminal *t)
{
    int status = 0;

    assert_int_equal(waitpid(t->child, &status, 0), t->child);
    struct pollfd fd = { .fd = t->line, .events = POLLIN };
    while (poll(&fd, 1, 50) > 0 && t->n < sizeof t->shown - 1) {
        const ssize_t got = read(t->line, t->shown + t->n, sizeof t->shown - 1 - t->n);
        if (got <= 0)
            break;
        t->n += (size_t)got;
    }
    assert_true(shows_what_is_typed(t));
    (void)close(t->line);
    (void)close(t->end);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

static bool password_is_set(struct scratch *s)
{
    const char *hash = NULL;

    assert_int_equal(farm_password(s->farm, &s->mem, &hash, &s->why), ST_OK);
    return hash != NULL;
}

static void what_is_typed_is_not_shown(void **state)
{
    struct scratch s;
    struct at_terminal t;

    (void)state;
    scratch_open(&s);
    start(&t, s.path);
    wait_for(&t, "New password", 0);
    assert_false(shows_what_is_typed(&t));
    type(&t, "clean straw\n");
    wait_for(&t, "Once more", 0);
    type(&t, "clean straw\n");
    assert_int_equal(end(&t), 0);
    assert_non_null(strstr(t.shown, "The password is set"));
    assert_null(strstr(t.shown, "clean"));
    assert_true(password_is_set(&s));
    scratch_close(&s);
}

static void two_that_differ_or_are_short_are_refused(void **state)
{
    struct scratch s;
    struct at_terminal t;

    (void)state;
    scratch_open(&s);
    start(&t, s.path);
    wait_for(&t, "New password", 0);
    type(&t, "clean straw\n");
    wait_for(&t, "Once more", 0);
    type(&t, "clean stray\n");
    assert_int_equal(end(&t), 2);
    assert_non_null(strstr(t.shown, "not the same"));
    start(&t, s.path);
    wait_for(&t, "New password", 0);
    type(&t, "short\n");
    assert_int_equal(end(&t), 2);
    assert_non_null(strstr(t.shown, "too short"));
    start(&t, s.path);
    wait_for(&t, "New password", 0);
    type(&t, "\004"); /* end of input */
    assert_int_equal(end(&t), 2);
    assert_false(password_is_set(&s));
    scratch_close(&s);
}

static void ctrl_c_leaves_the_terminal_as_it_was(void **state)
{
    struct scratch s;
    struct at_terminal t;

    (void)state;
    scratch_open(&s);
    start(&t, s.path);
    wait_for(&t, "New password", 0);
    assert_false(shows_what_is_typed(&t));
    type(&t, "half a pass\003");
    assert_int_equal(end(&t), 2); /* which also finds the terminal showing things again */
    assert_non_null(strstr(t.shown, "as it was"));
    assert_false(password_is_set(&s));
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_typed_is_not_shown),
        cmocka_unit_test(two_that_differ_or_are_short_are_refused),
        cmocka_unit_test(ctrl_c_leaves_the_terminal_as_it_was),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
