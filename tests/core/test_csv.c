/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * CSV: the seven rules of RFC 4180, section 2, each with its own example, and what is taken besides.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/attr.h"
#include "core/base/csv.h"
#include "tests/prop.h"

/* Rows as read: fields between | and rows on lines of their own, "!" where a row can't be read. */
static const struct {
    const char *bytes, *want, *source;
} cases[] = {
    { "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "1 aaa|bbb|ccc\n2 zzz|yyy|xxx\n", "RFC 4180, 2.1" },
    { "aaa,bbb,ccc\r\nzzz,yyy,xxx", "1 aaa|bbb|ccc\n2 zzz|yyy|xxx\n", "RFC 4180, 2.2" },
    { "field_name,field_name2\r\naaa,bbb\r\n", "1 field_name|field_name2\n2 aaa|bbb\n", "RFC 4180, 2.3" },
    { "aaa,bbb,ccc", "1 aaa|bbb|ccc\n", "RFC 4180, 2.4" },
    { "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "1 aaa|bbb|ccc\n2 zzz|yyy|xxx\n", "RFC 4180, 2.5" },
    { "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "1 aaa|b\r\nbb|ccc\n3 zzz|yyy|xxx\n", "RFC 4180, 2.6" },
    { "\"aaa\",\"b\"\"bb\",\"ccc\"", "1 aaa|b\"bb|ccc\n", "RFC 4180, 2.7" },
    { "a,,\n,b,\n", "1 a||\n2 |b|\n", "empty fields" },
    { "a,\"\",b\n", "1 a||b\n", "an empty quoted field" },
    { "\xEF\xBB\xBF"
      "a,b\n",
      "1 a|b\n", "a byte-order mark is no part of the first field" },
    { "a;b,c\n1;2,5\n", "1 a;b|c\n2 1;2|5\n", "as many semicolons as commas in the header: the comma" },
    { "a;b;c\n1;2,5;3\n", "1 a|b|c\n2 1|2,5|3\n", "semicolons" },
    { "a\tb\n1\t\n", "1 a|b\n2 1|\n", "tabs" },
    { " a , b\n", "1 a|b\n", "spaces round a plain field" },
    { " \" a \" ,b\n", "1  a |b\n", "spaces in a quoted field stay" },
    { "\n\r\na\n\n\nb\n", "3 a\n6 b\n", "empty lines are passed over and counted" },
    { "", "", "nothing" },
    { "a\rb,c\n", "1 a\rb|c\n", "a CR alone is a character" },
    { "\"a\nb,c\n", "1 !\n2 b|c\n", "a quotation mark never closed costs its line" },
    { "\"a\"x,c\nd\n", "1 !\n2 d\n", "text after a closing quotation mark" },
    { "a\"b,c\n", "1 a\"b|c\n", "a quotation mark inside a plain field" },
};

static void as_text(char *got, size_t size, const char *bytes)
{
    struct csv c;
    struct message why = { "", "" };
    size_t used = 0;

    assert_int_equal(csv_open(&c, bytes, strlen(bytes), 0, &why), ST_OK);
    got[0] = '\0';
    for (enum csv_result r; (r = csv_next(&c, &why)) != CSV_END && used < size;) {
        used += (size_t)snprintf(got + used, size - used, "%zu %s", c.line, r == CSV_BAD ? "!" : "");
        for (size_t i = 0; i < c.n_fields && used < size; i++)
            used += (size_t)snprintf(got + used, size - used, "%s%s", i ? "|" : "", c.field[i]);
        if (used < size)
            used += (size_t)snprintf(got + used, size - used, "\n");
    }
    csv_close(&c);
}

static void rules_of_rfc_4180(void **state)
{
    char got[400];

    (void)state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        as_text(got, sizeof got, cases[i].bytes);
        if (strcmp(got, cases[i].want) != 0)
            fail_msg("%s: want\n%s\ngot\n%s", cases[i].source, cases[i].want, got);
    }
}

static void too_wide_and_too_long(void **state)
{
    struct csv c;
    struct message why = { "", "" };
    static char wide[4 * CSV_FIELDS], large[2 * CSV_ROW_BYTES];

    (void)state;
    memset(wide, ',', CSV_FIELDS);
    (void)snprintf(wide + CSV_FIELDS, 8, "\nok\n");
    assert_int_equal(csv_open(&c, wide, strlen(wide), ',', &why), ST_OK);
    assert_int_equal(csv_next(&c, &why), CSV_BAD);
    assert_non_null(strstr(why.text, "more than 512 columns"));
    assert_int_equal(csv_next(&c, &why), CSV_ROW);
    assert_string_equal(c.field[0], "ok");
    csv_close(&c);
    memset(large, 'x', CSV_ROW_BYTES + 1);
    (void)snprintf(large + CSV_ROW_BYTES + 1, 8, "\nok\n");
    assert_int_equal(csv_open(&c, large, strlen(large), ',', &why), ST_OK);
    assert_int_equal(csv_next(&c, &why), CSV_BAD);
    assert_int_equal(csv_next(&c, &why), CSV_ROW);
    assert_string_equal(c.field[0], "ok");
    csv_close(&c);
}

static void columns_by_name(void **state)
{
    static const char bytes[] = "time,temp,temp\n";
    struct csv c;
    struct message why = { "", "" };

    (void)state;
    assert_int_equal(csv_open(&c, bytes, strlen(bytes), 0, &why), ST_OK);
    assert_int_equal(csv_next(&c, &why), CSV_ROW);
    assert_int_equal(csv_column(&c, "time"), 0);
    assert_int_equal(csv_column(&c, "Time"), -1);
    assert_int_equal(csv_column(&c, "temp"), -2);
    csv_close(&c);
}

/* Whatever is written by the rules comes back as it was. */
static void written_and_read_again(void **state)
{
    static const char letters[] = { 'a', 'b', ',', '"', '\n', '\r', ' ', ';', '\t', '1' };
    struct dice d = prop_start();

    (void)state;
    for (int round = 0; round < 5000; round++) {
        char field[5][12], bytes[400];
        size_t used = 0;
        const size_t n = 1 + prop_bits(&d) % 5;
        for (size_t i = 0; i < n; i++) {
            const size_t length = prop_bits(&d) % 10;
            used += (size_t)snprintf(bytes + used, sizeof bytes - used, "%s\"", i ? "," : "");
            for (size_t k = 0; k < length; k++) {
                field[i][k] = letters[prop_bits(&d) % sizeof letters];
                used += (size_t)snprintf(bytes + used, sizeof bytes - used, "%s%c", field[i][k] == '"' ? "\"" : "",
                                         field[i][k]);
            }
            field[i][length] = '\0';
            used += (size_t)snprintf(bytes + used, sizeof bytes - used, "\"");
        }
        struct csv c;
        struct message why = { "", "" };
        assert_int_equal(csv_open(&c, bytes, used, ',', &why), ST_OK);
        assert_int_equal(csv_next(&c, &why), CSV_ROW);
        assert_int_equal(c.n_fields, n);
        for (size_t i = 0; i < n; i++)
            assert_string_equal(c.field[i], field[i]);
        csv_close(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rules_of_rfc_4180),
        cmocka_unit_test(too_wide_and_too_long),
        cmocka_unit_test(columns_by_name),
        cmocka_unit_test(written_and_read_again),
    };
    return cmocka_run_group_tests_name("core/csv", tests, NULL, NULL);
}
