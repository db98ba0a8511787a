/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/web.h"

const struct web_route *const web_routes[] = { web_routes_ask,  web_routes_record, web_routes_mend,
                                               web_routes_keep, web_routes_door,   NULL };
