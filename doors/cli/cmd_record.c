/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writing facts down: `leenest record KIND --flags`. Flags, help, man page and completion come from the table of facts.
 */
#include <string.h>
#include <unistd.h>

#include "desk/keep_body.h"
#include "doors/cli/commands.h"

static const struct show_how plain = { .width = 80 };
enum { FIELDS = 48 };

static const struct param who[] = {
    { "uid", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
      "the recorder's own 32 hexadecimal digits, so that a repeat is harmless" },
    { "corrects", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "uid of the fact that this one puts right" },
    WHO_PARAMS,
};

/* A fact's fields as parameters, so that one reader of flags serves all. Values stay text: the fact table reads them.
 */
static size_t params_of(const struct fact_kind *kind, struct param params[FIELDS], char names[FIELDS][40])
{
    size_t n = 0;

    for (size_t i = 0; i < kind->n_fields && n < FIELDS - COUNT(who); i++) {
        const struct fact_field *f = &kind->fields[i];
        params[n] = (struct param){ .name = fact_flag_name(f, names[n]),
                                    .kind = f->type == FACT_FLAG ? P_FLAG : P_TEXT,
                                    .how = f->how & FACT_EACH ? PARAM_REPEAT : 0,
                                    .help = f->help };
        n++;
    }
    return n;
}

static bool has_flag(const struct param *params, size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(params[i].name, name) == 0)
            return true;
    return false;
}

/* The same as the help tells them: each with what is to be typed after it. */
static void told_in_help(const struct fact_kind *fact, size_t i, struct param *p)
{
    const struct fact_field *f = &fact->fields[i];
    static const enum param_kind kind[] = {
        [FACT_TEXT] = P_TEXT,
        [FACT_CHOICE] = P_CHOICE,
        [FACT_SET] = P_CHOICE,
        [FACT_REAL] = P_WHOLE /* N, with its unit */,
        [FACT_WHOLE] = P_WHOLE,
        [FACT_DAY] = P_DAY,
        [FACT_MOMENT] = P_MOMENT,
        [FACT_FLAG] = P_FLAG,
        [FACT_REF] = P_ZONE /* a NAME */,
    };

    p->kind = kind[f->type];
    p->of = f->of;
    p->low = f->low;
    p->high = f->high;
    p->choices = f->choices;
    p->otherwise = keep_now_will_do(fact, i) ? "now" : f->otherwise;
    p->how |= f->how & FACT_REQUIRED && !p->otherwise ? PARAM_REQUIRED : 0;
}

void record_help(const char *word, struct text *out)
{
    const struct fact_kind *kind = word ? keep_kind(word) : NULL;
    struct param params[FIELDS];
    char names[FIELDS][40], words[64];
    bool measures = false;

    if (!kind) {
        text_add(out, "leenest record KIND --flags\n\n  Write something down. Kinds:\n\n");
        for (size_t i = 0; fact_kinds[i]; i++) {
            char lead[48];
            (void)snprintf(lead, sizeof lead, "  %-15s ", fact_kinds[i]->name);
            show_fold(out, &plain, lead, 18, fact_kinds[i]->help);
        }
        text_add(out,
                 "\n  sow, gilt, boar and hut are understood too. leenest record KIND --help tells\n  the flags.\n");
        return;
    }
    size_t n = params_of(kind, params, names);
    for (size_t i = 0; i < n; i++)
        told_in_help(kind, i, &params[i]);
    for (size_t i = 0; i < COUNT(who); i++)
        if (!has_flag(params, n, who[i].name)) /* the kind's own comes first */
            params[n++] = who[i];
    for (size_t i = 0; i < kind->n_fields; i++)
        measures = measures || kind->fields[i].type == FACT_REAL;
    (void)snprintf(words, sizeof words, "record %.40s", word);
    help_of(words, kind->help, params, n, out);
    if (measures)
        show_fold(out, &plain, "  ", 2,
                  "A bare N is in the farm's units (metric: °C, m/s, kg, m, mm; US: °F, mph, lb, ft, depths in "
                  "inches); with its "
                  "own unit it goes anywhere: 12F, -4C, 15mph, 20lb, 6in.");
}

enum status unknown_kind(const char *word, struct message *why)
{
    const char *known[64];
    size_t n = 0;

    for (; fact_kinds[n] && n < COUNT(known) - 4; n++)
        known[n] = fact_kinds[n]->name;
    known[n++] = "sow";
    known[n++] = "gilt";
    known[n++] = "boar";
    known[n++] = "hut";
    const char *near = nearest(word, n, known);
    return refuse(ST_BAD_INPUT, why, "kind", "unknown kind \"%.40s\"%s%s%s; leenest record --help lists them", word,
                  near ? ", did you mean " : "", near ? near : "", near ? "?" : "");
}

static enum status open_or_make(const struct cli *cli, const struct fact_kind *kind, struct farm **farm, bool *made,
                                struct message *why)
{
    struct message inner = { "", "" };

    *made = false;
    if (strcmp(kind->name, "farm") != 0)
        return farm_there(cli, farm, why);
    const enum status st = farm_open(cli->farm_path, farm, &inner);
    if (st != ST_NOT_FOUND)
        return st == ST_OK ? st : refuse(st, why, inner.field, "%s", inner.text);
    const enum status created =
        farm_create(cli->farm_path, NULL, farm, why); /* the first fact of a farm makes its file */
    *made = created == ST_OK;
    return created;
}

static void tell(struct cli *cli, struct farm *farm, const struct farm_outcome *o)
{
    const struct show_how how = { .width = cli->width ? cli->width : cli->narrow ? 44 : 80 };
    const char *called = farm_called(farm, o->uid, &cli->mem);

    text_print(&cli->out, "%s: %s (%s)\n", o->already ? "Was there already" : "Recorded", called ? called : "", o->uid);
    for (size_t i = 0; i < o->n_flags; i++)
        show_fold(&cli->out, &how, "  odd: ", 7, o->flags[i].says);
    if (o->n_flags)
        text_print(&cli->out, "  If it is right all the same: leenest settle %lld\n", (long long)o->flags[0].number);
}

static void tell_clock(struct cli *cli, struct farm *farm)
{
    const struct show_how how = { .width = cli->width ? cli->width : cli->narrow ? 44 : 80 };
    const char *back = keep_clock_back(farm, &cli->mem);

    if (back)
        show_fold(&cli->out, &how, "  clock: ", 9, back);
}

static enum status tell_rows(struct cli *cli, struct farm *farm, size_t n, const struct farm_outcome outcomes[],
                             struct message *why)
{
    struct answer *root = answer_new(&cli->mem), *list = answer_list(root, "recorded");

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
    return show_rows(cli, root, "recorded", why);
}

/* What is typed, apart: the fact's own fields, and who says so. */
static enum status take_apart(size_t n, const struct typed_param typed[], const struct param params[], size_t first_who,
                              struct said said[], size_t *n_said, struct farm_meta *meta, struct message *why)
{
    const char **to[] = { &meta->uid, &meta->replaces, &meta->who, &meta->device };

    *n_said = 0;
    for (size_t i = 0; i < n; i++) {
        const char *name = params[typed[i].param].name, *text = typed[i].text;
        if (typed[i].param < first_who) {
            said[(*n_said)++] = (struct said){ name, text };
            continue;
        }
        if (text[strspn(text, " \t\r\n")] == '\0')
            return refuse(ST_BAD_INPUT, why, name, "--%s is empty; give a value, or leave it out", name);
        const char **slot = to[typed[i].param - first_who];
        if (*slot)
            return refuse(ST_BAD_INPUT, why, name, "--%s is given twice; once is enough", name);
        *slot = text;
    }
    return ST_OK;
}

/* The fact table speaks of fields; on the command line they are flags. */
static enum status as_flag(const struct fact_kind *kind, enum status st, const struct message *inner,
                           struct message *why)
{
    static const struct {
        const char *field, *flag;
    } own[] = { { "uid", "uid" }, { "replaces", "corrects" }, { "who", "who" }, { "device", "device" } };
    const size_t n = strlen(inner->field);
    char flag[40] = "";

    for (size_t i = 0; i < kind->n_fields && n > 0; i++) {
        (void)fact_flag_name(&kind->fields[i], flag);
        if (strcmp(inner->field, kind->fields[i].name) == 0 || strcmp(inner->field, flag) == 0)
            break;
        flag[0] = '\0';
    }
    for (size_t i = 0; i < COUNT(own) && !flag[0]; i++)
        if (strcmp(inner->field, own[i].field) == 0)
            (void)snprintf(flag, sizeof flag, "%s", own[i].flag);
    if (!flag[0] || strncmp(inner->text, "--", 2) == 0)
        return refuse(st, why, inner->field, "%s", inner->text);
    const size_t k = strlen(flag);
    if (strncmp(inner->text, inner->field, n) == 0 && (inner->text[n] == ':' || inner->text[n] == ' '))
        return refuse(st, why, flag, "--%s%s", flag, inner->text + n);
    if (strncmp(inner->text, flag, k) == 0 && (inner->text[k] == ':' || inner->text[k] == ' '))
        return refuse(st, why, flag, "--%s%s", flag, inner->text + k);
    return refuse(st, why, flag, "--%s: %s", flag, inner->text);
}

static enum status record(struct cli *cli, const struct fact_kind *kind, const char *word, int argc, char **argv,
                          struct message *why)
{
    struct param *params = ARENA_NEW(&cli->mem, struct param, FIELDS);
    char(*names)[40] = arena_get(&cli->mem, FIELDS, sizeof *names);
    struct farm_meta meta = { 0 };
    struct typed_param *typed = NULL;
    struct farm_outcome *outcomes = NULL;
    struct farm *farm = NULL;
    struct message inner = { "", "" };
    size_t n = 0, n_said = 0, n_outcomes = 0;
    bool made = false;

    if (!params || !names)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    const size_t first_who = params_of(kind, params, names);
    memcpy(params + first_who, who, sizeof who);
    enum status st = args_read(cli, argc, argv, arena_print(&cli->mem, "record %s", word), params,
                               first_who + COUNT(who), &typed, &n, why);
    if (cli->help) {
        record_help(word, &cli->out);
        return ST_OK;
    }
    struct said *said = ARENA_NEW(&cli->mem, struct said, n + 1);
    if (st == ST_OK && !said)
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK && (cli->ics || cli->known_to || cli->json + cli->csv > 1))
        st = refuse(ST_BAD_INPUT, why, "",
                    cli->ics        ? "record gives no calendar; leave out --ics"
                    : cli->known_to ? "unknown flag --known-to for record; it goes with the questions"
                                    : "--json and --csv exclude each other; give one");
    if (st == ST_OK)
        st = take_apart(n, typed, params, first_who, said, &n_said, &meta, why);
    if (st == ST_OK)
        st = open_or_make(cli, kind, &farm, &made, why);
    if (st == ST_OK) {
        st = keep_record(farm, word, n_said, said, &meta, desk_now(farm, (int64_t)time(NULL), &cli->mem), &cli->mem,
                         &outcomes, &n_outcomes, &inner);
        if (st != ST_OK)
            (void)as_flag(kind, st, &inner, why);
        cli->kept = st == ST_OK;
    }
    if (st == ST_OK && (cli->json || cli->csv))
        st = tell_rows(cli, farm, n_outcomes, outcomes, why);
    for (size_t i = 0; i < n_outcomes && st == ST_OK && !cli->json && !cli->csv; i++)
        tell(cli, farm, &outcomes[i]);
    if (st == ST_OK && !cli->json && !cli->csv)
        tell_clock(cli, farm);
    farm_close(farm);
    if (made && !cli->kept)
        (void)unlink(cli->farm_path); /* made by this very call, and nothing is in it */
    return st;
}

enum status command_record(struct cli *cli, int argc, char **argv, struct message *why)
{
    enum status st = ST_OK;
    int words = 0;

    while (argc > 0 && st == ST_OK &&
           (words = args_global(cli, argc, argv, why, &st)) > 0) { /* record --json sow ... */
        argc -= words;
        argv += words;
    }
    const struct fact_kind *kind = argc > 0 && st == ST_OK ? keep_kind(argv[0]) : NULL;
    if (st != ST_OK || kind)
        return st != ST_OK ? st : record(cli, kind, argv[0], argc - 1, argv + 1, why);
    if (argc > 0)
        return unknown_kind(argv[0], why);
    record_help(NULL, &cli->out);
    return cli->help ? ST_OK : refuse(ST_BAD_INPUT, why, "kind", "record what? leenest record --help lists the kinds");
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

static void kinds_words(struct text *out)
{
    text_add(out, "sow gilt boar hut");
    for (size_t i = 0; fact_kinds[i]; i++)
        text_print(out, " %s", fact_kinds[i]->name);
}

void record_completion(struct text *out)
{
    text_add(out, "  local kinds=\"");
    kinds_words(out);
    text_add(out, "\"\n  if [ \"$first\" = record ] || [ \"$first\" = list ]; then\n"
                  "    if [ \"$COMP_CWORD\" -eq 2 ]; then COMPREPLY=($(compgen -W \"$kinds $flags\" -- \"$here\")); "
                  "return; fi\n  fi\n"
                  "  if [ \"$first\" = record ]; then\n    case \"${COMP_WORDS[2]}\" in\n");
    for (size_t i = 0; fact_kinds[i]; i++) {
        const char *n = fact_kinds[i]->name;
        text_print(out, "      %s%s) flags=\"", n,
                   strcmp(n, "animal") == 0    ? "|sow|gilt|boar"
                   : strcmp(n, "shelter") == 0 ? "|hut"
                                               : "");
        for (size_t k = 0; k < fact_kinds[i]->n_fields; k++) {
            char flag[40];
            text_print(out, "--%s ", fact_flag_name(&fact_kinds[i]->fields[k], flag));
        }
        for (size_t k = 0; k < COUNT(who); k++)
            text_print(out, "--%s ", who[k].name);
        text_add(out, "\" ;;\n");
    }
    text_add(out, "    esac\n  fi\n");
}
