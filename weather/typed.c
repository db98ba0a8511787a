/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/typed.h"

#include <math.h>

#include "core/base/civil.h"

/* Parton W.J. & Logan J.A. (1981), A model for diurnal variation in soil and air temperature, Agricultural Meteorology
 * 23: 205-216: their figures for air at 1.5 m. */
static const double high_after_noon_h = 1.86, night_fall = 2.20, low_after_sunrise_h = -0.17;

static const double latest_sunset = 0.7; /* of the rise, after the high: the 20 h day has 0.68, none has more */

static const double shortest_day_s = 4 * 3600.0, longest_day_s = 20 * 3600.0, now_fades_h = 6.0;
static const double rain_taken_mm_h = 1.0, snow_taken_cm_h = 1.0, water_mm_per_snow_cm = 1.0;
enum { MOST_HOURS = 240, NOTE_ROOM = 8 };

struct typed typed_nothing(void)
{
    return (struct typed){
        .now_c = NAN,
        .low_c = NAN,
        .high_c = NAN,
        .wind_mps = NAN,
        .gust_mps = NAN,
        .wind_from_deg = NAN,
        .rh = NAN,
        .cloud_oktas = NAN,
        .rain_mm = NAN,
        .snow_cm = NAN,
    };
}

/* ---- the shape of the day ---- */

struct shape {
    double low_s, high_s, sunset_s; /* seconds after midnight UTC of some day; high and sunset after low, in order */
};

static double day_time(double s)
{
    const double t = fmod(s, (double)DAY_S);

    return t < 0.0 ? t + (double)DAY_S : t;
}

/* The first moment with that time of day at or after `after_s`. */
static double next_at(double time_s, double after_s)
{
    return after_s + day_time(time_s - after_s);
}

static struct shape shape_of(const struct typed *t, int64_t solar_noon_utc_s, double day_length_s)
{
    const double noon_s = day_time((double)solar_noon_utc_s);
    const double day_s = day_length_s < shortest_day_s  ? shortest_day_s
                         : day_length_s > longest_day_s ? longest_day_s
                                                        : day_length_s;
    struct shape s = { noon_s - 0.5 * day_s + low_after_sunrise_h * 3600.0, noon_s + high_after_noon_h * 3600.0,
                       noon_s + 0.5 * day_s };

    if (t->low_utc_s)
        s.low_s = (double)t->low_utc_s;
    s.low_s = day_time(s.low_s);
    s.high_s = next_at(t->high_utc_s ? (double)t->high_utc_s : s.high_s, s.low_s);
    s.sunset_s = next_at(s.sunset_s, s.low_s);
    if (s.sunset_s < s.high_s) /* a high said to come after sunset: it falls from there */
        s.sunset_s = s.high_s;
    if (s.sunset_s - s.high_s > latest_sunset * (s.high_s - s.low_s)) /* a high soon after the low */
        s.sunset_s = s.high_s + latest_sunset * (s.high_s - s.low_s);
    return s;
}

/* 0 at the low, 1 at the high. */
static double height_at(const struct shape *s, double utc_s)
{
    const double pi = 3.14159265358979323846;
    const double t = next_at(utc_s, s->low_s); /* within the day that begins with the low */
    const double rise_s = s->high_s - s->low_s, night_s = s->low_s + (double)DAY_S - s->sunset_s;
    const double left = exp(-night_fall);

    if (rise_s <= 0.0)
        return 0.0;
    if (t <= s->sunset_s || night_s <= 0.0)
        return sin(0.5 * pi * (t - s->low_s) / rise_s);
    return sin(0.5 * pi * (s->sunset_s - s->low_s) / rise_s) * (exp(-night_fall * (t - s->sunset_s) / night_s) - left) /
           (1.0 - left);
}

/* Falls from `now` the way a night does, and stays at the low from its moment on. */
static double falling_c(const struct typed *t, const struct shape *s, double from_s, double utc_s)
{
    const double low_at_s =
        t->low_utc_s && (double)t->low_utc_s >= from_s ? (double)t->low_utc_s : next_at(s->low_s, from_s);
    const double left = exp(-night_fall);

    if (utc_s >= low_at_s)
        return t->low_c;
    return t->low_c +
           (t->now_c - t->low_c) * (exp(-night_fall * (utc_s - from_s) / (low_at_s - from_s)) - left) / (1.0 - left);
}

static double between_c(const struct typed *t, const struct shape *s, double from_s, double utc_s)
{
    const double span_k = t->high_c - t->low_c, hours = (utc_s - from_s) / 3600.0;
    double temp_c = t->low_c + span_k * height_at(s, utc_s);

    if (!isnan(t->now_c) && hours < now_fades_h)
        temp_c += (t->now_c - (t->low_c + span_k * height_at(s, from_s))) * (1.0 - hours / now_fades_h);
    return temp_c;
}

/* The hour that holds the low or the high shows it whole. */
static bool holds(double hour_s, double moment_s)
{
    const double in_s = next_at(moment_s, hour_s) - hour_s;

    return in_s < 3600.0;
}

static void lay_temperature(const struct typed *t, const struct shape *s, size_t n, struct hour h[])
{
    const double from_s = (double)h[0].utc_s;

    for (size_t i = 0; i < n; i++) {
        const double at_s = (double)h[i].utc_s;

        if (isnan(t->low_c))
            h[i].temp_c = t->now_c;
        else if (isnan(t->high_c))
            h[i].temp_c = isnan(t->now_c) ? t->low_c : falling_c(t, s, from_s, at_s);
        else
            h[i].temp_c = between_c(t, s, from_s, at_s);
        if (isnan(t->low_c) || isnan(t->high_c) || (!isnan(t->now_c) && at_s - from_s < now_fades_h * 3600.0))
            continue;
        if (holds(at_s, s->low_s))
            h[i].temp_c = t->low_c;
        if (holds(at_s, s->high_s))
            h[i].temp_c = t->high_c;
    }
}

/* ---- rain and snow ---- */

static double overlap_h(int64_t hour_utc_s, int64_t from_utc_s, int64_t until_utc_s)
{
    const int64_t begin = hour_utc_s > from_utc_s ? hour_utc_s : from_utc_s;
    const int64_t end = hour_utc_s + HOUR_S < until_utc_s ? hour_utc_s + HOUR_S : until_utc_s;

    return end > begin ? (double)(end - begin) / (double)HOUR_S : 0.0;
}

static void lay_rain(const struct typed *t, size_t n, struct hour h[])
{
    const int64_t from = t->rain_from_utc_s ? t->rain_from_utc_s : h[0].utc_s;
    const int64_t until = t->rain_until_utc_s ? t->rain_until_utc_s : h[n - 1].utc_s + HOUR_S;
    const double hours = (double)(until - from) / (double)HOUR_S;
    const double snow_cm_h = !t->snow ? 0.0 : isnan(t->snow_cm) ? snow_taken_cm_h : t->snow_cm / hours;
    const double rain_mm_h = t->snow             ? snow_cm_h * water_mm_per_snow_cm
                             : !t->rain          ? 0.0
                             : isnan(t->rain_mm) ? rain_taken_mm_h
                                                 : t->rain_mm / hours;

    for (size_t i = 0; i < n; i++) {
        const double wet_h = t->dry ? 0.0 : overlap_h(h[i].utc_s, from, until);

        h[i].rain_mm = rain_mm_h * wet_h;
        h[i].snow_cm = snow_cm_h * wet_h;
        h[i].snow = t->snow && wet_h > 0.0;
    }
}

/* ---- checks ---- */

static bool wet(const struct typed *t)
{
    return t->rain || t->snow;
}

static bool nothing_given(const struct typed *t)
{
    return isnan(t->now_c) && isnan(t->low_c) && isnan(t->high_c) && isnan(t->wind_mps) && isnan(t->gust_mps) &&
           isnan(t->wind_from_deg) && !t->wind_variable && isnan(t->rh) && isnan(t->cloud_oktas) && !t->dry && !wet(t);
}

/* NAN is "not given" and passes. */
static bool outside(double x, double low, double high)
{
    return !isnan(x) && !(x >= low && x <= high);
}

static enum status check_figures(const struct typed *t, struct message *why)
{
    if (nothing_given(t))
        return refuse(ST_BAD_INPUT, why, "forecast", "nothing was said; give a low, a wind or rain");
    if (outside(t->now_c, -70.0, 60.0) || outside(t->low_c, -70.0, 60.0) || outside(t->high_c, -70.0, 60.0))
        return refuse(ST_BAD_INPUT, why, "low", "a temperature is outside -70 to 60 °C; give one that air can have");
    if (t->low_c > t->high_c)
        return refuse(ST_BAD_INPUT, why, "low", "the low, %.1f °C, is above the high, %.1f °C; swap them", t->low_c,
                      t->high_c);
    if (isnan(t->low_c) && !isnan(t->high_c))
        return refuse(ST_BAD_INPUT, why, "low", "a high without a low says nothing about the night; give the low too");
    if (outside(t->wind_mps, 0.0, 75.0) || outside(t->gust_mps, 0.0, 75.0))
        return refuse(ST_BAD_INPUT, why, "wind", "a wind is outside 0 to 75 m/s; give the mean wind, such as 15mph");
    if (t->gust_mps < t->wind_mps)
        return refuse(ST_BAD_INPUT, why, "gust", "gusts of %.1f m/s are below the mean wind of %.1f m/s; swap them",
                      t->gust_mps, t->wind_mps);
    if (outside(t->wind_from_deg, 0.0, 360.0))
        return refuse(ST_BAD_INPUT, why, "wind_from", "a bearing is 0 to 360 degrees, or a name such as SW");
    if (outside(t->rh, 0.0, 1.0) || outside(t->cloud_oktas, 0.0, 8.0))
        return refuse(ST_BAD_INPUT, why, "humidity", "humidity is 0 to 100 %% and cloud 0 to 8 oktas");
    if (t->dry && wet(t))
        return refuse(ST_BAD_INPUT, why, "rain", "it can't be dry and wet at once; leave one out");
    if (t->rain && t->snow)
        return refuse(ST_BAD_INPUT, why, "rain",
                      "rain and snow at once can't be told apart here; give the one that "
                      "wets more, which is rain");
    if (outside(t->rain_mm, 0.0, 500.0) || outside(t->snow_cm, 0.0, 500.0))
        return refuse(ST_BAD_INPUT, why, "rain", "the amount is outside 0 to 500; give mm of rain or cm of snow");
    return ST_OK;
}

static enum status check_times(const struct typed *t, int64_t from_utc_s, size_t n_hours, struct message *why)
{
    const int64_t end = from_utc_s + (int64_t)n_hours * HOUR_S;
    const int64_t rain_from = t->rain_from_utc_s ? t->rain_from_utc_s : from_utc_s;
    const int64_t rain_until = t->rain_until_utc_s ? t->rain_until_utc_s : end;

    if (!wet(t))
        return ST_OK;
    if (rain_until <= rain_from)
        return refuse(ST_BAD_INPUT, why, "rain", "the rain ends before it begins; give a later end");
    if (rain_from >= end || rain_until <= from_utc_s)
        return refuse(ST_BAD_INPUT, why, "rain",
                      "the rain lies outside the %zu hours this forecast covers; give times "
                      "within them",
                      n_hours);
    return ST_OK;
}

static size_t say_all(const struct typed *t, const char **note)
{
    size_t n = 0;

    if (!isnan(t->low_c) && isnan(t->high_c) && isnan(t->now_c))
        note[n++] = "only the low was given, so it is taken for every hour: the colder way to take it";
    if (!isnan(t->low_c) && isnan(t->high_c) && !isnan(t->now_c))
        note[n++] = "no high was given, so the air is taken to fall to the low and stay there: the colder way to take "
                    "it";
    if (isnan(t->low_c) && !isnan(t->now_c))
        note[n++] = "no low was given, so the air is taken to stay as it is now; the night may well be colder";
    if (t->rain && isnan(t->rain_mm))
        note[n++] = "how much rain was not given; 1 mm an hour is taken";
    if (t->snow && isnan(t->snow_cm))
        note[n++] = "how much snow was not given; 1 cm an hour is taken";
    if (t->wind_mps > 0.0 && isnan(t->wind_from_deg) && !t->wind_variable)
        note[n++] = "where the wind comes from was not given";
    if (isnan(t->wind_mps))
        note[n++] = "no wind was given";
    return n;
}

enum status typed_hours(const struct typed *t, int64_t from_utc_s, size_t n_hours, int64_t solar_noon_utc_s,
                        double day_length_s, struct arena *mem, struct hour **hours, const char ***note,
                        size_t *n_notes, struct message *why)
{
    const struct shape shape = shape_of(t, solar_noon_utc_s, day_length_s);
    struct hour *h;
    const char **said;

    if (from_utc_s % HOUR_S != 0)
        return refuse(ST_BAD_INPUT, why, "from", "the hours begin between two full hours; begin on a full hour");
    if (n_hours < 1 || n_hours > MOST_HOURS)
        return refuse(ST_BAD_INPUT, why, "hours", "%zu hours were asked for; a typed forecast covers 1 to %d", n_hours,
                      MOST_HOURS);
    if (check_figures(t, why) != ST_OK || check_times(t, from_utc_s, n_hours, why) != ST_OK)
        return ST_BAD_INPUT;
    h = ARENA_NEW(mem, struct hour, n_hours);
    said = ARENA_NEW(mem, const char *, NOTE_ROOM);
    if (!h || !said)
        return refuse(ST_NO_MEMORY, why, "", "%zu hours are more than fits in memory", n_hours);
    for (size_t i = 0; i < n_hours; i++) {
        h[i] = hour_unknown(from_utc_s + (int64_t)i * HOUR_S);
        h[i].rh = t->rh;
        h[i].wind_mps = t->wind_mps;
        h[i].gust_mps = t->gust_mps;
        if (t->wind_mps > 0.0 || isnan(t->wind_mps))
            h[i].wind_from_deg = fmod(t->wind_from_deg, 360.0);
        h[i].cloud_oktas = t->cloud_oktas;
        h[i].wind_variable = t->wind_variable;
    }
    lay_temperature(t, &shape, n_hours, h);
    if (t->dry || wet(t))
        lay_rain(t, n_hours, h);
    *hours = h;
    *note = said;
    *n_notes = say_all(t, said);
    return ST_OK;
}
