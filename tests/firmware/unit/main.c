// SPDX-License-Identifier: MIT
//
// unit GOLDEN_FILE: runs every test and prints a line for each; ends with 1 if any failed.
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "golden.h"
#include "protocol/line.h"

static int failures;
static char said_text[1024];
static size_t said_length;

void check_that(bool holds, const char *what, const char *file, int line) {
    if (holds) return;
    failures++;
    printf("  %s:%d: not so: %s\n", file, line, what);
}

void check_same(long long found, long long wanted, const char *what, const char *file, int line) {
    if (found == wanted) return;
    failures++;
    printf("  %s:%d: %s is %lld, not %lld\n", file, line, what, found, wanted);
}

void check_text(const char *found, const char *wanted, const char *file, int line) {
    if (strcmp(found, wanted) == 0) return;
    failures++;
    printf("  %s:%d: \"%s\" is not \"%s\"\n", file, line, found, wanted);
}

// The other end of the firmware's line writer.
void line_sink(uint8_t character) {
    if (said_length < sizeof said_text - 1) said_text[said_length++] = (char)character;
}

const char *said(void) {
    static char text[sizeof said_text];
    memcpy(text, said_text, said_length);
    text[said_length] = '\0';
    said_length = 0;
    return text;
}

static const struct {
    const char *name;
    void (*run)(void);
} tests[] = {
#define TEST(name) {#name, name},
#include "tests.h"
};

int main(int count, char **values) {
    if (count != 2) {
        fputs("unit GOLDEN_FILE\n", stderr);
        return 2;
    }
    golden_path = values[1];
    int failed_tests = 0;
    for (size_t i = 0; i < sizeof tests / sizeof tests[0]; i++) {
        failures = 0;
        said();
        tests[i].run();
        printf("%s %s\n", failures ? "FAIL" : "pass", tests[i].name);
        failed_tests += failures != 0;
    }
    return failed_tests != 0;
}
