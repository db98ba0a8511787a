/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Files: the page's own files, built into the program. Nothing is opened by a name that came in a request: a path is
 * looked up in this table, whole.
 */
#ifndef DOORS_WEB_FILES_H
#define DOORS_WEB_FILES_H

struct web_file {
    const char *path, *type; /* "/app.js"; path NULL ends the table */
    const unsigned char *bytes, *end;
    const unsigned char *gz, *gz_end; /* the same compressed; NULL when there is none */
    const char *etag;                 /* with its quotes */
};
extern const struct web_file web_files[]; /* made with the page (ui/build.mjs) */
extern const char web_build[];            /* another one when any of the page's files is another */

/* The file of that path. A path of letters, digits, dashes and single slashes alone ("/", "/field", "/sow/bramble") is a
 * page and gives index.html, whose script draws it. NULL: there is none. */
const struct web_file *web_file_find(const char *path);

#endif
