/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/formats.h"

static const struct {
    enum quantity of;
    double scale;
    enum weather_field check;
} slots[TABLE_SLOTS] = {
    [TABLE_TIME] = { Q_NUMBER, 1.0, WF_END },
    [TABLE_DATE] = { Q_NUMBER, 1.0, WF_END },
    [TABLE_TEMP] = { Q_TEMPERATURE, 1.0, WF_TEMP },
    [TABLE_DEW] = { Q_TEMPERATURE, 1.0, WF_DEW_POINT },
    [TABLE_DEW_KEPT] = { Q_TEMPERATURE, 1.0, WF_DEW_POINT },
    [TABLE_RH] = { Q_FRACTION, 1.0, WF_RH },
    [TABLE_RH_KEPT] = { Q_FRACTION, 1.0, WF_RH },
    [TABLE_WIND] = { Q_SPEED, 1.0, WF_WIND },
    [TABLE_GUST] = { Q_SPEED, 1.0, WF_GUST },
    [TABLE_FROM] = { Q_ANGLE, 1.0, WF_WIND_FROM },
    [TABLE_RAIN] = { Q_RAIN, 1.0, WF_RAIN },
    [TABLE_SNOW] = { Q_LENGTH, 100.0, WF_SNOW },
    [TABLE_CLOUD] = { Q_CLOUD, 8.0, WF_CLOUD },
    [TABLE_SUN] = { Q_IRRADIANCE, 1.0, WF_SUN },
    [TABLE_PRESSURE] = { Q_PRESSURE, 1.0, WF_PRESSURE },
    [TABLE_FALL] = { Q_NUMBER, 1.0, WF_END },
};

void table_open(struct table *t, struct gather *g)
{
    *t = (struct table){ .g = g, .where_at = -1, .before_utc_s = INT64_MIN };
    for (size_t i = 0; i < TABLE_SLOTS; i++)
        t->column[i] = (struct table_column){ .at = -1, .name = "", .scale = 1.0 };
}

const char *table_skip_comments(const char *bytes, size_t n, size_t *line)
{
    const char *s = bytes, *end = bytes + n;

    *line = 1;
    if (n >= 3 && memcmp(s, "\xEF\xBB\xBF", 3) == 0)
        s += 3;
    while (s < end && (*s == '#' || *s == '\n' || *s == '\r')) {
        const char *nl = memchr(s, '\n', (size_t)(end - s));
        s = nl ? nl + 1 : end;
        *line += nl != NULL;
    }
    return s;
}

bool table_unit(enum table_slot slot, const char *unit, struct table_column *c)
{
    struct message why = { "", "" };
    double zero = 0.0, one = 1.0;

    if (unit[0] && (unit_to_si(0.0, unit, slots[slot].of, &zero, &why) != ST_OK ||
                    unit_to_si(1.0, unit, slots[slot].of, &one, &why) != ST_OK))
        return false;
    c->scale = (one - zero) * slots[slot].scale;
    c->add = zero * slots[slot].scale;
    return true;
}

static bool is_missing(const char *s)
{
    static const char *const words[] = { "",     "NA", "N/A", "n/a", "NaN",   "nan",     "null", "NULL",
                                         "None", "-",  "--",  "M",   "-9999", "-9999.0", "-999", "-999.0" };
    for (size_t i = 0; i < COUNT(words); i++)
        if (strcmp(s, words[i]) == 0)
            return true;
    return false;
}

static const char *cell(const struct table *t, enum table_slot slot)
{
    const int at = t->column[slot].at;
    return at >= 0 && (size_t)at < t->csv.n_fields ? t->csv.field[at] : "";
}

/* A figure as written; a comma is the point where commas don't separate columns. */
static bool figure(const struct table *t, const char *s, double *value)
{
    char copy[65];
    char *comma = NULL;

    if (t->csv.separator == ',' || !strchr(s, ',') || strlen(s) >= sizeof copy)
        return read_real(s, value);
    (void)snprintf(copy, sizeof copy, "%s", s);
    comma = strchr(copy, ',');
    *comma = '.';
    return read_real(copy, value);
}

static double value_of(struct table *t, enum table_slot slot)
{
    const struct table_column *c = &t->column[slot];
    const char *s = cell(t, slot);
    double given = NAN;

    if (c->at < 0 || is_missing(s))
        return NAN;
    if (!figure(t, s, &given)) {
        gather_reject(t->g, t->csv.line, c->name, "%.40s is \"%.30s\"; a number is wanted", c->name, s);
        return NAN;
    }
    const double ours = given * c->scale + c->add;
    char entry[48] = "";
    if (ours != given) /* name the figure that stands in the file too */
        (void)snprintf(entry, sizeof entry, "given as %.30s", s);
    return gather_checked(t->g, slots[slot].check, ours, t->csv.line, entry, c->name);
}

/* The same clock time is shown twice when summer time ends. In a table in order of time the second showing is the one
 * that would otherwise step back. */
static int64_t from_local(struct table *t, int64_t local_s)
{
    const struct weather_options *opt = t->g->opt;
    bool twice = false, unused = false;

    if (!opt->offset_s)
        return local_s;
    const int offset_s = opt->offset_s(opt->zone, local_s, &twice);
    if (!twice)
        return local_s - offset_s;
    const int first_s = opt->offset_s(opt->zone, local_s - 3 * HOUR_S, &unused);
    const int second_s = opt->offset_s(opt->zone, local_s + 3 * HOUR_S, &unused);
    t->twice_shown++;
    return local_s - (t->before_utc_s >= local_s - first_s ? second_s : first_s);
}

static bool read_time(struct table *t, int64_t *utc_s)
{
    const char *time = cell(t, TABLE_TIME), *date = cell(t, TABLE_DATE);
    char text[80];
    struct civil_text got;
    bool next_day = false;

    const int n = snprintf(text, sizeof text, "%s%s%s", date, date[0] ? " " : "", time);
    if (n >= 16 && (size_t)n < sizeof text && memcmp(text + 11, "24:00", 5) == 0) { /* midnight as the end of a day */
        next_day = true;
        text[11] = text[12] = '0';
    }
    if (n < 0 || (size_t)n >= sizeof text || !civil_read(text, &got)) {
        gather_reject(t->g, t->csv.line, t->column[TABLE_TIME].name,
                      "time is \"%.40s\"; wanted is such as 2026-01-22T15:00Z", text);
        return false;
    }
    if (!got.has_time || (t->offset_required && !got.has_offset)) {
        gather_reject(
            t->g, t->csv.line, t->column[TABLE_TIME].name, "time \"%.40s\" has no %s; write it as 2026-01-22T15:00%s",
            text, got.has_time ? "Z and no offset" : "hour", t->offset_required ? "Z or 2026-01-22T15:00-06:00" : "");
        return false;
    }
    const int64_t local_s = civil_seconds(&got.at) + (next_day ? DAY_S : 0);
    *utc_s = got.has_offset ? local_s - got.offset_s : from_local(t, local_s);
    return true;
}

static double read_direction(struct table *t, bool *variable)
{
    const char *s = cell(t, TABLE_FROM);
    const double named = compass_deg(s);

    if (!isnan(named))
        return named;
    *variable = strcmp(s, "VRB") == 0 || strcmp(s, "variable") == 0 || (t->na_is_variable && strcmp(s, "NA") == 0);
    return *variable ? (double)NAN : value_of(t, TABLE_FROM);
}

static void read_rain(struct table *t, struct hour *h)
{
    if (strcmp(cell(t, TABLE_RAIN), "T") == 0 && t->column[TABLE_RAIN].at >= 0) {
        h->rain_mm = 0.0;
        h->rain_trace = true;
    } else {
        h->rain_mm = value_of(t, TABLE_RAIN);
    }
}

static void read_moisture(struct table *t, struct hour *h)
{
    if (t->column[TABLE_DEW_KEPT].at >= 0 || t->column[TABLE_RH_KEPT].at >= 0)
        gather_moisture_kept(h, value_of(t, TABLE_DEW_KEPT), value_of(t, TABLE_RH_KEPT));
    else
        gather_moisture(h,
                        gather_checked_dew(t->g, h, value_of(t, TABLE_DEW), t->csv.line, "", t->column[TABLE_DEW].name),
                        value_of(t, TABLE_RH));
}

static bool says_yes(const char *s)
{
    return strcmp(s, "true") == 0 || strcmp(s, "yes") == 0 || strcmp(s, "1") == 0;
}

static bool read_row(struct table *t)
{
    int64_t seen_utc_s = 0;
    bool variable = false;

    if (!read_time(t, &seen_utc_s))
        return true;
    t->before_utc_s = seen_utc_s;
    struct hour h = gather_hour(seen_utc_s - ((seen_utc_s % HOUR_S) + HOUR_S) % HOUR_S, t->source);
    h.temp_c = value_of(t, TABLE_TEMP);
    read_moisture(t, &h);
    const double wind_mps = value_of(t, TABLE_WIND);
    const double from_deg = read_direction(t, &variable);
    gather_wind(&h, wind_mps, from_deg, variable);
    h.gust_mps = value_of(t, TABLE_GUST);
    read_rain(t, &h);
    h.snow_cm = value_of(t, TABLE_SNOW);
    h.cloud_oktas = value_of(t, TABLE_CLOUD);
    h.ghi_w_m2 = value_of(t, TABLE_SUN);
    h.pressure_kpa = value_of(t, TABLE_PRESSURE);
    const struct gather_extra extra = { .seen_utc_s = seen_utc_s,
                                        .fall = says_yes(cell(t, TABLE_FALL)) ? FALL_SNOW : FALL_UNKNOWN };
    return gather_put(t->g, &h, &extra);
}

/* False: this row is none of ours (listed where it is a fault). */
static bool row_counts(struct table *t, enum csv_result result, const struct message *bad)
{
    if (result == CSV_BAD) {
        gather_reject(t->g, t->csv.line, "", "the row can't be read: %s", bad->text);
        return false;
    }
    if (t->csv.field[0][0] == '#')
        return false;
    bool longer = false;
    for (size_t i = t->columns; i < t->csv.n_fields; i++)
        longer = longer || t->csv.field[i][0];
    if (t->csv.n_fields < t->columns || longer) {
        gather_reject(t->g, t->csv.line, "", "the row has %zu columns, the header %zu", t->csv.n_fields, t->columns);
        return false;
    }
    return t->where_at < 0 || strcmp(t->csv.field[t->where_at], t->where_value) == 0;
}

/* Humidity and cloud without a unit: what the largest figure of the column allows. */
static void guess_units(struct table *t)
{
    static const enum table_slot guessed[] = { TABLE_RH, TABLE_CLOUD };
    double largest[COUNT(guessed)] = { 0.0 };
    struct csv again = t->csv;
    struct message bad = { "", "" };
    enum csv_result result = CSV_ROW;

    if (!t->column[TABLE_RH].guess && !t->column[TABLE_CLOUD].guess)
        return;
    while ((result = csv_next(&again, &bad)) != CSV_END)
        for (size_t i = 0; result == CSV_ROW && i < COUNT(guessed); i++) {
            const int at = t->column[guessed[i]].at;
            double value = NAN;
            if (at >= 0 && (size_t)at < again.n_fields && !is_missing(again.field[at]) &&
                figure(t, again.field[at], &value) && value > largest[i])
                largest[i] = value;
        }
    if (t->column[TABLE_RH].guess && largest[0] > 1.0) {
        (void)table_unit(TABLE_RH, "%", &t->column[TABLE_RH]);
        gather_note(t->g, "Column %.40s has no unit and goes up to %.4g: taken as percent.", t->column[TABLE_RH].name,
                    largest[0]);
    }
    if (t->column[TABLE_CLOUD].guess && largest[1] > 1.0) {
        const bool oktas = largest[1] <= 9.0;
        (void)table_unit(TABLE_CLOUD, oktas ? "okta" : "%", &t->column[TABLE_CLOUD]);
        gather_note(t->g, "Column %.40s has no unit and goes up to %.4g: taken as %s.", t->column[TABLE_CLOUD].name,
                    largest[1], oktas ? "eighths of the sky" : "percent");
    }
}

enum status table_read(struct table *t, struct message *why)
{
    struct message bad = { "", "" };
    enum csv_result result = CSV_ROW;
    enum status st = ST_OK;

    guess_units(t);
    while (st == ST_OK && (result = csv_next(&t->csv, &bad)) != CSV_END) {
        if (!row_counts(t, result, &bad))
            continue;
        t->kept_by_where++;
        if (!read_row(t))
            st = refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", t->g->name);
    }
    if (st == ST_OK && t->where_at >= 0 && t->kept_by_where == 0)
        st = refuse(ST_BAD_INPUT, why, "where", "%.120s: --where keeps no row; none has \"%.60s\" there", t->g->name,
                    t->where_value);
    if (st == ST_OK && t->twice_shown)
        gather_note(t->g,
                    "%zu rows have a clock time that is shown twice when summer time ends; they were told apart by "
                    "their order.",
                    t->twice_shown);
    return st;
}
