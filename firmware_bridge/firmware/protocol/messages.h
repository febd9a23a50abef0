// SPDX-License-Identifier: MIT
//
// The lines a board says, each from plain values. Units: microseconds, counts, counts per second.
//
// Arguments of more than eight bytes would travel in the registers of the interrupt (the compiler
// refuses), so longer ones come in a struct.
#ifndef WAYTELL_PROTOCOL_MESSAGES_H
#define WAYTELL_PROTOCOL_MESSAGES_H

#include <stdbool.h>
#include <stdint.h>

#define PROTOCOL_VERSION 1

struct hello {
    uint32_t boot;
    const char *model;
    uint8_t axes;
    uint16_t hz;
    const char *firmware;
    uint8_t tach_pulses;  // per revolution, 0 without a tach
    uint8_t switches;
    bool kept;
    uint32_t max_edges_per_s;
    const char *kinds;  // a letter per scale
};

struct position {
    uint16_t seq;
    uint32_t t_us;
    uint8_t flags;
    uint8_t axes;
    const int32_t *count;
};

struct mark {
    uint8_t axis;
    int32_t count;
    uint32_t t_us;
};

void say_hello(const struct hello *hello);
void say_position(const struct position *position);
void say_missed(uint8_t axis, uint32_t missed);
void say_mark(const struct mark *mark);
void say_spindle(uint32_t t_us, uint32_t period_us);
void say_switches(uint8_t closed, uint32_t t_us);

#endif
