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
extern const struct command command_demo, command_man, command_completion;

/* `record KIND --flags`: its flags come from the table of facts. */
enum status command_record(struct cli *cli, int argc, char **argv, struct message *why);
void record_help(const char *kind, struct text *out);      /* NULL: all kinds */
void record_man(struct text *out);
void record_completion(struct text *out);

/* Flags that say who is recording, shared by the commands that write. */
#define WHO_PARAMS                                                                                    \
    { "who", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "who says so" },                                  \
    { "device", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "on which device it was written down" }
struct farm_meta meta_from(const struct asked *q, size_t who_param);

#endif
