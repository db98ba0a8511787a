/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reference tables compiled in: every row has a source, every key is there once. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "data/table.h"

static void every_row_has_a_source(void **state)
{
    size_t n_tables = 0, n_rows = 0;

    (void)state;
    for (size_t i = 0; tables[i]; i++, n_tables++) {
        const struct table *t = tables[i];
        assert_true(t->n_rows > 0);
        for (size_t row = 0; row < t->n_rows; row++, n_rows++) {
            const char *source = table_cell(t, row, "source");
            if (!source)
                source = table_cell(t, row, "sources");
            if (!source || strlen(source) < 4)
                fail_msg("%s, row %zu (%s): no source", t->name, row + 1, t->cells[row * t->n_columns]);
        }
    }
    assert_true(n_tables >= 3 && n_rows > 60);
}

static void every_key_stands_once(void **state)
{
    (void)state;
    for (size_t i = 0; tables[i]; i++)
        for (size_t a = 0; a < tables[i]->n_rows; a++)
            for (size_t b = a + 1; b < tables[i]->n_rows; b++)
                if (strcmp(tables[i]->cells[a * tables[i]->n_columns], tables[i]->cells[b * tables[i]->n_columns]) == 0)
                    fail_msg("%s: %s stands twice", tables[i]->name, tables[i]->cells[a * tables[i]->n_columns]);
}

static void cells_are_found_by_key_and_column(void **state)
{
    const struct table *feeds = table_find("feeds");

    (void)state;
    assert_non_null(feeds);
    /* NRC 2012, table 17-1, barley: 89.9 % dry matter, as the row itself says */
    assert_string_equal(table_look_up(feeds, "feed_id", "barley", "dm_pct"), "89.9");
    assert_null(table_look_up(feeds, "feed_id", "barley", "no such column"));
    assert_null(table_look_up(feeds, "feed_id", "no such feed", "dm_pct"));
    assert_null(table_find("no such table"));
    assert_null(table_cell(feeds, feeds->n_rows, "dm_pct"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_has_a_source),
        cmocka_unit_test(every_key_stands_once),
        cmocka_unit_test(cells_are_found_by_key_and_column),
    };
    return cmocka_run_group_tests_name("tables", tests, NULL, NULL);
}
