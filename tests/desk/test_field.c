/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * field: the plan, its sheltered ground and the spots; GeoJSON out and in.
 * Outside: RFC 7946 (rings closed, anticlockwise, longitude first), metres in a degree against the tables of WGS 84.
 */
#include "ask_case.h"
#include "demo_case.h"

#include <jansson.h>
#include <math.h>

#include "core/air/air.h"
#include "desk/plan_world.h"

/* ---- degrees and metres ---- */

/* Length of a degree of latitude and of longitude on WGS 84: 111 132.95 and 78 846.81 m at 45 degrees, 110 574.28 and
 * 111 319.49 m on the equator, 111 412.27 and 55 799.98 m at 60 (the table of the National Geospatial-Intelligence
 * Agency's length-of-a-degree calculator; from memory, to the metre). */
static void a_degree_is_as_long_as_the_tables_say(void **state)
{
    static const struct {
        double lat, north, east;
    } row[] = { { 0.0, 110574.0, 111319.0 }, { 45.0, 111132.0, 78847.0 }, { 60.0, 111412.0, 55800.0 } };
    struct plan_world w;

    (void)state;
    for (size_t i = 0; i < COUNT(row); i++) {
        assert_true(plan_world_of(row[i].lat, 10.0, &w));
        case_near(w.north_m_deg, row[i].north, 1.5, "north");
        case_near(w.east_m_deg, row[i].east, 1.5, "east");
    }
    assert_false(plan_world_of(NAN, 0.0, &w));
    assert_false(plan_world_of(89.9, 0.0, &w));
}

/* ---- GeoJSON ---- */

static double ring_area(const json_t *ring)
{
    double twice = 0.0;
    for (size_t i = 0; i + 1 < json_array_size(ring); i++) {
        const json_t *a = json_array_get(ring, i), *b = json_array_get(ring, i + 1);
        twice += json_number_value(json_array_get(a, 0)) * json_number_value(json_array_get(b, 1)) -
                 json_number_value(json_array_get(b, 0)) * json_number_value(json_array_get(a, 1));
    }
    return twice;
}

static void the_plan_goes_out_as_rfc_7946_says_and_comes_back(void **state)
{
    struct farm_case c;
    struct ask_case s;
    struct message why = { "", "" };
    struct plan_read back;
    size_t rings = 0;

    (void)state;
    case_open_demo(&c);
    const struct answer *a = ask(&s, c.farm, "field", "paddock=Long_Lea", "2026-01-22T15:40Z");
    const char *text = answer_get_text(a, "geojson");
    json_t *root = json_loads(text, 0, NULL);
    assert_non_null(root);
    assert_string_equal(json_string_value(json_object_get(root, "type")), "FeatureCollection");
    const json_t *features = json_object_get(root, "features");
    for (size_t i = 0; i < json_array_size(features); i++) {
        const json_t *f = json_array_get(features, i), *g = json_object_get(f, "geometry");
        assert_string_equal(json_string_value(json_object_get(f, "type")), "Feature");
        assert_true(json_is_object(json_object_get(f, "properties")));
        if (strcmp(json_string_value(json_object_get(g, "type")), "Polygon") != 0)
            continue;
        const json_t *ring = json_array_get(json_object_get(g, "coordinates"), 0); /* 3.1.6: closed, right-hand rule */
        assert_true(json_array_size(ring) >= 4);
        assert_true(json_equal(json_array_get(ring, 0), json_array_get(ring, json_array_size(ring) - 1)));
        assert_true(ring_area(ring) > 0.0);
        rings++;
    }
    assert_true(rings >= 2);
    if (plan_from_geojson(text, strlen(text), &c.mem, &back, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_string_equal(back.name, "Long Lea");
    const struct answer *outline = answer_at(a, "outline");
    const size_t n = answer_at(outline, "x_m")->is.reals.n;
    assert_int_equal(back.n, n);
    double wx = INFINITY, sy = INFINITY;
    for (size_t i = 0; i < n; i++) {
        wx = fmin(wx, answer_at(outline, "x_m")->is.reals.at[i]);
        sy = fmin(sy, answer_at(outline, "y_m")->is.reals.at[i]);
    }
    for (size_t i = 0; i < n; i++) { /* the ring may go the other way round */
        double least = INFINITY;
        for (size_t k = 0; k < n; k++)
            least = fmin(least, hypot(back.corners[k].x_m - answer_at(outline, "x_m")->is.reals.at[i] + wx,
                                      back.corners[k].y_m - answer_at(outline, "y_m")->is.reals.at[i] + sy));
        case_near(least, 0.0, 0.11, "a corner comes back");
    }
    json_decref(root);
    ask_close(&s);
    case_close(&c);
}

static void what_is_no_outline_is_refused(void **state)
{
    static const struct {
        const char *text, *says;
    } bad[] = {
        { "", "no GeoJSON" },
        { "[1,2", "no GeoJSON" },
        { "{\"type\":\"Point\",\"coordinates\":[1,2]}", "no outline" },
        { "{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[0,200],[1,1],[0,0]]]}", "place 2" },
        { "{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[0,\"a\"],[1,1],[0,0]]]}", "place 2" },
        { "{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[1,0],[1,1],[0,0]]]}", "10 km" },
        { "{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[0.001,0],[0,0]]]}", "three corners" },
        { "{\"type\":\"Polygon\",\"coordinates\":[]}", "no outline" },
        { "{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[0.001,0.001],[0.001,0],[0,0.001],[0,0]]]}", "crosses" },
    };
    struct arena mem;

    (void)state;
    arena_open(&mem, (size_t)1 << 24);
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct message why = { "", "" };
        struct plan_read out;
        if (plan_from_geojson(bad[i].text, strlen(bad[i].text), &mem, &out, &why) != ST_BAD_INPUT ||
            !strstr(why.text, bad[i].says))
            fail_msg("%s: %s", bad[i].text, why.text);
    }
    arena_close(&mem);
}

/* 900 fixes of a walk round a field of 150 by 100 m, wavering by a metre: a line of its own kind. */
static void a_walk_becomes_an_outline(void **state)
{
    static char text[80000];
    struct message why = { "", "" };
    struct plan_world w;
    struct plan_read out;
    struct arena mem;
    size_t used = 0;

    (void)state;
    arena_open(&mem, (size_t)1 << 24);
    assert_true(plan_world_of(54.6212, -2.4132, &w));
    used += (size_t)snprintf(text, sizeof text, "{\"type\":\"LineString\",\"coordinates\":[");
    for (int i = 0; i < 900; i++) {
        static const double cx[] = { 0, 150, 150, 0, 0 }, cy[] = { 0, 0, 100, 100, 0 };
        const int leg = i / 225;
        const double t = (i % 225) / 225.0;
        double lat, lon;
        plan_to_world(&w, cx[leg] + t * (cx[leg + 1] - cx[leg]) + 0.4 * sin(i * 1.3),
                      cy[leg] + t * (cy[leg + 1] - cy[leg]) + 0.4 * cos(i * 0.7), &lat, &lon);
        used += (size_t)snprintf(text + used, sizeof text - used, "%s[%.8f,%.8f]", i ? "," : "", lon, lat);
    }
    used += (size_t)snprintf(text + used, sizeof text - used, "]}");
    if (plan_from_geojson(text, used, &mem, &out, &why) != ST_OK)
        fail_msg("%s", why.text);
    print_message("900 fixes, %zu corners, %.0f m2\n", out.n, corners_area_m2(out.corners, out.n));
    assert_int_equal(out.fixes, 900);
    assert_true(out.n >= 4 && out.n <= 20);
    case_near(corners_area_m2(out.corners, out.n), 15000.0, 300.0, "area");
    case_near(out.origin_lat_deg, 54.6212, 1e-5, "the south-west corner");
    case_near(out.origin_lon_deg, -2.4132, 2e-5, "the south-west corner");
    arena_close(&mem);
}

/* ---- the lee ---- */

/* Square behind the middle of a long hedge the drawn break gives the published table itself. */
static void behind_the_middle_the_table_stands(void **state)
{
    const struct air_line hedge = { -100.0, 0.0, 100.0, 0.0, 2.0, 0.5 };

    (void)state;
    for (double h = 1.0; h <= 30.0; h += 0.5)
        case_near(air_lee_at(&hedge, 0.0, -2.0 * h, 0.0), air_lee_ratio(h, 0.5), 1e-9, "north wind, south of it");
    assert_true(air_lee_at(&hedge, 0.0, -10.0, 90.0) > 0.9); /* along the hedge: only what wavers over it */
    case_near(air_lee_at(&hedge, 400.0, -10.0, 0.0), 1.0, 1e-9, "past its end");
    assert_true(air_lee_at(&hedge, 0.0, -10.0, 0.0) < air_lee_at(&hedge, 99.0, -10.0, 0.0)); /* fades towards the end */
    assert_true(isnan(air_lee_at(&hedge, NAN, 0.0, 0.0)));
    const struct air_line none = { 0.0, 0.0, 0.0, 0.0, 2.0, 0.5 }; /* of no length */
    case_near(air_lee_at(&none, 3.0, 3.0, 0.0), 1.0, 1e-9, "no length, no shelter");
}

static void spots_stand_where_they_say(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open_demo(&c);
    const struct answer *a = ask(&s, c.farm, "field", "", "2026-01-22T15:40Z");
    const struct answer *spots = answer_at(a, "spots"), *lee = answer_at(a, "lee.wind_left");
    assert_int_equal(answer_count(spots), 3);
    double last = 0.0;
    for (const struct answer *p = spots->first; p; p = p->next) {
        const double x = answer_get_real(p, "x_m"), y = answer_get_real(p, "y_m"),
                     left = answer_get_real(p, "wind_left");
        assert_true(left > 0.0 && left < 1.0 && left >= last - 0.06);
        last = left;
        for (const struct answer *h = answer_at(a, "huts")->first; h; h = h->next)
            assert_true(hypot(answer_get_real(h, "x_m") - x, answer_get_real(h, "y_m") - y) >= 15.0 - 1e-9);
        assert_true(hypot(82.0 - x, 1.0 - y) >= 20.0); /* the gateway of the demo farm */
        assert_true(answer_count(answer_at(p, "reasons")) >= 3);
    }
    size_t in = 0;
    for (size_t i = 0; i < lee->is.reals.n; i++) {
        in += isfinite(lee->is.reals.at[i]) ? 1u : 0u;
        assert_true(isnan(lee->is.reals.at[i]) || (lee->is.reals.at[i] > 0.0 && lee->is.reals.at[i] <= 1.0 + 1e-9));
    }
    const double step = answer_get_real(a, "lee.step_m"); /* squares cover the field */
    case_near((double)in * step * step, answer_get_real(a, "paddock.area_m2"), 600.0, "area in squares");
    ask_close(&s);
    case_close(&c);
}

static void an_unknown_field_is_named_and_a_bare_one_still_answers(void **state)
{
    struct farm_case c;
    struct ask_case s;
    struct message why = { "", "" };

    (void)state;
    case_open(&c);
    assert_int_equal(ask_try(&s, c.farm, "field", "", "2026-01-22T15:40Z", &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "record paddock"));
    ask_close(&s);
    case_record(&c, "paddock", "name=Home", NULL);
    const struct answer *a = ask(&s, c.farm, "field", "", "2026-01-22T15:40Z"); /* no weather, no outline */
    assert_true(answer_count(answer_at(a, "record")) >= 2);
    assert_int_equal(answer_count(answer_at(a, "spots")), 0);
    ask_close(&s);
    why = (struct message){ "", "" };
    assert_int_equal(ask_try(&s, c.farm, "field", "paddock=Away", "2026-01-22T15:40Z", &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "Home"));
    ask_close(&s);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_degree_is_as_long_as_the_tables_say),
        cmocka_unit_test(the_plan_goes_out_as_rfc_7946_says_and_comes_back),
        cmocka_unit_test(what_is_no_outline_is_refused),
        cmocka_unit_test(a_walk_becomes_an_outline),
        cmocka_unit_test(behind_the_middle_the_table_stands),
        cmocka_unit_test(spots_stand_where_they_say),
        cmocka_unit_test(an_unknown_field_is_named_and_a_bare_one_still_answers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
