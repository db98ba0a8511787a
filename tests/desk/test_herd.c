/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The herd folded from facts: whoever reads the same facts by hand comes to the same herd. Facts are written as a
 * person types them; what is wanted stands beside each and is worked out by hand. */
#include "farm_case.h"

#include <math.h>

#include "desk/night.h"

/* ---- states and turns ---- */

/* One sow through a year: each state at its moment, from one and the same file. */
static void a_sow_goes_through_her_states(void **state)
{
    static const struct {
        const char *at;
        enum herd_state is;
        int parity;
    } want[] = {
        { "2025-08-01T12:00", HERD_UNKNOWN, 2 }, /* here, nothing recorded */
        { "2025-09-29T15:59", HERD_UNKNOWN, 2 }, /* a minute before she is served */
        { "2025-09-29T16:00", HERD_SERVED, 2 },   { "2026-01-21T21:39", HERD_SERVED, 2 },
        { "2026-01-21T21:40", HERD_SUCKLING, 3 },                                       /* the first piglet */
        { "2026-03-09T10:00", HERD_SUCKLING, 3 }, { "2026-03-10T10:00", HERD_OPEN, 3 }, /* weaned */
        { "2026-03-16T09:00", HERD_SERVED, 3 },                                         /* served again */
    };
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "litters-before=2", "arrived=2025-07-01", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-09-29T16:00Z", NULL);
    case_record(&c, "farrowing", "sow=Bramble", "start=2026-01-21T21:40Z", "born-alive=8", "still=1", NULL);
    case_record(&c, "weaning", "sow=Bramble", "at=2026-03-10T10:00Z", "weaned=7", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2026-03-16T09:00Z", NULL);
    for (size_t i = 0; i < COUNT(want); i++) {
        case_fold(&c, want[i].at, &h);
        const struct herd_sow *s = case_sow(&h, "Bramble");
        if (s->state != want[i].is || s->parity != want[i].parity)
            fail_msg("%s: want %s, parity %d; got %s, parity %d", want[i].at, herd_state_name[want[i].is],
                     want[i].parity, herd_state_name[s->state], s->parity);
    }
    case_fold(&c, "2025-06-30T12:00", &h); /* the day before she came */
    assert_int_equal(h.n_sows, 0);
    case_close(&c);
}

static void a_turn_holds_what_came_since_she_last_farrowed(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "boar", "name=Thorn", NULL);
    case_record(&c, "sow", "name=Sedge", "litters-before=1", NULL);
    case_record(&c, "service", "sow=Sedge", "at=2025-04-01T10:00Z", "boar=Thorn", NULL);
    case_record(&c, "scan", "sow=Sedge", "at=2025-05-01T10:00Z", "result=positive", NULL);
    case_record(&c, "look", "sow=Sedge", "at=2025-07-24T18:00Z", "absent=nest", NULL);
    case_record(&c, "farrowing", "sow=Sedge", "start=2025-07-25T04:00Z", NULL);
    case_record(&c, "weaning", "sow=Sedge", "at=2025-09-15T10:00Z", NULL);
    case_record(&c, "service", "sow=Sedge", "at=2025-09-20T08:00Z", "boar=Thorn", NULL);
    case_record(&c, "service", "sow=Sedge", "at=2025-09-21T08:00Z", NULL);
    case_record(&c, "return", "sow=Sedge", "at=2025-10-12T08:00Z", "seen=none", "from=2025-10-08T08:00Z", NULL);
    case_record(&c, "scan", "sow=Sedge", "at=2025-10-20T10:00Z", "result=unclear", NULL);
    case_record(&c, "scan", "sow=Sedge", "at=2025-10-25T10:00Z", "result=positive", NULL);
    case_record(&c, "sign", "sow=Sedge", "at=2026-01-10T16:00Z", "sign=udder-tight", NULL);
    case_record(&c, "look", "sow=Sedge", "at=2026-01-11T08:00Z", "absent=nest,milk-streams", NULL);
    case_fold(&c, "2026-01-11T12:00", &h);
    const struct herd_sow *s = case_sow(&h, "Sedge");
    const struct breeding_evidence *e = &s->evidence;
    assert_int_equal(s->state, HERD_SERVED);
    assert_int_equal(e->n_services, 2);
    assert_int_equal(e->services[0].at_utc_s, case_moment("2025-09-20T08:00Z"));
    assert_string_equal(h.boars[e->services[0].boar].name, "Thorn");
    assert_int_equal(e->services[1].boar, -1);
    assert_int_equal(e->n_scans, 1); /* the unclear one tells nothing; that of the former turn is gone */
    assert_int_equal(e->n_return_looks, 1);
    assert_int_equal(e->return_looks[0].from_utc_s, case_moment("2025-10-08T08:00Z"));
    assert_int_equal(e->n_looks, 3);
    assert_int_equal(e->not_farrowed_by_utc_s, case_moment("2026-01-11T08:00Z"));
    assert_int_equal(s->last_look_utc_s, case_moment("2026-01-11T08:00Z"));
    assert_int_equal(e->weaned_utc_s, case_moment("2025-09-15T10:00Z"));
    assert_int_equal(s->n_litters, 0); /* neither litter was counted */
    assert_true(isnan(s->mean_litter));
    case_close(&c);
}

static void what_happens_later_is_not_known_yet(void **state)
{
    struct farm_case c;
    struct herd before, after;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Yarrow", "litters-before=1", NULL);
    case_record(&c, "hut", "name=Hut 1", "wall=wood", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=140", "from=2026-01-01T10:00Z", "straw-depth=20cm", NULL);
    case_record(&c, "stock", "at=2026-01-01T10:00Z", "straw-bales=10", "bale=20kg", NULL);
    case_record(&c, "service", "sow=Yarrow", "at=2025-10-01T10:00Z", NULL);
    case_fold(&c, "2026-01-22T12:00", &before);
    case_record(&c, "sign", "sow=Yarrow", "at=2026-01-22T18:00Z", "sign=nest", "placement=Hut 1", NULL);
    case_record(&c, "bedding", "placement=Hut 1", "at=2026-01-22T18:10Z", "added=10kg", NULL);
    case_record(&c, "stock", "at=2026-01-23T10:00Z", "straw-bales=3", NULL);
    case_record(&c, "farrowing", "sow=Yarrow", "start=2026-01-23T02:00Z", "placement=Hut 1", NULL);
    case_record(&c, "windbreak", "name=bale wall", "is=bales", "height=1m", "from=2026-01-23T08:00Z", NULL);
    case_record(&c, "leaving", "animal=Yarrow", "on=2026-05-01", "how=sold", NULL);
    case_fold(&c, "2026-01-22T12:00", &after);
    const struct herd_sow *b = case_sow(&before, "Yarrow"), *a = case_sow(&after, "Yarrow");
    assert_int_equal(a->state, HERD_SERVED);
    assert_int_equal(a->evidence.n_looks, 0);
    assert_int_equal(a->nests_at, HERD_NONE);
    assert_int_equal(a->parity, b->parity);
    assert_int_equal(after.n_breaks, 0);
    case_near(after.stock.straw_kg, 200.0, 1e-9, "ten bales of 20 kg");
    case_near(case_site(&after, "Hut 1")->is.straw_m, 0.20, 1e-9, "straw as it was laid");
    case_fold(&c, "2026-05-02T12:00", &after);
    assert_int_equal(after.n_sows, 0); /* sold the day before */
    case_fold(&c, "2026-04-30T12:00", &after);
    assert_int_equal(after.n_sows, 1);
    case_close(&c);
}

/* ---- a boar with a group ---- */

static void a_boar_in_the_group_is_with_those_who_are_in_it(void **state)
{
    static const struct {
        const char *sow, *from, *to;
    } want[] = {
        /* with her, of his stay 10 Sep .. 20 Oct */
        { "Always", "2025-09-10T12:00Z", "2025-10-20T12:00Z" }, /* in the group before he came */
        { "Joins", "2025-09-25T12:00Z", "2025-10-20T12:00Z" },  /* put in while he was there */
        { "Leaves", "2025-09-10T12:00Z", "2025-09-30T12:00Z" }, /* taken out before him */
        { "Never", NULL, NULL },
        { "Toolate", NULL, NULL }, /* put in after he had gone */
        { "Gone", NULL, NULL },    /* taken out before he came */
    };
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "group", "name=dry sows", NULL);
    case_record(&c, "group", "name=others", NULL);
    case_record(&c, "boar", "name=Rook", NULL);
    for (size_t i = 0; i < COUNT(want); i++) {
        char name[40];
        (void)snprintf(name, sizeof name, "name=%s", want[i].sow);
        case_record(&c, "sow", name, "litters-before=2", NULL);
    }
    case_record(&c, "move", "animal=Always", "at=2025-08-01T12:00Z", "to-group=dry sows", NULL);
    case_record(&c, "move", "animal=Joins", "at=2025-09-25T12:00Z", "to-group=dry sows", NULL);
    case_record(&c, "move", "animal=Leaves", "at=2025-08-01T12:00Z", "to-group=dry sows", NULL);
    case_record(&c, "move", "animal=Leaves", "at=2025-09-30T12:00Z", "to-group=others", NULL);
    case_record(&c, "move", "animal=Never", "at=2025-08-01T12:00Z", "to-group=others", NULL);
    case_record(&c, "move", "animal=Toolate", "at=2025-10-21T12:00Z", "to-group=dry sows", NULL);
    case_record(&c, "move", "animal=Gone", "at=2025-08-01T12:00Z", "to-group=dry sows", NULL);
    case_record(&c, "move", "animal=Gone", "at=2025-09-01T12:00Z", "to-group=others", NULL);
    case_record(&c, "boar_run", "group=dry sows", "boar=Rook", "from=2025-09-10T12:00Z", "to=2025-10-20T12:00Z", NULL);
    case_fold(&c, "2025-12-01T12:00", &h);
    for (size_t i = 0; i < COUNT(want); i++) {
        const struct breeding_evidence *e = &case_sow(&h, want[i].sow)->evidence;
        if (!want[i].from) {
            if (e->n_runs != 0)
                fail_msg("%s was never with him, but has %zu runs", want[i].sow, e->n_runs);
            continue;
        }
        if (e->n_runs != 1 || e->runs[0].from_utc_s != case_moment(want[i].from) ||
            e->runs[0].to_utc_s != case_moment(want[i].to))
            fail_msg("%s: %zu runs, the first from %lld to %lld; want %s to %s", want[i].sow, e->n_runs,
                     e->n_runs ? (long long)e->runs[0].from_utc_s : 0, e->n_runs ? (long long)e->runs[0].to_utc_s : 0,
                     want[i].from, want[i].to);
    }
    case_close(&c);
}

static void a_stay_that_begins_this_minute_or_lasts_no_time_stops_nothing(void **state)
{
    struct farm_case c;
    struct herd h;
    struct breeding_prior prior;
    struct breeding_posterior post;
    struct message why = { "", "" };

    (void)state;
    case_open(&c);
    case_record(&c, "boar", "name=Rook", NULL);
    case_record(&c, "sow", "name=Sorrel", "litters-before=2", NULL);
    case_record(&c, "boar_run", "sow=Sorrel", "boar=Rook", "from=2025-09-10", "to=2025-09-10", NULL); /* noon to noon */
    case_record(&c, "boar_run", "sow=Sorrel", "boar=Rook", "from=2025-12-01T12:00Z", NULL);
    case_record(&c, "service", "sow=Sorrel", "at=2025-09-10T12:00Z", NULL);
    case_record(&c, "return", "sow=Sorrel", "at=2025-10-02T08:00Z", "seen=none", "from=2025-10-02T08:00Z", NULL);
    case_fold(&c, "2025-12-01T12:00", &h);
    if (herd_chance(&h, 0, BREEDING_SINCE_LAST_LOOK, NULL, &c.mem, &prior, &post, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_true(post.known);
    case_close(&c);
}

/* A boar that has been with a barren sow for years must not stop the reckoning for all. */
static void a_boar_that_always_runs_with_them_can_be_reckoned(void **state)
{
    struct farm_case c;
    struct herd h;
    struct breeding_prior prior;
    struct breeding_posterior post;
    struct message why = { "", "" };

    (void)state;
    case_open(&c);
    case_record(&c, "boar", "name=Rook", NULL);
    case_record(&c, "sow", "name=Sorrel", "litters-before=2", NULL);
    case_record(&c, "boar_run", "sow=Sorrel", "boar=Rook", "from=2019-09-10T12:00Z", NULL);
    case_record(&c, "service", "sow=Sorrel", "at=2020-01-10T12:00Z", NULL);
    case_fold(&c, "2025-12-01T12:00", &h);
    if (herd_chance(&h, 0, BREEDING_SINCE_LAST_LOOK, NULL, &c.mem, &prior, &post, &why) != ST_OK)
        fail_msg("%s", why.text);
    assert_true(post.known);
    case_close(&c);
}

/* How she was when he came decides what may be reckoned of his first days (core/breeding). */
static void her_state_when_the_boar_came(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "boar", "name=Rook", NULL);
    case_record(&c, "sow", "name=Weaned", "litters-before=2", NULL);
    case_record(&c, "sow", "name=Cycling", "litters-before=2", NULL);
    case_record(&c, "sow", "name=Suckling", "litters-before=2", NULL);
    case_record(&c, "sow", "name=Unknown", "litters-before=2", NULL);
    case_record(&c, "gilt", "name=Gilt", "cycling=yes", NULL);
    case_record(&c, "farrowing", "sow=Weaned", "start=2025-07-25T04:00Z", NULL);
    case_record(&c, "farrowing", "sow=Cycling", "start=2025-06-25T04:00Z", NULL);
    case_record(&c, "farrowing", "sow=Suckling", "start=2025-08-25T04:00Z", NULL);
    case_record(&c, "weaning", "sow=Weaned", "at=2025-09-08T10:00Z", NULL);   /* two days before him */
    case_record(&c, "weaning", "sow=Cycling", "at=2025-08-08T10:00Z", NULL);  /* a month before him */
    case_record(&c, "weaning", "sow=Suckling", "at=2025-10-10T10:00Z", NULL); /* while he was there */
    case_record(&c, "boar_run", "boar=Rook", "from=2025-09-10T12:00Z", "sow=Weaned", "sow=Cycling", "sow=Suckling",
                "sow=Unknown", "sow=Gilt", NULL);
    case_fold(&c, "2025-12-01T12:00", &h);
    assert_int_equal(case_sow(&h, "Weaned")->evidence.state, BREEDING_WEANED);
    assert_int_equal(case_sow(&h, "Cycling")->evidence.state, BREEDING_CYCLING);
    assert_int_equal(case_sow(&h, "Suckling")->evidence.state, BREEDING_SUCKLING);
    assert_int_equal(case_sow(&h, "Unknown")->evidence.state, BREEDING_STATE_UNKNOWN);
    assert_int_equal(case_sow(&h, "Gilt")->evidence.state, BREEDING_GILT);
    case_near(case_sow(&h, "Gilt")->evidence.p_cycling, 1.0, 0.0, "a gilt seen in heat is cycling");
    case_close(&c);
}

/* ---- parity, litters, lengths ---- */

static void parity_counts_litters_before_and_here(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "gilt", "name=Campion", NULL);
    case_record(&c, "sow", "name=Unsaid", NULL);
    case_record(&c, "sow", "name=Old", "litters-before=4", "mean-litter-before=7", NULL);
    case_record(&c, "farrowing", "sow=Old", "start=2025-03-01T04:00Z", "born-alive=9", NULL);
    case_record(&c, "farrowing", "sow=Old", "start=2025-08-20T04:00Z", "born-alive=6", "still=2", NULL);
    case_fold(&c, "2025-12-01T12:00", &h);
    assert_int_equal(case_sow(&h, "Campion")->parity, 0);
    assert_true(case_sow(&h, "Campion")->gilt);
    assert_int_equal(case_sow(&h, "Unsaid")->parity, -1);
    assert_false(case_sow(&h, "Unsaid")->gilt);
    const struct herd_sow *old = case_sow(&h, "Old");
    assert_int_equal(old->parity, 6);
    assert_int_equal(old->n_litters, 6);
    case_near(old->mean_litter, (4 * 7.0 + 9 + 6) / 6.0, 1e-12, "mean of 7 7 7 7 9 6");
    assert_int_equal(old->born_alive, 6);
    assert_int_equal(old->born_dead, 2);
    case_record(&c, "farrowing", "sow=Campion", "start=2025-11-20T04:00Z", NULL);
    case_fold(&c, "2025-12-01T12:00", &h);
    assert_int_equal(case_sow(&h, "Campion")->parity, 1);
    assert_false(case_sow(&h, "Campion")->gilt);
    case_close(&c);
}

static void lengths_of_gestation_are_those_that_can_be(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "litters-before=3", "gestations-before=2", "gestation-before=116.2", NULL);
    /* served on two days of one heat, and three weeks before that: the last that can have been it */
    case_record(&c, "service", "sow=Bramble", "at=2025-01-01T12:00Z", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-01-22T12:00Z", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-01-23T12:00Z", NULL);
    case_record(&c, "farrowing", "sow=Bramble", "start=2025-05-18T12:00Z",
                NULL); /* 115 d from 23 Jan, 116 from 22 Jan, 137 */
    case_record(&c, "farrowing", "sow=Bramble", "start=2025-11-18T12:00Z", NULL); /* no service fits */
    case_fold(&c, "2025-12-01T12:00", &h);
    const struct breeding_evidence *e = &case_sow(&h, "Bramble")->evidence;
    assert_int_equal(e->n_past, 3);
    case_near(e->past_gestation_d[0], 116.2, 1e-12, "two lengths from before, as their mean");
    case_near(e->past_gestation_d[1], 116.2, 1e-12, "two lengths from before, as their mean");
    case_near(e->past_gestation_d[2], 115.0, 1e-12, "23 January to 18 May");
    case_close(&c);
}

/* ---- where she is ---- */

static void nests_come_and_go(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "litters-before=1", NULL);
    case_record(&c, "hut", "name=Hut 2", NULL);
    case_record(&c, "placement", "shelter=Hut 2", "facing=140", "from=2026-01-01T10:00Z", NULL);
    case_record(&c, "service", "sow=Bramble", "at=2025-09-29T16:00Z", NULL);
    case_record(&c, "sign", "sow=Bramble", "at=2026-01-21T14:00Z", "sign=nest", "placement=Hut 2", NULL);
    case_record(&c, "look", "sow=Bramble", "at=2026-01-21T18:00Z", "absent=nest", NULL);
    case_record(&c, "sign", "sow=Bramble", "at=2026-01-22T14:00Z", "sign=nest", "placement=Hut 2", NULL);
    case_record(&c, "look", "sow=Bramble", "at=2026-01-22T15:00Z", "absent=milk-streams", NULL);

    case_fold(&c, "2026-01-21T15:00", &h);
    assert_int_equal(case_sow(&h, "Bramble")->nesting_utc_s, case_moment("2026-01-21T14:00Z"));
    assert_int_equal(case_sow(&h, "Bramble")->nests_at, 0);
    assert_int_equal(case_site(&h, "Hut 2")->nest_of, 0);
    case_fold(&c, "2026-01-21T19:00", &h); /* looked for and gone */
    assert_int_equal(case_sow(&h, "Bramble")->nesting_utc_s, BREEDING_NONE);
    assert_int_equal(case_sow(&h, "Bramble")->nests_at, HERD_NONE);
    assert_int_equal(case_site(&h, "Hut 2")->nest_of, HERD_NONE);
    case_fold(&c, "2026-01-22T16:00", &h); /* there again; another sign's absence changes nothing */
    assert_int_equal(case_sow(&h, "Bramble")->nests_at, 0);
    case_near(herd_p_use(&h, 0), 1.0, 0.0, "she uses what she nests in");

    case_record(&c, "farrowing", "sow=Bramble", "start=2026-01-22T20:00Z", "placement=Hut 2", NULL);
    case_fold(&c, "2026-01-23T16:00", &h);
    assert_int_equal(case_site(&h, "Hut 2")->litter_of, 0);
    assert_int_equal(case_site(&h, "Hut 2")->nest_of, HERD_NONE);
    case_record(&c, "weaning", "sow=Bramble", "at=2026-03-10T10:00Z", NULL);
    case_fold(&c, "2026-03-11T16:00", &h);
    assert_int_equal(case_site(&h, "Hut 2")->litter_of, HERD_NONE);
    case_close(&c);
}

/* The order in which facts were written down never matters, and one who joins a group is where the group is. */
static void where_she_is_hangs_on_the_moments_alone(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "group", "name=dry sows", NULL);
    case_record(&c, "paddock", "name=Long Lea", NULL);
    case_record(&c, "paddock", "name=Quarry Piece", NULL);
    case_record(&c, "sow", "name=Late", "litters-before=1", NULL);
    case_record(&c, "sow", "name=Early", "litters-before=1", NULL);
    case_record(&c, "sow", "name=Joins", "litters-before=1", NULL);
    case_record(&c, "sow", "name=Alone", "litters-before=1", NULL);
    case_record(&c, "placement", "name=pen", "is=open", "paddock=Long Lea", "from=2026-01-01T10:00Z", NULL);
    /* group into one field, then another; written down the other way about */
    case_record(&c, "move", "group=dry sows", "at=2025-12-20T12:00Z", "to-paddock=Quarry Piece", NULL);
    case_record(&c, "move", "animal=Late", "at=2025-11-01T12:00Z", "to-group=dry sows", "to-paddock=Long Lea", NULL);
    case_record(&c, "move", "animal=Early", "at=2025-12-25T12:00Z", "to-group=dry sows", NULL);
    case_record(&c, "move", "animal=Early", "at=2025-10-01T12:00Z", "to-paddock=Long Lea", NULL);
    case_record(&c, "move", "animal=Joins", "at=2025-12-01T12:00Z", "to-paddock=Long Lea", NULL);
    case_record(&c, "move", "animal=Joins", "at=2025-12-26T12:00Z", "to-group=dry sows", NULL);
    case_record(&c, "move", "animal=Alone", "at=2026-01-02T12:00Z", "to-placement=pen", "alone=yes", NULL);
    case_fold(&c, "2026-01-10T12:00", &h);
    static const char *const in_the_quarry[] = { "Late", "Early", "Joins" };
    for (size_t i = 0; i < COUNT(in_the_quarry); i++) {
        const struct herd_sow *s = case_sow(&h, in_the_quarry[i]);
        if (s->paddock == HERD_NONE || strcmp(h.paddocks[s->paddock].name, "Quarry Piece") != 0)
            fail_msg("%s is in %s", s->name, s->paddock == HERD_NONE ? "no field" : h.paddocks[s->paddock].name);
    }
    const struct herd_sow *alone = case_sow(&h, "Alone");
    assert_true(alone->penned);
    assert_string_equal(h.sites[alone->nests_at].name, "pen");
    assert_string_equal(h.paddocks[alone->paddock].name, "Long Lea");
    case_fold(&c, "2025-12-10T12:00", &h);
    assert_string_equal(h.paddocks[case_sow(&h, "Late")->paddock].name, "Long Lea");
    case_close(&c);
}

static void odd_records_are_told_of_those_they_are_about(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Ash", "litters-before=1", NULL);
    case_record(&c, "sow", "name=Ashby", "litters-before=1", NULL);
    case_record(&c, "service", "sow=Ashby", "at=2025-09-01T12:00Z", NULL);
    case_record(&c, "service", "sow=Ashby", "at=2025-09-09T12:00Z",
                NULL); /* eight days apart: neither one heat nor two */
    case_fold(&c, "2026-01-10T12:00", &h);
    assert_int_equal(case_sow(&h, "Ash")->n_flags, 0);
    assert_true(case_sow(&h, "Ashby")->n_flags > 0);
    case_close(&c);
}

/* ---- what stands, and what is in stock ---- */

static void a_hut_stands_where_it_was_put_last(void **state)
{
    struct farm_case c;
    struct herd h;
    char first[FARM_UID];

    (void)state;
    case_open(&c);
    case_record(&c, "hut", "name=Hut 1", "wall=steel", "flap=can-hang", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=275", "from=2026-01-01T10:00Z", "to=2026-01-10T10:00Z", NULL);
    memcpy(first, c.uid, sizeof first);
    case_record(&c, "placement", "shelter=Hut 1", "facing=140", "from=2026-01-10T10:00Z", "to=2026-01-20T10:00Z",
                "straw=9kg", NULL);
    case_fold(&c, "2026-01-05T12:00", &h);
    case_near(case_site(&h, "Hut 1")->is.hut.facing_deg, 275.0, 0.0, "first place");
    case_fold(&c, "2026-01-15T12:00", &h);
    case_near(case_site(&h, "Hut 1")->is.hut.facing_deg, 140.0, 0.0, "second place");
    case_near(case_site(&h, "Hut 1")->is.straw_m, night_straw_depth_m(9.0, false), 1e-12, "half a bale");
    case_fold(&c, "2026-01-21T12:00", &h);
    assert_false(case_site(&h, "Hut 1")->placed); /* in store since the 20th */
    /* the first one put right afterwards, without an end: the second still came later, and has ended */
    case_correct(&c, first, "placement", "shelter=Hut 1", "facing=270", "from=2026-01-01T10:00Z", NULL);
    case_fold(&c, "2026-01-21T12:00", &h);
    assert_false(case_site(&h, "Hut 1")->placed);
    case_close(&c);
}

static void two_things_done_to_a_bed_in_one_minute_both_count(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "hut", "name=Hut 1", "wall=steel", "flap=can-hang", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=140", "from=2026-01-01T10:00Z", "straw-depth=5cm",
                "straw-state=damp", NULL);
    case_record(&c, "bedding", "placement=Hut 1", "at=2026-01-05T10:00Z", "added=9kg", "cleared=yes", NULL);
    case_record(&c, "bedding", "placement=Hut 1", "at=2026-01-05T10:00Z", "flap=hung", NULL);
    case_record(&c, "bedding", "placement=Hut 1", "at=2026-01-06T10:00Z", "frozen-in=yes", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    const struct herd_site *s = case_site(&h, "Hut 1");
    case_near(s->is.straw_m, night_straw_depth_m(9.0, false), 1e-12, "old straw out, half a bale in");
    assert_int_equal(s->is.straw, STRAW_DRY);
    case_near(s->is.straw_age_d, 2.0 + 2.0 / 24.0, 1e-9, "days since it was laid");
    assert_true(s->is.hut.flap);
    assert_true(s->frozen_in);
    case_close(&c);
}

static void stock_is_the_newest_count_less_what_was_put_in_since(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "hut", "name=Hut 1", NULL);
    case_record(&c, "hut", "name=Hut 2", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=140", "from=2026-01-01T10:00Z", "straw=9kg", NULL);
    case_record(&c, "stock", "at=2026-01-02T09:00Z", "straw-bales=9", "bale=18kg", "flaps=2", NULL);
    case_record(&c, "stock", "at=2026-01-03T09:00Z", "flaps=1", "people=3", NULL);
    case_record(&c, "bedding", "placement=Hut 1", "at=2026-01-01T12:00Z", "added=5kg", NULL); /* before the count */
    case_record(&c, "bedding", "placement=Hut 1", "at=2026-01-05T12:00Z", "added=12kg", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    case_near(h.stock.straw_kg, 9 * 18.0 - 12.0, 1e-9, "nine bales less 12 kg");
    assert_int_equal(h.stock.flaps, 1);
    assert_int_equal(h.stock.people, 3);
    assert_int_equal(h.stock.bales, -1); /* never recorded */
    case_record(&c, "placement", "shelter=Hut 2", "facing=140", "from=2026-01-06T10:00Z", "straw=10kg", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    case_near(h.stock.straw_kg, 9 * 18.0 - 12.0 - 10.0, 1e-9, "and 10 kg put into a hut as it was set");
    case_record(&c, "stock", "at=2026-01-06T18:00Z", "straw=100kg", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    case_near(h.stock.straw_kg, 100.0, 1e-9, "counted anew");
    case_close(&c);
}

static void people_of_the_farm_count_where_no_count_was_made(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open_empty(&c);
    case_record(&c, "farm", "name=Larkmoor", "lat=54.62", "lon=-2.41", "zone=Europe/London", "people=2", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    assert_int_equal(h.stock.people, 2);
    case_record(&c, "stock", "at=2026-01-06T18:00Z", "people=1", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    assert_int_equal(h.stock.people, 1);
    case_close(&c);
}

/* One thing that cannot be reckoned with is left out and said; the rest of the farm goes on. */
static void what_cannot_be_reckoned_is_left_out_and_said(void **state)
{
    struct farm_case c;
    struct herd h;
    bool said = false;

    (void)state;
    case_open(&c);
    case_record(&c, "hut", "name=Tunnel", "length=14m", NULL);
    case_record(&c, "hut", "name=Hut 1", "wall=wood", NULL);
    case_record(&c, "windbreak", "name=the long hedge", "is=hedge", "height=2m", "length=4000m", NULL);
    case_record(&c, "placement", "shelter=Hut 1", "facing=140", "from=2010-01-01T10:00Z", "straw-depth=10cm",
                "lee=the long hedge", "lee-distance=1900m", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    assert_int_equal(h.n_sites, 1);
    assert_string_equal(h.sites[0].name, "Hut 1");
    for (size_t i = 0; i < h.n_missing; i++)
        said = said || strstr(h.missing[i], "Tunnel");
    assert_true(said);
    case_close(&c);
}

/* ---- how she chooses ---- */

/* 0.75 pulled by n / (n + 4): worked out by hand. */
static void how_she_chooses_is_learned(void **state)
{
    struct farm_case c;
    struct herd h;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Apart", "litters-before=3", NULL);
    case_record(&c, "sow", "name=Bold", "litters-before=3", NULL);
    case_record(&c, "sow", "name=New", "litters-before=0", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    case_near(herd_p_use(&h, 0), 0.75, 1e-12, "nothing known");
    case_record(&c, "nested", "sow=Apart", "at=2025-01-07T12:00Z", "place=open", "put-out=not-used", NULL);
    case_record(&c, "nested", "sow=Apart", "at=2025-07-07T12:00Z", "place=open", "put-out=not-used", NULL);
    case_record(&c, "nested", "sow=Apart", "at=2025-12-07T12:00Z", "place=open", "put-out=nothing-there",
                NULL); /* no choice */
    case_record(&c, "nested", "sow=Bold", "at=2025-01-07T12:00Z", "place=hut", "put-out=used", NULL);
    case_fold(&c, "2026-01-07T12:00", &h);
    const double herd = (0.75 * 4 + 1) / (4 + 3); /* one of three */
    case_near(herd_p_use(&h, 0), (herd * 4 + 0) / (4 + 2), 1e-12, "Apart: never, of two");
    case_near(herd_p_use(&h, 1), (herd * 4 + 1) / (4 + 1), 1e-12, "Bold: once, of one");
    case_near(herd_p_use(&h, 2), herd, 1e-12, "New: as the herd does");
    case_close(&c);
}

/* ---- the same for ever ---- */

static void record_the_evening(struct farm_case *c)
{
    case_record(c, "boar", "name=Thorn", NULL);
    case_record(c, "hut", "name=Hut 1", "wall=wood", NULL);
    case_record(c, "placement", "shelter=Hut 1", "facing=140", "from=2026-01-01T10:00Z", "straw-depth=10cm", NULL);
    case_record(c, "stock", "at=2026-01-02T09:00Z", "straw-bales=9", "bale=18kg", NULL);
    case_record(c, "service", "sow=Bramble", "at=2025-09-29T16:00Z", "boar=Thorn", NULL);
    case_record(c, "sign", "sow=Bramble", "at=2026-01-22T14:00Z", "sign=nest", "placement=Hut 1", NULL);
}

/* Afterwards everything is corrected, moved, taken back: the answer for that journal number stays what it was. */
static void with_known_to_the_herd_stays_the_same_for_ever(void **state)
{
    struct farm_case c;
    struct herd before, after;
    struct farm_undo undo;
    struct message why = { "", "" };
    char farm[FARM_UID], sow[FARM_UID], hut[FARM_UID];
    const struct farm_meta meta = { .who = "Wenna", .recorded_utc_s = 1780315200 };

    (void)state;
    case_open(&c);
    memcpy(farm, c.uid, sizeof farm);
    case_record(&c, "sow", "name=Bramble", "litters-before=4", "mass=214kg", NULL);
    memcpy(sow, c.uid, sizeof sow);
    record_the_evening(&c);
    case_record(&c, "hut", "name=Hut 9", "wall=steel", NULL);
    memcpy(hut, c.uid, sizeof hut);
    case_fold(&c, "2026-01-22T15:00", &before);
    const int64_t number = before.known_to;

    case_correct(&c, farm, "farm", "name=Otherwhere", "lat=50", "lon=-1", "zone=America/Chicago", NULL);
    case_correct(&c, sow, "sow", "name=Bracken", "litters-before=1", "mass=180kg", NULL);
    case_record(&c, "look", "sow=Bracken", "at=2026-01-22T14:30Z", "absent=nest", NULL);
    case_record(&c, "service", "sow=Bracken", "at=2025-10-20T16:00Z", NULL);
    case_record(&c, "stock", "at=2026-01-03T09:00Z", "straw-bales=1", NULL);
    case_record(&c, "leaving", "animal=Bracken", "on=2026-01-20", "how=sold", NULL);
    if (farm_void(c.farm, hut, false, &meta, &c.mem, &undo, &why) != ST_OK)
        fail_msg("%s", why.text);

    case_fold_to(&c, "2026-01-22T15:00", number, &after);
    assert_int_equal(after.known_to, number);
    assert_string_equal(after.place.name, before.place.name);
    case_near(after.place.lat_deg, before.place.lat_deg, 0.0, "latitude as it was known");
    assert_string_equal(zone_name(after.zone), zone_name(before.zone));
    assert_int_equal(after.n_sows, before.n_sows);
    assert_int_equal(after.n_sites, before.n_sites);
    const struct herd_sow *b = &before.sows[0], *a = &after.sows[0];
    assert_string_equal(a->name, "Bramble");
    assert_string_equal(a->uid, b->uid);
    assert_int_equal(a->parity, b->parity);
    case_near(a->mass_kg, b->mass_kg, 0.0, "mass as it was known");
    assert_int_equal(a->evidence.n_services, b->evidence.n_services);
    assert_int_equal(a->evidence.services[0].boar, b->evidence.services[0].boar);
    assert_int_equal(a->evidence.n_looks, b->evidence.n_looks);
    assert_int_equal(a->nests_at, b->nests_at);
    case_near(after.stock.straw_kg, before.stock.straw_kg, 0.0, "straw as it was known");

    case_fold(&c, "2026-01-22T15:00", &after); /* and all that is known today */
    assert_string_equal(after.place.name, "Otherwhere");
    assert_int_equal(after.n_sows, 0);
    assert_int_equal(after.n_sites, before.n_sites - 1);
    case_close(&c);
}

/* ---- finding one ---- */

static void a_sow_is_found_by_what_people_call_her(void **state)
{
    struct farm_case c;
    struct herd h;
    struct message why = { "", "" };
    size_t i = 99;

    (void)state;
    case_open(&c);
    case_record(&c, "sow", "name=Bramble", "tag=11", NULL);
    case_record(&c, "sow", "name=Sedge", "tag=14", NULL);
    case_record(&c, "sow", "name=11", "tag=16", NULL);
    case_fold(&c, "2026-01-22T15:00", &h);
    assert_int_equal(herd_find(&h, "Sedge", &i, &why), ST_OK);
    assert_string_equal(h.sows[i].name, "Sedge");
    assert_int_equal(herd_find(&h, "14", &i, &why), ST_OK);
    assert_string_equal(h.sows[i].name, "Sedge");
    assert_int_equal(herd_find(&h, "bramble", &i, &why), ST_OK); /* capitals do not matter */
    assert_string_equal(h.sows[i].name, "Bramble");
    assert_int_equal(herd_find(&h, h.sows[i].uid, &i, &why), ST_OK);
    assert_string_equal(h.sows[i].name, "Bramble");
    assert_int_equal(herd_find(&h, "11", &i, &why), ST_CONFLICT); /* one's name, another's tag */
    assert_int_equal(herd_find(&h, "Brambel", &i, &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "did you mean Bramble?"));
    assert_int_equal(herd_find(&h, "Quince", &i, &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "Sedge"));
    case_close(&c);
}

static void a_farm_without_a_place_says_how_to_record_it(void **state)
{
    struct farm_case c;
    struct herd h;
    struct message why = { "", "" };

    (void)state;
    case_open_empty(&c);
    assert_int_equal(herd_fold(c.farm, 0, 0, &c.mem, &h, &why), ST_NOT_FOUND);
    assert_non_null(strstr(why.text, "leenest record farm"));
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sow_goes_through_her_states),
        cmocka_unit_test(a_turn_holds_what_came_since_she_last_farrowed),
        cmocka_unit_test(what_happens_later_is_not_known_yet),
        cmocka_unit_test(a_boar_in_the_group_is_with_those_who_are_in_it),
        cmocka_unit_test(a_stay_that_begins_this_minute_or_lasts_no_time_stops_nothing),
        cmocka_unit_test(a_boar_that_always_runs_with_them_can_be_reckoned),
        cmocka_unit_test(her_state_when_the_boar_came),
        cmocka_unit_test(parity_counts_litters_before_and_here),
        cmocka_unit_test(lengths_of_gestation_are_those_that_can_be),
        cmocka_unit_test(nests_come_and_go),
        cmocka_unit_test(where_she_is_hangs_on_the_moments_alone),
        cmocka_unit_test(odd_records_are_told_of_those_they_are_about),
        cmocka_unit_test(a_hut_stands_where_it_was_put_last),
        cmocka_unit_test(two_things_done_to_a_bed_in_one_minute_both_count),
        cmocka_unit_test(stock_is_the_newest_count_less_what_was_put_in_since),
        cmocka_unit_test(people_of_the_farm_count_where_no_count_was_made),
        cmocka_unit_test(what_cannot_be_reckoned_is_left_out_and_said),
        cmocka_unit_test(how_she_chooses_is_learned),
        cmocka_unit_test(with_known_to_the_herd_stays_the_same_for_ever),
        cmocka_unit_test(a_sow_is_found_by_what_people_call_her),
        cmocka_unit_test(a_farm_without_a_place_says_how_to_record_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
