/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Samples: tests/weather/samples/NAME.EXT is a file as it may come, invented, each with a trap; NAME.want is what must
 * be read from it. A new case is two files and no code.
 *
 * A .want begins with options, one a line (columns, where, at, from, to, zone, fill; zone NAME is one of the few rules
 * below), then "---", then the reading as print_reading() writes it, or one line "refused FIELD: SENTENCE".
 * With WRITE_WANT=1 in the environment a differing reading is written after the "---": look at it before keeping it.
 * An .ext of "gz" in NAME.gz.hex is hexadecimal text, so that no binary file has to be kept.
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

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/base/text.h"
#include "core/base/vapour.h"
#include "weather/weather.h"

static const char folder[] = "tests/weather/samples";
enum { CEILING = 4 * 1024 * 1024 };

static bool read_whole_file(const char *path, struct text *out)
{
    char piece[4096];
    FILE *f = fopen(path, "rb");

    text_open(out, CEILING);
    if (!f)
        return false;
    for (size_t got; (got = fread(piece, 1, sizeof piece, f)) > 0;)
        text_add_bytes(out, piece, got);
    (void)fclose(f);
    return !text_full(out);
}

/* Two zones for tests, by rule: US Central (summer time from the second Sunday of March 02:00 to the first Sunday of
 * November 02:00, Energy Policy Act of 2005), and a fixed +05:30. */
static int64_t nth_sunday(int year, int month, int nth)
{
    const int64_t first = civil_days(year, month, 1);
    return first + (6 - civil_weekday(first)) + (nth - 1) * 7;
}

static int us_central(void *zone, int64_t local_s, bool *ambiguous)
{
    const struct civil c = civil_from_seconds(local_s);
    const int64_t spring_s = nth_sunday(c.year, 3, 2) * DAY_S + 2 * HOUR_S,
                  autumn_s = nth_sunday(c.year, 11, 1) * DAY_S + 2 * HOUR_S;

    (void)zone;
    *ambiguous = local_s >= autumn_s - HOUR_S && local_s < autumn_s;
    return local_s >= spring_s && local_s < autumn_s ? -5 * 3600 : -6 * 3600;
}

static int half_past_five(void *zone, int64_t local_s, bool *ambiguous)
{
    (void)zone;
    (void)local_s;
    *ambiguous = false;
    return 19800;
}

struct sample {
    char columns[400], where[100];
    struct weather_options opt;
    bool fill;
    size_t answer_at; /* in the .want, after "---\n" */
};

static bool moment(const char *text, int64_t *utc_s)
{
    struct civil_text t;
    if (!civil_read(text, &t))
        return false;
    *utc_s = civil_seconds(&t.at) - t.offset_s;
    return true;
}

static bool read_option(struct sample *s, const char *key, const char *value)
{
    if (strcmp(key, "columns") == 0) {
        (void)snprintf(s->columns, sizeof s->columns, "%s", value);
        s->opt.columns = s->columns;
    } else if (strcmp(key, "where") == 0) {
        (void)snprintf(s->where, sizeof s->where, "%s", value);
        s->opt.where = s->where;
    } else if (strcmp(key, "at") == 0) {
        return s->opt.has_at = moment(value, &s->opt.at_utc_s);
    } else if (strcmp(key, "from") == 0) {
        return s->opt.has_from = moment(value, &s->opt.from_utc_s);
    } else if (strcmp(key, "to") == 0) {
        return s->opt.has_to = moment(value, &s->opt.to_utc_s);
    } else if (strcmp(key, "zone") == 0) {
        s->opt.offset_s = strcmp(value, "us-central") == 0 ? us_central : half_past_five;
    } else if (strcmp(key, "fill") == 0) {
        s->fill = true;
    } else {
        return false;
    }
    return true;
}

static bool read_options(struct sample *s, const char *want)
{
    memset(s, 0, sizeof *s);
    for (const char *line = want; *line;) {
        char key[20] = "", value[400] = "";
        const char *nl = strchr(line, '\n');
        if (!nl)
            return false;
        if (strncmp(line, "---", 3) == 0) {
            s->answer_at = (size_t)(nl + 1 - want);
            return true;
        }
        const size_t n = (size_t)(nl - line), k = strcspn(line, " \n");
        if (k >= sizeof key || n - k >= sizeof value)
            return false;
        memcpy(key, line, k);
        if (n > k)
            memcpy(value, line + k + 1, n - k - 1);
        if (key[0] != '#' && !read_option(s, key, value))
            return false;
        line = nl + 1;
    }
    return false;
}

static void figure(struct text *t, const char *name, double value)
{
    if (!isnan(value))
        text_print(t, " %s %.6g", name, fabs(value) < 5e-10 ? 0.0 : value); /* no -0 */
}

static void print_hour(struct text *t, const struct weather *w, size_t i)
{
    const struct hour *h = &w->hour[i];
    static const char *const bits[] = { "temp",  "dew",  "rh",   "wind", "gust",    "from",
                                        "cloud", "rain", "snow", "sun",  "pressure" };
    static const char *const risks[] = { "wind", "rain", "snow", "freezing", "thunder", "hail", "hazard" };
    char at[32];

    text_print(t, "%.16sZ", civil_moment_text(h->utc_s, at));
    if (w->n_sources > 1)
        text_print(t, " [%s]", w->source[h->source].name);
    figure(t, "temp", h->temp_c);
    figure(t, "dew", h->dew_point_c);
    figure(t, "rh", h->rh);
    figure(t, "wind", h->wind_mps);
    figure(t, "gust", h->gust_mps);
    figure(t, "from", h->wind_from_deg);
    figure(t, "cloud", h->cloud_oktas);
    figure(t, "rain", h->rain_mm);
    figure(t, "chance", h->rain_probability);
    figure(t, "snow_cm", h->snow_cm);
    figure(t, "kpa", h->pressure_kpa);
    figure(t, "ghi", h->ghi_w_m2);
    figure(t, "dni", h->dni_w_m2);
    figure(t, "dhi", h->dhi_w_m2);
    text_add(t, h->snow ? " SNOW" : "");
    text_add(t, h->wind_variable ? " VARIABLE" : "");
    text_add(t, h->rain_trace ? " TRACE" : "");
    if (w->step_h && w->step_h[i] != 1)
        text_print(t, " for %d h", w->step_h[i]);
    for (size_t b = 0; b < COUNT(bits); b++)
        if (h->filled & 1u << b)
            text_print(t, " filled-%s", bits[b]);
    for (size_t b = 0; b < COUNT(risks); b++)
        if (h->risk & 1u << b)
            text_print(t, " risk-%s", risks[b]);
    if (w->says && w->says[i])
        text_print(t, " \"%s\"", w->says[i]);
    text_add(t, "\n");
}

static void print_head(struct text *t, const struct weather *w)
{
    char at[32];

    text_print(t, "%s, %zu hours of %zu rows", weather_format_name[w->format], w->n, w->rows);
    if (w->place[0])
        text_print(t, ", place \"%s\"", w->place);
    figure(t, "lat", w->lat_deg);
    figure(t, "lon", w->lon_deg);
    figure(t, "elevation", w->elevation_m);
    if (w->issued_utc_s)
        text_print(t, " issued %s", civil_moment_text(w->issued_utc_s, at));
    text_print(t, "%s%s\n", w->forecast ? " forecast" : "", w->typical_year ? " typical-year" : "");
    text_print(t, "credit \"%s\"\n", w->credit);
    for (size_t i = 0; i < w->n_sources; i++)
        text_print(t, "source %s\n", w->source[i].name);
}

static void print_reading(struct text *t, const struct weather *w)
{
    char from[32], to[32];

    print_head(t, w);
    for (size_t i = 0; i < w->n; i++)
        print_hour(t, w, i);
    for (size_t i = 0; i < w->n_rejected_listed; i++)
        text_print(t, "rejected line %zu [%s]: %s\n", w->rejected[i].line, w->rejected[i].field, w->rejected[i].says);
    for (size_t i = 0; i < w->n_risks; i++) {
        const struct weather_risk *r = &w->risk[i];
        text_print(t, "risk %.16sZ to %.16sZ", civil_moment_text(r->from_utc_s, from),
                   civil_moment_text(r->to_utc_s, to));
        figure(t, "chance", r->probability);
        figure(t, "wind", r->wind_mps);
        figure(t, "gust", r->gust_mps);
        text_print(t, " bits %u: %s\n", r->bits, r->says);
    }
    for (size_t i = 0; i < w->n_notes; i++)
        text_print(t, "note %s\n", w->note[i]);
}

static size_t from_hex(struct text *t)
{
    static const char digits[] = "0123456789abcdef";
    size_t n = 0;
    int high = -1;

    for (size_t i = 0; i < t->length; i++) {
        const char *d = t->bytes[i] ? strchr(digits, t->bytes[i]) : NULL;
        if (!d)
            continue;
        if (high < 0) {
            high = (int)(d - digits);
        } else {
            t->bytes[n++] = (char)(high * 16 + (int)(d - digits));
            high = -1;
        }
    }
    return n;
}

/* The reading of one sample into *got. */
static void read_sample(const char *name, struct text *bytes, const struct sample *s, struct text *got)
{
    struct arena mem;
    struct weather w, filled;
    struct message why = { "", "" };
    const bool hex = strlen(name) > 4 && strcmp(name + strlen(name) - 4, ".hex") == 0;
    const size_t n = hex ? from_hex(bytes) : bytes->length;

    arena_open(&mem, (size_t)64 << 20);
    enum status st = weather_read(name, text_get(bytes), n, &s->opt, &mem, &w, &why);
    if (st == ST_OK && s->fill) {
        st = weather_fill(&w, &mem, &filled, &why);
        w = filled;
    }
    if (st == ST_OK)
        print_reading(got, &w);
    else
        text_print(got, "refused %s: %s\n", why.field, why.text);
    arena_close(&mem);
}

static void write_want(const char *path, const struct text *want, size_t keep, const struct text *got)
{
    FILE *f = fopen(path, "wb");
    if (!f)
        fail_msg("%s can't be written", path);
    (void)fwrite(text_get(want), 1, keep, f);
    (void)fwrite(text_get(got), 1, got->length, f);
    (void)fclose(f);
}

/* True: as wanted. */
static bool check(const char *name)
{
    char path[512], want_path[512];
    struct text bytes, want, got;
    struct sample s;
    bool same = false;

    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    (void)snprintf(want_path, sizeof want_path, "%s/%.*s.want", folder, (int)strcspn(name, "."), name);
    if (!read_whole_file(path, &bytes))
        fail_msg("%s can't be read", path);
    text_open(&got, CEILING);
    if (!read_whole_file(want_path, &want))
        print_message("%s: no %s\n", name, want_path);
    else if (!read_options(&s, text_get(&want)))
        print_message("%s: its options can't be read\n", want_path);
    else {
        read_sample(name, &bytes, &s, &got);
        same = strcmp(text_get(&want) + s.answer_at, text_get(&got)) == 0;
        if (!same)
            print_message("%s: wanted\n%s\ngot\n%s\n", name, text_get(&want) + s.answer_at, text_get(&got));
        if (!same && getenv("WRITE_WANT"))
            write_want(want_path, &want, s.answer_at, &got);
    }
    text_close(&bytes);
    text_close(&want);
    text_close(&got);
    return same;
}

static void every_sample_reads_as_wanted(void **state)
{
    DIR *dir = opendir(folder);
    size_t n = 0, bad = 0;

    (void)state;
    if (!dir)
        fail_msg("no folder %s", folder);
    for (struct dirent *e; (e = readdir(dir)) != NULL;) {
        const size_t length = strlen(e->d_name);
        if (e->d_name[0] == '.' || (length > 5 && strcmp(e->d_name + length - 5, ".want") == 0))
            continue;
        bad += check(e->d_name) ? 0 : 1;
        n++;
    }
    (void)closedir(dir);
    print_message("%zu samples\n", n);
    assert_int_equal(bad, 0);
    assert_true(n >= 40);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(every_sample_reads_as_wanted) };
    return cmocka_run_group_tests_name("weather/samples", tests, NULL, NULL);
}
