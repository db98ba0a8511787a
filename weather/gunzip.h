/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Unpacking gzip (RFC 1952), with a ceiling on what may come out: a small file can hold a very large one.
 */
#ifndef WEATHER_GUNZIP_H
#define WEATHER_GUNZIP_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/status.h"
#include "core/base/text.h"

bool is_gzip(const char *bytes, size_t n);

/* Unpack all members of a gzip file into *out, which the caller opened with the ceiling that counts and closes.
 * name begins every refusal. ST_BAD_INPUT: damaged, cut short, or more comes out than the ceiling. */
enum status gunzip(const char *name, const char *bytes, size_t n, struct text *out, struct message *why) MUST_USE;

#endif
