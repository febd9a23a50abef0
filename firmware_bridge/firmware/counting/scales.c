// SPDX-License-Identifier: MIT
#include "counting/scales.h"

#include <stdlib.h>
#include <string.h>

void scales_start(struct scales *scales, const int32_t count[SCALE_COUNT], const struct quad_latch *latch) {
    memset(scales, 0, sizeof *scales);
    memcpy(scales->count, count, sizeof scales->count);
    scales->last = *latch;
}

static void take_one(struct scales *scales, uint8_t i, const struct quad_latch *latch, uint16_t samples) {
    uint8_t missed = (uint8_t)(latch->missed[i] - scales->last.missed[i]);
    int16_t moved = quad_moved(latch->sum[i] - scales->last.sum[i], missed, samples);
    // Unsigned, because counts are meant to wrap and signed overflow is not defined.
    scales->count[i] = (int32_t)((uint32_t)scales->count[i] + (uint32_t)(int32_t)moved);
    scales->slice_moved[i] = (int16_t)(scales->slice_moved[i] + moved);
    scales->missed[i] += missed;
    if (samples > LATCH_MAX_SAMPLES) scales->missed[i]++;
}

// A slide that passes three edges per sample looks, without any illegal transition, like one edge
// the other way. No such alias can hide here: whatever comes within a sixteenth of one count per
// sample, in either direction, is beyond what can be told apart and counts as missed.
static void judge_slice(struct scales *scales) {
    for (uint8_t i = 0; i < QUAD_SCALES; i++) {
        uint16_t moved = (uint16_t)abs(scales->slice_moved[i]);
        if (moved > scales->slice_samples - scales->slice_samples / 16) scales->missed[i]++;
        scales->slice_moved[i] = 0;
    }
    scales->slice_samples = 0;
}

void scales_take(struct scales *scales, const struct quad_latch *latch) {
    uint16_t samples = latch->samples - scales->last.samples;
    for (uint8_t i = 0; i < QUAD_SCALES; i++) take_one(scales, i, latch, samples);
    scales->clock_us += (uint32_t)samples * SAMPLE_US;
    scales->slice_samples += samples;
    scales->last = *latch;
    if (scales->slice_samples >= SLICE_SAMPLES) judge_slice(scales);
}

uint8_t scales_flags(const struct scales *scales) {
    uint8_t flags = 0;
    for (uint8_t i = 0; i < SCALE_COUNT; i++)
        if (scales->missed[i] != 0) flags |= (uint8_t)(1 << i);
    return flags;
}
