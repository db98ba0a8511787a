/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo/demo.h"
#include "doors/cli/commands.h"

enum { TO, SEED };
static const struct param params[] = {
    [TO] = { "to", P_FILE, Q_NUMBER, 0, 0, "larkmoor.leenest", NULL, 0, "the farm file to make" },
    [SEED] = { "seed", P_WHOLE, Q_NUMBER, 0, 1e9, "7", NULL, 0, "of its invented weather" },
};

static enum status demo(struct cli *cli, const struct asked *q, struct message *why)
{
    const enum status st = demo_make(given_text(q, TO), (uint64_t)given_real(q, SEED), why);

    if (st == ST_OK)
        text_print(&cli->out,
                   "Made %s: Larkmoor, an invented farm on an invented winter evening.\n"
                   "Ask it:  leenest --farm %s tonight\n",
                   given_text(q, TO), given_text(q, TO));
    return st;
}

const struct command command_demo = { .name = "demo",
                                      .help = "Make an invented farm to try things on",
                                      .params = params,
                                      .n_params = COUNT(params),
                                      .no_farm = true,
                                      .run = demo };
