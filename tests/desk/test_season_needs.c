/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a season wants: ages from weights (12 kg at 8 weeks is the middle of what slow weaners weigh, from memory), own
 * weighings, feed by hand for one sow, sums that have to add up, money only with a price. The farm is invented.
 */
#include "ask_case.h"

#include <math.h>

#define ASKS "sell-from=2027-03-29 sell-to=2027-04-25 pigs=36 winters=200"
#define AT   "2026-08-10T18:00Z"

static size_t checks;

static void is_true(bool is, const char *what)
{
    if (!is)
        fail_msg("%s", what);
    checks++;
}

static void near(const struct ask_case *s, const char *path, double want, double off)
{
    const double got = answer_get_real(s->answer, path);

    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.4f, got %.4f, allowed %g", path, want, got, off);
    checks++;
}

static void farm_of(struct farm_case *c, size_t sows)
{
    static const char *const names[] = {
        "Bramble", "Sedge", "Tansy", "Clover", "Burdock", "Teasel", "Yarrow", "Mallow"
    };

    case_open_empty(c);
    case_record(c, "farm", "name=Larkmoor", "lat=52", "lon=-2", "zone=Europe/London", NULL);
    for (size_t i = 0; i < sows; i++) {
        char name[48];
        (void)snprintf(name, sizeof name, "name=%s", names[i]);
        case_record(c, "sow", name, "born=2022-03-01", "litters-before=3", NULL);
    }
    case_record(c, "hut", "name=Hut 1", NULL);
}

static void asks(struct ask_case *s, struct farm_case *c, const char *words)
{
    struct message why = { "", "" };

    if (ask_try(s, c->farm, "season", words, AT, &why) != ST_OK)
        fail_msg("%s: %s", words, why.text);
    checks++;
}

static double sum(const struct ask_case *s, const char *key)
{
    double x = 0.0;

    for (const struct answer *w = answer_at(s->answer, "needs.by_week")->first; w; w = w->next)
        x += answer_get_real(w, key);
    return x;
}

static void weights_and_ages(void **state)
{
    struct farm_case c;
    struct ask_case s, t;
    struct message why = { "", "" };

    (void)state;
    farm_of(&c, 8);
    asks(&s, &c, ASKS);
    near(&s, "growth.age_d", 56.0, 0.0);
    near(&s, "growth.kg", 12.0, 0.1);
    is_true(isnan(answer_get_real(s.answer, "growth.wanted_kg")), "no weight was asked for");
    asks(&t, &c, ASKS " weight=12kg");
    near(&t, "growth.age_d", 56.0, 1.0);
    near(&t, "growth.wanted_kg", 12.0, 1e-9);
    is_true(answer_get_real(t.answer, "growth.five_in_six_age_d") > 60.0, "five in six come later");
    ask_close(&t);
    asks(&t, &c, ASKS " weight=15kg");
    near(&t, "growth.kg", 15.0, 0.2);
    is_true(answer_get_real(t.answer, "growth.age_d") > 60.0 && answer_get_real(t.answer, "growth.age_d") < 75.0,
            "15 kg at nine or ten weeks");
    near(&t, "growth.light_kg", 12.0, 0.4); /* one pig in six will be under 12 kg */
    /* a heavier pig is older: he goes in sooner, and weaned pigs eat for longer */
    is_true(answer_at(t.answer, "plan.boar_in")->is.whole <= answer_at(s.answer, "plan.boar_in")->is.whole, "sooner");
    is_true(answer_get_real(t.answer, "needs.pig_feed_kg") > answer_get_real(s.answer, "needs.pig_feed_kg"), "more");
    is_true(answer_at(t.answer, "plan.ready_from")->is.whole - answer_at(t.answer, "plan.first_litters")->is.whole ==
                llround(answer_get_real(t.answer, "growth.age_d")),
            "ready so many days after birth");
    ask_close(&t);
    ask_close(&s);
    is_true(ask_try(&s, c.farm, "season", ASKS " weight=15kg age=56d", AT, &why) == ST_BAD_INPUT, "not both");
    ask_close(&s);
    is_true(ask_try(&s, c.farm, "season", ASKS " weight=119kg", AT, &why) == ST_BAD_INPUT &&
                strcmp(why.field, "weight") == 0,
            "not within 300 days");
    ask_close(&s);
    case_close(&c);
}

/* Two litters weaned at 56 days with pigs a quarter heavier than the curve: most of that is believed. */
static void own_weighings(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    farm_of(&c, 8);
    case_record(&c, "farrowing", "sow=Bramble", "start=2026-02-01 10:00", "born-alive=8", NULL);
    case_record(&c, "weaning", "sow=Bramble", "at=2026-03-29 10:00", "weaned=8", "mass=120kg", NULL);
    case_record(&c, "farrowing", "sow=Sedge", "start=2026-02-01 10:00", "born-alive=8", NULL);
    case_record(&c, "weaning", "sow=Sedge", "at=2026-03-29 10:00", "weaned=8", "mass=120kg", NULL);
    case_record(&c, "weighing", "animal=Tansy", "on=2026-03-29", "mass=210kg", NULL); /* a sow: not a young pig */
    asks(&s, &c, ASKS);
    near(&s, "growth.own_weighings", 2.0, 0.0);
    near(&s, "growth.own_litters", 2.0, 0.0);
    /* precision 2 / (0.01 + 0.0225 / 8) = 156.1 against 44.4 of the curve: 0.778; 12.02 (15 / 12.02)^0.778 = 14.28 */
    near(&s, "growth.own_weight", 0.778, 0.002);
    near(&s, "growth.kg", 14.28, 0.05);
    is_true(strstr(answer_get_text(s.answer, "growth.says"), "2 weighings of your own") != NULL, "said");
    ask_close(&s);
    case_close(&c);
}

static void asked_by_weight(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    farm_of(&c, 4);
    case_record(&c, "asked", "from=2027-03-29", "to=2027-04-25", "pigs=10", "mass=15kg", NULL);
    asks(&s, &c, "winters=200");
    near(&s, "growth.wanted_kg", 15.0, 1e-9);
    near(&s, "growth.kg", 15.0, 0.2);
    ask_close(&s);
    asks(&s, &c, "winters=200 age=56d"); /* what is typed goes before what is written */
    near(&s, "growth.age_d", 56.0, 0.0);
    ask_close(&s);
    case_close(&c);
}

/* One dry sow of 200 kg and no past hours: 5,318 + 1,000 for gain = 6,318 x 1.15 = 7,266, or with an hour more on foot
 * 6,547; 7,266 of 3,050 kcal with 15 in 100 trodden in: 2.80 kg a day, 19.6 a week. */
static void by_hand(void **state)
{
    struct farm_case c;
    struct ask_case s;

    (void)state;
    farm_of(&c, 1);
    asks(&s, &c, ASKS);
    const struct answer *first = answer_at(s.answer, "needs.by_week")->first;
    is_true(fabs(answer_get_real(first, "dry") + answer_get_real(first, "in_pig") - 1.0) < 1e-6, "one sow");
    is_true(fabs(answer_get_real(first, "sow_feed_kg") - 19.6) < 0.3, "19.6 kg in the first week");
    for (const struct answer *w = first; w; w = w->next)
        is_true(fabs(answer_get_real(w, "dry") + answer_get_real(w, "in_pig") + answer_get_real(w, "suckling") - 1.0) <
                    1e-6,
                "a sow is dry, in pig or suckling");
    ask_close(&s);
    case_close(&c);
}

/* A boar eats 7,800 kcal a day, 3.01 kg of such feed with 15 in 100 trodden in, 21.1 a week; one that has left eats none. */
static void a_boar_eats_while_he_is_here(void **state)
{
    double kg[3];

    (void)state;
    for (size_t k = 0; k < 3; k++) { /* none, one, two of whom one has left */
        struct farm_case c;
        struct ask_case s;
        farm_of(&c, 1);
        if (k > 0)
            case_record(&c, "boar", "name=Flint", "born=2022-03-01", NULL);
        if (k > 1) {
            case_record(&c, "boar", "name=Rook", "born=2022-03-01", NULL);
            case_record(&c, "leaving", "animal=Rook", "on=2026-05-01", "how=sold", NULL);
        }
        asks(&s, &c, ASKS " boar-in=2026-10-05");
        kg[k] = answer_get_real(answer_at(s.answer, "needs.by_week")->first, "sow_feed_kg");
        ask_close(&s);
        case_close(&c);
    }
    is_true(fabs(kg[1] - kg[0] - 21.06) < 0.05, "21.1 kg a week for a boar");
    is_true(fabs(kg[2] - kg[1]) < 0.01, "none for one that has left");
}

/* By hand from the table: its weeks before that day (a week cut by it in proportion), and before the table begins as
 * much a day as in its first week. */
static double eaten_by_hand(const struct answer *a)
{
    const int64_t by = answer_at(a, "needs.there_by")->is.whole, today = civil_days(2026, 8, 10);
    const struct answer *first = answer_at(a, "needs.by_week")->first;
    const int64_t begins = answer_at(first, "from")->is.whole;
    double kg = 0.0, a_day = NAN;

    for (const struct answer *w = first; w; w = w->next) {
        const int64_t from = answer_at(w, "from")->is.whole;
        const double days = answer_get_real(w, "days"), before = fmin(days, fmax(0.0, (double)(by - from)));
        const double feed =
            answer_get_real(w, "sow_feed_kg") + answer_get_real(w, "creep_kg") + answer_get_real(w, "pig_feed_kg");
        a_day = isnan(a_day) ? feed / days : a_day;
        kg += feed * before / days;
    }
    return kg + a_day * (double)(begins - today);
}

static void eaten_before_is_taken_off(struct farm_case *c)
{
    struct ask_case now, before;

    asks(&now, c, ASKS " feed-there=50000kg");
    const double eaten = eaten_by_hand(now.answer);
    is_true(eaten > 1000.0, "from August to winter eight sows eat more than a tonne");
    near(&now, "needs.feed_left_kg", 50000.0 - eaten, 0.01 * eaten); /* a cut week, and a first day for a first week */
    case_record(c, "stock", "at=2026-05-22T18:00Z", "feed=50000kg", NULL); /* eighty days before */
    asks(&before, c, ASKS);
    const struct answer *first = answer_at(now.answer, "needs.by_week")->first;
    near(&before, "needs.feed_left_kg",
         answer_get_real(now.answer, "needs.feed_left_kg") - 80.0 * answer_get_real(first, "sow_feed_kg") / 7.0, 5.0);
    ask_close(&before);
    ask_close(&now);
}

static void sums_stock_and_money(void **state)
{
    struct farm_case c;
    struct ask_case s, t;

    (void)state;
    farm_of(&c, 8);
    asks(&s, &c, ASKS);
    near(&s, "needs.sow_feed_kg", sum(&s, "sow_feed_kg"), 1e-6);
    near(&s, "needs.creep_kg", sum(&s, "creep_kg"), 1e-6);
    near(&s, "needs.pig_feed_kg", sum(&s, "pig_feed_kg"), 1e-6);
    near(&s, "needs.straw_kg", sum(&s, "straw_kg"), 1e-6);
    /* 8 kg of creep a pig weaned at 56 days, and 15 in 100 trodden in */
    near(&s, "needs.creep_kg", 8.0 / 0.85 * answer_get_real(s.answer, "plan.pigs"), 20.0);
    is_true(isnan(answer_get_real(s.answer, "needs.feed_cost")) && isnan(answer_get_real(s.answer, "needs.straw_cost")),
            "no money without a price");
    is_true(isnan(answer_get_real(s.answer, "needs.feed_there_kg")), "feed was never counted");
    is_true(isnan(answer_get_real(s.answer, "needs.bales_there")) &&
                isnan(answer_get_real(s.answer, "needs.bales_lack")),
            "never counted");
    is_true(answer_at(s.answer, "needs.there_by")->is.whole == answer_at(s.answer, "plan.first_litters")->is.whole - 14,
            "two weeks before the first litters");
    near(&s, "needs.night_litters", answer_get_real(s.answer, "plan.worst_night"), 0.0);
    is_true(answer_get_real(s.answer, "needs.night_hands") >= 1.0, "somebody");
    near(&s, "needs.buyers", ceil(answer_get_real(s.answer, "plan.in_time.mean") / 2.0), 0.0);
    case_record(&c, "stock", "at=2026-05-20 10:00", "straw-bales=40", "bale=20kg", "people=2", "hand-minutes=30", NULL);
    asks(&t, &c, ASKS " feed-price=0.4 straw-price=3 feed-there=500kg");
    near(&t, "needs.feed_cost", 0.4 * answer_get_real(t.answer, "needs.feed_kg"), 1e-6);
    near(&t, "needs.straw_cost", 3.0 * answer_get_real(t.answer, "needs.straw_bales"), 1e-6);
    /* What there is is eaten before that day as well: in the weeks of the table before it, and at the rate of its first
     * day before the table begins. */
    is_true(answer_get_real(t.answer, "needs.feed_left_kg") <= 500.0, "no more than there is");
    near(&t, "needs.feed_lacks_kg",
         answer_get_real(t.answer, "needs.there_feed_kg") - answer_get_real(t.answer, "needs.feed_left_kg"), 1e-6);
    case_record(&c, "stock", "at=2026-05-21 10:00", "feed=420kg", NULL); /* the straw counted the day before stands */
    struct ask_case u;
    asks(&u, &c, ASKS);
    near(&u, "needs.feed_there_kg", 420.0, 1e-9);
    near(&u, "needs.bales_there", 40.0, 0.0);
    ask_close(&u);
    eaten_before_is_taken_off(&c);
    asks(&u, &c, ASKS " feed-there=500kg"); /* what is typed goes before what was counted */
    near(&u, "needs.feed_there_kg", 500.0, 1e-9);
    ask_close(&u);
    near(&t, "needs.bales_there", 40.0, 0.0);
    near(&t, "needs.bales_lack",
         fmax(0.0, answer_get_real(t.answer, "needs.there_bales") - answer_get_real(t.answer, "needs.bales_left")),
         0.0);
    is_true(answer_get_real(t.answer, "needs.bales_left") <= 40.0, "no more than were counted");
    near(&t, "needs.hands_there", 2.0, 0.0);
    char diary[32];
    (void)snprintf(diary, sizeof diary, "%.0f bales of 20 kg", answer_get_real(t.answer, "needs.bales_to_begin"));
    case_record(&c, "asked", "from=2027-03-29", "to=2027-04-25", "pigs=36", NULL);
    bool said = false;
    for (const struct answer *e = answer_at(t.answer, "events")->first; e; e = e->next)
        said |= answer_get_text(e, "says") && strstr(answer_get_text(e, "says"), diary);
    is_true(said, "the diary says the same bales");
    ask_close(&t);
    ask_close(&s);
    case_close(&c);
}

/* The same farm with hours of 8 C and of -8 C all the year round: colder never wants less. */
static void colder(void **state)
{
    double sow[2], pig[2];

    (void)state;
    for (size_t k = 0; k < 2; k++) {
        struct farm_case c;
        struct ask_case s;
        farm_of(&c, 3);
        struct hour *hours = ARENA_NEW(&c.mem, struct hour, 365 * 24);
        assert_non_null(hours);
        for (size_t i = 0; i < (size_t)365 * 24; i++) {
            hours[i] = hour_unknown(case_moment("2025-01-01T00:00Z") + (int64_t)i * 3600);
            hours[i].temp_c = k ? -8.0 : 8.0;
            hours[i].wind_mps = 3.0;
            hours[i].wind_from_deg = 270.0;
        }
        case_put_hours(&c, WEATHER_PAST, "station", case_moment(CASE_RECORDED "Z"), (size_t)365 * 24, hours);
        asks(&s, &c, ASKS " boar-in=2026-10-05");
        near(&s, "needs.by_week[3].temp_c", k ? -8.0 : 8.0, 1e-9);
        sow[k] = answer_get_real(s.answer, "needs.sow_feed_kg");
        pig[k] = answer_get_real(s.answer, "needs.pig_feed_kg");
        ask_close(&s);
        case_close(&c);
    }
    is_true(sow[1] > 1.1 * sow[0], "sows want more at -8 than at 8");
    is_true(pig[1] >= pig[0], "and pigs no less");
}

static int closing(void **state)
{
    (void)state;
    printf("season's needs: %zu checks\n", checks);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(weights_and_ages),
        cmocka_unit_test(own_weighings),
        cmocka_unit_test(asked_by_weight),
        cmocka_unit_test(by_hand),
        cmocka_unit_test(a_boar_eats_while_he_is_here),
        cmocka_unit_test(sums_stock_and_money),
        cmocka_unit_test(colder),
    };
    return cmocka_run_group_tests_name("season's needs", tests, NULL, closing);
}
