/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reading TZif files: RFC 8536. Every count is checked against the bytes there are before anything is read.
 */
#include "farm/zone_own.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "farm/near.h"

struct counts {
    size_t isut, isstd, leap, time, type, chars;
};

static uint32_t big32(const unsigned char *p)
{
    return (uint32_t)p[0] << 24 | (uint32_t)p[1] << 16 | (uint32_t)p[2] << 8 | p[3];
}

static int64_t big_signed(const unsigned char *p, size_t width)
{
    if (width == 4)
        return (int32_t)big32(p);
    return (int64_t)((uint64_t)big32(p) << 32 | big32(p + 4));
}

static size_t block_bytes(const struct counts *c, size_t width)
{
    return c->time * width + c->time + c->type * 6 + c->chars + c->leap * (width + 4) + c->isstd + c->isut;
}

/* A header at *at; *at is moved past it. */
static bool read_header(const unsigned char *b, size_t n, size_t *at, struct counts *c, int *version)
{
    if (n < 44 || *at > n - 44 || memcmp(b + *at, "TZif", 4) != 0)
        return false;
    const unsigned char *p = b + *at;
    *version = p[4] == 0 ? 1 : p[4] - '0';
    *c = (struct counts){ big32(p + 20), big32(p + 24), big32(p + 28), big32(p + 32), big32(p + 36), big32(p + 40) };
    *at += 44;
    return c->type >= 1 && c->type <= 255 && c->chars >= 1 && c->chars <= 65536 && c->time <= 65536 &&
           c->leap <= 65536 && c->isut <= c->type && c->isstd <= c->type;
}

static bool read_types(const unsigned char *p, const unsigned char *chars, const struct counts *c,
                       struct zone_type *type)
{
    for (size_t i = 0; i < c->type; i++, p += 6) {
        const size_t abbr = p[5];
        type[i].offset_s = (int32_t)big32(p);
        type[i].summer = p[4] != 0;
        if (abbr >= c->chars || type[i].offset_s < -93600 || type[i].offset_s > 93600)
            return false;
        const unsigned char *end = memchr(chars + abbr, '\0', c->chars - abbr);
        if (!end || end - (chars + abbr) >= ZONE_ABBR)
            return false;
        memcpy(type[i].abbr, chars + abbr, (size_t)(end - (chars + abbr)));
    }
    return true;
}

static bool read_block(const unsigned char *b, const struct counts *c, size_t width, struct arena *mem, struct zone *z)
{
    int64_t *at = ARENA_NEW(mem, int64_t, c->time + 1);
    unsigned char *to = ARENA_NEW(mem, unsigned char, c->time + 1);
    struct zone_type *type = ARENA_NEW(mem, struct zone_type, c->type);
    const unsigned char *p = b;

    if (!at || !to || !type)
        return false;
    for (size_t i = 0; i < c->time; i++, p += width) {
        at[i] = big_signed(p, width);
        if (i > 0 && at[i] <= at[i - 1])
            return false;
    }
    for (size_t i = 0; i < c->time; i++, p++) {
        to[i] = *p;
        if (to[i] >= c->type)
            return false;
    }
    if (!read_types(p, p + c->type * 6, c, type))
        return false;
    z->n = c->time;
    z->at_utc_s = at;
    z->to = to;
    z->n_types = c->type;
    z->type = type;
    return true;
}

/* "\n<TZ string>\n" after the second block. */
static bool read_footer(const unsigned char *b, size_t n, struct zone_rule *rule)
{
    char text[128];

    if (n < 2 || b[0] != '\n')
        return false;
    const unsigned char *end = memchr(b + 1, '\n', n - 1);
    if (!end || (size_t)(end - b) > sizeof text)
        return false;
    const size_t length = (size_t)(end - b) - 1;
    memcpy(text, b + 1, length);
    text[length] = '\0';
    return length == 0 || zone_rule_read(text, rule);
}

enum status zone_read(const char *name, const void *bytes, size_t n, struct arena *mem, const struct zone **zone,
                      struct message *why)
{
    const unsigned char *b = bytes;
    struct zone *z = ARENA_NEW(mem, struct zone, 1);
    struct counts c;
    size_t at = 0, width = 4;
    int version = 0;

    if (!z)
        return refuse(ST_NO_MEMORY, why, "zone", "no room for a time zone");
    (void)snprintf(z->name, sizeof z->name, "%s", name);
    bool sound = read_header(b, n, &at, &c, &version);
    if (sound && version >= 2) {
        const size_t skip = block_bytes(&c, 4);
        width = 8;
        sound = skip <= n - at;
        at += sound ? skip : 0;
        sound = sound && read_header(b, n, &at, &c, &version);
    }
    sound = sound && block_bytes(&c, width) <= n - at && read_block(b + at, &c, width, mem, z);
    if (sound && width == 8)
        sound = read_footer(b + at + block_bytes(&c, width), n - at - block_bytes(&c, width), &z->rule);
    if (arena_full(mem))
        return refuse(ST_NO_MEMORY, why, "zone", "no room for a time zone");
    if (!sound)
        return refuse(ST_BAD_INPUT, why, "zone",
                      "the time zone file of %.64s is damaged; install the package tzdata again", name);
    *zone = z;
    return ST_OK;
}

/* Letters, digits and _ + - /, no empty or dotted part: such a name cannot climb out of the folder. */
static bool plain_name(const char *name)
{
    size_t n = 0;

    for (; name[n]; n++) {
        const char c = name[n];
        const bool word = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
                          c == '+' || c == '-';
        if (!word && !(c == '/' && n > 0 && name[n - 1] != '/' && name[n + 1]))
            return false;
        if (n >= ZONE_NAME - 1)
            return false;
    }
    return n > 0;
}

static FILE *open_file(const char *folder, const char *name)
{
    char path[512];

    const int n = snprintf(path, sizeof path, "%s/%s", folder, name);
    return n > 0 && (size_t)n < sizeof path ? fopen(path, "rb") : NULL;
}

static const char *const folders[] = { "/usr/share/zoneinfo", "/usr/lib/zoneinfo", "/usr/share/lib/zoneinfo",
                                       "/etc/zoneinfo" };

static FILE *open_any(const char *name)
{
    const char *own = getenv("ZONEINFO");
    FILE *f = own && *own ? open_file(own, name) : NULL;

    for (size_t i = 0; !f && i < COUNT(folders); i++)
        f = open_file(folders[i], name);
    return f;
}

/* The nearest name of zone1970.tab: by its last part ("Chicago"), or a slip of the finger. */
static bool nearest(const char *name, char near[static ZONE_NAME])
{
    FILE *f = open_any("zone1970.tab");
    char line[512];
    unsigned best = 99;

    if (!f)
        return false;
    while (fgets(line, (int)sizeof line, f)) {
        char *at = line[0] == '#' ? NULL : strchr(line, '\t');
        at = at ? strchr(at + 1, '\t') : NULL;
        if (!at)
            continue;
        char *known = at + 1;
        known[strcspn(known, "\t\n")] = '\0';
        const char *city = strrchr(known, '/');
        unsigned steps = near_steps(name, known);
        if (city && near_steps(name, city + 1) < steps)
            steps = near_steps(name, city + 1);
        if (steps < best && strlen(known) < ZONE_NAME) {
            best = steps;
            (void)snprintf(near, ZONE_NAME, "%s", known);
        }
    }
    (void)fclose(f);
    return best <= strlen(name) / 3;
}

static enum status utc(struct arena *mem, const struct zone **zone, struct message *why)
{
    struct zone *z = ARENA_NEW(mem, struct zone, 1);
    struct zone_type *type = ARENA_NEW(mem, struct zone_type, 1);

    if (!z || !type)
        return refuse(ST_NO_MEMORY, why, "zone", "no room for a time zone");
    (void)snprintf(z->name, sizeof z->name, "UTC");
    (void)snprintf(type->abbr, sizeof type->abbr, "UTC");
    z->n_types = 1;
    z->type = type;
    *zone = z;
    return ST_OK;
}

enum status zone_open(const char *name, struct arena *mem, const struct zone **zone, struct message *why)
{
    char near[ZONE_NAME];

    if (strcmp(name, "UTC") == 0)
        return utc(mem, zone, why);
    if (!plain_name(name))
        return refuse(ST_BAD_INPUT, why, "zone",
                      "\"%.60s\" is not the name of a time zone; write it as America/Chicago", name);
    FILE *f = open_any(name);
    if (!f) {
        if (nearest(name, near))
            return refuse(ST_NOT_FOUND, why, "zone", "no time zone \"%.60s\" is known; did you mean %s?", name, near);
        FILE *list = open_any("zone1970.tab");
        if (list)
            (void)fclose(list);
        return refuse(ST_NOT_FOUND, why, "zone",
                      list ? "no time zone \"%.60s\" is known; write it as America/Chicago"
                           : "no time zone \"%.60s\" is known; the package tzdata is not installed",
                      name);
    }
    char *bytes = arena_get(mem, ZONE_FILE_BYTES, 1);
    const size_t n = bytes ? fread(bytes, 1, ZONE_FILE_BYTES, f) : 0;
    const bool failed = ferror(f) != 0 || (bytes && n == 0);
    (void)fclose(f);
    if (!bytes)
        return refuse(ST_NO_MEMORY, why, "zone", "no room for a time zone");
    if (failed) /* a folder such as "America" opens, and cannot be read */
        return refuse(ST_NOT_FOUND, why, "zone", "\"%.60s\" is not a time zone; write it as America/Chicago", name);
    return zone_read(name, bytes, n, mem, zone, why);
}
