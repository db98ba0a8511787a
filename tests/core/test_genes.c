/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a group carries of its founders. Outside: the studbook of a captive programme (data set `dama` of purgeR 1.8.2),
 * a breeding programme with large families (`deep_ped` of visPedigree 0.2.6) and a cattle breed (`PedigWithErrors` of
 * optiSel 2.1.0); their figures are those of a plain tabular reference reckoned once outside this program. Within: the
 * table of A by its two rules, and alleles dropped forward here with other coins than the program's.
 */
#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <cmocka.h>

#include "core/pedigree/genes.h"
#include "tests/prop.h"

enum { ROOM = 64 << 20 };

struct read_in { /* an outside pedigree, read and reckoned */
    struct arena mem;
    struct pedigree p;
    struct pedigree_findings found;
    const uint8_t *in_loop;
    double *f, *d;
};

static void reckon(struct read_in *r)
{
    struct message why = { "", "" };

    r->f = ARENA_NEW(&r->mem, double, (size_t)r->p.n + 1);
    r->d = ARENA_NEW(&r->mem, double, (size_t)r->p.n + 1);
    assert_true(r->f && r->d);
    if (pedigree_inbreeding(&r->p, PEDIGREE_BEST, NULL, &r->mem, r->f, &why) != ST_OK)
        fail_msg("%s", why.text);
    pedigree_mendelian(&r->p, r->f, r->d);
}

static bool read_in(struct read_in *r, const char *file)
{
    const char *folder = getenv("LEENEST_OUTSIDE");
    char path[4096];
    struct message why = { "", "" };

    (void)snprintf(path, sizeof path, "%s/%s", folder ? folder : "../shared/data", file);
    FILE *in = fopen(path, "rb");
    if (!in) {
        print_message("skipped: no %s\n", path);
        return false;
    }
    arena_open(&r->mem, ROOM);
    char *bytes = arena_get(&r->mem, 1 << 20, 1);
    assert_non_null(bytes);
    const size_t n = fread(bytes, 1, 1 << 20, in);
    assert_true(n > 0 && n < 1 << 20);
    (void)fclose(in);
    if (pedigree_read(bytes, n, NULL, &r->mem, &r->p, &r->found, &r->in_loop, &why) != ST_OK)
        fail_msg("%s", why.text);
    reckon(r);
    return true;
}

/* Animals born in `year` or later. 0: the last 200 rows as the reference had them, with the three parents that have no
 * row written at the end. */
static struct genes_group group_of(struct read_in *r, int32_t year)
{
    uint32_t *list = ARENA_NEW(&r->mem, uint32_t, (size_t)r->p.n + 1);
    size_t n = 0;

    assert_non_null(list);
    for (size_t k = r->p.n_rows - 197; year == 0 && k < r->p.n_rows; k++)
        list[n++] = r->p.of_row[k];
    for (uint32_t i = 1; year == 0 && i <= r->p.n; i++)
        if (r->p.line[i] == 0)
            list[n++] = i;
    for (uint32_t i = 1; year && i <= r->p.n; i++)
        if (r->p.born[i] != PEDIGREE_NO_DAY && floor(1970.0 + (double)r->p.born[i] / 365.2425) >= year)
            list[n++] = i;
    return (struct genes_group){ n, list, NULL };
}

static void near(const char *what, double got, double want, double off)
{
    if (!(fabs(got - want) <= off))
        fail_msg("%s: want %.12g, got %.12g (off %.2g, may be %.2g)", what, want, got, fabs(got - want), off);
}

static struct genes genes_or_fail(struct read_in *r, const struct genes_group *g)
{
    struct message why = { "", "" };
    struct genes out;

    if (genes_of(&r->p, r->f, r->d, g, &r->mem, &out, &why) != ST_OK)
        fail_msg("%s", why.text);
    return out;
}

static struct genes_ancestors ancestors_or_fail(struct read_in *r, const struct genes_group *g, double explain,
                                                size_t most)
{
    struct message why = { "", "" };
    struct genes_ancestors out;

    if (genes_ancestors_of(&r->p, g, explain, most, &r->mem, &out, &why) != ST_OK)
        fail_msg("%s", why.text);
    return out;
}

static void gazelles_as_reckoned_elsewhere(void **state)
{
    static const struct {
        const char *id;
        double share;
    } founders[] = { { "1", 0.56274923 }, { "3", 0.19485890 }, { "2", 0.12382461 }, { "20", 0.11856726 } };
    struct read_in r;
    struct message why = { "", "" };

    (void)state;
    if (!read_in(&r, "gazelle_dama.csv"))
        skip();
    const struct genes_group group = group_of(&r, 2013);
    assert_int_equal(group.n, 132);
    const struct genes g = genes_or_fail(&r, &group);
    near("mean F", g.mean_f, 0.2773637564, 1e-10);
    near("mean kinship", g.mean_kinship, 0.2983205609, 1e-10);
    near("without selves", g.mean_kinship_without_self, 0.2957223829, 1e-10);
    near("fe", g.fe, 2.60384517, 1e-8);
    near("fg", g.fg, 1.67604941, 1e-8);
    near("equivalent generations", g.equivalent_generations, 8.29187844, 1e-8);
    near("Ballou", g.ballou, 0.7935461575, 1e-10);
    near("Ne", g.ne, 11.402823, 1e-6);
    assert_int_equal(g.n_founders, 5);
    for (size_t k = 0; k < 4; k++) {
        assert_string_equal(r.p.id[g.founder[k].animal], founders[k].id);
        near(founders[k].id, g.founder[k].share, founders[k].share, 1e-8);
        assert_int_equal(g.founder[k].carriers, 132);
    }
    assert_string_equal(r.p.id[g.founder[4].animal], "19");
    assert_true(g.founder[4].share == 0.0 && g.founder[4].carriers == 0);
    const struct genes_ancestors a = ancestors_or_fail(&r, &group, 1.0, 0);
    near("fa", a.fa, 2.60384517, 1e-8);
    near("explained", a.explained, 1.0, 1e-12);

    double *mk = ARENA_NEW(&r.mem, double, (size_t)r.p.n + 1);
    assert_int_equal(genes_mean_kinship(&r.p, r.d, &group, &r.mem, mk, &why), ST_OK);
    uint32_t least = group.animal[0];
    for (size_t k = 0; k < group.n; k++)
        if (mk[group.animal[k]] < mk[least])
            least = group.animal[k];
    assert_string_equal(r.p.id[least], "1205");
    near("lowest mean kinship", mk[least], 0.22877904, 1e-8);
    arena_close(&r.mem);
}

static void large_families_as_reckoned_elsewhere(void **state)
{
    struct read_in r;

    (void)state;
    if (!read_in(&r, "aquaculture_deep.csv"))
        skip();
    const struct genes_group group = group_of(&r, 0);
    const struct genes g = genes_or_fail(&r, &group);
    const struct genes_ancestors a = ancestors_or_fail(&r, &group, 1.0, 0),
                                 some = ancestors_or_fail(&r, &group, 1.0, 8);
    near("fe", g.fe, 43.93537241, 1e-8);
    near("fa", a.fa, 19.88195092, 1e-8);
    near("fg", g.fg, 12.16696647, 1e-8);
    near("explained", a.explained, 1.0, 1e-9);
    assert_true(g.fe >= a.fa && a.fa >= g.fg);
    assert_int_equal(some.n, 8);
    if (!(some.fa_low <= a.fa && a.fa <= some.fa_high && some.explained < 1.0))
        fail_msg("fa %g outside %g .. %g after 8 picks", a.fa, some.fa_low, some.fa_high);
    arena_close(&r.mem);
}

static void cattle_breed_with_its_bad_links_cut(void **state)
{
    struct read_in r;
    struct message why = { "", "" };
    size_t pure = 0, low = 0, breed;
    double sum = 0.0;

    (void)state;
    if (!read_in(&r, "hinterwald_with_errors.csv"))
        skip();
    /* the links that are wrong: itself as dam, and four parents not older than their offspring */
    struct pedigree_row *rows = ARENA_NEW(&r.mem, struct pedigree_row, (size_t)r.p.n);
    static const char *const young[] = { "276000802875148", "276000892078638", "276000802420682", "276000890010169" };
    size_t cut = 0;
    for (uint32_t i = 1; i <= r.p.n; i++) {
        const uint32_t s = r.p.sire[i], d = r.p.dam[i];
        bool listed = false;
        for (size_t k = 0; k < 4; k++)
            listed = listed || strcmp(r.p.id[i], young[k]) == 0;
        const bool s_bad = listed && s && r.p.born[s] >= r.p.born[i] && r.p.born[i] != PEDIGREE_NO_DAY,
                   d_bad = listed && d && r.p.born[d] >= r.p.born[i] && r.p.born[i] != PEDIGREE_NO_DAY;
        cut += s_bad + d_bad;
        rows[i - 1] =
            (struct pedigree_row){ .id = r.p.id[i],
                                   .sire = s && !s_bad ? r.p.id[s] : NULL,
                                   .dam = d && !d_bad ? r.p.id[d] : NULL,
                                   .sex = PEDIGREE_SEX_UNKNOWN,
                                   .breed = r.p.breed[i] == PEDIGREE_NO_BREED ? NULL : r.p.breeds[r.p.breed[i]],
                                   .born = r.p.born[i],
                                   .year_only = r.p.year_only[i] };
    }
    print_message("%zu more links cut\n", cut);
    assert_int_equal(pedigree_order(r.p.n, rows, NULL, &r.mem, &r.p, &r.found, &r.in_loop, &why), ST_OK);
    assert_int_equal(r.p.n, 10865);
    reckon(&r);
    const struct genes_group group = group_of(&r, 2005);
    assert_int_equal(group.n, 1582);
    const struct genes g = genes_or_fail(&r, &group);
    near("mean F", g.mean_f, 0.0152000252, 1e-10);
    near("mean kinship", g.mean_kinship, 0.0109524321, 1e-10);
    near("fe", g.fe, 303.42863646, 1e-6);
    near("fg", g.fg, 45.65196085, 1e-7);

    double **parts = ARENA_NEW(&r.mem, double *, (size_t)r.p.n + 1);
    for (uint32_t i = 0; i <= r.p.n; i++) {
        parts[i] = ARENA_NEW(&r.mem, double, r.p.n_breeds + 1);
        assert_non_null(parts[i]);
    }
    assert_int_equal(genes_breeds(&r.p, true, &r.mem, parts, &why), ST_OK);
    for (breed = 0; breed < r.p.n_breeds && strcmp(r.p.breeds[breed], "Hinterwaelder") != 0; breed++)
        ;
    assert_true(breed < r.p.n_breeds);
    for (size_t k = 0; k < group.n; k++) {
        const double share = parts[group.animal[k]][breed];
        sum += share;
        pure += share == 1.0;
        low += share < 0.875;
    }
    near("share of the breed", sum / 1582.0, 0.7915868844, 1e-10);
    assert_int_equal(pure, 276);
    assert_int_equal(low, 1121);
    arena_close(&r.mem);
}

/* ---- small pedigrees ---- */

enum { MOST = 60 };
struct small {
    struct pedigree p;
    uint32_t sire[MOST + 1], dam[MOST + 1];
    int32_t born[MOST + 1];
    double f[MOST + 1], d[MOST + 1], a[(MOST + 1) * (MOST + 1)];
};

static void small_table(struct small *s, uint32_t n)
{
    s->p = (struct pedigree){ .n = n, .sire = s->sire, .dam = s->dam, .born = s->born };
    pedigree_table(&s->p, s->a);
    s->f[0] = -1.0;
    for (uint32_t i = 1; i <= n; i++)
        s->f[i] = s->a[i * (n + 1) + i] - 1.0;
    pedigree_mendelian(&s->p, s->f, s->d);
}

static void small_random(struct small *s, struct dice *p)
{
    const uint32_t n = 8 + (uint32_t)(prop_bits(p) % (MOST - 8));

    for (uint32_t i = 1; i <= n; i++) {
        s->sire[i] = i < 4 || prop_bits(p) % 5 == 0 ? 0 : 1 + (uint32_t)(prop_bits(p) % (i - 1));
        s->dam[i] = i < 4 || prop_bits(p) % 5 == 0 ? 0 : 1 + (uint32_t)(prop_bits(p) % (i - 1));
    }
    small_table(s, n);
}

static size_t last_of(const struct small *s, uint32_t list[], size_t n)
{
    for (size_t k = 0; k < n; k++)
        list[k] = s->p.n - (uint32_t)k;
    return n;
}

static void measures_agree_with_the_table(void **state)
{
    struct dice prop = prop_start();
    struct small s;
    size_t cases = 0, ordered = 0;

    (void)state;
    for (; cases < 400; cases++) {
        struct arena mem;
        struct message why = { "", "" };
        struct genes g;
        struct genes_ancestors a;
        uint32_t list[8];
        double mk[MOST + 1], all = 0.0, others = 0.0, shares = 0.0;
        arena_open(&mem, ROOM);
        small_random(&s, &prop);
        const struct genes_group group = { last_of(&s, list, 6), list, NULL };
        assert_int_equal(genes_of(&s.p, s.f, s.d, &group, &mem, &g, &why), ST_OK);
        assert_int_equal(genes_ancestors_of(&s.p, &group, 1.0, 0, &mem, &a, &why), ST_OK);
        assert_int_equal(genes_mean_kinship(&s.p, s.d, &group, &mem, mk, &why), ST_OK);
        for (size_t i = 0; i < 6; i++) {
            double with = 0.0;
            for (size_t j = 0; j < 6; j++) {
                const double k = 0.5 * s.a[list[i] * (s.p.n + 1) + list[j]];
                with += k / 6.0;
                all += k / 36.0;
                others += i == j ? 0.0 : k / 30.0;
            }
            near("mean kinship of one", mk[list[i]], with, 1e-12);
        }
        near("mean kinship", g.mean_kinship, all, 1e-12);
        near("without selves", g.mean_kinship_without_self, others, 1e-12);
        near("fg", g.fg, 0.5 / all, 1e-9);
        for (size_t k = 0; k < g.n_founders; k++)
            shares += g.founder[k].share;
        near("shares", shares, 1.0, 1e-12);
        near("explained", a.explained, 1.0, 1e-9);
        ordered += g.fe >= a.fa - 1e-9 && a.fa >= g.fg - 1e-9;
        arena_close(&mem);
    }
    /* the usual order, which half-known animals may break: no law */
    print_message("%zu pedigrees; fe >= fa >= fg in %zu\n", cases, ordered);
}

/* Alleles dropped forward, one replicate after the other, with other coins. */
struct dropped {
    double survives[2 * MOST], alleles[2 * MOST], homozygous;
};

static void drop_forward(const struct small *s, const struct genes *g, size_t n, const uint32_t list[], size_t times,
                         struct dice *prop, struct dropped *out)
{
    *out = (struct dropped){ { 0 }, { 0 }, 0.0 };
    for (size_t r = 0; r < times; r++) {
        uint32_t pat[MOST + 1] = { 0 }, mat[MOST + 1] = { 0 }, count[4 * MOST + 8] = { 0 };
        for (uint32_t i = 1; i <= s->p.n; i++) { /* 4 i, 4 i + 1: alleles of i as a founder, or of an unknown parent */
            const uint32_t from_s = s->sire[i], from_d = s->dam[i];
            pat[i] = from_s ? (prop_bits(prop) >> 40 & 1 ? pat[from_s] : mat[from_s]) : 2 * i;
            mat[i] = from_d ? (prop_bits(prop) >> 40 & 1 ? pat[from_d] : mat[from_d]) : 2 * i + 1;
        }
        for (size_t k = 0; k < n; k++) {
            count[pat[list[k]]]++;
            count[mat[list[k]]]++;
        }
        for (size_t k = 0; k < g->n_founders; k++) {
            const uint32_t i = g->founder[k].animal;
            const bool one = count[2 * i] > 0, other = count[2 * i + 1] > 0;
            out->survives[k] += (one || other) / (double)times;
            out->alleles[k] += (one + other) / (double)times;
        }
        for (uint32_t x = 0; x < 2 * s->p.n + 2; x++)
            out->homozygous += pow((double)count[x] / (2.0 * (double)n), 2.0) / (double)times;
    }
}

static void gene_drop_agrees_with_one_told_forward_and_with_exact_fg(void **state)
{
    enum { TIMES = 20000 };
    struct dice prop = prop_start();
    struct small s;
    double worst = 0.0;

    (void)state;
    for (int c = 0; c < 12; c++) {
        struct arena mem;
        struct message why = { "", "" };
        struct genes g;
        struct dropped seen;
        uint32_t list[8];
        arena_open(&mem, ROOM);
        small_random(&s, &prop);
        const struct genes_group group = { last_of(&s, list, 6), list, NULL };
        assert_int_equal(genes_of(&s.p, s.f, s.d, &group, &mem, &g, &why), ST_OK);
        assert_int_equal(genes_drop(&s.p, &group, 7, TIMES, NULL, &mem, &g, &why), ST_OK);
        drop_forward(&s, &g, 6, list, TIMES, &prop, &seen);
        for (size_t k = 0; k < g.n_founders; k++) { /* two runs of 20 000: sd of the difference 0.005 at most, 5 sd */
            near("survives", g.founder[k].survives, seen.survives[k], 0.025);
            near("alleles", g.founder[k].alleles, seen.alleles[k], 0.05);
        }
        const double ng = 0.5 / seen.homozygous; /* Boichard, Maignel & Verrier 1997: tends to the exact fg */
        worst = fmax(worst, fabs(ng / g.fg - 1.0));
        near("Ng of the forward drop", ng / g.fg, 1.0, 0.02);
        arena_close(&mem);
    }
    print_message("Ng of the drop within %.2g %% of exact fg\n", 100.0 * worst);
}

static void gene_drop_in_cases_known_exactly(void **state)
{
    /* 1 and 2 founders; 3 .. 5 their offspring; 6 of 3 by an unknown dam; 7, 8 of 6 and 2 */
    struct small s = { .sire = { 0, 0, 0, 1, 1, 1, 3, 6, 6 }, .dam = { 0, 0, 0, 2, 2, 2, 0, 2, 2 } };
    struct arena mem;
    struct message why = { "", "" };
    struct genes g;
    const uint32_t three[] = { 3, 4, 5 }, two[] = { 7, 8 };
    const struct genes_group a = { 3, three, NULL }, b = { 2, two, NULL };

    (void)state;
    arena_open(&mem, ROOM);
    small_table(&s, 8);
    assert_int_equal(genes_of(&s.p, s.f, s.d, &a, &mem, &g, &why), ST_OK);
    assert_int_equal(genes_drop(&s.p, &a, 1, 100000, NULL, &mem, &g, &why), ST_OK);
    for (size_t k = 0; k < 2; k++) {
        near("one of two is there", g.founder[k].survives, 1.0, 0.0);
        near("alleles in three offspring: 2 (1 - 1/8)", g.founder[k].alleles, 1.75, 0.008);
    }
    assert_int_equal(genes_of(&s.p, s.f, s.d, &b, &mem, &g, &why), ST_OK);
    assert_int_equal(genes_drop(&s.p, &b, 1, 100000, NULL, &mem, &g, &why), ST_OK);
    for (size_t k = 0; k < g.n_founders; k++)
        if (g.founder[k].phantom) { /* its one allele is in 6; each of two offspring takes it by half */
            assert_int_equal(g.founder[k].animal, 6);
            near("phantom", g.founder[k].survives, 0.75, 0.008);
            near("phantom", g.founder[k].share, 0.25, 0.0);
        } else if (g.founder[k].animal == 1) /* half of one of its alleles reaches 6, and 3 in 4 of that the group */
            near("grandsire", g.founder[k].survives, 0.375, 0.008);
    arena_close(&mem);
}

/* ---- threads ---- */

struct turn {
    void (*part)(void *, size_t);
    void *job;
    size_t from, n, step;
};

static void *some(void *self)
{
    const struct turn *t = self;

    for (size_t i = t->from; i < t->n; i += t->step)
        t->part(t->job, i);
    return NULL;
}

static void share(void *self, void (*part)(void *job, size_t i), void *job, size_t n)
{
    const size_t threads = *(const size_t *)self;
    pthread_t thread[4];
    struct turn turn[4];

    for (size_t t = 0; t < threads; t++) {
        turn[t] = (struct turn){ part, job, t, n, threads };
        assert_int_equal(pthread_create(&thread[t], NULL, some, &turn[t]), 0);
    }
    for (size_t t = 0; t < threads; t++)
        assert_int_equal(pthread_join(thread[t], NULL), 0);
}

static void gene_drop_is_the_same_bytes_for_any_number_of_threads(void **state)
{
    struct dice prop = prop_start();
    struct small s;
    struct arena mem;
    struct message why = { "", "" };
    uint32_t list[8];
    struct genes g[4];

    (void)state;
    arena_open(&mem, ROOM);
    small_random(&s, &prop);
    const struct genes_group group = { last_of(&s, list, 5), list, NULL };
    for (size_t threads = 1; threads <= 3; threads++) {
        size_t n = threads;
        const struct pedigree_hands hands = { share, &n, threads };
        assert_int_equal(genes_of(&s.p, s.f, s.d, &group, &mem, &g[threads], &why), ST_OK);
        assert_int_equal(genes_drop(&s.p, &group, 99, 1000, &hands, &mem, &g[threads], &why), ST_OK);
        for (size_t k = 0; k < g[1].n_founders; k++) {
            assert_memory_equal(&g[threads].founder[k].survives, &g[1].founder[k].survives, sizeof(double));
            assert_memory_equal(&g[threads].founder[k].alleles, &g[1].founder[k].alleles, sizeof(double));
        }
    }
    assert_int_equal(genes_of(&s.p, s.f, s.d, &group, &mem, &g[0], &why), ST_OK);
    assert_int_equal(genes_drop(&s.p, &group, 100, 1000, NULL, &mem, &g[0], &why), ST_OK);
    bool differs = false; /* another seed, other coins */
    for (size_t k = 0; k < g[1].n_founders; k++)
        differs = differs || g[0].founder[k].alleles != g[1].founder[k].alleles;
    assert_true(differs);
    arena_close(&mem);
}

/* ---- words and refusals ---- */

static void grading_up_by_share(void **state)
{
    uint32_t over, under;

    (void)state;
    /* a pure boar each time: 1 - 2^-g; an F3 sow to an F2 boar is 13/16 and so F2 */
    for (unsigned g = 1; g <= 10; g++)
        assert_int_equal(genes_grade(1.0 - ldexp(1.0, -(int)g)), g);
    assert_int_equal(genes_grade((7.0 / 8.0 + 3.0 / 4.0) / 2.0), 2);
    assert_int_equal(genes_grade(0.499), 0);
    assert_int_equal(genes_grade(1.0), GENES_PURE);
    assert_true(genes_fraction((7.0 / 8.0 + 3.0 / 4.0) / 2.0, &over, &under) && over == 13 && under == 16);
    assert_true(genes_fraction(0.9375, &over, &under) && over == 15 && under == 16);
    assert_true(genes_fraction(1.0, &over, &under) && over == 1 && under == 1);
    assert_true(genes_fraction(0.0, &over, &under) && over == 0 && under == 1);
    assert_false(genes_fraction(1.0 / 3.0, &over, &under));
    assert_false(genes_fraction(NAN, &over, &under));
}

static void size_from_numbers_and_from_years(void **state)
{
    struct small s = { .sire = { 0 }, .dam = { 0 } };
    struct arena mem;
    struct message why = { "", "" };
    struct genes g;
    uint32_t list[10];

    (void)state;
    arena_open(&mem, ROOM);
    for (uint32_t i = 13; i <= 22; i++) { /* 2 boars, 10 sows: 4 x 2 x 10 / 12 */
        s.sire[i] = 1 + i % 2;
        s.dam[i] = i - 10;
        list[i - 13] = i;
    }
    small_table(&s, 22);
    const struct genes_group group = { 10, list, NULL };
    assert_int_equal(genes_of(&s.p, s.f, s.d, &group, &mem, &g, &why), ST_OK);
    near("Ne of numbers", g.ne_numbers, 80.0 / 12.0, 1e-12);
    assert_true(isinf(g.ne) || isnan(g.ne));
    /* F rising by 2 % of what is left each year, 2.5 years a generation: dF = 1 - 0.98^2.5 */
    for (uint32_t i = 1; i <= 22; i++) {
        s.born[i] = (int32_t)(365.2425 * (i + 0.5));
        s.f[i] = 1.0 - pow(0.98, i);
    }
    near("Ne by year", genes_ne_by_year(&s.p, s.f, 2.5), 0.5 / (1.0 - pow(0.98, 2.5)), 1e-9);
    for (uint32_t i = 1; i <= 22; i++)
        s.f[i] = 0.1;
    assert_true(isnan(genes_ne_by_year(&s.p, s.f, 2.5)));
    arena_close(&mem);
}

static void bad_groups_are_refused(void **state)
{
    struct small s = { .sire = { 0 }, .dam = { 0 } };
    struct arena mem;
    struct message why = { "", "" };
    struct genes g;
    const uint32_t list[] = { 1, 9 };
    const double weight[] = { 0.5, 0.4 };
    const struct genes_group none = { 0, list, NULL }, outside = { 2, list, NULL }, short_of_one = { 2, list, weight };

    (void)state;
    arena_open(&mem, ROOM);
    small_table(&s, 8);
    assert_int_equal(genes_of(&s.p, s.f, s.d, &none, &mem, &g, &why), ST_BAD_INPUT);
    assert_int_equal(genes_of(&s.p, s.f, s.d, &outside, &mem, &g, &why), ST_BAD_INPUT);
    small_table(&s, 9);
    assert_int_equal(genes_of(&s.p, s.f, s.d, &short_of_one, &mem, &g, &why), ST_BAD_INPUT);
    assert_non_null(strstr(why.text, "0.9"));
    arena_close(&mem);
    arena_open(&mem, 256);
    assert_int_equal(genes_of(&s.p, s.f, s.d, &(struct genes_group){ 1, list, NULL }, &mem, &g, &why), ST_NO_MEMORY);
    arena_close(&mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gazelles_as_reckoned_elsewhere),
        cmocka_unit_test(large_families_as_reckoned_elsewhere),
        cmocka_unit_test(cattle_breed_with_its_bad_links_cut),
        cmocka_unit_test(measures_agree_with_the_table),
        cmocka_unit_test(gene_drop_agrees_with_one_told_forward_and_with_exact_fg),
        cmocka_unit_test(gene_drop_in_cases_known_exactly),
        cmocka_unit_test(gene_drop_is_the_same_bytes_for_any_number_of_threads),
        cmocka_unit_test(grading_up_by_share),
        cmocka_unit_test(size_from_numbers_and_from_years),
        cmocka_unit_test(bad_groups_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
