/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A file of facts read and recorded; files read and written whole.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "farm/exchange_own.h"

enum { WORK_BYTES = 1024 * 1024 * 1024 };

enum status read_file(const char *path, size_t most, struct text *out, struct message *why)
{
    char buffer[65536];
    size_t n = 0, all = 0;
    FILE *f = fopen(path, "rb");

    if (!f)
        return refuse(errno == ENOENT ? ST_NOT_FOUND : ST_IO, why, "", "%s: %s", path, strerror(errno));
    while (all <= most && (n = fread(buffer, 1, sizeof buffer, f)) > 0) {
        text_add_bytes(out, buffer, n);
        all += n;
    }
    const bool failed = ferror(f) != 0;
    const int cause = errno;
    (void)fclose(f);
    if (failed)
        return refuse(ST_IO, why, "", "%s: %s", path, strerror(cause));
    if (all > most)
        return refuse(ST_BAD_INPUT, why, "", "%s has more than %zu bytes, the most that is taken at once", path, most);
    return text_full(out) ? refuse(ST_NO_MEMORY, why, "", "out of memory") : ST_OK;
}

enum status write_file(const char *path, const struct text *text, struct message *why)
{
    char part[4096], folder[4096];
    const char *slash = strrchr(path, '/');
    const int n = snprintf(part, sizeof part, "%s.part", path);

    if (text_full(text))
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    if (n < 0 || (size_t)n >= sizeof part)
        return refuse(ST_BAD_INPUT, why, "", "the path %.80s... is too long", path);
    (void)snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - path) + 1 : 1, slash ? path : ".");
    const int fd = open(part, O_CREAT | O_TRUNC | O_WRONLY | O_CLOEXEC, 0600);
    if (fd < 0)
        return refuse(ST_IO, why, "", "%s: %s", part, strerror(errno));
    size_t done = 0;
    while (done < text->length) {
        const ssize_t w = write(fd, text->bytes + done, text->length - done);
        if (w < 0)
            break;
        done += (size_t)w;
    }
    const bool whole = done == text->length && fsync(fd) == 0;
    int cause = errno;
    if (close(fd) != 0 || !whole || rename(part, path) != 0) {
        cause = whole ? errno : cause;
        (void)unlink(part);
        return refuse(ST_IO, why, "", "%s could not be written: %s", path, strerror(cause));
    }
    return farm_sync_path(folder, true, why);
}

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static bool looks_like_json(const struct text *bytes)
{
    const char *s = text_get(bytes);

    while (*s == ' ' || *s == '\t' || *s == '\n' || *s == '\r')
        s++;
    return *s == '{' || *s == '[';
}

static void tell(const struct farm_item *item, struct farm_import *done, struct text *report)
{
    if (item->status == ST_OK) {
        done->already += item->outcome.already;
        done->kept += !item->outcome.already;
        done->flagged += item->outcome.n_flags > 0;
        for (size_t i = 0; i < item->outcome.n_flags; i++)
            text_print(report, "%s, %s %zu, odd: %s\n", item->file, item->body ? "record" : "line", item->line,
                       item->outcome.flags[i].says);
        return;
    }
    done->refused++;
    if (item->told)
        text_print(report, "%s\n", item->why.text);
    else
        text_print(report, "%s, %s %zu, %s\n", item->file, item->body ? "record" : "line", item->line, item->why.text);
}

static void closing(enum farm_batch_how how, enum status st, struct farm_import *done, struct text *report)
{
    if (st != ST_OK && done->refused == 0)
        return; /* the machine failed: its own sentence says so */
    if (how == FARM_TRY || (how == FARM_ALL_OR_NOTHING && done->refused)) {
        text_print(report, "%zu of %zu rows are good, %zu are not; nothing was kept\n", done->rows - done->refused,
                   done->rows, done->refused);
        done->kept = 0;
        return;
    }
    text_print(report, "%zu of %zu rows kept, %zu were there already, %zu refused, %zu odd\n", done->kept, done->rows,
               done->already, done->refused, done->flagged);
}

static enum status import(struct farm *farm, const char *name, const struct text *bytes, const struct fact_kind *kind,
                          enum farm_batch_how how, const struct farm_meta *meta, struct arena *mem,
                          struct farm_item **items, size_t *n, struct message *why)
{
    struct fact_speech speech;
    size_t good = 0;
    enum status st = farm_speech(farm, &speech, why);

    if (st != ST_OK)
        return st;
    if (looks_like_json(bytes))
        st = farm_json_read(name, text_get(bytes), bytes->length, kind, &speech, mem, items, n, why);
    else if (!kind)
        st = refuse(ST_BAD_INPUT, why, "kind", "%s: say of which kind the rows are", name);
    else
        st = farm_csv_read(name, text_get(bytes), bytes->length, kind, &speech, mem, items, n, why);
    return st == ST_OK ? farm_record_batch(farm, how, meta, *n, *items, mem, &good, why) : st;
}

enum status farm_import_rows(struct farm *farm, const char *path, const char *name, const struct fact_kind *kind,
                             enum farm_batch_how how, const struct farm_meta *meta, struct arena *mem,
                             struct farm_item **items, size_t *n, struct message *why)
{
    struct text bytes;

    *items = NULL;
    *n = 0;
    text_open(&bytes, FARM_IMPORT_BYTES + 65536);
    enum status st = read_file(path, FARM_IMPORT_BYTES, &bytes, why);
    if (st == ST_OK)
        st = import(farm, name, &bytes, kind, how, meta, mem, items, n, why);
    text_close(&bytes);
    return st;
}

enum status farm_import_file(struct farm *farm, const char *path, const struct fact_kind *kind, enum farm_batch_how how,
                             const struct farm_meta *meta, struct farm_import *done, struct text *report,
                             struct message *why)
{
    struct farm_item *items = NULL;
    struct arena mem;
    size_t n = 0;

    *done = (struct farm_import){ .rows = 0 };
    arena_open(&mem, WORK_BYTES);
    const enum status st = farm_import_rows(farm, path, file_name(path), kind, how, meta, &mem, &items, &n, why);
    done->rows = n;
    for (size_t i = 0; i < n; i++)
        tell(&items[i], done, report);
    if (items)
        closing(how, st, done, report);
    arena_close(&mem);
    return st;
}
