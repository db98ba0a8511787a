/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Show: an answer tree as JSON, as a CSV table, as plain text. The same tree gives the same bytes.
 */
#ifndef DOORS_SHOW_SHOW_H
#define DOORS_SHOW_SHOW_H

#include <stdbool.h>

#include "core/base/status.h"
#include "core/base/text.h"
#include "desk/answer.h"
#include "desk/when.h"

struct show_how {
    int width;               /* columns of the reader's line; 80, narrow 44 */
    bool colour;             /* ANSI colours; never the only carrier of a meaning */
    bool us_units;           /* farm's units, for text only; JSON and CSV are always SI */
    const struct zone *zone; /* moments in text; NULL = UTC */
};

/* JSON by jansson: reals with 15 digits, columns with the digits they ask for. One line feed at the end. */
enum status show_json(const struct answer *a, struct text *out, struct message *why) MUST_USE;

/* The list at `path` as CSV (RFC 4180, CRLF not used): one column for each member seen, in order of appearance;
 * nested lists are left out. A text beginning with = + - @ gets an apostrophe before it. A list beside columns of
 * numbers (ANSWER_REALS) is one row a number. */
enum status show_csv(const struct answer *a, const char *path, struct text *out, struct message *why) MUST_USE;

/* The list `events` (key, from, to, title, says; whole days) as an iCalendar file, RFC 5545. */
enum status show_ics(const struct answer *a, struct text *out, struct message *why) MUST_USE;

/* Any answer as indented text: for pieces and questions that have no text of their own. */
void show_tree(const struct answer *a, const struct show_how *how, struct text *out);

/* The text of an answer: its own where it has one (show_own), else the tree. A piece is called "reckon sun", since a
 * question of the farm may have the same name. */
void show_text(const char *question, const struct answer *a, const struct show_how *how, struct text *out);

/* A paragraph folded at how->width, first line after `lead`, further lines indented by `indent` spaces.
 * Width is counted in UTF-8 characters. */
void show_fold(struct text *out, const struct show_how *how, const char *lead, int indent, const char *paragraph);

/* Numbers in the farm's units, with the unit: "-4 C", "25 F", "6 m/s", "13 mph", "12 kg", "26 lb". `out` is given
 * back. */
const char *show_temp(double temp_c, const struct show_how *how, char out[static 32]);
/* How it feels to a wet newborn: not drawn out below -60. */
const char *show_feels(double feels_c, const struct show_how *how, char out[static 32]);
const char *show_wind(double wind_mps, const struct show_how *how, char out[static 32]);
const char *show_mass(double mass_kg, const struct show_how *how, char out[static 32]);
const char *show_depth(double length_m, const struct show_how *how, char out[static 32]);
const char *show_rain(double rain_mm, const struct show_how *how, char out[static 32]);
/* "Thu 22 Jan 15:40", "15:40", in the reader's zone */
const char *show_moment(int64_t utc_s, const struct show_how *how, char out[static 32]);
const char *show_about(int64_t utc_s, int64_t width_s, const struct show_how *how, char out[static 32]);
const char *show_clock(int64_t utc_s, const struct show_how *how, char out[static 32]);
const char *show_compass(double bearing_deg); /* "SE": 16 points */

#endif
