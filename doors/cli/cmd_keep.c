/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Keeping the farm file: flags and the held tray, check, backup and restore, out and in. */
#include <string.h>

#include "doors/cli/commands.h"
#include "core/base/civil.h"

static const struct show_how plain = { .width = 80 };

/* ---- flags ------------------------------------------------------------------------------------------------------------ */

static const struct param flags_params[] = {
    { "settled", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "those that are settled too" },
};

static enum status flags(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_flag *list = NULL;
    size_t n = 0;
    const enum status st = farm_flags(q->farm, given_flag(q, 0), 0, q->mem, &list, &n, why);

    for (size_t i = 0; i < n && st == ST_OK; i++) {
        char lead[32];
        (void)snprintf(lead, sizeof lead, "%5lld %s ", (long long)list[i].number, list[i].settled ? "settled" : "open");
        show_fold(&cli->out, &plain, lead, 6, list[i].says);
    }
    if (st == ST_OK && n == 0)
        text_add(&cli->out, "Nothing odd is open.\n");
    return st;
}

const struct command command_flags = { .name = "flags", .help = "What is recorded but odd, until somebody settles it",
                                       .params = flags_params, .n_params = COUNT(flags_params), .run = flags };

enum { NUMBER, NOTE, WHO };
static const struct param settle_params[] = {
    [NUMBER] = { "NUMBER", P_WHOLE, Q_NUMBER, 1, 9e15, NULL, NULL, PARAM_WORD | PARAM_REQUIRED, "of the flag, as leenest flags gives it" },
    [NOTE] = { "note", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "why it is right after all" },
    WHO_PARAMS,
};

static enum status settle(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct farm_meta meta = meta_from(q, WHO);
    const enum status st = farm_settle(q->farm, (int64_t)given_real(q, NUMBER), given_text(q, NOTE), &meta, why);
    if (st == ST_OK)
        text_add(&cli->out, "Settled.\n");
    return st;
}

const struct command command_settle = { .name = "settle", .help = "Say that an odd record is right", .params = settle_params,
                                        .n_params = COUNT(settle_params), .run = settle };

/* ---- held tray ----------------------------------------------------------------------------------------------------------- */

enum { HELD_DROP, HELD_TRY_AGAIN, HELD_WHO };
static const struct param held_params[] = {
    [HELD_DROP] = { "drop", P_WHOLE, Q_NUMBER, 1, 9e15, NULL, NULL, 0, "this one is not to be recorded" },
    [HELD_TRY_AGAIN] = { "try-again", P_WHOLE, Q_NUMBER, 1, 9e15, NULL, NULL, 0, "record this one now, as it came" },
    WHO_PARAMS,
};

static enum status try_again(const struct asked *q, const struct farm_held *h, const struct farm_meta *meta, struct message *why)
{
    struct fact_speech speech;
    struct farm_item *item = NULL;
    struct farm_outcome outcome;
    size_t n = 0;
    enum status st = farm_speech(q->farm, &speech, why);

    if (st == ST_OK)
        st = farm_json_read("held record", h->body, strlen(h->body), fact_kind_find(h->kind), &speech, q->mem, &item, &n, why);
    return st == ST_OK ? farm_settle_held(q->farm, h->number, item[0].values, meta, q->mem, &outcome, why) : st;
}

static enum status held(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_held *list = NULL;
    size_t n = 0;
    const struct farm_meta meta = meta_from(q, HELD_WHO);
    enum status st = farm_held(q->farm, false, q->mem, &list, &n, why);

    if (st == ST_OK && given_is(q, HELD_DROP)) {
        st = farm_settle_held(q->farm, (int64_t)given_real(q, HELD_DROP), NULL, &meta, q->mem, NULL, why);
        text_add(&cli->out, "Dropped; the journal keeps what it said.\n");
        return st;
    }
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        if (given_is(q, HELD_TRY_AGAIN)) {
            if (list[i].number != (int64_t)given_real(q, HELD_TRY_AGAIN))
                continue;
            st = try_again(q, &list[i], &meta, why);
            text_add(&cli->out, "Recorded.\n");
            return st;
        }
        struct text line;
        char lead[32];
        text_open(&line, 8192);
        (void)snprintf(lead, sizeof lead, "%5lld ", (long long)list[i].number);
        text_print(&line, "%s %s: %s", list[i].kind, list[i].body, list[i].reason);
        show_fold(&cli->out, &plain, lead, 6, text_get(&line));
        text_close(&line);
    }
    if (st == ST_OK && given_is(q, HELD_TRY_AGAIN))
        return refuse(ST_NOT_FOUND, why, "try-again", "no held record has the number %.0f", given_real(q, HELD_TRY_AGAIN));
    if (st == ST_OK && n == 0)
        text_add(&cli->out, "Nothing is held.\n");
    return st;
}

const struct command command_held = { .name = "held", .help = "Records that were refused and wait for somebody to settle them",
                                      .params = held_params, .n_params = COUNT(held_params), .run = held };

/* ---- check -------------------------------------------------------------------------------------------------------------------- */

static enum status check(struct cli *cli, const struct asked *q, struct message *why)
{
    static const char *const grade_words[] = { [FARM_SOUND] = "good", [FARM_LOOK] = "look", [FARM_WRONG] = "WRONG" };
    struct farm_finding *f = NULL;
    size_t n = 0;
    const enum status st = farm_check(q->farm, q->at_utc_s, q->mem, &f, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *root = answer_new(q->mem), *rows = answer_list(root, "findings");
    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_text(row, "grade", grade_words[f[i].grade]);
        answer_text(row, "key", f[i].key);
        answer_text(row, "says", f[i].says);
        cli->exit_code = f[i].grade == FARM_WRONG ? 1 : cli->exit_code;
    }
    if (cli->json)
        return root ? show_json(root, &cli->out, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t i = 0; i < n; i++) {
        char lead[16];
        (void)snprintf(lead, sizeof lead, "%-6s ", grade_words[f[i].grade]);
        show_fold(&cli->out, &plain, lead, 7, f[i].says);
    }
    return ST_OK;
}

const struct command command_check = { .name = "check", .help = "Is the farm file sound, and what is open, old or unbacked", .run = check };

/* ---- backup and restore ---------------------------------------------------------------------------------------------------------- */

enum { TO, SECOND };
static const struct param backup_params[] = {
    [TO] = { "to", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0, "folder; beside the farm file unless given" },
    [SECOND] = { "second", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0, "another folder, a stick for example" },
};

static enum status backup(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_backup made;
    const enum status st = farm_backup(q->farm, given_text(q, TO), given_text(q, SECOND), q->at_utc_s, q->mem, &made, why);
    if (st == ST_OK)
        text_print(&cli->out, "Backed up, checked and sound: %s (%lld bytes)\n", made.path, (long long)made.bytes);
    return st;
}

const struct command command_backup = { .name = "backup", .help = "A sound copy of the farm file; older ones are thinned to 7 days, 4 weeks, 12 months",
                                        .params = backup_params, .n_params = COUNT(backup_params), .run = backup };

static const struct param restore_params[] = {
    { "BACKUP", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED, "the copy to go back to" },
};

static enum status restore(struct cli *cli, const struct asked *q, struct message *why)
{
    const enum status st = farm_restore(given_text(q, 0), cli->farm_path, q->at_utc_s, why);
    if (st == ST_OK)
        text_print(&cli->out, "%s stands again as in the backup; what was there is kept beside it.\n", cli->farm_path);
    return st;
}

const struct command command_restore = { .name = "restore", .help = "Go back to a backup; what is there now is kept beside it",
                                         .params = restore_params, .n_params = COUNT(restore_params), .makes_farm = true, .run = restore };

/* ---- out and in -------------------------------------------------------------------------------------------------------------------- */

static const struct param export_params[] = {
    { "to", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED, "a new folder (one CSV a kind), or a file ending in .json" },
};

static bool ends_in(const char *text, const char *end)
{
    const size_t n = strlen(text), k = strlen(end);
    return n >= k && strcmp(text + n - k, end) == 0;
}

static enum status export(struct cli *cli, const struct asked *q, struct message *why)
{
    const char *to = given_text(q, 0);
    const enum status st = ends_in(to, ".json") ? farm_export_json(q->farm, to, why) : farm_export_folder(q->farm, to, why);
    if (st == ST_OK)
        text_print(&cli->out, "Everything is written to %s\n", to);
    return st;
}

const struct command command_export = { .name = "export", .help = "Everything, as a folder of CSV or one JSON file",
                                        .params = export_params, .n_params = COUNT(export_params), .run = export };

enum { FILE_IN, KIND, TRY, KEEP_GOOD, IN_WHO };
static const struct param import_params[] = {
    [FILE_IN] = { "FILE", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                  "a CSV or JSON file of facts; or a whole export, into a new farm file" },
    [KIND] = { "kind", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "kind of fact of a CSV file; without it the file is a whole export" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "a dry run: say what is wrong, keep nothing" },
    [KEEP_GOOD] = { "keep-good", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "keep the good rows; without it one bad row refuses all" },
    WHO_PARAMS,
};

static enum status import(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct fact_kind *kind = given_is(q, KIND) ? keep_kind(given_text(q, KIND)) : NULL;
    const struct farm_meta meta = meta_from(q, IN_WHO);
    struct farm_import done;
    struct farm *farm = NULL;

    if (!given_is(q, KIND)) {
        const enum status st = farm_import_whole(given_text(q, FILE_IN), cli->farm_path, NULL, why);
        if (st == ST_OK)
            text_print(&cli->out, "Everything is in the new farm file %s\n", cli->farm_path);
        return st;
    }
    if (!kind)
        return refuse(ST_BAD_INPUT, why, "kind", "unknown kind \"%.40s\"; leenest record --help lists them", given_text(q, KIND));
    enum status st = farm_open(cli->farm_path, &farm, why);
    if (st == ST_OK)
        st = farm_import_file(farm, given_text(q, FILE_IN), kind, given_flag(q, TRY) ? FARM_TRY : given_flag(q, KEEP_GOOD) ? FARM_KEEP_GOOD
                              : FARM_ALL_OR_NOTHING, &meta, &done, &cli->out, why);
    farm_close(farm);
    return st;
}

const struct command command_import = { .name = "import", .help = "Facts from a CSV or JSON file, or a whole export into a new farm file",
                                        .params = import_params, .n_params = COUNT(import_params), .makes_farm = true, .run = import };
