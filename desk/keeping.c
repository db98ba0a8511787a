/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/keeping.h"

#include <string.h>

#include "core/base/civil.h"

const struct fact_kind *keep_kind(const char *word)
{
    if (strcmp(word, "sow") == 0 || strcmp(word, "gilt") == 0 || strcmp(word, "boar") == 0)
        return fact_kind_find("animal");
    if (strcmp(word, "hut") == 0)
        return fact_kind_find("shelter");
    return fact_kind_find(word);
}

/* What a word like `sow` says by itself. */
static const char *said_by_word(const char *word, const char **field)
{
    *field = NULL;
    if (strcmp(word, "sow") == 0 || strcmp(word, "gilt") == 0 || strcmp(word, "boar") == 0 ||
        strcmp(word, "hut") == 0) {
        *field = "is";
        return word;
    }
    return NULL;
}

static enum status unknown_field(const struct fact_kind *kind, const char *field, struct message *why)
{
    char list[200] = "", flag[40];
    size_t used = 0;

    for (size_t i = 0; i < kind->n_fields && used < sizeof list - 42; i++) {
        const int n =
            snprintf(list + used, sizeof list - used, "%s%s", used ? ", " : "", fact_flag_name(&kind->fields[i], flag));
        used += n > 0 ? (size_t)n : 0;
    }
    return refuse(ST_BAD_INPUT, why, field, "unknown flag --%.40s for record %s; it has %s", field, kind->name, list);
}

bool keep_now_will_do(const struct fact_kind *kind, size_t field)
{
    return kind->when && strcmp(kind->fields[field].name, kind->when) == 0 &&
           (kind->fields[field].how & FACT_REQUIRED) && kind->fields[field].type == FACT_MOMENT &&
           strcmp(kind->name, "service") != 0 && strcmp(kind->name, "boar_run") != 0 && strcmp(kind->name, "heat") != 0;
}

enum { MOST_FACTS = 200 };

static enum status read_fields(const struct fact_kind *kind, size_t n_said, const struct said said[],
                               const struct fact_speech *speech, struct arena *mem, struct fact_value *values,
                               size_t *each, size_t *n_each, struct message *why)
{
    enum status st = ST_OK;

    *each = FACT_NO_FIELD;
    *n_each = 0;
    for (size_t i = 0; i < n_said && st == ST_OK; i++) {
        const size_t f = fact_field_find(kind, said[i].field);
        if (f == FACT_NO_FIELD)
            return unknown_field(kind, said[i].field, why);
        if (values[f].given && (kind->fields[f].how & FACT_EACH)) {
            if (*each != FACT_NO_FIELD && *each != f)
                return refuse(ST_BAD_INPUT, why, said[i].field, "name several of one thing only: --%s or --%s",
                              said[i].field, kind->fields[*each].name);
            *each = f;
            (*n_each)++;
            continue; /* read when its own fact is made */
        }
        if (values[f].given)
            return refuse(ST_BAD_INPUT, why, said[i].field, "--%s is given twice; once is enough", said[i].field);
        st = fact_value_read(&kind->fields[f], said[i].field, said[i].text, speech, mem, &values[f], why);
        if (st == ST_OK && !values[f].given) /* a slip here, unlike an empty cell of a table */
            st = refuse(ST_BAD_INPUT, why, said[i].field, "%s: it is empty; give a value, or leave it out",
                        said[i].field);
    }
    return st;
}

enum status keep_record(struct farm *farm, const char *word, size_t n_said, const struct said said[],
                        const struct farm_meta *meta, int64_t now_utc_s, struct arena *mem,
                        struct farm_outcome **outcomes, size_t *n, struct message *why)
{
    const struct fact_kind *kind = keep_kind(word);
    struct fact_speech speech;
    const char *by_word_field = NULL, *by_word = said_by_word(word, &by_word_field);
    size_t each = FACT_NO_FIELD, n_each = 0;

    if (!kind)
        return refuse(ST_BAD_INPUT, why, "kind", "unknown kind \"%.40s\"; leenest record --help lists them", word);
    struct fact_value *values = ARENA_NEW(mem, struct fact_value, kind->n_fields);
    if (!values)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = farm_speech(farm, &speech, why);
    if (st == ST_OK)
        st = read_fields(kind, n_said, said, &speech, mem, values, &each, &n_each, why);
    if (st != ST_OK)
        return st;
    if (by_word) {
        struct fact_value *is = &values[fact_field_find(kind, by_word_field)];
        if (!is->given)
            *is = (struct fact_value){ .given = true, .text = by_word };
    }
    for (size_t f = 0; f < kind->n_fields; f++)
        if (!values[f].given && keep_now_will_do(kind, f))
            values[f] = (struct fact_value){ .given = true, .whole = now_utc_s };
    if (n_each > 0 && (meta->uid || meta->replaces))
        return refuse(ST_BAD_INPUT, why, meta->uid ? "uid" : "replaces",
                      "it belongs to one record; name one %s at a time with it", kind->fields[each].name);
    if (n_each >= MOST_FACTS)
        return refuse(ST_BAD_INPUT, why, "", "more than %d at once; record them in parts", (int)MOST_FACTS);

    struct farm_item *item = ARENA_NEW(mem, struct farm_item, n_each + 1);
    if (!item)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    size_t count = 0;
    item[count++] = (struct farm_item){ .kind = kind, .values = values, .meta = *meta };
    for (size_t i = 0, first = 1; i < n_said && n_each > 0 && st == ST_OK; i++) {
        if (fact_field_find(kind, said[i].field) != each)
            continue;
        if (first) {
            first = 0;
            continue;
        }
        struct fact_value *more = ARENA_NEW(mem, struct fact_value, kind->n_fields);
        if (!more)
            return refuse(ST_NO_MEMORY, why, "", "out of memory");
        memcpy(more, values, kind->n_fields * sizeof *more);
        more[each] = (struct fact_value){ 0 };
        st = fact_value_read(&kind->fields[each], said[i].field, said[i].text, &speech, mem, &more[each], why);
        item[count] = (struct farm_item){ .kind = kind, .values = more, .meta = *meta };
        item[count++].meta.uid = NULL;
    }
    if (st != ST_OK)
        return st;
    *outcomes = ARENA_NEW(mem, struct farm_outcome, count);
    if (!*outcomes)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    *n = count;
    if (count == 1)
        return farm_record(farm, kind, values, meta, mem, &(*outcomes)[0], why);
    size_t good = 0;
    st = farm_record_batch(farm, FARM_ALL_OR_NOTHING, meta, count, item, mem, &good, why);
    for (size_t i = 0; i < count && st == ST_OK; i++)
        (*outcomes)[i] = item[i].outcome;
    return st;
}
