/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reading JSON where memory may run out. The library itself takes a text it had no room for to be a fault of the file
 * ("invalid token"); here what it asked for in vain is noted.
 */
#ifndef FARM_JSON_ROOM_H
#define FARM_JSON_ROOM_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

/* Note from now on what the library asks for in vain, in each thread its own; once, before there are threads. Without
 * it the library's own word counts. */
void json_room_open(void);

/* json_loadb() that refuses a member given twice; NULL: json_had_no_room() in the same thread says why. */
json_t *json_room_load(const char *bytes, size_t n, json_error_t *error);
bool json_had_no_room(const json_error_t *error);

#endif
