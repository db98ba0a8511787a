/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "doors/cli/cli.h"

/* Changes of one letter, a missing one, one too many, or two swapped, count one each. */
static size_t distance(const char *a, const char *b)
{
    enum { LONGEST = 40 };
    size_t row[3][LONGEST + 1];
    const size_t na = strlen(a), nb = strlen(b);

    if (na > LONGEST || nb > LONGEST)
        return LONGEST;
    for (size_t j = 0; j <= nb; j++)
        row[1][j] = j;
    for (size_t i = 1; i <= na; i++) {
        size_t *now = row[(i + 1) % 3];
        const size_t *before = row[i % 3], *two = row[(i + 2) % 3];
        now[0] = i;
        for (size_t j = 1; j <= nb; j++) {
            size_t best = before[j - 1] + (a[i - 1] != b[j - 1]);
            if (before[j] + 1 < best)
                best = before[j] + 1;
            if (now[j - 1] + 1 < best)
                best = now[j - 1] + 1;
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && two[j - 2] + 1 < best)
                best = two[j - 2] + 1;
            now[j] = best;
        }
    }
    return row[(na + 1) % 3][nb];
}

const char *nearest(const char *word, size_t n, const char *const known[])
{
    const char *best = NULL;
    size_t least = strlen(word) / 3 + 2;

    for (size_t i = 0; i < n; i++) {
        const size_t d = distance(word, known[i]);
        if (d < least) {
            least = d;
            best = known[i];
        }
    }
    return best;
}

enum { MOST_WORDS = 256 };

/* A value may begin with a minus sign: "-5", "-5C", "-.5". A flag begins with two. */
static bool is_flag(const char *word)
{
    return word[0] == '-' && word[1] == '-' && word[2] != '\0';
}

static bool named(const char *word, size_t length, const char *name)
{
    return strlen(name) == length && strncmp(name, word, length) == 0;
}

static enum status width_read(struct cli *cli, const char *value, struct message *why)
{
    int64_t width = 0;

    if (!read_whole(value, &width) || width < 20 || width > 400)
        return refuse(ST_BAD_INPUT, why, "width", "--width: \"%.40s\" is no width; give 20 to 400 columns", value);
    cli->width = (int)width;
    return ST_OK;
}

static enum status colour_read(struct cli *cli, const char *value, struct message *why)
{
    cli->colour = value;
    if (strcmp(value, "auto") != 0 && strcmp(value, "always") != 0 && strcmp(value, "never") != 0)
        return refuse(ST_BAD_INPUT, why, "colour", "--colour: \"%.40s\" is none of auto, always, never", value);
    return ST_OK;
}

static enum status known_to_read(struct cli *cli, const char *value, struct message *why)
{
    if (!read_whole(value, &cli->known_to) || cli->known_to < 1)
        return refuse(ST_BAD_INPUT, why, "known-to",
                      "--known-to: \"%.40s\" is no change number; leenest history lists them", value);
    return ST_OK;
}

static enum status farm_read(struct cli *cli, const char *value, struct message *why)
{
    cli->farm_path = value;
    cli->farm_named = true;
    return *value ? ST_OK : refuse(ST_BAD_INPUT, why, "farm", "--farm is empty; give the farm file");
}

int args_global(struct cli *cli, int argc, char **argv, struct message *why, enum status *st)
{
    const struct {
        const char *name;
        bool *set;
    } on[] = {
        { "--json", &cli->json },     { "--csv", &cli->csv },   { "--ics", &cli->ics },
        { "--narrow", &cli->narrow }, { "--help", &cli->help }, { "-h", &cli->help },
    };
    static const struct {
        const char *name;
        enum status (*read)(struct cli *, const char *, struct message *);
    } valued[] = {
        { "--farm", farm_read },
        { "--colour", colour_read },
        { "--width", width_read },
        { "--known-to", known_to_read },
    };
    const char *word = argv[0], *equals = strchr(word, '=');
    const size_t n = equals ? (size_t)(equals - word) : strlen(word);

    for (size_t i = 0; i < COUNT(on); i++) {
        if (!named(word, n, on[i].name))
            continue;
        if (equals)
            *st = refuse(ST_BAD_INPUT, why, on[i].name, "%s takes no value", on[i].name);
        *on[i].set = true;
        return 1;
    }
    for (size_t i = 0; i < COUNT(valued); i++) {
        if (!named(word, n, valued[i].name))
            continue;
        if (equals)
            *st = valued[i].read(cli, equals + 1, why);
        else if (argc < 2 || is_flag(argv[1]))
            *st = refuse(ST_BAD_INPUT, why, word + 2, "%s needs a value after it", word);
        else
            *st = valued[i].read(cli, argv[1], why);
        return equals || argc < 2 ? 1 : 2;
    }
    return 0;
}

static enum status unknown_flag(const char *command, const char *word, size_t length, const struct param *params,
                                size_t n_params, struct message *why)
{
    static const char *const everywhere[] = { "json",   "csv",  "ics",      "narrow", "width",
                                              "colour", "farm", "known-to", "help" };
    const char *known[MOST_WORDS];
    char name[64];
    size_t n = 0;

    for (size_t i = 0; i < n_params && n < MOST_WORDS - COUNT(everywhere); i++)
        if (!(params[i].how & PARAM_WORD))
            known[n++] = params[i].name;
    for (size_t i = 0; i < COUNT(everywhere); i++)
        known[n++] = everywhere[i];
    (void)snprintf(name, sizeof name, "%.*s", (int)(length < 40 ? length : 40), word);
    const char *near = nearest(name, n, known);
    return refuse(ST_BAD_INPUT, why, name, "unknown flag --%s for %s%s%s%s", name, command,
                  near ? "; did you mean --" : "", near ? near : "", near ? "?" : "");
}

static bool same_flag(const struct param *p, const char *word, size_t length)
{
    return !(p->how & PARAM_WORD) && strlen(p->name) == length && strncmp(p->name, word, length) == 0;
}

enum status args_read(struct cli *cli, int argc, char **argv, const char *command, const struct param *params,
                      size_t n_params, struct typed_param **typed, size_t *n, struct message *why)
{
    struct typed_param *list = ARENA_NEW(&cli->mem, struct typed_param, (size_t)argc + 1);
    size_t used = 0, next_word = 0;
    enum status st = ST_OK;

    if (!list)
        return refuse(ST_NO_MEMORY, why, "", "too many words on the command line");
    for (int i = 0; i < argc && st == ST_OK;) {
        const char *name = argv[i] + (is_flag(argv[i]) ? 2 : 0), *equals = strchr(name, '=');
        const size_t length = equals ? (size_t)(equals - name) : strlen(name);
        size_t p = 0;
        while (p < n_params && !(is_flag(argv[i]) && same_flag(&params[p], name, length)))
            p++;
        /* a command's own flag comes first: a hut has a --width too */
        const int global = p < n_params ? 0 : args_global(cli, argc - i, argv + i, why, &st);
        if (global) {
            i += global;
            continue;
        }
        if (!is_flag(argv[i])) {
            while (next_word < n_params && !(params[next_word].how & PARAM_WORD))
                next_word++;
            if (next_word == n_params)
                return refuse(ST_BAD_INPUT, why, "", "unknown word \"%.60s\" for %s; see leenest %s --help", argv[i],
                              command, command);
            list[used++] = (struct typed_param){ next_word, argv[i++] };
            next_word += !(params[next_word].how & PARAM_REPEAT);
            continue;
        }
        if (p == n_params)
            return unknown_flag(command, name, length, params, n_params, why);
        i++;
        if (params[p].kind == P_FLAG) {
            if (equals)
                return refuse(ST_BAD_INPUT, why, params[p].name, "--%s takes no value", params[p].name);
            list[used++] = (struct typed_param){ p, "yes" };
        } else if (equals) {
            list[used++] = (struct typed_param){ p, equals + 1 };
        } else if (i < argc && !is_flag(argv[i])) {
            list[used++] = (struct typed_param){ p, argv[i++] };
            while ((params[p].how & PARAM_REPEAT) && i < argc && !is_flag(argv[i]))
                list[used++] = (struct typed_param){ p, argv[i++] };
        } else {
            return refuse(ST_BAD_INPUT, why, params[p].name, "--%s needs a value after it", params[p].name);
        }
    }
    *typed = list;
    *n = used;
    return st;
}
