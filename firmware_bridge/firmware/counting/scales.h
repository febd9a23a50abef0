// SPDX-License-Identifier: MIT
//
// The scales as the rest of the firmware sees them: 32-bit counts, missed edges, and the clock.
//
// The clock is the number of samples taken times their spacing, so a count and its time can never
// disagree. Counts and clock wrap; the host takes differences.
#ifndef WAYTELL_COUNTING_SCALES_H
#define WAYTELL_COUNTING_SCALES_H

#include "counting/quadrature.h"

// A caliper-type scale, if built in, is one scale more after the quadrature ones.
#ifndef CALIPER_SCALES
#define CALIPER_SCALES 0
#endif
#define SCALE_COUNT (QUAD_SCALES + CALIPER_SCALES)

// Spacing of the samples, and the derated rate that is promised per scale, edges/s: what survives
// 20 % of edge jitter with some to spare. Two scales take 37 of the 64 cycles in 4 us. Three take 57
// and get 96, so that as much is left for everything else.
#if QUAD_SCALES > 2
#define SAMPLE_US 6
#define PROMISED_EDGES_PER_S 80000
#else
#define SAMPLE_US 4
#define PROMISED_EDGES_PER_S 120000
#endif

// The speed check looks at a slice of about a millisecond.
#define SLICE_SAMPLES (1000 / SAMPLE_US)

// Longer gaps between latches could hide 256 missed transitions, because the interrupt counts them
// in a byte.
#define LATCH_MAX_SAMPLES 255

// One board has one set of scales. It is a plain variable, not handed round by pointer: the interrupt
// leaves the compiler so few registers that reaching it through a pointer costs three times as long.
//
// No padding on any machine: 32-bit members first. A test harness finds clock_us and count by their
// place here.
struct scales {
    uint32_t clock_us;
    int32_t count[SCALE_COUNT];
    uint32_t missed[SCALE_COUNT];
    struct quad_latch last;
    int16_t slice_moved[QUAD_SCALES];
    uint16_t slice_samples;
};

extern struct scales scales;

// Starts from given counts and lines, with the interrupt's sums at zero.
void scales_start(const int32_t count[SCALE_COUNT], uint8_t lines);

// Adds what happened since the last latch. To be called at least every LATCH_MAX_SAMPLES samples; a
// later call still counts right unless edges were missed as well, so it marks every scale as doubtful.
void scales_take(const struct quad_latch *latch);

// Bit i set where scale i has missed edges since the start.
uint8_t scales_flags(void);

#endif
