/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The n-th allocation fails, for n all along a command: every question of the table asked of the demo farm, and what
 * writes. What comes out is the whole, byte for byte, or nothing but one sentence that there was no room and exit 3;
 * the farm file holds the whole of what was written down or nothing of it. The source is the contract of
 * doors/cli/cli.h and farm/farm.h.
 *
 * Reached are the calls of this project's own code (by the linker's --wrap), those of SQLite (by its own hook) and those
 * of the JSON library (farm/json_room.h); not those of the C library, the solver and the calendar library.
 */
#include <fcntl.h>
#include <jansson.h>
#include <sqlite3.h>
#include <stdatomic.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include "farm/own.h"
#include "doors/cli/cli.h"
#include "tests/desk/demo_case.h"

void *__real_malloc(size_t n);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *old, size_t n);
void *__wrap_malloc(size_t n);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *old, size_t n);

static struct {
    bool counts;
    bool on_and_on; /* the n-th and all that follow */
    unsigned long fails;
    atomic_ulong n;
} heap;

static bool refused(void)
{
    if (!heap.counts)
        return false;
    const unsigned long n = atomic_fetch_add(&heap.n, 1) + 1;
    return heap.fails && (n == heap.fails || (heap.on_and_on && n > heap.fails));
}

void *__wrap_malloc(size_t n)
{
    return refused() ? NULL : __real_malloc(n);
}

void *__wrap_calloc(size_t n, size_t size)
{
    return refused() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *old, size_t n)
{
    return refused() ? NULL : __real_realloc(old, n);
}

static sqlite3_mem_methods sqlite_own;

static void *sqlite_malloc(int n)
{
    return refused() ? NULL : sqlite_own.xMalloc(n);
}

static void *sqlite_realloc(void *old, int n)
{
    return refused() ? NULL : sqlite_own.xRealloc(old, n);
}

static void hook_libraries(void)
{
    sqlite3_mem_methods ours;

    (void)sqlite3_config(SQLITE_CONFIG_GETMALLOC, &sqlite_own);
    ours = sqlite_own;
    ours.xMalloc = sqlite_malloc;
    ours.xRealloc = sqlite_realloc;
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &ours), SQLITE_OK);
    assert_int_equal(sqlite3_initialize(), SQLITE_OK);
}

/* ---- one command, in this process ---- */

enum { WORDS = 16 };

struct heard {
    int code;
    size_t n_out, n_err;
    char *out, *err; /* with a 0 after them */
    unsigned long allocations;
};

static char folder[64], demo_farm[128], work_farm[128];
static size_t refusals, wholes, wrong;

static void slurp(int fd, char **bytes, size_t *n)
{
    struct stat is;

    assert_int_equal(fstat(fd, &is), 0);
    *n = (size_t)is.st_size;
    *bytes = malloc(*n + 1);
    assert_non_null(*bytes);
    assert_int_equal(pread(fd, *bytes, *n, 0), (ssize_t)*n);
    (*bytes)[*n] = '\0';
}

static void say_close(struct heard *s)
{
    free(s->out);
    free(s->err);
}

static struct heard say(const char *const words[], unsigned long fails, bool on_and_on)
{
    struct heard s = { .code = 0 };
    char *argv[WORDS + 4] = { (char[]){ "leenest" }, (char[]){ "--farm" }, work_farm };
    char path[2][160];
    int argc = 3, fd[2], was[2];

    for (; words[argc - 3]; argc++)
        argv[argc] = strdup(words[argc - 3]);
    (void)fflush(stdout);
    for (int i = 0; i < 2; i++) {
        (void)snprintf(path[i], sizeof path[i], "%s/stream%d", folder, i);
        fd[i] = open(path[i], O_RDWR | O_CREAT | O_TRUNC, 0600);
        was[i] = dup(i + 1);
        assert_true(fd[i] >= 0 && was[i] >= 0 && dup2(fd[i], i + 1) >= 0);
    }
    heap.fails = fails;
    heap.on_and_on = on_and_on;
    atomic_store(&heap.n, 0);
    heap.counts = true;
    s.code = cli_run(argc, argv);
    heap.counts = false;
    s.allocations = atomic_load(&heap.n);
    (void)fflush(stdout);
    for (int i = 0; i < 2; i++) {
        assert_true(dup2(was[i], i + 1) >= 0);
        (void)close(was[i]);
    }
    slurp(fd[0], &s.out, &s.n_out);
    slurp(fd[1], &s.err, &s.n_err);
    (void)close(fd[0]);
    (void)close(fd[1]);
    for (int i = 3; i < argc; i++)
        free(argv[i]);
    return s;
}

static const char *joined(const char *const words[])
{
    static char line[400];
    size_t n = 0;

    for (size_t i = 0; words[i] && n < sizeof line; i++)
        n += (size_t)snprintf(line + n, sizeof line - n, "%s%s", i ? " " : "", words[i]);
    return line;
}

static void fell(const char *const words[], unsigned long n, const struct heard *s, const char *how)
{
    if (wrong++ < 40)
        print_error("%s: allocation %lu%s refused: %s: exit %d, %zu bytes out, says \"%.300s\"\n", joined(words), n,
                    heap.on_and_on ? " and all after" : "", how, s->code, s->n_out, s->err);
}

/* One line, "leenest: ...", that there was no room. */
static bool says_no_room(const struct heard *s)
{
    return s->code == 3 && s->n_out == 0 && s->n_err > 10 && strncmp(s->err, "leenest: ", 9) == 0 &&
           strchr(s->err, '\n') == s->err + s->n_err - 1 &&
           (strstr(s->err, "memory") || strstr(s->err, "no room") || strstr(s->err, "too "));
}

/* ---- how far apart ---- */

static double cpu_s(void)
{
    struct rusage r;

    (void)getrusage(RUSAGE_SELF, &r);
    return (double)(r.ru_utime.tv_sec + r.ru_stime.tv_sec) + (double)(r.ru_utime.tv_usec + r.ru_stime.tv_usec) * 1e-6;
}

enum { PLACES = 2000 };

/* Places among 1 .. n from both ends with gaps that grow: those near the end cost a whole run each, so that a slow
 * command has few of them. $LEENEST_NTH: so many times as dense. */
static size_t places(unsigned long n, double whole_s, unsigned long place[PLACES])
{
    const char *denser = getenv("LEENEST_NTH");
    const unsigned long times = denser && *denser ? strtoul(denser, NULL, 10) : 1;
    const unsigned long part = times * (whole_s < 0.03 ? 4 : whole_s < 0.1 ? 2 : 1);
    size_t k = 0;

    for (unsigned long at = 1; at <= n && k < PLACES / 2; at += 1 + at / (whole_s < 0.3 ? part : times))
        place[k++] = at;
    for (unsigned long at = 0; at < n && k < PLACES; at += whole_s < 0.3 ? 1 + at / part : 1 + 15 * at / times)
        place[k++] = n - at;
    assert_true(k < PLACES);
    return k;
}

/* ---- questions ---- */

/* What a question asks for that needs to be told something; a new one of that kind gets its row here. */
static const struct {
    const char *name, *words[4];
} needs[] = {
    { "try", { "Hut 4", "--facing", "140" } },
    { "sow", { "Bramble" } },
    { "paper", { "Campion" } },
};

static void words_of(const struct question *q, bool json, const char *words[WORDS])
{
    size_t n = 0;

    words[n++] = q->name;
    for (size_t i = 0; i < COUNT(needs); i++)
        for (size_t k = 0; strcmp(needs[i].name, q->name) == 0 && k < COUNT(needs[i].words) && needs[i].words[k]; k++)
            words[n++] = needs[i].words[k];
    if (json)
        words[n++] = "--json";
    words[n] = NULL;
}

static void one_refused(const char *const words[], unsigned long n, bool on_and_on, const struct heard *want)
{
    struct heard s = say(words, n, on_and_on);

    if (s.code == want->code && s.n_out == want->n_out && memcmp(s.out, want->out, s.n_out) == 0)
        wholes++;
    else if (says_no_room(&s))
        refusals++;
    else
        fell(words, n, &s, "half an answer, or no word that there was no room");
    say_close(&s);
}

static double ask_all_along(const struct question *q, bool json)
{
    const char *words[WORDS];
    unsigned long place[PLACES];
    const double from_s = cpu_s();

    words_of(q, json, words);
    struct heard first = say(words, 0, false);
    const double whole_s = cpu_s() - from_s;
    struct heard want = say(words, 0, false);
    if (want.n_err || want.code > 1 || want.n_out != first.n_out || memcmp(want.out, first.out, first.n_out) != 0)
        fail_msg("%s: exit %d, \"%.200s\"; or not the same bytes twice", joined(words), want.code, want.err);
    const size_t n = places(want.allocations, whole_s, place);
    for (size_t i = 0; i < n; i++)
        one_refused(words, place[i], i % 2, &want);
    print_message("%-28s %7lu allocations, %3zu places, %.2f s\n", joined(words), want.allocations, n,
                  cpu_s() - from_s);
    say_close(&first);
    say_close(&want);
    return whole_s;
}

static void copy_file(const char *from, const char *to)
{
    char piece[65536];
    const int in = open(from, O_RDONLY), out = open(to, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    ssize_t n = 0;

    assert_true(in >= 0 && out >= 0);
    while ((n = read(in, piece, sizeof piece)) > 0)
        assert_int_equal(write(out, piece, (size_t)n), n);
    (void)close(in);
    (void)close(out);
}

static void every_question_is_answered_whole_or_refused(void **state)
{
    double whole_s[64];

    (void)state;
    copy_file(demo_farm, work_farm);
    for (size_t i = 0; questions[i]; i++) {
        assert_true(i < COUNT(whole_s));
        whole_s[i] = ask_all_along(questions[i], i % 2);
    }
    for (size_t i = 0; questions[i]; i++)
        if (whole_s[i] < 0.15)
            ask_all_along(questions[i], i % 2 == 0); /* the other way of printing, but for the slow */
    assert_int_equal(wrong, 0);
}

/* ---- writing ---- */

/* "@" in a word is the scratch folder. */
static const struct work {
    const char *words[WORDS];
    const char *makes; /* below the scratch folder: taken away before; not there, or what it is, after */
    bool anew;         /* no farm file is there before */
} works[] = {
    { { "record", "sow", "--name", "Yarrow", "--mass", "200", "--uid", "00000000000000000000000000000001" }, NULL, 0 },
    { { "record", "note", "--text", "gate open", "--animal", "Bramble" }, NULL, 0 },
    { { "record", "service", "--sow", "Bramble", "--sow", "Tansy", "--boar", "Flint", "--at", "2026-01-20" }, NULL, 0 },
    { { "undo" }, NULL, 0 },
    { { "import", "@/good.csv", "--kind", "animal" }, NULL, 0 },
    { { "import", "@/good.json" }, NULL, 0 },
    { { "import", "@/half.csv", "--kind", "animal", "--keep-good" }, NULL, 0 },
    { { "import", "@/pedigree.csv", "--pedigree" }, NULL, 0 },
    { { "weather", "type", "low -4, wind SW 6, rain until 21:00" }, NULL, 0 },
    { { "export", "--to", "@/out.json" }, "out.json", 0 },
    { { "export", "--to", "@/out" }, "out", 0 },
    { { "backup", "--to", "@/backups" }, "backups", 0 },
    { { "import", "@/whole.json" }, NULL, 1 },
    { { "import", "@/whole" }, NULL, 1 },
    { { "demo" }, NULL, 1 },
};

static const char *below(const char *name, char path[static 200])
{
    (void)snprintf(path, 200, "%s/%s", folder, name);
    return path;
}

static void write_file(const char *name, const char *text)
{
    char path[200];
    FILE *f = fopen(below(name, path), "w");

    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

static void rid(const char *name)
{
    char command[240];

    (void)snprintf(command, sizeof command, "rm -rf '%s/%s'", folder, name);
    assert_int_equal(system(command), 0);
}

/* Number of the newest change; -1: there is no file, -2: it is not sound. */
static int64_t change_of(const char *path)
{
    struct farm *farm = NULL;
    struct message why = { "", "" };
    int64_t number = -2;

    if (access(path, F_OK) != 0)
        return -1;
    if (farm_open(path, &farm, &why) != ST_OK || farm_verify(farm, &why) != ST_OK ||
        farm_number(farm, &number, &why) != ST_OK) {
        print_error("%s: %s\n", path, why.text);
        number = -2;
    }
    farm_close(farm);
    return number;
}

static void ready(const struct work *w)
{
    char journal[160];

    (void)snprintf(journal, sizeof journal, "%s-journal", work_farm);
    (void)unlink(journal);
    (void)unlink(work_farm);
    if (!w->anew)
        copy_file(demo_farm, work_farm);
    if (w->makes)
        rid(w->makes);
}

/* Uids are drawn anew each time. */
static void masked(char *text)
{
    for (char *s = text; *s;) {
        const size_t n = strspn(s, "0123456789abcdef");
        if (n == 32)
            memset(s, 'u', n);
        s += n ? n : 1;
    }
}

/* What was exported in spite of a refusal is not to be taken for a farm. */
static bool half_is_taken(const struct work *w)
{
    char to[200], from[200];
    struct message why = { "", "" };

    if (!w->makes || strncmp(w->makes, "out", 3) != 0 || access(below(w->makes, from), F_OK) != 0)
        return false;
    const enum status st = farm_import_whole(from, below("taken.leenest", to), NULL, &why);
    (void)unlink(to);
    return st == ST_OK;
}

static void one_write_refused(const struct work *w, const char *const words[], unsigned long n, bool on_and_on,
                              const struct heard *want, const int64_t change[2])
{
    ready(w);
    struct heard s = say(words, n, on_and_on);
    const int64_t now = change_of(work_farm);

    masked(s.out);
    const bool whole = s.code == want->code && s.n_out == want->n_out && memcmp(s.out, want->out, s.n_out) == 0;
    const bool told = says_no_room(&s), kept = strstr(s.err, "it is written down, but") != NULL;
    if (!whole && !told)
        fell(words, n, &s, "half an answer, or no word that there was no room");
    else if (now != change[whole || kept])
        fell(words, n, &s, "what was written down is not what was said");
    else if (!whole && !kept && half_is_taken(w))
        fell(words, n, &s, "half an export can be taken in");
    wholes += whole;
    refusals += !whole;
    say_close(&s);
}

static void write_all_along(const struct work *w)
{
    char word[WORDS][240];
    const char *words[WORDS] = { NULL };
    unsigned long place[PLACES];
    int64_t change[2];

    for (size_t i = 0; w->words[i]; i++) {
        const bool at = w->words[i][0] == '@';
        (void)snprintf(word[i], sizeof word[i], "%s%s", at ? folder : "", w->words[i] + at);
        words[i] = word[i];
    }
    ready(w);
    change[0] = change_of(work_farm);
    const double from_s = cpu_s();
    struct heard want = say(words, 0, false);
    const double whole_s = cpu_s() - from_s;
    change[1] = change_of(work_farm);
    masked(want.out);
    if (want.code > 1 || change[1] == -2)
        fail_msg("%s: exit %d, \"%.200s\"", joined(words), want.code, want.err);
    const size_t n = places(want.allocations, whole_s, place);
    for (size_t i = 0; i < n; i++)
        one_write_refused(w, words, place[i], i % 2, &want, change);
    print_message("%-28.60s %7lu allocations, %3zu places, %.2f s\n", joined(words), want.allocations, n,
                  cpu_s() - from_s);
    say_close(&want);
}

static void what_is_written_is_kept_whole_or_not_at_all(void **state)
{
    char json[200], csv[200];
    struct farm *farm = NULL;
    struct message why = { "", "" };

    (void)state;
    write_file("good.csv", "name,is,born\nAster,sow,2023-03-01\nBryony,gilt,2024-04-02\nCicely,boar,2022-05-03\n");
    write_file("half.csv", "name,is,born\nAster,sow,2023-03-01\nBryony,cow,2024-04-02\nCicely,boar,2022-05-03\n");
    write_file("good.json", "[{\"kind\": \"animal\", \"name\": \"Aster\", \"is\": \"sow\"}, {\"kind\": \"animal\", "
                            "\"name\": \"Bryony\", \"is\": \"gilt\", \"dam\": \"Aster\"}]\n");
    write_file("pedigree.csv", "id,sire,dam,sex,name\n1,,,m,Old Tom\n2,,,f,Old Bet\n3,1,2,f,Young Bet\n");
    if (farm_open(demo_farm, &farm, &why) != ST_OK ||
        farm_export_json(farm, below("whole.json", json), &why) != ST_OK ||
        farm_export_folder(farm, below("whole", csv), &why) != ST_OK)
        fail_msg("%s", why.text);
    farm_close(farm);
    for (size_t i = 0; i < COUNT(works); i++)
        write_all_along(&works[i]);
    assert_int_equal(wrong, 0);
}

static int begin(void **state)
{
    struct message why = { "", "" };

    (void)state;
    (void)snprintf(folder, sizeof folder, "/tmp/leenest-nth-XXXXXX");
    if (!mkdtemp(folder))
        return 1;
    (void)snprintf(demo_farm, sizeof demo_farm, "%s/demo.leenest", folder);
    (void)snprintf(work_farm, sizeof work_farm, "%s/farm.leenest", folder);
    (void)unsetenv("LEENEST_FARM");
    return demo_make(demo_farm, 1, &why) == ST_OK ? 0 : 1;
}

static int end(void **state)
{
    (void)state;
    rid("");
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_question_is_answered_whole_or_refused),
        cmocka_unit_test(what_is_written_is_kept_whole_or_not_at_all),
    };
    hook_libraries();
    const int failed = cmocka_run_group_tests(tests, begin, end);
    (void)printf("doors, n-th allocation: %zu refused, %zu whole all the same, %zu wrong; %.1f s of processor\n",
                 refusals, wholes, wrong, cpu_s());
    return failed;
}
