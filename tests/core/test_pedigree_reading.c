/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pedigree files as they are found: spellings, orders, loops, doubles; and one F by three methods. The table is the
 * witness of both methods; what a file should mean is common practice, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/core/pedigree_case.h"

static int checks_made;

/* ---- spellings ---- */

static void one_file_many_spellings(void **state)
{
    static const char *const files[] = {
        "id,sire,dam\n1,,\n2,,\n3,1,2\n4,1,\n5,4,3\n6,5,2\n",
        "\xef\xbb\xbfid;sire;dam\r\n1;0;0\r\n2;NA;?\r\n3;1;2\r\n4;1;-\r\n5;4;3\r\n6;5;2",
        "dam\tborn\tID\tSire\n2\t\t6\t5\n3\t\t5\t4\n*\t\t4\t1\n2\t\t3\t1\n\t\t1\t\nunknown\t\t2\tUnknown\n",
        "\"id\",\"sire\",\"dam\"\n\"1\",\"\",\"\"\n \"2\" , , \n\"3\",\"1\",\"2\"\n4,1,\"na\"\n5,4,3,,,\n6,5,2,,\n\n\n",
        "id|sire|dam|breed|name\r1||\r2||\r3|1|2|x\r4|1||x|\"a \"\"b\"\" c\"\r5|4|3\r6|5|2\r",
    };

    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++, checks_made++) {
        struct case_of c;
        case_read(&c, files[i]);
        assert_int_equal(c.p.n, 6);
        assert_int_equal(c.found.n, 0);
        assert_true(fabs(f_of(&c, "5") - 0.125) < 1e-15 && fabs(f_of(&c, "6") - 0.125) < 1e-15);
        assert_true(fabs(f_of(&c, "3")) < 1e-15 && fabs(f_of(&c, "4")) < 1e-15);
        case_close(&c);
    }
}

/* Ends of lines of three kinds in one file: a row for each. */
static void mixed_line_ends(void **state)
{
    enum { N = 3000 };
    static const char *const end[] = { "\n", "\r\n", "\r", "\r", "\r" };
    char *text = malloc(N * 16 + 64), *at = text;
    struct case_of c;

    (void)state;
    at += snprintf(at, 64, "id,sire,dam\r\n");
    for (int i = 0; i < N; i++)
        at += snprintf(at, 64, "a%d,,%s", i, end[i % 5]);
    case_read(&c, text);
    assert_int_equal(c.p.n, N);
    assert_int_equal(c.p.n_rows, N);
    assert_int_equal(c.found.n, 0);
    assert_int_equal(c.p.line[N], N + 1);
    checks_made += 4;
    case_close(&c);
    free(text);
}

static void births(void **state)
{
    static const struct {
        const char *text;
        int32_t born; /* days since 1970-01-01 */
        int year_only;
    } want[] = {
        { "1970-01-02", 1, 0 },   { "2.1.1970", 1, 0 },         { "02/01/1970", 1, 0 }, { "01/31/1970", 30, 0 },
        { "2.1.70", 1, 0 },       { "1970", 181, 1 },           { "70", 181, 1 },       { "1970.0", 181, 1 },
        { "\"1970,0\"", 181, 1 }, { "1970-01-02T10:00", 1, 0 }, { "1/1/00", 10957, 0 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof want / sizeof *want; i++, checks_made++) {
        char text[128];
        struct case_of c;
        (void)snprintf(text, sizeof text, "id,sire,dam,born\na,,,%s\n", want[i].text);
        case_read(&c, text);
        if (c.p.born[1] != want[i].born || c.p.year_only[1] != want[i].year_only)
            fail_msg("%s: born %d", want[i].text, c.p.born[1]);
        assert_int_equal(c.found.n, 0);
        case_close(&c);
    }
}

/* ---- findings ---- */

static void findings(void **state)
{
    static const struct {
        const char *rows;
        enum pedigree_kind kind;
        enum pedigree_weight weight;
        uint32_t line;
        const char *id, *says;
    } want[] = {
        { "a,,\na,,\n", PK_DUPLICATE, PEDIGREE_ODD, 3, "a", "same parents" },
        { "a,,\nb,,\na,b,\n", PK_DUPLICATE, PEDIGREE_WRONG, 4, "a", "different parents" },
        { "007,,\n7,,\n", PK_DUPLICATE, PEDIGREE_HINT, 3, "7", "007" },
        { "Rosa,,\nrosa ,,\n", PK_DUPLICATE, PEDIGREE_HINT, 3, "rosa", "kept apart" },
        { "AO1,,\nA01,,\n", PK_DUPLICATE, PEDIGREE_HINT, 3, "A01", "look-alikes" },
        { "a,b,\n", PK_NO_ROW, PEDIGREE_NOTE, 2, "b", "1 row" },
        { "a,,\nb,a,\nc,,a\n", PK_SEX, PEDIGREE_WRONG, 2, "a", "as a dam" },
        { "a,,,M\nc,,a,F\n", PK_SEX, PEDIGREE_WRONG, 2, "a", "male and used as a dam" },
        { "a,,,F\nc,a,,F\n", PK_SEX, PEDIGREE_WRONG, 2, "a", "female and used as a sire" },
        { "a,,,M,2020\nc,a,,F,2019\n", PK_BORN, PEDIGREE_WRONG, 3, "c", "before its sire" },
        { "a,,,M,2020\nc,a,,F,2020\n", PK_BORN, PEDIGREE_HINT, 3, "c", "same year" },
        { "a,,,M,2020-01-01\nc,a,,F,2020-01-01\n", PK_BORN, PEDIGREE_WRONG, 3, "c", "same day" },
        { "a,,,M,2020-01-01\nc,a,,F,2020-05-01\n", PK_BORN, PEDIGREE_ODD, 3, "c", "121 days" },
        { "a,,,F,2001-01-01\nc,,a,F,2020-05-01\n", PK_BORN, PEDIGREE_ODD, 3, "c", "19.3 years" },
        { "a,,,F,2001-01-01\nc,,a,F,2003-05-01\nd,,a,F,2003-06-10\n", PK_BORN, PEDIGREE_ODD, 4, "d", "40 days" },
        { "a,,,F,once\n", PK_BORN, PEDIGREE_ODD, 2, "a", "no date" },
        { "0,,\nb,,\n", PK_PLACEHOLDER, PEDIGREE_WRONG, 2, "", "without an id" },
        { "b,UNKNOWN BOAR,\nc,UNKNOWN BOAR,\n", PK_PLACEHOLDER, PEDIGREE_WRONG, 2, "UNKNOWN BOAR", "2 times" },
        { "unknown sow,,\nb,,\n", PK_PLACEHOLDER, PEDIGREE_WRONG, 2, "unknown sow", "no id" },
        { "s,,\nb,s,s\n", PK_SAME_PARENTS, PEDIGREE_WRONG, 3, "b", "as sire and as dam" },
        { "s,,\nt,,\nm,,\nb,s,m,,2020-01-01\nc,t,m,,2020-01-01\n", PK_LITTER, PEDIGREE_ODD, 6, "c", "litter mate" },
        { "a,a,\nb,,\n", PK_LOOP, PEDIGREE_WRONG, 2, "a", "its own sire" },
        { "a,b,\nb,a,\n", PK_LOOP, PEDIGREE_WRONG, 2, "a", "a > b > a" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof want / sizeof *want; i++, checks_made++) {
        char text[256];
        struct case_of c;
        (void)snprintf(text, sizeof text, "id,sire,dam,sex,born\n%s", want[i].rows);
        case_read(&c, text);
        const struct pedigree_finding *f = case_says(&c, want[i].kind, want[i].id, want[i].says);
        if (!f)
            fail_msg("%s: no finding; first is: %s", want[i].rows, c.found.n ? c.found.list[0].says : "none");
        else if (f->weight != want[i].weight || f->line != want[i].line)
            fail_msg("%s: weight %d line %u", want[i].rows, f->weight, f->line);
        case_close(&c);
    }
}

static void twins_of_a_name_stay_apart(void **state)
{
    struct case_of c;

    (void)state;
    case_read(&c, "id,sire,dam\n007,,\n7,,\nx,007,m\ny,7,m\n");
    assert_true(fabs(k_of(&c, "x", "y") - 0.125) < 1e-15); /* half sibs through m alone */
    case_close(&c);
}

/* Common practice, no source: what two pure parents of one breed have is of that breed; grading up and crosses pass. */
static void breeds_of_parents(void **state)
{
    static const struct {
        const char *rows;
        const char *odd; /* NULL: nothing to tell */
    } cases[] = {
        { "s,,,Red\nm,,,Red\na,s,m,White\n", "a" },
        { "s,,,Red\nm,,,Red\na,s,m,Red\n", NULL },
        { "s,,,Red\nm,,,White\na,s,m,Cross\n", NULL },                     /* a name for the cross */
        { "s,,,Red\nm,,,Red\na,s,m,\n", NULL },                            /* its breed not recorded */
        { "s,,,Red\nm,,,\na,s,m,White\n", NULL },                          /* a parent's not recorded */
        { "w,,,White\nr,,,Red\nc,w,r,F3\nd,w,r,F3\na,c,d,White\n", NULL }, /* graded up */
        { "s,x,y,Red\nm,,,Red\na,s,m,White\n", NULL },                     /* grandparents of no breed that is known */
        { "r,,,Red\nq,,,Red\ns,r,q,Red\nm,r,q,Red\na,s,m,White\nb,s,m,Red\n", "a" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++, checks_made++) {
        char text[256];
        size_t told = 0;
        struct case_of c;
        (void)snprintf(text, sizeof text, "id,sire,dam,breed\n%s", cases[i].rows);
        case_read(&c, text);
        for (size_t k = 0; k < c.found.n; k++)
            if (c.found.list[k].kind == PK_BREED) {
                told++;
                assert_string_equal(c.found.list[k].id, cases[i].odd ? cases[i].odd : "nobody");
                assert_int_equal(c.found.list[k].weight, PEDIGREE_ODD);
            }
        assert_int_equal(told, cases[i].odd ? 1 : 0);
        case_close(&c);
    }
}

static void big_litter(void **state)
{
    char text[2048] = "id,sire,dam,born\nm,,,2015-01-01\n";
    struct case_of c;

    (void)state;
    for (int i = 0; i < 26; i++)
        (void)snprintf(text + strlen(text), sizeof text - strlen(text), "p%c,s,m,2018-03-0%d\n", 'a' + i, 1 + i % 2);
    case_read(&c, text);
    assert_non_null(case_says(&c, PK_LITTER, "m", "26 young"));
    case_close(&c);
}

/* ---- loops of any length, deep pedigrees ---- */

static void long_loop(void **state)
{
    enum { N = 3000 };
    char *text = malloc(N * 24 + 64), *at = text;
    struct case_of c;

    (void)state;
    at += snprintf(at, 64, "id,sire,dam\n");
    for (int i = 0; i < N; i++)
        at += snprintf(at, 64, "x%04d,x%04d,\n", i, (i + 1) % N);
    at += snprintf(at, 64, "free,x0007,\n");
    case_read(&c, text);
    assert_int_equal(c.found.wrong, 1);
    assert_int_equal(c.found.list[0].kind, PK_LOOP);
    for (int i = 0; i < N; i += 97, checks_made++) {
        char id[16];
        (void)snprintf(id, sizeof id, "x%04d", i);
        assert_non_null(strstr(c.found.list[0].says, id));
        assert_true(c.in_loop[pedigree_find(&c.p, NULL, id)]);
    }
    assert_false(c.in_loop[pedigree_find(&c.p, NULL, "free")]);
    case_close(&c);
    free(text);
}

static void deep_line(void **state)
{
    enum { N = 200000 };
    char *text = malloc(N * 24 + 64), *at = text;
    struct case_of c;

    (void)state;
    at += snprintf(at, 64, "id,sire,dam\n");
    for (int i = N; i > 0; i--) /* youngest first */
        at += snprintf(at, 64, "%d,%d,\n", i, i - 1);
    case_read(&c, text);
    assert_int_equal(c.p.n, N);
    const struct pedigree_known known = pedigree_known_of(&c.p, c.p.n);
    assert_int_equal(known.longest, N - 1);
    assert_true(fabs(known.share[2] - 0.125) < 1e-15);
    case_close(&c);
    free(text);
}

/* ---- methods, orders, threads ---- */

static uint64_t coin;
static uint32_t die(uint32_t n)
{
    coin = coin * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)((coin >> 33) % n);
}

static char *random_file(uint32_t n, uint32_t window, uint32_t step)
{
    char *text = malloc((size_t)n * 40 + 64), *at = text;

    at += snprintf(at, 64, "id,sire,dam\n");
    for (uint32_t k = 0; k < n; k++) {
        const uint32_t i = (uint32_t)((uint64_t)k * step % n); /* order of rows; parents hang on i alone */
        coin = i * UINT64_C(2654435761) + window;
        (void)die(7), (void)die(7);
        const uint32_t s = i < 6 ? 0 : (i - 1 - die(i < window ? i - 1 : window)) & ~1u,
                       d = i < 6 ? 0 : (i - 1 - die(i < window ? i - 1 : window)) | 1u;
        if (i < 6 || die(12) == 0 || d >= i)
            at += snprintf(at, 64, "A%u,,\n", i);
        else
            at += snprintf(at, 64, "A%u,A%u,A%u\n", i, s, d);
    }
    return text;
}

static void methods_agree(void **state)
{
    (void)state;
    for (uint32_t seed = 0; seed < 12; seed++, checks_made++) {
        char *text = random_file(300, 5 + 9 * seed, 1);
        struct case_of c;
        case_read(&c, text);
        const size_t w = (size_t)c.p.n + 1;
        double *a = calloc(w * w, sizeof *a), *f = calloc(w, sizeof *f);
        struct message why;
        pedigree_table(&c.p, a);
        for (int how = PEDIGREE_BEST; how <= PEDIGREE_BUCKETS; how++) {
            assert_int_equal(pedigree_inbreeding(&c.p, (enum pedigree_method)how, NULL, &c.mem, f, &why), ST_OK);
            for (size_t i = 1; i < w; i++) {
                if (!(fabs(f[i] - (a[i * w + i] - 1.0)) < 1e-12))
                    fail_msg("seed %u method %d animal %zu: %.17g, table %.17g", seed, how, i, f[i], a[i * w + i] - 1);
                assert_true(f[i] > -1e-12 && f[i] < 1.0);
            }
        }
        free(a);
        free(f);
        case_close(&c);
        free(text);
    }
}

static void order_of_rows_is_nothing(void **state)
{
    static const uint32_t steps[] = { 7, 101, 299 };
    char *first = random_file(300, 20, 1);
    struct case_of a;

    (void)state;
    case_read(&a, first);
    for (size_t k = 0; k < 3; k++) {
        char *text = random_file(300, 20, steps[k]);
        struct case_of b;
        case_read(&b, text);
        assert_int_equal(a.p.n, b.p.n);
        for (uint32_t i = 1; i <= a.p.n; i++, checks_made++)
            assert_true(fabs(a.f[i] - f_of(&b, a.p.id[i])) < 1e-14);
        case_close(&b);
        free(text);
    }
    case_close(&a);
    free(first);
}

/* The same animals under ids of any length and other letters: the same figures, byte for byte. */
static void names_are_nothing(void **state)
{
    static const struct {
        const char *before, *after;
    } spelled[] = { { "", "" }, { "Z00", "x" }, { "north herd, pig ", " of the long list" } };
    char *text = random_file(300, 20, 101);
    struct case_of a;

    (void)state;
    case_read(&a, text);
    for (size_t k = 0; k < sizeof spelled / sizeof *spelled; k++) {
        char *other = malloc(300u * 160), *at = other;
        struct case_of b;
        for (const char *s = text; *s; s++) {
            if (*s != 'A') {
                *at++ = *s;
                continue;
            }
            *at++ = '"';
            char *end;
            const unsigned long number = 1000 + strtoul(s + 1, &end, 10);
            at += snprintf(at, 64, "%s%lu%s", spelled[k].before, number, spelled[k].after);
            s = end;
            *at++ = '"';
            s--;
        }
        *at = 0;
        case_read(&b, other);
        assert_int_equal(a.p.n, b.p.n);
        assert_memory_equal(a.p.sire, b.p.sire, ((size_t)a.p.n + 1) * sizeof *a.p.sire);
        assert_memory_equal(a.p.dam, b.p.dam, ((size_t)a.p.n + 1) * sizeof *a.p.dam);
        assert_memory_equal(a.f, b.f, ((size_t)a.p.n + 1) * sizeof *a.f);
        checks_made += 3;
        case_close(&b);
        free(other);
    }
    case_close(&a);
    free(text);
}

static int times_shared;

/* Parts in reverse: no part may rest on another. */
static void backwards(void *self, void (*part)(void *job, size_t i), void *job, size_t n)
{
    (void)self;
    times_shared += n > 1;
    while (n-- > 0)
        part(job, n);
}

static void hands_change_nothing(void **state)
{
    char *text = random_file(3000, 60, 1);
    struct case_of c;
    struct message why;

    (void)state;
    case_read(&c, text);
    double *one = calloc((size_t)c.p.n + 1, sizeof *one), *many = calloc((size_t)c.p.n + 1, sizeof *many);
    assert_int_equal(pedigree_inbreeding(&c.p, PEDIGREE_BY_SIRE, NULL, &c.mem, one, &why), ST_OK);
    for (size_t threads = 2; threads < 6; threads++, checks_made++) {
        const struct pedigree_hands hands = { .share = backwards, .threads = threads };
        assert_int_equal(pedigree_inbreeding(&c.p, PEDIGREE_BY_SIRE, &hands, &c.mem, many, &why), ST_OK);
        assert_memory_equal(one, many, ((size_t)c.p.n + 1) * sizeof *one);
    }
    assert_true(times_shared >= 4);
    free(one);
    free(many);
    case_close(&c);
    free(text);
}

static void parts_add_up(void **state)
{
    char *text = random_file(200, 12, 1);
    struct case_of c;
    struct message why;

    (void)state;
    case_read(&c, text);
    for (uint32_t i = 150; i <= c.p.n; i += 7)
        for (uint32_t j = 120; j <= c.p.n; j += 11, checks_made++) {
            const struct pedigree_through *through;
            size_t n;
            double sum = 0.0;
            assert_int_equal(pedigree_kin_through(&c.p, c.d, i, j, &c.mem, &through, &n, &why), ST_OK);
            for (size_t k = 0; k < n; k++)
                sum += through[k].part;
            assert_true(fabs(sum - k_of(&c, c.p.id[i], c.p.id[j])) < 1e-13);
        }
    case_close(&c);
    free(text);
}

static void refused(void **state)
{
    static const char *const files[] = { "", "id,sire\n1,2\n", "hello", "id,sire,dam\n", "id,sire,dam\n0,,\n" };

    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++, checks_made++) {
        struct arena mem;
        struct pedigree p;
        struct pedigree_findings found;
        struct message why = { "", "" };
        arena_open(&mem, SIZE_MAX);
        assert_int_equal(pedigree_read(files[i], strlen(files[i]), NULL, &mem, &p, &found, NULL, &why), ST_BAD_INPUT);
        assert_true(why.text[0]);
        arena_close(&mem);
    }
}

/* Every spelling has a number of its own up to 65534; one more is refused, not lumped with the unknown. */
static void too_many_breeds(void **state)
{
    enum { MOST = 65534 };
    char *text = malloc((MOST + 2) * 32u), *at = text;
    struct pedigree_row *rows = calloc(MOST + 1, sizeof *rows);
    char(*word)[8] = calloc(MOST + 1, sizeof *word);

    (void)state;
    at += snprintf(at, 32, "id,sire,dam,breed\n");
    for (uint32_t i = 0; i <= MOST; i++) {
        (void)snprintf(word[i], sizeof *word, "b%u", i);
        rows[i] = (struct pedigree_row){ .id = word[i], .breed = word[i], .born = PEDIGREE_NO_DAY, .line = i + 2 };
        at += snprintf(at, 32, "a%u,,,b%u\n", i, i);
    }
    const char *last = strstr(text, "a65534,");
    for (int way = 0; way < 4; way++, checks_made++) {
        const bool fits = way & 1;
        const size_t bytes = (size_t)((fits ? last : at) - text);
        struct arena mem;
        struct pedigree p;
        struct pedigree_findings found;
        struct message why = { "", "" };
        arena_open(&mem, SIZE_MAX);
        const enum status st = way & 2 ? pedigree_order(MOST + !fits, rows, NULL, &mem, &p, &found, NULL, &why)
                                       : pedigree_read(text, bytes, NULL, &mem, &p, &found, NULL, &why);
        assert_int_equal(st, fits ? ST_OK : ST_BAD_INPUT);
        if (fits) {
            assert_int_equal(p.n_breeds, MOST);
            assert_string_equal(p.breeds[p.breed[MOST]], "b65533");
        } else {
            assert_non_null(strstr(why.text, "line 65536: this is breed number 65535"));
        }
        arena_close(&mem);
    }
    free(text);
    free(rows);
    free(word);
}

/* Three generations of full sibs: 1/2 (Wright 1922); with 1, 2 and 3 generations of ancestors read 0, 1/4 and 3/8. */
static void depth(void **state)
{
    static const char text[] = "id,sire,dam\na,s,d\nb,s,d\ng,a,b\nh,a,b\nm,g,h\nn,g,h\nx,m,n\n";
    static const double want[] = { 0.5, 0.0, 0.25, 0.375, 0.5, 0.5 };

    (void)state;
    for (unsigned generations = 0; generations < 6; generations++, checks_made++) {
        struct pedigree_rules rules = pedigree_rules_default();
        struct arena mem;
        struct pedigree p;
        struct pedigree_findings found;
        struct message why = { "", "" };
        double f[10];
        rules.generations = generations;
        arena_open(&mem, SIZE_MAX);
        assert_int_equal(pedigree_read(text, sizeof text - 1, &rules, &mem, &p, &found, NULL, &why), ST_OK);
        assert_int_equal(p.n, 9);
        assert_int_equal(pedigree_inbreeding(&p, PEDIGREE_BEST, NULL, &mem, f, &why), ST_OK);
        const double got = f[pedigree_find(&p, NULL, "x")];
        if (!(fabs(got - want[generations]) < 1e-15))
            fail_msg("%u generations: %.17g", generations, got);
        arena_close(&mem);
    }
}

static int count(void **state)
{
    (void)state;
    print_message("%d checks\n", checks_made);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_file_many_spellings),
        cmocka_unit_test(mixed_line_ends),
        cmocka_unit_test(births),
        cmocka_unit_test(findings),
        cmocka_unit_test(twins_of_a_name_stay_apart),
        cmocka_unit_test(big_litter),
        cmocka_unit_test(breeds_of_parents),
        cmocka_unit_test(long_loop),
        cmocka_unit_test(deep_line),
        cmocka_unit_test(methods_agree),
        cmocka_unit_test(order_of_rows_is_nothing),
        cmocka_unit_test(names_are_nothing),
        cmocka_unit_test(hands_change_nothing),
        cmocka_unit_test(parts_add_up),
        cmocka_unit_test(refused),
        cmocka_unit_test(too_many_breeds),
        cmocka_unit_test(depth),
    };
    return cmocka_run_group_tests(tests, NULL, count);
}
