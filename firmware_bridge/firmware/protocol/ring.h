// SPDX-License-Identifier: MIT
//
// Characters on their way out or in: a little more than one line of them. The two places run on
// through all 256 values of a byte, so full and empty never look alike.
//
//      taken            placed
//        v                v
//   . . .[c][c][c][c][c]. . .      room = RING_SIZE - (placed - taken)
//
#ifndef WAYTELL_PROTOCOL_RING_H
#define WAYTELL_PROTOCOL_RING_H

#include <stdbool.h>
#include <stdint.h>

// A power of two.
#define RING_SIZE 128

struct ring {
    uint8_t at[RING_SIZE];
    uint8_t placed;
    uint8_t taken;
};

static inline uint8_t ring_room(const struct ring *ring) {
    return (uint8_t)(RING_SIZE - (uint8_t)(ring->placed - ring->taken));
}

static inline bool ring_is_empty(const struct ring *ring) {
    return ring->placed == ring->taken;
}

// The writer looks at ring_room first.
static inline void ring_place(struct ring *ring, uint8_t character) {
    ring->at[ring->placed++ % RING_SIZE] = character;
}

static inline uint8_t ring_take(struct ring *ring) {
    return ring->at[ring->taken++ % RING_SIZE];
}

#endif
