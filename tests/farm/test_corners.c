/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Corners of a field: as typed and as kept, the refusals, the area by the surveyor's formula, and the walked line.
 */
#include <math.h>

#include "core/base/attr.h"
#include "farm/corners.h"
#include "tests/farm/farm_help.h"

static size_t read_well(struct arena *mem, const char *text, bool outline, struct corner **c)
{
    struct message why = { "", "" };
    size_t n = 0;

    if (corners_read(text, outline, mem, c, &n, &why) != ST_OK)
        fail_msg("%s: %s", text, why.text);
    return n;
}

static void what_is_kept_reads_back_the_same(void **state)
{
    static const char *const typed[] = { "0,0 160,4; 158,100\n-3.25,98", "0,0\t10,0\n10,10 0,10 0,0",
                                         "1.04,2.05 30,2 30,40", "0,0 9,0 9,9 0.04,0 0,0.03", "0,0 0,0 9,0 9,0 9,9" };
    static const char *const kept[] = { "0,0 160,4 158,100 -3.3,98", "0,0 10,0 10,10 0,10", "1,2.1 30,2 30,40",
                                        "0,0 9,0 9,9", "0,0 9,0 9,9" };
    struct arena mem;

    (void)state;
    arena_open(&mem, (size_t)1 << 20);
    for (size_t i = 0; i < COUNT(typed); i++) {
        struct corner *c = NULL, *again = NULL;
        size_t n = read_well(&mem, typed[i], true, &c);
        const char *text = corners_text(c, n, &mem);
        assert_string_equal(text, kept[i]);
        n = read_well(&mem, text, true, &again);
        assert_string_equal(corners_text(again, n, &mem), kept[i]);
    }
    arena_close(&mem);
}

static void what_is_no_outline_is_refused_in_a_sentence(void **state)
{
    static const struct {
        const char *text, *says;
    } bad[] = {
        { "0,0 5,5", "three corners" },    { "0,0 5,5 5,0 0,5", "crosses" },
        { "0,0 5,5 6", "corner 3" },       { "0,0 5,5 x,2", "corner 3" },
        { "0,0 5,5 6,nan", "corner 3" },   { "0,0 5,5 6,90000", "corner 3" },
        { "0;0 5;5 5;0", "two numbers" },  { ",", "corner 1" },
        { "0,0 1,1e999 3,3", "corner 2" }, { "0,0 9,0 9,0 0,0", "three corners" },
    };
    struct arena mem;

    (void)state;
    arena_open(&mem, (size_t)1 << 20);
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct message why = { "", "" };
        struct corner *c = NULL;
        size_t n = 0;
        assert_int_equal(corners_read(bad[i].text, true, &mem, &c, &n, &why), ST_BAD_INPUT);
        if (!strstr(why.text, bad[i].says))
            fail_msg("%s: %s", bad[i].text, why.text);
        assert_null(c);
    }
    arena_close(&mem);
}

/* A rectangle, and the standard textbook figure of the surveyor's formula: (3,4) (5,11) (12,8) (9,5) (5,6) holds 30. */
static void area_agrees_with_the_surveyors_formula(void **state)
{
    struct arena mem;
    struct corner *c = NULL;

    (void)state;
    arena_open(&mem, (size_t)1 << 20);
    size_t n = read_well(&mem, "0,0 40,0 40,25 0,25", true, &c);
    assert_true(fabs(corners_area_m2(c, n) - 1000.0) < 1e-9);
    assert_true(corners_hold(c, n, 20, 20) && !corners_hold(c, n, 41, 20) && !corners_hold(c, n, 20, -1));
    n = read_well(&mem, "3,4 5,11 12,8 9,5 5,6", true, &c);
    assert_true(fabs(corners_area_m2(c, n) - 30.0) < 1e-9);
    assert_true(corners_hold(c, n, 9, 8) && !corners_hold(c, n, 6, 5));
    arena_close(&mem);
}

static double off_way(const struct corner *p, const struct corner w[], size_t n)
{
    double least = INFINITY;
    for (size_t i = 0; i + 1 < n; i++) {
        const double dx = w[i + 1].x_m - w[i].x_m, dy = w[i + 1].y_m - w[i].y_m;
        double t = ((p->x_m - w[i].x_m) * dx + (p->y_m - w[i].y_m) * dy) / (dx * dx + dy * dy);
        t = fmin(1.0, fmax(0.0, t));
        least = fmin(least, hypot(p->x_m - w[i].x_m - t * dx, p->y_m - w[i].y_m - t * dy));
    }
    return least;
}

/* A walk round a field with a phone that wavers by a metre: few corners are left, and none of the walk is far off. */
static void a_walked_line_keeps_its_shape(void **state)
{
    enum { N = 1200 };
    static const struct corner round[] = { { 0, 0 }, { 150, 5 }, { 158, 105 }, { 60, 108 }, { 2, 98 }, { 0, 0 } };
    static struct corner walk[N], kept[N];
    const size_t legs = COUNT(round) - 1;

    (void)state;
    for (size_t i = 0; i < N; i++) {
        const double along = (double)i / (N - 1) * (double)legs * 0.9999;
        const size_t leg = (size_t)along;
        const double t = along - (double)leg;
        walk[i].x_m = kept[i].x_m =
            round[leg].x_m + t * (round[leg + 1].x_m - round[leg].x_m) + 0.8 * sin((double)i * 1.7);
        walk[i].y_m = kept[i].y_m =
            round[leg].y_m + t * (round[leg + 1].y_m - round[leg].y_m) + 0.8 * cos((double)i * 2.3);
    }
    const size_t n = corners_simplify(kept, N, 2.0, CORNERS_MOST);
    print_message("%d fixes, %zu corners\n", (int)N, n);
    assert_true(n >= 6 && n <= 20);
    for (size_t i = 0; i < N; i++)
        assert_true(off_way(&walk[i], kept, n) <= 2.0 + 1e-9);
    memcpy(kept, walk, sizeof kept);
    assert_true(corners_simplify(kept, N, 0.01, 30) <= 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_kept_reads_back_the_same),
        cmocka_unit_test(what_is_no_outline_is_refused_in_a_sentence),
        cmocka_unit_test(area_agrees_with_the_surveyors_formula),
        cmocka_unit_test(a_walked_line_keeps_its_shape),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
