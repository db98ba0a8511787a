/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the pieces that take a pedigree from a CSV file.
 */
#ifndef DESK_RECKON_PEDIGREE_IN_H
#define DESK_RECKON_PEDIGREE_IN_H

#include "core/pedigree/pedigree.h"
#include "desk/question.h"

struct pedigree_in {
    struct arena mem; /* everything here, and what the piece needs besides */
    struct pedigree p;
    struct pedigree_findings found;
    const uint8_t *in_loop; /* NULL: there is no loop */
    double *f, *d;
    struct pedigree_index *index; /* after pedigree_in_ids() */
};

/* Read, order, check, F and D. Close in any case. */
enum status pedigree_in_open(const char *path, size_t threads, struct pedigree_in *in, struct message *why) MUST_USE;
void pedigree_in_close(struct pedigree_in *in);

/* "A, B,C" -> animals; one that is not there is refused under `flag`. */
enum status pedigree_in_ids(struct pedigree_in *in, const char *flag, const char *text, const uint32_t **who, size_t *n,
                            struct message *why) MUST_USE;
/* All bytes of a file, 0 after them, in `mem`. */
enum status pedigree_in_bytes(const char *flag, const char *path, struct arena *mem, char **bytes, size_t *n,
                              struct message *why) MUST_USE;

/* `findings` as a member of `a`; a finding of the kind error makes the answer a 'no'. */
void pedigree_in_findings(const struct pedigree_in *in, struct answer *a);

#define SHAPE_PEDIGREE_IN                                                                                              \
    { "findings", SHAPE_LIST, false, "what is wrong or odd in the pedigree" },                                         \
        { "findings[]", SHAPE_OBJECT, false, "" },                                                                     \
        { "findings[].line", SHAPE_WHOLE, true, "of the file; null: of no line" },                                     \
        { "findings[].id", SHAPE_TEXT, false, "the animal" },                                                          \
        { "findings[].kind", SHAPE_TEXT, false,                                                                        \
          "loop, duplicate, no-row, sex, born, placeholder, same-parent, litter, breed" },                             \
        { "findings[].weight", SHAPE_TEXT, false, "error, odd, hint, note" },                                          \
    {                                                                                                                  \
        "findings[].says", SHAPE_TEXT, false, "in words"                                                               \
    }

/* Parts of a long job over threads. */
struct pedigree_hands pedigree_in_hands(size_t threads);

#endif
