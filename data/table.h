/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reference tables: data/NAME.csv as read-only rows of text, compiled in. Every table has a column `source`,
 * and no row leaves it empty (tests/published/ sees to that).
 */
#ifndef DATA_TABLE_H
#define DATA_TABLE_H

#include <stddef.h>

struct table {
    const char *name;
    size_t n_columns, n_rows;
    const char *const *columns; /* n_columns names */
    const char *const *cells;   /* n_rows x n_columns, row by row; "" = empty */
};

extern const struct table *const tables[]; /* NULL at the end */

const struct table *table_find(const char *name);                              /* NULL: no such table */
const char *table_cell(const struct table *t, size_t row, const char *column); /* NULL: no such column or row */
/* The cell of `column` in the first row whose `key_column` equals `key`; NULL when there is none. */
const char *table_look_up(const struct table *t, const char *key_column, const char *key, const char *column);

#endif
