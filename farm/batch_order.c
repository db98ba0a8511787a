/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * In which order facts that come together are tried: a kind before the kinds that refer to it, and within a kind a
 * parent before its young, so that a pedigree whose rows stand anyhow goes in at one pass. The order is a hint: what
 * a name means is found when the fact is recorded.
 */
#include <stdlib.h>
#include <strings.h>

#include "farm/own.h"

struct called { /* a name under which an item of the batch may be meant */
    const struct fact_kind *kind;
    const char *name;
    size_t item;
};

struct order {
    const struct farm_item *item;
    const struct called *called; /* by name */
    size_t n_called;
    bool *placed;
    size_t *out, n_out;
};

static int by_name(const void *a, const void *b)
{
    const struct called *x = a, *y = b;
    const int c = strcasecmp(x->name, y->name);

    return c ? c : (x->item > y->item) - (x->item < y->item);
}

static void call(struct called *list, size_t *n, const struct farm_item *item, size_t i, const char *name)
{
    if (name && *name)
        list[(*n)++] = (struct called){ item->kind, name, i };
}

/* The item of the batch that this reference seems to mean and that has no place yet; n: none. */
static size_t meant(const struct order *o, size_t n, size_t i, const struct fact_field *field,
                    const struct fact_value *value)
{
    const struct called *list = o->called;
    size_t low = 0, high = o->n_called;

    if (field->type != FACT_REF || !value->given || !value->text)
        return n;
    const struct fact_kind *kind = fact_kind_find(field->refers_to);
    while (low < high) {
        const size_t middle = (low + high) / 2;
        if (strcasecmp(list[middle].name, value->text) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    for (; low < o->n_called && strcasecmp(list[low].name, value->text) == 0; low++)
        if (list[low].kind == kind && list[low].item != i && !o->placed[list[low].item])
            return list[low].item;
    return n;
}

/* Before item `first` everything of the batch that it rests on; by a stack of our own, since a line may be long. An
 * item counts as placed when it is reached: a ring of references comes to an end, and is refused when it is
 * recorded. */
static void place(struct order *o, size_t n, size_t first, size_t stack[], size_t at_field[])
{
    size_t depth = 1;

    stack[0] = first;
    at_field[0] = 0;
    o->placed[first] = true;
    while (depth > 0) {
        const size_t i = stack[depth - 1];
        const struct fact_kind *kind = o->item[i].kind;
        size_t next = n;
        for (size_t *f = &at_field[depth - 1]; *f < kind->n_fields && next == n; (*f)++)
            next = meant(o, n, i, &kind->fields[*f], &o->item[i].values[*f]);
        if (next == n) {
            o->out[o->n_out++] = i;
            depth--;
        } else {
            o->placed[next] = true;
            stack[depth] = next;
            at_field[depth++] = 0;
        }
    }
}

size_t *farm_batch_order(size_t n, const struct farm_item item[], const bool done[], struct arena *mem)
{
    struct called *list = ARENA_NEW(mem, struct called, 3 * n + 1);
    size_t *out = ARENA_NEW(mem, size_t, n + 1), *stack = ARENA_NEW(mem, size_t, 2 * n + 1);
    bool *placed = ARENA_NEW(mem, bool, n + 1);
    size_t n_called = 0;

    if (!list || !out || !stack || !placed)
        return NULL;
    for (size_t i = 0; i < n; i++) {
        const struct fact_kind *kind = item[i].kind;
        placed[i] = done[i];
        if (done[i])
            continue;
        if (kind->called)
            call(list, &n_called, &item[i], i, fact_text(kind, item[i].values, kind->called));
        if (fact_field_find(kind, "tag") != FACT_NO_FIELD)
            call(list, &n_called, &item[i], i, fact_text(kind, item[i].values, "tag"));
        call(list, &n_called, &item[i], i, item[i].meta.uid);
    }
    qsort(list, n_called, sizeof *list, by_name);
    struct order o = { item, list, n_called, placed, out, 0 };
    for (size_t k = 0; fact_kinds[k]; k++)
        for (size_t i = 0; i < n; i++)
            if (!placed[i] && item[i].kind == fact_kinds[k])
                place(&o, n, i, stack, stack + n);
    while (o.n_out < n)
        out[o.n_out++] = SIZE_MAX;
    return out;
}
