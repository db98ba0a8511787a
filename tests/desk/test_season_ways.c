/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * season: ways to do it. Boars at hand and their limits, the boar in reserve, groups, service by hand, a second litter,
 * what one change would bring, pigs by week. Held against sums by hand, against the same question asked in full (another
 * path, one thread), and against the best of all Mondays asked one by one. The farm is invented.
 */
#include "ask_case.h"

#include <math.h>

#define ASKS "sell-from=2027-03-29 sell-to=2027-04-25 pigs=36"
#define AT   "2026-08-10T18:00Z"

static size_t checks;

static void farm_of(struct farm_case *c, size_t sows, size_t gilts, const char *lat, const char *zone)
{
    char words[64];

    case_open_empty(c);
    (void)snprintf(words, sizeof words, "lat=%s", lat);
    char in_zone[64];
    (void)snprintf(in_zone, sizeof in_zone, "zone=%s", zone);
    case_record(c, "farm", "name=Larkmoor", words, "lon=0", in_zone, NULL);
    for (size_t i = 0; i < sows + gilts; i++) {
        char name[48];
        (void)snprintf(name, sizeof name, "name=%s %zu", i < sows ? "Sow" : "Gilt", i + 1);
        if (i < sows)
            case_record(c, "sow", name, "born=2022-03-01", "litters-before=3", NULL);
        else
            case_record(c, "gilt", name, "born=2025-09-01", NULL);
    }
    for (size_t i = 0; i < 6; i++) {
        char hut[32];
        (void)snprintf(hut, sizeof hut, "name=Hut %zu", i + 1);
        case_record(c, "hut", hut, NULL);
    }
}

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.6f, got %.6f, allowed %g", what, want, got, off);
    checks++;
}

static void is_true(bool yes, const char *what)
{
    if (!yes)
        fail_msg("%s", what);
    checks++;
}

static double figure(const struct answer *a, const char *path)
{
    const double x = answer_get_real(a, path);

    if (isnan(x))
        fail_msg("%s is no figure", path);
    return x;
}

static const struct answer *choice(const struct answer *a, const char *key)
{
    for (const struct answer *c = answer_at(a, "choices")->first; c; c = c->next)
        if (strcmp(answer_get_text(c, "key"), key) == 0)
            return c;
    return NULL;
}

static const struct answer *event(const struct answer *a, const char *key)
{
    for (const struct answer *e = answer_at(a, "events")->first; e; e = e->next)
        if (strcmp(answer_get_text(e, "key"), key) == 0)
            return e;
    return NULL;
}

/* Who is here, and how many each may serve: 15 a grown boar, 4 a young one, what is recorded before that. One that was
 * sold is not counted. Eight sows of one boar: one season in twenty without a litter; of two boars 1 in 400. */
static void boars_at_hand(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    farm_of(&c, 8, 0, "54.6", "Europe/London");
    const struct answer *a = ask(&s, c.farm, "season", ASKS " winters=1000 choices=no", AT);
    is_true(answer_count(answer_at(a, "boars")) == 1, "a boar is taken where none is recorded");
    is_true(answer_at(a, "choices") == NULL, "no choices where none are wanted");
    const double one = figure(a, "plan.litters");
    ask_close(&s);
    case_record(&c, "boar", "name=Flint", "born=2022-03-01", NULL);
    case_record(&c, "boar", "name=Spark", "born=2026-03-01", NULL);
    case_record(&c, "boar", "name=Rook", "born=2022-03-01", "sows-most=6", NULL);
    case_record(&c, "boar", "name=Old", "born=2020-03-01", NULL);
    case_record(&c, "leaving", "animal=Old", "on=2026-05-01", "how=sold", NULL);
    a = ask(&s, c.farm, "season", ASKS " winters=1000 choices=no", AT);
    is_true(answer_count(answer_at(a, "boars")) == 3, "the sold one is not counted");
    for (const struct answer *b = answer_at(a, "boars")->first; b; b = b->next) {
        const char *name = answer_get_text(b, "name");
        near(name, figure(b, "most"), strcmp(name, "Flint") == 0 ? 15.0 : strcmp(name, "Spark") == 0 ? 4.0 : 6.0, 0.0);
    }
    near("three boars, the same on average", figure(a, "plan.litters"), one, 1e-6);
    ask_close(&s);
    case_close(&c);
}

/* Twenty sows of one boar of 15: three heats of four are served. In 21 days a cycling sow has one heat, and the litters
 * are three quarters but for the few second heats. */
static void more_than_he_manages(void **state)
{
    struct farm_case c;
    struct ask_case s;
    double litters[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        farm_of(&c, i ? 20 : 15, 0, "54.6", "Europe/London");
        case_record(&c, "boar", "name=Flint", "born=2022-03-01", NULL);
        const struct answer *a = ask(&s, c.farm, "season", ASKS " winters=100 choices=no boar-in=2026-10-12", AT);
        litters[i] = figure(a, "plan.litters");
        bool said = false;
        for (const struct answer *w = answer_at(a, "cautions")->first; w; w = w->next)
            said = said || strstr(w->is.text, "a part is taken as served");
        is_true(said == (i == 1), "what he cannot manage is said");
        ask_close(&s);
        case_close(&c);
    }
    near("litters a sow, of those of a boar with room", litters[1] / 20.0 / (litters[0] / 15.0), 0.75, 0.01);
}

/* What a choice says is the difference of two whole questions in the same winters, reckoned one after the other. */
static void choices_are_whole_questions(void **state)
{
    static const struct {
        const char *key, *words;
    } row[] = { { "reserve", "reserve=yes" },
                { "second", "litters=2" },
                { "later", "boar-in=2026-10-26" },
                { "earlier", "boar-in=2026-09-28" } };
    struct farm_case c;
    struct ask_case s, other, again;
    char words[160];

    (void)state;
    farm_of(&c, 8, 2, "54.6", "Europe/London");
    case_record(&c, "boar", "name=Flint", "born=2022-03-01", NULL);
    const struct answer *a = ask(&s, c.farm, "season", ASKS " winters=2000 boar-in=2026-10-12", AT);
    near("drawn in", figure(a, "choice_winters"), 2000.0, 0.0);
    for (size_t i = 0; i < COUNT(row); i++) {
        const struct answer *x = choice(a, row[i].key);
        (void)snprintf(words, sizeof words, ASKS " winters=2000 choices=no %s%s", row[i].words,
                       strncmp(row[i].words, "boar", 4) == 0 ? "" : " boar-in=2026-10-12");
        const struct answer *b = ask(&other, c.farm, "season", words, AT);
        is_true(x != NULL, row[i].key);
        near(row[i].key, figure(x, "pigs.mean"), figure(b, "plan.in_time.mean") - figure(a, "plan.in_time.mean"), 1e-6);
        near(row[i].key, figure(x, "worth.mean"), figure(b, "plan.worth.mean") - figure(a, "plan.worth.mean"), 1e-6);
        near(row[i].key, figure(x, "bad_season.mean"), figure(b, "plan.bad_season") - figure(a, "plan.bad_season"),
             1e-9);
        near(row[i].key, figure(x, "litters.mean"), figure(b, "plan.litters") - figure(a, "plan.litters"),
             4.0 * figure(x, "litters.se") + 1e-3);
        ask_close(&other);
    }
    is_true(figure(choice(a, "reserve"), "litters.mean") > 0.0, "a reserve brings litters");
    is_true(figure(choice(a, "reserve"), "bad_season.mean") < 0.0, "and spares bad seasons");
    is_true(figure(choice(a, "boar"), "bad_season.mean") < 0.0, "so does another boar");
    is_true(figure(choice(a, "gilts"), "litters.mean") < -1.0, "two gilts, over one litter");
    near("a hut changes no litter", figure(choice(a, "hut"), "litters.mean"), 0.0, 0.0);
    is_true(figure(choice(a, "scan"), "litters.mean") > 0.0, "who is found empty goes again");
    is_true(isnan(answer_get_real(choice(a, "hut"), "danger.mean")), "no past hours: nothing is made up");
    ask(&again, c.farm, "season", ASKS " winters=2000 boar-in=2026-10-12", AT);
    for (const struct answer *x = answer_at(a, "choices")->first, *y = answer_at(again.answer, "choices")->first;
         x && y; x = x->next, y = y->next) {
        assert_string_equal(answer_get_text(x, "says"), answer_get_text(y, "says")); /* the same every time */
        near("again", figure(x, "worth.mean"), figure(y, "worth.mean"), 0.0);
    }
    ask_close(&again);
    ask_close(&s);
    case_close(&c);
}

/* Second litters by hand: first ones from 3 February, weaned 56 days on, on heat 5 later, 115 days: 176 days on. */
static void a_second_litter(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    farm_of(&c, 8, 0, "54.6", "Europe/London");
    case_record(&c, "boar", "name=Flint", "born=2022-03-01", NULL);
    const struct answer *a = ask(&s, c.farm, "season", ASKS " winters=500 boar-in=2026-10-12", AT);
    const struct answer *x = choice(a, "second");
    const int64_t first = answer_at(a, "plan.first_litters")->is.whole, from = answer_at(x, "second_from")->is.whole;
    near("days from first litters to second", (double)(from - first), 176.0, 3.0);
    near("ready", (double)(answer_at(x, "second_ready_from")->is.whole - from), 56.0, 0.0);
    /* of a weaned sow with the boar for 21 days 0.752 farrow (docs/reckoning/breeding.md, check 13) */
    near("second litters", figure(x, "second_pigs") / figure(a, "plan.pigs"), 0.752, 0.02);
    ask_close(&s);
    case_close(&c);
}

static void groups_and_service_by_hand(void **state)
{
    struct farm_case c;
    struct ask_case s, t;

    (void)state;
    farm_of(&c, 9, 0, "54.6", "Europe/London");
    case_record(&c, "boar", "name=Flint", "born=2022-03-01", NULL);
    const struct answer *a =
        ask(&s, c.farm, "season", ASKS " winters=500 choices=no boar-in=2026-09-21,2026-11-02", AT);
    is_true(answer_count(answer_at(a, "groups")) == 2, "two groups");
    near("the first", figure(a, "groups[0].sows"), 5.0, 0.0);
    near("the second", figure(a, "groups[1].sows"), 4.0, 0.0);
    is_true(answer_at(a, "groups[1].boar_in")->is.whole == civil_days(2026, 11, 2), "his day");
    is_true(event(a, "season-boar-in") && event(a, "season-boar-in-2"), "both in the diary");
    double sum = 0.0; /* births of the first and of the second lie apart */
    for (const struct answer *d = answer_at(a, "by_day")->first; d; d = d->next)
        if (answer_at(d, "day")->is.whole < civil_days(2026, 11, 2) + 110)
            sum += figure(d, "litters");
    near("litters of the first", sum / figure(a, "plan.litters"), 5.0 / 9.0, 0.03);
    ask_close(&s);
    a = ask(&s, c.farm, "season", ASKS " winters=500 choices=no boar-in=2026-10-12 stay=42d", AT);
    const struct answer *h =
        ask(&t, c.farm, "season", ASKS " winters=500 choices=no boar-in=2026-10-12 stay=42d hand=yes", AT);
    near("one heat of a sow: 0.8, of a boar 0.95", figure(h, "plan.litters"), 9.0 * 0.8 * 0.95, 0.02);
    is_true(figure(h, "plan.litters") < figure(a, "plan.litters"), "he that stays takes the second heats too");
    is_true(answer_count(answer_at(h, "services")) == 9, "each sow's own days");
    ask_close(&t);
    ask_close(&s);
    case_close(&c);
}

static void reserve_diary_and_warm_weeks(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    farm_of(&c, 6, 0, "54.6", "Europe/London");
    const struct answer *a = ask(&s, c.farm, "season", ASKS " winters=500 reserve=yes boar-in=2026-09-14", AT);
    is_true(answer_at(event(a, "season-reserve"), "from")->is.whole == civil_days(2026, 10, 8), "he goes in on day 24");
    is_true(event(a, "season-returns") && event(a, "season-no-mixing"), "returns are looked for, no new groups");
    near("no new groups from day 5",
         (double)(answer_at(event(a, "season-no-mixing"), "from")->is.whole - civil_days(2026, 9, 14)), 5.0, 0.0);
    is_true(strstr(answer_get_text(choice(a, "reserve"), "title"), "Without"), "the choice is to do without him");
    is_true(figure(choice(a, "reserve"), "litters.mean") < 0.0, "which costs litters");
    bool warm = false; /* litters in mid-January: served in September */
    for (const struct answer *w = answer_at(a, "cautions")->first; w; w = w->next)
        warm = warm || strstr(w->is.text, "fewer sows take");
    is_true(warm, "the warm weeks are said");
    ask_close(&s);
    case_close(&c);
}

/* The day that is found is the best of all Mondays, each asked alone; in the south as in the north. */
static void the_best_of_all_mondays(void **state)
{
    static const struct {
        const char *lat, *zone, *at, *words;
    } where[] = { { "54.6", "Europe/London", "2026-08-10T18:00Z", ASKS },
                  { "-45.0", "Pacific/Auckland", "2027-02-10T18:00Z",
                    "sell-from=2027-09-29 sell-to=2027-10-26 pigs=20" } };
    struct farm_case c;
    struct ask_case s, one;

    (void)state;
    for (size_t i = 0; i < COUNT(where); i++) {
        char words[160];
        double best = -INFINITY;
        int64_t best_day = 0;
        farm_of(&c, 3, 0, where[i].lat, where[i].zone);
        (void)snprintf(words, sizeof words, "%s winters=1000 choices=no", where[i].words);
        const struct answer *a = ask(&s, c.farm, "season", words, where[i].at);
        const int64_t first = answer_at(a, "by_week[0].boar_in")->is.whole;
        for (int64_t w = 0; w < 52; w += 1) {
            const struct civil d = civil_from_days(first + 7 * w);
            (void)snprintf(words, sizeof words, "%s winters=1000 choices=no boar-in=%04d-%02d-%02d", where[i].words,
                           d.year, d.month, d.day);
            const struct answer *b = ask(&one, c.farm, "season", words, where[i].at);
            if (figure(b, "plan.worth.mean") > best) {
                best = figure(b, "plan.worth.mean");
                best_day = first + 7 * w;
            }
            ask_close(&one);
        }
        is_true(answer_at(a, "plan.boar_in")->is.whole == best_day, "no Monday is better");
        near("its worth", figure(a, "plan.worth.mean"), best, 1e-9);
        ask_close(&s);
        case_close(&c);
    }
}

static void pigs_by_week(void **state)
{
    struct farm_case c;
    struct ask_case s;
    double ready = 0.0, asked = 0.0;

    (void)state;
    farm_of(&c, 8, 0, "54.6", "Europe/London");
    const struct answer *a = ask(&s, c.farm, "season", ASKS " winters=500 choices=no boar-in=2026-10-12", AT);
    for (const struct answer *w = answer_at(a, "sale_weeks")->first; w; w = w->next) {
        is_true(civil_weekday(answer_at(w, "from")->is.whole) == 0, "weeks begin on Monday");
        ready += figure(w, "ready.expected");
        asked += figure(w, "asked");
        is_true(figure(w, "ready.p10") <= figure(w, "ready.p90"), "in order");
    }
    near("they add up to the pigs", ready, figure(a, "plan.pigs"), 0.02);
    is_true(asked > 20.0 && asked <= 36.0 + 1e-9, "what is asked in those weeks");
    ask_close(&s);
    case_close(&c);
}

static void refused(void **state)
{
    static const char *const words[][2] = { { "boar-in=2026-11-02,2026-09-21", "boar-in" },
                                            { "boar-in=2026-09-21,2026-11-02 boar-out=2026-12-01", "boar-out" },
                                            { "boar-in=2026-09-21,2027-11-02", "boar-in" },
                                            { "boar-in=2026-09-21,,2026-11-02", "boar-in" },
                                            { "reserve=perhaps", "reserve" },
                                            { "litters=3", "litters" } };
    struct farm_case c;
    struct ask_case s;
    struct message why = { "", "" };

    (void)state;
    farm_of(&c, 2, 0, "54.6", "Europe/London");
    for (size_t i = 0; i < COUNT(words); i++) {
        assert_int_equal(ask_try(&s, c.farm, "season", words[i][0], AT, &why), ST_BAD_INPUT);
        assert_string_equal(why.field, words[i][1]);
        ask_close(&s);
        checks += 2;
    }
    case_close(&c);
}

static int closing(void **state)
{
    (void)state;
    printf("season's ways: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(boars_at_hand),
        cmocka_unit_test(more_than_he_manages),
        cmocka_unit_test(choices_are_whole_questions),
        cmocka_unit_test(a_second_litter),
        cmocka_unit_test(groups_and_service_by_hand),
        cmocka_unit_test(reserve_diary_and_warm_weeks),
        cmocka_unit_test(the_best_of_all_mondays),
        cmocka_unit_test(pigs_by_week),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests_name("season's ways", tests, NULL, closing);
}
