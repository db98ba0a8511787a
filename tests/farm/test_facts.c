/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The fact table and the reading of values. Units: the international pound, inch, foot and mile of 1959, exact.
 */
#include <math.h>

#include "tests/farm/farm_help.h"
#include "core/base/dice.h"
#include "farm/corners.h"

static void the_table_is_sound(void **state)
{
    char flag[40], other[40];

    (void)state;
    for (size_t k = 0; fact_kinds[k]; k++) {
        const struct fact_kind *kind = fact_kinds[k];
        const char *const named[] = { kind->when, kind->until, kind->called, kind->also_called };
        assert_ptr_equal(fact_kind_find(kind->name), kind);
        assert_true(kind->help && *kind->help && kind->n_fields > 0);
        for (size_t i = 0; i < COUNT(named); i++)
            if (named[i] && fact_field_find(kind, named[i]) == FACT_NO_FIELD)
                fail_msg("%s: no field %s", kind->name, named[i]);
        for (size_t i = 0; i < kind->n_fields; i++) {
            const struct fact_field *f = &kind->fields[i];
            if (!f->help || !*f->help || strlen(f->name) > 30)
                fail_msg("%s.%s: help, or a name too long", kind->name, f->name);
            if ((f->type == FACT_CHOICE || f->type == FACT_SET) != (f->choices != NULL))
                fail_msg("%s.%s: choices", kind->name, f->name);
            if (f->type == FACT_REF) {
                /* what is referred to comes before, or is the kind itself */
                size_t at = 0;
                while (fact_kinds[at] && strcmp(fact_kinds[at]->name, f->refers_to) != 0)
                    at++;
                if (!fact_kinds[at] || at > k)
                    fail_msg("%s.%s refers to %s", kind->name, f->name, f->refers_to);
            }
            if ((f->type == FACT_REAL || f->type == FACT_WHOLE) && !(f->low < f->high))
                fail_msg("%s.%s: range", kind->name, f->name);
            for (size_t b = 0; b < i; b++)
                if (strcmp(fact_flag_name(f, flag), fact_flag_name(&kind->fields[b], other)) == 0)
                    fail_msg("%s: %s and %s are the same flag", kind->name, f->name, kind->fields[b].name);
        }
        for (const char *list = kind->exactly_one; list && *list;
             list += strcspn(list, "|") + (list[strcspn(list, "|")] == '|')) {
            (void)snprintf(flag, sizeof flag, "%.*s", (int)strcspn(list, "|"), list);
            if (fact_field_find(kind, flag) == FACT_NO_FIELD)
                fail_msg("%s: exactly one of %s", kind->name, flag);
        }
        for (const char *list = kind->at_least_one; list && *list;
             list += strcspn(list, "|") + (list[strcspn(list, "|")] == '|')) {
            (void)snprintf(flag, sizeof flag, "%.*s", (int)strcspn(list, "|"), list);
            if (fact_field_find(kind, flag) == FACT_NO_FIELD)
                fail_msg("%s: at least one of %s", kind->name, flag);
        }
    }
}

static const struct {
    const char *kind, *named, *text;
    bool us;
    double want, error;
    const char *source;
} units[] = {
    { "animal", "mass", "440lb", false, 199.5806428, 1e-9, "440 x 0.45359237, exact" },
    { "animal", "mass", "200", false, 200, 0, "SI" },
    { "animal", "mass", "440", true, 199.5806428, 1e-9, "the farm's own units" },
    { "animal", "mass_kg", "200", true, 200, 0, "the name carries the unit" },
    { "animal", "mass_kg", "440 lb", true, 199.5806428, 1e-9, "the value carries its unit" },
    { "placement", "straw-depth", "8", true, 0.2032, 1e-12, "inches" },
    { "placement", "straw-depth", "20cm", true, 0.2, 1e-12, "SI prefix" },
    { "shelter", "door-width", "2.5", true, 0.762, 1e-12, "feet" },
    { "reading", "low", "12", true, -100.0 / 9.0, 1e-12, "Fahrenheit, exact" },
    { "reading", "wind", "15", true, 6.7056, 1e-12, "miles an hour, exact" },
    { "reading", "rain", "0.5", true, 12.7, 1e-12, "inches" },
    { "reading", "rh", "85%", true, 0.85, 1e-12, "hundredths" },
    { "paddock", "area", "2", true, 8093.7128448, 1e-6, "international acre, exact" },
    { "shelter", "skin", "100", true, 9.290304, 1e-9, "square feet, exact" },
};

static void units_are_taken_as_meant(void **state)
{
    struct arena mem;

    (void)state;
    arena_open(&mem, 1 << 20);
    for (size_t i = 0; i < COUNT(units); i++) {
        const struct fact_kind *kind = fact_kind_find(units[i].kind);
        const struct fact_speech speech = { .us_units = units[i].us };
        struct fact_value v = { .given = false };
        struct message why = { "", "" };
        const size_t f = fact_field_find(kind, units[i].named);
        if (f == FACT_NO_FIELD ||
            fact_value_read(&kind->fields[f], units[i].named, units[i].text, &speech, &mem, &v, &why) != ST_OK)
            fail_msg("%s %s: %s", units[i].named, units[i].text, why.text);
        if (!(fabs(v.real - units[i].want) <= units[i].error))
            fail_msg("%s %s: want %.12g, got %.12g (%s)", units[i].named, units[i].text, units[i].want, v.real,
                     units[i].source);
    }
    arena_close(&mem);
}

static void rubbish_is_refused_with_the_field_named(void **state)
{
    static const struct {
        const char *kind, *field, *text, *says;
    } rows[] = {
        { "animal", "mass_kg", "nan", "is not a mass" },
        { "animal", "mass_kg", "inf", "is not a mass" },
        { "animal", "mass_kg", "-5", "out of range" },
        { "animal", "mass_kg", "1e9", "out of range" },
        { "animal", "mass_kg", "40mph", "not of mass" },
        { "animal", "mass_kg", "heavy", "is not a mass" },
        { "animal", "mass_kg", "0x20", "" },
        { "animal", "mass_kg", "1,5", "" },
        { "animal", "teats", "12.5", "whole number" },
        { "animal", "teats", "99999999999999999999", "whole number" },
        { "animal", "teats", "-1", "whole number" },
        { "animal", "is", "cow", "is none of sow|gilt|boar|barrow" },
        { "animal", "born", "2026-02-30", "is not a date" },
        { "animal", "born", "22.1.2026", "is not a date" },
        { "animal", "born", "2026-01-22T10:00", "is not a date" },
        { "animal", "born", "1766-10-14", "will not do" },
        { "service", "at", "yesterday", "is not a date and time" },
        { "service", "at", "2026-13-01", "is not a date and time" },
        { "service", "at", "2026-01-22T25:00", "is not a date and time" },
        { "service", "at", "2300-01-01", "will not do" },
        { "service", "day_only", "maybe", "give yes or no" },
        { "animal", "name", "Br\x01mble", "not text" },
        { "animal", "name", "\xff\xfe", "not text" },
        { "animal", "name", "\xc0\xaf", "not text" },
        { "animal", "name", "\xed\xa0\x80", "not text" },
        { "look", "absent", "nest,wings", "\"wings\" is none of" },
    };
    struct arena mem;
    const struct fact_speech speech = { .zone = NULL };

    (void)state;
    arena_open(&mem, 1 << 20);
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct fact_kind *kind = fact_kind_find(rows[i].kind);
        const size_t f = fact_field_find(kind, rows[i].field);
        struct fact_value v = { .given = false, .whole = 77 };
        struct message why = { "", "" };
        if (fact_value_read(&kind->fields[f], rows[i].field, rows[i].text, &speech, &mem, &v, &why) != ST_BAD_INPUT)
            fail_msg("%s %s was taken", rows[i].field, rows[i].text);
        if (strcmp(why.field, rows[i].field) != 0 || !strstr(why.text, rows[i].says) || v.whole != 77)
            fail_msg("%s %s: field \"%s\", sentence \"%s\"", rows[i].field, rows[i].text, why.field, why.text);
    }
    char *long_text = malloc(5001);
    assert_non_null(long_text);
    memset(long_text, 'a', 5000);
    long_text[5000] = '\0';
    struct fact_value v = { .given = false };
    struct message why = { "", "" };
    const struct fact_kind *note = fact_kind_find("note");
    assert_int_equal(
        fact_value_read(&note->fields[fact_field_find(note, "text")], "text", long_text, &speech, &mem, &v, &why),
        ST_BAD_INPUT);
    free(long_text);
    arena_close(&mem);
}

static void words_are_taken_kindly(void **state)
{
    struct arena mem;
    struct message why = { "", "" };
    const struct fact_speech speech = { .zone = NULL };
    const struct fact_kind *look = fact_kind_find("look"), *boar_run = fact_kind_find("boar-run"),
                           *animal = fact_kind_find("animal");
    struct fact_value v;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_non_null(boar_run);
    assert_null(fact_kind_find("cow"));
    assert_int_equal(fact_value_read(&look->fields[fact_field_find(look, "absent")], "absent",
                                     " Straining ; milk drops,nest,, nest", &speech, &mem, &v, &why),
                     ST_OK);
    assert_string_equal(v.text, "milk-drops,nest,straining");
    assert_true(fact_set_has(v.text, "nest"));
    assert_false(fact_set_has(v.text, "milk"));
    assert_false(fact_set_has(NULL, "nest"));
    assert_int_equal(fact_value_read(&animal->fields[fact_field_find(animal, "name")], "name", "  Bramble\r\n", &speech,
                                     &mem, &v, &why),
                     ST_OK);
    assert_string_equal(v.text, "Bramble");
    assert_int_equal(
        fact_value_read(&animal->fields[fact_field_find(animal, "name")], "name", "   ", &speech, &mem, &v, &why),
        ST_OK);
    assert_false(v.given);
    assert_int_equal(
        fact_value_read(&animal->fields[fact_field_find(animal, "is")], "is", "SOW", &speech, &mem, &v, &why), ST_OK);
    assert_string_equal(v.text, "sow");
    arena_close(&mem);
}

static void clocks_that_change(void **state)
{
    struct arena mem;
    struct message why = { "", "" };
    const struct fact_kind *service = fact_kind_find("service");
    const struct fact_field *at = &service->fields[fact_field_find(service, "at")];
    struct fact_speech speech = { .zone = NULL };
    struct fact_value v;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(zone_open("America/Chicago", &mem, &speech.zone, &why), ST_OK);
    assert_int_equal(fact_value_read(at, "at", "2026-03-08T02:30", &speech, &mem, &v, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "there is no 02:30"));
    assert_int_equal(fact_value_read(at, "at", "2026-11-01T01:30", &speech, &mem, &v, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "twice"));
    assert_int_equal(fact_value_read(at, "at", "2026-11-01T01:30-06:00", &speech, &mem, &v, &why), ST_OK);
    assert_int_equal(v.whole, utc(2026, 11, 1, 7, 30));
    speech.clock_comes_first = true;
    assert_int_equal(fact_value_read(at, "at", "2026-11-01T01:30", &speech, &mem, &v, &why), ST_OK);
    assert_int_equal(v.whole, utc(2026, 11, 1, 6, 30));
    assert_int_equal(fact_value_read(at, "at", "2026-03-08T02:30", &speech, &mem, &v, &why), ST_BAD_INPUT);
    assert_int_equal(fact_value_read(at, "at", "2026-01-22", &speech, &mem, &v, &why), ST_OK);
    assert_true(v.day_only);
    assert_int_equal(v.whole, utc(2026, 1, 22, 18, 0)); /* noon */
    assert_string_equal(fact_value_show(at, &v, &speech, &mem), "2026-01-22 12:00");
    arena_close(&mem);
}

/* A made-up value of a field. */
static struct fact_value any_value(const struct fact_field *f, struct dice *d, struct arena *mem)
{
    struct fact_value v = { .given = true };
    size_t n = 0, pick = 0;

    switch (f->type) {
    case FACT_TEXT:
    case FACT_REF:
        if (f->how & (FACT_CORNERS | FACT_OUTLINE)) {
            v.text = arena_print(mem, "0,0 %llu.5,2 7,%llu", (unsigned long long)(20 + dice_bits(d) % 900),
                                 (unsigned long long)(20 + dice_bits(d) % 900));
            break;
        }
        v.text = arena_print(mem, "wort \"%llu\", é;\n#", (unsigned long long)(dice_bits(d) % 100000));
        break;
    case FACT_CHOICE:
        for (const char *c = f->choices; *c; c++)
            n += *c == '|';
        pick = (size_t)(dice_bits(d) % (n + 1));
        for (const char *c = f->choices;; c += strcspn(c, "|") + 1)
            if (pick-- == 0) {
                v.text = arena_bytes(mem, c, strcspn(c, "|"));
                break;
            }
        break;
    case FACT_SET: v.text = arena_text(mem, "nest,straining"); break;
    case FACT_REAL: v.real = dice_between(d, f->low, f->high); break;
    case FACT_WHOLE: v.whole = (int64_t)dice_between(d, f->low, f->high); break;
    case FACT_DAY: v.whole = (int64_t)dice_between(d, -20000, 60000); break;
    case FACT_MOMENT: v.whole = (int64_t)dice_between(d, -2e9, 6e9); break;
    case FACT_FLAG: v.whole = dice_bits(d) & 1; break;
    }
    return v;
}

static void every_value_comes_back_from_its_text(void **state)
{
    struct dice d = dice_from(3);
    const struct fact_speech speech = { .us_units = true };
    size_t tried = 0;

    (void)state;
    for (int round = 0; round < 40; round++) {
        struct arena mem;
        arena_open(&mem, 1 << 22);
        for (size_t k = 0; fact_kinds[k]; k++)
            for (size_t i = 0; i < fact_kinds[k]->n_fields; i++, tried++) {
                const struct fact_field *f = &fact_kinds[k]->fields[i];
                const struct fact_value v = any_value(f, &d, &mem);
                struct fact_value back = { .given = false };
                struct message why = { "", "" };
                const char *text = fact_value_text(f, &v, &mem);
                if (fact_value_read(f, f->name, text, &speech, &mem, &back, &why) != ST_OK)
                    fail_msg("%s.%s \"%s\": %s", fact_kinds[k]->name, f->name, text, why.text);
                if ((v.text && strcmp(v.text, back.text) != 0) || memcmp(&v.real, &back.real, sizeof v.real) != 0 ||
                    v.whole != back.whole)
                    fail_msg("%s.%s \"%s\" came back otherwise", fact_kinds[k]->name, f->name, text);
            }
        arena_close(&mem);
    }
    print_message("%zu values\n", tried);
}

static void help_names_every_field(void **state)
{
    struct text out;
    char flag[40];

    (void)state;
    text_open(&out, 1 << 20);
    fact_help(NULL, &out);
    for (size_t k = 0; fact_kinds[k]; k++)
        for (size_t i = 0; i < fact_kinds[k]->n_fields; i++)
            assert_non_null(strstr(text_get(&out), fact_flag_name(&fact_kinds[k]->fields[i], flag)));
    assert_non_null(strstr(text_get(&out), "mass: kg, g, lb"));
    text_close(&out);
}

/* Names stand in lists, sentences and file names; a mark that turns the direction of writing would show another name
 * than the one kept. Unicode 15, UAX #9: U+202A-E and U+2066-9 are the explicit directional formatting characters;
 * U+2028-9 break the line. Right-to-left writing itself needs none of them. */
static void names_are_one_plain_line(void **state)
{
    static const char *const bad[] = { "Bram\nble",
                                       "Bram\tble",
                                       "a\xE2\x80\xA8"
                                       "b",
                                       "a\xE2\x80\xA9"
                                       "b",
                                       "\xE2\x80\xAE"
                                       "elbmarB",
                                       "a\xE2\x80\xAA"
                                       "b",
                                       "a\xE2\x81\xA6"
                                       "b",
                                       "a\xE2\x81\xA9"
                                       "b" };
    static const char *const good[] = { "Bramble",
                                        "\xD7\xA2\xD7\xA0\xD7\x91\xD7\x9C",
                                        "<img onerror=x>",
                                        "a\xE2\x80\x99"
                                        "b",
                                        "\xE2\x82\xAC 5",
                                        "Na\xC3\xAFve \xF0\x9F\x90\x96",
                                        "a\xE2\x80\x8F"
                                        "b" };
    struct scratch s;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    for (size_t i = 0; i < COUNT(bad); i++) {
        REFUSED(&s, ST_BAD_INPUT, "one plain line", "animal", "name", bad[i], "is", "sow", NULL);
        assert_string_equal(s.why.field, "name");
        REFUSED(&s, ST_BAD_INPUT, "one plain line", "animal", "name", "Wren", "tag", bad[i], "is", "sow", NULL);
        assert_string_equal(s.why.field, "tag");
        REFUSED(&s, ST_BAD_INPUT, "one plain line", "paddock", "name", bad[i], NULL);
    }
    for (size_t i = 0; i < COUNT(good); i++)
        RECORDED(&s, "animal", "name", good[i], "is", "sow", NULL);
    RECORDED(&s, "note", "at", "2026-05-01", "text", "two\nlines are\tfine in a note", NULL);
    scratch_close(&s);
}

/* What nothing reads is not kept as if it meant something. */
static void ticks_and_settings_have_known_keys(void **state)
{
    static const char *const good[] = { "feed", "water-morning", "look:Bramble:15", "mark:Old-Bramble",
                                        "booster-ask:0123456789abcdef0123456789abcdef" };
    static const char *const bad[] = { "fed",       "water",         "feed:", "feed:Bramble", "mark", "mark:",
                                       "mark:a\nb", "dance:Bramble", "" };
    struct scratch s;

    (void)state;
    scratch_open(&s);
    some_farm(&s);
    for (size_t i = 0; i < COUNT(good); i++)
        RECORDED(&s, "tick", "prompt", good[i], "at", "2026-05-01T08:00", NULL);
    for (size_t i = 0; i < COUNT(bad); i++) {
        REFUSED(&s, ST_BAD_INPUT, "prompt", "tick", "prompt", bad[i], "at", "2026-05-01T08:00", NULL);
        assert_string_equal(s.why.field, "prompt");
    }
    REFUSED(&s, ST_BAD_INPUT, "did you mean mark:NAME?", "tick", "prompt", "marks:Bramble", "at", "2026-05-01", NULL);
    RECORDED(&s, "setting", "name", "show-at", "value", "2026-01-22T15:40:00Z", NULL);
    RECORDED(&s, "setting", "name", "show-at", "value", "2026-01-22T09:40-06:00", NULL);
    RECORDED(&s, "setting", "name", "walking-order", "value", "Bramble\nSedge", NULL);
    REFUSED(&s, ST_BAD_INPUT, "did you mean show-at?", "setting", "name", "show", "value", "2026-01-22T15:40Z", NULL);
    REFUSED(&s, ST_BAD_INPUT, "nothing is set by", "setting", "name", "colour", "value", "red", NULL);
    REFUSED(&s, ST_BAD_INPUT, "not a moment", "setting", "name", "show-at", "value", "2026-01-22", NULL);
    REFUSED(&s, ST_BAD_INPUT, "not a moment", "setting", "name", "show-at", "value", "2026-01-22T15:40", NULL);
    scratch_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_is_sound),
        cmocka_unit_test(units_are_taken_as_meant),
        cmocka_unit_test(rubbish_is_refused_with_the_field_named),
        cmocka_unit_test(words_are_taken_kindly),
        cmocka_unit_test(clocks_that_change),
        cmocka_unit_test(every_value_comes_back_from_its_text),
        cmocka_unit_test(help_names_every_field),
        cmocka_unit_test(names_are_one_plain_line),
        cmocka_unit_test(ticks_and_settings_have_known_keys),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
