/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Spellings: of unknown, of nobody, of a birth; and ids that differ by next to nothing. */
#include <string.h>

#include "core/base/civil.h"
#include "core/pedigree/given.h"

static char lower(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

static bool is(const char *s, size_t n, const char *word)
{
    for (size_t i = 0; i < n; i++)
        if (!word[i] || lower(s[i]) != word[i])
            return false;
    return word[n] == 0;
}

static bool all_of(const char *s, size_t n, char c)
{
    while (n && s[n - 1] == c)
        n--;
    return n == 0;
}

bool unknown_text(const char *s, size_t n)
{
    static const char *const words[] = { "0", "na", "n/a", "n.a.", "nan", "null", "none", "unknown", "." };

    if (n == 0)
        return true;
    switch (s[0]) {
    case '?':
    case '-':
    case '*': return all_of(s, n, s[0]);
    case '0':
    case '.':
    case 'N':
    case 'n':
    case 'U':
    case 'u': break;
    default: return false; /* nearly every cell of a file */
    }
    if (n > 7)
        return false;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (is(s, n, words[i]))
            return true;
    return false;
}

bool placeholder_text(const char *s, size_t n)
{
    static const char *const whole[] = { "nn",  "n.n.", "n. n.", "tba",     "tbc",      "boar",
                                         "sow", "sire", "dam",   "no name", "not named" };
    static const char *const within[] = { "unknown",      "unrecorded",   "not known",
                                          "not recorded", "unidentified", "unregistered" };
    char low[64];

    if (n < 2 || n >= sizeof low)
        return false;
    for (size_t i = 0; i < n; i++)
        low[i] = lower(s[i]);
    low[n] = 0;
    if (n <= 9 && (low[n - 1] < '0' || low[n - 1] > '9'))
        for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
            if (strcmp(low, whole[i]) == 0)
                return true;
    if (n < 7 || !memchr(low, 'n', n))
        return false;
    for (size_t i = 0; i < sizeof within / sizeof *within; i++)
        if (strstr(low, within[i]))
            return true;
    return false;
}

/* ---- births ---- */

static bool digits(const char *s, size_t n, size_t *at, size_t most, int *value, size_t *count)
{
    const size_t from = *at;

    *value = 0;
    while (*at < n && *at - from < most && s[*at] >= '0' && s[*at] <= '9')
        *value = *value * 10 + (s[(*at)++] - '0');
    *count = *at - from;
    return *count > 0;
}

static int century(int year, size_t count)
{
    return count > 2 ? year : year < 50 ? 2000 + year : 1900 + year;
}

static bool a_year(int year, size_t count, int32_t *born, bool *year_only)
{
    year = century(year, count);
    if ((count != 2 && count != 4) || !civil_is_date(year, 7, 1))
        return false;
    *born = (int32_t)civil_days(year, 7, 1);
    *year_only = true;
    return true;
}

bool born_text(const char *s, size_t n, int32_t *born, bool *year_only)
{
    int part[3] = { 0 };
    size_t count[3] = { 0 }, at = 0;

    *year_only = false;
    if (!digits(s, n, &at, 4, &part[0], &count[0]))
        return false;
    if (at == n)
        return a_year(part[0], count[0], born, year_only);
    const char mark = s[at];
    if (count[0] == 4 && (mark == '.' || mark == ',')) { /* a year with decimals: 2013.0, 2013,5 */
        size_t end = at + 1;
        while (end < n && s[end] >= '0' && s[end] <= '9')
            end++;
        if (end == n)
            return a_year(part[0], 4, born, year_only);
    }
    if (mark != '-' && mark != '.' && mark != '/' && mark != ' ')
        return false;
    for (unsigned k = 1; k < 3; k++) {
        if (at >= n || s[at] != mark)
            return false;
        at++;
        if (at < n && mark == '.' && s[at] == ' ')
            at++;
        if (!digits(s, n, &at, 4, &part[k], &count[k]))
            return false;
    }
    if (at != n && s[at] != 'T' && s[at] != ' ')
        return false;
    int year, month = part[1], day;
    if (count[0] == 4) {
        year = part[0];
        day = part[2];
    } else {
        day = part[0];
        year = century(part[2], count[2]);
        if (mark == '/' && month > 12 && day <= 12) { /* month first, where it can only be so */
            month = part[0];
            day = part[1];
        }
    }
    if (!civil_is_date(year, month, day))
        return false;
    *born = (int32_t)civil_days(year, month, day);
    return true;
}

/* ---- near spellings ---- */

/* Without spaces, marks and case; no leading zeros in a run of digits; O and 0, I, L and 1 alike. */
static uint32_t plain(const char *id, char out[static 64])
{
    uint32_t n = 0;
    bool run = false;

    for (const char *s = id; *s; s++) {
        char c = lower(*s);
        if (c == ' ' || c == '\t')
            continue;
        c = (char)(c == 'o' ? '0' : c == 'i' || c == 'l' ? '1' : c);
        if (c == '0' && !run && s[1])
            continue;
        run = c >= '0' && c <= '9';
        if (n == 63)
            return 0;
        out[n++] = c;
    }
    return n;
}

/* Ids that are alike by their hash are compared; 8 bytes for each animal and room to spare. */
struct alike {
    uint32_t tag, animal; /* animal 0 = free */
};

static uint64_t hash_of(const char *s, uint32_t n)
{
    uint64_t h = UINT64_C(0x9e3779b97f4a7c15) + n;

    for (uint32_t i = 0; i < n; i += 8) {
        uint64_t word = 0;
        memcpy(&word, s + i, n - i < 8 ? n - i : 8);
        h = (h ^ word) * UINT64_C(0xd6e8feb86659fd93);
        h ^= h >> 32;
    }
    return h;
}

static void look(const struct pedigree *p, struct alike *slot, uint64_t mask, uint32_t i, uint64_t hash,
                 struct findings_pot *pot)
{
    const uint32_t tag = (uint32_t)(hash >> 32);
    uint64_t at = hash & mask;
    char one[64], other[64];

    for (; slot[at].animal; at = (at + 1) & mask) {
        if (slot[at].tag != tag)
            continue;
        const uint32_t n = plain(p->id[i], one);
        if (n != plain(p->id[slot[at].animal], other) || memcmp(one, other, n) != 0)
            continue;
        tell(pot, PK_DUPLICATE, PEDIGREE_HINT, p->line[i], p->id[i],
             "\"%s\" and \"%s\" differ only by case, spaces, leading zeros or look-alikes. They were kept apart; is it "
             "one animal?",
             p->id[i], p->id[slot[at].animal]);
        return;
    }
    slot[at] = (struct alike){ tag, i };
}

bool check_spellings(const struct pedigree *p, struct arena *work, struct findings_pot *pot)
{
    enum { AT_ONCE = 64 };
    uint64_t slots = 64;

    while (slots < (uint64_t)p->n + p->n / 2)
        slots *= 2;
    struct alike *slot = ARENA_NEW(work, struct alike, slots);
    for (uint32_t i = 1; slot && i <= p->n; i += AT_ONCE) {
        const uint32_t many = p->n - i + 1 < AT_ONCE ? p->n - i + 1 : AT_ONCE;
        uint64_t hash[AT_ONCE];
        bool empty[AT_ONCE];
        for (uint32_t k = 0; k < many; k++) {
            char low[64];
            const uint32_t n = plain(p->id[i + k], low);
            empty[k] = n == 0;
            hash[k] = hash_of(low, n);
            __builtin_prefetch(&slot[hash[k] & (slots - 1)]);
        }
        for (uint32_t k = 0; k < many; k++)
            if (!empty[k])
                look(p, slot, slots - 1, i + k, hash[k], pot);
    }
    return slot != NULL;
}
