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
