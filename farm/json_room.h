/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the JSON library says when it has no memory.
 */
#ifndef FARM_JSON_ROOM_H
#define FARM_JSON_ROOM_H

#include <jansson.h>
#include <stdbool.h>

/* After json_loadb() gave NULL: was there no memory? Where it runs out inside a text the library itself takes the text
 * for a fault of the file ("invalid token"): that cannot be told apart. */
static inline bool json_had_no_room(const json_error_t *error)
{
    return !*error->text || json_error_code(error) == json_error_out_of_memory;
}

#endif
