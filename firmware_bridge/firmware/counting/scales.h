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

// Spacing of the samples. 16 MHz / 80 cycles.
#define SAMPLE_US 5

// The derated rate that is promised per scale, edges/s: what survives 20 % of edge jitter.
#define PROMISED_EDGES_PER_S 120000

// The speed check looks at a slice of about a millisecond.
#define SLICE_SAMPLES 200

// Longer gaps between latches could hide 256 missed transitions, because the interrupt counts them
// in a byte.
#define LATCH_MAX_SAMPLES 255

// No padding on any machine: 32-bit members first. A test harness finds clock_us and count by
// their place here.
struct scales {
    uint32_t clock_us;
    int32_t count[SCALE_COUNT];
    uint32_t missed[SCALE_COUNT];
    struct quad_latch last;
    int16_t slice_moved[QUAD_SCALES];
    uint16_t slice_samples;
};

// Starts from given counts; the latch is what the interrupt shows at that moment.
void scales_start(struct scales *scales, const int32_t count[SCALE_COUNT], const struct quad_latch *latch);

// Adds what happened since the last latch. To be called at least every LATCH_MAX_SAMPLES samples; a
// later call still counts right unless edges were missed as well, so it marks every scale as doubtful.
void scales_take(struct scales *scales, const struct quad_latch *latch);

// Bit i set where scale i has missed edges since the start.
uint8_t scales_flags(const struct scales *scales);

#endif
