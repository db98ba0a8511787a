/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A file of METAR, SPECI and TAF reports: taken apart into reports, each into words. A report begins with its kind, or
 * with station and time, at the start of a line; it ends with '=', at an empty line, or where the next begins. A line
 * "2026/01/22 14:51" before a report gives its date, as the US service's station files have it.
 */
#include <string.h>

#include "core/base/civil.h"
#include "weather/formats.h"
#include "weather/report.h"

struct reading {
    struct gather *g;
    const char *at, *end;
    size_t line;
    bool taf, no_month;
    size_t metars, tafs;
    bool has_date;
    int64_t date_utc_s;
};

static size_t word_end(const char *s, const char *end)
{
    size_t n = 0;
    while (s + n < end && s[n] != ' ' && s[n] != '\t' && s[n] != '\r' && s[n] != '\n' && s[n] != '=')
        n++;
    return n;
}

static void add_word(struct report *report, const char *s, size_t n)
{
    if (report->n == REPORT_WORDS || n > REPORT_WORD_BYTES) {
        report->too_long = report->too_long || report->n == REPORT_WORDS;
        return; /* no group is that long */
    }
    memcpy(report->text[report->n], s, n);
    report->text[report->n][n] = '\0';
    report->word[report->n] = report->text[report->n];
    report->n++;
}

/* Does the line here begin a report? */
static bool begins(const char *s, const char *end)
{
    char first[8] = "", second[8] = "";
    const size_t n = word_end(s, end);

    if (n == 0 || n >= sizeof first)
        return false;
    memcpy(first, s, n);
    if (strcmp(first, "METAR") == 0 || strcmp(first, "SPECI") == 0 || strcmp(first, "TAF") == 0)
        return true;
    if (!is_station(first) || s + n >= end || s[n] != ' ')
        return false;
    const size_t m = word_end(s + n + 1, end);
    if (m != 7)
        return false;
    memcpy(second, s + n + 1, m);
    return like_pattern(second, "999999Z");
}

static bool date_line(struct reading *r, const char *s, const char *end)
{
    char text[17] = "";
    struct civil_text t;

    if (end - s < 16 || s[4] != '/' || s[7] != '/')
        return false;
    memcpy(text, s, 16);
    text[4] = text[7] = '-';
    if (!civil_read(text, &t))
        return false;
    r->date_utc_s = civil_seconds(&t.at);
    r->has_date = true;
    return true;
}

static bool blank(const char *s, const char *end)
{
    while (s < end && (*s == ' ' || *s == '\t' || *s == '\r'))
        s++;
    return s >= end || *s == '\n';
}

static const char *line_end_of(const char *s, const char *end)
{
    const char *nl = memchr(s, '\n', (size_t)(end - s));
    return nl ? nl : end;
}

/* Words up to the end of the report; leaves r->at after it. */
static void take_report(struct reading *r, struct report *report)
{
    report->n = 0;
    report->too_long = false;
    report->line = r->line;
    report->has_date = r->has_date;
    report->date_utc_s = r->date_utc_s;
    while (r->at < r->end) {
        if (*r->at == '=') {
            r->at++;
            return;
        }
        if (*r->at == '\n') {
            r->at++;
            r->line++;
            if (r->at >= r->end || blank(r->at, r->end) || begins(r->at, r->end))
                return;
            continue;
        }
        const size_t n = word_end(r->at, r->end);
        if (n == 0) {
            r->at++;
            continue;
        }
        add_word(report, r->at, n);
        r->at += n;
    }
}

/* --where station=KABC: true when this report is wanted. */
static bool wanted(const struct gather *g, const struct report *report)
{
    const char *where = g->opt->where;

    if (!where)
        return true;
    for (size_t i = 0; i < report->n && i < 4; i++)
        if (is_station(report->word[i]) && strcmp(report->word[i], "SPECI") != 0 &&
            strcmp(report->word[i], "METAR") != 0)
            return strcmp(report->word[i], where + strlen("station=")) == 0;
    return false;
}

static bool read_one(struct reading *r)
{
    struct report report;

    take_report(r, &report);
    if (report.n == 0)
        return !arena_full(r->g->mem);
    if (report.too_long)
        gather_reject(r->g, report.line, "", "a report of more than %d words; the rest is not read", REPORT_WORDS);
    const bool taf = strcmp(report.word[0], "TAF") == 0 ||
                     (report.n > 2 && is_station(report.word[0]) && like_pattern(report.word[2], "9999/9999"));
    if (!wanted(r->g, &report))
        return true;
    r->tafs += taf;
    r->metars += !taf;
    return taf ? read_taf(r->g, &report, &r->no_month) : read_metar(r->g, &report, &r->no_month);
}

static bool read_line(struct reading *r)
{
    const char *line_end = line_end_of(r->at, r->end);

    while (r->at < line_end && (*r->at == ' ' || *r->at == '\t' || *r->at == '\r'))
        r->at++;
    if (begins(r->at, line_end))
        return read_one(r);
    if (r->at < line_end && !date_line(r, r->at, line_end) && *r->at != '#')
        gather_reject(r->g, r->line, "", "the line begins no report and belongs to none");
    r->at = line_end < r->end ? line_end + 1 : r->end;
    r->line++;
    return true;
}

enum status read_reports(struct gather *g, const char *bytes, size_t n, struct message *why)
{
    struct reading r = { .g = g, .at = bytes, .end = bytes + n, .line = 1 };

    if (n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0)
        r.at += 3;
    if (g->opt->where && strncmp(g->opt->where, "station=", 8) != 0)
        return refuse(ST_BAD_INPUT, why, "where",
                      "%.120s: METAR and TAF are narrowed by station, such as station=KABC, not by "
                      "\"%.60s\"",
                      g->name, g->opt->where);
    while (r.at < r.end) {
        if (!read_line(&r))
            return refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", g->name);
        if (r.no_month)
            return refuse(ST_BAD_INPUT, why, "at",
                          "%.120s: METAR and TAF give only the day of the month; say the month and "
                          "year with --at, such as --at 2026-01-22T15:00Z",
                          g->name);
    }
    if (g->opt->where && r.metars + r.tafs == 0)
        return refuse(ST_BAD_INPUT, why, "where", "%.120s: no report is of %.60s", g->name, g->opt->where);
    g->out.format = r.tafs == 0 ? WEATHER_METAR : r.metars == 0 ? WEATHER_TAF : WEATHER_MIXED;
    g->out.forecast = r.metars == 0;
    g->out.sea_level_pressure = true;
    g->out.wind_height_m = 10.0;
    return ST_OK;
}
