/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The outline of a field from a walked track (GPX) or a plan (GeoJSON), and into the farm file. Metres in a degree:
 * 47 CFR 73.208(c)(1). Rubbish of every kind ends in a sentence.
 */
#include "ask_case.h"
#include "farm_case.h"

#include "desk/ground_take.h"
#include "desk/plan_world.h"

#define LAT 54.62
#define HEAD                                                                                                           \
    "<?xml version=\"1.0\"?><gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\">"                         \
    "<metadata><name>a day out</name></metadata><wpt lat=\"1\" lon=\"2\"/>"
#define WALK                                                                                                           \
    "<trk><name> Long Ground </name><trkseg><trkpt lat=\"54.62\" lon=\"-2.41\"><ele>200</ele><name>x</name></trkpt>"   \
    "<!-- <trkpt lat=\"9\" lon=\"9\"/> --><trkpt lon='-2.4095' lat='54.62'/>"                                          \
    "<trkpt lat=\"54.62\" lon=\"-2.409\"></trkpt></trkseg><trkseg><trkpt lat = \"54.621\" lon=\"-2.409\"/>"            \
    "<trkpt lat=\"54.621\" lon=\"-2.41\"/><trkpt lat=\"54.62001\" lon=\"-2.41001\"/></trkseg></trk>"

static const char walk[] = HEAD WALK "</gpx>";

static double metres(bool north)
{
    const double r = 0.017453292519943295;
    return north ? 111132.09 - 566.05 * cos(2 * LAT * r) + 1.2 * cos(4 * LAT * r)
                 : 111415.13 * cos(LAT * r) - 94.55 * cos(3 * LAT * r) + 0.12 * cos(5 * LAT * r);
}

static void a_walk_encloses_what_was_walked_round(void **state)
{
    struct message why = { "", "" };
    struct plan_read r;
    struct arena mem;

    (void)state;
    arena_open(&mem, (size_t)1 << 24);
    if (plan_from_bytes(walk, strlen(walk), &mem, &r, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_string_equal(r.name, "Long Ground");
    assert_int_equal(r.n, 4); /* a place on a straight side, and the first again at the end, are no corners */
    assert_int_equal(r.fixes, 6);
    case_near(r.gap_m, 0.0, 0.0, "it came back");
    const double east = metres(false) / 1000, north = metres(true) / 1000;
    case_near(corners_area_m2(r.corners, r.n), east * north, east * north * 0.01, "a thousandth of a degree each way");
    case_near(r.origin_lat_deg, 54.62, 1e-6, "the south-west corner");
    case_near(r.origin_lon_deg, -2.41, 1e-6, "the south-west corner");
    arena_close(&mem);
}

/* A walk of some hundred places that waver, its end 20 m short. */
static void a_long_walk_is_made_simpler_and_its_gap_is_said(void **state)
{
    static char text[200000];
    struct message why = { "", "" };
    struct plan_read r;
    struct arena mem;
    size_t used = (size_t)snprintf(text, sizeof text, "%s<trk><trkseg>", HEAD);
    const double e = 1 / metres(false), n = 1 / metres(true);

    (void)state;
    arena_open(&mem, (size_t)1 << 24);
    for (int i = 0; i <= 580; i++) { /* 200 x 100 m, a place each metre, half a metre to either side */
        const double along = i < 580 ? i : 580, off = (i % 2 ? 0.4 : -0.4);
        const double x = along < 200   ? along
                         : along < 300 ? 200 + off
                         : along < 500 ? 500 - along
                                       : off,
                     y = along < 200   ? off
                         : along < 300 ? along - 200
                         : along < 500 ? 100 + off
                                       : 600 - along;
        used += (size_t)snprintf(text + used, sizeof text - used, "<trkpt lat=\"%.9f\" lon=\"%.9f\"/>", LAT + y * n,
                                 -2.41 + x * e);
    }
    (void)snprintf(text + used, sizeof text - used, "</trkseg></trk></gpx>");
    if (plan_from_bytes(text, strlen(text), &mem, &r, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_int_equal(r.fixes, 581);
    assert_in_range(r.n, 4, 12);
    case_near(corners_area_m2(r.corners, r.n), 20000.0, 300.0, "200 by 100 m");
    case_near(r.gap_m, 20.0, 1.0, "it ended 20 m from where it began");
    arena_close(&mem);
}

/* XML 1.0, 4.6 and 4.1: five entities and letters by number; what is neither stays. */
static void a_name_is_read_as_xml_means_it(void **state)
{
    static const struct {
        const char *written, *means;
    } names[] = {
        { "Ann &amp; Ben&apos;s &quot;lea&quot; &lt;3&gt;", "Ann & Ben's \"lea\" <3>" },
        { "&amp;amp; &#38;lt;", "&amp; &lt;" },
        { "Pr&#233; &#xE9;&#x20AC;&#x1F437;", "Pr\xc3\xa9 \xc3\xa9\xe2\x82\xac\xf0\x9f\x90\xb7" },
        { "a &eacute; &#0; &#xD800; &#x110000; &#x; &#99999999; & b",
          "a &eacute; &#0; &#xD800; &#x110000; &#x; &#99999999; & b" },
    };
    char bytes[1024];
    struct arena mem;

    (void)state;
    arena_open(&mem, (size_t)1 << 24);
    for (size_t i = 0; i < COUNT(names); i++) {
        struct message why = { "", "" };
        struct plan_read r;
        (void)snprintf(bytes, sizeof bytes,
                       HEAD
                       "<trk><name>%s</name><trkpt lat=\"54.62\" lon=\"-2.41\"/><trkpt lat=\"54.62\" lon=\"-2.409\"/>"
                       "<trkpt lat=\"54.621\" lon=\"-2.409\"/></trk></gpx>",
                       names[i].written);
        if (plan_from_bytes(bytes, strlen(bytes), &mem, &r, &why) != ST_OK)
            fail_msg("%s: %s", names[i].written, why.text);
        assert_string_equal(r.name, names[i].means);
    }
    arena_close(&mem);
}

static void what_is_no_walk_is_refused(void **state)
{
    static const struct {
        const char *text, *says;
    } bad[] = {
        { "", "empty" },
        { "  \n", "empty" },
        { "time,temp_c\n", "neither GeoJSON nor GPX" },
        { "<gpx/>", "no whole track" },
        { HEAD "</gpx>", "no whole track" },
        { HEAD "<trk><trkseg><trkpt lat=\"54.62\" lon=\"-2.41\"/>", "no whole track" }, /* breaks off */
        { HEAD "<trk><trkpt lat=\"54.62\" lon=\"-2.41\"/><trkpt lat=\"54.63\" lon=\"-2.41\"/></trk>", "corners" },
        { HEAD "<trk><trkpt lat=\"54.62\"/></trk>", "no latitude or longitude" },
        { HEAD "<trk><trkpt lat=\"54,62\" lon=\"-2\"/></trk>", "no latitude or longitude" },
        { HEAD "<trk><trkpt lat=\"nan\" lon=\"-2\"/></trk>", "point 1" },
        { HEAD "<trk><trkpt lat=\"91\" lon=\"0\"/></trk>", "none on earth" },
        { HEAD "<trk><trkpt lat=\"54\" lon=\"0\"/><trkpt lat=\"55\" lon=\"0\"/><trkpt lat=\"54\" lon=\"1\"/></trk>",
          "10 km" },
        { HEAD "<trk><trkpt lat=\"54.62\" lon=\"0\"/><trkpt lat=\"54.621\" lon=\"0.001\"/>"
               "<trkpt lat=\"54.621\" lon=\"0\"/><trkpt lat=\"54.62\" lon=\"0.001\"/></trk>",
          "crosses" },
        { "{\"type\":\"LineString\",\"coordinates\":[]}", "three corners" },
        { "{\"type\":\"Polygon\",\"coordinates\":[[[-2.41,54.62],[-2.4,54.62]]]}", "three corners" },
        { HEAD "<!-- <trk><trkpt lat=\"1\" lon=\"1\"/></trk>", "no whole track" },
    };
    struct arena mem;

    (void)state;
    arena_open(&mem, (size_t)1 << 26);
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct message why = { "", "" };
        struct plan_read r;
        if (plan_from_bytes(bad[i].text, strlen(bad[i].text), &mem, &r, &why) != ST_BAD_INPUT ||
            !strstr(why.text, bad[i].says))
            fail_msg("%s: %s", bad[i].text, why.text);
    }
    arena_close(&mem);
}

/* Cut off anywhere, or with bytes changed: an outline of three corners or more, or a sentence. */
static void rubbish_ends_in_a_sentence(void **state)
{
    size_t taken = 0, refused = 0;
    uint64_t seed = 20260122;

    (void)state;
    for (size_t i = 0; i < 4 * sizeof walk; i++) {
        struct message why = { "", "" };
        struct plan_read r;
        struct arena mem;
        char text[sizeof walk];
        size_t n = sizeof walk - 1;
        memcpy(text, walk, sizeof walk);
        if (i < sizeof walk)
            n = i;
        else
            for (int k = 0; k < 3; k++) {
                seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
                text[(seed >> 33) % n] = (char)(seed >> 24);
            }
        arena_open(&mem, (size_t)1 << 22);
        char *exact = ARENA_NEW(&mem, char, n ? n : 1); /* nothing behind its end */
        memcpy(exact, text, n);
        const enum status st = plan_from_bytes(exact, n, &mem, &r, &why);
        if (st == ST_OK ? r.n < 3 || r.n > CORNERS_MOST : st != ST_BAD_INPUT || !why.text[0])
            fail_msg("case %zu: status %d, %zu corners, \"%s\"", i, (int)st, st == ST_OK ? r.n : 0, why.text);
        *(st == ST_OK ? &taken : &refused) += 1;
        arena_close(&mem);
    }
    print_message("%zu taken, %zu refused\n", taken, refused);
    assert_true(taken > 100 && refused > 100);
}

static const char *file_of(const char *text)
{
    static char path[256];

    case_path(path);
    FILE *f = fopen(path, "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(text, 1, strlen(text), f), strlen(text));
    assert_int_equal(fclose(f), 0);
    return path;
}

static enum status take(struct farm_case *c, const char *paddock, const char *fresh, bool dry, struct text *out,
                        char uid[static FARM_UID], struct message *why)
{
    const struct ground_how how = { paddock, fresh, dry };
    const struct farm_meta meta = { .who = "Wenna" };
    const char *path = file_of(walk);
    const enum status st = ground_take(c->farm, path, &how, &meta, &c->mem, out, uid, why);
    (void)unlink(path);
    return st;
}

/* The shape goes in, all else of the field stays; a dry run keeps nothing. */
static void the_shape_alone_is_put_right(void **state)
{
    struct message why = { "", "" };
    struct farm_case c;
    struct fact f;
    struct text out;
    char uid[FARM_UID];

    (void)state;
    case_open(&c);
    text_open(&out, 4096);
    assert_int_equal(take(&c, NULL, NULL, false, &out, uid, &why), ST_NOT_FOUND); /* the name in the file is no field */
    assert_non_null(strstr(why.text, "--new"));
    case_record(&c, "paddock", "name=Long Ground", "width=50", "length=40", "drains=wet", "slope=4", NULL);
    assert_int_equal(take(&c, NULL, NULL, true, &out, uid, &why), ST_OK);
    assert_string_equal(uid, "");
    assert_non_null(strstr(text_get(&out), "nothing is kept"));
    for (int twice = 0; twice < 2; twice++) {
        if (take(&c, "Long Ground", NULL, false, &out, uid, &why) != ST_OK)
            fail_msg("%s", why.text);
        assert_int_equal(farm_fact(c.farm, uid, 0, &c.mem, &f, &why), ST_OK);
        assert_string_equal(fact_text(f.kind, f.value, "name"), "Long Ground");
        assert_string_equal(fact_text(f.kind, f.value, "drains"), "wet");
        case_near(fact_real(f.kind, f.value, "slope_deg"), 4.0, 0.0, "what is not of its shape stays");
        assert_false(fact_given(f.kind, f.value, "width_m"));
        case_near(fact_real(f.kind, f.value, "origin_lat_deg"), 54.62, 1e-6, "where it lies");
    }
    assert_int_equal(take(&c, NULL, "Long Ground", false, &out, uid, &why), ST_CONFLICT);
    assert_int_equal(take(&c, NULL, "New Ground", false, &out, uid, &why), ST_OK);
    struct ask_case s;
    const struct answer *a = ask(&s, c.farm, "field", "paddock=New_Ground", "2026-05-01T12:00Z");
    assert_int_equal(answer_at(a, "outline.x_m")->is.reals.n, 4);
    ask_close(&s);
    text_close(&out);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_walk_encloses_what_was_walked_round),
        cmocka_unit_test(a_long_walk_is_made_simpler_and_its_gap_is_said),
        cmocka_unit_test(a_name_is_read_as_xml_means_it),
        cmocka_unit_test(what_is_no_walk_is_refused),
        cmocka_unit_test(rubbish_ends_in_a_sentence),
        cmocka_unit_test(the_shape_alone_is_put_right),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
