/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Taking back what was recorded, and looking back: undo, redo, void, history. */
#include <string.h>

#include "core/base/civil.h"
#include "doors/cli/commands.h"

/* ---- undo, redo, void
 * ---------------------------------------------------------------------------------------------------- */

enum { WHAT, TRY, WHO };
static const struct param undo_params[] = {
    [WHAT] = { "UID", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD,
               "the record (or what was recorded with it) to take back; the newest change unless given" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "say what would be done, and do nothing" },
    WHO_PARAMS,
};
static const struct param redo_params[] = {
    [WHAT] = { "UID", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD,
               "of one undo, as undo --json gives it; the newest undo unless given" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "say what would be done, and do nothing" },
    WHO_PARAMS,
};
static const struct param void_params[] = {
    [WHAT] = { "UID", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
               "the record, as leenest list KIND tells it" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "say what would be done, and do nothing" },
    WHO_PARAMS,
};

static const char *done_to_it(enum farm_change_what what)
{
    switch (what) {
    case FARM_VOIDED: return "taken out";
    case FARM_RESTORED: return "put back";
    case FARM_RECORDED: return "recorded";
    case FARM_SETTLED: return "settled";
    case FARM_WEATHER: return "weather";
    }
    return "";
}

static enum status tell_undo(struct cli *cli, const struct asked *q, const struct farm_undo *u, struct message *why)
{
    if (cli->json || cli->csv) {
        struct answer *root = answer_new(q->mem);
        answer_text(root, "batch", *u->new_batch ? u->new_batch : NULL);
        answer_flag(root, "tried_only", given_flag(q, TRY));
        answer_whole(root, "rested_on_it", (int64_t)u->n_dependents);
        struct answer *rows = answer_list(root, "changes");
        for (size_t i = 0; i < u->n_changes; i++) {
            struct answer *row = answer_item(rows);
            answer_text(row, "what", farm_change_name[u->changes[i].what]);
            answer_text(row, "kind", u->changes[i].kind);
            answer_text(row, "uid", u->changes[i].uid);
            answer_text(row, "called", u->changes[i].called);
        }
        return show_rows(cli, root, "changes", why);
    }
    text_print(&cli->out, "%s%zu %s", given_flag(q, TRY) ? "This would change " : "Changed ", u->n_changes,
               u->n_changes == 1 ? "record" : "records");
    if (u->n_dependents)
        text_print(&cli->out, ", %zu of them because %s on it", u->n_dependents,
                   u->n_dependents == 1 ? "it rests" : "they rest");
    text_add(&cli->out, ":\n");
    for (size_t i = 0; i < u->n_changes; i++)
        text_print(&cli->out, "  %s: %s\n", done_to_it(u->changes[i].what), u->changes[i].called);
    return ST_OK;
}

typedef enum status turning(struct farm *farm, const char *what, bool dry_run, const struct farm_meta *meta,
                            struct arena *mem, struct farm_undo *undo, struct message *why);

static enum status turn_back(struct cli *cli, const struct asked *q, turning *turn, struct message *why)
{
    struct farm_undo u = { .n_changes = 0 };
    const struct farm_meta meta = meta_from(q, WHO);
    const char *what = given_text(q, WHAT);
    enum status st = ST_OK;

    if (what)
        st = uid_of_name(q, "UID", what, &what, why);
    if (st == ST_OK)
        st = turn(q->farm, what, given_flag(q, TRY), &meta, q->mem, &u, why);
    cli->kept = st == ST_OK && !given_flag(q, TRY);
    return st == ST_OK ? tell_undo(cli, q, &u, why) : st;
}

static enum status undo(struct cli *cli, const struct asked *q, struct message *why)
{
    return turn_back(cli, q, farm_undo, why);
}

static enum status redo(struct cli *cli, const struct asked *q, struct message *why)
{
    return turn_back(cli, q, farm_redo, why);
}

static enum status void_one(struct cli *cli, const struct asked *q, struct message *why)
{
    return turn_back(cli, q, farm_void, why);
}

const struct command command_undo = {
    .name = "undo",
    .help = "Take back the newest change to the record, or one named; what rests on it goes with "
            "it. Weather is not taken back: type or import it anew",
    .params = undo_params,
    .n_params = COUNT(undo_params),
    .csv = true,
    .json = true,
    .run = undo
};
const struct command command_redo = { .name = "redo",
                                      .help = "Take the newest undo back",
                                      .params = redo_params,
                                      .n_params = COUNT(redo_params),
                                      .csv = true,
                                      .json = true,
                                      .run = redo };
const struct command command_void = { .name = "void",
                                      .help = "Take one record out, with what rests on it; the history keeps it",
                                      .params = void_params,
                                      .n_params = COUNT(void_params),
                                      .csv = true,
                                      .json = true,
                                      .run = void_one };

/* ---- history
 * ----------------------------------------------------------------------------------------------------------------- */

enum { OF, MOST };
static const struct param history_params[] = {
    [OF] = { "UID", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD, "of one record alone; a name will do" },
    [MOST] = { "most", P_WHOLE, Q_NUMBER, 1, 100000, "20", NULL, 0, "how many" },
};

static enum status history_rows(struct cli *cli, const struct asked *q, size_t n, const struct farm_change changes[],
                                struct message *why)
{
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
    return show_rows(cli, root, "changes", why);
}

static enum status history(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_change *changes = NULL;
    const char *of = given_text(q, OF);
    size_t n = 0;
    enum status st = of ? uid_of_name(q, "UID", of, &of, why) : ST_OK;
    const struct show_how how = command_how(cli, q);

    if (st == ST_OK)
        st = farm_history(q->farm, of, 0, (size_t)given_real(q, MOST), q->mem, &changes, &n, why);
    if (st == ST_OK && of && n == 0)
        st = refuse(ST_NOT_FOUND, why, "UID", "UID: nothing with the uid %.40s was ever recorded", of);
    if (st != ST_OK)
        return st;
    if (cli->json || cli->csv)
        return history_rows(cli, q, n, changes, why);
    for (size_t i = 0; i < n; i++) {
        struct text line;
        char when[32], lead[64];
        text_open_part(&line, &cli->out);
        (void)snprintf(lead, sizeof lead, "%6lld  %s  ", (long long)changes[i].number,
                       full_moment(changes[i].at_utc_s, q->zone, when));
        text_print(&line, "%s: %s%s%s%s", done_to_it(changes[i].what), changes[i].called,
                   *changes[i].who ? ", by " : "", changes[i].who, *changes[i].undoes ? " (by undo or redo)" : "");
        show_fold(&cli->out, &how, lead, 26, text_get(&line));
        text_close(&line);
    }
    if (n == 0)
        text_add(&cli->out, "Nothing has been changed yet.\n");
    return ST_OK;
}

const struct command command_history = { .name = "history",
                                         .help = "What was changed, when and by whom, newest first",
                                         .params = history_params,
                                         .n_params = COUNT(history_params),
                                         .csv = true,
                                         .json = true,
                                         .run = history };
