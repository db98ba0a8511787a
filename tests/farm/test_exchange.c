/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facts in and out as CSV and JSON; the whole farm out and in again, byte for byte.
 */
#include <math.h>
#include <sys/stat.h>

#include "farm/weather_store.h"
#include "tests/farm/farm_help.h"

static void write_text(struct scratch *s, const char *name, const char *text, char path[static 200])
{
    (void)snprintf(path, 200, "%s/%s", s->folder, name);
    FILE *f = fopen(path, "wb");
    if (!f || fwrite(text, 1, strlen(text), f) != strlen(text) || fclose(f) != 0)
        fail_msg("%s", path);
}

static enum status import_text(struct scratch *s, const char *name, const char *text, const char *kind,
                               enum farm_batch_how how, struct farm_import *done, struct text *report)
{
    char path[200];
    const struct farm_meta meta = { .who = "Ada", .recorded_utc_s = s->recorded_utc_s };

    write_text(s, name, text, path);
    text_open(report, 1 << 20);
    s->why = (struct message){ "", "" };
    return farm_import_file(s->farm, path, kind ? fact_kind_find(kind) : NULL, how, &meta, done, report, &s->why);
}

static void a_herd_comes_in_from_csv(void **state)
{
    struct scratch s;
    struct farm_import done;
    struct text report;
    /* children before parents, a byte-order mark, CRLF, semicolons, both kinds of heading, an empty line */
    static const char csv[] = "\xEF\xBB\xBFname;is;dam;sire;mass;born\r\n"
                              "Comfrey;sow;Yarrow;Rusty;440lb;2024-02-01\r\n\r\n"
                              "Yarrow;sow;;;200;\r\n"
                              "\"Moss; the elder\";SOW;Yarrow;Alder;;2023-05-01";

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    assert_int_equal(import_text(&s, "herd.csv", csv, "animal", FARM_TRY, &done, &report), ST_OK);
    assert_int_equal(count_facts(&s, "animal", 0), 4);
    assert_non_null(strstr(text_get(&report), "3 of 3 rows are good, 0 are not; nothing was kept"));
    text_close(&report);
    assert_int_equal(import_text(&s, "herd.csv", csv, "animal", FARM_ALL_OR_NOTHING, &done, &report), ST_OK);
    assert_int_equal(done.kept, 3);
    text_close(&report);
    assert_int_equal(count_facts(&s, "animal", 0), 7);
    /* out, and into another farm: the same facts */
    struct text out;
    text_open(&out, 1 << 20);
    assert_int_equal(farm_csv_write(s.farm, fact_kind_find("animal"), 0, &out, &s.why), ST_OK);
    assert_non_null(strstr(text_get(&out), "\"Moss; the elder\""));
    assert_int_equal(import_text(&s, "again.csv", text_get(&out), "animal", FARM_ALL_OR_NOTHING, &done, &report),
                     ST_OK);
    assert_int_equal(done.already, 7); /* known by their uids */
    text_close(&report);
    text_close(&out);
    scratch_close(&s);
}

static const struct {
    const char *kind, *text, *says;
} bad_csv[] = {
    { "animal", "", "bad.csv is empty" },
    { "animal", "name,is\n", "bad.csv has a header and no rows" },
    { "animal", "name,is,wings\nA,sow,2\n", "bad.csv, line 1: the kind animal has no \"wings\"" },
    { "animal", "name,is,temepr\nA,sow,calm\n", "did you mean temper?" },
    { "animal", "name,is,name\nA,sow,B\n", "the columns \"name\" and \"name\" say the same thing" },
    { "animal", "name,is,mass,mass_kg\nA,sow,1,1\n", "say the same thing" },
    { "animal", "name,is\nA,sow\nB,cow\n", "bad.csv, line 3, is: \"cow\" is none of sow|gilt|boar|barrow" },
    { "animal", "name,is,born\nA,sow,2026-02-30\n", "bad.csv, line 2, born: \"2026-02-30\" is not a date" },
    { "animal", "name,is\nA,sow,x\n", "bad.csv, line 2, 3 cells in a row of 2 columns" },
    { "animal", "name,is\n,sow\n", "bad.csv, line 2, name is needed" },
    { "animal", "name,is\n\"A,sow\n", "never closed" },
    { "animal", "name,is\nA\xff,sow\n", "bad.csv, line 2, name: holds bytes that are not text" },
    { "animal", "name,is,uid\nA,sow,12\n", "bad.csv, line 2, uid: \"12\" is not a uid" },
    { "animal", "name,is,dam\nA,sow,Nobody\n", "bad.csv, line 2, dam: no animal is called \"Nobody\"" },
    { "animal", "name,is,mass\nA,sow,1e99\n", "out of range" },
    { "animal", "name,is,mass\nA,sow,nan\n", "is not a mass" },
    { "animal", "name,is,recorded\nA,sow,noon\n", "recorded: \"noon\" is not a date and time" },
    { "service", "sow,at\nBramble,2026-03-08T02:30\n", "bad.csv, line 2, at: there is no 02:30" },
    { "animal", "\x7f\x45\x4c\x46\x02\x01\x01\n", "is this a CSV file?" },
};

static const struct {
    const char *text, *says;
} bad_json[] = {
    { "", "say of which kind" },
    { "[", "bad.json, line 1: not JSON" },
    { "{\"kind\":\"service\",\n\"sow\":", "bad.json, line 2: not JSON" },
    { "[]", "bad.json is an empty list" },
    { "[1]", "bad.json, record 1, a record is written" },
    { "{\"sow\":\"Bramble\"}", "bad.json, record 1, kind: not said" },
    { "{\"kind\":\"cow\"}", "bad.json, record 1, kind: \"cow\" is no kind of fact" },
    { "{\"kind\":7}", "kind: \"?\" is no kind of fact" },
    { "{\"kind\":\"service\",\"sow\":\"Bramble\",\"at\":\"2026-10-03\",\"wings\":2}",
      "record 1, the kind service has no \"wings\"" },
    { "{\"kind\":\"service\",\"sow\":\"Bramble\",\"sow\":\"Sedge\",\"at\":\"2026-10-03\"}", "duplicate" },
    { "{\"kind\":\"service\",\"sow\":7,\"at\":\"2026-10-03\"}", "record 1, sow: a number will not do here; give text" },
    { "{\"kind\":\"service\",\"sow\":{\"a\":1},\"at\":\"2026-10-03\"}", "sow: a {...} will not do here" },
    { "{\"kind\":\"service\",\"sow\":[\"Bramble\"],\"at\":\"2026-10-03\"}", "sow: a list will not do here" },
    { "{\"kind\":\"service\",\"sow\":\"Bramble\",\"at\":1761000000}", "at: a number will not do here" },
    { "{\"kind\":\"animal\",\"name\":\"A\",\"is\":\"sow\",\"mass_kg\":1e999}", "bad.json, line 1: not JSON" },
    { "{\"kind\":\"animal\",\"name\":\"A\",\"is\":\"sow\",\"mass_kg\":\"heavy\"}", "is not a mass" },
    { "{\"kind\":\"animal\",\"name\":\"A\",\"is\":\"sow\",\"mass_kg\":200,\"mass\":\"200kg\"}", "given twice" },
    { "{\"kind\":\"animal\",\"name\":\"A\\u0000B\",\"is\":\"sow\"}", "not JSON" },
    { "{\"kind\":\"look\",\"sow\":\"Bramble\",\"at\":\"2026-10-03\",\"absent\":[1]}", "absent: a list will not do" },
    { "[{\"kind\":\"animal\",\"name\":\"A\",\"is\":\"sow\"},{\"kind\":\"service\",\"sow\":\"B\",\"at\":\"2026-10-03\"}"
      "]",
      "bad.json, record 2, sow: no animal is called \"B\"" },
};

static void rubbish_is_refused_with_file_line_and_field(void **state)
{
    struct scratch s;
    struct farm_import done;
    struct text report;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    for (size_t i = 0; i < COUNT(bad_csv); i++) {
        const enum status st =
            import_text(&s, "bad.csv", bad_csv[i].text, bad_csv[i].kind, FARM_ALL_OR_NOTHING, &done, &report);
        if (st == ST_OK || !strstr(s.why.text, bad_csv[i].says))
            fail_msg("csv %zu: status %d, \"%s\"", i, (int)st, s.why.text);
        text_close(&report);
    }
    for (size_t i = 0; i < COUNT(bad_json); i++) {
        const enum status st = import_text(&s, "bad.json", bad_json[i].text, NULL, FARM_ALL_OR_NOTHING, &done, &report);
        if (st == ST_OK || !strstr(s.why.text, bad_json[i].says))
            fail_msg("json %zu: status %d, \"%s\"", i, (int)st, s.why.text);
        text_close(&report);
    }
    assert_int_equal(count_facts(&s, "animal", 0), 4); /* nothing was kept */
    assert_int_equal(count_facts(&s, "service", 0), 0);
    char *deep = malloc(200001);
    assert_non_null(deep);
    memset(deep, '[', 200000);
    deep[200000] = '\0';
    assert_int_equal(import_text(&s, "deep.json", deep, NULL, FARM_ALL_OR_NOTHING, &done, &report), ST_BAD_INPUT);
    text_close(&report);
    free(deep);
    assert_int_equal(farm_import_file(s.farm, "/nowhere/x.csv", NULL, FARM_TRY, &(struct farm_meta){ .who = "" }, &done,
                                      &report, &s.why),
                     ST_NOT_FOUND);
    scratch_close(&s);
}

/* A line of 3,000 mothers with the youngest first, and a ring, which nobody can be born into. */
static void a_long_line_comes_in_youngest_first(void **state)
{
    enum { LINE = 3000 };
    struct scratch s;
    struct farm_import done;
    struct text csv, report;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    text_open(&csv, 1 << 20);
    text_add(&csv, "name,is,kept,dam\n");
    for (int i = LINE; i > 0; i--)
        text_print(&csv, "L%d,sow,elsewhere,%s%.0d\n", i, i > 1 ? "L" : "", i > 1 ? i - 1 : 0);
    assert_int_equal(import_text(&s, "line.csv", text_get(&csv), "animal", FARM_ALL_OR_NOTHING, &done, &report), ST_OK);
    assert_int_equal(done.kept, LINE);
    text_close(&report);
    assert_int_equal(import_text(&s, "ring.csv", "name,is,dam\nP,sow,Q\nQ,sow,R\nR,sow,P\n", "animal", FARM_KEEP_GOOD,
                                 &done, &report),
                     ST_OK);
    assert_int_equal(done.refused, 3);
    text_close(&report);
    text_close(&csv);
    scratch_close(&s);
}

static void good_rows_are_kept_when_asked(void **state)
{
    struct scratch s;
    struct farm_import done;
    struct text report;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    assert_int_equal(import_text(&s, "mixed.csv", "name,is,mass\nA,sow,200\nB,cow,1\nC,sow,20kg\nD,sow,x\n", "animal",
                                 FARM_KEEP_GOOD, &done, &report),
                     ST_OK);
    assert_int_equal(done.rows, 4);
    assert_int_equal(done.kept, 2);
    assert_int_equal(done.refused, 2);
    assert_int_equal(done.flagged, 1);
    assert_non_null(strstr(text_get(&report), "mixed.csv, line 3, is: \"cow\""));
    assert_non_null(strstr(text_get(&report), "mixed.csv, line 4, odd: 20 kg is an odd weight"));
    assert_non_null(strstr(text_get(&report), "2 of 4 rows kept, 0 were there already, 2 refused, 1 odd"));
    text_close(&report);
    assert_int_equal(
        import_text(
            &s, "kinds.json",
            "[{\"kind\":\"service\",\"sow\":\"Bramble\",\"at\":\"2026-10-03T07:30\"},"
            "{\"kind\":\"look\",\"sow\":\"Bramble\",\"at\":\"2026-12-03T07:30\",\"absent\":[\"nest\",\"away\"]},"
            "{\"kind\":\"animal\",\"name\":\"E\",\"is\":\"sow\",\"mass_kg\":201.5,\"teats\":14,\"dam\":null}]",
            NULL, FARM_ALL_OR_NOTHING, &done, &report),
        ST_OK);
    assert_int_equal(done.kept, 3);
    text_close(&report);
    scratch_close(&s);
}

/* A farm with a past: corrections, undo and redo, flags settled and not, a record held, weather. */
static void much_has_happened(struct scratch *s)
{
    const struct farm_meta meta = { .who = "Ada", .device = "l\"ap,top" };
    struct farm_undo undo;
    struct farm_flag *flags = NULL;
    struct hour hours[60];
    char uid[FARM_UID];
    size_t n = 0, good = 0;

    some_farm(s);
    RECORDED(s, "animal", "name", "Mote \"the, small\"", "is", "sow", "mass", "30", "dam", "Bramble", "note",
             "#x; y\nsecond line", NULL);
    RECORDED(s, "service", "sow", "Bramble", "at", "2026-10-03", "weight", "0.3333333333333333", NULL);
    RECORDED(s, "scan", "sow", "Bramble", "at", "2026-10-13", "result", "negative", NULL);
    RECORDED(s, "look", "sow", "Bramble", "at", "2027-01-25T21:00", "absent", "nest", NULL);
    if (farm_resolve(s->farm, fact_kind_find("animal"), "Bramble", INT64_MIN, uid, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
    s->replaces = uid;
    RECORDED(s, "animal", "name", "Brambling", "is", "sow", NULL);
    RECORDED(s, "note", "animal", "Brambling", "at", "2026-10-03", "text", "é ü 漢字 \t tab", NULL);
    assert_int_equal(farm_undo(s->farm, NULL, false, &meta, &s->mem, &undo, &s->why), ST_OK);
    assert_int_equal(farm_undo(s->farm, NULL, false, &meta, &s->mem, &undo, &s->why), ST_OK);
    assert_int_equal(farm_redo(s->farm, NULL, false, &meta, &s->mem, &undo, &s->why), ST_OK);
    assert_int_equal(farm_flags(s->farm, false, 0, &s->mem, &flags, &n, &s->why), ST_OK);
    assert_true(n >= 2);
    assert_int_equal(farm_settle(s->farm, flags[0].number, "she is tiny", &meta, &s->why), ST_OK);
    const struct fact_kind *service = fact_kind_find("service");
    struct fact_value *values = ARENA_NEW(&s->mem, struct fact_value, service->n_fields);
    values[fact_field_find(service, "sow")] = (struct fact_value){ .given = true, .text = "Nobody" };
    values[fact_field_find(service, "at")] = (struct fact_value){ .given = true, .whole = utc(2026, 10, 1, 0, 0) };
    struct farm_item item = { .kind = service, .values = values, .meta = { .recorded_utc_s = s->recorded_utc_s } };
    assert_int_equal(farm_record_batch(s->farm, FARM_QUEUED, &meta, 1, &item, &s->mem, &good, &s->why), ST_OK);
    for (size_t i = 0; i < COUNT(hours); i++)
        hours[i] = (struct hour){ .utc_s = utc(2026, 1, 1, 5, 0) + (int64_t)i * HOUR_S,
                                  .temp_c = -10.0 / 3.0 + (double)i,
                                  .rh = 0.85,
                                  .wind_mps = i % 7 ? 4.5 : (double)NAN,
                                  .wind_from_deg = 270,
                                  .filled = (unsigned)(i % 3),
                                  .snow = i % 2 };
    struct weather_lot lot = { .sort = WEATHER_FORECAST,
                               .source = "n,s",
                               .lat_deg = 44.9,
                               .lon_deg = (double)NAN,
                               .elevation_m = 250,
                               .etag = "W/\"1\"",
                               .fetched_utc_s = utc(2026, 1, 1, 5, 0) };
    assert_int_equal(farm_weather_put(s->farm, &lot, COUNT(hours), hours, &meta, &s->why), ST_OK);
    lot.sort = WEATHER_PAST;
    assert_int_equal(farm_weather_put(s->farm, &lot, COUNT(hours), hours, &meta, &s->why), ST_OK);
}

static void same_facts(struct scratch *a, struct scratch *b, int64_t known_to)
{
    for (size_t k = 0; fact_kinds[k]; k++) {
        struct fact *x = NULL, *y = NULL;
        size_t n = 0, m = 0;
        assert_int_equal(farm_facts(a->farm, fact_kinds[k], known_to, &a->mem, &x, &n, &a->why), ST_OK);
        assert_int_equal(farm_facts(b->farm, fact_kinds[k], known_to, &b->mem, &y, &m, &b->why), ST_OK);
        assert_int_equal(n, m);
        for (size_t i = 0; i < n; i++) {
            assert_string_equal(x[i].uid, y[i].uid);
            assert_string_equal(fact_json(fact_kinds[k], x[i].value, &a->mem),
                                fact_json(fact_kinds[k], y[i].value, &b->mem));
            assert_int_equal(x[i].number, y[i].number);
            assert_string_equal(x[i].device, y[i].device);
        }
    }
}

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral" /* the commands stand in a table below */
static void run(const char *fmt, const char *a, const char *b, const char *c)
{
    char command[800];

    (void)snprintf(command, sizeof command, fmt, a, b, c);
    if (system(command) != 0)
        fail_msg("%s", command);
}

#pragma GCC diagnostic pop

static void the_whole_farm_goes_out_and_in_exactly(void **state)
{
    struct scratch s, csv, json;
    char out[200], again[200], file[200], file_again[200];
    int64_t newest = 0;

    (void)state;
    scratch_open(&s);
    much_has_happened(&s);
    scratch_folder(&csv);
    scratch_folder(&json);
    (void)snprintf(out, sizeof out, "%s/out", s.folder);
    (void)snprintf(again, sizeof again, "%s/again", s.folder);
    (void)snprintf(file, sizeof file, "%s/out.json", s.folder);
    (void)snprintf(file_again, sizeof file_again, "%s/again.json", s.folder);
    assert_int_equal(farm_export_folder(s.farm, out, &s.why), ST_OK);
    assert_int_equal(farm_export_folder(s.farm, out, &s.why), ST_CONFLICT);
    assert_int_equal(farm_export_json(s.farm, file, &s.why), ST_OK);
    if (farm_import_whole(out, csv.path, NULL, &csv.why) != ST_OK)
        fail_msg("%s", csv.why.text);
    if (farm_import_whole(file, json.path, NULL, &json.why) != ST_OK)
        fail_msg("%s", json.why.text);
    assert_int_equal(farm_import_whole(out, csv.path, NULL, &csv.why), ST_CONFLICT); /* there already */
    assert_int_equal(farm_open(csv.path, &csv.farm, &csv.why), ST_OK);
    assert_int_equal(farm_open(json.path, &json.farm, &json.why), ST_OK);
    assert_int_equal(farm_number(s.farm, &newest, &s.why), ST_OK);
    for (int64_t k = 1; k <= newest; k++) {
        same_facts(&s, &csv, k);
        same_facts(&s, &json, k);
    }
    assert_int_equal(farm_export_folder(csv.farm, again, &s.why), ST_OK);
    run("diff -r '%s' '%s' > '%s'", out, again, "/dev/null");
    assert_int_equal(farm_export_json(json.farm, file_again, &s.why), ST_OK);
    run("cmp '%s' '%s' > '%s'", file, file_again, "/dev/null");
    assert_int_equal(farm_export_json(csv.farm, file_again, &s.why), ST_OK); /* and across */
    run("cmp '%s' '%s' > '%s'", file, file_again, "/dev/null");
    /* the new farm goes on living */
    csv.recorded_utc_s = s.recorded_utc_s;
    RECORDED(&csv, "service", "sow", "Sedge", "at", "2026-10-04", NULL);
    scratch_close(&csv);
    scratch_close(&json);
    scratch_close(&s);
}

static void an_export_that_was_changed_is_refused_whole(void **state)
{
    static const struct {
        const char *edit, *says;
    } edits[] = {
        { "sed -i 's/Long Field/Short Field/' '%s/paddock.csv'", "no longer says what the journal" },
        { "sed -i '3s/Ada/Eve/' '%s/journal.csv'", "does not hang together" },
        { "sed -i '$d' '%s/journal.csv'", "" },
        { "rm '%s/lived.csv'", "has no lived.csv" },
        { "sed -i '1s/uid/uids/' '%s/animal.csv'", "animal.csv, line 1, animal has no column \"uids\"" },
        { "sed -i '2s/sow/cow/' '%s/animal.csv'", "animal.csv, line 2, is: \"cow\" is none of" },
        { "sed -i '2s/^[0-9]*/x/' '%s/fact.csv'", "fact.csv, line 2, id: \"x\" is not a whole number" },
        { "sed -i '2s/,[0-9.-]*,/,abc,/' '%s/weather_hour.csv'", "weather_hour.csv, line 2, temp_c" },
        { "sed -i '2s/export,1/export,9/; s/^export,1/export,9/' '%s/about.csv'", "newer leenest" },
        { "printf '\\xff' >> '%s/farm.csv'", "" },
        { "truncate -s 300 '%s/journal.csv'", "" },
        { ": > '%s/undo.csv'", "undo.csv: empty" },
    };
    struct scratch s, to;
    char out[200];
    struct stat is;

    (void)state;
    scratch_open(&s);
    much_has_happened(&s);
    scratch_folder(&to);
    for (size_t i = 0; i < COUNT(edits); i++) {
        (void)snprintf(out, sizeof out, "%s/out%zu", s.folder, i);
        assert_int_equal(farm_export_folder(s.farm, out, &s.why), ST_OK);
        run(edits[i].edit, out, "", "");
        const enum status st = farm_import_whole(out, to.path, NULL, &to.why);
        if (st == ST_OK || !strstr(to.why.text, edits[i].says))
            fail_msg("%s: status %d, \"%s\"", edits[i].edit, (int)st, to.why.text);
        if (stat(to.path, &is) == 0)
            fail_msg("%s: a file was left", edits[i].edit);
    }
    scratch_close(&to);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_herd_comes_in_from_csv),
        cmocka_unit_test(rubbish_is_refused_with_file_line_and_field),
        cmocka_unit_test(a_long_line_comes_in_youngest_first),
        cmocka_unit_test(good_rows_are_kept_when_asked),
        cmocka_unit_test(the_whole_farm_goes_out_and_in_exactly),
        cmocka_unit_test(an_export_that_was_changed_is_refused_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
