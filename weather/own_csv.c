/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Our own CSV: lines "# key,value" (place, lat, lon, elevation_m, wind_height_m, tz, source) after "# hut-weather 1",
 * then a header naming columns in any order, then a row an hour. See docs/use/weather-files.md.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "weather/formats.h"
#include "weather/table.h"

static const struct {
    const char *name;
    enum table_slot slot;
    const char *unit;
} known[] = {
    { "time", TABLE_TIME, "" },
    { "temp_c", TABLE_TEMP, "C" },
    { "dewpoint_c", TABLE_DEW, "C" },
    { "dew_point_c", TABLE_DEW_KEPT, "C" },
    { "rh", TABLE_RH_KEPT, "" },
    { "rh_pct", TABLE_RH, "%" },
    { "wind_ms", TABLE_WIND, "mps" },
    { "wind_mps", TABLE_WIND, "mps" },
    { "gust_ms", TABLE_GUST, "mps" },
    { "gust_mps", TABLE_GUST, "mps" },
    { "wind_from_deg", TABLE_FROM, "deg" },
    { "rain_mm", TABLE_RAIN, "mm" },
    { "snow_cm", TABLE_SNOW, "cm" },
    { "snow", TABLE_FALL, "" },
    { "cloud_oktas", TABLE_CLOUD, "okta" },
    { "ghi_wm2", TABLE_SUN, "Wm2" },
    { "ghi_w_m2", TABLE_SUN, "Wm2" },
    { "pressure_kpa", TABLE_PRESSURE, "kPa" },
};

static size_t known_column(const char *name)
{
    size_t i = 0;
    while (i < COUNT(known) && strcmp(known[i].name, name) != 0)
        i++;
    return i;
}

bool own_csv_header(const char *bytes, size_t n)
{
    const char *nl = memchr(bytes, '\n', n), *end = nl ? nl : bytes + n;
    bool time = false, other = false;

    for (const char *s = bytes; s <= end;) {
        char name[24] = "";
        const char *to = s;
        while (to < end && *to != ',' && *to != ';' && *to != '\t' && *to != '\r')
            to++;
        if ((size_t)(to - s) < sizeof name) {
            memcpy(name, s, (size_t)(to - s));
            const size_t k = known_column(name);
            time = time || k == 0;
            other = other || (k > 0 && k < COUNT(known));
        }
        s = to + 1;
    }
    return time && other;
}

static void read_key(struct gather *g, const char *key, const char *value, size_t line)
{
    double number = NAN;
    const bool is_number = read_real(value, &number);
    static const struct {
        const char *key;
        double low, high;
    } numbers[] = {
        { "lat", -90.0, 90.0 },
        { "lon", -180.0, 180.0 },
        { "elevation_m", -450.0, 9000.0 },
        { "wind_height_m", 1.0, 200.0 },
    };
    double *const into[COUNT(numbers)] = { &g->out.lat_deg, &g->out.lon_deg, &g->out.elevation_m,
                                           &g->out.wind_height_m };

    for (size_t i = 0; i < COUNT(numbers); i++) {
        if (strcmp(key, numbers[i].key) != 0)
            continue;
        if (is_number && number >= numbers[i].low && number <= numbers[i].high)
            *into[i] = number;
        else
            gather_reject(g, line, key, "%s is \"%.30s\"; wanted is a number from %g to %g", key, value, numbers[i].low,
                          numbers[i].high);
    }
    if (strcmp(key, "place") == 0)
        g->out.place = arena_text(g->mem, value);
    if (strcmp(key, "source") == 0)
        g->out.credit = arena_text(g->mem, value);
}

/* "# key,value": copied, trimmed. */
static void read_comment(struct gather *g, const char *s, const char *end, size_t line)
{
    char copy[200];

    while (s < end && (*s == '#' || *s == ' '))
        s++;
    while (end > s && (end[-1] == '\r' || end[-1] == ' ' || end[-1] == ','))
        end--;
    if (s >= end || (size_t)(end - s) >= sizeof copy)
        return;
    memcpy(copy, s, (size_t)(end - s));
    copy[end - s] = '\0';
    char *comma = strchr(copy, ',');
    if (!comma)
        return;
    *comma = '\0';
    char *value = comma + 1;
    while (*value == ' ')
        value++;
    read_key(g, copy, value, line);
}

/* The '#' lines. ST_BAD_INPUT: written by a later version of the format. */
static enum status read_comments(struct gather *g, const char *s, const char *end, struct message *why)
{
    static const char mark[] = "# hut-weather ";
    size_t line = 1;

    while (s < end && (*s == '#' || *s == '\n' || *s == '\r')) {
        const char *nl = memchr(s, '\n', (size_t)(end - s)), *to = nl ? nl : end;
        if ((size_t)(to - s) > sizeof mark - 1 && memcmp(s, mark, sizeof mark - 1) == 0 && s[sizeof mark - 1] != '1')
            return refuse(ST_BAD_INPUT, why, "",
                          "%.120s, line %zu: a version of this format that is not known here; known is "
                          "\"# hut-weather 1\"",
                          g->name, line);
        read_comment(g, s, to, line++);
        s = nl ? nl + 1 : end;
    }
    return ST_OK;
}

static enum status read_header(struct gather *g, struct table *t, struct message *why)
{
    struct message bad = { "", "" };

    if (csv_next(&t->csv, &bad) != CSV_ROW)
        return refuse(ST_BAD_INPUT, why, "", "%.120s, line %zu: no header; wanted is a row such as time,temp_c,wind_ms",
                      g->name, t->csv.line);
    t->columns = t->csv.n_fields;
    for (size_t i = 0; i < t->columns; i++) {
        const char *name = t->csv.field[i];
        const size_t k = known_column(name);
        if (k == COUNT(known)) {
            if (name[0] && strcmp(name, "source") != 0)
                gather_note(g, "Column \"%.40s\" is not known here and was passed over.", name);
            continue;
        }
        struct table_column *c = &t->column[known[k].slot];
        if (c->at >= 0)
            return refuse(ST_BAD_INPUT, why, name, "%.120s, line %zu: column %.40s is there twice", g->name,
                          t->csv.line, name);
        c->at = (int)i;
        c->name = known[k].name;
        if (!table_unit(known[k].slot, known[k].unit, c))
            return refuse(ST_BAD_INPUT, why, name, "%.120s: column %.40s has no unit", g->name, name);
    }
    if (t->column[TABLE_TIME].at < 0)
        return refuse(ST_BAD_INPUT, why, "time", "%.120s, line %zu: no column named time", g->name, t->csv.line);
    return ST_OK;
}

/* Speeds are read as they would be at 10 m. */
static void wind_to_10m(struct gather *g, struct table *t)
{
    const double factor = gather_wind_to_10m(g->out.wind_height_m);

    if (!(fabs(factor - 1.0) > 1e-9)) /* also where the height is not known */
        return;
    t->column[TABLE_WIND].scale *= factor;
    t->column[TABLE_GUST].scale *= factor;
    gather_note(g, "Wind measured at %g m was brought to 10 m over short grass (times %.3g).", g->out.wind_height_m,
                factor);
}

enum status read_own_csv(struct gather *g, const char *bytes, size_t n, struct message *why)
{
    struct table t;
    size_t line = 1;
    const char *header = table_skip_comments(bytes, n, &line), *end = bytes + n;
    const char *start = n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? bytes + 3 : bytes;

    table_open(&t, g);
    t.offset_required = true;
    enum status st = read_comments(g, start, end, why);
    if (st == ST_OK)
        st = csv_open(&t.csv, header, (size_t)(end - header), 0, why);
    if (st != ST_OK)
        return st;
    t.csv.next_line = line;
    t.source = gather_source(g, WEATHER_OWN_CSV, g->out.place ? g->out.place : "");
    st = read_header(g, &t, why);
    if (st == ST_OK)
        wind_to_10m(g, &t);
    if (st == ST_OK)
        st = table_read(&t, why);
    csv_close(&t.csv);
    g->out.format = WEATHER_OWN_CSV;
    return st;
}
