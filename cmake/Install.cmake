# SPDX-License-Identifier: GPL-3.0-or-later
# What `make install` puts where. Man page and completion are written by the program itself, from its tables.
include(GNUInstallDirs)
install(TARGETS leenest RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
