/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors/web/files.h"

#include <string.h>

const struct web_file *web_file_find(const char *path)
{
    const char *last = strrchr(path, '/');

    if (!last)
        return 0;
    if (!strchr(last, '.'))
        path = "/index.html";
    for (const struct web_file *f = web_files; f->path; f++)
        if (strcmp(f->path, path) == 0)
            return f;
    return 0;
}
