/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Weather from outside: fetch, import, type, and what is kept. */
#include "core/base/civil.h"
#include "doors/cli/commands.h"

/* ---- fetch
 * ------------------------------------------------------------------------------------------------------------- */

enum { SERVICE, BASE, CONTACT, LOOPBACK };
static const struct param fetch_params[] = {
    [SERVICE] = { "service", P_CHOICE, Q_NUMBER, 0, 0, NULL, "us-national|met-norway|met-norway-complete", 0,
                  "which; the one recorded as weather source unless given" },
    [BASE] = { "base", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "another address to ask at, https" },
    [CONTACT] = { "contact", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                  "address or web page of yours; both services want it" },
    [LOOPBACK] = { "plain-loopback", P_FLAG, Q_NUMBER, 0, 0, NULL, NULL, 0,
                   "allow http to this machine itself (a relay, a test)" },
};

static enum status fetch(struct cli *cli, const struct asked *q, struct message *why)
{
    const struct keep_fetch_how how = { given_text(q, SERVICE), given_text(q, BASE), given_text(q, CONTACT),
                                        given_flag(q, LOOPBACK) };
    const enum status st = keep_weather_fetch(q->farm, &how, q->at_utc_s, q->mem, &cli->out, why);
    cli->kept = st == ST_OK;
    return st;
}

const struct command command_weather_fetch = { .name = "weather fetch",
                                               .help = "Fetch a forecast; the last good one is kept when it fails",
                                               .params = fetch_params,
                                               .n_params = COUNT(fetch_params),
                                               .run = fetch };

/* ---- import
 * -------------------------------------------------------------------------------------------------------------- */

enum { FILES, AS, NAME, COLUMNS, WHERE, ISSUED };
static const struct param import_params[] = {
    [FILES] = { "FILE", P_FILE, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED | PARAM_REPEAT,
                "files of hours; what they are is found from their content" },
    [AS] = { "as", P_CHOICE, Q_NUMBER, 0, 0, "past", "past|observed|forecast", 0, "what the hours are" },
    [NAME] = { "name", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "what to call the source" },
    [COLUMNS] = { "columns", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                  "for any hourly CSV: time=HEADER,temp=HEADER:F,wind=HEADER:mph ..." },
    [WHERE] = { "where", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, 0, "HEADER=VALUE: the rows to keep" },
    [ISSUED] = { "issued", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0,
                 "forecast: when it was made; as the file says, else now" },
};

static enum status import(struct cli *cli, const struct asked *q, struct message *why)
{
    const char *as = given_text(q, AS);
    const struct keep_weather_how how = {
        .sort = as[0] == 'p'   ? WEATHER_PAST
                : as[0] == 'o' ? WEATHER_OBSERVED
                               : WEATHER_FORECAST,
        .name = given_text(q, NAME),
        .columns = given_text(q, COLUMNS),
        .where = given_text(q, WHERE),
        .issued_utc_s = given_is(q, ISSUED) ? given_when(q, ISSUED) : 0,
    };
    enum status st = ST_OK;

    for (size_t i = 0; i < q->given[FILES].n && st == ST_OK; i++) {
        struct kept_weather kept;
        char first[32], last[32];
        struct arena mem;
        struct message inner = { "", "" };
        arena_open(&mem, 400u << 20);
        st = keep_weather_file(q->farm, q->given[FILES].text[i], &how, q->at_utc_s, &mem, &kept, &inner);
        if (st != ST_OK)
            (void)refuse(st, why, inner.field, "%s%s", inner.text, i == 0 ? "" : "; the files before it are kept");
        if (st == ST_OK) {
            cli->kept = true;
            text_print(&cli->out, "%s: %zu hours of %s, %s to %s\n", q->given[FILES].text[i], kept.n_hours, kept.source,
                       full_moment(kept.first_utc_s, q->zone, first), full_moment(kept.last_utc_s, q->zone, last));
            for (size_t k = 0; k < kept.n_notes; k++)
                text_print(&cli->out, "  %s\n", kept.note[k]);
            if (kept.n_rejected)
                text_print(&cli->out, "  %zu values or rows could not be taken; the first: %s\n", kept.n_rejected,
                           kept.first_rejected ? kept.first_rejected : "");
        }
        arena_close(&mem);
    }
    return st;
}

const struct command command_weather_import = { .name = "weather import",
                                                .help = "Hours from files: past years, a station's, a forecast",
                                                .params = import_params,
                                                .n_params = COUNT(import_params),
                                                .run = import };

/* ---- type
 * ------------------------------------------------------------------------------------------------------------------ */

enum { SAYS, HOURS, AT };
static const struct param type_params[] = {
    [SAYS] = { "TEXT", P_TEXT, Q_NUMBER, 0, 0, NULL, NULL, PARAM_WORD | PARAM_REQUIRED,
               "\"low 12F, wind SW 15 mph, rain until 21:00\"" },
    [HOURS] = { "hours", P_WHOLE, Q_NUMBER, 1, 240, "36", NULL, 0, "how far it holds" },
    [AT] = { "at", P_MOMENT, Q_NUMBER, 0, 0, NULL, NULL, 0, "from when; now unless given" },
};

static enum status type(struct cli *cli, const struct asked *q, struct message *why)
{
    const enum status st = keep_weather_typed(q->farm, given_text(q, SAYS), q->at_utc_s, (size_t)given_real(q, HOURS),
                                              q->mem, &cli->out, why);
    cli->kept = st == ST_OK;
    return st;
}

const struct command command_weather_type = { .name = "weather type",
                                              .help = "Type in a forecast that was heard or read",
                                              .params = type_params,
                                              .n_params = COUNT(type_params),
                                              .run = type };

/* ---- what is kept
 * ------------------------------------------------------------------------------------------------------------ */

static enum status kept(struct cli *cli, const struct asked *q, struct message *why)
{
    struct weather_holding *h = NULL;
    size_t n = 0;
    const struct show_how how = command_how(cli, q);
    const enum status st = farm_weather_holdings(q->farm, 0, q->mem, &h, &n, why);

    if (st == ST_OK && (cli->json || cli->csv)) {
        struct answer *root = answer_new(q->mem), *rows = answer_list(root, "kept");
        for (size_t i = 0; i < n; i++) {
            struct answer *row = answer_item(rows);
            answer_text(row, "sort", weather_sort_name[h[i].sort]);
            answer_text(row, "source", h[i].source);
            answer_whole(row, "hours", (int64_t)h[i].n_hours);
            answer_moment(row, "first", h[i].first_utc_s);
            answer_moment(row, "last", h[i].last_utc_s);
        }
        return show_rows(cli, root, "kept", why);
    }
    for (size_t i = 0; i < n && st == ST_OK; i++) {
        char first[32], last[32], lead[32];
        struct text line;
        text_open_part(&line, &cli->out);
        (void)snprintf(lead, sizeof lead, "%-12s", weather_sort_name[h[i].sort]);
        text_print(&line, "%s: %zu hours, %s to %s", h[i].source, h[i].n_hours,
                   full_moment(h[i].first_utc_s, q->zone, first), full_moment(h[i].last_utc_s, q->zone, last));
        show_fold(&cli->out, &how, lead, 12, text_get(&line));
        text_close(&line);
    }
    if (st == ST_OK && n == 0)
        text_add(&cli->out, "No weather is kept yet: leenest weather fetch, import or type.\n");
    return st;
}

const struct command command_weather_kept = {
    .name = "weather kept", .help = "What hours of weather the farm file holds", .csv = true, .json = true, .run = kept
};
