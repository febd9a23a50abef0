// SPDX-License-Identifier: MIT
#include "waves.h"

#include <math.h>
#include <stdlib.h>

#include "chip.h"

#define TACH_PIN 0
#define CALIPER_CLOCK_PIN 1
#define CALIPER_DATA_PIN 2
#define PULSERS 8

struct slide {
    struct move move;
    long done;
    double even_place;  // cycle of the next edge without jitter
    double placed;      // with it
};

struct pulser {
    char port;
    int pin;
    long halves_left;
    double width, gap;  // cycles
    double next;
};

static struct slide slides[AXES];
static struct pulser pulsers[PULSERS];
static struct { double period, low, next; bool is_low; } spindle;
static struct { uint32_t bits; int halves_left; double half, next; } burst;

int64_t true_position[AXES];
static uint64_t random_state = 1;

void waves_seed(uint64_t seed) {
    random_state = seed * 2 + 1;
}

// Even over -1 to 1. A multiplicative generator with a 64-bit odd factor of our own.
static double even_random(void) {
    random_state = random_state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(random_state >> 11) / (double)(1ULL << 52) - 1.0;
}

static void show_position(int axis) {
    static const uint8_t cycle[4] = {0, 1, 3, 2};
    uint8_t pair = cycle[true_position[axis] & 3];
    chip_drive_byte('C', (uint8_t)(pair << (2 * axis)), (uint8_t)(3 << (2 * axis)));
}

static double spacing(const struct slide *slide) {
    double part = (double)slide->done / (double)labs(slide->move.edges);
    return CHIP_HZ / (slide->move.rate + (slide->move.end_rate - slide->move.rate) * part);
}

static void place_next_edge(struct slide *slide) {
    double even = spacing(slide);
    slide->even_place += even;
    slide->placed = slide->even_place + slide->move.jitter * even * even_random();
}

static avr_cycle_count_t no_sooner(double cycle, avr_cycle_count_t now) {
    avr_cycle_count_t at = (avr_cycle_count_t)llround(cycle);
    return at > now ? at : now + 1;
}

static avr_cycle_count_t edge_is_due(avr_t *avr, avr_cycle_count_t when, void *which) {
    (void)avr;
    struct slide *slide = which;
    int axis = (int)(slide - slides);
    true_position[axis] += slide->move.edges > 0 ? 1 : -1;
    show_position(axis);
    if (++slide->done == labs(slide->move.edges)) {
        slide->move.edges = 0;
        return 0;
    }
    place_next_edge(slide);
    return no_sooner(slide->placed, when);
}

static void arm(avr_cycle_timer_t timer, double at, void *which) {
    avr_cycle_count_t now = chip.avr->cycle;
    avr_cycle_timer_register(chip.avr, no_sooner(at, now) - now, timer, which);
}

void waves_move(int axis, const struct move *move) {
    struct slide *slide = &slides[axis];
    if (move->edges == 0) return;
    *slide = (struct slide){.move = *move, .even_place = (double)chip.avr->cycle};
    place_next_edge(slide);
    arm(edge_is_due, slide->placed, slide);
}

bool waves_moving(void) {
    for (int axis = 0; axis < AXES; axis++)
        if (slides[axis].move.edges) return true;
    for (int i = 0; i < PULSERS; i++)
        if (pulsers[i].halves_left) return true;
    return burst.halves_left != 0;
}

void waves_jump(int axis) {
    true_position[axis] += 2;
    show_position(axis);
}

static avr_cycle_count_t spindle_is_due(avr_t *avr, avr_cycle_count_t when, void *unused) {
    (void)avr, (void)unused;
    if (spindle.period == 0) return 0;
    spindle.is_low = !spindle.is_low;
    chip_drive('B', TACH_PIN, !spindle.is_low);
    spindle.next += spindle.is_low ? spindle.low : spindle.period - spindle.low;
    return no_sooner(spindle.next, when);
}

void waves_spindle(double period_us, double low_us) {
    avr_cycle_timer_cancel(chip.avr, spindle_is_due, NULL);
    spindle.period = period_us * CYCLES_PER_US;
    spindle.low = low_us * CYCLES_PER_US;
    if (spindle.is_low) chip_drive('B', TACH_PIN, true);
    spindle.is_low = false;
    spindle.next = (double)chip.avr->cycle + spindle.period - spindle.low;
    if (period_us > 0) arm(spindle_is_due, spindle.next, NULL);
}

static avr_cycle_count_t pulse_is_due(avr_t *avr, avr_cycle_count_t when, void *which) {
    (void)avr;
    struct pulser *pulser = which;
    chip_drive(pulser->port, pulser->pin, !chip_level(pulser->port, pulser->pin));
    if (--pulser->halves_left == 0) return 0;
    pulser->next += pulser->halves_left % 2 ? pulser->width : pulser->gap;
    return no_sooner(pulser->next, when);
}

void waves_pulses(char port, int pin, long count, double width_us, double every_us) {
    for (int i = 0; i < PULSERS; i++) {
        struct pulser *pulser = &pulsers[i];
        if (pulser->halves_left) continue;
        *pulser = (struct pulser){.port = port, .pin = pin, .halves_left = 2 * count};
        pulser->width = width_us * CYCLES_PER_US;
        pulser->gap = (every_us - width_us) * CYCLES_PER_US;
        pulser->next = (double)chip.avr->cycle + 1;
        arm(pulse_is_due, pulser->next, pulser);
        return;
    }
}

// The clock rests high; data changes while it is high and is read as it falls. Both are turned over.
static avr_cycle_count_t burst_is_due(avr_t *avr, avr_cycle_count_t when, void *unused) {
    (void)avr, (void)unused;
    bool clock_falls = burst.halves_left % 2 == 0;
    if (clock_falls) {
        chip_drive('B', CALIPER_DATA_PIN, !(burst.bits & 1));
        burst.bits >>= 1;
    }
    chip_drive('B', CALIPER_CLOCK_PIN, clock_falls);
    if (--burst.halves_left == 0) return 0;
    burst.next += burst.half;
    return no_sooner(burst.next, when);
}

void waves_burst(uint32_t bits, int bit_count, double half_clock_us) {
    burst.bits = bits;
    burst.halves_left = 2 * bit_count;
    burst.half = half_clock_us * CYCLES_PER_US;
    burst.next = (double)chip.avr->cycle + burst.half;
    arm(burst_is_due, burst.next, NULL);
}

void waves_rearm(void) {
    for (int axis = 0; axis < AXES; axis++)
        if (slides[axis].move.edges) arm(edge_is_due, slides[axis].placed, &slides[axis]);
    for (int i = 0; i < PULSERS; i++)
        if (pulsers[i].halves_left) arm(pulse_is_due, pulsers[i].next, &pulsers[i]);
    if (spindle.period > 0) arm(spindle_is_due, spindle.next, NULL);
    if (burst.halves_left) arm(burst_is_due, burst.next, NULL);
}
