/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "demo/demo.h"
#include "doors/cli/commands.h"

enum { TO, SEED };
static const struct param params[] = {
    [TO] = { "to", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, 0,
             "the farm file to make, else that of --farm, else larkmoor.leenest" },
    [SEED] = { "seed", P_WHOLE, Q_NUMBER, 0, 1e9, "7", NULL, 0, "of its invented weather" },
};

static enum status demo(struct cli *cli, const struct asked *q, struct message *why)
{
    const char *to = given_text(q, TO), *named = cli->farm_named ? cli->farm_path : NULL;

    if (to && named && strcmp(to, named) != 0)
        return refuse(ST_BAD_INPUT, why, "to", "--to and --farm name two files; give one");
    if (!to)
        to = named ? named : "larkmoor.leenest"; /* never $LEENEST_FARM: that is somebody's own farm */
    const enum status st = demo_make(to, (uint64_t)given_real(q, SEED), why);

    cli->kept = st == ST_OK;
    if (st == ST_OK)
        text_print(&cli->out,
                   "Made %s: Larkmoor, an invented farm on an invented winter evening.\n"
                   "Ask it:  leenest --farm %s tonight\n",
                   to, to);
    return st;
}

const struct command command_demo = { .name = "demo",
                                      .help = "Make an invented farm to try things on",
                                      .params = params,
                                      .n_params = COUNT(params),
                                      .no_farm = true,
                                      .run = demo };
