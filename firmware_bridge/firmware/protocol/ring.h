// SPDX-License-Identifier: MIT
//
// Characters on their way out: two of the longest lines and some. A ring of 256, so that its two places
// are bytes that wrap by themselves; one character is left free, so full and empty never look alike.
//
//      taken            placed
//        v                v
//   . . .[c][c][c][c][c]. . .      room = 255 - (placed - taken)
//
#ifndef WAYTELL_PROTOCOL_RING_H
#define WAYTELL_PROTOCOL_RING_H

#include <stdbool.h>
#include <stdint.h>

#define RING_SIZE 255

struct ring {
    uint8_t at[256];
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
    ring->at[ring->placed++] = character;
}

static inline uint8_t ring_take(struct ring *ring) {
    return ring->at[ring->taken++];
}

#endif
