/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Piglet and nest, asked through the command line. */
#include "tests/doors/reckon_case.h"

/* ---- piglet ---- */

static void the_piglet_against_measurements(void **state)
{
#define NOBLET "Noblet et al. 1997, J. Anim. Sci.; Milan et al. 2019, Trans. ASABE 62:321; AHDB outdoor farrowing"
#define COOPER "Cooper, Ellis, Xiong & Gates 2018, ASAS Midwest: pen at 22.8 C, 1.40 kg"
    static const struct row rows[] = {
        { "reckon piglet --temp 20 --mass 1.0 --littermates 0", "lower_critical_temp_c", 34.5, 2.0, NOBLET },
        { "reckon piglet --temp 20 --mass 1.4 --littermates 0", "lower_critical_temp_c", 34.5, 1.5, NOBLET },
        { "reckon piglet --temp 20 --mass 2.0 --littermates 0", "lower_critical_temp_c", 34.5, 1.5, NOBLET },
        { "reckon piglet --temp 20 --mass 1.4 --littermates 0 --start-age 24", "lower_critical_temp_c", 33.5, 1.5,
          NOBLET },
        { "reckon piglet --temp 20 --mass 1.4 --littermates 4 --start-age 24h", "lower_critical_temp_c", 30.0, 1.5,
          "25-30 C when huddling: Mount 1960, J. Agric. Sci. 55" },
        { "reckon piglet --temp 20 --mass 1.4 --littermates 12 --start-age 24h", "lower_critical_temp_c", 27.5, 2.5,
          "25-30 C when huddling: Mount 1960, J. Agric. Sci. 55" },
        { "reckon piglet --temp 14 --draught 0.15 --mass 1.2 --littermates 0 --dry --unfed --start-age 2 "
          "--start-body-temp 38.5 --hours 8",
          "peak_heat_w_kg", 9.67, 1.3, "Lossec, Herpin & Le Dividich 1998, Exp. Physiol. 83" },
        { "reckon piglet --temp 22.8 --rh 50% --floor wood --mass 1.4 --littermates 6 --at-udder", "body_temp_30min_c",
          39.0 - 4.4, 1.2, COOPER },
        { "reckon piglet --temp 22.8 --rh 50% --floor wood --mass 1.4 --littermates 6 --at-udder", "min_at_minutes",
          30.0, 15.0, COOPER },
    };

    (void)state;
    HOLD(rows);
    json_t *warm = answer_to("reckon piglet --temp 34 --mass 1.4 --littermates 0 --dry --milk-at-once --hours 24");
    json_t *cool = answer_to("reckon piglet --temp 24 --mass 1.4 --littermates 0 --dry --milk-at-once --hours 24");
    const double ratio = figure(cool, "mean_heat_w_kg") / figure(warm, "mean_heat_w_kg");
    if (!(fabs(ratio - 1.74) <= 0.20))
        fail_msg("heat at 24 over 34 C: %g; +74 %%: Herpin et al. 1994, Exp. Physiol. 79:1011", ratio);
    json_decref(warm);
    json_decref(cool);
    warm = answer_to("reckon piglet --temp 31 --rh 60% --floor wood --mass 1.3 --littermates 6 --at-udder --hours 24");
    cool = answer_to("reckon piglet --temp 19 --rh 60% --floor wood --mass 1.3 --littermates 6 --at-udder --hours 24");
    const double milk = figure(cool, "milk_g_kg") / figure(warm, "milk_g_kg") - 1.0;
    if (!(fabs(milk + 0.37) <= 0.12))
        fail_msg("milk at 19 against 31 C: %g; -36.8 %%: Le Dividich & Noblet 1981, Biol. Neonate 40:167", milk);
    figures += 2;
    json_decref(warm);
    json_decref(cool);
}

static void the_course_of_a_run(void **state)
{
    json_t *j = answer_to("reckon piglet --temp 5 --floor straw --straw-depth 15cm --series");
    const json_t *body = at(j, "series.body_temp_c");
    double least = 99.0;

    (void)state;
    assert_int_equal(json_array_size(body), json_array_size(at(j, "series.at_minutes")));
    assert_true(json_array_size(body) >= 25);
    for (size_t i = 0; i < json_array_size(body); i++)
        least = fmin(least, json_number_value(json_array_get(body, i)));
    near(j, "series", "min_body_temp_c", least, 0.1, "the lowest of the course is the lowest of the run");
    json_decref(j);
}

/* ---- nest: what must hold of the scenarios ---- */

#define DRY85 " --rh 0.85 --cloud 0.2 --rain 0 --ghi 0 "

static void scenarios_of_shelter(void **state)
{
    static const struct {
        const char *words;
        int least, most, runt_least, runt_most;
    } grades[] = {
        { "--shelter open --temp -5 --wind 5 --straw-depth 0 --littermates 0", 3, 3, 3, 3 },
        { "--shelter open --temp -5 --wind 5 --straw-depth 0.2", 3, 3, 3, 3 },
        { "--shelter lee --temp -5 --wind 5 --straw-depth 0.2 --windbreak-porosity 0.5 --windbreak-distance-heights 5",
          2, 2, 3, 3 },
        { "--shelter hut --temp -5 --wind 5 --wind-from 270 --facing 270 --straw-depth 5cm", 3, 3, 3, 3 },
        { "--shelter hut --temp -5 --wind 5 --wind-from 270 --facing 90 --straw-depth 20cm", 0, 1, 2, 2 },
        { "--shelter hut --temp -5 --wind 5 --wind-from 270 --facing 90 --straw-depth 25cm --flap", 0, 0, 1, 1 },
        { "--shelter barn --temp 5 --wind 3 --straw-depth 15cm", 0, 0, 0, 1 },
    };
    double t2h = -99.0;

    (void)state;
    for (size_t i = 0; i < sizeof grades / sizeof *grades; i++) {
        char line[256];
        (void)snprintf(line, sizeof line, "reckon nest %s" DRY85, grades[i].words);
        json_t *j = answer_to(line);
        const int grade = (int)figure(j, "grade"), runt = (int)figure(j, "runt_grade");
        figures += 2;
        if (grade < grades[i].least || grade > grades[i].most || runt < grades[i].runt_least ||
            runt > grades[i].runt_most)
            fail_msg("%s: grade %d, runt %d", line, grade, runt);
        assert_true(figure(j, "typical.grade") == grade && figure(j, "runt.grade") == runt);
        json_decref(j);
    }
    for (int door = 0; door <= 180; door += 45) { /* the further the door turns from the wind the warmer */
        char line[256];
        (void)snprintf(line, sizeof line,
                       "reckon nest --shelter hut --temp 0 --wind 6 --wind-from %d --facing 0 --straw-depth 15cm" DRY85,
                       door);
        json_t *j = answer_to(line);
        if (!(figure(j, "typical.body_temp_2h_c") > t2h))
            fail_msg("%s is no warmer than with the door nearer the wind", line);
        t2h = figure(j, "typical.body_temp_2h_c");
        json_decref(j);
    }
    static const struct {
        const char *warmer, *colder;
    } pairs[] = {
        { "--shelter hut --temp -5 --wind 5 --wind-from 270 --facing 90 --flap --wall insulated" DRY85,
          "--shelter hut --temp -5 --wind 5 --wind-from 270 --facing 90 --flap" DRY85 },
        { "--shelter hut --temp -5 --wind 5 --wind-from 270 --facing 90 --flap" DRY85,
          "--shelter hut --temp -5 --wind 5 --wind-from 270 --facing 90 --flap --damp" DRY85 },
        { "--shelter open --temp 3 --wind 5 --rain 0 --rh 0.9 --cloud 1",
          "--shelter open --temp 3 --wind 5 --rain 4 --rh 0.9 --cloud 1" },
        { "--shelter hut --temp 0 --wind 5 --wind-from 90 --facing 0 --rh 0.85",
          "--shelter hut --temp 0 --wind 5 --facing 0 --rh 0.85" },
        { "--shelter open --temp 0 --wind 5 --rh 0.9 --cloud 1 --rain 0", "--shelter open --temp 0 --wind 5" },
        { "--shelter hut --temp 0 --wind 4 --ghi 300 --rh 0.9 --facing 90 --wind-from 270",
          "--shelter hut --temp 0 --wind 4 --rh 0.9 --facing 90 --wind-from 270" },
        { "--shelter hut --temp 0 --wind 4 --sun-facing 400 --rh 0.9 --facing 90 --wind-from 270",
          "--shelter hut --temp 0 --wind 4 --rh 0.9 --facing 90 --wind-from 270" },
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        char warmer[256], colder[256];
        (void)snprintf(warmer, sizeof warmer, "reckon nest %s", pairs[i].warmer);
        (void)snprintf(colder, sizeof colder, "reckon nest %s", pairs[i].colder);
        json_t *w = answer_to(warmer), *c = answer_to(colder);
        if (!(figure(w, "feels_c") > figure(c, "feels_c")) ||
            !(figure(w, "typical.min_body_temp_c") >= figure(c, "typical.min_body_temp_c")))
            fail_msg("%s is no warmer than %s", warmer, colder);
        json_decref(w);
        json_decref(c);
    }
    static const struct row heat[] = {
        /* McConn et al. 2022, J. Anim. Sci. Biotechnol.; Schild et al. 2018, Animal: 22, 25, 27, 31 C of hut air */
        { "reckon nest --shelter barn --temp 19 --wind 1 --barn-temp 21.9", "heat_grade", 0, 0, "hut air 21.9 C" },
        { "reckon nest --shelter barn --temp 19 --wind 1 --barn-temp 22", "heat_grade", 1, 0, "hut air 22 C" },
        { "reckon nest --shelter barn --temp 19 --wind 1 --barn-temp 25", "heat_grade", 2, 0, "hut air 25 C" },
        { "reckon nest --shelter barn --temp 19 --wind 1 --barn-temp 27", "heat_grade", 3, 0, "hut air 27 C" },
        { "reckon nest --shelter barn --temp 19 --wind 1 --barn-temp 31", "heat_grade", 4, 0, "hut air 31 C" },
    };
    HOLD(heat);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_piglet_against_measurements),
        cmocka_unit_test(the_course_of_a_run),
        cmocka_unit_test(scenarios_of_shelter),
    };
    return cmocka_run_group_tests_name("reckon piglet", tests, NULL, say_figures);
}
