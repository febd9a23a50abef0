// SPDX-License-Identifier: MIT
//
// Characters on their way out. A ring of 256, so that its two places are bytes that wrap by
// themselves and no operation needs interrupts off.
//
//      taken            placed
//        v                v
//   . . .[c][c][c][c][c]. . .      room = 255 - (placed - taken)
//
#ifndef WAYTELL_PROTOCOL_OUTBOX_H
#define WAYTELL_PROTOCOL_OUTBOX_H

#include <stdbool.h>
#include <stdint.h>

struct outbox {
    uint8_t ring[256];
    uint8_t placed;
    uint8_t taken;
};

static inline uint8_t outbox_room(const struct outbox *outbox) {
    return (uint8_t)(255 - (uint8_t)(outbox->placed - outbox->taken));
}

static inline bool outbox_is_empty(const struct outbox *outbox) {
    return outbox->placed == outbox->taken;
}

// The writer looks at outbox_room before it begins a line.
static inline void outbox_place(struct outbox *outbox, uint8_t character) {
    outbox->ring[outbox->placed++] = character;
}

static inline uint8_t outbox_take(struct outbox *outbox) {
    return outbox->ring[outbox->taken++];
}

#endif
