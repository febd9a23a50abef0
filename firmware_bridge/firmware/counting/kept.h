// SPDX-License-Identifier: MIT
//
// Counts kept in RAM across a reset that is not a power loss.
//
// Opening a serial port restarts such boards, and a person who only opened a program must not lose
// the work. The record lies in memory that the start-up code does not clear; after a power loss it
// holds noise, which the CRC tells from a record. Two slots are written in turn, so a reset in the
// middle of writing one leaves the other.
#ifndef WAYTELL_COUNTING_KEPT_H
#define WAYTELL_COUNTING_KEPT_H

#include "counting/scales.h"

struct kept_record {
    int32_t count[SCALE_COUNT];
    uint16_t turn;  // grows with each record: the later of two good slots wins
    uint8_t shape;  // number of scales, so that a board flashed for another set starts afresh
    uint8_t lines;  // as these counts were latched: a step across the reset is counted, a jump is missed
    uint16_t crc;
};

struct kept {
    struct kept_record slot[2];
};

// The record being written. A whole CRC at once would hold the processor while bytes arrive, so each
// step adds one byte to it.
struct kept_writer {
    struct kept_record *record;  // NULL between records
    uint16_t crc;
    uint16_t turn;
    uint8_t done;
    uint8_t slot;
};

// Aims the writer at the slot that does not hold the latest good record. Two resets in a row must not
// find both slots half written.
void kept_start(const struct kept *kept, struct kept_writer *writer);

// Begins a record from these values, or carries on with the one begun. To be called all the time.
void kept_step(struct kept *kept, struct kept_writer *writer, const int32_t count[SCALE_COUNT], uint8_t lines);

// The latest good record, or NULL.
const struct kept_record *kept_latest(const struct kept *kept);

// After a power loss even a good-looking record must not be used.
void kept_forget(struct kept *kept);

#endif
