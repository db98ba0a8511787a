/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Compares with the table that check_libraries.sh lets the witnesses write (path in LEENEST_WITNESS); skipped without
 * it. */
#include <errno.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "core/air/air.h"
#include "core/sun/sun.h"

static const double degree = 0.017453292519943295;

struct row {
    const char *what;
    double x[11];
};

/* Splits a line of the table; empty fields are NAN. */
static void split(char *line, struct row *row)
{
    char *at = strchr(line, ',');
    size_t n = 0;

    row->what = line;
    for (size_t i = 0; i < COUNT(row->x); i++)
        row->x[i] = NAN;
    while (at != NULL && n < COUNT(row->x)) {
        *at++ = 0;
        char *end;
        const double value = strtod(at, &end);
        if (end != at)
            row->x[n] = value;
        n++;
        at = strchr(end, ',');
    }
}

/* Calls look() with each row of a kind; gives how many there were. */
static int each(const char *what, void (*look)(const struct row *row, double worst[4]), double worst[4])
{
    const char *path = getenv("LEENEST_WITNESS");
    char line[1024];
    int n = 0;

    if (path == NULL) {
        print_message("skipped: check_libraries.sh runs this\n");
        skip();
    }
    FILE *f = fopen(path, "r");
    if (f == NULL)
        fail_msg("%s: %s", path, strerror(errno));
    while (fgets(line, sizeof line, f) != NULL) {
        struct row row;
        split(line, &row);
        if (strcmp(row.what, what) != 0)
            continue;
        look(&row, worst);
        n++;
    }
    assert_int_equal(fclose(f), 0);
    return n;
}

static void near(const char *what, const struct row *row, double got, double want, double allowed, double *worst)
{
    const double off = fabs(got - want);
    if (!(off <= allowed))
        fail_msg("%s of %s %.6g %.6g %.6g: want %.6f, got %.6f, allowed %g", what, row->what, row->x[0], row->x[1],
                 row->x[2], want, got, allowed);
    if (worst && off > *worst)
        *worst = off;
}

static void look_at_position(const struct row *row, double worst[4])
{
    const struct sun_position p = sun_position((int64_t)row->x[0], row->x[1], row->x[2]);
    near("elevation", row, p.elevation_true_deg, row->x[4], 0.011, &worst[0]);
    near("arc of azimuth", row, remainder(p.azimuth_deg - row->x[3], 360.0) * cos(row->x[4] * degree), 0.0, 0.011,
         &worst[1]);
}

static void positions(void **state)
{
    double worst[4] = { 0 };
    (void)state;
    assert_int_equal(each("position", look_at_position, worst), 4000);
    print_message("4000 positions, astronomy-engine: worst %.4f degree up, %.4f round\n", worst[0], worst[1]);
}

static void look_at_day(const struct row *row, double worst[4])
{
    const struct sun_day d = sun_day((int64_t)row->x[0], row->x[1], row->x[2]);
    if (d.grazing || fabs(row->x[1]) > 62.0)
        return; /* the limit is crossed so flat there that a hundredth of a degree is a minute */
    near("rise", row, (double)d.rise_utc_s, row->x[3], 60.0, &worst[0]);
    near("noon", row, (double)d.transit_utc_s, row->x[4], 5.0, &worst[1]);
    near("set", row, (double)d.set_utc_s, row->x[5], 60.0, &worst[0]);
    near("rise azimuth", row, remainder(d.rise_azimuth_deg - row->x[6], 360.0), 0.0, 0.1, &worst[2]);
    near("set azimuth", row, remainder(d.set_azimuth_deg - row->x[7], 360.0), 0.0, 0.1, &worst[2]);
}

static void days(void **state)
{
    double worst[4] = { 0 };
    (void)state;
    const int n = each("day", look_at_day, worst);
    assert_true(n > 250);
    print_message("%d days, astronomy-engine: worst %.1f s of rise or set, %.1f s of noon, %.3f degree\n", n, worst[0],
                  worst[1], worst[2]);
}

static void look_at_air(const struct row *row, double worst[4])
{
    const double *x = row->x;
    struct message why = { "", "" };
    struct air a;

    assert_int_equal(air_from_rh(x[0], x[1], x[2] / 1000.0, &a, &why), ST_OK);
    near("saturation, share", row, 1000.0 * a.saturation_kpa / x[3], 1.0, 0.0005, &worst[0]);
    near("vapour, share", row, 1000.0 * a.vapour_kpa / x[4], 1.0, 0.0005, &worst[0]);
    near("humidity ratio, share", row, a.humidity_ratio / x[5], 1.0, 0.0005, &worst[0]);
    near("enthalpy", row, a.enthalpy_kj_kg, x[6] / 1000.0, 0.01, &worst[1]);
    near("dew point", row, a.dew_point_c, x[7], 0.02, &worst[2]);
    /* about 0 C a wet and an iced bulb can both stand in the same air: we take the wet one, PsychroLib either */
    const bool either = x[0] > 0.0 && fabs(x[8]) < 0.7;
    near("wet bulb", row, a.wet_bulb_c, x[8], either ? 0.7 : 0.02, either ? NULL : &worst[3]);
    near("volume", row, a.volume_m3_kg, x[9], 0.0005 * x[9], NULL);
    near("density", row, a.density_kg_m3, x[10], 0.0005 * x[10], NULL);
}

static void moist_air(void **state)
{
    double worst[4] = { 0 };
    (void)state;
    const int n = each("air", look_at_air, worst);
    assert_int_equal(n, 45 * 7 * 2);
    print_message("%d cases of air, PsychroLib: worst %.2g of a share, %.2g kJ/kg, dew point %.2g C, wet bulb %.2g C\n",
                  n, worst[0], worst[1], worst[2], worst[3]);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(positions), cmocka_unit_test(days),
                                        cmocka_unit_test(moist_air) };
    return cmocka_run_group_tests_name("witness/libraries", tests, NULL, NULL);
}
