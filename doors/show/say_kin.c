/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/show/say_kin.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "doors/show/own.h"
#include "doors/show/say_piece.h"

const char *say_percent(double fraction, char out[static 32])
{
    if (isfinite(fraction))
        (void)snprintf(out, 32, "%.1f %%", floor(1000.0 * fraction + 0.5) / 10.0); /* halves up */
    else
        (void)snprintf(out, 32, "?");
    return out;
}

static void findings(const struct answer *a, const struct show_how *how, struct text *out)
{
    for (const struct answer *f = say_rows(out, how, a, "findings", "IN THE PEDIGREE"); f; f = f->next) {
        struct text line;
        text_open_part(&line, out);
        text_print(&line, "%s: %s", answer_get_text(f, "weight"), answer_get_text(f, "says"));
        show_fold(out, how, "  - ", 4, text_get(&line));
        text_close(&line);
    }
}

void say_kin_tail(const struct answer *a, const struct show_how *how, struct text *out)
{
    const char *rests = answer_get_text(a, "rests_on.says");

    text_add(out, "\n");
    if (rests)
        show_fold(out, how, "", 0, rests);
    findings(a, how, out);
    say_titled_texts(out, how, a, "record", "SURER WITH", "  - ");
    say_titled_texts(out, how, a, "assumed", "TAKEN FOR GRANTED", "  - ");
    say_titled_texts(out, how, a, "cautions", "CAUTION", "  ! ");
}

/* ---- the table ---- */

enum { NAME = 12, CELL = 11, FIT_MOST = 40 }; /* as many boars stand beside each other on the widest line, 400 */

/* Text cut to so many characters of UTF-8, and blanks after it. */
static void cell(struct text *out, const char *s, int columns)
{
    int at = 0;

    while (*s && at < columns) {
        size_t n = 1;
        while (((unsigned char)s[n] & 0xC0) == 0x80)
            n++;
        text_add_bytes(out, s, n);
        s += n;
        at++;
    }
    text_print(out, "%*s", columns - at, "");
}

/* Without the blanks at its end. */
static void trimmed(struct text *line, struct text *out)
{
    const char *all = text_get(line);
    size_t length = strlen(all);

    while (length > 0 && all[length - 1] == ' ')
        length--;
    text_add_bytes(out, all, length);
    text_add(out, "\n");
    text_close(line);
}

/* A sow's pairs stand together: from her first to the one before the next sow's. */
static bool of_sow(const struct answer *pair, const char *sow)
{
    return pair && strcmp(answer_get_text(pair, "sow"), sow) == 0;
}

static const struct answer *pair_of(const struct answer *first, const char *sow, const char *boar)
{
    for (const struct answer *p = first; of_sow(p, sow); p = p->next)
        if (strcmp(answer_get_text(p, "boar"), boar) == 0)
            return p;
    return NULL;
}

static void line_of(const struct answer *first, const char *sow, const char *const boars[], size_t n, struct text *out)
{
    struct text line;

    text_open_part(&line, out);
    text_add(&line, "  ");
    cell(&line, sow, NAME);
    for (size_t b = 0; b < n; b++) {
        const struct answer *p = pair_of(first, sow, boars[b]);
        char text[48], percent[32];
        (void)snprintf(text, sizeof text, " %s%s%s", p && say_flag_at(p, "chosen") ? "[" : " ",
                       p ? say_percent(answer_get_real(p, "f"), percent) : "?",
                       p && say_flag_at(p, "chosen")          ? "]"
                       : p && answer_get_text(p, "forbidden") ? " -"
                       : p && say_flag_at(p, "too_close")     ? " x"
                                                              : "");
        cell(&line, text, CELL);
    }
    trimmed(&line, out);
}

void say_kin_table(const struct answer *a, const struct show_how *how, struct text *out)
{
    const struct answer *pairs = answer_at(a, "pairs"), *list = answer_at(a, "boars");
    const size_t fit = how->width > 2 + NAME + CELL ? (size_t)(how->width - 2 - NAME) / CELL : 1;

    for (const struct answer *b = list ? list->first : NULL; b;) {
        const char *boars[FIT_MOST];
        size_t here = 0;
        struct text names;
        text_open_part(&names, out);
        text_print(&names, "  %*s", NAME, "");
        for (; b && here < fit && here < FIT_MOST; b = b->next) {
            boars[here] = answer_get_text(b, "name");
            text_add(&names, "  ");
            cell(&names, boars[here++], CELL - 2);
        }
        trimmed(&names, out);
        for (const struct answer *p = pairs ? pairs->first : NULL; p;) {
            const char *sow = answer_get_text(p, "sow");
            line_of(p, sow, boars, here, out);
            while (of_sow(p, sow))
                p = p->next;
        }
    }
}
