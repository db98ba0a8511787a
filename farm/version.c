/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/version.h"

#include "farm/own.h"

enum status farm_version(struct farm *f, int64_t *version, struct message *why)
{
    /* sqlite.org/pragma.html#pragma_data_version */
    sqlite3_stmt *s = farm_statement(f, "PRAGMA data_version", why);
    enum status st = ST_OK;
    int64_t got = 0;

    while (farm_row(f, s, &st, why))
        got = sqlite3_column_int64(s, 0);
    if (st == ST_OK)
        *version = got;
    return st;
}
