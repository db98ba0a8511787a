/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Recording, names, corrections, undo, the tray. What must hold is the program's own contract (farm/farm.h);
 * gestation of about 115 days is Sasaki & Koketsu (2007), Theriogenology 68:123-127.
 */
#include "tests/farm/farm_help.h"

static void a_fact_comes_back_as_it_went_in(void **state)
{
    struct scratch s;
    struct fact *facts = NULL;
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "service", "sow", "Bramble", "boar", "rusty", "at", "2026-10-03T07:30", NULL);
    assert_int_equal(farm_facts(s.farm, fact_kind_find("service"), 0, &s.mem, &facts, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    assert_int_equal(fact_whole(facts[0].kind, facts[0].value, "at", 0),
                     utc(2026, 10, 3, 12, 30));                                   /* CDT is 5 h behind */
    assert_string_equal(fact_text(facts[0].kind, facts[0].value, "how"), "seen"); /* the default */
    assert_string_equal(farm_called(s.farm, fact_text(facts[0].kind, facts[0].value, "sow"), &s.mem), "Bramble");
    assert_string_equal(facts[0].who, "Ada");
    assert_string_equal(farm_called(s.farm, facts[0].uid, &s.mem), "service of Bramble, 2026-10-03 07:30");
    scratch_close(&s);
}

static void the_same_uid_is_the_same_fact(void **state)
{
    struct scratch s;
    const char *uid = "0123456789abcdef0123456789abcdef";

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    s.uid = uid;
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-10-03T07:30", NULL);
    assert_false(s.outcome.already);
    const int64_t number = s.outcome.number;
    s.uid = uid;
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-10-03T07:30", NULL);
    assert_true(s.outcome.already);
    assert_int_equal(s.outcome.number, number);
    s.uid = uid; /* by tag: another text, the same fact */
    RECORDED(&s, "service", "sow", "12", "at", "2026-10-03T12:30Z", NULL);
    assert_true(s.outcome.already);
    s.uid = uid;
    REFUSED(&s, ST_CONFLICT, "says something else", "service", "sow", "Bramble", "at", "2026-10-03T07:31", NULL);
    s.uid = uid;
    REFUSED(&s, ST_CONFLICT, "is taken by a service", "note", "at", "2026-10-03", "text", "x", NULL);
    assert_int_equal(count_facts(&s, "service", 0), 1);
    scratch_close(&s);
}

static void names_resolve_among_those_alive_that_day(void **state)
{
    struct scratch s;
    char uid[FARM_UID];

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "leaving", "animal", "Bramble", "on", "2026-03-01", "how", "died", NULL);
    RECORDED(&s, "animal", "name", "Bramble", "is", "gilt", "born", "2026-04-01", "tag", "40",
             NULL); /* named after her */
    const char *young = keep_uid(&s);
    assert_int_equal(s.outcome.n_flags, 0);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "bramble", civil_days(2026, 12, 1), uid, &s.why),
                     ST_OK);
    assert_string_equal(uid, young);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Bramble", civil_days(2025, 12, 1), uid, &s.why),
                     ST_OK);
    assert_string_not_equal(uid, young);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Bramble", civil_days(2026, 3, 15), uid, &s.why),
                     ST_NOT_FOUND);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Bramble", INT64_MIN, uid, &s.why), ST_CONFLICT);
    assert_non_null(strstr(s.why.text, "sow tagged 12"));
    assert_non_null(strstr(s.why.text, "gilt tagged 40"));
    REFUSED(&s, ST_NOT_FOUND, "did you mean Sedge?", "service", "sow", "Sedgw", "at", "2026-10-03T07:30", NULL);
    REFUSED(&s, ST_NOT_FOUND, "record it first", "service", "sow", "Zinnia", "at", "2026-10-03T07:30", NULL);
    RECORDED(&s, "animal", "name", "Rusty", "is", "sow",
             NULL); /* a sow of the boar's name: the field says who is meant */
    RECORDED(&s, "service", "sow", "Rusty", "boar", "Rusty", "at", "2026-10-03T07:30", NULL);
    REFUSED(&s, ST_CONFLICT, "is recorded as a boar", "service", "sow", "Alder", "at", "2026-10-03T07:30", NULL);
    scratch_close(&s);
}

static void a_correction_carries_its_references_along(void **state)
{
    struct scratch s;
    struct fact *facts = NULL;
    struct fact old;
    size_t n = 0;
    char uid[FARM_UID];
    int64_t before = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-10-03T07:30", NULL);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Bramble", INT64_MIN, uid, &s.why), ST_OK);
    assert_int_equal(farm_number(s.farm, &before, &s.why), ST_OK);
    s.replaces = uid;
    RECORDED(&s, "animal", "name", "Brambling", "is", "sow", "born", "2022-03-02", NULL);
    const char *now = keep_uid(&s);
    assert_int_equal(farm_facts(s.farm, fact_kind_find("service"), 0, &s.mem, &facts, &n, &s.why), ST_OK);
    assert_string_equal(fact_text(facts[0].kind, facts[0].value, "sow"), now);
    assert_int_equal(farm_facts(s.farm, fact_kind_find("service"), before, &s.mem, &facts, &n, &s.why), ST_OK);
    assert_string_equal(fact_text(facts[0].kind, facts[0].value, "sow"), uid); /* as it was known then */
    assert_int_equal(farm_fact(s.farm, uid, 0, &s.mem, &old, &s.why), ST_OK);
    assert_false(old.live);
    s.replaces = uid;
    REFUSED(&s, ST_CONFLICT, "corrected already", "animal", "name", "Bram", "is", "sow", NULL);
    s.replaces = now;
    REFUSED(&s, ST_BAD_INPUT, "only another animal", "note", "text", "x", "at", "2026-01-01", NULL);
    assert_int_equal(count_facts(&s, "animal", 0), 4);
    scratch_close(&s);
}

static void undo_takes_what_rests_on_it_and_redo_brings_all_back(void **state)
{
    struct scratch s;
    struct farm_undo undo;
    const struct farm_meta meta = { .who = "Ada" };
    int64_t before = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "animal", "name", "Teasel", "is", "sow", NULL);
    const char *teasel = keep_uid(&s);
    RECORDED(&s, "service", "sow", "Teasel", "at", "2026-10-03T07:30", NULL);
    RECORDED(&s, "scan", "sow", "Teasel", "at", "2026-11-03T07:30", "result", "positive", NULL);
    assert_int_equal(farm_number(s.farm, &before, &s.why), ST_OK);
    assert_int_equal(farm_undo(s.farm, teasel, true, &meta, &s.mem, &undo, &s.why), ST_OK); /* dry run */
    assert_int_equal(undo.n_changes, 3);
    assert_int_equal(undo.n_dependents, 2);
    assert_string_equal(undo.new_batch, "");
    assert_int_equal(count_facts(&s, "scan", 0), 1);
    assert_int_equal(farm_undo(s.farm, teasel, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_int_equal(count_facts(&s, "animal", 0), 4);
    assert_int_equal(count_facts(&s, "service", 0), 0);
    assert_int_equal(count_facts(&s, "scan", 0), 0);
    assert_int_equal(count_facts(&s, "scan", before), 1); /* known then */
    assert_int_equal(farm_undo(s.farm, teasel, false, &meta, &s.mem, &undo, &s.why), ST_CONFLICT);
    REFUSED(&s, ST_CONFLICT, "has been voided", "scan", "sow", teasel, "at", "2026-11-03T07:30", "result", "positive",
            NULL);
    assert_int_equal(farm_redo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_int_equal(undo.n_changes, 3);
    assert_int_equal(count_facts(&s, "animal", 0), 5);
    assert_int_equal(count_facts(&s, "scan", 0), 1);
    assert_int_equal(farm_redo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_NOT_FOUND);
    /* without a name: the newest, then the one before it */
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_string_equal(undo.changes[0].kind, "scan");
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_string_equal(undo.changes[0].kind, "service");
    assert_int_equal(farm_redo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_string_equal(undo.changes[0].kind, "service");
    assert_int_equal(farm_redo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_string_equal(undo.changes[0].kind, "scan");
    scratch_close(&s);
}

static void undo_of_a_correction_leaves_the_rest_alone(void **state)
{
    struct scratch s;
    struct farm_undo undo;
    const struct farm_meta meta = { .who = "Ada" };
    struct fact *facts = NULL;
    size_t n = 0;
    char uid[FARM_UID];

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-10-03T07:30", NULL);
    assert_int_equal(farm_resolve(s.farm, fact_kind_find("animal"), "Bramble", INT64_MIN, uid, &s.why), ST_OK);
    s.replaces = uid;
    RECORDED(&s, "animal", "name", "Brambling", "is", "sow", NULL);
    assert_int_equal(farm_undo(s.farm, uid, false, &meta, &s.mem, &undo, &s.why), ST_CONFLICT); /* corrected since */
    assert_non_null(strstr(s.why.text, "undo the correction first"));
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_int_equal(undo.n_changes, 2);
    assert_int_equal(undo.n_dependents, 0);
    assert_int_equal(farm_facts(s.farm, fact_kind_find("service"), 0, &s.mem, &facts, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    assert_string_equal(fact_text(facts[0].kind, facts[0].value, "sow"), uid);
    scratch_close(&s);
}

static void redo_is_refused_when_it_no_longer_fits(void **state)
{
    struct scratch s;
    struct farm_undo undo;
    const struct farm_meta meta = { .who = "Ada" };

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "farrowing", "sow", "Bramble", "start", "2027-01-26T04:00", "born_alive", "8", NULL);
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    RECORDED(&s, "farrowing", "sow", "Bramble", "start", "2027-01-26T05:00", "born_alive", "9", NULL);
    assert_int_equal(farm_redo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_CONFLICT);
    assert_non_null(strstr(s.why.text, "correct that instead"));
    assert_int_equal(count_facts(&s, "farrowing", 0), 1);
    scratch_close(&s);
}

/* ---- batches and the tray ---- */

static struct farm_item item_of(struct scratch *s, const char *kind_name, ...)
{
    const struct fact_kind *kind = fact_kind_find(kind_name);
    struct fact_value *values = ARENA_NEW(&s->mem, struct fact_value, kind->n_fields);
    va_list args;

    va_start(args, kind_name);
    assert_int_equal(read_pairs(s, kind, values, args), ST_OK);
    va_end(args);
    return (struct farm_item){ .kind = kind, .values = values, .meta = { .recorded_utc_s = s->recorded_utc_s } };
}

static void a_batch_is_all_or_nothing_and_in_any_order(void **state)
{
    struct scratch s;
    struct farm_undo undo;
    const struct farm_meta meta = { .who = "Ada" };
    size_t good = 0;

    (void)state;
    scratch_open(&s);
    struct farm_item items[] = {
        item_of(&s, "service", "sow", "Comfrey", "at", "2026-10-03T07:30", NULL),
        item_of(&s, "animal", "name", "Comfrey", "is", "sow", "dam", "Yarrow", NULL),
        item_of(&s, "animal", "name", "Yarrow", "is", "sow", NULL),
        item_of(&s, "service", "sow", "Nobody", "at", "2026-10-03T07:30", NULL),
    };
    items[3].line = 5;
    items[3].file = "herd.csv";
    assert_int_equal(farm_record_batch(s.farm, FARM_ALL_OR_NOTHING, &meta, 4, items, &s.mem, &good, &s.why),
                     ST_NOT_FOUND);
    assert_int_equal(good, 3);
    assert_non_null(strstr(s.why.text, "herd.csv, line 5, sow: no animal is called \"Nobody\""));
    assert_int_equal(count_facts(&s, "animal", 0), 0);
    items[3].status = ST_OK;
    for (size_t i = 0; i < 4; i++)
        items[i].status = ST_OK;
    assert_int_equal(farm_record_batch(s.farm, FARM_TRY, &meta, 3, items, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(count_facts(&s, "animal", 0), 0);
    assert_int_equal(farm_record_batch(s.farm, FARM_KEEP_GOOD, &meta, 4, items, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(good, 3);
    assert_int_equal(items[3].status, ST_NOT_FOUND);
    assert_int_equal(count_facts(&s, "animal", 0), 2);
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK); /* undone together */
    assert_int_equal(undo.n_changes, 3);
    assert_int_equal(count_facts(&s, "animal", 0), 0);
    scratch_close(&s);
}

static void a_refused_queued_record_rests_in_the_tray(void **state)
{
    struct scratch s;
    struct farm_held *held = NULL;
    const struct farm_meta meta = { .who = "Ada", .device = "phone" };
    size_t good = 0, n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    struct farm_item queue[] = {
        item_of(&s, "service", "sow", "Zinnia", "at", "2026-10-03T07:30", NULL),
        item_of(&s, "service", "sow", "Bramble", "at", "2026-10-03T07:30", NULL),
    };
    queue[0].meta.uid = "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa";
    queue[1].meta.uid = "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb";
    for (int again = 0; again < 3; again++) { /* the phone may send it as often as it likes */
        queue[0].status = queue[1].status = ST_OK;
        assert_int_equal(farm_record_batch(s.farm, FARM_QUEUED, &meta, 2, queue, &s.mem, &good, &s.why), ST_OK);
        assert_int_equal(good, 1);
        assert_int_equal(queue[0].status, ST_NOT_FOUND);
        assert_true(again == 0 || queue[1].outcome.already);
        assert_int_equal(farm_held(s.farm, false, &s.mem, &held, &n, &s.why), ST_OK);
        assert_int_equal(n, 1);
    }
    assert_string_equal(held[0].uid, queue[0].meta.uid);
    assert_non_null(strstr(held[0].body, "Zinnia"));
    assert_non_null(strstr(held[0].reason, "no animal is called"));
    /* put right by a person: recorded under the same uid, the phone's */
    struct farm_item right = item_of(&s, "service", "sow", "Sedge", "at", "2026-10-03T07:30", NULL);
    assert_int_equal(farm_settle_held(s.farm, held[0].number, right.values, &meta, &s.mem, &s.outcome, &s.why), ST_OK);
    assert_string_equal(s.outcome.uid, queue[0].meta.uid);
    assert_int_equal(farm_held(s.farm, false, &s.mem, &held, &n, &s.why), ST_OK);
    assert_int_equal(n, 0);
    assert_int_equal(count_facts(&s, "service", 0), 2);
    /* dropped by a person: the phone is told that it is dealt with */
    struct farm_item lost = item_of(&s, "service", "sow", "Nettle", "at", "2026-10-03T07:30", NULL);
    lost.meta.uid = "cccccccccccccccccccccccccccccccc";
    assert_int_equal(farm_record_batch(s.farm, FARM_QUEUED, &meta, 1, &lost, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(farm_held(s.farm, false, &s.mem, &held, &n, &s.why), ST_OK);
    assert_int_equal(farm_settle_held(s.farm, held[0].number, NULL, &meta, &s.mem, &s.outcome, &s.why), ST_OK);
    assert_int_equal(farm_settle_held(s.farm, held[0].number, NULL, &meta, &s.mem, &s.outcome, &s.why), ST_CONFLICT);
    lost.status = ST_OK;
    assert_int_equal(farm_record_batch(s.farm, FARM_QUEUED, &meta, 1, &lost, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(lost.status, ST_OK);
    assert_true(lost.outcome.already);
    /* what waited for its sow goes in by itself when she is there */
    lost = item_of(&s, "service", "sow", "Nettle", "at", "2026-11-03T07:30", NULL);
    lost.meta.uid = "dddddddddddddddddddddddddddddddd";
    assert_int_equal(farm_record_batch(s.farm, FARM_QUEUED, &meta, 1, &lost, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(good, 0);
    RECORDED(&s, "animal", "name", "Nettle", "is", "sow", NULL);
    lost.status = ST_OK;
    assert_int_equal(farm_record_batch(s.farm, FARM_QUEUED, &meta, 1, &lost, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(good, 1);
    assert_int_equal(farm_held(s.farm, false, &s.mem, &held, &n, &s.why), ST_OK);
    assert_int_equal(n, 0);
    scratch_close(&s);
}

static void history_tells_who_and_what(void **state)
{
    struct scratch s;
    struct farm_undo undo;
    struct farm_change *changes = NULL;
    const struct farm_meta meta = { .who = "Ben", .device = "phone" };
    size_t n = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "service", "sow", "Bramble", "at", "2026-10-03T07:30", NULL);
    const char *uid = keep_uid(&s);
    assert_int_equal(farm_undo(s.farm, NULL, false, &meta, &s.mem, &undo, &s.why), ST_OK);
    assert_int_equal(farm_history(s.farm, uid, 0, 10, &s.mem, &changes, &n, &s.why), ST_OK);
    assert_int_equal(n, 2);
    assert_int_equal(changes[0].what, FARM_VOIDED);
    assert_string_equal(changes[0].who, "Ben");
    assert_string_equal(changes[0].undoes, uid); /* a fact recorded by itself is its own batch */
    assert_string_equal(changes[0].called, "service of Bramble, 2026-10-03 07:30");
    assert_string_equal(changes[1].who, "Ada");
    assert_string_equal(changes[1].after, changes[0].before);
    assert_int_equal(farm_history(s.farm, NULL, 3, 100, &s.mem, &changes, &n, &s.why), ST_OK);
    assert_int_equal(n, 2); /* changes 2 and 1 */
    scratch_close(&s);
}

static void one_farm_only(void **state)
{
    struct scratch s;
    struct fact_speech speech;

    (void)state;
    scratch_open(&s);
    assert_int_equal(farm_speech(s.farm, &speech, &s.why), ST_OK);
    assert_string_equal(zone_name(speech.zone), "UTC");
    some_farm(&s);
    REFUSED(&s, ST_CONFLICT, "correct it instead", "farm", "name", "Other", "lat_deg", "1", "lon_deg", "1", "zone",
            "Europe/Berlin", NULL);
    struct fact *first = NULL;
    size_t n_first = 0;
    assert_int_equal(farm_facts(s.farm, fact_kind_find("farm"), 0, &s.mem, &first, &n_first, &s.why), ST_OK);
    s.replaces = first[0].uid;
    REFUSED(&s, ST_NOT_FOUND, "did you mean America/Chicago?", "farm", "name", "Other", "lat_deg", "1", "lon_deg", "1",
            "zone", "America/Chicgo", NULL);
    struct fact *facts = NULL;
    size_t n = 0;
    assert_int_equal(farm_facts(s.farm, fact_kind_find("farm"), 0, &s.mem, &facts, &n, &s.why), ST_OK);
    s.replaces = facts[0].uid;
    RECORDED(&s, "farm", "name", "Withy Bottom", "lat_deg", "52", "lon_deg", "13", "zone", "Europe/Berlin", "units",
             "us", NULL);
    assert_int_equal(farm_speech(s.farm, &speech, &s.why), ST_OK);
    assert_string_equal(zone_name(speech.zone), "Europe/Berlin");
    assert_true(speech.us_units);
    scratch_close(&s);
}

/* Put right by a person, it takes the place of what it was to correct; the phone that did not hear of it and sends the
 * very same again has nothing more to do. */
static void a_held_correction_still_corrects(void **state)
{
    const struct farm_meta meta = { .who = "Ada", .device = "laptop", .recorded_utc_s = utc(2027, 6, 1, 12, 0) };
    struct farm_held *held = NULL;
    struct scratch s;
    size_t n = 0, good = 0;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    RECORDED(&s, "note", "at", "2027-05-01T08:00", "text", "as first written", NULL);
    const char *first = keep_uid(&s);
    const struct fact_kind *note = fact_kind_find("note");
    struct fact_value *wrong = ARENA_NEW(&s.mem, struct fact_value, note->n_fields);
    struct fact_value *right = ARENA_NEW(&s.mem, struct fact_value, note->n_fields);
    wrong[0] = right[0] = (struct fact_value){ .given = true, .whole = utc(2027, 5, 1, 13, 0) };
    wrong[1] = (struct fact_value){ .given = true, .text = "about Zinnia" };
    wrong[fact_field_find(note, "animal")] = (struct fact_value){ .given = true, .text = "Zinnia" };
    right[1] = (struct fact_value){ .given = true, .text = "put right" };
    struct farm_item item = { .kind = note,
                              .values = wrong,
                              .meta = { .uid = "00112233445566778899aabbccddeeff", .replaces = first } };
    const struct farm_item as_sent = item;
    assert_int_equal(farm_record_batch(s.farm, FARM_QUEUED, &meta, 1, &item, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(item.status, ST_NOT_FOUND);
    assert_int_equal(farm_held(s.farm, false, &s.mem, &held, &n, &s.why), ST_OK);
    assert_int_equal(n, 1);
    struct farm_meta by = meta;
    by.replaces = first;
    if (farm_settle_held(s.farm, held[0].number, right, &by, &s.mem, &s.outcome, &s.why) != ST_OK)
        fail_msg("%s", s.why.text);
    assert_int_equal(count_facts(&s, "note", 0), 1);
    item = as_sent; /* the answer was lost on the way */
    assert_int_equal(farm_record_batch(s.farm, FARM_QUEUED, &meta, 1, &item, &s.mem, &good, &s.why), ST_OK);
    assert_int_equal(item.status, ST_OK);
    assert_true(item.outcome.already);
    assert_int_equal(farm_held(s.farm, false, &s.mem, &held, &n, &s.why), ST_OK);
    assert_int_equal(n, 0);
    scratch_close(&s);
}

static void whoever_says_so_has_a_plain_name(void **state)
{
    const struct fact_kind *note = fact_kind_find("note");
    struct farm_meta meta = { .who = "Ada\nBob", .recorded_utc_s = utc(2027, 6, 1, 12, 0) };
    char name[300];
    struct scratch s;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    struct fact_value *v = ARENA_NEW(&s.mem, struct fact_value, note->n_fields);
    v[0] = (struct fact_value){ .given = true, .whole = utc(2027, 5, 1, 13, 0) };
    v[1] = (struct fact_value){ .given = true, .text = "x" };
    assert_int_equal(farm_record(s.farm, note, v, &meta, &s.mem, &s.outcome, &s.why), ST_BAD_INPUT);
    assert_string_equal(s.why.field, "who");
    meta.who = "Ada";
    meta.device = "\xE2\x80\xAE"
                  "enohp";
    assert_int_equal(farm_record(s.farm, note, v, &meta, &s.mem, &s.outcome, &s.why), ST_BAD_INPUT);
    assert_string_equal(s.why.field, "device");
    memset(name, 'a', sizeof name);
    name[sizeof name - 1] = '\0';
    meta.device = name;
    assert_int_equal(farm_record(s.farm, note, v, &meta, &s.mem, &s.outcome, &s.why), ST_BAD_INPUT);
    assert_string_equal(s.why.field, "device");
    assert_int_equal(count_facts(&s, "note", 0), 0);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fact_comes_back_as_it_went_in),
        cmocka_unit_test(the_same_uid_is_the_same_fact),
        cmocka_unit_test(names_resolve_among_those_alive_that_day),
        cmocka_unit_test(a_correction_carries_its_references_along),
        cmocka_unit_test(undo_takes_what_rests_on_it_and_redo_brings_all_back),
        cmocka_unit_test(undo_of_a_correction_leaves_the_rest_alone),
        cmocka_unit_test(redo_is_refused_when_it_no_longer_fits),
        cmocka_unit_test(a_batch_is_all_or_nothing_and_in_any_order),
        cmocka_unit_test(a_refused_queued_record_rests_in_the_tray),
        cmocka_unit_test(a_held_correction_still_corrects),
        cmocka_unit_test(whoever_says_so_has_a_plain_name),
        cmocka_unit_test(history_tells_who_and_what),
        cmocka_unit_test(one_farm_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
