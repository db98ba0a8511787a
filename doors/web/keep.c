/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Keeping: beginning a farm, looking whether its file is sound, backups, carrying out and in.
 */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "desk/farm_words.h"
#include "desk/keep_body.h"
#include "desk/labels.h"
#include "desk/records.h"
#include "doors/web/audit.h"
#include "doors/web/recording.h"

/* ---- beginning ---- */

/* A number comes under the field's name, a text as it is typed under the flag's: the same where a field has but one. */
static const struct web_field begin_takes[] = {
    { "name", SHAPE_TEXT, true, "what the farm is called" },
    { "lat_deg", SHAPE_REAL, false, "latitude, degrees north (south is minus)" },
    { "lat", SHAPE_TEXT, false, "the same as typed" },
    { "lon_deg", SHAPE_REAL, false, "longitude, degrees east (west is minus)" },
    { "lon", SHAPE_TEXT, false, "the same as typed" },
    { "elevation_m", SHAPE_REAL, false, "height above the sea" },
    { "elevation", SHAPE_TEXT, false, "the same as typed, in the units given here: 300 ft" },
    { "zone", SHAPE_TEXT, true, "time zone, as Area/City" },
    { "units", SHAPE_TEXT, false, "metric or us; metric unless given" },
    { "declination_deg", SHAPE_REAL, false, "how far the compass points east of true north" },
    { "declination", SHAPE_TEXT, false, "the same as typed" },
    { "soil", SHAPE_TEXT, false, "sand, loam, clay, chalk or peat" },
    { "people", SHAPE_WHOLE, false, "people who can help at one time" },
    { "note", SHAPE_TEXT, false, "anything else worth keeping" },
    { "uid", SHAPE_TEXT, false, "32 hexadecimal digits made by whoever records" },
};
static const struct shape begin_gives[] = {
    { "uid", SHAPE_TEXT, false, "of the record" },
    { "number", SHAPE_WHOLE, false, "of the change that recorded it" },
    { "already", SHAPE_FLAG, false, "this very record was there before; nothing was changed" },
    { "called", SHAPE_TEXT, true, "what it is called" },
    { "flags", SHAPE_LIST, false, "what is odd about it" },
    ODD_SHAPE("flags[]"),
};

/* The farm's units do not stand yet while its height is read: those said in the same breath do. */
static enum status in_units_said(json_t *fact, struct arena *mem, struct message *why)
{
    const char *units = json_string_value(json_object_get(fact, "units"));
    const char *height = json_string_value(json_object_get(fact, "elevation"));
    double bare = 0.0;

    if (!units || strcmp(units, "us") != 0 || !height || !read_real(height, &bare))
        return ST_OK;
    const char *in_feet = arena_print(mem, "%.64s ft", height);
    return in_feet && json_object_set_new(fact, "elevation", json_string(in_feet)) == 0
               ? ST_OK
               : refuse(ST_NO_MEMORY, why, "", "out of memory");
}

static enum status fact_of_body(const json_t *body, json_t *fact, struct message *why)
{
    const char *key;
    json_t *v;

    json_object_foreach((json_t *)(uintptr_t)body, key,
                        v) if (strcmp(key, "uid") != 0 && json_object_set(fact, key, v) !=
                                                              0) return refuse(ST_NO_MEMORY, why, "", "out of memory");
    return ST_OK;
}

static enum status begin_in(struct web_call *call, struct farm *farm, json_t *fact, struct answer *a,
                            struct message *why)
{
    struct keep_body body = { .kind = "farm", .fact = fact, .meta = { .device = web_device(call) } };
    struct farm_outcome o;

    enum status st = web_body_text(call, "uid", &body.meta.uid, why);
    if (st == ST_OK)
        st = fact_of_body(call->body, fact, why);
    if (st == ST_OK)
        st = in_units_said(fact, call->mem, why);
    if (st == ST_OK)
        st = keep_body(farm, &body, call->now_utc_s, call->mem, &o, why);
    if (st != ST_OK)
        return st;
    answer_text(a, "uid", arena_text(call->mem, o.uid));
    answer_whole(a, "number", o.number);
    answer_flag(a, "already", o.already);
    answer_text(a, "called", farm_called(farm, o.uid, call->mem));
    records_odd(a, "flags", o.n_flags, o.flags);
    return ST_OK;
}

static enum status begin(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct answer *a = answer_new(call->mem);
    struct farm *made = NULL;
    json_t *fact = json_object();

    enum status st = fact ? ST_OK : refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (st == ST_OK && !call->farm)
        st = farm_create(call->farm_path, NULL, &made, why);
    if (st == ST_OK)
        st = begin_in(call, made ? made : call->farm, fact, a, why);
    json_decref(fact);
    farm_close(made);
    if (st != ST_OK && made)
        (void)unlink(call->farm_path); /* made by this very call, and nothing is in it */
    reply->farm_changed = st == ST_OK && made;
    return st == ST_OK ? web_answer(call, reply, a, why) : st;
}

/* ---- is it sound ---- */

static const struct shape check_gives[] = {
    { "sound", SHAPE_FLAG, false, "nothing is damaged" },
    { "lines", SHAPE_LIST, false, "what is damaged, open or old" },
    { "lines[]", SHAPE_OBJECT, true, "" },
    { "lines[].says", SHAPE_TEXT, false, "one sentence, with what to do" },
    { "lines[].bad", SHAPE_FLAG, false, "damaged; else only to be looked at" },
};

static enum status check(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct farm_finding *f = NULL;
    size_t n = 0;
    bool sound = true;
    const enum status st = audit(call->farm, desk_now(call->farm, call->now_utc_s, call->mem), call->mem, &f, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *a = answer_new(call->mem), *lines = answer_list(a, "lines");
    for (size_t i = 0; i < n; i++) {
        if (f[i].grade == FARM_SOUND)
            continue;
        struct answer *row = answer_item(lines);
        answer_text(row, "says", f[i].says);
        answer_flag(row, "bad", f[i].grade == FARM_WRONG);
        sound = sound && f[i].grade != FARM_WRONG;
    }
    answer_flag(a, "sound", sound);
    return web_answer(call, reply, a, why);
}

/* ---- backups ---- */

static const struct shape backups_gives[] = {
    { "backups", SHAPE_LIST, false, "newest first" },
    { "backups[]", SHAPE_OBJECT, true, "" },
    { "backups[].name", SHAPE_TEXT, false, "to load it or go back to it by" },
    { "backups[].made", SHAPE_MOMENT, false, "when" },
    { "backups[].bytes", SHAPE_WHOLE, false, "how large it is" },
};

static const char *last_part(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static enum status backups(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct farm_backup *list = NULL;
    size_t n = 0;
    const enum status st = farm_backups(call->farm_path, NULL, call->mem, &list, &n, why);

    if (st != ST_OK)
        return st;
    struct answer *a = answer_new(call->mem), *rows = answer_list(a, "backups");
    for (size_t i = 0; i < n; i++) {
        struct answer *row = answer_item(rows);
        answer_text(row, "name", last_part(list[i].path));
        answer_moment(row, "made", list[i].made_utc_s);
        answer_whole(row, "bytes", list[i].bytes);
    }
    return web_answer(call, reply, a, why);
}

static enum status backup(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct farm_backup made;
    const enum status st = farm_backup(call->farm, NULL, NULL, call->now_utc_s, call->mem, &made, why);

    return st == ST_OK ? backups(call, reply, why) : st;
}

/* A name is one of those listed, whole; it never becomes part of a path. */
static enum status backup_named(const struct web_call *call, const char *name, struct farm_backup *found,
                                struct message *why)
{
    struct farm_backup *list = NULL;
    size_t n = 0;
    const enum status st = farm_backups(call->farm_path, NULL, call->mem, &list, &n, why);

    for (size_t i = 0; i < n && st == ST_OK; i++)
        if (strcmp(last_part(list[i].path), name) == 0) {
            *found = list[i];
            return ST_OK;
        }
    return st == ST_OK ? refuse(ST_NOT_FOUND, why, "name", "name: there is no backup \"%.80s\"", name) : st;
}

static enum status backup_file(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct farm_backup found;
    const enum status st = backup_named(call, call->rest, &found, why);

    if (st != ST_OK)
        return st;
    reply->file = found.path;
    reply->type = WEB_FILE_OUT;
    reply->download_as = last_part(found.path);
    return ST_OK;
}

static const struct web_field restore_takes[] = {
    { "name", SHAPE_TEXT, true, "of the backup" },
};
static const struct shape restore_gives[] = {
    { "name", SHAPE_TEXT, false, "of the backup that stands now" },
    { "made", SHAPE_MOMENT, false, "when it was made" },
};

static enum status restore(struct web_call *call, struct web_reply *reply, struct message *why)
{
    struct farm_backup found;
    const char *name = NULL;

    enum status st = web_body_text(call, "name", &name, why);
    if (st == ST_OK)
        st = backup_named(call, name ? name : "", &found, why);
    if (st == ST_OK)
        st = farm_restore(found.path, call->farm_path, call->now_utc_s, why);
    if (st != ST_OK)
        return st;
    reply->farm_changed = true;
    struct answer *a = answer_new(call->mem);
    answer_text(a, "name", last_part(found.path));
    answer_moment(a, "made", found.made_utc_s);
    return web_answer(call, reply, a, why);
}

/* ---- out ---- */

enum { EXPORT_BYTES = 1 << 27 };

static enum status export_kind(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const struct fact_kind *kind = NULL;
    struct text out;

    text_open(&out, EXPORT_BYTES);
    enum status st = web_kind(call->rest, &kind, why);
    if (st == ST_OK)
        st = farm_csv_write(call->farm, kind, 0, &out, why);
    if (st == ST_OK) {
        reply->bytes = arena_bytes(call->mem, text_get(&out), out.length);
        reply->length = out.length;
        reply->type = WEB_CSV_OUT;
        reply->download_as = arena_print(call->mem, "%s.csv", kind->name);
        if (text_full(&out) || !reply->bytes || !reply->download_as)
            st = refuse(ST_NO_MEMORY, why, "", "too many records for one table; take the whole farm out instead");
    }
    text_close(&out);
    return st;
}

static enum status export_all(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const char *folder = getenv("TMPDIR");
    char uid[FARM_UID];

    farm_new_uid(uid); /* a name nobody can foresee; the file is for us alone */
    const char *path = arena_print(call->mem, "%s/leenest-%s.json", folder && *folder ? folder : "/tmp", uid);
    if (!path)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    const enum status st = farm_export_json(call->farm, path, why);
    if (st != ST_OK)
        return st;
    reply->file = path;
    reply->file_once = true;
    reply->type = WEB_JSON_OUT;
    reply->download_as = "leenest.json";
    return ST_OK;
}

/* ---- in ---- */

static const struct web_field import_takes[] = {
    { "try", SHAPE_FLAG, false, "a dry run: say what is wrong, keep nothing" },
    { "keep_good", SHAPE_FLAG, false, "keep the good rows; without it one bad row refuses all" },
};
static const struct shape import_gives[] = {
    { "rows", SHAPE_WHOLE, false, "in the file" },
    { "good", SHAPE_WHOLE, false, "of them, without fault" },
    { "recorded", SHAPE_WHOLE, false, "of them, kept now" },
    { "already", SHAPE_WHOLE, false, "of them, there before" },
    { "odd", SHAPE_WHOLE, false, "of them, good but odd" },
    { "bad", SHAPE_LIST, false, "those that are not good, the first thousand" },
    { "bad[]", SHAPE_OBJECT, true, "" },
    { "bad[].line", SHAPE_WHOLE, false, "of the file" },
    { "bad[].field", SHAPE_TEXT, true, "that is wrong" },
    { "bad[].sentence", SHAPE_TEXT, false, "what is wrong" },
};

enum { BAD_LISTED = 1000, IMPORT_BYTES = 1 << 29 };
static const char import_name[] = "table";

static bool flag_of(const struct web_call *call, const char *name)
{
    const char *text = web_query(call, name);
    return text && strcmp(text, "0") != 0 && strcmp(text, "no") != 0 && strcmp(text, "false") != 0;
}

/* "table, line 12, born: ..." -> "born: ...", in the words of a form. */
static void bad_row(struct answer *list, const struct farm_item *item, const struct fact_kind *kind)
{
    struct message says = item->why;
    char where[64];

    (void)snprintf(where, sizeof where, "%s, %s %zu, ", import_name, item->body ? "record" : "line", item->line);
    if (strncmp(says.text, where, strlen(where)) == 0)
        (void)refuse(item->status, &says, item->why.field, "%s", item->why.text + strlen(where));
    fact_label_message(kind, &says);
    struct answer *row = answer_item(list);
    answer_whole(row, "line", (int64_t)item->line);
    answer_text(row, "field", says.field[0] ? arena_text(list->mem, says.field) : NULL);
    answer_text(row, "sentence", arena_text(list->mem, says.text));
}

static void rows_told(struct web_call *call, const struct fact_kind *kind, enum farm_batch_how how, size_t n,
                      const struct farm_item items[], struct answer *a)
{
    size_t good = 0, new = 0, already = 0, odd = 0, listed = 0;
    struct answer *bad = answer_list(a, "bad");

    (void)call;
    for (size_t i = 0; i < n; i++) {
        const struct farm_item *item = &items[i];
        const bool fine = item->status == ST_OK;
        good += fine;
        already += fine && item->outcome.already;
        new += fine && !item->outcome.already;
        odd += fine && item->outcome.n_flags > 0;
        if (!fine && listed++ < BAD_LISTED)
            bad_row(bad, item, kind);
    }
    const bool kept = how == FARM_KEEP_GOOD || (how == FARM_ALL_OR_NOTHING && good == n);
    answer_whole(a, "rows", (int64_t)n);
    answer_whole(a, "good", (int64_t)good);
    answer_whole(a, "recorded", kept ? (int64_t) new : 0);
    answer_whole(a, "already", (int64_t)already);
    answer_whole(a, "odd", (int64_t)odd);
}

static enum status import(struct web_call *call, struct web_reply *reply, struct message *why)
{
    const enum farm_batch_how how = flag_of(call, "try")         ? FARM_TRY
                                    : flag_of(call, "keep_good") ? FARM_KEEP_GOOD
                                                                 : FARM_ALL_OR_NOTHING;
    const struct farm_meta meta = { .device = web_device(call) };
    const struct fact_kind *kind = NULL;
    struct farm_item *items = NULL;
    struct arena mem;
    size_t n = 0;

    enum status st = web_kind(call->rest, &kind, why);
    if (st != ST_OK)
        return st;
    arena_open(&mem, IMPORT_BYTES);
    st = farm_import_rows(call->farm, call->upload, import_name, kind, how, &meta, &mem, &items, &n, why);
    const bool rows = items && (st == ST_OK || st == ST_BAD_INPUT || st == ST_NOT_FOUND || st == ST_CONFLICT);
    struct answer *a = answer_new(call->mem);
    if (rows)
        rows_told(call, kind, how, n, items, a);
    arena_close(&mem);
    return rows ? web_answer(call, reply, a, why) : st;
}

/* ---- what comes from outside: weather_routes.c ---- */

#define TAKES(list) .takes = (list), .n_takes = COUNT(list)
#define GIVES(list) .gives = (list), .n_gives = COUNT(list)

const struct web_route web_routes_keep[] = {
    { WEB_POST, "/api/begin", WEB_JSON | WEB_NO_FARM, "Begin a farm: its file is made and the farm recorded",
      TAKES(begin_takes), GIVES(begin_gives), .handle = begin },
    { WEB_GET, "/api/check", 0, "Is the farm file sound; what is open, what is old, is there a backup",
      GIVES(check_gives), .handle = check },
    { WEB_GET, "/api/backups", WEB_NO_FARM, "Copies of the farm file", GIVES(backups_gives), .handle = backups },
    { WEB_POST, "/api/backups", WEB_JSON | WEB_SLOW, "Make a sound copy of the farm file", GIVES(backups_gives),
      .handle = backup },
    { WEB_GET, "/api/backups/*", WEB_NO_FARM, "One copy of the farm file", .handle = backup_file },
    { WEB_POST, "/api/restore", WEB_JSON | WEB_MASTER | WEB_NO_FARM,
      "Go back to a backup; what is there now is kept beside it", TAKES(restore_takes), GIVES(restore_gives),
      .handle = restore },
    { WEB_GET, "/api/export/*", 0, "All records of one kind as a table (CSV)", .handle = export_kind },
    { WEB_GET, "/api/export-all", 0, "Everything in the farm file as one JSON document", .handle = export_all },
    { WEB_POST, "/api/import/*", WEB_UPLOAD, "Records from a table (CSV) or JSON", TAKES(import_takes),
      GIVES(import_gives), .handle = import },
    { WEB_POST, "/api/weather/fetch", WEB_JSON | WEB_SLOW, "Fetch a forecast; the last good one stays when it fails",
      TAKES(web_fetch_takes), GIVES(web_fetch_gives), .handle = web_weather_fetch },
    { WEB_POST, "/api/weather/type", WEB_JSON, "Type in a forecast that was heard or read", TAKES(web_type_takes),
      GIVES(web_type_gives), .handle = web_weather_type },
    { WEB_POST, "/api/weather/import", WEB_UPLOAD | WEB_SLOW, "Hours of weather from a file of any known kind",
      TAKES(web_weather_takes), GIVES(web_weather_gives), .handle = web_weather_import },
    { WEB_GET, "/api/weather-kept", 0, "What hours of weather the farm file holds", GIVES(web_kept_gives),
      .handle = web_weather_kept },
    { WEB_POST, "/api/ground/read", WEB_UPLOAD, "The outline that a file holds, a plan or a walk; nothing is kept",
      GIVES(web_ground_gives), .handle = web_ground_read },
    { .path = NULL },
};
