/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Looking for a word in a text as people do: upper and lower case alike. Letters of the Latin (with Latin-1 and
 * Extended-A), Greek and Cyrillic scripts are folded one for one; accents count. UTF-8 in, any bytes are safe.
 * Source  Unicode 15, CaseFolding.txt, status C, of U+0041-5A, U+00C0-DE, U+0100-17F, U+0391-3AB, U+0400-42F
 */
#ifndef CORE_BASE_FOLD_H
#define CORE_BASE_FOLD_H

#include <stdbool.h>

/* Does `part` stand anywhere in `text`? An empty part stands everywhere. */
bool fold_holds(const char *text, const char *part);

#endif
