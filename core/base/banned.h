/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Calls this program does not make. The build forces this file into every other (-include), so that using
 * one is an error where it is used; the made-up name says what to use instead. */
#ifndef CORE_BASE_BANNED_H
#define CORE_BASE_BANNED_H

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#undef strcpy
#undef strcat
#undef sprintf
#undef strtok
#undef atoi
#undef atof
#undef localtime
#undef gmtime
#undef setlocale
#define strcpy(...)    banned_use_arena_text
#define strcat(...)    banned_use_text_builder
#define sprintf(...)   banned_use_snprintf
#define strtok(...)    banned_use_text_split
#define atoi(...)      banned_use_read_whole
#define atof(...)      banned_use_read_real
#define localtime(...) banned_use_civil_from_utc
#define gmtime(...)    banned_use_civil_from_utc
#define setlocale(...) banned_it_would_turn_1_5_into_1_comma_5

#endif
