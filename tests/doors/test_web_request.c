/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Requests taken apart. Addresses as RFC 3986 has them (2.1 percent-encoding, 3.3 path, 3.4 query), with "+" for a blank
 * in the query as the WHATWG URL standard's application/x-www-form-urlencoded has it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "doors/web/files.h"
#include "doors/web/kept.h"
#include "doors/web/request.h"

static enum status read_address(const char *uri, struct arena *mem, struct request_address *a)
{
    struct message why = { "", "" };
    const enum status st = request_address_read(uri, mem, a, &why);
    assert_true((st == ST_OK) == (*why.text == '\0'));
    return st;
}

static void addresses(void **state)
{
    struct arena mem;
    struct request_address a;

    (void)state;
    arena_open(&mem, 1 << 20);
    assert_int_equal(read_address("/api/due?sow=Bramble&at=2026-01-22T15%3A40&note=a+b%2Bc&x&caf%C3%A9=1", &mem, &a),
                     ST_OK);
    assert_string_equal(a.path, "/api/due");
    assert_int_equal(a.n_query, 5);
    static const struct web_pair wanted[] = {
        { "sow", "Bramble" }, { "at", "2026-01-22T15:40" }, { "note", "a b+c" }, { "x", "" }, { "caf\xC3\xA9", "1" },
    };
    for (size_t i = 0; i < COUNT(wanted); i++) {
        assert_string_equal(a.query[i].name, wanted[i].name);
        assert_string_equal(a.query[i].text, wanted[i].text);
    }
    assert_int_equal(read_address("/a%2Fb+c", &mem, &a), ST_OK);
    assert_string_equal(a.path, "/a/b+c"); /* a plus sign in the path is itself */
    assert_int_equal(read_address("/?&&a=1&&#b=2", &mem, &a), ST_OK);
    assert_int_equal(a.n_query, 1);
    static const char *const bad[] = {
        "",         "api",     "http://evil.example/", "*",        "/%", "/%4", "/%zz", "/%00", "/a?b=%00", "/a?b=%0a",
        "/a?%ff=1", "/%C0%AF", "/%ED%A0%80",           "/a?b=%7F",
    };
    for (size_t i = 0; i < COUNT(bad); i++)
        assert_int_equal(read_address(bad[i], &mem, &a), ST_BAD_INPUT);
    arena_close(&mem);
}

static void too_many(void **state)
{
    struct arena mem;
    struct request_address a;
    char uri[REQUEST_URL] = "/?";

    (void)state;
    arena_open(&mem, 1 << 20);
    for (size_t i = 0; i < 2 * (REQUEST_PAIRS + 1); i += 2)
        memcpy(uri + 2 + i, "a&", 3);
    assert_int_equal(read_address(uri, &mem, &a), ST_BAD_INPUT);
    uri[2 + 2 * REQUEST_PAIRS] = '\0';
    assert_int_equal(read_address(uri, &mem, &a), ST_OK);
    assert_int_equal(a.n_query, REQUEST_PAIRS);
    arena_close(&mem);
    arena_open(&mem, 100); /* no room */
    assert_int_equal(read_address(uri, &mem, &a), ST_NO_MEMORY);
    arena_close(&mem);
}

static const struct web_field takes[] = {
    { "uid", SHAPE_TEXT, false, "of the record" }, { "fact", SHAPE_OBJECT, true, "what is recorded" },
    { "number", SHAPE_WHOLE, false, "of it" },     { "try", SHAPE_FLAG, false, "a dry run" },
    { "share", SHAPE_REAL, false, "of all" },      { "items", SHAPE_LIST, false, "several" },
};

static enum status read_body(const char *text, struct message *why)
{
    json_t *body = NULL;
    enum status st = request_body_read(text, strlen(text), &body, why);

    if (st == ST_OK)
        st = request_body_fits(body, COUNT(takes), takes, why);
    json_decref(body);
    return st;
}

static void bodies(void **state)
{
    static const char *const good[] = {
        "{\"fact\":{}}",
        " {\"fact\":{\"a\":{\"b\":[1,2]}},\"number\":3,\"share\":1,\"try\":false,\"items\":[],\"uid\":\"x\"}\n",
        "{\"fact\":{},\"uid\":null}", /* null is as if it were not there */
    };
    static const struct {
        const char *text, *field;
    } bad[] = {
        { "{}", "fact" },
        { "{\"fact\":null}", "fact" },
        { "{\"fact\":{},\"nothing\":1}", "nothing" },
        { "{\"fact\":[]}", "fact" },
        { "{\"fact\":{},\"number\":1.5}", "number" },
        { "{\"fact\":{},\"number\":\"1\"}", "number" },
        { "{\"fact\":{},\"try\":1}", "try" },
        { "{\"fact\":{},\"share\":\"half\"}", "share" },
        { "{\"fact\":{},\"items\":{}}", "items" },
        { "{\"fact\":{},\"uid\":7}", "uid" },
        { "{\"fact\":{},\"fact\":{}}", "" },
        { "{\"fact\":{\"a\":1,\"a\":1}}", "" },
        { "{\"fact\":{}}{}", "" },
        { "{\"fact\":{\"a\":\"\\u0000\"}}", "" },
        { "{\"fact\":{\"\\u0000\":1}}", "" },
        { "{\"fact\":{\"a\":1e400}}", "" },
        { "{\"fact\":{\"a\":99999999999999999999}}", "" },
        { "{\"fact\":{\"a\":\"\xff\"}}", "" },
        { "{\"fact\":{\"a\":NaN}}", "" },
        { "{\"fact\":{},}", "" },
        { "{fact:{}}", "" },
        { "[]", "" },
        { "\"fact\"", "" },
        { "", "" },
        { "null", "" },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(good); i++) {
        struct message why = { "", "" };
        assert_int_equal(read_body(good[i], &why), ST_OK);
    }
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct message why = { "", "" };
        assert_int_equal(read_body(bad[i].text, &why), ST_BAD_INPUT);
        assert_string_equal(why.field, bad[i].field);
        assert_true(*why.text);
    }
}

static void depth(void **state)
{
    struct text t;
    struct message why = { "", "" };
    json_t *body = NULL;

    (void)state;
    for (int deep = REQUEST_DEPTH; deep <= REQUEST_DEPTH + 1; deep++) {
        text_open(&t, 1 << 16);
        for (int i = 0; i < deep; i++)
            text_add(&t, "{\"[{\\\"\":"); /* brackets in a text do not count */
        text_add(&t, "1");
        for (int i = 0; i < deep; i++)
            text_add(&t, "}");
        assert_int_equal(request_body_read(text_get(&t), t.length, &body, &why),
                         deep <= REQUEST_DEPTH ? ST_OK : ST_BAD_INPUT);
        text_close(&t);
    }
    json_decref(body);
    text_open(&t, 1 << 21);
    for (int i = 0; i < 1000000; i++)
        text_add(&t, "[");
    assert_int_equal(request_body_read(text_get(&t), t.length, &body, &why), ST_BAD_INPUT);
    text_close(&t);
}

static void queries(void **state)
{
    static const struct web_pair good[] = { { "number", "7" }, { "try", "" }, { "share", "0.5" }, { "fact", "x" } };
    static const struct web_pair bad[][2] = {
        { { "fact", "x" }, { "fact", "x" } },     { { "fact", "x" }, { "nothing", "" } },
        { { "fact", "x" }, { "number", "1.5" } }, { { "fact", "x" }, { "try", "maybe" } },
        { { "fact", "x" }, { "share", "half" } }, { { "try", "1" }, { "number", "1" } },
    };
    struct message why = { "", "" };

    (void)state;
    assert_int_equal(request_query_fits(COUNT(good), good, COUNT(takes), takes, &why), ST_OK);
    for (size_t i = 0; i < COUNT(bad); i++)
        assert_int_equal(request_query_fits(2, bad[i], COUNT(takes), takes, &why), ST_BAD_INPUT);
}

static void routes(void **state)
{
    static const struct {
        const char *route, *path, *rest; /* rest NULL: it is another's */
    } cases[] = {
        { "/api/number", "/api/number", "" },
        { "/api/number", "/api/numbers", NULL },
        { "/api/number", "/api/numbe", NULL },
        { "/api/number", "/api/number/", NULL },
        { "/api/list/*", "/api/list/animal", "animal" },
        { "/api/list/*", "/api/list/", NULL },
        { "/api/list/*", "/api/list", NULL },
        { "/api/list/*", "/api/list/a/b", NULL },
        { "/api/list/*", "/api/lists/a", NULL },
        { "/api/*", "/api/list/animal", NULL },
    };

    (void)state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        const struct web_route r = { .path = cases[i].route };
        const char *rest = NULL;
        assert_int_equal(request_matches(&r, cases[i].path, &rest), cases[i].rest != NULL);
        if (cases[i].rest)
            assert_string_equal(rest, cases[i].rest);
    }
    /* every address is one route's alone, but for a whole path beside a star */
    for (size_t t = 0; web_routes[t]; t++)
        for (const struct web_route *r = web_routes[t]; r->path; r++) {
            size_t same = 0;
            for (size_t u = 0; web_routes[u]; u++)
                for (const struct web_route *o = web_routes[u]; o->path; o++)
                    same += o->method == r->method && strcmp(o->path, r->path) == 0;
            assert_int_equal(same, 1);
            assert_int_equal(strncmp(r->path, "/api/", 5), 0);
            assert_true(r->handle && r->help && *r->help);
            assert_true(!(r->how & WEB_KEPT) || r->method == WEB_GET);
        }
}

static void pages(void **state)
{
    static const char *const page[] = { "/", "/tonight", "/sow/bramble-2", "/index.html" };
    static const char *const none[] = { "/../etc/passwd", "//etc", "/a//b",       "/.",   "/a.b.js",
                                        "/index.html/",   "/a b",  "/INDEX.HTML", "/a%2e" };

    (void)state;
    for (size_t i = 0; i < COUNT(page); i++)
        assert_string_equal(web_file_find(page[i])->path, "/index.html");
    for (size_t i = 0; i < COUNT(none); i++)
        assert_null(web_file_find(none[i]));
}

static struct MHD_Response *some(const char *text)
{
    return MHD_create_response_from_buffer(strlen(text), (void *)(uintptr_t)text, MHD_RESPMEM_PERSISTENT);
}

static void answers_kept(void **state)
{
    static struct kept kept;
    struct kept_key key = { .uri = "/api/tonight", .version = 5, .minute = 100 };

    (void)state;
    assert_null(kept_find(&kept, &key));
    struct shared *one = shared_new(some("one"));
    kept_add(&kept, &key, one, 3);
    shared_let_go(one);
    assert_ptr_equal(kept_find(&kept, &key), one);
    struct kept_key other = key;
    other.version = 6;
    assert_null(kept_find(&kept, &other)); /* something was recorded */
    other = key;
    other.minute = 101;
    assert_null(kept_find(&kept, &other));
    other = key;
    other.changes = 1;
    assert_null(kept_find(&kept, &other));
    other = key;
    other.generation = 1;
    assert_null(kept_find(&kept, &other)); /* another file */
    other = key;
    other.uri = "/api/tonight?nights=2";
    assert_null(kept_find(&kept, &other));
    char uri[32];
    for (int i = 0; i < 500; i++) { /* more than there is room for; the one asked for again and again stays */
        (void)snprintf(uri, sizeof uri, "/api/due?days=%d", i);
        other.uri = uri;
        struct shared *s = shared_new(some("x"));
        kept_add(&kept, &other, s, KEPT_BYTES / 100);
        shared_let_go(s);
        assert_non_null(kept_find(&kept, &key));
        assert_true(kept.bytes <= KEPT_BYTES);
    }
    struct shared *large = shared_new(some("large"));
    other.uri = "/api/large";
    kept_add(&kept, &other, large, KEPT_BYTES);
    shared_let_go(large);
    assert_null(kept_find(&kept, &other));
    kept_clear(&kept);
    assert_null(kept_find(&kept, &key));
    assert_int_equal(kept.bytes, 0);
}

/* What the server writes itself (a session) makes no answer another. */
static void answers_carried(void **state)
{
    static struct kept kept;
    struct kept_key key = { .uri = "/api/round", .version = 5, .changed_ns = 17, .minute = 100 };
    struct kept_key old = key, later = { .uri = "/api/round", .version = 6, .changed_ns = 18, .minute = 100 };
    const struct kept_state five = { 5, 17 }, six = { 6, 18 }, other_time = { 5, 16 };

    (void)state;
    old.version = 4;
    struct shared *one = shared_new(some("one")), *before = shared_new(some("before"));
    kept_add(&kept, &old, before, 6);
    kept_add(&kept, &key, one, 3);
    shared_let_go(one);
    shared_let_go(before);
    kept_carry(&kept, &other_time, &six); /* of another state of the file: not carried */
    assert_null(kept_find(&kept, &later));
    kept_carry(&kept, &five, &six);
    assert_ptr_equal(kept_find(&kept, &later), one);
    assert_null(kept_find(&kept, &key));
    assert_ptr_equal(kept_find(&kept, &old), before); /* and what was not true before is not true now */
    kept_clear(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(addresses), cmocka_unit_test(too_many),     cmocka_unit_test(bodies),
        cmocka_unit_test(depth),     cmocka_unit_test(queries),      cmocka_unit_test(routes),
        cmocka_unit_test(pages),     cmocka_unit_test(answers_kept), cmocka_unit_test(answers_carried),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
