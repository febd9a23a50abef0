// SPDX-License-Identifier: MIT
#include "counting/quadrature.h"

// The place of a pair of lines in the cycle 00, 01, 11, 10 that A leading B runs through.
static uint8_t place_in_cycle(uint8_t pair) {
    uint8_t a = pair & 1;
    uint8_t b = (pair >> 1) & 1;
    return (uint8_t)((b << 1) | (a ^ b));
}

int8_t quad_step(uint8_t before, uint8_t now) {
    uint8_t quarter_turns = (place_in_cycle(now) - place_in_cycle(before)) & 3;
    if (quarter_turns == 2) return QUAD_MISSED;
    return quarter_turns == 3 ? -1 : (int8_t)quarter_turns;
}

uint8_t quad_entry(uint8_t before, uint8_t now) {
    int8_t step = quad_step(before, now);
    if (step == QUAD_MISSED) return QUAD_ENTRY_MISSED | 1;
    return (uint8_t)(step + 1);
}

void quad_fill_tables(uint8_t tables[QUAD_TABLE_BYTES]) {
    uint8_t index = 0;
    do {
        uint8_t before = index >> 4;
        tables[index] = quad_entry(before & 3, index & 3);
        tables[QUAD_PAGE + index] = quad_entry(before >> 2, (index >> 2) & 3);
    } while (++index != 0);
#if QUAD_SCALES > 2
    for (index = 0; index < 64; index++) tables[2 * QUAD_PAGE + index] = quad_entry(index & 3, index >> 4);
#endif
}
