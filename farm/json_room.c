/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/json_room.h"

#include <stdlib.h>

static _Thread_local bool in_vain;

static void *room_for(size_t n)
{
    void *room = malloc(n);

    in_vain |= !room;
    return room;
}

void json_room_open(void)
{
    json_set_alloc_funcs(room_for, free);
}

json_t *json_room_load(const char *bytes, size_t n, json_error_t *error)
{
    in_vain = false;
    return json_loadb(bytes, n, JSON_REJECT_DUPLICATES, error);
}

bool json_had_no_room(const json_error_t *error)
{
    return in_vain || !*error->text || json_error_code(error) == json_error_out_of_memory;
}
