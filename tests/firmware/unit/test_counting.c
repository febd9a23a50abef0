// SPDX-License-Identifier: MIT
//
// Quadrature and scales.
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "counting/scales.h"

static const uint8_t cycle[4] = {0, 1, 3, 2};  // A leads B

void one_turn_of_the_cycle_is_four_counts_either_way(void) {
    for (int i = 0; i < 4; i++) {
        CHECK_SAME(quad_step(cycle[i], cycle[(i + 1) % 4]), 1);
        CHECK_SAME(quad_step(cycle[(i + 1) % 4], cycle[i]), -1);
        CHECK_SAME(quad_step(cycle[i], cycle[i]), 0);
    }
}

void a_change_of_both_lines_is_missed_whatever_the_state(void) {
    for (uint8_t pair = 0; pair < 4; pair++) CHECK_SAME(quad_step(pair, pair ^ 3), QUAD_MISSED);
}

void tables_say_what_the_rule_says(void) {
    uint8_t tables[QUAD_TABLE_BYTES];
    quad_fill_tables(tables);
    for (int index = 0; index < 256; index++) {
        for (int scale = 0; scale < 2; scale++) {
            uint8_t from = (uint8_t)(index >> (4 + 2 * scale) & 3), to = (uint8_t)(index >> (2 * scale) & 3);
            int8_t step = quad_step(from, to);
            uint8_t wanted = step == QUAD_MISSED ? 0x81 : (uint8_t)(step + 1);
            CHECK_SAME(tables[scale * QUAD_PAGE + index], wanted);
        }
    }
}

// The interrupt in C: what it would show after one more sample.
static void sample(struct quad_latch *latch, const uint8_t from[2], const uint8_t to[2]) {
    latch->samples++;
    for (int i = 0; i < 2; i++) {
        uint8_t entry = quad_entry(from[i], to[i]);
        latch->sum[i] = (uint16_t)(latch->sum[i] + entry);
        if (entry & QUAD_ENTRY_MISSED) latch->missed[i]++;
    }
}

static void start(struct quad_latch *latch, int32_t x, int32_t z) {
    int32_t count[SCALE_COUNT] = {x, z};
    memset(latch, 0, sizeof *latch);
    scales_start(count, 0);
}

void counts_come_out_of_sums_however_often_they_are_taken(void) {
    struct quad_latch latch;
    int32_t truth[2] = {0, 0};
    uint32_t missed[2] = {0, 0};
    uint8_t pair[2] = {0, 0};
    start(&latch, 0, 0);
    srandom(7);
    for (long i = 0; i < 500000; i++) {
        uint8_t next[2];
        for (int scale = 0; scale < 2; scale++) {
            next[scale] = random() % 50 ? pair[scale] : (uint8_t)(random() & 3);
            int8_t step = quad_step(pair[scale], next[scale]);
            if (step == QUAD_MISSED)
                missed[scale]++;
            else
                truth[scale] += step;
        }
        sample(&latch, pair, next);
        memcpy(pair, next, sizeof pair);
        if (random() % 80 == 0) scales_take(&latch);
    }
    scales_take(&latch);
    for (int scale = 0; scale < 2; scale++) {
        CHECK_SAME(scales.count[scale], truth[scale]);
        CHECK(scales.missed[scale] >= missed[scale]);
        CHECK(missed[scale] > 0);
    }
    CHECK_SAME(scales.clock_us, 500000 * SAMPLE_US);
    CHECK_SAME(scales_flags(), 3);
}

static void run_steady(struct quad_latch *latch, int direction, long samples, int samples_per_edge) {
    static unsigned place;
    for (long i = 1; i <= samples; i++) {
        uint8_t from[2] = {cycle[place % 4], 0}, to[2];
        if (i % samples_per_edge == 0) place += (unsigned)direction;
        to[0] = cycle[place % 4];
        to[1] = 0;
        sample(latch, from, to);
        if (i % 100 == 0) scales_take(latch);
    }
    scales_take(latch);
}

void counts_and_clock_wrap(void) {
    struct quad_latch latch;
    start(&latch, INT32_MAX - 2, INT32_MIN);
    scales.clock_us = UINT32_MAX - 10;
    run_steady(&latch, 1, 20, 4);
    CHECK_SAME(scales.count[0], INT32_MIN + 2);
    CHECK_SAME(scales.clock_us, (uint32_t)(UINT32_MAX - 10 + 20 * SAMPLE_US));
    run_steady(&latch, -1, 40, 4);
    CHECK_SAME(scales.count[0], INT32_MAX - 7);
    CHECK_SAME(scales_flags(), 0);
}

void a_take_that_is_too_late_doubts_every_scale(void) {
    struct quad_latch latch;
    start(&latch, 0, 0);
    latch.samples = LATCH_MAX_SAMPLES;
    latch.sum[0] = latch.sum[1] = LATCH_MAX_SAMPLES;
    scales_take(&latch);
    CHECK_SAME(scales_flags(), 0);
    latch.samples += LATCH_MAX_SAMPLES + 1;
    latch.sum[0] += LATCH_MAX_SAMPLES + 1;
    latch.sum[1] += LATCH_MAX_SAMPLES + 1;
    scales_take(&latch);
    CHECK_SAME(scales_flags(), 3);
    CHECK_SAME(scales.count[0], 0);
}

// One count back with every sample, no illegal transition: what three edges forward look like.
void an_alias_at_three_edges_a_sample_is_flagged(void) {
    struct quad_latch latch;
    start(&latch, 0, 0);
    run_steady(&latch, -1, 2 * SLICE_SAMPLES, 1);
    CHECK(scales.missed[0] > 0);
    CHECK_SAME(scales.missed[1], 0);
}

void a_fast_but_readable_slide_is_not_flagged(void) {
    struct quad_latch latch;
    start(&latch, 0, 0);
    run_steady(&latch, 1, 100 * SLICE_SAMPLES, 2);
    CHECK_SAME(scales.count[0], 50 * SLICE_SAMPLES);
    CHECK_SAME(scales_flags(), 0);
}
