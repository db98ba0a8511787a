/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reckon inbreeding and kinship through the command line: an open studbook, and files that are wrong. */
#include "tests/doors/reckon_case.h"

#include <unistd.h>

#define STUDBOOK "studbook of a captive gazelle (package purgeR), table in an independent program"

static bool outside(const char *name, char path[static 256])
{
    const char *folder = getenv("LEENEST_OUTSIDE");

    (void)snprintf(path, 256, "%s/%s", folder ? folder : "", name);
    if (folder && access(path, R_OK) == 0)
        return true;
    print_message("skipped: %s is not there\n", name);
    return false;
}

static void gazelle(void **state)
{
    static const struct {
        const char *path;
        double want, off;
    } rows[] = {
        { "animals", 1316, 0 },
        { "founders", 5, 0 },
        { "inbred", 1294, 0 },
        { "mean_f", 0.2538519356, 1e-9 },
        { "max_f", 0.5646972656, 1e-9 },
        { "group", 132, 0 },
        { "mean_kinship", 0.2983205609, 1e-9 },
        { "mean_kinship_without_self", 0.2957223829, 1e-9 },
        { "fe", 2.60384517, 1e-7 },
        { "fa", 2.60384517, 1e-7 },
        { "fg", 1.67604941, 1e-7 },
        { "equivalent_generations", 8.29187844, 1e-7 },
        { "ballou", 0.7935461575, 1e-9 },
        { "ne", 11.402823, 1e-5 },
        { "founder_shares[0].share", 0.56274923, 1e-7 },
    };
    char path[256], line[400];

    (void)state;
    if (!outside("gazelle_dama.csv", path))
        skip();
    (void)snprintf(line, sizeof line, "reckon inbreeding %s --since 2013", path);
    json_t *j = answer_to(line);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        near(j, line, rows[i].path, rows[i].want, rows[i].off, STUDBOOK);
    assert_string_equal(json_string_value(at(j, "max_id")), "759");
    json_decref(j);
}

static void pair(void **state)
{
    char path[256], line[400];
    double sum = 0.0;

    (void)state;
    if (!outside("habsburg_extended.csv", path))
        skip();
    (void)snprintf(line, sizeof line, "reckon kinship %s --of 'Philip IV' --with 'Mariana of Austria'", path);
    json_t *j = answer_to(line);
    near(j, line, "kinship[0][0]", 257059.0 / 1048576.0, 1e-14, "F of Charles II, exact fraction");
    const json_t *list = at(j, "through[0].ancestors");
    for (size_t i = 0; i < json_array_size(list); i++)
        sum += json_number_value(json_object_get(json_array_get(list, i), "part"));
    assert_true(fabs(sum - 257059.0 / 1048576.0) < 1e-13);
    json_decref(j);
}

static void wrong_files(void **state)
{
    static const struct {
        const char *words;
        int code;
        const char *says;
    } cases[] = {
        { "reckon inbreeding", 2, "PEDIGREE" },
        { "reckon inbreeding /nowhere.csv", 2, "no such file" },
        { "reckon inbreeding / ", 2, "folder" },
        { "reckon inbreeding README.md", 2, "id" },
        { "reckon kinship README.md --of a", 2, "with" },
        { "reckon inbreeding tests/fuzz/corpus/pedigree/table --since 2000", 2, "since" },
        { "reckon kinship tests/fuzz/corpus/pedigree/table --of 9 --with 1", 2, "no animal" },
        { "reckon inbreeding tests/fuzz/corpus/pedigree/table", 0, "" },
        { "reckon inbreeding tests/fuzz/corpus/pedigree/loops --json", 1, "" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++, figures++) {
        struct run r = run_line(cases[i].words);
        if (r.code != cases[i].code || !strstr(text_get(&r.err), cases[i].says) ||
            run_lines(&r.err) != (cases[i].code == 2))
            fail_msg("%s: exit %d: %s", cases[i].words, r.code, text_get(&r.err));
        run_close(&r);
    }
}

static int count(void **state)
{
    (void)state;
    print_message("%d figures\n", figures);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(gazelle), cmocka_unit_test(pair),
                                        cmocka_unit_test(wrong_files) };
    return cmocka_run_group_tests(tests, NULL, count);
}
