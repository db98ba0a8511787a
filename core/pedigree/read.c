/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A pedigree from the bytes of a CSV file. Cells point into the bytes; only quoted quotes are copied. */
#include <string.h>

#include "core/pedigree/given.h"

enum column { ID, SIRE, DAM, SEX, BORN, BREED, NAME, COLUMNS };

struct reader {
    const char *at, *end;
    char mark; /* between cells */
    uint32_t line;
    int place[COLUMNS]; /* from 0; -1 = not there */
    int last;           /* highest place wanted */
    struct arena *mem;
};

/* ---- cells ---- */

static struct piece trimmed(const char *from, const char *to)
{
    while (from < to && (*from == ' ' || *from == '\t'))
        from++;
    while (from < to && (to[-1] == ' ' || to[-1] == '\t'))
        to--;
    return (struct piece){ from, (uint32_t)(to - from) };
}

/* At an opening quote; leaves r->at behind the closing one. A quote that never closes runs to the end. */
static struct piece quoted(struct reader *r)
{
    const char *from = ++r->at;
    bool doubled = false;

    for (; r->at < r->end; r->at++) {
        if (*r->at == '\n')
            r->line++;
        if (*r->at != '"')
            continue;
        if (r->at + 1 == r->end || r->at[1] != '"')
            break;
        doubled = true;
        r->at++;
    }
    const char *to = r->at;
    if (r->at < r->end)
        r->at++;
    if (!doubled)
        return trimmed(from, to);
    char *copy = arena_bytes(r->mem, from, (size_t)(to - from)), *out = copy;
    if (!copy)
        return (struct piece){ "", 0 };
    for (const char *s = from; s < to; s++) {
        *out++ = *s;
        s += *s == '"';
    }
    return trimmed(copy, out);
}

static bool row_ends(char c)
{
    return c == '\n' || c == '\r';
}

/* The next cell of this row; false: the row has no more. */
static bool next_cell(struct reader *r, bool *more, struct piece *cell)
{
    if (!*more)
        return false;
    while (r->at < r->end && *r->at == ' ')
        r->at++;
    if (r->at < r->end && *r->at == '"') {
        *cell = quoted(r);
        while (r->at < r->end && *r->at != r->mark && !row_ends(*r->at))
            r->at++;
    } else {
        const char *from = r->at;
        while (r->at < r->end && *r->at != r->mark && !row_ends(*r->at))
            r->at++;
        *cell = trimmed(from, r->at);
    }
    *more = r->at < r->end && *r->at == r->mark;
    if (*more)
        r->at++;
    return true;
}

static void end_row(struct reader *r)
{
    if (r->at < r->end && *r->at == '\r')
        r->at++;
    if (r->at < r->end && *r->at == '\n')
        r->at++;
    r->line++;
}

/* ---- header ---- */

static char lower(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

static bool named(struct piece p, const char *word)
{
    uint32_t i = 0;

    for (; i < p.n && word[i]; i++)
        if ((p.at[i] == ' ' || p.at[i] == '-' ? '_' : lower(p.at[i])) != word[i])
            return false;
    return i == p.n && !word[i];
}

static void choose_mark(struct reader *r)
{
    static const char marks[] = ",;\t|";
    size_t count[4] = { 0 }, best = 0;
    bool inside = false;

    for (const char *s = r->at; s < r->end && !row_ends(*s); s++) {
        inside ^= *s == '"';
        for (size_t k = 0; !inside && k < 4; k++)
            count[k] += *s == marks[k];
    }
    for (size_t k = 1; k < 4; k++)
        best = count[k] > count[best] ? k : best;
    r->mark = marks[best];
}

static const char *const headers[COLUMNS][8] = {
    [ID] = { "id", "animal", "animal_id" },
    [SIRE] = { "sire", "sire_id", "father", "boar" },
    [DAM] = { "dam", "dam_id", "mother", "sow" },
    [SEX] = { "sex", "gender" },
    [BORN] = { "born", "birth", "birth_date", "date_of_birth", "birthdate", "birth_year", "year" },
    [BREED] = { "breed" },
    [NAME] = { "name" },
};

static enum status read_header(struct reader *r, struct message *why)
{
    struct piece cell;
    bool more = true;

    if (r->end - r->at >= 3 && memcmp(r->at, "\xef\xbb\xbf", 3) == 0)
        r->at += 3;
    while (r->at < r->end && (row_ends(*r->at) || *r->at == ' '))
        *r->at == '\n' ? (void)(r->line++, r->at++) : (void)r->at++;
    choose_mark(r);
    for (int c = 0; c < COLUMNS; c++)
        r->place[c] = -1;
    for (int k = 0; next_cell(r, &more, &cell); k++)
        for (int c = 0; c < COLUMNS; c++)
            for (int w = 0; w < 8 && headers[c][w]; w++)
                if (r->place[c] < 0 && named(cell, headers[c][w]))
                    r->place[c] = r->last = k;
    end_row(r);
    for (int c = ID; c <= DAM; c++)
        if (r->place[c] < 0)
            return refuse(
                ST_BAD_INPUT, why, "pedigree",
                "the first line has no column \"%s\"; a pedigree begins with a line like id,sire,dam,sex,born",
                headers[c][0]);
    return ST_OK;
}

/* ---- rows ---- */

/* No fewer than the rows that will be read: LF, CR LF and CR alone may stand in one file. */
static size_t count_lines(const char *at, const char *end)
{
    size_t n = 1;

    for (const char *s = at; (s = memchr(s, '\n', (size_t)(end - s))); s++)
        n++;
    for (const char *s = at; (s = memchr(s, '\r', (size_t)(end - s))); s++)
        n += s + 1 == end || s[1] != '\n';
    return n;
}

static bool rows_open(struct given *g, const struct reader *r, size_t n, struct arena *work)
{
    *g = (struct given){ .id = ARENA_NEW(work, uint32_t, n), .sire = ARENA_NEW(work, uint32_t, n) };
    g->dam = ARENA_NEW(work, uint32_t, n);
    g->line = ARENA_NEW(work, uint32_t, n);
    if (r->place[SEX] >= 0)
        g->sex = ARENA_NEW(work, uint8_t, n);
    if (r->place[BORN] >= 0) {
        g->born = ARENA_NEW(work, int32_t, n);
        g->year_only = ARENA_NEW(work, uint8_t, n);
    }
    if (r->place[BREED] >= 0)
        g->breed = ARENA_NEW(work, uint16_t, n);
    if (r->place[NAME] >= 0)
        g->name = ARENA_NEW(work, const char *, n);
    return !arena_full(work) && names_open(&g->names, n + n / 8);
}

static enum pedigree_sex sex_of(struct piece p)
{
    static const char *const male[] = { "m", "male", "boar", "1", "sire" };
    static const char *const female[] = { "f", "female", "sow", "gilt", "2", "dam" };

    for (size_t i = 0; i < sizeof male / sizeof *male; i++)
        if (named(p, male[i]))
            return PEDIGREE_MALE;
    for (size_t i = 0; i < sizeof female / sizeof *female; i++)
        if (named(p, female[i]))
            return PEDIGREE_FEMALE;
    return PEDIGREE_SEX_UNKNOWN;
}

struct batch { /* rows whose names are looked up together */
    size_t n;
    struct piece key[NAMES_BATCH];
};

static bool flush(struct given *g, struct batch *b)
{
    uint32_t number[NAMES_BATCH];
    const size_t from = g->n - b->n / 3;

    if (!names_add(&g->names, b->n, b->key, number))
        return false;
    for (size_t k = 0; k < b->n / 3; k++) {
        g->id[from + k] = number[3 * k];
        g->sire[from + k] = number[3 * k + 1];
        g->dam[from + k] = number[3 * k + 2];
    }
    b->n = 0;
    return true;
}

static bool take_extra(struct given *g, size_t row, const struct piece cell[], struct names *breeds,
                       struct findings_pot *pot, struct arena *mem)
{
    if (g->sex)
        g->sex[row] = (uint8_t)sex_of(cell[SEX]);
    if (g->born) {
        bool year_only = false;
        g->born[row] = PEDIGREE_NO_DAY;
        if (!unknown_text(cell[BORN].at, cell[BORN].n) &&
            !born_text(cell[BORN].at, cell[BORN].n, &g->born[row], &year_only)) {
            const char *id = arena_bytes(mem, cell[ID].at, cell[ID].n);
            tell(pot, PK_BORN, PEDIGREE_ODD, g->line[row], id ? id : "",
                 "\"%.*s\" is no date of birth that can be read; write it like 2026-01-22, or the year. Taken as not "
                 "known.",
                 (int)(cell[BORN].n < 60 ? cell[BORN].n : 60), cell[BORN].at);
            g->born[row] = PEDIGREE_NO_DAY;
        }
        g->year_only[row] = year_only;
    }
    if (g->breed) {
        uint32_t k = 0;
        if (!unknown_text(cell[BREED].at, cell[BREED].n) &&
            (!names_add(breeds, 1, &cell[BREED], &k) || k >= PEDIGREE_NO_BREED))
            return false;
        g->breed[row] = k ? (uint16_t)(k - 1) : PEDIGREE_NO_BREED;
    }
    if (g->name && cell[NAME].n && !(g->name[row] = arena_bytes(mem, cell[NAME].at, cell[NAME].n)))
        return false;
    return true;
}

static struct piece key_of(struct piece p)
{
    if (unknown_text(p.at, p.n))
        p.n = 0;
    return p;
}

static bool read_rows(struct reader *r, struct given *g, struct names *breeds, struct findings_pot *pot)
{
    struct batch b = { .n = 0 };

    while (r->at < r->end) {
        struct piece cell[COLUMNS], one;
        bool more = true, any = false;
        const uint32_t line = r->line;
        for (int c = 0; c < COLUMNS; c++)
            cell[c] = (struct piece){ "", 0 };
        for (int k = 0; next_cell(r, &more, &one); k++) {
            any |= one.n > 0;
            for (int c = 0; k <= r->last && c < COLUMNS; c++)
                if (r->place[c] == k)
                    cell[c] = one;
        }
        end_row(r);
        if (!any)
            continue;
        const size_t row = g->n++;
        g->line[row] = line;
        for (int c = ID; c <= DAM; c++)
            b.key[b.n++] = key_of(cell[c]);
        if ((b.n == NAMES_BATCH && !flush(g, &b)) || !take_extra(g, row, cell, breeds, pot, r->mem))
            return false;
    }
    return flush(g, &b);
}

static bool list_breeds(struct given *g, const struct names *breeds, struct arena *mem)
{
    const char **list = ARENA_NEW(mem, const char *, (size_t)breeds->n + 1);

    for (uint32_t k = 0; list && k < breeds->n; k++)
        if (!(list[k] = arena_bytes(mem, breeds->text[k + 1].at, breeds->text[k + 1].n)))
            return false;
    g->breeds = list;
    g->n_breeds = breeds->n;
    if (!breeds->n)
        g->breed = NULL;
    return list != NULL;
}

enum status pedigree_read(const char *bytes, size_t n_bytes, const struct pedigree_rules *rules, struct arena *mem,
                          struct pedigree *p, struct pedigree_findings *out, const uint8_t **in_loop,
                          struct message *why)
{
    struct reader r = { .at = bytes, .end = bytes + n_bytes, .line = 1, .mem = mem };
    struct findings_pot pot = { .mem = mem };
    struct given g = { .n = 0 };
    struct names breeds = { .n = 0 };
    struct arena work;

    if (n_bytes == 0)
        return refuse(ST_BAD_INPUT, why, "pedigree", "the pedigree is empty; it begins with a line like id,sire,dam");
    if (memchr(bytes, 0, n_bytes))
        return refuse(ST_BAD_INPUT, why, "pedigree", "this is no text file; give a CSV file with id,sire,dam");
    enum status st = read_header(&r, why);
    if (st != ST_OK)
        return st;
    const size_t n = count_lines(r.at, r.end);
    arena_open(&work, SIZE_MAX);
    arena_open(&pot.work, SIZE_MAX);
    if (n >= UINT32_MAX / 8 || !rows_open(&g, &r, n, &work) || !names_open(&breeds, 64) ||
        !read_rows(&r, &g, &breeds, &pot) || !list_breeds(&g, &breeds, mem)) {
        names_close(&g.names);
        st = given_refuse(breeds.n, g.n ? g.line[g.n - 1] : 0, why);
    } else {
        st = given_settle(&g, rules, &pot, mem, p, out, in_loop, why);
    }
    names_close(&breeds);
    arena_close(&pot.work);
    arena_close(&work);
    return st;
}
