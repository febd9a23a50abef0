// SPDX-License-Identifier: MIT
//
// A test is a function listed in main.c; a check that fails says where and goes on.
#ifndef UNIT_CHECK_H
#define UNIT_CHECK_H

#include <stdbool.h>

void check_that(bool holds, const char *what, const char *file, int line);
void check_same(long long found, long long wanted, const char *what, const char *file, int line);
void check_text(const char *found, const char *wanted, const char *file, int line);

#define CHECK(condition) check_that((condition), #condition, __FILE__, __LINE__)
#define CHECK_SAME(found, wanted) check_same((long long)(found), (long long)(wanted), #found, __FILE__, __LINE__)
#define CHECK_TEXT(found, wanted) check_text((found), (wanted), __FILE__, __LINE__)

// What the firmware's line writer has said since the last call.
const char *said(void);

#define TEST(name) void name(void);
#include "tests.h"
#undef TEST

#endif
