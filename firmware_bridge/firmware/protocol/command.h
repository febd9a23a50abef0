// SPDX-License-Identifier: MIT
//
// Reading what the host says, one byte at a time. Never fails and never waits: a line that is not
// whole and right is counted as damaged, and reading goes on after the next newline.
#ifndef WAYTELL_PROTOCOL_COMMAND_H
#define WAYTELL_PROTOCOL_COMMAND_H

#include <stdbool.h>
#include <stdint.h>

#include "protocol/crc16.h"

// Only the start of a payload matters to a board: no command it knows is longer. The rest of a
// longer line still goes through the CRC.
#define COMMAND_KEPT 12

#define RATE_LEAST_HZ 10
#define RATE_MOST_HZ 1000

enum command_kind { COMMAND_NONE, COMMAND_HELLO, COMMAND_RATE };

struct command {
    enum command_kind kind;
    uint16_t hz;  // with COMMAND_RATE, within RATE_LEAST_HZ and RATE_MOST_HZ
};

struct command_reader {
    char payload[COMMAND_KEPT + 1];
    char crc_text[4];
    uint16_t crc;
    uint16_t damaged;  // lines skipped since the start
    uint8_t length;    // of the whole line so far
    uint8_t kept;      // characters in payload
    uint8_t crc_digits;
    bool in_crc;
    bool bad;
    bool saw_return;
};

void command_start(struct command_reader *reader);

struct command command_byte(struct command_reader *reader, uint8_t byte);

#endif
