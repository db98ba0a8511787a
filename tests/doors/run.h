/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Run the program as a person would and keep what it said. */
#ifndef TESTS_DOORS_RUN_H
#define TESTS_DOORS_RUN_H

#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/base/text.h"
#include "doors/cli/cli.h"

enum { RUN_MOST_WORDS = 96 };

struct run {
    int code; /* exit code; 128 + signal when it was killed */
    struct text out, err;
};

static inline const char *run_program(void)
{
    const char *program = getenv("LEENEST");
    return program && *program ? program : "build/leenest";
}

static inline void run_close(struct run *r)
{
    text_close(&r->out);
    text_close(&r->err);
}

/* words: NULL at the end, without the program's own name. afresh: start the program itself; else its command line is
 * run in a child of this one, which is the same code without the time a start takes. */
static inline struct run run_how(const char *const words[], bool afresh)
{
    char *argv[RUN_MOST_WORDS + 2];
    struct run r = { .code = -1 };
    int out[2], err[2], status = 0;
    size_t n = 0;

    argv[n++] = strdup(run_program());
    for (size_t i = 0; words[i] && n < RUN_MOST_WORDS; i++)
        argv[n++] = strdup(words[i]);
    argv[n] = NULL;
    text_open(&r.out, 64u << 20);
    text_open(&r.err, 1u << 20);
    if (pipe(out) != 0 || pipe(err) != 0)
        abort();
    (void)fflush(NULL); /* nothing of ours is to come out of the child */
    const pid_t child = fork();
    if (child < 0)
        abort();
    if (child == 0) {
        const int nothing = open("/dev/null", O_RDONLY);
        dup2(nothing, 0);
        dup2(out[1], 1);
        dup2(err[1], 2);
        close(out[0]);
        close(err[0]);
        if (afresh) {
            execv(argv[0], argv);
            _exit(127);
        }
        const int code = cli_run((int)n, argv);
        (void)fflush(NULL);
        _exit(code);
    }
    close(out[1]);
    close(err[1]);
    struct pollfd from[2] = { { out[0], POLLIN, 0 }, { err[0], POLLIN, 0 } };
    for (int open_ends = 2; open_ends > 0;) {
        if (poll(from, 2, -1) < 0)
            abort();
        for (int i = 0; i < 2; i++) {
            char bytes[65536];
            if (from[i].fd < 0 || !from[i].revents)
                continue;
            const ssize_t got = read(from[i].fd, bytes, sizeof bytes);
            if (got > 0) {
                text_add_bytes(i ? &r.err : &r.out, bytes, (size_t)got);
            } else {
                from[i].fd = -1;
                open_ends--;
            }
        }
    }
    close(out[0]);
    close(err[0]);
    waitpid(child, &status, 0);
    r.code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    for (size_t i = 0; i < n; i++)
        free(argv[i]);
    return r;
}

static inline struct run run_words(const char *const words[])
{
    return run_how(words, true);
}

/* "reckon sun --lat 45": words between spaces; a word may stand in 'quotes'. Text is cut up in place. */
static inline size_t run_split(char *line, const char *words[RUN_MOST_WORDS + 1])
{
    size_t n = 0;

    for (char *s = line; *s && n < RUN_MOST_WORDS;) {
        while (*s == ' ')
            s++;
        if (!*s)
            break;
        const char end = *s == '\'' ? '\'' : ' ';
        s += end == '\'';
        words[n++] = s;
        while (*s && *s != end)
            s++;
        if (*s)
            *s++ = '\0';
    }
    words[n] = NULL;
    return n;
}

static inline struct run run_line(const char *line)
{
    const char *words[RUN_MOST_WORDS + 1];
    char *copy = strdup(line);

    (void)run_split(copy, words);
    const struct run r = run_words(words);
    free(copy);
    return r;
}

/* How many lines a text has; a last one without line feed counts too. */
static inline size_t run_lines(const struct text *t)
{
    size_t n = 0;
    for (size_t i = 0; i < t->length; i++)
        n += t->bytes[i] == '\n';
    return n + (t->length > 0 && t->bytes[t->length - 1] != '\n');
}

#endif
