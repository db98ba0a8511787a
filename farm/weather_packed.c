/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Many years of hours held packed, day by day, for those who go through them in order.
 */
#include <assert.h>
#include <string.h>

#include "farm/weather_own.h"

struct piece { /* a day, or half of one with very many reports */
    int64_t day;
    size_t first, n, n_bytes; /* of all hours */
    const unsigned char *bytes;
};
struct weather_packed {
    struct arena *mem;
    struct piece *piece;
    size_t n_pieces, room, n;
    unsigned char work[PACK_BYTES];
};

static bool grow(struct weather_packed *p)
{
    const size_t room = p->room ? 2 * p->room : 512;
    struct piece *more = p->n_pieces < p->room ? p->piece : ARENA_NEW(p->mem, struct piece, room);

    if (!more)
        return false;
    if (more != p->piece) {
        if (p->n_pieces)
            memcpy(more, p->piece, p->n_pieces * sizeof *more);
        p->room = room;
        p->piece = more;
    }
    return true;
}

bool weather_packed_add(struct weather_packed *p, int64_t day, size_t n, const struct hour hours[])
{
    for (size_t done = 0; done < n;) {
        const size_t part = n - done < PACK_HOURS ? n - done : PACK_HOURS;
        const size_t n_bytes = weather_pack(day, part, hours + done, p->work);
        const char *bytes = grow(p) ? arena_bytes(p->mem, (const char *)p->work, n_bytes) : NULL;
        if (!bytes)
            return false;
        p->piece[p->n_pieces++] = (struct piece){ day, p->n, part, n_bytes, (const unsigned char *)bytes };
        p->n += part;
        done += part;
    }
    return true;
}

/* The piece that hour is in. */
static size_t piece_of(const struct weather_packed *p, size_t hour)
{
    size_t low = 0, high = p->n_pieces - 1;

    while (low < high) {
        const size_t middle = (low + high + 1) / 2;
        if (p->piece[middle].first <= hour)
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

void farm_weather_unpack(const void *packed, size_t first, size_t most, struct hour out[])
{
    const struct weather_packed *p = packed;
    struct hour day[PACK_HOURS];

    assert(first + most <= p->n);
    for (size_t i = most ? piece_of(p, first) : 0; most > 0; i++) {
        const struct piece *piece = &p->piece[i];
        size_t n = 0;
        const bool whole = weather_unpack(piece->day, piece->bytes, piece->n_bytes, day, &n);
        assert(whole && n == piece->n); /* packed a moment ago, in memory */
        const size_t from = first - piece->first, take = n - from < most ? n - from : most;
        memcpy(out, day + from, take * sizeof *out);
        out += take;
        first += take;
        most -= take;
    }
}

enum status farm_weather_packed(struct farm *f, const char *source, enum weather_sort sort, int64_t from_utc_s,
                                int64_t to_utc_s, int64_t known_to, struct arena *mem, struct weather_packed **packed,
                                size_t *n, struct message *why)
{
    const struct window window = { from_utc_s, to_utc_s };
    struct hours out = { .mem = mem, .packed = ARENA_NEW(mem, struct weather_packed, 1) };

    if (!out.packed)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    out.packed->mem = mem;
    const enum status st = weather_merged(f, source, sort, &window, known_to, &out, why);
    *packed = out.packed;
    *n = out.packed->n;
    return st;
}
