/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rubbish at the farm file's door: every flag of every kind of record, of every command and every question. Each is
 * refused in one line that names the flag, exit 2, nothing printed, and the farm file stays byte for byte what it was.
 * Kinds and flags come from the program's own tables, so that a new one is tried from its first day. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <time.h>

#include <cmocka.h>

#include "desk/keeping.h"
#include "desk/question.h"
#include "doors/cli/commands.h"
#include "tests/doors/run.h"

enum { LONG = 5000, WORDS = 3 * RUN_MOST_WORDS };
static char farm_flag[600], farm_file[512], far_flag[600], far_file[512];
static char nines[LONG + 1], letters[LONG + 1];
static struct text before;
static int runs;
/* All fields of a type are read by one reader: each field meets every fourth of the bad values, in turn, so that every
 * value meets every type many times over. LEENEST_THOROUGH=1: every field meets all. */
enum { SHARE = 4 };
static size_t turn;
static bool thorough;

#define CONTROL       "a\001b"
#define ESCAPE        "\033[31mred"
#define NO_UTF8       "\xff"
#define SURROGATE     "\xed\xa0\x80"
#define MARKUP        "<img src=x onerror=alert(1)>"
#define QUOTE         "'; DROP TABLE animal; --"
#define RIGHT_TO_LEFT "\xd8\xae\xd9\x86\xd8\xb2\xd9\x8a\xd8\xb1\xd8\xa9"

/* Words that make a record of each kind sound; the flag under test is taken out of them. */
static const struct {
    const char *kind, *words;
} sound[] = {
    { "farm", "--name=Far --lat=1 --lon=1 --zone=UTC" },
    { "person", "--name=New" },
    { "breed", "--name=New" },
    { "animal", "--name=New --is=sow" },
    { "group", "--name=New" },
    { "paddock", "--name=New" },
    { "mark", "--is=water --paddock=Low --points=4,5" },
    { "shelter", "--name=New" },
    { "windbreak", "--name=New --is=hedge --height=2" },
    { "placement", "--shelter=North --from=2024-12-01" },
    { "bedding", "--placement=North --at=2024-12-01 --straw-state=dry" },
    { "stock", "--at=2024-12-01 --people=2" },
    { "leaving", "--animal=Otis --on=2024-12-01 --how=sold" },
    { "weighing", "--animal=Otis --on=2024-12-01 --condition=3" },
    { "heat", "--sow=Bramble --at=2024-08-01" },
    { "service", "--sow=Bramble --at=2024-08-01" },
    { "boar_run", "--boar=Otis --from=2024-08-01 --sow=Bramble" },
    { "scan", "--sow=Bramble --at=2024-08-30 --result=positive" },
    { "return", "--sow=Bramble --at=2024-08-30 --seen=heat" },
    { "sign", "--sow=Bramble --at=2024-11-20 --sign=nest" },
    { "look", "--sow=Bramble --at=2024-11-20" },
    { "farrowing", "--sow=Bramble --start=2024-11-24" },
    { "birth", "--sow=Bramble --at=2024-11-19" },
    { "weaning", "--sow=Bramble --at=2024-12-30" },
    { "loss", "--sow=Bramble --at=2024-11-26 --many=2" },
    { "move", "--at=2024-12-01 --to-group=Dry --animal=Otis" },
    { "nested", "--sow=Bramble --at=2024-11-24 --place=hut --put-out=used" },
    { "treatment", "--at=2024-12-01 --what=wormer --animal=Otis" },
    { "weather_source", "--name=New --is=own" },
    { "reading", "--at=2024-12-01 --temp=3" },
    { "tick", "--prompt=feed --at=2024-12-01" },
    { "note", "--at=2024-12-01 --text=words" },
    { "asked", "--from=2025-04-01 --pigs=12" },
    { "season_plan", "--boar-in=2024-12-02 --boar-out=2024-12-23" },
    { "pairing", "--sow=Bramble --boar=Otis --from=2024-12-02" },
    { "society", "--breed=New --source=none" },
    { "setting", "--name=show-at --value=2024-12-01T12:00Z" },
};
/* Of these only one may be given: the other is taken out too. */
static const struct {
    const char *kind, *flag, *other;
} either[] = {
    { "boar_run", "group", "sow" },
    { "move", "group", "animal" },
    { "treatment", "group", "animal" },
    { "placement", "name", "shelter" },
};

static const char *const everything[] = { "", " ", NO_UTF8, NULL };
static const char *const numbers[] = { "text",     "nan",     "NaN",  "inf", "-Infinity",  "1e999",
                                       "1e30",     "-1e30",   "0x10", "1,5", "5 furlongs", "1 2",
                                       "\xd9\xa3", SURROGATE, "5\n6", nines, NULL };
static const char *const days[] = { "text", "yesterday",   "nan",        "2026-13-01", "2026-02-30", "2024-01-01T10:00",
                                    "1e30", "99999-01-01", "1850-01-01", CONTROL,      letters,      NULL };
static const char *const moments[] = { "text",
                                       "2026-13-01",
                                       "2026-02-30",
                                       "2024-01-01T25:00",
                                       "2024-01-01T12:00+99:00",
                                       "2024-03-10T02:30",
                                       "2024-11-03T01:30",
                                       "2199-01-01",
                                       "1850-01-01",
                                       "24:00",
                                       CONTROL,
                                       letters,
                                       NULL };
static const char *const words[] = { "rubbish", "|", "a|b", "-1", ESCAPE, letters, NULL };
static const char *const names[] = { "Nobody", MARKUP,  QUOTE,  RIGHT_TO_LEFT, "-x",    "=1+1",
                                     "%s%n%s", CONTROL, ESCAPE, SURROGATE,     letters, NULL };
static const char *const texts[] = { CONTROL, ESCAPE, SURROGATE, "\x7f", "\xc2\x9b[31m", letters, NULL };
static const char *const uids[] = {
    "xyz", "0123456789ABCDEF0123456789ABCDEF", "0123456789abcdef0123456789abcdef0", QUOTE, nines, NULL
};

/* ---- one run
 * ---------------------------------------------------------------------------------------------------------- */

static void hold(const struct run *r, const char *names_it, const char *what, const char *value)
{
    runs++;
    if (r->code != 2 || r->out.length != 0 || run_lines(&r->err) != 1 ||
        strncmp(text_get(&r->err), "leenest: ", 9) != 0)
        fail_msg("%s \"%.60s\": exit %d, %zu bytes printed, %zu lines of refusal: %.300s", what, value, r->code,
                 r->out.length, run_lines(&r->err), text_get(&r->err));
    if (!strstr(text_get(&r->err), names_it))
        fail_msg("%s \"%.60s\": %s is not named: %.300s", what, value, names_it, text_get(&r->err));
    if (strpbrk(text_get(&r->err), "\033\x7f"))
        fail_msg("%s \"%.60s\": a control character reaches the terminal", what, value);
}

/* argv: NULL at the end, without the farm file, which is put in front. */
static void refused(const char *names_it, const char *farm, const char *value, size_t n, const char *const argv[])
{
    const char *all[RUN_MOST_WORDS + 1] = { farm };
    char what[128] = "";

    for (size_t i = 0; i < n && i < RUN_MOST_WORDS - 1; i++) {
        all[i + 1] = argv[i];
        if (strlen(what) < sizeof what - 2)
            (void)snprintf(what + strlen(what), sizeof what - strlen(what), "%.40s ", argv[i]);
    }
    all[n + 1] = NULL;
    struct run r = run_how(all, false);
    hold(&r, names_it, what, value);
    run_close(&r);
}

static void read_farm(struct text *bytes)
{
    char buffer[65536];
    size_t n;
    FILE *f = fopen(farm_file, "rb");

    assert_non_null(f);
    text_open(bytes, 64u << 20);
    while ((n = fread(buffer, 1, sizeof buffer, f)) > 0)
        text_add_bytes(bytes, buffer, n);
    assert_int_equal(fclose(f), 0);
}

static void untouched(const char *after)
{
    struct text now;

    read_farm(&now);
    if (now.length != before.length || memcmp(now.bytes, before.bytes, now.length) != 0)
        fail_msg("after %s the farm file is another one", after);
    if (access(far_file, F_OK) == 0)
        fail_msg("after %s there is a farm file that nobody began", after);
    text_close(&now);
}

/* ---- records
 * ------------------------------------------------------------------------------------------------------------- */

static size_t sound_words(const struct fact_kind *kind, const char *without, char *line, const char *out[])
{
    const char *part[RUN_MOST_WORDS + 1], *other = "";
    size_t n = 0;

    line[0] = '\0';
    for (size_t i = 0; i < sizeof sound / sizeof *sound; i++)
        if (strcmp(sound[i].kind, kind->name) == 0)
            (void)snprintf(line, 256, "%s", sound[i].words);
    assert_true(line[0] != '\0'); /* a new kind wants its line above */
    for (size_t i = 0; i < sizeof either / sizeof *either; i++)
        if (strcmp(either[i].kind, kind->name) == 0 && strcmp(either[i].flag, without) == 0)
            other = either[i].other;
    const size_t parts = run_split(line, part);
    for (size_t i = 0; i < parts; i++) {
        const size_t length = strcspn(part[i] + 2, "=");
        const bool gone = (strlen(without) == length && strncmp(part[i] + 2, without, length) == 0) ||
                          (strlen(other) == length && strncmp(part[i] + 2, other, length) == 0);
        if (!gone)
            out[n++] = part[i];
    }
    return n;
}

static void record_value(const struct fact_kind *kind, const char *flag, const char *names_it, const char *value)
{
    const char *argv[WORDS] = { "record", kind->name };
    char line[256], word[LONG + 100], named[64];

    size_t n = 2 + sound_words(kind, flag, line, argv + 2);
    (void)snprintf(word, sizeof word, "--%s=%s", flag, value);
    argv[n++] = word;
    (void)snprintf(named, sizeof named, "--%s", names_it);
    refused(named, kind->single ? far_flag : farm_flag, value, n, argv);
}

static const char *const *values_of(enum fact_type type)
{
    switch (type) {
    case FACT_REAL:
    case FACT_WHOLE: return numbers;
    case FACT_DAY: return days;
    case FACT_MOMENT: return moments;
    case FACT_CHOICE:
    case FACT_SET: return words;
    case FACT_REF: return names;
    case FACT_TEXT: return texts;
    case FACT_FLAG: return NULL;
    }
    return NULL;
}

static void one_field(const struct fact_kind *kind, const struct fact_field *field)
{
    char flag[40], word[64];

    (void)fact_flag_name(field, flag);
    (void)snprintf(word, sizeof word, "--%s", flag);
    for (size_t i = 0; everything[i] && field->type != FACT_FLAG; i++)
        record_value(kind, flag, flag, everything[i]);
    const char *const *values = values_of(field->type);
    for (size_t i = 0; values && values[i]; i++)
        if (thorough || (i + turn) % SHARE == 0)
            record_value(kind, flag, flag, values[i]);
    turn++;
    if (field->type == FACT_FLAG) {
        record_value(kind, flag, flag, "perhaps");
    } else {
        const char *const last[] = { "record", kind->name, word }, *const before_flag[] = { "record", kind->name, word,
                                                                                            "--json" };
        refused(word, farm_flag, "(nothing)", 3, last);
        refused(word, farm_flag, "(another flag)", 4, before_flag);
    }
    if (strcmp(field->name, "born") == 0 || strcmp(field->name, "arrived") == 0 ||
        (strcmp(field->name, "on") == 0 && strcmp(kind->name, "tick") != 0))
        record_value(kind, flag, flag, "2199-01-01");
}

static void every_flag_of_every_record(void **state)
{
    (void)state;
    for (size_t k = 0; fact_kinds[k]; k++) {
        for (size_t f = 0; f < fact_kinds[k]->n_fields; f++)
            one_field(fact_kinds[k], &fact_kinds[k]->fields[f]);
        untouched(fact_kinds[k]->name);
    }
    assert_true(runs > 1500);
}

static void what_every_record_takes(void **state)
{
    const struct fact_kind *note = fact_kind_find("note");

    (void)state;
    for (size_t i = 0; everything[i]; i++) {
        record_value(note, "uid", "uid", everything[i]);
        record_value(note, "corrects", "corrects", everything[i]);
        record_value(note, "who", "who", everything[i]);
        record_value(note, "device", "device", everything[i]);
    }
    for (size_t i = 0; uids[i]; i++) {
        record_value(note, "uid", "uid", uids[i]);
        record_value(note, "corrects", "corrects", uids[i]);
    }
    for (size_t i = 0; texts[i]; i++)
        record_value(note, "who", "who", texts[i]);
    record_value(fact_kind_find("farm"), "zone", "zone", "Nowhere/City");
    record_value(fact_kind_find("farm"), "zone", "zone", "../../etc/passwd");
    record_value(fact_kind_find("farm"), "zone", "zone", "/etc/passwd");
    untouched("what every record takes");
}

/* What a record needs is asked for, and what it has is refused twice. */
static void what_is_missing_and_what_is_twice(void **state)
{
    (void)state;
    for (size_t k = 0; fact_kinds[k]; k++) {
        const struct fact_kind *kind = fact_kinds[k];
        for (size_t f = 0; f < kind->n_fields; f++) {
            const char *argv[WORDS] = { "record", kind->name };
            char line[256], flag[40], named[64], twice[64];
            const size_t n = 2 + sound_words(kind, fact_flag_name(&kind->fields[f], flag), line, argv + 2);
            (void)snprintf(named, sizeof named, "--%s", flag);
            if ((kind->fields[f].how & FACT_REQUIRED) && !keep_now_will_do(kind, f))
                refused(named, kind->single ? far_flag : farm_flag, "(left out)", n, argv);
            if ((kind->fields[f].how & FACT_EACH) || kind->fields[f].type == FACT_FLAG)
                continue;
            (void)snprintf(twice, sizeof twice, "--%s=%s", flag,
                           kind->fields[f].type == FACT_WHOLE ? "7" : "2024-12-01");
            if (kind->fields[f].type != FACT_TEXT && kind->fields[f].type != FACT_MOMENT &&
                kind->fields[f].type != FACT_DAY)
                continue; /* others are refused for what they say first */
            argv[n] = twice;
            argv[n + 1] = twice;
            refused(named, kind->single ? far_flag : farm_flag, "(twice)", n + 2, argv);
        }
    }
    untouched("what is missing or twice");
}

/* ---- commands and questions
 * ------------------------------------------------------------------------------------------------ */

/* Bare words that a command needs before its flags are looked at. */
static const struct {
    const char *name, *words;
} needs[] = {
    { "list", "sow" },
    { "void", "Bramble" },
    { "settle", "1" },
    { "restore", "x" },
    { "export", "--to=x" },
    { "import", "x" },
    { "weather import", "x" },
    { "ground import", "x" },
    { "weather type", "dry" },
    { "sow", "Bramble" },
    { "paper", "Bramble" },
    { "try", "North" },
    { "demo", "--to=/nowhere/at/all.leenest" },
};

static const char *const *param_values(enum param_kind kind)
{
    static const char *const whole[] = { "text", "nan", "1e999", "-1", "1.5", "99999999999999999999", nines, NULL };
    static const char *const text[] = { NO_UTF8, CONTROL, ESCAPE, NULL }, *const file[] = { letters, NULL };

    switch (kind) {
    case P_QUANTITY: return numbers;
    case P_WHOLE: return whole;
    case P_TEXT:
    case P_ZONE: return text;
    case P_CHOICE: return words;
    case P_MOMENT: return moments;
    case P_DAY: return days;
    case P_FILE: return file;
    case P_FLAG: return NULL;
    }
    return NULL;
}

static bool ahead_is_fine(const char *value) /* a question may look ahead, and far back */
{
    return strcmp(value, "2199-01-01") == 0 || strcmp(value, "1850-01-01") == 0 || strcmp(value, "24:00") == 0;
}

static void one_flag(const char *what, const struct param *params, size_t p, size_t n, const char *argv[])
{
    char word[LONG + 100], named[64];
    const char *const *values = param_values(params[p].kind);

    (void)snprintf(named, sizeof named, "%s%s", params[p].how & PARAM_WORD ? "" : "--", params[p].name);
    if (params[p].how & PARAM_WORD)
        return;
    argv[n] = word;
    turn++;
    for (size_t i = 0; values && values[i]; i++) {
        if (!thorough && (i + turn) % SHARE != 0)
            continue;
        if (params[p].kind == P_MOMENT && ahead_is_fine(values[i]) && strcmp(values[i], "24:00") != 0)
            continue;
        (void)snprintf(word, sizeof word, "--%s=%s", params[p].name, values[i]);
        refused(named, farm_flag, values[i], n + 1, argv);
    }
    (void)snprintf(word, sizeof word, "--%s=", params[p].name);
    refused(named, farm_flag, "(empty)", n + 1, argv);
    if (params[p].kind != P_FLAG) {
        (void)snprintf(word, sizeof word, "--%s", params[p].name);
        refused(named, farm_flag, "(nothing)", n + 1, argv);
    } else {
        (void)snprintf(word, sizeof word, "--%s=yes", params[p].name);
        refused(named, farm_flag, "yes", n + 1, argv);
    }
    untouched(what);
}

static void everywhere_flags(size_t n, const char *argv[], bool question)
{
    static const struct {
        const char *names_it, *word, *next;
    } bad[] = {
        { "unknown flag", "--stray", NULL },
        { "--width", "--width", "5" },
        { "--width", "--width", "many" },
        { "--colour", "--colour", "blue" },
        { "--farm", "--farm", NULL },
        { "--farm", "--farm=", NULL },
        { "exclude each other", "--json", "--csv" },
        { "--json", "--json=1", NULL },
        { "--known-to", "--known-to", "text" },
        { "--known-to", "--known-to", "-1" },
        { "--known-to", "--known-to", "0" },
    };

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        argv[n] = bad[i].word;
        argv[n + 1] = bad[i].next;
        refused(bad[i].names_it, farm_flag, bad[i].word, n + 1 + (bad[i].next != NULL), argv);
    }
    argv[n] = "--known-to=99999999";
    refused("--known-to", farm_flag, argv[n], n + 1, argv);
    (void)question;
}

static void one_command(const char *name, const struct param *params, size_t n_params, bool question)
{
    const char *argv[WORDS];
    char line[64], more[64] = "";

    (void)snprintf(line, sizeof line, "%s", name);
    for (size_t i = 0; i < sizeof needs / sizeof *needs; i++)
        if (strcmp(needs[i].name, name) == 0)
            (void)snprintf(more, sizeof more, "%s", needs[i].words);
    const size_t first = run_split(line, argv);
    const size_t n = first + run_split(more, argv + first);
    bool has_known_to = false;
    for (size_t p = 0; p < n_params; p++) {
        char option[64];
        (void)snprintf(option, sizeof option, "--%s=", params[p].name);
        const bool in_needs = n > first && strncmp(argv[first], option, strlen(option)) == 0;
        has_known_to = has_known_to || strcmp(params[p].name, "known-to") == 0;
        one_flag(name, params, p, in_needs ? first : n, argv);
        if (in_needs)
            (void)run_split(more, argv + first);
    }
    everywhere_flags(n, argv, question);
    untouched(name);
}

static void every_flag_of_every_command(void **state)
{
    (void)state;
    for (size_t i = 0; commands[i]; i++)
        if (strcmp(commands[i]->name, "man") != 0 && strcmp(commands[i]->name, "completion") != 0)
            one_command(commands[i]->name, commands[i]->params, commands[i]->n_params, false);
}

static void every_flag_of_every_question(void **state)
{
    (void)state;
    for (size_t i = 0; questions[i]; i++)
        one_command(questions[i]->name, questions[i]->params, questions[i]->n_params, true);
}

/* ---- a farm to try it on
 * ------------------------------------------------------------------------------------------------------ */

static int make_farm(void **state)
{
    static const char *const lines[] = {
        "record farm --name Hill --lat 44.99 --lon -93.29 --zone America/Chicago",
        "record sow --name Bramble",
        "record boar --name Otis",
        "record group --name Dry",
        "record paddock --name Low",
        "record hut --name North",
        "record placement --shelter North --from 2024-11-01",
        "record windbreak --name Hedge --is hedge --height 2",
        "record weather-source --name sky --is own",
        "record person --name Mo",
    };
    const char *scratch = getenv("TMPDIR"), *all = getenv("LEENEST_THOROUGH");

    (void)state;
    thorough = all && *all == '1';
    memset(nines, '9', LONG);
    memset(letters, 'n', LONG);
    (void)snprintf(farm_file, sizeof farm_file, "%s/leenest-rubbish-%ld.leenest",
                   scratch && *scratch ? scratch : "/tmp", (long)getpid());
    (void)snprintf(far_file, sizeof far_file, "%.480s.far", farm_file);
    (void)snprintf(farm_flag, sizeof farm_flag, "--farm=%s", farm_file);
    (void)snprintf(far_flag, sizeof far_flag, "--farm=%s", far_file);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        const char *argv[WORDS] = { farm_flag };
        char line[256];
        (void)snprintf(line, sizeof line, "%s", lines[i]);
        argv[1 + run_split(line, argv + 1)] = NULL;
        struct run r = run_how(argv, false);
        if (r.code != 0)
            print_error("%s: %s\n", lines[i], text_get(&r.err));
        const bool good = r.code == 0;
        run_close(&r);
        if (!good)
            return -1;
    }
    read_farm(&before);
    return 0;
}

static int drop_farm(void **state)
{
    (void)state;
    printf("%d refusals looked at\n", runs);
    text_close(&before);
    return unlink(farm_file);
}

/* A check of the check: what each kind is given here is sound, so that a refusal is the rubbish's own. */
static void the_sound_words_are_recorded(void **state)
{
    char copy[560], flag[600];

    (void)state;
    (void)snprintf(copy, sizeof copy, "%.500s.copy", farm_file);
    (void)snprintf(flag, sizeof flag, "--farm=%s", copy);
    for (size_t k = 0; fact_kinds[k]; k++) {
        const char *argv[WORDS] = { fact_kinds[k]->single ? far_flag : flag, "record", fact_kinds[k]->name };
        char line[256];
        FILE *f = fopen(copy, "wb");
        assert_non_null(f);
        assert_int_equal(fwrite(before.bytes, 1, before.length, f), before.length);
        assert_int_equal(fclose(f), 0);
        argv[3 + sound_words(fact_kinds[k], "", line, argv + 3)] = NULL;
        struct run r = run_how(argv, false);
        if (r.code != 0)
            fail_msg("record %s: exit %d: %s", fact_kinds[k]->name, r.code, text_get(&r.err));
        run_close(&r);
    }
    assert_int_equal(unlink(copy), 0);
    assert_int_equal(unlink(far_file), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sound_words_are_recorded), cmocka_unit_test(every_flag_of_every_record),
        cmocka_unit_test(what_every_record_takes),      cmocka_unit_test(what_is_missing_and_what_is_twice),
        cmocka_unit_test(every_flag_of_every_command),  cmocka_unit_test(every_flag_of_every_question),
    };
    return cmocka_run_group_tests_name("rubbish at the farm file", tests, make_farm, drop_farm);
}
