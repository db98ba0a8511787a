/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pedigrees whose figures are published or exact fractions, and open data. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "core/base/civil.h"
#include "core/pedigree/pedigree.h"
#include "tests/core/pedigree_case.h"

static int figures;

static void holds(const struct case_of *c, const char *id, double want, const char *source)
{
    const double got = f_of(c, id);

    figures++;
    if (!(fabs(got - want) < 1e-12))
        fail_msg("F of %s: want %.17g, got %.17g — %s", id, want, got, source);
}

#define MRODE "Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1"
static const char mrode[] = "id,sire,dam\n1,,\n2,,\n3,1,2\n4,1,\n5,4,3\n6,5,2\n";

static void mrode_f_and_d(void **state)
{
    static const double d[] = { 0, 1, 1, 0.5, 0.75, 0.5, 15.0 / 32.0 };
    struct case_of c;

    (void)state;
    case_read(&c, mrode);
    for (uint32_t i = 1; i <= 6; i++, figures++)
        assert_true(fabs(c.d[i] - d[i]) < 1e-15);
    holds(&c, "4", 0.0, MRODE);
    holds(&c, "5", 0.125, MRODE);
    holds(&c, "6", 0.125, MRODE);
    case_close(&c);
}

static void mrode_tables(void **state)
{
    static const double want[6][6] = { { 1, 0, .5, .5, .5, .25 },
                                       { 0, 1, .5, 0, .25, .625 },
                                       { .5, .5, 1, .25, .625, .5625 },
                                       { .5, 0, .25, 1, .625, .3125 },
                                       { .5, .25, .625, .625, 1.125, .6875 },
                                       { .25, .625, .5625, .3125, .6875, 1.125 } };
    static const double inverse[6][6] = {
        { 1.8333, .5, -1, -.6667, 0, 0 }, { .5, 2.0333, -1, 0, .5333, -1.0667 }, { -1, -1, 2.5, .5, -1, 0 },
        { -.6667, 0, .5, 1.8333, -1, 0 }, { 0, .5333, -1, -1, 2.5333, -1.0667 }, { 0, -1.0667, 0, 0, -1.0667, 2.1333 }
    };
    double a[49], b[49], x[7] = { 0 }, y[7], v[7];
    struct case_of c;

    (void)state;
    case_read(&c, mrode);
    pedigree_table(&c.p, a);
    pedigree_inverse(&c.p, c.d, b);
    for (size_t i = 0; i < 6; i++) {
        memset(x, 0, sizeof x);
        x[i + 1] = 1.0;
        pedigree_times(&c.p, c.d, x, y, v);
        for (size_t j = 0; j < 6; j++, figures += 3) {
            assert_true(fabs(a[(i + 1) * 7 + j + 1] - want[i][j]) < 1e-15);
            assert_true(fabs(y[j + 1] - want[i][j]) < 1e-15);
            assert_true(fabs(b[(i + 1) * 7 + j + 1] - inverse[i][j]) < 6e-5);
        }
    }
    case_close(&c);
}

static void fernando_grossman(void **state)
{
    static const char source[] = "Fernando & Grossman 1990, pedigree of the example; figures by the table";
    struct case_of c;

    (void)state;
    case_read(&c, "id,sire,dam\n1,,\n2,,\n3,1,\n4,1,2\n5,3,4\n6,1,4\n7,5,6\n8,5,6\n");
    holds(&c, "5", 1.0 / 8, source);
    holds(&c, "6", 1.0 / 4, source);
    holds(&c, "7", 9.0 / 32, source);
    holds(&c, "8", 9.0 / 32, source);
    assert_true(fabs(2.0 * k_of(&c, "7", "8") - 0.875) < 1e-15);
    assert_true(fabs(2.0 * k_of(&c, "5", "6") - 0.5625) < 1e-15);
    case_close(&c);
}

static void na_for_unknown(void **state)
{
    struct case_of c;

    (void)state;
    case_read(&c, "id,sire,dam\n1,NA,NA\n2,NA,NA\n3,1,2\n4,1,NA\n5,4,3\n6,5,2\n");
    holds(&c, "5", .125, "manual of the package pedigreemm");
    holds(&c, "6", .125, "manual of the package pedigreemm");
    case_close(&c);
}

/* Offspring "x" of each mating; all others unrelated. Wright 1922; the fractions by counting paths. */
static void matings(void **state)
{
    static const struct {
        const char *rows;
        double f;
    } list[] = {
        { "a,s,d\nb,s,d\nx,a,b\n", 1.0 / 4 },                              /* full sibs */
        { "a,s,d\nx,s,a\n", 1.0 / 4 },                                     /* parent and offspring */
        { "a,s,d\nb,s,e\nx,a,b\n", 1.0 / 8 },                              /* half sibs */
        { "a,s,d\nb,s,d\nn,q,b\nx,a,n\n", 1.0 / 8 },                       /* uncle and niece */
        { "a,s,d\nb,q,a\nx,s,b\n", 1.0 / 8 },                              /* grandparent */
        { "a,s,d\nb,s,d\nm,q,a\nn,q,b\nx,m,n\n", 3.0 / 16 },               /* three-quarter sibs */
        { "a,s,d\nb,s,d\nm,a,q\nn,r,b\nx,m,n\n", 1.0 / 16 },               /* first cousins */
        { "a,s,d\nb,s,e\nm,a,q\nn,r,b\nx,m,n\n", 1.0 / 32 },               /* half first cousins */
        { "a,s,d\nb,s,d\nm,a,q\nn,r,b\ng,m,u\nh,v,n\nx,g,h\n", 1.0 / 64 }, /* second cousins */
        { "a,s,d\nb,s,d\nx,a,b\n", 1.0 / 4 },
        { "a,s,d\nb,s,d\ng,a,b\nh,a,b\nx,g,h\n", 3.0 / 8 },               /* two generations of full sibs */
        { "a,s,d\nb,s,d\ng,a,b\nh,a,b\nm,g,h\nn,g,h\nx,m,n\n", 1.0 / 2 }, /* three */
        { "a,s,d\nb,s,d\ng,a,b\nh,a,b\nm,g,h\nn,g,h\nu,m,n\nv,m,n\nx,u,v\n", 19.0 / 32 },
        { "a,s,d\nb,s,a\nx,s,b\n", 3.0 / 8 },                             /* sire, his daughter, hers */
        { "a,s,d\nb,s,d\ng,t,e\nh,t,e\nm,a,g\nn,b,h\nx,m,n\n", 1.0 / 8 }, /* double first cousins */
    };

    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
        char text[256];
        struct case_of c;
        (void)snprintf(text, sizeof text, "id,sire,dam\n%s", list[i].rows);
        case_read(&c, text);
        holds(&c, "x", list[i].f, "Wright 1922, by counting paths");
        case_close(&c);
    }
}

static void shorthorn(void **state)
{
    static const char source[] = "Shorthorn bulls after Wright 1922, simplified; by the table";
    struct case_of c;

    (void)state;
    case_read(&c, "id;sire;dam\nComet;Favourite;Young Phoenix\nYoung Phoenix;Favourite;Phoenix\n"
                  "Favourite;Bolingbroke;Phoenix\nPhoenix;Foljambe;Lady Maynard\n"
                  "Bolingbroke;Foljambe;Young Strawberry\nYoung Strawberry;Dalton Duke;Lady Maynard\n"
                  "Lady Maynard;Alcock's Bull;her dam\n");
    holds(&c, "Favourite", 3.0 / 16, source);
    holds(&c, "Young Phoenix", 11.0 / 32, source);
    holds(&c, "Comet", 15.0 / 32, source);
    case_close(&c);
}

static void habsburg(void **state)
{
    static const struct {
        const char *id;
        double over, under;
    } want[] = { { "Philip I", 1, 64 },
                 { "Charles V", 11, 512 },
                 { "Philip II", 209, 2048 },
                 { "Don Carlos", 783, 4096 },
                 { "Philip III", 3309, 16384 },
                 { "Philip IV", 13479, 131072 },
                 { "Ferdinand II", 1077, 8192 },
                 { "Mariana of Austria", 77177, 524288 },
                 { "Charles II", 257059, 1048576 } };
    struct case_of c;

    (void)state;
    if (!case_outside(&c, "habsburg_extended.csv"))
        skip();
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        holds(&c, want[i].id, want[i].over / want[i].under, "exact fractions by the table, independent program");
    holds(&c, "Charles II", 257059.0 / 1048576.0, "exact");
    case_close(&c);
}

static double mean_f(const struct case_of *c)
{
    double sum = 0.0;
    for (uint32_t i = 1; i <= c->p.n; i++)
        sum += c->f[i];
    return sum / c->p.n;
}

static void gazelle(void **state)
{
    static const char source[] = "studbook of a captive gazelle (package purgeR), table in an independent program";
    struct case_of c;

    (void)state;
    if (!case_outside(&c, "gazelle_dama.csv"))
        skip();
    assert_int_equal(c.p.n, 1316);
    holds(&c, "400", 0.384765625, source);
    holds(&c, "700", 0.23779296875, source);
    assert_true(fabs(f_of(&c, "1316") - 0.287225246429) < 1e-12);
    assert_true(fabs(f_of(&c, "759") - 0.5646972656) < 1e-10);
    assert_true(fabs(mean_f(&c) - 0.2538519356) < 1e-10);
    case_close(&c);
}

static void aquaculture(void **state)
{
    struct case_of c;

    (void)state;
    if (!case_outside(&c, "aquaculture_deep.csv"))
        skip();
    assert_int_equal(c.p.n, 4399);
    assert_int_equal(c.found.n, 3);
    assert_true(fabs(mean_f(&c) - 0.0250970526) < 1e-10);
    assert_true(fabs(f_of(&c, "K110995Z") - 0.2645847797) < 1e-10);
    assert_true(fabs(f_of(&c, "K110979Z") - 0.2645847797) < 1e-10);
    case_close(&c);
}

static void hinterwald(void **state)
{
    static const struct {
        enum pedigree_kind kind;
        const char *id, *says;
    } want[] = { { PK_LOOP, "276000811476506", "its own dam" },     { PK_LOOP, "276000802875148", "276000802918754" },
                 { PK_LOOP, "276000802875148", "276000890878480" }, { PK_LOOP, "276000802875148", "276000802938197" },
                 { PK_SEX, "276000810087663", "19 rows" },          { PK_BORN, "276000802875148", "not younger" },
                 { PK_BORN, "276000892078638", "same year" },       { PK_BORN, "276000802420682", "before" },
                 { PK_BORN, "276000890010169", "before" },          { PK_NO_ROW, "276000800000608", "4 rows" },
                 { PK_NO_ROW, "276000808337358", "no row" } };
    struct case_of c;

    (void)state;
    if (!case_outside(&c, "hinterwald_with_errors.csv"))
        skip();
    assert_int_equal(c.p.n, 10865);
    assert_true(fabs(f_of(&c, "276000812067841") - 0.2722764015) < 1e-10);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++, figures++)
        if (!case_says(&c, want[i].kind, want[i].id, want[i].says))
            fail_msg("no %s of %s with \"%s\"", pedigree_kind_name[want[i].kind], want[i].id, want[i].says);
    case_close(&c);
}

/* Links to a parent that is not older by the year; the loops are cut already. */
static size_t cut_not_older(const struct pedigree *p, uint32_t *parent)
{
    size_t cut = 0;

    for (uint32_t i = 1; i <= p->n; i++) {
        const uint32_t a = parent[i];
        if (a && p->born[i] != PEDIGREE_NO_DAY && p->born[a] != PEDIGREE_NO_DAY &&
            civil_from_days(p->born[a]).year >= civil_from_days(p->born[i]).year) {
            parent[i] = 0;
            cut++;
        }
    }
    return cut;
}

/* Without its five links to parents that are not older, the herd book has these figures by the table in an independent
 * program (data: package optiSel); those of its young are in test_genes.c. */
static void hinterwald_cut(void **state)
{
    struct case_of c;
    struct message why;
    size_t inbred = 0;

    (void)state;
    if (!case_outside(&c, "hinterwald_with_errors.csv"))
        skip();
    const size_t bytes = ((size_t)c.p.n + 1) * sizeof(uint32_t);
    uint32_t *sire = malloc(bytes), *dam = malloc(bytes);
    memcpy(sire, c.p.sire, bytes);
    memcpy(dam, c.p.dam, bytes);
    assert_int_equal(cut_not_older(&c.p, sire) + cut_not_older(&c.p, dam), 3);
    c.p.sire = sire;
    c.p.dam = dam;
    assert_int_equal(pedigree_inbreeding(&c.p, PEDIGREE_BEST, NULL, &c.mem, c.f, &why), ST_OK);
    pedigree_mendelian(&c.p, c.f, c.d);
    for (uint32_t i = 1; i <= c.p.n; i++)
        inbred += c.f[i] > 1e-15;
    assert_int_equal(inbred, 4240);
    assert_true(fabs(mean_f(&c) - 0.0085016043) < 1e-10);
    assert_true(fabs(f_of(&c, "276000812067841") - 0.2722764015) < 1e-10);
    figures += 4;
    free(sire), free(dam);
    case_close(&c);
}

static int count(void **state)
{
    (void)state;
    print_message("%d figures\n", figures);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mrode_f_and_d),  cmocka_unit_test(mrode_tables),   cmocka_unit_test(fernando_grossman),
        cmocka_unit_test(na_for_unknown), cmocka_unit_test(matings),        cmocka_unit_test(shorthorn),
        cmocka_unit_test(habsburg),       cmocka_unit_test(gazelle),        cmocka_unit_test(aquaculture),
        cmocka_unit_test(hinterwald),     cmocka_unit_test(hinterwald_cut),
    };
    return cmocka_run_group_tests(tests, NULL, count);
}
