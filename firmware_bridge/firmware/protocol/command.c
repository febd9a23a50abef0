// SPDX-License-Identifier: MIT
#include "protocol/command.h"

#include <string.h>

#include "protocol/line.h"

static void next_line(struct command_reader *reader) {
    uint16_t damaged = reader->damaged;
    memset(reader, 0, sizeof *reader);
    reader->damaged = damaged;
    reader->crc = CRC16_START;
}

void command_start(struct command_reader *reader) {
    reader->damaged = 0;
    next_line(reader);
}

// Lower-case digits are not in the protocol, so they are damage like anything else.
static bool hex_value(const char digits[4], uint16_t *value) {
    *value = 0;
    for (uint8_t i = 0; i < 4; i++) {
        char c = digits[i];
        uint8_t nibble;
        if (c >= '0' && c <= '9')
            nibble = (uint8_t)(c - '0');
        else if (c >= 'A' && c <= 'F')
            nibble = (uint8_t)(c - 'A' + 10);
        else
            return false;
        *value = (uint16_t)((*value << 4) | nibble);
    }
    return true;
}

static bool is_whole(const struct command_reader *reader) {
    uint16_t stated;
    return !reader->bad && reader->in_crc && reader->crc_digits == 4 && reader->kept > 0 &&
           hex_value(reader->crc_text, &stated) && stated == reader->crc;
}

// The number in the second field. False when there is none; clipped to the range of the protocol.
static bool read_rate(const char *payload, uint16_t *hz) {
    const char *digit = payload + 2;
    if (payload[1] != ' ' || *digit == '\0') return false;
    uint16_t value = 0;
    for (; *digit >= '0' && *digit <= '9'; digit++)
        if (value <= RATE_MOST_HZ) value = (uint16_t)(value * 10 + (uint8_t)(*digit - '0'));
    if (digit == payload + 2 || (*digit != ' ' && *digit != '\0')) return false;
    if (value < RATE_LEAST_HZ) value = RATE_LEAST_HZ;
    if (value > RATE_MOST_HZ) value = RATE_MOST_HZ;
    *hz = value;
    return true;
}

static struct command understand(const char *payload) {
    struct command command = {COMMAND_NONE, 0};
    if (payload[0] == 'Q' && (payload[1] == '\0' || payload[1] == ' ')) command.kind = COMMAND_HELLO;
    if (payload[0] == 'R' && read_rate(payload, &command.hz)) command.kind = COMMAND_RATE;
    return command;
}

static struct command finish_line(struct command_reader *reader) {
    struct command command = {COMMAND_NONE, 0};
    if (is_whole(reader))
        command = understand(reader->payload);
    else
        reader->damaged++;
    next_line(reader);
    return command;
}

static void take_crc_digit(struct command_reader *reader, uint8_t byte) {
    if (reader->crc_digits < 4)
        reader->crc_text[reader->crc_digits++] = (char)byte;
    else
        reader->bad = true;
}

static void take_payload(struct command_reader *reader, uint8_t byte) {
    reader->crc = crc16_step(reader->crc, byte);
    if (reader->kept < COMMAND_KEPT) reader->payload[reader->kept++] = (char)byte;
}

struct command command_byte(struct command_reader *reader, uint8_t byte) {
    static const struct command none = {COMMAND_NONE, 0};
    if (byte == '\n') return finish_line(reader);
    // A return is welcome just before the newline and damage anywhere else.
    if (reader->saw_return) reader->bad = true;
    if (byte == '\r') {
        reader->saw_return = true;
        return none;
    }
    if (byte < 0x20 || byte > 0x7E || reader->length >= LINE_MAX - 1) reader->bad = true;
    if (reader->bad) return none;
    reader->length++;
    if (byte == '*' && !reader->in_crc)
        reader->in_crc = true;
    else if (reader->in_crc)
        take_crc_digit(reader, byte);
    else
        take_payload(reader, byte);
    return none;
}
