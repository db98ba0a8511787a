/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every flag of every piece with rubbish: one line on standard error that names the flag, exit 2, nothing on standard
 * output. The flags come from the program's own tables, so that a new one is tried from its first day. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "desk/question.h"
#include "tests/doors/run.h"

static char weather_path[512], pedigree_path[512];

/* What makes each piece answer; each flag under test is taken out of it first. */
static const struct {
    const char *piece, *words;
} sound[] = {
    { "sun", "--lat=45 --lon=-93 --at=2025-12-21T14:30Z" },
    { "beam", "--facing=150 --lat=45 --lon=-93 --at=2025-12-21T16:00Z" },
    { "air", "--temp=20 --rh=0.8" },
    { "wind-chill", "--temp=-10 --wind=5" },
    { "wind-at", "--wind=10 --height=1" },
    { "lee", "--distance-heights=5" },
    { "driving-rain", "--weather=% --facing=90" },
    { "hours", "--weather=%" },
    { "nights", "--weather=%" },
    { "facing", "--weather=% --lat=45 --lon=-93" },
    { "due", "--service=2026-01-01 --at=2026-04-25T12:00Z" },
    { "piglet", "--temp=5" },
    { "nest", "--shelter=hut --temp=0 --wind=4" },
    { "notch", "14-6" },
    { "inbreeding", "!" },
    { "kinship", "! --of=a5 --with=a1" },
    { "pairings", "! --boars=a1:2,a4:2 --sows=a6,a3" },
};

static const char *const bad_numbers[] = {
    "",           " ",        "abc",       "nan",
    "NaN",        "inf",      "-Infinity", "1e400",
    "1e30",       "-1e30",    "0x10",      "1,5",
    "5 furlongs", "--5",      "1e",        "1 2",
    "\xd9\xa3",   "\xff\xfe", "5\n6",      "99999999999999999999999999999999999999999999999999999999999999999999999999"
};
static const char *const bad_moments[] = { "",
                                           "yesterday",
                                           "nan",
                                           "2026-13-01",
                                           "2026-02-30",
                                           "2026-01-22T25:00",
                                           "2026-01-22T12:00+99:00",
                                           "99999-01-01",
                                           "-1-1-1",
                                           "2026-01-22T",
                                           "1e30",
                                           "\xff",
                                           "2026-01-22\n" };
static const char *const bad_choices[] = { "", "abc", "open|lee", "HUT", "|", "\xff" };
static const char *const bad_zones[] = { "", "Nowhere/City", "../../etc/passwd", "/etc/passwd", "1e30", "-", "\xff" };
static const char *const bad_files[] = { "", "/nowhere/at/all.csv", "/", "\xff" };
static const char *const bad_texts[] = { "", "\x01", "\xff", "a\nb" };
/* texts with a grammar of their own, read by the piece itself */
static const struct {
    const char *piece, *flag, *value;
} bad_words[] = {
    { "nights", "months", "0" },
    { "nights", "months", "13" },
    { "nights", "months", "1," },
    { "nights", "months", "," },
    { "nights", "months", "Smarch" },
    { "facing", "months", "1-" },
    { "facing", "months", "-" },
    { "driving-rain", "months", "nan" },
    { "due", "service", "2026-01-01@" },
    { "due", "service", "2026-01-01@nan" },
    { "due", "service", "2026-01-01@0" },
    { "due", "service", "2026-01-01@-1" },
    { "due", "service", "@1" },
    { "due", "service", "soon" },
    { "due", "service", "2026-02-30@1" },
    { "due", "scan", "2026-02-01" },
    { "due", "scan", "2026-02-01=" },
    { "due", "scan", "2026-02-01=maybe" },
    { "due", "scan", "=positive" },
    { "due", "sign", "nest" },
    { "due", "sign", "nest@" },
    { "due", "sign", "@2026-04-24" },
    { "due", "sign", "singing@2026-04-24" },
    { "due", "sign", "nest@2026-04-26" },
    { "due", "no-sign", "nest@never" },
    { "due", "no-sign", "=@=@" },
    { "hours", "columns", "=" },
    { "hours", "columns", "time" },
    { "hours", "columns", "temp=x:furlong" },
    { "hours", "where", "=" },
};

static int runs, answered;

static void expect_refusal(const char *piece, const char *flag, const char *value, const struct run *r)
{

    runs++;
    if (r->code != 2 || r->out.length != 0 || run_lines(&r->err) != 1 ||
        strncmp(text_get(&r->err), "leenest: ", 9) != 0)
        fail_msg("reckon %s --%s \"%.60s\": exit %d, %zu bytes of answer, %zu lines of refusal: %.300s", piece, flag,
                 value, r->code, r->out.length, run_lines(&r->err), text_get(&r->err));
    if (*flag && !strstr(text_get(&r->err), flag))
        fail_msg("reckon %s --%s \"%.60s\": the refusal does not name the flag: %.300s", piece, flag, value,
                 text_get(&r->err));
}

/* Is it given without its name: reckon notch 14-6 */
static bool is_word(const char *piece, const char *name)
{
    const struct question *q = question_find(pieces, piece);

    for (size_t p = 0; q && p < q->n_params; p++)
        if (strcmp(q->params[p].name, name) == 0)
            return (q->params[p].how & PARAM_WORD) != 0;
    return false;
}

/* The sound words of a piece without one flag, and then more words. */
static struct run ask(const char *piece, const char *without, const char *const more[])
{
    const char *words[RUN_MOST_WORDS + 1] = { "reckon", piece };
    char copies[8][600];
    size_t n = 2, k = 0, length = strlen(without);

    for (size_t i = 0; i < sizeof sound / sizeof *sound; i++) {
        if (strcmp(sound[i].piece, piece) != 0)
            continue;
        char line[256];
        const char *part[RUN_MOST_WORDS + 1];
        (void)snprintf(line, sizeof line, "%s", sound[i].words);
        for (size_t w = 0, parts = run_split(line, part); w < parts; w++) {
            const bool bare = strncmp(part[w], "--", 2) != 0;
            if (length && !bare && strncmp(part[w] + 2, without, length) == 0 && part[w][2 + length] == '=')
                continue;
            if (length && bare && is_word(piece, without))
                continue;
            if (strcmp(part[w], "--weather=%") == 0)
                (void)snprintf(copies[k], sizeof copies[k], "--weather=%s", weather_path);
            else if (strcmp(part[w], "!") == 0)
                (void)snprintf(copies[k], sizeof copies[k], "%s", pedigree_path);
            else
                (void)snprintf(copies[k], sizeof copies[k], "%s", part[w]);
            words[n++] = copies[k++];
        }
    }
    for (size_t i = 0; more && more[i]; i++)
        words[n++] = more[i];
    words[n] = NULL;
    return run_how(words, false);
}

static void one_value(const char *piece, const struct param *p, const char *value)
{
    char word[1024];
    if (p->how & PARAM_WORD)
        (void)snprintf(word, sizeof word, "%s", value);
    else
        (void)snprintf(word, sizeof word, "--%s=%s", p->name, value);
    const char *const more[] = { word, NULL };
    struct run r = ask(piece, p->name, more);
    expect_refusal(piece, p->kind == P_FILE ? "" : p->name, value, &r);
    run_close(&r);
}

static void all_values(const char *piece, const struct param *p)
{
    const struct {
        enum param_kind kind;
        size_t n;
        const char *const *values;
    } lists[] = {
        { P_QUANTITY, sizeof bad_numbers / sizeof *bad_numbers, bad_numbers },
        { P_WHOLE, sizeof bad_numbers / sizeof *bad_numbers, bad_numbers },
        { P_MOMENT, sizeof bad_moments / sizeof *bad_moments, bad_moments },
        { P_DAY, sizeof bad_moments / sizeof *bad_moments, bad_moments },
        { P_CHOICE, sizeof bad_choices / sizeof *bad_choices, bad_choices },
        { P_ZONE, sizeof bad_zones / sizeof *bad_zones, bad_zones },
        { P_FILE, sizeof bad_files / sizeof *bad_files, bad_files },
        { P_TEXT, sizeof bad_texts / sizeof *bad_texts, bad_texts },
    };

    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        for (size_t v = 0; lists[i].kind == p->kind && v < lists[i].n; v++)
            if (strcmp(p->name, "out") != 0 || lists[i].values[v][0] != '\xff') /* a name that may be written to */
                one_value(piece, p, lists[i].values[v]);
    if (p->kind == P_FLAG)
        one_value(piece, p, "yes"); /* a flag takes no value */
}

static void every_flag_with_rubbish_is_one_sentence(void **state)
{
    (void)state;
    for (size_t q = 0; pieces[q]; q++)
        for (size_t p = 0; p < pieces[q]->n_params; p++)
            all_values(pieces[q]->name, &pieces[q]->params[p]);
    assert_true(runs > 1000);
}

static void a_missing_value_a_missing_flag_and_one_too_many_are_refused(void **state)
{
    (void)state;
    for (size_t q = 0; pieces[q]; q++)
        for (size_t i = 0; i < pieces[q]->n_params; i++) {
            const struct param *p = &pieces[q]->params[i];
            char word[64], twice[64];
            (void)snprintf(word, sizeof word, "--%s", p->name);
            (void)snprintf(twice, sizeof twice, "--%s=1", p->name);
            if (p->kind != P_FLAG) {
                const char *const last[] = { word, NULL }, *const before[] = { word, "--json", NULL };
                struct run r = ask(pieces[q]->name, p->name, last), s = ask(pieces[q]->name, p->name, before);
                expect_refusal(pieces[q]->name, p->name, "(nothing)", &r);
                expect_refusal(pieces[q]->name, p->name, "(another flag)", &s);
                run_close(&r);
                run_close(&s);
            }
            if (p->how & PARAM_REQUIRED) {
                struct run r = ask(pieces[q]->name, p->name, NULL);
                expect_refusal(pieces[q]->name, p->name, "(left out)", &r);
                run_close(&r);
            }
            if (!(p->how & PARAM_REPEAT)) {
                const char *const more[] = { p->kind == P_FLAG ? word : twice, p->kind == P_FLAG ? word : twice, NULL };
                struct run r = ask(pieces[q]->name, p->name, more);
                expect_refusal(pieces[q]->name, p->name, "(twice)", &r);
                run_close(&r);
            }
        }
}

static void unknown_words_are_named_and_called_unknown(void **state)
{
    static const struct {
        const char *line, *word;
    } cases[] = {
        { "reckon moon", "moon" },
        { "reckon sun --latt 4 --lon 5 --at 2026-01-01", "latt" },
        { "frobnicate", "frobnicate" },
        { "reckon air --temp 5 --rh 0.5 --wind 3", "wind" },
        { "reckon piglet --temp 5 stray", "stray" },
        { "reckon lee --x", "x" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct run r = run_line(cases[i].line);
        expect_refusal(cases[i].line, "", "", &r);
        if (!strstr(text_get(&r.err), "unknown") || !strstr(text_get(&r.err), cases[i].word))
            fail_msg("%s: %s", cases[i].line, text_get(&r.err));
        run_close(&r);
    }
}

static void words_with_a_grammar_of_their_own(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof bad_words / sizeof *bad_words; i++) {
        char word[128];
        (void)snprintf(word, sizeof word, "--%s=%s", bad_words[i].flag, bad_words[i].value);
        const char *const more[] = { word, NULL };
        struct run r = ask(bad_words[i].piece, bad_words[i].flag, more);
        expect_refusal(bad_words[i].piece, bad_words[i].flag, bad_words[i].value, &r);
        run_close(&r);
    }
}

static void flags_that_exclude_each_other(void **state)
{
    static const char *const lines[] = {
        "reckon piglet --temp 5 --wet --dry",
        "reckon piglet --temp 5 --suckling --unfed",
        "reckon piglet --temp 5 --damp --soaked --floor straw",
        "reckon piglet --temp 5 --floor wood --straw-depth 0.1",
        "reckon air --temp 5",
        "reckon air --temp 5 --rh 0.5 --dew-point 1",
        "reckon air --temp 5 --dew-point 9",
        "reckon air --temp 5 --rh 85",
        "reckon beam --facing 90",
        "reckon beam --facing 90 --dni 500",
        "reckon beam --facing 90 --lat 45 --lon 0 --at 2026-01-01 --sun-azimuth 90 --sun-elevation 10 --dni 1 --dhi 1",
        "reckon nest --shelter hut --temp 0 --wind 3 --damp --soaked",
        "reckon nest --shelter hut --temp 0 --wind 3 --dni 300",
        "reckon nest --shelter hut --temp 0 --wind 3 --sun-facing 300",
        "reckon due --boar-from 2026-01-01",
        "reckon due --boar-to 2026-01-01",
        "reckon due --boar-from 2026-02-01 --boar-to 2026-01-01",
        "reckon sun --json --csv --lat 1 --lon 1 --at 2026-01-01",
        "reckon sun --lat 1 --lon 1 --at 1850-01-01T00:00Z",
        "reckon",
        "reckon sun --csv --lat 1 --lon 1 --at 2026-01-01",
        "reckon due --service 2026-01-01 --at 2026-04-01 --not-farrowed-by 2026-04-02",
    };

    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct run r = run_line(lines[i]);
        expect_refusal(lines[i], "", "", &r);
        run_close(&r);
    }
}

static void long_and_odd_words_do_no_harm(void **state)
{
    enum { LONG = 100000 };
    static char big[LONG + 16];

    (void)state;
    for (size_t q = 0; pieces[q]; q++)
        for (size_t i = 0; i < pieces[q]->n_params; i++) {
            const int head = snprintf(big, 64, "--%s=", pieces[q]->params[i].name);
            memset(big + head, '9', LONG - 64);
            big[head + LONG - 64] = '\0';
            const char *const more[] = { big, NULL };
            struct run r = ask(pieces[q]->name, pieces[q]->params[i].name, more);
            expect_refusal(pieces[q]->name, pieces[q]->params[i].kind == P_FILE ? "" : pieces[q]->params[i].name,
                           "999...", &r);
            run_close(&r);
        }
}

/* A check of the check: what each piece is given here is sound, so that a refusal is the rubbish's own. */
static void the_sound_words_are_answered(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof sound / sizeof *sound; i++) {
        const char *const more[] = { "--json", NULL };
        struct run r = ask(sound[i].piece, "", more);
        if (r.code != 0 || r.err.length != 0 || r.out.length < 20)
            fail_msg("reckon %s: exit %d: %s", sound[i].piece, r.code, text_get(&r.err));
        answered++;
        run_close(&r);
    }
    size_t n = 0;
    while (pieces[n])
        n++;
    assert_int_equal(answered, n);
}

static int make_weather(void **state)
{
    const char *scratch = getenv("TMPDIR");

    (void)state;
    (void)snprintf(weather_path, sizeof weather_path, "%s/leenest-rubbish-%ld.csv",
                   scratch && *scratch ? scratch : "/tmp", (long)getpid());
    FILE *f = fopen(weather_path, "w");
    if (!f)
        return -1;
    (void)fprintf(
        f, "# hut-weather 1\n# place,made up\ntime,temp_c,dewpoint_c,wind_from_deg,wind_ms,rain_mm,cloud_oktas\n");
    for (int h = 0; h < 48; h++)
        (void)fprintf(f, "2026-01-%02dT%02d:00Z,%.1f,%.1f,%d,%.1f,%.1f,%d\n", 10 + h / 24, h % 24, 2.0 - 0.2 * h,
                      -1.0 - 0.2 * h, h * 7 % 360, 1.0 + h % 5, h % 7 ? 0.0 : 0.4, h % 9);
    if (fclose(f) != 0)
        return -1;
    (void)snprintf(pedigree_path, sizeof pedigree_path, "%s/leenest-rubbish-pedigree-%ld.csv",
                   scratch && *scratch ? scratch : "/tmp", (long)getpid());
    f = fopen(pedigree_path, "w");
    if (!f)
        return -1;
    (void)fputs("id,sire,dam,sex\na1,,,male\na2,,,female\na3,a1,a2,female\na4,a1,,male\na5,a4,a3,male\n"
                "a6,a5,a2,female\n",
                f);
    return fclose(f);
}

static int drop_weather(void **state)
{
    (void)state;
    printf("%d runs of the program refused as they should be, %d answered\n", runs, answered);
    return unlink(weather_path) | unlink(pedigree_path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sound_words_are_answered),
        cmocka_unit_test(every_flag_with_rubbish_is_one_sentence),
        cmocka_unit_test(a_missing_value_a_missing_flag_and_one_too_many_are_refused),
        cmocka_unit_test(unknown_words_are_named_and_called_unknown),
        cmocka_unit_test(words_with_a_grammar_of_their_own),
        cmocka_unit_test(flags_that_exclude_each_other),
        cmocka_unit_test(long_and_odd_words_do_no_harm),
    };
    return cmocka_run_group_tests_name("rubbish", tests, make_weather, drop_weather);
}
