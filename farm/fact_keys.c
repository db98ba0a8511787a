/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Keys that the reckoning gives out and takes back in: a tick or a setting under a key that nothing reads would be kept
 * and never heard of again.
 */
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "farm/facts.h"
#include "farm/near.h"
#include "farm/words.h"

const char fact_prompts_farm[] =
    "water-morning|water-afternoon|wallow|heat-look|feed|held|odd|forecast|huts-before-frost|straw-in";
const char fact_prompts_each[] =
    "look|overdue|to-ground|booster-ask|return|scan|suck|foster|cold-litter|iron|mark|creep|"
    "wean|bed|withdrawal|booster";
/* walking-order: names of sows, one a line, in which the dawn round comes past them; the page reads it */
static const char settings[] = "show-at|walking-order";

/* "look:Bramble:15", "mark:<uid>"; of the farm as a whole "feed". */
static bool known_prompt(const char *key)
{
    const size_t n = strcspn(key, ":");

    if (!key[n])
        return word_in(fact_prompts_farm, key, n);
    return word_in(fact_prompts_each, key, n) && key[n + 1] && words_one_line(key);
}

static const char *near_word(const char *words, const char *typed, char out[static 40])
{
    for (const char *w = words; *w;) {
        const size_t n = strcspn(w, "|");
        (void)snprintf(out, 40, "%.*s", (int)n, w);
        if (near_enough(typed, out))
            return out;
        w += n + (w[n] == '|');
    }
    return NULL;
}

static enum status of_tick(const struct fact_kind *kind, const struct fact_value values[], struct message *why)
{
    const char *key = fact_text(kind, values, "prompt");
    char word[40], typed[64];

    if (known_prompt(key))
        return ST_OK;
    (void)snprintf(typed, sizeof typed, "%.*s", (int)strcspn(key, ":"), key);
    const char *near = near_word(fact_prompts_farm, typed, word);
    const char *each = near ? NULL : near_word(fact_prompts_each, typed, word);
    return refuse(ST_BAD_INPUT, why, "prompt",
                  "prompt: the round gives no \"%.40s\"%s%s%s%s; the keys stand beside what it asks for", key,
                  near || each ? ", did you mean " : "", near || each ? word : "", each ? ":NAME" : "",
                  near || each ? "?" : "");
}

static enum status of_setting(const struct fact_kind *kind, const struct fact_value values[], struct message *why)
{
    const char *name = fact_text(kind, values, "name"), *value = fact_text(kind, values, "value");
    char word[40];
    struct civil_text t;

    if (!word_in(settings, name, strlen(name))) {
        const char *near = near_word(settings, name, word);
        return refuse(ST_BAD_INPUT, why, "name", "name: nothing is set by \"%.40s\"%s%s%s; there is %s", name,
                      near ? ", did you mean " : "", near ? near : "", near ? "?" : "", settings);
    }
    if (strcmp(name, "show-at") == 0 && (!civil_read(value, &t) || !t.has_time || !t.has_offset))
        return refuse(ST_BAD_INPUT, why, "value",
                      "value: \"%.40s\" is not a moment with its offset; write it as 2026-01-22T15:40:00Z", value);
    return ST_OK;
}

enum status fact_check_keys(const struct fact_kind *kind, const struct fact_value values[], struct message *why)
{
    if (strcmp(kind->name, "tick") == 0)
        return of_tick(kind, values, why);
    return strcmp(kind->name, "setting") == 0 ? of_setting(kind, values, why) : ST_OK;
}
