/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What can be recorded, as a form needs it; and whom or what a field may name.
 */
#include <stdio.h>
#include <string.h>

#include "desk/farm_words.h"
#include "desk/keeping.h"
#include "desk/labels.h"
#include "desk/records.h"

static const char *const type_name[] = {
    [FACT_TEXT] = "text", [FACT_CHOICE] = "choice", [FACT_SET] = "set",   [FACT_REAL] = "real", [FACT_WHOLE] = "whole",
    [FACT_DAY] = "day",   [FACT_MOMENT] = "moment", [FACT_FLAG] = "flag", [FACT_REF] = "ref",
};
_Static_assert(COUNT(type_name) == FACT_REF + 1, "one word for each type");

static void words_of(struct answer *parent, const char *key, const char *words)
{
    struct answer *list = answer_list(parent, key);

    for (const char *w = words; w && *w;) {
        const size_t n = strcspn(w, "|");
        answer_words(list, arena_bytes(parent->mem, w, n));
        w += n + (w[n] == '|');
    }
}

static void limits_of(struct answer *row, const struct fact_field *f, const char *unit)
{
    const bool number = f->type == FACT_REAL || f->type == FACT_WHOLE;
    const bool as_is = f->type == FACT_WHOLE || !unit[0];

    if (!number) {
        answer_null(row, "low", NULL);
        answer_null(row, "high", NULL);
        return;
    }
    answer_real(row, "low", as_is ? f->low : unit_from_si(f->low, unit, f->of));
    answer_real(row, "high", as_is ? f->high : unit_from_si(f->high, unit, f->of));
}

static void field_of(struct answer *list, const struct fact_kind *kind, size_t i, bool us_units)
{
    const struct fact_field *f = &kind->fields[i];
    struct answer *row = answer_item(list);
    const char *unit = fact_unit(f, us_units);
    char flag[40], label[40];

    answer_text(row, "name", f->name);
    answer_text(row, "flag", arena_text(list->mem, fact_flag_name(f, flag)));
    answer_text(row, "label", arena_text(list->mem, fact_label(kind, f, label)));
    answer_text(row, "type", type_name[f->type]);
    answer_text(row, "unit", unit[0] ? unit : NULL);
    limits_of(row, f, unit);
    answer_flag(row, "required", (f->how & FACT_REQUIRED) && !f->otherwise && !keep_now_will_do(kind, i));
    answer_flag(row, "each", (f->how & FACT_EACH) != 0);
    words_of(row, "choices", f->choices);
    answer_text(row, "refers_to", f->refers_to);
    answer_text(row, "otherwise", keep_now_will_do(kind, i) ? "now" : f->otherwise);
    answer_text(row, "help", f->help);
}

void records_kinds(struct farm *farm, struct answer *answer)
{
    struct answer *kinds = answer_list(answer, "kinds");
    const bool us_units = farm && desk_us_units(farm);

    for (size_t k = 0; fact_kinds[k]; k++) {
        const struct fact_kind *kind = fact_kinds[k];
        struct answer *row = answer_item(kinds);
        answer_text(row, "name", kind->name);
        answer_text(row, "help", kind->help);
        answer_text(row, "when", kind->when);
        answer_text(row, "until", kind->until);
        answer_text(row, "called", kind->called);
        answer_flag(row, "single", kind->single);
        words_of(row, "exactly_one", kind->exactly_one);
        words_of(row, "at_least_one", kind->at_least_one);
        struct answer *fields = answer_list(row, "fields");
        for (size_t i = 0; i < kind->n_fields; i++)
            field_of(fields, kind, i, us_units);
    }
}

/* ---- names ---- */

/* A hut that was placed anew no longer stands where it stood: the newest that holds is the one. */
static bool newest_of_its_hut(const struct fact_kind *kind, size_t n, const struct fact facts[], size_t i)
{
    const char *hut = strcmp(kind->name, "placement") == 0 ? fact_text(kind, facts[i].value, "shelter") : NULL;

    for (size_t k = 0; hut && k < n; k++) {
        const char *other = fact_text(kind, facts[k].value, "shelter");
        if (k != i && other && strcmp(other, hut) == 0 &&
            fact_whole(kind, facts[k].value, "from", 0) > fact_whole(kind, facts[i].value, "from", 0))
            return false;
    }
    return true;
}

static const char *name_of(struct farm *farm, const struct fact *fact, struct arena *mem)
{
    const struct fact_kind *k = fact->kind;
    const char *name = fact_text(k, fact->value, k->called);

    if (!name && k->also_called && fact_given(k, fact->value, k->also_called)) { /* a bed by its hut */
        const char *other = fact_text(k, fact->value, k->also_called);
        name = farm_is_uid(other) ? farm_called(farm, other, mem) : other;
    }
    return name ? name : farm_called(farm, fact->uid, mem);
}

enum status records_names(struct farm *farm, const struct fact_kind *kind, int64_t day, struct answer *answer,
                          struct message *why)
{
    struct answer *names = answer_list(answer, "names");
    struct arena *mem = answer->mem;
    struct fact *facts = NULL;
    size_t n = 0;

    if (!kind->called)
        return refuse(ST_BAD_INPUT, why, "kind", "a %s has no name; it is known by its uid alone", kind->name);
    const bool has_is = fact_field_find(kind, "is") != FACT_NO_FIELD;
    const bool has_gone = fact_field_find(kind, "gone") != FACT_NO_FIELD;
    const bool has_tag = kind->also_called && strcmp(kind->also_called, "tag") == 0;
    enum status st = farm_facts(farm, kind, 0, mem, &facts, &n, why);
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        struct answer *row = answer_item(names);
        bool here = false;
        answer_text(row, "uid", facts[i].uid);
        answer_text(row, "name", name_of(farm, &facts[i], mem));
        answer_text(row, "tag", has_tag ? fact_text(kind, facts[i].value, "tag") : NULL);
        answer_text(row, "is", has_is ? fact_text(kind, facts[i].value, "is") : NULL);
        st = farm_fact_here(farm, &facts[i], day, mem, &here, why);
        here = here && !(has_gone && fact_whole(kind, facts[i].value, "gone", 0) == 1);
        answer_flag(row, "here", here && newest_of_its_hut(kind, n, facts, i));
    }
    return st;
}
