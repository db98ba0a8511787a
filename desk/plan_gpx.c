/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A walked track out of a GPX file (GPX 1.1 Schema, topografix.com/GPX/1/1: trk/trkseg/trkpt and rte/rtept, each with
 * lat and lon in degrees of WGS 84). Only tags are looked at, as far as they are wanted here; comments, declarations and
 * CDATA are passed over. */
#include <stdlib.h>
#include <string.h>

#include "core/base/units.h"
#include "desk/plan_world.h"

struct scan {
    const char *at, *end;
};

/* A tag as it stands between < and >. */
struct tag {
    const char *name, *inside; /* local name, without a prefix; what follows it */
    size_t n_name, n_inside;
    bool closes, empty; /* </x>, <x/> */
};

static bool starts(const struct scan *s, const char *with)
{
    const size_t n = strlen(with);
    return (size_t)(s->end - s->at) >= n && memcmp(s->at, with, n) == 0;
}

static void pass(struct scan *s, const char *until)
{
    const size_t n = strlen(until);

    while (s->at < s->end && !starts(s, until))
        s->at++;
    s->at = (size_t)(s->end - s->at) >= n ? s->at + n : s->end;
}

static bool blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* To the > of this tag; quotes may hold one. */
static const char *tag_end(const struct scan *s)
{
    char quote = '\0';

    for (const char *p = s->at; p < s->end; p++) {
        if (quote)
            quote = *p == quote ? '\0' : quote;
        else if (*p == '"' || *p == '\'')
            quote = *p;
        else if (*p == '>')
            return p;
    }
    return NULL;
}

/* The next tag; false at the end, or where the file breaks off within one. */
static bool next_tag(struct scan *s, struct tag *t)
{
    for (;;) {
        while (s->at < s->end && *s->at != '<')
            s->at++;
        if (s->at == s->end)
            return false;
        if (starts(s, "<!--"))
            pass(s, "-->");
        else if (starts(s, "<![CDATA["))
            pass(s, "]]>");
        else if (starts(s, "<?"))
            pass(s, "?>");
        else if (starts(s, "<!"))
            pass(s, ">");
        else
            break;
    }
    const char *end = tag_end(s), *p = s->at + 1;
    if (!end)
        return false;
    *t = (struct tag){ .closes = p < end && *p == '/', .empty = end[-1] == '/' };
    p += t->closes;
    t->name = p;
    for (; p < end && !blank(*p) && *p != '/'; p++)
        if (*p == ':')
            t->name = p + 1;
    t->n_name = (size_t)(p - t->name);
    t->inside = p;
    t->n_inside = (size_t)(end - p);
    s->at = end + 1;
    return true;
}

static bool is(const struct tag *t, const char *name)
{
    return t->n_name == strlen(name) && memcmp(t->name, name, t->n_name) == 0;
}

/* lat="54.62": a number, whole; false when it is not there or is none. */
static bool degrees(const struct tag *t, const char *name, double *deg)
{
    const size_t n = strlen(name);

    for (size_t i = 1; i + n < t->n_inside; i++) {
        const char *p = t->inside + i, *end = t->inside + t->n_inside;
        if (!blank(p[-1]) || memcmp(p, name, n) != 0)
            continue;
        for (p += n; p < end && blank(*p);)
            p++;
        if (p == end || *p != '=')
            continue;
        for (p++; p < end && blank(*p);)
            p++;
        if (p == end || (*p != '"' && *p != '\''))
            return false;
        const char *close = memchr(p + 1, *p, (size_t)(end - p - 1));
        char text[40];
        const size_t long_is = close ? (size_t)(close - p - 1) : sizeof text;
        if (long_is >= sizeof text)
            return false;
        memcpy(text, p + 1, long_is);
        text[long_is] = '\0';
        return read_real(text, deg);
    }
    return false;
}

static char *utf8(char *to, unsigned long c)
{
    if (c < 0x80) {
        *to++ = (char)c;
        return to;
    }
    const int more = c < 0x800 ? 1 : c < 0x10000 ? 2 : 3;
    *to++ = (char)((more == 1 ? 0xc0 : more == 2 ? 0xe0 : 0xf0) | c >> (6 * more));
    for (int i = more - 1; i >= 0; i--)
        *to++ = (char)(0x80 | (c >> (6 * i) & 0x3f));
    return to;
}

/* A letter written as a number (&#233; &#xe9;): which, and *end behind it; 0: none, or no letter that XML allows. */
static unsigned long numbered(const char *p, const char **end)
{
    const bool hex = p[2] == 'x';
    const char *digits = p + (hex ? 3 : 2),
               *stop = digits + strspn(digits, hex ? "0123456789abcdefABCDEF" : "0123456789");

    if (stop == digits || stop - digits > 7 || *stop != ';')
        return 0;
    const unsigned long c = strtoul(digits, NULL, hex ? 16 : 10);
    *end = stop + 1;
    return c < 0x20 || (c >= 0xd800 && c < 0xe000) || c > 0x10ffff ? 0 : c;
}

/* In place: the five entities of XML 1.0 (4.6) and letters by number; what is neither stays as it is written. Each is longer
 * than the letter it stands for. */
static void plain(char *text)
{
    static const struct {
        const char *entity;
        char is;
    } five[] = { { "&amp;", '&' }, { "&lt;", '<' }, { "&gt;", '>' }, { "&quot;", '"' }, { "&apos;", '\'' } };
    char *to = text;

    for (const char *p = text; *p;) {
        size_t i = 0;
        const char *end = p;
        while (i < COUNT(five) && strncmp(p, five[i].entity, strlen(five[i].entity)) != 0)
            i++;
        const unsigned long c = i == COUNT(five) && p[0] == '&' && p[1] == '#' ? numbered(p, &end) : 0;
        if (i < COUNT(five)) {
            *to++ = five[i].is;
            p += strlen(five[i].entity);
        } else if (c) {
            to = utf8(to, c);
            p = end;
        } else
            *to++ = *p++;
    }
    *to = '\0';
}

/* The words of <name>, up to the next tag. */
static const char *words(const struct scan *s, struct arena *mem)
{
    const char *from = s->at, *to = memchr(from, '<', (size_t)(s->end - from));

    while (to && from < to && blank(*from))
        from++;
    while (to && to > from && blank(to[-1]))
        to--;
    if (!to || from == to || to - from > 200)
        return NULL;
    char *text = ARENA_NEW(mem, char, (size_t)(to - from) + 1);
    if (!text)
        return NULL;
    memcpy(text, from, (size_t)(to - from)); /* the arena gives zeroes */
    plain(text);
    return text;
}

/* The places of the longest line of that sort: <trk> with its <trkpt>, or <rte> with its <rtept>. */
static enum status longest(const char *bytes, size_t n, const char *line, const char *place, struct arena *mem,
                           struct plan_fix fixes[], size_t *best_from, size_t *best_n, const char **name,
                           struct message *why)
{
    struct scan s = { bytes, bytes + n };
    struct tag t;
    size_t count = 0, from = 0;
    const char *called = NULL;
    bool inside = false;

    *best_n = 0;
    while (next_tag(&s, &t)) {
        if (is(&t, line) && !t.empty) {
            inside = !t.closes;
            called = t.closes ? called : NULL;
            if (inside)
                from = count;
            else if (count - from > *best_n) {
                *best_from = from;
                *best_n = count - from;
                *name = called;
            }
        } else if (inside && is(&t, "name") && !t.closes && !t.empty && !called) {
            called = words(&s, mem);
        } else if (inside && is(&t, place) && !t.closes) {
            if (!degrees(&t, "lat", &fixes[count].lat_deg) || !degrees(&t, "lon", &fixes[count].lon_deg))
                return refuse(ST_BAD_INPUT, why, "outline", "point %zu of the %s has no latitude or longitude",
                              count + 1, strcmp(line, "trk") == 0 ? "track" : "route");
            count++;
        }
    }
    return ST_OK;
}

/* No more points than this can be in it. */
static size_t most_points(const char *bytes, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i + 4 < n; i++)
        count += memcmp(bytes + i, "ept", 3) == 0 || memcmp(bytes + i, "kpt", 3) == 0;
    return count;
}

enum status plan_from_gpx(const char *bytes, size_t n, struct arena *mem, struct plan_read *out, struct message *why)
{
    const size_t most = most_points(bytes, n);
    struct plan_fix *fixes = ARENA_NEW(mem, struct plan_fix, most + 1);
    const char *name = NULL;
    size_t from = 0, count = 0;

    if (!fixes)
        return refuse(ST_BAD_INPUT, why, "outline", "too many points in one file: %zu", most);
    enum status st = longest(bytes, n, "trk", "trkpt", mem, fixes, &from, &count, &name, why);
    if (st == ST_OK && count == 0)
        st = longest(bytes, n, "rte", "rtept", mem, fixes, &from, &count, &name, why);
    if (st != ST_OK)
        return st;
    if (count == 0)
        return refuse(ST_BAD_INPUT, why, "outline", "there is no whole track and no route in this file");
    return plan_from_walk(fixes + from, count, name, mem, out, why);
}

enum status plan_from_bytes(const char *bytes, size_t n, struct arena *mem, struct plan_read *out, struct message *why)
{
    size_t i = n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    const size_t begin = i;

    while (i < n && blank(bytes[i]))
        i++;
    if (i == n)
        return refuse(ST_BAD_INPUT, why, "outline", "the file is empty");
    if (bytes[i] == '<')
        return plan_from_gpx(bytes, n, mem, out, why);
    if (bytes[i] == '{' || bytes[i] == '[')
        return plan_from_geojson(bytes + begin, n - begin, mem, out, why);
    return refuse(ST_BAD_INPUT, why, "outline", "this is neither GeoJSON nor GPX; a walk of the phone is saved as one");
}
