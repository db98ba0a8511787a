/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tonight on the demo farm (12 sows, 8 huts, 72 hours, typical and runt, 15 forecasts): from a cold start of the
 * program to the printed answer, processor time and memory beside it; the program's bare start as the witness; then,
 * in this process, what one changed shelter costs when the herd and the weather are at hand.
 */
#include <fcntl.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "desk/coming.h"
#include "desk/herd.h"
#include "desk/night.h"

enum { RUNS = 9 };

static double now_ms(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static double children_cpu_ms(void)
{
    struct rusage r;
    if (getrusage(RUSAGE_CHILDREN, &r) != 0)
        return 0.0;
    return (double)(r.ru_utime.tv_sec + r.ru_stime.tv_sec) * 1e3 +
           (double)(r.ru_utime.tv_usec + r.ru_stime.tv_usec) * 1e-3;
}

static int rising(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Run the program with its answer thrown away. False: it could not be run or failed. */
static bool once(char *const argv[])
{
    int status = 0;
    const pid_t pid = fork();

    if (pid == 0) {
        const int null = open("/dev/null", O_WRONLY);
        if (null < 0 || dup2(null, STDOUT_FILENO) < 0)
            _exit(126);
        (void)execv(argv[0], argv);
        _exit(127);
    }
    return pid > 0 && waitpid(pid, &status, 0) == pid && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

static bool timed(const char *what, char *const argv[])
{
    double wall_ms[RUNS], cpu_ms[RUNS];

    for (size_t i = 0; i < RUNS; i++) {
        const double from = now_ms(), used = children_cpu_ms();
        if (!once(argv))
            return false;
        wall_ms[i] = now_ms() - from;
        cpu_ms[i] = children_cpu_ms() - used;
    }
    qsort(wall_ms, RUNS, sizeof *wall_ms, rising);
    qsort(cpu_ms, RUNS, sizeof *cpu_ms, rising);
    printf("%-44s best %6.0f ms, middle %6.0f ms; processor %6.0f ms\n", what, wall_ms[0], wall_ms[RUNS / 2],
           cpu_ms[RUNS / 2]);
    return true;
}

static const struct night_ask three_days = { .n_hours = 72 };

static enum status whole_night(const struct herd *herd, const struct coming *coming, struct arena *mem,
                               struct night *night, struct message *why)
{
    struct watch_plan plan;
    const enum status st = night_lay_out(herd, coming, &three_days, mem, night, why);
    return st == ST_OK ? watch_plan(&night->watch, &watch_usual_weights, mem, &plan, why) : st;
}

/* That shelter alone laid out again, then the plan of the whole night made again. */
static enum status one_changed(const struct herd *herd, size_t site, const struct coming *coming,
                               const struct night *night, struct arena *mem, struct message *why)
{
    struct herd one = *herd;
    struct night changed;
    struct watch_plan plan;

    one.sites = &herd->sites[site];
    one.n_sites = 1;
    one.n_breaks = 0;
    const enum status st = night_lay_out(&one, coming, &three_days, mem, &changed, why);
    return st == ST_OK ? watch_plan(&night->watch, &watch_usual_weights, mem, &plan, why) : st;
}

/* Herd and weather read once; then the whole night, and one hut alone laid out anew with the whole plan made again. */
static enum status in_process(const char *path, struct message *why)
{
    struct arena mem, scratch = { 0 };
    struct farm *farm = NULL;
    struct herd herd;
    struct coming coming;
    struct night night;
    struct desk_place place;
    const struct zone *zone = NULL;
    double whole_ms = HUGE_VAL, worst_ms = 0.0;

    arena_open(&mem, (size_t)1 << 30);
    enum status st = farm_open(path, &farm, why);
    const int64_t at = st == ST_OK ? desk_now(farm, (int64_t)time(NULL), &mem) : 0;
    if (st == ST_OK)
        st = desk_place(farm, 0, &mem, &place, why);
    if (st == ST_OK)
        st = desk_zone(farm, &mem, &zone, why);
    if (st == ST_OK)
        st = herd_fold(farm, at, 0, &mem, &herd, why);
    if (st == ST_OK)
        st = coming_read(farm, &place, zone, at, 0, 48, 78, &mem, &coming, why);
    for (int i = 0; i < RUNS && st == ST_OK; i++) {
        const double from = now_ms();
        arena_open(&scratch, (size_t)1 << 28);
        st = whole_night(&herd, &coming, &scratch, &night, why);
        whole_ms = fmin(whole_ms, now_ms() - from);
        if (i + 1 < RUNS)
            arena_close(&scratch); /* the last stays for what follows */
    }
    for (size_t k = 0; k < herd.n_sites && st == ST_OK; k++) {
        double best_ms = HUGE_VAL;
        for (int i = 0; i < 3 && st == ST_OK; i++) {
            struct arena own;
            const double from = now_ms();
            arena_open(&own, (size_t)1 << 28);
            st = one_changed(&herd, k, &coming, &night, &own, why);
            best_ms = fmin(best_ms, now_ms() - from);
            arena_close(&own);
        }
        worst_ms = fmax(worst_ms, best_ms);
    }
    arena_close(&scratch);
    if (st == ST_OK)
        printf("%-44s best %6.0f ms\n%-44s %11.0f ms for the slowest shelter (goal: under 50)\n",
               "the whole night, read already", whole_ms, "one shelter changed, and the plan anew", worst_ms);
    farm_close(farm);
    arena_close(&mem);
    return st;
}

int main(void)
{
    const char *leenest = getenv("LEENEST"), *folder = getenv("TMPDIR");
    char program[1024], path[1024];
    struct rusage r;
    struct message why = { "", "" };

    if (!leenest || snprintf(program, sizeof program, "%s", leenest) >= (int)sizeof program) {
        printf("skipped: LEENEST does not say where the program is\n");
        return 0;
    }
    (void)snprintf(path, sizeof path, "%.900s/leenest-bench-%ld.farm", folder && *folder ? folder : "/tmp",
                   (long)getpid());
    char *const demo[] = { program, (char[]){ "demo" }, (char[]){ "--to" }, path, NULL };
    char *const bare[] = { program, (char[]){ "--help" }, NULL };
    char *const tonight[] = { program, (char[]){ "--farm" }, path, (char[]){ "tonight" }, NULL };
    bool good = once(demo) && timed("witness: the program's bare start", bare) &&
                timed("tonight, cold start to answer (goal: 300)", tonight);
    if (good && getrusage(RUSAGE_CHILDREN, &r) == 0)
        printf("%-44s %.1f MB (goal: under 30)\n", "most memory of any run", (double)r.ru_maxrss / 1024.0);
    if (good && in_process(path, &why) != ST_OK)
        good = false;
    (void)unlink(path);
    if (!good)
        printf("failed: %s\n", *why.text ? why.text : "the program could not be run");
    return good ? 0 : 1;
}
