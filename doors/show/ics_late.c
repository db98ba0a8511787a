/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * libical, loaded when a calendar is written. It brings tables of the world's scripts and the run time of another
 * language, and linking those was a third of the time to start and a tenth of what a server holds
 * (docs/decisions/0006).
 *
 * Each function here has the name of the library's and hands over to it. While the library cannot be loaded the
 * first of them, icalcomponent_new_vcalendar(), gives NULL and no other is called.
 */
#include <dlfcn.h>
#include <libical/ical.h>
#include <pthread.h>
#include <string.h>

static void *library;
static pthread_once_t once = PTHREAD_ONCE_INIT;

static void load(void)
{
    library = dlopen("libical.so.3", RTLD_NOW | RTLD_LOCAL);
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
#define MAKES_COMPONENT(name)                                                                                          \
    icalcomponent *name(void)                                                                                          \
    {                                                                                                                  \
        LATE(icalcomponent *, #name, (void));                                                                          \
        return f ? f() : NULL;                                                                                         \
    }
#define MAKES_PROPERTY(name, of)                                                                                       \
    icalproperty *name(of value)                                                                                       \
    {                                                                                                                  \
        LATE(icalproperty *, #name, (of));                                                                             \
        return f ? f(value) : NULL;                                                                                    \
    }
/* NOLINTEND(bugprone-macro-parentheses) */

MAKES_COMPONENT(icalcomponent_new_vcalendar)
MAKES_COMPONENT(icalcomponent_new_vevent)
MAKES_COMPONENT(icalcomponent_new_vtimezone)
MAKES_COMPONENT(icalcomponent_new_xstandard)
MAKES_PROPERTY(icalproperty_new_description, const char *)
MAKES_PROPERTY(icalproperty_new_dtend, struct icaltimetype)
MAKES_PROPERTY(icalproperty_new_dtstamp, struct icaltimetype)
MAKES_PROPERTY(icalproperty_new_dtstart, struct icaltimetype)
MAKES_PROPERTY(icalproperty_new_prodid, const char *)
MAKES_PROPERTY(icalproperty_new_summary, const char *)
MAKES_PROPERTY(icalproperty_new_transp, icalproperty_transp)
MAKES_PROPERTY(icalproperty_new_tzid, const char *)
MAKES_PROPERTY(icalproperty_new_tzoffsetfrom, int)
MAKES_PROPERTY(icalproperty_new_tzoffsetto, int)
MAKES_PROPERTY(icalproperty_new_uid, const char *)
MAKES_PROPERTY(icalproperty_new_version, const char *)

void icalcomponent_add_property(icalcomponent *component, icalproperty *property)
{
    LATE(void, "icalcomponent_add_property", (icalcomponent *, icalproperty *));
    if (f && property)
        f(component, property);
}

void icalcomponent_add_component(icalcomponent *parent, icalcomponent *child)
{
    LATE(void, "icalcomponent_add_component", (icalcomponent *, icalcomponent *));
    if (f)
        f(parent, child);
}

char *icalcomponent_as_ical_string_r(icalcomponent *component)
{
    LATE(char *, "icalcomponent_as_ical_string_r", (icalcomponent *));
    return f ? f(component) : NULL;
}

void icalcomponent_free(icalcomponent *component)
{
    LATE(void, "icalcomponent_free", (icalcomponent *));
    if (f)
        f(component);
}

void icalmemory_free_buffer(void *buffer)
{
    LATE(void, "icalmemory_free_buffer", (void *));
    if (f)
        f(buffer);
}

struct icaltimetype icaltime_null_time(void)
{
    LATE(struct icaltimetype, "icaltime_null_time", (void));
    return f ? f() : (struct icaltimetype){ .year = 0 };
}

struct icaltimetype icaltime_null_date(void)
{
    LATE(struct icaltimetype, "icaltime_null_date", (void));
    return f ? f() : (struct icaltimetype){ .is_date = 1 };
}

icaltimezone *icaltimezone_get_utc_timezone(void)
{
    LATE(icaltimezone *, "icaltimezone_get_utc_timezone", (void));
    return f ? f() : NULL;
}
