/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "farm/facts.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/words.h"

const struct fact_kind *fact_kind_find(const char *name)
{
    char plain[40];
    const size_t n = strlen(name);

    if (n >= sizeof plain)
        return NULL;
    for (size_t i = 0; i <= n; i++)
        plain[i] = name[i] == '-' ? '_' : name[i];
    for (size_t i = 0; fact_kinds[i]; i++)
        if (strcmp(fact_kinds[i]->name, plain) == 0)
            return fact_kinds[i];
    return NULL;
}

/* The ending of a name that says its unit. */
static const char *const unit_ending[Q_END] = {
    [Q_TEMPERATURE] = "_c",   [Q_TEMPERATURE_STEP] = "_k",
    [Q_SPEED] = "_mps",       [Q_LENGTH] = "_m",
    [Q_RAIN] = "_mm",         [Q_MASS] = "_kg",
    [Q_PRESSURE] = "_kpa",    [Q_AREA] = "_m2",
    [Q_SPAN] = "_d",          [Q_ANGLE] = "_deg",
    [Q_POWER] = "_w",         [Q_ENERGY] = "_mj",
    [Q_IRRADIANCE] = "_w_m2",
};

const char *fact_flag_name(const struct fact_field *field, char out[static 40])
{
    const char *ending = field->type == FACT_REAL ? unit_ending[field->of] : NULL;
    size_t n = strlen(field->name);

    assert(n < 40);
    if (ending && n > strlen(ending) && strcmp(field->name + n - strlen(ending), ending) == 0)
        n -= strlen(ending);
    for (size_t i = 0; i < n; i++)
        out[i] = field->name[i] == '_' ? '-' : field->name[i];
    out[n] = '\0';
    return out;
}

size_t fact_field_find(const struct fact_kind *kind, const char *name)
{
    char flag[40];

    for (size_t i = 0; i < kind->n_fields; i++)
        if (strcmp(kind->fields[i].name, name) == 0)
            return i;
    for (size_t i = 0; i < kind->n_fields; i++)
        if (strcmp(fact_flag_name(&kind->fields[i], flag), name) == 0)
            return i;
    return FACT_NO_FIELD;
}

bool word_in(const char *words, const char *word, size_t n)
{
    for (const char *w = words; w && *w;) {
        const size_t length = strcspn(w, "|,");
        if (length == n && n > 0 && strncmp(w, word, n) == 0)
            return true;
        w += length + (w[length] != '\0');
    }
    return false;
}

static size_t field_of(const struct fact_kind *kind, const char *name)
{
    size_t i = 0;

    while (i < kind->n_fields && strcmp(kind->fields[i].name, name) != 0)
        i++;
    assert(i < kind->n_fields); /* a field the kind does not have is a slip of ours */
    return i;
}

bool fact_given(const struct fact_kind *kind, const struct fact_value values[], const char *field)
{
    return values[field_of(kind, field)].given;
}

double fact_real(const struct fact_kind *kind, const struct fact_value values[], const char *field)
{
    const struct fact_value *v = &values[field_of(kind, field)];
    return v->given ? v->real : (double)NAN;
}

int64_t fact_whole(const struct fact_kind *kind, const struct fact_value values[], const char *field, int64_t otherwise)
{
    const struct fact_value *v = &values[field_of(kind, field)];
    return v->given ? v->whole : otherwise;
}

const char *fact_text(const struct fact_kind *kind, const struct fact_value values[], const char *field)
{
    const struct fact_value *v = &values[field_of(kind, field)];
    return v->given ? v->text : NULL;
}

bool fact_set_has(const char *set, const char *choice)
{
    return set && word_in(set, choice, strlen(choice));
}

/* ---- checks that one fact alone can show ---- */

static enum status fill_defaults(const struct fact_kind *kind, struct fact_value values[], struct arena *mem,
                                 struct message *why)
{
    const struct fact_speech plain = { .zone = NULL };
    enum status st = ST_OK;

    for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++)
        if (!values[i].given && kind->fields[i].otherwise)
            st = fact_value_read(&kind->fields[i], kind->fields[i].name, kind->fields[i].otherwise, &plain, mem,
                                 &values[i], why);
    if (st == ST_OK && kind->when) {
        const size_t when = field_of(kind, kind->when), day_only = fact_field_find(kind, "day_only");
        if (day_only != FACT_NO_FIELD && values[when].day_only && !values[day_only].given)
            values[day_only] = (struct fact_value){ .given = true, .whole = 1 };
    }
    return st;
}

/* How many of "sow|group" are given. */
static size_t given_of(const struct fact_kind *kind, const struct fact_value values[], const char *fields)
{
    size_t n = 0;

    for (size_t i = 0; i < kind->n_fields; i++)
        n += values[i].given && word_in(fields, kind->fields[i].name, strlen(kind->fields[i].name));
    return n;
}

/* "sow|group" -> "sow or group", as flags. */
static void say_fields(const struct fact_kind *kind, const char *fields, char *out, size_t size)
{
    size_t used = 0, left = 0;
    char flag[40];

    out[0] = '\0';
    for (size_t i = 0; i < kind->n_fields; i++)
        left += word_in(fields, kind->fields[i].name, strlen(kind->fields[i].name));
    for (size_t i = 0; i < kind->n_fields && used < size; i++) {
        if (!word_in(fields, kind->fields[i].name, strlen(kind->fields[i].name)))
            continue;
        const int n = snprintf(out + used, size - used, "%s%s",
                               used == 0   ? ""
                               : left == 1 ? " or "
                                           : ", ",
                               fact_flag_name(&kind->fields[i], flag));
        used += n > 0 ? (size_t)n : 0;
        left--;
    }
}

static enum status check_given(const struct fact_kind *kind, const struct fact_value values[], struct message *why)
{
    char flag[40], said[200], is[40];

    (void)snprintf(is, sizeof is, "%s", kind->name);
    for (char *c = is; *c; c++)
        *c = *c == '_' ? ' ' : *c;
    for (size_t i = 0; i < kind->n_fields; i++)
        if ((kind->fields[i].how & FACT_REQUIRED) && !values[i].given)
            return refuse(ST_BAD_INPUT, why, kind->fields[i].name, "%s is needed for %s: %s",
                          fact_flag_name(&kind->fields[i], flag), is, kind->fields[i].help);
    if (kind->exactly_one) {
        const size_t n = given_of(kind, values, kind->exactly_one);
        say_fields(kind, kind->exactly_one, said, sizeof said);
        if (n != 1)
            return refuse(ST_BAD_INPUT, why, "", n == 0 ? "%s needs one of %s" : "%s takes only one of %s", is, said);
    }
    if (kind->at_least_one && given_of(kind, values, kind->at_least_one) == 0) {
        say_fields(kind, kind->at_least_one, said, sizeof said);
        return refuse(ST_BAD_INPUT, why, "", "%s says nothing; give at least one of %s", is, said);
    }
    return ST_OK;
}

/* Values that did not come through fact_value_read() are held to the same limits. */
static enum status check_value(const struct fact_field *f, const struct fact_value *v, struct message *why)
{
    switch (f->type) {
    case FACT_REAL:
        if (!(v->real >= f->low && v->real <= f->high))
            return refuse(ST_BAD_INPUT, why, f->name, "%s: %.10g is out of range; give %.10g to %.10g %s", f->name,
                          v->real, f->low, f->high, quantity_si[f->of]);
        return ST_OK;
    case FACT_WHOLE:
        if ((double)v->whole < f->low || (double)v->whole > f->high)
            return refuse(ST_BAD_INPUT, why, f->name, "%s: %lld is out of range; give %.10g to %.10g", f->name,
                          (long long)v->whole, f->low, f->high);
        return ST_OK;
    case FACT_FLAG:
        if (v->whole != 0 && v->whole != 1)
            return refuse(ST_BAD_INPUT, why, f->name, "%s: give yes or no", f->name);
        return ST_OK;
    case FACT_DAY: return words_day_sane(f, v->whole, why);
    case FACT_MOMENT: return words_moment_sane(f, v->whole, why);
    case FACT_CHOICE:
        if (!v->text || !word_in(f->choices, v->text, strlen(v->text)))
            return refuse(ST_BAD_INPUT, why, f->name, "%s: give one of %s", f->name, f->choices);
        return ST_OK;
    case FACT_TEXT:
    case FACT_SET:
    case FACT_REF:
        if (!v->text || strlen(v->text) > FACT_TEXT_BYTES)
            return refuse(ST_BAD_INPUT, why, f->name, "%s: too long; %d bytes at most", f->name, FACT_TEXT_BYTES);
        return ST_OK;
    }
    return ST_OK;
}

/* What people call a thing by stands in lists, sentences and file names: one line, and no mark that turns its direction.
 */
static enum status check_name(const struct fact_field *f, const char *name, struct message *why)
{
    char flag[40];

    if (words_one_line(name))
        return ST_OK;
    return refuse(ST_BAD_INPUT, why, f->name,
                  "%s: it holds a line break, a tab or a mark that turns the direction of writing; give one plain line",
                  fact_flag_name(f, flag));
}

static enum status check_names(const struct fact_kind *kind, const struct fact_value values[], struct message *why)
{
    const char *const names[] = { kind->called, kind->also_called };
    enum status st = ST_OK;

    for (size_t i = 0; i < COUNT(names) && st == ST_OK; i++) {
        const size_t f = names[i] ? field_of(kind, names[i]) : FACT_NO_FIELD;
        if (f != FACT_NO_FIELD && values[f].given && kind->fields[f].type == FACT_TEXT)
            st = check_name(&kind->fields[f], values[f].text, why);
    }
    return st;
}

static enum status check_order(const struct fact_kind *kind, const struct fact_value values[], struct message *why)
{
    char flag[40], other[40];

    if (!kind->when || !kind->until)
        return ST_OK;
    const size_t from = field_of(kind, kind->when), to = field_of(kind, kind->until);
    if (values[from].given && values[to].given && values[to].whole < values[from].whole)
        return refuse(ST_BAD_INPUT, why, kind->until, "%s lies before %s; put the two the right way round",
                      fact_flag_name(&kind->fields[to], flag), fact_flag_name(&kind->fields[from], other));
    return ST_OK;
}

enum status fact_check(const struct fact_kind *kind, struct fact_value values[], struct arena *mem, struct message *why)
{
    enum status st = fill_defaults(kind, values, mem, why);

    for (size_t i = 0; i < kind->n_fields && st == ST_OK; i++)
        if (values[i].given)
            st = check_value(&kind->fields[i], &values[i], why);
    if (st == ST_OK)
        st = check_names(kind, values, why);
    if (st == ST_OK)
        st = check_given(kind, values, why);
    if (st == ST_OK)
        st = fact_check_keys(kind, values, why);
    return st == ST_OK ? check_order(kind, values, why) : st;
}

/* ---- help ---- */

static const char *const type_word[] = {
    [FACT_TEXT] = "text",          [FACT_CHOICE] = "one of", [FACT_SET] = "some of",          [FACT_REAL] = "number",
    [FACT_WHOLE] = "whole number", [FACT_DAY] = "date",      [FACT_MOMENT] = "date and time", [FACT_FLAG] = "yes or no",
    [FACT_REF] = "name",
};
_Static_assert(COUNT(type_word) == FACT_REF + 1, "one word for each type");

static void help_field(const struct fact_field *f, struct text *out)
{
    char flag[40], units[64];

    text_print(out, "  %-18s %s", fact_flag_name(f, flag), f->help);
    text_print(out, " [%s", type_word[f->type]);
    if (f->choices)
        text_print(out, " %s", f->choices);
    if (f->refers_to)
        text_print(out, " of a %s", f->refers_to);
    if (f->type == FACT_REAL && quantity_si[f->of][0]) {
        quantity_units(f->of, units, sizeof units);
        text_print(out, ", %s: %s", quantity_name[f->of], units);
    } else if (f->type == FACT_REAL && f->of == Q_FRACTION) {
        text_add(out, ", 0..1 or with %");
    }
    if (f->otherwise)
        text_print(out, "; else %s", f->otherwise);
    text_add(out, f->how & FACT_REQUIRED ? "; needed]\n" : "]\n");
}

void fact_help(const struct fact_kind *kind, struct text *out)
{
    for (size_t k = 0; fact_kinds[k]; k++) {
        if (kind && fact_kinds[k] != kind)
            continue;
        text_print(out, "%s: %s\n", fact_kinds[k]->name, fact_kinds[k]->help);
        for (size_t i = 0; i < fact_kinds[k]->n_fields; i++)
            help_field(&fact_kinds[k]->fields[i], out);
    }
}
