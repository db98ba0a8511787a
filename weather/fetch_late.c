/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * libcurl, loaded when the first forecast is fetched. It brings two dozen libraries of its own, and linking those was
 * about a third of the time to start (bench/bench_web.sh) of a program that fetches nothing most days.
 *
 * Each function here has the name of the library's and hands over to it. While the library cannot be loaded they answer
 * as it does when it cannot begin, and the fetch is refused with a sentence.
 */
#define CURL_DISABLE_TYPECHECK

#include <curl/curl.h>
#include <dlfcn.h>
#include <pthread.h>
#include <stdarg.h>
#include <string.h>

static void *library;
static pthread_once_t once = PTHREAD_ONCE_INIT;

static void load(void)
{
    static const char *const names[] = { "libcurl-gnutls.so.4", "libcurl.so.4" };

    for (size_t i = 0; i < sizeof names / sizeof *names && !library; i++)
        library = dlopen(names[i], RTLD_NOW | RTLD_LOCAL);
}

/* The address of a function, as POSIX has it done (dlsym, rationale): a pointer to data copied into one to code. */
static void *find(const char *name)
{
    (void)pthread_once(&once, load);
    return library ? dlsym(library, name) : NULL;
}

/* NOLINTBEGIN(bugprone-macro-parentheses): a declaration knows none */
#define LATE(type, name, arguments)                                                                                    \
    type(*f) arguments = NULL;                                                                                         \
    void *const at = find(name);                                                                                       \
    memcpy(&f, &at, sizeof f)
/* NOLINTEND(bugprone-macro-parentheses) */

CURLcode curl_global_init(long flags)
{
    LATE(CURLcode, "curl_global_init", (long));
    return f ? f(flags) : CURLE_FAILED_INIT;
}

CURL *curl_easy_init(void)
{
    LATE(CURL *, "curl_easy_init", (void));
    return f ? f() : NULL;
}

void curl_easy_cleanup(CURL *c)
{
    LATE(void, "curl_easy_cleanup", (CURL *));
    if (f)
        f(c);
}

CURLcode curl_easy_perform(CURL *c)
{
    LATE(CURLcode, "curl_easy_perform", (CURL *));
    return f ? f(c) : CURLE_FAILED_INIT;
}

const char *curl_easy_strerror(CURLcode code)
{
    LATE(const char *, "curl_easy_strerror", (CURLcode));
    return f ? f(code) : "the library that fetches cannot be loaded";
}

/* The number of an option says what its one argument is (curl.h: CURLOPTTYPE_...). */
CURLcode curl_easy_setopt(CURL *c, CURLoption option, ...)
{
    LATE(CURLcode, "curl_easy_setopt", (CURL *, CURLoption, ...));
    CURLcode rc = CURLE_FAILED_INIT;
    va_list args;

    if (!f)
        return rc;
    va_start(args, option);
    /* curl sorts options by what they take. NOLINTBEGIN(bugprone-branch-clone) */
    if ((int)option < CURLOPTTYPE_OBJECTPOINT)
        rc = f(c, option, va_arg(args, long));
    else if ((int)option < CURLOPTTYPE_FUNCTIONPOINT)
        rc = f(c, option, va_arg(args, void *));
    else if ((int)option < CURLOPTTYPE_OFF_T)
        rc = f(c, option, va_arg(args, void (*)(void)));
    else
        rc = f(c, option, va_arg(args, curl_off_t));
    /* NOLINTEND(bugprone-branch-clone) */
    va_end(args);
    return rc;
}

CURLcode curl_easy_getinfo(CURL *c, CURLINFO info, ...) /* always a pointer */
{
    LATE(CURLcode, "curl_easy_getinfo", (CURL *, CURLINFO, ...));
    CURLcode rc = CURLE_FAILED_INIT;
    va_list args;

    va_start(args, info);
    if (f)
        rc = f(c, info, va_arg(args, void *));
    va_end(args);
    return rc;
}

struct curl_slist *curl_slist_append(struct curl_slist *list, const char *text)
{
    LATE(struct curl_slist *, "curl_slist_append", (struct curl_slist *, const char *));
    return f ? f(list, text) : NULL;
}

void curl_slist_free_all(struct curl_slist *list)
{
    LATE(void, "curl_slist_free_all", (struct curl_slist *));
    if (f)
        f(list);
}

void curl_free(void *p)
{
    LATE(void, "curl_free", (void *));
    if (f)
        f(p);
}

time_t curl_getdate(const char *text, const time_t *unused)
{
    LATE(time_t, "curl_getdate", (const char *, const time_t *));
    return f ? f(text, unused) : (time_t)-1;
}

int curl_strnequal(const char *a, const char *b, size_t n)
{
    LATE(int, "curl_strnequal", (const char *, const char *, size_t));
    return f ? f(a, b, n) : 0;
}

CURLU *curl_url(void)
{
    LATE(CURLU *, "curl_url", (void));
    return f ? f() : NULL;
}

void curl_url_cleanup(CURLU *u)
{
    LATE(void, "curl_url_cleanup", (CURLU *));
    if (f)
        f(u);
}

CURLUcode curl_url_get(CURLU *u, CURLUPart part, char **text, unsigned flags)
{
    LATE(CURLUcode, "curl_url_get", (CURLU *, CURLUPart, char **, unsigned));
    return f ? f(u, part, text, flags) : CURLUE_OUT_OF_MEMORY;
}

CURLUcode curl_url_set(CURLU *u, CURLUPart part, const char *text, unsigned flags)
{
    LATE(CURLUcode, "curl_url_set", (CURLU *, CURLUPart, const char *, unsigned));
    return f ? f(u, part, text, flags) : CURLUE_OUT_OF_MEMORY;
}
