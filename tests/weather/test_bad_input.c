/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rubbish in: every kind of it is one sentence out, never a crash, and what is good is kept. The kept samples are cut
 * at every byte and have bytes changed; files too large to keep are made here.
 */
#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <zlib.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "tests/prop.h"
#include "weather/weather.h"

static const char folder[] = "tests/weather/samples";
static const char own_head[] = "# hut-weather 1\ntime,temp_c,wind_ms,wind_from_deg,rain_mm\n";

/* What must hold of any answer. */
static void check_reading(const char *what, enum status st, const struct weather *w, const struct message *why)
{
    if (st != ST_OK) {
        if (!why->text[0] || strpbrk(why->text, "\n\r"))
            fail_msg("%s: refused without one sentence: \"%s\"", what, why->text);
        return;
    }
    assert_true(w->n > 0);
    for (size_t i = 0; i < w->n; i++) {
        const struct hour *h = &w->hour[i];
        const struct {
            double value, low, high;
        } figures[] = {
            { h->temp_c, -70.0, 60.0 },       { h->dew_point_c, -100.0, 60.0 },  { h->rh, 0.0, 1.0 },
            { h->wind_mps, 0.0, 75.0 },       { h->gust_mps, 0.0, 115.0 },       { h->wind_from_deg, 0.0, 359.9999999 },
            { h->cloud_oktas, 0.0, 8.0 },     { h->rain_mm, 0.0, 400.0 },        { h->snow_cm, 0.0, 60.0 },
            { h->pressure_kpa, 45.0, 110.0 }, { h->rain_probability, 0.0, 1.0 },
        };
        for (size_t k = 0; k < COUNT(figures); k++)
            if (!isnan(figures[k].value) &&
                !(figures[k].value >= figures[k].low && figures[k].value <= figures[k].high))
                fail_msg("%s, hour %zu, figure %zu: %g", what, i, k, figures[k].value);
        if (i > 0 && (h->utc_s < w->hour[i - 1].utc_s ||
                      (h->utc_s == w->hour[i - 1].utc_s && h->source <= w->hour[i - 1].source)))
            fail_msg("%s: hour %zu is out of order", what, i);
        assert_true(h->source >= 0 && (size_t)h->source < w->n_sources);
        assert_true(h->utc_s % HOUR_S == 0);
    }
    assert_true(w->n_rejected_listed <= w->n_rejected);
}

static enum status read_bytes(const char *what, const char *bytes, size_t n, const struct weather_options *opt,
                              struct message *why)
{
    struct arena mem;
    struct weather w;

    why->text[0] = '\0';
    arena_open(&mem, (size_t)512 << 20);
    const enum status st = weather_read(what, bytes, n, opt, &mem, &w, why);
    check_reading(what, st, &w, why);
    arena_close(&mem);
    return st;
}

static void refused(const char *what, const char *bytes, size_t n, const char *must_say)
{
    struct message why = { "", "" };
    const enum status st = read_bytes(what, bytes, n, NULL, &why);

    if (st == ST_OK || !strstr(why.text, must_say) || !strstr(why.text, what))
        fail_msg("%s: wanted a refusal with \"%s\", got status %d \"%s\"", what, must_say, (int)st, why.text);
}

static char *many(const char *head, const char *piece, size_t times, const char *tail, size_t *n)
{
    const size_t a = strlen(head), b = strlen(piece), c = strlen(tail);
    char *all = malloc(a + b * times + c + 1);

    if (!all)
        fail_msg("out of memory");
    memcpy(all, head, a);
    for (size_t i = 0; i < times; i++)
        memcpy(all + a + i * b, piece, b);
    memcpy(all + a + b * times, tail, c + 1);
    *n = a + b * times + c;
    return all;
}

static void forty_megabytes_of_digits(void **state)
{
    size_t n = 0;

    (void)state;
    char *json = many("{\"properties\": {\"periods\": [{\"temperature\": ", "9", (size_t)40 << 20, "}]}}", &n);
    refused("forty.json", json, n, "larger than");
    free(json);
    json = many("{\"properties\": {\"periods\": [{\"temperature\": ", "9", (size_t)12 << 20, "}]}}", &n);
    refused("twelve.json", json, n, "line 1");
    free(json);
    char *csv = many("# hut-weather 1\ntime,temp_c\n2031-01-05T06:00Z,", "9", (size_t)40 << 20, "\n", &n);
    refused("forty.csv", csv, n, "line 3");
    free(csv);
    char *report = many("METAR ZZAA 051455Z ", "9", (size_t)40 << 20, "=\n", &n);
    const struct weather_options opt = { .has_at = true, .at_utc_s = INT64_C(1925000000) };
    struct message why = { "", "" };
    assert_int_equal(read_bytes("forty.txt", report, n, &opt, &why), ST_BAD_INPUT);
    free(report);
}

static void sixty_five_megabytes(void **state)
{
    size_t n = 0;

    (void)state;
    char *text = many("", "2031 01 05 00   -44   -83 10256   260    67     4 -9999 -9999\n", (size_t)1100000, "", &n);
    refused("large.txt", text, n, "larger than 64 MB");
    free(text);
}

/* A small packed file that unpacks to more than may be. */
static void a_bomb_is_refused(void **state)
{
    enum { PIECE = 1 << 20, PIECES = 70 };
    static unsigned char packed[1 << 20], piece[PIECE];
    z_stream z;

    (void)state;
    memset(&z, 0, sizeof z);
    memset(piece, '\n', sizeof piece);
    assert_int_equal(deflateInit2(&z, 9, Z_DEFLATED, 16 + MAX_WBITS, 8, Z_DEFAULT_STRATEGY), Z_OK);
    z.next_out = packed;
    z.avail_out = sizeof packed;
    for (int i = 0; i < PIECES; i++) {
        z.next_in = piece;
        z.avail_in = sizeof piece;
        assert_int_equal(deflate(&z, i + 1 == PIECES ? Z_FINISH : Z_NO_FLUSH), i + 1 == PIECES ? Z_STREAM_END : Z_OK);
    }
    const size_t n = sizeof packed - z.avail_out;
    (void)deflateEnd(&z);
    assert_true(n < 200000);
    refused("bomb.gz", (const char *)packed, n, "unpacks to more than 64 MB");
}

static void many_values_and_deep_nests(void **state)
{
    size_t n = 0;

    (void)state;
    char *json = many("[", "0,", 3000000, "0]", &n);
    refused("values.json", json, n, "more values");
    free(json);
    json = many("", "[", 1000000, "", &n);
    refused("deep.json", json, n, "nested deeper");
    free(json);
}

/* Quotation marks that never close must not make reading slow: bounded looking ahead. */
static void never_closed_quotation_marks(void **state)
{
    size_t n = 0;
    struct message why = { "", "" };

    (void)state;
    char *csv = many(own_head, "\"\"\"\n", 4000000, "2031-01-05T06:00Z,1,2,3,0\n", &n);
    (void)read_bytes("marks.csv", csv, n, NULL, &why);
    free(csv);
}

/* More bad rows than are listed: all are counted. */
static void a_flood_of_bad_rows(void **state)
{
    struct arena mem;
    struct weather w;
    struct message why = { "", "" };
    size_t n = 0;

    (void)state;
    char *csv = many(own_head, "never,1,2,3,0\n", 100000, "2031-01-05T06:00Z,1,2,3,0\n", &n);
    arena_open(&mem, (size_t)64 << 20);
    assert_int_equal(weather_read("flood.csv", csv, n, NULL, &mem, &w, &why), ST_OK);
    assert_int_equal(w.n, 1);
    assert_int_equal(w.n_rejected, 100000);
    assert_int_equal(w.n_rejected_listed, WEATHER_REJECTED_LISTED);
    arena_close(&mem);
    free(csv);
}

static char *load(const char *name, size_t *n)
{
    char path[512];
    static char bytes[1 << 16];

    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "rb");
    if (!f)
        fail_msg("%s can't be opened", path);
    *n = fread(bytes, 1, sizeof bytes, f);
    (void)fclose(f);
    char *exact = malloc(*n ? *n : 1); /* exact, so that a step past the end is seen by the sanitizer */
    if (!exact)
        fail_msg("out of memory");
    memcpy(exact, bytes, *n);
    return exact;
}

static const struct weather_options mixed = {
    .has_at = true, .at_utc_s = INT64_C(1925164800), /* 2031-01-02T... : reports need a month */
};

static void for_every_sample(void (*job)(const char *name, const char *bytes, size_t n))
{
    DIR *dir = opendir(folder);
    size_t samples = 0;

    if (!dir)
        fail_msg("no folder %s", folder);
    for (struct dirent *e; (e = readdir(dir)) != NULL;) {
        size_t n = 0;
        if (e->d_name[0] == '.' || strstr(e->d_name, ".want"))
            continue;
        char *bytes = load(e->d_name, &n);
        job(e->d_name, bytes, n);
        free(bytes);
        samples++;
    }
    (void)closedir(dir);
    assert_true(samples >= 40);
}

static void cut(const char *name, const char *bytes, size_t n)
{
    const size_t step = n > 3000 ? n / 3000 + 1 : 1;
    for (size_t k = 0; k < n; k += step) {
        struct message why = { "", "" };
        char *exact = malloc(k ? k : 1);
        if (!exact)
            fail_msg("out of memory");
        memcpy(exact, bytes, k);
        (void)read_bytes(name, exact, k, &mixed, &why);
        free(exact);
    }
}

static void every_sample_cut_anywhere(void **state)
{
    (void)state;
    for_every_sample(cut);
}

static void spoil(const char *name, const char *bytes, size_t n)
{
    static const char odd[] = { 0, '\n', '"', '-', '9', ',', (char)0xff, '/', 'e', '{' };
    struct dice d = prop_start();

    for (int round = 0; n > 0 && round < 150; round++) {
        struct message why = { "", "" };
        char *changed = malloc(n);
        if (!changed)
            fail_msg("out of memory");
        memcpy(changed, bytes, n);
        for (int k = 0; k < 1 + round / 20; k++)
            changed[prop_bits(&d) % n] = odd[prop_bits(&d) % sizeof odd];
        (void)read_bytes(name, changed, n, &mixed, &why);
        free(changed);
    }
}

static void every_sample_with_bytes_changed(void **state)
{
    (void)state;
    for_every_sample(spoil);
}

/* The arena refuses sooner or later, at every size: never a crash, always ST_NO_MEMORY or the whole answer. */
static void too_little_memory(const char *name, const char *bytes, size_t n)
{
    struct weather w;

    for (size_t ceiling = 0; ceiling < (size_t)200 << 10; ceiling += 1500 + ceiling / 8) {
        struct arena mem;
        struct message why = { "", "" };
        arena_open(&mem, ceiling);
        const enum status st = weather_read(name, bytes, n, &mixed, &mem, &w, &why);
        if (st == ST_NO_MEMORY)
            assert_true(why.text[0] != '\0');
        else
            check_reading(name, st, &w, &why);
        arena_close(&mem);
    }
}

static void every_sample_with_too_little_memory(void **state)
{
    (void)state;
    for_every_sample(too_little_memory);
}

static void files_that_are_none(void **state)
{
    struct arena mem;
    struct weather w;
    struct message why = { "", "" };

    (void)state;
    arena_open(&mem, (size_t)16 << 20);
    assert_int_equal(weather_read_file("tests/weather/no such file", NULL, &mem, &w, &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "no such file"));
    assert_int_equal(weather_read_file("tests/weather", NULL, &mem, &w, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "folder"));
    arena_close(&mem);
}

static void read_own(const char *rows, struct arena *mem, struct weather *w)
{
    char all[4000];
    struct message why = { "", "" };

    (void)snprintf(all, sizeof all, "%s%s", own_head, rows);
    if (weather_read("own.csv", all, strlen(all), NULL, mem, w, &why) != ST_OK)
        fail_msg("%s", why.text);
}

/* Two files with an hour in common: the later file's is kept, and said. */
static void joining_keeps_the_later(void **state)
{
    struct arena mem;
    struct weather part[2], both;
    struct message why = { "", "" };

    (void)state;
    arena_open(&mem, (size_t)16 << 20);
    read_own("2031-01-05T07:00Z,1,2,90,0\n2031-01-05T06:00Z,2,2,90,0\n", &mem, &part[0]);
    read_own("2031-01-05T08:00Z,3,2,90,0\n2031-01-05T07:00Z,4,2,90,0\n", &mem, &part[1]);
    assert_int_equal(weather_join(part, 2, &mem, &both, &why), ST_OK);
    assert_int_equal(both.n, 3);
    assert_int_equal(both.doubles, 1);
    assert_int_equal(both.rows, 4);
    assert_int_equal(both.n_sources, 1);
    assert_true(both.hour[0].temp_c == 2.0 && both.hour[1].temp_c == 4.0 && both.hour[2].temp_c == 3.0);
    check_reading("joined", ST_OK, &both, &why);
    arena_close(&mem);
}

/* Filling never changes what was reported, marks all it adds, bridges three missing hours and not four. */
static void filling_leaves_what_is_known(void **state)
{
    struct dice d = prop_start();

    (void)state;
    for (int round = 0; round < 300; round++) {
        struct arena mem;
        struct weather w, filled;
        struct message why = { "", "" };
        char rows[3000] = "";
        size_t used = 0;
        arena_open(&mem, (size_t)16 << 20);
        for (int hour = 0; hour < 24; hour++) {
            if (hour > 0 && dice_even(&d) < 0.4)
                continue;
            used += (size_t)snprintf(rows + used, sizeof rows - used, "2031-01-05T%02d:00Z,%s%.1f,%.1f,%d,0\n", hour,
                                     dice_even(&d) < 0.2 ? "NA,1\n2031-01-06T23:00Z," : "", dice_between(&d, -20, 5),
                                     dice_between(&d, 0, 12), (int)dice_between(&d, 0, 360));
        }
        read_own(rows, &mem, &w);
        assert_int_equal(weather_fill(&w, &mem, &filled, &why), ST_OK);
        check_reading("filled", ST_OK, &filled, &why);
        for (size_t i = 0, k = 0; i < filled.n; i++) {
            const struct hour *h = &filled.hour[i];
            if (k < w.n && w.hour[k].utc_s == h->utc_s) {
                if (!isnan(w.hour[k].temp_c))
                    assert_true(h->temp_c == w.hour[k].temp_c && !(h->filled & HOUR_TEMP));
                k++;
            } else {
                assert_true(h->filled & HOUR_TEMP);
                assert_true(k > 0 && w.hour[k].utc_s - w.hour[k - 1].utc_s <= 4 * HOUR_S);
            }
            assert_true(h->cloud_oktas >= 0.0);
        }
        arena_close(&mem);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forty_megabytes_of_digits),
        cmocka_unit_test(sixty_five_megabytes),
        cmocka_unit_test(a_bomb_is_refused),
        cmocka_unit_test(many_values_and_deep_nests),
        cmocka_unit_test(never_closed_quotation_marks),
        cmocka_unit_test(a_flood_of_bad_rows),
        cmocka_unit_test(every_sample_cut_anywhere),
        cmocka_unit_test(every_sample_with_bytes_changed),
        cmocka_unit_test(every_sample_with_too_little_memory),
        cmocka_unit_test(files_that_are_none),
        cmocka_unit_test(joining_keeps_the_later),
        cmocka_unit_test(filling_leaves_what_is_known),
    };
    return cmocka_run_group_tests_name("weather/bad_input", tests, NULL, NULL);
}
