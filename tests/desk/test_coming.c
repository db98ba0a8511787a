/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The hours to come: which source stands for which hour, what is known when, and what own readings teach. Hours put in
 * are flat, so that what comes out can be told at a glance. */
#include "farm_case.h"

#include <math.h>

#include "core/air/air.h"
#include "desk/coming.h"

static const char at[] = "2026-01-22T15:40Z"; /* the moment asked about; its hour begins at 15:00 */

/* n hours of one temperature from a moment on, as one lot. */
static void put(struct farm_case *c, enum weather_sort sort, const char *source, const char *issued, const char *from,
                size_t n, double temp_c)
{
    struct hour *h = ARENA_NEW(&c->mem, struct hour, n);
    const int64_t made = case_moment(issued);

    assert_non_null(h);
    for (size_t i = 0; i < n; i++)
        h[i] = case_hour(case_moment(from) + (int64_t)i * HOUR_S, temp_c, 0.0);
    case_put_hours(c, sort, source, made, n, h);
}

static enum status read_at(struct farm_case *c, const char *when, int64_t known_to, size_t before, size_t n,
                           struct coming *out, struct message *why)
{
    struct herd h;
    case_fold(c, when, &h);
    return coming_read(c->farm, &h.place, h.zone, case_moment(when), known_to, before, n, &c->mem, out, why);
}

static void read_or_fail(struct farm_case *c, const char *when, int64_t known_to, size_t before, size_t n,
                         struct coming *out)
{
    struct message why = { "", "" };
    if (read_at(c, when, known_to, before, n, out, &why) != ST_OK)
        fail_msg("%s", why.text);
}

/* The hour of the line that begins at a moment. */
static const struct hour *hour_at(const struct coming *c, const char *when)
{
    for (size_t i = 0; i < c->n_before + c->n_hours; i++)
        if (c->line[i].utc_s == case_moment(when))
            return &c->line[i];
    fail_msg("no hour begins at %s", when);
    return NULL;
}

static bool noted(const struct coming *c, const char *words)
{
    for (size_t i = 0; i < c->n_notes; i++)
        if (strstr(c->note[i], words))
            return true;
    return false;
}

/* ---- which source ---- */

/* Own reading, station, newest forecast, older forecast, past years: each where no better one has the hour. */
static void sources_stand_in_their_order(void **state)
{
    struct farm_case c;
    struct coming w;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_PAST, "past", "2025-06-01T00:00Z", "2024-01-01T00:00Z", 24 * 90, -20.0);
    put(&c, WEATHER_FORECAST, "older", "2026-01-22T03:00Z", "2026-01-22T03:00Z", 48, 1.0);   /* to 24 Jan 03:00 */
    put(&c, WEATHER_FORECAST, "newer", "2026-01-22T09:00Z", "2026-01-22T09:00Z", 24, 2.0);   /* to 23 Jan 09:00 */
    put(&c, WEATHER_OBSERVED, "station", "2026-01-22T15:00Z", "2026-01-22T05:00Z", 10, 3.0); /* to 22 Jan 15:00 */
    case_record(&c, "reading", "at=2026-01-22T14:20Z", "temp=4C", NULL);
    read_or_fail(&c, at, 0, 12, 72, &w);
    static const struct {
        const char *when;
        double temp_c;
        const char *what;
    } want[] = {
        { "2026-01-22T04:00Z", 1.0, "only the older forecast has it" },
        { "2026-01-22T05:00Z", 3.0, "the station before both forecasts" },
        { "2026-01-22T14:00Z", 4.0, "own reading before the station" },
        /* the one reading was 2 K above the newest forecast for its hour: 2 x 1 / (1 + 6) is laid on cloudy, windy
           hours of the day */
        { "2026-01-22T15:00Z", 2.0 + 2.0 / 7.0, "nothing read yet: the newest forecast" },
        { "2026-01-22T20:00Z", 2.0, "by night nothing was learned" },
        { "2026-01-23T08:00Z", 2.0 + 2.0 / 7.0, "to the end of the newest" },
        { "2026-01-23T09:00Z", 1.0 + 2.0 / 7.0, "then the older goes on" },
    };
    for (size_t i = 0; i < COUNT(want); i++)
        case_near(hour_at(&w, want[i].when)->temp_c, want[i].temp_c, 1e-9, want[i].what);
    /* the wind was not read with the temperature: the station's stays */
    case_near(hour_at(&w, "2026-01-22T14:00Z")->wind_mps, 4.0, 1e-9, "wind of the station");
    case_near(hour_at(&w, "2026-01-25T12:00Z")->temp_c, -20.0, 1e-9, "past years, a day beyond the forecast");
    assert_int_equal(w.n_firm, (case_moment("2026-01-24T03:00Z") - case_moment("2026-01-22T15:00Z")) / HOUR_S);
    assert_string_equal(w.forecast_name, "newer");
    assert_int_equal(w.forecast_made_utc_s, case_moment("2026-01-22T09:00Z"));
    assert_int_equal(w.from_utc_s, case_moment("2026-01-22T15:00Z"));
    case_close(&c);
}

/* A reading taken in a hut tells of the hut. */
static void a_reading_in_a_hut_is_no_outside_air(void **state)
{
    struct farm_case c;
    struct coming w;

    (void)state;
    case_open(&c);
    case_record(&c, "hut", "name=Hut 1", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=140", "from=2026-01-01T10:00Z", NULL);
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T09:00Z", "2026-01-22T09:00Z", 60, 2.0);
    case_record(&c, "reading", "at=2026-01-22T15:10Z", "temp=12C", "placement=Hut 1", NULL);
    read_or_fail(&c, at, 0, 6, 24, &w);
    case_near(hour_at(&w, "2026-01-22T15:00Z")->temp_c, 2.0, 1e-9, "the forecast, not the hut");
    assert_int_equal(w.n_pairs, 0);
    case_close(&c);
}

/* FAO-56 eq. 47 and the log law of core/air: a gauge held at 2 m over grass reads about 0.72 of the wind at 10 m. */
static void wind_read_by_hand_is_brought_to_ten_metres(void **state)
{
    struct farm_case c;
    struct coming w;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T09:00Z", "2026-01-22T09:00Z", 60, 2.0);
    case_record(&c, "reading", "at=2026-01-22T15:10Z", "wind=3mps", "wind-from=200", NULL);
    read_or_fail(&c, at, 0, 6, 24, &w);
    /* ln(10/0.03)/ln(2/0.03) = 5.809/4.200 = 1.383 */
    case_near(hour_at(&w, "2026-01-22T15:00Z")->wind_mps, 3.0 * log(10.0 / 0.03) / log(2.0 / 0.03), 1e-9,
              "log law, roughness 3 cm");
    case_near(hour_at(&w, "2026-01-22T15:00Z")->wind_from_deg, 200.0, 1e-9, "direction as read");
    case_close(&c);
}

/* ---- what is known when ---- */

static void what_comes_later_is_not_used(void **state)
{
    struct farm_case c;
    struct coming w;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_FORECAST, "service", "2026-01-21T20:00Z", "2026-01-21T20:00Z", 72, 2.0);
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T16:00Z", "2026-01-22T16:00Z", 72,
        -9.0); /* made 20 minutes later */
    put(&c, WEATHER_OBSERVED, "station", "2026-01-23T00:00Z", "2026-01-22T10:00Z", 14,
        7.0); /* runs on past the moment */
    case_record(&c, "reading", "at=2026-01-22T15:50Z", "temp=-9C", NULL);
    read_or_fail(&c, at, 0, 6, 30, &w);
    case_near(hour_at(&w, "2026-01-22T15:00Z")->temp_c, 7.0, 1e-9, "the station's hour that has begun");
    case_near(hour_at(&w, "2026-01-22T16:00Z")->temp_c, 2.0, 1e-9, "the forecast that was there");
    assert_int_equal(w.forecast_made_utc_s, case_moment("2026-01-21T20:00Z"));
    case_close(&c);
}

static void an_old_forecast_is_said_to_be_old(void **state)
{
    static const struct {
        const char *at, *says;
    } want[] = {
        { "2026-01-22T08:20Z", "made 12 h ago" }, /* 12.3 h: rounds to 12, but is over the line */
        { "2026-01-22T15:40Z", "made 20 h ago: old, fetch a fresh one" },
        { "2026-01-21T23:00Z", "made 3 h ago." },
    };
    struct farm_case c;
    struct coming w;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_FORECAST, "service", "2026-01-21T20:00Z", "2026-01-21T20:00Z", 72, 2.0);
    for (size_t i = 0; i < COUNT(want); i++) {
        struct answer *a = answer_new(&c.mem);
        read_or_fail(&c, want[i].at, 0, 6, 24, &w);
        coming_answer(&w, case_moment(want[i].at), a);
        const char *says = answer_get_text(a, "weather.says");
        if (!says || !strstr(says, want[i].says))
            fail_msg("%s: want \"%s\", got \"%s\"", want[i].at, want[i].says, says ? says : "nothing");
    }
    case_close(&c);
}

static void with_known_to_the_line_stays_the_same_for_ever(void **state)
{
    struct farm_case c;
    struct coming before, after;
    struct herd h;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T09:00Z", "2026-01-22T09:00Z", 72, 2.0);
    case_record(&c, "reading", "at=2026-01-22T14:20Z", "temp=4C", NULL);
    case_fold(&c, at, &h);
    const int64_t number = h.known_to;
    read_or_fail(&c, at, number, 12, 48, &before);
    put(&c, WEATHER_FORECAST, "another", "2026-01-22T10:00Z", "2026-01-22T10:00Z", 72,
        -5.0); /* fetched late, typed in after */
    put(&c, WEATHER_OBSERVED, "station", "2026-01-22T15:00Z", "2026-01-22T03:00Z", 12, 9.0);
    put(&c, WEATHER_PAST, "past", "2025-06-01T00:00Z", "2024-01-01T00:00Z", 24 * 90, -20.0);
    case_record(&c, "reading", "at=2026-01-22T13:20Z", "temp=8C", NULL);
    read_or_fail(&c, at, number, 12, 48, &after);
    assert_int_equal(after.n_before, before.n_before);
    assert_int_equal(after.n_hours, before.n_hours);
    for (size_t i = 0; i < before.n_before + before.n_hours; i++) {
        case_near(after.line[i].temp_c, before.line[i].temp_c, 0.0, "temperature as it was known");
        case_near(after.line[i].wind_mps, before.line[i].wind_mps, 0.0, "wind as it was known");
    }
    for (size_t i = 0; i < OUTLOOK_MEMBERS * (before.n_before + before.n_hours); i++)
        case_near(after.member[i].temp_c, before.member[i].temp_c, 0.0, "every version of it");
    read_or_fail(&c, at, 0, 12, 48, &after);
    case_near(hour_at(&after, "2026-01-22T20:00Z")->temp_c, -5.0, 1e-9, "and what is known today");
    case_close(&c);
}

/* ---- what readings teach ---- */

/* Ten still clear nights, each read 3 K colder than was forecast: 3 x n / (n + 6) is laid on still clear hours of the
 * night, none on cloudy or windy ones (docs/reckoning/outlook.md; worked out by hand). */
static void own_readings_shift_the_forecast(void **state)
{
    struct farm_case c;
    struct coming w;
    struct hour h[30];

    (void)state;
    case_open(&c);
    for (int day = 0; day < 11; day++) { /* forecasts of 16:00 for the night; the last is tonight's */
        const int64_t made = case_moment("2026-01-12T15:00Z") + day * DAY_S;
        for (int i = 0; i < 30; i++) {
            h[i] = case_hour(made + i * HOUR_S, 0.0, 0.0);
            h[i].wind_mps = 1.5;
            h[i].cloud_oktas = i < 8 ? 1.0 : 8.0; /* clear to 23:00, then overcast */
        }
        case_put_hours(&c, WEATHER_FORECAST, "service", made, 30, h);
        if (day < 10) {
            char when[32];
            (void)snprintf(when, sizeof when, "at=2026-01-%02dT21:10Z", 12 + day);
            case_record(&c, "reading", when, "temp=-3C", NULL);
        }
    }
    read_or_fail(&c, at, 0, 6, 28, &w);
    assert_true(w.site_learned);
    /* each night is forecast twice (its own and, in its 30 h, the evening before's): ten readings, ten occasions */
    case_near(w.site.by_class[0].temp_k, -3.0 * 10.0 / (10.0 + 6.0), 1e-9, "still clear nights");
    case_near(hour_at(&w, "2026-01-22T21:00Z")->temp_c, -3.0 * 10.0 / 16.0, 1e-9, "a still clear hour tonight");
    case_near(hour_at(&w, "2026-01-23T01:00Z")->temp_c, 0.0, 1e-9, "an overcast hour tonight");
    assert_true(noted(&w, "own offsets"));
    assert_true(noted(&w, " 10 "));
    case_close(&c);
}

/* ---- holes, ends, nothing ---- */

static void a_hole_in_the_days_before_leaves_what_follows_it(void **state)
{
    struct farm_case c;
    struct coming w;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_OBSERVED, "station", "2026-01-22T15:00Z", "2026-01-20T15:00Z", 20, 3.0); /* to 21 Jan 11:00 */
    put(&c, WEATHER_OBSERVED, "station", "2026-01-22T15:00Z", "2026-01-22T03:00Z", 12, 4.0); /* 16 hours are missing */
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T15:00Z", "2026-01-22T15:00Z", 60, 2.0);
    read_or_fail(&c, at, 0, 48, 36, &w);
    assert_int_equal(w.n_before, 12);
    assert_int_equal(w.line[0].utc_s, case_moment("2026-01-22T03:00Z"));
    assert_int_equal(w.line[w.n_before].utc_s, w.from_utc_s);
    assert_int_equal(w.n_hours, 36);
    assert_int_equal(w.n_firm, 36);
    for (size_t i = 1; i < w.n_before + w.n_hours; i++)
        assert_int_equal(w.line[i].utc_s, w.line[i - 1].utc_s + HOUR_S);
    /* the columns beside the line are of the same hours */
    const bool day = w.sun[w.n_before + 21].elevation_deg > 0.0; /* noon tomorrow */
    assert_true(day);
    assert_true(w.daylight[w.n_before + 21]);
    assert_false(w.daylight[w.n_before + 9]); /* midnight */
    case_close(&c);
}

static void beyond_the_end_hours_are_left_out_and_said(void **state)
{
    struct farm_case c;
    struct coming w;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T15:00Z", "2026-01-22T15:00Z", 30, 2.0);
    read_or_fail(&c, at, 0, 6, 72, &w);
    assert_int_equal(w.n_hours, 30);
    assert_true(noted(&w, "30 hours"));
    case_close(&c);
}

static void without_weather_it_says_how_to_get_some(void **state)
{
    struct farm_case c;
    struct coming w;
    struct message why = { "", "" };

    (void)state;
    case_open(&c);
    assert_int_equal(read_at(&c, at, 0, 6, 24, &w, &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "leenest weather fetch"));
    assert_non_null(strstr(why.text, "leenest weather type"));
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T15:00Z", "2026-01-22T15:00Z", 6, 2.0); /* six hours are no night */
    assert_int_equal(read_at(&c, at, 0, 6, 24, &w, &why), ST_NOT_FOUND);
    case_close(&c);
}

static void a_typed_forecast_will_do(void **state)
{
    struct farm_case c;
    struct coming w;
    struct text report;
    struct message why = { "", "" };

    (void)state;
    case_open(&c);
    text_open(&report, 1 << 16);
    if (keep_weather_typed(c.farm, "low -6C, wind SW 6mps, rain until 21:00", case_moment(at), 36, &c.mem, &report,
                           &why) != ST_OK)
        fail_msg("%s", why.text);
    text_close(&report);
    read_or_fail(&c, at, 0, 6, 24, &w);
    double coldest = INFINITY;
    for (size_t i = 0; i < w.n_hours; i++)
        coldest = fmin(coldest, w.line[w.n_before + i].temp_c);
    case_near(coldest, -6.0, 0.6, "the low that was typed");
    assert_true(hour_at(&w, "2026-01-22T19:00Z")->rain_mm > 0.0);
    assert_false(hour_at(&w, "2026-01-22T22:00Z")->rain_mm > 0.0);
    case_near(hour_at(&w, "2026-01-22T22:00Z")->wind_from_deg, 225.0, 1e-9, "south-west");
    case_close(&c);
}

/* ---- versions ---- */

static void the_past_is_the_same_in_every_version(void **state)
{
    struct farm_case c;
    struct coming w;
    bool differs = false;

    (void)state;
    case_open(&c);
    put(&c, WEATHER_OBSERVED, "station", "2026-01-22T15:00Z", "2026-01-21T15:00Z", 24, 3.0);
    put(&c, WEATHER_FORECAST, "service", "2026-01-22T15:00Z", "2026-01-22T15:00Z", 60, 2.0);
    read_or_fail(&c, at, 0, 24, 48, &w);
    const size_t run = w.n_before + w.n_hours;
    for (size_t i = 0; i < run; i++)
        case_near(w.member[i].temp_c, w.line[i].temp_c, 0.0, "the first version is the forecast itself");
    for (size_t m = 1; m < OUTLOOK_MEMBERS; m++) {
        for (size_t i = 0; i < w.n_before; i++)
            case_near(w.member[m * run + i].temp_c, w.line[i].temp_c, 0.0, "what has been is the same in all");
        differs = differs || fabs(w.member[m * run + run - 1].temp_c - w.line[run - 1].temp_c) > 0.3;
    }
    assert_true(differs);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sources_stand_in_their_order),
        cmocka_unit_test(a_reading_in_a_hut_is_no_outside_air),
        cmocka_unit_test(wind_read_by_hand_is_brought_to_ten_metres),
        cmocka_unit_test(what_comes_later_is_not_used),
        cmocka_unit_test(an_old_forecast_is_said_to_be_old),
        cmocka_unit_test(with_known_to_the_line_stays_the_same_for_ever),
        cmocka_unit_test(own_readings_shift_the_forecast),
        cmocka_unit_test(a_hole_in_the_days_before_leaves_what_follows_it),
        cmocka_unit_test(beyond_the_end_hours_are_left_out_and_said),
        cmocka_unit_test(without_weather_it_says_how_to_get_some),
        cmocka_unit_test(a_typed_forecast_will_do),
        cmocka_unit_test(the_past_is_the_same_in_every_version),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
