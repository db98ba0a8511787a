/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "doors/cli/commands.h"

static const struct show_how plain = { .width = 80 };

/* Choices stand beside the flag where they fit into its column; longer ones go into the sentence. */
static bool beside(const struct param *p)
{
    return strlen(p->name) + strlen(p->choices) + 3 <= 26;
}

/* "--wind SPEED", "ID,ID", "[--json]" */
static void param_words(const struct param *p, char out[static 96])
{
    static const char *const kind_word[] = {
        [P_QUANTITY] = NULL, [P_WHOLE] = "N", [P_TEXT] = "TEXT", [P_CHOICE] = NULL, [P_MOMENT] = "TIME",
        [P_DAY] = "DATE",    [P_FLAG] = "",   [P_FILE] = "FILE", [P_ZONE] = "NAME"
    };
    const char *word = kind_word[p->kind];
    char made[64];

    if (p->kind == P_QUANTITY) {
        (void)snprintf(made, sizeof made, "%s", quantity_example[p->of]);
        word = made;
    } else if (p->kind == P_CHOICE) {
        word = beside(p) ? p->choices : "WORD";
    }
    if (p->how & PARAM_WORD)
        (void)snprintf(out, 96, "%s%s", p->name, p->how & PARAM_REPEAT ? " ..." : "");
    else
        (void)snprintf(out, 96, "--%s%s%s%s", p->name, *word ? " " : "", word, p->how & PARAM_REPEAT ? " ..." : "");
}

static void param_notes(const struct param *p, struct text *out)
{
    text_add(out, p->help);
    if (p->kind == P_CHOICE && !beside(p)) {
        text_add(out, ": ");
        for (const char *c = p->choices; *c; c++)
            text_add_bytes(out, *c == '|' ? ", " : c, *c == '|' ? 2 : 1);
    }
    if (p->kind == P_WHOLE || (p->kind == P_QUANTITY && p->low > -1e17 && p->high < 1e17))
        text_print(out, " (%.10g to %.10g%s%s)", p->low, p->high, *quantity_si[p->of] ? " " : "", quantity_si[p->of]);
    if (p->otherwise)
        text_print(out, "; %s unless given", p->otherwise);
    if (p->how & PARAM_REQUIRED)
        text_add(out, "; needed");
}

/* What every command takes, but for a name that means something else in this one: a hut has a --width too. */
static void everywhere(const struct param *params, size_t n_params, struct text *out)
{
    static const struct {
        const char *name, *words;
    } all[] = { { "farm", "--farm FILE" }, { "json", "--json" },     { "csv", "--csv (tables)" },
                { "narrow", "--narrow" },  { "width", "--width N" }, { "colour", "--colour auto|always|never" },
                { "help", "--help" } };
    struct text list;

    text_open_part(&list, out);
    for (size_t i = 0; i < COUNT(all); i++) {
        bool own = false;
        for (size_t k = 0; k < n_params; k++)
            own = own || (!(params[k].how & PARAM_WORD) && strcmp(params[k].name, all[i].name) == 0);
        if (!own)
            text_print(&list, "%s%s", *text_get(&list) ? ", " : "", all[i].words);
    }
    show_fold(out, &plain, "\n  Everywhere: ", 2, text_get(&list));
    text_close(&list);
}

void help_of(const char *words, const char *help, const struct param *params, size_t n_params, struct text *out)
{
    text_print(out, "leenest %s", words);
    for (size_t i = 0; i < n_params; i++)
        if (params[i].how & PARAM_WORD)
            text_print(out, " %s%s", params[i].name, params[i].how & PARAM_REPEAT ? "..." : "");
    text_print(out, " [--flags]\n\n");
    show_fold(out, &plain, "  ", 2, help);
    if (n_params)
        text_add(out, "\n");
    for (size_t i = 0; i < n_params; i++) {
        char left[96], lead[128];
        struct text notes;
        param_words(&params[i], left);
        text_open_part(&notes, out);
        param_notes(&params[i], &notes);
        (void)snprintf(lead, sizeof lead, "  %-26s ", left);
        show_fold(out, &plain, lead, 29, text_get(&notes));
        text_close(&notes);
    }
    everywhere(params, n_params, out);
}

static void one_line(struct text *out, const char *name, const char *help)
{
    char lead[64];
    (void)snprintf(lead, sizeof lead, "  %-16s ", name);
    show_fold(out, &plain, lead, 19, help);
}

void help_all(struct text *out)
{
    text_add(out,
             "leenest: who may farrow tonight, how cold it will be for the newborn, and what\nto do before when.\n\n"
             "leenest QUESTION [--flags]       ask the farm file\n"
             "leenest record KIND --flags      write something down\n"
             "leenest reckon PIECE --flags     one piece of the reckoning, without a farm file\n\n"
             "Questions\n");
    for (size_t i = 0; questions[i]; i++)
        one_line(out, questions[i]->name, questions[i]->help);
    text_add(out, "\nCommands\n");
    for (size_t i = 0; commands[i]; i++)
        one_line(out, commands[i]->name, commands[i]->help);
    one_line(out, "record", "write something down; leenest record --help lists the kinds");
    one_line(out, "reckon", "one piece of the reckoning by itself; leenest reckon --help lists them");
    show_fold(out, &plain, "\n", 0,
              "The farm is one file; leenest backup copies it at any time. After a power cut a second file may lie "
              "beside it, its name ending in -journal: leave it there until leenest has run once, and copy both or "
              "neither.");
    show_fold(
        out, &plain, "\n", 0,
        "leenest NAME --help tells more. --known-to N asks a question as it was known at change N of leenest history. "
        "The advice never replaces going out to look; local rules and the vet come first.");
}

void help_reckon(struct text *out)
{
    text_add(
        out,
        "leenest reckon PIECE [--flags]\n\n  One piece of the reckoning by itself, without a farm file: for teaching,\n"
        "  checking and scripts.\n\n");
    for (size_t i = 0; pieces[i]; i++)
        one_line(out, pieces[i]->name, pieces[i]->help);
}

/* roff: a backslash and a leading dot or quote mean something there */
static void roff(struct text *out, const char *s)
{
    if (*s == '.' || *s == '\'')
        text_add(out, "\\&");
    for (; *s; s++) {
        if (*s == '\\')
            text_add(out, "\\e");
        else if (*s == '-')
            text_add(out, "\\-");
        else if (*s == ',' && s[1] != ' ')
            text_add(out, ",\\:"); /* a line may be broken here */
        else
            text_add_bytes(out, s, 1);
    }
}

static void man_one(struct text *out, const char *before, const char *name, const char *help,
                    const struct param *params, size_t n_params)
{
    text_print(out, ".SS \"%s%s\"\n", before, name);
    roff(out, help);
    text_add(out, "\n");
    for (size_t i = 0; i < n_params; i++) {
        char left[96];
        struct text notes;
        param_words(&params[i], left);
        text_open_part(&notes, out);
        param_notes(&params[i], &notes);
        text_add(out, ".TP\n.B ");
        roff(out, left);
        text_add(out, "\n");
        roff(out, text_get(&notes));
        text_add(out, "\n");
        text_close(&notes);
    }
}

void man_page(struct text *out)
{
    text_add(
        out,
        ".TH LEENEST 1\n.SH NAME\nleenest \\- farrowing on the field in winter: who, how cold, what to do before when\n"
        ".SH SYNOPSIS\n.B leenest\n[\\-\\-farm FILE] QUESTION [flags]\n.br\n.B leenest record\nKIND [flags]\n.br\n"
        ".B leenest reckon\nPIECE [flags]\n.SH DESCRIPTION\n"
        "Keeps the record of a small outdoor pig herd in one file and reckons from it and from the weather. "
        "Numbers without a unit are SI; 12F, 15mph, 20lb, 6in are understood.\n"
        ".SH FILES\nThe farm is one file; leenest backup copies it at any time. A file beside it whose name ends in "
        "\\-journal was left over by a power cut: leave it there until leenest has run once, and copy both or "
        "neither.\n"
        ".SH EVERYWHERE\n.TP\n.B \\-\\-json\nthe answer tree, SI units in the keys\n.TP\n.B \\-\\-csv\nthe answer's "
        "table\n"
        ".TP\n.B \\-\\-narrow\nfor a phone's width\n.TP\n.B \\-\\-colour auto|always|never\n"
        "colour on a terminal; NO_COLOR is honoured\n.TP\n.B \\-\\-farm FILE\nthe farm file; else LEENEST_FARM, else "
        "farm.leenest\n"
        ".SH QUESTIONS\n");
    for (size_t i = 0; questions[i]; i++)
        man_one(out, "leenest ", questions[i]->name, questions[i]->help, questions[i]->params, questions[i]->n_params);
    text_add(out, ".SH COMMANDS\n");
    for (size_t i = 0; commands[i]; i++)
        man_one(out, "leenest ", commands[i]->name, commands[i]->help, commands[i]->params, commands[i]->n_params);
    record_man(out);
    text_add(out, ".SH RECKON\n");
    for (size_t i = 0; pieces[i]; i++)
        man_one(out, "leenest reckon ", pieces[i]->name, pieces[i]->help, pieces[i]->params, pieces[i]->n_params);
    text_add(out, ".SH EXIT STATUS\n0 answered; 1 the answer is no, or a check fell short; 2 the request was wrong; "
                  "3 the farm file or the machine failed.\n"
                  ".SH CAUTION\nThe advice never replaces going out to look. Local rules and the vet come first.\n");
}

static void flags_case(struct text *out, const char *key, const struct param *params, size_t n_params)
{
    text_add(out, "    ");
    for (; *key; key++)
        text_add_bytes(out, *key == ' ' ? "-" : key, 1); /* "weather fetch" is looked for as weather-fetch */
    text_add(out, ") flags=\"");
    for (size_t i = 0; i < n_params; i++)
        if (!(params[i].how & PARAM_WORD))
            text_print(out, "--%s ", params[i].name);
    text_add(out, "\" ;;\n");
}

void bash_completion(struct text *out)
{
    text_add(out, "# Made by `leenest completion` from its own tables.\n_leenest()\n{\n"
                  "  local here=\"${COMP_WORDS[COMP_CWORD]}\" first=\"${COMP_WORDS[1]}\" flags=\"\" key\n"
                  "  local everywhere=\"--json --csv --narrow --width --colour --farm --help\"\n  local names=\"");
    for (size_t i = 0; questions[i]; i++)
        text_print(out, "%s ", questions[i]->name);
    for (size_t i = 0; commands[i]; i++)
        text_print(out, "%s ", commands[i]->name);
    text_add(out, "record reckon\"\n  local pieces=\"");
    for (size_t i = 0; pieces[i]; i++)
        text_print(out, "%s ", pieces[i]->name);
    text_add(out,
             "\"\n  if [ \"$COMP_CWORD\" -eq 1 ]; then COMPREPLY=($(compgen -W \"$names\" -- \"$here\")); return; fi\n"
             "  key=\"$first\"\n  if [ \"$first\" = reckon ]; then\n"
             "    if [ \"$COMP_CWORD\" -eq 2 ]; then COMPREPLY=($(compgen -W \"$pieces\" -- \"$here\")); return; fi\n"
             "    key=\"reckon-${COMP_WORDS[2]}\"\n  fi\n"
             "  if [ \"$first\" = weather ]; then\n    if [ \"$COMP_CWORD\" -eq 2 ]; then COMPREPLY=($(compgen -W "
             "\"fetch import type kept "
             "$everywhere\" -- \"$here\")); return; fi\n"
             "    case \"${COMP_WORDS[2]}\" in fetch|import|type|kept) key=\"weather-${COMP_WORDS[2]}\" ;; esac\n  "
             "fi\n  case \"$key\" in\n");
    for (size_t i = 0; questions[i]; i++)
        flags_case(out, questions[i]->name, questions[i]->params, questions[i]->n_params);
    for (size_t i = 0; commands[i]; i++)
        flags_case(out, commands[i]->name, commands[i]->params, commands[i]->n_params);
    for (size_t i = 0; pieces[i]; i++) {
        char key[64];
        (void)snprintf(key, sizeof key, "reckon-%s", pieces[i]->name);
        flags_case(out, key, pieces[i]->params, pieces[i]->n_params);
    }
    text_add(out, "  esac\n");
    record_completion(out);
    text_add(out, "  case \"$here\" in\n    -*) COMPREPLY=($(compgen -W \"$flags $everywhere\" -- \"$here\")) ;;\n"
                  "    *) COMPREPLY=($(compgen -f -- \"$here\")) ;;\n  esac\n}\ncomplete -F _leenest leenest\n");
}
