/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/show/own.h"

#include <string.h>

const struct show_own show_own[] = {
    { "tonight", show_tonight },
    { "due", show_due },
    { "shelters", show_shelters },
    { "weather", show_weather },
    { "round", show_round },
    { "calendar", show_calendar },
    { "where", show_where },
    { "field", show_field },
    { "try", show_try },
    { "sow", show_sow },
    { "herd", show_herd },
    { "kinship", show_kinship },
    { "pairings", show_pairings },
    { "founders", show_founders },
    { "season", show_season },
    { "keep", show_keep },
    { "paper", show_paper },
    { "reckon sun", show_piece_sun },
    { "reckon beam", show_piece_beam },
    { "reckon air", show_piece_air },
    { "reckon wind-chill", show_piece_wind_chill },
    { "reckon wind-at", show_piece_wind_at },
    { "reckon lee", show_piece_lee },
    { "reckon driving-rain", show_piece_driving_rain },
    { "reckon hours", show_piece_hours },
    { "reckon nights", show_piece_nights },
    { "reckon facing", show_piece_facing },
    { "reckon due", show_piece_due },
    { "reckon notch", show_piece_notch },
    { "reckon piglet", show_piece_piglet },
    { "reckon nest", show_piece_nest },
    { "reckon inbreeding", show_piece_inbreeding },
    { "reckon kinship", show_piece_kinship },
    { "reckon pairings", show_piece_pairings },
    { NULL, NULL },
};

void show_text(const char *question, const struct answer *a, const struct show_how *how, struct text *out)
{
    for (size_t i = 0; show_own[i].question; i++)
        if (strcmp(show_own[i].question, question) == 0) {
            show_own[i].show(a, how, out);
            return;
        }
    show_tree(a, how, out);
}
