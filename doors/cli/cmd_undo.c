/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Looking at what is recorded and taking it back: list, undo, redo, void, history. */
#include "doors/cli/commands.h"
#include "core/base/civil.h"

static const struct show_how plain = { .width = 100 };

/* ---- list ------------------------------------------------------------------------------------------------------------- */

enum { KIND, KNOWN_TO };
static const struct param list_params[] = {
    [KIND] = { "KIND", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED | PARAM_WORD, "kind of fact" },
    [KNOWN_TO] = { "known-to", P_WHOLE, Q_NUMBER, 0, 9e15, NULL, NULL, 0, "as it was known at this change number" },
};

static enum status list(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct fact_kind *kind = keep_kind(given_text(q, KIND));
    const int64_t known_to = given_is(q, KNOWN_TO) ? (int64_t)given_real(q, KNOWN_TO) : 0;
    struct fact_speech speech;
    struct fact *facts = NULL;
    size_t n = 0;

    if (!kind)
        return refuse(ST_BAD_INPUT, why, "kind", "unknown kind \"%.40s\"; leenest record --help lists them", given_text(q, KIND));
    if (cli->csv)
        return farm_csv_write(q->farm, kind, known_to, &cli->out, why);
    enum status st = farm_speech(q->farm, &speech, why);
    if (st == ST_OK)
        st = farm_facts(q->farm, kind, known_to, q->mem, &facts, &n, why);
    if (st == ST_OK && cli->json) {
        struct answer *root = answer_new(q->mem), *rows = answer_list(root, "facts");
        for (size_t i = 0; i < n; i++) {
            struct answer *row = answer_item(rows);
            answer_text(row, "uid", facts[i].uid);
            answer_whole(row, "number", facts[i].number);
            for (size_t f = 0; f < kind->n_fields; f++)
                if (facts[i].value[f].given)
                    answer_text(row, kind->fields[f].name, fact_value_text(&kind->fields[f], &facts[i].value[f], q->mem));
        }
        return root ? show_json(root, &cli->out, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        struct text line;
        text_open(&line, 1 << 16);
        text_print(&line, "%s (%s)", farm_called(q->farm, facts[i].uid, q->mem), facts[i].uid);
        for (size_t f = 0; f < kind->n_fields; f++) {
            char flag[40];
            const struct fact_value *v = &facts[i].value[f];
            if (!v->given)
                continue;
            const char *shown = kind->fields[f].type == FACT_REF ? farm_called(q->farm, v->text, q->mem)
                                                                 : fact_value_show(&kind->fields[f], v, &speech, q->mem);
            text_print(&line, "; %s %s", fact_flag_name(&kind->fields[f], flag), shown ? shown : "");
        }
        show_fold(&cli->out, &plain, "", 4, text_get(&line));
        text_close(&line);
    }
    if (st == ST_OK && n == 0)
        text_print(&cli->out, "Nothing recorded of this kind.\n");
    return st;
}

const struct command command_list = { .name = "list", .help = "List what is recorded of one kind", .params = list_params,
                                      .n_params = COUNT(list_params), .run = list };

/* ---- undo, redo, void ---------------------------------------------------------------------------------------------------- */

enum { WHAT, TRY, WHO };
static const struct param undo_params[] = {
    [WHAT] = { "WHAT", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD, "uid of a fact or of a batch; the newest change unless given" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "say what would be done, and do nothing" },
    WHO_PARAMS,
};
static const struct param void_params[] = {
    [WHAT] = { "UID", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED, "uid of the fact" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "say what would be done, and do nothing" },
    WHO_PARAMS,
};

static void tell_undo(struct cli *cli, const struct asked *q, const struct farm_undo *u)
{
    text_print(&cli->out, "%s%zu %s", given_flag(q, TRY) ? "Would change " : "Changed ", u->n_changes, u->n_changes == 1 ? "fact" : "facts");
    if (u->n_dependents)
        text_print(&cli->out, ", %zu of them because they rested on it", u->n_dependents);
    text_add(&cli->out, ":\n");
    for (size_t i = 0; i < u->n_changes; i++)
        text_print(&cli->out, "  %s: %s\n", farm_change_name[u->changes[i].what], u->changes[i].called);
}

static enum status undo(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_undo u = { .n_changes = 0 };
    const struct farm_meta meta = meta_from(q, WHO);
    const enum status st = farm_undo(q->farm, given_text(q, WHAT), given_flag(q, TRY), &meta, q->mem, &u, why);
    if (st == ST_OK)
        tell_undo(cli, q, &u);
    return st;
}

static enum status redo(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_undo u = { .n_changes = 0 };
    const struct farm_meta meta = meta_from(q, WHO);
    const enum status st = farm_redo(q->farm, given_text(q, WHAT), given_flag(q, TRY), &meta, q->mem, &u, why);
    if (st == ST_OK)
        tell_undo(cli, q, &u);
    return st;
}

static enum status void_one(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_undo u = { .n_changes = 0 };
    const struct farm_meta meta = meta_from(q, WHO);
    const enum status st = farm_void(q->farm, given_text(q, WHAT), given_flag(q, TRY), &meta, q->mem, &u, why);
    if (st == ST_OK)
        tell_undo(cli, q, &u);
    return st;
}

const struct command command_undo = { .name = "undo", .help = "Take back the newest change, or one named; what rests on it goes with it",
                                      .params = undo_params, .n_params = COUNT(undo_params), .run = undo };
const struct command command_redo = { .name = "redo", .help = "Take the newest undo back", .params = undo_params,
                                      .n_params = COUNT(undo_params), .run = redo };
const struct command command_void = { .name = "void", .help = "Take one fact out of the record; the journal keeps it",
                                      .params = void_params, .n_params = COUNT(void_params), .run = void_one };

/* ---- history ----------------------------------------------------------------------------------------------------------------- */

enum { OF, MOST };
static const struct param history_params[] = {
    [OF] = { "UID", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD, "of one fact alone" },
    [MOST] = { "most", P_WHOLE, Q_NUMBER, 1, 100000, "20", NULL, 0, "how many" },
};

static enum status history(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_change *changes = NULL;
    size_t n = 0;
    const struct show_how how = { .width = cli->width ? cli->width : 100, .zone = q->zone };
    const enum status st = farm_history(q->farm, given_text(q, OF), 0, (size_t)given_real(q, MOST), q->mem, &changes, &n, why);

    if (st != ST_OK)
        return st;
    if (cli->json) {
        struct answer *root = answer_new(q->mem), *rows = answer_list(root, "changes");
        for (size_t i = 0; i < n; i++) {
            struct answer *row = answer_item(rows);
            answer_whole(row, "number", changes[i].number);
            answer_moment(row, "at", changes[i].at_utc_s);
            answer_text(row, "what", farm_change_name[changes[i].what]);
            answer_text(row, "called", changes[i].called);
            answer_text(row, "kind", changes[i].kind);
            answer_text(row, "uid", changes[i].uid);
            answer_text(row, "batch", changes[i].batch);
            answer_text(row, "who", changes[i].who);
            answer_text(row, "device", changes[i].device);
            answer_text(row, "before", changes[i].before);
            answer_text(row, "after", changes[i].after);
        }
        return root ? show_json(root, &cli->out, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");
    }
    for (size_t i = 0; i < n; i++) {
        char when[32];
        text_print(&cli->out, "%6lld  %-18s %-9s %s%s%s%s\n", (long long)changes[i].number, show_moment(changes[i].at_utc_s, &how, when),
                   farm_change_name[changes[i].what], changes[i].called, *changes[i].who ? ", by " : "", changes[i].who,
                   *changes[i].undoes ? " (undo)" : "");
    }
    return ST_OK;
}

const struct command command_history = { .name = "history", .help = "What was changed, when and by whom, newest first",
                                         .params = history_params, .n_params = COUNT(history_params), .run = history };
