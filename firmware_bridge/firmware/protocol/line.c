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

// Digits come from subtracting powers of ten: half the cost of the library's division by ten on an
// 8-bit processor, and clear of library code that uses the registers of the interrupt. The last four
// digits fit 16 bits, which halves their cost again.
static bool put_digit(char digit, bool started) {
    started = started || digit != '0';
    if (started) put(digit);
    return started;
}

static void put_last_four(uint16_t value, bool started) {
    static const uint16_t powers[] = {1000, 100, 10};
    for (uint8_t i = 0; i < sizeof powers / sizeof powers[0]; i++) {
        char digit = '0';
        for (; value >= powers[i]; digit++) value -= powers[i];
        started = put_digit(digit, started);
    }
    put((char)('0' + (uint8_t)value));
}

// A function of its own, so that the compiler keeps both numbers in registers while it subtracts.
static uint32_t remaining;
static __attribute__((noinline)) char take_digit(uint32_t power) {
    uint32_t rest = remaining;
    char digit = '0';
    for (; rest >= power; digit++) rest -= power;
    remaining = rest;
    return digit;
}

void line_digits(uint32_t value) {
    static const uint32_t powers[] = {1000000000, 100000000, 10000000, 1000000, 100000, 10000};
    bool started = false;
    remaining = value;
    if (value >= 10000)
        for (uint8_t i = value < powers[3] ? 4 : 0; i < sizeof powers / sizeof powers[0]; i++)
            started = put_digit(take_digit(powers[i]), started);
    put_last_four((uint16_t)remaining, started);
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

// A byte at a time: shifting 32 bits costs an 8-bit processor more than the rest of this file.
static bool put_hex_byte(uint8_t byte, bool started) {
    started = started || byte >= 0x10;
    if (started) put(hex_digit(byte >> 4));
    started = started || byte != 0;
    if (started) put(hex_digit(byte & 15));
    return started;
}

void line_hex(uint8_t value) {
    put(' ');
    if (!put_hex_byte(value, false)) put('0');
}

void line_hex_fixed(uint32_t value) {
    put(' ');
    put_hex_byte((uint8_t)(value >> 24), true);
    put_hex_byte((uint8_t)(value >> 16), true);
    put_hex_byte((uint8_t)(value >> 8), true);
    put_hex_byte((uint8_t)value, true);
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
