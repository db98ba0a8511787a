/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/web.h"

const struct web_route web_routes_ask[] = { { .path = 0 } };
