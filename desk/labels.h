/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a field of a fact is called on a form and in a sentence: "weight", "born alive", "who did it or saw it".
 */
#ifndef DESK_LABELS_H
#define DESK_LABELS_H

#include "core/base/status.h"
#include "farm/facts.h"

/* Returns `out`, or a constant. */
const char *fact_label(const struct fact_kind *kind, const struct fact_field *field, char out[static 40]);

/* A refusal that speaks of a field by the name the table has for it ("mass_kg: ...") -> by its label ("weight: ..."),
 * and why->field made that field's name, whichever of its names it came with. */
void fact_label_message(const struct fact_kind *kind, struct message *why);

#endif
