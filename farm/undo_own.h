/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between the two files of undo.
 */
#ifndef FARM_UNDO_OWN_H
#define FARM_UNDO_OWN_H

#include "farm/own.h"

/* Undone, and that undo not itself undone, and so on. */
enum status undo_is_undone(struct farm *f, const char *batch, bool *yes, struct message *why);
/* Newest batch that stands: of the undos, or of the rest. ST_NOT_FOUND; ST_CONFLICT a forecast was typed in since. */
enum status undo_newest(struct farm *f, bool of_undo, struct arena *mem, const char **batch, struct message *why);
/* A batch by its uid, or the batch that recorded a fact. ST_NOT_FOUND. */
enum status undo_batch_of(struct farm *f, const char *what, struct arena *mem, const char **batch, struct message *why);

#endif
