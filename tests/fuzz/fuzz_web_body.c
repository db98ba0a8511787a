/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a stranger may send to the web door: the first line is the address of the request, the rest its body. */
#include <assert.h>

#include "doors/web/request.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const struct web_field takes[] = {
    { "uid", SHAPE_TEXT, false, "" },     { "fact", SHAPE_OBJECT, true, "" }, { "items", SHAPE_LIST, false, "" },
    { "number", SHAPE_WHOLE, false, "" }, { "try", SHAPE_FLAG, false, "" },   { "share", SHAPE_REAL, false, "" },
};

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *bytes = (const char *)data, *line = size ? memchr(bytes, '\n', size) : NULL;
    const size_t n = line ? (size_t)(line - bytes) : size;
    struct message why = { "", "" };
    struct request_address a;
    struct arena mem;
    json_t *body = NULL;

    if (n > REQUEST_URL || size > REQUEST_BODY)
        return 0;
    arena_open(&mem, 1 << 20);
    char *uri = arena_bytes(&mem, bytes, n);
    if (uri && request_address_read(uri, &mem, &a, &why) == ST_OK) {
        assert(a.path[0] == '/' && a.n_query <= REQUEST_PAIRS);
        const enum status st = request_query_fits(a.n_query, a.query, COUNT(takes), takes, &why);
        assert(st == ST_OK || st == ST_BAD_INPUT);
    }
    if (line && request_body_read(line + 1, size - n - 1, &body, &why) == ST_OK) {
        assert(json_is_object(body));
        if (request_body_fits(body, COUNT(takes), takes, &why) == ST_OK)
            assert(json_is_object(json_object_get(body, "fact")));
        json_decref(body);
    }
    arena_close(&mem);
    return 0;
}
