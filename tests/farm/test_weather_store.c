/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Hours of weather in the farm file: exact, small, quick, and as known at any change.
 */
#include <math.h>
#include <time.h>
#include <sys/stat.h>

#include "core/base/dice.h"
#include "farm/weather_pack.h"
#include "farm/weather_store.h"
#include "tests/farm/farm_help.h"

/* An hour such as a station reports: tenths of a degree, whole tens of degrees, much that is missing. */
static struct hour any_hour(struct dice *d, int64_t utc_s, bool wild)
{
    struct hour h = {
        .utc_s = utc_s,
        .temp_c = round(dice_between(d, -300, 300)) / 10.0,
        .wind_mps = round(dice_between(d, 0, 200)) / 10.0,
        .wind_from_deg = round(dice_between(d, 0, 35)) * 10.0,
        .cloud_oktas = round(dice_between(d, 0, 8)),
        .rain_mm = 0,
        .dew_point_c = (double)NAN,
        .rh = (double)NAN,
        .gust_mps = (double)NAN,
        .snow_cm = (double)NAN,
        .pressure_kpa = (double)NAN,
        .ghi_w_m2 = (double)NAN,
        .dni_w_m2 = (double)NAN,
        .dhi_w_m2 = (double)NAN,
        .rain_probability = (double)NAN,
    };
    if (dice_even(d) < 0.1)
        h.rain_mm = round(dice_between(d, 1, 80)) / 10.0;
    if (dice_even(d) < 0.05)
        h.wind_from_deg = (double)NAN, h.wind_variable = true;
    h.dew_point_c = h.temp_c - dice_between(d, 0, 8); /* from over water to over ice: no short decimals left */
    h.pressure_kpa = round(dice_between(d, 9800, 10400)) / 100.0;
    if (wild) {
        h.temp_c = dice_normal(d) * 1e3;
        h.rh = dice_even(d);
        h.gust_mps = dice_even(d) < 0.5 ? (double)NAN : 1e-320;
        h.ghi_w_m2 = (double)(float)dice_even(d);
        h.filled = (unsigned)(dice_bits(d) & 0x7ff);
        h.risk = (unsigned)(dice_bits(d) & 0x7f);
        h.rain_trace = dice_bits(d) & 1;
        h.snow = dice_bits(d) & 1;
        h.utc_s += (int64_t)(dice_bits(d) % 3600);
    }
    return h;
}

static void a_day_comes_out_bit_for_bit(void **state)
{
    struct dice d = dice_from(5);
    unsigned char *packed = malloc(PACK_BYTES);
    struct hour *in = calloc(PACK_HOURS, sizeof *in), *out = calloc(PACK_HOURS, sizeof *out);

    (void)state;
    assert_true(packed && in && out);
    for (int i = 0; i < 2000; i++) {
        const int64_t day = (int64_t)dice_between(&d, -10000, 40000);
        size_t n = 1 + (size_t)(dice_bits(&d) % 24), got = 0;
        for (size_t k = 0; k < n; k++)
            in[k] = any_hour(&d, day * DAY_S + (int64_t)k * HOUR_S, i % 2 == 1);
        const size_t bytes = weather_pack(day, n, in, packed);
        assert_true(bytes <= PACK_BYTES);
        assert_true(weather_unpack(day, packed, bytes, out, &got));
        assert_int_equal(got, n);
        for (size_t k = 0; k < n; k++)
            assert_true(weather_same_hour(&in[k], &out[k]));
        assert_false(weather_unpack(day + 1, packed, bytes, out, &got)); /* a row in the wrong place */
        const size_t at = (size_t)(dice_bits(&d) % bytes);
        packed[at] ^= (unsigned char)(1U << (dice_bits(&d) % 8)); /* one bit */
        assert_false(weather_unpack(day, packed, bytes, out, &got));
        assert_false(weather_unpack(day, packed, at, out, &got)); /* cut short */
    }
    free(packed);
    free(in);
    free(out);
}

static double seconds_now(void)
{
    struct timespec t;
    assert_int_equal(clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t), 0); /* the machine may be busy with others */
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Any stretch of what is held packed is bit for bit what reading them all gives; the witness is farm_weather_hours(). */
static void packed_hours_are_the_same(struct scratch *s, struct dice *d, int64_t from_utc_s, int64_t to_utc_s)
{
    struct weather_packed *packed = NULL;
    struct hour *all = NULL, out[300];
    size_t n = 0, n_packed = 0;

    assert_int_equal(
        farm_weather_hours(s->farm, NULL, WEATHER_PAST, from_utc_s, to_utc_s, 0, &s->mem, &all, &n, &s->why), ST_OK);
    assert_int_equal(
        farm_weather_packed(s->farm, NULL, WEATHER_PAST, from_utc_s, to_utc_s, 0, &s->mem, &packed, &n_packed, &s->why),
        ST_OK);
    assert_int_equal(n, n_packed);
    assert_true(n > COUNT(out));
    for (int i = 0; i < 200; i++) {
        const size_t most = (size_t)(dice_bits(d) % (COUNT(out) + 1)), first = (size_t)(dice_bits(d) % (n - most + 1));
        farm_weather_unpack(packed, first, most, out);
        for (size_t k = 0; k < most; k++)
            assert_true(weather_same_hour(&out[k], &all[first + k]));
    }
    farm_weather_unpack(packed, n - 1, 1, out);
    assert_true(weather_same_hour(&out[0], &all[n - 1]));
}

static void thirty_years_are_small_and_quick(void **state)
{
    struct scratch s;
    struct dice d = dice_from(9);
    const int64_t from = utc(1995, 1, 1, 0, 0), to = utc(2025, 1, 1, 0, 0);
    const size_t n = (size_t)((to - from) / HOUR_S);
    struct hour *hours = calloc(n, sizeof *hours), *got = NULL;
    struct weather_lot lot = { .sort = WEATHER_PAST,
                               .source = "station",
                               .lat_deg = 44.9,
                               .lon_deg = (double)NAN,
                               .elevation_m = (double)NAN,
                               .etag = "" };
    const struct farm_meta meta = { .who = "Ada" };
    struct stat is;
    size_t n_got = 0;

    (void)state;
    assert_non_null(hours);
    scratch_open(&s);
    for (size_t i = 0; i < n; i++)
        hours[i] = any_hour(&d, from + (int64_t)i * HOUR_S, false), weather_no_minus_zero(&hours[i]);
    assert_int_equal(farm_weather_put(s.farm, &lot, n, hours, &meta, &s.why), ST_OK);
    assert_int_equal(lot.n_hours, n);
    assert_int_equal(stat(s.path, &is), 0);
    const double start = seconds_now();
    assert_int_equal(farm_weather_season(s.farm, NULL, 335, 120, 0, &s.mem, &got, &n_got, &s.why), ST_OK);
    const double took = seconds_now() - start;
    print_message("%zu hours in %.1f MB; a season of 120 days in every year, %zu hours, in %.1f ms of work\n", n,
                  (double)is.st_size / 1e6, n_got, 1e3 * took);
    assert_true(n_got > (size_t)29 * 120 * 24);
    assert_true(is.st_size < 15000000);
    /* the contract is 50 ms on a plain build; sanitizers and busy machines get room */
    assert_true(took < 1.0);
    size_t k = 0;
    for (size_t i = 0; i < n_got; i++) {
        while (hours[k].utc_s < got[i].utc_s)
            k++;
        assert_true(weather_same_hour(&hours[k], &got[i]));
    }
    packed_hours_are_the_same(&s, &d, utc(2001, 3, 5, 7, 30),
                              utc(2004, 8, 9, 20, 0)); /* begins and ends within a day */
    free(hours);
    scratch_close(&s);
}

static void newer_hours_stand_before_older_ones(void **state)
{
    struct scratch s;
    struct dice d = dice_from(13);
    struct hour in[48], other[48], *got = NULL;
    struct weather_lot lot = { .sort = WEATHER_OBSERVED,
                               .source = "station",
                               .lat_deg = (double)NAN,
                               .lon_deg = (double)NAN,
                               .elevation_m = (double)NAN };
    const struct farm_meta meta = { .who = "Ada" };
    const int64_t from = utc(2026, 1, 1, 6, 0);
    struct weather_holding *holdings = NULL;
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    for (size_t i = 0; i < 48; i++) {
        in[47 - i] = any_hour(&d, from + (int64_t)i * HOUR_S, false); /* in any order */
        other[i] = any_hour(&d, from + (int64_t)i * HOUR_S, false);
        weather_no_minus_zero(&in[47 - i]);
        weather_no_minus_zero(&other[i]);
    }
    in[0] = in[1]; /* a double: the last one given stands */
    in[0].temp_c = 99;
    assert_int_equal(farm_weather_put(s.farm, &lot, 48, in, &meta, &s.why), ST_OK);
    const int64_t first = lot.number;
    assert_int_equal(lot.n_hours, 47);
    assert_int_equal(farm_weather_put(s.farm, &lot, 48, in, &meta, &s.why), ST_OK); /* again: nothing is stored twice */
    assert_int_equal(lot.n_hours, 0);
    assert_int_equal(farm_weather_put(s.farm, &lot, 10, other, &meta, &s.why), ST_OK);
    assert_int_equal(lot.n_hours, 10);
    assert_int_equal(
        farm_weather_hours(s.farm, "station", WEATHER_OBSERVED, from, from + 47 * HOUR_S, 0, &s.mem, &got, &n, &s.why),
        ST_OK);
    assert_int_equal(n, 47);
    for (size_t i = 0; i < 10; i++)
        assert_true(weather_same_hour(&got[i], &other[i]));
    assert_true(weather_same_hour(&got[20], &in[27]));
    assert_int_equal(farm_weather_hours(s.farm, "station", WEATHER_OBSERVED, from, from + 47 * HOUR_S, first, &s.mem,
                                        &got, &n, &s.why),
                     ST_OK);
    for (size_t i = 0; i < 10; i++)
        assert_true(weather_same_hour(&got[i], &in[47 - i])); /* as known then */
    assert_int_equal(farm_weather_holdings(s.farm, 0, &s.mem, &holdings, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    assert_int_equal(holdings[0].n_lots, 2);
    assert_int_equal(
        farm_weather_hours(s.farm, NULL, WEATHER_PAST, from, from + 47 * HOUR_S, 0, &s.mem, &got, &n, &s.why), ST_OK);
    assert_int_equal(n, 0);
    scratch_close(&s);
}

static void forecasts_are_kept_one_by_one(void **state)
{
    struct scratch s;
    struct dice d = dice_from(17);
    struct hour in[156], *got = NULL;
    struct weather_lot lot = { .sort = WEATHER_FORECAST,
                               .source = "national",
                               .lat_deg = 44.9,
                               .lon_deg = -93.3,
                               .elevation_m = 250,
                               .issued_utc_s = utc(2026, 1, 22, 15, 0),
                               .fetched_utc_s = utc(2026, 1, 22, 15, 5),
                               .etag = "\"a\"",
                               .last_modified = "Thu, 22 Jan 2026 15:00:00 GMT",
                               .credit = "thanks" };
    struct weather_lot *lots = NULL;
    const struct farm_meta meta = { .who = "" };
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    for (size_t i = 0; i < 156; i++)
        in[i] = any_hour(&d, utc(2026, 1, 22, 15, 0) + (int64_t)i * HOUR_S, true), weather_no_minus_zero(&in[i]);
    assert_int_equal(farm_weather_put(s.farm, &lot, 156, in, &meta, &s.why), ST_OK);
    const int64_t first = lot.number;
    lot.fetched_utc_s += 3600; /* the same again: seen again, no second copy */
    assert_int_equal(farm_weather_put(s.farm, &lot, 156, in, &meta, &s.why), ST_OK);
    assert_int_equal(lot.number, first);
    in[3].temp_c += 1;
    lot.issued_utc_s += 3600;
    assert_int_equal(farm_weather_put(s.farm, &lot, 156, in, &meta, &s.why), ST_OK);
    assert_true(lot.number > first);
    assert_int_equal(
        farm_weather_seen(s.farm, "national", utc(2026, 1, 22, 20, 0), utc(2026, 1, 22, 21, 0), "later", &s.why),
        ST_OK);
    assert_int_equal(farm_weather_seen(s.farm, "nobody", 0, 0, "", &s.why), ST_NOT_FOUND);
    assert_int_equal(farm_weather_lots(s.farm, NULL, WEATHER_SORTS, 0, &s.mem, &lots, &n, &s.why), ST_OK);
    assert_int_equal(n, 2);
    assert_int_equal(lots[0].fetched_utc_s, utc(2026, 1, 22, 20, 0));
    assert_int_equal(lots[1].fetched_utc_s, utc(2026, 1, 22, 16, 5));
    assert_string_equal(lots[1].etag, "\"a\"");
    assert_int_equal(farm_weather_of_lot(s.farm, first, 0, INT64_MAX / 2, &s.mem, &got, &n, &s.why), ST_OK);
    assert_int_equal(n, 156);
    assert_false(weather_same_hour(&got[3], &in[3]));
    assert_true(weather_same_hour(&got[4], &in[4]));
    assert_int_equal(farm_weather_lots(s.farm, "national", WEATHER_FORECAST, first, &s.mem, &lots, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    scratch_close(&s);
}

/* Common practice, no source: who mistypes and then undoes means what was typed last. */
static void undo_does_not_reach_past_a_typed_forecast(void **state)
{
    struct scratch s;
    struct dice d = dice_from(23);
    struct hour in[36];
    struct weather_lot lot = { .sort = WEATHER_FORECAST, .source = "national", .lat_deg = 44.9, .lon_deg = -93.3 };
    const struct farm_meta meta = { .who = "" };
    struct farm_undo undo;

    (void)state;
    scratch_open(&s);
    for (size_t i = 0; i < COUNT(in); i++)
        in[i] = any_hour(&d, utc(2026, 1, 22, 15, 0) + (int64_t)i * HOUR_S, false);
    RECORDED(&s, "animal", "name", "Wren", "is", "gilt", NULL);
    assert_int_equal(farm_weather_put(s.farm, &lot, COUNT(in), in, &meta, &s.why), ST_OK);
    RECORDED(&s, "animal", "name", "Lark", "is", "gilt", NULL); /* a fetched one comes by itself and holds up nothing */
    assert_int_equal(farm_undo(s.farm, NULL, true, &meta, &s.mem, &undo, &s.why), ST_OK);
    lot.sort = WEATHER_TYPED;
    lot.source = "typed by hand";
    assert_int_equal(farm_weather_put(s.farm, &lot, COUNT(in), in, &meta, &s.why), ST_OK);
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_CONFLICT);
    assert_non_null(strstr(s.why.text, "type it anew"));
    const char *named = strstr(s.why.text, "undo ");
    assert_non_null(named);
    assert_int_equal(farm_undo(s.farm, named + 5, false, &meta, &s.mem, &undo, &s.why), ST_OK); /* by its name */
    assert_non_null(strstr(undo.changes[0].called, "Lark"));
    scratch_close(&s);
}

static void small_things_are_remembered(void **state)
{
    struct scratch s;
    const char *bytes = NULL;
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    assert_int_equal(farm_recall(s.farm, "page", &s.mem, &bytes, &n, &s.why), ST_NOT_FOUND);
    assert_int_equal(farm_remember(s.farm, "page", "a\0b", 3, &s.why), ST_OK);
    assert_int_equal(farm_remember(s.farm, "page", "c\0de", 4, &s.why), ST_OK);
    assert_int_equal(farm_recall(s.farm, "page", &s.mem, &bytes, &n, &s.why), ST_OK);
    assert_int_equal(n, 4);
    assert_memory_equal(bytes, "c\0de", 5);
    assert_int_equal(farm_remember(s.farm, "page", "", 0, &s.why), ST_OK);
    assert_int_equal(farm_recall(s.farm, "page", &s.mem, &bytes, &n, &s.why), ST_OK);
    assert_int_equal(n, 0);
    assert_int_equal(farm_remember(s.farm, "page", NULL, 0, &s.why), ST_OK);
    assert_int_equal(farm_recall(s.farm, "page", &s.mem, &bytes, &n, &s.why), ST_NOT_FOUND);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_comes_out_bit_for_bit),
        cmocka_unit_test(thirty_years_are_small_and_quick),
        cmocka_unit_test(newer_hours_stand_before_older_ones),
        cmocka_unit_test(forecasts_are_kept_one_by_one),
        cmocka_unit_test(undo_does_not_reach_past_a_typed_forecast),
        cmocka_unit_test(small_things_are_remembered),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
