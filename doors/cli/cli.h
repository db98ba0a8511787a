/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The command line: flags from the tables, text out, exit codes.
 *
 * Exit 0 answered · 1 the answer is no, or a check fell short · 2 the request was wrong · 3 the farm file or the machine
 * failed. A refusal is one line on standard error; answers go to standard output.
 */
#ifndef DOORS_CLI_CLI_H
#define DOORS_CLI_CLI_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/arena.h"
#include "core/base/status.h"
#include "core/base/text.h"
#include "desk/question.h"
#include "desk/farm_words.h"
#include "doors/show/show.h"

struct cli {
    const char *farm_path;   /* --farm, else $LEENEST_FARM, else farm.leenest in this folder */
    bool json, csv, ics, narrow, help;
    int width;
    const char *colour;      /* auto, always, never */
    struct arena mem;
    struct text out;         /* what goes to standard output, written once at the end */
    int exit_code;           /* set by a command that answered: 0 or 1 */
};

/* One word of the command line that is not a question: `leenest backup --to FOLDER`. */
struct command {
    const char *name, *help;
    const struct param *params;
    size_t n_params;
    bool makes_farm;         /* the farm file need not be there yet */
    bool no_farm;            /* opens none */
    enum status (*run)(struct cli *cli, const struct asked *q, struct message *why);
};
extern const struct command *const commands[]; /* NULL at the end */

/* argv -> typed parameters. A flag takes the next word as its value ("--wind 5", "--wind=5"); a repeatable flag takes
 * every word up to the next flag; bare words go to PARAM_WORD parameters in order. Global flags are taken out.
 * ST_BAD_INPUT: unknown flag (the word "unknown", its name and the nearest known one), missing value. */
enum status args_read(struct cli *cli, int argc, char **argv, const char *command, const struct param *params, size_t n_params,
                      struct typed_param **typed, size_t *n, struct message *why) MUST_USE;

/* Help of one command or question from its table; the list of all. */
void help_of(const char *words, const char *help, const struct param *params, size_t n_params, struct text *out);
void help_all(struct text *out);
void help_reckon(struct text *out);

/* Man page (roff) and bash completion, written from the tables. */
void man_page(struct text *out);
void bash_completion(struct text *out);

const char *nearest(const char *word, size_t n, const char *const known[]); /* NULL when nothing is near */

int cli_run(int argc, char **argv);

#endif
