// SPDX-License-Identifier: MIT
//
// What happens on the pins over time: slides that move, a spindle that turns, pulses of noise.
// Each keeps its own place in time, so rates are exact on average and moves overlap freely.
#ifndef PEER_WAVES_H
#define PEER_WAVES_H

#include <stdbool.h>
#include <stdint.h>

#define AXES 3

struct move {
    long edges;      // signed: positive counts up
    double rate;     // edges a second at the start
    double end_rate; // and at the end; the speed changes evenly over the edges
    double jitter;   // each edge lies within this part of the spacing, either way, of its even place
};

// Where the slide really is, in counts.
extern int64_t true_position[AXES];

void waves_seed(uint64_t seed);
void waves_move(int axis, const struct move *move);
bool waves_moving(void);

// Both lines of a scale at once: a transition no slide can make.
void waves_jump(int axis);

// A spindle pulse is a fall of the tach line, low for low_us. period_us 0 stops it.
void waves_spindle(double period_us, double low_us);

// `count` pulses of the opposite level on a pin, `every_us` apart.
void waves_pulses(char port, int pin, long count, double width_us, double every_us);

// A burst of a caliper-type scale, lowest bit first, lines turned over by a one-transistor shifter.
void waves_burst(uint32_t bits, int bit_count, double half_clock_us);

// A reset of the chip forgets every timer; this sets them again.
void waves_rearm(void);

#endif
