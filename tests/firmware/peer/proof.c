// SPDX-License-Identifier: MIT
//
// At each entry of the interrupt the lines are set to the next state; at its return its registers
// must hold what the C rule gives for that state after the one before.
#include "proof.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chip.h"
#include "counting/quadrature.h"

#define MOST_SCALES 3

static struct {
    uint8_t *states;
    long length, at;
    int scales;
    uint8_t before;
    uint16_t sum[MOST_SCALES];
    uint8_t missed[MOST_SCALES];
    uint16_t samples;
    long differences;
    bool running;
} proof;

// A de Bruijn cycle: every string of `order` symbols appears exactly once. Built by prefer-largest:
// the next symbol is the largest that makes a string not yet seen.
static long write_cycle(uint8_t *out, unsigned symbols, int order) {
    unsigned strings = 1;
    for (int i = 0; i < order; i++) strings *= symbols;
    uint8_t *seen = calloc(strings, 1);
    unsigned recent = 0;
    long length = 0;
    for (;;) {
        int symbol = (int)symbols - 1;
        unsigned string = 0;
        for (; symbol >= 0; symbol--) {
            string = (recent * symbols + (unsigned)symbol) % strings;
            if (!seen[string]) break;
        }
        if (symbol < 0) break;
        seen[string] = 1;
        out[length++] = (uint8_t)symbol;
        recent = string;
    }
    free(seen);
    return length;
}

static const uint8_t *chip_registers(void) {
    return chip.avr->data;
}

static uint16_t chip_sum(int scale) {
    const uint8_t *r = chip_registers();
    if (scale == 2) return (uint16_t)(r[0x3E] | r[0x4A] << 8);  // GPIOR0, GPIOR1
    return (uint16_t)(r[4 + 2 * scale] | r[5 + 2 * scale] << 8);
}

static uint8_t chip_missed(int scale) {
    const uint8_t *r = chip_registers();
    return scale == 0 ? r[11] : scale == 1 ? r[16] : r[0x4B];  // GPIOR2
}

static uint16_t chip_samples(void) {
    const uint8_t *r = chip_registers();
    return (uint16_t)(r[14] | r[15] << 8);
}

static void start_from_chip(void) {
    for (int i = 0; i < proof.scales; i++) {
        proof.sum[i] = chip_sum(i);
        proof.missed[i] = chip_missed(i);
    }
    proof.samples = chip_samples();
    proof.before = chip.level[1];
    proof.running = true;
}

static void set_next_state(void) {
    if (!proof.running) start_from_chip();
    if (proof.at < proof.length) chip_drive_byte('C', proof.states[proof.at], (uint8_t)((1 << 2 * proof.scales) - 1));
}

static void compare(void) {
    if (!proof.running || proof.at >= proof.length) return;
    uint8_t now = proof.states[proof.at++];
    bool same = ++proof.samples == chip_samples();
    for (int i = 0; i < proof.scales; i++) {
        uint8_t from = proof.before >> (2 * i) & 3, to = now >> (2 * i) & 3;
        uint8_t entry = quad_entry(from, to);
        proof.sum[i] = (uint16_t)(proof.sum[i] + entry);
        if (quad_step(from, to) == QUAD_MISSED) proof.missed[i]++;
        same = same && proof.sum[i] == chip_sum(i) && proof.missed[i] == chip_missed(i);
    }
    if (!same) proof.differences++;
    proof.before = now;
}

void proof_begin(int scales, long random_states) {
    unsigned symbols = 1u << (2 * scales);
    int order = scales == 2 ? 4 : 2;
    long cycle = scales == 2 ? 65536 : 4096;
    memset(&proof, 0, sizeof proof);
    proof.scales = scales;
    proof.states = malloc((size_t)(cycle + order + random_states));
    proof.length = write_cycle(proof.states, symbols, order);
    // The cycle closes on itself: its first states again complete the last strings.
    for (int i = 0; i < order - 1; i++) proof.states[proof.length + i] = proof.states[i];
    proof.length += order - 1;
    srandom(20);
    for (long i = 0; i < random_states; i++) proof.states[proof.length++] = (uint8_t)(random() % symbols);
    chip.on_sample_entry = set_next_state;
    chip.on_sample_exit = compare;
}

bool proof_is_done(void) {
    return proof.at >= proof.length;
}

void proof_print(void) {
    chip.on_sample_entry = chip.on_sample_exit = NULL;
    printf("proof %ld %ld\n", proof.at, proof.differences);
    free(proof.states);
    proof.states = NULL;
}
