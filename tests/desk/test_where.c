/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * where: made-up years of hours whose answer can be told beforehand, in both halves of the world. */
#include "farm_case.h"

#include <math.h>

#include "core/sun/sun.h"
#include "desk/memory.h"
#include "desk/where_rows.h"

/* ---- made-up years ---- */

struct made {
    double temp_c, wind_mps, from_deg, other_from_deg, oktas,
        rain_mm; /* the wind takes turns between two sides, day by day */
    bool variable;
};

static void put_years(struct farm_case *c, const char *from, size_t days, const struct made *m)
{
    const size_t n = days * 24;
    struct hour *h = ARENA_NEW(&c->mem, struct hour, n);

    assert_non_null(h);
    for (size_t i = 0; i < n; i++) {
        h[i] = case_hour(case_moment(from) + (int64_t)i * HOUR_S, m->temp_c, m->rain_mm);
        h[i].rh = 0.8;
        h[i].wind_mps = m->wind_mps;
        h[i].wind_variable = m->variable;
        h[i].wind_from_deg = m->variable ? (double)NAN : i / 24 % 2 ? m->other_from_deg : m->from_deg;
        h[i].cloud_oktas = m->oktas;
    }
    case_put_hours(c, WEATHER_PAST, "made-up years", case_moment(CASE_RECORDED "Z"), n, h);
}

static struct desk_memory *memory; /* with which it is asked; NULL = none */

static enum status ask(struct farm_case *c, const char *at, size_t n, const char *const words[], struct answer **a,
                       struct message *why)
{
    const struct question *q = question_find(questions, "where");
    struct asked asked = {
        .question = q, .farm = c->farm, .memory = memory, .at_utc_s = case_moment(at), .mem = &c->mem
    };
    struct typed_param typed[8];

    assert_non_null(q);
    assert_int_equal(desk_zone(c->farm, &c->mem, &asked.zone, why), ST_OK);
    for (size_t i = 0; i < n; i++) {
        const char *equals = strchr(words[i], '=');
        const size_t length = equals ? (size_t)(equals - words[i]) : strlen(words[i]);
        size_t p = 0;
        while (p < q->n_params &&
               !(strlen(q->params[p].name) == length && strncmp(q->params[p].name, words[i], length) == 0))
            p++;
        assert_true(p < q->n_params);
        typed[i] = (struct typed_param){ p, equals ? equals + 1 : "yes" };
    }
    enum status st = asked_read(&asked, n, typed, why);
    if (st == ST_OK)
        st = question_put(&asked, a, why);
    if (st == ST_OK)
        assert_int_equal(shape_check(*a, q->n_shape, q->shape, why), ST_OK);
    return st;
}

static struct answer *asked(struct farm_case *c, const char *at, size_t n, const char *const words[])
{
    struct answer *a = NULL;
    struct message why = { "", "" };
    if (ask(c, at, n, words, &a, &why) != ST_OK)
        fail_msg("%s", why.text);
    return a;
}

static double turn_between(double a_deg, double b_deg)
{
    return fabs(remainder(a_deg - b_deg, 360.0));
}

static bool among(const struct answer *list, const char *words)
{
    for (const struct answer *w = list ? list->first : NULL; w; w = w->next)
        if (w->kind == ANSWER_TEXT && strstr(w->is.text, words))
            return true;
    return false;
}

/* ---- what must come out ---- */

static void the_door_looks_away_from_a_steady_wind(void **state)
{
    static const double from[] = { 0.0, 90.0, 225.0, 300.0 };

    (void)state;
    for (size_t i = 0; i < COUNT(from); i++) {
        struct farm_case c;
        const struct made m = {
            .temp_c = 1.0, .wind_mps = 7.0, .from_deg = from[i], .other_from_deg = from[i], .oktas = 8.0
        };
        case_open_at(&c, "54.6", "-2.4", "Europe/London");
        put_years(&c, "2024-12-01T00:00Z", 40, &m);
        const struct answer *a = asked(&c, "2026-01-22T15:40Z", 0, NULL);
        if (turn_between(answer_get_real(a, "best_facing_deg"), from[i] + 180.0) >
            60.0) /* right away or across behind it */
            fail_msg("wind from %g: best is %g", from[i], answer_get_real(a, "best_facing_deg"));
        if (turn_between(answer_get_real(a, "worst_facing_deg"), from[i]) > 15.0)
            fail_msg("wind from %g: worst is %g", from[i], answer_get_real(a, "worst_facing_deg"));
        assert_true(answer_at(a, "prevailing")->is.flag);
        assert_true(answer_get_real(a, "steadiness") > 0.99);
        /* without the wind's side nothing is left between best and worst but what little sun comes through */
        case_near(answer_get_real(a, "parts.wind"), answer_get_real(a, "parts.between_best_and_worst"),
                  0.15 * answer_get_real(a, "parts.between_best_and_worst"), "the wind makes nearly all of it");
        case_near(answer_get_real(a, "parts.rain"), 0.0, 1e-9, "no rain, no part of it");
        case_close(&c);
    }
}

/* Overcast nights, the wind by turns from north and south: east and west are as good as each other, and both are said.
 */
static void two_good_arcs_stay_two(void **state)
{
    static const char *const words[] = { "night-only" };
    struct farm_case c;
    const struct made m = { .temp_c = 1.0, .wind_mps = 7.0, .from_deg = 0.0, .other_from_deg = 180.0, .oktas = 8.0 };

    (void)state;
    case_open_at(&c, "54.6", "-2.4", "Europe/London");
    put_years(&c, "2024-12-01T12:00Z", 40, &m);
    const struct answer *a = asked(&c, "2026-01-22T15:40Z", 1, words);
    assert_int_equal(answer_count(answer_at(a, "arcs")), 2);
    assert_int_equal(answer_count(answer_at(a, "bearings")), 2);
    const double one = answer_get_real(a, "bearings[0].true_deg"), other = answer_get_real(a, "bearings[1].true_deg");
    case_near(turn_between(one, other), 180.0, 10.0, "opposite each other");
    assert_true(fabs(sin(one * 3.14159265358979 / 180.0)) > 0.9); /* east and west, within 25 degrees */
    assert_false(answer_at(a, "prevailing")->is.flag);            /* from both sides: no prevailing wind */
    assert_true(answer_get_real(a, "steadiness") < 0.3);
    case_close(&c);
}

/* With calm or shifting wind and a clear sky the sun decides: toward the equator's side, in both halves of the world.
 */
static void in_still_air_it_looks_to_the_sun(void **state)
{
    static const struct {
        const char *lat, *lon, *zone, *from, *months, *noon;
        double least_deg, most_deg;
    } want[] = {
        { "54.6", "-2.4", "Europe/London", "2024-12-01T00:00Z", "Nov-Mar", "south", 90.0, 215.0 },
        { "-43.5", "171.2", "Pacific/Auckland", "2024-06-10T00:00Z", "May-Sep", "north", -35.0, 90.0 },
    };
    (void)state;
    for (size_t i = 0; i < COUNT(want); i++) {
        struct farm_case c;
        const struct made m = { .temp_c = 1.0, .wind_mps = 2.0, .variable = true, .oktas = 0.0 };
        case_open_at(&c, want[i].lat, want[i].lon, want[i].zone);
        put_years(&c, want[i].from, 40, &m);
        const struct answer *a = asked(&c, "2026-01-22T15:40Z", 0, NULL);
        const double best = answer_get_real(a, "best_facing_deg"), to = best > 215.0 ? best - 360.0 : best;
        if (!(to >= want[i].least_deg && to <= want[i].most_deg))
            fail_msg("at %s it looks to %g", want[i].lat, best);
        assert_string_equal(answer_get_text(a, "months"), want[i].months);
        assert_string_equal(answer_get_text(a, "noon_sun"), want[i].noon);
        assert_true(among(answer_at(a, "assumed"), i == 0 ? "in the north" : "in the south"));
        assert_int_equal(answer_get_real(a, "hours"), 960);
        case_near(answer_get_real(a, "parts.wind"), 0.0, 1e-9, "wind from no side");
        case_close(&c);
    }
}

/* A compass that points 12 degrees east of true north shows a true 90 as 78; the moment given is when the sun stands
 * there. */
static void the_bearing_by_compass_and_by_sun(void **state)
{
    static const char *const words[] = { "declination=12" };
    struct farm_case c;
    const struct made m = { .temp_c = 1.0, .wind_mps = 7.0, .from_deg = 320.0, .other_from_deg = 320.0, .oktas = 4.0 };

    (void)state;
    case_open_at(&c, "45", "-93.2", "America/Chicago");
    put_years(&c, "2024-12-01T00:00Z", 60, &m);
    const struct answer *a = asked(&c, "2026-01-22T12:40Z", 1, words); /* 06:40 there: the sun is not up yet */
    const double best = answer_get_real(a, "best_facing_deg");
    case_near(turn_between(answer_get_real(a, "bearings[0].compass_deg") + 12.0, best), 0.0, 1e-9,
              "true less declination");
    const struct answer *at = answer_at(a, "bearings[0].sun_stands_there");
    assert_int_equal(at->kind, ANSWER_MOMENT);
    assert_true(at->is.whole >= case_moment("2026-01-22T12:40Z") && at->is.whole < case_moment("2026-01-23T06:00Z"));
    const struct sun_position sun = sun_position(at->is.whole, 45.0, -93.2);
    case_near(turn_between(sun.azimuth_deg, best), 0.0, 0.3, "the sun stands over it");
    assert_true(sun.elevation_deg > -1.0);
    a = asked(&c, "2026-01-22T12:40Z", 0, NULL); /* not recorded, not given: asked for */
    assert_int_equal(answer_at(a, "bearings[0].compass_deg")->kind, ANSWER_NULL);
    assert_true(among(answer_at(a, "record"), "compass"));
    case_close(&c);
}

static void huts_are_told_apart(void **state)
{
    struct farm_case c;
    const struct made m = {
        .temp_c = 0.0, .wind_mps = 7.0, .from_deg = 270.0, .other_from_deg = 270.0, .oktas = 8.0, .rain_mm = 0.1
    };

    (void)state;
    case_open_at(&c, "54.6", "-2.4", "Europe/London");
    put_years(&c, "2024-12-01T00:00Z", 40, &m);
    static const struct {
        const char *name, *facing;
    } hut[] = { { "Good", "90" }, { "Into it", "270" }, { "With a nest", "265" } };
    for (size_t i = 0; i < COUNT(hut); i++) {
        char name[32], in[32], facing[32];
        (void)snprintf(name, sizeof name, "name=%s", hut[i].name);
        (void)snprintf(in, sizeof in, "shelter=%s", hut[i].name);
        (void)snprintf(facing, sizeof facing, "facing=%s", hut[i].facing);
        case_record(&c, "hut", name, "wall=steel", NULL);
        case_record(&c, "placement", in, facing, "from=2026-01-01T10:00Z", NULL);
    }
    case_record(&c, "hut", "name=In store", "wall=steel", NULL);
    case_record(&c, "hut", "name=Not said", "wall=steel", NULL);
    case_record(&c, "placement", "shelter=Not said", "from=2026-01-01T10:00Z", NULL);
    case_record(&c, "sow", "name=Bramble", "litters-before=2", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-09-29T16:00Z", NULL);
    case_record(&c, "sign", "sow=Bramble", "at=2026-01-22T14:30Z", "sign=nest", "placement=With a nest", NULL);
    const struct answer *a = asked(&c, "2026-01-22T15:40Z", 0, NULL);
    const struct answer *list = answer_at(a, "huts");
    assert_int_equal(answer_count(list), 4); /* the one in store looks nowhere */
    assert_true(answer_at(list, "[0].in_a_good_arc")->is.flag || !answer_at(list, "[0].worth_turning")->is.flag);
    assert_true(answer_at(list, "[1].worth_turning")->is.flag);
    assert_non_null(strstr(answer_get_text(list, "[1].says"), "Worth turning"));
    assert_string_equal(answer_get_text(list, "[2].name"), "Not said");
    assert_non_null(strstr(answer_get_text(list, "[2].says"), "not recorded"));
    assert_non_null(strstr(answer_get_text(list, "[3].says"), "Bramble nests there: not now"));
    case_close(&c);
}

static size_t same_tree(const struct answer *a, const struct answer *b)
{
    size_t n = 1;

    if (!a || !b || a->kind != b->kind)
        fail_msg("another shape at %s", a && a->key ? a->key : "?");
    if (a->kind == ANSWER_TEXT)
        assert_string_equal(a->is.text, b->is.text);
    else if (a->kind == ANSWER_REAL)
        assert_memory_equal(&a->is.real, &b->is.real, sizeof a->is.real); /* to the last bit */
    else if (a->kind == ANSWER_WHOLE || a->kind == ANSWER_MOMENT)
        assert_int_equal(a->is.whole, b->is.whole);
    else if (a->kind == ANSWER_FLAG)
        assert_int_equal(a->is.flag, b->is.flag);
    const struct answer *y = b->first;
    for (const struct answer *x = a->first; x; x = x->next, y = y->next)
        n += same_tree(x, y);
    assert_null(y);
    return n;
}

/* One value of one hour is another: the hours are known to be others. */
static void other_hours_are_told_from_these(void **state)
{
    struct hour hours[48], *h = &hours[31];
    const struct facing_ask ask = { .n = COUNT(hours), .hours = hours };
    uint64_t these[2], others[2];
    double *const real[] = { &h->temp_c,  &h->rh,       &h->wind_mps, &h->wind_from_deg, &h->cloud_oktas,
                             &h->rain_mm, &h->ghi_w_m2, &h->dni_w_m2, &h->dhi_w_m2 };

    (void)state;
    for (size_t i = 0; i < COUNT(hours); i++)
        hours[i] = hour_unknown((int64_t)i * HOUR_S);
    where_digest(&ask, these);
    where_digest(&ask, others);
    assert_memory_equal(these, others, sizeof these);
    for (size_t k = 0; k < COUNT(real); k++) {
        const double was = *real[k];
        *real[k] = 0.0;
        where_digest(&ask, others);
        assert_true(these[0] != others[0] && these[1] != others[1]);
        *real[k] = was;
    }
    h->snow = true;
    where_digest(&ask, others);
    assert_true(these[0] != others[0] && these[1] != others[1]);
    h->snow = false;
    h->utc_s += 1;
    where_digest(&ask, others);
    assert_true(these[0] != others[0] && these[1] != others[1]);
}

/* What a server keeps changes no answer: not when asked again, not after the farm, the hut or the weather is another. */
static void what_is_kept_changes_no_answer(void **state)
{
    static const char *const plain[] = { "wall=steel" }, *const other[] = { "wall=insulated", "flap=hung" },
                             *const colder[] = { "comfort=2", "months=Jan" };
    static const struct {
        size_t n;
        const char *const *words;
    } way[] = { { 1, plain }, { 1, plain }, { 2, other }, { 2, colder }, { 1, plain } };
    const struct made west = { .temp_c = 0.0,
                               .wind_mps = 7.0,
                               .from_deg = 250.0,
                               .other_from_deg = 290.0,
                               .oktas = 5.0,
                               .rain_mm = 0.2 },
                      north = { .temp_c = -3.0,
                                .wind_mps = 5.0,
                                .from_deg = 10.0,
                                .other_from_deg = 40.0,
                                .oktas = 2.0,
                                .rain_mm = 0.1 };
    struct farm_case c;
    size_t compared = 0;

    (void)state;
    case_open_at(&c, "54.6", "-2.4", "Europe/London");
    put_years(&c, "2024-12-10T00:00Z", 30, &west);
    case_record(&c, "hut", "name=Hut 1", "wall=steel", NULL);
    case_record(&c, "hut", "name=Hut 2", "wall=wood", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=260", "from=2026-01-01T10:00Z", NULL);
    struct desk_memory *kept = desk_memory_open();
    assert_non_null(kept);
    for (int turn = 0; turn < 3; turn++) {
        if (turn == 1)
            case_record(&c, "placement", "shelter=Hut 2", "facing=10", "from=2026-01-02T10:00Z", NULL);
        if (turn == 2)
            put_years(&c, "2025-11-20T00:00Z", 30, &north);
        for (size_t i = 0; i < COUNT(way); i++) {
            memory = kept;
            const struct answer *a = asked(&c, "2026-01-22T15:40Z", way[i].n, way[i].words);
            memory = NULL;
            compared += same_tree(a, asked(&c, "2026-01-22T15:40Z", way[i].n, way[i].words));
        }
    }
    desk_memory_close(kept);
    assert_true(compared > 5000);
    print_message("%zu values compared\n", compared);
    case_close(&c);
}

static void without_past_years_it_says_how_to_get_some(void **state)
{
    static const char *const july[] = { "months=Jul" };
    struct farm_case c;
    struct answer *a = NULL;
    struct message why = { "", "" };
    const struct made m = { .temp_c = 0.0, .wind_mps = 7.0, .from_deg = 270.0, .other_from_deg = 270.0, .oktas = 8.0 };

    (void)state;
    case_open_at(&c, "54.6", "-2.4", "Europe/London");
    assert_int_equal(ask(&c, "2026-01-22T15:40Z", 0, NULL, &a, &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "leenest weather import FILE --as past"));
    put_years(&c, "2024-12-01T00:00Z", 10, &m);
    assert_int_equal(ask(&c, "2024-11-22T15:40Z", 0, NULL, &a, &why), ST_NOT_FOUND); /* none of it had been then */
    assert_int_equal(ask(&c, "2026-01-22T15:40Z", 1, july, &a, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "month"));
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_door_looks_away_from_a_steady_wind),
        cmocka_unit_test(two_good_arcs_stay_two),
        cmocka_unit_test(in_still_air_it_looks_to_the_sun),
        cmocka_unit_test(the_bearing_by_compass_and_by_sun),
        cmocka_unit_test(huts_are_told_apart),
        cmocka_unit_test(other_hours_are_told_from_these),
        cmocka_unit_test(what_is_kept_changes_no_answer),
        cmocka_unit_test(without_past_years_it_says_how_to_get_some),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
