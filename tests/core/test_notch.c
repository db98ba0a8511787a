/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ear notches against the worked examples of extension leaflets, every number there and back, and rubbish. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "core/litter/notch.h"

/* Universal key as taught by Penn State Extension and two teaching sheets: 7 = 3+3+1, 14 = 9+3+1+1, 30 = 27+3, 81 the
 * tip, 80 two of each, 100 = 81+9+9+1, 161 all. Columns: 1, 3, 9, 27, 81. */
static const struct {
    int number, ear[NOTCH_PLACES];
} published[] = {
    { 7, { 1, 2, 0, 0, 0 } },  { 14, { 2, 1, 1, 0, 0 } },  { 30, { 0, 1, 0, 1, 0 } },  { 81, { 0, 0, 0, 0, 1 } },
    { 80, { 2, 2, 2, 2, 0 } }, { 100, { 1, 0, 2, 0, 1 } }, { 161, { 2, 2, 2, 2, 1 } }, { 6, { 0, 2, 0, 0, 0 } },
};
static unsigned checks;

static void worked_examples(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof published / sizeof *published; i++) {
        struct notch_ears ears;
        struct message why = { .text = "" };
        const struct notch_number n = { published[i].number, published[i].number };
        assert_int_equal(notch_cut(n, false, &ears, &why), ST_OK);
        assert_memory_equal(ears.right, published[i].ear, sizeof ears.right);
        assert_memory_equal(ears.left, published[i].ear, sizeof ears.left);
        checks += 2;
    }
}

static void one_number(int litter, int pig, bool extra)
{
    struct notch_ears ears;
    struct notch_number back = { 0, 0 };
    struct message why = { .text = "" };

    assert_int_equal(notch_cut((struct notch_number){ litter, pig }, extra, &ears, &why), ST_OK);
    assert_int_equal(notch_count(&ears, extra, &back, &why), ST_OK);
    assert_int_equal(back.litter, litter);
    assert_int_equal(back.pig, pig);
    checks += 2;
}

static void there_and_back(void **state)
{
    (void)state;
    for (int litter = 1; litter <= NOTCH_MOST; litter++)
        for (int pig = 1; pig <= NOTCH_MOST; pig++)
            one_number(litter, pig, false);
    for (int litter = 1; litter <= NOTCH_LITTER_EXTRA; litter++)
        for (int pig = 1; pig <= NOTCH_PIG_USUAL; pig++)
            one_number(litter, pig, true);
}

/* Every legal set of notches of one ear is another number: 3 x 3 x 3 x 3 x 2 sets, 0 to 161. */
static void no_two_sets_alike(void **state)
{
    bool seen[NOTCH_MOST + 1] = { false };

    (void)state;
    for (int set = 1; set < 162; set++) {
        struct notch_ears ears = { .left = { 1 } };
        struct notch_number n = { 0, 0 };
        struct message why = { .text = "" };
        for (int p = 0, rest = set; p < NOTCH_PLACES; rest /= 3, p++)
            ears.right[p] = rest % 3;
        assert_int_equal(notch_count(&ears, false, &n, &why), ST_OK);
        assert_in_range(n.litter, 1, NOTCH_MOST);
        assert_false(seen[n.litter]);
        seen[n.litter] = true;
        checks += 3;
    }
}

static void rubbish(void **state)
{
    static const char *const texts[] = { "",      "-",      "14",  "14-",     "-6",       "14--6", "14-6x",
                                         "+14-6", "14-6-1", "a-b", "99999-1", "14-99999", "1 4-6", "14\342\200\2236",
                                         "0x1-2", "14.0-6" };
    static const struct notch_number out[] = { { 0, 1 }, { 1, 0 }, { 162, 1 }, { 1, 162 }, { -3, 1 }, { 1, -3 } };
    struct notch_number n = { 7, 7 };
    struct notch_ears ears;

    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct message why = { .text = "" };
        assert_int_equal(notch_read(texts[i], &n, &why), ST_BAD_INPUT);
        assert_string_equal(why.field, "number");
        assert_int_equal(n.litter, 7);
        checks += 3;
    }
    for (size_t i = 0; i < sizeof out / sizeof *out; i++) {
        struct message why = { .text = "" };
        assert_int_equal(notch_cut(out[i], false, &ears, &why), ST_BAD_INPUT);
        assert_true(*why.text);
        checks += 2;
    }
    const struct notch_ears bad[] = {
        { .right = { 3 }, .left = { 1 } },
        { .right = { 1 }, .left = { 0, 3 } },
        { .right = { 0, 0, 0, 0, 2 }, .left = { 1 } },
        { .right = { 0 }, .left = { 1 } },
        { .right = { 1 }, .left = { 0 } },
        { .right = { -1 }, .left = { 1 } },
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct message why = { .text = "" };
        assert_int_equal(notch_count(&bad[i], false, &n, &why), ST_BAD_INPUT);
        checks++;
    }
}

/* "14-6": right 9, 3, 1, 1; left 3, 3 (the same leaflets); spaces as people type them. */
static void said(void **state)
{
    struct notch_number n = { 0, 0 };
    struct notch_ears ears;
    struct message why = { .text = "" };

    (void)state;
    assert_int_equal(notch_read(" 14 - 6 ", &n, &why), ST_OK);
    assert_int_equal(notch_cut(n, false, &ears, &why), ST_OK);
    assert_memory_equal(ears.right, published[1].ear, sizeof ears.right);
    assert_memory_equal(ears.left, published[7].ear, sizeof ears.left);
    /* local extra (from memory): left 27 adds 200 to the litter, left 81 adds 81 */
    const struct notch_ears far = { .right = { 1 }, .left = { 0, 1, 0, 1, 1 } };
    assert_int_equal(notch_count(&far, true, &n, &why), ST_OK);
    assert_int_equal(n.litter, 282);
    assert_int_equal(n.pig, 3);
    assert_int_equal(notch_cut((struct notch_number){ 1, 27 }, true, &ears, &why), ST_BAD_INPUT);
    checks += 8;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worked_examples), cmocka_unit_test(there_and_back), cmocka_unit_test(no_two_sets_alike),
        cmocka_unit_test(rubbish),         cmocka_unit_test(said),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    printf("notch: %u checks\n", checks);
    return failed;
}
