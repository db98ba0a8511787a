/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shared by the files that fold the herd (herd.c, herd_sows.c, herd_sites.c), by those that tell of one sow (sow.c,
 * sow_past.c), and by nobody else.
 */
#ifndef DESK_HERD_INSIDE_H
#define DESK_HERD_INSIDE_H

#include "desk/herd.h"

struct rows { /* live facts of one kind in order of time, those after the moment left out */
    const struct fact_kind *kind;
    struct fact *fact;
    size_t n;
};

struct fold {
    struct farm *farm;
    struct herd *herd;
    struct arena *mem;
    struct rows farms, animal, breed, group, paddock, mark, shelter, windbreak, placement, bedding, stock, leaving,
        weighing, heat, service, boar_run, scan, returns, sign, look, farrowing, birth, weaning, loss, move, nested;
    const char **missing; /* room for the herd's list */
    size_t n_missing;
};

/* Short forms over one fact. */
const char *row_text(const struct fact *f, const char *field);          /* NULL */
double row_real(const struct fact *f, const char *field);               /* NAN */
int64_t row_when(const struct fact *f, const char *field);              /* INT64_MIN */
bool row_is(const struct fact *f, const char *field, const char *text); /* same text, or same uid */
bool row_flag(const struct fact *f, const char *field);
int64_t day_of(const struct fold *fo, int64_t utc_s); /* local day number */
void herd_miss(struct fold *fo, const char *sentence);

/* Days from the service that a farrowing came of (the last that can have been it); NAN when none fits. */
double herd_length_d(const struct rows *services, const char *sow_uid, int64_t farrowed_utc_s);

/* When the last of a litter was lost: of those born alive, by what is written as lost from its start until her next. The
 * start where none was born alive; BREEDING_NONE: some are left, or they were not counted. */
int64_t herd_all_lost(const struct rows *loss, const char *sow_uid, int64_t start_utc_s, int64_t next_utc_s,
                      int born_alive);
bool herd_none_weaned(const struct fact *weaning);  /* it says that none was left to wean */
void herd_dry(struct fold *fo, struct herd_sow *s); /* lost, lost_all, weaned_utc_s */

size_t herd_site_of(const struct herd *h, const char *placement_uid); /* HERD_NONE */
/* Group she was in at a moment, by her newest move until then; NULL: in none. */
const char *herd_group_at(const struct fold *fo, const struct herd_sow *s, int64_t at);
void herd_where(const struct fold *fo, struct herd_sow *s); /* paddock, group, pen */

enum status herd_sites(struct fold *fo, struct message *why) MUST_USE;
enum status herd_sows(struct fold *fo, struct message *why) MUST_USE;

#endif
