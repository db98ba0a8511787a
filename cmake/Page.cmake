# SPDX-License-Identifier: GPL-3.0-or-later
# page(<target>): the browser's page, built by ui/build.sh and taken into the program as read-only bytes.
function(page target)
  file(GLOB_RECURSE parts CONFIGURE_DEPENDS "${PROJECT_SOURCE_DIR}/ui/src/*.ts" "${PROJECT_SOURCE_DIR}/ui/style/*.css" "${PROJECT_SOURCE_DIR}/ui/icons/*")
  set(made "${PROJECT_BINARY_DIR}/generated/web_files.c")
  add_custom_command(OUTPUT "${made}"
    COMMAND sh "${PROJECT_SOURCE_DIR}/ui/build.sh" "${PROJECT_BINARY_DIR}/page" "${made}"
    DEPENDS ${parts} "${PROJECT_SOURCE_DIR}/ui/index.html" "${PROJECT_SOURCE_DIR}/ui/build.mjs" "${PROJECT_SOURCE_DIR}/ui/build.sh"
            "${PROJECT_SOURCE_DIR}/ui/tsconfig.json" "${PROJECT_SOURCE_DIR}/ui/package-lock.json"
    COMMENT "The page" VERBATIM)
  target_sources(${target} PRIVATE "${made}")
endfunction()

# no_page(<target>): the program without the browser's page, for building without npm. Its front says so.
function(no_page target)
  set(made "${PROJECT_BINARY_DIR}/generated/no_page.c")
  file(CONFIGURE OUTPUT "${made}" CONTENT [=[
#include "doors/web/files.h"
static const unsigned char front[] = "<!doctype html><html lang=en><meta charset=utf-8><title>leenest</title><h1>leenest</h1>"
    "<p>This program was built without its page. The answers are there: <a href=\"/api/tonight?format=text\">tonight</a>.\n";
const struct web_file web_files[] = {
    { "/index.html", "text/html; charset=utf-8", front, front + sizeof front - 1, 0, 0, "\"front\"" },
    { 0, 0, 0, 0, 0, 0, 0 },
};
const char web_build[] = "none";
]=] @ONLY)
  target_sources(${target} PRIVATE "${made}")
endfunction()
