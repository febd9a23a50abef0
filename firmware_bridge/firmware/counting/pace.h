// SPDX-License-Identifier: MIT
//
// When something that repeats is due. No division: a 32-bit one would hold the processor long
// enough to lose a received byte.
#ifndef WAYTELL_COUNTING_PACE_H
#define WAYTELL_COUNTING_PACE_H

#include <stdbool.h>
#include <stdint.h>

// A rate in events a second, kept exactly on average whether or not it divides a second.
struct pace {
    uint32_t saved_up;  // microseconds waited, times the rate
    uint32_t last_us;
    uint16_t hz;
};

// True when an event is due. Events that are overdue by a whole period are dropped, not bunched.
bool pace_due(struct pace *pace, uint32_t now_us);

// A coarse clock for what need not be exact: steps of 1024 us, which take no division and fit 16 bits.
typedef uint16_t coarse_time;
static inline coarse_time coarse(uint32_t now_us) {
    return (coarse_time)(now_us >> 10);
}

// Enough steps to be at least this long.
#define COARSE_MS(ms) ((coarse_time)((ms) * 1000UL / 1024 + 1))

// Something to say when it changed, not too often, and again every so often in any case.
struct topic {
    coarse_time said;
    coarse_time least;  // between two times
    coarse_time most;
    bool changed;
};

// True when it is to be said now; it then counts as said.
bool topic_due(struct topic *topic, coarse_time now);

#endif
