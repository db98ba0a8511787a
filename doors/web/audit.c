/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/audit.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "core/base/civil.h"
#include "doors/web/certificate.h"
#include "doors/web/password.h"

enum { MOST = 40 };

struct looking {
    struct farm *farm;
    int64_t now_utc_s;
    struct arena *mem;
    struct farm_finding *finding;
    size_t n;
};

static void find(struct looking *l, enum farm_grade grade, const char *key, const char *says)
{
    if (l->n < MOST && says)
        l->finding[l->n++] = (struct farm_finding){ grade, key, says, "" };
}

/* ---- the password, and what is meant to be used with it ---- */

static enum status password(struct looking *l, bool served, struct message *why)
{
    const char *hash = NULL;
    const enum status st = farm_password(l->farm, l->mem, &hash, why);

    if (st != ST_OK)
        return st;
    if (!hash && served)
        find(l, FARM_LOOK, "no-password",
             "the farm has been served to phones, and no password is set now; until leenest password sets one, "
             "leenest serve --lan refuses");
    if (hash && password_old_hash(hash))
        find(l, FARM_LOOK, "password-weak",
             "the password is kept in a form that is guessed too easily from a stolen file; set it again with leenest "
             "password");
    return ST_OK;
}

/* ---- devices ---- */

static enum status devices(struct looking *l, struct message *why)
{
    struct farm_device *list = NULL;
    size_t n = 0, in = 0;
    const char *names = "";
    const enum status st = farm_devices(l->farm, l->mem, &list, &n, why);

    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n; i++) {
        const int64_t days = (l->now_utc_s - list[i].seen_utc_s) / DAY_S;
        if (days > AUDIT_UNSEEN_D)
            find(l, FARM_LOOK, "device-unseen",
                 arena_print(l->mem,
                             "%s has not been seen for %lld days; if it is lost or sold, end it in the list of phones",
                             list[i].called, (long long)days));
        if (device_ended(&list[i], l->now_utc_s))
            continue;
        if (in < 6)
            names = arena_print(l->mem, "%s%s%s", names ? names : "", in ? ", " : "", list[i].called);
        in++;
    }
    if (in > 0)
        find(l, FARM_SOUND, "devices",
             arena_print(l->mem, "%zu %s may come in: %s%s", in, in == 1 ? "device" : "devices", names ? names : "",
                         in > 6 ? " and others" : ""));
    return ST_OK;
}

/* ---- certificate and keys ---- */

static void certificate(struct looking *l, const struct certificate_state *s)
{
    char day[32];

    if (s->open_file)
        find(l, FARM_LOOK, "key-open",
             arena_print(l->mem,
                         "other people with an account on this machine can read %s, which holds a key; chmod 600 shuts "
                         "a file, chmod 700 a folder",
                         s->open_file));
    if (s->broken)
        find(l, FARM_LOOK, "certificate-broken",
             "the farm's certificate is damaged; leenest serve --lan makes it anew or says what stands in the way");
    if (s->ends_utc_s && s->ends_utc_s - l->now_utc_s < CERTIFICATE_RENEW_DAYS * DAY_S)
        find(l, FARM_LOOK, "certificate-ends",
             arena_print(l->mem,
                         "this machine's certificate %s on %s; leenest serve --lan makes it anew when it starts",
                         s->ends_utc_s < l->now_utc_s ? "ended" : "ends", civil_date_text(s->ends_utc_s / DAY_S, day)));
    if (s->authority_ends_utc_s && s->authority_ends_utc_s - l->now_utc_s < AUDIT_AUTHORITY_D * DAY_S)
        find(l, FARM_LOOK, "authority-ends",
             arena_print(l->mem,
                         "the farm's own authority %s on %s; after that phones have to be given the new one, so choose "
                         "a quiet week",
                         s->authority_ends_utc_s < l->now_utc_s ? "ended" : "ends",
                         civil_date_text(s->authority_ends_utc_s / DAY_S, day)));
}

/* Backups hold all that the farm file holds. */
static void backups_open(struct looking *l)
{
    const char *folder = arena_print(l->mem, "%s.backups", farm_path(l->farm));
    struct stat is;

    if (folder && stat(folder, &is) == 0 && (is.st_mode & 077) != 0)
        find(l, FARM_LOOK, "backups-open",
             arena_print(l->mem, "other people with an account on this machine can look into %s; chmod 700 shuts it",
                         folder));
}

static enum status door(struct looking *l, struct message *why)
{
    struct certificate_state s;
    const char *folder = certificate_folder(farm_path(l->farm), l->mem);

    if (!folder)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    enum status st = certificate_look(folder, l->mem, &s, why);
    if (st == ST_OK)
        st = password(l, s.there, why);
    if (st == ST_OK)
        st = devices(l, why);
    if (st == ST_OK && s.there)
        certificate(l, &s);
    if (st == ST_OK)
        backups_open(l);
    return st;
}

enum status audit(struct farm *farm, int64_t at_utc_s, struct arena *mem, struct farm_finding **findings, size_t *n,
                  struct message *why)
{
    struct looking l = { .farm = farm, .now_utc_s = (int64_t)time(NULL), .mem = mem };
    struct farm_finding *own = NULL, *all;
    size_t n_own = 0;
    bool damaged = false;

    enum status st = farm_check(farm, at_utc_s, mem, &own, &n_own, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n_own; i++)
        damaged = damaged || strcmp(own[i].key, "integrity") == 0;
    all = ARENA_NEW(mem, struct farm_finding, n_own + MOST);
    if (!all)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (n_own)
        memcpy(all, own, n_own * sizeof *all);
    l.finding = all + n_own;
    if (!damaged)
        st = door(&l, why);
    if (st == ST_OK && arena_full(mem))
        st = refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK) {
        *findings = all;
        *n = n_own + l.n;
    }
    return st;
}
