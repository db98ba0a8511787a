/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * `leenest serve`: the farm's page in a browser. It runs until Ctrl-C. */
#include "doors/cli/commands.h"
#include "doors/web/web.h"

enum { PORT, LAN, NO_BROWSER, NAMES };
static const struct param params[] = {
    [PORT] = { "port", P_WHOLE, Q_NUMBER, 0, 65535, "8271", NULL, 0, "where to listen; 0: any free one" },
    [LAN] = { "lan", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
              "for phones on the farm's own network too; needs a password set" },
    [NO_BROWSER] = { "no-browser", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "open no browser, only print the address" },
    [NAMES] = { "names", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                "with --lan: further names this machine is reached by, comma between" },
};

static enum status serve(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct web_how how = { .farm_path = cli->farm_path,
                                 .port = (int)given_real(q, PORT),
                                 .lan = given_flag(q, LAN),
                                 .no_browser = given_flag(q, NO_BROWSER),
                                 .names = given_text(q, NAMES) };

    if (how.names && !how.lan)
        return refuse(ST_BAD_INPUT, why, "names", "--names goes with --lan");
    return web_serve(&how, why);
}

const struct command command_serve = { .name = "serve",
                                       .help = "The farm's page, in a browser, until Ctrl-C",
                                       .params = params,
                                       .n_params = COUNT(params),
                                       .makes_farm = true,
                                       .run = serve };

static enum status openapi(struct cli *cli, const struct asked *q, struct message *why)
{
    (void)q;
    return web_openapi(&cli->out, why);
}

const struct command command_openapi = { .name = "openapi",
                                         .help = "Write the document of the web door (OpenAPI 3.1)",
                                         .no_farm = true,
                                         .json = true,
                                         .run = openapi };
