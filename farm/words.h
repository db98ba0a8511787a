/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the files that turn facts into text and back.
 */
#ifndef FARM_WORDS_H
#define FARM_WORDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/status.h"
#include "core/base/text.h"
#include "farm/facts.h"

/* The n bytes of word are one of "a|b|c" (or "a,b,c"), exactly. */
bool word_in(const char *words, const char *word, size_t n);

/* Days and moments a breeder can mean: years 1900 to 2199. */
enum status words_day_sane(const struct fact_field *field, int64_t day, struct message *why) MUST_USE;
enum status words_moment_sane(const struct fact_field *field, int64_t utc_s, struct message *why) MUST_USE;

/* The shortest decimal text that reads back as the same number, of 15 to 17 digits. */
const char *words_real(double value, char out[static 40]);

/* UTF-8 as RFC 3629 has it, without control characters other than tab and line feed. */
bool words_clean(const char *text);

/* Clean, and without tab, line break (U+2028, U+2029 too) or a mark that turns the direction (U+202A-E, U+2066-9). */
bool words_one_line(const char *text);

/* `text` as a JSON string with its quotes. */
void words_json(struct text *out, const char *text);
/* `text` as a CSV field, quoted where it must be. */
void words_csv(struct text *out, const char *text);

/* A tick's prompt and a setting's name must be ones that something reads; required fields are there. */
enum status fact_check_keys(const struct fact_kind *kind, const struct fact_value values[],
                            struct message *why) MUST_USE;

/* Local calendar day of a moment in the zone. */
int64_t words_local_day(const struct zone *zone, int64_t utc_s);

#endif
