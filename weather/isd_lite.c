/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * ISD-Lite: one fixed-width row an hour. Layout: NOAA National Centers for Environmental Information, "Integrated
 * Surface Data Lite format document" (its "dew point 20-24, length 6" is a slip for 20-25).
 *
 * Written for speed: thirty years of a station are a quarter of a million rows and are read whenever past winters are
 * asked for. Numbers come in tenths, so saturation and frost point are looked up by tenth of a degree, each worked out
 * once.
 */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/vapour.h"
#include "weather/formats.h"

enum { ROW_BYTES = 61, MISSING = -9999, UNREADABLE = -32768 };
enum {
    COL_TEMP = 13,
    COL_DEW = 19,
    COL_PRESSURE = 25,
    COL_FROM = 31,
    COL_WIND = 37,
    COL_SKY = 43,
    COL_RAIN_1H = 49,
    COL_RAIN_6H = 55
};
enum { LOW_TENTHS = -600, HIGH_TENTHS = 600, TENTHS = HIGH_TENTHS - LOW_TENTHS + 1 };

struct lookup { /* by tenth of a degree from LOW_TENTHS; 0 = not worked out yet */
    double water_pa[TENTHS], saturation_pa[TENTHS], frost_point_c[TENTHS];
};

struct reading {
    struct gather *g;
    struct lookup *lookup;
    int source;
    char date[10]; /* of the row before */
    int64_t date_days;
    size_t line;
    size_t back[6]; /* index + 1 of the rows of the six hours up to now, by hour modulo 6; 0 = none */
    size_t six_hour_used;
};

/* Width 6, right-aligned, spaces before. */
static int number6(const char *s)
{
    int i = 0, sum = 0;

    while (i < 6 && s[i] == ' ')
        i++;
    const bool minus = i < 6 && s[i] == '-';
    if (minus)
        i++;
    if (i == 6)
        return UNREADABLE;
    for (; i < 6; i++) {
        const unsigned digit = (unsigned char)s[i] - (unsigned)'0';
        if (digit > 9)
            return UNREADABLE;
        sum = sum * 10 + (int)digit;
    }
    return minus ? -sum : sum;
}

static int digits2(const char *s)
{
    const unsigned a = (unsigned char)s[0] - (unsigned)'0', b = (unsigned char)s[1] - (unsigned)'0';
    return a > 9 || b > 9 ? -1 : (int)(a * 10 + b);
}

static bool read_moment(struct reading *r, const char *row, int64_t *utc_s)
{
    const int hour = digits2(row + 11);

    if (row[4] != ' ' || row[7] != ' ' || row[10] != ' ' || hour < 0 || hour > 23)
        return false;
    if (memcmp(row, r->date, sizeof r->date) != 0) {
        const int century = digits2(row), year = digits2(row + 2), month = digits2(row + 5), day = digits2(row + 8);
        if (century < 0 || year < 0 || !civil_is_date(century * 100 + year, month, day))
            return false;
        memcpy(r->date, row, sizeof r->date);
        r->date_days = civil_days(century * 100 + year, month, day);
    }
    *utc_s = r->date_days * DAY_S + hour * HOUR_S;
    return true;
}

/* One field in its own unit; NAN where missing, unreadable (listed) or impossible (listed). */
static double field(struct reading *r, const char *row, int column, double scale, enum weather_field what,
                    const char *name)
{
    const int raw = number6(row + column);

    if (raw == MISSING)
        return NAN;
    if (raw == UNREADABLE) {
        gather_reject(r->g, r->line, name, "%s is \"%.6s\"; a whole number is wanted", name, row + column);
        return NAN;
    }
    return gather_checked(r->g, what, raw * scale, r->line, "", name);
}

static size_t tenth(double temp_c)
{
    const double at = temp_c * 10.0 - LOW_TENTHS;
    return at >= 0.0 && at < TENTHS - 0.5 ? (size_t)(at + 0.5) : TENTHS;
}

/* gather_moisture() by look-up. */
static void moisture(struct lookup *l, struct hour *h, double dew_c)
{
    const size_t t = tenth(h->temp_c), d = tenth(dew_c);

    if (isnan(dew_c))
        return;
    if (t >= TENTHS || d >= TENTHS) {
        gather_moisture(h, dew_c, NAN);
        return;
    }
    if (l->frost_point_c[d] == 0.0) {
        const double exact_c = ((int)d + LOW_TENTHS) / 10.0;
        l->frost_point_c[d] = vapour_dew_point_over_ice_c(exact_c);
        l->water_pa[d] = vapour_over_water_pa(exact_c);
    }
    if (l->saturation_pa[t] == 0.0)
        l->saturation_pa[t] = vapour_saturation_pa(((int)t + LOW_TENTHS) / 10.0);
    h->dew_point_c = l->frost_point_c[d];
    h->rh = fmin(l->water_pa[d] / l->saturation_pa[t], 1.0);
}

static void read_rain(struct reading *r, const char *row, struct hour *h)
{
    int raw = number6(row + COL_RAIN_1H);

    if (raw == -1) { /* a trace */
        h->rain_mm = 0.0;
        h->rain_trace = true;
    } else {
        h->rain_mm = field(r, row, COL_RAIN_1H, 0.1, WF_RAIN, "rain_1h");
    }
    raw = number6(row + COL_RAIN_6H);
    if (raw != MISSING && raw != -1 && (raw < 0 || raw > 20000))
        gather_reject(r->g, r->line, "rain_6h", "rain_6h is \"%.6s\"; tenths of a millimetre are wanted",
                      row + COL_RAIN_6H);
}

/* Row k of those of the last six hours; NULL where there is none. */
static struct hour *of_the_six(const struct reading *r, size_t k, int64_t now_utc_s)
{
    struct hour *h = r->back[k] ? &r->g->hour[r->back[k] - 1] : NULL;
    return h && h->utc_s <= now_utc_s && now_utc_s - h->utc_s < 6 * HOUR_S ? h : NULL;
}

/* A six-hour sum ends here. It overlaps the one-hour figures, so it only serves hours without one: they share evenly
 * what the others leave of it. */
static void use_six_hours(struct reading *r, const char *row)
{
    const int raw = number6(row + COL_RAIN_6H);
    struct gather *g = r->g;
    size_t without = 6; /* hours of the six, present or absent, that have no figure of their own */

    if (raw == MISSING || raw < -1 || raw > 20000)
        return;
    double left_mm = raw > 0 ? raw * 0.1 : 0.0;
    const int64_t now_utc_s = g->hour[g->n - 1].utc_s;
    for (size_t k = 0; k < 6; k++) {
        const struct hour *h = of_the_six(r, k, now_utc_s);
        if (h && !isnan(h->rain_mm)) {
            without--;
            left_mm -= h->rain_mm;
        }
    }
    if (without == 0)
        return;
    const double share_mm =
        gather_checked(g, WF_RAIN, left_mm > 0.0 ? left_mm / (double)without : 0.0, r->line, "", "rain_6h");
    for (size_t k = 0; k < 6 && !isnan(share_mm); k++) {
        struct hour *h = of_the_six(r, k, now_utc_s);
        if (!h || !isnan(h->rain_mm))
            continue;
        h->rain_mm = share_mm;
        h->rain_trace = raw == -1;
        h->filled |= HOUR_RAIN;
        h->snow = (h->rain_mm > 0.0 || h->rain_trace) && h->temp_c <= 0.5; /* as gather_put() has it */
        r->six_hour_used++;
    }
}

static bool read_row(struct reading *r, const char *row)
{
    int64_t utc_s = 0;

    if (!read_moment(r, row, &utc_s)) {
        gather_reject(r->g, r->line, "", "\"%.13s\" is not a date and hour; wanted is year, month, day and hour", row);
        return true;
    }
    struct hour h = gather_hour(utc_s, r->source);
    h.temp_c = field(r, row, COL_TEMP, 0.1, WF_TEMP, "temp");
    double dew_c = field(r, row, COL_DEW, 0.1, WF_DEW_POINT, "dew_point");
    if (dew_c > h.temp_c + 2.0)
        dew_c = gather_checked_dew(r->g, &h, dew_c, r->line, "", "dew_point");
    moisture(r->lookup, &h, dew_c);
    h.pressure_kpa = field(r, row, COL_PRESSURE, 0.01, WF_PRESSURE, "pressure");
    const double from_deg = field(r, row, COL_FROM, 1.0, WF_WIND_FROM, "wind_from");
    const double wind_mps = field(r, row, COL_WIND, 0.1, WF_WIND, "wind");
    gather_wind(&h, wind_mps, from_deg, number6(row + COL_FROM) == MISSING);
    const int sky = number6(row + COL_SKY);
    if (sky >= 0 && sky <= 19) /* 9 and more: obscured or broken, the sky can't be seen */
        h.cloud_oktas = sky > 8 ? 8.0 : sky;
    else if (sky != MISSING)
        gather_reject(r->g, r->line, "sky", "sky is \"%.6s\"; codes run from 0 to 19", row + COL_SKY);
    read_rain(r, row, &h);
    const size_t before = r->g->n;
    if (!gather_put(r->g, &h, NULL))
        return false;
    if (r->g->n > before) {
        r->back[(uint64_t)(utc_s / HOUR_S) % 6] = r->g->n;
        use_six_hours(r, row);
    }
    return true;
}

static bool read_line(struct reading *r, const char *s, size_t n)
{
    while (n > 0 && (s[n - 1] == '\r' || s[n - 1] == ' '))
        n--;
    if (n == 0)
        return true;
    if (n < ROW_BYTES) {
        gather_reject(r->g, r->line, "", "the row has %zu characters of %d; it is cut short", n, ROW_BYTES);
        return true;
    }
    if (n > ROW_BYTES) {
        gather_reject(r->g, r->line, "", "the row has %zu characters; %d are wanted", n, ROW_BYTES);
        return true;
    }
    return read_row(r, s);
}

enum status read_isd_lite(struct gather *g, const char *bytes, size_t n, struct message *why)
{
    struct reading r = { .g = g, .source = gather_source(g, WEATHER_ISD_LITE, ""), .date = { 0 } };
    const char *s = bytes, *end = bytes + n;
    bool fits = true;

    r.lookup = ARENA_NEW(g->mem, struct lookup, 1);
    fits = r.lookup && gather_reserve(g, n / ROW_BYTES + 2);
    while (fits && s < end) {
        const char *nl = memchr(s, '\n', (size_t)(end - s));
        const char *line_end = nl ? nl : end;
        r.line++;
        fits = read_line(&r, s, (size_t)(line_end - s));
        s = nl ? nl + 1 : end;
    }
    if (!fits)
        return refuse(ST_NO_MEMORY, why, "", "%.120s: too many hours to hold at once", g->name);
    if (r.six_hour_used)
        gather_note(g, "%zu hours without a one-hour rain figure have their share of a six-hour sum.", r.six_hour_used);
    g->out.format = WEATHER_ISD_LITE;
    g->out.sea_level_pressure = true;
    g->out.wind_height_m = 10.0;
    g->out.credit = "Weather data: NOAA Integrated Surface Database (ISD-Lite), public domain";
    return ST_OK;
}
