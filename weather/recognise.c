/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which format the bytes are, from the first row that says something.
 */
#include <string.h>

#include "weather/formats.h"
#include "weather/gunzip.h"

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool like(const char *s, size_t n, const char *pattern) /* 9 = digit, A = capital, X = capital or digit */
{
    for (size_t i = 0; pattern[i]; i++) {
        if (i >= n)
            return false;
        const bool capital = s[i] >= 'A' && s[i] <= 'Z';
        switch (pattern[i]) {
        case '9':
            if (!is_digit(s[i]))
                return false;
            break;
        case 'A':
            if (!capital)
                return false;
            break;
        case 'X':
            if (!capital && !is_digit(s[i]))
                return false;
            break;
        default:
            if (s[i] != pattern[i])
                return false;
            break;
        }
    }
    return true;
}

static bool starts_with(const char *s, size_t n, const char *word)
{
    return n >= strlen(word) && memcmp(s, word, strlen(word)) == 0;
}

static bool looks_binary(const char *bytes, size_t n)
{
    size_t odd = 0;

    n = n < 4096 ? n : 4096;
    for (size_t i = 0; i < n; i++) {
        const unsigned char c = (unsigned char)bytes[i];
        if (c == 0)
            return true;
        odd += c < 0x20 && c != '\n' && c != '\r' && c != '\t';
    }
    return odd * 50 > n;
}

static bool report_line(const char *s, size_t n)
{
    return starts_with(s, n, "METAR ") || starts_with(s, n, "SPECI ") || starts_with(s, n, "TAF ") ||
           like(s, n, "AXXX 999999Z") || like(s, n, "9999/99/99 99:99");
}

enum look recognise(const char *bytes, size_t n)
{
    const char *s = bytes, *end = bytes + n;

    if (is_gzip(bytes, n))
        return LOOK_GZIP;
    if (looks_binary(bytes, n))
        return LOOK_BINARY;
    if (starts_with(s, n, "\xEF\xBB\xBF"))
        s += 3;
    while (s < end && (*s == ' ' || *s == '\t' || *s == '\r' || *s == '\n'))
        s++;
    const size_t left = (size_t)(end - s);
    if (left == 0)
        return LOOK_NOTHING;
    if (*s == '{' || *s == '[')
        return LOOK_JSON;
    if (starts_with(s, left, "# hut-weather") || own_csv_header(s, left))
        return LOOK_OWN_CSV;
    if (starts_with(s, left, "LOCATION,"))
        return LOOK_EPW;
    if (like(s, left, "9999 99 99 99 "))
        return LOOK_ISD_LITE;
    if (report_line(s, left))
        return LOOK_REPORTS;
    const char *nl = memchr(s, '\n', left);
    const size_t first = nl ? (size_t)(nl - s) : left;
    if (memchr(s, ',', first) || memchr(s, ';', first) || memchr(s, '\t', first))
        return LOOK_TABLE;
    return LOOK_NOTHING;
}
