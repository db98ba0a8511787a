/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The ground itself: the outline of a field from a file. */
#include "desk/ground_take.h"
#include "doors/cli/commands.h"

enum { FILE_IN, PADDOCK, FRESH, TRY, WHO };
static const struct param import_params[] = {
    [FILE_IN] = { "FILE", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
                  "GeoJSON (a Polygon, or a LineString walked) or GPX (a track or a route)" },
    [PADDOCK] = { "paddock", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                  "the field whose outline it is; the one the file names unless given" },
    [FRESH] = { "new", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "or the name of a new field" },
    [TRY] = { "try", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0, "a dry run: say what the file holds, keep nothing" },
    WHO_PARAMS,
};

static enum status import(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct ground_how how = { given_text(q, PADDOCK), given_text(q, FRESH), given_flag(q, TRY) };
    const struct farm_meta meta = meta_from(q, WHO);
    struct message inner = { "", "" };
    char uid[FARM_UID] = "";

    if (how.paddock && how.fresh)
        return refuse(ST_BAD_INPUT, why, "new", "--paddock and --new exclude each other; give one");
    const enum status st = ground_take(q->farm, given_text(q, FILE_IN), &how, &meta, q->mem, &cli->out, uid, &inner);
    cli->kept = st == ST_OK && !how.dry_run;
    return st == ST_OK ? st : refuse(st, why, inner.field, "%s", inner.text);
}

const struct command command_ground_import = {
    .name = "ground import",
    .help = "The outline of a field from a file: a plan as GeoJSON, or a walk round it as GPX",
    .params = import_params,
    .n_params = COUNT(import_params),
    .run = import
};
