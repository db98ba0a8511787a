/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * JSON from outside: looked over for size, depth and absurd numbers before the parser sees it, then read without trust.
 */
#ifndef WEATHER_JSON_IN_H
#define WEATHER_JSON_IN_H

#include <jansson.h>

#include "core/base/status.h"

enum { JSON_IN_BYTES = 16 * 1024 * 1024, JSON_IN_DEPTH = 64, JSON_IN_VALUES = 2 * 1000 * 1000, JSON_IN_NUMBER = 64 };

/* Whole, strict JSON: no double keys, no text after the end, no number longer than JSON_IN_NUMBER characters. The
 * caller json_decref()s *root. name begins the refusal, the line is in it. */
enum status json_in(const char *name, const char *bytes, size_t n, json_t **root, struct message *why) MUST_USE;

/* obj may be NULL or of another kind: then nothing is found. */
double json_in_number(const json_t *obj, const char *key);    /* also a number written as text; NAN: none */
const char *json_in_text(const json_t *obj, const char *key); /* "" where there is none */

#endif
