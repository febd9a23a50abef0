// SPDX-License-Identifier: MIT
//
// The seam between the firmware and the chip. Everything above this header is plain C; a port
// implements what is below and calls nothing above it. No function waits, except port_store_write.
//
// The one interrupt of a port samples the scale lines SAMPLE_US apart and adds to a quad_latch. It
// touches nothing else, and nothing else runs in an interrupt.
#ifndef WAYTELL_PORT_H
#define WAYTELL_PORT_H

#include <stdbool.h>
#include <stdint.h>

#include "counting/quadrature.h"

// Word in the hello.
#define PORT_MODEL "m328p"

void port_init(void);

// Was the chip without power before this start, as far as it can still tell?
bool port_lost_power(void);

// Sixteen bits that differ from board to board and from start to start, more or less.
uint16_t port_noise(void);

// The scale lines now; the samples start as if the lines had last been at `pins_before`.
uint8_t port_scale_pins(void);
void port_start_sampling(uint8_t pins_before);

// All scales, the samples and the clock at one instant.
void port_latch(struct quad_latch *latch);

// The low byte of the sample count, without the cost of a latch.
uint8_t port_sample_tick(void);

enum port_received { PORT_NOTHING, PORT_BYTE, PORT_BROKEN };
enum port_received port_receive(uint8_t *byte);
bool port_can_transmit(void);
void port_transmit(uint8_t byte);

// An edge of the tach caught by hardware; *ticks is its time in half microseconds, 16 bits of it,
// counted from the start of sampling.
bool port_tach_caught(uint16_t *ticks);
bool port_tach_low(void);

// Bit i set: switch i closed; reference line i high.
uint8_t port_switches(void);
uint8_t port_marks(void);

// The caliper-type scale's lines, already turned upright.
bool port_caliper_clock(void);
bool port_caliper_data(void);

// Bytes that outlive the power. Called before sampling starts: a write takes milliseconds.
void port_store_read(uint8_t *bytes, uint8_t from, uint8_t length);
void port_store_write(const uint8_t *bytes, uint8_t from, uint8_t length);

void port_watchdog_start(void);
void port_watchdog_calm(void);

#endif
