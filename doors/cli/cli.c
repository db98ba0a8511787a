/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/cli/commands.h"

#include <string.h>
#include <unistd.h>

#include "core/base/civil.h"

enum { MEM_CEILING = 1 << 29, OUT_CEILING = 1 << 28 };

static int exit_of(enum status st)
{
    switch (st) {
    case ST_OK: return 0;
    case ST_BAD_INPUT: case ST_NOT_FOUND: case ST_CONFLICT: return 2;
    case ST_BUSY: case ST_IO: case ST_NO_MEMORY: return 3;
    }
    return 3;
}

static bool wants_colour(const struct cli *cli)
{
    const char *none = getenv("NO_COLOR"), *term = getenv("TERM");

    if (strcmp(cli->colour, "always") == 0)
        return true;
    if (strcmp(cli->colour, "never") == 0 || (none && *none) || !isatty(STDOUT_FILENO))
        return false;
    return term && strcmp(term, "dumb") != 0;
}

static struct show_how how_of(const struct cli *cli, const struct asked *q)
{
    struct show_how how = { .width = cli->width ? cli->width : cli->narrow ? 44 : 80, .colour = wants_colour(cli),
                            .zone = q->zone };
    how.us_units = q->farm && desk_us_units(q->farm);
    return how;
}

static enum status show(struct cli *cli, const char *words, const struct asked *q, const struct answer *a, struct message *why)
{
    if (cli->json + cli->csv + cli->ics > 1)
        return refuse(ST_BAD_INPUT, why, "json", "--json, --csv and --ics exclude each other; give one");
    if (cli->ics)
        return show_ics(a, &cli->out, why);
    if (cli->json)
        return show_json(a, &cli->out, why);
    if (cli->csv)
        return show_csv(a, q->question->table, &cli->out, why);
    const struct show_how how = how_of(cli, q);
    show_text(words, a, &how, &cli->out);
    return text_full(&cli->out) ? refuse(ST_NO_MEMORY, why, "", "the answer is too long to be written out") : ST_OK;
}

static enum status open_farm(struct cli *cli, struct asked *q, struct message *why)
{
    const enum status st = farm_open(cli->farm_path, &q->farm, why);
    if (st != ST_OK)
        return st;
    q->at_utc_s = desk_now(q->farm, q->at_utc_s, q->mem);
    return desk_zone(q->farm, q->mem, &q->zone, why);
}

static enum status ask(struct cli *cli, const struct question *question, bool piece, int argc, char **argv, struct message *why)
{
    struct asked q = { .question = question, .mem = &cli->mem, .at_utc_s = (int64_t)time(NULL) };
    struct typed_param *typed = NULL;
    struct answer *answer = NULL;
    char words[64];
    size_t n = 0;

    (void)snprintf(words, sizeof words, "%s%s", piece ? "reckon " : "", question->name);
    enum status st = args_read(cli, argc, argv, words, question->params, question->n_params, &typed, &n, why);
    if (cli->help) {
        help_of(words, question->help, question->params, question->n_params, &cli->out);
        return ST_OK;
    }
    if (st == ST_OK && !piece)
        st = open_farm(cli, &q, why);
    if (st == ST_OK)
        st = asked_read(&q, n, typed, why);
    if (st == ST_OK)
        st = question_put(&q, &answer, why);
    if (st == ST_OK)
        st = show(cli, words, &q, answer, why);
    if (st == ST_OK && answer->no)
        cli->exit_code = 1;
    farm_close(q.farm);
    return st;
}

static enum status command(struct cli *cli, const struct command *c, int argc, char **argv, struct message *why)
{
    const struct question shell = { .name = c->name, .help = c->help, .params = c->params, .n_params = c->n_params };
    struct asked q = { .question = &shell, .mem = &cli->mem, .at_utc_s = (int64_t)time(NULL) };
    struct typed_param *typed = NULL;
    size_t n = 0;

    enum status st = args_read(cli, argc, argv, c->name, c->params, c->n_params, &typed, &n, why);
    if (cli->help) {
        help_of(c->name, c->help, c->params, c->n_params, &cli->out);
        return ST_OK;
    }
    if (st == ST_OK && !c->no_farm && !c->makes_farm)
        st = open_farm(cli, &q, why);
    if (st == ST_OK)
        st = asked_read(&q, n, typed, why);
    if (st == ST_OK)
        st = c->run(cli, &q, why);
    farm_close(q.farm);
    return st;
}

static enum status unknown(const char *what, const char *word, const char *near, struct message *why)
{
    return refuse(ST_BAD_INPUT, why, "", "unknown %s \"%.60s\"%s%s%s; leenest --help lists what there is", what, word,
                  near ? ", did you mean " : "", near ? near : "", near ? "?" : "");
}

static enum status reckon(struct cli *cli, int argc, char **argv, struct message *why)
{
    const char *known[64];
    size_t n = 0;

    if (argc == 0 || strcmp(argv[0], "--help") == 0 || strcmp(argv[0], "-h") == 0) {
        help_reckon(&cli->out);
        return argc == 0 ? refuse(ST_BAD_INPUT, why, "", "reckon what? leenest reckon --help lists the pieces") : ST_OK;
    }
    const struct question *piece = question_find(pieces, argv[0]);
    if (piece)
        return ask(cli, piece, true, argc - 1, argv + 1, why);
    for (; pieces[n] && n < COUNT(known); n++)
        known[n] = pieces[n]->name;
    return unknown("piece", argv[0], nearest(argv[0], n, known), why);
}

/* How many words of the command line make up this command's name ("weather fetch" is two); 0: another. */
static int is_command(const char *name, int argc, char **argv)
{
    const char *space = strchr(name, ' ');

    if (!space)
        return strcmp(name, argv[0]) == 0;
    const size_t first = (size_t)(space - name);
    return argc > 1 && strlen(argv[0]) == first && strncmp(name, argv[0], first) == 0 && strcmp(space + 1, argv[1]) == 0 ? 2 : 0;
}

static enum status dispatch(struct cli *cli, int argc, char **argv, struct message *why)
{
    const char *known[96];
    size_t n = 0;

    if (argc == 0 || strcmp(argv[0], "--help") == 0 || strcmp(argv[0], "-h") == 0 || strcmp(argv[0], "help") == 0) {
        help_all(&cli->out);
        return ST_OK;
    }
    if (strcmp(argv[0], "reckon") == 0)
        return reckon(cli, argc - 1, argv + 1, why);
    if (strcmp(argv[0], "record") == 0)
        return command_record(cli, argc - 1, argv + 1, why);
    for (size_t i = 0; commands[i]; i++) {
        const int words = is_command(commands[i]->name, argc, argv);
        if (words)
            return command(cli, commands[i], argc - words, argv + words, why);
    }
    const struct question *question = question_find(questions, argv[0]);
    if (question)
        return ask(cli, question, false, argc - 1, argv + 1, why);
    for (size_t i = 0; questions[i] && n < COUNT(known); i++)
        known[n++] = questions[i]->name;
    for (size_t i = 0; commands[i] && n < COUNT(known); i++)
        known[n++] = commands[i]->name;
    return unknown("question or command", argv[0], nearest(argv[0], n, known), why);
}

/* --farm FILE may stand before the question. */
static int leading_farm(struct cli *cli, int argc, char **argv, struct message *why, enum status *st)
{
    int i = 0;

    while (i < argc && strncmp(argv[i], "--farm", 6) == 0 && (argv[i][6] == '=' || argv[i][6] == '\0')) {
        if (argv[i][6] == '=') {
            cli->farm_path = argv[i++] + 7;
        } else if (i + 1 < argc) {
            cli->farm_path = argv[i + 1];
            i += 2;
        } else {
            *st = refuse(ST_BAD_INPUT, why, "farm", "--farm needs a file after it");
            return argc;
        }
    }
    return i;
}

int cli_run(int argc, char **argv)
{
    const char *farm = getenv("LEENEST_FARM");
    struct cli cli = { .farm_path = farm && *farm ? farm : "farm.leenest", .colour = "auto" };
    struct message why = { "", "" };
    enum status st = ST_OK;

    arena_open(&cli.mem, MEM_CEILING);
    text_open(&cli.out, OUT_CEILING);
    const int skip = leading_farm(&cli, argc - 1, argv + 1, &why, &st);
    if (st == ST_OK)
        st = dispatch(&cli, argc - 1 - skip, argv + 1 + skip, &why);
    if (st != ST_OK)
        (void)fprintf(stderr, "leenest: %s\n", why.text);
    else if (fwrite(text_get(&cli.out), 1, cli.out.length, stdout) != cli.out.length || fflush(stdout) != 0)
        st = refuse(ST_IO, &why, "", "could not write the answer");
    text_close(&cli.out);
    arena_close(&cli.mem);
    return st == ST_OK ? cli.exit_code : exit_of(st);
}
