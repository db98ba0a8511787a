/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Schemas for the API document (JSON Schema 2020-12, as OpenAPI 3.1 has them), from the tables that shape answers and
 * facts. Each gives a new reference, NULL when out of memory.
 */
#ifndef DOORS_WEB_OPENAPI_H
#define DOORS_WEB_OPENAPI_H

#include <jansson.h>
#include <stdbool.h>

#include "desk/question.h"
#include "doors/web/web.h"

json_t *schema_type(enum shape_of of, bool nullable);
json_t *schema_of_shape(size_t n, const struct shape shape[]); /* of an answer */
json_t *schema_of_body(size_t n, const struct web_field takes[]);
json_t *schema_of_param(const struct param *p);
/* A fact's fields: a number is SI under the field's name, a text as a person types it under the flag's. */
json_t *schema_of_kind(const struct fact_kind *kind);

#endif
