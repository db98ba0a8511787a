/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The table of sows and boars as text: every boar stands in it, however many there are, and each figure in its own place.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "desk/answer.h"
#include "doors/show/say_kin.h"

enum { SOWS = 3, BOARS = 150 };

static size_t figures;

/* F of each pair is a figure of its own: sow 1 with boar 7 has 1.07 in 100. */
static void every_boar_stands_in_the_table(void **state)
{
    static const struct show_how how = { .width = 80 };
    struct arena mem;
    struct text out;
    char name[2][16];

    (void)state;
    arena_open(&mem, (size_t)1 << 24);
    struct answer *a = answer_new(&mem), *boars = answer_list(a, "boars"), *pairs = answer_list(a, "pairs");
    for (int b = 0; b < BOARS; b++) {
        (void)snprintf(name[1], sizeof name[1], "B%d", b);
        answer_text(answer_item(boars), "name", arena_text(&mem, name[1]));
    }
    for (int s = 0; s < SOWS; s++)
        for (int b = 0; b < BOARS; b++) {
            struct answer *row = answer_item(pairs);
            (void)snprintf(name[0], sizeof name[0], "S%d", s);
            (void)snprintf(name[1], sizeof name[1], "B%d", b);
            answer_text(row, "sow", arena_text(&mem, name[0]));
            answer_text(row, "boar", arena_text(&mem, name[1]));
            answer_real(row, "f", 0.2 * s + 0.001 * b);
        }
    text_open(&out, 1 << 20);
    say_kin_table(a, &how, &out);
    char text[32];
    size_t lines = 0;
    int head = 0;
    for (const char *line = text_get(&out); *line; line = strchr(line, '\n') + 1, lines++) {
        int sow = 0;
        if (sscanf(line, " B%d", &head) != 1 && sscanf(line, " S%d", &sow) == 1)
            for (int b = head; b < BOARS && b < head + 6; b++, figures++) {
                (void)snprintf(text, sizeof text, " %.1f %%", 100.0 * (0.2 * sow + 0.001 * b));
                const char *end = strchr(line, '\n'), *at = strstr(line, text);
                if (!at || at > end)
                    fail_msg("S%d with B%d: no %s in %.90s", sow, b, text, line);
            }
    }
    assert_int_equal(lines, (BOARS / 6) * (SOWS + 1)); /* (80 - 14) / 11 boars beside each other */
    assert_int_equal(figures, SOWS * BOARS);
    text_close(&out);
    arena_close(&mem);
}

static int closing(void **state)
{
    (void)state;
    printf("kin as a table: %zu figures\n", figures);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(every_boar_stands_in_the_table) };
    return cmocka_run_group_tests_name("kin as a table", tests, NULL, closing);
}
