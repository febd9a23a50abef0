// SPDX-License-Identifier: MIT
//
// Spindle pulses: which edges are pulses, and the period between the last two.
//
// The hardware catches the time of a falling edge; this file decides what to believe. A pulse counts
// once its line has stayed low for TACH_SETTLE_US, after having stayed high as long. Sparks from the
// motor switch are shorter, and a bouncing edge is one pulse with the time of its first lasting fall.
#ifndef WAYTELL_COUNTING_TACH_H
#define WAYTELL_COUNTING_TACH_H

#include <stdbool.h>
#include <stdint.h>

#define TACH_SETTLE_US 50
#define TACH_STOPPED_US 2000000UL

enum tach_state { TACH_HIGH, TACH_FALLING, TACH_LOW, TACH_RISING };

struct tach {
    enum tach_state state;
    uint32_t edge_us;    // when the line last began to change
    uint32_t pulse_us;   // time of the last pulse believed
    uint32_t period_us;  // between the last two, 0 when stopped
    uint16_t glitches;
    bool turning;  // a pulse came within TACH_STOPPED_US
};

// What the port saw since the last step: whether an edge was caught and when, and the line now.
struct tach_sample {
    uint32_t now_us;
    uint32_t caught_us;
    bool caught;
    bool low;
};

// True while a step without a caught edge would change nothing.
static inline bool tach_is_calm(const struct tach *tach, bool low) {
    return tach->state == TACH_HIGH || (tach->state == TACH_LOW && low);
}

// True when no pulse came for TACH_STOPPED_US, once for each stop.
bool tach_has_stopped(struct tach *tach, uint32_t now_us);

// True when there is a new period to say.
bool tach_step(struct tach *tach, const struct tach_sample *sample);

#endif
