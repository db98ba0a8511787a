/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The outline of a field from a file, over HTTP: an invented walk round a square of a thousandth of a degree each way.
 * Metres in a degree: 47 CFR 73.208(c)(1). Rubbish ends in a sentence, and nothing is ever kept. */
#include "tests/doors/web_shape.h"

#include <math.h>

#define LAT 54.62

static struct web_case farm;
static size_t checks;

static int start(void **state)
{
    (void)state;
    web_begin(&farm);
    return 0;
}

static int stop(void **state)
{
    (void)state;
    return web_done(&farm);
}

static struct web_got read_file(const char *type, const char *bytes)
{
    struct web_got got = web_upload(&farm, "/api/ground/read", type, bytes, strlen(bytes));
    web_as_declared(WEB_POST, "/api/ground/read", &got);
    return got;
}

static double metres(bool north)
{
    const double r = 0.017453292519943295;
    return north ? 111132.09 - 566.05 * cos(2 * LAT * r) + 1.2 * cos(4 * LAT * r)
                 : 111415.13 * cos(LAT * r) - 94.55 * cos(3 * LAT * r) + 0.12 * cos(5 * LAT * r);
}

static void fields_kept(size_t want)
{
    assert_int_equal(web_count(&farm, "paddock"), want);
    checks++;
}

/* 400 places, a hundred on each side, none over 0.3 m off it; the last 15 m short of the first. */
static void a_walk_of_some_hundred_places(void **state)
{
    struct text gpx;
    const double e = 1 / metres(false), n = 1 / metres(true);

    (void)state;
    text_open(&gpx, 1 << 16);
    text_add(&gpx, "<?xml version=\"1.0\"?><gpx version=\"1.1\"><trk><name>Long Ground</name><trkseg>");
    for (int i = 0; i < 400; i++) {
        const double at = (i % 100) / 100000.0 * (i / 100 == 3 ? 1 - 15.0 * n / 0.001 : 1), off = 0.3 * sin(i * 1.7);
        const double lon[] = { at, 0.001 + off * e, 0.001 - at, off * e },
                     lat[] = { off * n, at, 0.001 + off * n, 0.001 - at };
        text_print(&gpx, "<trkpt lat=\"%.8f\" lon=\"%.8f\"/>", LAT + lat[i / 100], -2.41 + lon[i / 100]);
    }
    text_add(&gpx, "</trkseg></trk></gpx>");
    struct web_got got = read_file("application/octet-stream", text_get(&gpx));
    WEB_WANT(&got, 200);
    assert_string_equal(web_text(&got, "name"), "Long Ground");
    assert_int_equal(web_number(&got, "places"), 400);
    const size_t corners = json_array_size(web_at(&got, "corners"));
    assert_true(corners >= 4 && corners <= 8);
    double most_x = 0, most_y = 0;
    for (size_t i = 0; i < corners; i++) {
        const json_t *c = json_array_get(web_at(&got, "corners"), i);
        most_x = fmax(most_x, json_number_value(json_object_get(c, "x_m")));
        most_y = fmax(most_y, json_number_value(json_object_get(c, "y_m")));
    }
    if (fabs(most_x - metres(false) / 1000) > 1.5 || fabs(most_y - metres(true) / 1000) > 1.5)
        fail_msg("%g by %g m", most_x, most_y);
    const double gap = json_number_value(web_at(&got, "gap_m"));
    if (fabs(gap - 16.0) > 2.5) /* the 15 m, and the last step of about 1 m */
        fail_msg("gap %g m", gap);
    checks += 6;
    web_free(&got);
    text_close(&gpx);
    fields_kept(0);
}

static void a_plan(void **state)
{
    (void)state;
    struct web_got got = read_file("application/json", "{\"type\":\"Polygon\",\"coordinates\":[[[-2.41,54.62],"
                                                       "[-2.409,54.62],[-2.409,54.621],[-2.41,54.62]]]}");
    WEB_WANT(&got, 200);
    assert_int_equal(json_array_size(web_at(&got, "corners")), 3);
    assert_true(json_is_null(web_at(&got, "name")));
    checks += 2;
    web_free(&got);
    got = read_file("application/json",
                    "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\","
                    "\"properties\":{\"name\":\"Two bits\"},\"geometry\":{\"type\":"
                    "\"MultiPolygon\",\"coordinates\":[[[[-2.41,54.62],[-2.409,54.62],"
                    "[-2.409,54.621],[-2.41,54.621],[-2.41,54.62]]],[[[1,1],[1,2],[2,2],[1,1]]]]}}]}");
    WEB_WANT(&got, 200);
    assert_int_equal(json_array_size(web_at(&got, "corners")), 4); /* the first of its pieces */
    assert_string_equal(web_text(&got, "name"), "Two bits");
    checks += 2;
    web_free(&got);
    fields_kept(0);
}

static void rubbish(void **state)
{
    static const char *const none[] = { "",
                                        "not a plan",
                                        "{}",
                                        "<gpx></gpx>",
                                        "<gpx><trk><trkseg><trkpt lat=\"99\" lon=\"1\"/></trkseg></trk></gpx>",
                                        "{\"type\":\"Point\",\"coordinates\":[1,2]}",
                                        ("{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[0.001,0.001],[0.001,0],"
                                         "[0,0.001],[0,0]]]}") };
    (void)state;
    for (size_t i = 0; i < COUNT(none); i++) {
        struct web_got got = read_file("application/octet-stream", none[i]);
        if (got.code != 400)
            fail_msg("%zu: %d %s", i, got.code, text_get(&got.body));
        assert_null(strstr(text_get(&got.body), "/tmp"));
        checks += 2;
        web_free(&got);
    }
    fields_kept(0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_walk_of_some_hundred_places),
        cmocka_unit_test(a_plan),
        cmocka_unit_test(rubbish),
    };
    const int failed = cmocka_run_group_tests(tests, start, stop);
    printf("web, ground: %zu checks\n", checks);
    return failed;
}
