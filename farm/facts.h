/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Facts: what a breeder can record. One table describes every kind once; the SQLite tables, the flags of the command
 * line, JSON bodies, CSV files, forms, help and messages all come from it.
 *
 * A kind is one table; a fact is one row of it, known by its uid for ever. To add a kind: docs/change/farm-file.md.
 * All pure but for the zone handed in.
 */
#ifndef FARM_FACTS_H
#define FARM_FACTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/base/text.h"
#include "core/base/units.h"
#include "farm/zone.h"

enum fact_type {
    FACT_TEXT,   /* value.text; any UTF-8 without control characters but line breaks, at most FACT_TEXT_BYTES */
    FACT_CHOICE, /* value.text: one of `choices` */
    FACT_SET,    /* value.text: some of `choices`, comma between, each once, in the order of `choices` */
    FACT_REAL,   /* value.real, SI, low..high */
    FACT_WHOLE,  /* value.whole, low..high */
    FACT_DAY,    /* value.whole: days since 1970-01-01 */
    FACT_MOMENT, /* value.whole: seconds UTC */
    FACT_FLAG,   /* value.whole: 1 yes, 0 no */
    FACT_REF,    /* value.text: uid of a fact of kind `refers_to`; going in, a name will do */
};
enum { FACT_TEXT_BYTES = 4000 };

enum fact_how {
    FACT_REQUIRED = 1,
    FACT_EACH = 2, /* named several times while recording it makes one fact for each (--sow A --sow B) */
};

struct fact_field {
    const char *name; /* "mass_kg": column, CSV header and JSON key; a quantity carries its SI unit */
    enum fact_type type;
    enum quantity of; /* FACT_REAL */
    double low, high; /* FACT_REAL, FACT_WHOLE: SI, both included */
    unsigned how;
    const char *choices;   /* FACT_CHOICE, FACT_SET: "hut|barn" */
    const char *refers_to; /* FACT_REF */
    const char *otherwise; /* taken when nothing is given, read like a value; NULL = stays not given */
    const char *help;      /* one line */
};

struct fact_kind {
    const char *name; /* "boar_run": table and CSV file; on the command line also "boar-run" */
    const char *help; /* one line */
    const struct fact_field *fields;
    size_t n_fields;
    const char *when;         /* field that says when it holds or happened; NULL = always */
    const char *until;        /* field that ends it; NULL */
    const char *exactly_one;  /* "sow|group": one of these fields is given, no more; NULL */
    const char *at_least_one; /* "temp_c|wind_mps"; NULL */
    const char *called;       /* field by which people name one of these: "name"; NULL = only by uid */
    const char *also_called;  /* "tag"; NULL */
    bool single;              /* a farm has one; a second is refused: correct the first */
};

extern const struct fact_kind *const fact_kinds[]; /* in an order in which references come before; NULL at the end */
const struct fact_kind *fact_kind_find(const char *name); /* "boar_run" or "boar-run"; NULL */
#define FACT_NO_FIELD SIZE_MAX
size_t fact_field_find(const struct fact_kind *kind, const char *name); /* by name, or flag; index or FACT_NO_FIELD */
/* "mass_kg" -> "mass", "born_alive" -> "born-alive": as a flag or form label. Returns `out`. */
const char *fact_flag_name(const struct fact_field *field, char out[static 40]);
/* Signs of a sow near farrowing, "vulva-swollen|udder-tight|..."; the same keys as `reckon due`. */
extern const char fact_signs[];
/* First words of the keys by which a prompt is ticked off: those of the whole farm ("feed"), and those that go on with
 * a name or uid ("look:Bramble:15"). */
extern const char fact_prompts_farm[], fact_prompts_each[];

struct fact_value {
    bool given;
    double real;
    int64_t whole;
    const char *text; /* in the arena of the call */
    bool day_only;    /* FACT_MOMENT going in: a date alone was typed, the hour is not known (noon stands) */
};

/* How text is to be understood. */
struct fact_speech {
    const struct zone *zone; /* moments without an offset; NULL = UTC */
    bool us_units;           /* a bare number under a name without unit is in F, lb, ft, in, mph ...; else SI */
    bool clock_comes_first;  /* a moment the clock shows twice (autumn): the first of the two; else refused */
};

/* One value from text as a person types it.
 *
 * Given     named     the name under which it came: field->name carries the unit, so that a bare number is SI; the flag
 *                     name does not, so that a bare number is in the farm's units. A value may always carry its own
 *                     unit
 *           text      day "2026-01-22"; moment with or without offset, a date alone is noon; flag
 *           yes/no/true/false/1/0;
 *                     empty text = not given
 * Returned  *value, its text in `mem`; a reference stays as typed (farm_record() resolves it)
 * Fails     ST_BAD_INPUT, field = field->name, one sentence: what is wrong, what would be right
 */
enum status fact_value_read(const struct fact_field *field, const char *named, const char *text,
                            const struct fact_speech *speech, struct arena *mem, struct fact_value *value,
                            struct message *why) MUST_USE;

/* The value as fact_value_read(field->name) reads it back exactly: SI numbers with 17 digits where needed, moments in
 * UTC ("2026-01-22T15:40:00Z"), flags yes/no, references as uid. "" when not given. NULL: arena full. */
const char *fact_value_text(const struct fact_field *field, const struct fact_value *value, struct arena *mem) MUST_USE;

/* The same for people: the farm's units and zone, "440 lb", "2026-01-22 15:40". */
const char *fact_value_show(const struct fact_field *field, const struct fact_value *value,
                            const struct fact_speech *speech, struct arena *mem) MUST_USE;

/* The unit a bare number is taken in: "lb"; "" where there is none. */
const char *fact_unit(const struct fact_field *field, bool us_units);

/* Fill in defaults (and a flag "day_only", where the kind has one, from the moment's day_only) and check what one fact
 * alone can show: required fields, exactly_one, at_least_one, ranges, names in one plain line, keys that something
 * reads, dates in order (when <= until). values has kind->n_fields. */
enum status fact_check(const struct fact_kind *kind, struct fact_value values[], struct arena *mem,
                       struct message *why) MUST_USE;

/* Short forms: by field name; a name the kind does not have is a mistake of the program (assert). */
bool fact_given(const struct fact_kind *kind, const struct fact_value values[], const char *field);
double fact_real(const struct fact_kind *kind, const struct fact_value values[], const char *field); /* NAN */
int64_t fact_whole(const struct fact_kind *kind, const struct fact_value values[], const char *field,
                   int64_t otherwise); /* whole, day, moment, flag */
const char *fact_text(const struct fact_kind *kind, const struct fact_value values[], const char *field); /* NULL */
bool fact_set_has(const char *set, const char *choice); /* "a,b,c" has "b"; NULL has nothing */

/* A kind or all kinds in words: fields, types, units, choices. */
void fact_help(const struct fact_kind *kind, struct text *out);

#endif
