/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Parts of a text under a title, for the texts of all questions.
 */
#ifndef DOORS_SHOW_SAY_SECTION_H
#define DOORS_SHOW_SAY_SECTION_H

#include "doors/show/show.h"

void say_heading(struct text *out, const struct show_how *how, const char *title);
void say_section(struct text *out, const struct show_how *how, const char *title); /* after an empty line */

/* The first row of the list at `path`, its title set above it; NULL, and no title, where there is no row. */
const struct answer *say_rows(struct text *out, const struct show_how *how, const struct answer *a, const char *path,
                              const char *title);

/* The texts of a list, each behind `lead`, folded under its fourth column. NULL: none. */
void say_texts(struct text *out, const struct show_how *how, const struct answer *list, const char *lead);
/* The same for the list at `path`, under a title; nothing where there is no row. */
void say_titled_texts(struct text *out, const struct show_how *how, const struct answer *a, const char *path,
                      const char *title, const char *lead);

#endif
