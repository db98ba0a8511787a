/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a person types -> one value.
 */
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/base/civil.h"
#include "farm/corners.h"
#include "farm/facts.h"
#include "farm/words.h"

/* Text without spaces round it, CR LF as LF. NULL: arena full. */
static char *tidy(const char *text, struct arena *mem)
{
    while (*text == ' ' || *text == '\t' || *text == '\r' || *text == '\n')
        text++;
    size_t n = strlen(text), used = 0;
    while (n > 0 && (text[n - 1] == ' ' || text[n - 1] == '\t' || text[n - 1] == '\r' || text[n - 1] == '\n'))
        n--;
    char *out = arena_bytes(mem, text, n);
    if (!out)
        return NULL;
    for (size_t i = 0; i < n; i++)
        if (text[i] != '\r' || i + 1 >= n || text[i + 1] != '\n')
            out[used++] = text[i];
    out[used] = '\0';
    return out;
}

enum status words_day_sane(const struct fact_field *field, int64_t day, struct message *why)
{
    if (day < civil_days(1900, 1, 1) || day > civil_days(2199, 12, 31))
        return refuse(ST_BAD_INPUT, why, field->name, "%s: that year will not do; give one from 1900 to 2199",
                      field->name);
    return ST_OK;
}

enum status words_moment_sane(const struct fact_field *field, int64_t utc_s, struct message *why)
{
    if (utc_s < civil_days(1900, 1, 1) * DAY_S || utc_s >= civil_days(2200, 1, 1) * DAY_S)
        return refuse(ST_BAD_INPUT, why, field->name, "%s: that year will not do; give one from 1900 to 2199",
                      field->name);
    return ST_OK;
}

int64_t words_local_day(const struct zone *zone, int64_t utc_s)
{
    const int64_t local_s = utc_s + zone_offset_s(zone, utc_s);
    const struct civil c = civil_from_seconds(local_s);

    return civil_days(c.year, c.month, c.day);
}

static enum status read_day(const struct fact_field *f, const char *text, struct fact_value *v, struct message *why)
{
    struct civil_text t;

    if (!civil_read(text, &t) || t.has_time)
        return refuse(ST_BAD_INPUT, why, f->name, "%s: \"%.40s\" is not a date; write it as 2026-01-22", f->name, text);
    v->whole = civil_days(t.at.year, t.at.month, t.at.day);
    return words_day_sane(f, v->whole, why);
}

static enum status read_moment(const struct fact_field *f, const char *text, const struct fact_speech *speech,
                               struct fact_value *v, struct message *why)
{
    struct civil_text t;
    int64_t second;

    if (!civil_read(text, &t))
        return refuse(
            ST_BAD_INPUT, why, f->name,
            "%s: \"%.40s\" is not a date and time; write 2026-01-22, 2026-01-22T15:40 or 2026-01-22T15:40-06:00",
            f->name, text);
    v->day_only = !t.has_time;
    if (!t.has_time)
        t.at.hour = 12;
    const int64_t local_s = civil_seconds(&t.at);
    if (t.has_offset) {
        v->whole = local_s - t.offset_s;
    } else if (speech->clock_comes_first) {
        if (zone_from_local(speech->zone, local_s, &v->whole, &second) == ZONE_NEVER)
            return zone_from_local_text(speech->zone, local_s, f->name, &second, why);
    } else {
        const enum status st = zone_from_local_text(speech->zone, local_s, f->name, &v->whole, why);
        if (st != ST_OK)
            return st;
    }
    return words_moment_sane(f, v->whole, why);
}

static const char *us_unit(const struct fact_field *f)
{
    static const char *const usual[Q_END] = {
        [Q_TEMPERATURE] = "F", [Q_TEMPERATURE_STEP] = "F", [Q_SPEED] = "mph", [Q_RAIN] = "in",
        [Q_MASS] = "lb",       [Q_PRESSURE] = "inHg",
    };

    if (f->of == Q_LENGTH)
        return strstr(f->name, "depth") ? "in" : "ft";
    if (f->of == Q_AREA)
        return f->high > 1e4 ? "acre" : "ft2";
    return usual[f->of] ? usual[f->of] : quantity_si[f->of];
}

const char *fact_unit(const struct fact_field *field, bool us_units)
{
    if (field->type != FACT_REAL)
        return "";
    return us_units ? us_unit(field) : quantity_si[field->of];
}

static enum status read_quantity(const struct fact_field *f, const char *named, const char *text,
                                 const struct fact_speech *speech, struct fact_value *v, struct message *why)
{
    char with_unit[96], flag[40];
    double bare;
    /* "mass_kg" says its unit; "mass" leaves it to the farm */
    const bool unit_in_name = strcmp(named, f->name) == 0 && strlen(fact_flag_name(f, flag)) < strlen(f->name);

    if (speech->us_units && !unit_in_name && read_real(text, &bare)) {
        (void)snprintf(with_unit, sizeof with_unit, "%.64s%s", text, us_unit(f));
        return quantity_read(with_unit, f->of, f->low, f->high, named, &v->real, why);
    }
    return quantity_read(text, f->of, f->low, f->high, named, &v->real, why);
}

static enum status read_whole_number(const struct fact_field *f, const char *text, struct fact_value *v,
                                     struct message *why)
{
    if (!read_whole(text, &v->whole) || (double)v->whole < f->low || (double)v->whole > f->high)
        return refuse(ST_BAD_INPUT, why, f->name, "%s: \"%.40s\" will not do; give a whole number, %.10g to %.10g",
                      f->name, text, f->low, f->high);
    return ST_OK;
}

static enum status read_flag(const struct fact_field *f, const char *text, struct fact_value *v, struct message *why)
{
    static const char *const yes[] = { "yes", "y", "true", "1" }, *const no[] = { "no", "n", "false", "0" };

    for (size_t i = 0; i < COUNT(yes); i++) {
        if (strcasecmp(text, yes[i]) == 0 || strcasecmp(text, no[i]) == 0) {
            v->whole = strcasecmp(text, yes[i]) == 0;
            return ST_OK;
        }
    }
    return refuse(ST_BAD_INPUT, why, f->name, "%s: \"%.40s\" will not do; give yes or no", f->name, text);
}

/* A word as the table writes it: "Milk drops" -> "milk-drops". */
static void plain_word(char *word)
{
    for (; *word; word++) {
        if (*word >= 'A' && *word <= 'Z')
            *word = (char)(*word - 'A' + 'a');
        else if (*word == ' ' || *word == '_')
            *word = '-';
    }
}

static enum status read_choice(const struct fact_field *f, char *text, struct fact_value *v, struct message *why)
{
    char typed[48];

    (void)snprintf(typed, sizeof typed, "%.40s", text);
    plain_word(text);
    if (!word_in(f->choices, text, strlen(text)))
        return refuse(ST_BAD_INPUT, why, f->name, "%s: \"%s\" is none of %s", f->name, typed, f->choices);
    v->text = text;
    return ST_OK;
}

static size_t choice_index(const char *choices, const char *word, size_t n)
{
    size_t i = 0;

    for (const char *c = choices; *c; i++) {
        const size_t length = strcspn(c, "|");
        if (length == n && strncmp(c, word, n) == 0)
            return i;
        c += length + (c[length] == '|');
    }
    return SIZE_MAX;
}

/* The typed words, put in the order of the table: what stands for the same set is the same text. */
static enum status read_set(const struct fact_field *f, char *text, struct arena *mem, struct fact_value *v,
                            struct message *why)
{
    char *out = arena_get(mem, strlen(f->choices) + 2, 1);
    uint64_t typed = 0;
    size_t used = 0, i = 0;

    if (!out)
        return refuse(ST_NO_MEMORY, why, f->name, "%s: too long", f->name);
    for (char *w = text + strspn(text, " ,|;"); *w; w += strspn(w, " ,|;")) {
        size_t n = strcspn(w, ",|;");
        char *after = w + n;
        while (n > 0 && w[n - 1] == ' ')
            n--;
        const char kept = w[n];
        w[n] = '\0';
        plain_word(w);
        const size_t which = choice_index(f->choices, w, n);
        if (which >= 64)
            return refuse(ST_BAD_INPUT, why, f->name, "%s: \"%.40s\" is none of %s", f->name, w, f->choices);
        typed |= UINT64_C(1) << which;
        w[n] = kept;
        w = after;
    }
    for (const char *c = f->choices; *c; i++) {
        const size_t n = strcspn(c, "|");
        if (typed >> i & 1) {
            if (used)
                out[used++] = ',';
            memcpy(out + used, c, n);
            used += n;
        }
        c += n + (c[n] == '|');
    }
    v->text = out;
    v->given = used > 0;
    return ST_OK;
}

static enum status read_words(const struct fact_field *f, char *text, struct fact_value *v, struct message *why)
{
    if (!words_clean(text))
        return refuse(ST_BAD_INPUT, why, f->name, "%s: holds bytes that are not text (UTF-8 is wanted)", f->name);
    if (strlen(text) > FACT_TEXT_BYTES)
        return refuse(ST_BAD_INPUT, why, f->name, "%s: %zu bytes are too long; %d at most", f->name, strlen(text),
                      FACT_TEXT_BYTES);
    v->text = text;
    return ST_OK;
}

static enum status read_places(const struct fact_field *f, const char *text, struct arena *mem, struct fact_value *v,
                               struct message *why)
{
    struct corner *corners = NULL;
    struct message said;
    size_t n = 0;
    const enum status st = corners_read(text, f->how & FACT_OUTLINE, mem, &corners, &n, &said);

    if (st != ST_OK)
        return refuse(st, why, f->name, "%s: %.200s", f->name, said.text);
    v->text = corners_text(corners, n, mem);
    return v->text ? ST_OK : refuse(ST_NO_MEMORY, why, f->name, "%s: too long", f->name);
}

enum status fact_value_read(const struct fact_field *field, const char *named, const char *text,
                            const struct fact_speech *speech, struct arena *mem, struct fact_value *value,
                            struct message *why)
{
    struct fact_value v = { .given = true };
    char *s = tidy(text, mem);
    enum status st = ST_OK;

    if (!s)
        return refuse(ST_NO_MEMORY, why, field->name, "%s: too long", field->name);
    if (!*s) {
        *value = (struct fact_value){ .given = false };
        return ST_OK;
    }
    switch (field->type) {
    case FACT_TEXT:
    case FACT_REF:
        st = read_words(field, s, &v, why);
        if (st == ST_OK && field->how & (FACT_CORNERS | FACT_OUTLINE))
            st = read_places(field, s, mem, &v, why);
        break;
    case FACT_CHOICE: st = read_choice(field, s, &v, why); break;
    case FACT_SET: st = read_set(field, s, mem, &v, why); break;
    case FACT_REAL: st = read_quantity(field, named, s, speech, &v, why); break;
    case FACT_WHOLE: st = read_whole_number(field, s, &v, why); break;
    case FACT_DAY: st = read_day(field, s, &v, why); break;
    case FACT_MOMENT: st = read_moment(field, s, speech, &v, why); break;
    case FACT_FLAG: st = read_flag(field, s, &v, why); break;
    }
    if (st == ST_OK)
        *value = v;
    return st;
}
