/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/records.h"

#include <string.h>

#include "core/base/fold.h"
#include "desk/labels.h"

void record_value(struct answer *row, const struct fact_field *f, const struct fact_value *v)
{
    switch (f->type) {
    case FACT_REAL: answer_real(row, f->name, v->real); break;
    case FACT_WHOLE: answer_whole(row, f->name, v->whole); break;
    case FACT_DAY: answer_day(row, f->name, v->whole); break;
    case FACT_MOMENT: answer_moment(row, f->name, v->whole); break;
    case FACT_FLAG: answer_flag(row, f->name, v->whole != 0); break;
    case FACT_TEXT:
    case FACT_CHOICE:
    case FACT_SET:
    case FACT_REF: answer_text(row, f->name, v->text); break;
    }
}

/* ---- one fact for people ---- */

static const char *shown(struct farm *farm, const struct fact_field *f, const struct fact_value *v,
                         const struct fact_speech *speech, struct arena *mem)
{
    if (f->type == FACT_REF)
        return farm_called(farm, v->text, mem);
    if (f->type != FACT_CHOICE && f->type != FACT_SET)
        return fact_value_show(f, v, speech, mem);
    char *words = arena_get(mem, 2 * strlen(v->text) + 1, 1), *to = words;
    for (const char *c = v->text; words && *c; c++) { /* "udder-tight,nest" -> "udder tight, nest" */
        *to++ = (char)(*c == '-' ? ' ' : *c);
        if (*c == ',')
            *to++ = ' ';
    }
    return words;
}

struct told { /* a fact with its texts made */
    const struct fact *fact;
    const char *called, **shown; /* by field; NULL: not given */
};

static enum status tell(struct farm *farm, const struct fact *fact, const struct fact_speech *speech, struct arena *mem,
                        struct told *t, struct message *why)
{
    *t = (struct told){ .fact = fact,
                        .called = farm_called(farm, fact->uid, mem),
                        .shown = ARENA_NEW(mem, const char *, fact->kind->n_fields) };
    for (size_t f = 0; t->shown && f < fact->kind->n_fields; f++)
        if (fact->value[f].given)
            t->shown[f] = shown(farm, &fact->kind->fields[f], &fact->value[f], speech, mem);
    return arena_full(mem) ? refuse(ST_NO_MEMORY, why, "", "too many records to show at once; ask for fewer") : ST_OK;
}

static bool tells_of(const struct told *t, const char *search)
{
    const char *const also[] = { t->called, t->fact->who, t->fact->device };

    for (size_t i = 0; i < COUNT(also); i++)
        if (also[i] && fold_holds(also[i], search))
            return true;
    for (size_t f = 0; f < t->fact->kind->n_fields; f++)
        if (t->shown[f] && fold_holds(t->shown[f], search))
            return true;
    return false;
}

static void put_fact(struct answer *row, const struct told *t)
{
    const struct fact *fact = t->fact;
    const struct fact_kind *kind = fact->kind;

    answer_text(row, "uid", fact->uid);
    answer_whole(row, "number", fact->number);
    answer_moment(row, "recorded", fact->recorded_utc_s);
    answer_text(row, "who", fact->who[0] ? fact->who : NULL);
    answer_text(row, "device", fact->device[0] ? fact->device : NULL);
    answer_text(row, "called", t->called);
    struct answer *si = answer_object(row, "fact");
    for (size_t f = 0; f < kind->n_fields; f++)
        if (fact->value[f].given)
            record_value(si, &kind->fields[f], &fact->value[f]);
    struct answer *texts = answer_object(row, "shown");
    for (size_t f = 0; f < kind->n_fields; f++)
        if (t->shown[f])
            answer_text(texts, kind->fields[f].name, t->shown[f]);
}

enum { LIST_BYTES = 64 * 1024 * 1024 };

enum status records_list(struct farm *farm, const struct fact_kind *kind, const char *search, int64_t before,
                         size_t most, struct answer *answer, struct message *why)
{
    struct answer *rows = answer_list(answer, "facts");
    const bool all = !search || !*search;
    struct fact_speech speech;
    struct fact *facts = NULL;
    size_t n = 0, found = 0;
    bool more = false;

    enum status st = farm_speech(farm, &speech, why);
    if (st == ST_OK)
        st = farm_facts(farm, kind, 0, answer->mem, &facts, &n, why);
    for (size_t i = n; i-- > 0 && st == ST_OK && !more;) {
        struct arena look; /* what is not listed leaves nothing behind */
        struct told t;
        if (before > 0 && facts[i].number >= before)
            continue;
        arena_open(&look, LIST_BYTES);
        bool listed = all;
        if (!all)
            st = tell(farm, &facts[i], &speech, &look, &t, why);
        if (!all && st == ST_OK)
            listed = tells_of(&t, search);
        arena_close(&look);
        if (st != ST_OK || !listed)
            continue;
        more = found == most;
        if (!more)
            st = tell(farm, &facts[i], &speech, answer->mem, &t, why);
        if (!more && st == ST_OK)
            put_fact(answer_item(rows), &t);
        found++;
    }
    answer_flag(answer, "more", more);
    return st;
}

enum status records_fact(struct farm *farm, const char *uid, struct answer *answer, struct message *why)
{
    struct fact_speech speech;
    struct fact fact;
    struct told t;

    if (!farm_is_uid(uid))
        return refuse(ST_BAD_INPUT, why, "uid", "\"%.40s\" is not a uid; 32 digits of 0-9 and a-f are wanted", uid);
    enum status st = farm_speech(farm, &speech, why);
    if (st == ST_OK)
        st = farm_fact(farm, uid, 0, answer->mem, &fact, why);
    if (st == ST_OK)
        st = tell(farm, &fact, &speech, answer->mem, &t, why);
    if (st != ST_OK)
        return st;
    put_fact(answer, &t);
    answer_text(answer, "kind", fact.kind->name);
    answer_flag(answer, "live", fact.live);
    return records_history(farm, uid, 0, RECORDS_MOST, answer, why);
}

/* ---- what was changed ---- */

/* What a correction changed, in words: "weight: 198 kg, now 200 kg". NULL: it changed nothing that is shown. */
static const char *difference(const struct told *was, const struct told *is, struct arena *mem)
{
    const struct fact_kind *kind = is->fact->kind;
    const char *text = NULL;

    for (size_t f = 0; f < kind->n_fields; f++) {
        const char *a = was->shown[f], *b = is->shown[f];
        char label[40];
        if ((!a && !b) || (a && b && strcmp(a, b) == 0))
            continue;
        text = arena_print(mem, "%s%s%s: %s, now %s", text ? text : "", text ? "; " : "",
                           fact_label(kind, &kind->fields[f], label), a ? a : "not said", b ? b : "not said");
    }
    return text;
}

/* Of one fact's history: what the change i changed, where it put an older form right. */
static enum status changed(struct farm *farm, const struct farm_change c[], size_t n, size_t i, struct arena *mem,
                           const char **text, struct message *why)
{
    struct fact_speech speech;
    struct fact old, new;
    struct told was, is;
    size_t k = 0;

    *text = NULL;
    while (k < n &&
           !(c[k].what == FARM_VOIDED && strcmp(c[k].batch, c[i].batch) == 0 && strcmp(c[k].uid, c[i].uid) != 0))
        k++;
    if (c[i].what != FARM_RECORDED || k == n)
        return ST_OK;
    enum status st = farm_speech(farm, &speech, why);
    if (st == ST_OK)
        st = farm_fact(farm, c[k].uid, 0, mem, &old, why);
    if (st == ST_OK)
        st = farm_fact(farm, c[i].uid, 0, mem, &new, why);
    if (st == ST_OK)
        st = tell(farm, &old, &speech, mem, &was, why);
    if (st == ST_OK)
        st = tell(farm, &new, &speech, mem, &is, why);
    if (st == ST_OK && old.kind == new.kind)
        *text = difference(&was, &is, mem);
    return st;
}

enum status records_history(struct farm *farm, const char *uid, int64_t before, size_t most, struct answer *answer,
                            struct message *why)
{
    struct farm_change *changes = NULL;
    size_t n = 0;
    enum status st = farm_history(farm, uid, before, most + 1, answer->mem, &changes, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *rows = answer_list(answer, "changes");
    for (size_t i = 0; i < n && i < most && st == ST_OK; i++) {
        const struct farm_change *c = &changes[i];
        const char *text = NULL;
        struct answer *row = answer_item(rows);
        answer_whole(row, "number", c->number);
        answer_moment(row, "at", c->at_utc_s);
        answer_moment(row, "recorded", c->recorded_utc_s);
        answer_text(row, "what", farm_change_name[c->what]);
        answer_text(row, "kind", c->kind);
        answer_text(row, "uid", c->uid);
        answer_text(row, "batch", c->batch);
        answer_text(row, "who", c->who[0] ? c->who : NULL);
        answer_text(row, "device", c->device[0] ? c->device : NULL);
        answer_text(row, "called", c->called);
        answer_text(row, "undoes", c->undoes[0] ? c->undoes : NULL);
        if (uid)
            st = changed(farm, changes, n, i, answer->mem, &text, why);
        answer_text(row, "changed", text);
    }
    answer_flag(answer, "more", n > most);
    return st;
}

void records_undone(struct answer *answer, const struct farm_undo *u)
{
    answer_text(answer, "batch", *u->new_batch ? arena_text(answer->mem, u->new_batch) : NULL);
    struct answer *rows = answer_list(answer, "changes");
    for (size_t i = 0; i < u->n_changes; i++) {
        struct answer *row = answer_item(rows);
        answer_text(row, "what", farm_change_name[u->changes[i].what]);
        answer_text(row, "kind", u->changes[i].kind);
        answer_text(row, "uid", u->changes[i].uid);
        answer_text(row, "called", u->changes[i].called);
    }
    answer_whole(answer, "dependents", (int64_t)u->n_dependents);
}

enum status records_uid_of(struct farm *farm, const char *field, const char *word, struct arena *mem, const char **uid,
                           struct message *why)
{
    char found[FARM_UID], one[FARM_UID] = "";
    struct message inner = { "", "" };
    size_t n = 0;

    if (farm_is_uid(word)) {
        *uid = word;
        return ST_OK;
    }
    for (size_t i = 0; fact_kinds[i]; i++) {
        if (!fact_kinds[i]->called || fact_kinds[i]->single)
            continue;
        const enum status st = farm_resolve(farm, fact_kinds[i], word, INT64_MIN, found, &inner);
        if (st != ST_OK && st != ST_NOT_FOUND)
            return refuse(st, why, field, "%s", inner.text);
        if (st == ST_OK && n++ == 0)
            memcpy(one, found, sizeof one);
    }
    if (n == 0)
        return refuse(ST_NOT_FOUND, why, field,
                      "%s: nothing that stands is called \"%.40s\"; give a name or a uid, leenest list KIND tells both",
                      field, word);
    if (n > 1)
        return refuse(ST_CONFLICT, why, field,
                      "%s: several kinds of thing are called \"%.40s\"; give the uid, leenest list KIND tells it",
                      field, word);
    *uid = arena_text(mem, one);
    return *uid ? ST_OK : refuse(ST_NO_MEMORY, why, field, "out of memory");
}
