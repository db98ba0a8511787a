/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The whole farm file as tables of text cells: the same cells stand in a folder of CSV files and in one JSON document.
 */
#ifndef FARM_WHOLE_H
#define FARM_WHOLE_H

#include "farm/exchange_own.h"

enum { WHOLE_COLUMNS = 64, WHOLE_VERSION = 1 };

struct cell {
    const char *text; /* "" = nothing there */
    bool number;      /* stands bare in JSON */
};

/* Who takes the tables. Anything but ST_OK ends the export. */
struct whole_sink {
    void *own;
    enum status (*table)(void *own, const char *name, size_t n, const char *const column[], struct message *why);
    enum status (*row)(void *own, size_t n, const struct cell cell[], struct message *why);
    enum status (*end)(void *own, struct message *why); /* of the table */
};
enum status whole_out(struct farm *farm, const struct whole_sink *sink, struct message *why);

/* Taking tables in: names of all tables, in the order in which they must come. */
size_t whole_tables(void);
const char *whole_table(size_t i);
/* The columns of a table have come; then its rows. `where` names the file for sentences. */
struct whole_in {
    struct farm *farm;
    struct arena *mem; /* emptied by the caller between rows if it likes */
    size_t table;
    size_t n_columns;
    int to[WHOLE_COLUMNS]; /* column of the table, or -1 */
    const char *named[WHOLE_COLUMNS];
    struct hour *hour; /* of one lot and day, being gathered */
    size_t n_hours;
    int64_t lot, day;
    bool last_of_hours;
};
enum status whole_in_columns(struct whole_in *in, size_t table, size_t n, const char *const column[],
                             struct message *why);
enum status whole_in_row(struct whole_in *in, size_t n, const char *const cell[], struct message *why);
enum status whole_in_end(struct whole_in *in, struct message *why);

#endif
