/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "data/table.h"

#include <string.h>

const struct table *table_find(const char *name)
{
    for (size_t i = 0; tables[i]; i++)
        if (strcmp(tables[i]->name, name) == 0)
            return tables[i];
    return NULL;
}

const char *table_cell(const struct table *t, size_t row, const char *column)
{
    for (size_t c = 0; row < t->n_rows && c < t->n_columns; c++)
        if (strcmp(t->columns[c], column) == 0)
            return t->cells[row * t->n_columns + c];
    return NULL;
}

const char *table_look_up(const struct table *t, const char *key_column, const char *key, const char *column)
{
    for (size_t row = 0; row < t->n_rows; row++) {
        const char *found = table_cell(t, row, key_column);
        if (found && strcmp(found, key) == 0)
            return table_cell(t, row, column);
    }
    return NULL;
}
