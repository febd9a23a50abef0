// SPDX-License-Identifier: MIT
//
// The seam between the firmware and the chip. Everything above this header is plain C; a port
// implements what is below and calls nothing above it. No function waits, except port_store_write.
//
// The one interrupt of a port samples the scale lines SAMPLE_US apart, adds to a quad_latch, and puts
// received bytes where port_receive finds them. Nothing else runs in an interrupt.
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

// The scale lines now; the samples start as if they had last been at `lines_before`.
uint8_t port_scale_lines(void);
void port_start_sampling(uint8_t lines_before);

// All scales, the samples and the clock at one instant.
void port_latch(struct quad_latch *latch);

// Bytes that outlive the power. Called before sampling starts: a write takes milliseconds.
void port_store_read(uint8_t *bytes, uint8_t from, uint8_t length);
void port_store_write(const uint8_t *bytes, uint8_t from, uint8_t length);

void port_watchdog_start(void);
void port_watchdog_calm(void);

// What follows is looked at for every character of every line, so a port gives it inline:
//
//   uint8_t port_sample_tick(void)           the low byte of the sample count, cheaper than a latch
//   bool port_receive(uint8_t *byte)         a byte that came broken is zero
//   bool port_can_transmit(void)
//   void port_transmit(uint8_t byte)
//   bool port_tach_caught(uint16_t *ticks)   an edge caught by hardware, and its time: 16 bits of half
//                                            microseconds since sampling started
//   bool port_tach_low(void)
//   uint8_t port_switches(void)              bit i set: switch i closed
//   uint8_t port_marks(void)                 bit i set: reference line i high
//   bool port_caliper_clock(void)            the lines of a caliper-type scale, upright
//   bool port_caliper_data(void)
#include "port/avr/looks.h"

#endif
