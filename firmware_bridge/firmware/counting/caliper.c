// SPDX-License-Identifier: MIT
#include "counting/caliper.h"

#define SIZE_MASK 0x0FFFFFUL
#define SIGN_BIT (1UL << 20)
#define INCH_BIT (1UL << 23)

int32_t caliper_count(uint32_t burst) {
    int32_t unit = burst & INCH_BIT ? CALIPER_INCH_TENTHS_UM : CALIPER_MM_TENTHS_UM;
    int32_t size = (int32_t)(burst & SIZE_MASK) * unit;
    return burst & SIGN_BIT ? -size : size;
}

void caliper_start(struct caliper *caliper, uint32_t now_us) {
    caliper->count = 0;
    caliper->bits = 0;
    caliper->bit_count = 0;
    caliper->edge_us = now_us;
    caliper->heard_us = now_us;
    caliper->clock_was_high = false;
}

// Too many bits are as wrong as too few; counting on past the last one keeps them apart from a burst.
static void take_bit(struct caliper *caliper, bool data, uint32_t now_us) {
    // The lowest bit comes first and has moved all the way down once 24 are in. A shift by one is
    // cheap on an 8-bit processor; a shift by the bit's number is not.
    caliper->bits >>= 1;
    if (data) caliper->bits |= 1UL << (CALIPER_BITS - 1);
    if (caliper->bit_count <= CALIPER_BITS) caliper->bit_count++;
    caliper->edge_us = now_us;
}

static enum caliper_news end_burst(struct caliper *caliper, uint32_t now_us) {
    bool whole = caliper->bit_count == CALIPER_BITS;
    if (whole) {
        caliper->count = caliper_count(caliper->bits);
        caliper->heard_us = now_us;
    }
    caliper->bits = 0;
    caliper->bit_count = 0;
    return whole ? CALIPER_COUNT : CALIPER_MISSED;
}

void caliper_edge(struct caliper *caliper, const struct caliper_lines *lines) {
    bool fell = caliper->clock_was_high && !lines->clock;
    caliper->clock_was_high = lines->clock;
    if (fell) take_bit(caliper, lines->data, lines->now_us);
}

enum caliper_news caliper_rest(struct caliper *caliper, uint32_t now_us) {
    bool resting = now_us - caliper->edge_us >= CALIPER_GAP_US;
    if (caliper->bit_count > 0 && resting) return end_burst(caliper, now_us);
    if (now_us - caliper->heard_us < CALIPER_SILENT_US) return CALIPER_NOTHING;
    caliper->heard_us = now_us;
    return CALIPER_MISSED;
}
