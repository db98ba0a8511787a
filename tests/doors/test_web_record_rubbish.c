/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rubbish in every field of every kind of record over HTTP, and that what is sound is kept the same as by the command
 * line. What is right is told by the fact table and by RFC 8259 and 9110 (codes); the farm is invented.
 */
#include "tests/doors/record_case.h"

#include <math.h>

#include "farm/facts.h"
#include "tests/doors/run.h"

/* ---- rubbish ---- */

static const struct {
    const char *kind, *fact;
} sound[] = {
    { "person", "{\"name\": \"New\"}" },
    { "breed", "{\"name\": \"New\"}" },
    { "animal", "{\"name\": \"New\", \"is\": \"sow\"}" },
    { "group", "{\"name\": \"New\"}" },
    { "paddock", "{\"name\": \"New\"}" },
    { "mark", "{\"is\": \"water\", \"paddock\": \"Low\", \"points\": \"4,5\"}" },
    { "shelter", "{\"name\": \"New\"}" },
    { "windbreak", "{\"name\": \"New\", \"is\": \"hedge\", \"height_m\": 2}" },
    { "placement", "{\"shelter\": \"North\", \"from\": \"2024-12-01\"}" },
    { "bedding", "{\"placement\": \"North\", \"at\": \"2024-12-01\", \"straw_state\": \"dry\"}" },
    { "stock", "{\"at\": \"2024-12-01\", \"people\": 2}" },
    { "leaving", "{\"animal\": \"Otis\", \"on\": \"2024-12-01\", \"how\": \"sold\"}" },
    { "weighing", "{\"animal\": \"Otis\", \"on\": \"2024-12-01\", \"condition\": 3}" },
    { "heat", "{\"sow\": \"Bramble\", \"at\": \"2024-08-01\"}" },
    { "service", "{\"sow\": \"Bramble\", \"at\": \"2024-08-01\"}" },
    { "boar_run", "{\"boar\": \"Otis\", \"from\": \"2024-08-01\", \"sow\": \"Bramble\"}" },
    { "scan", "{\"sow\": \"Bramble\", \"at\": \"2024-08-30\", \"result\": \"positive\"}" },
    { "return", "{\"sow\": \"Bramble\", \"at\": \"2024-08-30\", \"seen\": \"heat\"}" },
    { "sign", "{\"sow\": \"Bramble\", \"at\": \"2024-11-20\", \"sign\": \"nest\"}" },
    { "look", "{\"sow\": \"Bramble\", \"at\": \"2024-11-20\"}" },
    { "farrowing", "{\"sow\": \"Bramble\", \"start\": \"2024-11-24\"}" },
    { "birth", "{\"sow\": \"Bramble\", \"at\": \"2024-11-19\"}" },
    { "weaning", "{\"sow\": \"Bramble\", \"at\": \"2024-12-30\"}" },
    { "loss", "{\"sow\": \"Bramble\", \"at\": \"2024-11-26\", \"many\": 2}" },
    { "move", "{\"at\": \"2024-12-01\", \"to_group\": \"Dry\", \"animal\": \"Otis\"}" },
    { "nested", "{\"sow\": \"Bramble\", \"at\": \"2024-11-24\", \"place\": \"hut\", \"put_out\": \"used\"}" },
    { "treatment", "{\"at\": \"2024-12-01\", \"what\": \"wormer\", \"animal\": \"Otis\"}" },
    { "weather_source", "{\"name\": \"New\", \"is\": \"own\"}" },
    { "reading", "{\"at\": \"2024-12-01\", \"temp_c\": 3}" },
    { "tick", "{\"prompt\": \"feed\", \"at\": \"2024-12-01\"}" },
    { "note", "{\"at\": \"2024-12-01\", \"text\": \"words\"}" },
    { "asked", "{\"from\": \"2025-04-01\", \"pigs\": 12}" },
    { "season_plan", "{\"boar_in\": \"2024-12-02\", \"boar_out\": \"2024-12-23\"}" },
    { "pairing", "{\"sow\": \"Bramble\", \"boar\": \"Otis\", \"from\": \"2024-12-02\"}" },
    { "society", "{\"breed\": \"New\", \"source\": \"none\"}" },
    { "setting", "{\"name\": \"show-at\", \"value\": \"2024-12-01T12:00Z\"}" },
};

#define OF(type) (1U << (type))
enum {
    NUMBERS = OF(FACT_REAL) | OF(FACT_WHOLE),
    DATES = OF(FACT_DAY) | OF(FACT_MOMENT),
    WORDS = OF(FACT_CHOICE) | OF(FACT_SET),
    ALL = NUMBERS | DATES | WORDS | OF(FACT_TEXT) | OF(FACT_REF) | OF(FACT_FLAG),
    ANY_FIELD = 1 << 20, /* the JSON itself is refused: no field can be named */
};
static const struct {
    const char *json;
    unsigned in;
} rubbish[] = {
    { "{}", ALL },
    { "{\"a\": [1, {\"b\": null}]}", ALL },
    { "[[]]", ALL },
    { "[1, 2]", ALL },
    { "[{\"nest\": 1}]", ALL },
    { "true", ALL & ~OF(FACT_FLAG) },
    { "17", ALL & ~NUMBERS },
    { "\"abc\"", ALL & ~(OF(FACT_TEXT) | OF(FACT_REF)) },
    { "\"Nobody\"", OF(FACT_REF) },
    { "\"0123456789abcdef0123456789abcdef\"", ALL & ~OF(FACT_TEXT) },
    { "\"NaN\"", NUMBERS | DATES | WORDS | OF(FACT_FLAG) | OF(FACT_REF) },
    { "\"inf\"", NUMBERS },
    { "\"1e999\"", NUMBERS },
    { "\"0x10\"", NUMBERS },
    { "\"1,5\"", NUMBERS },
    { "\"5 furlongs\"", NUMBERS },
    { "1e308", NUMBERS },
    { "-1e308", NUMBERS },
    { "9223372036854775807", NUMBERS },
    { "1.5", OF(FACT_WHOLE) },
    { "\"2026-02-30\"", DATES | NUMBERS },
    { "\"2026-13-01\"", DATES },
    { "\"yesterday\"", DATES },
    { "\"1850-01-01\"", DATES },
    { "\"99999-01-01\"", DATES },
    { "\"2024-03-10T02:30\"", OF(FACT_MOMENT) }, /* the clock jumped over it */
    { "\"a\\u0001b\"", ALL },
    { "\"\\u001b[31mred\"", ALL },
    { "\"\\u0085\"", ALL },
    { "\"\\u202eelbmarB\"", ALL & ~OF(FACT_TEXT) }, /* names: below */
    { "NaN", ALL | ANY_FIELD },
    { "Infinity", ALL | ANY_FIELD },
    { "1e999", ALL | ANY_FIELD },
    { "99999999999999999999", ALL | ANY_FIELD },
    { "\"\\u0000\"", ALL | ANY_FIELD },
    { "\"\xff\xfe\"", ALL | ANY_FIELD },
    { "\"\\ud800\"", ALL | ANY_FIELD },
    { "'Bramble'", ALL | ANY_FIELD },
    { "", ALL | ANY_FIELD },
    { "[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]", ALL | ANY_FIELD },
};

/* The sentence is one line of clean text, whatever was in it. */
static void clean_sentence(const struct web_got *got, const char *about)
{
    const char *s = web_text(got, "error.sentence");

    if (!*s)
        fail_msg("%s: no sentence in %s", about, text_get(&got->body));
    for (; *s; s++)
        if ((unsigned char)*s < 0x20 || strncmp(s, "\xE2\x80\xAE", 3) == 0)
            fail_msg("%s: the sentence is not clean: %s", about, text_get(&got->body));
}

static void put_rubbish(size_t i, const struct fact_field *f, const char *json, bool field_named)
{
    struct text body;
    char path[64], about[200];
    json_t *fact = json_loads(sound[i].fact, 0, NULL);

    (void)json_object_del(fact, f->name);
    for (size_t e = 0; e < 1; e++) { /* of two that exclude each other the other goes */
        if (strcmp(f->name, "group") == 0) {
            (void)json_object_del(fact, "sow");
            (void)json_object_del(fact, "animal");
        }
        if (strcmp(sound[i].kind, "placement") == 0 && strcmp(f->name, "name") == 0)
            (void)json_object_del(fact, "shelter");
    }
    char *rest = json_dumps(fact, JSON_COMPACT);
    text_open(&body, 1 << 20);
    text_print(&body, "{\"fact\": {\"%s\": %s%s%s}", f->name, json, rest[1] == '}' ? "" : ", ", rest + 1);
    (void)snprintf(path, sizeof path, "/api/record/%s", sound[i].kind);
    (void)snprintf(about, sizeof about, "%s.%s = %.80s", sound[i].kind, f->name, json);
    struct web_got got = web_post(&farm, path, text_get(&body));
    if (got.code != 400 && !(f->type == FACT_REF && (got.code == 404 || got.code == 409)))
        fail_msg("%s: %d %s", about, got.code, text_get(&got.body));
    if (field_named && strcmp(web_text(&got, "error.field"), f->name) != 0)
        fail_msg("%s: field \"%s\": %s", about, web_text(&got, "error.field"), text_get(&got.body));
    clean_sentence(&got, about);
    web_free(&got);
    text_close(&body);
    free(rest);
    json_decref(fact);
}

static void rubbish_in_every_field_of_every_kind(void **state)
{
    const int64_t before = newest_change();
    size_t n = 0, kinds = 0;

    (void)state;
    while (fact_kinds[kinds])
        kinds++;
    assert_int_equal(COUNT(sound) + 1, kinds); /* all but the farm itself */
    for (size_t i = 0; i < COUNT(sound); i++) {
        const struct fact_kind *kind = fact_kind_find(sound[i].kind);
        for (size_t f = 0; f < kind->n_fields; f++)
            for (size_t r = 0; r < COUNT(rubbish); r++) {
                if (!(rubbish[r].in & OF(kind->fields[f].type)) ||
                    ((rubbish[r].in & ANY_FIELD) && f > 0)) /* the parser knows no fields */
                    continue;
                put_rubbish(i, &kind->fields[f], rubbish[r].json, !(rubbish[r].in & ANY_FIELD));
                n++;
            }
        for (size_t f = 0; f < kind->n_fields; f++)
            if (kind->called && strcmp(kind->called, kind->fields[f].name) == 0 && kind->fields[f].type == FACT_TEXT) {
                put_rubbish(i, &kind->fields[f], "\"\\u202eelbmarB\"", true);
                put_rubbish(i, &kind->fields[f], "\"two\\nlines\"", true);
            }
    }
    assert_int_equal(newest_change(), before); /* nothing of it was kept */
    print_message("%zu pieces of rubbish refused\n", n);
}

static void what_is_sound_is_recorded(void **state) /* so that the rubbish above fell by itself */
{
    struct text body;
    char path[64];

    (void)state;
    for (size_t i = 0; i < COUNT(sound); i++) {
        if (strcmp(sound[i].kind, "setting") == 0) /* the farm would stand still for the tests to come */
            continue;
        text_open(&body, 1 << 16);
        text_print(&body, "{\"fact\": %s}", sound[i].fact);
        (void)snprintf(path, sizeof path, "/api/record/%s", sound[i].kind);
        struct web_got got = web_post(&farm, path, text_get(&body));
        if (got.code != 200)
            fail_msg("%s: %d %s", sound[i].kind, got.code, text_get(&got.body));
        web_free(&got);
        got = web_post(&farm, "/api/undo", "{}");
        WEB_WANT(&got, 200);
        web_free(&got);
        text_close(&body);
    }
}

/* "straw_state": "dry" -> --straw-state=dry; "height_m": 2 -> --height=2m */
static size_t as_flags(const struct fact_kind *kind, json_t *fact, char room[][128], const char *argv[])
{
    static const char *const units[] = { "_m", "_C", "_kg" };
    const char *name;
    json_t *value;
    size_t n = 0;

    json_object_foreach(fact, name, value)
    {
        const struct fact_field *f = &kind->fields[fact_field_find(kind, name)];
        const char *unit = "";
        char flag[40];
        for (size_t u = 0; u < COUNT(units); u++)
            if (f->type == FACT_REAL && f->of != Q_NUMBER && strlen(name) > strlen(units[u]) &&
                strcasecmp(name + strlen(name) - strlen(units[u]), units[u]) == 0)
                unit = units[u] + 1;
        fact_flag_name(f, flag);
        if (json_is_string(value))
            (void)snprintf(room[n], sizeof room[n], "--%s=%s", flag, json_string_value(value));
        else
            (void)snprintf(room[n], sizeof room[n], "--%s=%g%s", flag, json_number_value(value), unit);
        argv[n] = room[n];
        n++;
    }
    return n;
}

static json_t *newest_fact(const char *kind)
{
    char path[64];

    (void)snprintf(path, sizeof path, "/api/list/%s?most=1", kind);
    struct web_got got = web_get(&farm, path);
    WEB_WANT(&got, 200);
    json_t *fact = json_incref(json_object_get(json_array_get(json_object_get(got.json, "facts"), 0), "fact"));
    web_free(&got);
    assert_true(json_is_object(fact));
    return fact;
}

static void take_back(void)
{
    struct web_got got = web_post(&farm, "/api/undo", "{}");
    WEB_WANT(&got, 200);
    web_free(&got);
}

/* One fact of every kind through the command line and through the web: what is kept is the same. */
static void both_doors_record_the_same(void **state)
{
    char room[8][128], farm_flag[160];
    size_t same = 0;

    (void)state;
    (void)snprintf(farm_flag, sizeof farm_flag, "--farm=%s", farm.farm);
    for (size_t i = 0; i < COUNT(sound); i++) {
        const bool setting = strcmp(sound[i].kind, "setting") == 0; /* with another one the farm would stand still */
        const char *body = setting ? "{\"name\": \"walking-order\", \"value\": \"Bramble\"}" : sound[i].fact;
        const char *argv[16] = { farm_flag, "record", sound[i].kind };
        json_t *fact = json_loads(body, 0, NULL);
        assert_non_null(fact);
        argv[3 + as_flags(fact_kind_find(sound[i].kind), fact, room, argv + 3)] = NULL;
        struct run r = run_how(argv, true);
        if (r.code != 0)
            fail_msg("record %s: exit %d: %s", sound[i].kind, r.code, text_get(&r.err));
        run_close(&r);
        json_t *typed = newest_fact(sound[i].kind);
        take_back();
        recorded(sound[i].kind, body);
        json_t *sent = newest_fact(sound[i].kind);
        take_back();
        if (!json_equal(typed, sent))
            fail_msg("%s: by the command line %s, by the web %s", sound[i].kind, json_dumps(typed, JSON_SORT_KEYS),
                     json_dumps(sent, JSON_SORT_KEYS));
        json_decref(typed);
        json_decref(sent);
        json_decref(fact);
        same++;
    }
    print_message("%zu kinds kept the same through both doors\n", same);
}

static void rubbish_beside_the_fact(void **state)
{
    static const struct {
        const char *kind, *body, *field;
        int code;
    } rows[] = {
        { "unicorn", "{\"fact\": {}}", "kind", 404 },
        { "note", "{}", "fact", 400 },
        { "note", "{\"fact\": null}", "fact", 400 },
        { "note", "{\"fact\": []}", "fact", 400 },
        { "note", "{\"fact\": \"words\"}", "fact", 400 },
        { "note", "{\"fact\": {\"text\": \"x\", \"colour\": \"red\"}}", "colour", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"colour\": \"red\"}", "colour", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"uid\": \"xyz\"}", "uid", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"uid\": 5}", "uid", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"uid\": \"0123456789ABCDEF0123456789ABCDEF\"}", "uid", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"batch\": \"xyz\"}", "batch", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"recorded\": \"yesterday\"}", "recorded", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"clock\": \"noon\"}", "clock", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"who\": \"a\\nb\"}", "who", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"replaces\": \"xyz\"}", "replaces", 400 },
        { "note", "{\"fact\": {\"text\": \"x\"}, \"replaces\": \"ffffffffffffffffffffffffffffffff\"}", "replaces",
          404 },
        { "note", "{\"fact\": {}}", "text", 400 },
        { "weighing", "{\"fact\": {\"animal\": \"Otis\", \"on\": \"2024-12-01\", \"mass\": 1, \"mass_kg\": 1}}",
          "mass_kg", 400 },
        { "farm", "{\"fact\": {\"name\": \"Two\", \"lat_deg\": 1, \"lon_deg\": 1, \"zone\": \"UTC\"}}", "", 409 },
        { "boar_run", "{\"fact\": {\"boar\": \"Otis\", \"from\": \"2024-08-01\"}}", "", 400 },
        { "service", "{\"fact\": {\"sow\": \"Otis\", \"at\": \"2024-08-01\"}}", "sow", 409 },
        { "look", "{\"fact\": {\"sow\": \"Bramble\", \"at\": \"2199-01-01\"}}", "at", 409 },
    };
    const int64_t before = newest_change();
    char path[64];

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        (void)snprintf(path, sizeof path, "/api/record/%s", rows[i].kind);
        struct web_got got = web_post(&farm, path, rows[i].body);
        if (got.code != rows[i].code || strcmp(web_text(&got, "error.field"), rows[i].field) != 0)
            fail_msg("%s: want %d \"%s\", got %d %s", rows[i].body, rows[i].code, rows[i].field, got.code,
                     text_get(&got.body));
        clean_sentence(&got, rows[i].body);
        if (strchr(web_text(&got, "error.sentence"), '_'))
            fail_msg("%s: no sentence for people: %s", rows[i].body, web_text(&got, "error.sentence"));
        web_free(&got);
    }
    assert_int_equal(newest_change(), before);
}

/* A number of 40 MB: refused by its length, and the server goes on. */
static void a_body_without_end_is_not_read(void **state)
{
    enum { BYTES = 40 << 20 };
    static const char head[] = "{\"fact\": {\"animal\": \"Otis\", \"on\": \"2024-12-01\", \"mass_kg\": ";
    const int64_t before = newest_change();
    char *body = malloc(BYTES);

    (void)state;
    assert_non_null(body);
    memset(body, '9', BYTES);
    memcpy(body, head, sizeof head - 1);
    memcpy(body + BYTES - 2, "}}", 2);
    struct web_got got = web_ask(&farm, "POST", "/api/record/weighing", "application/json", body, BYTES);
    if (got.code != 413 && got.code != 0) /* 0: the line was closed on us while we still spoke */
        fail_msg("%d %s", got.code, text_get(&got.body));
    web_free(&got);
    memcpy(body, head, sizeof head - 1); /* as long a number as goes into a body at all */
    memcpy(body + 60000, "}}", 3);
    got = web_post(&farm, "/api/record/weighing", body);
    WEB_WANT(&got, 400);
    web_free(&got);
    free(body);
    assert_int_equal(newest_change(), before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rubbish_in_every_field_of_every_kind), cmocka_unit_test(what_is_sound_is_recorded),
        cmocka_unit_test(both_doors_record_the_same),           cmocka_unit_test(rubbish_beside_the_fact),
        cmocka_unit_test(a_body_without_end_is_not_read),
    };
    return cmocka_run_group_tests_name("rubbish over the web", tests, start, stop);
}
