/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The command line: flags from the tables, text out, exit codes.
 *
 * Exit 0 answered · 1 the answer is no, or a check fell short · 2 the request was wrong · 3 the farm file or the
 * machine failed. A refusal is one line on standard error; answers go to standard output.
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

#define LEENEST_VERSION "0.1" /* as in CMakeLists.txt; tests/doors/check_commands.sh holds them together */

struct cli {
    const char *farm_path; /* --farm, else $LEENEST_FARM, else farm.leenest in this folder */
    bool farm_named;       /* by --farm */
    bool us_units;         /* the farm's, where one is open */
    bool json, csv, ics, narrow, help;
    int width;
    const char *colour; /* auto, always, never */
    int64_t known_to;   /* --known-to: answer as it was known at this change; 0 = all */
    struct arena mem;
    struct text out; /* what goes to standard output, written once at the end */
    int exit_code;   /* set by a command that answered: 0 or 1 */
    bool kept;       /* something was written down before the answer was printed */
};

/* One word of the command line that is not a question: `leenest backup --to FOLDER`. */
struct command {
    const char *name, *help;
    const struct param *params;
    size_t n_params;
    bool makes_farm; /* the farm file need not be there yet */
    bool no_farm;    /* opens none */
    bool csv;        /* prints a table with --csv, and JSON of its own with --json */
    bool json;       /* JSON of its own with --json; else the lines it says are given as a list */
    enum status (*run)(struct cli *cli, const struct asked *q, struct message *why);
};
extern const struct command *const commands[]; /* NULL at the end */

/* argv -> typed parameters. A flag takes the next word as its value ("--wind 5", "--wind=5"); a repeatable flag takes
 * every word up to the next flag; bare words go to PARAM_WORD parameters in order. Global flags are taken out.
 * ST_BAD_INPUT: unknown flag (the word "unknown", its name and the nearest known one), missing value. */
enum status args_read(struct cli *cli, int argc, char **argv, const char *command, const struct param *params,
                      size_t n_params, struct typed_param **typed, size_t *n, struct message *why) MUST_USE;

/* One of the flags that all commands know, at argv[0]: how many words it took, 0 when it is none of them. */
int args_global(struct cli *cli, int argc, char **argv, struct message *why, enum status *st);

/* Help of one command or question from its table; the list of all. */
void help_of(const char *words, const char *help, const struct param *params, size_t n_params, struct text *out);
void help_all(struct text *out);
void help_reckon(struct text *out);

/* Man page (roff) and bash completion, written from the tables. */
void man_page(struct text *out);
void bash_completion(struct text *out);

void print_refusal(const char *text); /* "leenest: ..." on standard error, one line whatever was typed */

const char *nearest(const char *word, size_t n, const char *const known[]); /* NULL when nothing is near */

int cli_run(int argc, char **argv);

#endif
