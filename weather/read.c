/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The one entrance: bytes or a file in, hours out.
 */
#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "weather/formats.h"
#include "weather/gunzip.h"

static enum status read_plain(struct gather *g, const char *bytes, size_t n, struct message *why)
{
    const enum look look = recognise(bytes, n);

    if (look == LOOK_GZIP)
        return refuse(ST_BAD_INPUT, why, "", "%.120s: packed twice; unpack it once", g->name);
    if (look == LOOK_BINARY)
        return refuse(ST_BAD_INPUT, why, "", "%.120s: not text; give a weather file of a known kind", g->name);
    if (g->opt->columns)
        return read_columns_csv(g, bytes, n, why);
    if (g->opt->where && look != LOOK_REPORTS)
        return refuse(ST_BAD_INPUT, why, "where",
                      "%.120s: --where narrows a table read with --columns, or METAR and TAF "
                      "by station=NAME; this file is neither",
                      g->name);
    switch (look) {
    case LOOK_JSON: return read_json(g, bytes, n, why);
    case LOOK_ISD_LITE: return read_isd_lite(g, bytes, n, why);
    case LOOK_EPW: return read_epw(g, bytes, n, why);
    case LOOK_REPORTS: return read_reports(g, bytes, n, why);
    case LOOK_OWN_CSV: return read_own_csv(g, bytes, n, why);
    case LOOK_TABLE:
        return refuse(ST_BAD_INPUT, why, "columns",
                      "%.120s: a table whose columns are not known; name them with "
                      "--columns time=HEADER,temp=HEADER:F,wind=HEADER:mph",
                      g->name);
    case LOOK_NOTHING:
    case LOOK_GZIP:
    case LOOK_BINARY: break;
    }
    return refuse(ST_BAD_INPUT, why, "",
                  "%.120s: not a weather file of a known kind; known are ISD-Lite, US national "
                  "and MET Norway forecasts, METAR, TAF, EPW and CSV",
                  g->name);
}

enum status weather_read(const char *name, const char *bytes, size_t n, const struct weather_options *opt,
                         struct arena *mem, struct weather *out, struct message *why)
{
    struct gather g;
    struct text plain;
    enum status st = ST_OK;

    if (n == 0)
        return refuse(ST_BAD_INPUT, why, "", "%.120s: the file is empty", name);
    if (n > WEATHER_FILE_BYTES)
        return refuse(ST_BAD_INPUT, why, "", "%.120s: larger than %d MB; give a smaller file", name,
                      WEATHER_FILE_BYTES / (1024 * 1024));
    text_open(&plain, WEATHER_FILE_BYTES);
    if (is_gzip(bytes, n)) {
        st = gunzip(name, bytes, n, &plain, why);
        bytes = text_get(&plain);
        n = plain.length;
        if (st == ST_OK && n == 0)
            st = refuse(ST_BAD_INPUT, why, "", "%.120s: the packed file is empty", name);
    }
    if (st == ST_OK)
        st = gather_open(&g, name, opt, mem, why);
    if (st == ST_OK)
        st = read_plain(&g, bytes, n, why);
    if (st == ST_OK)
        st = gather_finish(&g, out, why);
    text_close(&plain);
    return st;
}

static enum status read_all(FILE *f, const char *path, struct text *all, struct message *why)
{
    char piece[64 * 1024];
    size_t got = 0;

    while ((got = fread(piece, 1, sizeof piece, f)) > 0) {
        text_add_bytes(all, piece, got);
        if (text_full(all))
            return refuse(ST_BAD_INPUT, why, "", "%.120s: larger than %d MB; give a smaller file", path,
                          WEATHER_FILE_BYTES / (1024 * 1024));
    }
    if (ferror(f)) {
        const int error = errno;
        return refuse(error == EISDIR ? ST_BAD_INPUT : ST_IO, why, "", "%.120s: %s", path,
                      error == EISDIR ? "a folder; give a file" : "can't be read to its end");
    }
    return ST_OK;
}

enum status weather_read_file(const char *path, const struct weather_options *opt, struct arena *mem,
                              struct weather *out, struct message *why)
{
    struct text all;
    FILE *f = fopen(path, "rb");

    if (!f && errno == ENOENT)
        return refuse(ST_NOT_FOUND, why, "weather", "%.120s: no such file", path);
    if (!f)
        return refuse(ST_IO, why, "weather", "%.120s: can't be opened; may this program read it?", path);
    text_open(&all, WEATHER_FILE_BYTES);
    enum status st = read_all(f, path, &all, why);
    (void)fclose(f);
    if (st == ST_OK)
        st = weather_read(path, text_get(&all), all.length, opt, mem, out, why);
    text_close(&all);
    return st;
}
