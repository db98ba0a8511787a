/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the files that read and write CSV and JSON.
 */
#ifndef FARM_EXCHANGE_OWN_H
#define FARM_EXCHANGE_OWN_H

#include "farm/exchange.h"
#include "farm/own.h"

/* What may stand beside the fields of a fact. */
enum beside { BESIDE_UID, BESIDE_RECORDED, BESIDE_WHO, BESIDE_DEVICE, BESIDE_REPLACES, BESIDE_KIND, BESIDE_END };
extern const char *const beside_name[BESIDE_END];
enum beside beside_find(const char *name); /* BESIDE_END: none */

/* Put one cell into a fact being read. `named` as the file calls it. */
enum status beside_read(enum beside which, const char *text, const struct fact_speech *speech, struct arena *mem,
                        struct farm_item *item, struct message *why) MUST_USE;

/* A JSON value as the text that a person would type for that field; NULL with *why when its type will not do. */
struct json_t;
const char *json_as_typed(const struct fact_field *f, const struct json_t *v, struct arena *mem, struct message *why);
enum status json_unknown_key(const struct fact_kind *kind, const char *key, struct message *why);

/* The whole of a file, at most `most` bytes; ends in 0. */
enum status read_file(const char *path, size_t most, struct text *out, struct message *why) MUST_USE;
/* Written beside, synced, renamed; mode 0600. */
enum status write_file(const char *path, const struct text *text, struct message *why) MUST_USE;

#endif
