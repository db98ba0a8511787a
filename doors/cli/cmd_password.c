/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Setting the farm's password: asked for twice at a terminal without showing it, else one line of standard input.
 */
#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <sodium.h>
#include <string.h>
#include <sys/signalfd.h>
#include <termios.h>
#include <unistd.h>

#include "desk/devices.h"
#include "doors/cli/commands.h"
#include "doors/web/password.h"

enum { LINE = PASSWORD_MOST + 2 };

/* One line without its end, read byte by byte: what stands behind it is somebody else's. signals: -1, or what may cut
 * it short. */
static enum status read_line(int signals, char line[static LINE], struct message *why)
{
    size_t n = 0;

    for (char c = 0;;) {
        struct pollfd fds[2] = { { .fd = STDIN_FILENO, .events = POLLIN }, { .fd = signals, .events = POLLIN } };
        if (poll(fds, 2, -1) < 0 && errno != EINTR)
            return refuse(ST_IO, why, "", "the password could not be read: %s", strerror(errno));
        if (fds[1].revents)
            return refuse(ST_BAD_INPUT, why, "", "stopped; the password is as it was");
        if (!fds[0].revents)
            continue;
        const ssize_t got = read(STDIN_FILENO, &c, 1);
        if (got < 0 && errno != EINTR)
            return refuse(ST_IO, why, "", "the password could not be read: %s", strerror(errno));
        if (got == 0 && n == 0)
            return refuse(ST_BAD_INPUT, why, "password",
                          "no password was given; type it at a terminal, or give it as one line of standard input");
        if (got == 0 || c == '\n')
            break;
        if (n >= LINE - 1)
            return refuse(ST_BAD_INPUT, why, "password", "the password is longer than %d bytes; a sentence will do",
                          (int)PASSWORD_MOST);
        if (got > 0)
            line[n++] = c;
    }
    if (n > 0 && line[n - 1] == '\r')
        n--;
    line[n] = 0;
    return strlen(line) == n ? ST_OK : refuse(ST_BAD_INPUT, why, "password", "a password is text");
}

static enum status ask(int signals, const char *prompt, char line[static LINE], struct message *why)
{
    (void)fprintf(stderr, "%s", prompt);
    (void)fflush(stderr);
    const enum status st = read_line(signals, line, why);
    (void)fprintf(stderr, "\n");
    return st;
}

static enum status ask_twice(int signals, char line[static LINE], struct message *why)
{
    char again[LINE];

    enum status st = ask(signals, "New password (it is not shown): ", line, why);
    if (st == ST_OK)
        st = password_fits(line, why);
    if (st == ST_OK)
        st = ask(signals, "Once more: ", again, why);
    if (st == ST_OK && strcmp(line, again) != 0)
        st = refuse(ST_BAD_INPUT, why, "password", "the two are not the same; the password is as it was");
    sodium_memzero(again, sizeof again);
    return st;
}

/* The terminal shows nothing while it is typed, and shows things again whatever ends the typing. */
static enum status at_terminal(char line[static LINE], struct message *why)
{
    struct termios before, quiet;
    sigset_t set, old;

    if (tcgetattr(STDIN_FILENO, &before) != 0)
        return refuse(ST_IO, why, "", "the terminal: %s", strerror(errno));
    quiet = before;
    quiet.c_lflag &= ~(tcflag_t)ECHO;
    (void)sigemptyset(&set);
    (void)sigaddset(&set, SIGINT);
    (void)sigaddset(&set, SIGQUIT);
    (void)sigaddset(&set, SIGTERM);
    (void)sigaddset(&set, SIGHUP);
    (void)sigaddset(&set, SIGTSTP);
    const int signals = signalfd(-1, &set, SFD_CLOEXEC | SFD_NONBLOCK);
    if (signals < 0 || sigprocmask(SIG_BLOCK, &set, &old) != 0)
        return refuse(ST_IO, why, "", "the terminal: %s", strerror(errno));
    enum status st = tcsetattr(STDIN_FILENO, TCSAFLUSH, &quiet) == 0
                         ? ask_twice(signals, line, why)
                         : refuse(ST_IO, why, "", "the terminal: %s", strerror(errno));
    if (tcsetattr(STDIN_FILENO, TCSAFLUSH, &before) != 0 && st == ST_OK)
        st = refuse(ST_IO, why, "", "the terminal: %s", strerror(errno));
    struct signalfd_siginfo taken;
    while (read(signals, &taken, sizeof taken) > 0) /* it has been answered to */
        ;
    (void)close(signals);
    (void)sigprocmask(SIG_SETMASK, &old, NULL);
    return st;
}

static enum status password(struct cli *cli, const struct asked *q, struct message *why)
{
    char line[LINE], hash[PASSWORD_HASH];
    const char *sentence = NULL;

    if (farm_read_only(q->farm, &sentence))
        return refuse(ST_IO, why, "farm", "%s", sentence);
    enum status st = isatty(STDIN_FILENO) ? at_terminal(line, why) : read_line(-1, line, why);
    if (st == ST_OK)
        st = password_fits(line, why);
    if (st == ST_OK)
        st = password_hash(line, hash, why);
    sodium_memzero(line, sizeof line);
    if (st == ST_OK)
        st = farm_password_set(q->farm, hash, 0, (int64_t)time(NULL), why);
    cli->kept = st == ST_OK;
    if (st == ST_OK)
        text_add(&cli->out,
                 "The password is set. Every device has to come in anew; this machine does so by the address "
                 "that leenest serve prints.\n");
    return st;
}

const struct command command_password = {
    .name = "password",
    .help = "Set the password that leenest serve --lan needs; all devices are sent out",
    .run = password
};
