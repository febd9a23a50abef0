// SPDX-License-Identifier: MIT
//
// Quadrature: how two square waves, a quarter of a period apart, become counts.
//
// This file owns the rule and knows no register. The interrupt that applies the rule 200 000 times
// a second is assembler (port/avr/quad_isr.S); it looks the rule up in tables that quad_fill_tables
// writes from quad_step, so the C below stays the only statement of what counts.
//
// A pair of lines is two bits: bit 0 is A, bit 1 is B. A leading B counts up.
#ifndef WAYTELL_COUNTING_QUADRATURE_H
#define WAYTELL_COUNTING_QUADRATURE_H

#include <stdbool.h>
#include <stdint.h>

// How many quadrature scales are read. Two share one nibble of the port; the third is a build option.
#ifndef QUAD_SCALES
#define QUAD_SCALES 2
#endif

// Both lines changed between two samples: one edge at least was not seen, in a direction nobody knows.
#define QUAD_MISSED 2

// A table entry is the step plus one (0, 1 or 2, so that no sign needs extending), with this bit
// set where the transition is illegal. The interrupt tests the bit and then adds the whole entry.
#define QUAD_ENTRY_MISSED 0x80

// What the interrupt keeps. All of it only ever grows and wraps, so the reader takes differences
// and nothing has to be cleared with interrupts off.
struct quad_latch {
    uint16_t sum[QUAD_SCALES];    // of the table entries added so far
    uint16_t samples;             // how many samples were added
    uint8_t missed[QUAD_SCALES];  // illegal transitions
    uint8_t lines;                // the port as it was at the last sample
};

// -1, 0 or 1, or QUAD_MISSED.
int8_t quad_step(uint8_t before, uint8_t now);

// The table byte for one transition of one scale.
uint8_t quad_entry(uint8_t before, uint8_t now);

// Fills the pages the interrupt reads. Pages 0 and 1 serve the scales on bits 0-1 and 2-3; their
// index is (nibble before << 4) | nibble now. Page 2, only with a third scale on bits 4-5, uses
// (pair now << 4) | pair before, because that is what one swap of the port byte leaves in place; it
// ends where its index does.
#define QUAD_PAGE 256
#define QUAD_TABLE_BYTES (2 * QUAD_PAGE + (QUAD_SCALES > 2 ? 64 : 0))
void quad_fill_tables(uint8_t tables[QUAD_TABLE_BYTES]);

// Counts moved between two latches of one scale, from the change of its sum, of its missed count
// and of the samples. Right while fewer than 256 transitions were missed and the move fits 16 bits.
static inline int16_t quad_moved(uint16_t sum, uint8_t missed, uint16_t samples) {
    uint16_t moved = sum - samples;
    // QUAD_ENTRY_MISSED times missed, as two moves and a shift by one on an 8-bit processor.
    if (missed != 0) moved -= (uint16_t)((uint16_t)missed << 8) >> 1;
    return (int16_t)moved;
}

#endif
