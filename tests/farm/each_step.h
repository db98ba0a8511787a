/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Work done in a process that is killed just before its n-th call that changes a file: between each step and the next.
 */
#ifndef TESTS_FARM_EACH_STEP_H
#define TESTS_FARM_EACH_STEP_H

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stddef.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/farm/farm_help.h"

static inline bool step_changes_a_file(const struct __ptrace_syscall_info *call)
{
    switch (call->entry.nr) {
    case SYS_openat: return (call->entry.args[2] & (O_CREAT | O_TRUNC)) != 0;
    case SYS_write:
    case SYS_pwrite64:
    case SYS_fsync:
    case SYS_fdatasync:
    case SYS_ftruncate:
    case SYS_fchmod:
    case SYS_fchmodat:
    case SYS_mkdirat:
    case SYS_linkat:
    case SYS_unlinkat:
    case SYS_renameat2:
#ifdef SYS_rename /* the short ones are not on every machine */
    case SYS_chmod:
    case SYS_mkdir:
    case SYS_link:
    case SYS_unlink:
    case SYS_rename:
#endif
#ifdef SYS_renameat
    case SYS_renameat:
#endif
        return true;
    default: return false;
    }
}

/* The number of steps taken. `kill_at` 0: to the end; n: killed before the n-th, if it comes to that. -1: nobody may be
 * watched here. The work must say how it went by its exit code; only a kill or 0 is taken. */
static inline int steps_run(int (*work)(void *), void *with, int kill_at)
{
    struct __ptrace_syscall_info call;
    int status = 0, steps = 0;

    (void)fflush(NULL);
    const pid_t child = fork();
    if (child == 0) {
        if (ptrace(PTRACE_TRACEME, 0, NULL, NULL) != 0)
            _exit(99);
        (void)raise(SIGSTOP);
        _exit(work(with));
    }
    if (child < 0 || waitpid(child, &status, 0) != child)
        fail_msg("no process");
    if (!WIFSTOPPED(status))
        return -1;
    (void)ptrace(PTRACE_SETOPTIONS, child, NULL, (void *)(PTRACE_O_TRACESYSGOOD | PTRACE_O_EXITKILL));
    while (ptrace(PTRACE_SYSCALL, child, NULL, NULL) == 0 && waitpid(child, &status, 0) == child) {
        if (WIFEXITED(status)) {
            if (WEXITSTATUS(status) != 0)
                fail_msg("the work ends with %d", WEXITSTATUS(status));
            return steps;
        }
        if (!WIFSTOPPED(status) || WSTOPSIG(status) != (SIGTRAP | 0x80) ||
            ptrace(PTRACE_GET_SYSCALL_INFO, child, (void *)sizeof call, &call) <= 0 ||
            call.op != PTRACE_SYSCALL_INFO_ENTRY || !step_changes_a_file(&call))
            continue;
        if (++steps == kill_at) {
            (void)kill(child, SIGKILL);
            (void)waitpid(child, &status, 0);
            return steps;
        }
    }
    fail_msg("the process was lost");
    return -1;
}

#endif
