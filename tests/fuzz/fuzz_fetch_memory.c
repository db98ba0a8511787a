/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is remembered between two fetches, and the check on a reply: any bytes. What was read writes and reads back
 * as itself, and nothing in it could break out of a request header.
 */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "weather/fetch.h"
#include "weather/fetch_own.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void plain(const char *text, size_t room)
{
    const char *end = memchr(text, 0, room);

    if (!end)
        abort();
    for (; text < end; text++)
        if ((unsigned char)*text < 32 || (unsigned char)*text > 126)
            abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    struct fetch_memory m, back;
    struct message why = { "", "" };
    struct text line;

    if (!text)
        return 0;
    memcpy(text, data, size);
    text[size] = 0;
    (void)fetch_memory_read(text, &m);
    for (int p = 0; p < FETCH_PARTS; p++) {
        plain(m.page[p].url, sizeof m.page[p].url);
        plain(m.page[p].last_modified, sizeof m.page[p].last_modified);
        if (fetch_check((enum fetch_part)p, text, size, &m, &why) != ST_OK && why.text[0] == 0)
            abort();
    }
    plain(m.hourly_url, sizeof m.hourly_url);
    text_open(&line, 16384);
    fetch_memory_text(&m, &line);
    if (!fetch_memory_read(text_get(&line), &back) || memcmp(&m, &back, sizeof m) != 0)
        abort();
    text_close(&line);
    free(text);
    return 0;
}
