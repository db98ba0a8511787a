/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Watch on a night laid out by hand: least change, nests, deadlines, the spare, heat, mistakes.
 */
#include "tests/core/watch_night.h"

/* ---- least change, nests, deadlines: a night laid out by hand ---- */

static void fill_cells(struct small_night *s, size_t option, unsigned char grade, double shortfall_c)
{
    for (size_t i = 0; i < s->n.n_members * s->n.n_hours; i++)
        s->cells[option][i] = (struct watch_cell){ .grade = grade,
                                                   .runt_grade = grade,
                                                   .shortfall_c = (float)shortfall_c,
                                                   .runt_shortfall_c = (float)shortfall_c };
}

enum { OPEN, HUT, TURNED, FLAPPED, STRAWED, MOVED };

/* One sow in the open in danger; one hut, badly faced; four things could be done to it. */
static void one_hut(struct small_night *s)
{
    static const unsigned change[] = { WATCH_AS_IT_STANDS,      WATCH_AS_IT_STANDS,       WATCH_TURN,
                                       WATCH_TURN | WATCH_FLAP, WATCH_TURN | WATCH_STRAW, WATCH_MOVE };
    static const unsigned needs[] = {
        0, 0, WATCH_BEFORE_FREEZE, WATCH_BEFORE_FREEZE, WATCH_BEFORE_RAIN, WATCH_BEFORE_THAW
    };
    static const double minutes[] = { 0, 0, 15, 25, 30, 60 };

    memset(s, 0, sizeof *s);
    s->n = (struct watch_night){ .n_hours = 12,
                                 .n_members = 3,
                                 .n_sows = 1,
                                 .n_sites = 2,
                                 .n_options = 6,
                                 .sows = s->sows,
                                 .sites = s->sites,
                                 .options = s->options,
                                 .moments = s->moments,
                                 .limits = { .people = 2, .flaps = 1, .bales = 4, .panels = 1, .straw_kg = 100.0 } };
    s->sites[0] = (struct watch_site){ .key = "alder hut", .room = 1, .opens = true };
    s->sites[1] = (struct watch_site){ .key = "open", .room = 10 };
    for (size_t i = 0; i < 6; i++)
        s->options[i] = (struct watch_option){ .key = option_key[i],
                                               .site = i == OPEN ? 1 : 0,
                                               .takes = WATCH_NONE,
                                               .change = change[i],
                                               .needs = needs[i],
                                               .minutes = minutes[i],
                                               .people = i < 2 ? 0 : 2,
                                               .straw_kg = i == STRAWED ? 17.0 : 0.0,
                                               .flaps = i == FLAPPED ? 1 : 0,
                                               .cells = s->cells[i] };
    fill_cells(s, OPEN, 3, 6.0);
    fill_cells(s, HUT, 3, 4.0);
    fill_cells(s, TURNED, 1, 0.8);
    fill_cells(s, FLAPPED, 0, 0.2);
    fill_cells(s, STRAWED, 0, 0.0);
    fill_cells(s, MOVED, 0, 0.0);
    s->sows[0] = (struct watch_sow){
        .key = "Bracken", .birth = s->birth[0], .p_use = 0.75, .near = true, .lies = OPEN, .nests_at = WATCH_NONE
    };
    for (size_t h = 4; h < 10; h++)
        s->birth[0][h] = 0.1;
    for (size_t m = 0; m < 3; m++)
        s->moments[m] = (struct watch_moments){ NAN, NAN, NAN, NAN, NAN, NAN, NAN };
}

static void the_least_change_that_is_bearable_wins(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.chosen[0], TURNED); /* warmer ones are to be had; a bearable night is enough */
    assert_int_equal(plan.n_actions, 1);
    assert_true(fabs(plan.advice[0].now.danger - 0.6) < 1e-9);
    assert_true(fabs(plan.advice[0].after.danger - 0.25 * 0.6) < 1e-9);
    assert_true(fabs(plan.advice[0].after.cold - 0.75 * 0.6) < 1e-9);
    assert_true(plan.actions[0].agree == 1.0 && plan.n_unserved == 0 && plan.n_ready == 1);

    s.options[TURNED].minutes = s.options[STRAWED].minutes; /* same work: the lesser change */
    fill_cells(&s, TURNED, 0, 0.0);
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_int_equal(plan.chosen[0], FLAPPED); /* it alone is less work now */
    s.options[FLAPPED].minutes = s.options[STRAWED].minutes;
    plan = planned(&s.n, &watch_usual_weights, &mem, 2);
    assert_int_equal(plan.chosen[0], TURNED);

    fill_cells(&s, OPEN, 1, 0.9); /* a bearable night: nothing at all */
    plan = planned(&s.n, &watch_usual_weights, &mem, 3);
    assert_int_equal(plan.n_actions, 0);
    assert_int_equal(plan.n_unserved, 0);
    arena_close(&mem);
}

static void a_nest_is_never_moved_and_help_comes_to_it(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    s.sites[0].has_nest = true; /* another's: not for her at all */
    assert_int_equal(planned(&s.n, &watch_usual_weights, &mem, 0).n_actions, 0);
    s.sites[0].has_nest = false;
    s.sites[0].frozen_in = true; /* neither turned nor moved */
    assert_true(planned(&s.n, &watch_usual_weights, &mem, 1).chosen[0] == HUT);
    s.sites[0].frozen_in = false;
    s.sows[0].nests_at = 0; /* she nests in the badly faced hut: it is bedded and flapped, never turned */
    s.sites[0].has_nest = true;
    s.options[FLAPPED].change = WATCH_FLAP;
    fill_cells(&s, FLAPPED, 1, 0.5);
    s.options[STRAWED].change = WATCH_STRAW;
    fill_cells(&s, STRAWED, 2, 1.5);
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 2);
    assert_int_equal(plan.chosen[0], FLAPPED);
    assert_true(plan.advice[0].after.danger < 1e-12); /* she is there: no chance that she goes elsewhere */

    one_hut(&s); /* she nests in the open: the hut is carried to her, or a wall of bales built; she stays */
    s.sites[1].room = 1;
    s.sites[1].has_nest = true;
    s.sows[0].nests_at = 1;
    s.options[TURNED] = (struct watch_option){ .key = "o02",
                                               .site = 1,
                                               .takes = WATCH_NONE,
                                               .change = WATCH_WINDBREAK,
                                               .minutes = 20,
                                               .people = 1,
                                               .bales = 4,
                                               .cells = s.cells[TURNED] };
    plan = planned(&s.n, &watch_usual_weights, &mem, 3);
    assert_int_equal(plan.chosen[0], TURNED);
    s.n.limits.bales = 3;
    s.options[MOVED].site = 1;
    s.options[MOVED].takes = 0;
    s.options[MOVED].brings = true;
    plan = planned(&s.n, &watch_usual_weights, &mem, 4);
    assert_int_equal(plan.chosen[0], MOVED);
    assert_true(plan.tight & WATCH_TIGHT_BALES);
    s.options[MOVED].brings = false; /* carried away from under her: never */
    plan = planned(&s.n, &watch_usual_weights, &mem, 5);
    assert_true(plan.chosen[0] == WATCH_NONE || plan.chosen[0] == OPEN);
    assert_int_equal(plan.n_actions, 0);
    arena_close(&mem);
}

static void deadlines_come_from_the_weather_and_from_her(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_HER_CHANCE);
    assert_true(plan.actions[0].deadline.by_h == 4.0); /* her first chance is in hour 4: a sixth of the gain is there */
    assert_true(fabs(plan.actions[0].deadline.start_h - 3.75) < 1e-12);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].freeze_h = 2.0;
    s.moments[2].freeze_h = 1.0;
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_FREEZE);
    assert_true(plan.actions[0].deadline.by_h == 2.0 && plan.actions[0].deadline.earliest_h == 1.0);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].freeze_h = 0.0; /* frozen already: nothing is turned; straw would need a turn too */
    s.options[STRAWED].change = WATCH_STRAW;
    plan = planned(&s.n, &watch_usual_weights, &mem, 2);
    assert_true(plan.chosen[0] == STRAWED);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].rain_h = 3.0;
    plan = planned(&s.n, &watch_usual_weights, &mem, 3);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_RAIN);
    assert_true(plan.actions[0].deadline.by_h == 3.0);
    for (size_t m = 0; m < 3; m++)
        s.moments[m].rain_h = 0.0; /* raining already: no deadline from it */
    plan = planned(&s.n, &watch_usual_weights, &mem, 4);
    assert_int_equal(plan.actions[0].deadline.why, WATCH_HER_CHANCE);
    arena_close(&mem);
}

static void earlier_rain_never_gives_a_later_deadline(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();
    int earlier = 0;

    (void)state;
    for (int k = 0; k < 5000; k++) {
        double gain[HOURS];
        some_night(&d, &s);
        struct watch_option o = s.options[pick_of(&d, s.n.n_options)];
        struct watch_moments late = s.moments[0], soon;
        o.needs |= WATCH_BEFORE_RAIN;
        late.rain_h = prop_between(&d, 1.0, 10.0);
        soon = late;
        soon.rain_h = prop_between(&d, 0.1, late.rain_h);
        for (size_t h = 0; h < s.n.n_hours; h++)
            gain[h] = prop_between(&d, -0.2, 1.0);
        const struct watch_deadline a = watch_deadline_of(&o, &late, s.n.n_hours, gain, 0.9);
        const struct watch_deadline b = watch_deadline_of(&o, &soon, s.n.n_hours, gain, 0.9);
        assert_true(b.by_h <= a.by_h && b.start_h <= a.start_h);
        assert_true(b.why != WATCH_RAIN || b.by_h == soon.rain_h);
        earlier += b.by_h < a.by_h;
    }
    assert_true(earlier > 1000);
}

/* Rain in the plan: where the same work is still chosen it is never due later; and it can be had in time. */
static void earlier_rain_in_the_plan(void **state)
{
    static struct small_night s;
    struct dice d = prop_start();
    int met = 0;

    (void)state;
    for (int k = 0; k < 2000; k++) {
        struct arena mem;
        some_night(&d, &s);
        for (size_t m = 0; m < s.n.n_members; m++)
            s.moments[m].rain_h = 6.0;
        arena_open(&mem, 8 << 20);
        const struct watch_plan late = planned(&s.n, &watch_usual_weights, &mem, k);
        for (size_t m = 0; m < s.n.n_members; m++)
            s.moments[m].rain_h = 2.0;
        const struct watch_plan soon = planned(&s.n, &watch_usual_weights, &mem, k);
        for (size_t i = 0; i < soon.n_actions; i++)
            for (size_t j = 0; j < late.n_actions; j++) {
                const struct watch_action *a = &soon.actions[i], *b = &late.actions[j];
                if (a->option != b->option || !(s.options[a->option].needs & WATCH_BEFORE_RAIN) ||
                    a->deadline.why != WATCH_RAIN)
                    continue;
                assert_true(a->deadline.by_h <= 2.0 && a->deadline.start_h >= 0.0);
                met++;
            }
        arena_close(&mem);
    }
    assert_true(met > 50);
}

static void a_spare_stands_ready_for_whoever_passes_hers_by(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    s.n.n_sites = 3;
    s.n.n_options = 8;
    s.sites[2] = (struct watch_site){ .key = "hedge lee", .room = 1 };
    s.options[6] = (struct watch_option){ .key = "o06",
                                          .site = 2,
                                          .takes = WATCH_NONE,
                                          .change = WATCH_STRAW,
                                          .minutes = 20,
                                          .people = 1,
                                          .straw_kg = 10,
                                          .cells = s.cells[6] };
    s.options[7] = (struct watch_option){ .key = "o07", .site = 2, .takes = WATCH_NONE, .cells = s.cells[7] };
    fill_cells(&s, 6, 1, 0.9);
    fill_cells(&s, 7, 3, 6.0);
    s.options[TURNED].minutes = 5;
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.chosen[0], TURNED);
    assert_int_equal(plan.spare, 6);
    assert_int_equal(plan.n_ready, 2);
    assert_int_equal(plan.n_actions, 2);
    for (size_t i = 0; i < 2; i++)
        assert_true(plan.actions[i].option != 6 || (plan.actions[i].n_sows == 0 && plan.actions[i].gain_c > 0.0));
    fill_cells(&s, 6, 2, 4.0); /* no real help: no straw is spent on a spare like that */
    plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_true(plan.spare != 6);
    assert_int_equal(plan.n_actions, 1);
    fill_cells(&s, 6, 1, 0.9);
    s.sows[0].p_use = 1.0; /* sure to use hers: none needed */
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_int_equal(plan.n_actions, 1);
    assert_true(plan.spare == WATCH_NONE);
    arena_close(&mem);
}

static void forecasts_that_disagree_are_said(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    for (size_t h = 0; h < s.n.n_hours; h++) /* in one forecast of three turning is not enough, a flap is */
        s.cells[TURNED][2 * s.n.n_hours + h] =
            (struct watch_cell){ .grade = 2, .runt_grade = 2, .shortfall_c = 0.2f, .runt_shortfall_c = 0.2f };
    struct watch_weights w = watch_usual_weights;
    w.minute_c = 0.01;
    struct watch_plan plan = planned(&s.n, &w, &mem, 0);
    assert_int_equal(plan.chosen[0], TURNED);
    assert_true(fabs(plan.actions[0].agree - 2.0 / 3.0) < 1e-12);
    assert_true(plan.actions[0].record & WATCH_RECORD_WEATHER);
    assert_true(plan.advice[0].record & WATCH_RECORD_SIGNS); /* a birth within the night has a chance of 0.6: open */
    assert_true(plan.advice[0].most_danger > plan.advice[0].least_danger + 0.3);
    arena_close(&mem);
}

/* 38 °C: heat grade 4 in every hour. Grades of cold are whatever the model said; they are not to be spoken of. */
static void a_hot_afternoon_brings_no_cold_advice(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    for (size_t o = 0; o < s.n.n_options; o++)
        for (size_t i = 0; i < s.n.n_members * s.n.n_hours; i++)
            s.cells[o][i] = (struct watch_cell){ .grade = 3, .runt_grade = 3, .heat_grade = 4, .shortfall_c = 9.0f };
    struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_int_equal(plan.n_actions, 0);
    assert_true(plan.advice[0].now.danger == 0.0 && plan.advice[0].after.danger == 0.0 &&
                plan.advice[0].after.cold == 0.0);
    assert_int_equal(plan.n_heat, 1);
    assert_int_equal(plan.heat[0].worst_grade, 4);
    assert_int_equal(plan.heat[0].n_hours, 12);
    assert_int_equal(plan.heat[0].from_h, 0);
    s.sows[0].lies = HUT;
    plan = planned(&s.n, &watch_usual_weights, &mem, 1);
    assert_true(plan.heat[0].vents);
    for (size_t i = 0; i < s.n.n_hours; i++) /* one forecast of three: not yet said */
        for (size_t o = 0; o < s.n.n_options; o++)
            for (size_t m = 1; m < 3; m++)
                s.cells[o][m * s.n.n_hours + i].heat_grade = 1;
    assert_int_equal(planned(&s.n, &watch_usual_weights, &mem, 2).n_heat, 0);
    arena_close(&mem);
}

static void wrong_figures_are_sentences(void **state)
{
    static struct small_night s;
    struct watch_weights w = watch_usual_weights;
    struct arena mem;
    static double many[300];

    (void)state;
    for (int k = 0; k < 16; k++) {
        struct watch_plan plan = { .hand_minutes = -7.0 };
        struct message why = { "", "" };
        one_hut(&s);
        w = watch_usual_weights;
        switch (k) {
        case 0: s.birth[0][3] = 1.5; break;
        case 1: s.birth[0][3] = NAN; break;
        case 2: s.birth[0][3] = 0.5; break; /* sums to 1.1 */
        case 3: s.sows[0].p_use = -0.1; break;
        case 4: s.sows[0].lies = 99; break;
        case 5: s.sows[0].nests_at = 7; break;
        case 6: s.options[TURNED].site = 9; break;
        case 7: s.options[TURNED].minutes = HUGE_VAL; break;
        case 8: s.cells[TURNED][5].grade = 4; break;
        case 9: s.cells[TURNED][5].shortfall_c = -1.0f; break;
        case 10:
            s.options[FLAPPED].key = "o02";
            s.options[FLAPPED].change = WATCH_TURN;
            break; /* twice */
        case 11: s.n.limits.straw_kg = NAN; break;
        case 12: s.moments[1].rain_h = HUGE_VAL; break;
        case 13: w.minute_c = NAN; break;
        case 14: s.n.n_hours = 0; break;
        case 15:
            many[0] = -1.0;
            s.n.limits.hand_minutes = many;
            break;
        default: break;
        }
        arena_open(&mem, 8 << 20);
        if (watch_plan(&s.n, &w, &mem, &plan, &why) != ST_BAD_INPUT || why.text[0] == '\0' || plan.hand_minutes != -7.0)
            fail_msg("mistake %d was not refused", k);
        arena_close(&mem);
    }
    for (size_t ceiling = 64; ceiling < 60000; ceiling += 997) { /* memory that ends anywhere ends in a sentence */
        struct watch_plan plan;
        struct message why = { "", "" };
        one_hut(&s);
        arena_open(&mem, ceiling);
        const enum status st = watch_plan(&s.n, &w, &mem, &plan, &why);
        assert_true(st == ST_OK || st == ST_NO_MEMORY || st == ST_BAD_INPUT);
        arena_close(&mem);
    }
}

static void nobody_at_all(void **state)
{
    static struct small_night s;
    struct arena mem;

    (void)state;
    arena_open(&mem, 8 << 20);
    one_hut(&s);
    s.n.n_sows = 0;
    const struct watch_plan plan = planned(&s.n, &watch_usual_weights, &mem, 0);
    assert_true(plan.n_advice == 0 && plan.n_actions == 0 && plan.need_now_c == 0.0 && plan.proved);
    arena_close(&mem);
}

/* The limits of the watch advice (judgement of the project's own notes; common practice, no source). */
static void how_often_to_look(void **state)
{
    (void)state;
    assert_int_equal(watch_how_often(0.049, false), WATCH_ROUTINE);
    assert_int_equal(watch_how_often(0.05, false), WATCH_TWICE_A_DAY);
    assert_int_equal(watch_how_often(0.25, false), WATCH_EVERY_6H);
    assert_int_equal(watch_how_often(0.61, false), WATCH_EVERY_3H);
    assert_int_equal(watch_how_often(0.01, true), WATCH_TWICE_A_DAY);
    assert_int_equal(watch_how_often(0.99, true), WATCH_EVERY_3H);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_least_change_that_is_bearable_wins),
        cmocka_unit_test(a_nest_is_never_moved_and_help_comes_to_it),
        cmocka_unit_test(deadlines_come_from_the_weather_and_from_her),
        cmocka_unit_test(earlier_rain_never_gives_a_later_deadline),
        cmocka_unit_test(earlier_rain_in_the_plan),
        cmocka_unit_test(a_spare_stands_ready_for_whoever_passes_hers_by),
        cmocka_unit_test(forecasts_that_disagree_are_said),
        cmocka_unit_test(a_hot_afternoon_brings_no_cold_advice),
        cmocka_unit_test(wrong_figures_are_sentences),
        cmocka_unit_test(nobody_at_all),
        cmocka_unit_test(how_often_to_look),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
