/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/files.h"

#include <stdbool.h>
#include <string.h>

/* "/", "/field", "/sow/bramble-2": what the page's script draws by itself. */
static bool is_page(const char *path)
{
    for (const char *s = path; *s; s++) {
        const bool plain =
            (*s >= 'a' && *s <= 'z') || (*s >= 'A' && *s <= 'Z') || (*s >= '0' && *s <= '9') || *s == '-' || *s == '_';
        if (!plain && (*s != '/' || s[1] == '/'))
            return false;
    }
    return true;
}

const struct web_file *web_file_find(const char *path)
{
    if (is_page(path))
        path = "/index.html";
    for (const struct web_file *f = web_files; f->path; f++)
        if (strcmp(f->path, path) == 0)
            return f;
    return NULL;
}
