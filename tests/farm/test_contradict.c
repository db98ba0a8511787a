/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is impossible is refused, what is merely odd is kept and flagged. Gestation of about 115 days: Sasaki & Koketsu
 * (2007), Theriogenology 68:123-127; the other limits are common practice, no source.
 */
#include "tests/farm/farm_help.h"

static void open_herd(struct scratch *s)
{
    scratch_open(s);
    some_farm(s);
}

static void nothing_happens_in_the_future(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    s.recorded_utc_s = utc(2026, 11, 20, 14, 0); /* 08:00 in Chicago */
    REFUSED(&s, ST_CONFLICT, "still to come", "service", "sow", "Bramble", "at", "2026-11-20T09:00", NULL);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-11-20T08:10", NULL); /* within the slack of two clocks */
    RECORDED(&s, "service", "sow", "Sedge", "at", "2026-11-20", NULL);         /* today, the hour not known */
    struct fact *facts = NULL;
    size_t n = 0;
    assert_int_equal(farm_facts(s.farm, fact_kind_find("service"), 0, &s.mem, &facts, &n, &s.why), ST_OK);
    assert_int_equal(fact_whole(facts[1].kind, facts[1].value, "day_only", 0), 1);
    assert_false(fact_given(facts[0].kind, facts[0].value, "day_only"));
    REFUSED(&s, ST_CONFLICT, "still to come", "service", "sow", "Sedge", "at", "2026-11-21", NULL);
    REFUSED(&s, ST_CONFLICT, "still to come", "animal", "name", "Fern", "is", "gilt", "born", "2026-11-21", NULL);
    RECORDED(&s, "treatment", "animal", "Bramble", "at", "2026-11-20T07:00", "what", "wormer", "withdrawal_ends",
             "2026-12-20", NULL);
    scratch_close(&s);
}

static void gestation(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-01-01T08:00", NULL);
    REFUSED(&s, ST_CONFLICT, "only 60 days after her service on 2026-01-01", "farrowing", "sow", "Bramble", "start",
            "2026-03-02T08:00", "born_alive", "8", NULL);
    assert_int_equal(count_facts(&s, "farrowing", 0), 0);
    FLAGGED(&s, "gestation-odd", "farrowing", "sow", "Bramble", "start", "2026-04-12T08:00", "born_alive", "8",
            NULL); /* 101 days */
    RECORDED(&s, "service", "sow", "Sedge", "at", "2026-01-01T08:00", NULL);
    FLAGGED(&s, "gestation-odd", "farrowing", "sow", "Sedge", "start", "2026-05-11T08:00", "born_alive", "8",
            NULL); /* 130 days */
    scratch_close(&s);
}

static void usual_gestations_pass(void **state)
{
    struct scratch s;
    static const char *const days[] = { "2026-04-16", "2026-04-26",
                                        "2026-05-06" }; /* 105, 115, 125 days after 1 January */

    (void)state;
    for (size_t i = 0; i < COUNT(days); i++) {
        open_herd(&s);
        RECORDED(&s, "service", "sow", "Bramble", "at", "2026-01-01T12:00", NULL);
        RECORDED(&s, "farrowing", "sow", "Bramble", "start", days[i], "born_alive", "8", NULL);
        assert_int_equal(s.outcome.n_flags, 0);
        scratch_close(&s);
    }
}

static void a_farrowing_needs_no_service_when_something_else_explains_it(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "farrowing", "sow", "Bramble", "start", "2026-04-26", "born_alive", "8",
             NULL); /* nothing recorded at all */
    assert_int_equal(s.outcome.n_flags, 0);
    RECORDED(&s, "animal", "name", "Teasel", "is", "sow", "arrived", "2026-02-01", NULL); /* bought in, in pig */
    RECORDED(&s, "service", "sow", "Teasel", "at", "2026-02-20", NULL);
    FLAGGED(&s, "gestation-odd", "farrowing", "sow", "Teasel", "start", "2026-04-26", "born_alive", "8", NULL);
    RECORDED(&s, "animal", "name", "Yarrow", "is", "sow", NULL); /* a boar ran with her */
    RECORDED(&s, "boar_run", "boar", "Rusty", "sow", "Yarrow", "from", "2025-12-01", "to", "2026-01-20", NULL);
    RECORDED(&s, "service", "sow", "Yarrow", "at", "2026-03-20", NULL);
    RECORDED(&s, "farrowing", "sow", "Yarrow", "start", "2026-04-26", "born_alive", "8", NULL);
    assert_int_equal(s.outcome.n_flags, 0);
    scratch_close(&s);
}

static void the_order_of_recording_makes_no_difference(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "farrowing", "sow", "Bramble", "start", "2026-04-26", "born_alive", "8", NULL);
    REFUSED(&s, ST_CONFLICT, "only 60 days", "service", "sow", "Bramble", "at", "2026-02-25", NULL);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-01-01", NULL);
    assert_int_equal(s.outcome.n_flags, 0);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-02-25",
             NULL); /* stood again although in pig: the first explains */
    scratch_close(&s);
}

static void litters_keep_their_distance(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "farrowing", "sow", "Bramble", "start", "2026-04-26T04:00", "born_alive", "8", NULL);
    REFUSED(&s, ST_CONFLICT, "correct that instead", "farrowing", "sow", "Bramble", "start", "2026-04-26T06:00",
            "born_alive", "8", NULL);
    REFUSED(&s, ST_CONFLICT, "61 days apart", "farrowing", "sow", "Bramble", "start", "2026-06-26T04:00", "born_alive",
            "8", NULL);
    scratch_close(&s);
}

static void the_dead_do_nothing(void **state)
{
    struct scratch s;
    char uid[FARM_UID];

    (void)state;
    open_herd(&s);
    RECORDED(&s, "scan", "sow", "Bramble", "at", "2026-05-05", "result", "positive", NULL);
    REFUSED(&s, ST_CONFLICT, "is recorded with a scan on 2026-05-05", "leaving", "animal", "Bramble", "on",
            "2026-05-01", "how", "died", NULL);
    REFUSED(&s, ST_NOT_FOUND, "was not there yet", "leaving", "animal", "Bramble", "on", "2021-05-01", "how", "died",
            NULL);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Bramble", INT64_MIN, uid, &s.why), ST_OK);
    REFUSED(&s, ST_CONFLICT, "was born on 2022-03-01", "leaving", "animal", uid, "on", "2021-05-01", "how", "died",
            NULL);
    RECORDED(&s, "leaving", "animal", "Bramble", "on", "2026-06-01", "how", "died", NULL);
    REFUSED(&s, ST_NOT_FOUND, "no longer here on 2026-06-05", "scan", "sow", "Bramble", "at", "2026-06-05", "result",
            "negative", NULL);
    REFUSED(&s, ST_CONFLICT, "died on 2026-06-01, before 2026-06-05", "scan", "sow", uid, "at", "2026-06-05", "result",
            "negative", NULL);
    REFUSED(&s, ST_CONFLICT, "left already", "leaving", "animal", uid, "on", "2026-07-01", "how", "sold", NULL);
    RECORDED(&s, "note", "animal", uid, "at", "2026-06-05", "text", "a good sow", NULL);
    RECORDED(&s, "leaving", "animal", "Sedge", "on", "2026-06-01", "how", "sold", NULL);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Sedge", INT64_MIN, uid, &s.why), ST_OK);
    FLAGGED(&s, "after-leaving", "scan", "sow", uid, "at", "2026-06-05", "result", "negative", NULL);
    scratch_close(&s);
}

static void nobody_is_older_than_his_parents(void **state)
{
    struct scratch s;
    char uid[FARM_UID];

    (void)state;
    open_herd(&s);
    REFUSED(&s, ST_CONFLICT, "too late to have young", "animal", "name", "Fern", "is", "gilt", "dam", "Bramble", "born",
            "2022-06-01", NULL);
    REFUSED(&s, ST_CONFLICT, "is recorded as a boar", "animal", "name", "Fern", "is", "gilt", "dam", "Rusty", NULL);
    FLAGGED(&s, "young-parent", "animal", "name", "Fern", "is", "gilt", "dam", "Bramble", "born", "2022-09-01", NULL);
    RECORDED(&s, "animal", "name", "Clover", "is", "gilt", "dam", "Fern", NULL);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Fern", INT64_MIN, uid, &s.why), ST_OK);
    s.replaces = uid; /* a ring, by way of a correction */
    REFUSED(&s, ST_CONFLICT, "its own ancestor", "animal", "name", "Fern", "is", "gilt", "dam", "Clover", NULL);
    s.replaces = uid;
    REFUSED(&s, ST_CONFLICT, "its own parent", "animal", "name", "Fern", "is", "gilt", "dam", "Fern", NULL);
    REFUSED(&s, ST_CONFLICT, "too young to have farrowed", "farrowing", "sow", "Sedge", "start", "2025-06-01",
            "born_alive", "3", NULL);
    REFUSED(&s, ST_NOT_FOUND, "was not there yet", "farrowing", "sow", "Sedge", "start", "2024-06-01", "born_alive",
            "3", NULL);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Sedge", INT64_MIN, uid, &s.why), ST_OK);
    REFUSED(&s, ST_CONFLICT, "was born on 2025-01-10", "farrowing", "sow", uid, "start", "2024-06-01", "born_alive",
            "3", NULL);
    REFUSED(&s, ST_CONFLICT, "before the day of birth", "animal", "name", "X", "is", "sow", "born", "2025-01-01",
            "arrived", "2024-01-01", NULL);
    scratch_close(&s);
}

static void boars(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "group", "name", "gilts", NULL);
    RECORDED(&s, "boar_run", "boar", "Rusty", "group", "dry sows", "from", "2026-09-20", "to", "2026-11-01", NULL);
    REFUSED(&s, ST_CONFLICT, "cannot be in two groups at once", "boar_run", "boar", "Rusty", "group", "gilts", "from",
            "2026-10-20", NULL);
    RECORDED(&s, "boar_run", "boar", "Rusty", "group", "gilts", "from", "2026-11-02", NULL);
    REFUSED(&s, ST_CONFLICT, "recorded already", "boar_run", "boar", "Rusty", "group", "gilts", "from", "2026-12-01",
            NULL);
    FLAGGED(&s, "two-boars", "boar_run", "boar", "Alder", "group", "dry sows", "from", "2026-10-20", "to", "2026-10-30",
            NULL);
    RECORDED(&s, "boar_run", "boar", "Alder", "sow", "Bramble", "from", "2027-01-01", "to", "2027-01-20", NULL);
    RECORDED(&s, "move", "animal", "Alder", "at", "2026-12-30", "to_paddock", "Orchard", NULL);
    RECORDED(&s, "move", "animal", "Rusty", "at", "2026-12-30", "to_paddock", "Long Field", NULL);
    REFUSED(&s, ST_CONFLICT, "at one time", "boar_run", "boar", "Rusty", "sow", "Bramble", "from", "2027-01-10", NULL);
    RECORDED(&s, "service", "sow", "Sedge", "boar", "Alder", "at", "2026-10-01T08:00", NULL);
    FLAGGED(&s, "two-boars", "service", "sow", "Sedge", "boar", "Rusty", "at", "2026-10-02T08:00", NULL);
    FLAGGED(&s, "services-apart", "service", "sow", "Sedge", "boar", "Rusty", "at", "2026-10-11T08:00", NULL);
    REFUSED(&s, ST_BAD_INPUT, "only one of sow or group", "boar_run", "boar", "Rusty", "sow", "Sedge", "group", "gilts",
            "from", "2027-01-10", NULL);
    REFUSED(&s, ST_BAD_INPUT, "needs one of sow or group", "boar_run", "boar", "Rusty", "from", "2027-01-10", NULL);
    REFUSED(&s, ST_BAD_INPUT, "to lies before from", "boar_run", "boar", "Rusty", "sow", "Sedge", "from", "2027-01-10",
            "to", "2027-01-01", NULL);
    scratch_close(&s);
}

/* A sow runs in a group: a boar with the group and another with her are beside each other, whichever is written first. */
static void a_boar_with_her_and_one_with_her_group(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "move", "animal", "Bramble", "at", "2026-09-01", "to_group", "dry sows", NULL);
    RECORDED(&s, "boar_run", "boar", "Rusty", "group", "dry sows", "from", "2026-09-20", "to", "2026-11-01", NULL);
    RECORDED(&s, "boar_run", "boar", "Alder", "sow", "Sedge", "from", "2026-10-01", "to", "2026-10-20", NULL);
    assert_int_equal(s.outcome.n_flags, 0); /* she is not of that group */
    FLAGGED(&s, "two-boars", "boar_run", "boar", "Alder", "sow", "Bramble", "from", "2026-10-25", "to", "2026-11-10",
            NULL);
    RECORDED(&s, "boar_run", "boar", "Alder", "sow", "Bramble", "from", "2026-11-11", "to", "2026-11-20", NULL);
    assert_int_equal(s.outcome.n_flags, 0);
    FLAGGED(&s, "two-boars", "boar_run", "boar", "Rusty", "group", "dry sows", "from", "2026-11-15", "to", "2026-11-30",
            NULL);
    scratch_close(&s);
}

static void a_hut_stands_in_one_place(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "placement", "shelter", "Hut 1", "paddock", "Long Field", "from", "2026-11-01", "facing", "100", NULL);
    REFUSED(&s, ST_CONFLICT, "in two places at once", "placement", "shelter", "Hut 1", "paddock", "Orchard", "from",
            "2026-11-01", NULL);
    RECORDED(&s, "placement", "shelter", "Hut 1", "paddock", "Orchard", "from", "2026-12-01", "to", "2026-12-20",
             NULL); /* moved on */
    REFUSED(&s, ST_CONFLICT, "in two places at once", "placement", "shelter", "Hut 1", "paddock", "Long Field", "from",
            "2026-12-10", NULL);
    REFUSED(&s, ST_CONFLICT, "in two places at once", "placement", "shelter", "Hut 1", "paddock", "Long Field", "from",
            "2026-10-10", "to", "2026-11-05", NULL);
    RECORDED(&s, "placement", "shelter", "Hut 1", "paddock", "Long Field", "from", "2026-12-20", NULL);
    RECORDED(&s, "placement", "name", "bed by the hedge", "is", "lee", "paddock", "Long Field", "from", "2026-12-20",
             "straw_kg", "20", NULL);
    REFUSED(&s, ST_BAD_INPUT, "say lee or open", "placement", "name", "other bed", "from", "2026-12-20", NULL);
    /* by the hut's name the placement of that day is meant */
    RECORDED(&s, "bedding", "placement", "Hut 1", "at", "2026-12-05", "added", "10kg", NULL);
    struct fact *facts = NULL;
    struct fact place;
    size_t n = 0;
    assert_int_equal(farm_facts(s.farm, fact_kind_find("bedding"), 0, &s.mem, &facts, &n, &s.why), ST_OK);
    assert_int_equal(
        farm_fact(s.farm, fact_text(facts[0].kind, facts[0].value, "placement"), 0, &s.mem, &place, &s.why), ST_OK);
    assert_string_equal(farm_called(s.farm, fact_text(place.kind, place.value, "paddock"), &s.mem), "Orchard");
    REFUSED(&s, ST_NOT_FOUND, "was not there yet", "bedding", "placement", "Hut 1", "at", "2026-10-05", "added", "10kg",
            NULL);
    REFUSED(&s, ST_BAD_INPUT, "says nothing", "bedding", "placement", "Hut 1", "at", "2026-12-05", NULL);
    scratch_close(&s);
}

static void looks_signs_scans_and_weanings(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-10-03", NULL);
    FLAGGED(&s, "scan-early", "scan", "sow", "Bramble", "at", "2026-10-13", "result", "negative", NULL);
    RECORDED(&s, "look", "sow", "Bramble", "at", "2027-01-25T21:00", "absent", "Nest, milk-drops", NULL);
    REFUSED(&s, ST_BAD_INPUT, "is none of", "look", "sow", "Bramble", "at", "2027-01-25T21:00", "absent", "wings",
            NULL);
    REFUSED(&s, ST_CONFLICT, "had not farrowed", "farrowing", "sow", "Bramble", "start", "2027-01-25T20:00",
            "born_alive", "8", NULL);
    scratch_close(&s);
}

static void after_farrowing(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    RECORDED(&s, "look", "sow", "Bramble", "at", "2027-01-25T21:00", "absent", "Nest, milk-drops", NULL);
    struct fact *facts = NULL;
    size_t n = 0;
    assert_int_equal(farm_facts(s.farm, fact_kind_find("look"), 0, &s.mem, &facts, &n, &s.why), ST_OK);
    assert_string_equal(fact_text(facts[0].kind, facts[0].value, "absent"),
                        "milk-drops,nest"); /* in the order of the table */
    RECORDED(&s, "farrowing", "sow", "Bramble", "start", "2027-01-26T03:00", "not-before", "2027-01-25T21:00",
             "born_alive", "8", NULL);
    REFUSED(&s, ST_CONFLICT, "she could not be without", "look", "sow", "Bramble", "at", "2027-01-26T04:00", NULL);
    FLAGGED(&s, "sign-after-farrowing", "sign", "sow", "Bramble", "at", "2027-01-26T04:00", "sign", "nest", NULL);
    REFUSED(&s, ST_CONFLICT, "before she farrowed", "weaning", "sow", "Bramble", "at", "2027-01-10", NULL);
    FLAGGED(&s, "weaning-age-odd", "weaning", "sow", "Bramble", "at", "2027-02-01", "weaned", "7", NULL);
    FLAGGED(&s, "weaned-more", "weaning", "sow", "Bramble", "at", "2027-03-10", "weaned", "9", NULL);
    FLAGGED(&s, "served-suckling", "service", "sow", "Bramble", "at", "2027-01-29", NULL);
    RECORDED(&s, "service", "sow", "Sedge", "at", "2027-02-02",
             NULL); /* the other order: the litter is written after */
    FLAGGED(&s, "served-suckling", "farrowing", "sow", "Sedge", "start", "2027-02-01", "born_alive", "8", NULL);
    REFUSED(&s, ST_BAD_INPUT, "after the start", "farrowing", "sow", "Sedge", "start", "2027-01-26T03:00", "not-before",
            "2027-01-26T04:00", NULL);
    scratch_close(&s);
}

static void flags_show_until_a_person_settles_them(void **state)
{
    struct scratch s;
    struct farm_flag *flags = NULL;
    struct farm_undo undo;
    const struct farm_meta meta = { .who = "Ada" };
    size_t n = 0;
    int64_t before = 0;

    (void)state;
    open_herd(&s);
    FLAGGED(&s, "mass-odd", "animal", "name", "Mote", "is", "sow", "mass", "30kg", NULL);
    FLAGGED(&s, "same-name", "animal", "name", "Bramble", "is", "sow", NULL);
    FLAGGED(&s, "same-tag", "animal", "name", "Thrift", "is", "sow", "tag", "12", NULL);
    assert_int_equal(farm_flags(s.farm, false, 0, &s.mem, &flags, &n, &s.why), ST_OK);
    assert_int_equal(n, 3);
    assert_string_equal(flags[0].says, "30 kg is an odd weight for a sow");
    assert_int_equal(farm_number(s.farm, &before, &s.why), ST_OK);
    assert_int_equal(farm_settle(s.farm, flags[0].number, "she is tiny", &meta, &s.why), ST_OK);
    assert_int_equal(farm_settle(s.farm, flags[0].number, "", &meta, &s.why), ST_CONFLICT);
    assert_int_equal(farm_settle(s.farm, 999, "", &meta, &s.why), ST_NOT_FOUND);
    assert_int_equal(farm_flags(s.farm, false, 0, &s.mem, &flags, &n, &s.why), ST_OK);
    assert_int_equal(n, 2);
    assert_int_equal(farm_flags(s.farm, true, 0, &s.mem, &flags, &n, &s.why), ST_OK);
    assert_int_equal(n, 3);
    assert_string_equal(flags[0].settled_note, "she is tiny");
    assert_int_equal(farm_flags(s.farm, false, before, &s.mem, &flags, &n, &s.why), ST_OK);
    assert_int_equal(n, 3); /* as known before it was settled */
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why),
                     ST_OK); /* Thrift goes, and the flag with her */
    assert_int_equal(farm_flags(s.farm, false, 0, &s.mem, &flags, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    scratch_close(&s);
}

/* Limits: common practice, no source; the default hut is 2.4 x 1.8 m and 1.1 m high (core/nest/nest.h). */
static void a_hut_has_the_size_of_a_hut(void **state)
{
    struct scratch s;

    (void)state;
    open_herd(&s);
    const size_t before = count_facts(&s, "shelter", 0);
    REFUSED(&s, ST_BAD_INPUT, "width: 90 m is more than a hut has", "shelter", "name", "A", "width_m", "90", NULL);
    REFUSED(&s, ST_BAD_INPUT, "length: 31 m", "shelter", "name", "A", "length_m", "31", NULL);
    REFUSED(&s, ST_BAD_INPUT, "height: 12 m", "shelter", "name", "A", "height_m", "12", NULL);
    REFUSED(&s, ST_BAD_INPUT, "higher than the inside", "shelter", "name", "A", "height_m", "1.1", "door_height_m",
            "1.4", NULL);
    REFUSED(&s, ST_BAD_INPUT, "wider than the longer side", "shelter", "name", "A", "length_m", "2.4", "width_m", "1.8",
            "door_width_m", "2.8", NULL);
    assert_int_equal(count_facts(&s, "shelter", 0), before);
    FLAGGED(&s, "hut-size-odd", "shelter", "name", "B", "width_m", "12", NULL);
    FLAGGED(&s, "hut-size-odd", "shelter", "name", "C", "length_m", "0.6", NULL);
    FLAGGED(&s, "hut-size-odd", "shelter", "name", "D", "height_m", "5", NULL);
    FLAGGED(&s, "hut-size-odd", "shelter", "name", "E", "mass_kg", "9000", NULL);
    assert_int_equal(count_facts(&s, "shelter", 0), before + 4);
    const char *usual[][5] = { { "2.4", "1.8", "1.1", "0.7", "0.85" }, { "6", "4", "2.2", "1.2", "1.5" } };
    for (size_t i = 0; i < COUNT(usual); i++) {
        RECORDED(&s, "shelter", "name", i ? "G" : "F", "length_m", usual[i][0], "width_m", usual[i][1], "height_m",
                 usual[i][2], "door_width_m", usual[i][3], "door_height_m", usual[i][4], NULL);
        assert_int_equal(s.outcome.n_flags, 0);
    }
    RECORDED(&s, "shelter", "name", "The barn", "is", "barn", "width_m", "90", "height_m", "12", NULL);
    assert_int_equal(s.outcome.n_flags, 0);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_happens_in_the_future),
        cmocka_unit_test(gestation),
        cmocka_unit_test(usual_gestations_pass),
        cmocka_unit_test(a_farrowing_needs_no_service_when_something_else_explains_it),
        cmocka_unit_test(the_order_of_recording_makes_no_difference),
        cmocka_unit_test(litters_keep_their_distance),
        cmocka_unit_test(the_dead_do_nothing),
        cmocka_unit_test(nobody_is_older_than_his_parents),
        cmocka_unit_test(boars),
        cmocka_unit_test(a_boar_with_her_and_one_with_her_group),
        cmocka_unit_test(a_hut_stands_in_one_place),
        cmocka_unit_test(looks_signs_scans_and_weanings),
        cmocka_unit_test(after_farrowing),
        cmocka_unit_test(flags_show_until_a_person_settles_them),
        cmocka_unit_test(a_hut_has_the_size_of_a_hut),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
