/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * When a sow farrows, asked through the command line. */
#include "tests/doors/reckon_case.h"

/* ---- due: computed from the published figures, confirmed by simulation of 400,000 sows (tests/published) ---- */

#define PLAIN " --plain-normal --clock 0 "
#define MODEL "normal gestation 115 +- 1.4 d (Sasaki & Koketsu 2007), cycle 21 d; computed and simulated"

static double on_date(const json_t *j, const char *date)
{
    size_t i;
    const json_t *row;

    json_array_foreach(json_object_get(j, "by_date"), i,
                       row) if (strcmp(json_string_value(json_object_get(row, "date")), date) ==
                                0) return json_number_value(json_object_get(row, "probability"));
    return 0.0;
}

static void dates(const char *line, size_t n, const char *const date[], const double want[], double off)
{
    json_t *j = answer_to(line);
    for (size_t i = 0; i < n; i++) {
        figures++;
        if (!(fabs(on_date(j, date[i]) - want[i]) <= off))
            fail_msg("%s: %s: want %g, got %g — %s", line, date[i], want[i], on_date(j, date[i]), MODEL);
    }
    json_decref(j);
}

static void due_by_date(void **state)
{
    static const char *const one[] = { "2025-04-23", "2025-04-24", "2025-04-25", "2025-04-26",
                                       "2025-04-27", "2025-04-28", "2025-04-29" };
    static const double one_want[] = { .0309, .1049, .2185, .2790, .2185, .1049, .0309 };
    static const char *const run[] = { "2025-04-26", "2025-05-01", "2025-05-11", "2025-05-17", "2025-05-26" };
    static const double run_want[] = { .01905, .03809, .03811, .02286, .00762 };
    static const char *const two[] = { "2025-04-26" };
    static const double two_want[] = { .2488 };

    (void)state;
    dates("reckon due --given-pregnant --service 2025-01-01" PLAIN, 7, one, one_want, 0.0005);           /* check 1 */
    dates("reckon due --given-pregnant --service 2025-01-01 2025-01-02" PLAIN, 1, two, two_want, 0.001); /* 4 */
    dates("reckon due --boar-from 2025-01-01 --boar-to 2025-02-12 --conception .8 --repeat-conception .8" PLAIN, 5, run,
          run_want, 0.0003); /* 10 */
}

/* Hand table: counted on a calendar. */
static void the_hand_table(void **state)
{
    static const struct {
        const char *service, *due;
    } table[] = {
        { "2025-01-01", "2025-04-26" }, { "2025-02-01", "2025-05-27" }, { "2025-03-15", "2025-07-08" },
        { "2025-08-20", "2025-12-13" }, { "2025-10-12", "2026-02-04" }, { "2023-11-10", "2024-03-04" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char line[128];
        (void)snprintf(line, sizeof line, "reckon due --service %s --plain-normal --clock 0", table[i].service);
        json_t *j = answer_to(line);
        near(j, line, "quantiles.50", moment(table[i].due) + 12 * 3600.0, 60.0, "calendar; 115 days");
        json_decref(j);
    }
}

static void due_spread(void **state)
{
    /* half width of the central 50, 90 %; her own past lengths: check 2, 3 */
    static const struct {
        const char *past;
        double mean_d, sd_d;
    } own[] = { { "", 115.0, 1.4 },
                { "--past-gestation 117", 116.0, 1.212 },
                { "--past-gestation 117 117", 116.33, 1.143 },
                { "--past-gestation 117 117 117", 116.50, 1.107 },
                { "--past-gestation 117 117 117 117 117", 116.67, 1.069 } };
    const double noon = moment("2025-01-01T12:00Z");

    (void)state;
    for (size_t i = 0; i < sizeof own / sizeof *own; i++) {
        char line[200];
        (void)snprintf(line, sizeof line, "reckon due --service 2025-01-01 --plain-normal --clock 0 %s", own[i].past);
        json_t *j = answer_to(line);
        near(j, line, "quantiles.50", noon + own[i].mean_d * 86400.0, 0.005 * 86400.0 + 30.0, MODEL);
        near(j, line, "quantiles.75", noon + (own[i].mean_d + 0.67449 * own[i].sd_d) * 86400.0, 0.01 * 86400.0, MODEL);
        near(j, line, "quantiles.5", noon + (own[i].mean_d - 1.64485 * own[i].sd_d) * 86400.0, 0.02 * 86400.0, MODEL);
        json_decref(j);
    }
    json_t *j = answer_to("reckon due --service 2025-01-01 2025-01-02 --plain-normal --clock 0"); /* 4 */
    near(j, "two services", "quantiles.50", noon + 115.5 * 86400.0, 0.001 * 86400.0 + 30.0, MODEL);
    json_decref(j);
    j = answer_to(
        "reckon due --boar-from 2025-01-01 --boar-to 2025-02-12 --conception .8 --repeat-conception .8" PLAIN); /* 9 */
    static const struct {
        const char *q;
        double d;
    } run[] = { { "quantiles.5", 116.08 },
                { "quantiles.25", 121.28 },
                { "quantiles.50", 127.56 },
                { "quantiles.75", 133.84 },
                { "quantiles.95", 150.29 } };
    for (size_t i = 0; i < sizeof run / sizeof *run; i++)
        near(j, "boar for 42 days", run[i].q, noon + run[i].d * 86400.0, 0.1 * 86400.0, MODEL);
    json_decref(j);
}

#define BOAR42 "--boar-from 2025-01-01 --boar-to 2025-02-12 --conception .8 --repeat-conception .8" PLAIN

static void due_chances(void **state)
{
    static const struct row rows[] = {
        { "reckon due --service 2025-01-01 --service 2025-01-22 --conception .85 --repeat-conception .75 "
          "--heat-while-pregnant .03 --return-seen .9" PLAIN,
          "p_pregnant", 1.0 - .2103, .0005, MODEL }, /* 5 */
        { "reckon due --service 2025-01-01 --conception .85 --not-farrowed-by 2025-04-28T00:00Z" PLAIN, "p_pregnant",
          .446, .003, MODEL }, /* 6 */
        { "reckon due --service 2025-01-01 --conception .85 --at 2025-04-29T00:00Z" PLAIN, "p_pregnant", .174, .003,
          MODEL },
        { "reckon due --service 2025-01-01 --conception .85 --at 2025-04-30T00:00Z" PLAIN, "p_pregnant", .034, .003,
          MODEL },
        { "reckon due --service 2025-01-01 --conception .85 --heavy-tail --at 2025-04-28T00:00Z" PLAIN, "p_pregnant",
          .466, .003, MODEL ", tail" },
        { "reckon due --service 2025-01-01 --conception .85 --heavy-tail --at 2025-04-29T00:00Z" PLAIN, "p_pregnant",
          .219, .003, MODEL ", tail" },
        { "reckon due --service 2025-01-01 --conception .85 --heavy-tail --at 2025-04-30T00:00Z" PLAIN, "p_pregnant",
          .082, .003, MODEL ", tail" },
        { "reckon due --boar-from 2025-01-01 --boar-to 2025-01-11 --conception .8 --repeat-conception .8 --cycle-sd "
          "0" PLAIN,
          "p_pregnant", .3810, .0005, MODEL }, /* 7 */
        { "reckon due --boar-from 2025-01-01 --boar-to 2025-01-22 --conception .8 --repeat-conception .8 --cycle-sd "
          "0" PLAIN,
          "p_pregnant", .8000, .0005, MODEL },
        { "reckon due --boar-from 2025-01-01 --boar-to 2025-01-31 --conception .8 --repeat-conception .8 --cycle-sd "
          "0" PLAIN,
          "p_pregnant", .8686, .0005, MODEL },
        { "reckon due --boar-from 2025-01-01 --boar-to 2025-02-12 --conception .8 --repeat-conception .8 --cycle-sd "
          "0" PLAIN,
          "p_pregnant", .9600, .0005, MODEL },
        { "reckon due --boar-from 2025-01-01 --boar-to 2025-03-02 --conception .8 --repeat-conception .8 --cycle-sd "
          "0" PLAIN,
          "p_pregnant", .9874, .0005, MODEL },
        { "reckon due --boar-from 2025-01-01 --boar-to 2025-01-22 --conception .8 --repeat-conception .8" PLAIN,
          "p_pregnant", .8046, .001, MODEL }, /* 8 */
        { "reckon due --boar-from 2025-01-01 --boar-to 2025-01-29 --conception .8 --repeat-conception .8" PLAIN,
          "p_pregnant", .8533, .001, MODEL },
        { "reckon due " BOAR42, "p_pregnant", .9567, .001, MODEL },
        { "reckon due " BOAR42 "--not-farrowed-by 2025-05-19T00:00Z", "p_pregnant", .773, .005, MODEL }, /* 11 */
        { "reckon due " BOAR42 "--scan 2025-02-15=positive", "p_pregnant", .9973, .003, MODEL },         /* 12 */
        { "reckon due " BOAR42 "--scan 2025-02-15=negative", "p_pregnant", .786, .003, MODEL },
        { "reckon due --weaned 2025-01-01 --boar-from 2025-01-01 --boar-to 2025-01-11 --conception .8 "
          "--repeat-conception .8 --cycle-sd 0" PLAIN,
          "p_pregnant", .704, .002, MODEL }, /* 13 */
        { "reckon due --weaned 2025-01-01 --boar-from 2025-01-01 --boar-to 2025-01-22 --conception .8 "
          "--repeat-conception .8 --cycle-sd 0" PLAIN,
          "p_pregnant", .752, .002, MODEL },
        { "reckon due --weaned 2025-01-01 --boar-from 2025-01-01 --boar-to 2025-02-05 --conception .8 "
          "--repeat-conception .8 --cycle-sd 0" PLAIN,
          "p_pregnant", .944, .002, MODEL },
    };

    (void)state;
    HOLD(rows);
}

static void whose_litter(void **state)
{
    static const struct {
        const char *born;
        double first;
    } table[] = { { "2025-05-15", .984 },
                  { "2025-05-17", .833 },
                  { "2025-05-18", .609 },
                  { "2025-05-19", .293 },
                  { "2025-05-21", .011 } };
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) { /* 14 */
        char line[256];
        (void)snprintf(line, sizeof line,
                       "reckon due --boar-from 2025-01-01 2025-01-22 --boar-to 2025-01-22 2025-02-12 --conception .8 "
                       "--repeat-conception .8 --cycle-sd 0 --plain-normal --clock 0 --born %s",
                       table[i].born);
        json_t *j = answer_to(line);
        near(j, line, "boars_if_born[0].probability", table[i].first, .003, MODEL);
        json_decref(j);
    }
}

static void due_with_signs(void **state)
{
#define AT114   "--at 2025-04-25T12:00Z "
#define AT112   "--at 2025-04-23T12:00Z "
#define PLUS114 "@2025-04-25T12:00Z "
    static const struct {
        const char *words;
        double p6, p12, p24, p48, off;
    } rows[] = {
        { AT114, .077, .161, .344, .689, .002 }, /* 15 */
        { AT112, .009, .021, .062, .225, .002 }, /* 16 */
        { "--at 2025-04-27T12:00Z", .217, .402, .678, .932, .002 },
        { AT114 "--sign nest" PLUS114, .296, .592, .890, .973, .003 }, /* 17 */
        { AT114 "--no-sign nest" PLUS114, .010, .030, .178, .602, .003 },
        { AT112 "--sign nest@2025-04-23T12:00Z", .142, .325, .581, .719, .003 }, /* 18 */
        { AT114 "--sign milk-drops" PLUS114 "--no-sign milk-streams" PLUS114 "--no-sign nest" PLUS114, .007, .046, .344,
          .804, .003 }, /* 19 */
        { AT114 "--sign-power 1 --sign nest" PLUS114 "--sign milk-streams" PLUS114, .620, .918, .993, .999,
          .003 }, /* 20 */
        { AT114 "--sign-power 0.7 --sign nest" PLUS114 "--sign milk-streams" PLUS114, .512, .822, .962, .989, .003 },
        { AT114 "--sign away" PLUS114 "--no-sign nest" PLUS114, .026, .078, .421, .874, .003 },         /* 21 */
        { AT114 "--no-sign nest@2025-04-25T00:00Z --sign nest" PLUS114, .190, .498, .856, .962, .004 }, /* 22 */
        { AT114 "--clock 0.25", .076, .179, .340, .684, .003 },                                         /* 24 */
        { AT112 "--fresh-bedding --sign nest@2025-04-23T12:00Z", NAN, NAN, .198, NAN, .003 }, /* false nests */
        { AT112 "--fresh-bedding --alone --sign nest@2025-04-23T12:00Z", .142, .325, .581, .719, .003 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double want[] = { rows[i].p6, rows[i].p12, rows[i].p24, rows[i].p48 };
        static const char *const key[] = { "p_within_6h", "p_within_12h", "p_within_24h", "p_within_48h" };
        char line[400];
        (void)snprintf(line, sizeof line, "reckon due --given-pregnant --service 2025-01-01 --plain-normal %s %s",
                       strstr(rows[i].words, "--clock") ? "" : "--clock 0", rows[i].words);
        json_t *j = answer_to(line);
        for (size_t k = 0; k < 4; k++)
            if (!isnan(want[k]))
                near(j, line, key[k], want[k], rows[i].off, MODEL);
        json_decref(j);
    }
    /* 23: boar for 42 days, noon of day 130, open mass .043 */
#define AT130 "reckon due " BOAR42 "--at 2025-05-11T12:00Z "
    static const struct row run[] = {
        { AT130, "p_within_24h", .089, .004, MODEL },
        { AT130 "--sign nest@2025-05-11T12:00Z", "p_within_24h", .722, .004, MODEL },
        { AT130 "--sign-power 1 --sign nest@2025-05-11T12:00Z milk-streams@2025-05-11T12:00Z", "p_within_24h", .982,
          .004, MODEL },
        { AT130 "--no-sign nest@2025-05-11T12:00Z milk-streams@2025-05-11T12:00Z udder-tight@2025-05-11T12:00Z",
          "p_within_24h", .007, .004, MODEL },
    };
    HOLD(run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(due_by_date), cmocka_unit_test(the_hand_table), cmocka_unit_test(due_spread),
        cmocka_unit_test(due_chances), cmocka_unit_test(whose_litter),   cmocka_unit_test(due_with_signs),
    };
    return cmocka_run_group_tests_name("reckon due", tests, NULL, say_figures);
}
