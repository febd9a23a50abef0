// SPDX-License-Identifier: MIT
#include "counting/scales.h"

#include <stdlib.h>
#include <string.h>

struct scales scales;

void scales_start(const int32_t count[SCALE_COUNT], uint8_t lines) {
    memset(&scales, 0, sizeof scales);
    memcpy(scales.count, count, sizeof scales.count);
    scales.last.lines = lines;
}

// Inlined with a constant scale, so that every address is known when it is compiled.
#define INLINED static inline __attribute__((always_inline))
INLINED void take_one(uint8_t i, uint16_t sum, uint8_t missed_now, uint16_t samples) {
    uint8_t missed = (uint8_t)(missed_now - scales.last.missed[i]);
    int16_t moved = quad_moved(sum - scales.last.sum[i], missed, samples);
    scales.last.sum[i] = sum;
    if (missed != 0) {
        scales.last.missed[i] = missed_now;
        scales.missed[i] += missed;
    }
    if (moved == 0) return;
    // Unsigned, because counts are meant to wrap and signed overflow is not defined.
    scales.count[i] = (int32_t)((uint32_t)scales.count[i] + (uint32_t)(int32_t)moved);
    scales.slice_moved[i] = (int16_t)(scales.slice_moved[i] + moved);
}

static void doubt_all(void) {
    for (uint8_t i = 0; i < QUAD_SCALES; i++) scales.missed[i]++;
}

// A slide that passes three edges per sample looks, without any illegal transition, like one edge
// the other way. No such alias can hide here: whatever comes within a sixteenth of one count per
// sample, in either direction, is beyond what can be told apart and counts as missed.
static void judge_slice(void) {
    uint16_t most = scales.slice_samples - (scales.slice_samples >> 4);
    for (uint8_t i = 0; i < QUAD_SCALES; i++) {
        if ((uint16_t)abs(scales.slice_moved[i]) > most) scales.missed[i]++;
        scales.slice_moved[i] = 0;
    }
    scales.slice_samples = 0;
}

void scales_take(const struct quad_latch *latch) {
    uint16_t samples = latch->samples - scales.last.samples;
    scales.last.samples = latch->samples;
    scales.last.lines = latch->lines;
    take_one(0, latch->sum[0], latch->missed[0], samples);
    take_one(1, latch->sum[1], latch->missed[1], samples);
#if QUAD_SCALES > 2
    take_one(2, latch->sum[2], latch->missed[2], samples);
#endif
    if (samples > LATCH_MAX_SAMPLES) doubt_all();
    scales.clock_us += (uint16_t)(samples * SAMPLE_US);
    scales.slice_samples += samples;
    if (scales.slice_samples >= SLICE_SAMPLES) judge_slice();
}

uint8_t scales_flags(void) {
    uint8_t flags = 0;
    for (uint8_t i = 0; i < SCALE_COUNT; i++)
        if (scales.missed[i] != 0) flags |= (uint8_t)(1 << i);
    return flags;
}
