/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any hourly CSV whose columns the user names: --columns time=HEADER,temp=HEADER:F,wind=HEADER:mph and --where
 * HEADER=VALUE. The list is itself a CSV row, so a header with a comma goes in quotation marks: "temp=Temp, outside:F".
 */
#include <stdio.h>
#include <string.h>

#include "weather/formats.h"
#include "weather/table.h"

static const struct {
    const char *key;
    enum table_slot slot;
    const char *unit;
    bool guess;
} keys[] = {
    { "time", TABLE_TIME, "", false },
    { "date", TABLE_DATE, "", false },
    { "temp", TABLE_TEMP, "C", false },
    { "dew_point", TABLE_DEW, "C", false },
    { "rh", TABLE_RH, "", true },
    { "wind", TABLE_WIND, "mps", false },
    { "gust", TABLE_GUST, "mps", false },
    { "wind_from", TABLE_FROM, "deg", false },
    { "rain", TABLE_RAIN, "mm", false },
    { "snow", TABLE_SNOW, "cm", false },
    { "cloud", TABLE_CLOUD, "", true },
    { "sun", TABLE_SUN, "Wm2", false },
    { "pressure", TABLE_PRESSURE, "kPa", false },
};

/* "time, temp, dew_point ..." or the headers of the file, cut to what fits. */
static void list_keys(char *text, size_t size)
{
    size_t used = 0;
    text[0] = '\0';
    for (size_t i = 0; i < COUNT(keys) && used < size; i++)
        used += (size_t)snprintf(text + used, size - used, "%s%s", i ? ", " : "", keys[i].key);
}

static void list_headers(const struct csv *header, char *text, size_t size)
{
    size_t used = 0;
    text[0] = '\0';
    for (size_t i = 0; i < header->n_fields && used < size; i++)
        used += (size_t)snprintf(text + used, size - used, "%s%.30s", i ? ", " : "", header->field[i]);
}

static enum status no_such_header(const struct gather *g, const struct csv *header, const char *flag,
                                  const char *wanted, int found, struct message *why)
{
    char have[160];

    if (found == -2)
        return refuse(ST_BAD_INPUT, why, flag, "%.120s: more than one column is named \"%.40s\"", g->name, wanted);
    list_headers(header, have, sizeof have);
    return refuse(ST_BAD_INPUT, why, flag, "%.120s: no column is named \"%.40s\"; it has %s", g->name, wanted, have);
}

/* One "key=HEADER:unit". A colon may belong to the header, so the whole is tried as a header first. */
static enum status read_item(struct table *t, char *item, struct message *why)
{
    char list[160];
    char *equals = strchr(item, '='), *unit = NULL;
    size_t k = 0;
    struct gather *g = t->g;

    if (!equals)
        return refuse(ST_BAD_INPUT, why, "columns",
                      "--columns: \"%.40s\" is not KEY=HEADER or KEY=HEADER:UNIT, such as temp=Temperature:F", item);
    *equals = '\0';
    char *header = equals + 1;
    while (k < COUNT(keys) && strcmp(keys[k].key, item) != 0)
        k++;
    list_keys(list, sizeof list);
    if (k == COUNT(keys))
        return refuse(ST_BAD_INPUT, why, "columns", "--columns: \"%.30s\" is unknown; known are %s", item, list);
    struct table_column *c = &t->column[keys[k].slot];
    if (c->at >= 0)
        return refuse(ST_BAD_INPUT, why, "columns", "--columns: %s is named twice", item);
    int at = csv_column(&t->csv, header);
    if (at == -1 && (unit = strrchr(header, ':')) != NULL) {
        *unit++ = '\0';
        at = csv_column(&t->csv, header);
    }
    if (at < 0)
        return no_such_header(g, &t->csv, "columns", header, at, why);
    c->at = at;
    c->name = arena_text(g->mem, header);
    c->guess = keys[k].guess && !unit;
    if (!c->name)
        return refuse(ST_NO_MEMORY, why, "", "%.120s: out of memory", g->name);
    if (!table_unit(keys[k].slot, unit ? unit : keys[k].unit, c))
        return refuse(ST_BAD_INPUT, why, "columns", "--columns: \"%.20s\" is no unit known for %s", unit ? unit : "",
                      item);
    return ST_OK;
}

static enum status read_columns(struct table *t, struct message *why)
{
    const char *text = t->g->opt->columns;
    struct csv spec;
    struct message bad = { "", "" };
    enum status st = csv_open(&spec, text, strlen(text), ',', why);

    if (st != ST_OK)
        return st;
    if (csv_next(&spec, &bad) != CSV_ROW)
        st = refuse(ST_BAD_INPUT, why, "columns",
                    "--columns is empty or can't be read; wanted is such as time=HEADER,temp=HEADER:F");
    for (size_t i = 0; st == ST_OK && i < spec.n_fields; i++)
        st = read_item(t, spec.field[i], why);
    csv_close(&spec);
    if (st == ST_OK && t->column[TABLE_TIME].at < 0)
        return refuse(ST_BAD_INPUT, why, "columns", "--columns: time is not named; add time=HEADER");
    return st;
}

static enum status read_where(struct table *t, struct message *why)
{
    const char *where = t->g->opt->where;
    const char *equals = where ? strchr(where, '=') : NULL;

    if (!where)
        return ST_OK;
    if (!equals)
        return refuse(ST_BAD_INPUT, why, "where", "--where: \"%.40s\" is not HEADER=VALUE, such as station=EAST",
                      where);
    const char *header = arena_bytes(t->g->mem, where, (size_t)(equals - where));
    t->where_value = arena_text(t->g->mem, equals + 1);
    if (!header || !t->where_value)
        return refuse(ST_NO_MEMORY, why, "", "%.120s: out of memory", t->g->name);
    t->where_at = csv_column(&t->csv, header);
    return t->where_at < 0 ? no_such_header(t->g, &t->csv, "where", header, t->where_at, why) : ST_OK;
}

static enum status read_table(struct table *t, struct message *why)
{
    struct message bad = { "", "" };

    if (csv_next(&t->csv, &bad) != CSV_ROW)
        return refuse(ST_BAD_INPUT, why, "", "%.120s, line %zu: no header row; the first row must name the columns",
                      t->g->name, t->csv.line);
    t->columns = t->csv.n_fields;
    enum status st = read_columns(t, why);
    if (st == ST_OK)
        st = read_where(t, why);
    return st == ST_OK ? table_read(t, why) : st;
}

enum status read_columns_csv(struct gather *g, const char *bytes, size_t n, struct message *why)
{
    struct table t;
    size_t line = 1;
    const char *header = table_skip_comments(bytes, n, &line);
    const char *value = g->opt->where ? strchr(g->opt->where, '=') : NULL;

    table_open(&t, g);
    t.na_is_variable = true;
    enum status st = csv_open(&t.csv, header, (size_t)(bytes + n - header), 0, why);
    if (st != ST_OK)
        return st;
    t.csv.next_line = line;
    t.source = gather_source(g, WEATHER_COLUMNS_CSV, value ? value + 1 : "");
    st = read_table(&t, why);
    csv_close(&t.csv);
    g->out.format = WEATHER_COLUMNS_CSV;
    return st;
}
