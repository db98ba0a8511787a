/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is to be done today: each rule fires on its day and on no other. The days themselves, each with where it is
 * published, stand in docs/reckoning/round.md. */
#include "farm_case.h"

#include <math.h>

#include "desk/prompts.h"
#include "desk/when.h"

/* ---- a day's prompts ---- */

static int64_t day_number(const char *date)
{
    struct civil_text t = { 0 };
    if (!civil_read(date, &t))
        fail_msg("%s is no date", date);
    return civil_days(t.at.year, t.at.month, t.at.day);
}

/* What the round asks for can be ticked off, by both its keys. */
static void can_be_ticked(struct farm_case *c, const char *key)
{
    const struct fact_kind *tick = fact_kind_find("tick");
    struct fact_value *v = ARENA_NEW(&c->mem, struct fact_value, tick->n_fields);
    struct message why = { "", "" };

    v[fact_field_find(tick, "prompt")] = (struct fact_value){ .given = true, .text = key };
    v[fact_field_find(tick, "at")] = (struct fact_value){ .given = true, .whole = case_moment("2026-01-22T08:00Z") };
    if (fact_check(tick, v, &c->mem, &why) != ST_OK)
        fail_msg("%s: %s", key, why.text);
}

/* Asked at noon of a day (UTC) unless `at` says otherwise. */
static struct prompts asked(struct farm_case *c, int64_t day, const char *at, const struct coming *coming)
{
    struct herd h;
    struct prompts p;
    struct message why = { "", "" };
    const int64_t when = at ? case_moment(at) : day * DAY_S + 12 * HOUR_S;

    if (herd_fold(c->farm, when, 0, &c->mem, &h, &why) != ST_OK)
        fail_msg("%s", why.text);
    if (prompts_fold(c->farm, &h, coming, day, day, &c->mem, &p, &why) != ST_OK)
        fail_msg("%s", why.text);
    for (size_t i = 0; i < p.n; i++) {
        can_be_ticked(c, p.prompt[i].key);
        can_be_ticked(c, p.prompt[i].short_key);
    }
    return p;
}

static const struct prompt *one(const struct prompts *p, const char *key)
{
    for (size_t i = 0; i < p->n; i++)
        if (strcmp(p->prompt[i].key, key) == 0 ||
            (strchr(key, '*') && strncmp(p->prompt[i].key, key, strcspn(key, "*")) == 0))
            return &p->prompt[i];
    return NULL;
}

/* Days, counted from `from`, on which a prompt stands and is neither late nor ticked: as "0 1 6". */
static const char *days_of(struct farm_case *c, const char *from, int first, int last, const char *key)
{
    static char out[512];
    size_t used = 0;

    *out = '\0';
    for (int d = first; d <= last && used < sizeof out - 8; d++) {
        const struct prompts p = asked(c, day_number(from) + d, NULL, NULL);
        const struct prompt *x = one(&p, key);
        if (x && !x->late && !x->ticked)
            used += (size_t)snprintf(out + used, sizeof out - used, "%s%d", used ? " " : "", d);
    }
    return out;
}

static void fires(struct farm_case *c, const char *from, int first, int last, const char *key, const char *want)
{
    const char *got = days_of(c, from, first, last, key);
    if (strcmp(got, want) != 0)
        fail_msg("%s: want on days \"%s\" from %s, got \"%s\"", key, want, from, got);
}

/* ---- the litter calendar ---- */

static void a_litter_has_its_days(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Clover", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Clover", "start=2026-01-10T06:00Z", "born-alive=8", NULL);
    fires(&c, "2026-01-10", -2, 60, "suck:*", "0 1");
    fires(&c, "2026-01-10", -2, 60, "foster:*", "0 1");
    fires(&c, "2026-01-10", -2, 60, "mark:*", "6");
    fires(&c, "2026-01-10", -2, 60, "creep:*", "14");
    fires(&c, "2026-01-10", -2, 60, "wean:*", "49");
    fires(&c, "2026-01-10", -2, 60, "iron:*", ""); /* no frost is known of */
    const struct prompts p = asked(&c, day_number("2026-01-10"), NULL, NULL);
    assert_int_equal(one(&p, "suck:*")->by_utc_s, case_moment("2026-01-10T12:00Z"));   /* six hours old */
    assert_int_equal(one(&p, "foster:*")->by_utc_s, case_moment("2026-01-11T18:00Z")); /* thirty-six */
    assert_string_equal(one(&p, "mark:*") ? "there" : "not yet", "not yet");
    case_close(&c);
}

static void a_weaned_litter_asks_for_nothing(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Clover", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Clover", "start=2026-01-10T06:00Z", NULL);
    case_record(&c, "weaning", "sow=Clover", "at=2026-02-20T10:00Z", NULL); /* day 41 */
    fires(&c, "2026-01-10", 30, 60, "wean:*", "");
    case_close(&c);
}

/* ---- breeding ---- */

static void after_a_service_her_return_and_scan_are_looked_for(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Sedge", "litters-before=3", NULL);
    case_record(&c, "service", "sow=Sedge", "at=2025-09-30T08:00Z", NULL);
    case_record(&c, "service", "sow=Sedge", "at=2025-10-01T08:00Z", NULL); /* the last counts */
    fires(&c, "2025-10-01", 0, 60, "return:*", "18 19 20 21 22 23 24");
    fires(&c, "2025-10-01", 0, 60, "scan:*", "28");
    case_record(&c, "scan", "sow=Sedge", "at=2025-10-26T08:00Z", "result=positive", NULL);
    fires(&c, "2025-10-01", 26, 60, "scan:*", "");
    case_close(&c);
}

/* Ground a week before her window begins, the vet asked twenty-four days before it. */
static void before_her_window_she_is_moved_and_the_vet_asked(void **state)
{
    struct farm_case c;
    struct herd h;
    struct breeding_prior prior;
    struct breeding_posterior post;
    struct message why = { "", "" };
    char ground[16], vet[16];

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Sedge", "litters-before=3", NULL);
    case_record(&c, "service", "sow=Sedge", "at=2025-10-01T08:00Z", NULL);
    case_record(&c, "scan", "sow=Sedge", "at=2025-10-29T08:00Z", "result=positive", NULL);
    case_fold(&c, "2025-12-01T12:00Z", &h);
    assert_int_equal(herd_chance(&h, 0, BREEDING_SINCE_LAST_LOOK, NULL, &c.mem, &prior, &post, &why), ST_OK);
    const int64_t p5 = breeding_quantile(&post.density, 0.05) / DAY_S;
    const int from_service = (int)(p5 - day_number("2025-10-01"));
    assert_in_range(from_service, 109, 115); /* 115 days less nearly two standard deviations: Sasaki & Koketsu 2007 */
    (void)snprintf(ground, sizeof ground, "%d", from_service - 7);
    (void)snprintf(vet, sizeof vet, "%d", from_service - 24);
    fires(&c, "2025-10-01", 60, 112, "to-ground:*", ground);
    fires(&c, "2025-10-01", 60, 112, "booster-ask:*", vet);
    case_close(&c);
}

static void past_day_118_the_vet_is_rung_every_day(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Tansy", "litters-before=3", NULL);
    case_record(&c, "service", "sow=Tansy", "at=2025-10-01T08:00Z", NULL);
    fires(&c, "2025-10-01", 110, 122, "overdue:*", "118 119 120 121 122");
    case_record(&c, "farrowing", "sow=Tansy", "start=2026-01-27T02:00Z", NULL); /* day 117.75 */
    fires(&c, "2025-10-01", 110, 122, "overdue:*", "");
    case_close(&c);
}

static void what_the_vet_set_comes_up_on_its_day(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Sorrel", "litters-before=3", NULL);
    case_record(&c, "treatment", "animal=Sorrel", "at=2026-01-12T09:00Z", "what=pain relief",
                "withdrawal-ends=2026-01-20", "booster-due=2026-07-11", NULL);
    fires(&c, "2026-01-20", -10, 10, "withdrawal:*", "0");
    fires(&c, "2026-07-11", -10, 30, "booster:*", "0");
    fires(&c, "2026-01-11", 0, 0, "withdrawal:*", ""); /* not given yet */
    case_close(&c);
}

/* ---- looks ---- */

static size_t looks_of(const struct prompts *p, size_t *ticked)
{
    size_t n = 0;
    *ticked = 0;
    for (size_t i = 0; i < p->n; i++)
        if (p->prompt[i].kind == PROMPT_LOOK) {
            n++;
            *ticked += p->prompt[i].ticked;
        }
    return n;
}

static void the_nearer_she_is_the_more_often(void **state)
{
    struct farm_case c;
    size_t ticked = 0, before = 0;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "litters-before=3", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-09-29T16:00Z", NULL);
    static const int day[] = { 60, 113, 115 }; /* far, close, on her day */
    for (size_t i = 0; i < COUNT(day); i++) {
        const struct prompts p = asked(&c, day_number("2025-09-29") + day[i], NULL, NULL);
        const size_t n = looks_of(&p, &ticked);
        if (n < before || n == 0)
            fail_msg("day %d: %zu looks, the time before %zu", day[i], n, before);
        before = n;
    }
    assert_true(before >= 4);
    case_close(&c);
}

/* A look that was written down does for the one that falls within two hours after it, and for all before; none later.
 */
static void a_look_that_was_taken_is_done(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "litters-before=3", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-09-29T16:00Z", NULL);
    case_record(&c, "sign", "sow=Bramble", "at=2026-01-22T14:30Z", "sign=nest", NULL);
    case_record(&c, "sign", "sow=Bramble", "at=2026-01-22T14:30Z", "sign=milk-streams", NULL);
    const struct prompts p = asked(&c, day_number("2026-01-22"), "2026-01-22T15:40Z", NULL);
    size_t n = 0;
    for (size_t i = 0; i < p.n; i++) {
        const struct prompt *x = &p.prompt[i];
        if (x->kind != PROMPT_LOOK)
            continue;
        n++;
        if (x->ticked != (x->by_utc_s <= case_moment("2026-01-22T16:30Z")))
            fail_msg("look by %lld is %sdone", (long long)(x->by_utc_s - case_moment("2026-01-22T00:00Z")) / 3600,
                     x->ticked ? "" : "not ");
    }
    assert_true(n >= 4);
    case_close(&c);
}

/* ---- ticks ---- */

static void a_tick_holds_for_its_day(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "person", "name=Tam", NULL);
    case_record(&c, "tick", "prompt=water-morning", "at=2026-01-22T08:00Z", "by=Tam", NULL);
    case_record(&c, "tick", "prompt=feed", "at=2026-01-22T23:30Z", "on=2026-01-23",
                NULL); /* tomorrow's, done tonight */
    struct prompts p = asked(&c, day_number("2026-01-22"), "2026-01-22T23:40Z", NULL);
    assert_true(one(&p, "water-morning")->ticked);
    assert_string_equal(one(&p, "water-morning")->ticked_by, "Tam");
    assert_false(one(&p, "feed")->ticked);
    p = asked(&c, day_number("2026-01-23"), NULL, NULL);
    assert_false(one(&p, "water-morning")->ticked);
    assert_true(one(&p, "feed")->ticked);
    case_close(&c);
}

/* A tick may be typed in short; where two sows share a name the short form is no key. */
static void a_tick_can_be_typed_short(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Old Bramble", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Old Bramble", "start=2026-01-10T06:00Z", NULL);
    case_record(&c, "tick", "prompt=mark:Old-Bramble", "at=2026-01-16T09:00Z", NULL);
    struct prompts p = asked(&c, day_number("2026-01-16"), NULL, NULL);
    assert_string_equal(one(&p, "mark:*")->short_key, "mark:Old-Bramble");
    assert_true(one(&p, "mark:*")->ticked);
    assert_string_equal(one(&p, "feed")->short_key, "feed");
    case_record(&c, "sow", "name=Old-Bramble", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Old-Bramble", "start=2026-01-10T07:00Z", NULL);
    p = asked(&c, day_number("2026-01-16"), NULL, NULL);
    for (size_t i = 0; i < p.n; i++)
        if (strncmp(p.prompt[i].key, "mark:", 5) == 0) {
            assert_string_equal(p.prompt[i].short_key, p.prompt[i].key);
            assert_false(p.prompt[i].ticked);
        }
    case_close(&c);
}

/* What is done once stays until it is ticked off, three weeks at most, and says that it is late. */
static void what_was_missed_stays_until_it_is_done(void **state)
{
    struct farm_case c;
    char key[64], tick[80];

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Clover", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Clover", "start=2026-01-10T06:00Z", NULL);
    const int64_t due = day_number("2026-01-16");
    struct prompts p = asked(&c, due, NULL, NULL);
    assert_false(one(&p, "mark:*")->late);
    (void)snprintf(key, sizeof key, "%s", one(&p, "mark:*")->key);
    p = asked(&c, due + 3, NULL, NULL);
    assert_non_null(one(&p, key));
    assert_true(one(&p, key)->late);
    assert_int_equal(one(&p, key)->day, due);
    p = asked(&c, due + PROMPTS_LATE_D + 1, NULL, NULL);
    assert_null(one(&p, key));
    (void)snprintf(tick, sizeof tick, "prompt=%s", key);
    case_record(&c, "tick", tick, "at=2026-01-18T09:00Z", NULL); /* two days late */
    p = asked(&c, due + 3, NULL, NULL);
    assert_null(one(&p, key));
    case_close(&c);
}

/* ---- what hangs on the weather ---- */

static void put_weather(struct farm_case *c, enum weather_sort sort, const char *made, const char *from, size_t n,
                        double temp_c, double rain_mm)
{
    struct hour *h = ARENA_NEW(&c->mem, struct hour, n);

    assert_non_null(h);
    for (size_t i = 0; i < n; i++)
        h[i] = case_hour(case_moment(from) + (int64_t)i * HOUR_S, temp_c, rain_mm);
    case_put_hours(c, sort, "service", case_moment(made), n, h);
}

static struct prompts with_weather(struct farm_case *c, const char *at)
{
    struct herd h;
    struct coming *w = ARENA_NEW(&c->mem, struct coming, 1);
    struct message why = { "", "" };

    assert_non_null(w);
    case_fold(c, at, &h);
    if (coming_read(c->farm, &h.place, h.zone, case_moment(at), 0, 48, 54, &c->mem, w, &why) != ST_OK)
        fail_msg("%s", why.text);
    return asked(c, case_moment(at) / DAY_S, at, w);
}

static void in_frost_water_goes_out_twice(void **state)
{
    static const struct {
        double temp_c;
        bool twice, huts;
    } want[] = {
        { 1.0, false, false },
        { -0.4, true, false },
        { -3.0, true, true }, /* -3 for eight hours: 24 K h, the ground takes hold */
    };
    (void)state;
    for (size_t i = 0; i < COUNT(want); i++) {
        struct farm_case c;
        case_open(&c);
        case_record(&c, "hut", "name=Hut 1", NULL); /* in store */
        put_weather(&c, WEATHER_FORECAST, "2026-01-22T08:00Z", "2026-01-22T08:00Z", 60, want[i].temp_c, 0.0);
        const struct prompts p = with_weather(&c, "2026-01-22T09:00Z");
        assert_non_null(one(&p, "water-morning"));
        assert_int_equal(one(&p, "water-afternoon") != NULL, want[i].twice);
        const struct prompt *huts = one(&p, "huts-before-frost");
        assert_int_equal(huts != NULL, want[i].huts);
        if (huts) { /* 24 K h at -3 are reached in the eighth hour: the one that begins at 16:00 */
            assert_int_equal(huts->by_utc_s, case_moment("2026-01-22T16:00Z"));
            assert_non_null(strstr(huts->what, "in store"));
        }
        case_close(&c);
    }
}

/* 25 °C: sows begin to breathe fast between 24.0 (late in pig) and 25.5 °C (not in pig); severe from 30.8 to 32.9 °C
 * (J. Anim. Sci. Biotechnol., 2022). */
static void in_heat_they_get_a_wallow_and_no_straw(void **state)
{
    static const struct {
        double temp_c;
        bool wallow, look;
    } want[] = { { 24.4, false, false }, { 25.0, true, false }, { 30.9, true, false }, { 38.0, true, true } };
    (void)state;
    for (size_t i = 0; i < COUNT(want); i++) {
        struct farm_case c;
        case_open(&c);
        case_record(&c, "sow", "name=Bramble", "litters-before=3", NULL);
        case_record(&c, "hut", "name=Hut 1", NULL);
        put_weather(&c, WEATHER_FORECAST, "2026-07-18T08:00Z", "2026-07-18T08:00Z", 60, want[i].temp_c, 0.0);
        const struct prompts p = with_weather(&c, "2026-07-18T09:00Z");
        const struct prompt *wallow = one(&p, "wallow"), *again = one(&p, "water-afternoon");
        assert_int_equal(wallow != NULL, want[i].wallow);
        assert_int_equal(again != NULL, want[i].wallow);
        assert_int_equal(one(&p, "heat-look") != NULL, want[i].look);
        if (wallow) /* ten o'clock of British summer time */
            assert_int_equal(wallow->by_utc_s, case_moment("2026-07-18T09:00Z"));
        if (want[i].look)
            assert_non_null(strstr(one(&p, "heat-look")->why, "vet"));
        assert_null(one(&p, "huts-before-frost"));
        case_close(&c);
    }
}

static void on_frozen_ground_iron_is_asked_about(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Clover", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Clover", "start=2026-01-20T06:00Z", NULL);
    put_weather(&c, WEATHER_FORECAST, "2026-01-20T08:00Z", "2026-01-20T08:00Z", 120, -4.0, 0.0);
    struct prompts p = with_weather(&c, "2026-01-21T09:00Z");
    assert_null(one(&p, "iron:*"));
    p = with_weather(&c, "2026-01-22T01:00Z"); /* the third day, counted from one */
    assert_non_null(one(&p, "iron:*"));
    assert_int_equal(one(&p, "iron:*")->kind, PROMPT_VET);
    p = with_weather(&c, "2026-01-23T07:00Z");
    assert_null(one(&p, "iron:*"));
    case_close(&c);
}

static void a_litter_without_heat_to_spare_gets_straw(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "hut", "name=Hut 1", "wall=steel", "flap=none", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=270", "from=2026-01-01T10:00Z",
                NULL); /* into the wind, no straw */
    case_record(&c, "sow", "name=Clover", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Clover", "start=2026-01-21T06:00Z", "born-alive=6", "placement=Hut 1", NULL);
    put_weather(&c, WEATHER_FORECAST, "2026-01-21T08:00Z", "2026-01-21T08:00Z", 120, -15.0, 0.0);
    struct prompts p = with_weather(&c, "2026-01-22T16:00Z");
    assert_non_null(one(&p, "cold-litter:*"));
    p = with_weather(&c, "2026-01-24T19:00Z"); /* three and a half days old */
    assert_null(one(&p, "cold-litter:*"));
    case_close(&c);
    case_open(&c); /* the same in mild air, in deep straw */
    case_record(&c, "hut", "name=Hut 1", "wall=steel", "flap=none", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=90", "from=2026-01-21T10:00Z", "straw-depth=20cm", NULL);
    case_record(&c, "sow", "name=Clover", "litters-before=3", NULL);
    case_record(&c, "farrowing", "sow=Clover", "start=2026-01-21T12:00Z", "born-alive=9", "placement=Hut 1", NULL);
    put_weather(&c, WEATHER_FORECAST, "2026-01-21T08:00Z", "2026-01-21T08:00Z", 120, 16.0, 0.0);
    p = with_weather(&c, "2026-01-22T16:00Z");
    assert_null(one(&p, "cold-litter:*"));
    case_close(&c);
}

static void beds_ask_for_straw_by_wet_and_age(void **state)
{
    static const struct {
        const char *hut, *straw_state, *bedded;
        bool asks;
        const char *words;
    } want[] = {
        { "Fresh", "dry", "2026-01-20T10:00Z", false, "" },
        { "Damp", "damp", "2026-01-21T10:00Z", true, "damp" },
        { "Old", "dry", "2026-01-05T10:00Z", true, "Bedded 17 days ago" }, /* over fourteen, though nobody lies in it */
    };
    struct farm_case c;

    (void)state;
    case_open(&c);
    for (size_t i = 0; i < COUNT(want); i++) {
        char hut[32], in[40], straw[40], bedded[48];
        (void)snprintf(hut, sizeof hut, "name=%s", want[i].hut);
        (void)snprintf(in, sizeof in, "shelter=%s", want[i].hut);
        (void)snprintf(straw, sizeof straw, "straw-state=%s", want[i].straw_state);
        (void)snprintf(bedded, sizeof bedded, "bedded=%s", want[i].bedded);
        case_record(&c, "hut", hut, NULL);
        case_record(&c, "placement", in, "facing=90", "from=2026-01-01T10:00Z", "straw-depth=15cm", straw, bedded,
                    NULL);
    }
    /* two beds in the open, one laid before the rain, one after */
    case_record(&c, "placement", "name=rained on", "is=open", "from=2026-01-21T09:00Z", "straw-depth=15cm", NULL);
    case_record(&c, "placement", "name=laid since", "is=open", "from=2026-01-22T12:00Z", "straw-depth=15cm", NULL);
    put_weather(&c, WEATHER_OBSERVED, "2026-01-22T12:00Z", "2026-01-20T16:00Z", 44, 3.0,
                0.1); /* 2.7 mm on the first by noon */
    put_weather(&c, WEATHER_FORECAST, "2026-01-22T12:00Z", "2026-01-22T12:00Z", 60, 3.0,
                0.3); /* 1.2 mm more by 16:00 */
    const struct prompts p = with_weather(&c, "2026-01-22T16:00Z");
    for (size_t i = 0; i < COUNT(want) + 2; i++) {
        const char *name = i < COUNT(want) ? want[i].hut : i == COUNT(want) ? "rained on" : "laid since";
        const bool asks = i < COUNT(want) ? want[i].asks : i == COUNT(want);
        const struct prompt *bed = NULL;
        for (size_t k = 0; k < p.n; k++)
            if (p.prompt[k].kind == PROMPT_BEDDING && strcmp(p.prompt[k].where, name) == 0)
                bed = &p.prompt[k];
        if ((bed != NULL) != asks)
            fail_msg("%s: %s", name, bed ? bed->why : "does not ask for straw");
        if (bed && i < COUNT(want) && !strstr(bed->why, want[i].words))
            fail_msg("%s: \"%s\" does not speak of %s", name, bed->why, want[i].words);
        if (bed)
            assert_int_equal(bed->by_utc_s, case_moment("2026-01-22T16:00Z")); /* before it rains: it does already */
    }
    case_close(&c);
}

/* ---- stock, and the record itself ---- */

/* A bale and a half for each sow that may farrow within two weeks, and for one more. */
static void straw_is_asked_for_before_it_runs_out(void **state)
{
    static const struct {
        const char *bales;
        bool asks;
    } want[] = { { "straw-bales=2", true }, { "straw-bales=3", false } };

    (void)state;
    for (size_t i = 0; i < COUNT(want); i++) {
        struct farm_case c;
        case_open(&c);
        case_record(&c, "sow", "name=Bramble", "litters-before=3", NULL);
        case_record(&c, "service", "sow=Bramble", "at=2025-10-05T16:00Z", NULL);
        case_record(&c, "scan", "sow=Bramble", "at=2025-11-05T16:00Z", "result=positive", NULL);
        case_record(&c, "stock", "at=2026-01-20T09:00Z", want[i].bales, "bale=18kg", NULL);
        const struct prompts p = asked(&c, day_number("2026-01-22"), NULL, NULL); /* day 109: surely within two weeks */
        assert_int_equal(one(&p, "straw-in") != NULL, want[i].asks);
        case_close(&c);
    }
}

static void the_record_asks_to_be_put_right(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Ashby", "litters-before=1", NULL);
    struct prompts p = asked(&c, day_number("2026-01-22"), NULL, NULL);
    assert_null(one(&p, "odd"));
    assert_null(one(&p, "held"));
    assert_non_null(one(&p, "forecast")); /* there is none */
    case_record(&c, "service", "sow=Ashby", "at=2025-09-01T12:00Z", NULL);
    case_record(&c, "service", "sow=Ashby", "at=2025-09-09T12:00Z", NULL);
    p = asked(&c, day_number("2026-01-22"), NULL, NULL);
    assert_non_null(one(&p, "odd"));
    put_weather(&c, WEATHER_FORECAST, "2026-01-22T08:00Z", "2026-01-22T08:00Z", 60, 2.0, 0.0);
    p = with_weather(&c, "2026-01-22T12:00Z");
    assert_null(one(&p, "forecast"));
    p = with_weather(&c, "2026-01-22T20:30Z"); /* twelve and a half hours old */
    assert_non_null(one(&p, "forecast"));
    case_close(&c);
}

static void they_come_in_order_and_the_same_each_time(void **state)
{
    struct farm_case c;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "litters-before=3", NULL);
    case_record(&c, "sow", "name=Clover", "litters-before=3", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-09-29T16:00Z", NULL);
    case_record(&c, "farrowing", "sow=Clover", "start=2026-01-21T21:00Z", NULL);
    const struct prompts p = asked(&c, day_number("2026-01-22"), NULL, NULL),
                         q = asked(&c, day_number("2026-01-22"), NULL, NULL);
    assert_true(p.n > 5);
    assert_int_equal(p.n, q.n);
    for (size_t i = 0; i < p.n; i++)
        assert_string_equal(p.prompt[i].key, q.prompt[i].key);
    for (size_t i = 1; i < p.n; i++) {
        const struct prompt *a = &p.prompt[i - 1], *b = &p.prompt[i];
        if (a->by_utc_s == INT64_MIN && b->by_utc_s != INT64_MIN)
            fail_msg("%s has no hour but stands before %s", a->key, b->key);
        if (b->by_utc_s != INT64_MIN)
            assert_true(a->by_utc_s <= b->by_utc_s);
    }
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_litter_has_its_days),
        cmocka_unit_test(a_weaned_litter_asks_for_nothing),
        cmocka_unit_test(after_a_service_her_return_and_scan_are_looked_for),
        cmocka_unit_test(before_her_window_she_is_moved_and_the_vet_asked),
        cmocka_unit_test(past_day_118_the_vet_is_rung_every_day),
        cmocka_unit_test(what_the_vet_set_comes_up_on_its_day),
        cmocka_unit_test(the_nearer_she_is_the_more_often),
        cmocka_unit_test(a_look_that_was_taken_is_done),
        cmocka_unit_test(a_tick_holds_for_its_day),
        cmocka_unit_test(a_tick_can_be_typed_short),
        cmocka_unit_test(what_was_missed_stays_until_it_is_done),
        cmocka_unit_test(in_frost_water_goes_out_twice),
        cmocka_unit_test(in_heat_they_get_a_wallow_and_no_straw),
        cmocka_unit_test(on_frozen_ground_iron_is_asked_about),
        cmocka_unit_test(a_litter_without_heat_to_spare_gets_straw),
        cmocka_unit_test(beds_ask_for_straw_by_wet_and_age),
        cmocka_unit_test(straw_is_asked_for_before_it_runs_out),
        cmocka_unit_test(the_record_asks_to_be_put_right),
        cmocka_unit_test(they_come_in_order_and_the_same_each_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
