# SPDX-License-Identifier: GPL-3.0-or-later
# What `make install` puts where. Man page and completion are written by the program itself, from its tables.
include(GNUInstallDirs)
add_custom_command(OUTPUT "${PROJECT_BINARY_DIR}/leenest.1" "${PROJECT_BINARY_DIR}/leenest.bash"
  COMMAND leenest man > "${PROJECT_BINARY_DIR}/leenest.1"
  COMMAND leenest completion > "${PROJECT_BINARY_DIR}/leenest.bash"
  DEPENDS leenest VERBATIM)
add_custom_target(papers ALL DEPENDS "${PROJECT_BINARY_DIR}/leenest.1" "${PROJECT_BINARY_DIR}/leenest.bash")
install(TARGETS leenest RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(FILES "${PROJECT_BINARY_DIR}/leenest.1" DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(FILES "${PROJECT_BINARY_DIR}/leenest.bash" DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions RENAME leenest)
install(FILES README.md COPYING DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(DIRECTORY docs/use docs/reckoning DESTINATION ${CMAKE_INSTALL_DOCDIR})
