/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * F from so many generations of ancestors, against the table of a pedigree whose older links were taken out. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "core/pedigree/pedigree.h"
#include "tests/core/pedigree_case.h"

static int compared;

enum { ANIMALS = 60 };

/* Brother by sister, again and again: 1/4, 3/8, 1/2 (Wright 1921, Genetics 6:124). With g generations the line begins
 * g - 1 matings ago. */
static void full_sib_line(void **state)
{
    static const double want[] = { 0.0, 0.0, 0.25, 0.375, 0.5, 0.59375 };
    struct case_of c;
    struct message why = { "", "" };

    (void)state;
    case_read(&c, "id,sire,dam\na,,\nb,,\nc,a,b\nd,a,b\ne,c,d\nf,c,d\ng,e,f\nh,e,f\ni,g,h\nj,g,h\nk,i,j\n");
    const uint32_t k = pedigree_find(&c.p, NULL, "k");
    for (unsigned g = 1; g <= 5; g++, compared++) {
        assert_int_equal(pedigree_inbreeding_depth(&c.p, g, &c.mem, c.f, &why), ST_OK);
        assert_true(fabs(c.f[k] - want[g]) < 1e-15);
    }
    case_close(&c);
}

static uint32_t die(uint64_t *state, uint32_t n)
{
    *state = *state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)((*state >> 33) % n);
}

/* Every way up is walked; nearest[] keeps the shortest. */
static void walk(const struct pedigree *p, uint32_t i, unsigned back, unsigned most, unsigned nearest[])
{
    if (!i || back > most)
        return;
    nearest[i] = back < nearest[i] ? back : nearest[i];
    walk(p, p->sire[i], back + 1, most, nearest);
    walk(p, p->dam[i], back + 1, most, nearest);
}

static double by_table(const struct pedigree *p, uint32_t animal, unsigned most, double *a)
{
    uint32_t sire[ANIMALS + 1] = { 0 }, dam[ANIMALS + 1] = { 0 };
    unsigned nearest[ANIMALS + 1];
    struct pedigree cut = *p;

    for (uint32_t i = 0; i <= p->n; i++)
        nearest[i] = 1000;
    walk(p, animal, 0, most, nearest);
    for (uint32_t i = 1; i <= p->n; i++)
        if (nearest[i] < most) {
            sire[i] = p->sire[i];
            dam[i] = p->dam[i];
        }
    cut.sire = sire;
    cut.dam = dam;
    pedigree_table(&cut, a);
    return a[animal * ((size_t)p->n + 1) + animal] - 1.0;
}

static void against_the_table(void **state)
{
    static double a[(ANIMALS + 1) * (ANIMALS + 1)];
    uint64_t seed = 20260122;
    int differs = 0;

    (void)state;
    for (int round = 0; round < 12; round++) {
        uint32_t sire[ANIMALS + 1] = { 0 }, dam[ANIMALS + 1] = { 0 };
        double f[ANIMALS + 1], full[ANIMALS + 1];
        struct arena mem;
        struct message why = { "", "" };
        const struct pedigree p = { .n = ANIMALS, .sire = sire, .dam = dam };
        for (uint32_t i = 5; i <= ANIMALS; i++) { /* from the last dozen; now and then a parent unknown */
            const uint32_t from = i > 12 ? i - 12 : 1;
            sire[i] = die(&seed, 9) ? from + die(&seed, i - from) : 0;
            dam[i] = die(&seed, 9) ? from + die(&seed, i - from) : 0;
        }
        arena_open(&mem, SIZE_MAX);
        assert_int_equal(pedigree_inbreeding(&p, PEDIGREE_BEST, NULL, &mem, full, &why), ST_OK);
        for (unsigned g = 1; g <= 6; g++) {
            assert_int_equal(pedigree_inbreeding_depth(&p, g, &mem, f, &why), ST_OK);
            for (uint32_t i = 1; i <= ANIMALS; i++, compared++) {
                if (!(fabs(f[i] - by_table(&p, i, g, a)) < 1e-12))
                    fail_msg("animal %u from %u generations: %.17g", i, g, f[i]);
                assert_true(f[i] <= full[i] + 1e-12);
                differs += f[i] < full[i] - 1e-9;
            }
        }
        assert_int_equal(pedigree_inbreeding_depth(&p, ANIMALS, &mem, f, &why), ST_OK);
        for (uint32_t i = 1; i <= ANIMALS; i++, compared++)
            assert_true(fabs(f[i] - full[i]) < 1e-12);
        arena_close(&mem);
    }
    assert_true(differs > 500); /* else the depth would not have been tried */
}

static int count(void **state)
{
    (void)state;
    print_message("%d figures compared\n", compared);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(full_sib_line),
        cmocka_unit_test(against_the_table),
    };
    return cmocka_run_group_tests(tests, NULL, count);
}
