// SPDX-License-Identifier: MIT
#ifndef UNIT_GOLDEN_H
#define UNIT_GOLDEN_H

// tests/golden/board_lines.txt, shared with the Python tests.
extern const char *golden_path;

#endif
