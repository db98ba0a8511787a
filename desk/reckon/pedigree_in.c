/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/reckon/pedigree_in.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "desk/share.h"

/* ---- the file ---- */

static enum status read_to_end(int fd, const char *flag, const char *path, struct arena *mem, size_t room, char **bytes,
                               size_t *n, struct message *why)
{
    char *at = ARENA_NEW(mem, char, room + 1);

    *n = 0;
    while (at) {
        const ssize_t got = read(fd, at + *n, room - *n);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return refuse(errno == EISDIR ? ST_BAD_INPUT : ST_IO, why, flag, "%.120s: %s", path,
                          errno == EISDIR ? "a folder; give a file" : "can't be read to its end");
        *n += (size_t)got;
        if (got == 0)
            break;
        if (*n == room) { /* a pipe, or a file that grows */
            char *more = ARENA_NEW(mem, char, room * 2 + 1);
            if (more)
                memcpy(more, at, room);
            at = more;
            room *= 2;
        }
    }
    if (!at)
        return refuse(ST_NO_MEMORY, why, flag, "%.120s: too long for the memory of this machine", path);
    at[*n] = 0;
    *bytes = at;
    return ST_OK;
}

enum status pedigree_in_bytes(const char *flag, const char *path, struct arena *mem, char **bytes, size_t *n,
                              struct message *why)
{
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    struct stat is;

    if (fd < 0 && errno == ENOENT)
        return refuse(ST_NOT_FOUND, why, flag, "%.120s: no such file", path);
    if (fd < 0)
        return refuse(ST_IO, why, flag, "%.120s: can't be opened; may this program read it?", path);
    const bool sized = fstat(fd, &is) == 0 && S_ISREG(is.st_mode) && is.st_size > 0;
    const size_t room = sized ? (size_t)is.st_size + 1 : 65536;
    const enum status st = read_to_end(fd, flag, path, mem, room, bytes, n, why);
    (void)close(fd);
    return st;
}

/* ---- hands ---- */

struct pedigree_hands pedigree_in_hands(size_t threads)
{
    const long here = sysconf(_SC_NPROCESSORS_ONLN);

    if (threads == 0)
        threads = here > 8 ? 8 : here > 1 ? (size_t)here : 1;
    return (struct pedigree_hands){ .share = share_parts, .threads = threads };
}

/* ---- a pedigree, reckoned ---- */

enum status pedigree_in_open(const char *path, size_t threads, struct pedigree_in *in, struct message *why)
{
    const struct pedigree_hands hands = pedigree_in_hands(threads);
    struct arena file;
    char *bytes = NULL;
    size_t n = 0;

    *in = (struct pedigree_in){ .f = NULL };
    arena_open(&in->mem, SIZE_MAX);
    arena_open(&file, SIZE_MAX);
    enum status st = pedigree_in_bytes("PEDIGREE", path, &file, &bytes, &n, why);
    if (st == ST_OK)
        st = pedigree_read(bytes, n, NULL, &in->mem, &in->p, &in->found, &in->in_loop, why);
    arena_close(&file); /* ids and names are copies */
    if (st != ST_OK)
        return st;
    in->f = ARENA_NEW(&in->mem, double, (size_t)in->p.n + 1);
    in->d = ARENA_NEW(&in->mem, double, (size_t)in->p.n + 1);
    if (!in->f || !in->d)
        return refuse(ST_NO_MEMORY, why, "PEDIGREE", "too many animals for the memory of this machine");
    st = pedigree_inbreeding(&in->p, PEDIGREE_BEST, &hands, &in->mem, in->f, why);
    if (st == ST_OK)
        pedigree_mendelian(&in->p, in->f, in->d);
    return st;
}

void pedigree_in_close(struct pedigree_in *in)
{
    arena_close(&in->mem);
}

enum status pedigree_in_ids(struct pedigree_in *in, const char *flag, const char *text, const uint32_t **who, size_t *n,
                            struct message *why)
{
    size_t most = 1, k = 0;

    for (const char *s = text; *s; s++)
        most += *s == ',';
    uint32_t *list = ARENA_NEW(&in->mem, uint32_t, most);
    char *copy = arena_text(&in->mem, text);
    if (!list || !copy)
        return refuse(ST_NO_MEMORY, why, flag, "--%s: too long", flag);
    if (!in->index) {
        const enum status st = pedigree_index_make(&in->p, &in->mem, &in->index, why);
        if (st != ST_OK)
            return st;
    }
    for (char *from = copy, *next; from; from = next) {
        next = strchr(from, ',');
        if (next)
            *next++ = 0;
        from += strspn(from, " \t");
        for (size_t end = strlen(from); end && (from[end - 1] == ' ' || from[end - 1] == '\t'); end--)
            from[end - 1] = 0;
        list[k] = pedigree_find(&in->p, in->index, from);
        if (!list[k])
            return refuse(ST_NOT_FOUND, why, flag,
                          "--%s: no animal \"%.80s\" in the pedigree; give an id as it is "
                          "spelled there",
                          flag, from);
        k++;
    }
    *who = list;
    *n = k;
    return ST_OK;
}

void pedigree_in_findings(const struct pedigree_in *in, struct answer *a)
{
    static const char *const weight[] = {
        [PEDIGREE_NOTE] = "note", [PEDIGREE_HINT] = "hint", [PEDIGREE_ODD] = "odd", [PEDIGREE_WRONG] = "error"
    };
    struct answer *list = answer_list(a, "findings");

    for (size_t i = 0; i < in->found.n; i++) {
        const struct pedigree_finding *f = &in->found.list[i];
        struct answer *row = answer_item(list);
        if (f->line)
            answer_whole(row, "line", f->line);
        else
            answer_null(row, "line", NULL);
        answer_text(row, "id", arena_text(a->mem, f->id));
        answer_text(row, "kind", pedigree_kind_name[f->kind]);
        answer_text(row, "weight", weight[f->weight]);
        answer_text(row, "says", arena_text(a->mem, f->says));
    }
    a->no |= in->found.wrong > 0;
}
