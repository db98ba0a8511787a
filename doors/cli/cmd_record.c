/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writing facts down: `leenest record KIND --flags`. Flags, help, man page and completion come from the table of facts. */
#include <string.h>

#include "doors/cli/commands.h"

static const struct show_how plain = { .width = 80 };
enum { FIELDS = 48 };

/* A fact's fields as parameters, so that one reader of flags serves all. Values stay text: the fact table reads them. */
static size_t params_of(const struct fact_kind *kind, struct param params[FIELDS], char names[FIELDS][40], struct arena *mem)
{
    size_t n = 0;

    for (size_t i = 0; i < kind->n_fields && n < FIELDS - 4; i++) {
        const struct fact_field *f = &kind->fields[i];
        const char *unit = fact_unit(f, false);
        const char *help = f->help;
        if (f->choices)
            help = arena_print(mem, "%s: %s", f->help, f->choices);
        else if (*unit)
            help = arena_print(mem, "%s (%s, or with its unit)", f->help, unit);
        params[n] = (struct param){ .name = fact_flag_name(f, names[n]), .kind = f->type == FACT_FLAG ? P_FLAG : P_TEXT,
                                    .otherwise = NULL, .how = f->how & FACT_EACH ? PARAM_REPEAT : 0, .help = help };
        n++;
    }
    return n;
}

static const struct param who[] = {
    { "uid", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "the recorder's own 32 hexadecimal digits, so that a repeat is harmless" },
    { "corrects", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "uid of the fact that this one puts right" },
    WHO_PARAMS,
};

void record_help(const char *word, struct text *out)
{
    const struct fact_kind *kind = word ? keep_kind(word) : NULL;
    struct param params[FIELDS];
    char names[FIELDS][40], words[64];
    struct arena mem;

    if (!kind) {
        text_add(out, "leenest record KIND --flags\n\n  Write something down. Kinds:\n\n");
        for (size_t i = 0; fact_kinds[i]; i++) {
            char lead[48];
            (void)snprintf(lead, sizeof lead, "  %-15s ", fact_kinds[i]->name);
            show_fold(out, &plain, lead, 18, fact_kinds[i]->help);
        }
        text_add(out, "\n  sow, gilt, boar and hut are understood too. leenest record KIND --help tells the flags.\n");
        return;
    }
    arena_open(&mem, 1 << 20);
    size_t n = params_of(kind, params, names, &mem);
    for (size_t i = 0; i < COUNT(who); i++)
        params[n++] = who[i];
    for (size_t i = 0; i < kind->n_fields && i < n; i++)
        if (kind->fields[i].how & FACT_REQUIRED)
            params[i].how |= PARAM_REQUIRED;
    (void)snprintf(words, sizeof words, "record %.40s", word);
    help_of(words, kind->help, params, n, out);
    arena_close(&mem);
}

static enum status open_or_make(struct cli *cli, const struct fact_kind *kind, struct farm **farm, struct message *why)
{
    const enum status st = farm_open(cli->farm_path, farm, why);

    if (st == ST_NOT_FOUND && strcmp(kind->name, "farm") == 0)
        return farm_create(cli->farm_path, NULL, farm, why);   /* the first fact of a farm makes its file */
    return st;
}

static void tell(struct cli *cli, struct farm *farm, const struct farm_outcome *o)
{
    const char *called = farm_called(farm, o->uid, &cli->mem);

    text_print(&cli->out, "%s: %s (%s)\n", o->already ? "Was there already" : "Recorded", called ? called : "", o->uid);
    for (size_t i = 0; i < o->n_flags; i++)
        show_fold(&cli->out, &plain, "  odd: ", 7, o->flags[i].says);
}

static void tell_json(struct cli *cli, struct farm *farm, size_t n, const struct farm_outcome outcomes[], struct answer *root)
{
    struct answer *list = answer_list(root, "recorded");
    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(list);
        answer_text(row, "uid", arena_text(&cli->mem, outcomes[i].uid));
        answer_text(row, "called", farm_called(farm, outcomes[i].uid, &cli->mem));
        answer_flag(row, "already", outcomes[i].already);
        answer_whole(row, "number", outcomes[i].number);
        struct answer *flags = answer_list(row, "odd");
        for (size_t k = 0; k < outcomes[i].n_flags; k++)
            answer_words(flags, outcomes[i].flags[k].says);
    }
}

enum status command_record(struct cli *cli, int argc, char **argv, struct message *why)
{
    struct param *params = ARENA_NEW(&cli->mem, struct param, FIELDS);
    char (*names)[40] = arena_get(&cli->mem, FIELDS, sizeof *names);
    const char *word = argc > 0 ? argv[0] : NULL;
    const struct fact_kind *kind = word ? keep_kind(word) : NULL;
    struct farm_meta meta = { 0 };
    struct typed_param *typed = NULL;
    struct farm *farm = NULL;
    size_t n = 0;

    if (!params || !names)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (!word || strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
        record_help(NULL, &cli->out);
        return word ? ST_OK : refuse(ST_BAD_INPUT, why, "kind", "record what? leenest record --help lists the kinds");
    }
    if (!kind) {
        const char *known[64];
        size_t k = 0;
        for (; fact_kinds[k] && k < COUNT(known); k++)
            known[k] = fact_kinds[k]->name;
        const char *near = nearest(word, k, known);
        return refuse(ST_BAD_INPUT, why, "kind", "unknown kind \"%.40s\"%s%s%s; leenest record --help lists them", word,
                      near ? ", did you mean " : "", near ? near : "", near ? "?" : "");
    }
    size_t n_params = params_of(kind, params, names, &cli->mem);
    const size_t first_who = n_params;
    for (size_t i = 0; i < COUNT(who); i++)
        params[n_params++] = who[i];
    enum status st = args_read(cli, argc - 1, argv + 1, arena_print(&cli->mem, "record %s", word), params, n_params, &typed, &n, why);
    if (cli->help) {
        record_help(word, &cli->out);
        return ST_OK;
    }
    struct said *said = ARENA_NEW(&cli->mem, struct said, n + 1);
    size_t n_said = 0;
    for (size_t i = 0; st == ST_OK && said && i < n; i++) {
        if (typed[i].param < first_who) {
            said[n_said++] = (struct said){ params[typed[i].param].name, typed[i].text };
            continue;
        }
        const char **to[] = { &meta.uid, &meta.replaces, &meta.who, &meta.device };
        *to[typed[i].param - first_who] = typed[i].text;
    }
    if (st == ST_OK)
        st = open_or_make(cli, kind, &farm, why);
    struct farm_outcome *outcomes = NULL;
    size_t n_outcomes = 0;
    if (st == ST_OK)
        st = keep_record(farm, word, n_said, said, &meta, (int64_t)time(NULL), &cli->mem, &outcomes, &n_outcomes, why);
    if (st == ST_OK && cli->json) {
        struct answer *root = answer_new(&cli->mem);
        tell_json(cli, farm, n_outcomes, outcomes, root);
        st = root ? show_json(root, &cli->out, why) : refuse(ST_NO_MEMORY, why, "", "out of memory");
    } else if (st == ST_OK) {
        for (size_t i = 0; i < n_outcomes; i++)
            tell(cli, farm, &outcomes[i]);
    }
    farm_close(farm);
    return st;
}

void record_man(struct text *out)
{
    text_add(out, ".SH RECORD\n");
    for (size_t i = 0; fact_kinds[i]; i++) {
        text_print(out, ".TP\n.B record %s\n%s.", fact_kinds[i]->name, fact_kinds[i]->help);
        for (size_t k = 0; k < fact_kinds[i]->n_fields; k++) {
            char flag[40];
            text_print(out, " \\-\\-%s", fact_flag_name(&fact_kinds[i]->fields[k], flag));
        }
        text_add(out, "\n");
    }
}

void record_completion(struct text *out)
{
    text_add(out, "  if [ \"$first\" = record ]; then\n    if [ \"$COMP_CWORD\" -eq 2 ]; then COMPREPLY=($(compgen -W \"sow gilt boar hut");
    for (size_t i = 0; fact_kinds[i]; i++)
        text_print(out, " %s", fact_kinds[i]->name);
    text_add(out, "\" -- \"$here\")); return; fi\n    case \"${COMP_WORDS[2]}\" in\n");
    for (size_t i = 0; fact_kinds[i]; i++) {
        const char *n = fact_kinds[i]->name;
        text_print(out, "      %s%s) flags=\"", n, strcmp(n, "animal") == 0 ? "|sow|gilt|boar" : strcmp(n, "shelter") == 0 ? "|hut" : "");
        for (size_t k = 0; k < fact_kinds[i]->n_fields; k++) {
            char flag[40];
            text_print(out, "--%s ", fact_flag_name(&fact_kinds[i]->fields[k], flag));
        }
        text_add(out, "\" ;;\n");
    }
    text_add(out, "    esac\n  fi\n");
}
