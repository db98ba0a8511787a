/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/cli/commands.h"

const struct command *const commands[] = {
    &command_list,
    &command_undo,
    &command_redo,
    &command_void,
    &command_history,
    &command_flags,
    &command_settle,
    &command_held,
    &command_check,
    &command_backup,
    &command_restore,
    &command_export,
    &command_import,
    &command_weather_fetch,
    &command_weather_import,
    &command_weather_type,
    &command_weather_kept,
    &command_ground_import,
    &command_demo,
    &command_serve,
    &command_openapi,
    &command_man,
    &command_completion,
    &command_password,
    NULL,
};

struct farm_meta meta_from(const struct asked *q, size_t who_param)
{
    return (struct farm_meta){ .who = given_text(q, who_param), .device = given_text(q, who_param + 1) };
}

static enum status man(struct cli *cli, const struct asked *q, struct message *why)
{
    (void)q;
    (void)why;
    man_page(&cli->out);
    return ST_OK;
}

static enum status completion(struct cli *cli, const struct asked *q, struct message *why)
{
    (void)q;
    (void)why;
    bash_completion(&cli->out);
    return ST_OK;
}

const struct command command_man = {
    .name = "man", .help = "Write the man page (leenest man | man -l -)", .no_farm = true, .run = man
};
const struct command command_completion = {
    .name = "completion", .help = "Write the completion for bash", .no_farm = true, .run = completion
};
