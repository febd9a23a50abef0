// SPDX-License-Identifier: MIT
//
// The cheap caliper-type scale: a clock and a data line, one burst of 24 bits several times a second.
//
// Common practice, no source, and no such scale was measured here: data is read at the falling edge
// of the clock, lowest bit first; bits 0-19 are the size, bit 20 the sign, bit 23 says that the
// scale shows inches. The size is in hundredths of a millimetre, or in half thousandths of an inch.
// Both are whole numbers of tenths of a micrometre (100 and 127), so that is what is counted, and
// pressing the scale's unit key cannot change what a count means.
#ifndef WAYTELL_COUNTING_CALIPER_H
#define WAYTELL_COUNTING_CALIPER_H

#include <stdbool.h>
#include <stdint.h>

#define CALIPER_BITS 24
#define CALIPER_MM_TENTHS_UM 100
#define CALIPER_INCH_TENTHS_UM 127

// A clock that rests this long has ended its burst.
#define CALIPER_GAP_US 2000UL

// A scale that says nothing for this long is counted as missing edges: a number that has silently
// stopped must not look like a slide that stands still.
#define CALIPER_SILENT_US 1000000UL

struct caliper {
    int32_t count;
    uint32_t bits;
    uint32_t edge_us;   // last falling edge of the clock
    uint32_t heard_us;  // last good burst, or last complaint
    uint8_t bit_count;
    bool clock_was_high;
};

enum caliper_news { CALIPER_NOTHING, CALIPER_COUNT, CALIPER_MISSED };

void caliper_start(struct caliper *caliper, uint32_t now_us);

// The lines, upright: true is high at the scale.
struct caliper_lines {
    uint32_t now_us;
    bool clock;
    bool data;
};

// To be called when the clock line changed.
void caliper_edge(struct caliper *caliper, const struct caliper_lines *lines);

// To be called every millisecond or so, between edges. With CALIPER_COUNT, caliper->count is the new
// reading.
enum caliper_news caliper_rest(struct caliper *caliper, uint32_t now_us);

// A whole burst as a count, in tenths of a micrometre.
int32_t caliper_count(uint32_t burst);

#endif
