/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Keeping the farm file: flags and the held tray, check, backup and restore, out and in. */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "core/base/civil.h"
#include "desk/pedigree_take.h"
#include "doors/cli/commands.h"
#include "doors/web/audit.h"

/* ---- flags
 * ------------------------------------------------------------------------------------------------------------ */

static const struct param flags_params[] = {
    { "settled", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "those that are settled too" },
};

static enum status flag_rows(struct cli *cli, const struct asked *q, size_t n, const struct farm_flag list[],
                             struct message *why)
{
    struct answer *root = answer_new(q->mem), *rows = answer_list(root, "flags");

    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_whole(row, "number", list[i].number);
        answer_text(row, "key", list[i].key);
        answer_text(row, "kind", list[i].kind);
        answer_text(row, "uid", list[i].uid);
        answer_text(row, "other_uid", *list[i].other_uid ? list[i].other_uid : NULL);
        answer_text(row, "says", list[i].says);
        answer_moment(row, "raised", list[i].raised_utc_s);
        answer_flag(row, "settled", list[i].settled);
        answer_text(row, "settled_by", *list[i].settled_by ? list[i].settled_by : NULL);
        answer_text(row, "settled_note", *list[i].settled_note ? list[i].settled_note : NULL);
    }
    return show_rows(cli, root, "flags", why);
}

static enum status flags(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_flag *list = NULL;
    size_t n = 0;
    const struct show_how how = command_how(cli, q);
    const enum status st = farm_flags(q->farm, given_flag(q, 0), 0, q->mem, &list, &n, why);

    if (st == ST_OK && (cli->json || cli->csv))
        return flag_rows(cli, q, n, list, why);
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        struct text line;
        char lead[40];
        text_open_part(&line, &cli->out);
        (void)snprintf(lead, sizeof lead, "%5lld  %s: ", (long long)list[i].number,
                       list[i].settled ? "settled" : "open");
        const char *called = farm_called(q->farm, list[i].uid, q->mem);
        text_print(&line, "%s%s%s", called ? called : "", called ? ": " : "", list[i].says);
        if (*list[i].settled_note)
            text_print(&line, " (%s)", list[i].settled_note);
        show_fold(&cli->out, &how, lead, 7, text_get(&line));
        text_close(&line);
    }
    if (st == ST_OK && n == 0)
        text_add(&cli->out, "Nothing odd is open.\n");
    else if (st == ST_OK && !given_flag(q, 0))
        show_fold(
            &cli->out, &how, "", 0,
            "Right all the same: leenest settle NUMBER. Wrong: record it anew with --corrects UID, or leenest undo.");
    return st;
}

const struct command command_flags = { .name = "flags",
                                       .help = "What is recorded but odd, until somebody settles it",
                                       .params = flags_params,
                                       .n_params = COUNT(flags_params),
                                       .csv = true,
                                       .json = true,
                                       .run = flags };

enum { NUMBER, NOTE, WHO };
static const struct param settle_params[] = {
    [NUMBER] = { "NUMBER", P_WHOLE, Q_NUMBER, 1, 9e15, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                 "of the flag, as leenest flags gives it" },
    [NOTE] = { "note", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "why it is right after all" },
    WHO_PARAMS,
};

static enum status settle(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct farm_meta meta = meta_from(q, WHO);
    const enum status st = farm_settle(q->farm, (int64_t)given_real(q, NUMBER), given_text(q, NOTE), &meta, why);
    cli->kept = st == ST_OK;
    if (st == ST_OK)
        text_add(&cli->out, "Settled.\n");
    return st;
}

const struct command command_settle = { .name = "settle",
                                        .help = "Say that an odd record is right",
                                        .params = settle_params,
                                        .n_params = COUNT(settle_params),
                                        .run = settle };

/* ---- held tray
 * ----------------------------------------------------------------------------------------------------------- */

enum { HELD_DROP, HELD_TRY_AGAIN, HELD_WHO };
static const struct param held_params[] = {
    [HELD_DROP] = { "drop", P_WHOLE, Q_NUMBER, 1, 9e15, NULL, NULL, 0, "the number of one that is not to be recorded" },
    [HELD_TRY_AGAIN] = { "try-again", P_WHOLE, Q_NUMBER, 1, 9e15, NULL, NULL, 0,
                         "the number of one to record now, as it came" },
    WHO_PARAMS,
};

static enum status try_again(const struct asked *q, const struct farm_held *h, const struct farm_meta *meta,
                             struct message *why)
{
    struct fact_speech speech;
    struct farm_item *item = NULL;
    struct farm_outcome outcome;
    size_t n = 0;
    enum status st = farm_speech(q->farm, &speech, why);

    if (st == ST_OK)
        st = farm_json_read("held record", h->body, strlen(h->body), fact_kind_find(h->kind), &speech, q->mem, &item,
                            &n, why);
    if (st == ST_OK && item[0].status != ST_OK)
        st = refuse(item[0].status, why, item[0].why.field, "%s", item[0].why.text);
    struct farm_meta as = *meta;
    as.replaces = st == ST_OK ? item[0].meta.replaces : NULL;
    return st == ST_OK ? farm_settle_held(q->farm, h->number, item[0].values, &as, q->mem, &outcome, why) : st;
}

static enum status held_rows(struct cli *cli, const struct asked *q, size_t n, const struct farm_held list[],
                             struct message *why)
{
    struct answer *root = answer_new(q->mem), *rows = answer_list(root, "held");

    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_whole(row, "number", list[i].number);
        answer_text(row, "kind", list[i].kind);
        answer_text(row, "uid", list[i].uid);
        answer_text(row, "body", list[i].body);
        answer_text(row, "who", list[i].who);
        answer_text(row, "device", list[i].device);
        answer_moment(row, "recorded", list[i].recorded_utc_s);
        answer_moment(row, "held", list[i].held_utc_s);
        answer_text(row, "field", *list[i].field ? list[i].field : NULL);
        answer_text(row, "reason", list[i].reason);
    }
    return show_rows(cli, root, "held", why);
}

static enum status held_settle(struct cli *cli, const struct asked *q, size_t n, const struct farm_held list[],
                               struct message *why)
{
    const bool drop = given_is(q, HELD_DROP);
    const char *flag = drop ? "drop" : "try-again";
    const int64_t number = (int64_t)given_real(q, drop ? HELD_DROP : HELD_TRY_AGAIN);
    const struct farm_meta meta = meta_from(q, HELD_WHO);
    const struct farm_held *one = NULL;

    if (drop && given_is(q, HELD_TRY_AGAIN))
        return refuse(ST_BAD_INPUT, why, "drop", "--drop and --try-again exclude each other; give one");
    for (size_t i = 0; i < n; i++)
        if (list[i].number == number)
            one = &list[i];
    if (!one)
        return refuse(ST_NOT_FOUND, why, flag,
                      "--%s: no record that waits has the number %lld; leenest held lists them", flag,
                      (long long)number);
    const enum status st =
        drop ? farm_settle_held(q->farm, number, NULL, &meta, q->mem, NULL, why) : try_again(q, one, &meta, why);
    cli->kept = st == ST_OK;
    if (st == ST_OK)
        text_add(&cli->out, drop ? "Dropped; what it said is kept in the farm file.\n" : "Recorded.\n");
    return st;
}

static enum status held(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_held *list = NULL;
    size_t n = 0;
    const struct show_how how = command_how(cli, q);
    const enum status st = farm_held(q->farm, false, q->mem, &list, &n, why);

    if (st != ST_OK)
        return st;
    if (given_is(q, HELD_DROP) || given_is(q, HELD_TRY_AGAIN))
        return held_settle(cli, q, n, list, why);
    if (cli->json || cli->csv)
        return held_rows(cli, q, n, list, why);
    for (size_t i = 0; i < n; i++) {
        struct text line;
        char lead[32];
        text_open_part(&line, &cli->out);
        (void)snprintf(lead, sizeof lead, "%5lld  ", (long long)list[i].number);
        text_print(&line, "%s %s: %s", list[i].kind, list[i].body, list[i].reason);
        show_fold(&cli->out, &how, lead, 7, text_get(&line));
        text_close(&line);
    }
    text_add(&cli->out, n == 0 ? "Nothing is waiting.\n"
                               : "Put right what stands in the way, then: leenest held --try-again NUMBER\n");
    return ST_OK;
}

const struct command command_held = { .name = "held",
                                      .help = "Records that were refused and wait for somebody to settle them",
                                      .params = held_params,
                                      .n_params = COUNT(held_params),
                                      .csv = true,
                                      .json = true,
                                      .run = held };

/* ---- check
 * --------------------------------------------------------------------------------------------------------------------
 */

static enum status check(struct cli *cli, const struct asked *q, struct message *why)
{
    static const char *const grade_words[] = { [FARM_SOUND] = "good", [FARM_LOOK] = "look", [FARM_WRONG] = "WRONG" };
    struct farm_finding *f = NULL;
    size_t n = 0;
    const enum status st = audit(q->farm, q->at_utc_s, q->mem, &f, &n, why);

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
    if (cli->json || cli->csv)
        return show_rows(cli, root, "findings", why);
    for (size_t i = 0; i < n; i++) {
        const struct show_how how = command_how(cli, q);
        char lead[16];
        (void)snprintf(lead, sizeof lead, "%-6s ", grade_words[f[i].grade]);
        show_fold(&cli->out, &how, lead, 7, f[i].says);
    }
    return ST_OK;
}

const struct command command_check = { .name = "check",
                                       .help = "Is the farm file sound; what is open, weak or old, is there a backup",
                                       .csv = true,
                                       .json = true,
                                       .run = check };

/* ---- backup and restore
 * ---------------------------------------------------------------------------------------------------------- */

enum { TO, SECOND };
static const struct param backup_params[] = {
    [TO] = { "to", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0, "folder; beside the farm file unless given" },
    [SECOND] = { "second", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0, "another folder, a stick for example" },
};

static enum status backup(struct cli *cli, const struct asked *q, struct message *why)
{
    struct farm_backup made;
    const enum status st =
        farm_backup(q->farm, given_text(q, TO), given_text(q, SECOND), q->at_utc_s, q->mem, &made, why);
    if (st == ST_OK)
        text_print(&cli->out, "Backed up, checked and sound: %s (%lld bytes)\n", made.path, (long long)made.bytes);
    return st;
}

const struct command command_backup = {
    .name = "backup",
    .help = "A sound copy of the farm file; older ones are thinned to 7 days, 4 weeks, 12 months",
    .params = backup_params,
    .n_params = COUNT(backup_params),
    .run = backup
};

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

const struct command command_restore = { .name = "restore",
                                         .help = "Go back to a backup; what is there now is kept beside it",
                                         .params = restore_params,
                                         .n_params = COUNT(restore_params),
                                         .makes_farm = true,
                                         .run = restore };

/* ---- out and in
 * --------------------------------------------------------------------------------------------------------------------
 */

static const struct param export_params[] = {
    { "to", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_REQUIRED,
      "a new folder (one CSV a kind), or a file ending in .json" },
};

static bool ends_in(const char *text, const char *end)
{
    const size_t n = strlen(text), k = strlen(end);
    return n >= k && strcmp(text + n - k, end) == 0;
}

static enum status export(struct cli *cli, const struct asked *q, struct message *why) {
    const char *to = given_text(q, 0);
    const enum status st = ends_in(to, ".json") ? farm_export_json(q->farm, to, why)
                                                : farm_export_folder(q->farm, to, why);
    cli->kept = st == ST_OK;
    if (st == ST_OK) text_print(&cli->out, "Everything is written to %s\n", to);
    return st;
}

const struct command command_export = { .name = "export",
                                        .help = "Everything in the farm file, as a folder of CSV or one JSON file",
                                        .params = export_params,
                                        .n_params = COUNT(export_params),
                                        .run = export };

enum { FILE_IN, KIND, TRY, KEEP_GOOD, PEDIGREE, IN_WHO };
static const struct param import_params[] = {
    [FILE_IN] = { "FILE", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                  "a CSV or JSON file of records; or a whole export (folder or .json), into a new farm file" },
    [KIND] = { "kind", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
               "what the rows of a CSV file are: sow, service, hut ...; JSON may say it itself" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "a dry run: say what is wrong, keep nothing" },
    [KEEP_GOOD] = { "keep-good", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                    "keep the good rows; without it one bad row refuses all" },
    [PEDIGREE] = { "pedigree", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                   "the CSV file is a pedigree: id,sire,dam and, as far as there is, sex,born,breed,name" },
    WHO_PARAMS,
};

/* A whole export: a folder, or a JSON file that begins {"leenest" */
static bool is_whole(const char *path)
{
    char start[64] = "";
    struct stat about;

    if (stat(path, &about) == 0 && S_ISDIR(about.st_mode))
        return true;
    FILE *f = fopen(path, "rb");
    if (!f)
        return false;
    const size_t n = fread(start, 1, sizeof start - 1, f);
    (void)fclose(f);
    start[n] = '\0';
    const char *s = start + strspn(start, " \t\r\n");
    s += *s == '{';
    s += strspn(s, " \t\r\n");
    return strncmp(s, "\"leenest\"", 9) == 0;
}

static enum status import_whole(struct cli *cli, const struct asked *q, struct message *why)
{
    if (given_is(q, KIND) || given_flag(q, TRY) || given_flag(q, KEEP_GOOD))
        return refuse(
            ST_BAD_INPUT, why, "FILE",
            "%s is a whole export: it goes into a new farm file as it is, without --kind, --try or --keep-good",
            given_text(q, FILE_IN));
    const enum status st = farm_import_whole(given_text(q, FILE_IN), cli->farm_path, NULL, why);
    cli->kept = st == ST_OK;
    if (st == ST_OK)
        text_print(&cli->out, "Everything is in the new farm file %s\n", cli->farm_path);
    return st;
}

static enum status import_rows(struct cli *cli, const struct asked *q, const struct fact_kind *kind,
                               struct message *why)
{
    const bool try = given_flag(q, TRY), keep_good = given_flag(q, KEEP_GOOD);
    const struct farm_meta meta = meta_from(q, IN_WHO);
    struct message inner = { "", "" };
    struct farm_import done;
    struct farm *farm = NULL;
    enum status st = farm_there(cli, &farm, why);

    if (st != ST_OK)
        return st;
    st = farm_import_file(farm, given_text(q, FILE_IN), kind,
                          try         ? FARM_TRY
                          : keep_good ? FARM_KEEP_GOOD
                                      : FARM_ALL_OR_NOTHING,
                          &meta, &done, &cli->out, &inner);
    farm_close(farm);
    cli->kept = st == ST_OK && !try && done.kept > 0;
    const bool rows_told = done.refused > 0 && (st == ST_BAD_INPUT || st == ST_NOT_FOUND || st == ST_CONFLICT);
    if ((st == ST_OK && done.refused > 0) || (rows_told && try)) {
        cli->exit_code = 1; /* answered: no, they are not all good */
        return ST_OK;
    }
    if (rows_told && done.refused > 1)
        return refuse(st, why, inner.field, "%.150s; and %zu more, nothing was kept: --try lists them", inner.text,
                      done.refused - 1);
    return st == ST_OK ? st : refuse(st, why, inner.field, "%s", inner.text);
}

/* Everything or nothing: half a pedigree would make strangers of kin. */
static enum status import_pedigree(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct farm_meta meta = meta_from(q, IN_WHO);
    const bool try = given_flag(q, TRY);
    struct pedigree_taken done;
    struct farm *farm = NULL;

    if (given_is(q, KIND) || given_flag(q, KEEP_GOOD))
        return refuse(ST_BAD_INPUT, why, "pedigree", "a pedigree is taken in whole: leave out --kind and --keep-good");
    enum status st = farm_there(cli, &farm, why);
    if (st != ST_OK)
        return st;
    st = pedigree_take(farm, given_text(q, FILE_IN), try, &meta, &done, &cli->out, why);
    farm_close(farm);
    cli->kept = st == ST_OK && !try && done.added + done.linked > 0;
    if (try && done.wrong > 0 && (st == ST_BAD_INPUT || st == ST_CONFLICT || st == ST_NOT_FOUND)) {
        cli->exit_code = 1; /* answered: no, not all of it is right */
        return ST_OK;
    }
    return st;
}

static enum status import(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct fact_kind *kind = given_is(q, KIND) ? keep_kind(given_text(q, KIND)) : NULL;

    if (given_flag(q, PEDIGREE))
        return import_pedigree(cli, q, why);
    if (given_is(q, KIND) && !kind)
        return unknown_kind(given_text(q, KIND), why);
    return is_whole(given_text(q, FILE_IN)) ? import_whole(cli, q, why) : import_rows(cli, q, kind, why);
}

const struct command command_import = {
    .name = "import",
    .help = "Records from a CSV or JSON file, or a whole export into a new farm file; exit 1: some rows were not good",
    .params = import_params,
    .n_params = COUNT(import_params),
    .makes_farm = true,
    .run = import
};
