/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tonight: what a page draws from it. The drawing's promise is that its dark area is the chance that she farrows into
 * danger: it holds to the digits the columns are given in. A farrowing that is going on stands on top, with the minutes
 * of the usual caution.
 */
#include "ask_case.h"
#include "demo_case.h"

#include <math.h>

static struct farm *demo(void)
{
    struct message why = { "", "" };
    struct farm *farm = NULL;

    if (farm_open(demo_path, &farm, &why) != ST_OK)
        fail_msg("%s", why.text);
    return farm;
}

static const double *column(const struct answer *hours, const char *key, size_t *n)
{
    const struct answer *a = answer_at(hours, key);

    if (!a || a->kind != ANSWER_REALS)
        fail_msg("no column %s", key);
    *n = a->is.reals.n;
    return a->is.reals.at;
}

/* Shares are counts of forecasts, so they never pass 1; the lane is the worst grade that half of them reach. */
static void shares_hold(const char *name, const struct answer *hours, bool after)
{
    static const char *const share[2][4] = { { "share1_now", "share2_now", "share3_now", "lane_now" },
                                             { "share1_after", "share2_after", "share3_after", "lane_after" } };
    size_t n = 0;
    const double *one = column(hours, share[after][0], &n), *two = column(hours, share[after][1], &n),
                 *three = column(hours, share[after][2], &n), *lane = column(hours, share[after][3], &n);

    for (size_t h = 0; h < n; h++) {
        const double at_least[3] = { one[h] + two[h] + three[h], two[h] + three[h], three[h] };
        if (!(one[h] >= 0.0 && two[h] >= 0.0 && three[h] >= 0.0 && at_least[0] <= 1.0 + 1e-9))
            fail_msg("%s hour %zu: shares %g %g %g", name, h, one[h], two[h], three[h]);
        size_t worst = 0;
        for (size_t g = 0; g < 3; g++)
            worst = at_least[g] >= 0.5 - 1e-9 ? g + 1 : worst;
        if (fabs(lane[h] - (double)worst) > 0.01)
            fail_msg("%s hour %zu: lane %g, half reach %zu", name, h, lane[h], worst);
    }
}

static void the_dark_area_is_her_chance_of_danger(void **state)
{
    static const char *const at[] = { "2026-01-22T15:40Z", "2026-01-22T22:30Z", "2026-01-23T06:30Z" };
    struct farm *farm = demo();
    size_t strips = 0;

    (void)state;
    for (size_t t = 0; t < COUNT(at); t++) {
        struct ask_case s;
        const struct answer *a = ask(&s, farm, "tonight", "hours", at[t]);
        for (const struct answer *sow = answer_at(a, "sows")->first; sow; sow = sow->next) {
            const struct answer *hours = answer_at(sow, "hours");
            const char *name = answer_get_text(sow, "name");
            size_t n = 0;
            const double *f = column(hours, "chance", &n), *two = column(hours, "share2_now", &n),
                         *three = column(hours, "share3_now", &n), *two_a = column(hours, "share2_after", &n),
                         *three_a = column(hours, "share3_after", &n), *d = column(hours, "danger_now", &n),
                         *d_a = column(hours, "danger_after", &n);
            double now = 0.0, after = 0.0;
            for (size_t h = 0; h < n; h++) {
                now += f[h] * (two[h] + three[h]);
                after += f[h] * (two_a[h] + three_a[h]);
                case_near(f[h] * (two[h] + three[h]), d[h], 1e-12, "an hour as she stands");
                case_near(f[h] * (two_a[h] + three_a[h]), d_a[h], 1e-12, "an hour after the work");
            }
            case_near(now, answer_get_real(sow, "now.danger"), 1e-9, name);
            case_near(after, answer_get_real(sow, "after.danger"), 1e-9, name);
            shares_hold(name, hours, false);
            shares_hold(name, hours, true);
            strips++;
        }
        ask_close(&s);
    }
    print_message("%zu strips\n", strips);
    assert_true(strips >= 20);
    farm_close(farm);
}

static void a_job_says_what_it_starts_from_and_ends_with(void **state)
{
    struct farm *farm = demo();
    struct ask_case s;
    const struct answer *a = ask(&s, farm, "tonight", "", "2026-01-22T15:40Z");

    (void)state;
    assert_non_null(answer_at(a, "jobs[0]"));
    for (const struct answer *job = answer_at(a, "jobs")->first; job; job = job->next) {
        const bool turned = answer_at(job, "lay.turned")->is.flag, flapped = answer_at(job, "lay.flapped")->is.flag,
                   bedded = answer_at(job, "lay.bedded")->is.flag, moved = answer_at(job, "lay.moved")->is.flag;
        const struct answer *before = answer_at(job, "lay.before");
        assert_true(turned || flapped || bedded || moved || answer_at(job, "lay.walled")->is.flag);
        assert_string_equal(answer_get_text(job, "lay.after.name"), answer_get_text(job, "place"));
        if (!before) {
            assert_false(answer_at(job, "lay.placed")->is.flag);
            continue;
        }
        if (bedded)
            assert_true(answer_get_real(job, "lay.after.straw_m") > answer_get_real(before, "straw_m"));
        if (flapped)
            assert_true(answer_at(job, "lay.after.flap")->is.flag && !answer_at(before, "flap")->is.flag);
        if (!turned && isfinite(answer_get_real(before, "facing_deg")))
            case_near(answer_get_real(job, "lay.after.facing_deg"), answer_get_real(before, "facing_deg"), 1e-9,
                      "not turned");
    }
    ask_close(&s);
    farm_close(farm);
}

static void a_farrowing_stands_on_top_until_it_is_over(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open_demo(&c);
    const struct answer *a = ask(&s, c.farm, "tonight", "", "2026-01-22T15:40Z");
    assert_int_equal(answer_count(answer_at(a, "farrowing_now")), 0);
    ask_close(&s);

    case_record(&c, "farrowing", "sow=Bramble", "start=2026-01-22 15:05", "placement=Hut 2", NULL);
    char farrowing[FARM_UID];
    memcpy(farrowing, c.uid, sizeof farrowing);
    case_record(&c, "birth", "sow=Bramble", "at=2026-01-22 15:05", NULL);
    case_record(&c, "birth", "sow=Bramble", "at=2026-01-22 15:20", NULL);
    case_record(&c, "birth", "sow=Bramble", "at=2026-01-22 15:21", "is=dead", NULL);
    a = ask(&s, c.farm, "tonight", "", "2026-01-22T15:40Z");
    assert_int_equal(answer_count(answer_at(a, "farrowing_now")), 1);
    const struct answer *f = answer_at(a, "farrowing_now[0]");
    assert_string_equal(answer_get_text(f, "sow"), "Bramble");
    assert_int_equal(answer_at(f, "born_so_far")->is.whole, 2);
    assert_int_equal(answer_at(f, "born_dead")->is.whole, 1);
    assert_int_equal(answer_at(f, "last_birth")->is.whole, case_moment("2026-01-22T15:21Z"));
    /* 45 minutes without progress: act (pork quality assurance procedure, Canada) */
    assert_int_equal(answer_at(f, "ring_vet_at")->is.whole, case_moment("2026-01-22T16:06Z"));
    assert_int_equal(answer_at(f, "look_at")->is.whole, case_moment("2026-01-22T15:51Z"));
    assert_non_null(strstr(answer_get_text(f, "says"), "usual"));
    for (const struct answer *sow = answer_at(a, "sows")->first; sow; sow = sow->next)
        assert_string_not_equal(answer_get_text(sow, "name"), "Bramble"); /* no birth to come of hers */
    ask_close(&s);

    a = ask(&s, c.farm, "tonight", "", "2026-01-22T16:10Z"); /* nothing came for 49 minutes */
    assert_non_null(strstr(answer_get_text(a, "farrowing_now[0].says"), "ring the vet"));
    ask_close(&s);

    case_correct(&c, farrowing, "farrowing", "sow=Bramble", "start=2026-01-22 15:05", "end=2026-01-22 18:00",
                 "born-alive=8", "placement=Hut 2", NULL);
    a = ask(&s, c.farm, "tonight", "", "2026-01-22T18:30Z");
    assert_int_equal(answer_count(answer_at(a, "farrowing_now")), 0);
    bool young = false;
    for (const struct answer *l = answer_at(a, "young_litters")->first; l; l = l->next)
        if (strcmp(answer_get_text(l, "sow"), "Bramble") == 0) {
            young = true;
            assert_int_equal(answer_at(l, "living")->is.whole, 8);
        }
    assert_true(young);
    ask_close(&s);
    case_close(&c);
}

/* Whoever presses 'one more born' first has begun the litter. */
static void a_birth_alone_begins_the_farrowing(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open_demo(&c);
    case_record(&c, "birth", "sow=Sedge", "at=2026-01-22 15:30", NULL);
    const struct answer *a = ask(&s, c.farm, "tonight", "", "2026-01-22T15:40Z");
    assert_string_equal(answer_get_text(a, "farrowing_now[0].sow"), "Sedge");
    assert_int_equal(answer_at(a, "farrowing_now[0].started")->is.whole, case_moment("2026-01-22T15:30Z"));
    ask_close(&s);
    a = ask(&s, c.farm, "tonight", "", "2026-01-23T15:40Z"); /* a day later it is over, written down or not */
    assert_int_equal(answer_count(answer_at(a, "farrowing_now")), 0);
    ask_close(&s);
    case_close(&c);
}

/* Found at dawn and counted: nobody is told to ring the vet over it. */
static void a_litter_that_was_found_is_not_going_on(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    case_open_demo(&c);
    case_record(&c, "farrowing", "sow=Sedge", "start=2026-01-23 04:00", "not-before=2026-01-22 22:00", "born-alive=7",
                NULL);
    const struct answer *a = ask(&s, c.farm, "tonight", "", "2026-01-23T06:30Z");
    assert_int_equal(answer_count(answer_at(a, "farrowing_now")), 0);
    ask_close(&s);
    case_close(&c);
}

/* Worse straw never leaves a litter more heat to spare, and more of it never less. */
static void a_litter_in_a_worse_bed_has_less_to_spare(void **state)
{
    static const char *const bed[] = { "straw_depth_m=0.25", "straw_depth_m=0.08", "straw_depth_m=0.0" };
    double least[3];

    (void)state;
    for (size_t k = 0; k < COUNT(bed); k++) {
        struct farm_case c;
        struct ask_case s;
        case_open_demo(&c);
        case_record(&c, "bedding", "placement=Hut 1", "at=2026-01-22 15:00", bed[k], NULL);
        const struct answer *a = ask(&s, c.farm, "tonight", "", "2026-01-22T15:40Z");
        const struct answer *l = answer_at(a, "young_litters[0]");
        size_t n = 0;
        const double *margin = column(answer_at(l, "hours"), "margin_now", &n),
                     *after = column(answer_at(l, "hours"), "margin_after", &n);
        least[k] = INFINITY;
        for (size_t h = 0; h < n; h++) {
            if (isnan(margin[h]))
                continue;
            least[k] = fmin(least[k], margin[h]);
            assert_true(after[h] >= margin[h] - 0.02);
        }
        assert_string_equal(answer_get_text(l, "sow"), "Clover");
        ask_close(&s);
        case_close(&c);
    }
    print_message("least to spare on 25, 8, 0 cm: %.2f %.2f %.2f\n", least[0], least[1], least[2]);
    assert_true(least[0] > least[1] && least[1] > least[2]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_dark_area_is_her_chance_of_danger),
        cmocka_unit_test(a_job_says_what_it_starts_from_and_ends_with),
        cmocka_unit_test(a_farrowing_stands_on_top_until_it_is_over),
        cmocka_unit_test(a_birth_alone_begins_the_farrowing),
        cmocka_unit_test(a_litter_that_was_found_is_not_going_on),
        cmocka_unit_test(a_litter_in_a_worse_bed_has_less_to_spare),
    };
    return cmocka_run_group_tests(tests, demo_begin, demo_end);
}
