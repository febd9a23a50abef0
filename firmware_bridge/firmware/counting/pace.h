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

// Something to say when it changed, not too often, and again every so often in any case.
struct topic {
    uint32_t said_us;
    uint16_t least_ms;  // between two times
    uint16_t most_ms;
    bool changed;
};

// True when it is to be said now; it then counts as said.
bool topic_due(struct topic *topic, uint32_t now_us);

#endif
