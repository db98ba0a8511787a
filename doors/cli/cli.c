/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/cli/commands.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "core/base/civil.h"
#include "desk/keeping.h"
#include "doors/cli/at_work.h"

enum { MEM_CEILING = 1 << 29, OUT_CEILING = 1 << 28 };

static int exit_of(enum status st)
{
    switch (st) {
    case ST_OK: return 0;
    case ST_BAD_INPUT:
    case ST_NOT_FOUND:
    case ST_CONFLICT: return 2;
    case ST_BUSY:
    case ST_AWAY:
    case ST_IO:
    case ST_NO_MEMORY: return 3;
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
    struct show_how how = { .width = cli->width    ? cli->width
                                     : cli->narrow ? 44
                                                   : 80,
                            .colour = wants_colour(cli),
                            .zone = q->zone };
    how.us_units = q->farm && cli->us_units;
    return how;
}

static enum status show(struct cli *cli, const char *words, const struct asked *q, const struct answer *a,
                        struct message *why)
{
    if (cli->ics)
        return show_ics(a, &cli->out, why);
    if (cli->json)
        return show_json(a, &cli->out, why);
    if (cli->csv)
        return show_csv(a, q->question->table, &cli->out, why);
    const struct show_how how = how_of(cli, q);
    show_text(words, a, &how, &cli->out);
    return text_full(&cli->out)
               ? refuse(ST_NO_MEMORY, why, "", "the answer is too long to be written out, or memory ran out")
               : ST_OK;
}

enum status farm_there(const struct cli *cli, struct farm **farm, struct message *why)
{
    struct message inner = { "", "" };
    const enum status st = farm_open(cli->farm_path, farm, &inner);

    if (st == ST_NOT_FOUND)
        return refuse(
            st, why, "farm",
            "there is no farm file %.60s yet; begin with leenest record farm --name NAME --lat 54.6 --lon -2.4 "
            "--zone Europe/London, or name another with --farm",
            cli->farm_path);
    return st == ST_OK ? st : refuse(st, why, inner.field, "%s", inner.text);
}

static enum status open_farm(struct cli *cli, struct asked *q, struct message *why)
{
    const enum status st = farm_there(cli, &q->farm, why);
    if (st != ST_OK)
        return st;
    struct fact_speech speech = { .zone = NULL };
    const enum status units = farm_speech(q->farm, &speech, why);
    cli->us_units = speech.us_units;
    q->at_utc_s = desk_now(q->farm, q->at_utc_s, q->mem);
    return units == ST_OK ? desk_zone(q->farm, q->mem, &q->zone, why) : units;
}

/* One way of printing at a time, and only one that this command has. */
static enum status one_shape(const struct cli *cli, const char *words, bool csv, bool ics, struct message *why)
{
    if (cli->json + cli->csv + cli->ics > 1)
        return refuse(ST_BAD_INPUT, why, "json", "--json, --csv and --ics exclude each other; give one");
    if (cli->csv && !csv)
        return refuse(ST_BAD_INPUT, why, "csv", "%s gives no table; leave out --csv", words);
    if (cli->ics && !ics)
        return refuse(ST_BAD_INPUT, why, "ics", "%s gives no calendar; leave out --ics", words);
    return ST_OK;
}

/* Answers to "as it was known then" are for the questions alone. */
static enum status known_to_there(const struct cli *cli, struct asked *q, struct message *why)
{
    int64_t newest = 0;

    if (cli->known_to == 0)
        return ST_OK;
    if (!q->farm)
        return refuse(ST_BAD_INPUT, why, "known-to",
                      "--known-to: only a question to the farm file can be asked as it was known then");
    const enum status st = farm_number(q->farm, &newest, why);
    if (st == ST_OK && cli->known_to > newest)
        return refuse(ST_BAD_INPUT, why, "known-to", "--known-to: the newest change has the number %lld",
                      (long long)newest);
    q->known_to = cli->known_to;
    return st;
}

static enum status ask(struct cli *cli, const struct question *question, bool piece, int argc, char **argv,
                       struct message *why)
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
    if (st == ST_OK)
        st = one_shape(cli, words, question->table, true, why);
    if (st == ST_OK && !piece)
        st = open_farm(cli, &q, why);
    if (st == ST_OK)
        st = known_to_there(cli, &q, why);
    if (st == ST_OK)
        st = asked_read(&q, n, typed, why);
    if (st == ST_OK) {
        struct at_work work;
        at_work_begin(&work, words);
        st = question_put(&q, &answer, why);
        at_work_end(&work);
    }
    if (st == ST_OK)
        st = show(cli, words, &q, answer, why);
    if (st == ST_OK && answer->no)
        cli->exit_code = 1;
    farm_close(q.farm);
    return st;
}

struct show_how command_how(const struct cli *cli, const struct asked *q)
{
    return how_of(cli, q);
}

enum status show_rows(struct cli *cli, const struct answer *root, const char *list, struct message *why)
{
    if (!root || arena_full(&cli->mem))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    return cli->csv ? show_csv(root, list, &cli->out, why) : show_json(root, &cli->out, why);
}

/* What a command said, line by line, for whoever asked for JSON. */
static enum status lines_as_json(struct cli *cli, struct message *why)
{
    struct answer *root = answer_new(&cli->mem), *list = answer_list(root, "says");
    const char *said = arena_text(&cli->mem, text_get(&cli->out));

    for (const char *s = said; s && *s;) {
        const size_t n = strcspn(s, "\n");
        if (n > 0)
            answer_words(list, arena_bytes(&cli->mem, s, n));
        s += n + (s[n] == '\n');
    }
    text_close(&cli->out);
    text_open(&cli->out, OUT_CEILING);
    return show_rows(cli, root, "says", why);
}

/* What stands below speaks of fields; here they are flags. */
static enum status as_typed(const struct command *c, const struct message *inner, enum status st, struct message *why)
{
    for (size_t p = 0; p < c->n_params; p++)
        if (strcmp(c->params[p].name, inner->field) == 0 && !(c->params[p].how & PARAM_WORD) &&
            strncmp(inner->text, "--", 2) != 0)
            return refuse(st, why, inner->field, "--%s: %s", inner->field, inner->text);
    return refuse(st, why, inner->field, "%s", inner->text);
}

static enum status command(struct cli *cli, const struct command *c, int argc, char **argv, struct message *why)
{
    const struct question shell = { .name = c->name, .help = c->help, .params = c->params, .n_params = c->n_params };
    struct asked q = { .question = &shell, .mem = &cli->mem, .at_utc_s = (int64_t)time(NULL) };
    struct typed_param *typed = NULL;
    struct message inner = { "", "" };
    size_t n = 0;

    enum status st = args_read(cli, argc, argv, c->name, c->params, c->n_params, &typed, &n, why);
    if (cli->help) {
        help_of(c->name, c->help, c->params, c->n_params, &cli->out);
        return ST_OK;
    }
    if (st == ST_OK)
        st = one_shape(cli, c->name, c->csv, false, why);
    if (st == ST_OK && cli->known_to)
        st = refuse(ST_BAD_INPUT, why, "known-to", "unknown flag --known-to for %s; it goes with the questions",
                    c->name);
    if (st == ST_OK && !c->no_farm && !c->makes_farm)
        st = open_farm(cli, &q, why);
    if (st == ST_OK)
        st = asked_read(&q, n, typed, why);
    if (st == ST_OK) {
        st = c->run(cli, &q, &inner);
        if (st != ST_OK)
            (void)as_typed(c, &inner, st, why);
    }
    if (st == ST_OK && cli->json && !c->json)
        st = lines_as_json(cli, why);
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
    return argc > 1 && strlen(argv[0]) == first && strncmp(name, argv[0], first) == 0 && strcmp(space + 1, argv[1]) == 0
               ? 2
               : 0;
}

/* "weather fetsh": the first word is known, the second is not. */
static enum status half_known(int argc, char **argv, struct message *why)
{
    const char *known[16];
    size_t n = 0;
    const size_t first = strlen(argv[0]);

    for (size_t i = 0; commands[i] && n < COUNT(known); i++)
        if (strncmp(commands[i]->name, argv[0], first) == 0 && commands[i]->name[first] == ' ')
            known[n++] = commands[i]->name + first + 1;
    if (n == 0 || argc < 2 || argv[1][0] == '-')
        return ST_OK;
    return unknown(argv[0], argv[1], nearest(argv[1], n, known), why);
}

static bool is_help(const char *word)
{
    return strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0 || strcmp(word, "help") == 0;
}

static enum status dispatch(struct cli *cli, int argc, char **argv, struct message *why)
{
    const char *known[96];
    size_t n = 0;

    if (argc > 1 && is_help(argv[0]) && argv[1][0] != '-') { /* "help tonight" is "tonight --help" */
        cli->help = true;
        return dispatch(cli, argc - 1, argv + 1, why);
    }
    if (argc == 0 || is_help(argv[0])) {
        help_all(&cli->out);
        return ST_OK;
    }
    if (strcmp(argv[0], "--version") == 0) {
        text_add(&cli->out, "leenest " LEENEST_VERSION "\n");
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
    const enum status st = half_known(argc, argv, why);
    const struct question *question = question_find(questions, argv[0]);
    if (question && st == ST_OK)
        return ask(cli, question, false, argc - 1, argv + 1, why);
    for (size_t i = 0; questions[i] && n < COUNT(known); i++)
        known[n++] = questions[i]->name;
    for (size_t i = 0; commands[i] && n < COUNT(known) - 2; i++)
        known[n++] = commands[i]->name;
    known[n++] = "record";
    known[n++] = "reckon";
    return st == ST_OK ? unknown("question or command", argv[0], nearest(argv[0], n, known), why) : st;
}

/* Flags that all commands know may stand before the question too. */
static int leading_flags(struct cli *cli, int argc, char **argv, struct message *why, enum status *st)
{
    int i = 0, words = 0;

    while (i < argc && *st == ST_OK && !is_help(argv[i]) && (words = args_global(cli, argc - i, argv + i, why, st)) > 0)
        i += words;
    return i;
}

int cli_run(int argc, char **argv)
{
    const char *farm = getenv("LEENEST_FARM");
    struct cli cli = { .farm_path = farm && *farm ? farm : "farm.leenest", .colour = "auto" };
    struct message why = { "", "" };
    enum status st = ST_OK;

    json_room_open();
    arena_open(&cli.mem, MEM_CEILING);
    text_open(&cli.out, OUT_CEILING);
    const int skip = leading_flags(&cli, argc - 1, argv + 1, &why, &st);
    if (st == ST_OK)
        st = dispatch(&cli, argc - 1 - skip, argv + 1 + skip, &why);
    if (st == ST_OK && (text_full(&cli.out) || arena_full(&cli.mem)))
        st = refuse(ST_NO_MEMORY, &why, "", "the answer is too long to be written out, or memory ran out");
    if (st == ST_NO_MEMORY && cli.kept)
        (void)refuse(st, &why, "", "it is written down, but there was no room to tell of it: %s", why.text);
    if (st == ST_OK && (fwrite(text_get(&cli.out), 1, cli.out.length, stdout) != cli.out.length || fflush(stdout) != 0))
        st = refuse(ST_IO, &why, "", "%scould not write the answer: %s", cli.kept ? "it is written down, but " : "",
                    strerror(errno));
    if (st != ST_OK)
        print_refusal(why.text);
    text_close(&cli.out);
    arena_close(&cli.mem);
    return st == ST_OK ? cli.exit_code : exit_of(st);
}
