# SPDX-License-Identifier: GPL-3.0-or-later
# table(<target> <name>...): data/<name>.csv becomes a const array of rows of text, <name>_table, declared in
# "<name>_table.h" (data/table.h has the struct). The reckoning reads figures by key; a test refuses a row without a source.
function(table target)
  set(rows_c "")
  foreach(name IN LISTS ARGN)
    set(csv "${PROJECT_SOURCE_DIR}/data/${name}.csv")
    set(out "${PROJECT_BINARY_DIR}/generated/data/${name}_table.c")
    add_custom_command(OUTPUT "${out}"
      COMMAND table_to_c ${name} "${csv}" "${out}"
      DEPENDS table_to_c "${csv}" VERBATIM)
    list(APPEND rows_c "${out}")
  endforeach()
  target_sources(${target} PRIVATE ${rows_c})
endfunction()
