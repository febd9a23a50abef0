// SPDX-License-Identifier: MIT
//
// The start counter, from which each start gets a name of its own.
//
// It lies in EEPROM in a ring of slots with a CRC each: a cell stands 100 000 writes (datasheet,
// "Features"), the ring eight times that, and a power cut while one slot is written leaves
// the one before. A seed drawn once in the life of a board keeps two boards with the same number of
// starts from sharing a name.
#ifndef WAYTELL_COUNTING_STARTS_H
#define WAYTELL_COUNTING_STARTS_H

#include <stdint.h>

#define START_SLOTS 8

struct start_slot {
    uint32_t starts;
    uint16_t seed;
    uint16_t crc;
};

// The slot to write for this start. Its place is starts % START_SLOTS. `noise` seeds a board whose
// EEPROM holds no good slot.
struct start_slot starts_next(const struct start_slot slots[START_SLOTS], uint16_t noise);

// Eight hex digits on the wire. One to one with the start counter of a board: no two starts of it
// can share an id before 2^32 of them.
uint32_t starts_boot_id(const struct start_slot *slot);

#endif
