// SPDX-License-Identifier: MIT
#include "protocol/line.h"

#include <stdbool.h>

#include "protocol/crc16.h"

static uint16_t crc;

static void put(char character) {
    crc = crc16_step(crc, (uint8_t)character);
    line_sink((uint8_t)character);
}

static char hex_digit(uint8_t nibble) {
    return (char)(nibble < 10 ? '0' + nibble : 'A' + nibble - 10);
}

void line_begin(char letter) {
    crc = CRC16_START;
    put(letter);
}

void line_end(void) {
    uint16_t check = crc;
    line_sink('*');
    for (uint8_t digit = 0; digit < 4; digit++) {
        line_sink((uint8_t)hex_digit((uint8_t)(check >> 12)));
        check = (uint16_t)(check << 4);
    }
    line_sink('\n');
}

// Subtracting powers of ten costs half of what the library's division by ten does on an 8-bit
// processor, and keeps clear of library code that uses the registers of the interrupt.
void line_digits(uint32_t value) {
    static const uint32_t powers[] = {1000000000, 100000000, 10000000, 1000000, 100000, 10000, 1000, 100, 10};
    bool started = false;
    for (uint8_t i = 0; i < sizeof powers / sizeof powers[0]; i++) {
        char digit = '0';
        while (value >= powers[i]) {
            value -= powers[i];
            digit++;
        }
        started = started || digit != '0';
        if (started) put(digit);
    }
    put((char)('0' + (uint8_t)value));
}

void line_unsigned(uint32_t value) {
    put(' ');
    line_digits(value);
}

void line_signed(int32_t value) {
    put(' ');
    if (value < 0) put('-');
    // Negated as unsigned: the most negative number has no positive twin.
    line_digits(value < 0 ? 0 - (uint32_t)value : (uint32_t)value);
}

static void put_hex(uint32_t value, bool leading_zeros) {
    for (uint8_t digit = 0; digit < 8; digit++) {
        uint8_t nibble = (uint8_t)(value >> 28);
        value <<= 4;
        leading_zeros = leading_zeros || nibble != 0 || digit == 7;
        if (leading_zeros) put(hex_digit(nibble));
    }
}

void line_hex(uint32_t value) {
    put(' ');
    put_hex(value, false);
}

void line_hex_fixed(uint32_t value) {
    put(' ');
    put_hex(value, true);
}

void line_text(const char *text) {
    while (*text) put(*text++);
}

void line_word(const char *word) {
    put(' ');
    line_text(word);
}

void line_key(const char *key) {
    line_word(key);
    put('=');
}
