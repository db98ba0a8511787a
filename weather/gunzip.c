/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weather/gunzip.h"

#include <string.h>
#define ZLIB_CONST /* next_in is const then */
#include <zlib.h>

bool is_gzip(const char *bytes, size_t n)
{
    return n >= 2 && (unsigned char)bytes[0] == 0x1f && (unsigned char)bytes[1] == 0x8b;
}

static enum status unpack(const char *name, z_stream *z, struct text *out, struct message *why)
{
    char piece[64 * 1024];
    int rc = Z_OK;

    for (;;) {
        z->next_out = (unsigned char *)piece;
        z->avail_out = sizeof piece;
        rc = inflate(z, Z_NO_FLUSH);
        text_add_bytes(out, piece, sizeof piece - z->avail_out);
        if (text_full(out))
            return refuse(ST_BAD_INPUT, why, "", "%.120s: unpacks to more than %zu MB; give a smaller file", name,
                          out->ceiling / (1024 * 1024));
        if (rc == Z_STREAM_END && z->avail_in > 0 && z->next_in[0] == 0x1f) { /* a further member */
            if (inflateReset(z) != Z_OK)
                return refuse(ST_BAD_INPUT, why, "", "%.120s: the packed file is damaged", name);
            continue;
        }
        if (rc == Z_STREAM_END)
            return ST_OK; /* zeros or other padding after the last member are passed over, as gzip itself does */
        if (rc == Z_BUF_ERROR || (rc == Z_OK && z->avail_in == 0 && z->avail_out > 0))
            return refuse(ST_BAD_INPUT, why, "", "%.120s: the packed file ends in the middle; fetch it again", name);
        if (rc != Z_OK)
            return refuse(rc == Z_MEM_ERROR ? ST_NO_MEMORY : ST_BAD_INPUT, why, "",
                          "%.120s: the packed file is damaged; fetch it again", name);
    }
}

enum status gunzip(const char *name, const char *bytes, size_t n, struct text *out, struct message *why)
{
    z_stream z;

    memset(&z, 0, sizeof z);
    if (n > (size_t)1 << 30)
        return refuse(ST_BAD_INPUT, why, "", "%.120s: larger than a weather file can be", name);
    z.next_in = (const unsigned char *)bytes;
    z.avail_in = (uInt)n;
    if (inflateInit2(&z, 16 + MAX_WBITS) != Z_OK)
        return refuse(ST_NO_MEMORY, why, "", "%.120s: out of memory", name);
    const enum status st = unpack(name, &z, out, why);
    (void)inflateEnd(&z);
    return st;
}
