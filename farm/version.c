/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/version.h"

#include "farm/own.h"

enum { COUNTER_AT = 24, COUNTER_BYTES = 4 }; /* sqlite.org/fileformat2.html, 1.3.7: file change counter, big-endian */

enum status farm_version(struct farm *f, int64_t *version, struct message *why)
{
    sqlite3_file *file = NULL;
    unsigned char b[COUNTER_BYTES];
    int rc = sqlite3_file_control(f->db, "main", SQLITE_FCNTL_FILE_POINTER, &file);

    if (rc == SQLITE_OK && (!file || !file->pMethods))
        rc = SQLITE_CANTOPEN;
    if (rc == SQLITE_OK)
        rc = file->pMethods->xRead(file, b, COUNTER_BYTES, COUNTER_AT);
    if (rc != SQLITE_OK)
        return farm_sql_status(f, rc, why);
    *version = (int64_t)b[0] << 24 | (int64_t)b[1] << 16 | (int64_t)b[2] << 8 | b[3];
    return ST_OK;
}

enum status farm_others_wrote(struct farm *f, int64_t *number, struct message *why)
{
    enum status st = ST_OK;
    sqlite3_stmt *s = farm_statement(f, "PRAGMA data_version", why);

    if (!s)
        return ST_IO;
    if (farm_row(f, s, &st, why)) {
        *number = sqlite3_column_int64(s, 0);
        (void)sqlite3_reset(s);
    }
    return st;
}
