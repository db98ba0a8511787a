/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * EPW: hourly typical or actual year. Format: U.S. Department of Energy, EnergyPlus, "Auxiliary Programs", weather data
 * format definition. Times are local STANDARD time; hour 1 .. 24 is the hour that ends then, so hour 24 of a day is the
 * one that begins at 23:00. In a typical year the months come from different years and keep them.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/csv.h"
#include "core/base/units.h"
#include "weather/formats.h"

/* Column numbers as the format counts them, from 1. */
enum {
    EPW_TEMP = 7,
    EPW_DEW = 8,
    EPW_RH = 9,
    EPW_PRESSURE = 10,
    EPW_GHI = 14,
    EPW_DNI = 15,
    EPW_DHI = 16,
    EPW_FROM = 21,
    EPW_WIND = 22,
    EPW_SKY = 23,
    EPW_FLAG = 27,
    EPW_CODES = 28,
    EPW_RAIN = 34,
    EPW_FEWEST = 29
};

struct reading {
    struct gather *g;
    struct csv csv;
    int source;
    int64_t offset_s;
    int first_year;
    bool years_differ;
};

static double field(struct reading *r, int column, double missing, double scale, enum weather_field what,
                    const char *name)
{
    double given = NAN;

    if ((size_t)column > r->csv.n_fields)
        return NAN;
    const char *s = r->csv.field[column - 1];
    if (s[0] == '\0')
        return NAN;
    if (!read_real(s, &given)) {
        gather_reject(r->g, r->csv.line, name, "%s is \"%.30s\"; a number is wanted", name, s);
        return NAN;
    }
    if (given >= missing)
        return NAN;
    return gather_checked(r->g, what, given * scale, r->csv.line, "", name);
}

/* Nine digits of present weather, 9 = none of that kind; places: 2 rain, 3 rain squalls and drizzle, 4 snow, 5 snow
 * showers and snow grains (the same document, from memory). */
static enum fall fall_of(const struct csv *row)
{
    if (row->n_fields < (size_t)EPW_CODES || strcmp(row->field[EPW_FLAG - 1], "0") != 0)
        return FALL_UNKNOWN;
    const char *codes = row->field[EPW_CODES - 1];
    if (strlen(codes) != 9)
        return FALL_UNKNOWN;
    if (codes[3] != '9' || codes[4] != '9')
        return FALL_SNOW;
    return codes[1] != '9' || codes[2] != '9' ? FALL_RAIN : FALL_UNKNOWN;
}

static bool read_moment(struct reading *r, int64_t *utc_s)
{
    static const char *const names[4] = { "year", "month", "day", "hour" };
    int64_t part[4] = { 0 };

    for (size_t i = 0; i < 4; i++)
        if (!read_whole(r->csv.field[i], &part[i]) || part[i] < 0 || part[i] > 2400) {
            gather_reject(r->g, r->csv.line, names[i], "%s is \"%.20s\"; a whole number is wanted", names[i],
                          r->csv.field[i]);
            return false;
        }
    if (!civil_is_date((int)part[0], (int)part[1], (int)part[2]) || part[3] < 1 || part[3] > 24) {
        gather_reject(r->g, r->csv.line, "", "%d-%02d-%02d hour %d is no date and hour; hours run from 1 to 24",
                      (int)part[0], (int)part[1], (int)part[2], (int)part[3]);
        return false;
    }
    r->first_year = r->first_year ? r->first_year : (int)part[0];
    r->years_differ = r->years_differ || r->first_year != (int)part[0];
    *utc_s = civil_days((int)part[0], (int)part[1], (int)part[2]) * DAY_S + (part[3] - 1) * HOUR_S - r->offset_s;
    return true;
}

static bool read_row(struct reading *r)
{
    int64_t utc_s = 0;

    if (r->csv.n_fields < EPW_FEWEST) {
        gather_reject(r->g, r->csv.line, "", "the row has %zu columns; 35 are wanted", r->csv.n_fields);
        return true;
    }
    if (!read_moment(r, &utc_s))
        return true;
    struct hour h = gather_hour(utc_s - ((utc_s % HOUR_S) + HOUR_S) % HOUR_S,
                                r->source); /* zones of half hours: the hour it begins in */
    h.temp_c = field(r, EPW_TEMP, 99.9, 1.0, WF_TEMP, "dry bulb");
    const double dew_c = gather_checked_dew(r->g, &h, field(r, EPW_DEW, 99.9, 1.0, WF_DEW_POINT, "dew point"),
                                            r->csv.line, "", "dew point");
    gather_moisture(&h, dew_c, field(r, EPW_RH, 999.0, 0.01, WF_RH, "humidity"));
    h.pressure_kpa = field(r, EPW_PRESSURE, 999999.0, 0.001, WF_PRESSURE, "pressure");
    h.ghi_w_m2 = field(r, EPW_GHI, 9999.0, 1.0, WF_SUN, "global sun");
    h.dni_w_m2 = field(r, EPW_DNI, 9999.0, 1.0, WF_SUN, "direct sun");
    h.dhi_w_m2 = field(r, EPW_DHI, 9999.0, 1.0, WF_SUN, "diffuse sun");
    const double from_deg = field(r, EPW_FROM, 999.0, 1.0, WF_WIND_FROM, "wind direction");
    gather_wind(&h, field(r, EPW_WIND, 999.0, 1.0, WF_WIND, "wind"), from_deg, false);
    h.cloud_oktas = field(r, EPW_SKY, 99.0, 0.8, WF_CLOUD, "sky cover"); /* tenths */
    h.rain_mm = field(r, EPW_RAIN, 999.0, 1.0, WF_RAIN, "rain");
    const struct gather_extra extra = { .fall = fall_of(&r->csv) };
    return gather_put(r->g, &h, &extra);
}

static double header_number(const struct csv *row, size_t at, double low, double high)
{
    double value = NAN;
    return at < row->n_fields && read_real(row->field[at], &value) && value >= low && value <= high ? value
                                                                                                    : (double)NAN;
}

/* LOCATION, then up to DATA PERIODS. */
static enum status read_header(struct reading *r, struct message *why)
{
    struct gather *g = r->g;
    struct message bad = { "", "" };
    enum csv_result result = csv_next(&r->csv, &bad);

    if (result != CSV_ROW || r->csv.n_fields < 10)
        return refuse(ST_BAD_INPUT, why, "LOCATION",
                      "%.120s, line 1: LOCATION needs nine figures after it: name, state, country, source, "
                      "number, latitude, longitude, hours from UTC, elevation",
                      g->name);
    const double hours = header_number(&r->csv, 8, -14.0, 14.0);
    if (isnan(hours))
        return refuse(ST_BAD_INPUT, why, "LOCATION", "%.120s, line 1: hours from UTC is \"%.20s\"; wanted is -14 to 14",
                      g->name, r->csv.field[8]);
    r->offset_s = (int64_t)lround(hours * 3600.0);
    g->out.lat_deg = header_number(&r->csv, 6, -90.0, 90.0);
    g->out.lon_deg = header_number(&r->csv, 7, -180.0, 180.0);
    g->out.elevation_m = header_number(&r->csv, 9, -450.0, 9000.0);
    g->out.place = arena_text(g->mem, r->csv.field[1]);
    const char *credit = arena_print(g->mem, "Typical or past year: %.40s, %.40s", r->csv.field[1], r->csv.field[4]);
    r->source = gather_source(g, WEATHER_EPW, r->csv.field[5]);
    if (!credit || !g->out.place)
        return refuse(ST_NO_MEMORY, why, "", "%.120s: out of memory", g->name);
    g->out.credit = credit;
    while ((result = csv_next(&r->csv, &bad)) != CSV_END)
        if (result == CSV_ROW && strncmp(r->csv.field[0], "DATA PERIODS", 12) == 0)
            return ST_OK;
    return refuse(ST_BAD_INPUT, why, "DATA PERIODS", "%.120s: no line DATA PERIODS; the file ends in its header",
                  g->name);
}

enum status read_epw(struct gather *g, const char *bytes, size_t n, struct message *why)
{
    struct reading r = { .g = g };
    struct message bad = { "", "" };
    enum csv_result result = CSV_ROW;
    enum status st = csv_open(&r.csv, bytes, n, ',', why);

    if (st != ST_OK)
        return st;
    st = read_header(&r, why);
    while (st == ST_OK && (result = csv_next(&r.csv, &bad)) != CSV_END) {
        if (result == CSV_BAD)
            gather_reject(g, r.csv.line, "", "the row can't be read: %s", bad.text);
        else if (!read_row(&r))
            st = refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", g->name);
    }
    csv_close(&r.csv);
    if (r.years_differ)
        gather_note(g, "A typical year: its months come from different years and keep them.");
    g->out.format = WEATHER_EPW;
    g->out.typical_year = r.years_differ;
    g->out.wind_height_m = 10.0;
    return st;
}
