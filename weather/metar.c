/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * METAR and SPECI: one report, one hour. Read up to the trend; of the remarks, the US groups for exact tenths, the rain
 * of the hour and sea-level pressure. Values in tenths take the place of the rounded ones.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "weather/report.h"

struct metar {
    struct sky_state sky;
    double temp_c, dew_c, pressure_kpa, rain_mm;
    bool trace;
};

static bool whole_degrees(const char *s, size_t n, double *value) /* "07", "M04"; "//" and "" give NAN */
{
    const bool minus = n == 3 && s[0] == 'M';

    *value = NAN;
    if (n == 0 || (n == 2 && s[0] == '/' && s[1] == '/') || (n == 2 && s[0] == 'X' && s[1] == 'X'))
        return true;
    s += minus;
    n -= minus;
    if (n != 2 || s[0] < '0' || s[0] > '9' || s[1] < '0' || s[1] > '9')
        return false;
    *value = minus ? -two_digits(s) : two_digits(s);
    return true;
}

static bool take_temperature(const char *word, struct metar *m)
{
    const char *slash = strchr(word, '/');
    double temp_c = NAN, dew_c = NAN;

    if (!slash || strlen(word) < 3 || strlen(word) > 7 || !whole_degrees(word, (size_t)(slash - word), &temp_c) ||
        !whole_degrees(slash + 1, strlen(slash + 1), &dew_c))
        return false;
    if (isnan(temp_c) && isnan(dew_c))
        return strcmp(word, "/////") == 0 || strcmp(word, "//") == 0;
    m->temp_c = temp_c;
    m->dew_c = dew_c;
    return true;
}

static bool take_pressure(const char *word, struct metar *m)
{
    if (like_pattern(word, "Q9999")) {
        m->pressure_kpa = strtod(word + 1, NULL) * 0.1;
    } else if (like_pattern(word, "A9999")) {
        m->pressure_kpa = strtod(word + 1, NULL) * 0.01 * 3.386389; /* conventional inch of mercury: NIST SP 811 */
    } else {
        return false;
    }
    return true;
}

static void take_remark(const char *word, struct metar *m)
{
    if (like_pattern(word, "T99999999") && strchr("01", word[1]) && strchr("01", word[5])) {
        m->temp_c = (word[1] == '1' ? -0.1 : 0.1) * (two_digits(word + 2) * 10 + word[4] - '0');
        m->dew_c = (word[5] == '1' ? -0.1 : 0.1) * (two_digits(word + 6) * 10 + word[8] - '0');
    } else if (like_pattern(word, "T9999") && strchr("01", word[1])) {
        m->temp_c = (word[1] == '1' ? -0.1 : 0.1) * (two_digits(word + 2) * 10 + word[4] - '0');
    } else if (like_pattern(word, "P9999")) {
        m->rain_mm = strtod(word + 1, NULL) * 0.254; /* hundredths of an inch */
        m->trace = m->rain_mm <= 0.0;
    } else if (like_pattern(word, "SLP999") && isnan(m->pressure_kpa)) {
        const double tenths = strtod(word + 3, NULL);
        m->pressure_kpa = (tenths < 500.0 ? 1000.0 + tenths * 0.1 : 900.0 + tenths * 0.1) * 0.1;
    }
}

static bool is_trend(const char *word)
{
    return strcmp(word, "NOSIG") == 0 || strcmp(word, "BECMG") == 0 || strcmp(word, "TEMPO") == 0;
}

static void read_groups(const struct report *r, size_t i, struct metar *m)
{
    bool remarks = false, trend = false, pressed = false;

    for (; i < r->n; i++) {
        const char *word = r->word[i];
        if (strcmp(word, "RMK") == 0) {
            remarks = true;
        } else if (remarks) {
            take_remark(word, m);
        } else if (is_trend(word)) {
            trend = true;
        } else if (!trend && !pressed) { /* after the pressure come recent weather, colour states and the like */
            if (!m->sky.has_wind && take_wind(word, &m->sky))
                continue;
            if (take_temperature(word, m) || take_cloud(word, &m->sky) || take_weather(word, &m->sky))
                continue;
            pressed = take_pressure(word, m);
        } else if (!trend) {
            (void)take_pressure(word, m); /* both Q and A may be given: the last counts */
        }
    }
}

static bool hand_in(struct gather *g, const struct report *r, const char *station, int64_t seen_utc_s, struct metar *m)
{
    const int source = gather_source(g, WEATHER_METAR, station);

    if (source < 0) {
        gather_reject(g, r->line, "", "the report of %s is of one station too many", station);
        return !arena_full(g->mem);
    }
    struct hour h = gather_hour(seen_utc_s - seen_utc_s % HOUR_S, source);
    h.temp_c = gather_checked(g, WF_TEMP, m->temp_c, r->line, "", "temperature");
    gather_moisture(&h, gather_checked_dew(g, &h, m->dew_c, r->line, "", "dew point"), NAN);
    gather_wind(&h, gather_checked(g, WF_WIND, m->sky.wind_mps, r->line, "", "wind"), m->sky.from_deg, m->sky.variable);
    h.gust_mps = gather_checked(g, WF_GUST, m->sky.gust_mps, r->line, "", "gust");
    h.cloud_oktas = m->sky.oktas;
    h.pressure_kpa = gather_checked(g, WF_PRESSURE, m->pressure_kpa, r->line, "", "pressure");
    h.rain_mm = gather_checked(g, WF_RAIN, m->rain_mm, r->line, "", "rain");
    h.rain_trace = m->trace;
    if (isnan(h.temp_c) && isnan(h.wind_mps) && isnan(h.pressure_kpa) && isnan(h.cloud_oktas)) {
        gather_reject(g, r->line, "", "the report of %s says nothing of temperature, wind, cloud or pressure", station);
        return true;
    }
    const struct gather_extra extra = { .seen_utc_s = seen_utc_s,
                                        .fall = m->sky.fall,
                                        .says = m->sky.weather[0] ? arena_text(g->mem, m->sky.weather) : NULL };
    return gather_put(g, &h, &extra);
}

bool read_metar(struct gather *g, const struct report *r, bool *no_month)
{
    struct metar m = { .sky = sky_nothing(), .temp_c = NAN, .dew_c = NAN, .pressure_kpa = NAN, .rain_mm = NAN };
    size_t i = 0;
    int64_t seen_utc_s = 0;

    while (i < r->n &&
           (strcmp(r->word[i], "METAR") == 0 || strcmp(r->word[i], "SPECI") == 0 || strcmp(r->word[i], "COR") == 0))
        i++;
    if (i + 1 >= r->n || !is_station(r->word[i]) || !like_pattern(r->word[i + 1], "999999Z")) {
        gather_reject(g, r->line, "", "no station and time, such as \"METAR KABC 221455Z\"");
        return true;
    }
    const char *station = r->word[i], *time = r->word[i + 1];
    const int hour = two_digits(time + 2), minute = two_digits(time + 4);
    enum moment_found found = MOMENT_NO_SUCH_DAY;
    if (hour <= 23 && minute <= 59)
        found = report_moment(g, r, two_digits(time), hour, minute, &seen_utc_s);
    if (found == MOMENT_NO_MONTH) {
        *no_month = true;
        return true;
    }
    if (found == MOMENT_NO_SUCH_DAY) {
        gather_reject(g, r->line, "", "%s is no day and time of that month", time);
        return true;
    }
    i += 2;
    for (size_t k = i; k < r->n; k++)
        if (strcmp(r->word[k], "NIL") == 0)
            return true; /* the station says that it has no report */
    read_groups(r, i, &m);
    return hand_in(g, r, station, seen_utc_s, &m);
}
