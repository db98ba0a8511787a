/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * CSV as RFC 4180 has it, row by row from bytes in memory. Also taken: a byte-order mark, LF alone, no newline at the
 * end, semicolon or tab instead of the comma, spaces round an unquoted field (taken off).
 *
 * Owner    csv_open() .. csv_close(). The texts of a row live until the next csv_next().
 * Ceiling  CSV_FIELDS fields and CSV_ROW_BYTES bytes a row: more is an unreadable row.
 */
#ifndef CORE_BASE_CSV_H
#define CORE_BASE_CSV_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/attr.h"
#include "core/base/status.h"

enum { CSV_FIELDS = 512, CSV_ROW_BYTES = 64 * 1024 };

struct csv {
    const char *at, *end;
    size_t line; /* 1-based line on which the row of the last csv_next() began */
    size_t next_line;
    char separator;
    char **field; /* the last row */
    size_t n_fields;
    char *own;      /* private from here on */
    size_t resumed; /* rows given up across a line, see csv_next() */
};

enum csv_result { CSV_ROW = 0, CSV_END, CSV_BAD /* this row can't be read; the next one may be */ };

/* bytes stay the caller's and must outlive the reader. separator 0: found from the first row that is not a comment
 * (most of comma, semicolon, tab outside quotes; comma when there is none). ST_NO_MEMORY. */
enum status csv_open(struct csv *c, const char *bytes, size_t n, char separator, struct message *why) MUST_USE;
void csv_close(struct csv *c); /* also a zeroed one */

/* The next row that is not empty. CSV_BAD fills *why with a sentence (without file and line: c->line has it). A
 * quotation mark that is never closed costs its own line alone, as long as there are few of them. */
enum csv_result csv_next(struct csv *c, struct message *why) MUST_USE;

/* Column of a header, exactly as written; -1: none; -2: more than one. */
int csv_column(const struct csv *header, const char *name) MUST_USE;

#endif
