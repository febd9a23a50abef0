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

static void fill_nibble_pages(uint8_t pages[][256]) {
    uint8_t index = 0;
    do {
        uint8_t before = index >> 4;
        pages[0][index] = quad_entry(before & 3, index & 3);
        pages[1][index] = quad_entry(before >> 2, (index >> 2) & 3);
    } while (++index != 0);
}

void quad_fill_tables(uint8_t pages[][256]) {
    fill_nibble_pages(pages);
#if QUAD_SCALES > 2
    for (uint8_t index = 0; index < 64; index++) pages[2][index] = quad_entry(index & 3, index >> 4);
#endif
}

int16_t quad_moved(uint16_t sum, uint8_t missed, uint16_t samples) {
    return (int16_t)(sum - samples - (uint16_t)(missed * QUAD_ENTRY_MISSED));
}
