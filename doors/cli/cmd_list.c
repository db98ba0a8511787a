/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Looking at what is recorded of one kind; and finding a record by its name. */
#include <string.h>

#include "core/base/civil.h"
#include "desk/records.h"
#include "doors/cli/commands.h"

const char *full_moment(int64_t utc_s, const struct zone *zone, char out[static 32])
{
    const struct civil c = when_local(zone, utc_s);
    (void)snprintf(out, 32, "%04d-%02d-%02d %02d:%02d", c.year, c.month, c.day, c.hour, c.minute);
    return out;
}

enum status uid_of_name(const struct asked *q, const char *field, const char *word, const char **uid,
                        struct message *why)
{
    return records_uid_of(q->farm, field, word, q->mem, uid, why);
}

/* ---- list
 * ------------------------------------------------------------------------------------------------------------- */

enum { KIND, LIST_KNOWN_TO };
static const struct param list_params[] = {
    [KIND] = { "KIND", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED | PARAM_WORD,
               "sow, service, hut ...; leenest record --help lists them" },
    [LIST_KNOWN_TO] = { "known-to", P_WHOLE, Q_NUMBER, 1, 9e15, NULL, NULL, 0,
                        "as it was known at this change number" },
};

static enum status list_json(struct cli *cli, const struct asked *q, const struct fact_kind *kind, size_t n,
                             const struct fact facts[], struct message *why)
{
    struct answer *root = answer_new(q->mem), *rows = answer_list(root, "facts");

    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_text(row, "uid", facts[i].uid);
        answer_whole(row, "number", facts[i].number);
        for (size_t f = 0; f < kind->n_fields; f++)
            if (facts[i].value[f].given)
                record_value(row, &kind->fields[f], &facts[i].value[f]);
    }
    return show_rows(cli, root, "facts", why);
}

static void list_one(struct cli *cli, const struct asked *q, const struct fact *fact, const struct fact_speech *speech)
{
    const struct fact_kind *kind = fact->kind;
    const struct show_how how = command_how(cli, q);
    struct text line;

    text_open_part(&line, &cli->out);
    text_add(&line, farm_called(q->farm, fact->uid, q->mem));
    for (size_t f = 0; f < kind->n_fields; f++) {
        char flag[40];
        const struct fact_value *v = &fact->value[f];
        if (!v->given || (kind->called && !kind->single && strcmp(kind->called, kind->fields[f].name) == 0))
            continue; /* its name stands in front */
        const char *shown = kind->fields[f].type == FACT_REF ? farm_called(q->farm, v->text, q->mem)
                                                             : fact_value_show(&kind->fields[f], v, speech, q->mem);
        text_print(&line, "; %s %s", fact_flag_name(&kind->fields[f], flag), shown ? shown : "");
    }
    text_print(&line, "; uid %s", fact->uid);
    show_fold(&cli->out, &how, "", 4, text_get(&line));
    text_close(&line);
}

static enum status list(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct fact_kind *kind = keep_kind(given_text(q, KIND));
    const int64_t known_to = given_is(q, LIST_KNOWN_TO) ? (int64_t)given_real(q, LIST_KNOWN_TO) : 0;
    struct fact_speech speech;
    struct fact *facts = NULL;
    size_t n = 0;
    int64_t newest = 0;

    if (!kind)
        return unknown_kind(given_text(q, KIND), why);
    enum status st = farm_number(q->farm, &newest, why);
    if (st == ST_OK && known_to > newest)
        st = refuse(ST_BAD_INPUT, why, "known-to", "--known-to: the newest change has the number %lld",
                    (long long)newest);
    if (st == ST_OK && cli->csv)
        return farm_csv_write(q->farm, kind, known_to, &cli->out, why);
    if (st == ST_OK)
        st = farm_speech(q->farm, &speech, why);
    if (st == ST_OK)
        st = farm_facts(q->farm, kind, known_to, q->mem, &facts, &n, why);
    if (st == ST_OK && cli->json)
        return list_json(cli, q, kind, n, facts, why);
    for (size_t i = 0; i < n && st == ST_OK; i++)
        list_one(cli, q, &facts[i], &speech);
    if (st == ST_OK && n == 0)
        text_print(&cli->out, "Nothing recorded of this kind.\n");
    return st;
}

const struct command command_list = { .name = "list",
                                      .help = "List what is recorded of one kind",
                                      .params = list_params,
                                      .n_params = COUNT(list_params),
                                      .csv = true,
                                      .json = true,
                                      .run = list };
