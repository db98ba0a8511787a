/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facts in and out as CSV and JSON, and the whole farm file as a folder of CSV or one JSON document.
 *
 * What comes out goes back in exactly: the same facts, journal, flags, tray and weather, byte for byte when put out
 * again.
 */
#ifndef FARM_EXCHANGE_H
#define FARM_EXCHANGE_H

#include <stddef.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/base/text.h"
#include "farm/farm.h"

enum { FARM_IMPORT_BYTES = 8 * 1024 * 1024, FARM_IMPORT_ROWS = 100000, FARM_WHOLE_BYTES = 512 * 1024 * 1024 };

/* Read facts of one kind from CSV: a header of field names (with unit: SI; flag names: the farm's units; and uid),
 * then a fact a row. Every sentence begins "herd.csv, line 12, born: ...".
 * Returned  *items in `mem`, ready for farm_record_batch(); rows that cannot be read have status and why set
 * Fails     ST_BAD_INPUT unknown or doubled column, no row, not text; ST_NO_MEMORY */
enum status farm_csv_read(const char *name, const char *bytes, size_t n, const struct fact_kind *kind,
                          const struct fact_speech *speech, struct arena *mem, struct farm_item **items,
                          size_t *n_items, struct message *why) MUST_USE;
/* The same from JSON: one object {"kind":"service","sow":...} or a list of them. `kind` NULL = each says its own.
 * Unknown or doubled keys, wrong types and depth are refused. */
enum status farm_json_read(const char *name, const char *bytes, size_t n, const struct fact_kind *kind,
                           const struct fact_speech *speech, struct arena *mem, struct farm_item **items,
                           size_t *n_items, struct message *why) MUST_USE;

/* The fields of one fact from a JSON object, as a form or a phone sends it: a number is SI; a text is read as a person
 * types it, so that a bare number in it is in the farm's units. Either name of a field will do ("mass_kg", "mass").
 * Fails     ST_BAD_INPUT, field = its name: unknown or doubled member, wrong type, what fact_value_read() refuses */
struct json_t;
enum status farm_json_fact(const struct json_t *object, const struct fact_kind *kind, const struct fact_speech *speech,
                           struct arena *mem, struct fact_value **values, struct message *why) MUST_USE;
/* The same as a text that farm_json_read() reads to the same fact, for the held tray: texts under the name without a
 * unit, numbers under the one with it. kind NULL: as it is, with `kind_said`. replaces may be NULL. NULL: out of
 * memory. */
const char *farm_json_body(const struct json_t *fact, const struct fact_kind *kind, const char *kind_said,
                           const char *replaces, struct arena *mem) MUST_USE;

/* One fact as a JSON object on one line (keys in field order; only what is given): body in the journal, and over
 * HTTP. */
const char *fact_json(const struct fact_kind *kind, const struct fact_value values[], struct arena *mem) MUST_USE;

/* Live facts of a kind as CSV (uid first). */
enum status farm_csv_write(struct farm *farm, const struct fact_kind *kind, int64_t known_to, struct text *out,
                           struct message *why) MUST_USE;

/* Import: read and record. `report` gets one line for each refused row and a closing sentence. */
struct farm_import {
    size_t rows, kept, already, refused, flagged;
};
enum status farm_import_file(struct farm *farm, const char *path, const struct fact_kind *kind, enum farm_batch_how how,
                             const struct farm_meta *meta, struct farm_import *done, struct text *report,
                             struct message *why) MUST_USE;

/* The same, row by row: *items in mem, each with its own status, why and outcome. NULL: the file could not be read at
 * all. `name` stands for it in sentences. */
enum status farm_import_rows(struct farm *farm, const char *path, const char *name, const struct fact_kind *kind,
                             enum farm_batch_how how, const struct farm_meta *meta, struct arena *mem,
                             struct farm_item **items, size_t *n, struct message *why) MUST_USE;

/* The whole farm. The folder is made; one that holds files is refused. The JSON file is written beside and renamed. */
enum status farm_export_folder(struct farm *farm, const char *folder, struct message *why) MUST_USE;
enum status farm_export_json(struct farm *farm, const char *path, struct message *why) MUST_USE;
/* Into a new farm file at `path`; all or nothing. `from` is such a folder or such a JSON file. */
enum status farm_import_whole(const char *from, const char *path, const struct farm_how *how,
                              struct message *why) MUST_USE;

#endif
