/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Looking the farm over: what is damaged, what is open, what is old.
 */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "core/base/civil.h"
#include "farm/keep.h"
#include "farm/own.h"

enum {
    FINDINGS = 400,
    FORECAST_OLD_H = 12,
    BACKUP_OLD_D = 7,
    STOCK_OLD_D = 60,
    OVERDUE_D = 118,
    FORGOTTEN_D = 160,
    OPEN_RUN_D = 90,
    CLOCK_SLACK_S = 60
};

struct looking {
    struct farm *farm;
    int64_t at_utc_s;
    struct arena *mem;
    struct farm_finding *finding;
    size_t n;
    const char *back; /* go_back(), once */
};

static void find(struct looking *l, enum farm_grade grade, const char *key, const char *uid, const char *fmt, ...)
    PRINTF_LIKE(5, 6);

static void find(struct looking *l, enum farm_grade grade, const char *key, const char *uid, const char *fmt, ...)
{
    char says[512];
    va_list args;

    if (l->n >= FINDINGS)
        return;
    va_start(args, fmt);
    (void)vsnprintf(says, sizeof says, fmt, args);
    va_end(args);
    l->finding[l->n++] = (struct farm_finding){ grade, key, arena_text(l->mem, says), uid ? uid : "" };
}

/* ---- damage ---- */

/* "go back to /.../farm.leenest-20260122T154000Z.leenest" */
static const char *go_back(struct looking *l)
{
    size_t n = 0;

    if (!l->back) {
        const char *sound = farm_newest_sound(l->farm->path, l->mem, &n);
        l->back = sound ? arena_print(l->mem, "the newest sound backup to go back to is %s", sound)
                        : "there is no sound backup beside it to go back to";
    }
    return l->back ? l->back : "go back to a backup";
}

static enum status integrity(struct looking *l, struct message *why)
{
    sqlite3_stmt *s = farm_statement(l->farm, "SELECT integrity_check FROM pragma_integrity_check(20)", why);
    enum status st = ST_OK;

    while (farm_row(l->farm, s, &st, why)) {
        const char *says = (const char *)sqlite3_column_text(s, 0);
        if (says && strcmp(says, "ok") != 0)
            find(l, FARM_WRONG, "integrity", NULL, "the farm file is damaged (%.200s); %s", says, go_back(l));
    }
    if (st != ST_OK && st != ST_BUSY) {
        find(l, FARM_WRONG, "integrity", NULL, "%s; %s", why->text, go_back(l));
        st = ST_OK;
    }
    return st;
}

static enum status references(struct looking *l, struct message *why)
{
    sqlite3_stmt *s =
        farm_statement(l->farm, "SELECT \"table\", rowid, parent FROM pragma_foreign_key_check LIMIT 20", why);
    enum status st = ST_OK;

    while (farm_row(l->farm, s, &st, why))
        find(l, FARM_WRONG, "references", NULL, "row %lld of %s refers to a %s that is not there; %s",
             (long long)sqlite3_column_int64(s, 1), (const char *)sqlite3_column_text(s, 0),
             (const char *)sqlite3_column_text(s, 2), go_back(l));
    return st;
}

static enum status content(struct looking *l, struct message *why)
{
    struct message says = { "", "" };
    const enum status st = farm_verify(l->farm, &says);

    if (st == ST_IO) {
        find(l, FARM_WRONG, "content", NULL, "%s; %s", says.text, go_back(l));
        return ST_OK;
    }
    if (st != ST_OK)
        *why = says;
    return st;
}

/* ---- the file and its copies ---- */

static enum status around_the_file(struct looking *l, struct message *why)
{
    struct stat is;
    struct farm_backup *backups = NULL;
    size_t n = 0;
    const char *sentence;

    if (stat(l->farm->path, &is) == 0 && (is.st_mode & 077) != 0)
        find(l, FARM_LOOK, "file-open", NULL,
             "other people with an account on this machine can read %s; chmod 600 shuts it", l->farm->path);
    if (farm_read_only(l->farm, &sentence))
        find(l, FARM_LOOK, "read-only", NULL, "%s", sentence);
    const enum status st = farm_backups(l->farm->path, NULL, l->mem, &backups, &n, why);
    if (st != ST_OK)
        return st;
    if (n == 0)
        find(l, FARM_LOOK, "no-backup", NULL,
             "there is no backup of this farm; make one, and keep another away from this machine");
    else if (l->at_utc_s - backups[0].made_utc_s > BACKUP_OLD_D * DAY_S)
        find(l, FARM_LOOK, "backup-old", NULL, "the newest backup is %lld days old (%s)",
             (long long)((l->at_utc_s - backups[0].made_utc_s) / DAY_S), backups[0].path);
    return ST_OK;
}

static enum status one_number(struct farm *f, const char *sql, int64_t *value, struct message *why)
{
    sqlite3_stmt *s = farm_statement(f, sql, why);
    enum status st = ST_OK;

    while (farm_row(f, s, &st, why))
        *value = sqlite3_column_type(s, 0) == SQLITE_NULL ? INT64_MIN : sqlite3_column_int64(s, 0);
    return st;
}

/* ---- the machine's clock ---- */

enum status farm_clock_back(struct farm *f, int64_t *back_s, struct message *why)
{
    int64_t newest_s = INT64_MIN;
    const enum status st = one_number(
        f, "SELECT max(at_utc_s) FROM (SELECT at_utc_s FROM journal ORDER BY number DESC LIMIT 1000)", &newest_s, why);
    const int64_t now_s = farm_now();

    if (st == ST_OK)
        *back_s = newest_s > now_s + CLOCK_SLACK_S ? newest_s - now_s : 0;
    return st;
}

static enum status machine_clock(struct looking *l, struct message *why)
{
    int64_t back_s = 0;
    char moment[32];
    const enum status st = farm_clock_back(l->farm, &back_s, why);

    if (st == ST_OK && back_s > 0)
        find(l, FARM_LOOK, "clock-back", NULL,
             "this machine's clock has gone back: something was recorded at %s by it, and now it shows %lld minutes "
             "before that; put it right",
             civil_moment_text(farm_now() + back_s, moment), (long long)((back_s + 30) / 60));
    return st;
}

/* ---- what waits ---- */

static enum status waiting(struct looking *l, struct message *why)
{
    struct farm_flag *flags = NULL;
    struct farm_held *held = NULL;
    size_t n_flags = 0, n_held = 0;
    enum status st = farm_flags(l->farm, false, 0, l->mem, &flags, &n_flags, why);

    if (st == ST_OK)
        st = farm_held(l->farm, false, l->mem, &held, &n_held, why);
    for (size_t i = 0; st == ST_OK && i < n_flags; i++)
        find(l, FARM_LOOK, "flags", flags[i].uid, "odd (%lld): %s", (long long)flags[i].number, flags[i].says);
    for (size_t i = 0; st == ST_OK && i < n_held; i++)
        find(l, FARM_LOOK, "held", held[i].uid, "held (%lld): a %s from %s was refused: %s", (long long)held[i].number,
             held[i].kind, held[i].device[0] ? held[i].device : "a queue", held[i].reason);
    return st;
}

static enum status weather_age(struct looking *l, struct message *why)
{
    int64_t fetched_s = INT64_MIN, past = 0, last_s = INT64_MIN;
    enum status st = one_number(l->farm, "SELECT max(fetched_utc_s) FROM weather_lot WHERE sort IN('forecast','typed')",
                                &fetched_s, why);

    if (st == ST_OK)
        st = one_number(l->farm, "SELECT max(last_utc_s) FROM weather_lot WHERE sort IN('forecast','typed')", &last_s,
                        why);
    if (st == ST_OK)
        st = one_number(l->farm, "SELECT count(*) FROM weather_lot WHERE sort = 'past years'", &past, why);
    if (st != ST_OK)
        return st;
    if (fetched_s == INT64_MIN)
        find(l, FARM_LOOK, "no-forecast", NULL, "there is no forecast; fetch one or type what you expect");
    else if (l->at_utc_s - fetched_s > FORECAST_OLD_H * HOUR_S)
        find(l, FARM_LOOK, "forecast-old", NULL, "the newest forecast came %lld hours ago",
             (long long)((l->at_utc_s - fetched_s) / HOUR_S));
    if (last_s != INT64_MIN && last_s < l->at_utc_s)
        find(l, FARM_LOOK, "forecast-over", NULL, "no forecast reaches to now; what it says is over");
    if (past == 0)
        find(l, FARM_SOUND, "no-past-years", NULL,
             "no past years of weather are kept; they serve beyond the forecast and for placing huts");
    return ST_OK;
}

static enum status basics(struct looking *l, struct message *why)
{
    struct fact *facts = NULL;
    size_t n = 0;
    enum status st = farm_facts(l->farm, fact_kind_find("farm"), 0, l->mem, &facts, &n, why);

    if (st == ST_OK && n == 0)
        find(l, FARM_LOOK, "no-farm", NULL,
             "where the farm lies is not recorded; record the farm: name, latitude, longitude, zone");
    if (st == ST_OK)
        st = farm_facts(l->farm, fact_kind_find("stock"), 0, l->mem, &facts, &n, why);
    if (st != ST_OK)
        return st;
    int64_t counted_s = INT64_MIN;
    for (size_t i = 0; i < n; i++)
        if (fact_whole(facts[i].kind, facts[i].value, "at", INT64_MIN) > counted_s)
            counted_s = fact_whole(facts[i].kind, facts[i].value, "at", INT64_MIN);
    if (counted_s == INT64_MIN)
        find(l, FARM_LOOK, "stock-not-counted", NULL, "straw, flaps and hands have never been counted");
    else if (l->at_utc_s - counted_s > STOCK_OLD_D * DAY_S)
        find(l, FARM_LOOK, "stock-old", NULL, "straw was last counted %lld days ago",
             (long long)((l->at_utc_s - counted_s) / DAY_S));
    return ST_OK;
}

/* ---- sows whose day is past ---- */

static int64_t newest_of(const struct fact *facts, size_t n, const char *field, const char *uid, const char *with,
                         int64_t at_utc_s, const char *only_field, const char *only)
{
    int64_t newest = INT64_MIN;

    for (size_t i = 0; i < n; i++) {
        const char *sow = fact_text(facts[i].kind, facts[i].value, with);
        const int64_t when = fact_whole(facts[i].kind, facts[i].value, field, INT64_MIN);
        const char *is = only ? fact_text(facts[i].kind, facts[i].value, only_field) : NULL;
        if (sow && strcmp(sow, uid) == 0 && when <= at_utc_s && when > newest &&
            (!only || (is && strcmp(is, only) == 0)))
            newest = when;
    }
    return newest;
}

struct herd_facts {
    struct fact *animal, *service, *farrowing, *leaving, *scan, *came_back;
    size_t n_animal, n_service, n_farrowing, n_leaving, n_scan, n_came_back;
};

static enum status read_herd(struct looking *l, struct herd_facts *h, struct message *why)
{
    struct {
        const char *kind;
        struct fact **facts;
        size_t *n;
    } want[] = {
        { "animal", &h->animal, &h->n_animal },
        { "service", &h->service, &h->n_service },
        { "farrowing", &h->farrowing, &h->n_farrowing },
        { "leaving", &h->leaving, &h->n_leaving },
        { "scan", &h->scan, &h->n_scan },
        { "return", &h->came_back, &h->n_came_back },
    };
    enum status st = ST_OK;

    for (size_t i = 0; i < COUNT(want) && st == ST_OK; i++)
        st = farm_facts(l->farm, fact_kind_find(want[i].kind), 0, l->mem, want[i].facts, want[i].n, why);
    return st;
}

static void overdue(struct looking *l, const struct herd_facts *h, const struct fact *sow)
{
    const char *uid = sow->uid, *name = fact_text(sow->kind, sow->value, "name");
    const int64_t served_s = newest_of(h->service, h->n_service, "at", uid, "sow", l->at_utc_s, NULL, NULL);
    const int64_t farrowed_s = newest_of(h->farrowing, h->n_farrowing, "start", uid, "sow", l->at_utc_s, NULL, NULL);
    const int64_t empty_s = newest_of(h->scan, h->n_scan, "at", uid, "sow", l->at_utc_s, "result", "negative");
    const int64_t heat_s = newest_of(h->came_back, h->n_came_back, "at", uid, "sow", l->at_utc_s, "seen", "heat");
    const int64_t left_day = newest_of(h->leaving, h->n_leaving, "on", uid, "animal", INT64_MAX, NULL, NULL);

    if (served_s == INT64_MIN || left_day != INT64_MIN || farrowed_s >= served_s || empty_s >= served_s ||
        heat_s > served_s)
        return;
    const int64_t days = (l->at_utc_s - served_s) / DAY_S;
    if (days < OVERDUE_D)
        return;
    if (days < FORGOTTEN_D)
        find(l, FARM_LOOK, "overdue", uid,
             "%s was served %lld days ago and no farrowing is recorded; if she has not farrowed, ring the vet", name,
             (long long)days);
    else
        find(l, FARM_LOOK, "overdue", uid,
             "%s was served %lld days ago and nothing is recorded since; record the farrowing, or that she "
             "was empty",
             name, (long long)days);
}

static enum status herd(struct looking *l, struct message *why)
{
    struct herd_facts h;
    struct fact *runs = NULL;
    size_t n = 0;
    enum status st = read_herd(l, &h, why);

    for (size_t i = 0; st == ST_OK && i < h.n_animal; i++)
        overdue(l, &h, &h.animal[i]);
    if (st == ST_OK)
        st = farm_facts(l->farm, fact_kind_find("boar_run"), 0, l->mem, &runs, &n, why);
    for (size_t i = 0; st == ST_OK && i < n; i++) {
        const int64_t from_s = fact_whole(runs[i].kind, runs[i].value, "from", INT64_MAX);
        if (!fact_given(runs[i].kind, runs[i].value, "to") && l->at_utc_s - from_s > OPEN_RUN_D * DAY_S)
            find(l, FARM_LOOK, "boar-still-in", runs[i].uid, "%s: put in %lld days ago and not recorded as taken out",
                 farm_called(l->farm, runs[i].uid, l->mem), (long long)((l->at_utc_s - from_s) / DAY_S));
    }
    return st;
}

enum status farm_check(struct farm *farm, int64_t at_utc_s, struct arena *mem, struct farm_finding **findings,
                       size_t *n, struct message *why)
{
    enum status (*const looks[])(struct looking *, struct message *) = { integrity,       references,    content,
                                                                         around_the_file, machine_clock, waiting,
                                                                         weather_age,     basics,        herd };
    struct looking l = {
        .farm = farm, .at_utc_s = at_utc_s, .mem = mem, .finding = ARENA_NEW(mem, struct farm_finding, FINDINGS)
    };
    enum status st = l.finding ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");

    for (size_t i = 0; i < COUNT(looks) && st == ST_OK; i++) {
        st = looks[i](&l, why);
        if (i == 0 && l.n > 0)
            break; /* on a damaged file the rest would say nonsense */
    }
    if (st == ST_OK && arena_full(mem))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK) {
        *findings = l.finding;
        *n = l.n;
    }
    return st;
}
