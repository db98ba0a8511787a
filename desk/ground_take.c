/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/ground_take.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "desk/farm_words.h"

enum { FILE_MOST = 8 * 1024 * 1024 };

static enum status bytes_of(const char *path, const char *called, struct arena *mem, char **bytes, size_t *n,
                            struct message *why)
{
    FILE *f = fopen(path, "rb");

    if (!f)
        return refuse(errno == ENOENT ? ST_NOT_FOUND : ST_IO, why, "FILE", "%s: %s", called, strerror(errno));
    *bytes = ARENA_NEW(mem, char, FILE_MOST + 1);
    *n = *bytes ? fread(*bytes, 1, FILE_MOST + 1, f) : 0;
    const int cause = ferror(f) ? errno : 0;
    (void)fclose(f);
    if (!*bytes)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (cause)
        return refuse(ST_IO, why, "FILE", "%s: %s", called, strerror(cause));
    if (*n > FILE_MOST)
        return refuse(ST_BAD_INPUT, why, "FILE",
                      "%s is larger than 8 MB: an outline is a few lines, a walk some hundred", called);
    return ST_OK;
}

enum status ground_read(const char *path, const char *called, struct arena *mem, struct plan_read *read,
                        struct message *why)
{
    char *bytes = NULL;
    size_t n = 0;

    const enum status st = bytes_of(path, called, mem, &bytes, &n, why);
    return st == ST_OK ? plan_from_bytes(bytes, n, mem, read, why) : st;
}

/* The field as it is recorded now; value all empty: a new one. */
static enum status field_of(struct farm *farm, const struct ground_how *how, const char *named,
                            const struct fact_kind *kind, struct arena *mem, struct fact *was, struct message *why)
{
    const char *name = how->fresh ? how->fresh : how->paddock ? how->paddock : named;
    char uid[FARM_UID] = "";
    struct message none = { "", "" };

    *was = (struct fact){ .kind = kind, .uid = "" };
    if (!name)
        return refuse(ST_BAD_INPUT, why, "paddock",
                      "whose outline is it? The file gives no name: say --paddock NAME, or --new NAME");
    enum status st = farm_resolve(farm, kind, name, INT64_MIN, uid, &none);
    if (how->fresh)
        return st == ST_NOT_FOUND ? ST_OK
               : st == ST_OK
                   ? refuse(ST_CONFLICT, why, "new", "there is a field \"%.60s\" already: say --paddock", name)
                   : refuse(st, why, "new", "%s", none.text);
    if (st != ST_OK)
        return st == ST_NOT_FOUND
                   ? refuse(st, why, "paddock",
                            "no field is called \"%.60s\"; leenest list paddock shows those there are, --new NAME "
                            "writes down a new one",
                            name)
                   : refuse(st, why, "paddock", "%s", none.text);
    return farm_fact(farm, uid, 0, mem, was, why);
}

static void put_text(const struct fact_kind *kind, struct fact_value v[], const char *field, const char *text)
{
    v[fact_field_find(kind, field)] = (struct fact_value){ .given = true, .text = text };
}

static void put_real(const struct fact_kind *kind, struct fact_value v[], const char *field, double real)
{
    v[fact_field_find(kind, field)] = (struct fact_value){ .given = true, .real = real };
}

static const char *area_words(double m2, bool us, struct arena *mem)
{
    return us         ? arena_print(mem, "%.1f acres", m2 / 4046.8564224) /* international acre */
           : m2 < 1e4 ? arena_print(mem, "%.0f m2", m2)
                      : arena_print(mem, "%.2f ha", m2 / 1e4);
}

static const char *metres_words(double m, bool us, struct arena *mem)
{
    return us ? arena_print(mem, "%.0f ft", m / 0.3048) : arena_print(mem, "%.0f m", m);
}

static void tell(const struct plan_read *read, const struct fact *was, const char *name, bool dry_run, bool us,
                 struct arena *mem, struct text *out)
{
    text_print(out, "%s: %s an outline of %zu corners, %s", name, dry_run ? "the file holds" : "kept", read->n,
               area_words(corners_area_m2(read->corners, read->n), us, mem));
    if (read->fixes > read->n + 1)
        text_print(out, ", out of %zu places walked", read->fixes);
    text_add(out, ".\n");
    if (read->gap_m > 0.0)
        text_print(out, "  The walk ended %s from where it began; a straight side closes it.\n",
                   metres_words(read->gap_m, us, mem));
    if (*was->uid && fact_given(was->kind, was->value, "outline"))
        text_add(out, "  Hedges, huts and marks keep their metres from the field's south-west corner: look with "
                      "leenest field whether they still fit.\n");
    if (dry_run)
        text_add(out, "  A dry run: nothing is kept.\n");
}

enum status ground_take(struct farm *farm, const char *path, const struct ground_how *how, const struct farm_meta *meta,
                        struct arena *mem, struct text *out, char kept[static FARM_UID], struct message *why)
{
    const struct fact_kind *kind = fact_kind_find("paddock");
    struct fact_value *v = ARENA_NEW(mem, struct fact_value, kind->n_fields);
    struct farm_meta says = *meta;
    struct farm_outcome outcome;
    struct plan_read read;
    struct fact was;

    kept[0] = '\0';
    if (!v)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = ground_read(path, path, mem, &read, why);
    if (st == ST_OK)
        st = field_of(farm, how, read.name, kind, mem, &was, why);
    if (st != ST_OK)
        return st;
    if (*was.uid)
        memcpy(v, was.value, kind->n_fields * sizeof *v);
    else
        put_text(kind, v, "name", how->fresh);
    for (size_t i = 0; i < 3; i++) /* the outline tells them now */
        v[fact_field_find(kind, (const char *const[]){ "width_m", "length_m", "area_m2" }[i])].given = false;
    put_text(kind, v, "outline", corners_text(read.corners, read.n, mem));
    put_real(kind, v, "origin_lat_deg", read.origin_lat_deg);
    put_real(kind, v, "origin_lon_deg", read.origin_lon_deg);
    says.replaces = *was.uid ? was.uid : NULL;
    if (!how->dry_run)
        st = farm_record(farm, kind, v, &says, mem, &outcome, why);
    if (st != ST_OK)
        return st;
    if (!how->dry_run)
        memcpy(kept, outcome.uid, FARM_UID);
    tell(&read, &was, fact_text(kind, v, "name"), how->dry_run, desk_us_units(farm), mem, out);
    for (size_t i = 0; !how->dry_run && i < outcome.n_flags; i++)
        text_print(out, "  odd: %s\n", outcome.flags[i].says);
    return ST_OK;
}
