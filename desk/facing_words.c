/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk/facing_words.h"

#include <math.h>
#include <string.h>

#include "core/air/rose.h"
#include "core/base/civil.h"
#include "desk/share.h"

static void scan(void *prepared, size_t half)
{
    const size_t middle = FACING_BEARINGS / 2;

    facing_scan(prepared, half ? middle : 0, half ? FACING_BEARINGS : middle);
}

enum status facing_find_on_two(const struct facing_ask *ask, struct arena *mem, struct facing_prepared **prepared,
                               struct facing *f, struct message *why)
{
    struct facing_prepared *p = NULL;
    const enum status st = facing_prepare(ask, mem, &p, why);

    if (st != ST_OK)
        return st;
    while (facing_next(p))
        share_parts(NULL, scan, p, 2);
    facing_conclude(p, f);
    if (prepared)
        *prepared = p;
    return ST_OK;
}

bool facing_takes(const struct facing_ask *ask, const struct hour *hour)
{
    const int64_t local_s = hour->utc_s + ask->standard_offset_s;
    const int hour_of_day = civil_from_seconds(local_s).hour;
    const bool after_midnight = hour_of_day < 6;

    if (ask->night_only && !after_midnight && hour_of_day < 18)
        return false;
    const int month = civil_from_seconds(ask->night_only && after_midnight ? local_s - DAY_S / 2 : local_s).month;
    return ask->months == 0 || (ask->months >> (month - 1) & 1u);
}

void facing_answer(const struct facing *f, struct answer *a)
{
    answer_real(a, "best_facing_deg", f->best_deg);
    answer_real(a, "worst_facing_deg", f->worst_deg);
    answer_real(a, "best_cold_degree_hours_per_day", f->best);
    answer_real(a, "worst_cold_degree_hours_per_day", f->worst);
    struct answer *arcs = answer_list(a, "arcs");
    for (size_t i = 0; i < f->n_arcs; i++) {
        struct answer *arc = answer_item(arcs);
        answer_real(arc, "from_deg", f->arcs[i].from_deg);
        answer_real(arc, "to_deg", f->arcs[i].to_deg);
    }
    answer_flag(a, "hardly_matters", f->hardly_matters);
    answer_flag(a, "nothing_differs", f->nothing_differs);
    struct answer *rows = answer_list(a, "by_facing");
    for (size_t i = 0; i < FACING_BEARINGS; i++) {
        struct answer *row = answer_item(rows);
        answer_real(row, "facing_deg", f->rows[i].facing_deg);
        answer_real(row, "cold_degree_hours_per_day", f->rows[i].cold_degree_hours_per_day);
        answer_real(row, "wind_mps", f->rows[i].wind_mps);
        answer_real(row, "rain_mm", f->rows[i].rain_l_m2);
        answer_real(row, "sun_kwh_m2_day", f->rows[i].sun_kwh_m2_day);
        answer_real(row, "morning_sun_kwh_m2_day", f->rows[i].morning_sun_kwh_m2_day);
    }
    answer_whole(a, "hours", (int64_t)f->hours);
    answer_whole(a, "skipped_hours", (int64_t)f->skipped_hours);
    answer_whole(a, "calm_hours", (int64_t)f->calm_hours);
    answer_whole(a, "variable_hours", (int64_t)f->variable_hours);
}

enum status facing_answer_rose(const struct facing_ask *ask, struct arena *mem, struct answer *a, struct message *why)
{
    double *count = ARENA_NEW(mem, double, ROSE_SECTORS);
    struct rose_tally tally = rose_begin(0.0);
    struct hour room[FACING_BLOCK];
    const struct hour *hours;

    if (!count)
        return refuse(ST_NO_MEMORY, why, "", "out of memory");
    for (size_t first = 0, n; (n = facing_hours(ask, first, room, &hours)) > 0; first += n)
        for (size_t i = 0; i < n; i++)
            if (facing_takes(ask, &hours[i]))
                rose_add(&tally, &hours[i]);
    const struct rose rose = rose_end(&tally);
    answer_real_or(a, "mean_wind_mps", rose.mean_mps, "no hour has a wind");
    answer_text(a, "modal_sector", rose.modal >= 0 ? rose_sector_name[rose.modal] : NULL);
    answer_real_or(a, "vector_mean_from_deg", rose.vector_from_deg, "no wind, or from all sides alike");
    answer_real_or(a, "steadiness", rose.steadiness, "no hour has a wind");
    answer_flag(a, "prevailing", rose.prevailing);
    memcpy(count, rose.count, ROSE_SECTORS * sizeof *count);
    answer_reals(a, "rose", count, ROSE_SECTORS, 3);
    return ST_OK;
}

void facing_answer_assumed(const struct facing *f, struct answer *assumed)
{
    if (assumed && f->no_cloud_hours)
        answer_words(assumed,
                     arena_print(assumed->mem, "cloud 4 oktas in %zu hours in which nobody looked", f->no_cloud_hours));
    if (assumed && f->no_rain_hours)
        answer_words(assumed,
                     arena_print(assumed->mem, "no rain in %zu hours that have no reading of it", f->no_rain_hours));
}
