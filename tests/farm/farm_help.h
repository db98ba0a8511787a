/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * For the tests of the farm file: a scratch folder, facts written as pairs of texts.
 */
#ifndef TESTS_FARM_HELP_H
#define TESTS_FARM_HELP_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "farm/exchange.h"
#include "farm/farm.h"
#include "farm/keep.h"

struct scratch {
    char folder[64], path[128];
    struct arena mem;
    struct farm *farm;
    struct message why;
    struct farm_outcome outcome;
    const char *replaces;    /* for the next record, then forgotten */
    const char *uid, *batch; /* likewise */
    int64_t recorded_utc_s;
};

static inline int64_t utc(int year, int month, int day, int hour, int minute)
{
    const struct civil c = { year, month, day, hour, minute, 0 };
    return civil_seconds(&c);
}

static inline void scratch_folder(struct scratch *s)
{
    memset(s, 0, sizeof *s);
    (void)snprintf(s->folder, sizeof s->folder, "/tmp/leenest-farm-XXXXXX");
    if (!mkdtemp(s->folder))
        fail_msg("no scratch folder");
    (void)snprintf(s->path, sizeof s->path, "%s/test.farm", s->folder);
    arena_open(&s->mem, (size_t)1 << 30);
    s->recorded_utc_s = utc(2027, 6, 1, 12, 0);
}

static inline void scratch_open(struct scratch *s)
{
    scratch_folder(s);
    if (farm_create(s->path, NULL, &s->farm, &s->why) != ST_OK)
        fail_msg("create: %s", s->why.text);
}

static inline void scratch_close(struct scratch *s)
{
    char command[128];

    farm_close(s->farm);
    s->farm = NULL;
    arena_close(&s->mem);
    (void)snprintf(command, sizeof command, "rm -rf '%s'", s->folder);
    if (system(command) != 0)
        fail_msg("%s is left over", s->folder);
}

static inline enum status read_pairs(struct scratch *s, const struct fact_kind *kind, struct fact_value *values,
                                     va_list args)
{
    struct fact_speech speech = { .zone = NULL };

    if (s->farm && farm_speech(s->farm, &speech, &s->why) != ST_OK)
        return ST_IO;
    for (const char *name; (name = va_arg(args, const char *));) {
        const char *text = va_arg(args, const char *);
        const size_t i = fact_field_find(kind, name);
        if (i == FACT_NO_FIELD)
            fail_msg("a %s has no %s", kind->name, name);
        const enum status st = fact_value_read(&kind->fields[i], name, text, &speech, &s->mem, &values[i], &s->why);
        if (st != ST_OK)
            return st;
    }
    return ST_OK;
}

/* record_it(s, "animal", "name", "Bramble", "is", "sow", NULL) */
static inline enum status record_it(struct scratch *s, const char *kind_name, ...)
{
    const struct fact_kind *kind = fact_kind_find(kind_name);
    va_list args;

    if (!kind)
        fail_msg("no kind %s", kind_name);
    struct fact_value *values = ARENA_NEW(&s->mem, struct fact_value, kind->n_fields);
    va_start(args, kind_name);
    enum status st = read_pairs(s, kind, values, args);
    va_end(args);
    const struct farm_meta meta = { .uid = s->uid,
                                    .batch = s->batch,
                                    .who = "Ada",
                                    .device = "laptop",
                                    .recorded_utc_s = s->recorded_utc_s,
                                    .replaces = s->replaces };
    s->uid = s->batch = s->replaces = NULL;
    s->outcome = (struct farm_outcome){ .already = false };
    s->why = st == ST_OK ? (struct message){ "", "" } : s->why;
    return st == ST_OK ? farm_record(s->farm, kind, values, &meta, &s->mem, &s->outcome, &s->why) : st;
}

#define RECORDED(s, ...)                                                                                               \
    do {                                                                                                               \
        if (record_it((s), __VA_ARGS__) != ST_OK)                                                                      \
            fail_msg("line %d: refused: %s", __LINE__, (s)->why.text);                                                 \
    } while (0)

/* Refused with this status, the sentence holding these words. */
#define REFUSED(s, wanted, words, ...)                                                                                 \
    do {                                                                                                               \
        const enum status got_ = record_it((s), __VA_ARGS__);                                                          \
        if (got_ != (wanted) || !strstr((s)->why.text, (words)))                                                       \
            fail_msg("line %d: status %d, sentence \"%s\"", __LINE__, (int)got_, (s)->why.text);                       \
    } while (0)

/* Kept, with a flag of this key. */
#define FLAGGED(s, wanted, ...)                                                                                        \
    do {                                                                                                               \
        bool found_ = false;                                                                                           \
        RECORDED((s), __VA_ARGS__);                                                                                    \
        for (size_t i_ = 0; i_ < (s)->outcome.n_flags; i_++)                                                           \
            found_ = found_ || strcmp((s)->outcome.flags[i_].key, (wanted)) == 0;                                      \
        if (!found_)                                                                                                   \
            fail_msg("line %d: no flag %s among %zu", __LINE__, (wanted), (s)->outcome.n_flags);                       \
    } while (0)

static inline const char *keep_uid(struct scratch *s)
{
    return arena_text(&s->mem, s->outcome.uid);
}

static inline size_t count_facts(struct scratch *s, const char *kind, int64_t known_to)
{
    struct fact *facts = NULL;
    size_t n = 0;

    if (farm_facts(s->farm, fact_kind_find(kind), known_to, &s->mem, &facts, &n, &s->why) != ST_OK)
        fail_msg("%s", s->why.text);
    return n;
}

/* A farm by the Mississippi that never was. */
static inline void some_farm(struct scratch *s)
{
    RECORDED(s, "farm", "name", "Withy Bottom", "lat_deg", "44.9", "lon_deg", "-93.3", "zone", "America/Chicago", NULL);
    RECORDED(s, "animal", "name", "Bramble", "is", "sow", "born", "2022-03-01", "tag", "12", NULL);
    RECORDED(s, "animal", "name", "Sedge", "is", "gilt", "born", "2025-01-10", NULL);
    RECORDED(s, "animal", "name", "Rusty", "is", "boar", "born", "2021-05-05", NULL);
    RECORDED(s, "animal", "name", "Alder", "is", "boar", "born", "2022-05-05", NULL);
    RECORDED(s, "paddock", "name", "Long Field", NULL);
    RECORDED(s, "paddock", "name", "Orchard", NULL);
    RECORDED(s, "shelter", "name", "Hut 1", NULL);
    RECORDED(s, "group", "name", "dry sows", NULL);
}

#endif
