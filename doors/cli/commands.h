/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The commands that are not questions, each described by its row. */
#ifndef DOORS_CLI_COMMANDS_H
#define DOORS_CLI_COMMANDS_H

#include "desk/keeping.h"
#include "doors/cli/cli.h"

extern const struct command command_list, command_undo, command_redo, command_void, command_history;
extern const struct command command_flags, command_settle, command_held;
extern const struct command command_check, command_backup, command_restore, command_export, command_import;
extern const struct command command_weather_fetch, command_weather_import, command_weather_type, command_weather_kept;
extern const struct command command_ground_import;
extern const struct command command_serve, command_openapi;
extern const struct command command_demo, command_man, command_completion;
extern const struct command command_password;

/* `record KIND --flags`: its flags come from the table of facts. */
enum status command_record(struct cli *cli, int argc, char **argv, struct message *why);
void record_help(const char *kind, struct text *out); /* NULL: all kinds */
void record_man(struct text *out);
void record_completion(struct text *out);

/* The farm file, or the sentence that says how to begin one. */
enum status farm_there(const struct cli *cli, struct farm **farm, struct message *why) MUST_USE;
/* Width, colours, units and zone in which a command prints. */
struct show_how command_how(const struct cli *cli, const struct asked *q);
/* A tree as JSON, or its list as CSV, whichever was asked for. */
enum status show_rows(struct cli *cli, const struct answer *root, const char *list, struct message *why) MUST_USE;
/* A uid as it is, or the uid of what bears that name (among all kinds that have names); field is named in the sentence.
 */
enum status uid_of_name(const struct asked *q, const char *field, const char *word, const char **uid,
                        struct message *why) MUST_USE;
/* "2026-11-25 07:26" in the farm's zone: with its year, for what may be long ago. */
const char *full_moment(int64_t utc_s, const struct zone *zone, char out[static 32]);

/* No such kind of fact; names the nearest. */
enum status unknown_kind(const char *word, struct message *why);

/* Flags that say who is recording, shared by the commands that write. */
#define WHO_PARAMS                                                                                                     \
    { "who", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "who says so" },                                                   \
    {                                                                                                                  \
        "device", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "on which device it was written down"                         \
    }
struct farm_meta meta_from(const struct asked *q, size_t who_param);

#endif
