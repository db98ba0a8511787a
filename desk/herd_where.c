/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where each sow is: in which group, in which field, in which pen. Moves are in order of time. */
#include <string.h>

#include "desk/herd_inside.h"

size_t herd_site_of(const struct herd *h, const char *placement_uid)
{
    for (size_t i = 0; placement_uid && i < h->n_sites; i++)
        if (strcmp(h->sites[i].uid, placement_uid) == 0)
            return i;
    return HERD_NONE;
}

const char *herd_group_at(const struct fold *fo, const struct herd_sow *s, int64_t at)
{
    const char *group = NULL;

    for (size_t i = 0; i < fo->move.n && row_when(&fo->move.fact[i], "at") <= at; i++)
        if (row_is(&fo->move.fact[i], "animal", s->uid) && row_text(&fo->move.fact[i], "to_group"))
            group = row_text(&fo->move.fact[i], "to_group");
    return group;
}

static size_t index_of(const struct rows *rows, const char *uid)
{
    for (size_t i = 0; uid && i < rows->n; i++)
        if (strcmp(rows->fact[i].uid, uid) == 0)
            return i;
    return HERD_NONE;
}

/* Where a move leads to: a field, or a place in one. HERD_NONE: it says nothing of it. */
static size_t paddock_of_move(const struct fold *fo, const struct fact *move, size_t *site)
{
    const struct herd *h = fo->herd;

    *site = herd_site_of(h, row_text(move, "to_placement"));
    if (*site != HERD_NONE && h->sites[*site].paddock != HERD_NONE)
        return h->sites[*site].paddock;
    return index_of(&fo->paddock, row_text(move, "to_paddock")); /* the herd keeps them in this order */
}

/* Where the group was by the i-th move. */
static size_t paddock_of_group(const struct fold *fo, const char *group, size_t i)
{
    size_t site = HERD_NONE, paddock = HERD_NONE;

    for (size_t k = 0; k <= i; k++)
        if (row_is(&fo->move.fact[k], "group", group)) {
            const size_t to = paddock_of_move(fo, &fo->move.fact[k], &site);
            paddock = to != HERD_NONE ? to : paddock;
        }
    return paddock;
}

void herd_where(const struct fold *fo, struct herd_sow *s)
{
    const char *group = NULL;

    for (size_t i = 0; i < fo->move.n; i++) {
        const struct fact *f = &fo->move.fact[i];
        const bool own = row_is(f, "animal", s->uid);
        size_t site = HERD_NONE;
        if (!own && !(group && row_is(f, "group", group)))
            continue;
        size_t to = paddock_of_move(fo, f, &site);
        if (own && row_text(f, "to_group")) {
            group = row_text(f, "to_group");
            if (to == HERD_NONE && !row_flag(f, "alone"))
                to = paddock_of_group(fo, group, i); /* she is now where they are */
        }
        s->paddock = to != HERD_NONE ? to : s->paddock;
        s->penned = row_flag(f, "alone");
        if (s->penned && site != HERD_NONE)
            s->nests_at = site;
    }
    s->group = index_of(&fo->group, group);
}
