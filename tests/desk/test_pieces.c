/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every piece's answer has the shape that its row declares, whatever it is asked; and holds the keys that were
 * promised. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "core/base/text.h"
#include "desk/question.h"
#include "doors/show/show.h"

static char weather_path[512], calm_path[512], pedigree_path[512];

static const struct {
    const char *piece, *words;
} asks[] = {
    { "sun", "lat=45 lon=-93 at=2025-12-21T14:30Z" },
    { "sun", "lat=69.5 lon=-157.1 at=2025-12-21T22:30Z" },
    { "sun", "lat=69.5 lon=-157.1 at=2025-06-21T22:30Z elevation=2000ft" },
    { "sun", "lat=-43.5 lon=172.6 at=2026-06-21 zone=Pacific/Auckland" },
    { "sun", "lat=65.7 lon=25 at=2026-06-20T12:00Z" },
    { "beam", "facing=150 lat=45 lon=-93 at=2025-12-21T16:00Z cloud=2okta" },
    { "beam", "facing=150 lat=45 lon=-93 at=2025-12-21T06:00Z" },
    { "beam", "facing=120 sun-azimuth=130 sun-elevation=15 dni=500 dhi=80" },
    { "air", "temp=20 rh=80%" },
    { "air", "temp=-10 dew-point=-14 pressure=950hPa" },
    { "wind-chill", "temp=-10 wind=30kmh" },
    { "wind-chill", "temp=12 wind=3" },
    { "wind-chill", "temp=0 wind=1" },
    { "wind-at", "wind=10 height=1" },
    { "wind-at", "wind=10 height=10cm roughness=0.1" },
    { "lee", "distance-heights=5" },
    { "lee", "distance-heights=-3 porosity=0" },
    { "driving-rain", "weather=% facing=90" },
    { "driving-rain", "weather=% facing=0 months=6" },
    { "driving-rain", "weather=? facing=0" },
    { "hours", "weather=%" },
    { "hours", "weather=% weather=?" },
    { "hours", "weather=% from=2026-01-11 to=2026-01-11 zone=America/Chicago" },
    { "nights", "weather=% zone=America/Chicago" },
    { "nights", "weather=% months=6" },
    { "nights", "weather=?" },
    { "facing", "weather=% lat=45 lon=-93" },
    { "facing", "weather=?  lat=45 lon=-93 night-only shelter=lee" },
    { "inbreeding", "PEDIGREE=!" },
    { "inbreeding", "PEDIGREE=! since=2012 threads=2" },
    { "kinship", "PEDIGREE=! of=a5,a6 with=a1,a2" },
    { "pairings", "PEDIGREE=! boars=a1:2,a4:2:1 sows=a6,a3" },
    { "pairings", "PEDIGREE=! boars=a1:1 sows=a6,a3 worst-first" },
    { "due", "" },
    { "due", "service=2026-01-01" },
    { "due", "service=2026-01-01@0.3 service=2026-01-02@0.7 at=2026-04-25" },
    { "due", "service=2026-01-01 at=2027-01-01" },
    { "due", "service=2026-01-01 given-pregnant plain-normal at=2026-04-25 sign=nest@2026-04-25" },
    { "due",
      "boar-from=2026-01-01 boar-to=2026-01-22 boar-from=2026-01-22 boar-to=2026-02-12 born=2026-05-18 parity=0" },
    { "due", "boar-from=2026-01-01 boar-to=2026-01-22 boar-from=2026-01-22 boar-to=2026-02-12 born=2030-05-18" },
    { "due", "boar-from=2026-01-01 at=2026-03-01 weaned=2025-12-30 scan=2026-02-20=positive return=2026-01-28" },
    { "piglet", "temp=5" },
    { "piglet", "temp=-20 dry unfed littermates=0 hours=2 series" },
    { "piglet", "temp=40" },
    { "piglet", "temp=5 straw-depth=10cm damp mass=2lb series hours=24h" },
    { "nest", "shelter=hut temp=-5 wind=5 wind-from=270 facing=90 rh=85% cloud=0.2 rain=0 ghi=0" },
    { "nest", "shelter=open temp=-40 wind=30 straw-depth=0" },
    { "nest", "shelter=lee temp=2 wind=8 rain=4" },
    { "nest", "shelter=barn temp=5 wind=3 windbreak-porosity=0.4 facing=10" },
    { "nest", "shelter=hut temp=38 wind=1 ghi=800 white flap facing=180 sun-facing=300" },
    { "notch", "LITTER-PIG=14-6" },
    { "notch", "right=81,9,9,1 left=27,3" },
    { "notch", "LITTER-PIG=300-6 local-extra" },
};

/* Contract of the command line: these keys are always there, null or not. */
static const struct {
    const char *piece, *keys;
} promised[] = {
    { "sun", "azimuth_deg elevation_deg elevation_true_deg sunrise sunset sunrise_azimuth_deg sunset_azimuth_deg sun "
             "assumed" },
    { "beam", "ghi_w_m2 dni_w_m2 dhi_w_m2 opening_w_m2 assumed" },
    { "air", "rh dew_point_c wet_bulb_c vapour_pressure_kpa humidity_ratio enthalpy_kj_kg assumed" },
    { "notch", "right left number litter pig assumed" },
    { "wind-chill", "wind_chill_c assumed" },
    { "inbreeding", "animals founders inbred mean_f max_f max_id findings" },
    { "kinship", "kinship through through[0].ancestors" },
    { "pairings", "plan mean_f worst_f free_choice_mean_f in_list_order_mean_f infeasible" },
    { "wind-at", "wind_mps assumed" },
    { "lee", "wind_ratio assumed" },
    { "nights", "nights summary summary.p10_min_temp_c summary.p50_min_temp_c summary.p90_min_temp_c "
                "summary.nights_at_or_under_minus_10 summary.nights_at_or_under_minus_15 assumed" },
    { "hours", "time temp_c dew_point_c rh wind_mps gust_mps wind_from_deg cloud_oktas rain_mm snow source rejected "
               "missing assumed" },
    { "driving-rain", "hours index_mm index_mm_per_year assumed" },
    { "facing", "best_facing_deg worst_facing_deg arcs hardly_matters by_facing by_facing[0].facing_deg "
                "by_facing[71].cold_degree_hours_per_day by_facing[3].wind_mps by_facing[3].rain_mm "
                "by_facing[3].sun_kwh_m2_day hours "
                "calm_hours variable_hours mean_wind_mps modal_sector vector_mean_from_deg steadiness rose assumed" },
    { "due",
      "p_pregnant p_within_6h p_within_12h p_within_24h p_within_48h quantiles by_date p_not_pregnant_now assumed" },
    { "piglet", "min_body_temp_c min_at_minutes body_temp_30min_c body_temp_2h_c body_temp_6h_c mean_heat_w_kg "
                "peak_heat_w_kg milk_g_kg "
                "reserve_kj_kg collapsed_at_minutes grade shortfall_c near_limit lower_critical_temp_c assumed" },
    { "nest",
      "hut_temp_c nest_temp_c draught_mps flow_m3_s bed_temp_c straw feels_c grade runt_grade heat_grade typical runt "
      "typical.min_body_temp_c typical.grade runt.lower_critical_temp_c runt.near_limit assumed" },
};

/* "name=value name" -> typed parameters of a piece. */
static size_t typed_of(const struct question *piece, char *line, struct typed_param typed[])
{
    size_t n = 0;

    for (char *s = line; *s;) {
        while (*s == ' ')
            *s++ = '\0';
        if (!*s)
            break;
        char *end = s + strcspn(s, " "), *equals = memchr(s, '=', (size_t)(end - s));
        const size_t length = (size_t)((equals ? equals : end) - s);
        size_t p = 0;
        while (p < piece->n_params &&
               !(strlen(piece->params[p].name) == length && strncmp(piece->params[p].name, s, length) == 0))
            p++;
        if (p == piece->n_params)
            fail_msg("%s has no parameter %s", piece->name, s);
        const bool more = *end != '\0';
        *end = '\0';
        const char *value = equals ? equals + 1 : "yes";
        typed[n++] = (struct typed_param){ p, strcmp(value, "%") == 0   ? weather_path
                                              : strcmp(value, "?") == 0 ? calm_path
                                              : strcmp(value, "!") == 0 ? pedigree_path
                                                                        : value };
        s = end + more;
    }
    return n;
}

static void put_one(const char *name, const char *words, struct arena *mem, const struct question **piece,
                    struct answer **a)
{
    struct typed_param typed[32];
    struct message why = { "", "" };
    char line[512];

    *piece = question_find(pieces, name);
    if (!*piece)
        fail_msg("there is no piece %s", name);
    (void)snprintf(line, sizeof line, "%s", words);
    const size_t n = typed_of(*piece, line, typed);
    struct asked q = { .question = *piece, .mem = mem };
    enum status st = asked_read(&q, n, typed, &why);
    if (st == ST_OK)
        st = question_put(&q, a, &why);
    if (st != ST_OK)
        fail_msg("%s %s: %s", name, words, why.text);
}

static int widest(const char *s)
{
    int most = 0, here = 0;
    for (; *s; s++) {
        here = *s == '\n' ? 0 : here + (((unsigned char)*s & 0xC0) != 0x80);
        most = here > most ? here : most;
    }
    return most;
}

static void every_answer_has_its_shape_and_its_text(void **state)
{
    static const int widths[] = { 80, 44 };
    size_t seen = 0, all = 0;

    (void)state;
    while (pieces[all])
        all++;
    for (size_t i = 0; i < COUNT(asks); i++) {
        const struct question *piece = NULL;
        struct message why = { "", "" };
        struct answer *a = NULL;
        struct arena mem;
        char words[64];
        arena_open(&mem, 1u << 28);
        put_one(asks[i].piece, asks[i].words, &mem, &piece, &a);
        if (shape_check(a, piece->n_shape, piece->shape, &why) != ST_OK)
            fail_msg("%s %s: %s", asks[i].piece, asks[i].words, why.text);
        for (size_t k = 0; k < COUNT(widths); k++) {
            const struct show_how how = { .width = widths[k] };
            struct text text;
            text_open(&text, 1u << 24);
            (void)snprintf(words, sizeof words, "reckon %s", piece->name);
            show_text(words, a, &how, &text);
            if (text.length < 40 || text_full(&text) || strstr(text_get(&text), " nan") ||
                strstr(text_get(&text), "-nan") || widest(text_get(&text)) > widths[k] ||
                strstr(text_get(&text), "(null)"))
                fail_msg("%s %s reads: %s", asks[i].piece, asks[i].words, text_get(&text));
            text_close(&text);
        }
        seen += i == 0 || strcmp(asks[i].piece, asks[i - 1].piece) != 0;
        arena_close(&mem);
    }
    assert_int_equal(seen, all);
    printf("%zu answers of %zu pieces held against their shapes\n", COUNT(asks), all);
}

static void the_promised_keys_are_always_there(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(asks); i++) {
        const struct question *piece = NULL;
        struct answer *a = NULL;
        struct arena mem;
        char keys[1024];
        arena_open(&mem, 1u << 28);
        put_one(asks[i].piece, asks[i].words, &mem, &piece, &a);
        for (size_t p = 0; p < COUNT(promised); p++) {
            if (strcmp(promised[p].piece, piece->name) != 0)
                continue;
            (void)snprintf(keys, sizeof keys, "%s", promised[p].keys);
            char *rest = keys;
            for (char *key = strtok_r(keys, " ", &rest); key; key = strtok_r(NULL, " ", &rest))
                if (!answer_at(a, key))
                    fail_msg("%s %s: no %s in the answer", piece->name, asks[i].words, key);
        }
        arena_close(&mem);
    }
}

static void what_is_null_says_why(void **state)
{
    static const struct {
        const char *piece, *words, *key;
    } nulls[] = {
        { "sun", "lat=69.5 lon=-157.1 at=2025-12-21T22:30Z", "sunrise" },
        { "wind-chill", "temp=12 wind=3", "wind_chill_c" },
        { "wind-chill", "temp=0 wind=1", "wind_chill_c" },
        { "due", "service=2026-01-01", "p_within_12h" },
        { "due", "", "p_pregnant" },
        { "due", "", "quantiles" },
        { "piglet", "temp=5 hours=1", "body_temp_2h_c" },
        { "piglet", "temp=5 hours=1", "grade" },
        { "piglet", "temp=5", "collapsed_at_minutes" },
        { "nest", "shelter=open temp=5 wind=3", "flow_m3_s" },
        { "nest", "shelter=open temp=-40 wind=30 straw-depth=0", "feels_c" },
        { "driving-rain", "weather=% facing=0 months=6", "index_mm" },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(nulls); i++) {
        const struct question *piece = NULL;
        struct answer *a = NULL;
        struct arena mem;
        char because[64];
        arena_open(&mem, 1u << 26);
        put_one(nulls[i].piece, nulls[i].words, &mem, &piece, &a);
        (void)snprintf(because, sizeof because, "%s_because", nulls[i].key);
        const struct answer *value = answer_at(a, nulls[i].key);
        if (!value || value->kind != ANSWER_NULL || !answer_get_text(a, because))
            fail_msg("%s %s: %s is not null with a reason", nulls[i].piece, nulls[i].words, nulls[i].key);
        arena_close(&mem);
    }
}

static const char *assumed_of(const struct answer *a, const char *begins)
{
    const struct answer *list = answer_at(a, "assumed");
    for (const struct answer *w = list ? list->first : NULL; w; w = w->next)
        if (strncmp(w->is.text, begins, strlen(begins)) == 0)
            return w->is.text;
    return NULL;
}

static void what_was_not_given_is_listed_and_what_was_given_is_not(void **state)
{
    static const struct {
        const char *piece, *words, *assumed;
        bool there;
    } cases[] = {
        { "piglet", "temp=5", "mass 1.3 kg", true },
        { "piglet", "temp=5 mass=1.3", "mass", false },
        { "piglet", "temp=5", "floor mesh", true },
        { "piglet", "temp=5", "suckling", true },
        { "piglet", "temp=5 unfed", "suckling", false },
        { "piglet", "temp=5", "wet", true },
        { "piglet", "temp=5 dry", "wet", false },
        { "piglet", "temp=5", "at-udder", true },
        { "piglet", "temp=5 littermates=7", "at-udder", false },
        { "lee", "distance-heights=5", "porosity 0.5", true },
        { "wind-at", "wind=3 height=1", "roughness 0.03 m", true },
        { "air", "temp=5 rh=0.5", "pressure 101.325 kPa", true },
        { "beam", "facing=1 lat=45 lon=1 at=2026-01-01", "cloud 0.5", true },
        { "due", "service=2026-01-01", "gestation-mean 115 d", true },
        { "due", "service=2026-01-01 gestation-mean=114", "gestation-mean", false },
        { "due", "service=2026-01-01", "tail-share", true },
        { "due", "service=2026-01-01 plain-normal", "tail-share", false },
        { "due", "service=2026-01-01 plain-normal", "wrong-date", false },
        { "nest", "shelter=hut temp=5 wind=3", "humidity not known", true },
        { "nest", "shelter=hut temp=5 wind=3 rh=0.9", "humidity", false },
        { "nest", "shelter=open temp=5 wind=3", "cloud not known", true },
        { "nest", "shelter=open temp=5 wind=3 rain=0", "rain", false },
        { "nest", "shelter=hut temp=5 wind=3", "the door's bearing not known", true },
        { "nest", "shelter=hut temp=5 wind=3 facing=90", "wind direction not known", true },
        { "nest", "shelter=lee temp=5 wind=3", "windbreak-porosity 0.5", true },
        { "nest", "shelter=hut temp=5 wind=3", "runt-mass 0.9 kg", true },
        { "sun", "lat=1 lon=1 at=2026-01-01T12:00", "zone UTC", true },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        const struct question *piece = NULL;
        struct answer *a = NULL;
        struct arena mem;
        arena_open(&mem, 1u << 26);
        put_one(cases[i].piece, cases[i].words, &mem, &piece, &a);
        if ((assumed_of(a, cases[i].assumed) != NULL) != cases[i].there)
            fail_msg("%s %s: \"%s\" is %s among what was assumed", cases[i].piece, cases[i].words, cases[i].assumed,
                     cases[i].there ? "not" : "still");
        arena_close(&mem);
    }
}

static FILE *begin(char *path, size_t size, const char *name, const char *head)
{
    const char *scratch = getenv("TMPDIR");

    (void)snprintf(path, size, "%s/leenest-%s-%ld.csv", scratch && *scratch ? scratch : "/tmp", name, (long)getpid());
    FILE *f = fopen(path, "w");
    if (f)
        (void)fprintf(f, "%s", head);
    return f;
}

static int make_weather(void **state)
{
#define HOURS "\ntime,temp_c,dewpoint_c,wind_from_deg,wind_ms,rain_mm,cloud_oktas\n"
    FILE *f = begin(weather_path, sizeof weather_path, "made-up", "# hut-weather 1\n# place,made-up" HOURS),
         *g = begin(calm_path, sizeof calm_path, "calm", "# hut-weather 1\n# place,calm" HOURS),
         *p = begin(pedigree_path, sizeof pedigree_path, "pedigree", "id,sire,dam,sex,born\n");

    (void)state;
    if (!f || !g || !p)
        return -1;
    /* Mrode's table 2.1 (Linear Models for the Prediction of Animal Breeding Values), with years of our own */
    (void)fputs("a1,,,male,2009\na2,,,female,2009\na3,a1,a2,female,2010\na4,a1,,male,2011\n"
                "a5,a4,a3,male,2012\na6,a5,a2,female,2013\n",
                p);
    if (fclose(p) != 0)
        return -1;
    for (int h = 0; h < 72; h++) {
        (void)fprintf(f, "2026-01-%02dT%02d:00Z,%.1f,%.1f,%d,%.1f,%.1f,%d\n", 10 + h / 24, h % 24, 4.0 - 0.2 * h,
                      1.0 - 0.2 * h, h * 7 % 360, 1.0 + h % 5, h % 7 ? 0.0 : 0.4, h % 9);
        (void)fprintf(g, "2026-01-%02dT%02d:30Z,%s,,,%s,,\n", 10 + h / 24, h % 24, h % 3 ? "-3.5" : "",
                      h % 2 ? "0" : "");
    }
    return fclose(f) | fclose(g);
}

static int drop_weather(void **state)
{
    (void)state;
    return unlink(weather_path) | unlink(calm_path) | unlink(pedigree_path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_answer_has_its_shape_and_its_text),
        cmocka_unit_test(the_promised_keys_are_always_there),
        cmocka_unit_test(what_is_null_says_why),
        cmocka_unit_test(what_was_not_given_is_listed_and_what_was_given_is_not),
    };
    return cmocka_run_group_tests_name("pieces", tests, make_weather, drop_weather);
}
